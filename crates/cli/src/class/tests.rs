use super::*;
use crate::args::Overrides;
use crate::pipeline;

fn read(text: &[u8]) -> Result<Vec<String>, String> {
    names("class.txt", text.to_vec()).map_err(|problems| problems.plain(400))
}

#[test]
fn names_are_read_line_by_line() {
    let text = "\u{feff}Ada\r\n\n  7 \nMay Lin\n";
    assert_eq!(read(text.as_bytes()).unwrap(), ["Ada", "7", "May Lin"]);
}

#[test]
fn everything_wrong_with_a_list_is_told_at_once() {
    let long = "x".repeat(81);
    let message = read(format!("Ada\n{long}\nA\tB\nAda\n").as_bytes()).unwrap_err();
    for part in ["a name has 81 characters", "a tab or the like", "two kits are called \"Ada\"", "class.txt:4:1"] {
        assert!(message.contains(part), "no {part:?} in {message}");
    }
    let many: String = (0..=MOST_KITS).map(|number| format!("{number}\n")).collect();
    assert!(read(many.as_bytes()).unwrap_err().contains("more than 200 names"));
    assert!(read(b"\n \n").unwrap_err().contains("has no names"));
    assert!(read(b"A\xff").unwrap_err().contains("not UTF-8"));
}

fn set(class: &str) -> Result<Set, String> {
    let text = format!(r#"{{ "name": "Lamp store", {class} "pieces": [{{ "piece": "biscuit", "count": 2 }}] }}"#);
    pipeline::resolve("set.json", text.into_bytes(), &Overrides::default()).map_err(|problems| problems.plain(400))
}

fn asked(class: Option<&str>, sheets: Option<&str>, stack: Option<&str>) -> ClassArgs {
    let own = |text: Option<&str>| text.map(str::to_owned);
    ClassArgs { class: own(class), class_sheets: own(sheets), stack: own(stack) }
}

#[test]
fn the_command_line_replaces_what_the_file_says() {
    let mut set = set(r#""class": { "kits": ["Ada", "Ben"], "sheets": "shared", "stack": 4 },"#).unwrap();
    assert_eq!(set.kits(), compose::Kits::Shared(2));
    choose(&mut set, &asked(Some("30"), None, None)).unwrap();
    let class = set.class.clone().unwrap();
    assert_eq!((class.kits.len(), class.kits[29].as_str(), class.shared, class.stack), (30, "30", true, 4));
    choose(&mut set, &asked(None, Some("own"), Some("15"))).unwrap();
    assert_eq!((set.kits(), set.stack()), (compose::Kits::Own(30), 15));
}

#[test]
fn bad_options_are_told_together() {
    let mut without = set("").unwrap();
    let wrong = asked(Some("0"), Some("both"), Some("0"));
    let message = choose(&mut without, &wrong).unwrap_err().plain(400);
    for part in ["--class \"0\"", "--class-sheets cannot be \"both\"", "--stack \"0\""] {
        assert!(message.contains(part), "no {part:?} in {message}");
    }
    let message = choose(&mut without, &asked(None, None, Some("5"))).unwrap_err().plain(400);
    assert!(message.contains("is for a class, and the set has none"), "{message}");
    let message = choose(&mut without, &asked(Some("nobody.txt"), None, None)).unwrap_err().plain(400);
    assert!(message.contains("could not read nobody.txt"), "{message}");
    without.pieces[0].count = 100_000;
    let message = choose(&mut without, &asked(Some("11"), None, None)).unwrap_err().plain(400);
    assert!(message.contains("11 kits have 1100000 pieces"), "{message}");
}

#[test]
fn small_parts_are_those_that_fit_the_test_cylinder() {
    // 16 CFR 1501.4: 31.7 mm across. A biscuit of 29.7 x 19.7 mm fits; a tile of 75.9 mm does not.
    let text = br#"{ "name": "x", "pieces": [{ "piece": "biscuit" }, { "piece": "tile", "size": [1, 1], "pockets": 0 },
        { "piece": "post", "arms": "NE" }] }"#;
    let set = pipeline::resolve("set.json", text.to_vec(), &Overrides::default()).unwrap();
    let small: Vec<&str> =
        set.pieces.iter().filter(|piece| book::is_small(piece)).map(|piece| piece.id.as_str()).collect();
    // The post is 71 x 66 mm flat, and 15 x 15 x 55 mm once it is built.
    let post = set.pieces.iter().find(|piece| piece.id.starts_with('P')).unwrap();
    assert!(post.pattern.size().0.get() > 57.1);
    assert!(small.contains(&post.id.as_str()) && small.iter().any(|id| id.starts_with('B')), "{small:?}");
    assert!(!small.iter().any(|id| id.starts_with("TC") || id.starts_with("TW")), "{small:?}");
}
