#!/usr/bin/env python3
"""Does a browser see the same outlines in a drawing as `tuckroll` reads from it?

    python3 scripts/crosscheck_svg_read.py [--tuckroll target/release/tuckroll] [FILE.svg ...]

Every drawing (all of fixtures/svg unless named; its shapes painted, not only stroked) is packed
as a job of its own, and the outlines are taken from the layout, so that the whole way from file
to layout is checked. Two opinions:

* headless Chromium (Debian package `chromium`): what is painted at each point of a grid, hit by
  its own geometry code, and its bounding boxes of whole drawings;
* svgelements (a Python package): the bounding box of every painted shape.

An opinion whose program is missing is skipped and named. The last line is 'N passed, N failed',
counted in drawings and opinions. Exit code 1 on any difference, 2 when no opinion could be asked.
"""
import argparse
import json
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parent.parent
MM_PER_PX = 25.4 / 96
# Distance between points of the grid, in CSS pixels; not a divisor of any size in the fixtures.
STEP = 1.7
# Points nearer to an outline than this, in mm, may be either: chord tolerance and a browser's
# 1/64 pixel.
BAND = 0.03
# Outlines made of loose lines that no fill shows, by file: how many at the end.
UNPAINTED = {"shapes.svg": 1}
# A browser's box of a drawing with turned parts is the box round turned boxes, not the least one.
LOOSE_BOXES = {"instances.svg", "transforms.svg", "style-transforms.svg"}
# Boxes of shapes hidden by `visibility` still count for a browser.
HIDDEN_PARTS = {"styles.svg"}
# What svgelements leaves out or reads otherwise: transforms and sizes in styles, inner viewports,
# alternatives; and the box of a skewed circle, which it makes taller though skewX keeps heights.
NOT_FOR_SVGELEMENTS = {"style-transforms.svg", "instances.svg", "styles.svg", "transforms.svg"}

PROBE = """<script type="text/javascript"><![CDATA[
window.addEventListener('load', () => {
  const root = document.documentElement, box = root.getBoundingClientRect(), rows = [];
  const kinds = new Set(['path','rect','circle','ellipse','polygon','polyline','use','line']);
  for (let y = STEP / 3; y < box.height; y += STEP) {
    let row = '';
    for (let x = STEP / 3; x < box.width; x += STEP)
      row += document.elementsFromPoint(x, y).some(e => kinds.has(e.localName)) ? '1' : '0';
    rows.push(row);
  }
  const m = root.getScreenCTM(), b = root.getBBox();
  const all = {rows, ctm: [m.a, m.b, m.c, m.d, m.e, m.f], box: [b.x, b.y, b.x + b.width, b.y + b.height]};
  root.setAttribute('data-probe', JSON.stringify(all).replaceAll('"', "'"));
});
]]></script>"""


def outlines(tuckroll, svg, folder):
    """Millimetres per unit, and rings in mm by panel, as the layout has them."""
    listed = json.loads(run([tuckroll, "outlines", "--json", str(svg)]))
    shutil.copy(svg, folder / svg.name)
    job = {
        "format": "tuckroll-job-1",
        "name": svg.stem,
        "unit": "mm",
        "roll": {"width": 5000},
        "gap": 1,
        "panels": [{"id": "p", "file": svg.name, "all": True, "grain": {"rule": "free"}}],
    }
    (folder / "job.json").write_text(json.dumps(job))
    run([tuckroll, "nest", str(folder / "job.json"), "-o", str(folder / "out"), "--rounds", "0"])
    layout = json.loads((folder / "out" / "layout.json").read_text())
    panels = [[p["outline"], *p.get("holes", [])] for p in layout["panels"]]
    return listed["mm_per_unit"], panels


def run(command):
    done = subprocess.run(command, capture_output=True, text=True, timeout=300)
    if done.returncode != 0:
        sys.exit(f"{command[0]} ended with {done.returncode}: {done.stderr.strip()}")
    return done.stdout


def sides(panels):
    return [(r[i - 1], r[i]) for rings in panels for r in rings for i in range(len(r))]


def row_crossings(edges, y):
    """Where the outlines cross a line of equal y, sorted: inside is after an odd number."""
    return sorted(a[0] + (y - a[1]) * (b[0] - a[0]) / (b[1] - a[1]) for a, b in edges if (a[1] > y) != (b[1] > y))


def near(edges, x, y):
    for (ax, ay), (bx, by) in edges:
        dx, dy = bx - ax, by - ay
        dd = dx * dx + dy * dy
        t = 0.0 if dd == 0 else min(1.0, max(0.0, ((x - ax) * dx + (y - ay) * dy) / dd))
        if (x - ax - t * dx) ** 2 + (y - ay - t * dy) ** 2 <= BAND * BAND:
            return True
    return False


def bounds(panels):
    points = [p for rings in panels for r in rings for p in r]
    xs, ys = [p[0] for p in points] or [0.0], [p[1] for p in points] or [0.0]
    return [min(xs), min(ys), max(xs), max(ys)]


def probe(chromium, svg, folder):
    page = folder / "probe.svg"
    text = svg.read_text()
    at = text.rindex("</svg>")
    page.write_text(text[:at] + PROBE.replace("STEP", str(STEP)) + text[at:])
    options = ["--headless", "--no-sandbox", "--disable-gpu", "--window-size=3000,3000"]
    profile = f"--user-data-dir={folder / 'profile'}"
    dom = run([chromium, *options, profile, "--virtual-time-budget=60000", "--dump-dom", page.as_uri()])
    found = re.search(r'data-probe="([^"]*)"', dom)
    if not found:
        sys.exit(f"{svg.name}: the browser gave no answer")
    return json.loads(found.group(1).replace("'", '"'))


def against_browser(seen, svg, mm_per_unit, panels):
    a, _, _, d, e, f = seen["ctm"]
    faults = []
    # A browser rounds the size of a picture to 1/64 pixel.
    if abs(a * MM_PER_PX / mm_per_unit - 1) > 1e-4:
        faults.append(f"a unit is {a * MM_PER_PX} mm in the browser, {mm_per_unit} mm as read")
    unpainted = UNPAINTED.get(svg.name, 0)
    painted = panels[: len(panels) - unpainted]
    loose = [bounds([p]) for p in panels[len(panels) - unpainted :]]
    edges, points, differ = sides(painted), 0, []
    for j, row in enumerate(seen["rows"]):
        y = -((STEP / 3 + j * STEP) - f) / d * mm_per_unit
        cuts, k = row_crossings(edges, y), 0
        for i, hit in enumerate(row):
            x = ((STEP / 3 + i * STEP) - e) / a * mm_per_unit
            while k < len(cuts) and cuts[k] < x:
                k += 1
            if any(b[0] - 1 < x < b[2] + 1 and b[1] - 1 < y < b[3] + 1 for b in loose):
                continue
            points += 1
            if (k % 2 == 1) != (hit == "1") and not near(edges, x, y):
                differ.append((round(x, 3), round(y, 3)))
    if differ:
        faults.append(f"{len(differ)} of {points} points differ, such as {differ[:3]} mm")
    if svg.name not in LOOSE_BOXES | HIDDEN_PARTS:
        x0, y0, x1, y1 = (v * mm_per_unit for v in seen["box"])
        theirs, ours = [x0, -y1, x1, -y0], bounds(panels)
        if any(abs(p - q) > BAND for p, q in zip(theirs, ours)):
            faults.append(f"box {theirs} in the browser, {ours} as read")
    inside = sum(row.count("1") for row in seen["rows"])
    return faults, f"{points} points ({inside} painted)"


def against_svgelements(svg, panels):
    import svgelements

    parsed = svgelements.SVG.parse(str(svg), reify=True)
    boxes = [bounds([rings]) for rings in panels]
    mine = svgelements.Path, svgelements.Shape
    faults, count = [], 0
    view = parsed.viewbox
    for shape in parsed.elements():
        if not isinstance(shape, mine) or shape.fill.value is None:
            continue
        x0, y0, x1, y1 = svgelements.Path(shape).bbox(with_stroke=False)
        # Its pixels start at the corner of the view box; ours keep the numbers of the file.
        scale = MM_PER_PX
        ox, oy = view.x * parsed.width / view.width, view.y * parsed.height / view.height
        box = [(x0 + ox) * scale, -(y1 + oy) * scale, (x1 + ox) * scale, -(y0 + oy) * scale]
        held = [b for b in boxes if all(b[i] >= box[i] - BAND and b[i + 2] <= box[i + 2] + BAND for i in (0, 1))]
        count += 1
        if not held:
            faults.append(f"no outline in the box {box} of {shape.values.get('tag', 'a shape')}")
            continue
        ours = [min(b[0] for b in held), min(b[1] for b in held), max(b[2] for b in held), max(b[3] for b in held)]
        if any(abs(p - q) > BAND for p, q in zip(box, ours)):
            faults.append(f"box {box} by svgelements, {ours} as read")
    return faults, f"{count} boxes"


def has_svgelements():
    try:
        import svgelements  # noqa: F401
    except ImportError:
        return False
    return True


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--tuckroll", default=str(ROOT / "target/release/tuckroll"))
    parser.add_argument("files", nargs="*", type=pathlib.Path)
    args = parser.parse_args()
    chromium, library = shutil.which("chromium"), has_svgelements()
    for name, there in (("chromium", chromium), ("svgelements", library)):
        if not there:
            print(f"skipped: {name} is not installed")
    if not chromium and not library:
        sys.exit(2)
    passed = failed = 0
    for svg in args.files or sorted((ROOT / "fixtures/svg").glob("*.svg")):
        with tempfile.TemporaryDirectory() as name:
            folder = pathlib.Path(name)
            mm_per_unit, panels = outlines(args.tuckroll, svg, folder)
            opinions = []
            if chromium:
                seen = probe(chromium, svg, folder)
                opinions.append(("browser", against_browser(seen, svg, mm_per_unit, panels)))
                if not against_browser(seen, svg, mm_per_unit, panels[1:])[0]:
                    sys.exit(f"{svg.name}: the comparison does not notice a missing outline")
            if library and svg.name not in NOT_FOR_SVGELEMENTS:
                opinions.append(("svgelements", against_svgelements(svg, panels)))
        for who, (faults, looked_at) in opinions:
            passed, failed = passed + (not faults), failed + bool(faults)
            print(f"{svg.name:22} {who:12} {looked_at:32} {'DIFFERS' if faults else 'agrees'}")
            for fault in faults:
                print(f"    {fault}")
    print(f"{passed} passed, {failed} failed")
    sys.exit(1 if failed or not passed else 0)


if __name__ == "__main__":
    main()
