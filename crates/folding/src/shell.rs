//! A body of several nets, folded and put together: what no net shows alone.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::solid::space;
use flatwright_geometry::pieces::solid::{Made, Role};
use flatwright_geometry::tolerance;
use parry3d_f64::math::{Matrix, Pose, Rotation, Vector};

use crate::collide;
use crate::fold::FoldFault;
use crate::place::PlaceError;
use crate::prove::{check_seat, prove, sheet};
use crate::solid::Solid;

/// The nets of one shell, folded where the shell is: the panels of each. Flaps that are glued to
/// another net land there too, and no panel of one net crosses one of another.
///
/// # Errors
/// Every fault of every net, or else of the whole.
pub fn close(p: &Parameters, nets: &[Made]) -> Result<Vec<Vec<Solid>>, PlaceError> {
    let mut folded: Vec<Vec<Solid>> = Vec::new();
    for made in nets {
        let pattern = made.pattern.clone();
        let what = format!("{} {}", pattern.kind, pattern.detail);
        let sheet = sheet(p, pattern.stock);
        let there = pose(made, p.card.get());
        let proved = prove(pattern, sheet).map_err(|faults| PlaceError::Folds { what, faults })?;
        folded.push(proved.folded().iter().map(|panel| panel.moved(there)).collect());
    }
    let mut faults = Vec::new();
    for (made, panels) in nets.iter().zip(&folded) {
        for (role, flap) in made.roles.iter().zip(panels) {
            let Role::Flap { seat, .. } = role else { continue };
            let own = made.roles.contains(&Role::Face(*seat));
            let found = nets.iter().zip(&folded).find_map(|(other, panels)| {
                let index = other.roles.iter().position(|role| *role == Role::Face(*seat))?;
                Some((other.pattern.net.panels[index].name, &panels[index]))
            });
            match found {
                Some((name, onto)) if !own => faults.extend(check_seat(("flap", flap), (name, onto))),
                Some(_) => {}
                None => faults.push(FoldFault::Loose("flap")),
            }
        }
    }
    // Panels of one net were compared when that was proved.
    let bodies: Vec<&[Solid]> = folded.iter().map(Vec::as_slice).collect();
    faults.extend(collide::clashes(&bodies, tolerance::FIT).into_iter().map(|clash| {
        let name = |net: usize| nets[net].pattern.net.panels[0].name;
        FoldFault::Cross { one: name(clash.one), other: name(clash.other), depth: clash.depth }
    }));
    let what = nets.first().map(|made| made.pattern.detail.clone()).unwrap_or_default();
    if faults.is_empty() { Ok(folded) } else { Err(PlaceError::Folds { what, faults }) }
}

/// Solids moved to where their own east, north and up point along `axes`, their origin `at` a point.
#[must_use]
pub fn standing(solids: &[Solid], axes: [space::Vector; 3], at: space::Vector) -> Vec<Solid> {
    let [east, north, up] = axes.map(vector);
    let there = Pose::from_parts(vector(at), Rotation::from_mat3(&Matrix::from_cols(east, north, up)));
    solids.iter().map(|solid| solid.moved(there)).collect()
}

fn vector(v: space::Vector) -> Vector {
    Vector::new(v.x, v.y, v.z)
}

/// From a net's plane, in which its printed face lies at height 0, to the shell.
fn pose(made: &Made, card: f64) -> Pose {
    let frame = made.frame;
    let axes = Matrix::from_cols(vector(frame.along), vector(frame.across), vector(frame.normal));
    let turn = Rotation::from_mat3(&axes);
    Pose::from_parts(vector(frame.origin + frame.normal * card), turn)
}
