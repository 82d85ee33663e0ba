//! Nothing outside the folder of a set is read for it: whatever names the file, and however.

#![expect(clippy::unwrap_used, reason = "a helper of a test may fail it")]

use std::fs;
use std::path::Path;

use flatwright::args::Overrides;
use flatwright::faces;
use flatwright::import::Set;
use flatwright::pipeline;
use flatwright_sheets::page::Pixels;

const SECRET: &str = "{ \"surface\": \"hidden surface\", \"ground\": \"#010203\", \"layers\": [] }";
const PLAN: &str = "title: Hidden plan\nsurface f: flagstones\nlevel ground:\n+---+\n| f |\n+---+\n";
const DRAWING: &str = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"9\" height=\"9\"><rect width=\"9\" height=\"9\" fill=\"#ff0000\"/></svg>";

/// A place with a folder `set`, and files of every kind beside it.
fn place() -> tempfile::TempDir {
    let place = tempfile::tempdir().unwrap();
    fs::create_dir_all(place.path().join("set")).unwrap();
    fs::create_dir_all(place.path().join("own/surfaces")).unwrap();
    fs::write(place.path().join("own/surfaces/hidden.json"), SECRET).unwrap();
    fs::write(place.path().join("hidden.plan"), PLAN).unwrap();
    fs::write(place.path().join("hidden.svg"), DRAWING).unwrap();
    fs::write(
        place.path().join("hidden.json"),
        "{ \"name\": \"Hidden set\", \"pieces\": [{ \"piece\": \"biscuit\" }] }",
    )
    .unwrap();
    place
}

fn load(file: &Path) -> Result<Set, String> {
    pipeline::load(file, None, &Overrides::default()).map_err(|problems| problems.plain(400))
}

/// A set with a value under a key.
fn set_with(folder: &Path, key: &str, value: &serde_json::Value) -> Result<Set, String> {
    let file = folder.join("set.json");
    let pieces = serde_json::json!([{ "piece": "tile", "size": [1, 1] }]);
    let text = if key == "plan" {
        serde_json::json!({ "name": "Brine hall", key: value })
    } else {
        serde_json::json!({ "name": "Brine hall", "pieces": pieces, key: value })
    };
    fs::write(&file, text.to_string()).unwrap();
    load(&file)
}

/// What names a file: a set its plan, its pictures and its templates, a plan its set.
fn named(folder: &Path, kind: &str, name: &str) -> Result<Set, String> {
    match kind {
        "picture" => {
            let pictures = serde_json::json!({ "salt": { "file": name, "fit": "cover" } });
            set_with(folder, "pictures", &pictures)
        }
        "set" => {
            let file = folder.join("lamp.plan");
            fs::write(&file, format!("set: {name}\n{PLAN}")).unwrap();
            load(&file)
        }
        key => set_with(folder, key, &name.into()),
    }
}

const KINDS: [(&str, &str); 4] =
    [("plan", "hidden.plan"), ("picture", "hidden.svg"), ("templates", "own"), ("set", "hidden.json")];

#[test]
fn names_that_lead_out_are_refused() {
    let place = place();
    let folder = place.path().join("set");
    for (kind, file) in KINDS {
        let whole = place.path().join(file).display().to_string();
        let names = [
            format!("../{file}"),
            format!("./../{file}"),
            format!("inner/../../{file}"),
            format!("..\\{file}"),
            format!("C:{file}"),
            format!("C:\\{file}"),
            format!("\\\\host\\share\\{file}"),
            format!("file://{whole}"),
            whole,
            "/etc/passwd".to_owned(),
            "..".to_owned(),
            "/".to_owned(),
        ];
        for name in names {
            let message = named(&folder, kind, &name).unwrap_err();
            assert!(message.contains("is not a plain name"), "{kind} {name}: {message}");
        }
        // The same file is taken from within: the refusal is for the place, not for the file.
        let there = folder.join(file);
        if kind == "templates" {
            fs::create_dir_all(there.join("surfaces")).unwrap();
            fs::write(there.join("surfaces/hidden.json"), SECRET).unwrap();
        } else {
            fs::copy(place.path().join(file), &there).unwrap();
        }
        assert_eq!(named(&folder, kind, file).err(), None, "{kind}");
    }
}

#[cfg(unix)]
#[test]
fn links_that_lead_out_are_refused() {
    use std::os::unix::fs::symlink;
    let place = place();
    let folder = place.path().join("set");
    fs::create_dir(folder.join("inner")).unwrap();
    symlink(place.path(), folder.join("up")).unwrap();
    symlink("../..", folder.join("inner/up")).unwrap();
    for (kind, file) in KINDS {
        symlink(place.path().join(file), folder.join(format!("link-{file}"))).unwrap();
        symlink(format!("link-{file}"), folder.join(format!("twice-{file}"))).unwrap();
        for name in [format!("link-{file}"), format!("twice-{file}"), format!("up/{file}"), format!("inner/up/{file}")]
        {
            let message = named(&folder, kind, &name).unwrap_err();
            assert!(message.contains("leads out of the folder"), "{kind} {name}: {message}");
        }
    }
    // Inside the folder of templates too.
    fs::create_dir_all(folder.join("templates")).unwrap();
    symlink(place.path().join("own/surfaces"), folder.join("templates/surfaces")).unwrap();
    let message = named(&folder, "templates", "templates").unwrap_err();
    assert!(message.contains("leads out of the folder"), "{message}");
    fs::remove_file(folder.join("templates/surfaces")).unwrap();
    fs::create_dir(folder.join("templates/surfaces")).unwrap();
    symlink(place.path().join("own/surfaces/hidden.json"), folder.join("templates/surfaces/a.json")).unwrap();
    let message = named(&folder, "templates", "templates").unwrap_err();
    assert!(message.contains("leads out of the folder"), "{message}");
    // Links that stay within are followed.
    fs::write(folder.join("lamp-store.plan"), PLAN).unwrap();
    symlink("lamp-store.plan", folder.join("inner-link.plan")).unwrap();
    assert_eq!(named(&folder, "plan", "inner-link.plan").err(), None);
}

/// What would keep the program waiting for ever.
#[cfg(unix)]
#[test]
fn pipes_and_devices_are_refused() {
    let place = place();
    let folder = place.path().join("set");
    let made = std::process::Command::new("mkfifo").arg(folder.join("pipe.plan")).status();
    assert!(made.unwrap().success());
    let message = named(&folder, "plan", "pipe.plan").unwrap_err();
    assert!(message.contains("is a pipe or a device"), "{message}");
    fs::create_dir_all(folder.join("templates/walls")).unwrap();
    fs::rename(folder.join("pipe.plan"), folder.join("templates/walls/a.json")).unwrap();
    let message = named(&folder, "templates", "templates").unwrap_err();
    assert!(message.contains("is a pipe or a device"), "{message}");
}

/// A drawing shows nothing of other files, whatever way it names them. All they would show is red.
#[test]
fn drawings_load_no_other_files() {
    use base64::Engine as _;
    let place = place();
    let folder = place.path().join("set");
    fs::write(folder.join("red.svg"), DRAWING).unwrap();
    let file = format!("file://{}", place.path().join("hidden.svg").display());
    let coded = |text: &str| base64::engine::general_purpose::STANDARD.encode(text);
    let image = |name: &str| format!("<image width=\"9\" height=\"9\" href=\"{name}\"/>");
    let inner = format!("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"9\" height=\"9\">{}</svg>", image(&file));
    let ways = [
        image("red.svg"),
        image("../hidden.svg"),
        image(&place.path().join("hidden.svg").display().to_string()),
        image(&file),
        image("http://127.0.0.1:9/red.svg"),
        // A drawing inside the drawing, which in turn names a file, and one that draws itself.
        image(&format!("data:image/svg+xml;base64,{}", coded(&inner))),
        image(&format!("data:image/svg+xml;base64,{}", coded(DRAWING))),
        format!("<use href=\"{file}#a\"/>"),
        format!("<style>@import url(\"{file}\"); @font-face {{ font-family: x; src: url(\"{file}\"); }}</style>"),
        format!("<rect width=\"9\" height=\"9\" fill=\"url({file}#a) #ffffff\"/>"),
        format!(
            "<filter id=\"f\"><feImage href=\"{file}\"/></filter><rect width=\"9\" height=\"9\" filter=\"url(#f)\" fill=\"#ffffff\"/>"
        ),
    ];
    let shown = |body: &str| {
        let text = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" width=\"9\" height=\"9\">{body}</svg>"
        );
        fs::write(folder.join("salt.svg"), text).unwrap();
        let rest = serde_json::json!({ "salt": { "file": "salt.svg", "fit": "repeat", "size": "10 mm" } });
        let file = folder.join("set.json");
        let whole = serde_json::json!({ "name": "Brine hall", "pictures": rest,
            "pieces": [{ "piece": "tile", "size": [1, 1], "face": "salt" }] });
        fs::write(&file, whole.to_string()).unwrap();
        let set = load(&file).unwrap();
        match faces::artwork(&set).images.pop().unwrap().pixels {
            Pixels::Rgb(pixels) => pixels,
            Pixels::Jpeg { .. } => panic!("a drawing is set in pixels"),
        }
    };
    let is_grey = |pixels: &[u8]| pixels.chunks_exact(3).all(|pixel| pixel[0] == pixel[1] && pixel[1] == pixel[2]);
    assert!(!is_grey(&shown("<rect width=\"9\" height=\"9\" fill=\"#ff0000\"/>")), "the test sees what is drawn");
    for way in ways {
        assert!(is_grey(&shown(&way)), "{way}");
    }
    // An entity that stands for a file.
    let text = format!(
        "<!DOCTYPE svg [<!ENTITY a SYSTEM \"{file}\">]><svg xmlns=\"http://www.w3.org/2000/svg\" width=\"9\" height=\"9\">&a;</svg>"
    );
    fs::write(folder.join("entity.svg"), text).unwrap();
    let message = named(&folder, "picture", "entity.svg").unwrap_err();
    assert!(message.contains("is no sound SVG"), "{message}");
}
