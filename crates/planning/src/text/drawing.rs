//! The drawing of one level.

use super::{LONGEST_SIDE, Line, MOST_ERRORS, TextError, turn};
use crate::fittings::{CellSpot, FittingDesign, Put};
use crate::plan::{Design, Level, Surface, Vertex};
use crate::turns::Turn;

/// What letters may stand for.
#[derive(Clone, Copy)]
pub(super) struct Known<'a> {
    pub surfaces: &'a [Surface],
    pub turns: &'a [Turn],
    pub designs: &'a [Design],
    pub fittings: &'a [FittingDesign],
}

/// A vertex with a post that no wall asks for.
const COLUMN: char = 'o';
/// Columns from one vertex to the next.
const PITCH: usize = 4;

/// Reads one level's rows; what is wrong goes to `errors`.
pub(super) fn level(
    name: &str,
    heading: usize,
    rows: &[Line],
    known: Known<'_>,
    errors: &mut Vec<TextError>,
) -> Option<Level> {
    let before = errors.len();
    let Some(left) = rows.iter().flat_map(|row| row.chars.iter().position(|c| !c.is_whitespace())).min() else {
        errors.push(TextError {
            line: heading,
            column: 1,
            length: 1,
            message: format!("level \"{name}\" has no drawing"),
            help: "draw the lattice on the lines below it, beginning with a row of + and -".into(),
        });
        return None;
    };
    for row in rows {
        if let Some(tab) = row.chars.iter().position(|c| *c == '\t') {
            errors.push(row.error(tab + 1, 1, "a tab in a drawing", "use spaces, so that columns line up"));
        }
    }
    // The leftmost character is a vertex or an edge in the lattice's first column, whatever the row.
    let longest = rows.iter().map(|row| row.chars.len() - left).max().unwrap_or(0);
    let (width, height) = (longest.saturating_sub(1).div_ceil(PITCH), rows.len() / 2);
    if rows.len().is_multiple_of(2) {
        let last = &rows[rows.len() - 1];
        errors.push(last.error(
            left + 1,
            last.chars.len() - left,
            "the drawing ends in a row of cells",
            "close it with a row of vertices: + and -",
        ));
    }
    if width == 0 || height == 0 || width > LONGEST_SIDE || height > LONGEST_SIDE {
        let message = format!("the drawing has {width} x {height} cells, not 1 to {LONGEST_SIDE} along each side");
        errors.push(rows[0].error(left + 1, 1, &message, "each cell is four columns wide and two rows high"));
        return None;
    }
    let mut level = Level::empty(name, width, height);
    level.origin = (rows[0].number, left + 1);
    let mut reader = Reader { left, first: rows[0].number, known, turned: Vec::new(), errors };
    for (i, row) in rows.iter().enumerate() {
        if reader.errors.len() >= MOST_ERRORS {
            break;
        }
        let y = i / 2;
        if i % 2 == 0 {
            let columns = reader.vertex_row(row, &mut level.across[y * width..(y + 1) * width]);
            level.columns.extend(columns.into_iter().map(|x| Vertex { x, y }));
        } else if y < height {
            let down = &mut level.down[y * (width + 1)..(y + 1) * (width + 1)];
            reader.cell_row(row, &mut level.cells[y * width..(y + 1) * width], down);
            let puts = (0..width).flat_map(|x| reader.fittings(row, x, y));
            level.fittings.extend(puts);
        }
    }
    let turned = reader.turned;
    turn::blocks(&mut level, &turned, known.turns, errors);
    (errors.len() == before).then_some(level)
}

struct Reader<'a> {
    left: usize,
    /// The line of the first row.
    first: usize,
    known: Known<'a>,
    /// Cells that carry a turn's letter: column, row and which turn.
    turned: Vec<(usize, usize, usize)>,
    errors: &'a mut Vec<TextError>,
}

impl Reader<'_> {
    fn at(&self, row: &Line, column: usize) -> char {
        row.chars.get(self.left + column).copied().unwrap_or(' ')
    }

    fn wrong(&mut self, row: &Line, column: usize, length: usize, message: &str, help: &str) {
        self.errors.push(row.error(self.left + column + 1, length, message, help));
    }

    /// Reads a row of edges, and gives the vertices with a column.
    fn vertex_row(&mut self, row: &Line, across: &mut [Option<usize>]) -> Vec<usize> {
        let mut columns = Vec::new();
        for x in 0..=across.len() {
            let vertex = self.at(row, x * PITCH);
            if vertex == COLUMN {
                columns.push(x);
            } else if !matches!(vertex, '+' | '-' | '|' | ' ') {
                let message = format!("'{vertex}' where a vertex was expected");
                self.wrong(
                    row,
                    x * PITCH,
                    1,
                    &message,
                    "vertices are +, or o for a column, and stand in every fourth column",
                );
            }
            let Some(edge) = across.get_mut(x) else { continue };
            let from = x * PITCH + 1;
            let [a, middle, b] = [0, 1, 2].map(|i| self.at(row, from + i));
            match (a, middle, b) {
                (' ', ' ', ' ') => {}
                ('-', '-', '-') => *edge = Some(0),
                ('-', letter, '-') if letter.is_alphabetic() => *edge = self.design(row, from + 1, letter, false),
                _ => {
                    let found: String = [a, middle, b].iter().collect();
                    let message = format!("\"{found}\" where an edge was expected");
                    self.wrong(
                        row,
                        from,
                        3,
                        &message,
                        "write --- for a wall, -X- for a wall of design X, or three spaces",
                    );
                }
            }
        }
        columns
    }

    fn cell_row(&mut self, row: &Line, cells: &mut [Option<usize>], down: &mut [Option<usize>]) {
        for (x, edge) in down.iter_mut().enumerate() {
            match self.at(row, x * PITCH) {
                ' ' => {}
                '|' => *edge = Some(0),
                letter if letter.is_alphabetic() => *edge = self.design(row, x * PITCH, letter, true),
                other => {
                    let message = format!("'{other}' where an edge was expected");
                    self.wrong(
                        row,
                        x * PITCH,
                        1,
                        &message,
                        "write | for a wall, a letter for a wall of that design, or a space",
                    );
                }
            }
            let Some(cell) = cells.get_mut(x) else { continue };
            let from = x * PITCH + 1;
            let [a, middle, b] = [0, 1, 2].map(|i| self.at(row, from + i));
            // Letters beside the surface's are those of fittings.
            let [west, east] = [a, b].map(|beside| if beside.is_alphabetic() { ' ' } else { beside });
            match (west, middle, east) {
                (' ', ' ', ' ') => {}
                (' ', letter, ' ') if letter.is_alphabetic() => *cell = self.surface(row, from + 1, letter),
                _ => {
                    let found: String = [a, middle, b].iter().collect();
                    let message = format!("\"{found}\" where a cell was expected");
                    self.wrong(
                        row,
                        from,
                        3,
                        &message,
                        "write the surface's letter in the middle of three columns, or three spaces for no floor",
                    );
                }
            }
        }
    }

    /// The fittings of a cell: one stands in its middle, of two each in its half.
    fn fittings(&mut self, row: &Line, x: usize, y: usize) -> Vec<Put> {
        let from = x * PITCH + 1;
        let [a, middle, b] = [0, 1, 2].map(|i| self.at(row, from + i));
        let both = a.is_alphabetic() && b.is_alphabetic();
        let mut puts = Vec::new();
        // What is no cell at all is told by whoever reads cells.
        if ![a, middle, b].iter().all(|c| *c == ' ' || c.is_alphabetic()) {
            return puts;
        }
        for (i, half) in [(0, CellSpot::West), (2, CellSpot::East)] {
            let letter = self.at(row, from + i);
            if letter.is_alphabetic()
                && let Some(design) = self.fitting(row, from + i, letter)
            {
                puts.push(Put { y, x, spot: if both { half } else { CellSpot::Middle }, last: i == 2, design });
            }
        }
        puts
    }

    fn fitting(&mut self, row: &Line, column: usize, letter: char) -> Option<usize> {
        let found = self.known.fittings.iter().position(|fitting| fitting.letter == letter);
        if found.is_none() {
            let known = letters(self.known.fittings.iter().map(|fitting| fitting.letter));
            let help = format!(
                "a surface's letter stands in the middle of a cell's three columns, those of fittings beside it: add a \
                 line \"prop {letter}: ...\", or use one of {known}"
            );
            self.wrong(row, column, 1, &format!("no fitting has the letter '{letter}'"), &help);
        }
        found
    }

    fn design(&mut self, row: &Line, column: usize, letter: char, down: bool) -> Option<usize> {
        let found = self.known.designs.iter().position(|design| design.letter == Some(letter));
        if found.is_none() {
            let known = letters(self.known.designs.iter().filter_map(|design| design.letter));
            let help = format!("add a line \"wall {letter}: ...\", or use one of {known}");
            self.wrong(row, column, 1, &format!("no wall design has the letter '{letter}'"), &help);
        }
        let filler = found.and_then(|found| self.known.designs[found].filler);
        if filler.is_some_and(|filler| filler.side.down() != down) {
            let (runs, sides) =
                if down { ("north to south", "north or south") } else { ("west to east", "west or east") };
            let message = format!("filler '{letter}' hangs at no end of an edge that runs from {runs}");
            self.wrong(row, column, 1, &message, &format!("use a filler at {sides} here"));
        }
        found
    }

    /// The surface of a cell; one that is part of a turn has none of its own.
    fn surface(&mut self, row: &Line, column: usize, letter: char) -> Option<usize> {
        if let Some(turn) = self.known.turns.iter().position(|turn| turn.letter == letter) {
            self.turned.push((column / PITCH, (row.number - self.first) / 2, turn));
            return None;
        }
        let found = self.known.surfaces.iter().position(|surface| surface.letter == letter);
        if found.is_none() {
            let turns = self.known.turns.iter().map(|turn| turn.letter);
            let known = letters(self.known.surfaces.iter().map(|surface| surface.letter).chain(turns));
            let help = format!("add a line \"surface {letter}: NAME\", or use one of {known}");
            self.wrong(row, column, 1, &format!("no surface has the letter '{letter}'"), &help);
        }
        found
    }
}

fn letters(known: impl Iterator<Item = char>) -> String {
    let known: Vec<String> = known.map(String::from).collect();
    if known.is_empty() { "none that are defined yet".into() } else { known.join(", ") }
}
