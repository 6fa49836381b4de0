#!/usr/bin/env python3
"""Interprets plotter files as HP-GL and holds cut plans against a lower bound and a plain order.

    pip install ezdxf numpy
    scripts/crosscheck_plan.py [--tuckroll target/release/tuckroll]

Plotter files of the demo and of a lopsided letter are read by an interpreter written from the
published instructions (Hewlett-Packard, HP-GL Programmer's Reference, 1984, and HP-GL/2 and HP
RTL Reference Guide, 1996): the grammar, whole numbers within the device's range, and every
outline of the layout, placed by the layout format's own rule, drawn once, closed, and in the
order of the plan, on devices with either origin, axis, unit and way of telling coordinates.
ezdxf reads the DXF file of every section without a complaint.

The travel of the demo's plan is at most 1.25 times the one-tree bound of each pass (M. Held and
R. M. Karp, Operations Research 18, 1970) over the same start points. The
bound knows nothing of windows and of what must be cut first, which the plan keeps. On every reference instance (every third without --all) travel is at most that of the order
by least x over the same start points. These are read from the folder benchmarks of
$TUCKROLL_SHARED; without them that part is skipped with a notice.

The last line is 'N passed, N failed'. Exit 0, 1, or 2 when a needed thing is absent.
"""
import argparse
import json
import math
import os
import pathlib
import re
import subprocess
import sys
import tempfile

try:
    import ezdxf
    import numpy as np

    from placement import placed
except ImportError as absent:
    print(f"needs {absent.name}", file=sys.stderr)
    sys.exit(2)

ROOT = pathlib.Path(__file__).resolve().parent.parent
MM = {"mm": 1.0, "in": 25.4}
TOLD = {"passed": 0, "failed": 0}

# A letter that no turn and no mirror brings onto itself, and a roll with unequal margins.
LETTER = {
    "format": "tuckroll-job-1", "name": "letter", "unit": "mm", "gap": 3,
    "roll": {"width": 300, "edge_margin": [10, 14], "lead_margin": 30, "tail_margin": 5},
    "panels": [{"id": "F", "copies": 7, "holes": [[[4, 4], [12, 4], [8, 9]]],
                "outline": [[0, 0], [20, 0], [20, 40], [50, 40], [50, 55], [20, 55], [20, 80], [70, 80], [70, 100], [0, 100]],
                "lines": [{"role": "through", "points": [[2, 20], [18, 20]]},
                          {"role": "draw", "points": [[3, 60], [9, 66], [15, 60]]}]}]}

DEVICES = {
    "plain": {"unit_mm": 0.025, "largest": 8388607},
    "relative": {"unit_mm": 0.025, "largest": 8388607, "relative": True, "speed_cm_per_s": 30, "force": 80},
    "finer unit, centre": {"unit_mm": 0.02488, "largest": 8388607, "origin": "centre", "page_end": True},
    "feed along y": {"unit_mm": 0.025, "largest": 8388607, "feed_axis": "y"},
    "feed along y, centre, mirrored": {"unit_mm": 0.025, "largest": 8388607, "feed_axis": "y", "origin": "centre", "mirror": True},
    "calibrated": {"unit_mm": 0.025, "largest": 8388607, "feed_scale": 1.002, "cross_scale": 0.999},
    "16 bits by section": {"unit_mm": 0.025, "zero": "section"},
}


def say(name, complaints):
    TOLD["failed" if complaints else "passed"] += 1
    print(f"{name}: {'; '.join(complaints[:3]) or 'as it should be'}")


def run(program, *args, code=0):
    done = subprocess.run([program, *map(str, args)], capture_output=True, text=True)
    if done.returncode != code:
        sys.exit(f"{program} {' '.join(map(str, args))}\nexit {done.returncode}\n{done.stderr}")
    return done.stdout


def contours_of(layout):
    """Name and points in mm of all contours that a machine works."""
    panels = {p["id"]: p for p in layout["panels"]}
    found = {}
    for place in layout["placements"]:
        panel, holes = panels[place["panel"]], 0
        parts = panel.get("parts") or [panel]
        name = f"{place['panel']}#{place['copy']}"
        for i, part in enumerate(parts):
            found[f"{name}/outline{f' {i + 1}' if len(parts) > 1 else ''}"] = placed(part["outline"], place)
            for hole in part.get("holes", []):
                holes += 1
                found[f"{name}/hole {holes}"] = placed(hole, place)
        for i, line in enumerate(panel.get("lines", [])):
            if line["role"] != "print" and line.get("copy", place["copy"]) == place["copy"]:
                found[f"{name}/line {i + 1}"] = placed(line["points"], place)
    return {name: points * MM[layout["unit"]] for name, points in found.items()}


class Plotter:
    """Draws what a file tells: the tool selected and the way it goes down, in the file's units."""

    GRAMMAR = re.compile(r"([A-Z]{2}[-0-9., ]*;)*")

    def __init__(self, text, largest):
        self.complaints, self.lines, self.tools, self.largest = [], [], [], largest
        self.at, self.down, self.drawing, self.relative, self.tool = (0, 0), False, False, False, 0
        if not self.GRAMMAR.fullmatch(text):
            self.complaints.append("not of the form of HP-GL")
        for word in text.split(";")[:-1]:
            self.obey(word[:2], word[2:])
        if self.down or self.tool != 0:
            self.complaints.append("the tool is not stowed at the end")
        reach = max((abs(v) for _, line in self.lines for p in line for v in p), default=0)
        if reach > largest:
            self.complaints.append(f"{reach} is beyond {largest}")

    def obey(self, word, rest):
        if re.search(r"[^-0-9,]", rest):
            self.complaints.append(f"{word}{rest}: not whole numbers")
            return
        numbers = [int(n) for n in rest.split(",")] if rest else []
        if word == "IN":
            self.__dict__.update(at=(0, 0), down=False, relative=False, tool=0)
        elif word == "SP":
            self.tool = numbers[0] if numbers else 0
        elif word in ("PA", "PR", "PU", "PD"):
            if word in ("PA", "PR"):
                self.relative = word == "PR"
            else:
                self.down = word == "PD"
                self.drawing = self.drawing and self.down
            if len(numbers) % 2:
                self.complaints.append(f"{word}: half a point")
            if any(abs(n) > self.largest for n in numbers):
                self.complaints.append(f"{word}{rest} is beyond {self.largest}")
            for x, y in zip(numbers[::2], numbers[1::2]):
                self.move((self.at[0] + x, self.at[1] + y) if self.relative else (x, y))
        elif word not in ("VS", "FS", "PG"):
            self.complaints.append(f"{word} is no instruction for this")

    def move(self, to):
        if self.down:
            if not self.tool:
                self.complaints.append("draws without a tool")
            if not (self.lines and self.lines[-1][1][-1] == self.at and self.lines[-1][0] == self.tool and self.drawing):
                self.lines.append((self.tool, [self.at]))
            self.lines[-1][1].append(to)
        self.drawing = self.down
        self.at = to


def on_film(points, device, plan, zero, end):
    """From a device's units to mm on the film, by what the profile's keys say."""
    p = np.array(points, dtype=float) * device["unit_mm"]
    feed, cross = device.get("feed_scale", 1), device.get("cross_scale", 1)
    length, width = (end - zero) * feed, plan["width_mm"] * cross
    along_y = device.get("feed_axis") == "y"
    if device.get("origin") == "centre":
        p = p + ([width / 2, length / 2] if along_y else [length / 2, width / 2])
    if along_y:
        p = np.stack([p[:, 1], width - p[:, 0]], axis=1)
    p = p / [feed, cross]
    if device.get("mirror"):
        p[:, 1] = plan["width_mm"] - p[:, 1]
    return p + [zero, 0]


def off(points, line):
    """The greatest distance of some points from a line."""
    a, b = line[:-1], line[1:]
    d = b - a
    dd = np.maximum((d * d).sum(1), 1e-12)
    t = np.clip(((points[:, None] - a) * d).sum(2) / dd, 0, 1)
    return np.linalg.norm(points[:, None] - (a + t[..., None] * d), axis=2).min(1).max()


def check_plot(folder, layout, device):
    """All complaints about the plotter files of a folder."""
    plan = json.loads((folder / "plan.json").read_text())
    wanted, complaints, drawn = contours_of(layout), [], []
    files = sorted(folder.glob("cut*.plt"), key=lambda f: [int(n) for n in re.findall(r"\d+", f.name)])
    for i, file in enumerate(files):
        plotter = Plotter(file.read_text(), device.get("largest", 32767))
        complaints += plotter.complaints
        section = plan["sections"][i]
        zero, end = (section["zero_mm"], section["to_mm"]) if len(files) > 1 or device.get("zero") == "section" else (0, plan["parked"][0])
        drawn += [on_film(line, device, plan, zero, end) for _, line in plotter.lines]
        if device.get("origin") != "centre" and any(v < 0 for _, line in plotter.lines for p in line for v in p):
            complaints.append("a coordinate below 0")
    near = 0.75 * device["unit_mm"] + 1e-9
    steps = [s for section in plan["sections"] for s in section["steps"]]
    if sorted(s["contour"] for s in steps) != sorted(wanted):
        complaints.append("the plan does not hold each contour once")
    k = 0
    for step in steps:
        points = wanted[step["contour"]]
        if step["tool"] == "through":
            first = k
            while k < len(drawn) and off(drawn[k], points) <= near:
                k += 1
            if k == first or np.linalg.norm(drawn[first][0] - step["start"]) > near:
                complaints.append(f"{step['contour']}: no dashes along it")
            continue
        if k == len(drawn):
            complaints.append(f"{step['contour']} is not drawn")
            break
        line = drawn[k]
        k += 1
        if step["closed"]:
            points = np.vstack([points, points[:1]])
            if not np.array_equal(line[0], line[-1]):
                complaints.append(f"{step['contour']} is not closed")
        if np.linalg.norm(line[0] - step["start"]) > near:
            complaints.append(f"{step['contour']} does not begin where the plan says")
        if off(line, points) > near or off(points, line) > near:
            complaints.append(f"{step['contour']} is {off(line, points):.3f} mm off")
    if k != len(drawn):
        complaints.append(f"{len(drawn) - k} lines too many")
    return complaints


def check_dxf(folder):
    complaints = []
    for file in sorted(folder.glob("cut*.dxf")):
        doc = ezdxf.readfile(file)
        audit = doc.audit()
        complaints += [f"{file.name}: {e.message}" for e in audit.errors + audit.fixes]
        if not any(e.dxf.layer == "TR_KISS" for e in doc.modelspace()):
            complaints.append(f"{file.name}: nothing to cut")
    return complaints


def one_tree(enter, leave, start, end, rounds=300):
    """Held and Karp's bound on a way from start to end through stops with two ends."""
    a, b = np.vstack([start, enter, end]), np.vstack([start, leave, end])
    gap = lambda p, q: np.linalg.norm(p[:, None] - q[None], axis=2)
    cost = np.minimum(np.minimum(gap(a, a), gap(a, b)), np.minimum(gap(b, a), gap(b, b)))
    n = len(cost)
    cost[0, -1] = cost[-1, 0] = 0
    price, best, step = np.zeros(n), -math.inf, None
    for k in range(rounds):
        c = cost + price[:, None] + price[None]
        np.fill_diagonal(c, math.inf)
        degree, total = np.zeros(n), 0.0
        inside = np.zeros(n, bool)
        inside[[0, 1]] = True
        far, via = c[1].copy(), np.ones(n, int)
        for _ in range(n - 2):
            j = int(np.where(inside, math.inf, far).argmin())
            total += far[j]
            degree[[j, via[j]]] += 1
            inside[j] = True
            closer = (c[j] < far) & ~inside
            far[closer], via[closer] = c[j][closer], j
        two = np.argsort(c[0])[:2]
        total += c[0][two].sum()
        degree[0] += 2
        degree[two] += 1
        bound = total - 2 * price.sum()
        best = max(best, bound)
        step = step or bound / (2 * n)
        price = price + step * 0.985**k * (degree - 2)
    return best


def travel(plan):
    """Start and end of every step with its pass, and the head's way in all."""
    steps = [s for section in plan["sections"] for s in section["steps"]]
    enter, leave = (np.array([s[key] for s in steps]) for key in ("start", "end"))
    stops = np.vstack([leave, plan["parked"]])
    return steps, enter, leave, np.linalg.norm(np.vstack([enter, plan["parked"]]) - np.vstack([[0, 0], stops[:-1]]), axis=1)


def check_bound(plan):
    steps, enter, leave, ways = travel(plan)
    complaints = []
    if abs(ways.sum() - plan["totals"]["travel_mm"]) > 1e-3:
        complaints.append(f"travel is {ways.sum():.3f}, the plan says {plan['totals']['travel_mm']:.3f}")
    tools = [s["tool"] for s in steps]
    cuts = [0] + [i for i in range(1, len(tools)) if tools[i] != tools[i - 1]] + [len(tools)]
    bound = 0.0
    for a, b in zip(cuts, cuts[1:]):
        start = leave[a - 1] if a else np.zeros(2)
        end = enter[b] if b < len(enter) else np.array(plan["parked"])
        bound += one_tree(enter[a:b], leave[a:b], start, end)
    print(f"    travel {ways.sum():.0f} mm, one-tree bound of {len(cuts) - 1} passes {bound:.0f} mm, ratio {ways.sum() / bound:.3f}")
    if ways.sum() > 1.25 * bound:
        complaints.append("travel is more than 1.25 times the bound")
    return complaints


def check_least_x(plan, layout):
    steps, enter, leave, ways = travel(plan)
    wanted = contours_of(layout)
    order = sorted(range(len(steps)), key=lambda i: (wanted[steps[i]["contour"]][:, 0].min(), i))
    there = np.vstack([enter[order], plan["parked"]])
    here = np.vstack([[0, 0], leave[order]])
    plain = np.linalg.norm(there - here, axis=1).sum()
    print(f"    travel {ways.sum():.0f}, by least x {plain:.0f}")
    return [] if ways.sum() <= plain + 1e-6 else [f"travel {ways.sum():.1f} is above {plain:.1f}"]


def nested(program, job, folder, name):
    out = folder / f"{name}-nested"
    run(program, "nest", job, "-o", out, "--rounds", "0")
    return out / "layout.json"


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("--tuckroll", default="target/release/tuckroll")
    ap.add_argument("--all", action="store_true", help="all reference instances, not every third")
    args = ap.parse_args()
    program = args.tuckroll
    if not pathlib.Path(program).exists():
        print(f"no program at {program}", file=sys.stderr)
        return 2
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        (folder / "letter.json").write_text(json.dumps(LETTER))
        layouts = {"letter": nested(program, folder / "letter.json", folder, "letter"),
                   "day": nested(program, ROOT / "fixtures/demo/day.json", folder, "day")}
        for name, path in layouts.items():
            layout = json.loads(path.read_text())
            for title, device in DEVICES.items():
                if name == "day" and title not in ("plain", "16 bits by section"):
                    continue
                profile, out = folder / "device.json", folder / f"{name}-{title}"
                profile.write_text(json.dumps({"format": "tuckroll-device-1", "name": title, **device}))
                more = ["--section-length", "700"] if device.get("zero") else []
                run(program, "cut", path, "-o", out, "--device", profile, *more)
                say(f"{name}, {title}, plotter file", check_plot(out, layout, device))
                say(f"{name}, {title}, DXF", check_dxf(out))
                if title == "plain" and name == "day":
                    say("day, travel", check_bound(json.loads((out / "plan.json").read_text())))
        shared = pathlib.Path(os.environ.get("TUCKROLL_SHARED", ROOT / "../shared")) / "benchmarks"
        jobs = sorted(j for j in shared.glob("*.json") if '"tuckroll-job-1"' in j.read_text())
        if not jobs:
            print(f"SKIPPED: no reference instances in {shared}")
        for job in jobs if args.all else jobs[::3]:
            path, out = nested(program, job, folder, job.stem), folder / f"{job.stem}-cut"
            run(program, "cut", path, "-o", out)
            say(job.stem, check_least_x(json.loads((out / "plan.json").read_text()), json.loads(path.read_text())))
    print(f"{TOLD['passed']} passed, {TOLD['failed']} failed")
    return 1 if TOLD["failed"] else 0


if __name__ == "__main__":
    sys.exit(main())
