#!/usr/bin/env python3
"""Writes small binary DXF files to begin fuzzing with: one for each kind of entity that is read.

    make_fuzz_seeds.py tests/fuzz/seeds/dxf_binary      writes the set that is committed

The samples in fixtures/dxf have up to 18 KB, most of it tables that nobody reads; a change at random hardly ever
meets a number of the geometry there. These have a few hundred bytes. Written by hand from the DXF Reference
("Binary DXF files", "Group code value types"), without a library.
"""

import struct
import sys
from pathlib import Path

SENTINEL = b"AutoCAD Binary DXF\r\n\x1a\0"
# First and last group code of a kind of value that is a number, and how it is written.
NUMBERS = [(10, 59, "<d"), (60, 79, "<h"), (90, 99, "<i"), (210, 239, "<d"), (290, 299, "<B")]

METRIC = "9 $ACADVER 1 AC1015 9 $INSUNITS 70 4"
HIDDEN = "0 LAYER 2 HIDE 70 1 62 7 0 LAYER 2 OFF 70 0 62 -7"
BLOCK = "0 BLOCK 2 B 10 1 20 1 0 CIRCLE 8 0 10 2 20 2 40 1 0 ENDBLK"
SEEDS = {
    "lines": {"ENTITIES": "0 LINE 8 A 10 0 20 0 11 9 21 0 0 LINE 8 A 10 9 20 0 11 9 21 9 0 LINE 8 A 10 9 20 9 11 0 21 0"},
    "round": {"HEADER": METRIC, "ENTITIES": "0 CIRCLE 8 A 10 1 20 2 40 3 0 ARC 8 B 10 9 20 0 40 4 50 0 51 180 0 LINE 8 B 10 5 20 0 11 13 21 0"},
    "ellipse": {"ENTITIES": "0 ELLIPSE 8 A 10 0 20 0 11 5 21 0 40 0.5 41 0 42 6.283185307179586"},
    "bulges": {"ENTITIES": "0 LWPOLYLINE 8 A 90 3 70 1 10 0 20 0 42 1 10 9 20 0 42 -0.2 10 5 20 7"},
    "vertices": {"ENTITIES": "0 POLYLINE 8 A 66 1 70 1 0 VERTEX 10 0 20 0 42 0.5 0 VERTEX 10 9 20 0 0 VERTEX 10 4 20 8 0 SEQEND"},
    "spline": {"ENTITIES": "0 SPLINE 8 A 70 0 71 2 40 0 40 0 40 0 40 1 40 1 40 1 10 0 20 0 10 5 20 9 10 9 20 0 41 1 41 0.7 41 1"
                           " 0 LINE 8 A 10 9 20 0 11 0 21 0"},
    "through": {"ENTITIES": "0 SPLINE 8 A 70 1 71 3 11 0 21 0 11 9 21 1 11 8 21 9 11 1 21 8"},
    "blocks": {"BLOCKS": BLOCK, "ENTITIES": "0 INSERT 8 A 2 B 10 5 20 5 41 2 42 1 50 30 70 2 71 3 44 9 45 9"},
    "nested": {"BLOCKS": BLOCK + " 0 BLOCK 2 C 10 0 20 0 0 INSERT 8 0 2 B 10 0 20 0 42 -1 0 ENDBLK",
               "ENTITIES": "0 INSERT 8 A 2 C 10 5 20 5 0 INSERT 8 A 2 C 10 50 20 5 230 -1"},
    "hidden": {"HEADER": METRIC, "TABLES": HIDDEN,
               "ENTITIES": "0 CIRCLE 8 HIDE 10 0 20 0 40 3 0 CIRCLE 8 OFF 10 0 20 0 40 3 0 TEXT 8 A 1 word 0 CIRCLE 8 A 67 1 10 0 20 0 40 3"},
}


def value(code, text):
    """A value as its group code asks for; a string where the code asks for no number."""
    for first, last, form in NUMBERS:
        if first <= code <= last:
            return struct.pack(form, float(text) if form == "<d" else int(text))
    return text.encode("ascii") + b"\0"


def binary(sections, wide):
    """A file of these sections; group codes take two bytes, or one as in R12."""
    words = []
    for name, pairs in sections.items():
        words += ["0", "SECTION", "2", name, *pairs.split(), "0", "ENDSEC"]
    words += ["0", "EOF"]
    out = SENTINEL
    for code, text in zip(map(int, words[::2]), words[1::2], strict=True):
        out += struct.pack("<H" if wide else "<B", code) + value(code, text)
    return out


def main():
    if len(sys.argv) != 2:
        print(__doc__, file=sys.stderr)
        sys.exit(2)
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    for name, sections in SEEDS.items():
        (folder / f"{name}.dxf").write_bytes(binary(sections, wide=True))
    # Codes up to 254 take one byte.
    for name in ("lines", "blocks"):
        (folder / f"{name}-r12.dxf").write_bytes(binary(SEEDS[name], wide=False))


if __name__ == "__main__":
    main()
