//! Draws an invented hall, assembled and taken apart, and a maze of a thousand pieces: SVG, PNG, PDF.
//!
//! `cargo run --release -p flatwright-sheets --example view -- pictures`

use std::path::{Path, PathBuf};
use std::time::Instant;

use flatwright_folding::scene::Scene;
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::units::Mm;
use flatwright_sheets::view::{self, Arrangement, Prints};
use flatwright_sheets::{pdf, png, svg};

#[path = "../../folding/tests/common/room.rs"]
mod room;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = PathBuf::from(std::env::args().nth(1).unwrap_or_else(|| "view".to_owned()));
    std::fs::create_dir_all(&folder)?;
    for (walls, name) in [(WallBuild::Card, "hall"), (WallBuild::Board, "board")] {
        let p = Parameters { walls, ..Parameters::default() };
        let hall = room::hall(&p)?;
        let scene = room::scene(&p, &hall)?;
        write(&folder, name, &scene, 180.0, Arrangement::Assembled)?;
        write(&folder, &format!("{name}-apart"), &scene, 150.0, Arrangement::Exploded)?;
    }
    let p = Parameters::default();
    let maze = room::maze(&p, (13, 10))?;
    write(&folder, "maze", &room::scene(&p, &maze)?, 400.0, Arrangement::Assembled)
}

fn write(
    folder: &Path,
    name: &str,
    scene: &Scene<'_>,
    width: f64,
    arrangement: Arrangement,
) -> Result<(), Box<dyn std::error::Error>> {
    let started = Instant::now();
    let document = view::document(scene, &Prints::default(), Mm::new(width), arrangement)?;
    let drawn = started.elapsed();
    let text = svg::write(&document, 0)?;
    println!(
        "{name}: {} pieces, {} marks in {drawn:?}, {} kB of SVG after {:?}",
        scene.shown.len(),
        document.pages[0].marks.len(),
        text.len() / 1000,
        started.elapsed()
    );
    std::fs::write(folder.join(format!("{name}.svg")), text)?;
    std::fs::write(folder.join(format!("{name}.png")), png::write(&document, 0, 200.0)?)?;
    std::fs::write(folder.join(format!("{name}.pdf")), pdf::write(&document)?)?;
    Ok(())
}
