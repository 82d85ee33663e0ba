//! Writes the guide of an invented pump room, and its plan, into a folder: PDF, SVG and PNG.
//!
//! `cargo run -p flatwright-sheets --example guide -- /tmp/guide [A4]`

use std::path::PathBuf;
use std::time::Instant;

use flatwright_geometry::units::Mm;
use flatwright_sheets::page::Document;
use flatwright_sheets::plan_view::{self, Fit};
use flatwright_sheets::{guide, pdf, png, svg};

#[path = "../tests/common/pump_room.rs"]
mod pump_room;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let folder = PathBuf::from(arguments.next().unwrap_or_else(|| "guide".to_owned()));
    let paper = arguments.next().unwrap_or_else(|| "A4".to_owned()).parse()?;
    std::fs::create_dir_all(&folder)?;
    let sample = pump_room::guide()?;

    let started = Instant::now();
    let pages = guide::document(&sample, &paper, Mm::new(12.0))?;
    println!("guide: {} pages set in {:?}", pages.pages.len(), started.elapsed());
    write(&folder, "guide", &pages)?;
    write(&folder, "plan", &plan_view::document(&sample.plan, &Fit::Square(Mm::new(32.0)))?)?;
    write(&folder, "plan-paper", &plan_view::document(&sample.plan, &Fit::Paper { paper, margin: Mm::new(12.0) })?)
}

fn write(folder: &std::path::Path, name: &str, document: &Document) -> Result<(), Box<dyn std::error::Error>> {
    let started = Instant::now();
    std::fs::write(folder.join(format!("{name}.pdf")), pdf::write(document)?)?;
    println!("{name}.pdf: {:?}", started.elapsed());
    for page in 0..document.pages.len() {
        std::fs::write(folder.join(format!("{name}-{}.svg", page + 1)), svg::write(document, page)?)?;
        let started = Instant::now();
        std::fs::write(folder.join(format!("{name}-{}.png", page + 1)), png::write(document, page, 100.0)?)?;
        println!("{name}-{}.png: {:?}", page + 1, started.elapsed());
    }
    Ok(())
}
