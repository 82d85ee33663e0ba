"""The build as binary glTF, read by trimesh (trimesh.org): names, closed solids, volumes, units; its
textures, read by Pillow."""

import io
import json
import subprocess
import tempfile
from collections import defaultdict
from pathlib import Path

import numpy
import trimesh
from PIL import Image

from harness import Harness, example

COMMAND = [example("glb")]
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


def textures(harness: Harness, program: Path, plan: Path) -> None:
    """A plan's build in its artwork: closed solids, and textures as glTF 2.0 (sections 3.6, 3.8, 5.17) asks."""
    harness.section("the build of a plan in its artwork, against trimesh and Pillow")
    with tempfile.TemporaryDirectory() as folder:
        command = [program, "plan", plan, "-o", folder, "--quiet", "--effort", "50"]
        made = subprocess.run(command, capture_output=True, text=True, check=False)
        file = Path(folder) / "build.glb"
        if not harness.check("the program makes the build", made.returncode == 0 and file.exists(), made.stderr[-2000:]):
            return
        harness.check("the file is under 3 MB", file.stat().st_size < 3_000_000, str(file.stat().st_size))
        document, data = chunks(file)
        images = document.get("images", [])
        harness.check("there are textures", len(images) > 0)
        for image in images:
            view = document["bufferViews"][image["bufferView"]]
            content = data[view["byteOffset"] : view["byteOffset"] + view["byteLength"]]
            picture = Image.open(io.BytesIO(content))
            sound = image["mimeType"] == "image/png" and picture.format == "PNG" and "target" not in view
            harness.check("every image is a PNG of its own view", sound, str(image))
            harness.check("every image shows something", min(picture.size) > 32, f"{image['name']}: {picture.size}")
        for texture in document["textures"]:
            there = texture["source"] < len(images) and texture["sampler"] < len(document["samplers"])
            harness.check("every texture has its image and sampler", there, str(texture))
        placed(harness, document, data)
        scene = trimesh.load(file, process=False)
        names = {node["name"] for node in raw_nodes(file)}
        for name, solids in by_piece(scene, names).items():
            whole = all(mesh.is_watertight and mesh.is_winding_consistent and mesh.volume > 0 for mesh in solids.values())
            harness.check("every solid is closed, textures or not", whole, name)


def placed(harness: Harness, document: dict, data: bytes) -> None:
    """Every textured corner lies on its texture, and no triangle is on one place alone."""
    accessors, views = document["accessors"], document["bufferViews"]

    def numbers(index: int, kind: str, width: int) -> numpy.ndarray:
        accessor = accessors[index]
        view = views[accessor["bufferView"]]
        start = view["byteOffset"] + accessor["byteOffset"]
        return numpy.frombuffer(data, kind, accessor["count"] * width, start).reshape(-1, width)

    textured = 0
    for mesh in document["meshes"]:
        for part in mesh["primitives"]:
            texture = document["materials"][part["material"]]["pbrMetallicRoughness"].get("baseColorTexture")
            given = part["attributes"].get("TEXCOORD_0")
            harness.check("textures and places go together", (texture is None) == (given is None), str(part))
            if given is None:
                continue
            same = accessors[given]["count"] == accessors[part["attributes"]["POSITION"]]["count"]
            harness.check("every corner has its place", same and accessors[given]["type"] == "VEC2", str(part))
            places = numbers(given, "<f4", 2)[numbers(part["indices"], "<u4", 1).ravel()].reshape(-1, 3, 2)
            inside = places.min() >= -1e-6 and places.max() <= 1 + 1e-6
            harness.check("every place is on the texture", bool(inside), f"{places.min()} to {places.max()}")
            one, other = places[:, 1] - places[:, 0], places[:, 2] - places[:, 0]
            areas = numpy.abs(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0])
            harness.check("every triangle shows an area", bool((areas > 0).all()), str(areas.min()))
            textured += len(places)
    harness.check("triangles have textures", textured > 100, str(textured))


def chunks(file: Path) -> tuple[dict, bytes]:
    """The JSON chunk and the binary one."""
    data = file.read_bytes()
    length = int.from_bytes(data[12:16], "little")
    return json.loads(data[20 : 20 + length]), data[20 + length + 8 :]


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
    return chunks(file)[0]["nodes"]
