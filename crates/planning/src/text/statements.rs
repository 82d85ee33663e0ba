//! The statements around the drawings.

mod offsets;
mod standing;

use flatwright_geometry::pieces::tile::{LONGEST_SIDE as LONGEST_TILE, Reliefs};

use super::{
    Call, FittingCall, Line, MOST_CELLS, MOST_ERRORS, MOST_LEVELS, PlanText, Spot, TextError, design, drawing, fitting,
    turn,
};
use crate::fittings::roofs::RoofDesign;
use crate::fittings::{FittingDesign, MOST_FITTINGS};
use crate::plan::{Design, Extra, ExtraPiece, Level, OffFloor, Plan, Surface};

const KEYS: [&str; 19] = [
    "title",
    "set",
    "tiles",
    "reliefs",
    "spans",
    "off-floor posts",
    "caps",
    "surface X",
    "wall X",
    "turn X",
    "prop X",
    "pillar X",
    "free-wall X",
    "stair X",
    "half-landing X",
    "stair-marker X",
    "roof LEVEL",
    "extra",
    "offset LEVEL",
];

/// Gathers statements and drawings; drawings are read when all letters are known.
#[derive(Default)]
pub(super) struct Reader {
    pub errors: Vec<TextError>,
    pub drawings: Vec<(String, usize, Vec<Line>)>,
    title: Option<String>,
    set: Option<(String, (usize, usize))>,
    tiles: Vec<(u32, u32)>,
    spans: Vec<u32>,
    reliefs: Option<Reliefs>,
    off_floor: Option<OffFloor>,
    caps: Option<bool>,
    surfaces: Vec<Surface>,
    designs: Vec<Design>,
    calls: Vec<Call>,
    turns: Vec<(turn::Said, TextError)>,
    fittings: Vec<FittingDesign>,
    fitting_calls: Vec<FittingCall>,
    fitting_spots: Vec<Spot>,
    /// Free-standing walls with the design of a wall's letter: index into the fittings, the letter.
    walls_of_fittings: Vec<(usize, char, Spot)>,
    /// By the names of their levels.
    roofs: Vec<(String, RoofDesign)>,
    extras: Vec<Extra>,
    /// By the level's name: columns and rows, and what to say where they do not fit.
    offsets: Vec<(String, (usize, usize), TextError)>,
}

/// The value of a statement: its words, and where it stands.
struct Value<'a> {
    line: &'a Line,
    column: usize,
    text: String,
}

impl Value<'_> {
    fn error(&self, message: &str, help: &str) -> TextError {
        self.line.error(self.column, self.text.chars().count(), message, help)
    }
}

impl Reader {
    /// The name of the level whose drawing follows, if the line says so.
    pub fn level(&mut self, line: &Line) -> Option<String> {
        let text: String = line.chars.iter().collect();
        let (key, value) = text.split_once(':')?;
        let mut words = key.split_whitespace();
        if words.next() != Some("level") {
            return None;
        }
        let name = words.collect::<Vec<_>>().join(" ");
        if name.is_empty() || !value.trim().is_empty() {
            let help = "write \"level NAME:\", then the drawing on the lines below";
            self.errors.push(line.error(1, line.chars.len(), "a level needs a name and nothing after the colon", help));
        }
        if self.drawings.iter().any(|(other, ..)| *other == name) {
            let message = format!("there is already a level \"{name}\"");
            self.errors.push(line.error(1, line.chars.len(), &message, "give each level its own name"));
        }
        Some(name)
    }

    /// Reads `key: value`.
    pub fn statement(&mut self, line: &Line) {
        let Some(colon) = line.chars.iter().position(|c| *c == ':') else {
            let start = line.chars.iter().position(|c| !c.is_whitespace()).unwrap_or(0);
            let help = "drawings stand right below their \"level NAME:\"; everything else is \"key: value\"";
            self.errors.push(line.error(
                start + 1,
                line.chars.len() - start,
                "neither a statement nor part of a drawing",
                help,
            ));
            return;
        };
        let key: String = line.chars[..colon].iter().collect();
        let rest = &line.chars[colon + 1..];
        let blanks = rest.iter().take_while(|c| c.is_whitespace()).count();
        let text: String = rest[blanks..].iter().collect();
        let value = Value { line, column: colon + 2 + blanks, text };
        if value.text.is_empty() {
            self.errors.push(line.error(
                1,
                colon + 1,
                &format!("`{}` has no value", key.trim()),
                "write it after the colon",
            ));
            return;
        }
        let words: Vec<&str> = key.split_whitespace().collect();
        match words.as_slice() {
            ["title"] => self.title = Some(value.text),
            ["set"] => self.set = Some((value.text.clone(), (line.number, value.column))),
            ["tiles"] => self.tiles(&value),
            ["spans"] => self.spans(&value),
            ["reliefs"] => {
                let choices = [("corners", Reliefs::Corners), ("every-module", Reliefs::EveryModule)];
                self.reliefs = self.one_of(&value, &choices);
            }
            ["off-floor", "posts"] => {
                self.off_floor =
                    self.one_of(&value, &[("base plate", OffFloor::BasePlate), ("refuse", OffFloor::Refuse)]);
            }
            ["caps"] => self.caps = self.one_of(&value, &[("yes", true), ("no", false)]),
            ["surface", letter] => self.surface(line, letter, &value),
            ["wall", letter] => self.wall(line, letter, &value),
            ["turn", letter] => self.turn(line, letter, &value),
            [key, letter] if fitting::Kind::of_key(key).is_some() => self.fitting(line, key, letter, &value),
            ["roof", name @ ..] if !name.is_empty() => self.roof(line, &name.join(" "), &value),
            ["extra"] => self.extra(&value),
            ["offset", name @ ..] if !name.is_empty() => self.offset(line, &name.join(" "), &value),
            _ => {
                let help = format!("known keys: {}", KEYS.join(", "));
                self.errors.push(line.error(1, colon, &format!("`{}` is not a key of a plan", key.trim()), &help));
            }
        }
    }

    /// Reads the drawings and gives the plan.
    pub fn finish(mut self) -> Result<PlanText, Vec<TextError>> {
        self.designs_of_walls();
        let mut designs =
            vec![Design { letter: None, name: design::PLAIN.into(), opening: None, span: 1, filler: None }];
        designs.append(&mut self.designs);
        let nowhere = |message: &str, help: &str| TextError {
            line: 1,
            column: 1,
            length: 1,
            message: message.into(),
            help: help.into(),
        };
        if self.drawings.is_empty() {
            self.errors.push(nowhere("the plan has no level", "add \"level ground:\" and a drawing below it"));
        }
        if self.drawings.len() > MOST_LEVELS {
            self.errors.push(nowhere("the plan has too many levels", "a plan has at most 20"));
        }
        for (turn, both) in &self.turns {
            if self.surfaces.iter().any(|surface| surface.letter == turn.letter()) {
                self.errors.push(both.clone());
            }
        }
        let turns: Vec<turn::Said> = self.turns.iter().map(|(said, _)| said.clone()).collect();
        let turns = turn::resolved(&turns, &self.surfaces, &designs, &mut self.errors);
        let mut levels = Vec::new();
        for (name, heading, rows) in &self.drawings {
            if self.errors.len() >= MOST_ERRORS {
                break;
            }
            let known =
                drawing::Known { surfaces: &self.surfaces, turns: &turns, designs: &designs, fittings: &self.fittings };
            levels.extend(drawing::level(name, *heading, rows, known, &mut self.errors));
        }
        let count: usize = levels.iter().map(|level: &Level| level.turns.len()).sum();
        if count > turn::MOST_TURNS {
            let message = format!("the drawings have {count} turns together; a plan has at most {}", turn::MOST_TURNS);
            self.errors.push(nowhere(&message, "draw some levels in a plan of their own"));
        }
        let levels = self.moved(levels);
        let roofs = self.over_levels(&levels);
        let cells: usize = levels.iter().map(|level: &Level| level.cells.len()).sum();
        if cells > MOST_CELLS {
            let message = format!("the drawings have {cells} cells together; a plan has at most {MOST_CELLS}");
            self.errors.push(nowhere(&message, "draw some levels in a plan of their own"));
        }
        let fittings: usize = levels.iter().map(|level| level.fittings.len()).sum();
        if fittings > MOST_FITTINGS {
            let message = format!("the drawings hold {fittings} fittings; a plan has at most {MOST_FITTINGS}");
            self.errors.push(nowhere(&message, "leave some out, or draw some levels in a plan of their own"));
        }
        if !self.errors.is_empty() {
            self.errors.sort_by_key(|error| (error.line, error.column));
            if self.errors.len() >= MOST_ERRORS {
                let message =
                    format!("there are {MOST_ERRORS} problems or more; the rest of the plan was not looked at");
                self.errors.push(nowhere(&message, "mend the others first"));
            }
            return Err(self.errors);
        }
        let or = |list: Vec<_>, usual: &[_]| if list.is_empty() { usual.to_vec() } else { list };
        let plan = Plan {
            title: self.title.unwrap_or_else(|| "Floor plan".into()),
            surfaces: self.surfaces,
            designs,
            tiles: or(self.tiles, &[(2, 2), (2, 1), (1, 1)]),
            reliefs: self.reliefs.unwrap_or_default(),
            spans: if self.spans.is_empty() { vec![2, 1] } else { self.spans },
            off_floor: self.off_floor.unwrap_or_default(),
            caps: self.caps.unwrap_or_default(),
            extras: self.extras,
            fittings: self.fittings,
            roofs,
            levels,
        };
        let (fitting_calls, fitting_spots) = (self.fitting_calls, self.fitting_spots);
        Ok(PlanText { plan, set: self.set, calls: self.calls, fitting_calls, fitting_spots })
    }

    fn one_of<T: Copy>(&mut self, value: &Value<'_>, choices: &[(&str, T)]) -> Option<T> {
        let found = choices.iter().find(|(name, _)| *name == value.text).map(|(_, choice)| *choice);
        if found.is_none() {
            let names: Vec<String> = choices.iter().map(|(name, _)| format!("\"{name}\"")).collect();
            let message = format!("\"{}\" where {} was expected", value.text, names.join(" or "));
            self.errors.push(value.error(&message, "write one of these"));
        }
        found
    }

    fn tiles(&mut self, value: &Value<'_>) {
        let side = |text: &str| text.parse::<u32>().ok().filter(|n| (1..=LONGEST_TILE).contains(n));
        for word in value.text.split([' ', ',']).filter(|word| !word.is_empty()) {
            match word.split_once('x').and_then(|(a, b)| Some((side(a)?, side(b)?))) {
                Some((a, b)) => self.tiles.push((a.max(b), a.min(b))),
                None => {
                    let message = format!("\"{word}\" is not a tile's size");
                    self.errors
                        .push(value.error(&message, "write sizes in modules from 1 to 20, such as \"1x1 2x1 2x2\""));
                }
            }
        }
        self.tiles.sort_by_key(|&(a, b)| std::cmp::Reverse((a * b, a)));
        self.tiles.dedup();
    }

    fn spans(&mut self, value: &Value<'_>) {
        for word in value.text.split([' ', ',']).filter(|word| !word.is_empty()) {
            match word.parse::<u32>().ok().filter(|n| (1..=20).contains(n)) {
                Some(span) => self.spans.push(span),
                None => {
                    let message = format!("\"{word}\" is not a span");
                    self.errors
                        .push(value.error(&message, "write whole numbers of modules from 1 to 20, such as \"1 2\""));
                }
            }
        }
        self.spans.sort_by_key(|&span| std::cmp::Reverse(span));
        self.spans.dedup();
    }

    /// The one letter of a `surface` or `wall` key.
    fn letter(&mut self, line: &Line, word: &str) -> Option<char> {
        let mut chars = word.chars();
        match (chars.next(), chars.next()) {
            (Some(letter), None) if letter.is_alphabetic() => Some(letter),
            _ => {
                let help = "write one letter, as in \"surface f: flagstone\"";
                self.errors.push(line.error(1, line.chars.len(), &format!("\"{word}\" is not one letter"), help));
                None
            }
        }
    }

    fn surface(&mut self, line: &Line, word: &str, value: &Value<'_>) {
        let Some(letter) = self.letter(line, word) else { return };
        if self.surfaces.iter().any(|surface| surface.letter == letter) {
            let message = format!("surface '{letter}' is already defined");
            self.errors.push(line.error(1, line.chars.len(), &message, "use another letter"));
            return;
        }
        let (name, colour) = match value.text.split_once('#') {
            Some((name, digits)) => (name.trim(), Some(digits.trim())),
            None => (value.text.trim(), None),
        };
        let colour = match colour.map(|digits| (digits, colour_of(digits))) {
            Some((_, Some(colour))) => Some(colour),
            None => None,
            Some((digits, None)) => {
                let message = format!("\"#{digits}\" is not a colour");
                self.errors.push(value.error(&message, "write # and six hexadecimal digits, such as #c9c3b6"));
                None
            }
        };
        let name = name.trim_end_matches(',').trim();
        // `NAME, as DRAWING`: the drawing's name stands behind the last comma.
        let (name, drawn_as) = match name.rsplit_once(", as ") {
            Some((name, drawing)) => {
                let before = value.text.find(", as ").map_or(0, |byte| value.text[..byte].chars().count());
                let skipped = ", as ".chars().count() + drawing.chars().take_while(|c| c.is_whitespace()).count();
                (name.trim(), Some((drawing.trim().to_owned(), (value.line.number, value.column + before + skipped))))
            }
            None => (name, None),
        };
        self.surfaces.push(Surface { letter, name: name.to_owned(), colour, drawn_as });
    }

    fn wall(&mut self, line: &Line, word: &str, value: &Value<'_>) {
        let Some(letter) = self.letter(line, word) else { return };
        if self.designs.iter().any(|design| design.letter == Some(letter)) {
            let message = format!("wall '{letter}' is already defined");
            self.errors.push(line.error(1, line.chars.len(), &message, "use another letter"));
            return;
        }
        match design::read(&value.text, line.number, value.column) {
            Ok(read) => {
                // The plain wall of the drawing's lines stands before all of them.
                let design = self.designs.len() + 1;
                let name = read.name.0.clone();
                if name != design::PLAIN && read.filler.is_none() {
                    self.calls.push(Call { design, name: read.name, values: read.values });
                }
                self.designs.push(Design {
                    letter: Some(letter),
                    name,
                    opening: None,
                    span: read.span,
                    filler: read.filler,
                });
            }
            Err(message) => self.errors.push(value.error(&message, design::HELP)),
        }
    }

    fn turn(&mut self, line: &Line, word: &str, value: &Value<'_>) {
        let Some(letter) = self.letter(line, word) else { return };
        if self.turns.iter().any(|(turn, _)| turn.letter() == letter) {
            let message = format!("turn '{letter}' is already defined");
            self.errors.push(line.error(1, line.chars.len(), &message, "use another letter"));
            return;
        }
        // A surface of that letter may come later.
        let message = format!("'{letter}' stands for a surface and for a turn");
        let both = line.error(1, line.chars.len(), &message, "give one of them another letter");
        match turn::read(letter, &value.text, line.number, value.column) {
            Ok(said) => self.turns.push((said, both)),
            Err(error) => self.errors.push(error),
        }
    }

    fn extra(&mut self, value: &Value<'_>) {
        let (count, name) = value.text.split_once(' ').unwrap_or((&value.text, ""));
        let piece = match name.trim().trim_end_matches('s') {
            "biscuit" => Some(ExtraPiece::Biscuit),
            "corner pocket" => Some(ExtraPiece::Pocket),
            _ => None,
        };
        match (piece, count.parse::<u32>().ok().filter(|n| (1..=100_000).contains(n))) {
            (Some(piece), Some(count)) => self.extras.push(Extra { piece, count }),
            _ => {
                let message = format!("\"{}\" is not a number of extra pieces", value.text);
                self.errors.push(value.error(&message, "write a number and \"biscuits\" or \"corner pockets\""));
            }
        }
    }
}

fn colour_of(digits: &str) -> Option<(u8, u8, u8)> {
    if digits.len() != 6 || !digits.is_ascii() {
        return None;
    }
    let byte = |at: usize| u8::from_str_radix(&digits[at..at + 2], 16).ok();
    Some((byte(0)?, byte(2)?, byte(4)?))
}
