#!/usr/bin/env python3
"""Does the same job give the same bytes: on other numbers of threads, twice, with its keys in another order, from
another folder, and from a build that looks for overflows and failed assertions?

    scripts/crosscheck_reproducible.py [--tuckroll target/release/tuckroll] [--other PROGRAM]

A desk is a folder with the demo, a mixed job (match groups, holes, kits, drawings, flaws, money, notes) and a day on
several pieces of film. Every command that writes files is run on it, and all files and all that was printed are
compared with those of the first desk:

* threads 2 and 5 against 1; once more, under another time zone, language and user;
* keys shuffled at every depth of every JSON input. Only what is inside `notes` keeps its order: the program passes
  that through as it is, so the order there shows in layout.json by design;
* in another folder, the files named by absolute paths from elsewhere;
* by another build, with optimisation nearly off and with overflow checks and debug assertions on: `cargo build
  --profile checked` makes it unless --other names one.

A layout with its keys shuffled is cut, reported and exported as the layout itself. No file holds today's date, the
folder's path, the user's or the machine's name, and pictures have no other chunks than their pixels. Another seed
gives other bytes, or the comparison would be blind.

The last line is 'N passed, N failed'. Exit code 0 or 1.
"""
import argparse
import datetime
import json
import os
import pathlib
import random
import shutil
import socket
import subprocess
import tempfile
import time

from checks import Checks

HERE = pathlib.Path(__file__).resolve().parent.parent
PASSED_THROUGH = "notes"
USER = "quillfeather"  # in no text of ours, unlike the names of real users

MIXED = {
    "format": "tuckroll-job-1",
    "name": "Mixed",
    "source": "invented for this project",
    "unit": "mm",
    "roll": {"width": 610, "edge_margin": [8, 9], "lead_margin": 20, "tail_margin": 15, "length": 9000,
             "flaws": [[[140, 200], [180, 190], [200, 230], [150, 240]]], "price": {"amount": "4.35", "per": "m"}},
    "rates": {"currency": "EUR", "waste": "box", "ink": {"amount": "2.80", "per": "m2"},
              "labour": {"per_hour": "38.00", "minutes_per_job": 20, "minutes_per_kit": 6}},
    "keep": {"length": 150, "width": 100},
    "gap": 3,
    "kits": [{"id": "R-1", "file": "kits/rocket.json"}, {"id": "P-1", "file": "kits/plate.json", "copies": 2}],
    "panels": [
        {"id": "left", "kit": "M", "match": "pair", "copies": 3, "grain": {"rule": "two-way", "slack": 0, "along": 0},
         "outline": [[0, 0], [160, 0], [120, 90], [30, 70]]},
        {"id": "right", "kit": "M", "match": "pair", "copies": 2, "grain": {"rule": "two-way"},
         "outline": [[0, 0], [130, 20], [170, 80], [10, 95]], "lines": [{"role": "draw", "points": [[20, 20], [90, 60]]}]},
        {"id": "frame", "copies": 3, "fill_holes": True, "grain": {"rule": "quarter"},
         "outline": [[0, 0], [210, 0], [210, 150], [0, 150]], "holes": [[[20, 20], [190, 20], [190, 130], [20, 130]]]},
        {"id": "free", "copies": 5, "mirror": True, "grain": {"rule": "free"}, "outline": [[0, 0], [60, 5], [25, 30], [20, 80]]},
        {"id": "letters", "copies": 2, "grain": {"along": 90, "rule": "one-way", "slack": 3},
         "parts": [{"outline": [[0, 0], [40, 0], [40, 15]]}, {"outline": [[50, 0], [70, 0], [70, 30], [50, 30]]}]},
        {"id": "fins", "file": "demo/moon-fins.dxf", "file_unit": "mm", "all": True,
         "grain": {"rule": "two-way"}},
        {"id": "filler", "optional": True, "copies": 8, "keep_clear": "hull", "grain": {"rule": "free"},
         "outline": [[0, 0], [30, 0], [30, 8], [8, 8], [8, 30], [0, 30]]},
    ],
    "notes": {"zulu": 1, "alpha": {"second": [3, {"y": 1, "b": 2}], "first": None}, "mike": "kept as it is"},
}
# {} stands for the folder when files are named by absolute paths; every other word is a command's own.
WHOLE = [
    "nest {}demo/day.json -o {}demo-out --rounds 1 --threads THREADS",
    "nest {}mixed.json -o {}mixed-out --rounds 2 --threads THREADS --png",
    "nest {}mixed.json -o {}grouped-out --rounds 1 --threads THREADS --group kit --seed 3",
    "nest {}films/day.json -o {}films-out --rounds 1 --threads THREADS",
    "compare {}mixed.json -o {}which --gap 2,3 --seeds 1 --rounds 1 --threads THREADS",
]
SEARCHED = {"demo-out", "mixed-out", "grouped-out", "films-out", "which"}
AFTER = [
    "cut {}mixed-out/layout.json -o {}plotter --section-length 700 --marks --overcut 1 --weed-frame --test-cut 10",
    "cut {}films-out -o {}films-plotter",
    "report {}mixed-out/layout.json -o {}told --section-length 700",
    "export {}mixed-out/layout.json -o {}again --dxf r2010 --cut-unit in --png",
    "recut {}mixed-out/layout.json --kit M -o {}recut.json",
    "panels {}kits/rocket.json -o {}patterns --width 594 --order R-7",
]
FROM_LAYOUT = [
    "cut {}mixed-out/layout.json -o {}plotter-2 --section-length 700 --marks --overcut 1 --weed-frame --test-cut 10",
    "report {}mixed-out/layout.json -o {}told-2 --section-length 700",
    "export {}mixed-out/layout.json -o {}again-2 --dxf r2010 --cut-unit in --png",
    "recut {}mixed-out/layout.json --kit M -o {}recut-2.json",
]


def shuffled(value, rng):
    """The same JSON with the keys of every object in another order, but for what is passed through."""
    if isinstance(value, list):
        return [shuffled(v, rng) for v in value]
    if not isinstance(value, dict):
        return value
    keys = list(value)
    while len(keys) > 1 and keys == list(value):
        rng.shuffle(keys)
    return {k: value[k] if k == PASSED_THROUGH else shuffled(value[k], rng) for k in keys}


class Desk:
    """A folder with all inputs, and what the program made in it."""

    def __init__(self, program, folder, checks):
        self.program, self.at, self.checks = program, folder, checks
        for name in ("demo", "kits", "films"):
            shutil.copytree(HERE / "fixtures" / name, folder / name)
        (folder / "mixed.json").write_text(json.dumps(MIXED))
        self.inputs = set(folder.rglob("*"))
        self.said = {}

    def shuffle(self, files, rng):
        for file in files:
            old = file.read_text()
            new = json.dumps(shuffled(json.loads(old), rng), indent=rng.choice([None, 1, 7]))
            self.checks.expect(json.loads(new) == json.loads(old) and new != old, f"{file.name} was not shuffled")
            file.write_text(new)

    def run(self, lines, threads=2, env=None, absolute=False):
        for line in lines:
            folder = f"{self.at}/" if absolute else ""
            words = [w.replace("{}", folder).replace("THREADS", str(threads)) for w in line.split()]
            done = subprocess.run([self.program, *words], cwd="/" if absolute else self.at, capture_output=True,
                                  env={**os.environ, **named(self.at), **(env or {})})
            self.checks.expect(done.returncode == 0, f"{' '.join(words)}: exit code {done.returncode}: {done.stderr.decode()}")
            self.said[f"what is printed by: {line}"] = done.stdout + b"\0" + done.stderr

    def made(self):
        """All files that were made, by their names in the desk."""
        new = sorted(p for p in self.at.rglob("*") if p not in self.inputs and p.is_file())
        return {str(p.relative_to(self.at)): p.read_bytes() for p in new}


def named(home):
    """An environment that names the user and a folder."""
    return {"USER": USER, "LOGNAME": USER, "USERNAME": USER, "HOME": str(home), "HOSTNAME": f"{USER}-machine", "TZ": "UTC"}


def compare(checks, what, first, second, printed=False):
    """Every file of the one is in the other with the same bytes; what was printed, too, where names are the same."""
    a, b = (d.made() | (d.said if printed else {}) for d in (first, second))
    equal(checks, what, a, b)


def equal(checks, what, a, b):
    checks.expect(a and a.keys() == b.keys(), f"{what}: other files: {sorted(a.keys() ^ b.keys())[:5]}")
    for name in sorted(a.keys() & b.keys()):
        at = next((i for i, (x, y) in enumerate(zip(a[name], b[name])) if x != y), min(len(a[name]), len(b[name])))
        around = [t[name][max(0, at - 30):at + 30] for t in (a, b)]
        checks.expect(a[name] == b[name], f"{what}: {name} differs at byte {at}: {around[0]} and {around[1]}")


def dates():
    """Today as people and programs write it, here and in UTC."""
    forms = ["%Y-%m-%d", "%Y%m%d", "%d.%m.%Y", "%d/%m/%Y", "%m/%d/%Y", "%d %b %Y", "%b %d", "%B %d", "%d %B", "%d-%b-%Y"]
    days = {datetime.date.today(), datetime.datetime.now(datetime.timezone.utc).date()}
    return {day.strftime(form) for day in days for form in forms}


def says_nothing(checks, desk, today):
    """Neither when nor where nor by whom the files were made."""
    words = {*today, *dates(), str(desk.at), desk.at.name, str(HERE), USER, tempfile.gettempdir() + "/"}
    host = socket.gethostname()
    words |= {host} if len(host) > 5 else set()
    for name, data in desk.made().items():
        told = sorted(w for w in words if w.encode() in data)
        checks.expect(not told, f"{name} tells {told}")
        if name.endswith(".png"):
            chunks = set(chunk_names(data))
            checks.expect(chunks <= {b"IHDR", b"PLTE", b"pHYs", b"IDAT", b"IEND"}, f"{name} has the chunks {chunks}")


def chunk_names(png):
    """The names of the chunks of a picture (PNG Specification, 3rd edition, chunk layout)."""
    at = 8
    while at < len(png):
        yield png[at + 4:at + 8]
        at += 12 + int.from_bytes(png[at:at + 4], "big")


def checked_build():
    """The program once more, with little optimisation and everything looked at that a release leaves out."""
    subprocess.run(["cargo", "build", "--quiet", "--profile", "checked"], cwd=HERE, check=True)
    return pathlib.Path(os.environ.get("CARGO_TARGET_DIR", HERE / "target")).resolve() / "checked/tuckroll"


def main():
    parser = argparse.ArgumentParser(formatter_class=argparse.RawDescriptionHelpFormatter, description=__doc__)
    parser.add_argument("--tuckroll", default="target/release/tuckroll")
    parser.add_argument("--other", help="another build of the program")
    options = parser.parse_args()
    program = str(pathlib.Path(options.tuckroll).resolve())
    other = str(pathlib.Path(options.other).resolve() if options.other else checked_build())
    checks, today, rng = Checks(), dates(), random.Random(5)
    with tempfile.TemporaryDirectory(prefix="desks-") as name:

        def desk(which=program):
            return Desk(which, pathlib.Path(tempfile.mkdtemp(prefix="desk-", dir=name)), checks)

        def timed(what, work):
            begun = time.monotonic()
            work()
            print(f"{time.monotonic() - begun:6.1f} s  {what}", flush=True)

        first = desk()
        timed("one thread", lambda: first.run(WHOLE + AFTER, threads=1))
        says_nothing(checks, first, today)

        def threads():
            for count in (2, 5):
                more = desk()
                more.run(WHOLE, threads=count)
                # What follows a search does not know how many threads it had.
                equal(checks, f"{count} threads", {k: v for k, v in first.made().items() if k.split("/")[0] in SEARCHED}, more.made())
        timed("two threads, five threads", threads)

        def again():
            more = desk()
            elsewhere = {"TZ": "Pacific/Kiritimati", "LC_ALL": "tr_TR.UTF-8", "LANG": "de_DE.UTF-8", "USER": "other", "COLUMNS": "40"}
            more.run(WHOLE + AFTER, threads=1, env=elsewhere)
            compare(checks, "once more, under another time zone, language and user", first, more, printed=True)
        timed("once more", again)

        def keys():
            more = desk()
            inputs = [p for p in sorted(more.inputs) if p.suffix == ".json"]
            more.shuffle(inputs, rng)
            more.run(WHOLE + AFTER, threads=2)
            compare(checks, "keys shuffled", first, more)
            # The layout itself in another order: read by a command of its own, it is the same layout.
            more.shuffle([more.at / "mixed-out/layout.json"], rng)
            more.run(FROM_LAYOUT)
            for folder in ("plotter", "told", "again"):
                kept = {n: {k.split("/", 1)[1]: v for k, v in more.made().items() if k.startswith(f"{n}/")} for n in (folder, f"{folder}-2")}
                equal(checks, f"keys of the layout shuffled: {folder}", *kept.values())
            checks.expect(more.made()["recut.json"] == more.made()["recut-2.json"], "keys of the layout shuffled: recut differs")
        timed("keys shuffled", keys)

        def absolute():
            more = desk()
            more.run(WHOLE + AFTER, threads=2, absolute=True)
            compare(checks, "named by absolute paths", first, more)
            says_nothing(checks, more, today)
        timed("absolute paths", absolute)

        def builds():
            more = desk(other)
            more.run(WHOLE + AFTER, threads=2)
            compare(checks, "the other build", first, more, printed=True)
        timed("the other build", builds)

        def blind():
            more = desk()
            more.run([WHOLE[1] + " --seed 2"])
            layouts = [d.made()["mixed-out/layout.json"] for d in (first, more)]
            checks.expect(layouts[0] != layouts[1], "another seed gives the same bytes")
        timed("another seed", blind)
        print(f"{len(first.made())} files, {sum(map(len, first.made().values())) / 2**20:.1f} MiB")
    checks.finish()


if __name__ == "__main__":
    main()
