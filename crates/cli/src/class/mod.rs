//! Class sets: the same kit many times.

mod book;
mod record;

use std::collections::BTreeSet;
use std::path::Path;

use flatwright_sheets::compose;

use crate::args::class::{CLASS, CLASS_SHEETS, ClassArgs, STACK};
use crate::import::{Given, MOST_PIECES, Set};
use crate::open::Input;
use crate::problem::{At, COMMAND_LINE, Problem, Problems, Spanned};
use crate::set_file::{ClassEntry, ClassSheets, Kits, Line, MOST_KITS, MOST_STACK, document};

pub use book::{FILE, book};
pub use record::ClassRecord;

/// The most sheets that are cut at once where nobody says how many.
pub const DEFAULT_STACK: u32 = 10;
/// Characters of a name that are too many to print.
const LONGEST: usize = 81;
/// The largest file of names, bytes.
pub const LARGEST: usize = 64 * 1024;

/// A class.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Class {
    /// The kits by their names or numbers, in the order of their bags.
    pub kits: Vec<String>,
    /// Whether all kits share their sheets.
    pub shared: bool,
    /// The most sheets that are cut at once.
    pub stack: u32,
}

impl Class {
    /// The kits as the composer takes them.
    #[must_use]
    pub fn kits(&self) -> compose::Kits {
        let number = u32::try_from(self.kits.len()).unwrap_or(u32::MAX);
        if self.shared { compose::Kits::Shared(number) } else { compose::Kits::Own(number) }
    }
}

impl Set {
    /// For how many kits the sheets are.
    #[must_use]
    pub fn kits(&self) -> compose::Kits {
        self.class.as_ref().map_or(compose::Kits::One, Class::kits)
    }

    /// The most sheets that are cut at once.
    #[must_use]
    pub fn stack(&self) -> u32 {
        self.class.as_ref().map_or(DEFAULT_STACK, |class| class.stack)
    }
}

/// The class of a set file.
pub(crate) fn of_set(entry: &ClassEntry, problems: &mut Vec<Problem>) -> Class {
    let kits = match &entry.kits.value {
        Kits::Number(number) => numbered(*number),
        Kits::Names(names) => {
            let names: Vec<Spanned<String>> = names
                .iter()
                .map(|Spanned { value: Line(name), at }| Spanned { value: name.trim().to_owned(), at: at.clone() })
                .collect();
            distinct(&names, problems);
            names.into_iter().map(|name| name.value).collect()
        }
    };
    Class {
        kits,
        shared: entry.sheets == Some(ClassSheets::Shared),
        stack: entry.stack.map_or(DEFAULT_STACK, |count| count.0),
    }
}

/// Gives a set the class that the command line asks for, and holds it to the limits.
///
/// # Errors
/// What cannot be read of the options, a file of names that cannot be, names that are there twice,
/// more pieces than can be laid out; all of it at once.
pub fn choose(set: &mut Set, asked: &ClassArgs) -> Result<(), Problems> {
    let given = Given::new(asked.given());
    let mut problems = Vec::new();
    let kits = given.get(CLASS).and_then(|value| kits(value, &mut problems));
    let sheets = given.get(CLASS_SHEETS).and_then(|value| {
        let word = ClassSheets::from_word(&value.value);
        if word.is_none() {
            let message = format!("{CLASS_SHEETS} cannot be \"{}\"", value.value);
            problems.push(Problem::new(message).at(&value.at, "here").help("it can be own or shared"));
        }
        word
    });
    let stack = given.get(STACK).and_then(|value| {
        let number = value.value.parse::<u32>().ok().filter(|number| (1..=MOST_STACK).contains(number));
        if number.is_none() {
            let message = format!("{STACK} \"{}\" is no number of sheets", value.value);
            problems.push(Problem::new(message).at(&value.at, "here").help(format!("give 1 to {MOST_STACK}")));
        }
        number
    });
    if let Some(kits) = kits {
        let former = set.class.take();
        let (shared, stack) = former.map_or((false, DEFAULT_STACK), |class| (class.shared, class.stack));
        set.class = Some(Class { kits, shared, stack });
    }
    match &mut set.class {
        Some(class) => {
            class.shared = sheets.map_or(class.shared, |sheets| sheets == ClassSheets::Shared);
            class.stack = stack.unwrap_or(class.stack);
        }
        None => {
            for name in [CLASS_SHEETS, STACK] {
                if let Some(value) = given.get(name).filter(|_| given.get(CLASS).is_none()) {
                    let problem = Problem::new(format!("{name} is for a class, and the set has none"));
                    problems.push(problem.at(&value.at, "here").help("add --class 30, or a \"class\" to the set file"));
                }
            }
        }
    }
    let pieces: u64 = set.pieces.iter().map(|piece| u64::from(piece.count)).sum();
    let all = pieces.saturating_mul(u64::from(set.kits().count()));
    if all > MOST_PIECES {
        let message = format!("{} kits have {all} pieces; at most {MOST_PIECES} can be laid out", set.kits().count());
        problems.push(Problem::new(message).help("make fewer kits at once"));
    }
    if problems.is_empty() { Ok(()) } else { Err(Problems::new(COMMAND_LINE, problems)) }
}

/// A number of kits, or the names in a file.
fn kits(given: &Spanned<String>, problems: &mut Vec<Problem>) -> Option<Vec<String>> {
    let value = given.value.trim();
    if value.chars().all(|c| c.is_ascii_digit()) {
        let number = value.parse::<u32>().ok().filter(|number| (1..=MOST_KITS).contains(number));
        if number.is_none() {
            let message = format!("{CLASS} \"{value}\" is no number of kits");
            let help = format!("give 1 to {MOST_KITS}, or a file with a name or number on each line");
            problems.push(Problem::new(message).at(&given.at, "here").help(help));
        }
        return number.map(numbered);
    }
    let read = Input::load(Path::new(value)).map_err(|found| {
        let help = format!("give 1 to {MOST_KITS}, or a file with a name or number on each line");
        found.into_list().into_iter().map(|problem| problem.at(&given.at, "here").help(&help)).collect()
    });
    match read.and_then(|input| names(&input.name, input.bytes).map_err(Problems::into_list)) {
        Ok(names) => Some(names),
        Err(found) => {
            problems.extend(found);
            None
        }
    }
}

/// The names in a file: one on each line, empty lines left out. `name` is what diagnostics call it.
///
/// # Errors
/// Bytes that are not text, no names or too many, names that are too long to print or there twice.
pub fn names(name: &str, bytes: Vec<u8>) -> Result<Vec<String>, Problems> {
    let source = document::text(name, bytes, "a list of names", LARGEST, "write a short name on each line")?;
    let mut problems = Vec::new();
    let mut names = Vec::new();
    for (index, line) in source.text.lines().enumerate() {
        // Some editors begin a file with a byte order mark.
        let value = line.trim_matches(|c: char| c.is_whitespace() || c == '\u{feff}');
        if value.is_empty() {
            continue;
        }
        let before = line.find(value).map_or(0, |byte| line[..byte].chars().count());
        let length = value.chars().count();
        let at = At::line(&source, index + 1, before + 1, length);
        if names.len() == MOST_KITS as usize {
            let problem = Problem::new(format!("{name} has more than {MOST_KITS} names"));
            problems.push(problem.at(&at, "here").help("make several class sets"));
            break;
        }
        let wrong = match length {
            LONGEST.. => Some(format!("a name has {length} characters; at most {} can be printed", LONGEST - 1)),
            _ if value.chars().any(char::is_control) => Some("a name has a tab or the like in it".to_owned()),
            _ => None,
        };
        if let Some(message) = wrong {
            problems.push(Problem::new(message).at(&at, "here").help("write one short name or number on each line"));
        }
        names.push(Spanned { value: value.to_owned(), at });
    }
    if names.is_empty() {
        problems.push(Problem::new(format!("{name} has no names")).help("write a name or number on each line"));
    }
    distinct(&names, &mut problems);
    if problems.is_empty() {
        Ok(names.into_iter().map(|name| name.value).collect())
    } else {
        Err(Problems::new(name, problems))
    }
}

/// Two bags of one name would be mixed up.
fn distinct(names: &[Spanned<String>], problems: &mut Vec<Problem>) {
    let mut seen: BTreeSet<&str> = BTreeSet::new();
    for Spanned { value, at } in names {
        if !seen.insert(value) {
            let problem = Problem::new(format!("two kits are called \"{value}\""));
            problems.push(
                problem.at(at, "again here").help("add an initial or a number, so that the bags can be told apart"),
            );
        }
    }
}

fn numbered(kits: u32) -> Vec<String> {
    (1..=kits).map(|number| number.to_string()).collect()
}

#[cfg(test)]
mod tests;
