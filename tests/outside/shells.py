"""Nets of solids, folded, against trimesh (trimesh.org) and the modeller Manifold (`manifold3d`).

Seeded random prisms, frusta, cones and casks. trimesh says whether the shell is closed and how large
it is; Manifold makes every folded panel from its contour and says which of them share space, how near
each flap is to its seat, and whether every face lies outside the shell and every flap inside.
"""

import json
import subprocess
from pathlib import Path

import numpy
import trimesh
from manifold3d import CrossSection, FillRule, Manifold

from harness import Harness, example

COMMAND = [example("shells")]
CASES = 120
# Contours lie on a grid of 1e-6 mm; faces that touch can overlap by that much over as much area as
# touches (mm3).
NOTHING = 1e-2
# A flap lies on its seat: the rule's own tolerance is 1e-4 mm.
NEAR = 1e-4


def check(harness: Harness, root: Path) -> None:
    """Every case."""
    harness.section("folded nets of solids against trimesh and Manifold")
    runs = [subprocess.run([*COMMAND, str(CASES), "1"], cwd=root, capture_output=True, text=True, check=False) for _ in range(2)]
    if not harness.check("the example runs", runs[0].returncode == 0, runs[0].stderr[-2000:]):
        return
    harness.check("two runs print the same nets", runs[0].stdout == runs[1].stdout)
    cases = [json.loads(line) for line in runs[0].stdout.splitlines()]
    done = [case for case in cases if "shell" in case]
    harness.check("what can be drawn closes", not [case for case in cases if "broken" in case], str(cases[0])[:200])
    # Small and steep bodies are refused; most are not.
    harness.check("most of them can be drawn", len(done) > CASES * 0.7, f"{len(done)} of {len(cases)}")
    harness.check("some come in several nets", any(case["nets"] > 1 for case in done))
    largest = max(one_case(harness, case) for case in done)
    print(f"   {len(done)} bodies; largest volume that two panels share {largest:.3g} mm3")


def one_case(harness: Harness, case: dict) -> float:
    """The largest volume that two panels share."""
    what, shell = case["what"], case["shell"]
    points = numpy.array(shell["points"])
    triangles = [[face[0], face[i], face[i + 1]] for face in shell["faces"] for i in range(1, len(face) - 1)]
    mesh = trimesh.Trimesh(points, triangles, process=False)
    harness.check("the shell is watertight", mesh.is_watertight and mesh.is_winding_consistent, what)
    same = abs(mesh.volume - shell["volume"]) < 1e-9 * shell["volume"]
    harness.check("its volume is what we say", bool(same), f"{what}: {mesh.volume} for {shell['volume']}")
    harness.check("it is convex", bool(abs(mesh.convex_hull.volume - mesh.volume) < 1e-6 * mesh.volume), what)
    inside = Manifold.hull_points(points)
    panels = [(panel, prism(panel["solid"])) for panel in case["panels"]]
    of_face = {panel["face"]: solid for panel, solid in panels if panel["face"] is not None}
    for panel, solid in panels:
        volume = panel["solid"]["volume"]
        harness.check("each panel has its volume", abs(solid.volume() - volume) < 1e-6 * volume, what)
        within = (solid ^ inside).volume()
        if panel["face"] is not None:
            harness.check("faces lie outside the shell", within < NOTHING, f"{what}: {within}")
            continue
        gap = solid.min_gap(of_face[panel["seat"]], 1.0)
        harness.check("each flap touches its seat", gap < NEAR, f"{what}: {gap}")
        # But for the part under its seat's lip, which is no wider than that.
        harness.check("flaps lie inside the shell", within > 0.4 * volume, f"{what}: {within} of {volume}")
    shared = 0.0
    for i, (_, one) in enumerate(panels):
        for _, other in panels[i + 1 :]:
            shared = max(shared, (one ^ other).volume())
    harness.check("no two panels share space", shared < NOTHING, f"{what}: {shared}")
    return shared


def prism(solid: dict) -> Manifold:
    """The contours between two heights, moved into space."""
    low, high = solid["heights"]
    section = CrossSection([numpy.array(c) for c in solid["contours"]], FillRule.EvenOdd)
    return section.extrude(high - low).translate((0.0, 0.0, low)).transform(numpy.array(solid["matrix"]))
