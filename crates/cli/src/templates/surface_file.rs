//! A surface as a data file: what its JSON may say, and what must hold.

use flatwright_artwork as artwork;

use super::surface_draw;
use crate::problem::{At, Problem, Problems, Source, Spanned};
use crate::set_file::document::{self, Called};
use crate::set_file::reader::{record, tagged, word};
use crate::set_file::{Count, Flag, LARGEST, Length, Line, Prose, Rgb, Share};

record! {
    /// A printed surface: a ground, and layers on it. Numbers of rows, stones and lines are for one
    /// module square, so a surface looks the same on a larger module, only larger.
    pub struct SurfaceFile {
        /// Its name, as sets and plans write it.
        pub surface: Line,
        /// A sentence about it.
        pub about: Option<Prose>,
        /// Colour under everything: mortar, water, earth.
        pub ground: Rgb,
        /// What lies on the ground, bottom first: at most 12 layers.
        #[schemars(length(max = 12))]
        pub layers: Spanned<Vec<LayerEntry>>,
    }
}

tagged! {
    /// One layer of a surface.
    pub enum LayerEntry by "layer" {
        /// Stones, bricks or boards in straight courses.
        Courses(CoursesEntry) = "courses",
        /// Stones that fit each other on all sides.
        Cobbles(CobblesEntry) = "cobbles",
        /// Small chips.
        Flecks(FlecksEntry) = "flecks",
        /// Wavy lines that run on from module to module.
        Ripples(RipplesEntry) = "ripples",
        /// Short strokes to the right, thick in the middle.
        Glints(GlintsEntry) = "glints",
        /// Branching cracks.
        Cracks(CracksEntry) = "cracks",
        /// Straight bars in both directions.
        Bars(BarsEntry) = "bars",
    }
}

word! {
    /// How joints of one course lie to those of the next.
    pub enum Bond {
        /// Above each other.
        Stack = "stack",
        /// Half a stone further; takes an even number of rows.
        Running = "running",
        /// By chance.
        Random = "random",
    }
}

record! {
    /// Lit and shaded sides: light comes from the upper left.
    pub struct BevelEntry {
        /// Width of the lit and shaded lines.
        pub width: Length,
        /// How much lighter the lit side is, 0 to 1.
        pub light: Share,
        /// How much darker the shaded side is, 0 to 1.
        pub shade: Share,
    }
}

record! {
    /// Lines along each board.
    pub struct GrainEntry {
        /// Lines on each board.
        pub lines: Count<40>,
        /// Width of a line.
        pub width: Length,
        /// How much darker than the board, 0 to 1.
        pub shade: Share,
    }
}

record! {
    /// Nails or rivets.
    pub struct PinsEntry {
        /// Radius.
        pub radius: Length,
        /// Colour.
        pub tone: Rgb,
    }
}

record! {
    /// Stones, bricks or boards in straight courses.
    pub struct CoursesEntry {
        /// Courses in a module.
        pub rows: Spanned<Count<40>>,
        /// Fewest stones of a course in a module.
        pub fewest: Count<40>,
        /// Most stones of a course in a module. Default: as many as the fewest.
        pub most: Option<Count<40>>,
        /// How joints lie. Default "random".
        pub bond: Option<Bond>,
        /// Whether courses run up instead of to the right. Default false.
        pub upright: Option<Flag>,
        /// By what share of their height courses differ, 0 to 1. Default 0.
        pub uneven: Option<Share>,
        /// Width of the joints.
        pub joint: Length,
        /// Radius of a stone's corners. Default 0 mm.
        pub corner: Option<Length>,
        /// How far a stone's corners stray inward. Default 0 mm.
        pub rough: Option<Length>,
        /// Colours of stones, taken by chance.
        #[schemars(length(min = 1, max = 24))]
        pub tones: Spanned<Vec<Rgb>>,
        /// How much lighter or darker a single stone may be, 0 to 1. Default 0.
        pub mottle: Option<Share>,
        /// Lit and shaded sides. Default: none.
        pub bevel: Option<BevelEntry>,
        /// Lines along each board. Default: none.
        pub grain: Option<GrainEntry>,
        /// Nails near a board's ends. Default: none.
        pub pins: Option<PinsEntry>,
    }
}

record! {
    /// Stones that fit each other on all sides.
    pub struct CobblesEntry {
        /// Stones along a module's side: an even number.
        pub across: Spanned<Count<24>>,
        /// How far a stone strays from its place, 0 to 1. Default 0.5.
        pub jitter: Option<Share>,
        /// Width of the joints.
        pub joint: Length,
        /// How round stones are: 0 cornered, 1 as round as their sides allow. Default 0.
        pub round: Option<Share>,
        /// Colours of stones, taken by chance.
        #[schemars(length(min = 1, max = 24))]
        pub tones: Spanned<Vec<Rgb>>,
        /// How much lighter or darker a single stone may be, 0 to 1. Default 0.
        pub mottle: Option<Share>,
        /// Lit and shaded sides. Default: none.
        pub bevel: Option<BevelEntry>,
    }
}

record! {
    /// Small chips.
    pub struct FlecksEntry {
        /// How many in a module square.
        pub count: Count<600>,
        /// Size of the smallest.
        pub smallest: Length,
        /// Size of the largest.
        pub largest: Length,
        /// Colours, taken by chance.
        #[schemars(length(min = 1, max = 24))]
        pub tones: Spanned<Vec<Rgb>>,
    }
}

record! {
    /// Wavy lines that run on from module to module.
    pub struct RipplesEntry {
        /// Lines in a module.
        pub lines: Count<60>,
        /// Waves in a module, at most.
        pub waves: Count<12>,
        /// Height of the waves.
        pub height: Length,
        /// Width of a line.
        pub width: Length,
        /// Colours, taken by chance.
        #[schemars(length(min = 1, max = 24))]
        pub tones: Spanned<Vec<Rgb>>,
    }
}

record! {
    /// Short strokes to the right, thick in the middle.
    pub struct GlintsEntry {
        /// How many in a module square.
        pub count: Count<200>,
        /// Length of the shortest.
        pub shortest: Length,
        /// Length of the longest.
        pub longest: Length,
        /// Thickness.
        pub width: Length,
        /// Colours, taken by chance.
        #[schemars(length(min = 1, max = 24))]
        pub tones: Spanned<Vec<Rgb>>,
    }
}

record! {
    /// Branching cracks.
    pub struct CracksEntry {
        /// How many in a module square.
        pub count: Count<60>,
        /// Length of the shortest.
        pub shortest: Length,
        /// Length of the longest.
        pub longest: Length,
        /// Width.
        pub width: Length,
        /// Colour.
        pub tone: Rgb,
    }
}

record! {
    /// Straight bars in both directions.
    pub struct BarsEntry {
        /// Bars in a module, in either direction.
        pub count: Count<30>,
        /// Width of a bar.
        pub width: Length,
        /// Colour.
        pub tone: Rgb,
        /// Lit and shaded sides. Default: none.
        pub bevel: Option<BevelEntry>,
        /// Rivets where bars cross. Default: none.
        pub rivets: Option<PinsEntry>,
    }
}

const CALLED: Called = Called {
    file: "a surface file",
    whole: "the surface",
    write: "write a surface: {\"surface\": \"...\", \"ground\": \"#8d9294\", \"layers\": [...]}",
    largest: LARGEST,
    shorten: "use fewer layers",
};

/// Most layers.
const MOST_LAYERS: usize = 12;
/// Most colours of a layer.
const MOST_TONES: usize = 24;

/// Most things that a surface draws on a module square: twenty times those of the richest one that
/// the program carries.
const MOST_DRAWN: u64 = 20_000;

/// Reads a surface file. `name` is what diagnostics call it.
///
/// # Errors
/// As [`document::read`] has them, and numbers that do not go together.
pub fn read(name: &str, bytes: Vec<u8>) -> Result<artwork::Surface, Problems> {
    let (file, _): (SurfaceFile, Source) = document::read(name, bytes, CALLED, |_, _| {})?;
    let mut problems = Vec::new();
    if file.layers.value.len() > MOST_LAYERS {
        problems.push(wrong(&file.layers.at, &format!("there are more than {MOST_LAYERS} layers"), "use fewer"));
    }
    let all: u64 = file.layers.value.iter().map(drawn_at_most).sum();
    if all > MOST_DRAWN {
        let what = format!("the layers draw up to {all} things on a module square; at most {MOST_DRAWN} are drawn");
        problems.push(wrong(&file.layers.at, &what, "use fewer stones, or fewer lines on each"));
    }
    for layer in &file.layers.value {
        let tones = match layer {
            LayerEntry::Courses(e) => Some(&e.tones),
            LayerEntry::Cobbles(e) => Some(&e.tones),
            LayerEntry::Flecks(e) => Some(&e.tones),
            LayerEntry::Ripples(e) => Some(&e.tones),
            LayerEntry::Glints(e) => Some(&e.tones),
            LayerEntry::Cracks(_) | LayerEntry::Bars(_) => None,
        };
        if let Some(tones) = tones.filter(|tones| !(1..=MOST_TONES).contains(&tones.value.len())) {
            problems.push(wrong(&tones.at, &format!("there must be 1 to {MOST_TONES} tones"), "give some colours"));
        }
        match layer {
            LayerEntry::Courses(e) if e.bond == Some(Bond::Running) && e.rows.value.0 % 2 == 1 => problems.push(wrong(
                &e.rows.at,
                "an odd number of rows does not repeat in a running bond",
                "use an even number, so that modules fit",
            )),
            LayerEntry::Cobbles(e) if e.across.value.0 % 2 == 1 || e.across.value.0 < 6 => problems.push(wrong(
                &e.across.at,
                "this number of stones does not repeat from module to module",
                "use an even number from 6 to 24",
            )),
            _ => {}
        }
    }
    if problems.is_empty() { Ok(surface_draw::surface(&file)) } else { Err(Problems::new(name, problems)) }
}

/// The JSON Schema of the surface file (draft 2020-12).
#[must_use]
pub fn schema() -> schemars::Schema {
    document::schema::<SurfaceFile>()
}

/// How many elements a layer draws in a module square, at most.
fn drawn_at_most(layer: &LayerEntry) -> u64 {
    let bevel = |bevel: &Option<BevelEntry>| if bevel.is_some() { 2 } else { 0 };
    match layer {
        LayerEntry::Courses(e) => {
            let stones = u64::from(e.rows.value.0) * u64::from(e.most.unwrap_or(e.fewest).0.max(e.fewest.0));
            let grain = e.grain.as_ref().map_or(0, |grain| u64::from(grain.lines.0));
            let pins = if e.pins.is_some() { 4 } else { 0 };
            stones * (1 + bevel(&e.bevel) + grain + pins)
        }
        LayerEntry::Cobbles(e) => u64::from(e.across.value.0).pow(2) * (1 + bevel(&e.bevel)),
        LayerEntry::Flecks(e) => u64::from(e.count.0),
        LayerEntry::Ripples(e) => u64::from(e.lines.0),
        LayerEntry::Glints(e) => u64::from(e.count.0),
        LayerEntry::Cracks(e) => u64::from(e.count.0),
        LayerEntry::Bars(e) => {
            let (bars, rivets) = (u64::from(e.count.0), u64::from(e.rivets.is_some()));
            2 * bars * (1 + bevel(&e.bevel)) + bars * bars * rivets
        }
    }
}

fn wrong(at: &At, what: &str, help: &str) -> Problem {
    Problem::new(what.to_owned()).at(at, "here").help(help)
}
