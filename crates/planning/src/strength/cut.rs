//! The weakest cut of a weighted graph.

use std::collections::BTreeMap;
use std::convert::Infallible;

use rustworkx_core::connectivity::stoer_wagner_min_cut;
use rustworkx_core::petgraph::graph::{NodeIndex, UnGraph};

/// The weakest way to cut a graph in two, after M. Stoer and F. Wagner, "A simple min-cut
/// algorithm", Journal of the ACM 44(4), 1997, pp. 585-591.
///
/// `ties` are undirected, (node, node, capacity), nodes from 0; those between the same two nodes
/// add up, and those that name no node or the same node twice count for nothing. Gives the sum of
/// the capacities that cross the cut, the least there is, and for each node whether it lies on the
/// far side from node 0. `None` for fewer than two nodes. A graph in several parts is cut at 0.
///
/// Of several weakest cuts the same one is given every time. Takes time in the order of
/// nodes x ties x log(nodes).
#[must_use]
pub fn min_cut(nodes: usize, ties: &[(usize, usize, u32)]) -> Option<(u64, Vec<bool>)> {
    if nodes < 2 {
        return None;
    }
    let mut sums: BTreeMap<(usize, usize), u64> = BTreeMap::new();
    for &(one, other, capacity) in ties {
        if one != other && one < nodes && other < nodes {
            *sums.entry((one.min(other), one.max(other))).or_default() += u64::from(capacity);
        }
    }
    let mut graph: UnGraph<(), u64> = UnGraph::with_capacity(nodes, sums.len());
    let indices: Vec<NodeIndex> = (0..nodes).map(|_| graph.add_node(())).collect();
    for ((one, other), capacity) in sums {
        graph.add_edge(indices[one], indices[other], capacity);
    }
    let found = stoer_wagner_min_cut(&graph, |edge| Ok::<u64, Infallible>(*edge.weight()));
    let (capacity, side) = found.ok().flatten()?;
    let mut far = vec![false; nodes];
    for node in side {
        far[node.index()] = true;
    }
    if far[0] {
        far.iter_mut().for_each(|far| *far = !*far);
    }
    Some((capacity, far))
}
