//! Jobs for the tests and the bench.
#![allow(dead_code, reason = "each test and the bench uses its own part of this")]

use std::path::PathBuf;

use flatwright_geometry::contour::Contour;
use flatwright_geometry::units::Mm;
use flatwright_nesting::{Item, Job, SheetKind, Turns};
use kurbo::{Point, Rect};
use serde_json::Value;

pub fn item(name: &str, points: &[(f64, f64)], copies: u32, turns: Turns) -> Item {
    let outline = Contour::new(points.iter().copied().map(Point::from)).expect("a simple outline");
    Item { name: name.into(), outline, copies, turns }
}

pub fn rectangle(width: f64, height: f64, copies: u32, turns: Turns) -> Item {
    item(&format!("{width} x {height}"), &[(0., 0.), (width, 0.), (width, height), (0., height)], copies, turns)
}

pub fn sheet(width: f64, height: f64) -> SheetKind {
    SheetKind { name: "page".into(), free: Rect::new(0.0, 0.0, width, height), price: 1.0 }
}

/// A set of the terrain data, or `None` where the data is not there.
pub fn terrain(name: &str, effort: u32) -> Option<Job> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../../../shared/data/packing/terrain")
        .join(format!("{name}.json"));
    let Ok(text) = std::fs::read_to_string(&path) else {
        println!("skipped: there is no {}", path.display());
        return None;
    };
    let data: Value = serde_json::from_str(&text).expect("JSON");
    let number = |v: &Value| v.as_f64().expect("a number");
    let items = data["pieces"].as_array().expect("pieces").iter().map(|piece| {
        let points: Vec<(f64, f64)> =
            piece["polygon"].as_array().expect("points").iter().map(|p| (number(&p[0]), number(&p[1]))).collect();
        let turns = match piece["rotations"].as_array().map(Vec::len) {
            Some(1) => Turns::Fixed,
            Some(2) => Turns::Half,
            _ => Turns::Quarter,
        };
        let copies = u32::try_from(piece["quantity"].as_u64().expect("quantity")).expect("small");
        item(piece["id"].as_str().expect("id"), &points, copies, turns)
    });
    let page = &data["page"];
    let (w, h, margin) = (number(&page["width"]), number(&page["height"]), number(&page["margin"]));
    let free = Rect::new(0.0, 0.0, w, h).inset(-margin);
    let sheet = SheetKind { name: "Letter".into(), free, price: 1.0 };
    Some(Job::new(items.collect(), vec![sheet], Mm::new(number(&data["gap"])), 1, effort).expect("a sane job"))
}

/// Like a set of 40 tiles: 15 different shapes, about 400 pieces.
pub fn forty_tiles(effort: u32) -> Job {
    let post = |feet: u32, copies| {
        let mut points = vec![(60.0, 10.0), (60.0, 85.0), (0.0, 85.0), (0.0, 10.0)];
        for foot in 0..feet {
            let x = 3.0 + f64::from(foot) * 14.0;
            points.extend([(x, 10.0), (x + 1.0, 0.0), (x + 9.0, 0.0), (x + 10.0, 10.0)]);
        }
        item(&format!("post, {feet} feet"), &points, copies, Turns::Quarter)
    };
    let wall = |body: f64, copies| {
        let x = 6.0 + body;
        let points = [
            (6., 0.),
            (x, 0.),
            (x, 50.),
            (x + 3., 50.),
            (x + 3., 37.5),
            (x + 6., 37.5),
            (x + 6., 72.5),
            (x, 72.5),
            (x, 110.),
            (6., 110.),
            (6., 72.5),
            (0., 72.5),
            (0., 37.5),
            (3., 37.5),
            (3., 50.),
            (6., 50.),
        ];
        item(&format!("wall {body}"), &points, copies, Turns::Half)
    };
    let wrap = |n: f64, m: f64, copies| {
        let (x, y) = (n * 76.2 + 34.0, m * 76.2 + 34.0);
        let points = [
            (24., 0.),
            (x - 24., 0.),
            (x - 20., 20.),
            (x, 24.),
            (x, y - 24.),
            (x - 20., y - 20.),
            (x - 24., y),
            (24., y),
            (20., y - 20.),
            (0., y - 24.),
            (0., 24.),
            (20., 20.),
        ];
        item(&format!("wrap {n} x {m}"), &points, copies, Turns::Quarter)
    };
    let pocket = [(0., 0.), (28., 0.), (28., 28.), (20., 28.), (20., 8.), (0., 8.)];
    let items = vec![
        wrap(1.0, 1.0, 24),
        wrap(1.0, 2.0, 12),
        wrap(2.0, 2.0, 4),
        post(1, 12),
        post(2, 20),
        post(3, 8),
        post(4, 15),
        wall(60.9, 20),
        wall(137.1, 18),
        item("pocket", &pocket, 160, Turns::Quarter),
        rectangle(29.7, 19.7, 60, Turns::Quarter),
        rectangle(15.0, 50.0, 12, Turns::Quarter),
        rectangle(75.7, 75.7, 12, Turns::Quarter),
        rectangle(75.7, 151.9, 6, Turns::Quarter),
        rectangle(60.9, 50.0, 12, Turns::Half),
    ];
    let free = Rect::new(7.0, 15.0, 203.0, 280.0);
    let sheet = SheetKind { name: "A4".into(), free, price: 1.0 };
    Job::new(items, vec![sheet], Mm::new(2.0), 1, effort).expect("a sane job")
}
