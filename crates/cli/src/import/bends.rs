//! Bends of the list of pieces to those of the geometry.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::bend::{Bend, BendForm, TurnPart, TurnTile};

use crate::problem::{At, Problem};
use crate::set_file::{BendWord, TurnTileEntry, TurnWord};

pub(super) fn bend_of(reach: u32, form: Option<BendWord>) -> Bend {
    let form = match form {
        Some(BendWord::Diagonal) => BendForm::Diagonal,
        Some(BendWord::Round) | None => BendForm::Round,
    };
    Bend { form, reach }
}

/// The tile of an entry; `None` where it cannot be built, which is told once for all of its parts.
pub(super) fn turn_tile_of(
    entry: &TurnTileEntry,
    p: &Parameters,
    (name, at): (&str, &At),
    problems: &mut Vec<Problem>,
) -> Option<TurnTile> {
    let part = match (entry.part, &entry.inner) {
        (TurnWord::Fan, None) => TurnPart::Fan,
        (TurnWord::Spandrel, None) => TurnPart::Spandrel,
        (TurnWord::Ring, Some(inner)) => TurnPart::Ring(inner.value.0),
        (TurnWord::Ring, None) => {
            let help = "give the reach of the bend inside it, such as \"inner\": 1";
            problems.push(Problem::new(format!("{name} is a ring without \"inner\"")).at(at, "this piece").help(help));
            return None;
        }
        (other, Some(inner)) => {
            let message = format!("{name} is a {} with an \"inner\" reach", other.word());
            let help = "leave \"inner\" out, or write \"part\": \"ring\"";
            problems.push(Problem::new(message).at(&inner.at, "here").help(help));
            return None;
        }
    };
    let tile = TurnTile { bend: bend_of(entry.reach.0, entry.form), part };
    match tile.check(p) {
        Ok(()) => Some(tile),
        Err(error) => {
            let message = format!("{name} cannot be built: {error}");
            problems.push(Problem::new(message).at(at, "this piece").help(error.help()));
            None
        }
    }
}
