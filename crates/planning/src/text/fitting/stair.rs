//! Flights, half landings and markers.

use flatwright_geometry::pieces::stair::{Climb, Flight, LONGEST, Landing, MOST_STEPS, Marker};

use super::Value;
use crate::fittings::Form;
use crate::text::{Spot, TextError};

impl Value<'_, '_> {
    /// The way up or down, as a turn from the east.
    pub(super) fn way(&mut self, word: &str) -> f64 {
        let ways = [("east", 0.0), ("north", 90.0), ("west", 180.0), ("south", 270.0)];
        let told = self.errors.len();
        let said = self.take(word);
        let way = said.as_ref().and_then(|said| ways.iter().find(|(way, _)| *way == said.value));
        match (way, said) {
            (Some((_, turn)), _) => return *turn,
            (None, Some(said)) => {
                let help = "write east, north, west or south";
                self.said_wrong(&said, &format!("\"{}\" is not a way", said.value), help);
            }
            (None, None) if self.errors.len() == told => {
                self.wrong(self.text, &format!("it does not say which way {word} it leads"));
            }
            (None, None) => {}
        }
        0.0
    }

    /// Modules along a stair; without it one.
    pub(super) fn run(&mut self) -> (u32, u32) {
        (self.number("run", LONGEST).unwrap_or(1), self.number("wide", LONGEST).unwrap_or(1))
    }

    pub(super) fn flight(&mut self) -> Form {
        let (run, wide) = self.run();
        let steps = self.number("steps", MOST_STEPS).unwrap_or_else(|| Flight::usual_steps(run).min(MOST_STEPS));
        let climb = match self.take("climb") {
            None => Climb::Whole,
            Some(said) => match said.value.as_str() {
                "whole" => Climb::Whole,
                "lower" => Climb::Lower,
                "upper" => Climb::Upper,
                _ => {
                    let help = "write \"climb lower\" for a flight to a half landing, \"climb upper\" for one from it";
                    self.said_wrong(&said, &format!("\"{}\" is no part of the way up", said.value), help);
                    Climb::Whole
                }
            },
        };
        Form::Flight(Flight { run, wide, steps, climb })
    }

    pub(super) fn landing(&mut self) -> Form {
        let (head, spot) = self.head();
        let side = |text: &str| text.trim().parse::<u32>().ok().filter(|side| (1..=LONGEST).contains(side));
        let size = head.split_once('x').and_then(|(a, b)| Some((side(a)?, side(b)?)));
        if size.is_none() {
            let message = format!("\"{head}\" is not a landing's size, 1 to {LONGEST} modules along each side");
            let Spot { line, column, length } = spot;
            self.errors.push(TextError { line, column, length, message, help: self.kind.help().into() });
        }
        Form::Landing(Landing { size: size.unwrap_or((1, 1)) })
    }

    pub(super) fn marker(&mut self) -> Form {
        let (run, wide) = self.run();
        Form::Marker(Marker { run, wide })
    }
}
