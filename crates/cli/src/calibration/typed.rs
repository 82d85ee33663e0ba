//! Readings typed on the command line, in the place of the file's.

use flatwright_geometry::units::Mm;

use super::readings::{BoardReadings, CardReadings, PaperReadings, ReadingsFile};
use super::values::{MOST_READINGS, Reads};
use crate::problem::{At, COMMAND_LINE, Problem, Source, SourceText, Spanned};
use crate::set_file::Length;

/// Puts typed readings, `NAME=READING,READING`, in their places.
pub(super) fn apply(file: &mut ReadingsFile, typed: &[String], problems: &mut Vec<Problem>) {
    let text = typed.iter().map(|one| format!("--read '{one}'")).collect::<Vec<_>>().join(" ");
    let source = Source::new(SourceText { name: COMMAND_LINE.to_owned(), text });
    let mut start = 0;
    for one in typed {
        let begin = start + "--read '".len();
        let at = At { source: source.clone(), start: begin, end: begin + one.len() };
        start = at.end + "' ".len();
        let wrong = |message: String, help: &str| Problem::new(message).at(&at, "here").help(help);
        let Some((name, value)) = one.split_once('=') else {
            problems
                .push(wrong(format!("\"{one}\" is no reading"), "write a name, = and what was read, such as A=179.4"));
            continue;
        };
        let reads: Result<Vec<Mm>, Problem> = value
            .split(',')
            .map(|reading| reading_of(reading).map_err(|(what, help)| wrong(format!("\"{reading}\" {what}"), help)))
            .collect();
        let reads = reads.and_then(|reads| match reads.len() {
            0..=MOST_READINGS => Ok(reads),
            n => Err(wrong(format!("{n} readings of one length"), "give the best ones")),
        });
        match (place(file, name.trim()), reads) {
            (Some(place), Ok(reads)) => *place = Some(Spanned { value: Reads(reads), at }),
            (Some(_), Err(problem)) => problems.push(problem),
            (None, reads) => {
                let message = format!("nothing is called \"{}\" in the file of readings", name.trim());
                let help = "use a letter of the printer's page, or a stock and a key of it: card.slot, board.biscuit, paper.caliper";
                problems.push(wrong(message, help));
                problems.extend(reads.err());
            }
        }
    }
}

/// A length with its unit, or plain millimetres.
fn reading_of(text: &str) -> Result<Mm, (String, &'static str)> {
    let text = text.trim();
    let with_unit = if text.parse::<f64>().is_ok() { format!("{text} mm") } else { text.to_owned() };
    with_unit.parse::<Length>().map(|length| length.0)
}

/// Where a reading is kept.
fn place<'f>(file: &'f mut ReadingsFile, name: &str) -> Option<&'f mut Option<Spanned<Reads>>> {
    let Some((stock, key)) = name.split_once('.') else {
        let list = &mut file.printer.as_mut()?.value;
        let entry = list.iter_mut().find(|entry| entry.value.letter.value.0.eq_ignore_ascii_case(name))?;
        return Some(&mut entry.value.reads);
    };
    match stock {
        "paper" => {
            let PaperReadings { caliper, hole, piece, strips, .. } = file.paper.as_mut()?;
            pick([("caliper", caliper), ("hole", hole), ("piece", piece), ("strips", strips)], key)
        }
        "card" => {
            let CardReadings { caliper, hole, piece, strips, opening, slot, first_leg, second_leg, .. } =
                file.card.as_mut()?;
            let kerf = [("caliper", caliper), ("hole", hole), ("piece", piece), ("strips", strips)];
            let joints = [("opening", opening), ("slot", slot), ("first_leg", first_leg), ("second_leg", second_leg)];
            pick(kerf.into_iter().chain(joints), key)
        }
        "board" => {
            let BoardReadings { caliper, hole, piece, strips, opening, biscuit, .. } = file.board.as_mut()?;
            let all = [("caliper", caliper), ("hole", hole), ("piece", piece), ("strips", strips)];
            let all = all.into_iter().chain([("opening", opening), ("biscuit", biscuit)]);
            pick(all, key)
        }
        _ => None,
    }
}

type Place<'f> = (&'static str, &'f mut Option<Spanned<Reads>>);

fn pick<'f>(places: impl IntoIterator<Item = Place<'f>>, key: &str) -> Option<&'f mut Option<Spanned<Reads>>> {
    places.into_iter().find(|(name, _)| *name == key).map(|(_, place)| place)
}
