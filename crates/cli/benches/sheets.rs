//! Whole jobs, from the set file's bytes to those of the PDF and the SVG pages.
//! `cargo bench -p flatwright`

use criterion::{Criterion, criterion_group, criterion_main};
use flatwright::args::Overrides;
use flatwright::pipeline::{self, Effort};

/// A set of forty tiles with the posts, walls and biscuits that go with them.
fn forty_tiles() -> String {
    set(r#"{ "piece": "tile", "size": [1, 1], "count": 16 },
        { "piece": "tile", "size": [1, 2], "count": 12 },
        { "piece": "tile", "size": [2, 2], "count": 12 },
        { "piece": "biscuit", "count": 48 },
        { "piece": "post", "arms": "NE", "feet": ["NE"], "count": 12 },
        { "piece": "post", "arms": "NES", "feet": ["NE", "SE"], "count": 8 },
        { "piece": "post", "arms": "NESW", "feet": ["NE", "SE", "SW", "NW"], "count": 6 },
        { "piece": "wall", "span": 1, "count": 16 },
        { "piece": "wall", "span": 2, "count": 10 },
        { "piece": "wall", "span": 1, "opening": { "door": {} }, "count": 4 }"#)
}

/// A hundred tiles, each with a name of its own: more than two hundred different pages.
fn two_hundred_pages() -> String {
    let tiles = (1..=100).map(|n| format!(r#"{{ "piece": "tile", "size": [2, 2], "label": "hall {n}" }}"#));
    set(&tiles.collect::<Vec<_>>().join(","))
}

fn set(pieces: &str) -> String {
    format!(r#"{{ "name": "Brinewell, timed", "stock": {{ "paper": {{ "size": "A4" }} }}, "pieces": [{pieces}] }}"#)
}

/// Number of pages, so that nothing is optimised away and a wrong job is seen.
fn make(text: &str) -> usize {
    let set = pipeline::resolve("bench", text.as_bytes().to_vec(), &Overrides::default()).expect("a good set");
    let laid_out =
        pipeline::lay_out("bench", &set, &pipeline::prove(&set), Effort { seed: 1, steps: None }, &mut |_| {})
            .expect("it fits");
    pipeline::render(&set, &laid_out, None, None).expect("it can be written").pages.len()
}

fn benches(c: &mut Criterion) {
    let (small, large) = (forty_tiles(), two_hundred_pages());
    println!("40 tiles: {} different pages; 100 named tiles: {}", make(&small), make(&large));
    let mut group = c.benchmark_group("sheets");
    group.sample_size(10);
    group.bench_function("40 tiles", |b| b.iter(|| make(&small)));
    group.bench_function("200 pages", |b| b.iter(|| make(&large)));
    group.finish();
}

criterion_group!(all, benches);
criterion_main!(all);
