#!/usr/bin/env python3
"""Reads DXF samples with `tuckroll outlines --json` and compares with what is in them.

    crosscheck_dxf_read.py TUCKROLL DIR

DIR is what make_dxf_samples.py wrote. A flattened curve stays within the chord tolerance, so an
area may differ from the closed form by the length of all contours times that tolerance, and the
sides of the box round it by the tolerance. Exits with 1 when anything differs.
"""

import json
import subprocess
import sys
from pathlib import Path

# Fine enough that a wrong bulge or radius cannot hide in it.
CHORD_MM = 0.001


def problems(tuckroll, folder, sample):
    mm = sample["mm_per_unit"] or 1.0
    options = ["--json", "--chord-tolerance", str(CHORD_MM)] + ([] if sample["mm_per_unit"] else ["--unit", "mm"])
    run = subprocess.run([tuckroll, "outlines", *options, folder / sample["file"]], capture_output=True, text=True)
    if run.returncode != 0:
        yield f"exit {run.returncode}: {run.stderr.strip()}"
        return
    listing = json.loads(run.stdout)
    if listing["mm_per_unit"] != mm:
        yield f"1 unit is {listing['mm_per_unit']} mm, not {mm}"
    found = listing["outlines"]
    for wanted in sample["outlines"]:
        fits = [f for f in found if is_like(f, wanted, mm)]
        if fits:
            found.remove(fits[0])
        else:
            yield f"no outline like {wanted} among {[f for f in found if f['layer'] == wanted['layer']]}"
    yield from (f"one too many: {f}" for f in found)
    yield from (f"broken: {b}" for b in listing["broken"])
    told = [w["what"] for w in listing["warnings"]]
    yield from (f"no warning says {words!r}" for words in sample["warnings"] if not any(words in t for t in told))


def is_like(found, wanted, mm):
    """Whether layer, box and area agree as closely as the chord tolerance promises."""
    slack = CHORD_MM / mm + wanted.get("slack", 0.0)
    left, low = found["from_x"], found["from_y"]
    box = [left, low, left + found["width"], low + found["height"]]
    return (found["layer"] == wanted["layer"]
            and all(abs(a - b) <= slack + 1e-4 for a, b in zip(box, wanted["box"]))
            and abs(found["area_mm2"] / mm**2 - wanted["area"]) <= wanted["length"] * slack + 1e-6)


def main():
    tuckroll, folder = sys.argv[1], Path(sys.argv[2])
    samples = json.loads((folder / "samples.json").read_text())
    wrong = 0
    for sample in samples:
        for problem in problems(tuckroll, folder, sample):
            print(f"{sample['file']}: {problem}")
            wrong += 1
    print(f"{len(samples)} files, {sum(len(s['outlines']) for s in samples)} outlines, {wrong} differences")
    sys.exit(1 if wrong or not samples else 0)


if __name__ == "__main__":
    main()
