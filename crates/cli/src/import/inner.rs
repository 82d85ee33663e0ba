//! Tiles, posts, caps and couplers of outside files to those of the geometry.

use flatwright_geometry::pieces::cap::Cap;
use flatwright_geometry::pieces::coupler::Coupler;
use flatwright_geometry::pieces::post::{Arms, FACES, Feet, Post, QUADRANTS, Stand};
use flatwright_geometry::pieces::tile::{Reliefs, Tile};

use crate::problem::{Problem, Spanned};
use crate::set_file::{self, Base, Cells};

pub(super) fn tile_of(Cells(across, along): Cells, reliefs: Option<set_file::Reliefs>) -> Tile {
    let reliefs = match reliefs {
        Some(set_file::Reliefs::EveryModule) => Reliefs::EveryModule,
        Some(set_file::Reliefs::Corners) | None => Reliefs::Corners,
    };
    Tile::plain(across, along, reliefs)
}

pub(super) fn cap_of(arms: set_file::Arms) -> Cap {
    Cap { arms: arms_of(arms) }
}

pub(super) fn coupler_of(arms: set_file::Arms) -> Coupler {
    Coupler { arms: arms_of(arms) }
}

fn arms_of(arms: set_file::Arms) -> Arms {
    let arms = "NESW".chars().zip(arms.on).filter(|(_, on)| *on);
    let bit = |face: char| FACES.iter().position(|f| *f == face).map_or(0, |index| 1 << index);
    Arms::from_bits(arms.fold(0, |bits, (face, _)| bits | bit(face)))
}

/// `what` is what sentences call it, such as `` `pieces[3]` ``.
pub(super) fn post_of(
    what: &str,
    arms: set_file::Arms,
    feet: Option<&Spanned<set_file::Feet>>,
    base: Option<Base>,
    problems: &mut Vec<Problem>,
) -> Option<Post> {
    let arms = arms_of(arms);
    let stand = match (feet, base) {
        (Some(feet), Some(_)) => {
            let message = format!("{what} is a post with feet and a base plate");
            let help = "leave out \"feet\" for a post on a plate, or \"base\" for one between tiles";
            problems.push(Problem::new(message).at(&feet.at, "and a base too").help(help));
            return None;
        }
        (None, Some(Base::Plate)) => Stand::BasePlate,
        (feet, None) => {
            let corners = feet.iter().flat_map(|feet| &feet.value.0);
            let quadrant = |corner: &set_file::Corner| QUADRANTS.iter().position(|name| *name == corner.word());
            let bit = |member: Option<usize>| member.map_or(0, |member| 1 << member);
            Stand::Feet(Feet::from_bits(corners.fold(0, |bits, corner| bits | bit(quadrant(corner)))))
        }
    };
    Some(Post { arms, stand, under: false })
}
