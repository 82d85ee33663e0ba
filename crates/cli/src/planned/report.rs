//! What a run tells of a plan on the terminal and in the guide.

use flatwright_geometry::parameters::Parameters;
use flatwright_planning::fittings::roofs::RoofDesign;
use flatwright_planning::plan::Level;
use flatwright_planning::strength::Advice;
use flatwright_planning::tiling::Fewest;
use flatwright_sheets::guide::ShoppingLine;

use super::{LevelWork, Planned};

/// What is proved of each level's tiles, one line each.
#[must_use]
pub fn proof(planned: &Planned) -> Vec<String> {
    let levels = planned.plan.levels.iter().zip(&planned.levels);
    levels
        .map(|(level, work)| {
            let cover = &work.cover;
            let mut told = vec![fewest(cover.fewest, "tile")];
            let turns = work.build.turn_tiles.len();
            if turns > 0 {
                told.push(format!("{turns} tile{} of turns, as drawn", if turns == 1 { "" } else { "s" }));
            }
            if planned.has_stock {
                told.push(fewest(cover.new_tiles, "new tile"));
            }
            told.push(fewest(cover.straight_seams, "straight seam"));
            if cover.least_board {
                told.push("least board: proved".to_owned());
            }
            format!("level \"{}\": {}", level.name, told.join("; "))
        })
        .collect()
}

fn fewest(count: Fewest, what: &str) -> String {
    let plural = if count.found == 1 { "" } else { "s" };
    let found = format!("{} {what}{plural}", count.found);
    match (count.is_exact(), count.found) {
        (true, 0) => format!("no {what}"),
        (true, _) => format!("{found}: proved fewest"),
        (false, _) => format!("{found}: at least {} are needed", count.at_least),
    }
}

/// What stands free on each level, and which roofs lie on it; one line each, none where nothing does.
#[must_use]
pub fn fittings(planned: &Planned) -> Vec<String> {
    let levels = planned.plan.levels.iter().zip(&planned.levels);
    let line = |(level, work): (&Level, &LevelWork)| {
        let fittings = work.build.fittings.iter().filter_map(|place| planned.plan.fittings.get(place.design));
        let roofs = work.build.roofs.iter().filter_map(|place| planned.plan.roofs.get(place.design));
        let mut counts: Vec<(String, usize)> = Vec::new();
        for name in fittings.map(|design| design.name.clone()).chain(roofs.map(RoofDesign::name)) {
            match counts.iter_mut().find(|(known, _)| *known == name) {
                Some((_, count)) => *count += 1,
                None => counts.push((name, 1)),
            }
        }
        let counts: Vec<String> = counts.iter().map(|(name, count)| format!("{count} of {name}")).collect();
        (!counts.is_empty()).then(|| format!("level \"{}\": {}", level.name, counts.join(", ")))
    };
    levels.filter_map(line).collect()
}

/// Where to lift, what is weak and what would help, what levels carry, a sentence or two each.
#[must_use]
pub fn strength(planned: &Planned, p: &Parameters) -> Vec<String> {
    let several = planned.levels.len() > 1;
    let levels = planned.plan.levels.iter().zip(&planned.levels).zip(planned.loads(p));
    levels
        .flat_map(|((level, work), load)| {
            // Of the ways to make two tiles one, a few are enough.
            let merges = work.advice.iter().filter(|advice| matches!(advice, Advice::Merge { .. })).take(2);
            let others = work.advice.iter().filter(|advice| !matches!(advice, Advice::Merge { .. }));
            let advice = others.chain(merges).map(ToString::to_string);
            advice.chain(load.map(|load| load.to_string())).map(move |text| match several {
                true => format!("Level \"{}\": {text}", level.name),
                false => text,
            })
        })
        .collect()
}

/// The shopping list as lines.
#[must_use]
pub fn shopping(lines: &[ShoppingLine]) -> Vec<String> {
    let line = |line: &ShoppingLine| {
        let about = [Some(line.quantity.as_str()), line.price.as_deref()];
        let about: Vec<&str> = about.into_iter().flatten().filter(|text| !text.is_empty()).collect();
        let note = if line.note.is_empty() { String::new() } else { format!(" ({})", line.note) };
        format!("{}: {}{note}", line.what, about.join(", "))
    };
    lines.iter().map(line).collect()
}
