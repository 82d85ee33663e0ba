"""Arrows that show the grain, read from the PDF by PyMuPDF: one on each piece that is said to have one,
on the piece, along its longest folds. That folds are cleanest along the grain is common practice.
"""

import json
from pathlib import Path

import pymupdf
from shapely.geometry import box

from pdf_file import POINT, tool_path

# The rule as parts.json documents it.
SHARE, LONG = 0.6, 40.0


def check(harness, out: Path) -> None:
    parts = json.loads((out / "parts.json").read_text())
    pieces = {piece["id"]: piece for piece in parts["pieces"]}
    for piece in pieces.values():
        found = piece.get("folds_along")
        harness.check("the direction of the longest folds", found == longest(piece), f"{piece['id']}: {found}")
    document = pymupdf.open(out / "sheets.pdf")
    seen = 0
    for record in parts["pages"]:
        drawn = arrows(document[record["number"] - 1])
        told = [placement for placement in record["placements"] if "arrow" in placement]
        where = f"page {record['number']}"
        harness.check("as many arrows as told", len(drawn) == len(told), f"{where}: {len(drawn)} of {len(told)}")
        for placement in told:
            piece = pieces[placement["piece"]]
            if "part" in placement:
                continue
            shape = tool_path(piece, 0, placement)
            on_it = [(axis, area) for axis, area in drawn if shape.contains(area)]
            harness.check("an arrow lies on its piece", len(on_it) == 1, f"{where}: {placement}")
            wanted = {"along": "y", "across": "x", None: piece["folds_along"]}[piece.get("grain")]
            turned = wanted if placement["rotation"] % 180 == 0 else {"x": "y", "y": "x"}[wanted]
            points = on_it[0][0] if on_it else None
            harness.check("an arrow points along the folds, or as the piece is told to lie",
                          points == turned == placement["arrow"], f"{where}: {placement}, {points}")
            seen += 1
    if out_of_card(parts):
        harness.check("there are arrows", seen > 0)


def out_of_card(parts: dict) -> bool:
    return any("folds_along" in piece for piece in parts["pieces"])


def arrows(page) -> list:
    """Direction and area of every pair of heads on the layer of labels, mm from the lower left."""
    height = page.mediabox.height
    found = []
    for drawing in page.get_drawings():
        if (drawing.get("layer") or "") != "Labels" or drawing["type"] != "f":
            continue
        # The drawing's own rectangle leaves out the points that a path begins at.
        points = [point for item in drawing["items"] for point in item[1:] if isinstance(point, pymupdf.Point)]
        if not points:
            continue
        x, y = [point.x * POINT for point in points], [(height - point.y) * POINT for point in points]
        width, tall = max(x) - min(x), max(y) - min(y)
        # Heads are 1 mm wide; the triangles of a joint are as long as they are wide.
        if abs(min(width, tall) - 1.0) < 0.05 and max(width, tall) > 2.9:
            found.append(("x" if width > tall else "y", box(min(x), min(y), max(x), max(y))))
    return found


def longest(piece: dict):
    """The direction of at least 60 % of the fold lines, with a line longer than 40 mm."""
    if piece["stock"] == "board":
        return None
    total, lines = 0.0, {"x": {}, "y": {}}
    for fold in piece.get("folds", []):
        (x0, y0), (x1, y1) = fold["from"], fold["to"]
        length = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
        total += length
        for axis, across, at in (("x", y1 - y0, y0), ("y", x1 - x0, x0)):
            if abs(across) < 1e-4:
                line = round(at, 3)
                lines[axis][line] = lines[axis].get(line, 0.0) + length
    for axis, of in lines.items():
        if of and max(of.values()) > LONG and sum(of.values()) >= SHARE * total:
            return axis
    return None
