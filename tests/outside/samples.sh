#!/usr/bin/env bash
# Makes the finished samples again and compares them with those kept; with --make, replaces them.
# usage: samples.sh [--make] PATH_TO_FLATWRIGHT
set -euo pipefail
make=false
if [ "${1:-}" = --make ]; then make=true; shift; fi
program="$(realpath "${1:-target/release/flatwright}")"
cd "$(dirname "$0")/../.."
kept=samples/brinewell
fresh="$(mktemp -d)"
trap 'rm -rf "$fresh"' EXIT
"$program" sheets $kept/set.json -o "$fresh/out" --contact --quiet
mv "$fresh/out/pages.png" "$fresh/pages.png"
"$program" plan $kept/pump-room.plan -o "$fresh/plan" --quiet
mkdir "$fresh/pictures"
cp "$fresh/plan/plan.png" "$fresh/pictures/plan.png"
"$program" view $kept/pump-room.plan -o "$fresh/pictures/view.png"
"$program" view $kept/pump-room.plan -o "$fresh/pictures/exploded.png" --exploded
"$program" view $kept/tide-tower.plan -o "$fresh/pictures/tower.png"
"$program" view $kept/salt-store.plan -o "$fresh/pictures/salt-store.png"
"$program" sheets $kept/set.json -o "$fresh/stacked" --layout stacked --quiet
"$program" sheets $kept/set.json -o "$fresh/class" --class 12 --layout stacked --quiet
"$program" sheets $kept/fittings.json -o "$fresh/fittings" --contact=110 --quiet
"$program" coupon $kept/set.json -o "$fresh/coupon" --quiet
"$program" profile $kept/calibration/readings.json -o "$fresh/profiles" --quiet
if $make; then
  rm -rf $kept/out
  cp -r "$fresh/out" $kept/out
  chmod 755 $kept/out $kept/out/sheets
  cp "$fresh"/pictures/*.png "$fresh/pages.png" "$fresh/plan/guide.pdf" "$fresh/class/class.pdf" $kept/
  cp "$fresh"/profiles/*.json $kept/calibration/
  pdftoppm -r 60 -png -f 1 -l 1 -singlefile "$fresh/coupon/coupon.pdf" $kept/calibration/coupon
  cp "$fresh/fittings/pages.png" $kept/fittings.png
  rm -rf $kept/pages
  mkdir $kept/pages
  pdftoppm -r 60 -png $kept/out/sheets.pdf $kept/pages/page
  pages=()
  for page in 1 2 3 6; do
    pdftoppm -r 45 -png -f $page -l $page -singlefile $kept/class.pdf "$fresh/class-$page"
    pages+=("$fresh/class-$page.png")
  done
  montage "${pages[@]}" -tile 4x1 -geometry +8+8 -background '#d8d8d8' $kept/class.png
  pdftoppm -r 100 -png -f 8 -l 8 -singlefile $kept/out/sheets.pdf $kept/sheet
  pdftoppm -r 100 -png -f 6 -l 6 -singlefile "$fresh/stacked/sheets.pdf" $kept/stacked
  exit 0
fi
diff -r "$fresh/out" $kept/out
diff "$fresh/plan/guide.pdf" $kept/guide.pdf
diff "$fresh/class/class.pdf" $kept/class.pdf
cmp "$fresh/pages.png" $kept/pages.png
cmp "$fresh/fittings/pages.png" $kept/fittings.png
for profile in printer materials; do diff "$fresh/profiles/$profile.json" "$kept/calibration/$profile.json"; done
for picture in plan view exploded tower salt-store; do cmp "$fresh/pictures/$picture.png" "$kept/$picture.png"; done
echo "$kept holds what the program makes"
