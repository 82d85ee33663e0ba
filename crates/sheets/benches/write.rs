//! Time to write a large job: 200 pages, each with 20 placed forms and a little furniture.

#[path = "../tests/common/mod.rs"]
mod common;

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use flatwright_sheets::page::{Align, Document, Layer, Mark, Shape};
use flatwright_sheets::{pdf, svg};
use kurbo::{Affine, Point};

fn large() -> Document {
    let mut document = common::document();
    let sample = document.pages.swap_remove(0);
    let step = |index: usize| f64::from(u32::try_from(index).unwrap_or_default());
    document.pages = (0..200)
        .map(|number| {
            let mut page = sample.clone();
            page.label = number.to_string();
            page.marks = (0..20)
                .map(|index| {
                    let at = (10.0 + 45.0 * step(index % 4), 20.0 + 45.0 * step(index / 4) + 0.01 * step(number));
                    let motion = Affine::translate(at) * Affine::rotate(0.1 * step(index));
                    Mark { layer: Layer::Artwork, shape: Shape::Place { form: 0, motion } }
                })
                .collect();
            for line in 0..20 {
                let words = format!("Sheet {number}, line {line}: scale bar 100 mm");
                let text = common::text(&words, Point::new(20.0, 280.0 - 4.0 * step(line)), 3.0, Align::Start);
                page.marks.push(Mark { layer: Layer::Furniture, shape: Shape::Text(text) });
            }
            page
        })
        .collect();
    document
}

fn writers(criterion: &mut Criterion) {
    let document = large();
    let size = pdf::write(&document).map_or(0, |file| file.len());
    println!("200 pages: a PDF of {size} bytes");
    let mut group = criterion.benchmark_group("200 pages with 20 forms each");
    group.sample_size(10);
    group.bench_function("pdf", |bencher| bencher.iter(|| pdf::write(black_box(&document))));
    group.bench_function("svg", |bencher| {
        bencher.iter(|| {
            (0..document.pages.len()).map(|page| svg::write(black_box(&document), page).map(|f| f.len())).sum::<Result<
                usize,
                _,
            >>(
            )
        });
    });
    group.finish();
}

criterion_group!(benches, writers);
criterion_main!(benches);
