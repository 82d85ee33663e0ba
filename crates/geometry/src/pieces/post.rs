//! Post: a square sleeve folded from card, with wall slots (arms) and foot tongues (feet).

use std::fmt;

use kurbo::{Affine, Line, Rect};

use super::{Draft, PieceError, flat, mm, polygon, rect};
use crate::parameters::Parameters;
use crate::pattern::{Fold, GlueSeat, Pattern, PieceKind, Plane, Stock};
use crate::region::Region;
use crate::units::Angle;

/// Compass letters of the four faces, counterclockwise seen from above.
pub const FACES: [char; 4] = ['N', 'W', 'S', 'E'];
/// Names of the four quadrants, counterclockwise; quadrant i lies on the left of face i and on
/// the right of face i - 1, seen from outside the post.
pub const QUADRANTS: [&str; 4] = ["NE", "NW", "SW", "SE"];

/// Any subset of the four faces: those with a wall slot. Bit i is [`FACES`]`[i]`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Arms(u8);

/// Any subset of the four quadrants: those with a tile. Bit i is [`QUADRANTS`]`[i]`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Feet(u8);

macro_rules! four_bits {
    ($set:ident) => {
        impl $set {
            /// None of the four.
            pub const NONE: Self = Self(0);
            /// All four.
            pub const ALL: Self = Self(0b1111);

            /// The subset whose members are the set bits among the lowest four.
            #[must_use]
            pub const fn from_bits(bits: u8) -> Self {
                Self(bits & 0b1111)
            }

            /// The lowest four bits.
            #[must_use]
            pub const fn bits(self) -> u8 {
                self.0
            }

            /// Whether member `index` (modulo 4) is in the subset.
            #[must_use]
            pub const fn has(self, index: usize) -> bool {
                self.0 >> (index % 4) & 1 == 1
            }

            /// How many members it has.
            #[must_use]
            pub const fn count(self) -> u32 {
                self.0.count_ones()
            }

            /// The subset turned counterclockwise by quarter turns.
            #[must_use]
            pub const fn turned(self, quarters: u32) -> Self {
                let by = quarters % 4;
                Self((self.0 << by | self.0 >> (4 - by)) & 0b1111)
            }
        }
    };
}
four_bits!(Arms);
four_bits!(Feet);

impl Arms {
    /// The one of its four turns that stands for all of them.
    #[must_use]
    pub fn up_to_rotation(self) -> Self {
        (0..4).map(|quarters| self.turned(quarters)).min().unwrap_or(self)
    }

    /// Its name up to rotation: plain, end, line, corner, tee or cross.
    #[must_use]
    pub const fn shape(self) -> &'static str {
        match (self.count(), self.bits()) {
            (0, _) => "plain",
            (1, _) => "end",
            (2, 0b0101 | 0b1010) => "line",
            (2, _) => "corner",
            (3, _) => "tee",
            _ => "cross",
        }
    }

    /// The first face (index into [`FACES`]) that is not in it; the first of all where every one is.
    pub(super) fn first_without(self) -> usize {
        (0..4).find(|&face| !self.has(face)).unwrap_or(0)
    }

    /// Its name and its letters, for people: `corner NE`, `plain`.
    pub(super) fn named(self) -> String {
        match self {
            Self::NONE => self.shape().to_owned(),
            _ => format!("{} {self}", self.shape()),
        }
    }
}

impl fmt::Display for Arms {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        (0..4).filter(|&i| self.has(i)).try_for_each(|i| write!(f, "{}", FACES[i]))
    }
}

impl fmt::Display for Feet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let names: Vec<&str> = (0..4).filter(|&i| self.has(i)).map(|i| QUADRANTS[i]).collect();
        f.write_str(&names.join(" "))
    }
}

/// What a post stands on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stand {
    /// In the hole between tiles, with a tongue under each tile that is there.
    Feet(Feet),
    /// On a base plate, where there is no tile.
    BasePlate,
}

/// One post.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Post {
    /// Faces with a wall slot.
    pub arms: Arms,
    /// What it stands on.
    pub stand: Stand,
    /// Whether a level stands on it: then it is a caliper higher, so that it carries the tongues of
    /// the post above, and its slots are deeper by as much.
    pub under: bool,
}

impl Post {
    /// Feet, none on a base plate.
    #[must_use]
    pub const fn feet(self) -> Feet {
        match self.stand {
            Stand::Feet(feet) => feet,
            Stand::BasePlate => Feet::NONE,
        }
    }

    /// The post turned counterclockwise by quarter turns.
    #[must_use]
    pub const fn turned(self, quarters: u32) -> Self {
        let stand = match self.stand {
            Stand::Feet(feet) => Stand::Feet(feet.turned(quarters)),
            Stand::BasePlate => Stand::BasePlate,
        };
        Self { arms: self.arms.turned(quarters), stand, under: self.under }
    }

    /// The one of its four turns that stands for all of them.
    #[must_use]
    pub fn up_to_rotation(self) -> Self {
        (0..4).map(|quarters| self.turned(quarters)).min().unwrap_or(self)
    }

    /// Every post up to rotation that carries nothing: all pairs of arms and feet, then all arms on a
    /// base plate.
    #[must_use]
    pub fn all() -> Vec<Self> {
        let on_feet = (0..256u16).map(|bits| {
            let [low, high] = [(bits & 15) as u8, (bits >> 4) as u8];
            Self { arms: Arms::from_bits(low), stand: Stand::Feet(Feet::from_bits(high)), under: false }
        });
        let on_plates = (0..16).map(|bits| Self { arms: Arms::from_bits(bits), stand: Stand::BasePlate, under: false });
        on_feet.chain(on_plates).filter(|post| post.up_to_rotation() == *post).collect()
    }

    /// The name of its arms up to rotation: plain, end, line, corner, tee or cross.
    #[must_use]
    pub const fn shape(self) -> &'static str {
        self.arms.shape()
    }

    /// The face (index into [`FACES`]) with which its strip begins: one without a slot, where there
    /// is one, so that its glued double face needs none either.
    #[must_use]
    pub fn first_face(self) -> usize {
        self.arms.first_without()
    }

    fn detail(self) -> String {
        let stand = match self.stand {
            Stand::BasePlate => "on a base plate".to_owned(),
            Stand::Feet(Feet::NONE) => "no feet".to_owned(),
            Stand::Feet(feet) => format!("feet {feet}"),
        };
        let under = if self.under { ", carries a level" } else { "" };
        format!("{}, {stand}{under}", self.arms.named())
    }

    /// How much higher it is than one that carries nothing, mm.
    fn rise(self, p: &Parameters) -> f64 {
        if self.under { mm(p.card) } else { 0.0 }
    }

    /// Its height from the board that it stands on (or from z = 0 on feet) to its top, mm.
    #[must_use]
    pub fn height(self, p: &Parameters) -> f64 {
        let height = match self.stand {
            Stand::Feet(_) => mm(p.post_height()),
            Stand::BasePlate => mm(p.wall_height),
        };
        height + self.rise(p)
    }
}

/// Where the parts of the sleeve lie along the flat strip.
pub(super) struct Strip {
    /// Left fold line (or free edge) of each face in strip order, then the flap's, then its end.
    pub(super) edges: [f64; 6],
    /// Middle of each face, then of the flap: where slots go.
    pub(super) middles: [f64; 5],
    /// Outer corners of each face.
    corners: [(f64, f64); 4],
}

/// A square sleeve of outer side `s`, mm, as a strip. Distances between fold lines: inside lengths
/// and half an allowance for each fold.
pub(super) fn strip(p: &Parameters, s: f64) -> Strip {
    let (c, f) = (mm(p.card), mm(p.play));
    let bend = mm(p.fold_allowance(Angle::QUARTER, p.card));
    // First face: from its free edge, flush with the last face's outside, to the first corner.
    // Last face: it ends at the flap, which lies one caliper further in.
    let widths = [s - c + bend / 2.0, s - 2.0 * c + bend, s - 2.0 * c + bend, s - 3.0 * c + bend];
    let flap = s - 2.0 * c - f + bend / 2.0;
    let mut edges = [0.0; 6];
    for (i, width) in widths.into_iter().chain([flap]).enumerate() {
        edges[i + 1] = edges[i] + width;
    }
    // From a fold line to the face's outer corner: a caliper less half an allowance.
    let corner = c - bend / 2.0;
    let middles = [0, 1, 2, 3, 4].map(|i| if i == 0 { s / 2.0 } else { edges[i] - corner + s / 2.0 });
    let corners = [0, 1, 2, 3].map(|i| {
        let left = if i == 0 { 0.0 } else { edges[i] - corner };
        (left, left + if i == 3 { s - c } else { s })
    });
    Strip { edges, middles, corners }
}

/// The sleeve's net, printed side up, the first face's free edge at x = 0, its foot at y = 0.
///
/// The strip begins with [`Post::first_face`].
///
/// # Errors
/// [`PieceError`] where the parameters leave a face in parts.
pub fn sleeve(p: &Parameters, post: Post) -> Result<Pattern, PieceError> {
    let (height, slot_depth) = (post.height(p), mm(p.slot_depth()) + post.rise(p));
    let first = post.first_face();
    let strip = strip(p, mm(p.post_side()));
    let slot = |at: f64| {
        let half = mm(p.slot_width()) / 2.0;
        rect(at - half, height - slot_depth, at + half, height + 1.0)
    };
    let floor = match post.stand {
        Stand::Feet(_) => mm(p.board),
        Stand::BasePlate => 0.0,
    };
    let upright = |x: f64| Line::new((x, 0.0), (x, height));

    let mut draft = Draft::new(PieceKind::Post, Stock::Card, post.detail());
    for i in 0..4 {
        let face = (first + i) % 4;
        let slots = if post.arms.has(face) { slot(strip.middles[i]) } else { Vec::new() };
        let mut area = rect(strip.edges[i], 0.0, strip.edges[i + 1], height);
        let tongue = Tongue::under(p, post.feet(), face, &strip, i);
        if let Some(tongue) = &tongue {
            area = crate::region::union(&[area, tongue.strip(p)].concat());
        }
        let panel = draft.panel(["first face", "second face", "third face", "fourth face"][i], &area, &slots)?;
        draft.shows(panel);
        if i > 0 {
            draft.hinge(panel - tongues_before(&draft), panel, upright(strip.edges[i]), Fold::Mountain, Angle::QUARTER);
        }
        if let Some(tongue) = tongue {
            tongue.hang(&mut draft, p, panel)?;
        }
    }
    glue_flap(&mut draft, p, post, &strip)?;
    // As high as on the walls that hang in it: courses run on.
    draft.planes.push(Plane::everywhere(Affine::translate((0.0, floor))));
    draft.finish()
}

/// How many panels lie between the last face and the panel just added: 1, or 2 after a tongue.
fn tongues_before(draft: &Draft) -> usize {
    let last = draft.net.panels.len() - 1;
    if draft.net.panels[last - 1].name == "tongue" { 2 } else { 1 }
}

/// The tongue under one face: from and to along the strip.
struct Tongue {
    from: f64,
    to: f64,
}

impl Tongue {
    /// Half a face for each of its two quadrants that has a tile; both halves are one tongue.
    fn under(p: &Parameters, feet: Feet, face: usize, strip: &Strip, place: usize) -> Option<Self> {
        // Off the corner, so that the tongues of neighbouring faces are cut apart.
        let off = (mm(p.card) * 2.0).max(0.5);
        let (left, right) = strip.corners[place];
        let middle = strip.middles[place];
        let from = if feet.has(face) { left + off } else { middle };
        let to = if feet.has(face + 1) { right - off } else { middle };
        (to > from).then_some(Self { from, to })
    }

    /// The half allowance by which the face reaches below z = 0, where the tongue's fold lies.
    fn strip(&self, p: &Parameters) -> Vec<Region> {
        rect(self.from, -mm(p.fold_allowance(Angle::QUARTER, p.card)) / 2.0, self.to, 1.0)
    }

    /// Adds the tongue below its face, folded outward, so towards the printed side.
    fn hang(&self, draft: &mut Draft, p: &Parameters, face: usize) -> Result<(), PieceError> {
        let bend = mm(p.fold_allowance(Angle::QUARTER, p.card));
        let (top, end) = (-bend / 2.0, -bend - mm(p.tongue));
        let chamfer = (mm(p.tongue) / 3.0).min((self.to - self.from) / 3.0);
        let outline = polygon(&[
            (self.from, top),
            (self.from, end + chamfer),
            (self.from + chamfer, end),
            (self.to - chamfer, end),
            (self.to, end + chamfer),
            (self.to, top),
        ]);
        let tongue = draft.panel("tongue", &outline, &[])?;
        draft.hinge(face, tongue, Line::new((self.from, top), (self.to, top)), Fold::Valley, Angle::QUARTER);
        Ok(())
    }
}

/// The full-height flap that is glued inside the first face, with that face's slot.
fn glue_flap(draft: &mut Draft, p: &Parameters, post: Post, strip: &Strip) -> Result<(), PieceError> {
    let (height, first) = (post.height(p), post.first_face());
    let slot_depth = mm(p.slot_depth()) + post.rise(p);
    let (from, to) = (strip.edges[4], strip.edges[5]);
    let chamfer = 1.0_f64.min((to - from) / 4.0);
    let outline = polygon(&[
        (from, 0.0),
        (to - chamfer, 0.0),
        (to, chamfer),
        (to, height - chamfer),
        (to - chamfer, height),
        (from, height),
    ]);
    let slot = if post.arms.has(first) {
        let half = mm(p.slot_width()) / 2.0;
        rect(strip.middles[4] - half, height - slot_depth, strip.middles[4] + half, height + 1.0)
    } else {
        Vec::new()
    };
    let faces: Vec<usize> = (0..draft.net.panels.len()).filter(|&i| draft.net.panels[i].name != "tongue").collect();
    let flap = draft.panel("flap", &outline, &slot)?;
    draft.hinge(faces[3], flap, Line::new((from, 0.0), (from, height)), Fold::Mountain, Angle::QUARTER);
    draft.net.seats.push(GlueSeat { flap, onto: faces[0] });
    draft.glue = vec![draft.net.panels[flap].region.clone()];
    let top = if slot.is_empty() { height } else { height - slot_depth };
    // Past the bleed of the face beside it.
    draft.label(Rect::new((from + mm(p.bleed)).min(to - 4.0), 0.0, to, top), true);
    Ok(())
}

/// The board plate that carries a post where no tile does: as thick as a tile, so its top is level
/// with the floor and walls may stand on it. It reaches a tongue's length past the sleeve.
///
/// # Errors
/// [`PieceError`] where the parameters leave no board.
pub fn base_plate(p: &Parameters) -> Result<Pattern, PieceError> {
    let half = mm(p.post_side()) / 2.0 + mm(p.tongue);
    let whole = rect(-half, -half, half, half);
    let mut draft = flat(PieceKind::BasePlate, Stock::Board, String::new(), &whole, &[])?;
    draft.label(Rect::new(-half, -half, half, half), false);
    draft.finish()
}

/// The board plug glued to the middle of a base plate: the sleeve slides over it and is glued round
/// it, since the edge of card alone holds no glue.
///
/// # Errors
/// [`PieceError`] where the plug would reach the hooks, or the parameters leave no board.
pub fn sleeve_plug(p: &Parameters) -> Result<Pattern, PieceError> {
    // Two calipers and half the play come off each side: whichever face is the double one, the
    // plug in the middle of its plate is clear of it.
    let half = (mm(p.post_side()) - 4.0 * mm(p.card) - mm(p.play)) / 2.0;
    let hook_end = mm(p.wall_height) - mm(p.slot_depth()) - mm(p.hook_drop);
    if hook_end < mm(p.board) {
        return Err(PieceError::NoRoom {
            what: "the plug in a sleeve lies below the hooks: T < H - d - q".into(),
            found: format!("{} against {} mm", p.board, crate::units::plain(hook_end, 3)),
            help: "make the wall higher, the slot shallower, the hook shorter or the board thinner".into(),
        });
    }
    let whole = rect(-half, -half, half, half);
    let mut draft = flat(PieceKind::SleevePlug, Stock::Board, String::new(), &whole, &[])?;
    draft.label(Rect::new(-half, -half, half, half), false);
    draft.finish()
}
