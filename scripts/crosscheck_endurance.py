#!/usr/bin/env python3
"""A day of jobs, over and over: the same bytes every time, memory flat, nothing left behind.

    scripts/crosscheck_endurance.py [--tuckroll target/release/tuckroll] [--minutes 480]

Each turn is what a shop does with a job: nest in place of the last result, check, cut, report, recut, confirm the cut
twice. All turns must write the same bytes, take as much memory as the first to within a fifth and 4 MiB, and
leave nothing but their files, neither beside them nor in the folder for temporary files. Then one process nests a job
over many seeds, whose memory must not grow from the first half of its life to the second by more.

Three turns and 40 seeds, or as many turns as fit into `--minutes`. The last line is 'N passed, N failed'.
Needs Linux.
"""
import argparse
import hashlib
import json
import os
import pathlib
import subprocess
import tempfile
import time

from checks import Checks
from crosscheck_faults import wedges

SHARE, MARGIN = 1.2, 4.0  # how much more memory a later run may take, in MiB: allocators are not exact


class Desk:
    """A folder with a job and a stock, and the program, whose temporary files go into a folder of their own."""

    def __init__(self, program, folder):
        self.program, self.at, self.temporary = program, folder / "desk", folder / "temporary"
        self.at.mkdir()
        self.temporary.mkdir()
        job = wedges(3)
        (self.at / "plain.json").write_text(json.dumps(job))
        roll = {"id": "white", "film": "white", "length": 5000} | job.pop("roll")
        self.stock = json.dumps({"format": "tuckroll-stock-1", "unit": "mm", "rolls": [roll]})
        (self.at / "day.json").write_text(json.dumps(job | {"stock": "stock.json"}))

    def command(self, *words):
        return [self.program, *words]

    def environment(self):
        return {**os.environ, "TMPDIR": str(self.temporary)}

    def run(self, *words):
        """Exit code, peak of memory in MiB and what was printed."""
        with tempfile.TemporaryFile() as said:
            process = subprocess.Popen(self.command(*words), cwd=self.at, stdout=said, stderr=said, env=self.environment())
            _, status, usage = os.wait4(process.pid, 0)
            process.returncode = os.waitstatus_to_exitcode(status)
            said.seek(0)
            return process.returncode, usage.ru_maxrss / 1024, said.read().decode()

    def files(self):
        """Every file and what is in it, and nothing that is there only for a while."""
        found = {}
        for path in sorted(self.at.rglob("*")):
            found[str(path.relative_to(self.at))] = hashlib.sha256(path.read_bytes()).hexdigest() if path.is_file() else "folder"
        return found


TURN = [
    ("nest", "plain.json", "-o", "out", "--rounds", "3", "--replace"),
    ("check", "out/layout.json", "--job", "plain.json"),
    ("cut", "out/layout.json", "-o", "plotter", "--replace"),
    ("report", "out/layout.json", "-o", "told", "--replace"),
    ("export", "out/layout.json", "-o", "again", "--replace"),
    ("panels", "kit.json", "-o", "panels", "--width", "594", "--replace"),
    ("nest", "day.json", "-o", "day", "--rounds", "1", "--replace"),
    ("stock", "confirm", "day/white/layout.json"),
    ("stock", "confirm", "day/white/layout.json"),
    ("recut", "out/layout.json", "--kit", "k1", "-o", "recut.json"),
]


def turns(desk, checks, end):
    """Turns until the time is over, three at least; returns how many."""
    first, peaks, count = None, {}, 0
    kit = pathlib.Path(__file__).resolve().parent.parent / "fixtures/kits/tube.json"
    (desk.at / "kit.json").write_bytes(kit.read_bytes())
    while count < 3 or time.monotonic() < end:
        (desk.at / "stock.json").write_text(desk.stock)
        (desk.at / "recut.json").unlink(missing_ok=True)
        for words in TURN:
            code, peak, said = desk.run(*words)
            checks.expect(code == 0, f"turn {count}: {' '.join(words)}: exit code {code}: {said[-300:]}")
            most = SHARE * peaks.setdefault(words, peak) + MARGIN
            checks.expect(peak <= most, f"turn {count}: {words[0]} took {peak:.1f} MiB, {peaks[words]:.1f} at first")
        files = desk.files()
        first = first or files
        different = sorted(k for k in first.keys() | files.keys() if first.get(k) != files.get(k))
        checks.expect(not different, f"turn {count}: other files than at first: {different[:5]}")
        left = sorted(p.name for p in desk.temporary.iterdir())
        checks.expect(not left, f"turn {count}: left in the folder for temporary files: {left[:5]}")
        count += 1
    return count


def one_process(desk, checks, seeds):
    """Many searches in one process; its memory is looked at all the time."""
    words = ["compare", "plain.json", "-o", "compared", "--seeds", f"1-{seeds}", "--rounds", "1", "--threads", "2"]
    process = subprocess.Popen(desk.command(*words), cwd=desk.at, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=desk.environment())
    sizes = []
    while process.poll() is None:
        try:
            resident = pathlib.Path(f"/proc/{process.pid}/statm").read_text().split()[1]
            sizes.append(int(resident) * os.sysconf("SC_PAGE_SIZE") / 2**20)
        except (OSError, IndexError):
            pass
        time.sleep(0.02)
    half = len(sizes) // 2
    checks.expect(process.returncode == 0 and half > 2, f"compare: exit code {process.returncode}, {len(sizes)} looks")
    if half > 2:
        before, after = max(sizes[:half]), max(sizes[half:])
        checks.expect(after <= SHARE * before + MARGIN, f"{before:.1f} MiB in the first half, {after:.1f} in the second")
        print(f"{seeds} searches in one process: {before:.1f} MiB at most, then {after:.1f}")


def main():
    parser = argparse.ArgumentParser(formatter_class=argparse.RawDescriptionHelpFormatter, description=__doc__)
    parser.add_argument("--tuckroll", default="target/release/tuckroll")
    parser.add_argument("--minutes", type=float, default=0)
    options = parser.parse_args()
    checks = Checks()
    with tempfile.TemporaryDirectory() as folder:
        desk = Desk(str(pathlib.Path(options.tuckroll).resolve()), pathlib.Path(folder))
        count = turns(desk, checks, time.monotonic() + 60 * options.minutes)
        print(f"{count} turns of {len(TURN)} commands")
        one_process(desk, checks, 40 * max(1, count // 10))
    checks.finish()


if __name__ == "__main__":
    main()
