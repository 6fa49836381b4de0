"""Of which commit a measurement is."""
import pathlib
import subprocess

HERE = pathlib.Path(__file__).resolve().parent.parent
PROGRAM = ["src", "Cargo.toml", "Cargo.lock"]


def git(*words):
    return subprocess.run(["git", *words], cwd=HERE, capture_output=True, text=True).stdout.strip()


def last(paths):
    """The last commit that touched the paths; `+` where there is more in them than it."""
    return git("log", "-1", "--format=%h", "--", *paths) + ("+" if git("status", "--porcelain", "--", *paths) else "")
