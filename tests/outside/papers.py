"""Paper sizes against reference packages, by majority where they differ.

Sources: reportlab.lib.pagesizes, papersize, PyMuPDF's paper_sizes, libpaper's paperconf.
"""

import json
import subprocess
from pathlib import Path

import papersize
import pymupdf
from reportlab.lib import pagesizes

from harness import example

POINT = 25.4 / 72


def check(harness, root: Path) -> None:
    harness.section("paper sizes")
    listed = subprocess.run(
        [example("papers")],
        cwd=root, capture_output=True, text=True, check=True,
    )
    compared = 0
    for paper in json.loads(listed.stdout):
        votes = references(paper["name"])
        if len(votes) < 2:
            continue
        compared += 1
        ours = tuple(sorted((paper["width"], paper["height"])))
        # Packages that keep whole points are off by up to half a point.
        agree = sum(all(abs(a - b) <= POINT / 2 + 0.06 for a, b in zip(ours, vote)) for vote in votes.values())
        harness.check(f"{paper['name']} is {ours}", agree * 2 > len(votes), str(votes))
    harness.check("at least 30 sizes stand in two reference packages or more", compared >= 30, str(compared))


def references(name: str) -> dict:
    """Width and height in mm, short side first, by package."""
    plain = name.replace(" ", "").replace("-", "")
    found = {}
    size = getattr(pagesizes, plain.upper(), None) or getattr(pagesizes, plain.lower(), None)
    if isinstance(size, tuple):
        found["reportlab"] = size
    size = papersize.SIZES.get(plain.lower())
    if size:
        while size in papersize.SIZES:  # some names point to another name
            size = papersize.SIZES[size]
        # It counts in points of 1/72.27 in; the other packages in points of 1/72 in.
        found["papersize"] = tuple(float(side) * 72 / 72.27 for side in papersize.parse_couple(size))
    size = pymupdf.paper_sizes().get(plain.lower()) if callable(getattr(pymupdf, "paper_sizes", None)) else None
    if size:
        found["PyMuPDF"] = size
    listed = {"ARCHA": "archA", "ARCHB": "archB", "ARCHC": "archC", "ARCHD": "archD", "ARCHE": "archE",
              "ANSIC": "csheet", "ANSID": "dsheet", "ANSIE": "esheet"}.get(plain, plain.lower())
    asked = subprocess.run(["paperconf", "-s", "-p", listed], capture_output=True, text=True, check=False)
    numbers = asked.stdout.split()
    if asked.returncode == 0 and len(numbers) == 2:
        found["paperconf"] = tuple(map(float, numbers))
    return {package: tuple(sorted(side * POINT for side in size)) for package, size in found.items()}
