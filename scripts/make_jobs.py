#!/usr/bin/env python3
"""Writes jobs for benches and for trying the search on what it has not seen.

    python3 scripts/make_jobs.py                       every family to out/jobs
    python3 scripts/make_jobs.py gores days --seed 7   some of them, random ones from seed 7
    python3 scripts/make_jobs.py -o DIR puzzles

Families:
  gores     100 copies of one convex gore of 90 x 400 mm and of one lens, one-way and two-way, on 610,
            1220 and 1500 mm rolls; scripts/lattice_limit.py tells their endless limits
  days      the demo's orders repeated with different kit counts: 250 to 10000 panels
  twin      the reference instance gardeyn1_c held to quarter turns (from $TUCKROLL_SHARED/benchmarks)
  puzzles   packings whose optimum or limit is known: squared square (Duijvestijn 1978), Moron's
            rectangle (1925), twelve pentominoes in widths 3 to 6, tangram, pentagons and heptagons
  jigsaws   random cuts of a rectangle, straight or right-angled: the optimum is the rectangle
  blobs     random star-shaped polygons, quarter turns
  garments  random smooth panels with notches and curves, two-way

Standard library only. The same family, seed and version of Python give the same bytes.
"""
import argparse
import json
import math
import os
import pathlib
import random
import shutil

HERE = pathlib.Path(__file__).resolve().parent.parent
SHARED = pathlib.Path(os.environ.get("TUCKROLL_SHARED", HERE.parent / "shared"))
DEMO = HERE / "fixtures/demo/day.json"
DAYS = [250, 500, 1000, 2000, 4000, 10000]


def job(name, source, width, panels, gap=0.0, optimum=None):
    out = {"format": "tuckroll-job-1", "name": name, "source": source, "unit": "mm", "roll": {"width": width}, "gap": gap}
    out["panels"] = panels
    if optimum is not None:
        out["notes"] = {"optimum_length": optimum}
    return out


def panel(name, outline, rule, copies=1, **more):
    return {"id": name, "copies": copies, "outline": outline, "grain": {"rule": rule}, **more}


def rounded(points, digits=6):
    return [[round(x, digits) + 0.0, round(y, digits) + 0.0] for x, y in points]


# --- gores -----------------------------------------------------------------------------------------


def gore_outline(length=400.0, width=90.0, n=24):
    """A gore of a tangent ogive: straight base, convex sides, tip blunted to 3 mm. Convex."""
    r = 0.5 * width
    rho = (r * r + length * length) / (2.0 * r)
    half = lambda x: math.sqrt(rho * rho - x * x) + r - rho  # x from the base
    end = math.sqrt(rho * rho - (1.5 + rho - r) ** 2)
    side = [(end * k / n, half(end * k / n)) for k in range(n + 1)]
    return rounded([(x, -y) for x, y in side] + side[::-1])


def lens_outline(length=400.0, width=90.0, n=24):
    """Two equal arcs that meet at the ends. Convex, and unchanged by half a turn."""
    r = (0.25 * length**2 + 0.25 * width**2) / width
    a = math.asin(0.5 * length / r)
    arc = [(r * math.sin(a * (2 * k / n - 1)), r * math.cos(a * (2 * k / n - 1)) - r + 0.5 * width) for k in range(n + 1)]
    return rounded([(x, -y) for x, y in arc] + arc[-2:0:-1])


def gores(_rng):
    for shape, outline in (("gore", gore_outline()), ("lens", lens_outline())):
        for rule in ("one-way", "two-way"):
            for width in (610, 1220, 1500):
                yield job(f"{shape}-{rule}-{width}", "100 equal gores", width, [panel(shape, outline, rule, 100)])


# --- repeated days -----------------------------------------------------------------------------------


def copies_of(p):
    # The one drawing that is taken whole holds four outlines.
    return p.get("copies", 1) * (4 if p.get("all") else 1)


def kit_size(file):
    """Panels of one copy of a demo kit; its counts are all written out."""
    parts = json.loads((DEMO.parent / file).read_text())["parts"]
    count = {"nose": lambda p: p["gores"], "tube": lambda p: 1, "transition": lambda p: p["pieces"],
             "fin": lambda p: 2 * p["count"], "plate": lambda p: p.get("copies", 1)}  # fmt: skip
    return sum(count[p["kind"]](p) for p in parts)


def days(rng):
    """Orders drawn at random, small ones oftener, until the number of panels is just reached."""
    day = json.loads(DEMO.read_text())
    files = {k["id"]: k["file"] for k in day["kits"]}
    drawn = {}
    for p in day["panels"]:
        if not p.get("optional"):
            drawn.setdefault(p["kit"], []).append(p)
    names = sorted(files.keys() | drawn.keys())
    size = {k: sum(map(copies_of, drawn.get(k, []))) + (kit_size(files[k]) if k in files else 0) for k in names}
    for wanted in DAYS:
        weights = [rng.uniform(0.4, 1.6) / size[k] for k in names]
        panels, kits, total, number = [], [], 0, 0
        while total < wanted:
            kit = rng.choices(names, weights)[0]
            number += 1
            if kit in files:
                kits.append({"id": f"{kit}.{number}", "file": files[kit]})
            for p in drawn.get(kit, []):
                q = dict(p, kit=f"{kit}.{number}")
                q["id"] = q["kit"] + "/" + p["id"].split("/", 1)[1]
                panels.append(q)
            total += size[kit]
        source = f"the demo day's orders, {number} of them, {total} panels"
        out = dict(day, name=f"days-{wanted}", source=source, kits=kits, panels=panels)
        out["roll"] = {k: v for k, v in day["roll"].items() if k != "flaws"}
        yield out


def twin(_rng):
    path = SHARED / "benchmarks/gardeyn1_c.json"
    if not path.is_file():
        print(f"skipped twin: no {path} (set TUCKROLL_SHARED)")
        return
    out = json.loads(path.read_text())
    out["name"] = "gardeyn1_c-quarter"
    for p in out["panels"]:
        p["grain"]["rule"] = "quarter"
    yield out


# --- puzzles -------------------------------------------------------------------------------------------

DUIJVESTIJN = [2, 4, 6, 7, 8, 9, 11, 15, 16, 17, 18, 19, 24, 25, 27, 29, 33, 35, 37, 42, 50]
MORON = [18, 15, 14, 10, 9, 8, 7, 4, 1]
# Cells (column, row) of the twelve pentominoes, by their usual letters.
PENTOMINOES = {
    "F": "10 20 01 11 12", "I": "00 10 20 30 40", "L": "00 10 20 30 01", "N": "00 10 11 21 31", "P": "00 10 01 11 02",
    "T": "00 10 20 11 12", "U": "00 20 01 11 21", "V": "00 10 20 01 02", "W": "00 10 11 21 22", "X": "10 01 11 21 12",
    "Y": "00 10 20 30 11", "Z": "00 10 11 12 22",
}  # fmt: skip
TANGRAM = [
    ("large-1", [(0, 0), (4, 0), (2, 2)]), ("large-2", [(0, 0), (4, 0), (2, 2)]), ("medium", [(0, 0), (2, 0), (0, 2)]),
    ("small-1", [(0, 0), (2, 0), (1, 1)]), ("small-2", [(0, 0), (2, 0), (1, 1)]),
    ("square", [(1, 0), (2, 1), (1, 2), (0, 1)]), ("rhomboid", [(0, 0), (2, 0), (3, 1), (1, 1)]),
]  # fmt: skip


def cells_outline(cells):
    """The contour of a set of unit cells without holes, counter-clockwise, straight runs joined."""
    sides = {}
    for x, y in cells:
        for a, b, over in (((x, y), (x + 1, y), (x, y - 1)), ((x + 1, y), (x + 1, y + 1), (x + 1, y)),
                           ((x + 1, y + 1), (x, y + 1), (x, y + 1)), ((x, y + 1), (x, y), (x - 1, y))):  # fmt: skip
            if over not in cells:
                sides[a] = b
    ring = [min(sides)]
    while sides[ring[-1]] != ring[0]:
        ring.append(sides[ring[-1]])
    n = len(ring)
    straight = lambda a, b, c: (b[0] - a[0]) * (c[1] - b[1]) == (b[1] - a[1]) * (c[0] - b[0])
    return [list(map(float, ring[i])) for i in range(n) if not straight(ring[i - 1], ring[i], ring[(i + 1) % n])]


def square(side, rule):
    s = float(side)
    return panel(f"square-{side}", [[0.0, 0.0], [s, 0.0], [s, s], [0.0, s]], rule)


def puzzles(_rng):
    yield job("squared-square", "Duijvestijn 1978", 112, [square(s, "one-way") for s in DUIJVESTIJN], optimum=112)
    for width, length in ((32, 33), (33, 32)):
        yield job(f"moron-{width}", "Moron 1925", width, [square(s, "one-way") for s in MORON], optimum=length)
    for width, length in ((3, 20), (4, 15), (5, 12), (6, 10)):
        pieces = []
        for name, code in PENTOMINOES.items():
            cells = {(int(c[0]), int(c[1])) for c in code.split()}
            pieces.append(panel(name, cells_outline(cells), "quarter", mirror=True))
        yield job(f"pentominoes-{width}", "the twelve pentominoes", width, pieces, optimum=length)
    # The square of side 4 cut on its grid: the medium triangle and the rest lie at multiples of 45 degrees.
    root = 2.0 * math.sqrt(2.0)
    tans = [panel(n, [list(map(float, p)) for p in o], "free", mirror=True) for n, o in TANGRAM]
    yield job("tangram", "seven pieces of one square, area 16", 4.0, tans, optimum=4)
    yield job("tangram-narrow", "the same on a strip of half the diagonal: two squares of area 8", root, tans, optimum=2 * root)
    for n in (5, 7):
        ring = rounded([(10 * math.cos(2 * math.pi * k / n), 10 * math.sin(2 * math.pi * k / n)) for k in range(n)], 9)
        name = {5: "pentagons", 7: "heptagons"}[n]
        yield job(name, "equal regular polygons", 200, [panel(name[:-1], ring, "free", 60)])


# --- random families -------------------------------------------------------------------------------------


def cut_convex(poly, rng):
    """Cuts a convex polygon by a line through points of two of its sides, well apart."""
    n = len(poly)
    i = max(range(n), key=lambda k: math.dist(poly[k], poly[(k + 1) % n]))
    j = (i + rng.randint(1, n - 1)) % n
    i, j = min(i, j), max(i, j)
    at = lambda k, t: [round(a + t * (b - a), 6) for a, b in zip(poly[k], poly[(k + 1) % n])]
    p, q = at(i, rng.uniform(0.3, 0.7)), at(j, rng.uniform(0.3, 0.7))
    return [p] + poly[i + 1 : j + 1] + [q], poly[: i + 1] + [p, q] + poly[j + 1 :]


def cut_right(poly, rng):
    """Cuts a rectangle in two at a whole number."""
    xs, ys = sorted({p[0] for p in poly}), sorted({p[1] for p in poly})
    k = 0 if xs[1] - xs[0] > ys[1] - ys[0] else 1
    lo, hi = (xs, ys)[k]
    c = float(round(rng.uniform(lo + 0.25 * (hi - lo), hi - 0.25 * (hi - lo))))
    part = lambda a, b: rectangle(*((a, ys[0], b, ys[1]) if k == 0 else (xs[0], a, xs[1], b)))
    return part(lo, c), part(c, hi)


def rectangle(x0, y0, x1, y1):
    return [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]


def area(p):
    return 0.5 * abs(sum(p[i - 1][0] * p[i][1] - p[i][0] * p[i - 1][1] for i in range(len(p))))


def jigsaws(rng):
    for kind, cut in (("straight", cut_convex), ("right", cut_right)):
        for pieces in (17, 49):
            length = 200.0
            parts = [rectangle(0.0, 0.0, length, 200.0)]
            while len(parts) < pieces:
                parts.sort(key=area)
                parts += cut(parts.pop(), rng)
            rule = "one-way" if kind == "straight" else "quarter"
            rng.shuffle(parts)
            # Every piece back to its own corner, so that the answer does not stand in the file.
            home = [(min(p[0] for p in o), min(p[1] for p in o)) for o in parts]
            panels = [
                panel(f"piece-{k + 1:02}", rounded([(x - hx, y - hy) for x, y in o]), rule)
                for k, (o, (hx, hy)) in enumerate(zip(parts, home))
            ]
            yield job(f"jigsaw-{kind}-{pieces}", "a rectangle cut at random", 200, panels, optimum=length)


def star(rng, r, n):
    """Vertices at rising angles round the origin: simple by construction."""
    step = 2.0 * math.pi / n
    return rounded(
        [
            (d * math.cos(a), d * math.sin(a))
            for k in range(n)
            for a, d in [(step * (k + rng.uniform(-0.35, 0.35)), r * rng.uniform(0.45, 1.0))]
        ],
        4,
    )


def blobs(rng):
    for kinds, copies in ((8, 4), (20, 3)):
        panels = [
            panel(f"blob-{k + 1:02}", star(rng, rng.uniform(6, 22), rng.randint(5, 11)), "quarter", copies) for k in range(kinds)
        ]
        yield job(f"blobs-{kinds * copies}", "random star-shaped polygons", 120, panels)


def bezier(a, b, c, d, n=8):
    w = lambda t: ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
    return [tuple(sum(k * p[i] for k, p in zip(w(s / n), (a, b, c, d))) for i in (0, 1)) for s in range(1, n + 1)]


def garment(rng, kind):
    """Tapering panels like those of clothes: a body with neck and arm curves, a leg, a sleeve, a strap."""
    u = rng.uniform
    if kind == "body":
        l, w, neck, arm = u(600, 760), u(240, 310), u(60, 90), u(170, 230)
        half = [(0.0, w)] + [(l - arm, u(0.96, 1.0) * w)]
        half += bezier(half[-1], (l - 0.6 * arm, 0.7 * w), (l - 0.3 * arm, 0.75 * w), (l - u(20, 45), 0.78 * w))
        half += [(l, neck)] + bezier((l, neck), (l - 0.9 * neck, neck), (l - 1.1 * neck, 0.6 * neck), (l - 1.1 * neck, 0.0))
        return rounded([(x, -y) for x, y in half] + half[-2::-1], 3)
    if kind == "leg":
        l, a, b, rise = u(850, 1040), u(110, 150), u(160, 210), u(200, 260)
        low = [(0.0, -a), (0.6 * l, -0.95 * b), (l, -0.8 * b)]
        top = [(l - 15, 0.55 * b)] + bezier((l - 15, 0.55 * b), (l - 0.7 * rise, 0.6 * b), (l - rise, b), (l - rise - 20, 1.3 * b))
        return rounded(low + top + [(0.5 * l, 0.85 * b), (0.0, a)], 3)
    if kind == "sleeve":
        l, w, cap = u(480, 600), u(150, 200), u(90, 140)
        top = bezier((l, -w), (l + 0.2 * cap, -0.5 * w), (l + cap, -0.6 * w), (l + cap, 0.0))
        top += bezier((l + cap, 0.0), (l + cap, 0.6 * w), (l + 0.2 * cap, 0.5 * w), (l, w))
        return rounded([(0.0, -0.7 * w), (l, -w)] + top + [(0.0, 0.7 * w)], 3)
    l, w = u(180, 460), u(35, 80)
    return rounded([(0, 0), (l, 0), (l + u(-20, 20), w), (u(-15, 15), w)], 3)


def garments(rng):
    for name, sets in (("small", 3), ("large", 9)):
        panels = []
        for kind, kinds, copies in (("body", 2, 2), ("leg", 2, 2), ("sleeve", 2, 2), ("strap", 4, 3)):
            for k in range(kinds):
                panels.append(panel(f"{kind}-{k + 1}", garment(rng, kind), "two-way", copies * sets // 3 or 1))
        yield job(f"garments-{name}", "random panels like those of clothes", 1500, panels)


FAMILIES = {f.__name__: f for f in (gores, days, twin, puzzles, jigsaws, blobs, garments)}
RANDOM = ("jigsaws", "blobs", "garments")


def needed_files(out):
    """Drawings and kits that a job names, and the drawings that the kits name."""
    for p in out["panels"]:
        if "file" in p:
            yield p["file"]
    for kit in out.get("kits", []):
        yield kit["file"]
        parts = json.loads((DEMO.parent / kit["file"]).read_text())["parts"]
        yield from (p["file"] for p in parts if "file" in p)


def write(folder, out):
    for name in set(needed_files(out)):
        shutil.copyfile(DEMO.parent / name, folder / name)
    # One line a panel: readable, and a tenth of the lines.
    text = json.dumps(dict(out, panels=[]), indent=1)
    lines = ",\n".join("  " + json.dumps(p) for p in out["panels"])
    (folder / f"{out['name']}.json").write_text(text.replace('"panels": []', '"panels": [\n' + lines + "\n ]") + "\n")


def main():
    ap = argparse.ArgumentParser(description=__doc__.splitlines()[0], epilog="Families: " + ", ".join(FAMILIES))
    ap.add_argument("families", nargs="*", metavar="FAMILY")
    ap.add_argument("-o", "--out", type=pathlib.Path, default=HERE / "out/jobs")
    ap.add_argument("--seed", type=int, default=1, help="of the random families and of the kit counts")
    a = ap.parse_args()
    unknown = sorted(set(a.families) - set(FAMILIES))
    if unknown:
        ap.error(f"no such family: {', '.join(unknown)}")
    a.out.mkdir(parents=True, exist_ok=True)
    for name in a.families or FAMILIES:
        for out in FAMILIES[name](random.Random(f"{name} {a.seed}")):
            if name in RANDOM:
                out["name"] += f"-s{a.seed}"
            write(a.out, out)
            copies = sum(map(copies_of, out["panels"])) + sum(kit_size(k["file"]) for k in out.get("kits", []))
            print(f"{out['name']}: {copies} panels, {len(out['panels']) + len(out.get('kits', []))} entries")


if __name__ == "__main__":
    main()
