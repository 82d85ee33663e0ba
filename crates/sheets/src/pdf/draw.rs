//! Contents of pages and forms.

use kurbo::Affine;
use printpdf::Op;

use super::canvas::{Canvas, Used};
use super::ink::Inks;
use super::text::Types;
use crate::page::{Document, Form, Layer, Mark, Page, Shape};

/// One content stream.
pub(super) struct Content {
    /// Its operations, in millimetres.
    pub ops: Vec<Op>,
    /// What they refer to.
    pub used: Used,
}

/// The part of a form that lies on one layer.
pub(super) struct Part {
    /// Index of the form.
    pub form: usize,
    /// The layer.
    pub layer: Layer,
    /// What it draws.
    pub content: Content,
}

/// All content streams of a document.
pub(super) struct Drawn {
    /// One for each page.
    pub pages: Vec<Content>,
    /// One for each layer that a form has marks on, for all forms.
    pub parts: Vec<Part>,
}

/// Draws everything; the contents of page number i through `corrections[i]`, where there is one.
pub(super) fn document(document: &Document, inks: &Inks, types: &Types, corrections: &[Affine]) -> Drawn {
    let correction = |index: usize| corrections.get(index).copied().unwrap_or(Affine::IDENTITY);
    let content = |(index, page): (usize, &Page)| page_content(page, document, inks, types, correction(index));
    let pages = document.pages.iter().enumerate().map(content).collect();
    let mut parts = Vec::new();
    for (index, form) in document.forms.iter().enumerate() {
        for layer in Layer::ALL.into_iter().filter(|&layer| draws_on(form, layer)) {
            let mut canvas = Canvas::new(inks, types, layer, None);
            for mark in form.marks.iter().filter(|mark| layer_of(mark) == layer) {
                draw(mark, document, &mut canvas);
            }
            let (ops, used) = canvas.finish();
            parts.push(Part { form: index, layer, content: Content { ops, used } });
        }
    }
    Drawn { pages, parts }
}

/// Name of a form's part among the resources. Identifiers hold no dot, so no two parts share one.
pub(super) fn part_name(form: &Form, layer: Layer) -> String {
    format!("{}.{}", form.id, layer.id())
}

fn page_content(page: &Page, document: &Document, inks: &Inks, types: &Types, correction: Affine) -> Content {
    let mut canvas = Canvas::new(inks, types, Layer::Artwork, Some(correction));
    for layer in Layer::ALL {
        let mut begun = false;
        for mark in &page.marks {
            let on_layer = match &mark.shape {
                Shape::Place { form, .. } => document.forms.get(*form).is_some_and(|form| draws_on(form, layer)),
                _ => layer_of(mark) == layer,
            };
            if !on_layer {
                continue;
            }
            if !begun {
                canvas.begin_layer(layer);
                begun = true;
            }
            if let Shape::Place { form, motion } = &mark.shape {
                place(&document.forms, *form, layer, *motion, &mut canvas);
            } else {
                draw(mark, document, &mut canvas);
            }
        }
        if begun {
            canvas.end_layer();
        }
    }
    let (ops, used) = canvas.finish();
    Content { ops, used }
}

fn draws_on(form: &Form, layer: Layer) -> bool {
    form.marks.iter().any(|mark| layer_of(mark) == layer)
}

/// A clip is artwork, whatever its mark says.
const fn layer_of(mark: &Mark) -> Layer {
    match mark.shape {
        Shape::Clip { .. } => Layer::Artwork,
        _ => mark.layer,
    }
}

fn place(forms: &[Form], index: usize, layer: Layer, motion: Affine, canvas: &mut Canvas<'_>) {
    if let Some(form) = forms.get(index) {
        canvas.place(index, part_name(form, layer), motion);
    }
}

fn draw(mark: &Mark, document: &Document, canvas: &mut Canvas<'_>) {
    match &mark.shape {
        Shape::Stroke { path, pen } => canvas.stroke(path, pen),
        Shape::Fill { path, colour } => canvas.fill(path, *colour),
        Shape::Text(text) => canvas.text(text),
        Shape::Clip { path, marks } => {
            canvas.begin_clip(path);
            for mark in marks {
                if let Shape::Place { form, motion } = &mark.shape {
                    place(&document.forms, *form, Layer::Artwork, *motion, canvas);
                } else {
                    draw(mark, document, canvas);
                }
            }
            canvas.end_clip();
        }
        Shape::Image { image, motion } => {
            if let Some(picture) = document.images.get(*image) {
                canvas.image(*image, picture.id.clone(), *motion);
            }
        }
        // Pages and clips place forms themselves, and a form in a form was refused before.
        Shape::Place { .. } => {}
    }
}
