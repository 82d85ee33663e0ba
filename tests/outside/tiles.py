"""Tile counts and board against HiGHS, an integer solver (https://highs.dev), on random plans.

The model here is written from the rules in tiling::cover's documentation, not from its code.
`tiles.py --table` writes the fixed table that crates/planning/tests/tiling.rs reads.
"""

import json
import random
import subprocess
import sys
from pathlib import Path

import highspy

from harness import example

SETS = [
    [[2, 2], [2, 1], [1, 1]],
    [[3, 3], [3, 2], [3, 1], [2, 2], [2, 1], [1, 1]],
    [[2, 1], [1, 1]],
    [[4, 2], [3, 3], [2, 1], [1, 1]],
    [[3, 2], [2, 2], [1, 1]],
    [[3, 2], [2, 1]],
    [[2, 2], [3, 1]],
]
PLANS = 300


def check(harness, root: Path) -> None:
    harness.section("tile covers against HiGHS")
    plans = random_plans(PLANS, 20_000)
    ran = subprocess.run(
        [example("cover")],
        cwd=root, input=json.dumps(plans), capture_output=True, text=True, check=True,
    )
    exact = covered = 0
    for number, (plan, cover) in enumerate(zip(plans, json.loads(ran.stdout), strict=True)):
        best = optimum(plan)
        if best is None or cover is None:
            harness.check("a cover is found where there is one", best == cover, f"plan {number}: {best}, {cover}")
            continue
        harness.check("the tiles lie by the rules", lies_by_the_rules(plan, cover["tiles"]), f"plan {number}")
        covered += 1
        found, at_least = cover["fewest"]
        new, new_at_least = cover["new"]
        exact += found == at_least and new == new_at_least
        if new == best["new"]:
            harness.check("the optimum keeps the bounds", at_least <= best["tiles"] <= found, f"plan {number}: {best}")
        harness.check("new tiles keep the bounds", new_at_least <= best["new"] <= new, f"plan {number}: {best}")
        if found == at_least and new == new_at_least:
            same = (found, new) == (best["tiles"], best["new"])
            harness.check("the count is the optimum", same, f"plan {number}: {found}, {new} and {best}")
        if cover["least_board"] and not plan["on_hand"]:
            sides = sum(width + height for _, _, width, height in cover["tiles"])
            harness.check("the board is the least", sides == best["sides"], f"plan {number}: {sides} and {best}")
    harness.check("covers of this size are proved", exact >= covered * 0.95, f"{exact} of {covered}")
    harness.check("most plans can be covered", covered >= PLANS * 0.7, f"{covered} of {PLANS}")


def random_plans(count: int, seed: int) -> list:
    """Floors of up to 12 x 12 cells with holes, walls, posts, two surfaces; every fifth with stock."""
    plans = []
    for number in range(count):
        rng = random.Random(seed + number)
        width, height = rng.randint(1, 12), rng.randint(1, 12)
        holes, walls, posts = rng.choice([0, 0.05, 0.2]), rng.choice([0, 0.05, 0.2]), rng.choice([0, 0, 0.05])
        surfaces = rng.choice([1, 1, 2])
        # Sets without single cells cover few random floors: less often.
        tiles = rng.choice(SETS[:-2] * 3 + SETS[-2:])
        plan = {
            "width": width,
            "height": height,
            "cells": [None if rng.random() < holes else rng.randrange(surfaces) for _ in range(width * height)],
            "across": [int(rng.random() < walls) for _ in range(width * (height + 1))],
            "down": [int(rng.random() < walls) for _ in range((width + 1) * height)],
            "tiles": tiles,
            "every_module": rng.random() < 0.3,
            "posts": [[x, y] for y in range(height + 1) for x in range(width + 1) if rng.random() < posts],
            "on_hand": [],
        }
        if number % 5 == 0:
            plan["on_hand"] = [[rng.randrange(surfaces), *size, rng.randint(1, 8)] for size in tiles]
            plan["on_hand"] = list({tuple(row[:3]): row for row in plan["on_hand"]}.values())
        plans.append(plan)
    return plans


def allowed(plan: dict, x: int, y: int, width: int, height: int) -> bool:
    """Whether a tile may lie there."""
    columns, rows = plan["width"], plan["height"]
    if x + width > columns or y + height > rows:
        return False
    surfaces = {plan["cells"][v * columns + u] for v in range(y, y + height) for u in range(x, x + width)}
    if len(surfaces) != 1 or None in surfaces:
        return False
    if any(plan["across"][v * columns + u] for v in range(y + 1, y + height) for u in range(x, x + width)):
        return False
    if any(plan["down"][v * (columns + 1) + u] for v in range(y, y + height) for u in range(x + 1, x + width)):
        return False
    for u, v in plan["posts"]:
        if not (x <= u <= x + width and y <= v <= y + height):
            continue
        on_sides = (u in (x, x + width)) + (v in (y, y + height))
        if on_sides < (1 if plan["every_module"] else 2):
            return False
    return True


def lies_by_the_rules(plan: dict, tiles: list) -> bool:
    """Every cell of floor once, each tile allowed and of a size of the plan."""
    columns = plan["width"]
    covered = sorted(v * columns + u for x, y, w, h in tiles for v in range(y, y + h) for u in range(x, x + w))
    floor = [cell for cell, surface in enumerate(plan["cells"]) if surface is not None]
    sizes = all(sorted((w, h), reverse=True) in plan["tiles"] for _, _, w, h in tiles)
    return covered == floor and sizes and all(allowed(plan, *tile) for tile in tiles)


def optimum(plan: dict) -> dict | None:
    """Fewest new tiles, then fewest tiles, then (all new) the greatest sum of sides."""
    columns, rows = plan["width"], plan["height"]
    turned = sorted({tuple(size) for size in plan["tiles"]} | {tuple(size[::-1]) for size in plan["tiles"]})
    places = [
        (x, y, w, h) for y in range(rows) for x in range(columns) for w, h in turned if allowed(plan, x, y, w, h)
    ]
    floor = [cell for cell, surface in enumerate(plan["cells"]) if surface is not None]
    model = highspy.Highs()
    model.silent()
    model.setOptionValue("threads", 1)
    model.setOptionValue("mip_rel_gap", 0.0)
    tiles = [model.addBinary() for _ in places]
    over = {cell: [] for cell in floor}
    for tile, (x, y, w, h) in zip(tiles, places, strict=True):
        for v in range(y, y + h):
            for u in range(x, x + w):
                over[v * columns + u].append(tile)
    if not floor:
        return {"tiles": 0, "new": 0, "sides": 0}
    if not all(over.values()):
        return None
    for cell in floor:
        model.addConstr(model.qsum(over[cell]) == 1)
    new = []
    for surface, long, short, count in plan["on_hand"]:
        alike = [
            tile
            for tile, (x, y, w, h) in zip(tiles, places, strict=True)
            if plan["cells"][y * columns + x] == surface and (max(w, h), min(w, h)) == (long, short)
        ]
        # Tiles taken from stock: no more than there are, and no more than lie there.
        taken = model.addIntegral(0, count)
        model.addConstr(taken - model.qsum(alike) <= 0)
        new.append(taken)
    count = model.qsum(tiles)
    fewest_new = least(model, count - model.qsum(new) if new else count)
    if fewest_new is None:
        return None
    model.addConstr((count - model.qsum(new) if new else count) <= fewest_new)
    fewest = least(model, count)
    model.addConstr(count <= fewest)
    sides = None
    if not new:
        sides = -least(model, model.qsum(-(w + h) * tile for tile, (_, _, w, h) in zip(tiles, places, strict=True)))
    return {"tiles": fewest, "new": fewest_new, "sides": sides}


def least(model: highspy.Highs, what) -> int | None:
    """The proved least value; `None` where there is no solution."""
    model.minimize(what)
    if model.getModelStatus() == highspy.HighsModelStatus.kInfeasible:
        return None
    if model.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        raise RuntimeError(model.modelStatusToString(model.getModelStatus()))
    return round(model.getInfo().objective_function_value)


def table() -> None:
    """Sixty plans with their optimum, a line each."""
    rows = [json.dumps({"plan": plan, "optimum": optimum(plan)}) for plan in random_plans(60, 7_000)]
    print("[" + ",\n".join(rows) + "]")


if __name__ == "__main__":
    if sys.argv[1:] == ["--table"]:
        table()
    else:
        from harness import Harness

        harness = Harness()
        check(harness, Path(__file__).resolve().parents[2])
        sys.exit(harness.close())
