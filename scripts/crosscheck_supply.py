#!/usr/bin/env python3
"""What the program is built from: code of other languages, the Rust version, no `unsafe`, no time of day.

    scripts/crosscheck_supply.py [--tuckroll target/release/tuckroll] [--record]

Licences, sources and doubled crates are cargo-deny's (.ci/deny.toml). This reads `cargo metadata` and the sources,
without the network. `--record` appends commit, number of crates and size of the binary to
benches/record/supply.csv. The last line is 'N passed, N failed'. Exit code 0 or 1.
"""
import argparse
import csv
import datetime
import json
import pathlib
import re
import subprocess
import sys

from checks import Checks

HERE = pathlib.Path(__file__).resolve().parent.parent
RECORD = HERE / "benches/record/supply.csv"
PROGRAM = ["src", "Cargo.toml", "Cargo.lock"]
# Crates that build or load code of another language, or talk to the network: a cutter's program needs neither.
# linux-raw-sys is a table of numbers.
UNWANTED = r"((?!linux-raw-sys).*-sys|cc|cmake|pkg-config|bindgen|libloading|openssl.*|curl|reqwest|hyper|ureq|tokio|native-tls|rustls)"


def metadata():
    host = re.search(r"host: (\S+)", subprocess.run(["rustc", "-vV"], capture_output=True, text=True, check=True).stdout)
    words = "cargo metadata --format-version 1 --locked --filter-platform".split() + [host[1]]
    for offline in (["--offline"], []):  # on a clean machine the crates must be fetched first
        done = subprocess.run(words + offline, cwd=HERE, capture_output=True, text=True)
        if done.returncode == 0:
            return json.loads(done.stdout)
    print(done.stderr, file=sys.stderr)
    sys.exit(1)


def reached(meta, kinds):
    """The packages that the root needs by dependencies of these kinds, and what those need to be built."""
    packages = {p["id"]: p for p in meta["packages"]}
    nodes = {n["id"]: n for n in meta["resolve"]["nodes"]}
    root = meta["resolve"]["root"]
    seen, to_do = set(), [root]
    while to_do:
        here = to_do.pop()
        if here in seen:
            continue
        seen.add(here)
        wanted = kinds if here == root else {None, "build"}
        to_do += [d["pkg"] for d in nodes[here]["deps"] if {k["kind"] for k in d["dep_kinds"]} & wanted]
    return [packages[i] for i in sorted(seen - {root})]


def version(text):
    return tuple((list(map(int, text.split("."))) + [0, 0])[:3])


def commit():
    """The last commit that touched what the program is built from; `+` where there is more than it."""

    def git(*words):
        return subprocess.run(["git", *words], cwd=HERE, capture_output=True, text=True).stdout.strip()

    changed = git("status", "--porcelain", "--", *PROGRAM)
    return git("log", "-1", "--format=%h", "--", *PROGRAM) + ("+" if changed else "")


def sources(checks):
    manifest = (HERE / "Cargo.toml").read_text()
    checks.expect('unsafe_code = "forbid"' in manifest, "Cargo.toml does not forbid unsafe code")
    for file in sorted((HERE / "src").rglob("*.rs")):
        code = re.sub(r"//.*", "", file.read_text())
        checks.expect(not re.search(r"\bunsafe\s*(\{|fn|impl)", code), f"{file.relative_to(HERE)} has unsafe code")
        checks.expect("SystemTime" not in code, f"{file.relative_to(HERE)} asks for the time of day, which may jump")


def main():
    parser = argparse.ArgumentParser(formatter_class=argparse.RawDescriptionHelpFormatter, description=__doc__)
    parser.add_argument("--tuckroll", type=pathlib.Path, default=HERE / "target/release/tuckroll")
    parser.add_argument("--record", action="store_true")
    options = parser.parse_args()
    checks = Checks()
    meta = metadata()
    own = next(p for p in meta["packages"] if p["id"] == meta["resolve"]["root"])
    program, everything = reached(meta, {None, "build"}), reached(meta, {None, "build", "dev"})
    for p in program:
        checks.expect(not re.fullmatch(UNWANTED, p["name"]), f"{p['name']} is not wanted in the program")
        checks.expect(p["links"] in (None, p["name"]), f"{p['name']} links {p['links']}")
    most = max(program, key=lambda p: version(p["rust_version"] or "0"))
    asked, stated = version(most["rust_version"]), version(own["rust_version"])
    checks.expect(asked == stated, f"{most['name']} asks for Rust {asked}, Cargo.toml states {stated}")
    sources(checks)
    size = options.tuckroll.stat().st_size if options.tuckroll.exists() else 0
    print(f"{len(program)} crates in the program, {len(everything)} with tests and benches, binary {size / 2**20:.1f} MiB with its line tables")
    if options.record:
        new = not RECORD.exists()
        RECORD.parent.mkdir(parents=True, exist_ok=True)
        with RECORD.open("a", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            if new:
                writer.writerow(["date", "commit", "version", "crates", "crates_with_tests", "binary_bytes", "rust_version"])
            today = datetime.date.today().isoformat()
            writer.writerow([today, commit(), own["version"], len(program), len(everything), size, own["rust_version"]])
    checks.finish()


if __name__ == "__main__":
    main()
