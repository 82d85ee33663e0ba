//! What the set file says about a class: how many kits, and whose.

use jsonc_parser::ast::Value;
use jsonc_parser::common::Range;

use super::reader::{Read, Reader, record, word};
use super::values::{Count, Line};
use crate::problem::Spanned;

/// The most kits of a class.
pub const MOST_KITS: u32 = 200;
/// The most sheets that are cut at once.
pub const MOST_STACK: u32 = 500;

record! {
    /// A class set: the same kit many times, one for each child or group.
    pub struct ClassEntry {
        /// How many kits, such as 30, or a list with a name or number for each: ["Ada", "Ben", "7"].
        /// They are printed on the bags' labels and nowhere else; first names or numbers are enough.
        pub kits: Spanned<Kits>,
        /// Whether every kit has sheets of its own. Default "own".
        pub sheets: Option<ClassSheets>,
        /// How many sheets your trimmer takes at once. Default 10.
        pub stack: Option<Count<MOST_STACK>>,
    }
}

word! {
    /// How the kits of a class use sheets.
    pub enum ClassSheets {
        /// Every kit has sheets of its own, to hand out as they are.
        Own = "own",
        /// All kits share their sheets, which takes the fewest; pieces are sorted once they are cut.
        Shared = "shared",
    }
}

/// How many kits, or whose they are.
#[derive(Clone, Debug)]
pub enum Kits {
    /// So many, numbered from 1.
    Number(u32),
    /// One for each name or number.
    Names(Vec<Spanned<Line>>),
}

impl Read for Kits {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        match value {
            Value::NumberLit(_) => Count::<MOST_KITS>::read(value, reader).map(|count| Self::Number(count.0)),
            Value::Array(array) => {
                let number = array.elements.len();
                if !(1..=MOST_KITS as usize).contains(&number) {
                    let bracket = Range::new(array.range.start, array.range.start + 1);
                    let what = format!("has {number} names; a class can have 1 to {MOST_KITS}");
                    reader.wrong(&bracket, &what, "this list", "give a name or number for each kit");
                    return None;
                }
                Vec::read(value, reader).map(Self::Names)
            }
            _ => {
                let help = "write 30, or a list with a name or number for each kit: [\"Ada\", \"Ben\", \"7\"]";
                reader.mismatch(value, "a number of kits or a list of names", help);
                None
            }
        }
    }
}

impl schemars::JsonSchema for Kits {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Kits".into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        let (number, name) = (generator.subschema_for::<Count<MOST_KITS>>(), generator.subschema_for::<Line>());
        schemars::json_schema!({
            "anyOf": [number, { "type": "array", "items": name, "minItems": 1, "maxItems": MOST_KITS, "uniqueItems": true }],
        })
    }
}
