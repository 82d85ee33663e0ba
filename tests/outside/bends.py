"""Bent walls and turn tiles against shapely, numpy and the modeller Manifold (`manifold3d`), meshes by
trimesh.

Seeded random parameters. numpy lays the tangents about the quarter circle anew and adds them up; shapely
offsets that line, cuts the tiles out of the square and compares them with what is drawn, and with the
circle's own arc and sector (Bronshtein and Semendyayev, "Handbook of Mathematics": the circle). Manifold
makes four bends about one corner of their folded panels, with posts, tiles and pockets, and says what
shares space; trimesh says whether every prism is closed.
"""

import json
import subprocess
from pathlib import Path

import numpy
import trimesh
from manifold3d import Manifold
from shapely import LineString, Polygon, box

from harness import Harness, example
from solids import prism, shared

COMMAND = [example("bends")]
CASES = 60
# Every tenth tower is put together: four walls of up to 26 panels each.
TOWERS = 10
# Straight piece between a post's play and the first fold, and the angle of a round bend's folds.
STRAIGHT, STEP = 4.0, numpy.radians(7.5)
NARROWEST = 8.0
# Patterns lie on a grid of 1e-6 mm.
NEAR, NOTHING = 1e-4, 1e-2


def check(harness: Harness, root: Path) -> None:
    """Every case."""
    harness.section("bends against shapely, numpy and Manifold")
    command = [*COMMAND, str(CASES), "1"]
    runs = [subprocess.run(command, cwd=root, capture_output=True, text=True, check=False) for _ in range(2)]
    if not harness.check("the example runs", runs[0].returncode == 0, runs[0].stderr[-2000:]):
        return
    harness.check("two runs print the same bends", runs[0].stdout == runs[1].stdout)
    cases = [json.loads(line) for line in runs[0].stdout.splitlines()]
    done = [case for case in cases if "walls" in case]
    harness.check("what can be drawn folds", not [case for case in cases if "broken" in case], str(cases)[:300])
    harness.check("most of them can be drawn", len(done) > 0.8 * len(cases), f"{len(done)} of {len(cases)}")
    both = {case["said"]["form"] for case in done}
    harness.check("both forms are met", both == {"round", "diagonal"}, str(both))
    for case in done:
        walls(harness, case)
        tiles(harness, case)
    towers = [tower(harness, case) for case in done[::TOWERS]]
    print(f"   {len(done)} bends, {len(towers)} towers; largest volume that two bodies share {max(towers):.3g} mm3")


def line(said: dict, reach: int) -> numpy.ndarray:
    """The middle line of a bend, laid anew: from post to post."""
    side = said["module"] * reach
    stub = (said["post"] + said["play"]) / 2 + STRAIGHT
    radius = side - stub
    if said["form"] == "diagonal":
        inner = numpy.array([[stub, side], [side, stub]])
    else:
        # Corners of tangents lie half way between the places where they touch, 1 / cos as far out.
        angle = numpy.pi / 2 - STEP * (numpy.arange(12) + 0.5)
        out = radius / numpy.cos(STEP / 2)
        inner = stub + out * numpy.column_stack([numpy.cos(angle), numpy.sin(angle)])
    return numpy.vstack([[0.0, side], inner, [side, 0.0]])


def beside(said: dict, reach: int, outwards: float) -> LineString:
    """The line moved outwards, by shapely; outwards is on its left."""
    return LineString(line(said, reach)).offset_curve(outwards, join_style="mitre", mitre_limit=10.0)


def walls(harness: Harness, case: dict) -> None:
    """Developed lengths, line by line, and against the arc."""
    said = case["said"]
    where = str(said)
    half, start = (said["board"] if said["board_walls"] else 2 * said["card"]) / 2, (said["post"] + said["play"]) / 2
    angle = STEP if said["form"] == "round" else numpy.pi / 4
    if said["board_walls"]:
        paper = said["paper"]
        layers = [(-half, 0.0), (half, paper), (-half - paper, paper)]
    else:
        layers = [(0.0, said["card"]), (-said["card"], said["card"])]
    for pattern, (outwards, bends) in zip(case["walls"], layers):
        curve = beside(said, said["reach"], outwards)
        corners = numpy.array(curve.coords)
        sides = numpy.hypot(*numpy.diff(corners, axis=0).T)
        allowance = angle * said["factor"] * bends
        lengths = sides + allowance
        lengths[[0, -1]] -= allowance / 2 + start
        expected = numpy.cumsum(lengths)
        drawn = numpy.unique(numpy.round([fold[0] for fold in pattern["folds"]], 5))
        close = len(drawn) == len(expected) - 1 and numpy.abs(drawn - expected[:-1]).max() < NEAR
        harness.check("folds lie where the line's corners are", bool(close), f"{pattern['detail']}, {where}: {drawn}, {expected}")
        if said["form"] == "round":
            radius = said["module"] * said["reach"] - start - STRAIGHT + outwards
            arc = numpy.pi / 2 * radius
            ratio = (expected[-1] - 2 * STRAIGHT - 12 * allowance) / arc
            harness.check("it is as long as its arc within 0.15 %", 1.0 < ratio < 1.0015, f"{ratio}, {where}")
        shape = polygon(pattern)
        harness.check("the pattern is a polygon", shape.is_valid, where)
        if said["window"]:
            holes = sorted(Polygon(ring).area for ring in shape.interiors)
            scale = (sides[len(sides) // 2] + allowance) / middle(said)
            wide = said["window"] * 18.0
            # Folds that a hole crosses stretch it each by its own allowance.
            close = len(holes) == 1 and abs(holes[0] / wide - 1.0) < 0.03 + abs(scale - 1.0)
            harness.check("one hole of the window's size", close, f"{holes}, {wide}, {where}")


def middle(said: dict) -> float:
    """Length of the middle line's middle side."""
    corners = line(said, said["reach"])
    sides = numpy.hypot(*numpy.diff(corners, axis=0).T)
    return float(sides[len(sides) // 2])


def polygon(pattern: dict) -> Polygon:
    """What is drawn, with its holes."""
    outer, *holes = pattern["contours"]
    return Polygon(outer, holes)


def within(said: dict, reach: int, outwards: float) -> Polygon:
    """All on the corner's side of the line moved outwards."""
    corners = list(beside(said, reach, outwards).coords)
    far = -1000.0
    return Polygon([(far, corners[0][1]), *corners, (corners[-1][0], far), (far, far)])


def tiles(harness: Harness, case: dict) -> None:
    """Cores against tiles cut out of the square anew, and sectors against the circle's."""
    said = case["said"]
    half, paper, reach = said["play"] / 2, said["paper"], said["reach"]
    side, hole = said["module"] * reach, (said["post"] + said["play"]) / 2
    near, far = half + paper, side - half - paper
    wide, deep = said["notch"]
    for tile in case["tiles"]:
        where = f"{tile['part']} {tile['inner']}, {said}"
        if tile["part"] == "spandrel":
            cut = narrow(said)
            ground = box(cut, cut, far, far).difference(within(said, reach, half))
            posts = [(side, side)]
        else:
            ground = box(near, near, 2 * side, 2 * side).intersection(within(said, reach, -half))
            posts = [(0.0, side), (side, 0.0)]
            if tile["part"] == "ring":
                ground = ground.difference(within(said, tile["inner"], half))
                inner = said["module"] * tile["inner"]
                posts += [(0.0, inner), (inner, 0.0)]
            else:
                posts.append((0.0, 0.0))
        board = ground
        for x, y in posts:
            board = board.difference(box(x - hole, y - hole, x + hole, y + hole))
        before = board
        for x, y, north in tile["notches"]:
            x, y = x * said["module"], y * said["module"]
            along = said["module"] / 2
            notch = (
                box(x - deep, y + along - wide / 2, x + deep, y + along + wide / 2)
                if north
                else box(x + along - wide / 2, y - deep, x + along + wide / 2, y + deep)
            )
            # 5 mm of board stay round it, but on its open side.
            ring = notch.buffer(5.0, join_style="mitre").intersection(ground.envelope)
            harness.check("board stays round a notch", ring.difference(before).area < NOTHING, where)
            board = board.difference(notch)
        core = polygon(tile["core"])
        odd = core.symmetric_difference(board).area
        harness.check("the core is what the square leaves", bool(odd < NOTHING), f"{odd} mm2, {where}")
        top = polygon(tile["wrap"])
        harness.check("the wrap covers it", bool(core.difference(top).area < NOTHING), where)
        if said["form"] == "round" and tile["part"] == "fan":
            stub = hole + STRAIGHT - near
            radius = side - hole - STRAIGHT - half
            circle = stub**2 + 2 * stub * radius + numpy.pi / 4 * radius**2
            ratio = ground.area / circle
            harness.check("a fan is its sector within 0.15 %", 1.0 < ratio < 1.0015, f"{ratio}, {where}")


def narrow(said: dict) -> float:
    """Where a spandrel is cut off: where it is 8 mm wide to its finished side."""
    level = said["module"] * said["reach"] - said["play"] / 2 - NARROWEST
    crossing = beside(said, said["reach"], said["play"] / 2).intersection(LineString([(-10, level), (5000, level)]))
    return float(crossing.x)


def tower(harness: Harness, case: dict) -> float:
    """The largest volume that two bodies share; closed prisms; skins that lie on each other."""
    where = str(case["said"])
    bodies = []
    for body in case["bodies"]:
        made = [prism(solid) for solid in body["solids"]]
        for solid, ours in zip(made, body["solids"]):
            harness.check("a volume is Manifold's", abs(solid.volume() - ours["volume"]) < 1e-6 * ours["volume"], where)
        bodies.append(made)
    for solid in bodies[0]:
        mesh = solid.to_mesh()
        shell = trimesh.Trimesh(mesh.vert_properties[:, :3], mesh.tri_verts)
        harness.check("a panel is watertight", shell.is_watertight and shell.is_winding_consistent, where)
    volumes = shared(bodies)
    worst = max(volumes.values(), default=0.0)
    name = lambda pair: " and ".join(case["bodies"][body]["name"] for body in pair)
    found = {name(pair): volume for pair, volume in volumes.items() if volume > NOTHING}
    harness.check("no two bodies share space", not found, f"{found}, {where}")
    panels = bodies[0]
    crossed = max(((one ^ other).volume() for i, one in enumerate(panels) for other in panels[i + 1 :]), default=0.0)
    harness.check("no two panels of a wall share space", crossed < NOTHING, f"{crossed}, {where}")
    if not case["said"]["board_walls"]:
        gaps = [gap(panel, [other for other in panels if other is not panel]) for panel in panels]
        harness.check("every panel touches another", max(gaps) < NEAR, f"{max(gaps)}, {where}")
    return worst


def gap(panel: Manifold, others: list[Manifold]) -> float:
    """From a panel to the nearest of the others."""
    return min(panel.min_gap(other, 1.0) for other in others)
