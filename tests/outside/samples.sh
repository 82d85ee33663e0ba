#!/usr/bin/env bash
# Makes the finished samples again and compares them with those kept; with --make, replaces them.
# usage: samples.sh [--make] PATH_TO_FLATWRIGHT
set -euo pipefail
make=false
if [ "${1:-}" = --make ]; then make=true; shift; fi
program="$(realpath "${1:-target/release/flatwright}")"
cd "$(dirname "$0")/../.."
fresh="$(mktemp -d)"
trap 'rm -rf "$fresh"' EXIT
"$program" sheets samples/brinewell/set.json -o "$fresh/out" --quiet
if $make; then
  rm -rf samples/brinewell/out
  mkdir -p samples/brinewell/out/sheets
  cp "$fresh/out/sheets.pdf" "$fresh/out/parts.json" samples/brinewell/out/
  cp "$fresh"/out/sheets/*.svg samples/brinewell/out/sheets/
  pdftoppm -r 100 -png -f 9 -l 9 -singlefile samples/brinewell/out/sheets.pdf samples/brinewell/sheet
  exit 0
fi
diff -r "$fresh/out" samples/brinewell/out
echo "samples/brinewell/out is what the program makes"
