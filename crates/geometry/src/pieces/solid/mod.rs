//! Nets of bodies with flat faces: boxes, prisms, frusta, cones, and whatever else is a [`Shell`].
//!
//! A shell is the inside of what is folded, so that every panel's back lies on its face. A tree of
//! the sides becomes folds; the others are glued by flaps. Where no net lies in the flat without
//! overlap, or none leaves every flap its room, the faces come in several nets.
//!
//! ```
//! use flatwright_geometry::parameters::Parameters;
//! use flatwright_geometry::pattern::PieceKind;
//! use flatwright_geometry::pieces::solid::{form, nets};
//!
//! let p = Parameters::default();
//! let base = form::rectangle(30.0, 20.0);
//! let shell = form::stack(&[(base.clone(), 0.0), (base, 15.0)], form::Ends::BOTH).expect("a box");
//! let made = nets(&p, &shell, PieceKind::Prop, "crate")?;
//! assert_eq!(made.len(), 1);
//! assert_eq!(made[0].pattern.net.panels.len(), 6 + 7); // six faces, a flap for each of seven sides
//! # Ok::<(), flatwright_geometry::pieces::PieceError>(())
//! ```

use super::PieceError;
use crate::parameters::Parameters;
use crate::pattern::{Pattern, PieceKind};
use crate::units::plain;

mod draw;
mod flap;
mod flap_site;
pub mod form;
mod plane;
mod shell;
pub mod space;
mod unfold;

use draw::DrawFault;
pub use shell::{Face, MOST_FACES, Shell, ShellError};
use space::Vector;
use unfold::{Body, Growth, Layout};

/// Largest net, mm, on its long and its short side: A4 and Letter both hold it with margins, bleed
/// and furniture. Larger ones are cut into several where they can be.
const LARGEST: (f64, f64) = (250.0, 175.0);
/// How many faces are tried as the beginning of a net.
const ROOTS: usize = 5;
/// How many ways of unfolding are cut wherever they must be.
const LAST_WAYS: usize = 3;
/// How many folds are cut before a way of unfolding is given up.
const CUTS: usize = 12;

/// What a panel of a net is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// A face of the shell, by its index.
    Face(usize),
    /// A flap, by the faces that it joins.
    Flap {
        /// The face that it hangs on.
        carrier: usize,
        /// The face that it is glued to: in another net, where this one has no such seat.
        seat: usize,
    },
    /// A leaf that swings in the face of a panel, by that panel's index.
    Leaf(usize),
}

/// A net's plane on its shell: the pattern's x and y run along two directions from a corner of the
/// shell, the back of its first panel in that plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Where the pattern's origin lies.
    pub origin: Vector,
    /// The pattern's x.
    pub along: Vector,
    /// Its y.
    pub across: Vector,
    /// Away from the shell: towards the printed side.
    pub normal: Vector,
}

/// A net of a shell.
#[derive(Clone, Debug, PartialEq)]
pub struct Made {
    /// The pattern.
    pub pattern: Pattern,
    /// What its panels are, in their order.
    pub roles: Vec<Role>,
    /// From each panel's own plane (a face's first corner at the origin, its first side along x) to the net.
    pub placed: Vec<kurbo::Affine>,
    /// Where its first panel lies.
    pub frame: Frame,
}

/// Why one way of unfolding does not do.
enum Fault {
    /// Two faces of a net cannot stay in it together.
    Apart(usize, usize),
    /// What a pattern says.
    Piece(PieceError),
}

/// The nets of a shell, the fewest that are found. The same shell has the same nets.
///
/// # Errors
/// [`PieceError`] where the card is too thick for the shell, or a side finds no room for a flap.
pub fn nets(p: &Parameters, shell: &Shell, kind: PieceKind, detail: &str) -> Result<Vec<Made>, PieceError> {
    let body = Body::new(p, shell);
    let attempt = |hinged: &[bool]| made(p, &body, &unfold::lay(&body, hinged), kind, detail);
    let ways = ways(&body);
    let mut large: Option<(Vec<Made>, Vec<bool>)> = None;
    for hinged in &ways {
        if let Ok(made) = attempt(hinged) {
            if made.iter().all(|made| fits(&made.pattern)) {
                return Ok(made);
            }
            large = large.or_else(|| Some((made, hinged.clone())));
        }
    }
    let mut best: Option<Vec<Made>> = large.as_ref().map(|(made, _)| made.clone());
    let mut last = None;
    let apart = [unfold::grown(&body, plain_faces), unfold::grown(&body, alike_faces)];
    let large = large.into_iter().map(|(_, hinged)| hinged);
    let first = large.chain(apart).map(|hinged| (false, hinged));
    // Ways that come apart wherever they must make many nets: only where nothing else does.
    let then = ways.iter().take(LAST_WAYS).map(|hinged| (true, hinged.clone()));
    for (only_if_none, hinged) in first.chain(then) {
        if only_if_none && best.is_some() {
            break;
        }
        match in_parts(&body, hinged, &attempt) {
            Ok(made) => {
                if best.as_deref().is_none_or(|known| rank(&made) < rank(known)) {
                    best = Some(made);
                }
            }
            Err(fault) => last = last.or(Some(fault)),
        }
    }
    best.ok_or_else(|| match last {
        Some(Fault::Apart(one, other)) => no_room(p, shell, detail, one, other),
        Some(Fault::Piece(error)) => error,
        None => no_room(p, shell, detail, 0, 0),
    })
}

/// Faces of many corners by themselves: beside the side that such a one would hang on there is no
/// room for flaps.
fn plain_faces(body: &Body<'_>, [one, other]: [usize; 2]) -> bool {
    body.flat[one].len().max(body.flat[other].len()) <= 4
}

/// Only faces of one name together, such as those of one ring.
fn alike_faces(body: &Body<'_>, [one, other]: [usize; 2]) -> bool {
    body.shell.faces()[one].name == body.shell.faces()[other].name
}

fn no_room(p: &Parameters, shell: &Shell, detail: &str, one: usize, other: usize) -> PieceError {
    let [one, other] = [one, other].map(|face| shell.faces()[face].name);
    PieceError::NoRoom {
        what: format!("the {detail} has room for its folds and glue flaps"),
        found: format!("none between \"{one}\" and \"{other}\" in card of {} mm", plain(p.card.get(), 3)),
        help: "make it larger, give it fewer facets, or use thinner card".into(),
    }
}

/// Ways of unfolding into one net, best first.
fn ways(body: &Body<'_>) -> Vec<Vec<bool>> {
    let shell = body.shell;
    let mut roots: Vec<usize> = (0..shell.faces().len()).filter(|face| shell.faces()[*face].made).collect();
    roots.sort_by(|a, b| shell.area(*b).total_cmp(&shell.area(*a)).then(a.cmp(b)));
    let mut ways: Vec<Vec<bool>> = Vec::new();
    for root in roots.into_iter().take(ROOTS) {
        for growth in [Growth::Longest, Growth::Star] {
            let tree = unfold::tree(body, root, growth);
            if !ways.contains(&tree) {
                ways.push(tree);
            }
        }
    }
    ways
}

fn made(p: &Parameters, body: &Body<'_>, layout: &Layout, kind: PieceKind, detail: &str) -> Result<Vec<Made>, Fault> {
    let ridge = |ridge: usize| {
        let [one, other] = body.ridges[ridge].faces;
        Fault::Apart(one, other)
    };
    if let Some((one, other)) = layout.overlap(body) {
        return Err(Fault::Apart(one, other));
    }
    let flaps = flap::flaps(body, layout, p.tool_gap_card.get()).map_err(ridge)?;
    draw::patterns(body, layout, &flaps, kind, detail).map_err(|fault| match fault {
        DrawFault::Ridge(at) => ridge(at),
        DrawFault::Piece(error) => Fault::Piece(error),
    })
}

/// Cuts folds until every net can be made and fits a page.
fn in_parts(
    body: &Body<'_>,
    mut hinged: Vec<bool>,
    attempt: &impl Fn(&[bool]) -> Result<Vec<Made>, Fault>,
) -> Result<Vec<Made>, Fault> {
    let mut whole: Option<Vec<Made>> = None;
    for _ in 0..CUTS {
        let layout = unfold::lay(body, &hinged);
        let cut = match attempt(&hinged) {
            Ok(made) if made.iter().all(|made| fits(&made.pattern)) => return Ok(made),
            Ok(made) => {
                let mut large = (0..made.len()).filter(|net| !fits(&made[*net].pattern));
                let cut = large.find_map(|net| halving(body, &layout, net));
                whole = Some(made);
                cut
            }
            Err(Fault::Apart(one, other)) => {
                let same = layout.net_of[one] == layout.net_of[other];
                match layout.cut_between(body, one, other).filter(|_| same) {
                    Some(cut) => Some(cut),
                    None => return whole.ok_or(Fault::Apart(one, other)),
                }
            }
            Err(fault) => return whole.ok_or(fault),
        };
        match cut {
            Some(cut) => hinged[cut] = false,
            None => break,
        }
    }
    whole.ok_or(Fault::Apart(0, 0))
}

/// The fold whose cutting leaves two parts of a net that are most alike in area.
fn halving(body: &Body<'_>, layout: &Layout, net: usize) -> Option<usize> {
    let faces = &layout.nets[net];
    let area = |face: usize| body.shell.area(face);
    let whole: f64 = faces.iter().map(|face| area(*face)).sum();
    let mut below: Vec<f64> = (0..body.flat.len()).map(area).collect();
    let mut best: Option<(f64, usize)> = None;
    for face in faces.iter().rev() {
        let Some(ridge) = layout.hangs_on[*face] else { continue };
        let uneven = (whole - 2.0 * below[*face]).abs();
        if body.ridges[ridge].mountain && best.is_none_or(|(least, _)| uneven < least) {
            best = Some((uneven, ridge));
        }
        let [a, b] = body.ridges[ridge].faces;
        let on = if a == *face { b } else { a };
        below[on] += below[*face];
    }
    best.map(|(_, ridge)| ridge)
}

fn fits(pattern: &Pattern) -> bool {
    excess(pattern) == 0
}

/// By how many whole millimetres a net is too large, on its long and its short side together.
fn excess(pattern: &Pattern) -> u64 {
    let (width, height) = pattern.size();
    let (long, short) = (width.max(height).get(), width.min(height).get());
    let over = (long - LARGEST.0).max(0.0).ceil() + (short - LARGEST.1).max(0.0).ceil();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "nets are metres large at most")]
    let over = over as u64;
    over
}

/// What fits comes first, then what has fewer nets.
fn rank(made: &[Made]) -> (u64, usize) {
    (made.iter().map(|made| excess(&made.pattern)).sum(), made.len())
}
