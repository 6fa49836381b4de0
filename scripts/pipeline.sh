#!/usr/bin/env bash
# How to chain the stages: tape measurements -> panels -> layout -> proof -> files for the machine.
#
#     scripts/pipeline.sh KIT.json WIDTH DIR
#
# KIT.json says what is to be covered, WIDTH is the usable width of the film in the kit's unit, DIR
# is the folder to make. $TUCKROLL names the program, $ROUNDS the effort.
#
# Each stage reads standard input or a file, writes standard output or a folder, and says on standard
# error what there is to warn of. The first stage that fails ends the script with its exit code:
# 1 it cannot be met, 2 wrong input, 3 a file, 4 a fault of the program.
set -euo pipefail
tuckroll=${TUCKROLL:-tuckroll}
kit=$1 width=$2 out=$3

mkdir "$out"

# 1. Pattern generation and nesting in one line; the layout comes out of the pipe.
"$tuckroll" panels "$kit" --width "$width" -o - |
    "$tuckroll" nest - -o - --rounds "${ROUNDS:-100}" --seed 1 >"$out/layout.json"

# 2. A script that acts on numbers asks for JSON. Exit code 1 would say that a rule is broken.
"$tuckroll" check "$out/layout.json" --json >"$out/check.json"
waste=$(sed -n 's/^ *"waste_percent": \([0-9.]*\).*/\1/p' "$out/check.json")
echo "waste $waste %"

# 3. Files for the machine and for people.
"$tuckroll" export "$out/layout.json" -o "$out/cut" --json >"$out/files.json"
