"""Checks of the program's output by programs and tables that we did not write.

usage: run.py PATH_TO_FLATWRIGHT

Every check names its source. Closes with `N passed, N failed`; exits 1 where one failed.
"""

import io
import multiprocessing
import os
import subprocess
import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor
from contextlib import redirect_stdout
from functools import partial
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
    # Parts of the checks know nothing of each other: as many at once as there are processors, told in
    # their order.
    fork = multiprocessing.get_context("fork")
    with ProcessPoolExecutor(max_workers=os.cpu_count(), mp_context=fork) as pool:
        for part in [pool.submit(counted, part) for part in parts(program)]:
            told, passed, failed = part.result()
            print(told, end="", flush=True)
            harness.passed += passed
            harness.failed += failed
    return harness.close()


def parts(program: Path) -> list:
    """Every part, as something to call with a harness; the longest come first."""
    by_root = [solids, tiles, glb, skeletons, shells, bends, papers, strength]
    by_program = [art, calibration]
    return [
        *(partial(module.check, root=ROOT) for module in by_root),
        *(partial(module.check, program=program) for module in by_program),
        partial(glb.textures, program=program, plan=PLAN),
        *(partial(sheets, program=program, name=name) for name in RUNS),
    ]


def counted(part: partial) -> tuple[str, int, int]:
    """What a part prints, how many of its checks passed, and how many failed."""
    harness = Harness()
    told = io.StringIO()
    with redirect_stdout(told):
        part(harness)
    return told.getvalue(), harness.passed, harness.failed


def sheets(harness: Harness, program: Path, name: str) -> None:
    """One of the runs, made twice and read."""
    source, options = RUNS[name]
    harness.section(name)
    with tempfile.TemporaryDirectory() as folder:
        out = [Path(folder) / turn for turn in "ab"]
        for target in out:
            command = [program, "sheets", source, "-o", target, "--quiet", *options]
            made = subprocess.run(command, capture_output=True, text=True, check=False)
            harness.check("the program makes the sheets", made.returncode == 0, made.stderr[-2000:])
        if not (out[0] / "sheets.pdf").exists():
            return
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
