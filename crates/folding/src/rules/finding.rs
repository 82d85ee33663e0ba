//! What a check comes to: two numbers, how they must stand to each other, and by how much they do.

use std::fmt;

use flatwright_geometry::tolerance;
use flatwright_geometry::units::{Mm, plain, snapped};
use serde::{Serialize, Serializer};

/// One check of one piece, joint or place.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// The rule's name: one of [`super::RULES`].
    pub rule: &'static str,
    /// What was looked at.
    pub what: String,
    /// The two numbers, mm unless `what` says otherwise.
    pub numbers: (f64, f64),
    /// How the first must stand to the second.
    pub relation: Relation,
    /// How much is left before the rule breaks; negative by how much it is broken.
    pub margin: f64,
    /// Whether it holds.
    pub verdict: Verdict,
    /// What to change, where it fails and one change mends it.
    pub mend: Option<Mend>,
    /// More that is worth knowing, such as the joint if the kerf were left out.
    pub note: Option<String>,
}

/// How the first number must stand to the second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Relation {
    /// At least the second.
    AtLeast,
    /// At most the second.
    AtMost,
    /// Below the second by at least so much.
    Below(f64),
    /// Equal to the second.
    Equal,
}

impl fmt::Display for Relation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::AtLeast => f.write_str(">="),
            Self::AtMost => f.write_str("<="),
            Self::Below(by) => write!(f, "+ {} <=", plain(*by, 3)),
            Self::Equal => f.write_str("="),
        }
    }
}

impl Serialize for Relation {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// Whether a check holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// It fails.
    Fails,
    /// It holds.
    Holds,
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Fails => "FAILS",
            Self::Holds => "holds",
        })
    }
}

/// The change that makes a rule hold.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mend {
    /// What to change: a field of the parameters, or `arms` or `reliefs` of the piece in question.
    pub parameter: &'static str,
    /// The nearest value with which the rule holds.
    pub value: Value,
}

/// A value of a mend.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Value {
    /// A length, mm.
    Length(Mm),
    /// A number without a unit.
    Number(f64),
    /// Anything else.
    Text(String),
}

impl fmt::Display for Mend {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { parameter, value } = self;
        match value {
            Value::Length(length) => write!(f, "set {parameter} to {length}"),
            Value::Number(number) => write!(f, "set {parameter} to {}", plain(*number, 4)),
            Value::Text(text) => write!(f, "set {parameter} to {text}"),
        }
    }
}

impl fmt::Display for Finding {
    /// One sentence, and a second one for what mends it: `wall in slot, WA1: 5.3 >= 5.6 fails by 0.3; set ...`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (a, b) = (plain(self.numbers.0, 4), plain(self.numbers.1, 4));
        write!(f, "{}, {}: {a} {} {b} {}", self.rule, self.what, self.relation, self.verdict)?;
        write!(f, " by {}", plain(self.margin.abs(), 4))?;
        self.mend.as_ref().map_or(Ok(()), |mend| write!(f, "; {mend}"))
    }
}

impl Finding {
    fn new(rule: &'static str, what: impl Into<String>, a: f64, b: f64, relation: Relation) -> Self {
        let margin = match relation {
            Relation::AtLeast => a - b,
            Relation::AtMost => b - a,
            Relation::Below(by) => b - a - by,
            // Written so that a perfect fit has the margin 0, not -0.
            Relation::Equal => 0.0 - (a - b).abs(),
        };
        // A number that is none is no margin, so that fails too.
        let verdict = if margin >= -tolerance::FIT { Verdict::Holds } else { Verdict::Fails };
        let numbers = (snapped(a), snapped(b));
        Self { rule, what: what.into(), numbers, relation, margin: snapped(margin), verdict, mend: None, note: None }
    }

    pub(super) fn at_least(rule: &'static str, what: impl Into<String>, a: f64, b: f64) -> Self {
        Self::new(rule, what, a, b, Relation::AtLeast)
    }

    pub(super) fn at_most(rule: &'static str, what: impl Into<String>, a: f64, b: f64) -> Self {
        Self::new(rule, what, a, b, Relation::AtMost)
    }

    pub(super) fn below(rule: &'static str, what: impl Into<String>, a: f64, b: f64, by: f64) -> Self {
        Self::new(rule, what, a, b, Relation::Below(by))
    }

    pub(super) fn equal(rule: &'static str, what: impl Into<String>, a: f64, b: f64) -> Self {
        Self::new(rule, what, a, b, Relation::Equal)
    }

    pub(super) fn with_note(mut self, note: Option<String>) -> Self {
        self.note = note;
        self
    }

    pub(super) fn with_mend(mut self, mend: Option<Mend>) -> Self {
        self.mend = mend;
        self
    }

    /// Whether it holds.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.verdict == Verdict::Holds
    }
}
