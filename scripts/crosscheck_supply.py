#!/usr/bin/env python3
"""What the program is built from: licences, sources, doubled and unwanted crates, the Rust version, no `unsafe`,
no time of day.

    scripts/crosscheck_supply.py [--tuckroll target/release/tuckroll] [--record]

Reads `cargo metadata`, without the network; advisories are not looked at, as their database is not at hand.
Licences are SPDX expressions (SPDX Specification 2.3, annex D): one that everybody may meet by keeping the
notices must be open to us. `--record` appends the number of crates and the size of the binary to
benches/record/supply.csv. The last line is 'N passed, N failed'. Exit code 0 or 1.
"""
import argparse
import collections
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
# Permissive: they ask for their notice and nothing of our own code.
LICENCES = {
    "MIT", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "ISC", "Zlib", "0BSD", "Unlicense", "BSL-1.0", "Unicode-3.0",
    "Apache-2.0 WITH LLVM-exception",
}
# Crates that build or load code of another language, or talk to the network: a cutter's program needs neither.
# linux-raw-sys is a table of numbers.
UNWANTED = r"((?!linux-raw-sys).*-sys|cc|cmake|pkg-config|bindgen|libloading|openssl.*|curl|reqwest|hyper|ureq|tokio|native-tls|rustls)"
# Crates of which the program holds two versions, and who asks for the older one.
DOUBLED = {
    "syn": "macros only, at build time: some are one version behind",
    "hashbrown": "spade, for geo, is one version behind",
    "miniz_oxide": "png is one version behind",
    "num-traits": "an old name for the new one, without code; dxf",
}


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


def may_be_used(expression):
    """Whether a licence expression leaves a choice of nothing but licences that we take."""
    tokens = re.findall(r"\(|\)|[^\s()/]+|/", expression)

    def either(at):
        good, at = both(at)
        while at < len(tokens) and tokens[at] in ("OR", "/"):
            other, at = both(at + 1)
            good = good or other
        return good, at

    def both(at):
        good, at = one(at)
        while at < len(tokens) and tokens[at] == "AND":
            other, at = one(at + 1)
            good = good and other
        return good, at

    def one(at):
        if tokens[at] == "(":
            good, at = either(at + 1)
            return good, at + 1
        name = tokens[at]
        if tokens[at + 1 : at + 2] == ["WITH"]:
            return f"{name} WITH {tokens[at + 2]}" in LICENCES, at + 3
        return name in LICENCES, at + 1

    good, at = either(0)
    return good and at == len(tokens)


def reader_is_sound(checks):
    for text, good in [
        ("MIT", True), ("GPL-3.0-only", False), ("GPL-3.0-only OR MIT", True), ("GPL-3.0-only AND MIT", False),
        ("(MIT OR GPL-2.0) AND ISC", True), ("MIT/Apache-2.0", True), ("MIT AND (GPL-2.0 OR AGPL-3.0)", False),
        ("GPL-2.0 WITH LLVM-exception", False), ("Apache-2.0 WITH LLVM-exception", True), ("MIT Apache-2.0", False),
    ]:
        checks.expect(may_be_used(text) == good, f"the expression {text!r} is read wrongly")


def version(text):
    return tuple((list(map(int, text.split("."))) + [0, 0])[:3])


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
    reader_is_sound(checks)
    meta = metadata()
    own = next(p for p in meta["packages"] if p["id"] == meta["resolve"]["root"])
    program, everything = reached(meta, {None, "build"}), reached(meta, {None, "build", "dev"})
    for p in everything:
        name = f"{p['name']} {p['version']}"
        checks.expect(may_be_used(p["license"] or "none"), f"{name} is licensed {p['license']!r}")
        checks.expect((p["source"] or "").startswith("registry+"), f"{name} comes from {p['source']}")
    checks.expect(len({p["source"] for p in everything}) == 1, "crates come from several registries")
    for p in program:
        checks.expect(not re.fullmatch(UNWANTED, p["name"]), f"{p['name']} is not wanted in the program")
        checks.expect(p["links"] in (None, p["name"]), f"{p['name']} links {p['links']}")
    doubled = {n for n, count in collections.Counter(p["name"] for p in program).items() if count > 1}
    for name in doubled ^ DOUBLED.keys():
        checks.expect(False, f"{name} is there {'twice' if name in doubled else 'once, and listed as doubled'}")
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
                writer.writerow(["date", "version", "crates", "crates_with_tests", "binary_bytes", "rust_version"])
            today = datetime.date.today().isoformat()
            writer.writerow([today, own["version"], len(program), len(everything), size, own["rust_version"]])
    checks.finish()


if __name__ == "__main__":
    main()
