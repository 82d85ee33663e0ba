//! Published packing problems whose best known or optimal answers are published beside them.
#![allow(dead_code, reason = "each test uses its own part of this")]

use std::path::{Path, PathBuf};

use flatwright_geometry::contour::Contour;
use flatwright_geometry::units::Mm;
use flatwright_nesting::{Item, Job, SheetKind, Turns};
use kurbo::{Point, Rect};

/// A problem and the fewest sheets known.
pub struct Problem {
    pub name: String,
    pub job: Job,
    pub known: u64,
}

/// The folder of packing data, or `None` with a word why where it is not there.
pub fn folder() -> Option<PathBuf> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/data/packing");
    if !folder.is_dir() {
        println!("skipped: there is no {}", folder.display());
        return None;
    }
    Some(folder)
}

/// The 300 instances of Berkey and Wang (1987) and 200 of Martello and Vigo (1998); `known` are the
/// fewest bins of the list beside them, oriented or with quarter turns.
pub fn rectangles(turns: Turns, effort: u32) -> Vec<Problem> {
    let Some(folder) = folder().map(|f| f.join("martello_vigo_berkey_wang")) else { return Vec::new() };
    let list = if turns == Turns::Fixed { "oriented" } else { "rotation" };
    let list = read(&folder.join(format!("best_known_data_bin_packing_{list}.csv")));
    let mut problems = Vec::new();
    for line in list.lines().skip(1) {
        let Some((name, known)) = line.split_once(',') else { continue };
        // The lists end with sums of classes.
        let Ok(known) = known.parse() else { continue };
        if !folder.join(format!("{name}_items.csv")).is_file() {
            continue;
        }
        let bin = rows(&folder.join(format!("{name}_bins.csv")))[0];
        let rows = rows(&folder.join(format!("{name}_items.csv")));
        let items = rows.iter().enumerate().map(|(i, &(w, h))| {
            let outline = Contour::rectangle(Rect::new(0.0, 0.0, w, h)).expect("has an area");
            Item { name: format!("{i}"), outline, copies: 1, turns }
        });
        let sheet = SheetKind { name: "bin".into(), free: Rect::new(0.0, 0.0, bin.0, bin.1), price: 1.0 };
        let job = Job::new(items.collect(), vec![sheet], Mm::ZERO, 1, effort).expect("a sane job");
        problems.push(Problem { name: name.into(), job, known });
    }
    problems
}

/// The two sets of Terashima-Marin et al. (2010) and Lopez-Camacho (2012): bins cut into polygons.
/// `known` is the number of bins that were cut, the optimum; none is known for some.
pub fn jigsaws(effort: u32) -> Vec<Problem> {
    let Some(folder) = folder().map(|f| f.join("irregular_bin")) else { return Vec::new() };
    let mut problems = Vec::new();
    for set in ["terashima1", "terashima2"] {
        let mut names: Vec<String> = std::fs::read_dir(folder.join(set))
            .expect("a folder")
            .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
            .filter(|name| name.starts_with("Op"))
            .collect();
        names.sort();
        for name in names {
            let known = numbers(&folder.join(set).join(&name))[0] as u64;
            let problem = numbers(&folder.join(set).join(&name[2..]));
            let items = polygons(&problem).into_iter().enumerate().map(|(i, outline)| Item {
                name: format!("{i}"),
                outline,
                copies: 1,
                turns: Turns::Fixed,
            });
            let sheet = SheetKind { name: "bin".into(), free: Rect::new(0.0, 0.0, problem[1], problem[2]), price: 1.0 };
            let job = Job::new(items.collect(), vec![sheet], Mm::ZERO, 1, effort).expect("a sane job");
            problems.push(Problem { name: name[2..].into(), job, known });
        }
    }
    problems
}

/// After the number of pieces and the bin's size: each polygon's number of corners and those.
fn polygons(numbers: &[f64]) -> Vec<Contour> {
    let mut rest = &numbers[3..];
    let mut polygons = Vec::new();
    while let Some((&corners, after)) = rest.split_first() {
        let (points, after) = after.split_at(2 * corners as usize);
        let points = points.chunks_exact(2).map(|p| Point::new(p[0], p[1]));
        polygons.push(Contour::new(points).expect("a simple polygon"));
        rest = after;
    }
    polygons
}

fn rows(path: &Path) -> Vec<(f64, f64)> {
    let row = |line: &str| {
        let mut fields = line.split(',').skip(1).map(|field| field.trim().parse().expect("a number"));
        (fields.next().expect("a width"), fields.next().expect("a height"))
    };
    read(path).lines().skip(1).map(row).collect()
}

fn numbers(path: &Path) -> Vec<f64> {
    read(path).split_whitespace().map(|n| n.parse().expect("a number")).collect()
}

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).expect("readable")
}
