//! The `turn` statement, and the blocks of its letter in a drawing.

use std::collections::BTreeSet;

use flatwright_geometry::pieces::bend::{Bend, BendForm, LONGEST_REACH};

use super::design::PLAIN;
use super::{MOST_ERRORS, Spot, TextError};
use crate::plan::{Design, Edge, Level, Surface, Vertex};
use crate::turns::{Fit, Turn};

/// Most turns of a plan.
pub(super) const MOST_TURNS: usize = 1000;

const HELP: &str = "write \"turn t: round 2, about SW, inner 1, ring f, wall plain, inner wall plain\": the form (round or \
    diagonal) and how many cells its block has along a side; the block's corner that it turns about (NE, NW, SW or SE); \
    the reach of a shorter bend within; the surfaces of its parts (fan, ring, spandrel); the walls on its bends";

/// A `turn` statement as it is written.
#[derive(Clone, Debug)]
pub(super) struct Said {
    letter: char,
    bend: Bend,
    /// Quarter turns from the frame of [`Bend`].
    turns: u32,
    inner: Option<u32>,
    fan: Option<Named>,
    ring: Option<Named>,
    spandrel: Option<Named>,
    wall: Option<Named>,
    inner_wall: Option<Named>,
}

impl Said {
    /// The letter that stands for it.
    pub const fn letter(&self) -> char {
        self.letter
    }
}

/// A letter, or the word for the plain wall, and where it stands.
#[derive(Clone, Debug)]
struct Named {
    name: String,
    at: Spot,
}

/// Reads the value of a `turn` statement, which begins at a line and a column.
pub(super) fn read(letter: char, text: &str, line: usize, column: usize) -> Result<Said, TextError> {
    let spot = |part: &str| {
        let before = text.get(..(part.as_ptr() as usize).saturating_sub(text.as_ptr() as usize)).unwrap_or("");
        Spot { line, column: column + before.chars().count(), length: part.chars().count() }
    };
    let mut parts = text.split(',').map(str::trim);
    let head = parts.next().unwrap_or("");
    let reach = |word: &str| word.parse::<u32>().ok().filter(|n| (1..=LONGEST_REACH).contains(n));
    let words: Vec<&str> = head.split_whitespace().collect();
    let bend = match words[..] {
        ["round", modules] => reach(modules).map(|reach| Bend { form: BendForm::Round, reach }),
        ["diagonal", modules] => reach(modules).map(|reach| Bend { form: BendForm::Diagonal, reach }),
        _ => None,
    };
    let Some(bend) = bend else {
        let message =
            format!("\"{head}\" is not \"round\" or \"diagonal\" with a reach of 1 to {LONGEST_REACH} modules");
        return Err(error(spot(head), &message, HELP));
    };
    let mut said = Said {
        letter,
        bend,
        turns: 0,
        inner: None,
        fan: None,
        ring: None,
        spandrel: None,
        wall: None,
        inner_wall: None,
    };
    let mut about = None;
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    for part in parts {
        let (key, value) = match part.rsplit_once(char::is_whitespace) {
            Some((key, value)) => (key.trim_end(), value),
            None => (part, ""),
        };
        let named = || Some(Named { name: value.to_owned(), at: spot(value) });
        match key {
            "about" => {
                let corner = ["SW", "SE", "NE", "NW"].iter().position(|corner| *corner == value);
                let Some(turns) = corner.and_then(|turns| u32::try_from(turns).ok()) else {
                    let message = format!("\"{value}\" is not a corner");
                    return Err(error(spot(value), &message, "write NE, NW, SW or SE"));
                };
                about = Some(turns);
            }
            "inner" => {
                said.inner = reach(value).filter(|inner| *inner < bend.reach);
                if said.inner.is_none() {
                    let message = format!("\"{value}\" is not the reach of a shorter bend within {}", bend.reach);
                    return Err(error(spot(value), &message, "write fewer modules than those of the turn, at least 1"));
                }
            }
            "fan" => said.fan = named(),
            "ring" => said.ring = named(),
            "spandrel" => said.spandrel = named(),
            "wall" => said.wall = named(),
            "inner wall" => said.inner_wall = named(),
            _ => return Err(error(spot(part), &format!("\"{part}\" means nothing for a turn"), HELP)),
        }
        if !seen.insert(key) {
            return Err(error(spot(part), &format!("\"{key}\" is given twice"), "give it once"));
        }
    }
    let Some(turns) = about else {
        let help = "write the block's corner that it turns about, such as \", about SW\"";
        return Err(error(spot(text), "it does not say about which corner it turns", help));
    };
    said.turns = turns;
    let without = [("ring", &said.ring), ("inner wall", &said.inner_wall)].into_iter().find(|(_, part)| part.is_some());
    if let Some((key, Some(part))) = without
        && said.inner.is_none()
    {
        let message = format!("a turn without a shorter bend has no {key}");
        let help =
            "write \", inner\" and its reach, or \"fan\" for all within the one bend and \"wall\" for the wall on it";
        return Err(error(part.at, &message, help));
    }
    if [&said.fan, &said.ring, &said.spandrel, &said.wall, &said.inner_wall].into_iter().all(Option::is_none) {
        return Err(error(spot(text), "it has neither floor nor wall", HELP));
    }
    Ok(said)
}

fn error(at: Spot, message: &str, help: &str) -> TextError {
    let Spot { line, column, length } = at;
    TextError { line, column, length: length.max(1), message: message.into(), help: help.into() }
}

/// Turns with their surfaces and designs found, each at no place yet; what is not found goes to `errors`.
pub(super) fn resolved(
    said: &[Said],
    surfaces: &[Surface],
    designs: &[Design],
    errors: &mut Vec<TextError>,
) -> Vec<Turn> {
    let mut turns = Vec::new();
    for said in said {
        let mut surface = |part: &Option<Named>| {
            let Named { name, at } = part.as_ref()?;
            let found = surfaces.iter().position(|surface| name.chars().eq([surface.letter]));
            if found.is_none() {
                let help = "write the letter of a surface; a line \"surface X: NAME\" defines it";
                errors.push(error(*at, &format!("no surface has the letter \"{name}\""), help));
            }
            found
        };
        let [fan, ring, spandrel] = [&said.fan, &said.ring, &said.spandrel].map(&mut surface);
        let mut design = |part: &Option<Named>| {
            let Named { name, at } = part.as_ref()?;
            let of = |design: &Design| design.letter.is_some_and(|letter| name.chars().eq([letter]));
            let found = if name == PLAIN { Some(0) } else { designs.iter().position(of) };
            if found.is_some_and(|found| designs.get(found).is_some_and(|design| design.filler.is_some())) {
                let help =
                    "a filler hangs in one post and ends beside it: write \"plain\", or the letter of another design";
                errors.push(error(*at, "a filler does not follow a bend", help));
                return None;
            }
            if found.is_none() {
                let help = "write \"plain\", or the letter of a wall design; a line \"wall X: NAME\" defines it";
                errors.push(error(*at, &format!("no wall design has the letter \"{name}\""), help));
            }
            found
        };
        let [wall, inner_wall] = [&said.wall, &said.inner_wall].map(&mut design);
        let Said { letter, bend, turns: about, inner, .. } = *said;
        let (at, fit) = (Vertex { x: 0, y: 0 }, Fit::default());
        turns.push(Turn { letter, at, turns: about, bend, inner, fan, ring, spandrel, wall, inner_wall, fit });
    }
    turns
}

/// The turns of a level: blocks of cells that carry their letters. `cells` are column, row and which turn,
/// in the drawing's order.
pub(super) fn blocks(level: &mut Level, cells: &[(usize, usize, usize)], turns: &[Turn], errors: &mut Vec<TextError>) {
    let mut free: BTreeSet<(usize, usize, usize)> = cells.iter().map(|&(x, y, turn)| (y, x, turn)).collect();
    while let Some(&(y, x, which)) = free.first()
        && errors.len() < MOST_ERRORS
    {
        let turn = turns[which];
        let reach = turn.bend.reach as usize;
        let block = (y..y + reach).flat_map(|row| (x..x + reach).map(move |column| (row, column, which)));
        let missing = block.clone().find(|cell| !free.contains(cell));
        block.for_each(|cell| {
            free.remove(&cell);
        });
        if let Some((row, column, _)) = missing {
            let (line, at) = level.cell_in_text(x, y);
            let message = format!(
                "turn '{}' covers {reach} x {reach} cells from here on, and the cell in row {}, column {} does not carry its letter",
                turn.letter,
                row + 1,
                column + 1
            );
            let help = "write the letter into every cell of the block, or give the turn another reach";
            errors.push(error(Spot { line, column: at, length: 1 }, &message, help));
            continue;
        }
        // The corner that it turns about, from the block's north-west vertex.
        let (east, south) = [(0, 1), (1, 1), (1, 0), (0, 0)][turn.turns as usize % 4];
        let at = Vertex { x: x + east * reach, y: y + south * reach };
        for (row, column) in (y..y + reach).flat_map(|row| (x..x + reach).map(move |column| (row, column))) {
            let from = Vertex { x: column, y: row };
            for (down, inside) in [(true, column > x), (false, row > y)] {
                if inside && level.wall(Edge { from, down }).is_some() {
                    let (line, at) = level.vertex_in_text(from);
                    let (line, at) = if down { (line + 1, at) } else { (line, at + 2) };
                    let message = format!("a wall inside turn '{}'", turn.letter);
                    let help = "a turn has walls on its bends alone: leave this one out, or end the block before it";
                    errors.push(error(Spot { line, column: at, length: 1 }, &message, help));
                }
            }
        }
        level.turns.push(Turn { at, ..turn });
    }
}
