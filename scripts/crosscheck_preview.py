#!/usr/bin/env python3
"""Compares the preview as two renderers paint it: resvg (inside the program) and Chromium.

    pip install numpy;  apt-get install chromium
    scripts/crosscheck_preview.py [--tuckroll target/release/tuckroll]

The demo's preview.svg is painted by headless Chromium at the width of preview.png. Edges are
smoothed differently, so that blocks of 4 by 4 pixels are compared by their mean colour.

The last line is 'N passed, N failed'. Exit 0, 1, or 2 when a needed thing is absent.
"""
import argparse
import pathlib
import shutil
import struct
import subprocess
import sys
import tempfile
import zlib

try:
    import numpy as np
except ImportError:
    print("needs numpy", file=sys.stderr)
    sys.exit(2)

ROOT = pathlib.Path(__file__).resolve().parent.parent
BROWSERS = ["chromium", "chromium-browser", "google-chrome"]
FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--hide-scrollbars",
         "--disable-background-networking", "--disable-component-update", "--disable-sync",
         "--force-device-scale-factor=1", "--allow-file-access-from-files"]
BLOCK = 4
# Of 255, measured over the blocks: a hairline moved by a pixel stays below the first, and
# the mean of a picture without any panel is far beyond the second.
WORST_BLOCK, MEAN = 64.0, 2.0


def read_png(path):
    """8-bit RGB or RGBA, not interlaced: the PNG specification, sections 5, 9 and 11."""
    data = path.read_bytes()
    at, packed = 8, b""
    while at < len(data):
        size, kind = struct.unpack(">I4s", data[at:at + 8])
        body = data[at + 8:at + 8 + size]
        if kind == b"IHDR":
            width, height, depth, colour, _, _, interlaced = struct.unpack(">IIBBBBB", body)
        elif kind == b"IDAT":
            packed += body
        at += size + 12
    channels = {2: 3, 6: 4}[colour]
    assert depth == 8 and not interlaced
    raw = np.frombuffer(zlib.decompress(packed), np.uint8).reshape(height, 1 + width * channels)
    above = np.zeros((width, channels), np.int32)
    rows = np.empty((height, width, channels), np.uint8)
    for y in range(height):
        above = unfilter(raw[y, 0], raw[y, 1:].reshape(width, channels).astype(np.int32), above)
        rows[y] = above
    return rows[:, :, :3].astype(float)


def unfilter(kind, line, above):
    if kind == 0:
        return line
    if kind == 1:
        return np.cumsum(line, axis=0) % 256
    if kind == 2:
        return (line + above) % 256
    out = [[0] * line.shape[1]]
    corner = [0] * line.shape[1]
    for now, up in zip(line.tolist(), above.tolist()):
        left = out[-1]
        if kind == 3:
            out.append([(v + (a + b) // 2) % 256 for v, a, b in zip(now, left, up)])
        else:
            out.append([(v + paeth(a, b, c)) % 256 for v, a, b, c in zip(now, left, up, corner)])
        corner = up
    return np.array(out[1:], np.int32)


def paeth(a, b, c):
    p = a + b - c
    pa, pb, pc = abs(p - a), abs(p - b), abs(p - c)
    return a if pa <= pb and pa <= pc else b if pb <= pc else c


def blocks(picture):
    h, w = (n // BLOCK * BLOCK for n in picture.shape[:2])
    return picture[:h, :w].reshape(h // BLOCK, BLOCK, w // BLOCK, BLOCK, 3).mean(axis=(1, 3))


def paint(browser, svg, width, height, folder):
    page = folder / "page.html"
    page.write_text(f'<body style="margin:0"><img src="{svg.as_uri()}" style="width:{width}px;display:block">')
    shot = folder / "shot.png"
    subprocess.run([browser, *FLAGS, f"--user-data-dir={folder / 'profile'}", f"--window-size={width},{height}",
                    f"--screenshot={shot}", page.as_uri()], check=True, capture_output=True, timeout=180)
    return read_png(shot)


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("--tuckroll", default="target/release/tuckroll")
    program = ap.parse_args().tuckroll
    browser = next((b for b in map(shutil.which, BROWSERS) if b), None)
    if not browser or not pathlib.Path(program).exists():
        print(f"no {'program at ' + program if browser else 'Chromium'}", file=sys.stderr)
        return 2
    passed = failed = 0
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        out = folder / "out"
        subprocess.run([program, "nest", ROOT / "fixtures/demo/day.json", "-o", out, "--rounds", "1", "--png"],
                       check=True, capture_output=True)
        ours = read_png(out / "preview.png")
        height, width = ours.shape[:2]
        theirs = paint(browser, out / "preview.svg", width, height, folder)
        if theirs.shape != ours.shape:
            sys.exit(f"pictures of {ours.shape} and {theirs.shape}")
        difference = np.abs(blocks(ours) - blocks(theirs)).max(axis=2)
        print(f"{width} x {height}: worst block {difference.max():.1f}, mean {difference.mean():.3f} of 255")
        # The measure must be able to tell: the same picture upside down is no match.
        upside_down = np.abs(blocks(ours) - blocks(theirs[::-1])).max(axis=2)
        print(f"upside down: mean {upside_down.mean():.1f}")
        for ok in (difference.max() <= WORST_BLOCK, difference.mean() <= MEAN, upside_down.mean() > 10 * MEAN):
            passed, failed = passed + bool(ok), failed + (not ok)
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
