#!/usr/bin/env python3
"""Compares `tuckroll check` with the referee over random layouts, good and spoiled.

    pip install shapely numpy
    scripts/crosscheck_check.py [--tuckroll target/release/tuckroll] [--count 600] [--seed 1]

The referee (`referee/check_layout.py` in $TUCKROLL_SHARED, ../shared by default) judges with
GEOS and shares no code with the program. Each layout is a stretch of film cut by random lines
into panels that touch exactly or keep the gap exactly, with holes, islands, parts, hulls,
flaws, fillers and match groups; most are then spoiled in one way, often by about one tolerance.

The two must agree on the verdict and on the pairs of panels that are too near. The referee is
asked twice, with nine tenths and eleven tenths of the tolerance, because it takes round corners
as polygons: where these two differ there is no verdict to agree with, which is counted.

The last line is 'N passed, N failed'. Exit 0, 1, or 2 when a needed thing is absent.
"""
import argparse
import collections
import copy
import json
import math
import os
import pathlib
import random
import re
import subprocess
import sys
import tempfile
import types

import shapely
from shapely.affinity import scale
from shapely.geometry import LineString, Polygon, box
from shapely.ops import split

RULES = {"one-way": [0], "two-way": [0, 180], "quarter": [0, 90, 180, 270]}


def find_referee():
    """Where the referee is; ends the script where it is absent."""
    path = pathlib.Path(os.environ.get("TUCKROLL_SHARED", "../shared")) / "referee/check_layout.py"
    if not path.exists():
        print(f"no referee at {path}", file=sys.stderr)
        sys.exit(2)
    return path


def referee(path, tolerance):
    """The referee as a module, judging with another tolerance."""
    source, line = path.read_text(), "t = 1e-6 * width"
    if source.count(line) != 1:
        sys.exit(f"{path}: the line that sets the tolerance is not where it was")
    module = types.ModuleType("referee")
    exec(compile(source.replace(line, f"t = {tolerance!r} * width"), str(path), "exec"), module.__dict__)
    return module


def pieces(rng, region, count):
    """`region` cut by random lines, level, upright or slanted."""
    found = [region]
    while len(found) < count:
        piece = found.pop(max(range(len(found)), key=lambda i: found[i].area))
        x0, y0, x1, y1 = piece.bounds
        a, b = (rng.uniform(x0, x1), rng.uniform(y0, y1)), rng.choice([0.0, 90.0, rng.uniform(0, 180)])
        far = 10 * math.hypot(x1 - x0, y1 - y0)
        along = (far * math.cos(math.radians(b)), far * math.sin(math.radians(b)))
        line = LineString([(a[0] - along[0], a[1] - along[1]), (a[0] + along[0], a[1] + along[1])])
        parts = [p for p in split(piece, line).geoms if p.geom_type == "Polygon"]
        least = 1e-3 * region.area / count
        found += parts if len(parts) > 1 and min(p.area for p in parts) > least else [piece]
    return found


def joined(rng, found):
    """Some neighbours joined into outlines that are not convex."""
    for _ in range(rng.randrange(4)):
        a = found.pop(rng.randrange(len(found)))
        for i, b in enumerate(found):
            both = a.union(b)
            if both.geom_type == "Polygon" and not both.interiors and both.is_valid:
                a = both
                found.pop(i)
                break
        found.append(a)
    return found


def ring(coords):
    return [list(p) for p in coords][:-1]


def drawn(polys, place):
    """Polygons on the roll taken back into the panel's own frame."""
    turn = math.radians(place["rotation"])
    exact = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}.get(place["rotation"])
    c, s = exact or (math.cos(turn), math.sin(turn))

    def back(p):
        x, y = p[0] - place["x"], p[1] - place["y"]
        u, v = c * x + s * y, c * y - s * x
        return [u, -v if place["mirrored"] else v]

    parts = [{"outline": [back(p) for p in ring(q.exterior.coords)],
              "holes": [[back(p) for p in ring(h.coords)] for h in q.interiors]} for q in polys]
    return parts[0] if len(parts) == 1 else {"parts": parts}


def panel_of(rng, number, polys, reach):
    """A panel whose one copy covers `polys`, and its placement."""
    rule = rng.choice(["one-way", "two-way", "quarter", "free"])
    heading = rng.choice(RULES[rule]) if rule != "free" else rng.choice([0, 33.0, rng.uniform(0, 360)])
    along = rng.choice([0, 0, 90, rng.uniform(0, 360)])
    slack = rng.choice([0, 0, 5.0])
    if rule != "free":
        heading += rng.choice([0, 1, -1]) * slack
    mirrored = rng.random() < 0.3
    rotation = (heading + along if mirrored else heading - along) % 360.0
    x, y = polys[0].centroid.coords[0] if rng.random() < 0.8 else (0.0, 0.0)
    place = {"panel": f"p{number}", "copy": 1, "x": x, "y": y, "rotation": rotation, "mirrored": mirrored}
    panel = {"id": f"p{number}", **drawn(polys, place), "mirror": mirrored or rng.random() < 0.3,
             "grain": {"along": along, "rule": rule, "slack": slack}}
    panel["fill_holes"] = any(q.interiors for q in polys) or rng.random() < 0.3
    convex = len(polys) == 1 and polys[0].convex_hull.area - polys[0].area < 1e-12 * polys[0].area
    if convex and rng.random() < 0.3 or rng.random() < 0.02:
        panel["keep_clear"] = "hull"
    if rng.random() < 0.15 and max(q.bounds[2] for q in polys) < reach - 1e-3:
        panel["optional"] = True
    if rng.random() < 0.1:
        panel["match"], panel["kit"] = f"m{rule}{heading}", rng.choice(["k", "l"])
    return panel, place


def good(rng):
    """A layout that mostly keeps every rule; its measures are stated later."""
    unit = rng.choice(["mm", "in"])
    width = rng.choice([610.0, 1000.0, 100.0] if unit == "mm" else [24.0, 30.0])
    low, high, lead, tail = (rng.choice([0.0, 0.013 * width]) for _ in range(4))
    gap = rng.choice([0.0, 0.0, 0.002 * width, 0.01 * width])
    film = box(lead, low, lead + rng.uniform(0.3, 3) * width, width - high)
    found = joined(rng, pieces(rng, film, rng.randrange(2, 25)))
    if gap:
        found = [p.buffer(-gap / 2, join_style="mitre", mitre_limit=1e3) for p in found]
        found = [p for p in found if p.geom_type == "Polygon" and p.area > 1e-5 * width * width]
    bodies = []
    for p in found:
        inner = scale(p.convex_hull, 0.4, 0.4, origin=p.representative_point())
        if rng.random() < 0.3 and inner.buffer(0.003 * width).within(p):
            bodies.append([Polygon(p.exterior, [inner.exterior.coords])])
            island = inner.buffer(-gap, join_style="mitre", mitre_limit=1e3) if gap else inner
            if island.geom_type == "Polygon" and island.area > 1e-5 * width * width and rng.random() < 0.8:
                bodies.append([island])
        else:
            bodies.append([p])
    if len(bodies) > 4 and rng.random() < 0.5:
        one, two = bodies.pop(), bodies.pop()
        bodies.append(one + two) if one[0].distance(two[0]) > 1e-3 else bodies.extend([one, two])
    reach = max(q.bounds[2] for b in bodies for q in b)
    made = [panel_of(rng, i, b, reach) for i, b in enumerate(bodies)]
    roll = {"width": width, "edge_margin": [low, high], "lead_margin": lead, "tail_margin": tail}
    if rng.random() < 0.3:
        x0, y0 = film.bounds[2], rng.uniform(0, width)
        flaw = rng.choice([[[x0, -1], [x0 + 5, -1], [x0 + 5, width]], [[x0, y0], [x0 + 9, y0 + 1], [x0 + 9, y0 + 1.001]]])
        roll["flaws"] = [flaw]
    if rng.random() < 0.3:
        roll["length"] = reach + tail
    return {"format": "tuckroll-layout-1", "name": "cuts", "unit": unit, "roll": roll, "gap": gap,
            "panels": [p for p, _ in made], "placements": [q for _, q in made]}


def some(rng, lay):
    return rng.choice(lay["placements"])


def moved(rng, lay):
    p, t = some(rng, lay), 1e-6 * lay["roll"]["width"]
    step = t * rng.choice([0.3, 0.7, 1.3, 2.0, 10.0, 1e3, 1e5])
    way = rng.choice([0, 90, 180, 270, rng.uniform(0, 360)])
    p["x"] += step * math.cos(math.radians(way))
    p["y"] += step * math.sin(math.radians(way))


def turned(rng, lay):
    p = some(rng, lay)
    p["rotation"] = (p["rotation"] + rng.choice([0.01, -0.01, 1e-6, 1e-9, 90, 180])) % 360.0


def mirrored(rng, lay):
    p = some(rng, lay)
    p["mirrored"] = not p["mirrored"]


def dropped(rng, lay):
    lay["placements"].remove(some(rng, lay))


def doubled(rng, lay):
    lay["placements"].append({**some(rng, lay)})


def more_copies(rng, lay):
    rng.choice(lay["panels"])["copies"] = rng.choice([2, 5])


def hulled(rng, lay):
    rng.choice(lay["panels"])["keep_clear"] = "hull"


def holes_closed(rng, lay):
    for p in lay["panels"]:
        p["fill_holes"] = False


def wider_gap(rng, lay):
    lay["gap"] = lay["gap"] * rng.choice([1 + 1e-9, 1.001]) + rng.choice([0, 1e-4]) * lay["roll"]["width"]


def shorter_roll(rng, lay):
    lay["roll"]["length"] = rng.uniform(0.9, 1.1) * max(1.0, *(p["x"] for p in lay["placements"]))


def flawed(rng, lay):
    p, w = some(rng, lay), lay["roll"]["width"]
    size = rng.choice([1e-9, 1e-5, 0.01, 0.3]) * w
    x, y = p["x"] + rng.uniform(-0.1, 0.1) * w, p["y"]
    lay["roll"].setdefault("flaws", []).append([[x, y], [x + size, y], [x + size / 3, y + size]])


def filler_swapped(rng, lay):
    panel = rng.choice(lay["panels"])
    panel["optional"] = not panel.get("optional", False)


def grain_changed(rng, lay):
    rng.choice(lay["panels"])["grain"]["rule"] = rng.choice(list(RULES))


def one_match_group(rng, lay):
    for p in rng.sample(lay["panels"], min(2, len(lay["panels"]))):
        p["match"] = "all"
        p.pop("kit", None)


PLACE = [moved, moved, moved, turned, mirrored, dropped, doubled, more_copies, hulled, holes_closed, wider_gap,
         shorter_roll, flawed, filler_swapped, grain_changed, one_match_group]


def misstated(rng, lay):
    key = rng.choice(["length", "panel_area", "waste_percent", "density_percent"])
    lay[key] += rng.choice([1e-9, 1.0]) * max(1.0, abs(lay[key])) * 0.1


def other_job(rng, job):
    what = rng.choice(["none", "gap", "width", "copies", "point", "panel", "mirror", "flaw"])
    if what == "gap":
        job["gap"] += 0.5
    elif what == "width":
        job["roll"]["width"] += 1
    elif what == "copies":
        job["panels"][0]["copies"] = 7
    elif what == "point":
        (job["panels"][0].get("parts") or [job["panels"][0]])[0]["outline"][0][0] += 1e-9
    elif what == "panel":
        job["panels"].append({"id": "new", "outline": [[0, 0], [1, 0], [0, 1]]})
    elif what == "mirror":
        job["panels"][-1]["mirror"] = not job["panels"][-1].get("mirror", False)
    elif what == "flaw":
        job["roll"]["flaws"] = [[[0, 0], [1e-3, 0], [0, 1e-3]]]


PAIR = re.compile(r"^(\S+#\d+) and (\S+#\d+): ")


def pairs(lines):
    return {tuple(sorted(m.groups())) for m in map(PAIR.match, lines) if m}


def ask(program, folder, lay, job):
    """Exit code and broken rules of the program."""
    path = folder / "layout.json"
    path.write_text(json.dumps(lay))
    command = [program, "check", str(path), "--json"]
    if job:
        (folder / "job.json").write_text(json.dumps(job))
        command += ["--job", str(folder / "job.json")]
    run = subprocess.run(command, capture_output=True, text=True)
    if run.returncode not in (0, 1):
        sys.exit(f"{' '.join(command)}\nexit {run.returncode}\n{run.stderr}{run.stdout}")
    return run.returncode, json.loads(run.stdout)["broken"]


def case(seed, lenient):
    """A layout, its job or None, and how it was spoiled."""
    rng = random.Random(seed)
    lay, spoil, job = good(rng), None, None
    if rng.random() < 0.75:
        spoil = rng.choice(PLACE)
        spoil(rng, lay)
    _, true, _, _ = lenient.judge(copy.deepcopy(lay), None)
    lay.update({k: max(v, 0.0) for k, (v, _) in true.items()})
    if rng.random() < 0.05:
        spoil = misstated
        misstated(rng, lay)
    if rng.random() < 0.1 and not all(p.get("optional") for p in lay["panels"]):
        job = {k: copy.deepcopy(lay[k]) for k in ("name", "unit", "roll", "gap", "panels")}
        job["format"] = "tuckroll-job-1"
        spoil = other_job
        other_job(rng, job)
    return lay, job, spoil.__name__ if spoil else "none"


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("--tuckroll", default="target/release/tuckroll")
    ap.add_argument("--count", type=int, default=600)
    ap.add_argument("--seed", type=int, default=1)
    ap.add_argument("--keep", help="folder for layouts on which the two differ")
    a = ap.parse_args()
    path = find_referee()
    lenient, strict = referee(path, 1.1e-6), referee(path, 0.9e-6)
    kinds, failed = collections.Counter(), 0
    print(f"seeds {a.seed} to {a.seed + a.count - 1}, shapely {shapely.__version__}, GEOS {shapely.geos_version_string}")
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(a.seed, a.seed + a.count):
            try:
                lay, job, spoil = case(seed, lenient)
            except lenient.Unusable:
                kinds["not drawn"] += 1  # a chance outline that touches itself
                continue
            sure, maybe = (m.judge(copy.deepcopy(lay), copy.deepcopy(job))[0] for m in (lenient, strict))
            code, broken = ask(a.tuckroll, pathlib.Path(folder), lay, job)
            verdict = bool(sure) <= (code == 1) <= bool(maybe)
            same_pairs = pairs(sure) <= pairs(broken) <= pairs(maybe)
            kinds["open" if bool(sure) != bool(maybe) else "refused" if sure else "accepted"] += 1
            if not (verdict and same_pairs):
                failed += 1
                print(f"seed {seed} ({spoil}): referee {sure[:3]} to {maybe[:3]}, program {broken[:3]}")
                if a.keep:
                    pathlib.Path(a.keep).mkdir(parents=True, exist_ok=True)
                    (pathlib.Path(a.keep) / f"{seed}.json").write_text(json.dumps(lay))
    print(", ".join(f"{n} {k}" for k, n in sorted(kinds.items())))
    done = a.count - kinds["not drawn"]
    if a.count >= 100 and min(kinds["accepted"], kinds["refused"]) < a.count // 5:
        print("too few layouts of one kind: the comparison says little")
        failed += 1
    print(f"{done - failed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
