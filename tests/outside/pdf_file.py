"""sheets.pdf, read by PyMuPDF, pikepdf, poppler, Ghostscript and qpdf.

Boxes, page labels, viewer preferences and optional content: ISO 32000-1, 14.11.2, 12.4.2, 12.2, 8.11.
Names of processing steps: ISO 19593-1.
"""

import json
import subprocess
from collections import Counter
from pathlib import Path

import pikepdf
import pymupdf
from class_set import kits_of
from shapely import affinity
from shapely.geometry import Polygon

POINT = 25.4 / 72
STEPS = {"Cutting", "Creasing", "Gluing"}


def check(harness, out: Path) -> None:
    file = out / "sheets.pdf"
    parts = json.loads((out / "parts.json").read_text())
    readers(harness, file)
    structure(harness, file)
    measured(harness, file, parts)


def readers(harness, file: Path) -> None:
    """Three readers get through it without a word."""
    commands = {
        "qpdf": ["qpdf", "--check", file],
        "poppler": ["pdftoppm", "-r", "20", "-png", file, file.with_suffix("")],
        "Ghostscript": ["gs", "-q", "-dNOPAUSE", "-dBATCH", "-sDEVICE=nullpage", file],
    }
    for name, command in commands.items():
        ran = subprocess.run(command, capture_output=True, text=True, check=False)
        clean = ran.returncode == 0 and not ran.stderr.strip()
        harness.check(f"{name} reads the PDF", clean, (ran.stdout + ran.stderr)[-500:])


def inside(inner, outer) -> bool:
    slack = 1e-3
    return (inner[0] >= outer[0] - slack and inner[1] >= outer[1] - slack
            and inner[2] <= outer[2] + slack and inner[3] <= outer[3] + slack)


def structure(harness, file: Path) -> None:
    with pikepdf.open(file) as pdf:
        root = pdf.Root
        harness.check("printing does not scale", root.ViewerPreferences.PrintScaling == "/None")
        harness.check("pages are labelled", "/PageLabels" in root)
        with pdf.open_outline() as outline:
            harness.check("there are bookmarks", len(outline.root) > 0 and any(item.children for item in outline.root))
        groups = root.OCProperties.OCGs
        steps = {str(group.GTS_Metadata.GTS_ProcStepsType)[1:] for group in groups if "/GTS_Metadata" in group}
        harness.check("layers carry processing steps", STEPS <= steps, str(steps))
        for page in pdf.pages:
            media, bleed, trim = ([float(v) for v in page.obj[box]] for box in ("/MediaBox", "/BleedBox", "/TrimBox"))
            harness.check("TrimBox in BleedBox in MediaBox", inside(trim, bleed) and inside(bleed, media),
                          f"{trim} {bleed} {media}")
        fonts = [obj for obj in pdf.objects
                 if isinstance(obj, pikepdf.Dictionary) and obj.get("/Type") == "/FontDescriptor"]
        subset = all("+" in str(font.FontName) and ("/FontFile2" in font or "/FontFile3" in font) for font in fonts)
        harness.check("fonts are embedded subsets", bool(fonts) and subset, str([str(f.FontName) for f in fonts]))


def tool_path(piece: dict, kerf: float, placement: dict):
    """The piece's contour, offset by half the kerf by shapely, where the placement puts it."""
    polygon = Polygon(piece["contours"]["outer"], piece["contours"]["holes"])
    if kerf:
        polygon = polygon.buffer(kerf / 2, join_style="mitre", mitre_limit=20)
    polygon = affinity.rotate(polygon, placement["rotation"], origin=(0, 0))
    return affinity.translate(polygon, placement["x"], placement["y"])


def measured(harness, file: Path, parts: dict) -> None:
    """Every corner of every piece is on the page, to 0.01 mm, and every piece is named."""
    pieces = {piece["id"]: piece for piece in parts["pieces"]}
    document = pymupdf.open(file)
    made = Counter()
    for record in parts["pages"]:
        page = document[record["number"] - 1]
        height = page.mediabox.height * POINT
        harness.check("the page has its paper's size",
                      abs(page.mediabox.width * POINT - record["size"][0]) < 0.01
                      and abs(height - record["size"][1]) < 0.01, str(page.mediabox))
        corners = drawn(page, height, "Cutting")
        names = page.get_text()
        wanted = Counter()
        for placement in record["placements"]:
            name = placement.get("part", placement["piece"])
            wanted[name] += 1
            if "part" in placement:
                continue
            made[placement["piece"]] += record["copies"]
            kerf = record.get("kerf", parts["parameters"]["kerf"])
            path = tool_path(pieces[placement["piece"]], kerf, placement)
            for ring in [path.exterior, *path.interiors]:
                for corner in ring.coords:
                    if not near(corners, corner):
                        harness.check("corners measure true to 0.01 mm", False,
                                      f"page {record['number']}, {placement}, {corner}")
                        break
                else:
                    harness.check("corners measure true to 0.01 mm", True)
        for name, count in wanted.items():
            harness.check("every piece is named on its page", names.count(name) >= count, f"{name} x {count}")
        bars(harness, page, record["number"])
    split = {placement["piece"] for record in parts["pages"] for placement in record["placements"]
             if "part" in placement}
    for name, piece in pieces.items():
        if name not in split:
            harness.check("as many as demanded", made[name] == piece["count"] * kits_of(parts), f"{name}: {made[name]}")


def drawn(page, height: float, layer: str) -> dict:
    """Points of all lines on a layer, in mm from the lower left, in a grid of 0.1 mm."""
    grid = {}
    # Drawings come in the unrotated page's coordinates, y down from the upper edge.
    for drawing in page.get_drawings():
        if (drawing.get("layer") or "").split(" (")[0] != layer:
            continue
        for item in drawing["items"]:
            points = item[1:]
            if item[0] == "re":
                r = item[1]
                points = [r.tl, r.tr, r.bl, r.br]
            elif item[0] == "qu":
                points = list(item[1])
            for point in points:
                if isinstance(point, pymupdf.Point):
                    at = (point.x * POINT, height - point.y * POINT)
                    grid.setdefault((round(at[0], 1), round(at[1], 1)), []).append(at)
    return grid


def near(grid: dict, at) -> bool:
    """Whether a drawn point lies within 0.01 mm."""
    x, y = round(at[0], 1), round(at[1], 1)
    for dx in (-0.1, 0, 0.1):
        for dy in (-0.1, 0, 0.1):
            for point in grid.get((round(x + dx, 1), round(y + dy, 1)), []):
                if abs(point[0] - at[0]) <= 0.01 and abs(point[1] - at[1]) <= 0.01:
                    return True
    return False


def bars(harness, page, number: int) -> None:
    """Bars of 100 mm and 4 in lie on both axes; 1 in is 25.4 mm by definition."""
    lengths = {"x": [], "y": []}
    for drawing in page.get_drawings():
        if (drawing.get("layer") or "") != "Furniture":
            continue
        for item in drawing["items"]:
            if item[0] == "l":
                (_, a, b) = item
                if abs(a.y - b.y) < 1e-3:
                    lengths["x"].append(abs(a.x - b.x) * POINT)
                elif abs(a.x - b.x) < 1e-3:
                    lengths["y"].append(abs(a.y - b.y) * POINT)
    for axis, found in lengths.items():
        for bar in (100.0, 101.6):
            harness.check(f"a bar of {bar} mm along {axis}", any(abs(l - bar) < 0.01 for l in found), f"page {number}")
