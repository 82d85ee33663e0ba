"""The layout that follows the steps of building, and the numbers of pages with their bounds.

Both are read from parts.json alone: pieces are counted page by page and compared with what the steps
need until then.
"""

import json
from collections import Counter
from pathlib import Path

from class_set import kits_of, shares
from shapely.geometry import Polygon


def steps(harness, out: Path) -> None:
    """No page comes later than the first one of a later step, and pages say their steps."""
    parts = json.loads((out / "parts.json").read_text())
    layout = parts["layout"]
    harness.check("the mode is told", layout["mode"] == "by-step", layout["mode"])
    stock_of = {piece["id"]: piece["stock"] for piece in parts["pieces"]}
    asked = Counter()
    for step in layout["steps"]:
        for need in step["pieces"]:
            asked[need["piece"]] += need["count"]
    made = {piece["id"]: piece["count"] * shares(parts) for piece in parts["pieces"]}
    harness.check("the steps use every piece", dict(asked) == made, f"{dict(asked)} and {made}")
    for stock in {page["stock"] for page in parts["pages"]}:
        pages = [page for page in parts["pages"] if page["stock"] == stock]
        spans = [page["steps"] for page in pages]
        follow = all(a[1] <= b[0] for a, b in zip(spans, spans[1:])) and all(a <= b for a, b in spans)
        harness.check("pages follow the steps", follow, f"{stock}: {spans}")
        placed = Counter()
        for page in pages:
            first, last = page["steps"]
            before, until = needed(layout, stock_of, stock, first - 1), needed(layout, stock_of, stock, last)
            late = {name for name, count in before.items() if placed[name] < count}
            harness.check("earlier steps have their pieces", not late, f"page {page['number']}: {late}")
            for placement in page["placements"]:
                # Halves of a split piece come together: the first one stands for it.
                if placement.get("part", "a").endswith("a") or "part" not in placement:
                    placed[placement["piece"]] += page["copies"]
            early = {name for name, count in placed.items() if count > until[name]}
            harness.check("no piece comes before its step", not early, f"page {page['number']}: {early}")


def needed(layout, stock_of, stock, step: int) -> Counter:
    """Pieces of a stock that all steps up to one need."""
    count = Counter()
    for record in layout["steps"][:step]:
        for need in record["pieces"]:
            if stock_of[need["piece"]] == stock:
                count[need["piece"]] += need["count"]
    return count


def bounds(harness, out: Path) -> None:
    """The number of sheets is what the pages come to, and no bound is above it. By areas alone
    (shapely), as many sheets are needed as the pieces cover."""
    parts = json.loads((out / "parts.json").read_text())
    layout = parts["layout"]
    for stock in layout["stocks"]:
        name = stock["stock"]
        pages = [page for page in parts["pages"] if page["stock"] == name]
        sheets = sum(page["copies"] for page in pages)
        harness.check("sheets are counted", stock["sheets"] == sheets, f"{name}: {stock['sheets']} and {sheets}")
        by_size = sum(paper["sheets"] for paper in stock["papers"])
        harness.check("sheets of each size are counted", by_size == sheets, f"{name}: {by_size} and {sheets}")
        harness.check("no bound is above the sheets", 1 <= stock["at_least"] <= sheets, str(stock)[:200])
        area = kits_of(parts) * sum(piece["count"] * Polygon(piece["contours"]["outer"], piece["contours"]["holes"]).area
                   for piece in parts["pieces"] if piece["stock"] == name)
        largest = max(page["size"][0] * page["size"][1] for page in pages)
        harness.check("the pieces' area fits the sheets", area <= sheets * largest, f"{name}: {area}")
        harness.check("the bound says why", len(stock["certificate"]) > 20, stock["certificate"])
    for key in ("sheets", "at_least"):
        total = sum(stock[key] for stock in layout["stocks"])
        harness.check("the totals are sums", layout[key] == total, f"{key}: {layout[key]} and {total}")
