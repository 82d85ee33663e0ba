//! All pieces in their places, as solids: no two may share space.

use flatwright_geometry::tolerance;

use super::Case;
use super::finding::Finding;
use crate::build::assemble;
use crate::collide::clashes;
use crate::place::Body;
use crate::solid::Solid;

/// Whatever the rules say, two solids cannot be in one place; this is what a builder would run into.
///
/// Bodies of the build, where it could be assembled, and what was found.
pub(super) fn space(case: &Case<'_>) -> (Vec<Body>, Vec<Finding>) {
    let Some(build) = case.build else { return (Vec::new(), Vec::new()) };
    match assemble(case.parameters, build) {
        Ok(bodies) => {
            let findings = shared(&bodies);
            (bodies, findings)
        }
        Err(errors) => {
            let findings = errors.iter().map(|error| Finding::equal("shape", error.to_string(), 0.0, 1.0));
            (Vec::new(), findings.collect())
        }
    }
}

/// One finding for each pair of bodies that share space; one that holds where none do.
#[must_use]
pub fn shared(bodies: &[Body]) -> Vec<Finding> {
    let rule = "space";
    let solids: Vec<&[Solid]> = bodies.iter().map(|body| body.solids.as_slice()).collect();
    let found: Vec<Finding> = clashes(&solids, tolerance::FIT)
        .iter()
        .map(|clash| {
            let what = format!("{} and {} share space: depth", bodies[clash.one].name, bodies[clash.other].name);
            Finding::at_most(rule, what, clash.depth, tolerance::FIT)
        })
        .collect();
    if found.is_empty() {
        let what = format!("pairs among {} pieces that share space", bodies.len());
        return vec![Finding::equal(rule, what, 0.0, 0.0)];
    }
    found
}
