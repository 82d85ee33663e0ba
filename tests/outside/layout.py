"""The layout of every page, judged by shapely (GEOS): whole pieces inside the page, none on another."""

import json
from pathlib import Path

from shapely.strtree import STRtree
from shapely.geometry import box

from pdf_file import tool_path


def check(harness, out: Path) -> None:
    parts = json.loads((out / "parts.json").read_text())
    pieces = {piece["id"]: piece for piece in parts["pieces"]}
    for record in parts["pages"]:
        width, height = record["size"]
        paper = box(0, 0, width, height)
        placed = []
        for placement in record["placements"]:
            if "part" in placement:
                continue
            kerf = record.get("kerf", parts["parameters"]["kerf"])
            shape = tool_path(pieces[placement["piece"]], kerf, placement)
            harness.check("contours are valid", shape.is_valid, placement["piece"])
            harness.check("pieces lie on the paper", paper.contains(shape), f"page {record['number']}: {placement}")
            placed.append(shape)
        tree = STRtree(placed)
        for i, shape in enumerate(placed):
            others = [j for j in tree.query(shape) if j > i]
            clash = [j for j in others if shape.intersection(placed[j]).area > 1e-6]
            harness.check("no piece lies on another", not clash, f"page {record['number']}")
