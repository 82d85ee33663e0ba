//! Roofs of the list of pieces to those of the geometry.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::roof::{Form, Roof, Skirt};
use flatwright_geometry::units::{Angle, Mm};

use crate::problem::{At, Problem};
use crate::set_file::{FormWord, OverWord, RoofEntry, SkirtWord};
use crate::set_file::{LatticePoint, MOST_ROOF_CORNERS};

/// Pitch where an entry says nothing, degrees, and overhang, mm.
const PITCH: f64 = 40.0;
const OVERHANG: f64 = 3.0;

/// The roof of an entry; `None` where it has no plan, or two.
pub(super) fn roof_of(
    entry: &RoofEntry,
    p: &Parameters,
    (name, at): (&str, &At),
    problems: &mut Vec<Problem>,
) -> Option<Roof> {
    let mut wrong = |message: String, at: &At, help: &str| {
        problems.push(Problem::new(message).at(at, "here").help(help));
        None
    };
    let plan = match (&entry.size, &entry.plan) {
        (Some(size), None) => {
            let (x, y) = (i32::try_from(size.value.0).unwrap_or(1), i32::try_from(size.value.1).unwrap_or(1));
            vec![(0, 0), (x, 0), (x, y), (0, y)]
        }
        (None, Some(plan)) => plan.value.iter().map(|LatticePoint(x, y)| (*x, *y)).collect(),
        (Some(_), Some(plan)) => {
            let mut start = plan.at.clone();
            start.end = start.start + 1;
            return wrong(format!("{name} has a \"size\" and a \"plan\""), &start, "leave out one of the two");
        }
        (None, None) => {
            return wrong(format!("{name} has no \"size\""), at, "give its modules, such as \"size\": [3, 2]");
        }
    };
    if plan.len() > MOST_ROOF_CORNERS {
        let message = format!("{name} has a plan of {} corners; at most {MOST_ROOF_CORNERS} are roofed", plan.len());
        return wrong(message, at, "make it of several roofs");
    }
    let roof = Roof {
        form: match entry.form {
            FormWord::Hip => Form::Hip,
            FormWord::Gable => Form::Gable,
            FormWord::LeanTo => Form::LeanTo,
            FormWord::Flat => Form::Flat,
        },
        plan,
        pitch: Angle::degrees(entry.pitch.map_or(PITCH, |pitch| pitch.0)),
        overhang: entry.overhang.map_or(Mm::new(OVERHANG), |overhang| overhang.0),
        skirt: match entry.skirt {
            Some(SkirtWord::Outside) => Skirt::Outside,
            Some(SkirtWord::Inside) | None => Skirt::Inside,
        },
        on_caps: entry.over == Some(OverWord::Caps),
    };
    match roof.parts(p) {
        Ok(_) => Some(roof),
        Err(error) => {
            let message = format!("{name} cannot be built: {error}");
            problems.push(Problem::new(message).at(at, "this piece").help(error.help()));
            None
        }
    }
}
