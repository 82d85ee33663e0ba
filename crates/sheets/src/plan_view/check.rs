//! What cannot be drawn of a plan, all of it at once.

use flatwright_geometry::units::Mm;

use super::{EdgeView, LevelView, PlanView};

/// Most squares along one side of a level.
pub const MOST_SQUARES: usize = 200;

/// Why a plan was not drawn.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PlanError {
    /// Everything that is wrong with it.
    #[error("the plan cannot be drawn:{}", listed(.0))]
    Faults(Vec<PlanFault>),
}

/// One thing wrong with a plan.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PlanFault {
    /// Nothing to draw.
    #[error("it has no levels; give it at least one")]
    NoLevels,
    /// A length that must be finite and within a range.
    #[error("the {what} is {value}; it must be {range}")]
    Length {
        /// Which.
        what: &'static str,
        /// Its value.
        value: Mm,
        /// What it may be.
        range: &'static str,
    },
    /// A level without squares, or with too many.
    #[error("level {level:?} has {columns} x {rows} squares; it can have 1 to {MOST_SQUARES} each way")]
    Squares {
        /// The level's name.
        level: String,
        /// Squares from west to east.
        columns: usize,
        /// Squares from north to south.
        rows: usize,
    },
    /// Something that lies outside of its level.
    #[error("{what} at ({x}, {y}) on level {level:?} reaches outside of the level's {columns} x {rows} squares")]
    Outside {
        /// What, with its label.
        what: String,
        /// Its column.
        x: usize,
        /// Its row.
        y: usize,
        /// The level's name.
        level: String,
        /// Squares from west to east.
        columns: usize,
        /// Squares from north to south.
        rows: usize,
    },
    /// A sheet without room for the drawing.
    #[error("{paper} with margins of {margin} has no room for level {level:?}; use a larger sheet or smaller margins")]
    NoRoom {
        /// The sheet.
        paper: String,
        /// The margin.
        margin: Mm,
        /// The level's name.
        level: String,
    },
    /// A drawing larger than a page can be.
    #[error(
        "level {level:?} would be {width} x {height} large; a page can have sides of up to {}; draw the squares smaller",
        crate::paper::LARGEST_SIDE
    )]
    TooLarge {
        /// The level's name.
        level: String,
        /// Width of the page.
        width: Mm,
        /// Height of the page.
        height: Mm,
    },
}

/// Everything wrong with a plan itself, whatever it is drawn on.
pub(crate) fn faults(view: &PlanView) -> Vec<PlanFault> {
    let mut found = Vec::new();
    if view.levels.is_empty() {
        found.push(PlanFault::NoLevels);
    }
    if !(1.0..=1000.0).contains(&view.module.get()) {
        found.push(PlanFault::Length { what: "module", value: view.module, range: "1 to 1000 mm" });
    }
    for level in &view.levels {
        level_faults(level, &mut found);
    }
    found
}

fn level_faults(level: &LevelView, found: &mut Vec<PlanFault>) {
    let (columns, rows) = (level.columns, level.rows);
    let fine = 1..=MOST_SQUARES;
    if !(fine.contains(&columns) && fine.contains(&rows)) {
        // What lies where cannot be told without the level's size.
        found.push(PlanFault::Squares { level: level.name.clone(), columns, rows });
        return;
    }
    let mut expect = |inside: bool, what: String, x: usize, y: usize| {
        if !inside {
            found.push(PlanFault::Outside { what, x, y, level: level.name.clone(), columns, rows });
        }
    };
    // Sums that would overflow are outside too.
    let within = |from: usize, length: usize, end: usize| from.checked_add(length).is_some_and(|to| to <= end);
    for tile in &level.tiles {
        let area = tile.width > 0 && tile.height > 0;
        let inside = area && within(tile.x, tile.width, columns) && within(tile.y, tile.height, rows);
        expect(inside, format!("tile {:?}", tile.label), tile.x, tile.y);
    }
    let along = |x: usize, y: usize, down: bool, span: usize| {
        let (across, along) = if down { (0, span) } else { (span, 0) };
        span > 0 && within(x, across, columns) && within(y, along, rows)
    };
    for wall in &level.walls {
        let inside = along(wall.x, wall.y, wall.down, wall.span);
        expect(inside, format!("wall {:?}", wall.label), wall.x, wall.y);
    }
    let near = |&(x, y): &(f64, f64)| (0.0..=columns as f64).contains(&x) && (0.0..=rows as f64).contains(&y);
    let lines = level.shapes.iter().map(|shape| (format!("tile {:?}", shape.label), &shape.outline));
    for (what, line) in lines.chain(level.bends.iter().map(|bend| (format!("wall {:?}", bend.label), &bend.line))) {
        let first = line.first().map_or((0, 0), |&(x, y)| (x.max(0.0) as usize, y.max(0.0) as usize));
        expect(line.len() > 1 && line.iter().all(near), what, first.0, first.1);
    }
    for post in &level.posts {
        expect(post.x <= columns && post.y <= rows, format!("post {:?}", post.label), post.x, post.y);
    }
    for fitting in &level.fittings {
        // Eaves reach out a little; nothing is drawn far away.
        let within = |at: f64, end: usize| (-1.0..=end as f64 + 1.0).contains(&at);
        let inside = fitting.points().all(|(x, y)| within(x, columns) && within(y, rows));
        let (x, y) = fitting.points().next().unwrap_or_default();
        expect(inside, format!("fitting {:?}", fitting.label), x.max(0.0) as usize, y.max(0.0) as usize);
    }
    for (what, edges) in [("a biscuit", &level.biscuits), ("an edge of the weakest seam", &level.cut)] {
        for &EdgeView { x, y, down } in edges {
            expect(along(x, y, down, 1), what.to_owned(), x, y);
        }
    }
}

fn listed(faults: &[PlanFault]) -> String {
    faults.iter().map(|fault| format!("\n  {fault}")).collect()
}
