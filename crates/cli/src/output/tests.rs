//! Replacing an output, with small files in place of pages.

use super::*;

#[path = "../../tests/common/tree.rs"]
mod folder;

fn output(pages: usize, word: &str) -> Output {
    let page = |number| format!("{word} {number}");
    let files = ["sheets.pdf", "parts.json"].map(|name| (name.to_owned(), word.into())).to_vec();
    Output { pages: (1..=pages).map(page).collect(), files, former: Vec::new() }
}

/// Every file below a folder, with its content.
fn tree(folder: &Path) -> Vec<(String, String)> {
    let text = |(name, bytes)| (name, String::from_utf8(bytes).unwrap());
    folder::tree(folder).into_iter().map(text).collect()
}

fn names(folder: &Path) -> Vec<String> {
    tree(folder).into_iter().map(|(name, _)| name).collect()
}

#[test]
fn a_shorter_run_leaves_no_stale_page_and_no_hidden_folder() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("deep/out");
    write(&folder, &output(3, "first")).unwrap();
    assert_eq!(names(&folder), ["parts.json", "sheets.pdf", "sheets/001.svg", "sheets/002.svg", "sheets/003.svg"]);
    write(&folder, &output(1, "second")).unwrap();
    let expected = [("parts.json", "second"), ("sheets.pdf", "second"), ("sheets/001.svg", "second 1")];
    assert_eq!(tree(&folder), expected.map(|(name, text)| (name.to_owned(), text.to_owned())));
    assert_eq!(names(place.path()).len(), 3);
}

#[test]
fn files_of_others_stay() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("out");
    write(&folder, &output(2, "first")).unwrap();
    fs::write(folder.join("notes.txt"), "mine").unwrap();
    fs::write(folder.join("sheets/0001.svg"), "mine too").unwrap();
    write(&folder, &output(1, "second")).unwrap();
    assert_eq!(names(&folder), ["notes.txt", "parts.json", "sheets.pdf", "sheets/0001.svg", "sheets/001.svg"]);
    assert_eq!(fs::read_to_string(folder.join("sheets/001.svg")).unwrap(), "second 1");
}

#[test]
fn a_run_without_pages_leaves_the_sheets_and_takes_former_files_away() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("out");
    let former: Vec<String> = ["plan.svg", "plan-1.svg", "plan-2.svg"].map(str::to_owned).to_vec();
    let run = |names: &[&str]| Output {
        files: names.iter().map(|name| ((*name).to_owned(), b"new".to_vec())).collect(),
        former: former.clone(),
        ..Output::default()
    };
    write(&folder, &run(&["plan-1.svg", "plan-2.svg"])).unwrap();
    assert_eq!(names(&folder), ["plan-1.svg", "plan-2.svg"]);
    write(&folder, &output(1, "first")).unwrap();
    write(&folder, &run(&["plan.svg"])).unwrap();
    assert_eq!(names(&folder), ["parts.json", "plan.svg", "sheets.pdf", "sheets/001.svg"]);
}

#[test]
fn what_is_in_the_way_is_refused_before_anything_changes() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("out");
    fs::write(&folder, "a file").unwrap();
    let error = write(&folder, &output(1, "x")).unwrap_err();
    assert!(error.to_string().ends_with("it is not a folder"), "{error}");

    let folder = place.path().join("other");
    write(&folder, &output(1, "first")).unwrap();
    fs::remove_file(folder.join("parts.json")).unwrap();
    fs::create_dir(folder.join("parts.json")).unwrap();
    let error = write(&folder, &output(1, "second")).unwrap_err();
    assert!(error.to_string().ends_with("a folder is in its place"), "{error}");
    assert_eq!(fs::read_to_string(folder.join("sheets.pdf")).unwrap(), "first");
    assert_eq!(fs::read_to_string(folder.join("sheets/001.svg")).unwrap(), "first 1");
}

#[test]
fn page_names_are_told_from_others() {
    for (name, page) in [
        ("001.svg", true),
        ("1000.svg", true),
        ("0001.svg", false),
        ("1.svg", false),
        ("001.SVG", false),
        ("+01.svg", false),
        ("a.svg", false),
    ] {
        assert_eq!(is_page(name), page, "{name}");
    }
}

/// Names that the commands give, and some that they do not.
#[test]
fn names_of_ours_are_told_from_others() {
    let given = ["sheets.pdf", "parts.json", "plan.svg", "plan-2.png", "build.glb", "guide.pdf", "pages.png"];
    assert!(given.into_iter().all(is_ours));
    let calibration = ["coupon.pdf", "coupon-3.svg", "readings.json", "printer.json", "materials.json"];
    assert!(calibration.into_iter().all(is_ours));
    assert!(crate::machine::names().all(|name| is_ours(&name)));
    assert!(!["notes.txt", "plans.svg", "cutter-a.svg", "parts.json.bak"].into_iter().any(is_ours));
}
