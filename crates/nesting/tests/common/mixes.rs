//! Ten mixes of terrain pieces, made of the construction rules' own patterns.
//!
//! Boards of 3, 5 and 10 mm, card and board walls, A4, A3, Letter, Tabloid and board sheets, two
//! sizes with a price each, sets for one table and for a class. Numbers of pieces are invented.

use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::Stock;
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::post::{Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::tile::{Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::units::Mm;
use flatwright_nesting::{Item, Job, SheetKind, Turns};
use kurbo::Rect;

/// A mix: what it is, and the job.
pub struct Mix {
    pub name: &'static str,
    pub job: Job,
}

const A4: (&str, f64, f64) = ("A4", 210.0, 297.0);
const A3: (&str, f64, f64) = ("A3", 297.0, 420.0);
const LETTER: (&str, f64, f64) = ("Letter", 215.9, 279.4);
const TABLOID: (&str, f64, f64) = ("Tabloid", 279.4, 431.8);
const PANEL: (&str, f64, f64) = ("board panel", 450.0, 600.0);
const LARGE_PANEL: (&str, f64, f64) = ("large board panel", 500.0, 700.0);

/// All ten.
pub fn mixes(seed: u64, effort: u32) -> Vec<Mix> {
    let thick = |board: f64| Parameters { board: Mm::new(board), ..Parameters::default() };
    let boarded = |board: f64| Parameters { walls: WallBuild::Board, ..thick(board) };
    let (paper, card, board) = ([Stock::Paper], [Stock::Card], [Stock::Board]);
    let all = [Stock::Paper, Stock::Card, Stock::Board];
    let mix = |name, p: &Parameters, stocks: &[Stock], times, sheets: &[(_, f64)]| Mix {
        name,
        job: job(p, stocks, times, sheets, seed, effort),
    };
    vec![
        mix("wraps on A4", &thick(5.0), &paper, 1, &[(A4, 1.0)]),
        mix("posts, walls and pockets on A4", &thick(5.0), &card, 1, &[(A4, 1.0)]),
        mix("the same for 3 mm board on Letter", &thick(3.0), &card, 1, &[(LETTER, 1.0)]),
        mix("the same for 10 mm board, for a class", &thick(10.0), &card, 20, &[(LETTER, 1.0)]),
        mix("cores and biscuits on panels", &thick(5.0), &board, 1, &[(PANEL, 1.0)]),
        mix("cores and board walls, 10 mm, for a class", &boarded(10.0), &board, 20, &[(LARGE_PANEL, 1.0)]),
        mix("wraps and facings on Tabloid", &boarded(5.0), &paper, 1, &[(TABLOID, 1.0)]),
        mix("wraps on Letter or Tabloid, by price", &thick(5.0), &paper, 3, &[(LETTER, 1.0), (TABLOID, 1.9)]),
        mix("posts and walls on A4 or A3, by price", &thick(5.0), &card, 3, &[(A4, 1.0), (A3, 1.8)]),
        mix("everything on A3", &thick(3.0), &all, 1, &[(A3, 1.0)]),
    ]
}

fn job(
    p: &Parameters,
    stocks: &[Stock],
    times: u32,
    sheets: &[((&str, f64, f64), f64)],
    seed: u64,
    effort: u32,
) -> Job {
    let items = pieces().into_iter().flat_map(|(piece, copies, turns)| {
        let patterns = piece.patterns(p).expect("every piece can be built");
        patterns.into_iter().filter(|pattern| stocks.contains(&pattern.stock)).map(move |pattern| {
            let printed = pattern.stock == Stock::Paper;
            let footprint = pattern.footprint(p.kerf, p.bleed, printed);
            let largest = footprint.into_iter().max_by(|a, b| a.area().total_cmp(&b.area())).expect("an area");
            let name = format!("{:?}, {}", pattern.kind, pattern.detail);
            Item { name, outline: largest.outer, copies: copies * times, turns }
        })
    });
    let margin = 7.0;
    let sheets = sheets.iter().map(|&((name, width, height), price)| SheetKind {
        name: name.into(),
        free: Rect::new(0.0, 0.0, width, height).inset(-margin),
        price,
    });
    Job::new(items.collect(), sheets.collect(), Mm::new(2.0), seed, effort).expect("a sane job")
}

/// What a set of 40 tiles has: each piece, how many, and how its grain lets it turn.
fn pieces() -> Vec<(Piece, u32, Turns)> {
    let tile = |across, along| Tile::plain(across, along, Reliefs::Corners);
    let post = |arms, feet| {
        Piece::Sleeve(Post { arms: Arms::from_bits(arms), stand: Stand::Feet(Feet::from_bits(feet)), under: false })
    };
    let wall = |span| Piece::Wall(Wall { span, opening: None });
    let mut pieces = Vec::new();
    for (tile, copies) in [(tile(1, 1), 22), (tile(1, 2), 11), (tile(2, 2), 5)] {
        pieces.push((Piece::Core(tile), copies, Turns::Quarter));
        pieces.push((Piece::Wrap(tile), copies, Turns::Quarter));
    }
    pieces.extend([
        (post(0b0001, 0b0001), 7, Turns::Half),
        (post(0b0011, 0b0001), 9, Turns::Half),
        (post(0b0101, 0b0011), 13, Turns::Half),
        (post(0b0111, 0b0011), 8, Turns::Half),
        (post(0b1111, 0b1111), 4, Turns::Half),
        (wall(2.0 / 3.0), 6, Turns::Half),
        (wall(1.0), 25, Turns::Half),
        (wall(2.0), 14, Turns::Half),
        (Piece::Pocket, 150, Turns::Quarter),
        (Piece::Biscuit, 57, Turns::Quarter),
    ]);
    pieces
}
