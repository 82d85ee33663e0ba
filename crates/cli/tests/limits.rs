//! Every limit of DEVELOPERS.md: what is above it is refused with a message that says so, and soon.

use std::fmt::Write as _;
use std::fs;
use std::time::{Duration, Instant};

use flatwright::args::Overrides;
use flatwright::args::class::ClassArgs;
use flatwright::class;
use flatwright::pictures::{self, Fit, Picture};
use flatwright::problem::{At, Problem, Problems, Source, SourceText};
use flatwright::templates::design_draw::{Site, draw};
use flatwright::templates::{design_file, surface_file};
use flatwright::{pipeline, plan_file, set_file};
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::units::Mm;

/// A refusal takes far less; the rest is for machines with much else to do.
const SOON: Duration = Duration::from_secs(30);

/// Runs something that is refused; its message.
fn refusal(what: &str, tried: impl FnOnce() -> Option<Problems>) -> String {
    let began = Instant::now();
    let problems = tried().unwrap_or_else(|| panic!("{what} was accepted"));
    let message = problems.plain(4000);
    assert!(began.elapsed() < SOON, "{what} took {:?}", began.elapsed());
    message
}

fn holds(what: &str, message: &str, expected: &str) {
    let shown: String = message.chars().take(2000).collect();
    assert!(message.contains(expected), "{what}: no {expected:?} in {shown}");
}

fn set(text: &str) -> Option<Problems> {
    pipeline::resolve("set.json", text.into(), &Overrides::default()).err()
}

fn plan(text: &str) -> Option<Problems> {
    plan_file::read("lamp.plan", text.into()).err()
}

/// A level of so many cells, all of them floor.
fn level(name: &str, width: usize, height: usize) -> String {
    let edges = format!("{}+\n", "+---".repeat(width));
    let cells = format!("{}|\n", "| f ".repeat(width));
    format!("level {name}:\n{}{edges}", format!("{edges}{cells}").repeat(height))
}

#[test]
fn sets_are_limited() {
    let biscuit = r#"{ "piece": "biscuit" }"#;
    let of = |pieces: &str| format!(r#"{{ "name": "x", "pieces": [{pieces}] }}"#);
    let many = (0..40).map(|_| r#"{ "piece": "biscuit", "count": 100000 }"#).collect::<Vec<_>>().join(",");
    let pictures =
        (0..41).map(|i| format!(r#""a{i}": {{ "file": "a.png", "fit": "cover" }}"#)).collect::<Vec<_>>().join(",");
    let cases = [
        ("bytes", " ".repeat(set_file::LARGEST + 1), "has at most 4194304"),
        ("nesting", format!("{{ \"name\": {}", "[".repeat(100_000)), "maximum nesting depth exceeded"),
        ("entries", of(&vec![biscuit; 1001].join(",")), "has 1001 entries"),
        ("copies", of(r#"{ "piece": "biscuit", "count": 100001 }"#), "a whole number from 1 to 100000"),
        ("pieces", of(&many), "at most 1000000 can be laid out"),
        ("modules", of(r#"{ "piece": "tile", "size": [21, 1] }"#), "20"),
        ("reach", of(r#"{ "piece": "bent-wall", "reach": 9 }"#), "a whole number from 1 to 8"),
        ("lengths", r#"{ "name": "x", "parameters": { "module": "2001 mm" } }"#.into(), "outside 0 mm to 2000 mm"),
        ("pictures", format!(r#"{{ "name": "x", "pictures": {{ {pictures} }} }}"#), "40"),
    ];
    for (what, text, expected) in cases {
        holds(what, &refusal(what, || set(&text)), expected);
    }
}

/// A file that is wrong everywhere is told in a thousand problems, and neither time nor memory goes
/// with the square of its size.
#[test]
fn floods_of_problems_are_cut() {
    let ones = format!(r#"{{ "name": "x", "pieces": [{}1] }}"#, "1,".repeat(300_000));
    let message = refusal("many numbers", || set(&ones));
    holds("many numbers", &message, "1001 problems");
    let mut keys = String::from("{ \"name\": \"x\"");
    (0..250_000).for_each(|i| write!(keys, ", \"k{i}\": 1").unwrap());
    keys.push('}');
    let message = refusal("unknown keys", || set(&keys));
    holds("unknown keys", &message, "1001 problems");

    let lines = "neither\n".repeat(19_000);
    let message = refusal("lines of nothing", || plan(&lines));
    holds("lines of nothing", &message, "problems in lamp.plan");
    assert!(plan(&lines).unwrap().into_list().iter().any(|p| p.to_string().contains("1000 problems or more")));
    let odd = format!("level a:\n{}", format!("{}\n", "?".repeat(800)).repeat(401));
    let message = refusal("a drawing of nothing", || plan(&odd));
    holds("a drawing of nothing", &message, "problems in lamp.plan");
    assert!(plan(&odd).unwrap().count() < 2000);
}

#[test]
fn readings_are_limited() {
    use flatwright::calibration::{profiles, readings};
    let entry = |reads: &str| format!(r#"{{ "letter": "A", "across": 100, "up": 0, "reads": {reads} }}"#);
    let of = |list: String| format!(r#"{{ "name": "x", "printer": [{list}] }}"#);
    let cases = [
        ("bytes", " ".repeat(set_file::LARGEST + 1), "has at most 4194304"),
        ("lengths", of(vec![entry("1"); 101].join(",")), "has 101 lengths; it can have at most 100"),
        ("readings", of(entry(&format!("[{}]", vec!["1"; 101].join(",")))), "has 101 readings; it can have 1 to 100"),
        ("a reading", of(entry("2001")), "a reading from 0 to 2000 mm"),
        (
            "a way",
            r#"{ "name": "x", "printer": [{ "letter": "A", "across": 2001, "up": 0 }] }"#.into(),
            "from -2000 to 2000",
        ),
        ("sheets", r#"{ "name": "x", "card": { "sheets": 1001 } }"#.into(), "a whole number from 1 to 1000"),
    ];
    for (what, text, expected) in cases {
        holds(what, &refusal(what, || readings::read("readings.json", text.into()).err()), expected);
    }
    let cases = [
        ("scale", r#"{ "name": "x", "x_scale": 1.081, "y_scale": 1 }"#, "a number from 0.92 to 1.08"),
        ("skew", r#"{ "name": "x", "x_scale": 1, "y_scale": 1, "skew": 3.1 }"#, "a number from -3 to 3"),
    ];
    for (what, text, expected) in cases {
        holds(what, &refusal(what, || profiles::printer("printer.json", text.into()).err()), expected);
    }
}

#[test]
fn plans_are_limited() {
    let head = "title: Brine hall\nsurface f: flagstones\n";
    let mut levels = String::from(head);
    (0..21).for_each(|i| levels.push_str(&level(&format!("l{i}"), 1, 1)));
    let two = format!("{head}{}{}", level("a", 200, 200), level("b", 1, 1));
    let turn = |reach: u32| format!("turn t: round {reach}, about SW, spandrel f\n");
    let turns = format!("{head}{}{}", turn(1), level("a", 143, 7).replace(" f ", " t "));
    let full = level("a", 21, 12).replace("| f ", "|cfc");
    let letters = ('\u{3b1}'..='\u{3c9}').chain('\u{430}'..='\u{44f}').chain('a'..='z').chain('A'..='Z');
    let letters: String = letters.map(|letter| format!("prop {letter}: crate\n")).collect();
    let cases = [
        ("bytes", "#".repeat(set_file::LARGEST + 1), "has at most 4194304"),
        ("fittings", format!("{head}prop c: crate\n{full}"), "hold 504 fittings; a plan has at most 500"),
        ("letters of fittings", format!("{head}{letters}{}", level("a", 1, 1)), "more than 100 letters of fittings"),
        ("roofs", format!("{head}{}{}", "roof a: hip\n".repeat(21), level("a", 1, 1)), "more than 20 roofs"),
        ("lines", "#\n".repeat(20_001), "at most 20000"),
        ("a line", format!("title: {}\n", "x".repeat(2000)), "a line has at most 2000 characters"),
        ("a name", format!("title: {}\n", "x".repeat(81)), "at most 80 can be printed"),
        ("a side", format!("{head}{}", level("a", 201, 1)), "1 to 200 along each side"),
        ("the other side", format!("{head}{}", level("a", 1, 201)), "1 to 200 along each side"),
        ("levels", levels, "a plan has at most 20"),
        ("cells", two, "40001 cells together; a plan has at most 40000"),
        ("a turn", format!("{head}{}{}", turn(9), level("a", 1, 1)), "a reach of 1 to 8 modules"),
        ("turns", turns, "1001 turns together; a plan has at most 1000"),
        ("extras", format!("{head}extra: 100001 biscuits\n{}", level("a", 1, 1)), "is not a number of extra pieces"),
    ];
    for (what, text, expected) in cases {
        holds(what, &refusal(what, || plan(&text)), expected);
    }
    assert!(plan(&format!("{head}{}", level("a", 200, 200))).is_none(), "the largest plan is read");
}

#[test]
fn classes_are_limited() {
    let of = |class: &str| {
        format!(r#"{{ "name": "x", "class": {class}, "pieces": [{{ "piece": "biscuit", "count": 100000 }}] }}"#)
    };
    let names = |number: usize| (0..number).map(|i| format!("\"k{i}\"")).collect::<Vec<_>>().join(",");
    let cases = [
        ("kits", of(r#"{ "kits": 201 }"#), "a whole number from 1 to 200"),
        ("names", of(&format!(r#"{{ "kits": [{}] }}"#, names(201))), "a class can have 1 to 200"),
        ("a stack", of(r#"{ "kits": 2, "stack": 501 }"#), "a whole number from 1 to 500"),
    ];
    for (what, text, expected) in cases {
        holds(what, &refusal(what, || set(&text)), expected);
    }
    let list = |text: String| refusal("a list of names", || class::names("class.txt", text.into_bytes()).err());
    holds("bytes", &list("x".repeat(class::LARGEST + 1)), "has at most 65536");
    holds("lines", &list((0..201).map(|i| format!("k{i}\n")).collect()), "more than 200 names");
    holds("a name", &list("x".repeat(81)), "at most 80 can be printed");
    let all = pipeline::resolve("set.json", of(r#"{ "kits": 11 }"#).into(), &Overrides::default());
    let refused = refusal("pieces of all kits", || class::choose(&mut all.unwrap(), &ClassArgs::default()).err());
    holds("pieces of all kits", &refused, "at most 1000000 can be laid out");
}

fn nowhere() -> At {
    At { source: Source::new(SourceText { name: "a test".into(), text: " ".into() }), start: 0, end: 1 }
}

/// Reads a design and draws it.
fn design(text: &str) -> Option<Problems> {
    let recipe = match design_file::read("drain.json", text.into()) {
        Ok(recipe) => recipe,
        Err(problems) => return Some(problems),
    };
    let (parameters, at, mut problems) = (Parameters::default(), nowhere(), Vec::new());
    let site = Site { parameters: &parameters, span: 1.0, asked_by: "the wall", at: &at };
    draw(&recipe, &[], site, &mut problems).is_none().then(|| Problems::new("drain.json", problems))
}

#[test]
fn designs_are_limited() {
    let of = |key: &str, value: &str| format!(r#"{{ "design": "drain", "{key}": {value} }}"#);
    let circle = r#"{ "shape": "circle", "middle": [9, 9], "radius": 2 }"#;
    let repeat = |count: &str, inner: &str| format!(r#"{{ "shape": "repeat", "count": {count}, "of": [{inner}] }}"#);
    let never = r##"{ "shape": "circle", "middle": [9, 9], "radius": 2, "when": 0, "fill": "#aaaaaa" }"##;
    let drawn = r##"{ "shape": "circle", "middle": [9, 9], "radius": 2, "fill": "#aaaaaa" }"##;
    let names = (0..61).map(|i| format!("\"{}\": 1", "n".repeat(1 + i % 20) + &"m".repeat(i / 20))).collect::<Vec<_>>();
    let line = |corners: &str| format!(r##"[{{ "shape": "line", "points": [{corners}], "line": "#888888" }}]"##);
    let corners = vec![r#"{ "count": 400, "at": ["i", 1] }"#; 200].join(",");
    let cases = [
        ("bytes", of("about", &format!("\"{}\"", "x".repeat(design_file::LARGEST))), "has at most 131072"),
        ("times", of("cut", &format!("[{}]", repeat("401", circle))), "it may run 400 times"),
        (
            "repeats in repeats",
            of("ornament", &format!("[{}]", repeat("2", &repeat("2", &repeat("2", &repeat("2", drawn)))))),
            "3 deep",
        ),
        (
            "what is never drawn",
            of("ornament", &format!("[{}]", repeat("400", &repeat("400", &repeat("400", never))))),
            "more than 100000 shapes",
        ),
        ("shapes", of("ornament", &format!("[{}]", repeat("400", &repeat("400", drawn)))), "more than 4000 shapes"),
        ("corners", of("ornament", &line(&corners)), "more than 40000 corners"),
        ("entries", of("ornament", &line(&vec!["[1, 1]"; 201].join(","))), "has 201 entries"),
        (
            "an expression",
            of("cut", &format!("[{}]", circle.replace("2 }", &format!("\"1{}\" }}", " + 1".repeat(60))))),
            "at most 240 are read",
        ),
        (
            "brackets",
            of("cut", &format!("[{}]", circle.replace("2 }", &format!("\"{}1\" }}", "(".repeat(200))))),
            "is no expression",
        ),
        ("numbers", of("cut", &format!("[{}]", circle.replace("2 }", "\"9 ^ 9 ^ 9\" }"))), "from -10000 to 10000"),
        ("names", of("names", &format!("{{ {} }}", names.join(","))), "at most 60 are read"),
    ];
    for (what, text, expected) in cases {
        holds(what, &refusal(what, || design(&text)), expected);
    }
    // As deep as an expression can be.
    let deep = format!("\"{}1{}\" }}", "(".repeat(119), ")".repeat(119));
    let _ = design(&of("cut", &format!("[{}]", circle.replace("2 }", &deep))));
}

#[test]
fn surfaces_are_limited() {
    let of = |layers: &str| format!(r##"{{ "surface": "quay", "ground": "#888888", "layers": [{layers}] }}"##);
    let cracks = r##"{ "layer": "cracks", "count": 60, "shortest": "1 mm", "longest": "9 mm", "width": "0.2 mm", "tone": "#777777" }"##;
    let courses = r##"{ "layer": "courses", "rows": 40, "fewest": 40, "joint": "0.2 mm", "tones": ["#999999"],
        "grain": { "lines": 40, "width": "0.1 mm", "shade": 0.1 } }"##;
    let tones = vec!["\"#999999\""; 25].join(",");
    let flecks = |count: u32| {
        format!(
            r#"{{ "layer": "flecks", "count": {count}, "smallest": "1 mm", "largest": "2 mm", "tones": [{tones}] }}"#
        )
    };
    let cases = [
        ("layers", of(&vec![cracks; 13].join(",")), "more than 12 layers"),
        ("tones", of(&flecks(600)), "1 to 24 tones"),
        ("a count", of(&flecks(601)), "a whole number from 1 to 600"),
        ("things", of(courses), "at most 20000 are drawn"),
    ];
    for (what, text, expected) in cases {
        holds(what, &refusal(what, || surface_file::read("quay.json", text.into()).err()), expected);
    }
    assert!(surface_file::read("quay.json", of(&[cracks; 12].join(",")).into()).is_ok());
}

#[test]
fn folders_of_templates_are_limited() {
    let place = tempfile::tempdir().unwrap();
    let surfaces = place.path().join("own/surfaces");
    fs::create_dir_all(&surfaces).unwrap();
    let file = place.path().join("set.json");
    fs::write(&file, r#"{ "name": "x", "templates": "own", "pieces": [{ "piece": "biscuit" }] }"#).unwrap();
    let load = || pipeline::load(&file, None, &Overrides::default()).err();
    let surface = |i: usize, about: &str| {
        let text = format!(r##"{{ "surface": "s{i}", "about": "{about}", "ground": "#888888", "layers": [] }}"##);
        fs::write(surfaces.join(format!("{i}.json")), text).unwrap();
    };
    (0..200).for_each(|i| surface(i, "one of them"));
    assert!(load().is_none(), "200 files are read");
    surface(200, "one more");
    holds("files", &refusal("files", load), "keep at most 200");
    fs::remove_file(surfaces.join("200.json")).unwrap();
    fs::write(surfaces.join("0.json"), " ".repeat(1024 * 1024)).unwrap();
    holds("bytes", &refusal("bytes", load), "more than 1048576 bytes");
}

/// Reads a picture and sets it for so many millimetres.
fn picture(bytes: &[u8], width: f64) -> Option<Problems> {
    let refused = |problem: Problem| Problems::new("salt", vec![problem]);
    match Picture::read("salt", "salt", bytes, Fit::Cover, &nowhere()) {
        Ok(picture) => picture.printed("p1", Mm::new(width), flatwright_artwork::Print::default()).err().map(refused),
        Err(problem) => Some(refused(problem)),
    }
}

/// A PNG that says it has so many pixels, all of them missing.
fn png(width: u32, height: u32) -> Vec<u8> {
    let mut file = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec();
    file.extend([width.to_be_bytes(), height.to_be_bytes()].concat());
    file.extend([8, 2, 0, 0, 0]);
    file.extend(crc32fast::hash(&file[12..29]).to_be_bytes());
    file.extend(b"\0\0\0\0IDAT\x35\xaf\x06\x1e");
    file
}

fn svg(body: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 100 100\">{body}<rect width=\"9\" height=\"9\"/></svg>"
    )
}

#[test]
fn pictures_are_limited() {
    let nested =
        |times: usize, open: &str, inner: &str| svg(&format!("{}{inner}{}", open.repeat(times), "</g>".repeat(times)));
    // Each group draws the one before: few elements, and as deep as there are groups.
    let mut chain = String::from("<g id=\"a0\"/>");
    (1..300).for_each(|i| write!(chain, "<g id=\"a{i}\"><use href=\"#a{}\"/></g>", i - 1).unwrap());
    let mut doubled = String::from("<g id=\"a0\"><path d=\"M0 0h1v1z\"/></g>");
    (1..40)
        .for_each(|i| write!(doubled, "<g id=\"a{i}\"><use href=\"#a{0}\"/><use href=\"#a{0}\"/></g>", i - 1).unwrap());
    let whole = "<rect width=\"100\" height=\"100\"/>";
    let asks = "asks for more than can be drawn at its printed size";
    let filter = |step: &str| svg(&format!("<filter id=\"f\">{step}</filter><g filter=\"url(#f)\">{whole}</g>"));
    let pattern = "<pattern id=\"p\" width=\"30000\" height=\"30000\" patternUnits=\"userSpaceOnUse\"><path d=\"M0 0h1v1z\"/></pattern><rect width=\"9\" height=\"9\" fill=\"url(#p)\"/>";
    let jpeg = [
        b"\xff\xd8\xff\xc0\0\x11\x08\xff\xff\xff\xff\x03\x01\x11\0\x02\x11\0\x03\x11\0".as_slice(),
        b"\xff\xda\0\x02\xff\xd9",
    ]
    .concat();
    let cases: Vec<(&str, Vec<u8>, &str)> = vec![
        ("bytes", vec![0xFF; pictures::LARGEST + 1], "has more than 32 MB"),
        ("pixels of a PNG", png(10_000, 5001), "at most 50 million are taken"),
        ("most pixels of a PNG", png(u32::MAX >> 1, u32::MAX >> 1), "limits are exceeded"),
        ("no pixels", png(0, 9), "is no sound PNG"),
        ("pixels of a JPEG", jpeg, "at most 50 million are taken"),
        ("bytes of a drawing", svg(&" ".repeat(8 << 20)).into(), "more than 8 MB"),
        ("nodes", svg(&"<a/>".repeat(400_001)).into(), "is no sound SVG"),
        ("elements", svg(&doubled).into(), "draws more than 200000 elements"),
        ("depth", nested(260, "<g>", "").into(), "more than 250 deep"),
        ("much depth", nested(100_000, "<g>", "").into(), "is no sound SVG|more than 250 deep"),
        ("depth by use", svg(&chain).into(), "more than 250 deep"),
        ("layers", nested(60, "<g opacity=\"0.5\">", whole).into(), asks),
        ("morphology", filter("<feMorphology radius=\"40\"/>").into(), asks),
        ("a blur", filter("<feGaussianBlur stdDeviation=\"1e9\"/>").into(), asks),
        ("turbulence", filter("<feTurbulence baseFrequency=\"0.1\" numOctaves=\"100000\"/>").into(), asks),
        ("steps", filter(&"<feOffset dx=\"1\"/>".repeat(60)).into(), asks),
        ("a pattern", svg(pattern).into(), asks),
        ("paint", svg(&whole.repeat(2000)).into(), asks),
    ];
    for (what, bytes, expected) in cases {
        let message = refusal(what, || picture(&bytes, 200.0));
        let expected = expected.split('|').find(|expected| message.contains(expected)).unwrap_or(expected);
        holds(what, &message, expected);
    }
    // What is usual is still taken, and what is as deep as allowed does not use up the stack.
    for fine in [
        svg(whole),
        nested(6, "<g opacity=\"0.5\">", whole),
        nested(240, "<g>", whole),
        filter("<feGaussianBlur stdDeviation=\"3\"/>"),
    ] {
        assert!(picture(fine.as_bytes(), 60.0).is_none(), "{}", &fine[..200.min(fine.len())]);
    }
    holds(
        "a drawing set large",
        &refusal("a drawing set large", || picture(svg(whole).as_bytes(), 2000.0)),
        "at most 50 million are taken",
    );
}

#[test]
fn all_pictures_together_are_limited() {
    let place = tempfile::tempdir().unwrap();
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, 6000, 6000);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(png::BitDepth::One);
    encoder.write_header().unwrap().write_image_data(&vec![0; 750 * 6000]).unwrap();
    fs::write(place.path().join("a.png"), bytes).unwrap();
    let entries = ["a", "b", "c"].map(|name| format!(r#""{name}": {{ "file": "a.png", "fit": "cover" }}"#)).join(",");
    let file = place.path().join("set.json");
    fs::write(
        &file,
        format!(r#"{{ "name": "x", "pictures": {{ {entries} }}, "pieces": [{{ "piece": "biscuit" }}] }}"#),
    )
    .unwrap();
    let message = refusal("pictures", || pipeline::load(&file, None, &Overrides::default()).err());
    holds("pictures", &message, "more than 100 million pixels");
}
