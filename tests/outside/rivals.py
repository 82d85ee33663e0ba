#!/usr/bin/env python3
"""General packing libraries on the terrain sets, for comparison: pages and seconds.

    python tests/outside/rivals.py class --seconds 300

prints one Markdown row for each library that is installed (rivals.txt pins the versions). The
irregular engine is given exactly our job: outlines, copies, quarter or half turns, gap, page. The
rectangle library is given bounding boxes grown by the gap, which is what it can do. Every
irregular layout is measured again with shapely, by distances and by the page's edge.
"""

import argparse
import json
import math
import pathlib
import time
from collections import Counter
from functools import partial

from shapely import affinity
from shapely.geometry import Polygon, box
from shapely.strtree import STRtree

DATA = pathlib.Path(__file__).resolve().parents[3] / "shared/data/packing/terrain"
FIT = 1e-3


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("set", help="name of a terrain set, such as small or class")
    parser.add_argument("--seconds", type=float, default=300, help="what the irregular engine may take")
    arguments = parser.parse_args()
    data = json.loads((DATA / f"{arguments.set}.json").read_text())
    # A plain constructive strategy, and one that goes on searching while it may.
    engines = [partial(irregular, strategy="nfp"), partial(irregular, strategy="gdrr")]
    engines += [partial(rectangles, turn=False), partial(rectangles, turn=True)]
    for engine in engines:
        try:
            name, pages, seconds, unsound = engine(data, arguments.seconds)
        except ImportError as error:
            print(f"| {error.name} | not installed | | |", flush=True)
            continue
        print(f"| {name} | {pages} | {seconds:.1f} | {unsound} |", flush=True)


def free(data):
    """Width and height of the area that pieces may use."""
    page = data["page"]
    return page["width"] - 2 * page["margin"], page["height"] - 2 * page["margin"]


def irregular(data, seconds, strategy):
    import u_nesting

    width, height = free(data)
    pieces = [
        {key: piece[key] for key in ("id", "polygon", "quantity", "rotations")} for piece in data["pieces"]
    ]
    config = {
        "strategy": strategy,
        "spacing": data["gap"],
        "margin": 0.0,
        "multi_sheet": True,
    }
    if strategy != "nfp":
        config["seed"] = 1
    name = f"u-nesting {version('u-nesting')}, {strategy}"
    boundary = {"width": width, "height": height}
    # One call fills at most a hundred pages: what it leaves over goes to the next call, and each
    # gets its share of the time.
    area = sum(Polygon(piece["polygon"]).area * piece["quantity"] for piece in pieces)
    config["time_limit_ms"] = int(seconds * 1000 / max(1, math.ceil(area / (width * height * 70))))
    pages, unsound = 0, 0
    start = time.monotonic()
    while pieces:
        result = u_nesting.solve_2d(pieces, boundary, config)
        if not result["success"] or not result["placements"]:
            return name, result["error"] or "stuck", time.monotonic() - start, ""
        pages += result["boundaries_used"]
        unsound += sum(not sound(data, sheet, width, height) for sheet in sheets(data, result))
        placed = Counter(place["geometry_id"] for place in result["placements"])
        pieces = [{**piece, "quantity": piece["quantity"] - placed[piece["id"]]} for piece in pieces]
        pieces = [piece for piece in pieces if piece["quantity"] > 0]
    return name, pages, time.monotonic() - start, f"{unsound} pages unsound"


def sheets(data, result):
    """The polygons of every page."""
    outlines = {piece["id"]: Polygon(piece["polygon"]) for piece in data["pieces"]}
    pages = {}
    for place in result["placements"]:
        turned = affinity.rotate(outlines[place["geometry_id"]], place["rotation"][0], origin=(0, 0), use_radians=True)
        moved = affinity.translate(turned, *place["position"][:2])
        pages.setdefault(place["boundary_index"], []).append(moved)
    return pages.values()


def sound(data, polygons, width, height):
    """Whether all lie on the page, with the gap between any two."""
    page = box(-FIT, -FIT, width + FIT, height + FIT)
    tree = STRtree(polygons)
    for i, outline in enumerate(polygons):
        if not page.contains(outline):
            return False
        for j in tree.query(outline.buffer(data["gap"])):
            if j != i and outline.distance(polygons[j]) < data["gap"] - FIT:
                return False
    return True


def rectangles(data, _seconds, turn):
    import rectpack

    width, height = free(data)
    units = lambda mm: math.ceil(mm * 100 - 1e-6)
    gap = data["gap"]
    best = None
    start = time.monotonic()
    for algorithm in (rectpack.MaxRectsBssf, rectpack.MaxRectsBaf, rectpack.SkylineBlWm):
        packer = rectpack.newPacker(
            mode=rectpack.PackingMode.Offline, bin_algo=rectpack.PackingBin.BBF, pack_algo=algorithm, rotation=turn
        )
        for piece in data["pieces"]:
            xs, ys = zip(*piece["polygon"])
            for _ in range(piece["quantity"]):
                packer.add_rect(units(max(xs) - min(xs) + gap), units(max(ys) - min(ys) + gap))
        packer.add_bin(math.floor((width + gap) * 100 + 1e-6), math.floor((height + gap) * 100 + 1e-6), count=float("inf"))
        packer.pack()
        best = len(packer) if best is None else min(best, len(packer))
    took = time.monotonic() - start
    turns = "any turn, so not our job" if turn else "as drawn"
    return f"rectpack {version('rectpack')}, boxes, {turns}", best, took, "boxes only"


def version(package):
    from importlib.metadata import version as of

    return of(package)


if __name__ == "__main__":
    main()
