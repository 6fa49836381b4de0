#!/usr/bin/env python3
"""Checks every panel of a job as a polygon and draws them all on one sheet.

    pip install shapely ezdxf svgelements matplotlib
    python3 scripts/contact_sheet.py JOB.json [-o sheet.png]

The panels of kits are only in the layout that `tuckroll nest` makes of a job: name its layout.json.

Drawings are read with general libraries, not with this program, so the sheet is a second
opinion of what a file holds: DXF through ezdxf, SVG through svgelements, validity and areas
through shapely. Prints one line a panel; exit 1 when one is no simple polygon with area.
"""
import argparse
import collections
import json
import pathlib
import sys

import ezdxf
import ezdxf.path
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.polygon import orient

MM = {1: 25.4, 4: 1.0, 5: 10.0, 6: 1000.0}


def contours_dxf(path, layer, unit):
    """Closed contours of a layer in mm: polylines as they are, loose pieces joined by their ends."""
    doc = ezdxf.readfile(path)
    mm = {"mm": 1.0, "in": 25.4}[unit] if unit else MM[doc.header.get("$INSUNITS", 0)]
    lines, open_ = [], []
    for entity in doc.modelspace():
        if layer is not None and entity.dxf.layer != layer:
            continue
        pieces = entity.virtual_entities() if entity.dxftype() == "INSERT" else [entity]
        for piece in pieces:
            try:
                p = ezdxf.path.make_path(piece)
            except TypeError:
                continue
            pts = [(mm * v.x, mm * v.y) for v in p.flattening(0.01 / mm)]
            (lines if p.is_closed else open_).append(pts)
    return lines + join(open_)


def join(pieces):
    done, near = [], lambda a, b: abs(a[0] - b[0]) + abs(a[1] - b[1]) < 1e-6
    pieces = list(pieces)
    while pieces:
        run = pieces.pop()
        grown = True
        while grown and not near(run[0], run[-1]):
            grown = False
            for i, p in enumerate(pieces):
                if near(run[-1], p[0]) or near(run[-1], p[-1]):
                    run += (p if near(run[-1], p[0]) else p[::-1])[1:]
                    pieces.pop(i)
                    grown = True
                    break
        if near(run[0], run[-1]):
            done.append(run)
    return done


def contours_svg(path):
    import svgelements

    mm = 25.4 / 96.0
    out = []
    for element in svgelements.SVG.parse(str(path), ppi=96).elements():
        if not isinstance(element, svgelements.Shape):
            continue
        for sub in svgelements.Path(element).as_subpaths():
            sub, pts = svgelements.Path(sub), []
            for seg in sub:
                if type(seg).__name__ in ("Move", "Close", "Line"):
                    if seg.end is not None:
                        pts.append((mm * seg.end.x, -mm * seg.end.y))
                    continue
                pts += [(mm * p.x, -mm * p.y) for p in (seg.point(k / 64) for k in range(1, 65))]
            if len(pts) > 2:
                out.append(pts)
    return out


def regions(contours):
    """Contours to polygons with holes by depth of nesting."""
    polys = sorted((Polygon(c) for c in contours), key=lambda p: -p.area)
    found = []
    for i, p in enumerate(polys):
        depth = sum(q.contains(p.representative_point()) for q in polys[:i])
        if depth % 2 == 0:
            found.append((p, []))
        else:
            next(f for f in reversed(found) if f[0].contains(p.representative_point()))[1].append(p)
    return [Polygon(o.exterior.coords, [h.exterior.coords for h in hs]) for o, hs in found]


def solids(job, folder):
    """(id, panel, list of polygons in mm) for every panel of the job."""
    mm = 25.4 if job["unit"] == "in" else 1.0
    scaled = lambda ring: [(mm * x, mm * y) for x, y in ring]
    for panel in job["panels"]:
        if "file" in panel:
            path = folder / panel["file"]
            if path.suffix == ".svg":
                found = regions(contours_svg(path))
            else:
                found = regions(contours_dxf(path, panel.get("layer"), panel.get("file_unit")))
            if "pick" in panel:
                found = [found[k - 1] for k in panel["pick"]]
            if panel.get("all"):
                for k, poly in enumerate(found, 1):
                    yield f"{panel['id']}/{k}", panel, [poly]
                continue
            yield panel["id"], panel, found
            continue
        parts = panel.get("parts") or [panel]
        yield panel["id"], panel, [Polygon(scaled(p["outline"]), [scaled(h) for h in p.get("holes") or []]) for p in parts]


def draw(items, path):
    import matplotlib

    matplotlib.use("Agg")
    import matplotlib.pyplot as plt
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    gap, row_width = 25.0, 1500.0
    x = y = tall = 0.0
    cells = []
    for name, panel, polys in items:
        x0, y0, x1, y1 = MultiPolygon(polys).bounds if len(polys) > 1 else polys[0].bounds
        wide = max(x1 - x0, 3.6 * len(name))
        if x > 0 and x + wide > row_width:
            x, y, tall = 0.0, y - tall - 2.0 * gap, 0.0
        cells.append((name, panel, polys, x - x0, y - y1))
        x, tall = x + wide + gap, max(tall, y1 - y0)
    colours = {k: plt.cm.tab10(i % 10) for i, k in enumerate(dict.fromkeys(p.get("kit", "") for _, p, _ in items))}
    fig, ax = plt.subplots(figsize=(24, 24 * (tall + 50 - y) / (row_width + 50)))
    for name, panel, polys, dx, dy in cells:
        for p in map(orient, polys):
            rings = [p.exterior, *p.interiors]
            verts = [(px + dx, py + dy) for r in rings for px, py in r.coords]
            codes = [c for r in rings for c in [Path.MOVETO] + [Path.LINETO] * (len(r.coords) - 2) + [Path.CLOSEPOLY]]
            ax.add_patch(PathPatch(Path(verts, codes), fc=(*colours[panel.get("kit", "")][:3], 0.35), ec="black", lw=0.7))
        for line in panel.get("lines") or []:
            pts = line["points"] + (line["points"][:1] if line.get("closed") else [])
            ax.plot([q[0] + dx for q in pts], [q[1] + dy for q in pts], color="red", lw=0.9)
        low = min(p.bounds[1] for p in polys) + dy
        left = min(p.bounds[0] for p in polys) + dx
        rule = (panel.get("grain") or {}).get("rule", "one-way")
        ax.text(left, low - 5, f"{name} x{panel.get('copies', 1)} {rule}", fontsize=7, va="top")
    ax.set_xlim(-20, row_width + 60)
    ax.set_ylim(y - tall - 40, 20)
    ax.set_aspect("equal")
    ax.axis("off")
    fig.tight_layout(pad=0.2)
    fig.savefig(path, dpi=75)


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("job", type=pathlib.Path)
    ap.add_argument("-o", "--output", type=pathlib.Path)
    a = ap.parse_args()
    job = json.loads(a.job.read_text())
    items = list(solids(job, a.job.parent))
    faults, area, rules, copies = 0, 0.0, collections.Counter(), 0
    for name, panel, polys in items:
        n = panel.get("copies", 1)
        bad = [shapely.is_valid_reason(p) for p in polys if not p.is_valid or p.area <= 0]
        meet = any(polys[i].intersects(polys[j]) for i in range(len(polys)) for j in range(i))
        faults += bool(bad) + meet
        one = sum(p.area for p in polys)
        x0, y0, x1, y1 = shapely.union_all(polys).bounds
        line = f"{name:28} x{n:<3} {x1 - x0:8.2f} x {y1 - y0:7.2f} mm {one:10.1f} mm2"
        points = sum(len(r.coords) - 1 for p in polys for r in (p.exterior, *p.interiors))
        print(line, f"{points:5} points", *bad, "parts meet" if meet else "")
        rules[(panel.get("grain") or {}).get("rule", "one-way")] += n
        copies += n
        area += 0 if panel.get("optional") else n * one
    width = job["roll"]["width"] * (25.4 if job["unit"] == "in" else 1.0)
    print(f"{copies} copies, {dict(rules)}, required area {1e-6 * area:.4f} m2 = {area / width:.0f} mm of the roll")
    if a.output:
        draw(items, a.output)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
