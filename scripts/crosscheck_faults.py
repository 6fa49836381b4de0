#!/usr/bin/env python3
"""What is left when things go wrong: the program killed or asked to stop at a random moment, full disks, places that
cannot be written, pipes that close, inputs that change meanwhile, clocks that jump.

    scripts/crosscheck_faults.py [--tuckroll target/release/tuckroll] [--count 6] [--seed 1] [--only WORD]

`--count` moments for each thing that is killed or stopped. Expected every time: what was there before or the new
result, byte for byte, and nothing between; the next run goes on as if nothing had happened. A program that is
killed while it writes may leave a folder `.tuckroll-…` behind, which no later run minds. Needs Linux; a part
that needs root (small disks) says that it skips.

The last line is 'N passed, N failed'.
"""
import argparse
import collections
import json
import os
import pathlib
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time



def tree(path):
    """Every file below a folder and its bytes; None where there is no folder."""
    if not path.is_dir():
        return None
    return {str(p.relative_to(path)): p.read_bytes() for p in sorted(path.rglob("*")) if p.is_file()}


def wedges(copies, **more):
    panels = [{"id": f"wedge {i}", "copies": copies, "kit": f"k{i % 2}", "grain": {"rule": "quarter"},
               "outline": [[0, 0], [s, 0], [1.5 * s, 0.4 * s], [0.7 * s, s], [0.3 * s, 0.5 * s]]}
              for i, s in enumerate(range(20, 44, 3))]
    return {"format": "tuckroll-job-1", "name": "wedges", "unit": "mm", "roll": {"width": 160, "edge_margin": 12, "lead_margin": 30,
            "tail_margin": 30}, "gap": 1.5, "panels": panels, **more}


def drawing(outlines):
    """A large DXF of closed polylines."""
    out = ["0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"]
    for i in range(outlines):
        x, y = i % 200 * 30.0, i // 200 * 30.0
        corners = [(x, y), (x + 20, y), (x + 20, y + 20), (x + 10, y + 12.5), (x, y + 20)]
        out.append("0\nPOLYLINE\n8\nCUT\n66\n1\n70\n1\n")
        out += [f"0\nVERTEX\n8\nCUT\n10\n{px:.6f}\n20\n{py:.6f}\n" for px, py in corners]
        out.append("0\nSEQEND\n")
    return "".join(out) + "0\nENDSEC\n0\nEOF\n"


STOPS = [signal.SIGINT, signal.SIGTERM, signal.SIGHUP]


class Desk:
    """A folder with jobs, and the program."""

    def __init__(self, program, folder, rng):
        self.program, self.at, self.rng = program, folder, rng
        self.tally, self.failed = collections.Counter(), 0
        self.put("job.json", wedges(1))
        self.put("other.json", {**wedges(1), "name": "another"})
        self.put("long.json", wedges(6))
        (folder / "large.dxf").write_text(drawing(3_000))
        self.put("large.json", {**wedges(1), "panels": [{"id": "d", "file": "large.dxf", "all": True}]})
        day = wedges(1, stock="stock.json")
        del day["roll"]
        self.put("day.json", day)
        self.put("kit.json", {"format": "tuckroll-kit-1", "name": "tube", "unit": "mm", "parts": [
            {"id": "tube", "kind": "tube", "diameter": 40, "length": 200}]})
        self.put("stock.json", {"format": "tuckroll-stock-1", "unit": "mm", "keep": {"length": 40, "width": 20},
                                "rolls": [{"id": "r0", "width": 160, "length": 9000}]})

    def put(self, name, value):
        (self.at / name).write_text(json.dumps(value))

    def start(self, line, **more):
        # Whoever runs this with nohup has SIGHUP ignored, and the program would heed that.
        more.setdefault("preexec_fn", lambda: signal.signal(signal.SIGHUP, signal.SIG_DFL))
        return subprocess.Popen([self.program, *line.split()], cwd=self.at, stdin=subprocess.DEVNULL,
                                stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, **more)

    def run(self, line, **more):
        """Exit code, standard output, standard error."""
        child = self.start(line, **more)
        out, err = child.communicate()
        return child.returncode, out, err

    def must(self, line):
        code, out, err = self.run(line)
        if code:
            sys.exit(f"tuckroll {line}: exit code {code}: {err}")
        return out

    def expect(self, what, good, told=""):
        self.tally[what] += 1
        if not good:
            self.failed += 1
            print(f"{what}: {told}", flush=True)

    def left(self):
        """Leftovers of runs that were killed."""
        return [p for p in self.at.iterdir() if p.name.startswith(".tuckroll-")]

    def sweep(self):
        for p in self.left():
            shutil.rmtree(p) if p.is_dir() else p.unlink()

    def stopped(self, line, span, how):
        """Runs, sends a signal at a random moment of `span` seconds, and gives exit code and what was said."""
        child = self.start(line)
        time.sleep(self.rng.uniform(0, span))
        child.send_signal(how)
        _, err = child.communicate()
        return child.returncode, err

    def span(self, line):
        begun = time.monotonic()
        self.must(line)
        return 1.1 * (time.monotonic() - begun)


def results(desk):
    """Commands that write a folder, with the old and the new content of it."""
    desk.must("nest job.json -o first --rounds 0")
    desk.must("nest other.json -o second --rounds 0")
    lines = {"nest": "nest {job} -o {out} --rounds 0 --png", "report": "report {lay} -o {out}", "cut": "cut {lay} -o {out} --marks",
             "export": "export {lay} -o {out}"}
    for name, line in lines.items():
        one = line.format(job="job.json", lay="first/layout.json", out=f"{name}-out")
        two = line.format(job="other.json", lay="second/layout.json", out=f"{name}-out")
        yield name, one, two + " --replace", desk.at / f"{name}-out"


def kills(desk, count):
    """SIGKILL at random moments: every output whole or absent; an old one is there until the new one is."""
    for name, one, two, out in results(desk):
        span = desk.span(one)
        old = tree(out)
        desk.must(two)
        new = tree(out)
        for _ in range(count):
            shutil.rmtree(out)
            desk.stopped(one, span, signal.SIGKILL)
            now = tree(out)
            desk.expect(f"{name} killed", now in (None, old), f"{out.name} holds {now and list(now)}")
            if now is None:
                desk.must(one)
            desk.stopped(two, span, signal.SIGKILL)
            now = tree(out)
            desk.expect(f"{name} --replace killed", now in (old, new), f"{out.name} holds {now and list(now)}")
        desk.must(two)
        desk.expect(f"{name} after kills", tree(out) == new, "the next run gives something else")
        desk.sweep()


def stock_kills(desk, count):
    """The stock is never lost, and is right after one more confirmation, however often one was killed before."""
    stock = desk.at / "stock.json"
    old = stock.read_bytes()
    desk.must("nest day.json -o day --rounds 0")
    line = "stock confirm day/r0/layout.json"
    span = desk.span(line)
    new = stock.read_bytes()
    for _ in range(count):
        stock.write_bytes(old)
        desk.stopped(line, span, signal.SIGKILL)
        desk.expect("stock killed", stock.read_bytes() in (old, new), "the stock is neither the old nor the new one")
        desk.must(line)
        desk.expect("stock confirmed after a kill", stock.read_bytes() == new, "the stock is wrong")
    desk.sweep()


def signals(desk, count):
    """SIGINT, SIGTERM and SIGHUP in every phase: the right exit code, a whole result or none, nothing left behind."""
    for name, line, span in [("reading a large drawing", "nest large.json -o out --rounds 0", 0.6),
                             ("first layout", "nest large.json -o out --rounds 0", 3.0),
                             ("search", "nest long.json -o out --rounds 100000 --trace t.csv", 2.0),
                             ("writing", "nest job.json -o out --rounds 0 --png", 0.8),
                             ("comparing", "compare job.json -o out --gap 1,2 --seeds 1-3 --rounds 3", 3.0)]:
        for i in range(count):
            how = STOPS[i % len(STOPS)]
            code, err = desk.stopped(line, span, how)
            # Before the program listens, the system ends it; it may also have been done already.
            desk.expect(f"stopped: {name}", code in (-how, 0) or code == 128 + how and "stopped" in err, f"exit code {code}: {err}")
            out = desk.at / "out"
            if out.exists() and (out / "layout.json").exists():
                desk.expect(f"stopped: {name}: checked", desk.run("check out/layout.json")[0] == 0, "the layout is bad")
            desk.expect(f"stopped: {name}: tidy", not desk.left(), f"{desk.left()} left behind")
            shutil.rmtree(out, ignore_errors=True)
            (desk.at / "t.csv").unlink(missing_ok=True)
            desk.sweep()


def writers_stopped(desk, count):
    """SIGINT, SIGTERM and SIGHUP to commands that do not search: all is written or nothing, and a word is said."""
    desk.must("nest long.json -o long --rounds 0")
    desk.must("nest day.json -o for-stock --rounds 0")
    at = desk.at

    def state():
        one = at / "out.json"
        return tree(at / "out"), one.exists() and one.read_bytes(), (at / "stock.json").read_bytes()

    before = state()

    def back():
        shutil.rmtree(at / "out", ignore_errors=True)
        (at / "out.json").unlink(missing_ok=True)
        (at / "stock.json").write_bytes(before[2])

    for line in ["cut long -o out --each-section --section-length 80", "report long/layout.json -o out",
                 "export long/layout.json -o out --png", "panels kit.json --width 140 -o out",
                 "recut long/layout.json --kit k0 -o out.json", "stock confirm for-stock/r0/layout.json"]:
        name = line.split()[0]
        span = desk.span(line)
        after = state()
        desk.expect(f"stopped: {name}: writes", after != before, "it writes nothing")
        # It is over in an instant: so many moments are needed to meet the writing.
        for i in range(4 * count):
            back()
            how = STOPS[i % len(STOPS)]
            code, err = desk.stopped(line, span, how)
            now = state()
            word = "stopped: nothing was written\n" if now == before else "stopped\n"
            good = code == 0 and now == after or code == 128 + how and err.endswith(word) or code == -how and now == before
            desk.expect(f"stopped: {name}", good and now in (before, after), f"exit code {code}: {err}: {now[0] and list(now[0])}")
            desk.expect(f"stopped: {name}: tidy", not desk.left(), f"{desk.left()} left behind")
            desk.sweep()
        back()


def full_disks(desk):
    """Disks of every small size: exit code 3, the old result untouched, nothing left behind."""
    disk = desk.at / "disk"
    disk.mkdir()
    desk.must("nest job.json -o whole --rounds 0")
    desk.must("nest day.json -o today --rounds 0")
    need = sum(len(b) for b in tree(desk.at / "whole").values()) // 1024
    for size in [4, 16, 64, need // 2, need, need + need // 2]:
        mount = ["mount", "-t", "tmpfs", "-o", f"size={size}k", "tmpfs", str(disk)]
        if subprocess.run(mount, capture_output=True).returncode:
            print("skipped: a small disk can be mounted by root only")
            return
        try:
            shutil.copy(desk.at / "stock.json", disk)
            before = tree(disk)
            for line in ["nest job.json -o disk/out --rounds 0", "report whole/layout.json -o disk/out",
                         "cut whole/layout.json -o disk/out --marks", "recut whole/layout.json --kit k0 -o disk/out.json",
                         "export whole/layout.json -o disk/out --png", "panels kit.json --width 140 -o disk/out",
                         "compare job.json -o disk/out --gap 1,2 --seeds 1 --rounds 0",
                         "nest job.json -o elsewhere --rounds 0 --trace disk/t.csv"]:
                code, _, err = desk.run(line)
                fits = code == 0
                shutil.rmtree(desk.at / "elsewhere", ignore_errors=True)
                (disk / "t.csv").unlink(missing_ok=True) if fits else None
                desk.expect("full disk", fits or code == 3 and "disk" in err, f"{size} KB, {line}: exit code {code}: {err}")
                shutil.rmtree(disk / "out", ignore_errors=True) if fits else None
                (disk / "out.json").unlink(missing_ok=True) if fits else None
                desk.expect("full disk: tidy", tree(disk) == before and len(list(disk.iterdir())) == 1,
                            f"{size} KB, {line}: {list(disk.iterdir())}")
            (disk / "filler").write_bytes(b"")
            with open(disk / "filler", "wb", buffering=0) as filler:
                try:
                    while filler.write(bytes(512)):
                        pass
                except OSError:
                    pass
            stock = (disk / "stock.json").read_bytes()
            code, _, err = desk.run("stock confirm today/r0/layout.json --stock disk/stock.json")
            desk.expect("full disk: stock", code == 3 and (disk / "stock.json").read_bytes() == stock, f"exit code {code}: {err}")
        finally:
            subprocess.run(["umount", str(disk)], check=True)


def places(desk):
    """Output paths that are something else: refused with exit code 2, and untouched."""
    at = desk.at
    (at / "foreign").mkdir()
    (at / "foreign/precious.txt").write_text("x")
    (at / "file").write_text("x")
    (at / "link").symlink_to("foreign")
    (at / "dangling").symlink_to("nowhere")
    (at / "loop").symlink_to("loop")
    desk.must("nest job.json -o mine --rounds 0")
    (at / "to-mine").symlink_to("mine")
    for place in ["foreign", "file", "link", "dangling", "loop", "to-mine", "none/out", "file/out", "job.json", ".", ".."]:
        for replace in ["", " --replace"]:
            lines = [f"nest job.json -o {place} --rounds 0", f"report mine/layout.json -o {place}", f"cut mine/layout.json -o {place}",
                     f"export mine/layout.json -o {place}", f"panels kit.json -o {place}", f"compare job.json -o {place} --rounds 0",
                     f"nest job.json -o fresh --trace {place} --rounds 0"]
            # A job file is never replaced.
            for line in lines + ([] if replace else [f"recut mine/layout.json --kit k0 -o {place}"]):
                before = {p.name for p in at.iterdir()}
                code, _, err = desk.run(line + replace)
                desk.expect("place", code == 2 and "error: " in err, f"{line}{replace}: exit code {code}: {err}")
                desk.expect("place untouched", before == {p.name for p in at.iterdir()}
                            and (at / "foreign/precious.txt").exists() and (at / "file").read_text() == "x", line)


def pipes(desk):
    """Readers that go away, and inputs through pipes."""
    desk.must("nest job.json -o piped --rounds 0")
    lines = ["outlines large.dxf", "outlines large.dxf --json", "schema job", "nest job.json -o - --rounds 0", "report piped/layout.json -o -",
             "check piped/layout.json --json", "films", "man nest", "completions bash", "nest job.json -o gone --rounds 0 --json"]
    for line in lines:
        child = desk.start(line)
        child.stdout.close()
        err = child.stderr.read()
        desk.expect("closed pipe", child.wait() == 0 and not err, f"{line}: exit code {child.returncode}: {err}")
        shell = subprocess.run(["bash", "-c", f"{desk.program} {line.replace('gone', 'gone2')} | head -1; exit ${{PIPESTATUS[0]}}"],
                               cwd=desk.at, capture_output=True, text=True)
        desk.expect("head -1", shell.returncode == 0 and not shell.stderr, f"{line}: {shell.returncode}: {shell.stderr}")
    os.mkfifo(desk.at / "fifo")
    for line, fed in [("nest fifo -o from-fifo --rounds 0", "job.json"), ("check fifo", "piped/layout.json"),
                      ("check piped/layout.json --job fifo", "job.json"), ("outlines fifo", "large.dxf"),
                      ("report fifo -o report-of-fifo", "piped/layout.json"), ("cut fifo -o cut-of-fifo", "piped/layout.json")]:
        child = desk.start(line)
        with open(desk.at / "fifo", "wb") as fifo:
            fifo.write((desk.at / fed).read_bytes())
        _, err = child.communicate()
        desk.expect("fifo", child.returncode == 0, f"{line}: exit code {child.returncode}: {err}")


def meanwhile(desk):
    """Inputs that change while the program runs are read once, before; one core gives the same bytes."""
    line = "nest job.json -o {} --rounds 4"
    desk.must(line.format("calm"))
    job = (desk.at / "job.json").read_text()
    child = desk.start(line.format("disturbed"))
    time.sleep(0.4)
    (desk.at / "job.json").write_text("{")
    _, err = child.communicate()
    (desk.at / "job.json").write_text(job)
    same = tree(desk.at / "disturbed") == tree(desk.at / "calm")
    # On a slow machine the job may be read after the change: then it is refused, whole.
    desk.expect("job changed meanwhile", same if child.returncode == 0 else child.returncode == 2, f"{child.returncode}: {err}")
    desk.must("nest job.json -o again --rounds 4 --threads 5")
    desk.expect("threads", tree(desk.at / "again") == tree(desk.at / "calm"), "five threads give something else")
    if shutil.which("taskset"):
        core = min(os.sched_getaffinity(0))
        run = subprocess.run(["taskset", "-c", str(core), desk.program, *line.format("one-core").split()], cwd=desk.at,
                             capture_output=True, text=True)
        same = tree(desk.at / "one-core") == tree(desk.at / "calm")
        desk.expect("one core", run.returncode == 0 and same, f"{run.returncode}: {run.stderr}")


# Stands between the program and the system's clocks. The clock on the wall jumps by up to a year either way each time
# it is read. The steady one leaps an hour ahead, once, after LEAP_AFTER seconds: what a machine that slept may show.
CLOCKS = """
#define _GNU_SOURCE
#include <stdlib.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

static time_t begun;
__attribute__((constructor)) static void begin(void) {
    struct timespec t;
    syscall(SYS_clock_gettime, CLOCK_MONOTONIC, &t);
    begun = t.tv_sec;
}

int clock_gettime(clockid_t clock, struct timespec *t) {
    int failed = syscall(SYS_clock_gettime, clock, t);
    const char *after = getenv("LEAP_AFTER");
    if (clock == CLOCK_REALTIME)
        t->tv_sec += rand() % 63072000 - 31536000;
    else if (clock == CLOCK_MONOTONIC && after && t->tv_sec - begun >= atoi(after))
        t->tv_sec += 3600;
    return failed;
}

time_t time(time_t *out) {
    struct timespec t;
    clock_gettime(CLOCK_REALTIME, &t);
    if (out)
        *out = t.tv_sec;
    return t.tv_sec;
}
"""


def clocks(desk):
    """A clock that jumps changes no byte and no length of a run; one that leaps ahead ends the search, with a good layout."""
    if not shutil.which("cc"):
        print("skipped: no C compiler to stand between the program and its clocks")
        return
    (desk.at / "clocks.c").write_text(CLOCKS)
    subprocess.run(["cc", "-shared", "-fPIC", "-O1", "-o", "clocks.so", "clocks.c"], cwd=desk.at, check=True)
    jumping = {**os.environ, "LD_PRELOAD": str(desk.at / "clocks.so")}
    shown = subprocess.run(["date", "+%s"], env=jumping, capture_output=True, text=True).stdout
    desk.expect("the clock does jump", abs(int(shown) - time.time()) > 60, "the library in between is not felt")
    desk.must("nest job.json -o steady --rounds 4")
    code, _, err = desk.run("nest job.json -o jumping --rounds 4", env=jumping)
    desk.expect("clock jumping", code == 0 and tree(desk.at / "jumping") == tree(desk.at / "steady"), f"{code}: {err}")
    begun = time.monotonic()
    code, _, err = desk.run("nest long.json -o timed --time 4s", env=jumping)
    took = time.monotonic() - begun
    # A second for a round that is under way and one for the files, on a machine that may be busy.
    desk.expect("clock jumping: time asked for", code == 0 and 2 < took < 9, f"{code}: {took:.1f} s: {err}")
    begun = time.monotonic()
    code, _, err = desk.run("nest long.json -o leapt --time 2000s", env={**jumping, "LEAP_AFTER": "2"})
    took = time.monotonic() - begun
    desk.expect("clock leaping ahead", code == 0 and took < 60, f"{code}: {took:.1f} s: {err}")
    for out in ["timed", "leapt"]:
        desk.expect("clock: checked", desk.run(f"check {out}/layout.json")[0] == 0, f"{out}/layout.json is bad")


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("--tuckroll", default="target/release/tuckroll")
    ap.add_argument("--count", type=int, default=6)
    ap.add_argument("--seed", type=int, default=1)
    ap.add_argument("--only", default="", help="parts with this word in their name")
    a = ap.parse_args()
    parts = {"places": places, "meanwhile": meanwhile, "kills": lambda d: kills(d, a.count),
             "stock": lambda d: stock_kills(d, a.count), "signals": lambda d: signals(d, a.count), "writers": lambda d: writers_stopped(d, a.count),
             "disks": full_disks, "pipes": pipes, "clocks": clocks}
    with tempfile.TemporaryDirectory() as folder:
        desk = Desk(os.path.abspath(a.tuckroll), pathlib.Path(folder), random.Random(a.seed))
        for name, part in parts.items():
            if a.only in name:
                begun = time.monotonic()
                part(desk)
                print(f"{time.monotonic() - begun:6.1f} s  {name}", flush=True)
    for what, count in desk.tally.items():
        print(f"{count:6}  {what}")
    print(f"{sum(desk.tally.values()) - desk.failed} passed, {desk.failed} failed")
    return 1 if desk.failed else 0


if __name__ == "__main__":
    sys.exit(main())
