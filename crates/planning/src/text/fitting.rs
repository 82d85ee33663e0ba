//! The values of the statements that give fittings their letters.

mod stair;

use flatwright_geometry::pieces::pillar;
use flatwright_geometry::units::{Mm, plain};

use super::{FittingCall, Line, Said, Spot, TextError, design};
use crate::fittings::{FittingBody, FittingDesign, Form};

/// A kind of fitting, with the key of its statement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Prop,
    Pillar,
    FreeWall,
    Stair,
    HalfLanding,
    StairMarker,
    /// Over a level; it has no letter.
    Roof,
}

impl Kind {
    const ALL: [(&'static str, Self); 6] = [
        ("prop", Self::Prop),
        ("pillar", Self::Pillar),
        ("free-wall", Self::FreeWall),
        ("stair", Self::Stair),
        ("half-landing", Self::HalfLanding),
        ("stair-marker", Self::StairMarker),
    ];

    pub fn of_key(key: &str) -> Option<Self> {
        Self::ALL.iter().find(|(word, _)| *word == key).map(|(_, kind)| *kind)
    }

    /// How to write one.
    pub const fn help(self) -> &'static str {
        match self {
            Self::Prop => "write the prop's name and its values, such as \"crate, width 20 mm, turned 30\"",
            Self::Pillar => {
                "write it like \"8 sides, across 24 mm\", and \", height 40 mm\" where it is not as high as the walls"
            }
            Self::FreeWall => {
                "write it like \"2/3\", \"1, along north\" or \"2/3, arch 20 mm x 30 mm\"; \"wall A\" takes the design of wall A"
            }
            Self::Stair => {
                "write it like \"up east, run 1\", and \", wide 2\", \", steps 3\", \", climb lower\" or \", climb upper\" where you need them"
            }
            Self::HalfLanding => "write its modules to the east and to the south, such as \"1 x 2\"",
            Self::Roof => {
                "write it like \"hip\", \"gable, pitch 30 deg, overhang 4 mm, skirt outside\", \"lean-to\" or \"flat, over 0 0 3 2\""
            }
            Self::StairMarker => "write it like \"down east, run 1\", and \", wide 2\" where it is wider than a module",
        }
    }
}

/// A fitting as read.
pub(super) struct Read {
    pub design: FittingDesign,
    /// The design that it calls, if any: a prop, or what is cut into a free-standing wall.
    pub call: Option<Called>,
}

/// What a fitting calls.
pub(super) enum Called {
    /// A prop or a wall design.
    Named(FittingCall),
    /// The design of a wall's letter, and where it is written.
    Wall(char, Spot),
}

/// Reads the value of a statement, which stands at a column of a line; what is wrong goes to `errors`.
pub(super) fn read(
    kind: Kind,
    letter: char,
    line: &Line,
    (column, text): (usize, &str),
    errors: &mut Vec<TextError>,
) -> Option<Read> {
    let before = errors.len();
    let mut value = Value::new(kind, line.number, column, text, errors);
    let turn = value.turn();
    let at = value.at();
    let face = value.face();
    let (name, form, call, turn) = match kind {
        Kind::Prop => {
            let (name, spot) = value.head();
            let call = FittingCall { design: 0, name: (name.clone(), spot), values: value.rest() };
            (name, Form::Prop, Some(Called::Named(call)), turn)
        }
        Kind::Pillar => (String::from("pillar"), value.pillar(), None, turn),
        Kind::FreeWall => {
            let (span, along, call) = value.free_wall();
            (String::from("free-standing wall"), Form::FreeWall(span), call, turn + along)
        }
        Kind::Stair => {
            let way = value.way("up");
            (String::from("stair"), value.flight(), None, way)
        }
        Kind::HalfLanding => (String::from("half landing"), value.landing(), None, 0.0),
        // It is read by itself.
        Kind::Roof => return None,
        Kind::StairMarker => {
            let way = value.way("down");
            (String::from("stair marker"), value.marker(), None, way)
        }
    };
    value.done();
    let design = FittingDesign { letter, name, form, turn, at, face, body: FittingBody::default() };
    (errors.len() == before).then_some(Read { design, call })
}

/// The parts between commas that are not used yet.
pub(super) struct Value<'a, 'e> {
    kind: Kind,
    line: usize,
    column: usize,
    text: &'a str,
    parts: Vec<&'a str>,
    errors: &'e mut Vec<TextError>,
}

impl<'a, 'e> Value<'a, 'e> {
    pub fn new(kind: Kind, line: usize, column: usize, text: &'a str, errors: &'e mut Vec<TextError>) -> Self {
        let mut value = Self { kind, line, column, text, parts: Vec::new(), errors };
        value.split();
        value
    }

    /// What covers it, and where that is written.
    pub fn face(&mut self) -> Option<(String, (usize, usize))> {
        self.take("face").map(|said| (said.value, (said.at.line, said.at.column)))
    }

    pub fn wrong_at(&mut self, Spot { line, column, length }: Spot, message: &str, help: &str) {
        self.errors.push(TextError { line, column, length, message: message.into(), help: help.into() });
    }

    fn split(&mut self) {
        self.parts = self.text.split(',').map(str::trim).collect();
        if self.parts.iter().any(|part| part.is_empty()) {
            self.wrong(self.text, "there is nothing between two commas, or after the last one");
            self.parts.retain(|part| !part.is_empty());
        }
    }

    fn spot(&self, part: &str) -> Spot {
        let before = (part.as_ptr() as usize).saturating_sub(self.text.as_ptr() as usize);
        let before = self.text.get(..before).map_or(0, |text| text.chars().count());
        Spot { line: self.line, column: self.column + before, length: part.chars().count().max(1) }
    }

    fn wrong(&mut self, part: &str, message: &str) {
        self.told(part, message, self.kind.help());
    }

    fn told(&mut self, part: &str, message: &str, help: &str) {
        let Spot { line, column, length } = self.spot(part);
        self.errors.push(TextError { line, column, length, message: message.into(), help: help.into() });
    }

    /// The first part.
    pub fn head(&mut self) -> (String, Spot) {
        let head = if self.parts.is_empty() { self.text } else { self.parts.remove(0) };
        (head.to_owned(), self.spot(head))
    }

    /// What is said by a part that begins with `key`, once.
    pub fn take(&mut self, key: &str) -> Option<Said> {
        let of_key = |part: &&str| part.split_whitespace().next() == Some(key);
        let at = self.parts.iter().position(of_key)?;
        let part = self.parts.remove(at);
        if let Some(again) = self.parts.iter().find(|part| of_key(part)).copied() {
            self.wrong(again, &format!("\"{key}\" is given twice"));
            self.parts.retain(|part| !of_key(part));
        }
        let value = part[key.len()..].trim();
        if value.is_empty() {
            self.wrong(part, &format!("\"{key}\" says nothing"));
            return None;
        }
        Some(Said { key: key.to_owned(), value: value.to_owned(), at: self.spot(value) })
    }

    fn said_wrong(&mut self, said: &Said, message: &str, help: &str) {
        self.wrong_at(said.at, message, help);
    }

    /// What is left, each with its key.
    fn rest(&mut self) -> Vec<Said> {
        let mut values: Vec<Said> = Vec::new();
        for part in std::mem::take(&mut self.parts) {
            let (key, value) = part.split_once(char::is_whitespace).map_or((part, ""), |(k, v)| (k, v.trim()));
            if values.iter().any(|said| said.key == key) {
                self.wrong(part, &format!("\"{key}\" is given twice"));
            }
            let at = self.spot(if value.is_empty() { key } else { value });
            values.push(Said { key: key.to_owned(), value: value.to_owned(), at });
        }
        values
    }

    /// What nobody asked for is told.
    pub fn done(&mut self) {
        for part in std::mem::take(&mut self.parts) {
            let word = part.split_whitespace().next();
            let stair = matches!(self.kind, Kind::Stair | Kind::HalfLanding | Kind::StairMarker);
            match word {
                Some("at" | "turned") if stair => {
                    let help = "it begins at the side of its letter's cell: move the letter, and turn it with its way";
                    self.told(part, "stairs stand from lattice line to lattice line", help);
                }
                _ => self.wrong(part, &format!("\"{part}\" means nothing here")),
            }
        }
    }

    fn turn(&mut self) -> f64 {
        if matches!(self.kind, Kind::Stair | Kind::HalfLanding | Kind::StairMarker) {
            return 0.0;
        }
        let Some(said) = self.take("turned") else { return 0.0 };
        let number = said.value.strip_suffix("deg").map_or(said.value.as_str(), str::trim_end);
        match number.parse::<f64>() {
            Ok(turn) if (-360.0..=360.0).contains(&turn) => turn,
            _ => {
                let help = "write degrees from -360 to 360, counterclockwise as seen from above, such as \"turned 90\"";
                self.said_wrong(&said, &format!("\"{}\" is not an angle", said.value), help);
                0.0
            }
        }
    }

    fn at(&mut self) -> Option<(f64, f64)> {
        if matches!(self.kind, Kind::Stair | Kind::HalfLanding | Kind::StairMarker) {
            return None;
        }
        let said = self.take("at")?;
        let part = |word: &str| word.parse::<f64>().ok().filter(|part| (0.0..=1.0).contains(part));
        let numbers: Vec<Option<f64>> = said.value.split_whitespace().map(part).collect();
        if let [Some(east), Some(south)] = numbers[..] {
            return Some((east, south));
        }
        let help = "write two parts of a module from 0 to 1, to the east and to the south of the cell's north-west \
                    corner, such as \"at 0.3 0.5\"";
        self.said_wrong(&said, &format!("\"{}\" is not a place in a cell", said.value), help);
        None
    }

    pub fn length(&mut self, key: &str) -> Option<Mm> {
        let said = self.take(key)?;
        match said.value.parse::<Mm>() {
            Ok(length) if (0.0..=LONGEST_LENGTH).contains(&length.get()) => Some(length),
            Ok(length) => {
                let help = format!("give 0 mm to {} mm", plain(LONGEST_LENGTH, 0));
                self.said_wrong(&said, &format!("{length} is out of range"), &help);
                None
            }
            Err(error) => {
                self.said_wrong(&said, &error.to_string(), error.help());
                None
            }
        }
    }

    fn number(&mut self, key: &str, most: u32) -> Option<u32> {
        let said = self.take(key)?;
        let number = said.value.parse::<u32>().ok().filter(|number| (1..=most).contains(number));
        if number.is_none() {
            let message = format!("\"{}\" is not a number from 1 to {most}", said.value);
            self.said_wrong(&said, &message, self.kind.help());
        }
        number
    }

    fn pillar(&mut self) -> Form {
        // `8 sides` reads better than `sides 8`.
        let counted = |part: &&str| part.split_whitespace().nth(1) == Some("sides");
        let mut sides = self.number("sides", *pillar::SIDES.end());
        if let Some(at) = self.parts.iter().position(counted) {
            let part = self.parts.remove(at);
            let number = part.split_whitespace().next().and_then(|word| word.parse::<u32>().ok());
            match number.filter(|number| pillar::SIDES.contains(number)) {
                Some(number) => sides = Some(number),
                None => {
                    let message =
                        format!("\"{part}\": a pillar has {} to {}", pillar::SIDES.start(), pillar::SIDES.end());
                    self.wrong(part, &message);
                }
            }
        }
        let told = self.errors.len();
        let across = self.length("across");
        if across.is_none() && self.errors.len() == told {
            self.wrong(self.text, "it has no \"across\"");
        }
        let height = self.length("height");
        Form::Pillar { sides: sides.unwrap_or(USUAL_SIDES), across: across.unwrap_or_default(), height }
    }

    /// The span, by how much its way turns it, and what is cut into it.
    fn free_wall(&mut self) -> (f64, f64, Option<Called>) {
        let (head, spot) = self.head();
        let span = span(&head);
        if span.is_none() {
            let message = format!("\"{head}\" is not a number of modules up to {LONGEST_WALL}");
            let Spot { line, column, length } = spot;
            let help = self.kind.help().into();
            self.errors.push(TextError { line, column, length, message, help });
        }
        let along = match self.take("along") {
            None => 0.0,
            Some(said) => match said.value.as_str() {
                "east" | "west" => 0.0,
                "north" | "south" => 90.0,
                _ => {
                    self.said_wrong(
                        &said,
                        &format!("\"{}\" is not a way", said.value),
                        "write \"along east\" or \"along north\"",
                    );
                    0.0
                }
            },
        };
        (span.unwrap_or(1.0), along, self.cut())
    }

    /// What is cut into a free-standing wall: all that is left.
    fn cut(&mut self) -> Option<Called> {
        if let Some(said) = self.take("wall") {
            let mut letters = said.value.chars();
            if let (Some(letter), None) = (letters.next(), letters.next()) {
                return Some(Called::Wall(letter, said.at));
            }
            let message = format!("\"{}\" is not the letter of a wall", said.value);
            self.said_wrong(&said, &message, self.kind.help());
            return None;
        }
        let parts = std::mem::take(&mut self.parts);
        let head = *parts.first()?;
        match design::of_parts(self.text, &parts, (self.line, self.column)) {
            Ok(read) if read.over => {
                self.wrong(head, "\"over\" means nothing here: its span stands at the beginning");
                None
            }
            Ok(read) if read.name.0 == design::PLAIN => None,
            Ok(read) => Some(Called::Named(FittingCall { design: 0, name: read.name, values: read.values })),
            Err(message) => {
                self.told(head, &message, design::HELP);
                None
            }
        }
    }
}

/// Sides of a pillar that says nothing of them.
const USUAL_SIDES: u32 = 8;
/// Longest length, mm, and longest free-standing wall, modules.
const LONGEST_LENGTH: f64 = 2000.0;
const LONGEST_WALL: u32 = 20;

/// `1`, `2/3`: modules.
fn span(text: &str) -> Option<f64> {
    let (above, below) = text.split_once('/').unwrap_or((text, "1"));
    let number = |text: &str| text.trim().parse::<u32>().ok().filter(|n| (1..100).contains(n));
    let span = f64::from(number(above)?) / f64::from(number(below)?);
    (span <= f64::from(LONGEST_WALL)).then_some(span)
}
