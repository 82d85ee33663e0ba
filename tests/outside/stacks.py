"""Stacks for a trimmer: the cuts of every page, made one after the other by shapely (GEOS).

A guillotine cut runs from edge to edge of the block that it divides (Gilmore and Gomory 1965). From
parts.json: each cut must cross one of the blocks that are there at its turn, touch no piece, and
leave every piece alone in a block, half a gap from its edges. From the PDF, by PyMuPDF: every cut is
drawn, and its number stands in its line.
"""

import json
from pathlib import Path

import pymupdf
from shapely.geometry import LineString, Point, box
from shapely.ops import split

from pdf_file import POINT, tool_path

NEAR = 1e-3
HALF_GAP = 1.0


def check(harness, out: Path) -> None:
    parts = json.loads((out / "parts.json").read_text())
    pieces = {piece["id"]: piece for piece in parts["pieces"]}
    harness.check("the mode is told", parts["layout"]["mode"] == "stacked", parts["layout"]["mode"])
    document = pymupdf.open(out / "sheets.pdf")
    for record in parts["pages"]:
        where = f"page {record['number']}"
        cuts = [LineString([cut["from"], cut["to"]]) for cut in record.get("cuts", [])]
        shapes = [tool_path(pieces[placed["piece"]], parts["parameters"]["kerf"], placed)
                  for placed in record["placements"] if "part" not in placed]
        blocks = [box(0, 0, *record["size"])]
        for number, cut in enumerate(cuts, 1):
            crossed = [block for block in blocks if crosses(cut, block)]
            if not harness.check("a cut runs from edge to edge of one block", len(crossed) == 1,
                                 f"{where}, cut {number}: {len(crossed)} blocks"):
                continue
            blocks.remove(crossed[0])
            blocks.extend(split(crossed[0], cut).geoms)
            clear = all(shape.distance(cut) >= HALF_GAP - NEAR for shape in shapes)
            harness.check("a cut keeps half the gap from every piece", clear, f"{where}, cut {number}")
        for shape in shapes:
            around = [block for block in blocks if block.contains(shape)]
            alone = len(around) == 1 and sum(around[0].intersects(other) for other in shapes) == 1
            harness.check("every piece ends alone in its block", alone, where)
        drawn(harness, document[record["number"] - 1], cuts, where)


def crosses(cut, block) -> bool:
    """Whether both ends of a cut lie on the block's edge and all between them inside."""
    ends = all(block.exterior.distance(Point(end)) < NEAR for end in cut.coords)
    return ends and block.contains(cut.interpolate(0.5, normalized=True)) and len(split(block, cut).geoms) == 2


def drawn(harness, page, cuts, where: str) -> None:
    height = page.mediabox.height * POINT
    lines = []
    for drawing in page.get_drawings():
        if (drawing.get("layer") or "").startswith("Trimming"):
            for item in drawing["items"]:
                if item[0] == "l":
                    lines.append(LineString([(p.x * POINT, height - p.y * POINT) for p in item[1:]]))
    words = [(word[4], Point((word[0] + word[2]) / 2 * POINT, height - (word[1] + word[3]) / 2 * POINT))
             for word in page.get_text("words")]
    for number, cut in enumerate(cuts, 1):
        on = [line for line in lines if cut.buffer(0.01).contains(line)]
        length = sum(line.length for line in on)
        harness.check("every cut is drawn", length > 0, f"{where}, cut {number}")
        numbered = any(word == str(number) and cut.distance(at) < 0.6 for word, at in words)
        harness.check("its number stands in its line", numbered, f"{where}, cut {number}")
    stray = [line for line in lines if not any(cut.buffer(0.01).contains(line) for cut in cuts)]
    harness.check("nothing else is drawn as a trim line", not stray, f"{where}: {stray[:2]}")
