#!/usr/bin/env python3
"""Holds the demo day, and the scripts beside this one, against what others published or computed.

    pip install -r scripts/requirements.txt
    python3 scripts/crosscheck_demo.py --tuckroll target/release/tuckroll

  1. the self-checks of make_demo, lattice_limit and convert_esicup: formulas against published values;
  2. make_demo writes the committed bytes again, kits and drawings;
  3. every drawing of the demo has the areas that ezdxf and shapely find in it;
  4. every outline of the demo's layout is a simple polygon to GEOS, and the parts of a panel lie apart;
     kits give most of them, and each has its fit sheet;
  5. no layout of one convex outline is denser than its limit, by lattice_limit: translates (proved
     by Fejes Toth 1950 and Rogers 1951) and centrally symmetric outlines (Fejes Toth 1950).

The last line is 'N passed, N failed'; exit code 1 when something failed.
"""
import argparse
import contextlib
import io
import json
import pathlib
import subprocess
import sys
import tempfile

import contact_sheet
import convert_esicup
import lattice_limit
import make_demo
import make_jobs

HERE = pathlib.Path(__file__).resolve().parent
DEMO = HERE.parent / "fixtures/demo"


def self_checks():
    for module in (make_demo, lattice_limit, convert_esicup):
        said = io.StringIO()
        with contextlib.redirect_stdout(said):
            wrong = module.self_check()
        yield f"self-check of {module.__name__}", not wrong, said.getvalue() if wrong else ""


def same_bytes():
    with tempfile.TemporaryDirectory() as folder:
        script = [sys.executable, HERE / "make_demo.py", folder]
        subprocess.run(script, check=True, capture_output=True)
        made = {p.name: p.read_bytes() for p in pathlib.Path(folder).iterdir()}
    # preview.png is drawn by the program, for the README.
    kept = {p.name: p.read_bytes() for p in DEMO.iterdir() if p.name != "preview.png"}
    for name in sorted(made.keys() | kept.keys()):
        yield f"{name} is made again byte for byte", made.get(name) == kept.get(name), ""


def drawing_areas(tuckroll):
    """The program flattens within 0.02 mm, so areas agree within that times the contour's length."""
    for path in sorted(DEMO.glob("*.dxf")):
        layers = sorted({e.dxf.layer for e in contact_sheet.ezdxf.readfile(path).modelspace()})
        args = [tuckroll, "outlines", path, "--json"] + (["--unit", "mm"] if path.name == "moon-fins.dxf" else [])
        said = json.loads(subprocess.run(args, check=True, capture_output=True, text=True).stdout)
        unit = "mm" if "--unit" in args else None
        for layer in layers:
            theirs = contact_sheet.regions(contact_sheet.contours_dxf(path, layer, unit))
            ours = [o for o in said["outlines"] if o["layer"] == layer]
            a, b = sum(p.area for p in theirs), sum(o["area_mm2"] for o in ours)
            ok = len(ours) == len(theirs) and abs(a - b) <= 0.02 * sum(p.length for p in theirs)
            yield f"{path.name} {layer}: {b:.1f} mm2", ok, f"ezdxf finds {len(theirs)} outlines, {a:.1f} mm2"


def polygons(tuckroll):
    """Of the layout, in which the panels of kits and drawings are outlines like the others."""
    with tempfile.TemporaryDirectory() as folder:
        out = pathlib.Path(folder) / "out"
        args = [tuckroll, "nest", DEMO / "day.json", "-o", out, "--rounds", "0"]
        subprocess.run(args, check=True, capture_output=True)
        layout = json.loads((out / "layout.json").read_text())
        sheets = len(list(out.glob("sheet-*.html")))
    for name, _, polys in contact_sheet.solids(layout, DEMO):
        apart = all(not polys[i].intersects(polys[j]) for i in range(len(polys)) for j in range(i))
        yield f"{name} is sound", apart and all(p.is_valid and p.area > 0 for p in polys), ""
    job = json.loads((DEMO / "day.json").read_text())
    orders = [f"{k['id']}.{c}" if k.get("copies", 1) > 1 else k["id"] for k in job["kits"] for c in range(1, k.get("copies", 1) + 1)]
    copies = lambda panels: sum(p.get("copies", 1) for p in panels)
    drawn = copies(job["panels"]) + 3  # the planets are four
    every = copies(layout["panels"])
    yield "a fit sheet for every order that is a kit", sheets == len(orders), f"{sheets} for {len(orders)}"
    yield "kits give most of the panels", every - drawn > drawn, f"{drawn} of {every} are drawn"


def densities(tuckroll):
    cases = [("gore", make_jobs.gore_outline(), "one-way", 1), ("lens", make_jobs.lens_outline(), "one-way", 1),
             ("lens", make_jobs.lens_outline(), "two-way", 0)]  # fmt: skip
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        for shape, outline, rule, which in cases:
            job = make_jobs.job(f"{shape} {rule}", "", 610, [make_jobs.panel(shape, outline, rule, 40)])
            (folder / "job.json").write_text(json.dumps(job))
            args = [tuckroll, "nest", folder / "job.json", "-o", folder / "out", "--replace", "--rounds", "3"]
            subprocess.run(args, check=True, capture_output=True)
            density = json.loads((folder / "out/layout.json").read_text())["density_percent"]
            limit = 100.0 * lattice_limit.limits(outline)[which]
            yield f"{shape} {rule}: {density:.2f} %, limit {limit:.2f} %", 0 < density <= limit, ""


def main():
    ap = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ap.add_argument("--tuckroll", type=pathlib.Path, required=True)
    tuckroll = ap.parse_args().tuckroll.resolve()
    passed = failed = 0
    for check in (self_checks(), same_bytes(), drawing_areas(tuckroll), polygons(tuckroll), densities(tuckroll)):
        for name, ok, why in check:
            passed, failed = passed + bool(ok), failed + (not ok)
            if not ok:
                print(f"FAILED {name} {why}")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
