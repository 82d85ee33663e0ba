//! Writes an invented hall as binary glTF, and the volume of each piece in mm³ beside it as JSON.
//!
//! `cargo run -p flatwright-folding --example glb -- hall.glb [board]`

use std::path::PathBuf;

use flatwright_folding::glb;
use flatwright_folding::solid::Solid;
use flatwright_geometry::parameters::{Parameters, WallBuild};

#[expect(dead_code, reason = "shared with tests and another example, which use other parts of it")]
#[path = "../tests/common/room.rs"]
mod room;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let file = PathBuf::from(arguments.next().unwrap_or_else(|| "hall.glb".to_owned()));
    let walls = if arguments.any(|argument| argument == "board") { WallBuild::Board } else { WallBuild::Card };
    let p = Parameters { walls, ..Parameters::default() };
    let room = room::hall(&p)?;
    let scene = room::scene(&p, &room)?;
    std::fs::write(&file, glb::write(&scene, &[])?)?;
    let volumes: serde_json::Map<String, serde_json::Value> = scene
        .shown
        .iter()
        .map(|shown| (shown.body.name.clone(), shown.solids().iter().map(Solid::volume).sum::<f64>().into()))
        .collect();
    std::fs::write(file.with_extension("json"), serde_json::Value::from(volumes).to_string())?;
    println!("{} pieces in {}", room.bodies.len(), file.display());
    Ok(())
}
