//! Reads graphs from standard input and writes their weakest cuts: for the outside checks.
//!
//! Input: `[{"nodes": 3, "ties": [[0, 1, 100], [1, 2, 35]]}, ...]`. Output, one for each:
//! `[{"capacity": 35, "far": [2]}, ...]`, `null` for fewer than two nodes.

use std::io::{Error, stdin, stdout};

use flatwright_planning::strength::min_cut;
use serde_json::{Value, json};

fn main() -> Result<(), Error> {
    let graphs: Value = serde_json::from_reader(stdin().lock())?;
    let cuts: Option<Vec<Value>> = graphs.as_array().and_then(|graphs| graphs.iter().map(answer).collect());
    let cuts =
        cuts.ok_or_else(|| Error::other("expected [{\"nodes\": N, \"ties\": [[NODE, NODE, CAPACITY], ...]}, ...]"))?;
    serde_json::to_writer(stdout().lock(), &cuts)?;
    Ok(())
}

fn answer(graph: &Value) -> Option<Value> {
    let nodes = usize::try_from(graph.get("nodes")?.as_u64()?).ok()?;
    let number = |tie: &Value, at: usize| tie.get(at).and_then(Value::as_u64).and_then(|n| u32::try_from(n).ok());
    let tie = |tie: &Value| Some((number(tie, 0)? as usize, number(tie, 1)? as usize, number(tie, 2)?));
    let ties: Vec<_> = graph.get("ties")?.as_array()?.iter().map(tie).collect::<Option<_>>()?;
    Some(match min_cut(nodes, &ties) {
        None => Value::Null,
        Some((capacity, far)) => json!({
            "capacity": capacity,
            "far": (0..nodes).filter(|&node| far[node]).collect::<Vec<_>>(),
        }),
    })
}
