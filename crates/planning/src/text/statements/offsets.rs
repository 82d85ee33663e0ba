//! Offsets of levels: where their drawings stand over the one below.

use super::{Reader, Value};
use crate::plan::Level;
use crate::text::{LONGEST_SIDE, Line, TextError};

impl Reader {
    /// Where a level stands over the one below: columns and rows before its drawing.
    pub(super) fn offset(&mut self, line: &Line, name: &str, value: &Value<'_>) {
        if self.offsets.iter().any(|(other, ..)| other == name) {
            let message = format!("the offset of level \"{name}\" is already given");
            self.errors.push(line.error(1, line.chars.len(), &message, "give it once"));
            return;
        }
        let numbers: Vec<Option<usize>> = value.text.split_whitespace().map(|word| word.parse().ok()).collect();
        match numbers[..] {
            [Some(columns), Some(rows)] if columns.max(rows) <= LONGEST_SIDE => {
                let fault = value.error("", "");
                self.offsets.push((name.to_owned(), (columns, rows), fault));
            }
            _ => {
                let message = format!("\"{}\" is not an offset", value.text);
                let help = "write two whole numbers of modules from 0 to 200, such as \"offset loft: 2 1\": columns to \
                            the east and rows to the south";
                self.errors.push(value.error(&message, help));
            }
        }
    }

    /// The levels where their offsets put them.
    pub(super) fn moved(&mut self, levels: Vec<Level>) -> Vec<Level> {
        for (name, _, place) in &self.offsets {
            if !self.drawings.iter().any(|(other, ..)| other == name) {
                let message = format!("there is no level \"{name}\" to move");
                let help = "write the level's name as in its own line: \"offset loft: 2 1\" for \"level loft:\"".into();
                self.errors.push(TextError { message, help, ..place.clone() });
            }
        }
        let mut place = |level: Level| {
            let Some((_, offset, place)) = self.offsets.iter().find(|(name, ..)| *name == level.name) else {
                return level;
            };
            let (width, height) = (level.width + offset.0, level.height + offset.1);
            if width.max(height) > LONGEST_SIDE {
                let message = format!(
                    "with its offset, level \"{}\" reaches over {width} x {height} cells, not up to {LONGEST_SIDE}",
                    level.name
                );
                let help = "move it less far, or the level below to the west or north".into();
                self.errors.push(TextError { message, help, ..place.clone() });
                return level;
            }
            level.moved(*offset)
        };
        levels.into_iter().map(&mut place).collect()
    }
}
