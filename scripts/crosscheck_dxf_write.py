#!/usr/bin/env python3
"""Audits cut files with ezdxf and compares what it reads with the layouts they were made from.

    pip install ezdxf numpy
    scripts/crosscheck_dxf_write.py [--tuckroll target/release/tuckroll]

Each layout (the demo jobs, and jobs made here: inches, holes, parts, lines of every role,
mirrored panels, gap 0, names that try to break out) is exported in every DXF version and unit.
ezdxf reads the file strictly and audits it: no error and nothing to fix. Everything in it must
be a polyline; header unit and version must be those asked for; every contour of the layout,
placed by the layout format's own rule with numpy, must be there once and nothing else on the
cut layers: area within a millionth, every point within a ten-thousandth of a millimetre.

The last line is 'N passed, N failed'. Exit 0, 1, or 2 when a needed thing is absent.
"""
import argparse
import collections
import json
import math
import pathlib
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

ROLES = {"cut": "TR_KISS", "through": "TR_THROUGH", "draw": "TR_PEN", "print": "TR_PRINTED"}
VERSIONS = {"r12": "AC1009", "r2000": "AC1015", "r2010": "AC1024"}
# Millimetres, $INSUNITS and $MEASUREMENT of the DXF reference.
UNITS = {"mm": (1.0, 4, 1), "in": (25.4, 1, 0)}
# Six decimals are written in the file's unit.
NEAR = 1e-4
ROOT = pathlib.Path(__file__).resolve().parent.parent


def own_jobs():
    """Jobs made for what the demo lacks."""
    square = [[0, 0], [2, 0], [2, 2], [0, 2]]
    wheel = [[1.5 * math.cos(t / 30 * math.tau), 1.5 * math.sin(t / 30 * math.tau)] for t in range(30)]
    spoke = [[0.3 * x - 0.6, 0.3 * y] for x, y in wheel]
    everything = {
        "format": "tuckroll-job-1", "name": "0 EOF <&> \u00e6\u706b", "unit": "in", "gap": 0.125,
        "roll": {"width": 24, "edge_margin": 0.25, "lead_margin": 0.5, "tail_margin": 0.5,
                 "flaws": [[[5, 20], [6, 20], [5.5, 21]]]},
        "panels": [
            {"id": "wheel {\\\\H0;} %%u", "kit": "Ærø %%c", "copies": 7, "outline": wheel,
             "holes": [spoke, [[x + 1.2, y] for x, y in spoke]], "grain": {"rule": "free"}},
            {"id": "letters", "copies": 2, "mirror": True, "grain": {"along": 30, "rule": "two-way"},
             "parts": [{"outline": square}, {"outline": [[x + 3, y] for x, y in square]}],
             "lines": [{"role": r, "points": [[0.2, i / 4 + 0.3], [1.8, i / 4 + 0.4], [1, i / 4 + 0.5]], "closed": c}
                       for i, (r, c) in enumerate([("cut", False), ("through", True), ("draw", False), ("print", True)])]},
        ]}
    board = {"format": "tuckroll-job-1", "name": "board", "unit": "mm", "gap": 0, "roll": {"width": 80},
             "panels": [{"id": "tile", "copies": 16, "outline": [[0, 0], [20, 0], [20, 20], [0, 20]]}]}
    return {"everything": everything, "board": board}


def expected(layout):
    """Layer, closed or not, and points in millimetres of all that the layout holds."""
    mm = UNITS[layout["unit"]][0]
    panels = {p["id"]: p for p in layout["panels"]}
    for place in layout["placements"]:
        panel = panels[place["panel"]]
        for part in panel.get("parts") or [panel]:
            for ring in [part["outline"], *part.get("holes", [])]:
                ring = ring[:-1] if ring[0] == ring[-1] else ring
                yield "TR_KISS", True, placed(ring, place) * mm
        for line in panel.get("lines", []):
            if line.get("copy", place["copy"]) == place["copy"]:
                yield ROLES[line["role"]], line.get("closed", False), placed(line["points"], place) * mm


def found(doc, mm):
    """The same of a drawing; the first kind of entity that is no polyline ends it."""
    for e in doc.modelspace():
        if e.dxftype() == "LWPOLYLINE":
            points = [p[:2] for p in e.get_points("xy")]
        elif e.dxftype() == "POLYLINE":
            points = [(v.dxf.location.x, v.dxf.location.y) for v in e.vertices]
        else:
            raise ValueError(f"a {e.dxftype()}")
        closed = e.closed if e.dxftype() == "LWPOLYLINE" else e.is_closed
        yield e.dxf.layer, bool(closed), np.array(points, dtype=float) * mm


def area(p):
    q = p - p[0]
    return 0.5 * abs(np.sum(q[:, 0] * np.roll(q[:, 1], -1) - q[:, 1] * np.roll(q[:, 0], -1)))


def same(a, b, closed):
    """Whether two contours are equal, in either direction and from any first point."""
    if len(a) != len(b):
        return False
    for q in (b, b[::-1]):
        starts = range(len(q)) if closed else [0]
        if any(np.abs(a - np.roll(q, -k, axis=0)).max() <= NEAR for k in starts if np.abs(a[0] - q[k]).max() <= NEAR):
            return not closed or abs(area(a) - area(b)) <= 1e-6 * max(area(a), 1.0)
    return False


def check(path, layout, version, unit):
    """All complaints about one file."""
    mm, insunits, measurement = UNITS[unit]
    doc = ezdxf.readfile(path)
    audit = doc.audit()
    complaints = [e.message for e in audit.errors + audit.fixes]
    for name, is_, wanted in [("version", doc.dxfversion, VERSIONS[version]),
                              ("$INSUNITS", doc.header.get("$INSUNITS"), insunits),
                              ("$MEASUREMENT", doc.header.get("$MEASUREMENT"), measurement)]:
        if is_ != wanted:
            complaints.append(f"{name} is {is_}, not {wanted}")
    by_layer = collections.defaultdict(list)
    for layer, closed, points in found(doc, mm):
        by_layer[layer].append((closed, points))
        if layer not in doc.layers:
            complaints.append(f"layer {layer} is not in the table")
    scale = by_layer["TR_SCALE_CHECK"]
    if len(scale) != 1 or abs(area(scale[0][1]) - 1e4) > 0.01:
        complaints.append("no check square of 100 mm")
    for layer, closed, points in expected(layout):
        match = next((i for i, (c, q) in enumerate(by_layer[layer]) if c == closed and same(points, q, c)), None)
        if match is None:
            complaints.append(f"{layer}: no contour of {len(points)} points at {points[0]}")
        else:
            del by_layer[layer][match]
    complaints += [f"{layer}: {len(by_layer[layer])} lines too many" for layer in ROLES.values() if by_layer[layer]]
    return complaints


def run(program, *args):
    done = subprocess.run([program, *args], capture_output=True, text=True)
    if done.returncode:
        sys.exit(f"{program} {' '.join(map(str, args))}\nexit {done.returncode}\n{done.stderr}")


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("--tuckroll", default="target/release/tuckroll")
    program = ap.parse_args().tuckroll
    if not pathlib.Path(program).exists():
        print(f"no program at {program}", file=sys.stderr)
        return 2
    passed = failed = 0
    print(f"ezdxf {ezdxf.__version__}")
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        jobs = [ROOT / "fixtures/demo/day.json"]
        for name, job in own_jobs().items():
            jobs.append(folder / f"{name}.json")
            jobs[-1].write_text(json.dumps(job))
        for job in jobs:
            out = folder / f"{job.stem}-nested"
            run(program, "nest", job, "-o", out, "--rounds", "1")
            layout = json.loads((out / "layout.json").read_text())
            for version, unit in [(v, u) for v in VERSIONS for u in UNITS]:
                again = folder / f"{job.stem}-{version}-{unit}"
                run(program, "export", out / "layout.json", "-o", again, "--dxf", version, "--cut-unit", unit)
                try:
                    complaints = check(again / "cut.dxf", layout, version, unit)
                except (ezdxf.DXFError, ValueError) as bad:
                    complaints = [str(bad)]
                passed, failed = passed + (not complaints), failed + bool(complaints)
                print(f"{again.name}: {'; '.join(complaints[:3]) or 'clean'}")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
