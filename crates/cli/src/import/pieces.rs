//! Entries of the set file to patterns.

use std::collections::BTreeMap;

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::Pattern;
use flatwright_geometry::pieces::opening::{HingeSide, Opening};
use flatwright_geometry::pieces::piece::Piece as Part;
use flatwright_geometry::pieces::post::{Arms, FACES, Feet, Post, QUADRANTS, Stand};
use flatwright_geometry::pieces::tile::{Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::units::Mm;

use super::Piece;
use crate::problem::{At, Problem, Spanned};
use crate::set_file::{self, Cells, Copies, Flag, Length, Line, PieceEntry, PostEntry, Rgb, WallEntry};

/// The most entries that a set may list.
const MOST_ENTRIES: usize = 1000;
/// The most pieces in a set, copies counted.
const MOST_PIECES: u64 = 1_000_000;

/// A part as often as it is wanted.
#[derive(Clone, Debug)]
struct Wanted {
    part: Part,
    count: u32,
    face: Option<Rgb>,
    label: Option<String>,
    label_on_face: bool,
}

impl Wanted {
    fn same_as(&self, other: &Self) -> bool {
        self.part.same_as(other.part)
            && self.face == other.face
            && self.label == other.label
            && self.label_on_face == other.label_on_face
    }
}

/// The pieces of all entries: equal ones joined, sorted by kind in the order of the file.
pub(super) fn pieces(
    entries: &Spanned<Vec<Spanned<PieceEntry>>>,
    p: &Parameters,
    problems: &mut Vec<Problem>,
) -> Vec<Piece> {
    let number = entries.value.len();
    if !(1..=MOST_ENTRIES).contains(&number) {
        let message = format!("`pieces` has {number} entries; a set has 1 to {MOST_ENTRIES}");
        let help = "list each different piece once and give its \"count\"";
        let mut start = entries.at.clone();
        start.end = start.start + 1;
        problems.push(Problem::new(message).at(&start, "this list").help(help));
        return Vec::new();
    }
    let mut joined: Vec<(Wanted, usize)> = Vec::new();
    let mut total = 0;
    for (index, entry) in entries.value.iter().enumerate() {
        for wanted in expand(index, entry, problems) {
            total += u64::from(wanted.count);
            match joined.iter_mut().find(|(other, _)| other.same_as(&wanted)) {
                // The total is checked below; a sum that saturates is far above it.
                Some((other, _)) => other.count = other.count.saturating_add(wanted.count),
                None => joined.push((wanted, index)),
            }
        }
    }
    if total > MOST_PIECES {
        let message = format!("the set has {total} pieces; at most {MOST_PIECES} can be laid out");
        problems.push(Problem::new(message).help("split the set into several"));
    }
    let mut made = Vec::new();
    for (wanted, index) in joined {
        let mut at = entries.value[index].at.clone();
        at.end = at.start + 1;
        match wanted.part.patterns(p) {
            Ok(patterns) => made.extend(patterns.into_iter().map(|pattern| (pattern, wanted.clone(), at.clone()))),
            Err(error) => {
                let message = format!("`pieces[{index}]` cannot be built: {error}");
                problems.push(Problem::new(message).at(&at, "this piece").help(error.help()));
            }
        }
    }
    numbered(made)
}

/// Sorted by kind, each with its identifier.
fn numbered(mut made: Vec<(Pattern, Wanted, At)>) -> Vec<Piece> {
    made.sort_by_key(|(pattern, ..)| pattern.kind);
    let mut last = BTreeMap::new();
    made.into_iter()
        .map(|(pattern, wanted, at)| {
            let number = last.entry(pattern.kind.letters()).and_modify(|n| *n += 1).or_insert(1u32);
            let id = format!("{}{number}", pattern.kind.letters());
            let Wanted { count, face, label, label_on_face, .. } = wanted;
            Piece { id, pattern, count, face, label, label_on_face, at }
        })
        .collect()
}

/// What one entry stands for.
fn expand(index: usize, entry: &Spanned<PieceEntry>, problems: &mut Vec<Problem>) -> Vec<Wanted> {
    let wanted = |part: Part, count: Option<Copies>, face: Option<Rgb>, label: &Option<Line>| Wanted {
        part,
        count: count.map_or(1, |count| count.0),
        face: face.filter(|_| part.shows()),
        label: label.as_ref().map(|label| label.0.clone()),
        label_on_face: false,
    };
    let on_face = |wanted: Wanted, flag: Option<Flag>| Wanted { label_on_face: flag.is_some_and(|f| f.0), ..wanted };
    match &entry.value {
        PieceEntry::Tile(e) => {
            let tile = tile_of(e.size, e.reliefs);
            let mut parts = vec![
                wanted(Part::Core(tile), e.count, None, &e.label),
                on_face(wanted(Part::Wrap(tile), e.count, e.face, &e.label), e.label_on_face),
            ];
            let pockets = e.pockets.map_or(4, |pockets| pockets.0);
            if pockets > 0 {
                // Pockets are all alike: they join those of other tiles and carry no tile's name.
                let mut pocket = wanted(Part::Pocket, e.count, None, &None);
                pocket.count = pocket.count.saturating_mul(pockets);
                parts.push(pocket);
            }
            parts
        }
        PieceEntry::TileCore(e) => vec![wanted(Part::Core(tile_of(e.size, e.reliefs)), e.count, None, &e.label)],
        PieceEntry::TileWrap(e) => {
            let wrap = wanted(Part::Wrap(tile_of(e.size, e.reliefs)), e.count, e.face, &e.label);
            vec![on_face(wrap, e.label_on_face)]
        }
        PieceEntry::CornerPocket(e) => vec![wanted(Part::Pocket, e.count, None, &e.label)],
        PieceEntry::Biscuit(e) => vec![wanted(Part::Biscuit, e.count, None, &e.label)],
        PieceEntry::Post(e) => {
            let Some(post) = post_of(index, e, problems) else { return Vec::new() };
            let sleeve = on_face(wanted(Part::Sleeve(post), e.count, e.face, &e.label), e.label_on_face);
            let under = if post.stand == Stand::BasePlate { &[Part::Plate, Part::Plug][..] } else { &[] };
            let under = under.iter().map(|part| wanted(*part, e.count, None, &None));
            std::iter::once(sleeve).chain(under).collect()
        }
        PieceEntry::Wall(e) => {
            vec![on_face(wanted(Part::Wall(wall_of(e)), e.count, e.face, &e.label), e.label_on_face)]
        }
    }
}

fn tile_of(Cells(across, along): Cells, reliefs: Option<set_file::Reliefs>) -> Tile {
    let reliefs = match reliefs {
        Some(set_file::Reliefs::EveryModule) => Reliefs::EveryModule,
        Some(set_file::Reliefs::Corners) | None => Reliefs::Corners,
    };
    Tile { across, along, reliefs }
}

fn post_of(index: usize, entry: &PostEntry, problems: &mut Vec<Problem>) -> Option<Post> {
    let bit = |member: Option<usize>| member.map_or(0, |member| 1 << member);
    let arms = "NESW".chars().zip(entry.arms.on).filter(|(_, on)| *on);
    let arms = Arms::from_bits(arms.fold(0, |bits, (face, _)| bits | bit(FACES.iter().position(|f| *f == face))));
    let stand = match (&entry.feet, entry.base) {
        (Some(feet), Some(_)) => {
            let message = format!("`pieces[{index}]` is a post with feet and a base plate");
            let help = "leave out \"feet\" for a post on a plate, or \"base\" for one between tiles";
            problems.push(Problem::new(message).at(&feet.at, "and a base too").help(help));
            return None;
        }
        (None, Some(set_file::Base::Plate)) => Stand::BasePlate,
        (feet, None) => {
            let corners = feet.iter().flat_map(|feet| &feet.value.0);
            let quadrant = |corner: &set_file::Corner| QUADRANTS.iter().position(|name| *name == corner.word());
            Stand::Feet(Feet::from_bits(corners.fold(0, |bits, corner| bits | bit(quadrant(corner)))))
        }
    };
    Some(Post { arms, stand })
}

fn wall_of(entry: &WallEntry) -> Wall {
    let or = |length: Option<Length>, default: f64| length.map_or(Mm::new(default), |length| length.0);
    let opening = entry.opening.as_ref().map(|opening| match &opening.value {
        set_file::Opening::Door(e) => Opening::Door {
            width: or(e.width, 25.0),
            height: or(e.height, 40.0),
            hinge: match e.hinge {
                Some(set_file::Hinge::Right) => HingeSide::Right,
                Some(set_file::Hinge::Left) | None => HingeSide::Left,
            },
        },
        set_file::Opening::Arch(e) => Opening::Arch { width: or(e.width, 30.0), height: or(e.height, 40.0) },
        set_file::Opening::Window(e) => Opening::Window {
            width: or(e.width, 20.0),
            height: or(e.height, 20.0),
            sill: or(e.sill, 18.0),
            arched: e.arched.is_some_and(|flag| flag.0),
        },
        set_file::Opening::Bars(e) => Opening::Bars {
            width: or(e.width, 30.0),
            height: or(e.height, 25.0),
            sill: or(e.sill, 15.0),
            count: e.count.map_or(4, |count| count.0),
            bar: or(e.bar, 2.0),
        },
        set_file::Opening::Low(e) => Opening::Low { height: e.height.0 },
    });
    Wall { span: entry.span.modules(), opening }
}
