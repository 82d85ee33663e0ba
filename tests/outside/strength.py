"""Weakest cuts against NetworkX's own Stoer and Wagner (networkx.org, `stoer_wagner`)."""

import json
import random
import subprocess
from pathlib import Path

import networkx

from harness import Harness, example

COMMAND = [example("cut")]
GRAPHS = 400


def check(harness: Harness, root: Path) -> None:
    """Random graphs and grids of tiles, in one go through the example program."""
    harness.section("weakest cuts against NetworkX")
    rng = random.Random(1997)
    graphs = [random_graph(rng) for _ in range(GRAPHS)] + [floor(rng) for _ in range(GRAPHS // 10)]
    runs = [
        subprocess.run(COMMAND, cwd=root, input=json.dumps(graphs), capture_output=True, text=True, check=False)
        for _ in range(2)
    ]
    if not harness.check("the example runs", runs[0].returncode == 0, runs[0].stderr[-2000:]):
        return
    harness.check("two runs give the same cuts", runs[0].stdout == runs[1].stdout)
    cuts = json.loads(runs[0].stdout)
    harness.check("one cut for each graph", len(cuts) == len(graphs), f"{len(cuts)} for {len(graphs)}")
    for graph, cut in zip(graphs, cuts):
        one_cut(harness, graph, cut)


def one_cut(harness: Harness, graph: dict, cut: dict | None) -> None:
    """The capacity is NetworkX's, and the sides given do have it between them."""
    theirs = networkx.Graph()
    theirs.add_nodes_from(range(graph["nodes"]))
    for one, other, capacity in graph["ties"]:
        if one != other:
            known = theirs.get_edge_data(one, other, {"weight": 0})["weight"]
            theirs.add_edge(one, other, weight=known + capacity)
    if graph["nodes"] < 2:
        harness.check("no cut below two nodes", cut is None, str(cut))
        return
    if networkx.is_connected(theirs):
        expected, _ = networkx.stoer_wagner(theirs)
    else:
        expected = 0
    harness.check("the capacity is NetworkX's", cut["capacity"] == expected, f"{cut} where {expected} in {graph}")
    far = set(cut["far"])
    harness.check("both sides hold something", 0 < len(far) < graph["nodes"], str(cut))
    between = networkx.cut_size(theirs, far, weight="weight")
    harness.check("the sides have that capacity between them", between == expected, f"{cut} has {between}")


def random_graph(rng: random.Random) -> dict:
    """Sparse to dense, with loops and parallel ties."""
    nodes = rng.randint(0, 40)
    count = rng.randint(0, nodes * 4) if nodes else 0
    ties = [[rng.randrange(nodes), rng.randrange(nodes), rng.randint(0, 200)] for _ in range(count)]
    return {"nodes": nodes, "ties": ties}


def floor(rng: random.Random) -> dict:
    """A floor of single cells with holes, a biscuit on every seam and tongues on some."""
    side = rng.randint(2, 12)
    cells = [(x, y) for y in range(side) for x in range(side) if rng.random() < 0.85]
    number = {cell: index for index, cell in enumerate(cells)}
    ties = []
    for (x, y), index in number.items():
        for neighbour in ((x + 1, y), (x, y + 1)):
            if neighbour in number:
                ties.append([index, number[neighbour], 100])
                if rng.random() < 0.2:
                    ties.append([index, number[neighbour], 35])
    return {"nodes": len(cells), "ties": ties}
