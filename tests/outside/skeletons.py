"""Roofs' straight skeletons against CGAL (cgal.org), by its binding `compas_cgal`.

Seeded random plans with right angles. Every arc of ours lies on one of CGAL's, and the other way
round, but for those that CGAL draws between two sides in one line: there we have one slope.
"""

import json
import subprocess
from pathlib import Path

import numpy
from compas_cgal.straight_skeleton_2 import interior_straight_skeleton

from harness import Harness, example

COMMAND = [example("skeletons")]
CASES = 400
NEAR = 1e-5


def check(harness: Harness, root: Path) -> None:
    """Every case."""
    harness.section("straight skeletons against CGAL")
    made = subprocess.run([*COMMAND, str(CASES), "1"], cwd=root, capture_output=True, text=True, check=False)
    if not harness.check("the example runs", made.returncode == 0, made.stderr[-2000:]):
        return
    cases = [json.loads(line) for line in made.stdout.splitlines()]
    failed = [case["plan"] for case in cases if "failed" in case]
    harness.check("every plan has its skeleton", not failed, f"{len(failed)}: {failed[:1]}")
    arcs, between = 0, 0
    for case in cases:
        if "failed" not in case:
            found = one_case(harness, case)
            arcs, between = arcs + found[0], between + found[1]
    print(f"   {len(cases)} plans, {arcs} arcs; {between} more between sides in one line")
    harness.check("there are plans with inner corners", any(len(case["plan"]) > 6 for case in cases))


def one_case(harness: Harness, case: dict) -> tuple[int, int]:
    """How many arcs there are, and how many CGAL has besides."""
    plan = case["plan"]
    nodes = numpy.array(case["nodes"])
    eaves = len(plan)
    ours = set()
    for face in case["faces"]:
        for one, other in zip(face, face[1:] + face[:1]):
            # A side of the plan is no arc.
            if not (one < eaves and other < eaves):
                ours.add((min(one, other), max(one, other)))
    ours = [(nodes[one][:2], nodes[other][:2]) for one, other in sorted(ours)]
    points, keys, edges, kinds = interior_straight_skeleton([[x, y, 0.0] for x, y in plan], as_graph=False)
    index = {int(key): at for key, at in zip(numpy.array(keys).ravel(), numpy.array(points))}
    theirs = [
        (index[int(a)][:2], index[int(b)][:2])
        for (a, b), kind in zip(numpy.array(edges), numpy.array(kinds).ravel())
        if int(kind) != 2
    ]
    for arc in ours:
        harness.check("each arc of ours is one of CGAL's", covered(arc, theirs), f"{plan}: {arc}")
    between = 0
    for arc in theirs:
        if numpy.linalg.norm(arc[1] - arc[0]) < NEAR or covered(arc, ours):
            continue
        # It ends a slope that goes on: upright or level, over a plan with two sides in one line.
        level = min(abs(arc[1] - arc[0])) < NEAR
        harness.check("each arc of CGAL's is one of ours", level and in_one_line(plan), f"{plan}: {arc}")
        between += 1
    return len(ours), between


def covered(arc: tuple, arcs: list) -> bool:
    """Whether every tenth of an arc lies on one of the others."""
    return all(
        min((distance(arc[0] + (arc[1] - arc[0]) * share, other) for other in arcs), default=1.0) < NEAR
        for share in numpy.linspace(0.0, 1.0, 11)
    )


def distance(point: numpy.ndarray, arc: tuple) -> float:
    """Of a point from a segment."""
    along = arc[1] - arc[0]
    length = along @ along
    share = 0.0 if length == 0.0 else min(max((point - arc[0]) @ along / length, 0.0), 1.0)
    return float(numpy.linalg.norm(point - arc[0] - along * share))


def in_one_line(plan: list) -> bool:
    """Whether two sides of a plan lie in one line and run the same way."""
    sides = []
    for (x, y), (u, v) in zip(plan, plan[1:] + plan[:1]):
        upright = abs(x - u) < NEAR
        sides.append((upright, round(x if upright else y, 4), (v > y) if upright else (u > x)))
    return len(set(sides)) < len(sides)
