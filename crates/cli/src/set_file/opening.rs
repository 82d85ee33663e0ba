//! What the set file says about what is cut into a wall.

use jsonc_parser::ast::Value;

use super::Flag;
use super::reader::{Read, Reader, listed, record, word};
use super::values::{Count, Length};

/// What is cut into a wall: an object with one key that names the opening.
#[derive(Clone, Debug, schemars::JsonSchema)]
#[schemars(rename_all = "lowercase")]
pub enum Opening {
    /// A door with a leaf that swings.
    Door(Door),
    /// A passage with a round top.
    Arch(Arch),
    /// A window.
    Window(Window),
    /// Upright bars in an opening.
    Bars(Bars),
    /// A wall that is lower than the others.
    Low(Low),
}

impl Read for Opening {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        const WORDS: [&str; 5] = ["door", "arch", "window", "bars", "low"];
        let before = reader.found();
        let fields = reader.fields(value, &WORDS, "such as {\"door\": {}}")?;
        if reader.found() > before {
            return None;
        }
        let present: Vec<&str> = WORDS.into_iter().filter(|word| fields.get(word).is_some()).collect();
        let [word] = present[..] else {
            let what = format!("has {} keys; it must have one", present.len());
            let help = format!("write one of {}, such as {{\"door\": {{}}}}", listed(&WORDS, "and"));
            reader.wrong(&fields.opening(), &what, "in here", &help);
            return None;
        };
        match word {
            "door" => fields.take(word, reader).map(Self::Door),
            "arch" => fields.take(word, reader).map(Self::Arch),
            "window" => fields.take(word, reader).map(Self::Window),
            "bars" => fields.take(word, reader).map(Self::Bars),
            _ => fields.take(word, reader).map(Self::Low),
        }
    }
}

record! {
    /// A door with a leaf that swings.
    pub struct Door {
        /// Width of the opening. Default 25 mm.
        pub width: Option<Length>,
        /// Height of the opening. Default 40 mm.
        pub height: Option<Length>,
        /// The side at which the leaf hangs, seen from the front. Default "left".
        pub hinge: Option<Hinge>,
    }
}

word! {
    /// The side at which a door's leaf hangs.
    pub enum Hinge {
        /// At the left.
        Left = "left",
        /// At the right.
        Right = "right",
    }
}

record! {
    /// A passage with a round top.
    pub struct Arch {
        /// Width of the opening. Default 30 mm.
        pub width: Option<Length>,
        /// Height of the opening at its middle. Default 40 mm.
        pub height: Option<Length>,
    }
}

record! {
    /// A window.
    pub struct Window {
        /// Width of the opening. Default 20 mm.
        pub width: Option<Length>,
        /// Height of the opening. Default 20 mm.
        pub height: Option<Length>,
        /// Height of the sill above the floor. Default 18 mm.
        pub sill: Option<Length>,
        /// Whether its top is round. Default false.
        pub arched: Option<Flag>,
    }
}

record! {
    /// Upright bars in an opening.
    pub struct Bars {
        /// Width of the opening. Default 30 mm.
        pub width: Option<Length>,
        /// Height of the opening. Default 25 mm.
        pub height: Option<Length>,
        /// Height of the sill above the floor. Default 15 mm.
        pub sill: Option<Length>,
        /// Width of one bar. Default 2 mm.
        pub bar: Option<Length>,
        /// Number of bars, 1 to 40. Default 4.
        pub count: Option<Count<40>>,
    }
}

record! {
    /// A wall that is lower than the others.
    pub struct Low {
        /// Height of the wall's middle part above the floor.
        pub height: Length,
    }
}
