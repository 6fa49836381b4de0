#!/usr/bin/env python3
"""Small random jobs are nested, each layout is spoiled in one small way after the other, and `tuckroll check`
and the referee judge every one.

    pip install shapely numpy
    scripts/crosscheck_differential.py [--tuckroll target/release/tuckroll] [--count 40] [--seed 1] [--rounds N] [--keep DIR]

crosscheck_check.py asks whether the two agree on layouts that it made itself; this one asks whether what `nest`
writes is passed by both, and whether a spoiling that breaks a rule for certain is caught by both. What is
certain is said by `Spoiled.sure`, from the spoiling itself and never from either judge: a heading 0.01 degrees
beyond its slack, a copy too many, a distance that has shrunk by 10 t (t is the tolerance), a stated number that
is off by more than its own tolerance. Where nothing is certain the two must still agree, the referee being asked
with nine tenths and eleven tenths of t, because it takes round corners as polygons.

`--count` jobs, each with some twenty spoilings. The last line is 'N passed, N failed'. Exit 0, 1, or 2 when a
needed thing is absent.
"""
import argparse
import collections
import copy
import json
import math
import os
import pathlib
import random
import subprocess
import sys
import tempfile
from dataclasses import dataclass

from crosscheck_check import find_referee, referee
from placement import placed
from shapely.geometry import MultiPolygon, Polygon
from shapely.ops import nearest_points

RULES = {"one-way": [0], "two-way": [0, 180], "quarter": [0, 90, 180, 270], "free": None}
STEP = 10  # tolerances by which a spoiled panel moves
TURN = 0.01  # degrees by which it turns


@dataclass
class Spoiled:
    """A layout spoiled in one way; `job` is what it is held against."""

    name: str
    layout: dict
    job: dict
    sure: bool  # a rule is broken for certain


# Jobs.

def star(rng, size, points):
    """A star-shaped outline about the origin."""
    turns = sorted(rng.uniform(0, 2 * math.pi) for _ in range(points))
    return [[size * r * math.cos(a), size * r * math.sin(a)] for a in turns for r in [rng.uniform(0.3, 1)]]


def nearly_straight(rng, outline, size):
    """The same with points on its sides, off them by anything from nothing to a thousandth."""
    out = []
    for p, q in zip(outline, outline[1:] + outline[:1]):
        out.append(p)
        if rng.random() < 0.5:
            s, off = rng.uniform(0.1, 0.9), size * rng.choice([0, 1e-15, 1e-12, 1e-9, 1e-6, 1e-3]) * rng.choice([1, -1])
            far = math.dist(p, q) or 1
            out.append([p[0] + s * (q[0] - p[0]) - off * (q[1] - p[1]) / far,
                        p[1] + s * (q[1] - p[1]) + off * (q[0] - p[0]) / far])
    return out


def outline(rng, size):
    w, h = size * rng.uniform(0.3, 1), size * rng.uniform(0.3, 1)
    kind = rng.choice(["box", "ell", "star", "wedge", "sliver", "comb", "rack"])
    if kind == "box":
        return [[0, 0], [w, 0], [w, h], [0, h]]
    if kind == "ell":
        a, b = w * rng.uniform(0.2, 0.8), h * rng.uniform(0.2, 0.8)
        return [[0, 0], [w, 0], [w, b], [a, b], [a, h], [0, h]]
    if kind == "wedge":
        return [[0, 0], [w, h * rng.uniform(0, 0.2)], [w, h]]
    if kind == "sliver":
        return [[0, 0], [w, 0], [w, 1e-3 * size], [0, 1e-3 * size]]
    if kind == "comb":
        n = rng.randrange(2, 5)
        top = [[(i + d) * w / n, h * (0.3 + 0.7 * (d in (0.25, 0.75)))] for i in range(n) for d in (0, 0.25, 0.75)]
        return [[0, 0], [w, 0], *reversed(top)]
    if kind == "rack":
        # Slots with parallel sides, too narrow for the teeth: sides of two of them coincide at many places.
        n = rng.randrange(2, 7)
        slot = rng.uniform(0.1, 0.45)
        teeth = [[x * w / (n - slot), y] for i in range(n) for x, y in ((i, 0.2 * h), (i, h), (i + 1 - slot, h), (i + 1 - slot, 0.2 * h))]
        return [[0, 0], [w, 0], *reversed(teeth)]
    return star(rng, size / 2, rng.randrange(3, 12))


def hole(rng, points):
    """A hole well inside an outline, if there is room for one."""
    body = Polygon(points)
    middle = body.representative_point()
    room = 0.6 * body.exterior.distance(middle)
    inner = [[middle.x + x, middle.y + y] for x, y in star(rng, room, rng.randrange(3, 7))]
    return [inner] if Polygon(inner).is_valid and Polygon(inner).area > 0.1 * room * room else []


def drawn(rng, size):
    """Geometry that GEOS takes as a simple polygon and that is thick enough to be judged."""
    while True:
        points = outline(rng, size)
        if rng.random() < 0.5:
            points = nearly_straight(rng, points, size)
        if Polygon(points).is_valid and not Polygon(points).buffer(-3e-4 * size).is_empty:
            break
    if rng.random() < 0.5:
        points = points[::-1]
    out = {"outline": points, "holes": hole(rng, points) if rng.random() < 0.4 else []}
    if rng.random() < 0.15:
        far = 1.05 * (max(p[0] for p in points) - min(p[0] for p in points))
        return {"parts": [out, {"outline": [[x + far, y] for x, y in points]}]}
    return out


def panel(rng, number, size):
    rule = rng.choice(list(RULES))
    made = {"id": f"p{number}", "copies": rng.randrange(1, 4), **drawn(rng, size), "mirror": rng.random() < 0.3,
            "grain": {"along": rng.choice([0, 0, 90, rng.uniform(0, 360)]), "rule": rule,
                      "slack": rng.choice([0, 0, 0.5, 3, 44]) if rule != "free" else 0}}
    made["fill_holes"] = rng.random() < 0.4
    if rng.random() < 0.15:
        made["keep_clear"] = "hull"
    if rng.random() < 0.25:
        made["match"], made["kit"] = "m", rng.choice(["a", "b"])
        made["grain"].update(rule="two-way", slack=0)
    if number and rng.random() < 0.2:
        made["optional"] = True
    return made


def wrap(rng, usable):
    """As wide as the film: whether it has room is a matter of rounding."""
    at, length = round(rng.uniform(-1, 1) * usable, rng.choice([0, 1, 3])), rng.uniform(0.1, 1) * usable
    outline = [[at, at], [at + length, at], [at + rng.choice([0.7, 1]) * length, at + usable], [at, at + usable]]
    return {"id": "wrap", "copies": rng.randrange(1, 4), "outline": outline, "mirror": False, "fill_holes": False,
            "grain": {"along": 0, "rule": rng.choice(["one-way", "two-way"]), "slack": 0}}


def job(rng):
    unit, width = rng.choice([("mm", 610.0), ("mm", 593.7), ("mm", 100.0), ("in", 24.0)])
    margin = lambda: rng.choice([0, 0, 0.01 * width, 0.07 * width])
    roll = {"width": width, "edge_margin": [margin(), margin()], "lead_margin": margin(), "tail_margin": margin()}
    if rng.random() < 0.3:
        x, y, s = rng.uniform(0, width), rng.uniform(0, width), width * rng.choice([1e-3, 0.1])
        roll["flaws"] = [[[x, y], [x + s, y], [x + s / 3, y + s]]]
    if rng.random() < 0.2:
        roll["length"] = 50 * width
    panels = [panel(rng, i, width * rng.uniform(0.1, 0.45)) for i in range(rng.randrange(2, 6))]
    if rng.random() < 0.3:
        panels.append(wrap(rng, width - sum(roll["edge_margin"])))
    return {"format": "tuckroll-job-1", "name": "random", "unit": unit, "roll": roll,
            "gap": rng.choice([0, 0, 0.002 * width, 0.01 * width]), "panels": panels}


# Spoilings. Each gives a spoiled copy of a layout with its true measures stated, or None where it cannot.

def off(a, b):
    return abs((a - b + 180) % 360 - 180)


def heading(panel, place):
    along = panel["grain"]["along"]
    return place["rotation"] + (-along if place["mirrored"] else along)


def solid(panel, place):
    """The panel on the roll."""
    parts = panel.get("parts") or [panel]
    polygons = [Polygon(placed(p["outline"], place), [placed(h, place) for h in p.get("holes") or []]) for p in parts]
    return polygons[0] if len(polygons) == 1 else MultiPolygon(polygons)


class Bench:
    """A good layout, and what is needed to spoil it."""

    def __init__(self, rng, layout, job, judge):
        self.rng, self.layout, self.job, self.judge = rng, layout, job, judge
        self.panels = {p["id"]: p for p in job["panels"]}  # its own, with every default written out
        self.t = 1e-6 * layout["roll"]["width"]
        self.solids = [solid(self.panels[q["panel"]], q) for q in layout["placements"]]

    def changed(self, name, change, sure):
        """The layout after `change`, its measures stated anew, so that nothing but the change is wrong."""
        layout = copy.deepcopy(self.layout)
        change(layout)
        layout.update({k: max(v, 0.0) for k, (v, _) in self.judge(copy.deepcopy(layout), None)[1].items()})
        return Spoiled(name, layout, self.job, sure)

    def some(self, wanted=lambda panel, place: True):
        """The number of a placement."""
        found = [i for i, q in enumerate(self.layout["placements"]) if wanted(self.panels[q["panel"]], q)]
        return self.rng.choice(found) if found else None

    def nearer(self):
        """One panel moved towards one that it touches; certain where what then lies too near shows it alone."""
        gap, n = self.layout["gap"], len(self.solids)
        near = [(i, j) for i in range(n) for j in range(n) if i != j and
                self.solids[i].distance(self.solids[j]) <= gap + self.t]
        if not near:
            return None
        i, j = self.rng.choice(near)
        p, q = nearest_points(self.solids[i], self.solids[j])
        far = p.distance(q)
        turn = self.rng.choice([0, math.pi / 2, math.pi, -math.pi / 2])
        way = ((q.x - p.x) / far, (q.y - p.y) / far) if gap else (math.cos(turn), math.sin(turn))

        def change(layout):
            place = layout["placements"][i]
            place["x"] += STEP * self.t * way[0]
            place["y"] += STEP * self.t * way[1]
            self.moved = solid(self.panels[place["panel"]], place)

        spoiled = self.changed("nearer", change, False)
        if gap:
            spoiled.sure = self.moved.distance(self.solids[j]) < gap - 2 * self.t
        else:
            # A disc that lies in both by more than the tolerance.
            spoiled.sure = not self.moved.intersection(self.solids[j]).buffer(-1.5 * self.t).is_empty
        return spoiled

    def off_film(self):
        """Moved beyond the edge or into the lead margin by 10 t."""
        i, roll, t = self.rng.randrange(len(self.solids)), self.layout["roll"], self.t
        x0, y0, _, y1 = self.solids[i].bounds
        low, high = roll["edge_margin"] if isinstance(roll["edge_margin"], list) else [roll["edge_margin"]] * 2
        dx, dy = self.rng.choice([(roll["lead_margin"] - STEP * t - x0, 0), (0, low - STEP * t - y0),
                                  (0, roll["width"] - high + STEP * t - y1)])

        def change(layout):
            layout["placements"][i]["x"] += dx
            layout["placements"][i]["y"] += dy
        return self.changed("off film", change, True)

    def past_end(self):
        end = self.layout["length"] - STEP * self.t
        return self.changed("roll too short", lambda layout: layout["roll"].update(length=end), True)

    def flawed(self):
        """A flaw well within a panel."""
        inner = self.rng.choice(self.solids).buffer(-STEP * self.t)
        if inner.is_empty:
            return None
        p, s = inner.representative_point(), self.t
        flaw = [[p.x, p.y], [p.x + s, p.y], [p.x, p.y + s]]
        return self.changed("flaw", lambda layout: layout["roll"].setdefault("flaws", []).append(flaw), True)

    def turned(self):
        """Turned by 0.01 degrees beyond what its rule allows."""
        i = self.some(lambda panel, place: RULES[panel["grain"]["rule"]] and panel["grain"]["slack"] < 40)
        if i is None:
            return None
        place = self.layout["placements"][i]
        grain = self.panels[place["panel"]]["grain"]
        now = heading(self.panels[place["panel"]], place)
        home = min(RULES[grain["rule"]], key=lambda h: off(now, h))
        beyond = home + self.rng.choice([1, -1]) * (grain["slack"] + TURN)
        along = grain["along"]
        rotation = (beyond + along if place["mirrored"] else beyond - along) % 360
        return self.changed("turned", lambda layout: layout["placements"][i].update(rotation=rotation), True)

    def unmatched(self):
        """One of a match group turned about."""
        groups = collections.Counter((p.get("kit"), p.get("match")) for q in self.layout["placements"]
                                     for p in [self.panels[q["panel"]]])
        i = self.some(lambda panel, place: panel.get("match") and groups[panel.get("kit"), panel["match"]] > 1)
        if i is None:
            return None
        rotation = (self.layout["placements"][i]["rotation"] + 180) % 360
        return self.changed("unmatched", lambda layout: layout["placements"][i].update(rotation=rotation), True)

    def mirrored(self):
        i = self.rng.randrange(len(self.solids))
        place = self.layout["placements"][i]
        sure = not place["mirrored"] and not self.panels[place["panel"]].get("mirror")
        return self.changed("mirrored", lambda layout: layout["placements"][i].update(mirrored=not place["mirrored"]), sure)

    def dropped(self):
        i = self.rng.randrange(len(self.solids))
        sure = not self.panels[self.layout["placements"][i]["panel"]].get("optional")
        return self.changed("dropped", lambda layout: layout["placements"].pop(i), sure)

    def doubled(self):
        place = self.rng.choice(self.layout["placements"])
        return self.changed("doubled", lambda layout: layout["placements"].append(dict(place)), True)

    def doubled_elsewhere(self):
        """The same copy once more, in a place of its own behind the others."""
        place = dict(self.rng.choice(self.layout["placements"]))
        place["x"] += self.layout["length"]
        return self.changed("doubled elsewhere", lambda layout: layout["placements"].append(place), True)

    def one_too_many(self):
        place = dict(self.rng.choice(self.layout["placements"]))
        place["copy"] = self.panels[place["panel"]]["copies"] + 1
        return self.changed("one too many", lambda layout: layout["placements"].append(place), True)

    def misstated(self):
        """Each stated measure in turn, off by three times what is allowed."""
        true = self.judge(copy.deepcopy(self.layout), None)[1]
        for key, (value, tolerance) in true.items():
            layout = copy.deepcopy(self.layout)
            layout[key] = value + 3 * tolerance if value < 3 * tolerance else value + self.rng.choice([3, -3]) * tolerance
            yield Spoiled(f"misstated {key}", layout, self.job, True)

    def other_job(self):
        """The layout as it is, held against a job with one number or word changed."""
        for name in ["gap", "roll.width", "roll.tail_margin", "point", "copies", "grain", "mirror", "panel", "flaw", "kit"]:
            other = copy.deepcopy(self.job)
            other_panel = self.rng.choice(other["panels"])
            if name == "gap":
                other["gap"] += 1e-9
            elif name.startswith("roll."):
                other["roll"][name[5:]] += 1e-9
            elif name == "point":
                (other_panel.get("parts") or [other_panel])[0]["outline"][0][0] += 1e-9
            elif name == "copies":
                other_panel["copies"] += 1
            elif name == "grain":
                other_panel["grain"]["along"] += 1e-9
            elif name == "mirror":
                other_panel["mirror"] = not other_panel["mirror"]
            elif name == "panel":
                other["panels"].append({"id": "new", "outline": [[0, 0], [self.t * 1e4, 0], [0, self.t * 1e4]]})
            elif name == "flaw":
                other["roll"].setdefault("flaws", []).append([[0, 0], [1, 0], [0, 1]])
            elif name == "kit":
                other_panel["kit"] = "other"
            yield Spoiled(f"other job: {name}", self.layout, other, True)

    def all(self):
        yield Spoiled("as nested", self.layout, self.job, False)
        single = [self.nearer, self.nearer, self.nearer, self.off_film, self.past_end, self.flawed, self.turned,
                  self.unmatched, self.mirrored, self.dropped, self.doubled, self.doubled_elsewhere, self.one_too_many]
        yield from filter(None, (spoil() for spoil in single))
        yield from self.misstated()
        yield from self.other_job()


# Judging.

class Judges:
    def __init__(self, program, path, keep):
        self.program, self.keep = program, keep
        self.lenient, self.strict, self.exact = (referee(path, t * 1e-6) for t in (1.1, 0.9, 1.0))

    def check(self, folder, case):
        """Exit code of the program and the rules it says are broken."""
        files = [folder / "layout.json", folder / "job.json"]
        for file, value in zip(files, [case.layout, case.job]):
            file.write_text(json.dumps(value))
        run = subprocess.run([self.program, "check", str(files[0]), "--job", str(files[1]), "--json"],
                             capture_output=True, text=True)
        return run.returncode, json.loads(run.stdout)["broken"] if run.returncode in (0, 1) else [run.stderr]

    def differ(self, folder, case):
        """What is wrong with the two verdicts, if anything."""
        code, broken = self.check(folder, case)
        sure, maybe, exact = (m.judge(copy.deepcopy(case.layout), copy.deepcopy(case.job))[0]
                              for m in (self.lenient, self.strict, self.exact))
        if code not in (0, 1):
            return f"exit code {code}: {broken}"
        if case.name == "as nested" and (code or exact):
            return f"a layout of nest is refused: program {broken[:3]}, referee {exact[:3]}"
        if case.sure and not (code and exact):
            return f"not caught: program {broken[:3]}, referee {exact[:3]}"
        if not bool(sure) <= bool(code) <= bool(maybe):
            return f"verdicts differ: program {broken[:3]}, referee {exact[:3]}"
        return None

    def one(self, seed, rounds):
        """Nests one random job and judges its spoilings: counts by name and complaints."""
        rng, seen, wrong = random.Random(seed), collections.Counter(), []
        asked = job(rng)
        effort = rng.choice([0, 0, 1, 3]) if rounds is None else rounds
        with tempfile.TemporaryDirectory() as name:
            folder = pathlib.Path(name)
            (folder / "job.json").write_text(json.dumps(asked))
            run = subprocess.run([self.program, "nest", str(folder / "job.json"), "-o", "-", "--rounds", str(effort),
                                  "--threads", "1", "--seed", str(seed)], capture_output=True, text=True)
            if run.returncode:
                wrong.append((seed, "nest", f"exit code {run.returncode}: {run.stderr}"))
                seen["nest"] += 1
                self.save(seed, "nest", {"job": asked})
                return seen, wrong
            bench = Bench(rng, json.loads(run.stdout), asked, self.exact.judge)
            for case in bench.all():
                seen["certain" if case.sure else case.name] += 1
                if complaint := self.differ(folder, case):
                    wrong.append((seed, case.name, complaint))
                    self.save(seed, case.name, {"layout": case.layout, "job": case.job})
        return seen, wrong

    def save(self, seed, name, files):
        for kind, value in files.items() if self.keep else ():
            os.makedirs(self.keep, exist_ok=True)
            (pathlib.Path(self.keep) / f"{seed}-{name.replace(' ', '-')}-{kind}.json").write_text(json.dumps(value))


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("--tuckroll", default="target/release/tuckroll")
    ap.add_argument("--count", type=int, default=40)
    ap.add_argument("--seed", type=int, default=1)
    ap.add_argument("--rounds", type=int, help="of every search; by chance 0 to 3 unless told")
    ap.add_argument("--keep", help="folder for what was judged wrongly")
    a = ap.parse_args()
    path = find_referee()
    judges, seen, wrong = Judges(os.path.abspath(a.tuckroll), path, a.keep), collections.Counter(), []
    for seed in range(a.seed, a.seed + a.count):
        counts, complaints = judges.one(seed, a.rounds)
        seen += counts
        wrong += complaints
        for _, name, what in complaints:
            print(f"seed {seed}, {name}: {what}", flush=True)
    print(f"seeds {a.seed} to {a.seed + a.count - 1}: " + ", ".join(f"{n} {name}" for name, n in sorted(seen.items())))
    print(f"{sum(seen.values()) - len(wrong)} passed, {len(wrong)} failed")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
