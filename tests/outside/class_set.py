"""The pages for a class, read with PyMuPDF, against the pages and pieces of parts.json.

The size of small parts is that of 16 CFR 1501.4: a cylinder of 31.7 mm.
"""

import json
import math
from pathlib import Path

import pymupdf

POINT = 25.4 / 72
# 16 CFR 1501.4: diameter, greatest depth, mm.
ACROSS, DEEP = 31.7, 57.1


def kits_of(parts: dict) -> int:
    """How many kits a run is for."""
    return parts.get("class", {}).get("kits", 1)


def shares(parts: dict) -> int:
    """For how many kits one print of all sheets is."""
    return kits_of(parts) if parts.get("class", {}).get("sheets") == "shared" else 1


def check(harness, out: Path) -> None:
    """Labels, print plan, stacks and small parts."""
    parts = json.loads((out / "parts.json").read_text())
    about, kits = parts["class"], parts["class"]["kits"]
    document = pymupdf.open(out / "class.pdf")
    words = [page.get_text() for page in document]
    lines = [line.strip() for text in words for line in text.split("\n")]

    for kit in range(1, kits + 1):
        harness.check("every kit has a label", lines.count(f"kit {kit} of {kits}") == 1, f"kit {kit}")
        harness.check("every kit has a row and a name on its label", lines.count(f"Kit {kit}") == 2, f"Kit {kit}")
    cells = 0
    for page in document:
        drawn = [path for path in page.get_drawings() if path.get("layer") == "Cutting"]
        boxes = [path["rect"] for path in drawn]
        cells += len(boxes)
        inside = all(page.rect.contains(box) for box in boxes)
        harness.check("labels are inside their page", inside, str(boxes)[:200])
        apart = all((a & b).is_empty or (a & b).width < 2 or (a & b).height < 2
                    for i, a in enumerate(boxes) for b in boxes[:i])
        harness.check("labels do not overlap", apart, str(boxes)[:200])
    harness.check("as many labels as kits", cells == kits, f"{cells} and {kits}")

    # A page that stands alone in the print plan has a row "page N" and its copies behind it.
    for record in parts["pages"]:
        row = f"page {record['number']}"
        if row in lines:
            at = lines.index(row)
            told = lines[at + 1]
            copies = record["copies"]
            same = told == (f"{copies} copies" if copies > 1 else "1 copy")
            harness.check("the print plan tells the copies", same, f"{row}: {told}, {copies}")
        if about["sheets"] == "own":
            harness.check("every kit has as many copies", record["copies"] % kits == 0, f"{row}: {record['copies']}")
    if any(page.get("cuts") for page in parts["pages"]):
        number = cuts = 0
        for page in parts["pages"]:
            if page.get("cuts"):
                stacks = math.ceil(page["copies"] / about["stack"])
                number += stacks
                cuts += stacks * len(page["cuts"])
        text = " ".join(" ".join(words).split())
        harness.check("stacks and cuts are counted", f"{number} stacks with {cuts} straight cuts" in text, f"{number}, {cuts}")

    longest = math.hypot(ACROSS, DEEP)
    for piece in parts["pieces"]:
        short, long = sorted(piece["size"])
        if short <= ACROSS and long <= longest:
            harness.check("what fits the cylinder flat is called small", piece["id"] in about["small_parts"], piece["id"])
        if short > longest and not piece.get("folds"):
            harness.check("what is wider than the cylinder is not", piece["id"] not in about["small_parts"], piece["id"])
