"""Artwork on the pages, measured in renderings by PyMuPDF.

Bleed runs out past every cut, no paper shows within it, the backs of walls mirror their fronts, tiles
continue each other, pictures keep their colours, marks and labels stand where parts.json and the
turned paper have them. Orientation of duplex printing: the back of a sheet turned over about an
upright edge mirrors left and right, about a lying one top and bottom (geometry, no source needed).
"""

import io
import json
import math
import subprocess
import tempfile
from pathlib import Path

import numpy
import pikepdf
import pymupdf
from PIL import Image, ImageDraw
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import unary_union

POINT = 25.4 / 72
DPI = 600
MM = DPI / 25.4
# How far from where it ought to be an edge may be drawn: two pixels.
SLACK = 0.1

# Share of pixels that may differ where two renderings show the same.
LEAST = 1e-3

SET = {
    "name": "Artwork",
    "pictures": {
        "mosaic": {"file": "mosaic.png", "fit": "repeat", "size": "38.1 mm"},
        "mural": {"file": "mural.jpg", "fit": "cover"},
        "sign": {"file": "sign.svg", "fit": "whole"},
    },
    "pieces": [
        {"piece": "tile", "size": [1, 2], "face": "flagstone"},
        {"piece": "tile", "size": [1, 1], "count": 2, "face": "cobble"},
        {"piece": "tile", "size": [1, 1], "face": "mosaic", "label": "mosaic"},
        {"piece": "tile", "size": [1, 1], "face": "sign", "label": "sign"},
        {"piece": "wall", "span": 1, "face": "brick"},
        {"piece": "wall", "span": 1, "face": "mural",
         "opening": {"window": {"width": "18 mm", "height": "24 mm", "sill": "16 mm"}}},
        {"piece": "post", "arms": "NE", "feet": ["NE"], "face": "ashlar"},
    ],
}
FORTY = {
    "name": "Forty tiles",
    "artwork": {"grid": {"pitch": "1 in"}},
    "pieces": [{"piece": "tile", "size": [1, 2], "count": 10, "face": face}
               for face in ("flagstone", "cobble", "planks", "brine water")],
}


def check(harness, program: Path) -> None:
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        pictures(folder)
        plain(harness, program, folder)
        turned_over(harness, program, folder)
        sizes(harness, program, folder)


def make(harness, program: Path, folder: Path, name: str, content: dict, *options: str) -> Path:
    source = folder / f"{name}.json"
    source.write_text(json.dumps(content))
    out = folder / name
    made = subprocess.run([program, "sheets", source, "-o", out, "--quiet", *options],
                          capture_output=True, text=True, check=False)
    harness.check("the program makes the sheets", made.returncode == 0, made.stderr[-2000:])
    return out


def pictures(folder: Path) -> None:
    """Three pictures of our own: pixels that tell where they are, a smooth photograph's stand-in, a sign."""
    across = numpy.arange(300)
    mosaic = numpy.zeros((300, 300, 3), numpy.uint8)
    # Light enough for black lines without a casing, which is artwork too.
    mosaic[..., 0] = 130 + 90 * ((across // 50) % 2)[None, :]
    mosaic[..., 1] = 130 + (across // 4)[:, None]
    mosaic[..., 2] = 150
    Image.fromarray(mosaic).save(folder / "mosaic.png")
    mural = numpy.zeros((500, 900, 3), numpy.uint8)
    mural[..., 0] = numpy.linspace(110, 220, 900)[None, :]
    mural[..., 1] = numpy.linspace(210, 120, 500)[:, None]
    mural[..., 2] = 140
    Image.fromarray(mural).save(folder / "mural.jpg", quality=92)
    (folder / "sign.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 60 30"><rect width="60" height="30" fill="#7799aa"/>'
        '<path d="M10 15 L30 5 L50 15 L30 25 Z" fill="#eecc66"/></svg>')


def artwork_alone(out: Path):
    """The sheets with every other layer switched off."""
    with pikepdf.open(out / "sheets.pdf") as pdf:
        layers = pdf.Root.OCProperties
        others = [group for group in layers.OCGs if str(group.Name) != "Artwork"]
        layers.D.OFF = pikepdf.Array(others)
        layers.D.ON = pikepdf.Array([group for group in layers.OCGs if str(group.Name) == "Artwork"])
        pdf.save(out / "artwork.pdf")
    return pymupdf.open(out / "artwork.pdf")


def artwork_of(page, shift=(0.0, 0.0)):
    """A page as an array of rows from the top, moved by a part of a pixel."""
    scale = DPI / 72
    pixels = page.get_pixmap(matrix=pymupdf.Matrix(scale, 0, 0, scale, *shift), alpha=False)
    array = numpy.frombuffer(pixels.samples, numpy.uint8).reshape(pixels.height, pixels.width, 3)
    # What a part of a pixel adds at the upper and left edges is no pixel of the page.
    array = array[-pixels.y if pixels.y < 0 else 0:, -pixels.x if pixels.x < 0 else 0:]
    return array.astype(int)


def to_page(placement: dict, shape):
    shape = affinity.rotate(shape, placement["rotation"], origin=(0, 0))
    return affinity.translate(shape, placement["x"], placement["y"])


def polygon(contours: dict) -> Polygon:
    return Polygon(contours["outer"], contours["holes"])


def printed(array, height: float, x: float, y: float):
    """Whether anything is printed at a point of the page, mm."""
    column, row = int(x * MM), int((height - y) * MM)
    return array[row, column].sum() < 3 * 255


def plain(harness, program: Path, folder: Path) -> None:
    harness.section("artwork on the pages")
    out = make(harness, program, folder, "plain", SET, "--board", "5 mm")
    if not (out / "parts.json").exists():
        return
    parts = json.loads((out / "parts.json").read_text())
    pieces = {piece["id"]: piece for piece in parts["pieces"]}
    document = artwork_alone(out)
    bleed = parts["parameters"]["bleed"]
    measured = 0
    for record in parts["pages"]:
        page = document[record["number"] - 1]
        array = artwork_of(page)
        height = record["size"][1]
        for placement in record["placements"]:
            piece = pieces[placement["piece"]]
            if "part" in placement or not piece.get("face_area"):
                continue
            faces = [to_page(placement, polygon(area)) for area in piece["face_area"]]
            material = to_page(placement, polygon(piece["contours"]))
            measured += bleeds(harness, array, height, faces, material, bleed, piece)
            slivers(harness, array, height, faces, piece)
    harness.check("bleed was measured all along the cuts", measured > 1000, str(measured))
    walls(harness, document, parts)
    tiles(harness, document, parts, pieces)
    kept(harness, out, folder)


def bleeds(harness, array, height, faces, material, bleed, piece) -> int:
    """Along every edge of a face that is a cut: how far out the artwork runs, every 1.5 mm."""
    edge = material.boundary.buffer(1e-3)
    least, count = math.inf, 0
    for face in faces:
        for ring in [face.exterior, *face.interiors]:
            corners = list(ring.coords)
            for (x0, y0), (x1, y1) in zip(corners, corners[1:]):
                length = math.hypot(x1 - x0, y1 - y0)
                if length < 1.0:
                    continue
                out = ((y1 - y0) / length, (x0 - x1) / length)
                if face.contains(Point((x0 + x1) / 2 + out[0] * 0.01, (y0 + y1) / 2 + out[1] * 0.01)):
                    out = (-out[0], -out[1])
                step = 0.75
                while step < length - 0.5:
                    at = (x0 + (x1 - x0) * step / length, y0 + (y1 - y0) * step / length)
                    step += 1.5
                    if not edge.contains(Point(at)):
                        continue
                    # The way out stays off other parts of the face, as in a narrow slot.
                    far = 0.0
                    while far < bleed + 1.0 and printed(array, height, at[0] + out[0] * far, at[1] + out[1] * far):
                        far += 0.5 / MM
                    least, count = min(least, far), count + 1
    harness.check("artwork runs past its cuts by the bleed", least >= bleed - SLACK,
                  f"{piece['id']}: {least:.3f} mm of {bleed}")
    return count


def slivers(harness, array, height, faces, piece) -> None:
    """Not one pixel of bare paper within a face, seen from two pixels inside its edge."""
    bare = 0
    for face in faces:
        inner = face.buffer(-2 / MM)
        mask = raster(inner, array.shape[:2], height)
        bare += int(((array.sum(axis=2) == 3 * 255) & mask).sum())
    harness.check("no paper shows within a face", bare == 0, f"{piece['id']}: {bare} pixels")


def raster(shape, size, height):
    """The pixels whose middles lie in a polygon."""
    image = Image.new("1", (size[1], size[0]))
    draw = ImageDraw.Draw(image)
    parts = shape.geoms if hasattr(shape, "geoms") else [shape]
    for part in parts:
        if part.is_empty:
            continue
        place = lambda ring: [(x * MM - 0.5, (height - y) * MM - 0.5) for x, y in ring.coords]
        draw.polygon(place(part.exterior), fill=1)
        for hole in part.interiors:
            draw.polygon(place(hole), fill=0, outline=0)
    return numpy.array(image)


def walls(harness, document, parts) -> None:
    """The back of a wall is its front's mirror image about the fold, pixel by pixel."""
    pieces = {piece["id"]: piece for piece in parts["pieces"]}
    seen = 0
    for record in parts["pages"]:
        page = document[record["number"] - 1]
        height = record["size"][1]
        for placement in record["placements"]:
            piece = pieces[placement["piece"]]
            if piece["kind"] != "card-wall" or not piece.get("face_area"):
                continue
            fold = max(piece["folds"], key=lambda fold: math.dist(fold["from"], fold["to"]))
            line = to_page(placement, LineString([fold["from"], fold["to"]]))
            (x0, y0), (x1, y1) = line.coords
            lying = abs(y1 - y0) < abs(x1 - x0)
            # The fold is put on the edge between two pixels.
            at = (height - y0) * MM if lying else x0 * MM
            by = round(at) - at
            array = artwork_of(page, (0.0, by) if lying else (by, 0.0))
            middle = round(at)
            reach = int((parts["parameters"]["wall_height"] - 1) * MM)
            low, high = sorted((x0, x1)) if lying else sorted((height - y0, height - y1))
            low, high = int((low + 1) * MM), int((high - 1) * MM)
            faces = unary_union([to_page(placement, polygon(area)) for area in piece["face_area"]])
            own = raster(faces, array.shape[:2], height)

            def halves(whole):
                if lying:
                    return whole[middle - reach:middle, low:high][::-1], whole[middle:middle + reach, low:high]
                return whole[low:high, middle - reach:middle][:, ::-1], whole[low:high, middle:middle + reach]

            (one, other), (of_one, of_other) = halves(array), halves(own)
            differ = float(unlike(one, other)[of_one & of_other].mean())
            harness.check("the back of a wall mirrors its front", differ < LEAST, f"{piece['id']}: {differ:.5f} differ")
            seen += 1
    harness.check("walls were compared", seen >= 2, str(seen))


def unlike(one, other):
    """Pixels of one picture that are like no pixel of the other within a pixel's distance.

    Smoothing puts an edge's colours into other parts of a pixel: a colour between those of the
    other's neighbours is like them.
    """
    near = [numpy.roll(other, (dy, dx), (0, 1)) for dy in (-1, 0, 1) for dx in (-1, 0, 1)]
    low, high = numpy.minimum.reduce(near) - 12, numpy.maximum.reduce(near) + 12
    found = ((one < low) | (one > high)).any(axis=2)
    # What was rolled in from the other side is no neighbour.
    found[[0, -1], :] = found[:, [0, -1]] = False
    return found


def tiles(harness, document, parts, pieces) -> None:
    """Two tiles side by side: what one prints past its edge is what the other prints within its own.

    The lattice's line lies half the play outside of either tile's top.
    """
    module = parts["parameters"]["module"]
    wraps = [(record, placement) for record in parts["pages"] for placement in record["placements"]
             if pieces[placement["piece"]]["kind"] == "tile-wrap"]
    tried = 0
    for face in ("cobble", "flagstone", "mosaic"):
        of_face = [(r, p) for r, p in wraps if pieces[p["piece"]]["face"] == face]
        if not of_face:
            continue
        (left_record, left), (right_record, right) = of_face[0], of_face[-1]
        strips = []
        for record, placement, side in ((left_record, left, 1), (right_record, right, -1)):
            strips.append(strip(document[record["number"] - 1], record["size"][1], placement,
                                pieces[placement["piece"]], module, side))
        one, other = strips
        differ = float(unlike(one, other).mean())
        harness.check("a tile's artwork goes on in the next one", differ < LEAST, f"{face}: {differ:.5f} differ")
        tried += 1
    harness.check("tiles were compared", tried == 3, str(tried))


def strip(page, height, placement, piece, module, side):
    """2 mm on either side of the lattice's line at the right (1) or left (-1) of a tile's lowest module.

    Turned upright, rows from the top. The wrap's middle is its origin.
    """
    across, along = (int(n) for n in piece["detail"].split(",")[0].split(" x "))
    line = side * across * module / 2
    foot = -along * module / 2
    dots = numpy.arange(-2.0, 2.0, 1 / MM * 1.0)
    # From foot + relief to the next one.
    ups = numpy.arange(foot + 12.0, foot + module - 12.0, 1 / MM)[::-1]
    xs, ys = numpy.meshgrid(line + dots, ups)
    turn = math.radians(placement["rotation"])
    page_x = placement["x"] + xs * math.cos(turn) - ys * math.sin(turn)
    page_y = placement["y"] + xs * math.sin(turn) + ys * math.cos(turn)
    array = artwork_of(page)
    return array[((height - page_y) * MM).astype(int),
                 (page_x * MM).astype(int)]


def kept(harness, out: Path, folder: Path) -> None:
    """Pictures in the file: the JPEG decodes to the very pixels of its source, the PNG's are exact."""
    document = pymupdf.open(out / "sheets.pdf")
    found = {}
    for page in document:
        for image in page.get_images(full=True):
            found[image[0]] = document.extract_image(image[0])
    by_kind = {}
    for image in found.values():
        by_kind.setdefault(image["ext"], []).append(image)
    jpeg = by_kind.get("jpeg", [])
    source = (folder / "mural.jpg").read_bytes()
    scan = source.index(b"\xff\xda")
    harness.check("a JPEG is stored as it came", len(jpeg) == 1 and jpeg[0]["image"].endswith(source[scan:]),
                  f"{[(k, len(v)) for k, v in by_kind.items()]}")
    expected = numpy.array(Image.open(folder / "mosaic.png"))
    exact = any(numpy.array_equal(numpy.array(Image.open(io.BytesIO(image["image"])).convert("RGB")), expected)
                for image in by_kind.get("png", []) if image["width"] == 300)
    harness.check("a PNG's pixels are exact", exact)


def turned_over(harness, program: Path, folder: Path) -> None:
    harness.section("backs and marks")
    for flip in ("long-edge", "short-edge"):
        for orientation in ("portrait", "landscape"):
            content = {**SET, "artwork": {"registration": "corners", "reverse_labels": True, "flip": flip}}
            name = f"{flip}-{orientation}"
            out = make(harness, program, folder, name, content, "--orientation", orientation)
            if not (out / "parts.json").exists():
                continue
            parts = json.loads((out / "parts.json").read_text())
            document = pymupdf.open(out / "sheets.pdf")
            backs(harness, document, parts, upright=(flip == "long-edge") == (orientation == "portrait"))
            marks(harness, document, parts)


def backs(harness, document, parts, upright: bool) -> None:
    pieces = {piece["id"]: piece for piece in parts["pieces"]}
    for record in parts["pages"]:
        harness.check("a sheet's back comes right behind it", record.get("reverse") == record["number"] + 1)
        harness.check("fronts are odd pages", record["number"] % 2 == 1, str(record["number"]))
        back = document[record["reverse"] - 1]
        width, height = record["size"]
        words = [(w[4], (w[0] + w[2]) / 2 * POINT, height - (w[1] + w[3]) / 2 * POINT) for w in back.get_text("words")]
        harness.check("the back says whose it is", f"page {record['number']}" in back.get_text())
        lines = [d for d in back.get_drawings()]
        harness.check("the back has names alone", not lines and not back.get_images(), f"{len(lines)} drawings")
        for placement in record["placements"]:
            name = placement.get("part", placement["piece"])
            if "part" in placement:
                continue
            material = to_page(placement, polygon(pieces[placement["piece"]]["contours"])).buffer(0.3)
            seen = [(width - x if upright else x, y if upright else height - y) for word, x, y in words if word == name]
            harness.check("a piece's name lies behind it", any(material.contains(Point(at)) for at in seen),
                          f"page {record['number']}: {name}")


def marks(harness, document, parts) -> None:
    for record in parts["pages"]:
        page = document[record["number"] - 1]
        height = record["size"][1]
        known = record.get("registration")
        if not harness.check("marks are told", known is not None):
            continue
        points = set()
        for drawing in page.get_drawings():
            for item in drawing["items"]:
                for point in item[1:]:
                    if isinstance(point, pymupdf.Point):
                        points.add((round(point.x * POINT, 2), round(height - point.y * POINT, 2)))
        near = lambda x, y: any(abs(a - x) < 0.02 and abs(b - y) < 0.02 for a, b in points)
        harness.check("marks stand where they are told", all(near(*corner) for corner in known["corners"]))
        margin = 7.0
        inside = all(margin - 1e-6 <= x - known["width"] / 2 + 1e-6 and y - known["width"] / 2 >= margin - 1e-6
                     for x, y in known["corners"][:1])
        harness.check("marks lie in what can be printed", inside, str(known["corners"]))


def sizes(harness, program: Path, folder: Path) -> None:
    harness.section("forty tiles")
    out = make(harness, program, folder, "forty", FORTY)
    if (out / "sheets.pdf").exists():
        size = (out / "sheets.pdf").stat().st_size
        harness.check("forty tiles in vector art stay under 3 MB", size < 3_000_000, f"{size} bytes")
        print(f"   forty tiles: {size} bytes")
