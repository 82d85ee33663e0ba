"""The build as binary glTF, read by trimesh (trimesh.org): names, closed solids, volumes, units."""

import json
import subprocess
import tempfile
from collections import defaultdict
from pathlib import Path

import numpy
import trimesh

from harness import Harness

COMMAND = ["cargo", "run", "--release", "--quiet", "--package", "flatwright-folding", "--example", "glb", "--"]
MM3_PER_M3 = 1e9
# Single precision holds 24 bits: a prism's three lengths are each off by up to 6e-8 of themselves.
RELATIVE = 1e-6


def check(harness: Harness, root: Path) -> None:
    """The sample hall with walls of card, and with walls of board."""
    for walls in ("card", "board"):
        harness.section(f"glTF with walls of {walls}, against trimesh")
        with tempfile.TemporaryDirectory() as folder:
            files = [Path(folder) / f"{turn}.glb" for turn in "ab"]
            for file in files:
                made = subprocess.run(
                    [*COMMAND, file, walls], cwd=root, capture_output=True, text=True, check=False
                )
                if not harness.check("the example runs", made.returncode == 0, made.stderr[-2000:]):
                    return
            harness.check("two runs write the same bytes", files[0].read_bytes() == files[1].read_bytes())
            volumes = json.loads(files[0].with_suffix(".json").read_text())
            one_file(harness, files[0], volumes)


def one_file(harness: Harness, file: Path, volumes: dict[str, float]) -> None:
    """Every piece is there once, is made of closed solids, and has its volume."""
    scene = trimesh.load(file, process=False)
    names = [node["name"] for node in raw_nodes(file)]
    harness.check("no two nodes share a name", len(names) == len(set(names)), str(len(names)))
    prisms = by_piece(scene, set(names))
    harness.check("the pieces have the names that they should", set(prisms) == set(volumes), str(set(prisms) ^ set(volumes)))
    for name, solids in prisms.items():
        open_ones = [node for node, mesh in solids.items() if not (mesh.is_watertight and mesh.is_winding_consistent)]
        harness.check("every solid is closed", not open_ones, f"{name}: {open_ones}")
        inside_out = [node for node, mesh in solids.items() if mesh.volume <= 0]
        harness.check("no solid is inside out", not inside_out, f"{name}: {inside_out}")
        found = sum(mesh.volume for mesh in solids.values()) * MM3_PER_M3
        wanted = volumes.get(name, 0.0)
        near = abs(found - wanted) <= RELATIVE * wanted
        harness.check("the volume is area times height", near, f"{name}: {found} for {wanted} mm3")
    low, high = scene.bounds
    # Two modules of 76.2 mm deep and three wide; a floor of 5 mm and walls of 50 mm; y is up.
    tall = abs(high[1] - 0.055) < 1e-6
    wide = 3 * 0.0762 < high[0] - low[0] < 3 * 0.0762 + 0.03 and 2 * 0.0762 < high[2] - low[2] < 2 * 0.0762 + 0.03
    harness.check("it is in metres, y up", tall and wide, f"{low} to {high}")


def by_piece(scene: trimesh.Scene, names: set[str]) -> dict[str, dict[str, trimesh.Trimesh]]:
    """For each piece its solids by node, whole though they have several colours."""
    parents = scene.graph.transforms.parents
    root = next(node for node in scene.graph.nodes if parents.get(node) == scene.graph.base_frame)
    parts = defaultdict(lambda: defaultdict(list))
    for node in scene.graph.nodes_geometry:
        transform, geometry = scene.graph[node]
        mesh = scene.geometry[geometry].copy()
        mesh.apply_transform(transform)
        # trimesh hangs each of a mesh's colours on a node of its own below the file's node.
        solid = node if node in names else parents[node]
        piece = solid if parents[solid] == root else parents[solid]
        parts[piece][solid].append(mesh)
    return {
        piece: {solid: welded(meshes) for solid, meshes in solids.items()} for piece, solids in parts.items()
    }


def welded(meshes: list[trimesh.Trimesh]) -> trimesh.Trimesh:
    """One mesh; corners at one place are one corner, whatever their normals."""
    vertices = numpy.concatenate([mesh.vertices for mesh in meshes])
    starts = numpy.cumsum([0] + [len(mesh.vertices) for mesh in meshes[:-1]])
    faces = numpy.concatenate([mesh.faces + start for mesh, start in zip(meshes, starts)])
    mesh = trimesh.Trimesh(vertices, faces, process=False)
    mesh.merge_vertices(merge_norm=True, merge_tex=True)
    return mesh


def raw_nodes(file: Path) -> list[dict]:
    """The nodes as the file's JSON chunk has them."""
    data = file.read_bytes()
    length = int.from_bytes(data[12:16], "little")
    return json.loads(data[20 : 20 + length])["nodes"]
