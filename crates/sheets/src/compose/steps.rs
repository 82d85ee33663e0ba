//! The steps of building, as the packer and the pages see them.

use flatwright_nesting::order::StepNeeds;

use super::unit::Group;
use super::{BuildStep, Settings, SheetRecord};

/// The steps of a group: all of them, or those of its bag.
pub(super) fn of_group(group: &Group, settings: &Settings) -> Vec<usize> {
    let here = |step: &usize| group.bag.is_none_or(|bag| bag == settings.steps[*step].bag);
    (0..settings.steps.len()).filter(here).collect()
}

/// What each of some steps needs of a group: both halves of a piece that is split.
pub(super) fn needs(group: &Group, settings: &Settings, steps: &[usize]) -> Vec<StepNeeds> {
    let of = |&(part, copies): &(usize, u32)| {
        let units = group.units.iter().enumerate().filter(move |(_, unit)| unit.flat.part == part);
        units.map(move |(unit, _)| (unit, copies))
    };
    steps.iter().map(|step| settings.steps[*step].pieces.iter().flat_map(of).collect()).collect()
}

/// Such as `step 4: Row 2` or `steps 4 to 6`, whose names stand on the cover.
pub(super) fn named(steps: &[BuildStep], (first, last): (usize, usize)) -> String {
    match steps.get(first) {
        Some(step) if first == last => format!("step {}: {}", first + 1, step.name),
        _ => format!("steps {} to {}", first + 1, last + 1),
    }
}

/// A row for each step with pages: its number, its name, and the pages that serve it.
pub(super) fn rows(settings: &Settings, sheets: &[SheetRecord]) -> Vec<Vec<String>> {
    let row = |(index, step): (usize, &BuildStep)| {
        let bag = settings.bags.get(step.bag).map(|bag| &bag.name);
        let serves = |record: &&SheetRecord| {
            record.bag.as_ref() == bag
                && record.steps.is_some_and(|(first, last)| (first..=last).contains(&index))
                && record.placements.iter().any(|placed| step.pieces.iter().any(|(part, _)| *part == placed.part))
        };
        let pages: Vec<usize> = sheets.iter().filter(serves).map(|record| record.page + 1).collect();
        vec![(index + 1).to_string(), step.name.clone(), ranges(&pages)]
    };
    settings.steps.iter().enumerate().map(row).filter(|row| !row[2].is_empty()).collect()
}

/// Numbers in rising order, such as `3 to 8, 20`.
pub(super) fn ranges(numbers: &[usize]) -> String {
    let runs = numbers.chunk_by(|a, b| a + 1 == *b).map(|run| match run {
        [first, .., last] => format!("{first} to {last}"),
        _ => run.iter().map(ToString::to_string).collect(),
    });
    runs.collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_that_follow_each_other_are_a_range() {
        assert_eq!(ranges(&[]), "");
        assert_eq!(ranges(&[3, 4, 5, 8, 20, 21]), "3 to 5, 8, 20 to 21");
    }
}
