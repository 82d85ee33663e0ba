//! Pictures and templates of one's own, as files beside a set.

#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

use std::fs;
use std::path::Path;
use std::process::Output;

use flatwright::args::Overrides;
use flatwright::import::Set;
use flatwright::{faces, pipeline};
use flatwright_sheets::page::Pixels;

mod common;

fn png(folder: &Path, name: &str, (width, height): (u32, u32)) {
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, width, height);
    encoder.set_color(png::ColorType::Rgb);
    let pixels: Vec<u8> = (0..width * height).flat_map(|i| [(i % 200) as u8, 120, 90]).collect();
    encoder.write_header().unwrap().write_image_data(&pixels).unwrap();
    fs::write(folder.join(name), file).unwrap();
}

fn set(folder: &Path, rest: &str) -> Set {
    let file = folder.join("set.json");
    fs::write(&file, format!("{{ \"name\": \"Brine hall\", {rest} }}")).unwrap();
    pipeline::load(&file, None, &Overrides::default()).unwrap_or_else(|problems| panic!("{}", problems.plain(100)))
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    common::flatwright(arguments).current_dir(folder).output().unwrap()
}

/// Below 150 dots per inch (common practice, no source; `pictures::LEAST_RESOLUTION`) one is warned; a module of 3 in with 600 pixels has 200, with 300 it
/// has 100.
#[test]
fn few_pixels_are_warned_of_and_many_are_not() {
    let place = tempfile::tempdir().unwrap();
    png(place.path(), "fine.png", (600, 600));
    png(place.path(), "coarse.png", (300, 300));
    let pictures = "\"pictures\": { \"fine\": { \"file\": \"fine.png\", \"fit\": \"repeat\", \"size\": \"3 in\" },
        \"coarse\": { \"file\": \"coarse.png\", \"fit\": \"repeat\", \"size\": \"3 in\" } }";
    let pieces = "\"pieces\": [{ \"piece\": \"tile\", \"size\": [1, 1], \"face\": \"fine\" },
        { \"piece\": \"tile\", \"size\": [1, 1], \"face\": \"coarse\" }]";
    let set = set(place.path(), &format!("{pictures}, {pieces}"));
    let warnings: Vec<String> = set.warnings.iter().map(ToString::to_string).collect();
    assert_eq!(warnings.len(), 1, "{warnings:?}");
    assert!(warnings[0].contains("\"coarse\" has 100 dots per inch"), "{warnings:?}");

    let made = run(place.path(), &["sheets", "set.json", "-o", "out"]);
    let said = String::from_utf8(made.stderr).unwrap();
    assert!(made.status.success() && said.starts_with("warning: set.json:2:"), "{said}");
    let told = String::from_utf8(made.stdout).unwrap();
    assert!(told.contains("% of the paper's area, an estimate"), "{told}");
    let parts: serde_json::Value =
        serde_json::from_slice(&fs::read(place.path().join("out/parts.json")).unwrap()).unwrap();
    assert_eq!(parts["artwork"]["pictures"][1]["dots_per_inch"], 100.0);
    assert_eq!(parts["warnings"].as_array().unwrap().len(), 1);
    assert!(parts["pages"][0]["ink"].as_f64().unwrap() > 0.05);
}

#[test]
fn pictures_obey_the_ink() {
    let place = tempfile::tempdir().unwrap();
    png(place.path(), "mural.png", (900, 600));
    let of = |ink: &str| {
        set(
            place.path(),
            &format!(
                "\"artwork\": {{ \"ink\": \"{ink}\" }}, \"pictures\": {{ \"mural\": {{ \"file\": \"mural.png\", \"fit\": \"cover\" }} }},
                \"pieces\": [{{ \"piece\": \"wall\", \"span\": 1, \"face\": \"mural\" }}]"
            ),
        )
    };
    let pixels = |set: &Set| match faces::artwork(set).images.pop().map(|image| image.pixels) {
        Some(Pixels::Rgb(bytes)) => Some(bytes),
        Some(Pixels::Jpeg { .. }) | None => None,
    };
    let colour = pixels(&of("colour")).unwrap();
    assert!(colour.chunks_exact(3).any(|pixel| pixel[0] != pixel[1]));
    let grey = pixels(&of("grey")).unwrap();
    assert!(grey.chunks_exact(3).all(|pixel| pixel[0] == pixel[1] && pixel[1] == pixel[2]));
    for ink in ["line-art", "blank"] {
        let set = of(ink);
        assert_eq!(pixels(&set), None, "{ink}");
        assert!(set.pieces.iter().all(|piece| !faces::face(&set, piece).prints()), "{ink}");
    }
}

#[test]
fn surfaces_of_ones_own_are_found_in_the_folder() {
    let place = tempfile::tempdir().unwrap();
    let surfaces = place.path().join("own/surfaces");
    fs::create_dir_all(&surfaces).unwrap();
    let glass = "{ \"surface\": \"sea glass\", \"ground\": \"#88aa99\", \"layers\": [] }";
    fs::write(surfaces.join("sea-glass.json"), glass).unwrap();
    let rest =
        "\"templates\": \"own\", \"pieces\": [{ \"piece\": \"tile\", \"size\": [1, 1], \"face\": \"sea glass\" }]";
    let set = set(place.path(), rest);
    assert_eq!(set.artwork.surfaces[0].name, "sea glass");
    // Its schema takes it.
    let schema = run(place.path(), &["schema", "--of", "surface"]).stdout;
    let schema: serde_json::Value = serde_json::from_slice(&schema).unwrap();
    let file: serde_json::Value = serde_json::from_str(glass).unwrap();
    assert!(jsonschema::draft202012::new(&schema).unwrap().is_valid(&file));

    fs::write(surfaces.join("broken.json"), "{ \"surface\": 7 }").unwrap();
    let refused = run(place.path(), &["parts", "set.json"]);
    let said = String::from_utf8(refused.stderr).unwrap();
    assert_eq!(refused.status.code(), Some(2));
    assert!(said.contains("own/surfaces/broken.json:1:"), "{said}");
}

/// A link that leads out of the set's folder is refused, like a name that does.
#[cfg(unix)]
#[test]
fn a_picture_lies_in_the_folder_of_the_set() {
    let place = tempfile::tempdir().unwrap();
    let outside = tempfile::tempdir().unwrap();
    png(outside.path(), "mural.png", (9, 9));
    std::os::unix::fs::symlink(outside.path().join("mural.png"), place.path().join("mural.png")).unwrap();
    fs::write(
        place.path().join("set.json"),
        "{ \"name\": \"x\", \"pictures\": { \"m\": { \"file\": \"mural.png\", \"fit\": \"cover\" } }, \"pieces\": [{ \"piece\": \"biscuit\" }] }",
    )
    .unwrap();
    let refused = run(place.path(), &["parts", "set.json"]);
    let said = String::from_utf8(refused.stderr).unwrap();
    assert_eq!(refused.status.code(), Some(2));
    assert!(said.contains("leads out of the folder"), "{said}");
}
