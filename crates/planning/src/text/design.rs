//! The value of a `wall` statement: the name of a design and what it is to be like.

use flatwright_geometry::units::Mm;

use super::{Said, Spot};
use crate::plan::{Filler, Side};

/// The wall without any design.
pub(super) const PLAIN: &str = "plain";
/// The wall that fills a part of an edge.
const FILLER: &str = "filler";

/// How to write a design.
pub(super) const HELP: &str = "write \"plain\", \"door 26 mm x 38 mm, hinge left\", \"arch 30 mm x 42 mm\", \
    \"window 20 mm x 15 mm, sill 18 mm, arched\", \"bars 24 mm x 20 mm, sill 15 mm, count 4, bar 2 mm\" or \"low 20 mm\", \
    or the name of another design and its values; \", over 2\" makes it two modules long; \"filler 2/3, at west\" hangs in the post at that end and ends before the other";

/// A design as it is called.
#[derive(Clone, Debug)]
pub(super) struct Called {
    pub name: (String, Spot),
    pub values: Vec<Said>,
    /// Modules along the wall.
    pub span: u32,
    /// Whether the text says so.
    pub over: bool,
    /// How much of an edge it fills, where it hangs in one post only.
    pub filler: Option<Filler>,
}

/// Reads `door 26 mm x 38 mm, hinge left, over 2`, which begins at a line and a column.
pub(super) fn read(text: &str, line: usize, column: usize) -> Result<Called, String> {
    of_parts(text, &text.split(',').map(str::trim).collect::<Vec<_>>(), (line, column))
}

/// The same for parts of a text, as they stand between its commas.
pub(super) fn of_parts(text: &str, parts: &[&str], (line, column): (usize, usize)) -> Result<Called, String> {
    let spot = |part: &str| Spot { line, column: column + before(text, part), length: part.chars().count() };
    let mut parts = parts.iter().copied();
    let head = parts.next().unwrap_or("");
    if head.split_whitespace().next() == Some(FILLER) {
        let filler = Some(filler(head, parts)?);
        return Ok(Called { name: (head.to_owned(), spot(head)), values: Vec::new(), span: 1, over: false, filler });
    }
    // The name runs up to the first number.
    let size = head.split_whitespace().find(|word| word.starts_with(|c: char| c.is_ascii_digit() || c == '.'));
    let size = size.map_or(&head[head.len()..], |word| &head[offset(head, word)..]);
    let name = head[..head.len() - size.len()].trim_end();
    let mut values = Vec::new();
    let mut say = |key: &str, value: &str, at: Spot| {
        if values.iter().any(|said: &Said| said.key == key) {
            return Err(format!("\"{key}\" is given twice"));
        }
        values.push(Said { key: key.to_owned(), value: value.to_owned(), at });
        Ok(())
    };
    let sides: Vec<&str> = if size.is_empty() { Vec::new() } else { size.split(" x ").map(str::trim).collect() };
    let keys: &[&str] = match sides.len() {
        0 => &[],
        1 => &["height"],
        2 => &["width", "height"],
        _ => return Err(format!("\"{size}\" has more than a width and a height")),
    };
    for (key, side) in keys.iter().zip(&sides) {
        side.parse::<Mm>().map_err(|error| error.to_string())?;
        say(key, side, spot(side))?;
    }
    let needed: &[&str] = match name {
        "door" | "arch" | "window" | "bars" => &["width", "height"],
        "low" => &["height"],
        "" => return Err(format!("\"{head}\" names no wall design")),
        _ => &[],
    };
    if !needed.iter().all(|key| keys.contains(key)) {
        return Err(format!("\"{head}\" has no {}", needed.join(" and ")));
    }
    let (mut span, mut over) = (1, false);
    for part in parts {
        let (key, value) = part.split_once(char::is_whitespace).map_or((part, ""), |(key, value)| (key, value.trim()));
        if key.is_empty() {
            return Err("there is nothing between two commas".into());
        }
        if key == "over" {
            let modules = value.parse::<u32>().ok().filter(|n| (1..=20).contains(n));
            over = true;
            span = modules.ok_or_else(|| format!("\"{value}\" is not a number of modules"))?;
        } else if name == PLAIN {
            return Err(format!("\"{part}\" means nothing for a design \"{name}\""));
        } else {
            say(key, value, spot(if value.is_empty() { key } else { value }))?;
        }
    }
    // What a plan means where it does not say so is not what the files of the designs mean.
    let usual: &[(&str, &str)] = match name {
        "window" => &[("sill", "15 mm")],
        "bars" => &[("sill", "15 mm"), ("count", "3")],
        _ => &[],
    };
    for (key, value) in usual {
        if !values.iter().any(|said| said.key == *key) {
            values.push(Said { key: (*key).to_owned(), value: (*value).to_owned(), at: spot(name) });
        }
    }
    Ok(Called { name: (name.to_owned(), spot(name)), values, span, over, filler: None })
}

/// Reads `filler 2/3` and `at west`.
fn filler<'a>(head: &str, mut parts: impl Iterator<Item = &'a str>) -> Result<Filler, String> {
    let size = head.split_once(char::is_whitespace).map_or("", |(_, size)| size.trim());
    let thirds = match size {
        "1/3" => 1,
        "2/3" => 2,
        _ => return Err(format!("a filler fills 1/3 or 2/3 of an edge, not \"{size}\"")),
    };
    let sides =
        [("at west", Side::West), ("at east", Side::East), ("at north", Side::North), ("at south", Side::South)];
    let said = parts.next().unwrap_or("");
    let side = sides.into_iter().find(|(word, _)| said.split_whitespace().eq(word.split_whitespace()));
    match (side, parts.next()) {
        (Some((_, side)), None) => Ok(Filler { thirds, side }),
        (Some(_), Some(more)) => Err(format!("\"{more}\" means nothing for a filler")),
        (None, _) => Err("a filler says where it hangs: at west, at east, at north or at south".into()),
    }
}

/// Bytes from the beginning of a text to a part of it.
fn offset(text: &str, part: &str) -> usize {
    (part.as_ptr() as usize).saturating_sub(text.as_ptr() as usize).min(text.len())
}

/// Characters before a part of a text.
fn before(text: &str, part: &str) -> usize {
    text.get(..offset(text, part)).map_or(0, |text| text.chars().count())
}
