//! A small document with every shape, every layer and a turned form, on three sizes of paper.

use flatwright_geometry::units::{Angle, Mm};
use flatwright_sheets::page::{Align, Colour, Document, Form, Layer, Mark, Page, Pen, Shape, Text, Weight};
use kurbo::{Affine, BezPath, Circle, Point, Rect, Shape as _};

/// Where the sample places its form on the first page, and where turned by a quarter.
pub const PLACED: Point = Point::new(20.0, 30.0);
pub const TURNED: Point = Point::new(120.0, 40.0);

/// A title that no file format takes as it is.
pub const AWKWARD: &str = "Lamp <store> & \"tide\" (stair)\\ \u{5D0}\u{202E}\u{0}\u{1F600} 76 × 5 →";

pub fn document() -> Document {
    Document {
        title: "Brinewell: pump room – sheets".into(),
        subject: AWKWARD.into(),
        forms: vec![form()],
        images: Vec::new(),
        pages: vec![first(), second(), third()],
    }
}

/// A panel of 40 by 20 mm: bleed, cutting line, folds, score, glue, name.
fn form() -> Form {
    let panel = Rect::new(0.0, 0.0, 40.0, 20.0);
    let line = |y: f64| [(5.0, y), (35.0, y)];
    Form {
        id: "panel-a".into(),
        bounds: panel.inflate(3.0, 3.0),
        marks: vec![
            fill(Layer::Artwork, panel.inflate(3.0, 3.0).to_path(0.01), Colour(0xE0, 0xD8, 0xC0)),
            stroke(Layer::Gluing, polyline(&line(2.0)), pen(0.25, Colour::GREEN, &[0.125, 0.75], true)),
            stroke(Layer::PartialCutting, polyline(&line(6.0)), pen(0.25, Colour::BLUE, &[3.0, 4.5], false)),
            stroke(Layer::CreasingValley, polyline(&line(10.0)), pen(0.25, Colour::BLUE, &[3.0, 0.75], false)),
            stroke(Layer::CreasingMountain, polyline(&line(14.0)), pen(0.25, Colour::VERMILLION, &[3.0, 0.75], false)),
            stroke(Layer::Cutting, panel.to_path(0.01), pen(0.35, Colour::BLACK, &[], false)),
            mark(Layer::Labels, Shape::Text(text("Panel A", Point::new(20.0, 16.0), 3.0, Align::Middle))),
        ],
    }
}

fn first() -> Page {
    let arrow = polyline(&[(100.0, 150.0), (110.0, 155.0), (100.0, 160.0)]);
    let mut ring = Circle::new((50.0, 150.0), 20.0).to_path(0.001);
    ring.extend(Circle::new((50.0, 150.0), 10.0).to_path(0.001));
    let mut curve = BezPath::new();
    curve.move_to((100.0, 200.0));
    curve.quad_to((120.0, 230.0), (140.0, 200.0));
    let titled = Text { weight: Weight::Bold, ..text(AWKWARD, Point::new(15.0, 280.0), 5.0, Align::Start) };
    let upright = Text { turn: Angle::QUARTER, ..text("100 mm", Point::new(200.0, 100.0), 4.0, Align::End) };
    // Furniture stands first here to show that writers draw layers in their own order.
    let marks = vec![
        mark(Layer::Furniture, Shape::Text(titled)),
        mark(Layer::Furniture, Shape::Text(upright)),
        place(Affine::translate(PLACED.to_vec2())),
        place(Affine::translate(TURNED.to_vec2()) * Affine::rotate(std::f64::consts::FRAC_PI_2)),
        place(Affine::translate((60.0, 60.0)) * Affine::rotate(0.3)),
        fill(Layer::Artwork, ring, Colour::VERMILLION),
        stroke(Layer::Perforating, curve, pen(0.5, Colour::GREEN, &[1.0, 1.0], true)),
        stroke(Layer::Cutting, arrow, pen(0.35, Colour::VERMILLION, &[], true)),
        stroke(Layer::Trimming, polyline(&[(20.0, 200.0), (60.0, 200.0)]), pen(0.25, Colour::BLACK, &[], false)),
    ];
    page("1", "Card 1 of 2: panels", "Card", (210.0, 297.0), marks)
}

fn second() -> Page {
    let cut = polyline(&[(10.0, 10.0), (86.123_45, 10.0), (86.123_45, 12.345_67)]);
    let marks = vec![stroke(Layer::Cutting, cut, pen(0.35, Colour::BLACK, &[], false))];
    page("2", "Card 2 of 2: posts", "Card", (215.9, 279.4), marks)
}

fn third() -> Page {
    let far = polyline(&[(1_000.123_4, 800.567_8), (1_188.987_6, 840.999_9)]);
    let marks = vec![stroke(Layer::Cutting, far, pen(0.35, Colour::BLACK, &[], false))];
    page("B-1", AWKWARD, "Board", (1189.0, 841.0), marks)
}

fn page(label: &str, title: &str, section: &str, (width, height): (f64, f64), marks: Vec<Mark>) -> Page {
    let paper = Rect::new(0.0, 0.0, width, height);
    Page {
        label: label.into(),
        title: title.into(),
        section: section.into(),
        size: (Mm::new(width), Mm::new(height)),
        trim: paper.inset(-10.0),
        bleed: paper.inset(-7.0),
        copies: 1,
        marks,
    }
}

pub fn pen(width: f64, colour: Colour, dashes: &[f64], round: bool) -> Pen {
    Pen { width: Mm::new(width), colour, dashes: dashes.iter().copied().map(Mm::new).collect(), round }
}

pub fn polyline(points: &[(f64, f64)]) -> BezPath {
    let mut path = BezPath::new();
    for (index, &point) in points.iter().enumerate() {
        if index == 0 { path.move_to(point) } else { path.line_to(point) }
    }
    path
}

pub fn stroke(layer: Layer, path: BezPath, pen: Pen) -> Mark {
    mark(layer, Shape::Stroke { path, pen })
}

pub fn fill(layer: Layer, path: BezPath, colour: Colour) -> Mark {
    mark(layer, Shape::Fill { path, colour })
}

pub fn text(words: &str, at: Point, size: f64, align: Align) -> Text {
    Text {
        at,
        text: words.into(),
        size: Mm::new(size),
        weight: Weight::Regular,
        align,
        turn: Angle::ZERO,
        colour: Colour::BLACK,
    }
}

pub fn mark(layer: Layer, shape: Shape) -> Mark {
    Mark { layer, shape }
}

fn place(motion: Affine) -> Mark {
    mark(Layer::Artwork, Shape::Place { form: 0, motion })
}
