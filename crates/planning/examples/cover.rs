//! Covers floors that come as JSON on standard input and writes what they come to.
//!
//! In: a list of plans `{"width", "height", "cells": [surface or null, ...], "across": [0 or 1, ...],
//! "down": [...], "tiles": [[a, b], ...], "every_module": bool, "posts": [[x, y], ...],
//! "on_hand": [[surface, long, short, count], ...]}` with the lattice of `plan::Level`.
//! Out: for each the counts with their bounds and the tiles, or `null` where there is no cover.

use std::error::Error;
use std::io::Read;

use flatwright_geometry::pieces::post::{Arms, Post, Stand};
use flatwright_geometry::pieces::tile::Reliefs;
use flatwright_planning::build::PostPlace;
use flatwright_planning::plan::{Level, Plan, Surface, Vertex};
use flatwright_planning::tiling::{self, Cover, OnHand};
use serde_json::{Value, json};

fn main() -> Result<(), Box<dyn Error>> {
    let effort = std::env::args().nth(1).map_or(Ok(tiling::DEFAULT_EFFORT), |text| text.parse())?;
    let mut text = String::new();
    std::io::stdin().read_to_string(&mut text)?;
    let plans: Vec<Value> = serde_json::from_str(&text)?;
    let covers: Vec<Value> = plans.iter().map(|plan| cover(plan, effort).map_or(Value::Null, |c| answer(&c))).collect();
    println!("{}", Value::from(covers));
    Ok(())
}

fn cover(value: &Value, effort: u32) -> Option<Cover> {
    let mut level = Level::empty("level", number(&value["width"]), number(&value["height"]));
    level.cells = list(&value["cells"]).map(|cell| cell.as_u64().map(|surface| surface as usize)).collect();
    let walls = |name: &str| list(&value[name]).map(|wall| (number(wall) == 1).then_some(0)).collect();
    (level.across, level.down) = (walls("across"), walls("down"));
    let surface = |letter| Surface { letter, name: letter.into(), colour: None, drawn_as: None };
    let plan = Plan {
        title: "plan".into(),
        surfaces: ('a'..='z').map(surface).collect(),
        designs: Vec::new(),
        tiles: list(&value["tiles"]).map(|size| (number(&size[0]) as u32, number(&size[1]) as u32)).collect(),
        reliefs: if value["every_module"] == true { Reliefs::EveryModule } else { Reliefs::Corners },
        spans: vec![1],
        off_floor: Default::default(),
        caps: false,
        extras: Vec::new(),
        fittings: Vec::new(),
        roofs: Vec::new(),
        levels: Vec::new(),
    };
    let post = Post { arms: Arms::from_bits(1), stand: Stand::BasePlate, under: false };
    let vertex = |at: &Value| Vertex { x: number(&at[0]), y: number(&at[1]) };
    let posts: Vec<PostPlace> = list(&value["posts"]).map(|at| PostPlace { at: vertex(at), post }).collect();
    let class = |row: &Value| ((number(&row[0]), (number(&row[1]), number(&row[2]))), number(&row[3]));
    let on_hand: OnHand = list(&value["on_hand"]).map(class).collect();
    tiling::cover(&plan, &level, &posts, &on_hand, effort).ok()
}

fn answer(cover: &Cover) -> Value {
    let tiles: Vec<_> = cover.tiles.iter().map(|t| json!([t.x, t.y, t.width, t.height])).collect();
    json!({
        "tiles": tiles,
        "fewest": [cover.fewest.found, cover.fewest.at_least],
        "new": [cover.new_tiles.found, cover.new_tiles.at_least],
        "straight_seams": [cover.straight_seams.found, cover.straight_seams.at_least],
        "least_board": cover.least_board,
    })
}

fn list(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}

fn number(value: &Value) -> usize {
    value.as_u64().unwrap_or(0) as usize
}
