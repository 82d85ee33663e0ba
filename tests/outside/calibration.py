"""Calibration, measured with PyMuPDF on the finished PDFs: what is drawn for a printer comes out true on it.

No source is needed: a printer is an affine map, and the page that is drawn for it must be the plain page
under the inverse of that map, about the page's middle.
"""

import json
import math
import subprocess
import tempfile
from pathlib import Path

import pymupdf

POINT = 25.4 / 72
ROOT = Path(__file__).resolve().parents[2]
SET = ROOT / "samples" / "brinewell" / "set.json"
# Across, up, and by how many degrees upright lines lean to the right.
PRINTER = (0.982, 1.004, 0.3)
NEAR = 0.01


def check(harness, program: Path) -> None:
    harness.section("calibration")
    with tempfile.TemporaryDirectory() as folder:
        sheets(harness, program, Path(folder))
        coupon(harness, program, Path(folder))


def run(harness, program: Path, arguments, code: int = 0) -> str:
    made = subprocess.run([program, *arguments], capture_output=True, text=True, check=False)
    harness.check("the program runs", made.returncode == code, f"{arguments}: {made.stdout[-500:]} {made.stderr[-1500:]}")
    return made.stdout


def matrix(printer):
    """[[x, shear], [0, y]] of a printer."""
    across, up, skew = printer
    return across, up * math.tan(math.radians(skew)), up


def printed(printer, vector):
    across, shear, up = matrix(printer)
    return across * vector[0] + shear * vector[1], up * vector[1]


def placed(page):
    """From PyMuPDF's points to mm from the page's middle, y up."""
    middle = page.rect.width / 2, page.rect.height / 2
    return lambda p: ((p.x - middle[0]) * POINT, (middle[1] - p.y) * POINT)


def lines(page):
    """Straight lines of a page."""
    point = placed(page)
    return [(point(item[1]), point(item[2])) for drawing in page.get_drawings() for item in drawing["items"] if item[0] == "l"]


def points(page):
    """All corners of what is drawn; a rectangle is one thing to PyMuPDF when it is upright, another when it leans."""
    point, found = placed(page), []
    for drawing in page.get_drawings():
        for kind, *rest in drawing["items"]:
            if kind == "re":
                found += [point(corner) for corner in rest[0].quad]
            elif kind == "qu":
                found += [point(corner) for corner in rest[0]]
            else:
                found += [point(corner) for corner in rest]
    return found


def strays(some, others):
    """How many points have none of the others near."""
    cells = {}
    for p in others:
        cells.setdefault((round(p[0] / NEAR), round(p[1] / NEAR)), []).append(p)
    count = 0
    for p in some:
        x, y = round(p[0] / NEAR), round(p[1] / NEAR)
        near = (q for i in (-1, 0, 1) for j in (-1, 0, 1) for q in cells.get((x + i, y + j), []))
        count += not any(math.dist(p, q) < NEAR for q in near)
    return count


def vector(line):
    return line[1][0] - line[0][0], line[1][1] - line[0][1]


def sheets(harness, program: Path, folder: Path) -> None:
    profile = folder / "printer.json"
    profile.write_text(json.dumps({"name": "tide", "x_scale": PRINTER[0], "y_scale": PRINTER[1], "skew": PRINTER[2]}))
    run(harness, program, ["sheets", SET, "-o", folder / "plain", "--quiet", "--margin", "12 mm"])
    run(harness, program, ["sheets", SET, "-o", folder / "out", "--quiet", "--margin", "12 mm", "--printer", profile])
    parts = json.loads((folder / "out" / "parts.json").read_text())
    said = parts.get("printer", {})
    harness.check("parts.json tells the printer", (said.get("x_scale"), said.get("y_scale")) == PRINTER[:2], str(said))
    covers = min(page["number"] for page in parts["pages"]) - 1
    with pymupdf.open(folder / "plain" / "sheets.pdf") as plain, pymupdf.open(folder / "out" / "sheets.pdf") as out:
        harness.check("the cover tells the printer", '"tide"' in "".join(page.get_text() for page in out.pages(0, covers)).replace("\n", " "))
        for number in range(covers, len(plain)):
            where = f"page {number + 1}"
            harness.check("the paper is the same", plain[number].rect == out[number].rect, where)
            # As the printer makes it, every point comes out where the plain page has it.
            wanted, made = points(plain[number]), [printed(PRINTER, p) for p in points(out[number])]
            lost, more = strays(wanted, made), strays(made, wanted)
            harness.check("all comes out where it is wanted", len(wanted) > 20 and not lost and not more,
                          f"{where}: of {len(wanted)} points {lost} lost, {more} more")
            bars(harness, lines(plain[number]), lines(out[number]), where)


def bars(harness, wanted, drawn, where: str) -> None:
    """The bars of 100 mm: drawn by so much longer as the printer prints shorter."""
    across, shear, up = matrix(PRINTER)

    def same(plain):
        return [line for line in drawn if all(math.dist(printed(PRINTER, p), q) < NEAR for p, q in zip(line, plain))]

    def along(axis):
        other = 1 - axis
        return [line for line in wanted
                if math.isclose(abs(vector(line)[axis]), 100, abs_tol=1e-3) and abs(vector(line)[other]) < 1e-3]

    lying, standing = [[vector(line) for plain in along(axis) for line in same(plain)] for axis in (0, 1)]
    harness.check("both bars are there", bool(lying) and bool(standing), f"{where}: {len(lying)}, {len(standing)}")
    for v in lying:
        harness.check("the lying bar is drawn 100 mm over the scale", math.isclose(math.hypot(*v), 100 / across, abs_tol=NEAR), where)
    for v in standing:
        harness.check("the standing bar is drawn 100 mm over the scale", math.isclose(abs(v[1]), 100 / up, abs_tol=NEAR), where)
        harness.check("it leans as far the other way", math.isclose(v[0] / v[1], -shear / across, abs_tol=1e-4), f"{where}: {v}")


def coupon(harness, program: Path, folder: Path) -> None:
    """Every length of the form is on the coupon; measured there and printed, it tells the printer."""
    for paper in ["A4", "Letter"]:
        place = folder / paper
        run(harness, program, ["coupon", SET, "-o", place, "--quiet", "--paper", paper])
        form = json.loads((place / "readings.json").read_text())
        with pymupdf.open(place / "coupon.pdf") as pdf:
            harness.check("the coupon has three pages", len(pdf) == 3)
            there = [vector(line) for line in lines(pdf[0])]
            letters = set(pdf[0].get_text().split())
        for entry in form["printer"]:
            wanted = entry["across"], entry["up"]
            near = [v for v in there if min(math.dist(v, wanted), math.dist((-v[0], -v[1]), wanted)) < NEAR]
            if not harness.check("a length is drawn", bool(near), f"{paper}: {entry}"):
                continue
            harness.check("its letter is printed", entry["letter"] in letters, f"{paper}: {entry}")
            entry["reads"] = round(math.hypot(*printed(PRINTER, near[0])), 3)
        filled = place / "filled.json"
        filled.write_text(json.dumps(form))
        run(harness, program, ["profile", filled, "-o", place / "profiles", "--quiet"])
        profile = json.loads((place / "profiles" / "printer.json").read_text())
        for key, wanted, near in zip(("x_scale", "y_scale", "skew"), PRINTER, (2e-5, 2e-5, 2e-3)):
            harness.check("the profile is the printer", math.isclose(profile[key], wanted, abs_tol=near), f"{paper}: {key} {profile[key]}")
