//! Straight skeletons of random plans with right angles, for a library that is not ours.
//!
//! usage: skeletons COUNT SEED
//!
//! One JSON object a line: the plan, the nodes with their times, the faces.

mod random;

use flatwright_geometry::pieces::roof::skeleton::skeleton;
use kurbo::Point;
use random::Random;
use serde_json::{Value, json};

fn main() {
    random::print_each(one);
}

fn one(seed: u64) -> Value {
    let plan = plan(&mut Random(seed));
    let points: Vec<[f64; 2]> = plan.iter().map(|p| [p.x, p.y]).collect();
    match skeleton(&plan) {
        Some(found) => json!({
            "plan": points,
            "nodes": found.nodes.iter().map(|node| [node.at.x, node.at.y, node.time]).collect::<Vec<_>>(),
            "faces": found.faces,
        }),
        None => json!({ "plan": points, "failed": true }),
    }
}

/// Columns on a common foot, or hanging below one too: L, T, U, Z, stairs, combs and crosses. Half of
/// them have equal modules, where many things happen at once.
fn plan(random: &mut Random) -> Vec<Point> {
    let even = random.below(2) == 0;
    let columns = 1 + random.below(5);
    let below = random.below(2) == 0;
    let mut x = 0.0;
    let (mut upper, mut lower): (Vec<Point>, Vec<Point>) = (Vec::new(), Vec::new());
    for _ in 0..columns {
        let mut size = |most: u64| {
            let modules = 1.0 + random.below(most) as f64;
            modules * 76.2 + if even { 0.0 } else { 40.0 * random.share() }
        };
        let wide = size(2);
        let (top, bottom) = (size(3), if below { -size(3) } else { 0.0 });
        for (list, y) in [(&mut upper, top), (&mut lower, bottom)] {
            // Columns of one height are one.
            if list.last().is_some_and(|last: &Point| (last.y - y).abs() < 1e-9) {
                list.pop();
                list.push(Point::new(x + wide, y));
            } else {
                list.extend([Point::new(x, y), Point::new(x + wide, y)]);
            }
        }
        x += wide;
    }
    lower.extend(upper.into_iter().rev());
    lower
}
