"""The SVG pages, read as XML: physical size (SVG 2, 8.2) and layers, one for each page of the PDF."""

import json
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pymupdf

SVG = "{http://www.w3.org/2000/svg}"
LAYERS = {"artwork", "gluing", "partial-cutting", "creasing-valley", "creasing-mountain", "perforating", "cutting",
          "trimming", "labels", "furniture"}


def check(harness, out: Path) -> None:
    parts = json.loads((out / "parts.json").read_text())
    files = sorted((out / "sheets").glob("*.svg"))
    pages = len(pymupdf.open(out / "sheets.pdf"))
    harness.check("one SVG for each page", len(files) == pages, f"{len(files)} for {pages} pages")
    for record in parts["pages"]:
        root = ElementTree.parse(files[record["number"] - 1]).getroot()
        width, height = record["size"]
        box = [float(v) for v in root.get("viewBox").split()]
        harness.check("its size is physical", root.get("width") == f"{plain(width)}mm"
                      and root.get("height") == f"{plain(height)}mm", str(root.attrib))
        harness.check("one user unit is one millimetre", box == [0.0, 0.0, width, height], str(box))
        groups = {group.get("id") for group in root.findall(f"{SVG}g")}
        harness.check("groups are named as layers", "cutting" in groups and groups <= LAYERS, str(groups))


def plain(number: float) -> str:
    return f"{number:.4f}".rstrip("0").rstrip(".")
