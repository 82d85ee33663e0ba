//! A shaded axonometric picture of a build, as vector art on one page.
//!
//! The viewer stands in the south-east, turned [`AZIMUTH`] degrees from due south, and looks down
//! by [`ELEVATION`] degrees; light falls from the viewer's upper left. Lengths along all three axes
//! are foreshortened differently (a trimetric projection). What hides what is found by a binary
//! space partition (Fuchs, Kedem, Naylor 1980), which divides faces where they cross one another's
//! planes, so that the order is right whatever stands where.
//!
//! A parallel projection maps every plane affinely, so what is printed on a piece is drawn by placing
//! the very forms that the sheets place, under the map from the flat pattern through space to the
//! picture.

use flatwright_folding::scene::Scene;
use flatwright_folding::solid::Solid;
use flatwright_geometry::units::Mm;

mod camera;
mod faces;
mod hidden;
mod order;
mod page;
mod shadow;
mod tone;

pub use page::document;
pub use tone::Prints;

/// From due south towards the east, degrees: enough to tell the two visible sides of a wall apart,
/// not so much that walls that run north hide the floor.
pub const AZIMUTH: f64 = 32.0;
/// Above the horizon, degrees: low enough to see walls, high enough to see over them.
pub const ELEVATION: f64 = 40.0;
/// Widths that a picture can have.
pub const WIDTHS: std::ops::RangeInclusive<f64> = 40.0..=2000.0;

/// How the pieces stand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Arrangement {
    /// Where they are in the build.
    #[default]
    Assembled,
    /// Apart by kind: posts above the tiles and walls above the posts, as they go in; what lies
    /// under the floor below it.
    Exploded,
}

/// Why no picture was made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ViewError {
    /// Everything that is wrong.
    #[error("the build cannot be drawn:{}", faults.iter().map(|fault| format!("\n  {fault}")).collect::<String>())]
    Faults {
        /// What.
        faults: Vec<ViewFault>,
    },
}

/// One thing wrong with what is to be drawn.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ViewFault {
    /// Nothing to draw.
    #[error("it has no pieces; give it at least one")]
    Empty,
    /// A width that is no number or out of range.
    #[error("a picture {asked} wide; give {} to {} mm", WIDTHS.start(), WIDTHS.end())]
    Width {
        /// What was asked for.
        asked: Mm,
    },
    /// A part that is nowhere.
    #[error("piece {0:?} has a part that is not at a finite place; give every length a finite number")]
    NotFinite(String),
    /// A picture higher than a page can be.
    #[error("the picture would be {height} high, more than {most}; make it narrower", most = crate::faults::LONGEST_SIDE)]
    TooHigh {
        /// Its height.
        height: Mm,
    },
}

fn faults(scene: &Scene<'_>, width: Mm) -> Vec<ViewFault> {
    let mut found = Vec::new();
    if scene.shown.iter().all(|shown| shown.body.solids.is_empty()) {
        found.push(ViewFault::Empty);
    }
    if !WIDTHS.contains(&width.get()) {
        found.push(ViewFault::Width { asked: width });
    }
    for shown in &scene.shown {
        let finite = |solid: &Solid| solid.corners().all(|c| [c.x, c.y, c.z].into_iter().all(f64::is_finite));
        if !shown.body.solids.iter().all(finite) {
            found.push(ViewFault::NotFinite(shown.body.name.clone()));
        }
    }
    found
}
