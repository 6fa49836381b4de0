#!/usr/bin/env python3
"""Holds the lower bound of the length against layouts that others made, and against known optima.

    python3 scripts/crosscheck_bound.py --tuckroll target/release/tuckroll

The bound is valid when it exceeds no length that was ever reached:

  1. puzzles of make_jobs.py whose least length is known: the squared square (Duijvestijn 1978), Moron's
     rectangle (1925), twelve pentominoes in widths 3 to 6, random jigsaws (the rectangle they are cut from);
  2. the reference instances in $TUCKROLL_SHARED/benchmarks (../shared by default):
     the optimum by construction, or the best length published (`best_2025`, a density rounded to 0.01).

The last line is 'N passed, N failed'; exit code 1 when something failed, otherwise 2 when the reference
instances are absent, so that what was not looked at is not taken for passed.
"""
import argparse
import json
import os
import pathlib
import random
import subprocess
import sys
import tempfile

import make_jobs

HERE = pathlib.Path(__file__).resolve().parent
SHARED = pathlib.Path(os.environ.get("TUCKROLL_SHARED", HERE.parent.parent / "shared"))


def bound_of(tuckroll, job, folder):
    path = pathlib.Path(folder) / "job.json"
    path.write_text(json.dumps(job))
    args = [tuckroll, "nest", path, "-o", pathlib.Path(folder) / "out", "--replace", "--rounds", "0", "--json"]
    said = json.loads(subprocess.run(args, check=True, capture_output=True, text=True).stdout)
    return said["lower_bound_mm"] / (25.4 if job["unit"] == "in" else 1.0)


def area(ring):
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, ring[1:] + ring[:1]))) / 2


def filled(job):
    """Length at which the panels fill the width without a gap between them."""
    total = sum(p.get("copies", 1) * area(p["outline"]) for p in job["panels"])
    return total / job["roll"]["width"]


def puzzles():
    """Jobs that are known to fill a rectangle."""
    rng = random.Random(1)
    for family in (make_jobs.puzzles, make_jobs.jigsaws):
        for job in family(rng):
            if any(word in job["name"] for word in ("square", "moron", "pentomino", "jigsaw")):
                yield job, filled(job)


def published(folder):
    table = json.loads((folder / "published.json").read_text())
    for name, row in sorted(table["density"].items()):
        best = row.get("optimum", row.get("best_2025"))
        if best is not None and (folder / f"{name}.json").is_file():
            job = json.loads((folder / f"{name}.json").read_text())
            yield job, filled(job) / ((best - 0.005) / 100)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--tuckroll", required=True, type=pathlib.Path)
    tuckroll = parser.parse_args().tuckroll.resolve()
    counts = [0, 0]
    instances = SHARED / "benchmarks"
    absent = not (instances / "published.json").is_file()
    with tempfile.TemporaryDirectory() as folder:
        for job, length in [*puzzles(), *([] if absent else published(instances))]:
            bound = bound_of(tuckroll, job, folder)
            holds = 0 < bound <= length * (1 + 1e-6)
            counts[0 if holds else 1] += 1
            print(f"{'ok  ' if holds else 'FAIL'} {job['name']}: bound {bound:.3f}, reached {length:.3f}")
    if absent:
        print(f"the reference instances were not looked at: none in {instances} (set TUCKROLL_SHARED)")
    print(f"{counts[0]} passed, {counts[1]} failed")
    if counts[1]:
        return 1
    return 2 if absent else 0


if __name__ == "__main__":
    sys.exit(main())
