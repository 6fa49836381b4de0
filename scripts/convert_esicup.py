#!/usr/bin/env python3
"""Converts irregular packing instances of the public ESICUP collection (CC0) into job files.

    python3 scripts/convert_esicup.py albano.xml shapes0.json -o jobs
    python3 scripts/convert_esicup.py shirts.txt --width 40 --rule two-way -o jobs

Three layouts of the collection are read; a number stands for a millimetre whatever the
source meant, since only ratios matter.

  XML   <nesting>: <problem> with a <boards> piece (its height is the strip's width) and a <lot> of pieces with
        quantity, <orientation> angles and components; <polygons> with <segment x0 y0 x1 y1>
  JSON  items with demand, allowed orientations and a simple polygon; a strip height
  text  blocks of PIECE, QUANTITY, NUMBER OF VERTICES, VERTICES (X,Y) and one pair a line; the text knows
        neither strip nor turns, so --width is needed and --rule should be given

The layouts are written down here from memory of the collection; what a file says differently
is an error that names the place. Pieces of several polygons keep the outer one and its holes.

Turns: 0 alone becomes `one-way`; 0 and 180 `two-way`; quarter turns `quarter`; none listed (JSON)
`free`. Any other set is an error, since the job format has no rule for it.

    python3 scripts/convert_esicup.py --self-check      converts tests/data/esicup/*
"""
import argparse
import json
import pathlib
import re
import sys
import xml.etree.ElementTree as ET

RULES = {(0,): "one-way", (0, 180): "two-way", (0, 90, 180, 270): "quarter"}


class Unreadable(Exception):
    """What is wrong with an instance, and where."""


def rule_of(angles, where):
    if angles is None:
        return "free"
    key = tuple(sorted({float(a) % 360.0 for a in angles})) or (0.0,)
    if key not in RULES:
        raise Unreadable(f"{where}: no grain rule allows just the turns {list(key)}")
    return RULES[key]


def plain(points):
    """Floats, without a repeated first point and neighbouring repeats."""
    pts = [[float(x), float(y)] for x, y in points]
    pts = [p for i, p in enumerate(pts) if i == 0 or p != pts[i - 1]]
    if len(pts) > 1 and pts[0] == pts[-1]:
        pts.pop()
    return pts


# --- XML ----------------------------------------------------------------------------------------


def local(tag):
    return tag.rsplit("}", 1)[-1]


def all_named(node, name):
    return [n for n in node.iter() if local(n.tag) == name]


def polygon_xml(node, where):
    """The ring of a polygon's segments, in the order of their numbers; each must start where the last ended."""
    segments = sorted(all_named(node, "segment"), key=lambda s: int(s.get("n", 0)))
    if len(segments) < 3:
        raise Unreadable(f"{where}: fewer than three segments")
    at = lambda s, k: (float(s.get("x" + k)), float(s.get("y" + k)))
    for a, b in zip(segments, segments[1:] + segments[:1]):
        if at(a, "1") != at(b, "0"):
            raise Unreadable(f"{where}: segment {b.get('n')} does not start where segment {a.get('n')} ends")
    return plain(at(s, "0") for s in segments)


def shape_xml(piece, polygons, where):
    outline, holes = None, []
    for part in all_named(piece, "component"):
        name = part.get("idPolygon")
        if name not in polygons:
            raise Unreadable(f"{where}: no polygon {name}")
        dx, dy = float(part.get("xOffset", 0)), float(part.get("yOffset", 0))
        ring = [[x + dx, y + dy] for x, y in polygons[name]]
        if part.get("type", "0") in ("0", "outer"):
            if outline is not None:
                raise Unreadable(f"{where}: two outer polygons")
            outline = ring
        else:
            holes.append(ring)
    if outline is None:
        raise Unreadable(f"{where}: no outer polygon")
    return outline, holes


def read_xml(text, name):
    root = ET.fromstring(text)
    polygons = {p.get("id"): polygon_xml(p, f"polygon {p.get('id')}") for p in all_named(root, "polygon")}
    boards = [p for b in all_named(root, "boards") for p in all_named(b, "piece")]
    if len(boards) != 1:
        raise Unreadable(f"{len(boards)} boards, one strip is wanted")
    strip, _ = shape_xml(boards[0], polygons, "board")
    width = max(y for _, y in strip) - min(y for _, y in strip)
    panels = []
    for lot in all_named(root, "lot"):
        for piece in all_named(lot, "piece"):
            where = f"piece {piece.get('id')}"
            outline, holes = shape_xml(piece, polygons, where)
            angles = [e.get("angle") for e in all_named(piece, "enumeration")]
            panels.append((int(piece.get("quantity", 1)), outline, holes, rule_of(angles, where)))
    return root_name(root) or name, width, panels


def root_name(root):
    names = [n.text for n in root if local(n.tag) == "name" and n.text]
    return names[0].strip() if names else None


# --- JSON ---------------------------------------------------------------------------------------


def shape_json(shape, where):
    kind, data = shape.get("type", "simple_polygon"), shape.get("data", shape)
    if kind == "simple_polygon":
        return plain(data), []
    if kind == "polygon":
        return plain(data["outer"]), [plain(h) for h in data.get("inner") or []]
    raise Unreadable(f"{where}: shape {kind!r}")


def read_json(text, name):
    data = json.loads(text)
    width = data.get("strip_height", (data.get("strip") or {}).get("height"))
    if width is None:
        raise Unreadable("no strip height")
    panels = []
    for k, item in enumerate(data["items"]):
        where = f"items[{k}]"
        outline, holes = shape_json(item["shape"], where)
        panels.append((int(item["demand"]), outline, holes, rule_of(item.get("allowed_orientations"), where)))
    return data.get("name", name), float(width), panels


# --- text ---------------------------------------------------------------------------------------


def read_text(text, name, width, rule):
    if width is None:
        raise Unreadable("the text layout does not tell the strip's width (give --width)")
    panels, quantity, want, points = [], 1, 0, []
    for number, line in enumerate(text.splitlines(), 1):
        words, upper = line.replace(",", " ").split(), line.upper()
        if not words:
            continue
        if upper.lstrip().startswith("QUANTITY"):
            quantity = int(words[-1])
        elif "NUMBER OF VERTICES" in upper:
            want, points = int(words[-1]), []
        elif len(words) == 2 and all(re.fullmatch(r"[-+]?\d+(\.\d*)?([eE][-+]?\d+)?", w) for w in words):
            points.append([float(w) for w in words])
            if len(points) == want:
                panels.append((quantity, plain(points), [], rule))
                quantity, want, points = 1, 0, []
            elif want == 0:
                raise Unreadable(f"line {number}: a vertex outside a piece")
    if want:
        raise Unreadable(f"the last piece has {len(points)} of its {want} vertices")
    return name, width, panels


# --- all ----------------------------------------------------------------------------------------


def convert(path, width=None, rule="one-way"):
    text = path.read_text(encoding="utf-8-sig")
    head = text.lstrip()[:1]
    try:
        if head == "<":
            name, width, panels = read_xml(text, path.stem)
        elif head == "{":
            name, width, panels = read_json(text, path.stem)
        else:
            name, width, panels = read_text(text, path.stem, width, rule)
    except (Unreadable, ValueError, KeyError, TypeError, ET.ParseError) as e:
        raise Unreadable(f"{path}: {type(e).__name__ + ': ' if not isinstance(e, Unreadable) else ''}{e}") from e
    if not panels:
        raise Unreadable(f"{path}: no pieces")
    entries = []
    for k, (copies, outline, holes, grain) in enumerate(panels, 1):
        entry = {"id": f"{path.stem}-{k:02}", "copies": copies, "outline": outline}
        if holes:
            entry["holes"] = holes
        entries.append(entry | {"grain": {"along": 0, "rule": grain}})
    return {
        "format": "tuckroll-job-1",
        "name": name,
        "source": "ESICUP cutting and packing data sets (CC0)",
        "unit": "mm",
        "roll": {"width": float(width)},
        "gap": 0,
        "panels": entries,
    }


def area(ring):
    return 0.5 * abs(sum(ring[i - 1][0] * ring[i][1] - ring[i][0] * ring[i - 1][1] for i in range(len(ring))))


def self_check():
    """The same hand-made instance in all three layouts must give the same panels."""
    folder = pathlib.Path(__file__).resolve().parent.parent / "tests/data/esicup"
    jobs = {s: convert(folder / f"sample.{s}", 40.0, "two-way") for s in ("xml", "json", "txt")}
    first = jobs["xml"]
    assert [p["copies"] for p in first["panels"]] == [3, 2], first
    assert [area(p["outline"]) for p in first["panels"]] == [24.0, 50.0], first
    for job in jobs.values():
        assert job["panels"] == first["panels"] and job["roll"] == {"width": 40.0}, job
    for name in ("open.xml", "turns.json", "short.txt"):
        try:
            convert(folder / name, 40.0)
        except Unreadable as e:
            print(f"refused as it should: {e}")
        else:
            raise AssertionError(f"{name} was taken")
    print("ok: three layouts, one instance")


def main():
    ap = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ap.add_argument("files", nargs="*", type=pathlib.Path)
    ap.add_argument("-o", "--out", type=pathlib.Path, default=pathlib.Path("jobs"))
    ap.add_argument("--width", type=float, help="strip width, for the text layout")
    ap.add_argument("--rule", default="one-way", choices=["one-way", "two-way", "quarter", "free"], help="turns, for the text layout")
    ap.add_argument("--self-check", action="store_true")
    a = ap.parse_args()
    if a.self_check:
        return self_check()
    if not a.files:
        ap.error("which files?")
    a.out.mkdir(parents=True, exist_ok=True)
    failed = 0
    for path in a.files:
        try:
            job = convert(path, a.width, a.rule)
        except (Unreadable, OSError) as e:
            print(e, file=sys.stderr)
            failed = 2
            continue
        (a.out / f"{path.stem}.json").write_text(json.dumps(job, indent=1) + "\n")
        print(f"{path.stem}: {sum(p['copies'] for p in job['panels'])} panels, width {job['roll']['width']:g}")
    return failed


if __name__ == "__main__":
    sys.exit(main())
