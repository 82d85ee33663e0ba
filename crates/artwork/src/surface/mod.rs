//! What a surface is made of, as data.

use crate::chance::Chance;
use crate::colour::Colour;
use crate::swatch::{Element, Swatch};

mod cobbles;
mod courses;
mod lines;
mod scatter;
mod stone;

/// A surface. Lengths are millimetres; numbers of rows and stones are for one module square.
#[derive(Clone, Debug, PartialEq)]
pub struct Surface {
    /// Its name, as files and plans write it.
    pub name: String,
    /// Colour under everything: mortar, water, earth.
    pub ground: Colour,
    /// What lies on it, bottom first.
    pub layers: Vec<Layer>,
}

/// One layer of a surface.
#[derive(Clone, Debug, PartialEq)]
pub enum Layer {
    /// Stones, bricks or boards in straight courses.
    Courses(Courses),
    /// Stones that fit each other on all sides.
    Cobbles(Cobbles),
    /// Small chips.
    Flecks(Flecks),
    /// Wavy lines.
    Ripples(Ripples),
    /// Short bright strokes along a direction.
    Glints(Glints),
    /// Branching cracks.
    Cracks(Cracks),
    /// Straight bars in both directions.
    Bars(Bars),
}

/// How joints of one course lie to those of the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bond {
    /// Above each other.
    Stack,
    /// Half a stone further.
    Running,
    /// By chance.
    Random,
}

/// Stones, bricks or boards in straight courses.
#[derive(Clone, Debug, PartialEq)]
pub struct Courses {
    /// Courses in a module.
    pub rows: u32,
    /// Fewest and most stones of a course in a module.
    pub stones: (u32, u32),
    /// How joints lie.
    pub bond: Bond,
    /// Whether courses run up instead of to the right.
    pub upright: bool,
    /// By how much of their height courses may differ, 0 to 0.5.
    pub uneven: f64,
    /// Width of the joint.
    pub joint: f64,
    /// Radius of a stone's corners.
    pub corner: f64,
    /// How far a stone's sides stray inward.
    pub rough: f64,
    /// Colours of stones.
    pub tones: Vec<Colour>,
    /// How much lighter or darker a single stone may be, 0 to 0.3.
    pub mottle: f64,
    /// Lit and shaded sides.
    pub bevel: Option<Bevel>,
    /// Lines along each stone.
    pub grain: Option<Grain>,
    /// Dots near the ends of each stone.
    pub pins: Option<Pins>,
}

/// Stones that fit each other on all sides.
#[derive(Clone, Debug, PartialEq)]
pub struct Cobbles {
    /// Stones along a module's side: an even number.
    pub across: u32,
    /// How far a stone strays from its place, 0 to 1.
    pub jitter: f64,
    /// Width of the joint.
    pub joint: f64,
    /// How round stones are: 0 cornered, 1 as round as their sides allow.
    pub round: f64,
    /// Colours of stones.
    pub tones: Vec<Colour>,
    /// How much lighter or darker a single stone may be, 0 to 0.3.
    pub mottle: f64,
    /// Lit and shaded sides.
    pub bevel: Option<Bevel>,
}

/// Lit and shaded sides of a stone: light comes from the upper left.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bevel {
    /// Width of the lines, mm.
    pub width: f64,
    /// How much lighter than the stone the lit side is, 0 to 1.
    pub light: f64,
    /// How much darker than the stone the shaded side is, 0 to 1.
    pub shade: f64,
}

/// Lines along a board.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grain {
    /// Lines on each board.
    pub lines: u32,
    /// Width, mm.
    pub width: f64,
    /// How much darker than the board, 0 to 1.
    pub shade: f64,
}

/// Nails near a board's ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pins {
    /// Radius, mm.
    pub radius: f64,
    /// Colour.
    pub tone: Colour,
}

/// Small chips.
#[derive(Clone, Debug, PartialEq)]
pub struct Flecks {
    /// How many in a module square.
    pub count: u32,
    /// Least and greatest size, mm.
    pub size: (f64, f64),
    /// Colours.
    pub tones: Vec<Colour>,
}

/// Wavy lines that run on from module to module.
#[derive(Clone, Debug, PartialEq)]
pub struct Ripples {
    /// Lines in a module.
    pub lines: u32,
    /// Waves in a module, at most.
    pub waves: u32,
    /// Height of the waves, mm.
    pub height: f64,
    /// Width, mm.
    pub width: f64,
    /// Colours.
    pub tones: Vec<Colour>,
}

/// Short strokes to the right, thick in the middle.
#[derive(Clone, Debug, PartialEq)]
pub struct Glints {
    /// How many in a module square.
    pub count: u32,
    /// Least and greatest length, mm.
    pub length: (f64, f64),
    /// Thickness, mm.
    pub width: f64,
    /// Colours.
    pub tones: Vec<Colour>,
}

/// Branching cracks, all inside the module square.
#[derive(Clone, Debug, PartialEq)]
pub struct Cracks {
    /// How many in a module square.
    pub count: u32,
    /// Least and greatest length, mm.
    pub length: (f64, f64),
    /// Width, mm.
    pub width: f64,
    /// Colour.
    pub tone: Colour,
}

/// Straight bars in both directions, riveted where they cross.
#[derive(Clone, Debug, PartialEq)]
pub struct Bars {
    /// Bars in a module, in either direction.
    pub count: u32,
    /// Width, mm.
    pub width: f64,
    /// Colour.
    pub tone: Colour,
    /// Lit and shaded sides.
    pub bevel: Option<Bevel>,
    /// Rivets.
    pub rivets: Option<Pins>,
}

/// What one layer is drawn with.
struct Draw {
    side: f64,
    seed: u64,
    layer: u64,
    variant: u64,
}

impl Draw {
    /// Chance for what all variants share.
    fn shared(&self, path: &[u64]) -> Chance {
        Chance::new(self.seed, &[&[self.layer, 0], path].concat())
    }

    /// Chance for what is this variant's own.
    fn own(&self, path: &[u64]) -> Chance {
        Chance::new(self.seed, &[&[self.layer, 1 + self.variant], path].concat())
    }

    /// The one or the other.
    fn chance(&self, shared: bool, path: &[u64]) -> Chance {
        if shared { self.shared(path) } else { self.own(path) }
    }
}

impl Surface {
    /// The surface for a module of `side` mm, in `variants` variants that fit each other on all
    /// sides. Same arguments, same drawing.
    #[must_use]
    pub fn swatch(&self, side: f64, seed: u64, variants: usize) -> Swatch {
        let draw = |variant: u64| {
            let layers = self.layers.iter().zip(0..);
            layers.map(|(layer, index)| layer.elements(&Draw { side, seed, layer: index, variant })).collect()
        };
        Swatch { side, ground: Some(self.ground), variants: (0..variants.max(1) as u64).map(draw).collect() }
    }
}

impl Layer {
    fn elements(&self, draw: &Draw) -> Vec<Element> {
        match self {
            Self::Courses(courses) => courses.elements(draw),
            Self::Cobbles(cobbles) => cobbles.elements(draw),
            Self::Flecks(flecks) => flecks.elements(draw),
            Self::Glints(glints) => glints.elements(draw),
            Self::Ripples(ripples) => ripples.elements(draw),
            Self::Cracks(cracks) => cracks.elements(draw),
            Self::Bars(bars) => bars.elements(draw),
        }
    }
}
