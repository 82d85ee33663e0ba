"""Files for a cutting machine, judged with shapely against the sheets of the same run.

No source is needed: what must be cut is what the sheet draws, no stretch of it is cut twice, and
nothing is cut after what holds it (it would lie loose).
"""

import json
import re
import xml.etree.ElementTree as ElementTree
from pathlib import Path

from shapely.geometry import LineString, Polygon
from shapely.ops import unary_union

SVG = "{http://www.w3.org/2000/svg}"
STEPS = ["registration", "partial-cutting", "creasing-valley", "creasing-mountain", "perforating", "cutting", "trimming"]
# Files have four decimals; edges within 0.02 mm are taken for one.
NEAR = 0.03


def check(harness, out: Path) -> None:
    parts = json.loads((out / "parts.json").read_text())
    for record in parts["pages"]:
        page = record["number"]
        file = out / f"cutter-{page:03}.svg"
        harness.check("each sheet has a cutter's file", file.exists(), file.name)
        root = ElementTree.parse(file).getroot()
        sheet = ElementTree.parse(out / "sheets" / f"{page:03}.svg").getroot()
        where = f"page {page}"
        harness.check("it is as large as the sheet", root.get("viewBox") == sheet.get("viewBox"), where)
        groups = [group.get("id") for group in root.findall(f"{SVG}g")]
        ordered = [step for step in STEPS if step in groups]
        harness.check("steps are groups in the order of the work", groups == ordered, f"{where}: {groups}")
        colours = [group.get("stroke") for group in root.findall(f"{SVG}g")]
        harness.check("each step has its own colour", len(set(colours)) == len(colours), f"{where}: {colours}")
        for step in set(groups) - {"registration"}:
            made, drawn = lines(root, step), lines(sheet, step)
            alike(harness, made, drawn, f"{where}, {step}")
        inside_first(harness, lines(root, "cutting"), where)


def alike(harness, made, drawn, where: str) -> None:
    there, wanted = unary_union(made), unary_union(drawn)
    missing = wanted.difference(there.buffer(NEAR)).length
    extra = there.difference(wanted.buffer(NEAR)).length
    harness.check("all that is drawn is worked on", missing < 0.1, f"{where}: {missing} mm missing")
    harness.check("nothing else is", extra < 0.1, f"{where}: {extra} mm more")
    twice = sum(line.length for line in made) - unary_union(made).length
    harness.check("nothing is worked on twice", abs(twice) < 0.1, f"{where}: {twice} mm")


def inside_first(harness, cuts, where: str) -> None:
    closed = [(index, Polygon(line.coords)) for index, line in enumerate(cuts) if line.is_ring]
    late = [
        (index, other)
        for index, hull in closed
        for other, line in enumerate(cuts)
        if other > index and hull.buffer(-NEAR).contains(line)
    ]
    harness.check("nothing is cut after what holds it", not late, f"{where}: {late[:3]}")


def lines(root, step: str):
    """The lines of a group, from paths of M, L, H, V and Z alone."""
    found = []
    for group in root.iter(f"{SVG}g"):
        if group.get("id") != step:
            continue
        for path in group.iter(f"{SVG}path"):
            if path.get("stroke") != "none" and path.get("d"):
                found.extend(ways(path.get("d")))
    return found


def ways(data: str):
    tokens = re.findall(r"[A-Za-z]|-?\d*\.?\d+(?:e-?\d+)?", data)
    found, points, letter, at = [], [], "", 0
    while at < len(tokens):
        if tokens[at].isalpha():
            letter = tokens[at]
            at += 1
        if letter in "Zz":
            points.append(points[0])
            continue
        if letter == "M" and points:
            found.append(points)
            points = []
        if letter in "ML":
            points.append((float(tokens[at]), float(tokens[at + 1])))
            at += 2
            letter = "L"
        elif letter == "H":
            points.append((float(tokens[at]), points[-1][1]))
            at += 1
        elif letter == "V":
            points.append((points[-1][0], float(tokens[at])))
            at += 1
        else:
            raise ValueError(f"{letter} is not expected in {data[:80]}")
    if points:
        found.append(points)
    return [LineString(points) for points in found if len(points) > 1]
