"""Checks of the program's output by programs and tables that we did not write.

usage: run.py PATH_TO_FLATWRIGHT

Every check names its source. Closes with `N passed, N failed`; exits 1 where one failed.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

import art
import bends
import calibration
import class_set
import cutter
import glb
import grain
import layout
import order
import papers
import pdf_file
import shells
import skeletons
import solids
import stacks
import strength
import svg_file
import tiles
from harness import Harness

ROOT = Path(__file__).resolve().parents[2]
SET = ROOT / "samples" / "brinewell" / "set.json"
PLAN = ROOT / "samples" / "brinewell" / "pump-room.plan"
TOWER = ROOT / "samples" / "brinewell" / "tide-tower.plan"
FITTINGS = ROOT / "samples" / "brinewell" / "fittings.json"
SIZES = ROOT / "fixtures" / "two-sizes.json"

# The samples for several printers, boards and cutters, in every way of laying out.
RUNS = {
    "as the sample says": (SET, []),
    "letter, 3 mm board, laser": (SET, ["--paper", "letter", "--board", "3 mm", "--kerf", "0.2 mm"]),
    "A3 landscape, thick card": (SET, ["--paper", "A3", "--orientation", "landscape", "--card", "1 mm"]),
    "board sheets for a cutter": (SET, ["--board-as", "sheet", "--board-sheet", "20x30 in", "--kerf", "0.3 mm", "--cutter"]),
    "no gap, for a cutter": (SET, ["--gap", "0 mm", "--ink", "blank", "--cutter"]),
    "stacks for a trimmer": (SET, ["--layout", "stacked"]),
    "stacks of A3 on its side": (SET, ["--layout", "stacked", "--paper", "A3", "--orientation", "landscape"]),
    "a plan by its steps": (PLAN, ["--layout", "by-step"]),
    "a set by its list": (SET, ["--layout", "by-step"]),
    "a class of seven, stacks": (SET, ["--class", "7", "--layout", "stacked", "--stack", "4"]),
    "a class that shares, by steps": (PLAN, ["--class", "5", "--class-sheets", "shared", "--layout", "by-step"]),
    "a tower, level by level": (TOWER, []),
    "fittings": (FITTINGS, []),
    "fittings of thick card for a cutter": (FITTINGS, ["--card", "0.4 mm", "--paper", "A3", "--kerf", "0.1 mm", "--cutter"]),
    "two sizes of paper and card": (SIZES, []),
    "stacks of two sizes": (SIZES, ["--layout", "stacked"]),
}


# Example programs that some checks talk to. The tests have built them, as they are built here: with
# the whole workspace, so that no library is built anew.
BUILD = ["cargo", "build", "--quiet", "--workspace", "--examples"]


def main() -> int:
    program = Path(sys.argv[1]).resolve()
    # Beside the program, wherever that was built.
    target = {**os.environ, "CARGO_TARGET_DIR": str(program.parent.parent)}
    subprocess.run(BUILD, cwd=ROOT, check=True, env=target)
    harness = Harness()
    papers.check(harness, ROOT)
    strength.check(harness, ROOT)
    solids.check(harness, ROOT)
    shells.check(harness, ROOT)
    bends.check(harness, ROOT)
    skeletons.check(harness, ROOT)
    tiles.check(harness, ROOT)
    glb.check(harness, ROOT)
    art.check(harness, program)
    calibration.check(harness, program)
    glb.textures(harness, program, PLAN)
    with tempfile.TemporaryDirectory() as folder:
        for number, (name, (source, options)) in enumerate(RUNS.items()):
            harness.section(name)
            out = [Path(folder) / f"{number}{turn}" for turn in "ab"]
            for target in out:
                command = [program, "sheets", source, "-o", target, "--quiet", *options]
                made = subprocess.run(command, capture_output=True, text=True, check=False)
                harness.check("the program makes the sheets", made.returncode == 0, made.stderr[-2000:])
            if not (out[0] / "sheets.pdf").exists():
                continue
            same_bytes(harness, *out)
            pdf_file.check(harness, out[0])
            svg_file.check(harness, out[0])
            layout.check(harness, out[0])
            grain.check(harness, out[0])
            order.bounds(harness, out[0])
            if "--class" in options:
                class_set.check(harness, out[0])
            if "--cutter" in options:
                cutter.check(harness, out[0])
            if "stacked" in options:
                stacks.check(harness, out[0])
            if "by-step" in options:
                order.steps(harness, out[0])
    return harness.close()


def same_bytes(harness: Harness, one: Path, other: Path) -> None:
    """Two fresh processes write the same bytes."""
    files = sorted(path.relative_to(one) for path in one.rglob("*") if path.is_file())
    others = sorted(path.relative_to(other) for path in other.rglob("*") if path.is_file())
    harness.check("two runs write the same files", files == others, f"{files} and {others}")
    for file in files:
        same = (other / file).exists() and (one / file).read_bytes() == (other / file).read_bytes()
        harness.check("two runs write the same bytes", same, str(file))


if __name__ == "__main__":
    sys.exit(main())
