//! What stands on floors, from the set file's words to what is drawn.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::filler::Filler;
use flatwright_geometry::pieces::pillar::Pillar;
use flatwright_geometry::pieces::stair::{Climb, Flight, Landing, Marker, Stair};

use crate::set_file::{self, FillerEntry, FillerSpan, LandingEntry, MarkerEntry, PillarEntry, StairEntry};

/// Sides of a pillar that says nothing of them.
const SIDES: u32 = 8;

pub(super) fn flight_of(entry: &StairEntry) -> Stair {
    let run = entry.run.0;
    Stair::Flight(Flight {
        run,
        wide: entry.wide.map_or(1, |wide| wide.0),
        steps: entry.steps.map_or(Flight::usual_steps(run), |steps| steps.0),
        climb: match entry.climb {
            None | Some(set_file::Climb::Whole) => Climb::Whole,
            Some(set_file::Climb::Lower) => Climb::Lower,
            Some(set_file::Climb::Upper) => Climb::Upper,
        },
    })
}

pub(super) fn landing_of(entry: &LandingEntry) -> Stair {
    Stair::Landing(Landing { size: (entry.size.0, entry.size.1) })
}

pub(super) fn marker_of(entry: &MarkerEntry) -> Stair {
    Stair::Marker(Marker { run: entry.run.0, wide: entry.wide.map_or(1, |wide| wide.0) })
}

pub(super) fn filler_of(entry: &FillerEntry) -> Filler {
    let thirds = match entry.span {
        FillerSpan::Third => 1,
        FillerSpan::TwoThirds => 2,
    };
    Filler { thirds }
}

pub(super) fn pillar_of(entry: &PillarEntry, p: &Parameters) -> Pillar {
    Pillar {
        sides: entry.sides.map_or(SIDES, |sides| sides.0),
        across: entry.across.value.0,
        height: entry.height.as_ref().map_or(p.wall_height, |height| height.value.0),
    }
}
