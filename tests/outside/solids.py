"""Builds as solids, recomputed by the modeller Manifold (github.com/elalish/manifold, `manifold3d`).

Seeded random parameter sets and small builds, some of them spoiled. For each, the modeller makes
every prism from its contours and says its volume and which bodies share space. Our verdicts must
agree with it pair by pair, and where all rules hold nothing may share space.
"""

import json
import subprocess
import time
from pathlib import Path

import numpy
from manifold3d import CrossSection, FillRule, Manifold

from harness import Harness, example

COMMAND = [example("solids")]
CASES = 500
SECONDS = 40.0
# Contours lie on a grid of 1e-6 mm, so faces that touch can overlap by that much over as much area as
# touches: the largest volume of pairs that we say do not share space, and the smallest of those that
# we say do, are printed, and lie far to both sides of this bound (mm3).
NOTHING = 1e-4


def check(harness: Harness, root: Path) -> None:
    """As many of the cases as fit in the time; the first hundred at least."""
    harness.section("solids against Manifold")
    command = [*COMMAND, str(CASES), "1"]
    runs = [subprocess.run(command, cwd=root, capture_output=True, text=True, check=False) for _ in range(2)]
    if not harness.check("the example runs", runs[0].returncode == 0, runs[0].stderr[-2000:]):
        return
    harness.check("two runs print the same builds", runs[0].stdout == runs[1].stdout)
    began = time.monotonic()
    seen = {"holds": 0, "shares": 0, "rules fail, nothing shares": 0, "no shape": 0}
    volumes = Volumes()
    count = 0
    for line in runs[0].stdout.splitlines():
        if count >= 100 and time.monotonic() - began > SECONDS:
            break
        one_case(harness, json.loads(line), seen, volumes)
        count += 1
    print(f"   {count} builds: {seen}")
    print(f"   largest volume that we call touching {volumes.touching:.3g} mm3, smallest shared {volumes.shared:.3g} mm3")
    # Otherwise the search would have shown nothing.
    for kind, cases in seen.items():
        harness.check(f"the search has met builds of the kind: {kind}", cases >= 5, str(cases))


class Volumes:
    """How far apart touching and sharing are."""

    def __init__(self) -> None:
        self.touching = 0.0
        self.shared = float("inf")

    def see(self, volume: float, shares: bool) -> None:
        """Notes one pair."""
        if shares:
            self.shared = min(self.shared, volume)
        else:
            self.touching = max(self.touching, volume)


def one_case(harness: Harness, case: dict, seen: dict, volumes: "Volumes") -> None:
    """Volumes, pairs, and the rules' verdict."""
    where = f"seed {case['seed']}, {case['changes']}, {case['parameters']}"
    if not case["assembled"]:
        harness.check("what has no shape fails a rule", bool(case["failing"]), where)
        seen["no shape"] += 1
        return
    bodies = []
    for body in case["bodies"]:
        solids = [prism(solid) for solid in body["solids"]]
        for solid, ours in zip(solids, body["solids"]):
            close = abs(solid.volume() - ours["volume"]) <= 1e-6 * ours["volume"]
            harness.check("a volume is Manifold's", close, f"{body['name']}: {solid.volume()}, {ours['volume']}; {where}")
        bodies.append(solids)
    all_theirs = shared(bodies)
    theirs = {pair: volume for pair, volume in all_theirs.items() if volume > NOTHING}
    ours = {(one, other): depth for one, other, depth in case["shares"]}
    for pair, volume in all_theirs.items():
        volumes.see(volume, pair in ours)
    name = lambda pair: " and ".join(case["bodies"][body]["name"] for body in pair)
    only_theirs = {name(pair): theirs[pair] for pair in theirs.keys() - ours.keys()}
    only_ours = {name(pair): ours[pair] for pair in ours.keys() - theirs.keys()}
    harness.check("what Manifold finds we find", not only_theirs, f"{only_theirs}; {where}")
    harness.check("what we find Manifold finds", not only_ours, f"{only_ours}; {where}")
    if case["failing"]:
        seen["shares" if theirs else "rules fail, nothing shares"] += 1
    else:
        pairs = {name(pair): volume for pair, volume in theirs.items()}
        harness.check("where all rules hold nothing shares space", not theirs, f"{pairs}; {where}")
        seen["holds"] += 1


def prism(solid: dict) -> Manifold:
    """The contours between two heights, moved into space."""
    low, high = solid["heights"]
    section = CrossSection([numpy.array(c) for c in solid["contours"]], FillRule.EvenOdd)
    return section.extrude(high - low).translate((0.0, 0.0, low)).transform(numpy.array(solid["matrix"]))


def shared(bodies: list[list[Manifold]]) -> dict[tuple[int, int], float]:
    """Volume that each pair of bodies shares: the largest of any two of their solids."""
    boxes = [[numpy.array(solid.bounding_box()) for solid in solids] for solids in bodies]
    found = {}
    for one in range(len(bodies)):
        for other in range(one + 1, len(bodies)):
            for a, solid in zip(boxes[one], bodies[one]):
                for b, against in zip(boxes[other], bodies[other]):
                    if (numpy.minimum(a[3:], b[3:]) - numpy.maximum(a[:3], b[:3])).min() > 0.0:
                        volume = (solid ^ against).volume()
                        found[one, other] = max(found.get((one, other), 0.0), volume)
    return found
