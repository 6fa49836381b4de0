#!/usr/bin/env python3
"""Compares `tuckroll outlines` with what ezdxf wrote, in every DXF version, ASCII and binary.

    pip install ezdxf
    scripts/crosscheck_dxf_read.py [--tuckroll target/release/tuckroll]

make_dxf_samples.py writes the drawings and knows what is in them: areas by closed forms, boxes
by ezdxf. A flattened curve stays within the chord tolerance, so an area may differ by the
length of all contours times that tolerance, and the sides of the box round it by the tolerance.

The last line is 'N passed, N failed', in outlines and warnings. Exit 0, or 1 when one failed.
"""

import argparse
import json
import logging
import subprocess
import sys
import tempfile
from pathlib import Path

import make_dxf_samples

# Fine enough that a wrong bulge or radius cannot hide in it.
CHORD_MM = 0.001


def check(tuckroll, folder, sample):
    """Yields for each thing expected what is wrong with it, or None."""
    mm = sample["mm_per_unit"] or 1.0
    options = ["--json", "--chord-tolerance", str(CHORD_MM)] + ([] if sample["mm_per_unit"] else ["--unit", "mm"])
    run = subprocess.run([tuckroll, "outlines", *options, folder / sample["file"]], capture_output=True, text=True)
    if run.returncode != 0:
        yield f"exit {run.returncode}: {run.stderr.strip()}"
        return
    listing = json.loads(run.stdout)
    yield None if listing["mm_per_unit"] == mm else f"1 unit is {listing['mm_per_unit']} mm, not {mm}"
    found = listing["outlines"]
    for wanted in sample["outlines"]:
        fits = [f for f in found if is_like(f, wanted, mm)]
        yield None if fits else f"no outline like {wanted} among {[f for f in found if f['layer'] == wanted['layer']]}"
        if fits:
            found.remove(fits[0])
    yield from (f"one too many: {f}" for f in found)
    yield from (f"broken: {b}" for b in listing["broken"])
    told = [w["what"] for w in listing["warnings"]]
    for words in sample["warnings"]:
        yield None if any(words in t for t in told) else f"no warning says {words!r}"
    # What a sample is about is all that may be warned of.
    for t in told:
        if not any(words in t for words in sample["warnings"]):
            yield f"an unexpected warning: {t}"


def is_like(found, wanted, mm):
    """Whether layer, box and area agree as closely as the chord tolerance promises."""
    slack = CHORD_MM / mm + wanted.get("slack", 0.0)
    left, low = found["from_x"], found["from_y"]
    box = [left, low, left + found["width"], low + found["height"]]
    return (found["layer"] == wanted["layer"]
            and all(abs(a - b) <= slack + 1e-4 for a, b in zip(box, wanted["box"]))
            and abs(found["area_mm2"] / mm**2 - wanted["area"]) <= wanted["length"] * slack + 1e-6)


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--tuckroll", default="target/release/tuckroll")
    tuckroll = parser.parse_args().tuckroll
    logging.disable(logging.WARNING)
    passed = failed = 0
    with tempfile.TemporaryDirectory() as folder:
        for sample in make_dxf_samples.write_all(Path(folder)):
            for problem in check(tuckroll, Path(folder), sample):
                passed += problem is None
                failed += problem is not None
                if problem:
                    print(f"{sample['file']}: {problem}")
    print(f"{passed} passed, {failed} failed")
    sys.exit(1 if failed or not passed else 0)


if __name__ == "__main__":
    main()
