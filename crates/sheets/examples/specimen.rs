//! Composes a small set and writes it as PDF, to look at the sheets.
//!
//! `cargo run -p flatwright-sheets --example specimen -- A4 specimen.pdf [landscape] [board sheet or -] [stacked]`

use flatwright_folding::prove::{prove, sheet};
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::Pattern;
use flatwright_geometry::pieces::opening::{HingeSide, Opening};
use flatwright_geometry::pieces::post::{self, Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::tile::{self, Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::units::Mm;
use flatwright_sheets::art::Face;
use flatwright_sheets::compose::{BoardAs, Grain, LayoutMode, Offer, Part, Settings, compose};
use flatwright_sheets::page::Colour;
use flatwright_sheets::pdf;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let paper = arguments.next().unwrap_or_else(|| "A4".to_owned()).parse()?;
    let target = arguments.next().unwrap_or_else(|| "specimen.pdf".to_owned());
    let mut settings = Settings::new("Brinewell: the lower brine hall", paper);
    settings.paper.material = "paper 0.10 mm".to_owned();
    settings.card.material = "card 0.25 mm".to_owned();
    settings.board_material = "foam board 5 mm".to_owned();
    if let Some(orientation) = arguments.next() {
        settings.paper.orientation = orientation.parse()?;
        settings.card.orientation = settings.paper.orientation;
    }
    if let Some(board) = arguments.next().filter(|board| board != "-") {
        settings.board_as = BoardAs::Sheet(vec![Offer::only(board.parse()?)]);
    }
    if arguments.next().as_deref() == Some("stacked") {
        settings.layout = LayoutMode::Stacked;
    }

    let parts = parts()?;
    let started = std::time::Instant::now();
    let composed = compose(&parts, &settings, &mut |_| {})
        .map_err(|errors| errors.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))?;
    let elapsed = started.elapsed();
    std::fs::write(&target, pdf::write(&composed.document)?)?;
    let pages = composed.document.pages.len();
    println!("{target}: {pages} pages, composed in {elapsed:?}");
    Ok(())
}

fn parts() -> Result<Vec<Part>, Box<dyn std::error::Error>> {
    let p = Parameters::default();
    let mut parts: Vec<Part> = Vec::new();
    let mut add = |pattern: Pattern, copies: u32, face: Option<Colour>| {
        let letters = pattern.kind.letters();
        let number = parts.iter().filter(|part| part.pattern.kind == pattern.kind).count() + 1;
        let stock = sheet(&p, pattern.stock);
        let pattern = prove(pattern, stock).expect("it folds");
        parts.push(Part {
            id: format!("{letters}{number}"),
            pattern,
            copies,
            face: face.map_or_else(Face::default, Face::tint),
            label_on_face: false,
            grain: Grain::Any,
        });
    };
    let stone = Some(Colour(0xC9, 0xD2, 0xCB));
    let brick = Some(Colour(0xD9, 0xC6, 0xA8));
    for (across, along, copies) in [(1, 1, 8), (1, 2, 4), (2, 2, 2)] {
        let tile = Tile::plain(across, along, Reliefs::Corners);
        add(tile::wrap(&p, tile)?, copies, stone);
        add(tile::core(&p, tile)?, copies, None);
    }
    add(tile::corner_pocket(&p)?, 40, None);
    add(tile::biscuit(&p)?, 14, None);
    for (arms, feet, copies) in [(0b0011, 0b0001, 4), (0b0101, 0b0011, 6), (0b1111, 0b1111, 3)] {
        let stand = Stand::Feet(Feet::from_bits(feet));
        add(post::sleeve(&p, Post { arms: Arms::from_bits(arms), stand, under: false })?, copies, None);
    }
    let (width, height) = (Mm::new(25.0), Mm::new(38.0));
    let openings = [
        (1.0, None, 6),
        (2.0, None, 3),
        (1.0, Some(Opening::Door { width, height, hinge: HingeSide::Left }), 2),
        (1.0, Some(Opening::Arch { width, height }), 2),
        (2.0, Some(Opening::Window { width, height: Mm::new(20.0), sill: Mm::new(14.0), arched: true }), 2),
    ];
    for (span, opening, copies) in openings {
        for pattern in (Wall { span, opening }).patterns(&p)? {
            add(pattern, copies, brick);
        }
    }
    Ok(parts)
}
