#!/usr/bin/env python3
"""Writes the demo day: fixtures/demo/day.json, the kits and the drawings it names.

    pip install ezdxf
    python3 scripts/make_demo.py [FOLDER]        (default fixtures/demo)
    python3 scripts/make_demo.py --self-check    the formulas against published values

A small shop's day, invented here: eight orders and some stock on one 610 mm roll. Seven orders
are kits, from whose dimensions the program makes the panels; what a customer drew lies beside
them as DXF, SVG or outlines. The same run gives the same bytes: coordinates are rounded, and
ezdxf is told to write fixed dates.

Formulas: cone and frustum sectors with angle 360 r / slant (Longfield, Sheet Metal Drafting,
1921). Tube diameters: D. Cook, Body Tube Data Tables, and the 75 and 98 mm classes of composite
tubes. Laps, allowances, gaps and margins are common practice, no source.

Frame of a panel: the body's axis along +x, nose forward; fins lie with the root on y = 0.
"""
import json
import math
import os
import pathlib
import sys

import ezdxf
from ezdxf import units

LAP = 6.0  # finished lap at seams: 1/4 in, the lower end of what the trade uses
TRIM = 5.0  # trim allowance at the ends of noses and wraps: room for marks
ROOT = 4.0  # fin film that folds onto the body
CHORD = 0.02  # greatest distance between curve and polyline, mm


# --- curves ------------------------------------------------------------------------------


def thin(points, tol=0.5 * CHORD):
    """Drops points that lie within `tol` of the line through those kept (Douglas, Peucker 1973)."""
    keep = [False] * len(points)
    keep[0] = keep[-1] = True
    stack = [(0, len(points) - 1)]
    while stack:
        i, j = stack.pop()
        (ax, ay), (bx, by) = points[i], points[j]
        run = math.hypot(bx - ax, by - ay) or 1.0
        far, at = tol, None
        for k in range(i + 1, j):
            off = abs((points[k][0] - ax) * (by - ay) - (points[k][1] - ay) * (bx - ax)) / run
            if off > far:
                far, at = off, k
        if at is not None:
            keep[at] = True
            stack += [(i, at), (at, j)]
    return [p for p, k in zip(points, keep) if k]


def arc(cx, cy, r, a0, a1):
    """Points of a circle's arc from a0 to a1 (radians) within the chord tolerance."""
    step = 2.0 * math.acos(1.0 - CHORD / r)
    n = max(2, math.ceil(abs(a1 - a0) / step))
    return [(cx + r * math.cos(a0 + (a1 - a0) * i / n), cy + r * math.sin(a0 + (a1 - a0) * i / n)) for i in range(n + 1)]


def ellipse(cx, cy, a, b, a0=0.0, a1=2.0 * math.pi):
    n = 720
    pts = [(cx + a * math.cos(a0 + (a1 - a0) * i / n), cy + b * math.sin(a0 + (a1 - a0) * i / n)) for i in range(n + 1)]
    return thin(pts)


def circle(cx, cy, r):
    return arc(cx, cy, r, 0.0, 2.0 * math.pi)[:-1]


def fillet(corners):
    """Corners (x, y, radius) to polyline vertices (x, y, bulge); radius 0 keeps the corner."""
    out, n = [], len(corners)
    for i, (x, y, r) in enumerate(corners):
        (px, py, _), (nx, ny, _) = corners[i - 1], corners[(i + 1) % n]
        if r == 0:
            out.append((x, y, 0.0))
            continue
        ux, uy, vx, vy = px - x, py - y, nx - x, ny - y
        lu, lv = math.hypot(ux, uy), math.hypot(vx, vy)
        ux, uy, vx, vy = ux / lu, uy / lu, vx / lv, vy / lv
        inside = math.acos(max(-1.0, min(1.0, ux * vx + uy * vy)))
        cut = r / math.tan(0.5 * inside)
        turn = math.copysign(math.pi - inside, vx * -uy - vy * -ux) * -1.0
        out.append((x + cut * ux, y + cut * uy, math.tan(0.25 * turn)))
        out.append((x + cut * vx, y + cut * vy, 0.0))
    return out


def flatten(vertices):
    """Polyline vertices with bulges to points."""
    pts = []
    for i, (x, y, b) in enumerate(vertices):
        pts.append((x, y))
        if b == 0:
            continue
        nx, ny, _ = vertices[(i + 1) % len(vertices)]
        angle, run = 4.0 * math.atan(b), math.hypot(nx - x, ny - y)
        r = run / (2.0 * math.sin(0.5 * angle))
        mx, my = 0.5 * (x + nx), 0.5 * (y + ny)
        up = r * math.cos(0.5 * angle) / run
        cx, cy = mx - up * (ny - y), my + up * (nx - x)
        a0 = math.atan2(y - cy, x - cx)
        pts += arc(cx, cy, abs(r), a0, a0 + angle)[1:-1]
    return pts


def flip(vertices):
    """The other face: mirrored about the root, contour still counter-clockwise."""
    pts = [(v[0], -v[1]) for v in vertices]
    bulges = [v[2] if len(v) > 2 else 0.0 for v in vertices]
    pts.reverse()
    bulges = bulges[-2::-1] + bulges[-1:] if len(vertices[0]) > 2 else None
    return [(x, y, b) for (x, y), b in zip(pts, bulges)] if bulges else pts


# --- developed bodies -------------------------------------------------------------------------


def sector(d_fore, d_aft, length, lap=LAP, blunt=None):
    """Frustum as an annular sector with its lap: aft rim through the origin, nose along +x.

    A boat tail (d_fore > d_aft) opens the other way. Returns the pieces of the contour as
    ("arc", radius, from, to) about `centre` and the outline."""
    small, big = sorted((0.5 * d_fore, 0.5 * d_aft))
    slant = math.hypot(big - small, length)
    outer = big * slant / (big - small)
    inner = outer - slant if blunt is None else blunt
    half = math.pi * big / outer
    sign = -1.0 if d_aft > d_fore else 1.0  # apex forward of the aft rim, or behind it
    centre = outer if d_aft > d_fore else -inner
    # Angles about the apex, counter-clockwise, middle of the sector on the x axis.
    mid = math.pi if sign < 0 else 0.0
    lo, hi = mid - half, mid + half
    sweep_out, sweep_in = arc(centre, 0.0, outer, lo, hi), arc(centre, 0.0, inner, hi, lo)
    # The lap is a strip beyond the last straight edge.
    nx, ny = -math.sin(hi) * lap, math.cos(hi) * lap
    tab = [(sweep_out[-1][0] + nx, sweep_out[-1][1] + ny), (sweep_in[0][0] + nx, sweep_in[0][1] + ny)]
    return {"centre": centre, "outer": outer, "inner": inner, "lo": lo, "hi": hi, "tab": tab, "outline": sweep_out + tab + sweep_in}


def wrap(diameter, length, lap=LAP):
    """Tube wrap, length along x, circumference plus lap across."""
    width = math.pi * diameter + lap
    return [(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)]


def wrap_marks(length, width, lap=LAP):
    """Seam ticks and an arrow forward, within the lap."""
    marks = []
    for part in (0.25, 0.5, 0.75):
        marks.append({"role": "draw", "points": [(part * length, width - lap), (part * length, width - 0.2 * lap)]})
    top = width - 0.5 * lap
    marks.append({"role": "draw", "points": [(18.0, top - 1.5), (22.0, top), (18.0, top + 1.5)]})
    return marks


# --- fins: left face, root on y = 0 with its allowance below, leading edge towards +x ----------


def trapezoid(root, tip, span, sweep, allowance=ROOT):
    return [
        (0.0, -allowance), (root, -allowance), (root, 0.0), (root - sweep, span),
        (root - sweep - tip, span), (0.0, 0.0),
    ]  # fmt: skip


# --- lettering: our own block letters on a grid six high --------------------------------------

LETTERS = {
    "A": ([(0, 0), (1.05, 0), (1.4, 1.3), (2.8, 1.3), (3.15, 0), (4.2, 0), (2.7, 6), (1.5, 6)],
          [[(1.65, 2.3), (2.55, 2.3), (2.1, 4.2)]]),
    "E": ([(0, 0), (3.5, 0), (3.5, 1), (1, 1), (1, 2.5), (3, 2.5), (3, 3.5), (1, 3.5), (1, 5), (3.5, 5), (3.5, 6), (0, 6)], []),
    "H": ([(0, 0), (1, 0), (1, 2.5), (3, 2.5), (3, 0), (4, 0), (4, 6), (3, 6), (3, 3.5), (1, 3.5), (1, 6), (0, 6)], []),
    "I": ([(0, 0), (1, 0), (1, 6), (0, 6)], []),
    "N": ([(0, 0), (1, 0), (1, 4.2), (3, 0), (4, 0), (4, 6), (3, 6), (3, 1.8), (1, 6), (0, 6)], []),
    "O": ([(0.8, 0), (3.2, 0), (4, 0.8), (4, 5.2), (3.2, 6), (0.8, 6), (0, 5.2), (0, 0.8)],
          [[(1.2, 1), (2.8, 1), (3, 1.2), (3, 4.8), (2.8, 5), (1.2, 5), (1, 4.8), (1, 1.2)]]),
    "R": ([(0, 0), (1, 0), (1, 2.5), (1.7, 2.5), (2.9, 0), (4.1, 0), (2.8, 2.6), (4, 3.4), (4, 5.2), (3.2, 6), (0, 6)],
          [[(1, 3.5), (2.7, 3.5), (3, 3.8), (3, 4.7), (2.7, 5), (1, 5)]]),
    "T": ([(1.4, 0), (2.4, 0), (2.4, 5), (3.8, 5), (3.8, 6), (0, 6), (0, 5), (1.4, 5)], []),
    "W": ([(0, 6), (1.1, 0), (2.1, 0), (2.75, 2.6), (3.4, 0), (4.4, 0), (5.5, 6), (4.45, 6), (3.85, 2.3), (3.2, 4.6),
           (2.3, 4.6), (1.65, 2.3), (1.05, 6)], []),
}  # fmt: skip


def lettering(word, height):
    """One part per letter, in place."""
    k, x, parts = height / 6.0, 0.0, []
    for ch in word:
        outline, holes = LETTERS[ch]
        put = [[(k * (px + x), k * py) for px, py in ring] for ring in (outline, *holes)]
        part = {"outline": put[0]}
        if holes:
            part["holes"] = put[1:]
        parts.append(part)
        x += max(p[0] for p in outline) + 0.9
    return parts


# --- drawings -----------------------------------------------------------------------------------


def new_dxf(version, unit):
    doc = ezdxf.new(version, setup=False, units=unit)
    doc.header["$MEASUREMENT"] = 0 if unit == units.IN else 1
    return doc, doc.modelspace()


def fin_drawing(path):
    """Rounded fins as polylines with bulges, a face per layer."""
    doc, msp = new_dxf("R2010", units.MM)
    for layer, colour in (("face-left", 5), ("face-right", 3)):
        doc.layers.add(layer, color=colour)
    left = fillet([
        (0, -ROOT, 0), (275, -ROOT, 0), (275, 0, 0), (158, 152, 24), (72, 152, 10), (26, 56, 40), (0, 0, 0),
    ])  # fmt: skip
    right = [(x, y - 20.0, b) for x, y, b in flip(left)]
    msp.add_lwpolyline(left, format="xyb", close=True, dxfattribs={"layer": "face-left"})
    msp.add_lwpolyline(right, format="xyb", close=True, dxfattribs={"layer": "face-right"})
    doc.saveas(path)


def boat_tail_drawing(path, piece):
    """A sector from loose lines and arcs, drawn in no order, as many a CAD sketch is."""
    doc, msp = new_dxf("R2000", units.MM)
    doc.layers.add("sector", color=1)
    c, at = (piece["centre"], 0.0), {"layer": "sector"}
    deg = math.degrees
    on = lambda r, a: (c[0] + r * math.cos(a), c[1] + r * math.sin(a))
    t_out, t_in = piece["tab"]
    msp.add_line(on(piece["inner"], piece["hi"]), t_in, at)
    msp.add_arc(c, piece["outer"], deg(piece["lo"]), deg(piece["hi"]), dxfattribs=at)
    msp.add_line(on(piece["outer"], piece["lo"]), on(piece["inner"], piece["lo"]), at)
    msp.add_line(t_in, t_out, at)
    msp.add_arc(c, piece["inner"], deg(piece["lo"]), deg(piece["hi"]), dxfattribs=at)
    msp.add_line(t_out, on(piece["outer"], piece["hi"]), at)
    doc.saveas(path)


def plate_drawing(path):
    """Plates in inches: rounded corners as bulges, screw holes as circles, a window as an ellipse."""
    doc, msp = new_dxf("R2004", units.IN)
    doc.layers.add("plate-long", color=4)
    doc.layers.add("plate-round", color=6)
    at = {"layer": "plate-long"}
    body = fillet([(0, 0, 0.25), (4.5, 0, 0.25), (4.5, 1.5, 0.25), (0, 1.5, 0.25)])
    msp.add_lwpolyline(body, format="xyb", close=True, dxfattribs=at)
    for x, y in ((0.3, 0.3), (4.2, 0.3), (0.3, 1.2), (4.2, 1.2)):
        msp.add_circle((x, y), 0.0625, dxfattribs=at)
    msp.add_ellipse((2.25, 0.75), major_axis=(1.25, 0), ratio=0.3, dxfattribs=at)
    at = {"layer": "plate-round"}
    msp.add_circle((2.25, -2.0), 1.0, dxfattribs=at)
    msp.add_circle((2.25, -2.0), 0.375, dxfattribs=at)
    doc.saveas(path)


def old_fin_drawing(path):
    """A small fin in the oldest dialect: R12 polylines, no unit anywhere in the file."""
    doc = ezdxf.new("R12", setup=False)
    msp = doc.modelspace()
    doc.layers.add("LEFT")
    doc.layers.add("RIGHT")
    left = fillet([(0, -3, 0), (58, -3, 0), (58, 0, 0), (34, 46, 7), (8, 46, 7), (0, 0, 0)])
    right = [(x + 70.0, y, b) for x, y, b in flip(left)]
    for layer, vertices in (("LEFT", left), ("RIGHT", right)):
        msp.add_polyline2d(vertices, format="xyb", close=True, dxfattribs={"layer": layer})
    for key in ("$INSUNITS", "$MEASUREMENT"):
        if key in doc.header:
            del doc.header[key]
    doc.saveas(path)


def swept_fin_drawing(path):
    """A curved fin: its leading edge a spline, the rest lines; the other face is an insert, mirrored."""
    doc, msp = new_dxf("R2013", units.MM)
    doc.layers.add("left", color=5)
    doc.layers.add("right", color=3)
    block = doc.blocks.new("fin")
    block.add_line((0, 0), (0, -ROOT))
    block.add_line((0, -ROOT), (96, -ROOT))
    block.add_line((96, -ROOT), (96, 0))
    block.add_open_spline([(96, 0), (88, 14), (64, 34), (30, 48), (6, 84), (-16, 88)], degree=3)
    block.add_line((-16, 88), (-30, 80))
    block.add_line((-30, 80), (0, 0))
    msp.add_blockref("fin", (0, 0), dxfattribs={"layer": "left"})
    msp.add_blockref("fin", (0, -15), dxfattribs={"layer": "right", "yscale": -1.0})
    doc.saveas(path)


PLANETS_SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="180mm" height="70mm" viewBox="0 0 180 70">
  <title>Orrery roundels</title>
  <g fill="#c9a227" stroke="none">
    <circle cx="24" cy="35" r="22"/>
    <path fill-rule="evenodd" d="M 52 35 a 26 18 0 1 0 52 0 a 26 18 0 1 0 -52 0 Z
                                 M 59 35 a 19 11 0 1 1 38 0 a 19 11 0 1 1 -38 0 Z"/>
    <circle cx="124" cy="35" r="13"/>
    <ellipse cx="158" cy="35" rx="17" ry="11"/>
  </g>
</svg>
"""

# 360 px are 95.25 mm (96 px to the inch); four user units to the px. The plate is drawn upright
# about its own middle and turned onto its side by the group.
NAME_PLATE_SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="360px" height="132px" viewBox="0 0 1440 528">
  <title>Marigold name plate</title>
  <g transform="translate(720 264) rotate(90)">
    <path fill="#e07b00" fill-rule="evenodd" d="
      M -240 -640 C -240 -676 -212 -704 -176 -704 H 176 C 212 -704 240 -676 240 -640
      V 640 C 240 676 212 704 176 704 H -176 C -212 704 -240 676 -240 640 Z
      M 0 -620 a 30 30 0 1 0 0.001 0 Z
      M 0 560 a 30 30 0 1 0 0.001 0 Z
      M -110 -420 q 110 -60 220 0 V 420 q -110 60 -220 0 Z"/>
  </g>
</svg>
"""


# --- the day --------------------------------------------------------------------------------------


class Day:
    def __init__(self):
        self.panels = []
        self.kits = []
        self.files = {}  # name of a kit file: its content

    def add(self, kit, name, copies=1, outline=None, rule=None, along=None, slack=None, **more):
        panel = {"id": f"{kit}/{name}", "kit": kit}
        if copies != 1:
            panel["copies"] = copies
        if outline is not None:
            panel["outline"] = outline
        grain = {k: v for k, v in (("along", along), ("rule", rule), ("slack", slack)) if v is not None}
        panel.update(more)
        if grain:
            panel["grain"] = grain
        self.panels.append(panel)

    def kit(self, order, file, name, parts, rule, copies=1, overlap=LAP):
        """An order by its dimensions; what `parts` do not say of trims and grain is the day's custom."""
        entry = {"id": order, "file": file}
        if copies != 1:
            entry["copies"] = copies
        self.kits.append(entry)
        head = {"format": "tuckroll-kit-1", "name": name, "unit": "mm", "seams": {"overlap": overlap}, "grain": {"rule": rule}}
        self.files[file] = {**head, "parts": parts}


def nose(profile, diameter, length, gores, **more):
    part = {"id": "nose", "kind": "nose", "profile": profile, "diameter": diameter, "length": length, "gores": gores}
    return {**part, "aft": {"trim": TRIM}, **more}


def tube(name, diameter, length, **more):
    return {"id": name, "kind": "tube", "diameter": diameter, "length": length, "aft": {"trim": TRIM}, **more}


def fins(count, planform, **more):
    return {"id": "fin", "kind": "fin", "count": count, "planform": planform, "root_allowance": ROOT, **more}


def night_heron(day):
    """98 mm class, printed all over: nothing may turn. The vented payload was drawn by the customer."""
    order, d = "A-101", 102.210
    parts = [
        nose("ogive", d, 410, 6, separates=True),
        tube("sustainer", d, 560),
        tube("booster", d, 560, seams={"front": 180}),
    ]
    day.kit(order, "night-heron.json", "Night Heron", parts, "one-way")
    round_ = math.pi * d + LAP
    vents = [circle(345.0, round_ * k / 3.0 - 50.0, 4.0) for k in (1, 2, 3)]
    day.add(order, "payload/wrap", 1, wrap(d, 390.0), "one-way", holes=vents, lines=wrap_marks(390.0, round_))
    day.add(order, "fin/left", 3, rule="one-way", file="heron-fins.dxf", layer="face-left", match="fin")
    day.add(order, "fin/right", 3, rule="one-way", file="heron-fins.dxf", layer="face-right", match="fin")
    day.add(order, "name", 1, parts=lettering("HERON", 34.0), rule="one-way", keep_clear="hull")
    porthole = ellipse(0.0, 0.0, 88.0, 56.0)[:-1]
    day.add(order, "window/frame", 1, porthole, "one-way", holes=[ellipse(0.0, 0.0, 73.0, 41.0)[:-1]], fill_holes=True)


def copper_kite(day):
    """66 mm with a boat tail down to 24.8 mm; brushed film runs both ways."""
    order, d = "A-102", 66.040
    tail = {"id": "tail", "kind": "transition", "fore_diameter": d, "aft_diameter": 24.790, "length": 50, "pieces": 1}
    parts = [
        nose("von-karman", d, 297, 4, separates=True),
        tube("upper", d, 540),
        tube("lower", d, 540),
        {**tail, "fore": {"reach": 3}, "aft": {"trim": TRIM}},
        fins(3, {"shape": "trapezoid", "root": 190, "tip": 74, "span": 118, "sweep": 92}, wrap=5),
    ]
    day.kit(order, "copper-kite.json", "Copper Kite", parts, "two-way")
    strip = [(0.0, 0.0), (12.0, 0.0), (12.0, 208.0), (6.0, 214.0), (0.0, 208.0)]
    day.add(order, "trim/band", 2, strip, "two-way", along=90, slack=4)


def small_thunder(day):
    d = 24.790
    parts = [nose("elliptical", d, 75, 4), tube("body", d, 260), fins(3, {"shape": "elliptical", "root": 72, "span": 58})]
    day.kit("A-103", "small-thunder.json", "Small Thunder", parts, "two-way", overlap=4)


def marigold(day):
    """The customer drew tail, fins and name plate."""
    order, d = "A-104", 41.580
    day.kit(order, "marigold.json", "Marigold", [nose("lv-haack", d, 205, 4), tube("body", d, 400)], "one-way")
    day.add(order, "boat-tail/sector", 1, rule="one-way", file="marigold-boat-tail.dxf", layer="sector")
    day.add(order, "fin/left", 3, rule="one-way", file="marigold-fins.dxf", layer="left", match="fin")
    day.add(order, "fin/right", 3, rule="one-way", file="marigold-fins.dxf", layer="right", match="fin")
    day.add(order, "plate", 1, rule="one-way", file="marigold-plate.svg")


def paper_moon(day):
    """A club's order: the same kit twice, plain white film that only has a feed direction. The fins are
    plates from an old drawing that says no unit."""
    d = 33.655
    face = {"kind": "plate", "file": "moon-fins.dxf", "file_unit": "mm", "copies": 3}
    parts = [
        nose({"shape": "parabolic", "k": 0.75}, d, 128, 3),
        tube("body", d, 250),
        {"id": "fin-left", **face, "layer": "LEFT"},
        {"id": "fin-right", **face, "layer": "RIGHT"},
    ]
    day.kit("A-105", "paper-moon.json", "Paper Moon", parts, "two-way", copies=2, overlap=5)


def long_winter(day):
    """75 mm class; the booster's wrap ends at a slanted joint."""
    order, d = "A-106", 79.375
    parts = [
        nose("ogive", d, 320, 5, separates=True),
        tube("payload", d, 430),
        tube("booster", d, 612, fore={"cut": {"angle": 35, "toward": 180}}),
        fins(3, {"shape": "trapezoid", "root": 250, "tip": 92, "span": 142, "sweep": 150}),
    ]
    day.kit(order, "long-winter.json", "Long Winter", parts, "one-way")
    day.add(order, "name", 1, parts=lettering("WINTER", 40.0), rule="one-way")


def tin_whistle(day):
    """Unprinted film without a grain: quarter turns, and the faces may be mirrored."""
    kit, d = "A-107", 18.694
    day.add(kit, "nose/sector", 1, sector(0.0, d, 62.0, blunt=5.0)["outline"], "quarter", mirror=True)
    day.add(kit, "body/wrap", 1, wrap(d, 240.0), "quarter", mirror=True)
    day.add(kit, "fin/face", 4, trapezoid(48.0, 20.0, 40.0, 34.0, 3.0), "quarter", mirror=True)
    tongue = [(0.0, 0.0), (52.0, 0.0)] + arc(52.0, 7.0, 7.0, -0.5 * math.pi, 0.5 * math.pi)[1:] + [(0.0, 14.0), (6.0, 7.0)]
    day.add(kit, "trim/pennant", 2, tongue, "quarter", mirror=True)


def orrery(day):
    order, d = "A-108", 56.312
    parts = [nose({"shape": "power", "n": 0.5}, d, 150, 5), tube("body", d, 440)]
    day.kit(order, "orrery.json", "Orrery", parts, "two-way", overlap=5)
    day.add(order, "plate/long", 1, rule="quarter", file="orrery-plates.dxf", layer="plate-long", fill_holes=True)
    day.add(order, "plate/round", 1, rule="free", file="orrery-plates.dxf", layer="plate-round")
    day.add(order, "planet", 1, rule="free", file="orrery-planets.svg", all=True)


def stock(day):
    """Cut only where it costs no film."""
    kit = "stock"
    square = [(0.0, 0.0), (40.0, 0.0), (40.0, 40.0), (0.0, 40.0)]
    day.add(kit, "test-square", 2, square, "quarter", holes=[[(8.0, 8.0), (32.0, 8.0), (20.0, 30.0)]], optional=True)
    day.add(kit, "roundel", 2, circle(0.0, 0.0, 14.0), "free", optional=True)
    star = [(r * math.cos(math.pi * k / 5), r * math.sin(math.pi * k / 5)) for k, r in enumerate([24.0, 10.5] * 5)]
    day.add(kit, "star", 1, star, "free", optional=True)


ORDERS = [night_heron, copper_kite, small_thunder, marigold, paper_moon, long_winter, tin_whistle, orrery, stock]


# Invented, as all of the demo: what this shop asks for.
RATES = {
    "currency": "EUR",
    "waste": "area",
    "ink": {"amount": "2.80", "per": "m2"},
    "laminate": {"amount": "3.15", "per": "m2"},
    "labour": {"per_hour": "38.00", "minutes_per_job": 20, "minutes_per_kit": 6, "minutes_per_panel": 0.5},
}


def day_job():
    """The job, and its kit files by name."""
    day = Day()
    for order in ORDERS:
        order(day)
    job = {
        "format": "tuckroll-job-1",
        "name": "Demo day",
        "source": "invented for this project; written by scripts/make_demo.py",
        "unit": "mm",
        "roll": {
            "width": 610,
            "edge_margin": [8, 8],
            "lead_margin": 20,
            "tail_margin": 15,
            "flaws": [[(1840.0, 236.0), (1892.0, 228.0), (1915.0, 251.0), (1880.0, 274.0), (1846.0, 262.0)]],
            "price": {"amount": "4.35", "per": "m"},
        },
        "rates": RATES,
        "keep": {"length": 200, "width": 120},
        "gap": 3,
        "kits": day.kits,
        "panels": day.panels,
        "notes": {"orders": "A-101 Night Heron, A-102 Copper Kite, A-103 Small Thunder, A-104 Marigold, "
                  "A-105 Paper Moon (two), A-106 Long Winter, A-107 Tin Whistle, A-108 Orrery"},
    }  # fmt: skip
    return job, day.files


# --- writing: numbers to a micrometre, one panel key a line ----------------------------------------


def number(v):
    if isinstance(v, int):
        return str(v)
    v = round(v, 3) + 0.0
    return str(int(v)) if v == int(v) else repr(v)


def text(value):
    if isinstance(value, bool) or isinstance(value, str):
        return json.dumps(value)
    if isinstance(value, (int, float)):
        return number(value)
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(text(v) for v in value) + "]"
    return "{" + ", ".join(f"{json.dumps(k)}: {text(v)}" for k, v in value.items()) + "}"


def job_text(job):
    """The job as JSON that a person can read: scalars of a panel on one line, geometry below."""
    out = ["{"]
    for key, value in job.items():
        if key not in ("panels", "kits"):
            out.append(f" {json.dumps(key)}: {text(value)},")
            continue
        out.append(f" {json.dumps(key)}: [")
        for i, entry in enumerate(value):
            big = [k for k in ("outline", "holes", "parts", "lines") if k in entry]
            head = ", ".join(f"{json.dumps(k)}: {text(v)}" for k, v in entry.items() if k not in big)
            body = "".join(f",\n   {json.dumps(k)}: {text(entry[k])}" for k in big)
            out.append(f"  {{{head}{body}}}" + ("," if i + 1 < len(value) else ""))
        out.append(" ],")
    out[-1] = out[-1].rstrip(",")
    out.append("}")
    return "\n".join(out) + "\n"


def kit_text(kit):
    """A kit file with a line for each part."""
    head = [f"  {json.dumps(k)}: {text(v)}," for k, v in kit.items() if k != "parts"]
    parts = ",\n".join(f"    {text(part)}" for part in kit["parts"])
    return "\n".join(["{", *head, '  "parts": [', parts, "  ]", "}"]) + "\n"


def self_check():
    """The formulas against published values."""

    piece = sector(5.0, 8.0, 4.0)
    checks = [
        ("frustum 5, 8, 4 in, inner radius", piece["inner"], 7.12, 1e-3, "sheet-metal exercise"),
        ("frustum 5, 8, 4 in, outer radius", piece["outer"], 11.39, 3e-3, "sheet-metal exercise"),
        ("frustum 5, 8, 4 in, angle", math.degrees(piece["hi"] - piece["lo"]), 126.4, 5e-3, "sheet-metal exercise"),
    ]
    wrong = 0
    for name, got, value, tol, source in checks:
        ok = abs(got - value) <= tol
        wrong += not ok
        print(f"{'ok ' if ok else 'BAD'} {name:32} {got:12.6f}  {value:10.4f}  {source}")
    return 1 if wrong else 0


def with_fixed_hashes():
    """Starts again with a fixed hash seed: ezdxf lists a drawing's classes in the order of a set."""
    if os.environ.get("PYTHONHASHSEED") != "0":
        os.execve(sys.executable, [sys.executable, *sys.argv], {**os.environ, "PYTHONHASHSEED": "0"})


def main():
    if sys.argv[1:] == ["--self-check"]:
        return self_check()
    with_fixed_hashes()
    folder = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else pathlib.Path(__file__).parent.parent / "fixtures/demo")
    folder.mkdir(parents=True, exist_ok=True)
    ezdxf.options.write_fixed_meta_data_for_testing = True
    fin_drawing(folder / "heron-fins.dxf")
    boat_tail_drawing(folder / "marigold-boat-tail.dxf", sector(41.580, 24.790, 46.0))
    plate_drawing(folder / "orrery-plates.dxf")
    old_fin_drawing(folder / "moon-fins.dxf")
    swept_fin_drawing(folder / "marigold-fins.dxf")
    (folder / "orrery-planets.svg").write_text(PLANETS_SVG)
    (folder / "marigold-plate.svg").write_text(NAME_PLATE_SVG)
    job, kits = day_job()
    (folder / "day.json").write_text(job_text(job))
    for name, kit in kits.items():
        (folder / name).write_text(kit_text(kit))
    print(f"{folder}: {len(job['panels'])} panels drawn, {len(job['kits'])} kits")


if __name__ == "__main__":
    sys.exit(main())
