//! Fittings and roofs: their letters, their designs, their levels.

use super::{Reader, Value};
use crate::fittings::MOST_DESIGNS;
use crate::fittings::roofs::{MOST_ROOFS, RoofDesign};
use crate::plan::Level;
use crate::text::{Call, FittingCall, Line, Spot, TextError, fitting, roof};

impl Reader {
    pub(super) fn fitting(&mut self, line: &Line, key: &str, word: &str, value: &Value<'_>) {
        let (Some(kind), Some(letter)) = (fitting::Kind::of_key(key), self.letter(line, word)) else { return };
        if self.fittings.iter().any(|fitting| fitting.letter == letter) {
            let message = format!("fitting '{letter}' is already defined");
            self.errors.push(line.error(1, line.chars.len(), &message, "use another letter"));
            return;
        }
        if self.fittings.len() >= MOST_DESIGNS {
            let message = format!("there are more than {MOST_DESIGNS} letters of fittings");
            self.errors.push(line.error(1, line.chars.len(), &message, "use the same letter for equal ones"));
            return;
        }
        let at = (value.column, value.text.as_str());
        let Some(read) = fitting::read(kind, letter, line, at, &mut self.errors) else { return };
        let design = self.fittings.len();
        match read.call {
            Some(fitting::Called::Named(call)) => self.fitting_calls.push(FittingCall { design, ..call }),
            Some(fitting::Called::Wall(letter, spot)) => self.walls_of_fittings.push((design, letter, spot)),
            None => {}
        }
        self.fittings.push(read.design);
        let length = value.text.chars().count();
        self.fitting_spots.push(Spot { line: line.number, column: value.column, length });
    }

    pub(super) fn roof(&mut self, line: &Line, level: &str, value: &Value<'_>) {
        if self.roofs.len() >= MOST_ROOFS {
            let message = format!("there are more than {MOST_ROOFS} roofs");
            self.errors.push(line.error(1, line.chars.len(), &message, "make several of them one"));
            return;
        }
        let read = roof::read(line, (value.column, &value.text), &mut self.errors);
        self.roofs.extend(read.map(|roof| (level.to_owned(), roof)));
    }

    /// The roofs with the levels that they are over.
    pub(super) fn over_levels(&mut self, levels: &[Level]) -> Vec<RoofDesign> {
        let mut roofs = Vec::new();
        for (name, roof) in std::mem::take(&mut self.roofs) {
            let drawn = self.drawings.iter().any(|(other, ..)| *other == name);
            match levels.iter().position(|level| level.name == name) {
                Some(level) => roofs.push(RoofDesign { level, ..roof }),
                // What is wrong with the drawing is told there.
                None if drawn => {}
                None => {
                    let (line, column, length) = roof.spot;
                    let message = format!("there is no level \"{name}\" to be roofed");
                    let help =
                        "write the level's name as in its own line: \"roof loft: hip\" for \"level loft:\"".into();
                    self.errors.push(TextError { line, column, length, message, help });
                }
            }
        }
        roofs
    }

    /// Free-standing walls that take the design of a wall's letter: wherever that is defined.
    pub(super) fn designs_of_walls(&mut self) {
        for (design, letter, spot) in std::mem::take(&mut self.walls_of_fittings) {
            // Calls count from the plain wall, which stands before all designs.
            let known = self.designs.iter().position(|design| design.letter == Some(letter)).map(|index| index + 1);
            let call = known.and_then(|known| self.calls.iter().find(|call| call.design == known));
            match (known, call) {
                (None, _) => {
                    let message = format!("no wall design has the letter '{letter}'");
                    let help = format!("add a line \"wall {letter}: ...\", or write the design here");
                    let Spot { line, column, length } = spot;
                    self.errors.push(TextError { line, column, length, message, help });
                }
                (Some(_), None) => {}
                (Some(_), Some(Call { name, values, .. })) => {
                    let call = FittingCall { design, name: name.clone(), values: values.clone() };
                    self.fitting_calls.push(call);
                }
            }
        }
        self.fitting_calls.sort_by_key(|call| call.design);
    }
}
