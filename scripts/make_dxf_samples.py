#!/usr/bin/env python3
"""Writes DXF samples with ezdxf, and beside them what a reader must find in them.

    make_dxf_samples.py fixtures/dxf      writes the small set that is committed

crosscheck_dxf_read.py has every case written in every version, ASCII and binary.

`samples.json` lists for each file the unit, the outlines (layer, area without holes, the box
round it, length of all its contours) and words that the warnings must contain. Areas are
closed forms, named beside each; of B-splines they are those of points that ezdxf evaluates.
Boxes are measured on ezdxf's own flattening of the exploded drawing. Made with ezdxf 1.4.5.
"""

import json
import math
import sys
from pathlib import Path

import ezdxf
from ezdxf import disassemble
from ezdxf.math import Vec3

PI = math.pi
VERSIONS = ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"]
COMMITTED = [
    ("lines", "R12", "asc"), ("lines", "R2018", "bin"), ("curves", "R2000", "asc"), ("curves", "R2013", "bin"),
    ("blocks", "R12", "bin"), ("blocks", "R2010", "asc"), ("left-out", "R2004", "asc"),
]


class Sample:
    """A drawing in the making and what is to be found in it."""

    def __init__(self, version, unit):
        self.doc = ezdxf.new(version)
        if version == "R12":
            self.doc.header["$INSUNITS"] = 0
        else:
            self.doc.header["$INSUNITS"] = unit
            self.doc.header["$MEASUREMENT"] = 0 if unit == 1 else 1
        self.msp = self.doc.modelspace()
        self.is_r12 = version == "R12"
        self.outlines = []
        self.warnings = []

    def expect(self, layer, area):
        """One outline of this area is on the layer; its box and length are those of all of it."""
        points, length = [], 0.0
        for entity in disassemble.recursive_decompose(e for e in self.msp if e.dxf.layer == layer):
            flat = flattened(entity)
            points += flat
            length += sum(a.distance(b) for a, b in zip(flat, flat[1:]))
        xs, ys = [p.x for p in points], [p.y for p in points]
        self.outlines.append({"layer": layer, "area": area, "box": [min(xs), min(ys), max(xs), max(ys)],
                              "length": length})


def flattened(entity):
    """Points on the curve itself; ezdxf's general paths go through Bezier curves that miss by 3e-4 r."""
    kind = entity.dxftype()
    if kind == "LINE":
        return [entity.dxf.start, entity.dxf.end]
    if kind in ("LWPOLYLINE", "POLYLINE"):
        return [p for part in entity.virtual_entities() for p in flattened(part)]
    if kind == "SPLINE":
        return on_spline(entity)
    return [Vec3(p) for p in entity.flattening(1e-5)]


def on_spline(entity, count=20000):
    """Points of a B-spline over its domain; ezdxf's own flattening also runs over the knots beside it."""
    spline = entity.construction_tool()
    knots, first, last = spline.knots(), spline.degree, spline.count
    step = (knots[last] - knots[first]) / count
    return [Vec3(p) for p in spline.points(knots[first] + step * i for i in range(count + 1))]


def segment(radius, angle):
    """Area between an arc and its chord: r^2/2 (angle - sin angle)."""
    return radius * radius / 2 * (angle - math.sin(angle))


def flattened_area(points):
    pairs = zip(points, points[1:] + points[:1])
    return abs(sum(a.x * b.y - b.x * a.y for a, b in pairs)) / 2


def lines(s):
    """LINE, ARC, CIRCLE and POLYLINE: what R12 has."""
    m = s.msp
    for r in (25, 10):
        m.add_circle((100, 50), r, dxfattribs={"layer": "ring"})
    s.expect("ring", PI * (25**2 - 10**2))

    corners = [(0, 0), (40, 0), (40, 25), (0, 25)]
    for i in (2, 0, 3, 1):
        m.add_line(corners[i], corners[(i + 1) % 4], dxfattribs={"layer": "loose"})
    m.add_line(corners[1], corners[0], dxfattribs={"layer": "loose"})
    s.expect("loose", 40 * 25)
    s.warnings.append("drawn twice")

    m.add_arc((0, 100), 20, 0, 180, dxfattribs={"layer": "half"})
    m.add_line((-20, 100), (20, 100), dxfattribs={"layer": "half"})
    s.expect("half", PI * 20**2 / 2)

    # Three quarters of a circle and two radii; the arc runs through 0 degrees.
    m.add_arc((-100, 0), 30, 270, 180, dxfattribs={"layer": "pie"})
    m.add_line((-130, 0), (-100, 0), dxfattribs={"layer": "pie"})
    m.add_line((-100, 0), (-100, -30), dxfattribs={"layer": "pie"})
    s.expect("pie", 0.75 * PI * 30**2)

    # An arc that is seen from below: extrusion (0, 0, -1) turns 0..90 into 90..180 degrees.
    m.add_arc((100, -100), 30, 0, 90, dxfattribs={"layer": "below", "extrusion": (0, 0, -1)})
    m.add_line((-100, -70), (-100, -100), dxfattribs={"layer": "below"})
    m.add_line((-100, -100), (-130, -100), dxfattribs={"layer": "below"})
    s.expect("below", PI * 30**2 / 4)

    # A slot: the first side is a half circle (bulge 1), and the third.
    slot = [(0, -60, 1), (20, -60, 0), (20, -20, 1), (0, -20, 0)]
    m.add_polyline2d(slot, format="xyb", close=True, dxfattribs={"layer": "slot"})
    s.expect("slot", 20 * 40 + PI * 10**2)

    m.add_polyline3d([(60, -60, 3), (90, -60, 3), (75, -20, 3)], close=True, dxfattribs={"layer": "spatial"})
    s.expect("spatial", 30 * 40 / 2)

    # A polyline with a fitted spline: the frame does not count, the fitted vertices do.
    fitted = m.add_polyline2d([], close=True, dxfattribs={"layer": "fitted"})
    fitted.dxf.flags |= 4
    for x, y, flags in [(200, 0, 16), (260, 0, 16), (210, 0, 8), (250, 0, 8), (250, 30, 8), (210, 30, 8)]:
        fitted.append_vertex((x, y), dxfattribs={"flags": flags})
    s.outlines.append({"layer": "fitted", "area": 40 * 30, "box": [210, 0, 250, 30], "length": 140})


def curves(s):
    """LWPOLYLINE, ELLIPSE and SPLINE."""
    m = s.msp
    bulge = math.tan(3 * PI / 2 / 4)  # 270 degrees
    m.add_lwpolyline([(0, 0, bulge), (30, 0, 0)], format="xyb", close=True, dxfattribs={"layer": "major"})
    s.expect("major", segment(30 / math.sqrt(2), 3 * PI / 2))

    m.add_lwpolyline([(50, 0, -1), (90, 0, -1)], format="xyb", close=True, dxfattribs={"layer": "two-halves"})
    s.expect("two-halves", PI * 20**2)

    # The bulge of the last vertex bends the closing side, here inwards by a quarter circle.
    quarter = math.tan(PI / 2 / 4)
    square = [(100, 0, 0), (140, 0, 0), (140, 40, 0), (100, 40, -quarter)]
    m.add_lwpolyline(square, format="xyb", close=True, dxfattribs={"layer": "closing"})
    s.expect("closing", 40 * 40 - segment(40 / math.sqrt(2), PI / 2))

    m.add_lwpolyline([(-200, 0, 0), (-160, 0, quarter), (-200, 40, 0)], format="xyb", close=True,
                     dxfattribs={"layer": "mirrored", "extrusion": (0, 0, -1)})
    s.expect("mirrored", 40 * 40 / 2 + segment(40, PI / 2))

    m.add_ellipse((0, 100), (40, 0), 0.375, dxfattribs={"layer": "ellipse"})
    s.expect("ellipse", PI * 40 * 15)
    m.add_ellipse((100, 100), (24, 18), 0.5, dxfattribs={"layer": "turned"})
    s.expect("turned", PI * 30 * 15)
    m.add_ellipse((200, 100), (30, 0), 0.5, 0, PI / 2, dxfattribs={"layer": "quarter"})
    m.add_lwpolyline([(230, 100), (200, 100), (200, 115)], dxfattribs={"layer": "quarter"})
    s.expect("quarter", PI * 30 * 15 / 4)
    m.add_ellipse((300, 100), (30, 0), 0.5, 0, PI / 2,
                  dxfattribs={"layer": "quarter-below", "extrusion": (0, 0, -1)})
    m.add_lwpolyline([(330, 100), (300, 100), (300, 85)], dxfattribs={"layer": "quarter-below"})
    s.expect("quarter-below", PI * 30 * 15 / 4)

    # Rational: a circle of radius 20 in nine control points (Piegl & Tiller, The NURBS Book, section 7.5).
    w = math.sqrt(0.5)
    ring = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)]
    m.add_rational_spline([(20 * x, 200 + 20 * y) for x, y in ring], [1, w, 1, w, 1, w, 1, w, 1], degree=2,
                          knots=[0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4], dxfattribs={"layer": "nurbs-circle"})
    s.expect("nurbs-circle", PI * 20**2)

    for layer, degree, x in [("cubic", 3, 100), ("quintic", 5, 200)]:
        control = [(x + 30 * math.cos(i) * (1 + i % 2), 200 + 25 * math.sin(i)) for i in range(7)]
        spline = m.add_spline(dxfattribs={"layer": layer})
        spline.set_closed([Vec3(p) for p in control], degree=degree)
        s.expect(layer, flattened_area(on_spline(spline)))

    control = [(300, 200), (310, 240), (330, 240), (340, 200)]
    m.add_open_spline(control, degree=3, dxfattribs={"layer": "open-cubic"})
    m.add_line(control[0], control[-1], dxfattribs={"layer": "open-cubic"})
    # Area under a cubic Bezier curve that is symmetric: chord 40, height of the inner points 40.
    # Integral of y dx with y = 40 * 3 t (1 - t), dx/dt = 30 (1-t)^2 + 120 t (1 - t) + 30 t^2.
    s.expect("open-cubic", 40 * 3 * (30 / 20 + 120 / 30 + 30 / 20))

    # By fit points only: 24 points of a circle of radius 30. Which curve runs through them is not laid
    # down; a periodic cubic spline misses the circle by less than 1e-4 of the radius.
    n = 24
    fit = [(450 + 30 * math.cos(2 * PI * i / n), 200 + 30 * math.sin(2 * PI * i / n)) for i in range(n)]
    m.add_spline(fit + fit[:1], dxfattribs={"layer": "fit-points"}).closed = True
    s.outlines.append({"layer": "fit-points", "area": PI * 30**2, "box": [420, 170, 480, 230],
                       "length": 60 * PI, "slack": 0.003})
    s.warnings.append("layer `fit-points`: 1 SPLINE is given by points")


def blocks(s):
    """INSERT: scaled, turned, mirrored, nested, in rows and columns."""
    flag = s.doc.blocks.new("FLAG", base_point=(5, 5))
    # A rectangle of 30 x 20 with a half circle of radius 10 on its right: nothing about it is symmetric
    # but top and bottom, so a hole of radius 3 sits in the upper half.
    flag.add_line((0, 0), (30, 0))
    flag.add_arc((30, 10), 10, 270, 90)
    flag.add_line((30, 20), (0, 20))
    flag.add_line((0, 20), (0, 0))
    flag.add_circle((8, 14), 3)
    area = 30 * 20 + PI * 10**2 / 2 - PI * 3**2

    def put(layer, at, scale, block="FLAG", **attributes):
        attributes |= {"layer": layer, "xscale": scale[0], "yscale": scale[1]}
        s.msp.add_blockref(block, at, dxfattribs=attributes)

    put("plain", (0, 0), (1, 1))
    s.expect("plain", area)
    put("mirrored", (100, 0), (2, -1), rotation=30)
    s.expect("mirrored", area * 2)
    put("from-below", (-200, 0), (1, 1.5), rotation=20, extrusion=(0, 0, -1))
    s.expect("from-below", area * 1.5)

    pair = s.doc.blocks.new("PAIR", base_point=(-10, 0))
    pair.add_blockref("FLAG", (40, 10), dxfattribs={"xscale": -1, "rotation": 90})
    put("nested", (0, 100), (0.75, 0.75), block="PAIR", rotation=-40)
    s.expect("nested", area * 0.75 * 0.75)
    # Scaled unevenly and turned ezdxf explodes it wrongly, so the box is measured on points mapped here:
    # FLAG minus its base, mirrored and turned by 90 degrees to (-y, -x), moved, minus PAIR's base, scaled.
    put("uneven", (0, 200), (0.5, 0.75), block="PAIR", rotation=-40)
    half_circle = [(30 + 10 * math.cos(PI * i / 4e4 - PI / 2), 10 + 10 * math.sin(PI * i / 4e4 - PI / 2))
                   for i in range(40001)]
    mapped = [((40 - (y - 5) + 10) * 0.5, (10 - (x - 5)) * 0.75) for x, y in [(0, 20), (0, 0)] + half_circle]
    turn = complex(math.cos(math.radians(-40)), math.sin(math.radians(-40)))
    mapped = [complex(x, y) * turn + 200j for x, y in mapped]
    xs, ys = [z.real for z in mapped], [z.imag for z in mapped]
    s.outlines.append({"layer": "uneven", "area": area * 0.5 * 0.75, "box": [min(xs), min(ys), max(xs), max(ys)],
                       "length": 100})

    cell = s.doc.blocks.new("CELL")
    cell.add_circle((0, 0), 4)
    s.msp.add_blockref("CELL", (300, 0), dxfattribs={
        "layer": "array", "rotation": 30, "column_count": 3, "row_count": 2, "column_spacing": 12, "row_spacing": 15})
    cos, sin = math.cos(PI / 6), math.sin(PI / 6)
    for row in range(2):
        for column in range(3):
            x = 300 + 12 * column * cos - 15 * row * sin
            y = 12 * column * sin + 15 * row * cos
            s.outlines.append({"layer": "array", "area": PI * 16, "box": [x - 4, y - 4, x + 4, y + 4],
                               "length": 8 * PI})

    # An entity of a block that is on a layer of its own stays there.
    own = s.doc.blocks.new("OWN")
    own.add_circle((0, 0), 5, dxfattribs={"layer": "own"})
    s.msp.add_blockref("OWN", (400, 0), dxfattribs={"layer": "unused"})
    s.outlines.append({"layer": "own", "area": PI * 25, "box": [395, -5, 405, 5], "length": 10 * PI})


def left_out(s):
    """What is not cut, and is warned of."""
    m = s.msp
    s.doc.layers.add("frozen").freeze()
    s.doc.layers.add("off").off()
    for layer in ("frozen", "off"):
        m.add_circle((0, 0), 5, dxfattribs={"layer": layer})
        s.warnings.append(f"layer `{layer}`: 1 entity left out")
    m.add_circle((0, 0), 5, dxfattribs={"layer": "unseen", "invisible": 1})
    s.warnings.append("invisible")
    s.doc.paperspace().add_circle((0, 0), 5, dxfattribs={"layer": "sheet"})
    s.warnings.append("paper space")
    m.add_circle((0, 0), 5, dxfattribs={"layer": "tilted", "extrusion": (0, 1, 1)})
    s.warnings.append("tilted")
    m.add_text("A", dxfattribs={"layer": "words"})
    m.add_text("B", dxfattribs={"layer": "words"})
    s.warnings.append("layer `words`: 2 TEXT left out")
    hatch = m.add_hatch(dxfattribs={"layer": "fill"})
    hatch.paths.add_polyline_path([(0, 0), (10, 0), (10, 10)], is_closed=True)
    s.warnings.append("1 HATCH")
    with m.add_mesh(dxfattribs={"layer": "solid"}).edit_data() as data:
        data.add_face([(0, 0, 0), (1, 0, 0), (0, 1, 0)])
    s.warnings.append("1 MESH")
    m.add_polymesh((2, 2), dxfattribs={"layer": "solid"})
    s.warnings.append("POLYLINE mesh")
    m.add_blockref("NOWHERE", (0, 0), dxfattribs={"layer": "gone"})
    s.warnings.append("`NOWHERE`")
    for a, b in (("EVEN", "ODD"), ("ODD", "EVEN")):
        s.doc.blocks.new(a).add_blockref(b, (1, 0))
    m.add_blockref("EVEN", (0, 0), dxfattribs={"layer": "round"})
    s.warnings.append("contains itself")
    m.add_lwpolyline([(0, 0), (10, 0), (10, 10)], dxfattribs={"layer": "open"})
    s.warnings.append("layer `open`: at (0, 0): a stroke is not closed")
    m.add_lwpolyline([(0, 0), (20, 0), (20, 10), (0, 10)], close=True, dxfattribs={"layer": "Größe"})
    s.outlines.append({"layer": "Größe", "area": 200, "box": [0, 0, 20, 10], "length": 60})


CASES = {"lines": (lines, True, 4), "curves": (curves, False, 4), "blocks": (blocks, True, 1),
         "left-out": (left_out, False, 5)}
MM = {1: 25.4, 4: 1.0, 5: 10.0}


def write(folder, case, version, form):
    make, _, unit = CASES[case]
    sample = Sample(version, unit)
    make(sample)
    name = f"{case}-{version}-{form}.dxf"
    sample.doc.saveas(folder / name, fmt=form)
    mm = None if sample.is_r12 else MM[unit]
    return {"file": name, "mm_per_unit": mm, "outlines": sample.outlines, "warnings": sample.warnings}


def write_all(folder):
    """Writes every case in every version that has its entities, ASCII and binary."""
    return write_some(folder, [
        (case, version, form) for case, (_, in_r12, _) in CASES.items() for version in VERSIONS
        for form in ("asc", "bin") if in_r12 or version != "R12"])


def write_some(folder, wanted):
    folder.mkdir(parents=True, exist_ok=True)
    ezdxf.options.write_fixed_meta_data_for_testing = True
    samples = [write(folder, *sample) for sample in wanted]
    (folder / "samples.json").write_text(json.dumps(samples, indent=1, ensure_ascii=False) + "\n")
    return samples


if __name__ == "__main__":
    print(f"{len(write_some(Path(sys.argv[1]), COMMITTED))} samples written")
