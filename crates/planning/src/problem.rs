//! What can keep a plan from being built, with the place in its text.

use crate::build::TilePlace;
use crate::plan::{Design, Edge, Level, Vertex};

/// One reason why a plan cannot be built.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("level \"{level}\", {line}:{column}: {message}")]
pub struct PlanProblem {
    /// The level's name.
    pub level: String,
    /// Line in the plan's text, from 1.
    pub line: usize,
    /// Column, from 1.
    pub column: usize,
    /// How many characters it concerns.
    pub length: usize,
    /// What is wrong, with its numbers.
    pub message: String,
    /// How to mend it.
    pub help: String,
}

impl PlanProblem {
    /// A run of walls that no spans fill; `parted` where a post of the level above ends it.
    pub(crate) fn run(
        level: &Level,
        first: Edge,
        edges: usize,
        design: &Design,
        spans: &[usize],
        parted: bool,
    ) -> Self {
        let (line, column) = level.vertex_in_text(first.from);
        let (line, column) = if first.down { (line + 1, column) } else { (line, column + 1) };
        let spans: Vec<String> = spans.iter().map(usize::to_string).collect();
        let (name, spans) = (&design.name, spans.join(", "));
        Self {
            level: level.name.clone(),
            line,
            column,
            length: 1,
            message: format!(
                "a run of {edges} edges of {name} wall{} cannot be split into spans of {spans}",
                if parted { ", up to a post of the level above or a column," } else { "" }
            ),
            help: match design.letter {
                _ if parted => {
                    "move the column, end the wall above where a wall below ends, or give \"spans:\" or the design shorter spans".into()
                }
                None => "add a span of 1 to \"spans:\", or change the run's length".into(),
                Some(letter) => format!("draw '{letter}' over a multiple of its span, or change its \"over\""),
            },
        }
    }

    /// A post that no tile touches.
    pub(crate) fn off_floor(level: &Level, at: Vertex) -> Self {
        let (line, column) = level.vertex_in_text(at);
        Self {
            level: level.name.clone(),
            line,
            column,
            length: 1,
            message: "a post stands here, and no tile touches it".into(),
            help: "write \"off-floor posts: base plate\" to stand it on a plate, or draw floor beside it".into(),
        }
    }

    /// A post above the ground with none under it.
    pub(crate) fn hangs(level: &Level, below: &Level, at: Vertex) -> Self {
        let (line, column) = level.vertex_in_text(at);
        let below = &below.name;
        Self {
            level: level.name.clone(),
            line,
            column,
            length: 1,
            message: format!("a post stands here, and on level \"{below}\" below no wall passes or ends under it"),
            help: format!(
                "draw a wall on \"{below}\" that passes or ends under it, or a column (o), move the walls that end here, or move the \
                 level with \"offset {}: COLUMNS ROWS\"",
                level.name
            ),
        }
    }

    /// A post above the ground that no tile touches.
    pub(crate) fn plate_above(level: &Level, at: Vertex) -> Self {
        let (line, column) = level.vertex_in_text(at);
        Self {
            level: level.name.clone(),
            line,
            column,
            length: 1,
            message: "a post stands here above another level, and no tile touches it".into(),
            help: "draw floor beside it, or leave these walls out: base plates stand on the ground alone".into(),
        }
    }

    /// A tile above the ground with too little under it.
    pub(crate) fn uncarried(level: &Level, tile: &TilePlace, resting: usize) -> Self {
        let (line, column) = level.cell_in_text(tile.x, tile.y);
        let (width, height) = (tile.width, tile.height);
        Self {
            level: level.name.clone(),
            line,
            column,
            length: 1,
            message: format!(
                "the tile of {width} x {height} that begins here rests on the level below with {resting} of its \
                 corners; it must with all four, or with three where biscuits hold the fourth to tiles that do"
            ),
            help: "a corner rests where a post of this level stands, or on a board wall below: draw walls that end at \
                   its corners, give \"tiles:\" a size that reaches from post to post, or leave this floor out"
                .into(),
        }
    }

    /// Floor that no tiles cover.
    pub(crate) fn floor(level: &Level, x: usize, y: usize, cells: usize) -> Self {
        let (line, column) = level.cell_in_text(x, y);
        Self {
            level: level.name.clone(),
            line,
            column,
            length: 1,
            message: format!("the {cells} cells of floor around this one cannot be covered by the plan's tiles"),
            help: "add \"1x1\" to \"tiles:\"".into(),
        }
    }
}
