#!/usr/bin/env python3
"""Drawings that nobody here made: are the closed areas that ezdxf sees in them what `tuckroll outlines` reads?

    pip install ezdxf shapely scipy
    scripts/crosscheck_dxf_foreign.py [--tuckroll target/release/tuckroll] [FILE.dxf ...]

The drawings are test data of general CAD libraries, written by many programs from 1989 on; pip fetches those
libraries as they are pinned below, and they stay in target/foreign. Of each drawing ezdxf gives the curves, its blocks
placed by its own matrices, and scipy those that are splines. Closed ones are contours, and so are the areas that
shapely finds bounded by loose ones which meet at their ends; shapely nests them by the even-odd rule, layer by layer.
Then

* every such area is an outline of ours with the same box and number of holes, its area equal to within the length of
  its contours times two and a half chord tolerances (one is a millionth of the drawing's size). Where contours touch
  each other or lines of the layer meet elsewhere than at their ends, the box must be there, and the area may be less;
* what is not there is owned up to: by a warning about its layer that says what was left out, or as a contour that is
  broken, if shapely finds it crossing itself, too;
* nothing else is an outline, but for what such lines of its layer enclose;
* a drawing is refused with exit code 2, its place and its remedy, and only if it is one of REFUSED.

The last line is 'N passed, N failed'. Exit code 0, 1, or 2 when the libraries cannot be had.
"""
import argparse
import collections
import json
import logging
import math
import os
import pathlib
import subprocess
import sys
import tarfile
import tempfile
import zipfile

import ezdxf
import numpy
from checks import Checks
from ezdxf import recover
from ezdxf.math import ConstructionArc, Matrix44, Vec3, bulge_to_arc
from scipy.interpolate import BSpline
from shapely import STRtree
from shapely.geometry import LineString, MultiPoint, Point, Polygon
from shapely.ops import polygonize

HERE = pathlib.Path(__file__).resolve().parent.parent
KEPT = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", HERE / "target")) / "foreign"
PACKAGES = [  # name and version, file, its SHA-256
    ("ezdxf==1.4.5", "ezdxf-1.4.5.tar.gz", "a6c3bbc1a65ce764d97c5beafe6ae693d8ed14c6cdae366b50e1974a79d4a00a"),
    ("ezdxf-shapely==1.0", "ezdxf_shapely-1.0.tar.gz", "7625ec848f6601cd74c9913bbe7d4038bd70d2e0aeb93750d0849aead9ff19d1"),
    ("build123d==0.13.0", "build123d-0.13.0.tar.gz", "97c5577a777ff7219714b10f70f253c7109e84bb3ec621eea5d4597b4c7656b4"),
    ("dxfgrabber==1.0.1", "dxfgrabber-1.0.1.zip", "329ddb5fa5a11c0fd4b83b14615686c62924a323ccf4ef2e7bc5771788d220a1"),
]
# Damaged on purpose: what our message must say. ezdxf mends them.
REFUSED = {"ezdxf: recover01.dxf": "ends without EOF"}
# Frames of text, polylines of their own in the file: ezdxf takes them away, as parts of the text.
FRAMES = {"ezdxf: mtext_framed_columns.dxf": 6, "ezdxf: mtext_text_frame.dxf": 1}
FINE = 1e-6  # chord tolerance, as a part of the drawing's size
JOIN = 2e-7  # ends nearer to each other are one


class Unreadable(Exception):
    pass


# The libraries.

def drawings():
    """Names and bytes of all drawings, fetched first if need be."""
    KEPT.mkdir(parents=True, exist_ok=True)
    for requirement, file, sha in PACKAGES:
        if not (KEPT / file).exists():
            fetch(requirement, sha)
        for name, data in members(KEPT / file):
            if name.lower().endswith(".dxf"):
                yield f"{requirement.split('==')[0]}: {name.rsplit('/', 1)[-1]}", data


def fetch(requirement, sha):
    """The source of a library by pip, which compares its hash."""
    name = requirement.split("==")[0]
    with tempfile.NamedTemporaryFile("w", suffix=".txt") as wanted:
        wanted.write(f"{requirement} --hash=sha256:{sha}\n")
        wanted.flush()
        words = [sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check", "--no-deps",
                 "--no-binary", name, "--require-hashes", "-d", str(KEPT), "-r", wanted.name]
        if subprocess.run(words).returncode:
            print(f"{requirement} cannot be fetched", file=sys.stderr)
            sys.exit(2)


def members(path):
    if path.suffix == ".zip":
        with zipfile.ZipFile(path) as archive:
            yield from ((n, archive.read(n)) for n in archive.namelist())
        return
    with tarfile.open(path) as archive:
        yield from ((m.name, archive.extractfile(m).read()) for m in archive if m.isfile())


# What ezdxf sees.

class Layer:
    """The curves of a layer as points."""

    def __init__(self):
        self.closed, self.open = [], []
        self.curious = set()  # kinds of things of which it is not certain what they enclose


class Reader:
    def __init__(self, document, sagitta):
        self.document, self.sagitta = document, sagitta
        self.layers = collections.defaultdict(Layer)
        self.left_out = collections.Counter()  # (layer, reason)

    def read(self):
        self.walk(self.document.modelspace(), Matrix44(), None, ())
        return self

    def walk(self, entities, matrix, inherited, inside):
        for e in entities:
            own = e.dxf.get("layer", "0")
            layer = inherited if own == "0" and inherited is not None else own
            state = self.document.layers.get(layer) if self.document.layers.has_entry(layer) else None
            frozen, off = (state.is_frozen(), state.is_off()) if state else (False, False)
            insert = e.dxftype() == "INSERT"
            if e.dxf.get("invisible", 0):
                self.leave_out(layer, "invisible")
            elif e.dxf.get("paperspace", 0):
                self.leave_out(layer, "paper space")
            elif frozen or (off and not insert):
                self.leave_out(layer, "off or frozen")
            elif insert:
                self.insert(e, matrix, layer, inside)
            else:
                self.curve(e, matrix, self.layers[layer.strip().lower()], layer.strip())

    def leave_out(self, layer, reason):
        self.left_out[layer.strip().lower(), reason] += 1

    def insert(self, e, matrix, layer, inside):
        block = self.document.blocks.get(e.dxf.name)
        if block is None or e.dxf.name.lower() in inside:
            return self.leave_out(layer, "which is not in the file" if block is None else "contains itself")
        if not upright(e):
            return self.leave_out(layer, "tilted")
        for one in e.multi_insert() if e.mcount > 1 else [e]:
            self.walk(block, one.matrix44() * matrix, layer, (*inside, e.dxf.name.lower()))

    def curve(self, e, matrix, layer, name):
        kind = e.dxftype()
        made = getattr(self, f"of_{kind.lower()}", None)
        if made is None:
            return layer.curious.add(kind) if kind in ("MLINE", "HELIX") else None
        if not (level(e) if kind == "LINE" else upright(e) and level(e)):
            return self.leave_out(name, "tilted")
        stretch = max(matrix.transform_direction(v).magnitude for v in (Vec3(1, 0), Vec3(0, 1), Vec3(0.7, 0.7), Vec3(0.7, -0.7)))
        shape = made(e, self.sagitta / max(1.5 * stretch, 1e-12))
        if shape is None:
            return self.leave_out(name, "left out")
        points, closed = shape
        flat = [(p.x, p.y) for p in matrix.transform_vertices(points)]
        (layer.closed if closed else layer.open).append(flat)

    def of_line(self, e, _):
        return [e.dxf.start, e.dxf.end], False

    def of_arc(self, e, sagitta):
        if e.dxf.radius <= 0:
            return None
        return list(e.flattening(min(sagitta, e.dxf.radius))), False

    def of_circle(self, e, sagitta):
        return (list(e.flattening(min(sagitta, e.dxf.radius))), True) if e.dxf.radius > 0 else None

    def of_ellipse(self, e, sagitta):
        turn = (e.dxf.end_param - e.dxf.start_param) % math.tau
        whole = min(turn, math.tau - turn) < 1e-9
        turn = math.tau if whole else turn
        # A chord strays from the longer half axis by r (1 - cos(step / 2)) at most.
        count = math.ceil(turn / math.sqrt(8 * min(sagitta / e.dxf.major_axis.magnitude, 0.1))) + 1
        return list(e.vertices(e.dxf.start_param + turn * numpy.linspace(0, 1, count + 1))), whole

    def of_spline(self, e, sagitta):
        if not len(e.control_points):
            return None  # a curve through points may be laid in many ways
        points = spline(e, sagitta)
        return points, points[0].isclose(points[-1], abs_tol=1e-9)

    def of_lwpolyline(self, e, sagitta):
        points = [(Vec3(x, y, e.dxf.elevation), bulge) for x, y, bulge in e.get_points("xyb")]
        return self.bulged(e, points, e.closed, sagitta) if points else None

    def of_polyline(self, e, sagitta):
        if e.is_polygon_mesh or e.is_poly_face_mesh:
            return None
        on_it = [v for v in e.vertices if not v.dxf.flags & 16]  # not those that only steer a spline
        if not on_it:
            return None
        if e.is_3d_polyline:
            return [v.dxf.location for v in on_it], e.is_closed
        return self.bulged(e, [(v.dxf.location, v.dxf.get("bulge", 0)) for v in on_it], e.is_closed, sagitta)

    def bulged(self, e, points, closed, sagitta):
        out = []
        pairs = list(zip(points, points[1:] + points[:1]))
        for (p, bulge), (q, _) in pairs if closed else pairs[:-1]:
            out.append(p)
            if bulge and not p.isclose(q, abs_tol=1e-12):
                centre, start, end, radius = bulge_to_arc(p, q, bulge)
                arc = ConstructionArc(centre, radius, math.degrees(start), math.degrees(end))
                between = [Vec3(v.x, v.y, p.z) for v in arc.flattening(min(sagitta, radius))][1:-1]
                out += between if bulge > 0 else between[::-1]
        out += [] if closed else [points[-1][0]]
        return list(e.ocs().points_to_wcs(out)), closed


def spline(e, sagitta):
    """A curve by scipy: ezdxf runs beyond the ends of one whose knots are not repeated there."""
    degree, knots, control = e.dxf.degree, numpy.array(e.knots), numpy.array([tuple(p) for p in e.control_points])
    weights = numpy.array(list(e.weights) or [1.0] * len(control))[:, None]
    curve = BSpline(knots, numpy.hstack([control * weights, weights]), degree)
    inner = sorted({k for k in knots if knots[degree] <= k <= knots[len(control)]})
    count = 8
    while True:
        at = numpy.concatenate([numpy.linspace(a, b, count, endpoint=False) for a, b in zip(inner, inner[1:])] + [inner[-1:]])
        points = curve(at)
        points = points[:, :3] / points[:, 3:]
        # Between the points it strays by a quarter of what it does between every second one.
        stray = numpy.abs(points[1:-1] - (points[:-2] + points[2:]) / 2).max() / 4
        if stray <= sagitta or count >= 4096:
            return [Vec3(p) for p in points]
        count *= 2


def upright(e):
    n = e.dxf.get("extrusion", Vec3(0, 0, 1))
    return max(abs(n.x), abs(n.y)) <= 1e-6 * abs(n.z) and n.z != 0


def level(e):
    """Whether what is written in world coordinates lies at one height."""
    kind = e.dxftype()
    if kind == "LINE":
        points = [e.dxf.start, e.dxf.end]
    elif kind == "POLYLINE" and e.is_3d_polyline:
        points = [v.dxf.location for v in e.vertices]
    elif kind == "SPLINE":
        points = [Vec3(p) for p in [*e.control_points, *e.fit_points]]
    else:
        return True
    x, y, z = ([p[axis] for p in points] or [0] for axis in range(3))
    return max(z) - min(z) <= 1e-3 * max(max(x) - min(x), max(y) - min(y))


def read_by_ezdxf(path):
    """The document; one that is damaged is mended as ezdxf does it."""
    try:
        return ezdxf.readfile(path)
    except (ezdxf.DXFError, OSError, ValueError):
        try:
            return recover.readfile(path)[0]
        except (ezdxf.DXFError, OSError, ValueError) as e:
            raise Unreadable(str(e)) from e


# From curves to areas.

class Nodes:
    """Places where curves end; those nearer than `join` are one."""

    def __init__(self, join):
        self.join, self.cells = join, collections.defaultdict(list)

    def of(self, p):
        x, y = (math.floor(v / self.join) for v in p)
        for cell in ((x + i, y + j) for i in (-1, 0, 1) for j in (-1, 0, 1)):
            for q in self.cells[cell]:
                if math.dist(p, q) <= self.join:
                    return q
        self.cells[x, y].append(p)
        return p


def cut_along(runs, join):
    """Straight lines that lie on each other in part, cut where the shared part ends."""
    straight = [LineString(r) for r in runs if len(r) == 2]
    tree, out = STRtree(straight), [r for r in runs if len(r) != 2]
    for i, line in enumerate(straight):
        at = {0.0, line.length}
        for j in (int(k) for k in tree.query(line)):
            meet = line.intersection(straight[j])
            if j != i and meet.geom_type == "LineString" and meet.length > join:
                ends = (line.project(Point(c)) for c in (meet.coords[0], meet.coords[-1]))
                at |= {v for v in ends if 2 * join < v < line.length - 2 * join}
        places = [line.interpolate(v).coords[0] for v in sorted(at)]
        out += [list(two) for two in zip(places, places[1:])]
    return out


def bounded(layer, join):
    """The contours that loose curves bound which meet at their ends, and whether some meet elsewhere."""
    nodes, between = Nodes(join), collections.defaultdict(list)
    for points in cut_along(layer.open, join):
        ends = nodes.of(points[0]), nodes.of(points[-1])
        line = LineString([ends[0], *points[1:-1], ends[1]])
        if line.length <= join:
            continue
        kept = between[frozenset(ends)]
        if not any(line.hausdorff_distance(k) <= join for k in kept):
            kept.append(line)
    lines = [line for kept in between.values() for line in kept]
    tree, elsewhere = STRtree(lines), False
    for i, line in enumerate(lines):
        ends = MultiPoint([line.coords[0], line.coords[-1]])
        for j in (int(k) for k in tree.query(line)):
            if j > i:
                meet = line.intersection(lines[j])
                elsewhere |= not meet.is_empty and not ends.buffer(2 * join).covers(meet)
    return [list(face.exterior.coords)[:-1] for face in polygonize(lines)], elsewhere


class Area:
    def __init__(self, ring, holes):
        self.box, self.holes = ring.bounds, len(holes)
        self.size = ring.area - sum(h.area for h in holes)
        self.length = sum(r.exterior.length for r in [ring, *holes])


def areas(rings, join):
    """Rings nested by the even-odd rule; and whether some cross or touch each other."""
    rings = sorted(rings, key=lambda r: r.area)
    tree, parents, meeting = STRtree(rings), [], False
    for i, ring in enumerate(rings):
        parent = None
        for j in sorted(int(k) for k in tree.query(ring)):
            if j <= i:
                continue
            meeting |= rings[j].exterior.distance(ring.exterior) <= join
            if rings[j].buffer(join).contains(ring):
                parent = j
                break
        parents.append(parent)
    depths = {}
    for i in reversed(range(len(rings))):
        depths[i] = 0 if parents[i] is None else depths[parents[i]] + 1
    holes = collections.defaultdict(list)
    for i, parent in enumerate(parents):
        if depths[i] % 2:
            holes[parent].append(rings[i])
    return [Area(rings[i], holes[i]) for i in range(len(rings)) if depths[i] % 2 == 0], meeting


def extent(layers):
    points = [p for layer in layers.values() for run in [*layer.closed, *layer.open] for p in run]
    if not points:
        return 1.0
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return math.hypot(max(xs) - min(xs), max(ys) - min(ys)) or 1.0


# Judging.

class Judge:
    def __init__(self, tuckroll, checks):
        self.tuckroll, self.checks, self.tally = tuckroll, checks, collections.Counter()

    def ask(self, path, chord, join):
        words = [self.tuckroll, "outlines", str(path), "--json", "--unit", "mm"]
        words += ["--chord-tolerance", repr(min(chord, 10.0)), "--join-tolerance", repr(min(join, 10.0))]
        done = subprocess.run(words, capture_output=True, text=True, timeout=120)
        return done.returncode, json.loads(done.stdout), done.stderr

    def judge(self, name, path):
        try:
            document = read_by_ezdxf(path)
            size = extent(Reader(document, 1e-2).read().layers)
            theirs = Reader(document, FINE * size).read()
        except Unreadable as e:
            theirs, size = None, 1.0
            print(f"{name}: ezdxf cannot read it: {e}")
        code, said, err = self.ask(path, FINE * size, JOIN * size)
        if code != 0:
            return self.refused(name, code, said, err)
        self.checks.expect(name not in REFUSED, f"{name}: is read, though it is listed as refused")
        if theirs is None:
            return self.checks.expect(False, f"{name}: ezdxf cannot read it and we can")
        before = sum(self.tally.values())
        self.frames = 0
        self.compare(name, said, theirs, size)
        self.checks.expect(self.frames == FRAMES.get(name, 0), f"{name}: {self.frames} frames of text")
        return print(f"{name}: {sum(self.tally.values()) - before} areas, {len(said['warnings'])} warnings")

    def refused(self, name, code, said, err):
        problems = said.get("problems", [])
        good = code == 2 and problems and all(p["place"] and p["what"] for p in problems) and "error: " in err
        self.checks.expect(good and any(p.get("remedy") for p in problems), f"{name}: exit code {code}, {problems}: {err}")
        known = REFUSED.get(name, None)
        told = problems[0]["what"] if problems else ""
        self.checks.expect(known is not None and known in told, f"{name}: is refused: {problems}")
        print(f"{name}: refused: {told}")
        self.tally["refused"] += 1

    def compare(self, name, said, theirs, size):
        chord, join = FINE * size, JOIN * size
        ours = collections.defaultdict(list)
        for found in said["outlines"]:
            ours[found["layer"].lower()].append(found)
        told = [f"{w['place']} {w['what']}".lower() for w in [*said["warnings"], *said["broken"]]]
        for layer in sorted(theirs.layers.keys() | ours.keys()):
            self.layer(name, layer, theirs.layers.get(layer, Layer()), ours[layer], told, chord, join)
        for (layer, reason), count in sorted(theirs.left_out.items()):
            self.tally["left out, and said so"] += 1
            self.checks.expect(any(f"layer `{layer}`" in t and reason in t for t in told),
                               f"{name}, layer {layer}: nothing says that {count} are left out ({reason})")

    def layer(self, name, layer, theirs, ours, told, chord, join):
        loops, elsewhere = bounded(theirs, join)
        here = [t for t in told if f"layer `{layer}`" in t]
        rings, crossed = [], 0
        for points in [*theirs.closed, *loops]:
            ring = polygon(points, chord)
            if ring.area <= chord * ring.length:
                continue
            if not ring.is_valid:
                crossed += 1
            elif not any(same(ring, r, join) for r in rings):
                rings.append(ring)
        broken = sum("crosses or touches itself" in t for t in here)
        if crossed:
            self.tally["crossing itself, and said so"] += crossed
            self.checks.expect(broken > 0, f"{name}, layer {layer}: {crossed} contours cross themselves, and nothing says so")
        wanted, meeting = areas(rings, join)
        loose = elsewhere or meeting or crossed or theirs.curious
        left = list(ours)
        for area in wanted:
            near = [o for o in left if boxed(o, area.box, 2 * chord + join)]
            exact = [o for o in near if o["holes"] == area.holes and abs(o["area_mm2"] - area.size) <= slack(area, chord, join)]
            less = [o for o in near if o["area_mm2"] <= area.size + slack(area, chord, join)]
            took = exact or (less if loose else [])
            what = f"{area.holes} holes, area {area.size:.9g} in the box {[round(v, 6) for v in area.box]}"
            self.checks.expect(bool(took), f"{name}, layer {layer}: no outline like {what}; in that box {near}; warnings: {here[:3]}")
            self.tally["equal" if exact else "equal box"] += 1
            if took:
                left.remove(took[0])
        if name in FRAMES and not theirs.closed and not theirs.open:
            self.frames += len(left)
            left = []
        self.tally["made of lines that cross"] += len(left)
        self.checks.expect(not left or loose, f"{name}, layer {layer}: outlines that ezdxf does not see: {left[:3]}")


def polygon(points, chord):
    """A ring without the points that rounding puts beside its corners and straight sides."""
    apart = []
    for p in points:
        if not apart or math.dist(p, apart[-1]) > chord / 4:
            apart.append(p)
    if len(apart) < 3:
        return Polygon()
    line = LineString([*apart, apart[0]]).simplify(chord / 2)
    return Polygon(line) if len(line.coords) > 3 else Polygon()


def same(a, b, join):
    return all(abs(p - q) <= join for p, q in zip(a.bounds, b.bounds)) and a.exterior.hausdorff_distance(b.exterior) <= join


def slack(area, chord, join):
    return area.length * (2.5 * chord + join) + 1e-12 * area.size


def boxed(found, box, slack):
    left, low = found["from_x"], found["from_y"]
    own = [left, low, left + found["width"], low + found["height"]]
    return all(abs(a - b) <= slack + 1e-9 * abs(b) for a, b in zip(own, box))


def main():
    parser = argparse.ArgumentParser(formatter_class=argparse.RawDescriptionHelpFormatter, description=__doc__)
    parser.add_argument("--tuckroll", default=HERE / "target/release/tuckroll")
    parser.add_argument("files", nargs="*", type=pathlib.Path, help="these drawings in place of those of the libraries")
    options = parser.parse_args()
    logging.disable(logging.CRITICAL)
    checks = Checks()
    judge = Judge(pathlib.Path(options.tuckroll).resolve(), checks)
    chosen = ((f.name, f.read_bytes()) for f in options.files) if options.files else drawings()
    count = 0
    with tempfile.TemporaryDirectory() as folder:
        for name, data in chosen:
            path = pathlib.Path(folder) / "drawing.dxf"
            path.write_bytes(data)
            judge.judge(name, path)
            count += 1
    print(f"{count} drawings: " + ", ".join(f"{n} {what}" for what, n in sorted(judge.tally.items())))
    checks.expect(options.files or judge.tally["equal"] > 80, "hardly anything was compared")
    checks.finish()


if __name__ == "__main__":
    main()
