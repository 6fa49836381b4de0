#!/usr/bin/env python3
"""Draws the demo day: fixtures/demo/day.json and the drawings it names.

    pip install ezdxf
    python3 scripts/make_demo.py [FOLDER]        (default fixtures/demo)
    python3 scripts/make_demo.py --self-check    the formulas against published values

A small shop's day, invented here: eight orders and some stock on one 610 mm roll. The same
run gives the same bytes: coordinates are rounded, and ezdxf is told to write fixed dates.

Formulas: nose profiles after G. A. Crowell, The Descriptive Geometry of Nose Cones (1996);
gores along the meridian with half width pi r / n (Upson, Free and Captive Balloons, 1926, has
the rule); cone and frustum sectors with angle 360 r / slant (Longfield, Sheet Metal Drafting,
1921); slanted tube ends y = R tan(a) cos(x / R). Tube diameters: D. Cook, Body Tube Data
Tables, and the 75 and 98 mm classes of composite tubes. Laps, allowances, gaps and margins
are common practice, no source.

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
BASE = 4.0  # trim allowance at the base of a nose
ROOT = 4.0  # fin film that folds onto the body
TIP = 1.6  # half width of a blunted gore tip: film narrower than 2 mm does not hold
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


# --- nose profiles: (x from the tip, radius) over a parameter that tames the tip ------------


def tangent_ogive(radius, length):
    rho = (radius**2 + length**2) / (2.0 * radius)
    start = math.acos((rho - radius) / rho)
    return lambda u: (length - rho * math.sin(start * (1.0 - u)), rho * math.cos(start * (1.0 - u)) + radius - rho)


def haack(radius, length, c):
    def at(u):
        th = math.pi * u
        return (
            0.5 * length * (1.0 - math.cos(th)),
            radius / math.sqrt(math.pi) * math.sqrt(max(0.0, th - 0.5 * math.sin(2.0 * th) + c * math.sin(th) ** 3)),
        )

    return at


def elliptical(radius, length):
    return lambda u: (length * (1.0 - math.cos(0.5 * math.pi * u)), radius * math.sin(0.5 * math.pi * u))


def parabolic(radius, length, k):
    return lambda u: (length * u, radius * (2.0 * u - k * u * u) / (2.0 - k))


def power(radius, length, n):
    return lambda u: (length * u ** (1.0 / n), radius * u)


def meridian(profile, steps=4000):
    """(arc length from the base, radius) from base to tip."""
    pts = [profile(i / steps) for i in range(steps, -1, -1)]
    s, out = 0.0, []
    for i, (x, r) in enumerate(pts):
        if i:
            s += math.hypot(x - pts[i - 1][0], r - pts[i - 1][1])
        out.append((s, r))
    return out


def gore(profile, n, lap=LAP):
    """One of n gores: lap on the upper edge, seam line on the lower, tip blunted, base allowance.

    Returns (outline, lines)."""
    run = meridian(profile)
    half = [(s, math.pi * r / n) for s, r in run]
    body = [(s, h) for s, h in half if h >= TIP]
    end = body[-1][0]
    taper = 10.0 * lap  # the lap narrows to nothing over this length before the tip

    def lapped(s):
        t = min(1.0, (end - s) / taper)
        return lap * t * (2.0 - t)

    upper = thin([(s, h + lapped(s)) for s, h in body])
    lower = thin([(s, -h) for s, h in body])
    w = body[0][1]
    outline = [(-BASE, -w)] + lower + upper[::-1] + [(-BASE, w + lap)]
    lines = [{"role": "print", "points": [(-BASE, 0.0), (0.0, 0.0)]}]
    for part in (0.25, 0.5, 0.75):
        s, h = min(body, key=lambda p: abs(p[0] - part * end))
        lines.append({"role": "print", "points": [(s, h), (s, h + 0.8 * lapped(s))]})
    return outline, lines


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


def wrap(diameter, length, lap=LAP, slant_degrees=0.0):
    """Tube wrap, length along x, circumference plus lap across; its fore end may be slanted."""
    round_, r = math.pi * diameter, 0.5 * diameter
    if slant_degrees == 0:
        return [(0.0, 0.0), (length, 0.0), (length, round_ + lap), (0.0, round_ + lap)]
    high = r * math.tan(math.radians(slant_degrees))
    n = 400
    edge = [((round_ + lap) * i / n) for i in range(n + 1)]
    fore = thin([(length + high * (math.cos(y / r) - 1.0), y) for y in edge])
    return [(0.0, 0.0)] + fore + [(0.0, round_ + lap)]


def wrap_marks(length, width, lap=LAP):
    """Front centre, an up arrow in the trim, and seam ticks within the lap."""
    y = 0.5 * (width - lap)
    marks = [{"role": "draw", "points": [(0.0, y), (5.0, y)]}, {"role": "draw", "points": [(length - 5.0, y), (length, y)]}]
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


def half_ellipse(root, span, allowance=ROOT):
    top = ellipse(0.5 * root, 0.0, 0.5 * root, span, 0.0, math.pi)
    return [(0.0, -allowance), (root, -allowance)] + top


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


def night_heron(day):
    """98 mm class, printed all over: nothing may turn."""
    kit, d = "A-101", 102.210
    outline, lines = gore(tangent_ogive(0.5 * d, 410.0), 6)
    day.add(kit, "nose/gore", 6, outline, "one-way", lines=lines, match="nose")
    round_ = math.pi * d + LAP
    vents = [circle(345.0, round_ * k / 3.0 - 50.0, 4.0) for k in (1, 2, 3)]
    day.add(kit, "payload/wrap", 1, wrap(d, 390.0), "one-way", holes=vents, lines=wrap_marks(390.0, round_), match="wrap")
    day.add(kit, "booster/wrap", 2, wrap(d, 560.0), "one-way", lines=wrap_marks(560.0, round_), match="wrap")
    day.add(kit, "fin/left", 3, rule="one-way", file="heron-fins.dxf", layer="face-left", match="fin")
    day.add(kit, "fin/right", 3, rule="one-way", file="heron-fins.dxf", layer="face-right", match="fin")
    day.add(kit, "name", 1, parts=lettering("HERON", 34.0), rule="one-way", keep_clear="hull")
    porthole = ellipse(0.0, 0.0, 88.0, 56.0)[:-1]
    day.add(kit, "window/frame", 1, porthole, "one-way", holes=[ellipse(0.0, 0.0, 73.0, 41.0)[:-1]], fill_holes=True)


def copper_kite(day):
    """66 mm with a transition down to 24.8 mm; brushed film runs both ways."""
    kit, d = "A-102", 66.040
    outline, lines = gore(haack(0.5 * d, 297.0, 0.0), 4)
    day.add(kit, "nose/gore", 4, outline, "two-way", lines=lines, match="nose")
    day.add(kit, "body/wrap", 2, wrap(d, 540.0), "two-way", lines=wrap_marks(540.0, math.pi * d + LAP), match="wrap")
    day.add(kit, "shoulder/sector", 1, sector(24.790, d, 50.0)["outline"], "two-way", match="wrap")
    left = trapezoid(190.0, 74.0, 118.0, 92.0)
    day.add(kit, "fin/left", 3, left, "two-way", match="fin")
    day.add(kit, "fin/right", 3, flip(left), "two-way", match="fin")
    strip = [(0.0, 0.0), (12.0, 0.0), (12.0, 208.0), (6.0, 214.0), (0.0, 208.0)]
    day.add(kit, "trim/band", 2, strip, "two-way", along=90, slack=4)


def small_thunder(day):
    kit, d = "A-103", 24.790
    outline, lines = gore(elliptical(0.5 * d, 75.0), 4, 4.0)
    day.add(kit, "nose/gore", 4, outline, "two-way", lines=lines, match="nose")
    day.add(kit, "body/wrap", 1, wrap(d, 260.0), "two-way", lines=wrap_marks(260.0, math.pi * d + LAP), match="wrap")
    left = half_ellipse(72.0, 58.0)
    day.add(kit, "fin/left", 3, left, "two-way")
    day.add(kit, "fin/right", 3, flip(left), "two-way")


def marigold(day):
    kit, d = "A-104", 41.580
    outline, lines = gore(haack(0.5 * d, 205.0, 1.0 / 3.0), 4)
    day.add(kit, "nose/gore", 4, outline, "one-way", lines=lines, match="nose")
    day.add(kit, "body/wrap", 1, wrap(d, 400.0), "one-way", lines=wrap_marks(400.0, math.pi * d + LAP), match="wrap")
    day.add(kit, "boat-tail/sector", 1, rule="one-way", file="marigold-boat-tail.dxf", layer="sector", match="wrap")
    day.add(kit, "fin/left", 3, rule="one-way", file="marigold-fins.dxf", layer="left", match="fin")
    day.add(kit, "fin/right", 3, rule="one-way", file="marigold-fins.dxf", layer="right", match="fin")
    day.add(kit, "plate", 1, rule="one-way", file="marigold-plate.svg")


def paper_moon(day):
    """A club's order: the same kit twice, plain white film that only has a feed direction."""
    d = 33.655
    outline, lines = gore(parabolic(0.5 * d, 128.0, 0.75), 3, 5.0)
    for kit in ("A-105.1", "A-105.2"):
        day.add(kit, "nose/gore", 3, outline, "two-way", lines=lines, match="nose")
        day.add(kit, "body/wrap", 1, wrap(d, 250.0), "two-way", lines=wrap_marks(250.0, math.pi * d + LAP), match="wrap")
        day.add(kit, "fin/left", 3, rule="two-way", file="moon-fins.dxf", layer="LEFT", file_unit="mm")
        day.add(kit, "fin/right", 3, rule="two-way", file="moon-fins.dxf", layer="RIGHT", file_unit="mm")


def long_winter(day):
    """75 mm class; the booster's wrap ends at a slanted joint."""
    kit, d = "A-106", 79.375
    outline, lines = gore(tangent_ogive(0.5 * d, 320.0), 5)
    day.add(kit, "nose/gore", 5, outline, "one-way", lines=lines, match="nose")
    round_ = math.pi * d + LAP
    day.add(kit, "payload/wrap", 1, wrap(d, 430.0), "one-way", lines=wrap_marks(430.0, round_), match="wrap")
    slanted = wrap(d, 640.0, slant_degrees=35.0)
    day.add(kit, "booster/wrap", 1, slanted, "one-way", lines=wrap_marks(640.0, round_)[:1], match="wrap")
    left = trapezoid(250.0, 92.0, 142.0, 150.0)
    day.add(kit, "fin/left", 3, left, "one-way", match="fin")
    day.add(kit, "fin/right", 3, flip(left), "one-way", match="fin")
    day.add(kit, "name", 1, parts=lettering("WINTER", 40.0), rule="one-way")


def tin_whistle(day):
    """Unprinted film without a grain: quarter turns, and the faces may be mirrored."""
    kit, d = "A-107", 18.694
    day.add(kit, "nose/sector", 1, sector(0.0, d, 62.0, blunt=5.0)["outline"], "quarter", mirror=True)
    day.add(kit, "body/wrap", 1, wrap(d, 240.0), "quarter", mirror=True)
    day.add(kit, "fin/face", 4, trapezoid(48.0, 20.0, 40.0, 34.0, 3.0), "quarter", mirror=True)
    tongue = [(0.0, 0.0), (52.0, 0.0)] + arc(52.0, 7.0, 7.0, -0.5 * math.pi, 0.5 * math.pi)[1:] + [(0.0, 14.0), (6.0, 7.0)]
    day.add(kit, "trim/pennant", 2, tongue, "quarter", mirror=True)


def orrery(day):
    kit, d = "A-108", 56.312
    outline, lines = gore(power(0.5 * d, 150.0, 0.5), 5, 5.0)
    day.add(kit, "nose/gore", 5, outline, "two-way", lines=lines, match="nose")
    day.add(kit, "body/wrap", 1, wrap(d, 440.0), "two-way", lines=wrap_marks(440.0, math.pi * d + LAP), match="wrap")
    day.add(kit, "plate/long", 1, rule="quarter", file="orrery-plates.dxf", layer="plate-long", fill_holes=True)
    day.add(kit, "plate/round", 1, rule="free", file="orrery-plates.dxf", layer="plate-round")
    day.add(kit, "planet", 1, rule="free", file="orrery-planets.svg", all=True)


def stock(day):
    """Cut only where it costs no film."""
    kit = "stock"
    square = [(0.0, 0.0), (40.0, 0.0), (40.0, 40.0), (0.0, 40.0)]
    day.add(kit, "test-square", 2, square, "quarter", holes=[[(8.0, 8.0), (32.0, 8.0), (20.0, 30.0)]], optional=True)
    day.add(kit, "roundel", 2, circle(0.0, 0.0, 14.0), "free", optional=True)
    star = [(r * math.cos(math.pi * k / 5), r * math.sin(math.pi * k / 5)) for k, r in enumerate([24.0, 10.5] * 5)]
    day.add(kit, "star", 1, star, "free", optional=True)


ORDERS = [night_heron, copper_kite, small_thunder, marigold, paper_moon, long_winter, tin_whistle, orrery, stock]


def day_job():
    day = Day()
    for order in ORDERS:
        order(day)
    return {
        "format": "tuckroll-job-1",
        "name": "Demo day",
        "source": "invented for this project; drawn by scripts/make_demo.py",
        "unit": "mm",
        "roll": {
            "width": 610,
            "edge_margin": [8, 8],
            "lead_margin": 20,
            "tail_margin": 15,
            "flaws": [[(1840.0, 236.0), (1892.0, 228.0), (1915.0, 251.0), (1880.0, 274.0), (1846.0, 262.0)]],
        },
        "gap": 3,
        "panels": day.panels,
        "notes": {"orders": "A-101 Night Heron, A-102 Copper Kite, A-103 Small Thunder, A-104 Marigold, "
                  "A-105 Paper Moon (two), A-106 Long Winter, A-107 Tin Whistle, A-108 Orrery"},
    }  # fmt: skip


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
        if key != "panels":
            out.append(f" {json.dumps(key)}: {text(value)},")
            continue
        out.append(' "panels": [')
        for i, panel in enumerate(value):
            big = [k for k in ("outline", "holes", "parts", "lines") if k in panel]
            head = ", ".join(f"{json.dumps(k)}: {text(v)}" for k, v in panel.items() if k not in big)
            body = "".join(f",\n   {json.dumps(k)}: {text(panel[k])}" for k in big)
            out.append(f"  {{{head}{body}}}" + ("," if i + 1 < len(value) else ""))
        out.append(" ],")
    out[-1] = out[-1].rstrip(",")
    out.append("}")
    return "\n".join(out) + "\n"


def self_check():
    """The formulas against published values."""

    def gore_areas(profile, n):
        run = meridian(profile, 20000)
        return n * sum((b[0] - a[0]) * math.pi * (a[1] + b[1]) / n for a, b in zip(run, run[1:]))

    hoult = tangent_ogive(3.0, 30.0)
    piece = sector(5.0, 8.0, 4.0)
    upright = haack(1.0, 1.0, 0.0)
    volume = lambda at, n=20000: sum(
        math.pi * (at((k + 1) / n)[0] - at(k / n)[0]) * at((k + 0.5) / n)[1] ** 2 for k in range(n)
    )
    area = lambda p: 0.5 * abs(sum(p[i - 1][0] * p[i][1] - p[i][0] * p[i - 1][1] for i in range(len(p))))
    span = lambda p: max(x for x, _ in p[1:-1]) - min(x for x, _ in p[1:-1])
    slanted = wrap(200.0, 300.0, 0.0, 45.0)
    checks = [
        ("ogive 3 x 30 in, surface", gore_areas(hoult, 5), 379.2477, 1e-3, "Hoult, Ogive Nose, 2011"),
        ("ogive 3 x 30 in, meridian", meridian(hoult)[-1][0], 30.199602, 1e-5, "rho asin(L / rho), as there"),
        ("half prolate spheroid 1 x 2", gore_areas(elliptical(1.0, 2.0), 4), 10.739218, 1e-5, "CRC Concise Encyclopedia"),
        ("von Karman, volume / cylinder", volume(upright) / math.pi, 0.5, 1e-6, "Haack: exactly 1/2"),
        ("LV-Haack, volume / cylinder", volume(haack(1.0, 1.0, 1 / 3)) / math.pi, 0.5625, 1e-6, "Haack: exactly 9/16"),
        ("paraboloid 2 x 4, surface", gore_areas(power(2.0, 4.0, 0.5), 6), 36.17690, 1e-4, "pi/6 (17 sqrt 17 - 1)"),
        ("parabolic K = 3/4, mid radius", parabolic(1.0, 1.0, 0.75)(0.5)[1], 0.65, 1e-9, "closed form"),
        ("frustum 5, 8, 4 in, inner radius", piece["inner"], 7.12, 1e-3, "sheet-metal exercise"),
        ("frustum 5, 8, 4 in, outer radius", piece["outer"], 11.39, 3e-3, "sheet-metal exercise"),
        ("frustum 5, 8, 4 in, angle", math.degrees(piece["hi"] - piece["lo"]), 126.4, 5e-3, "sheet-metal exercise"),
        ("slanted end, D 200 at 45 degrees", span(slanted), 200.0, 1e-9, "y = 100 cos(x / 100), Math Central"),
        ("the same, area / circumference", area(slanted) / (200.0 * math.pi), 200.0, 1e-2, "mean of a cosine is 0"),
    ]  # fmt: skip
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
    job = day_job()
    (folder / "day.json").write_text(job_text(job))
    copies = sum(p.get("copies", 1) for p in job["panels"]) + 3  # the planets are four
    print(f"{folder}/day.json: {len(job['panels'])} entries, {copies} copies")


if __name__ == "__main__":
    sys.exit(main())
