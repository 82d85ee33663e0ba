//! Pages of one document shown in another, with the forms and pictures that they use.

use std::collections::BTreeSet;

use kurbo::{BezPath, PathEl, Point, Rect, Shape as _};

use crate::page::{Document, Form, Image, Mark, Page, Shape};

/// The document without the forms and pictures that no page uses.
#[must_use]
pub fn used(mut document: Document) -> Document {
    let mut shelf = Shelf::default();
    let shown = Shown { forms: &document.forms, images: &document.images };
    let pages = std::mem::take(&mut document.pages);
    let pages = pages.into_iter().map(|mut page| {
        page.marks = shelf.take(&page.marks, shown);
        page
    });
    let pages = pages.collect();
    Document { forms: shelf.forms, images: shelf.images, pages, ..document }
}

/// The first page of `from` for a document `into`, which takes over the forms and pictures that it
/// uses; equal ones are kept once. `None` where there is no page.
pub fn page(into: &mut Document, from: &Document) -> Option<Page> {
    let page = from.pages.first()?;
    let mut shelf = Shelf { forms: std::mem::take(&mut into.forms), images: std::mem::take(&mut into.images) };
    let marks = shelf.take(&page.marks, Shown { forms: &from.forms, images: &from.images });
    (into.forms, into.images) = (shelf.forms, shelf.images);
    Some(Page { marks, ..page.clone() })
}

/// Marks without the forms that lie outside of the clips that hold them.
pub(crate) fn met(marks: Vec<Mark>, forms: &[Form]) -> Vec<Mark> {
    let inside = |mark: &Mark, bounds: Rect| match &mark.shape {
        Shape::Place { form, motion } => forms
            .get(*form)
            .is_some_and(|form| !form.marks.is_empty() && motion.transform_rect_bbox(form.bounds).overlaps(bounds)),
        _ => true,
    };
    let clipped = |mut mark: Mark| {
        if let Shape::Clip { path, marks } = &mut mark.shape {
            let bounds = path.bounding_box();
            marks.retain(|mark| inside(mark, bounds));
        }
        mark
    };
    marks.into_iter().map(clipped).collect()
}

/// A path with its points on a grid.
pub(crate) fn snapped(path: &BezPath, grain: f64) -> BezPath {
    let one = |length: f64| flatwright_geometry::units::snapped((length / grain).round() * grain);
    let near = |p: Point| Point::new(one(p.x), one(p.y));
    let element = |element| match element {
        PathEl::MoveTo(p) => PathEl::MoveTo(near(p)),
        PathEl::LineTo(p) => PathEl::LineTo(near(p)),
        PathEl::QuadTo(p, q) => PathEl::QuadTo(near(p), near(q)),
        PathEl::CurveTo(p, q, r) => PathEl::CurveTo(near(p), near(q), near(r)),
        PathEl::ClosePath => PathEl::ClosePath,
    };
    path.iter().map(element).collect()
}

/// What marks refer to.
#[derive(Clone, Copy)]
struct Shown<'a> {
    forms: &'a [Form],
    images: &'a [Image],
}

/// Forms and pictures, each once.
#[derive(Default)]
struct Shelf {
    forms: Vec<Form>,
    images: Vec<Image>,
}

impl Shelf {
    /// The marks, what they use taken over.
    fn take(&mut self, marks: &[Mark], from: Shown<'_>) -> Vec<Mark> {
        // Only what is used, and in its order: indices stay as they are from run to run.
        let wanted: BTreeSet<usize> = marks.iter().flat_map(|mark| mark.shape.places()).collect();
        let mut forms = vec![0; from.forms.len()];
        for index in wanted {
            if let Some(form) = from.forms.get(index) {
                forms[index] = self.form(form, from);
            }
        }
        let images = self.pictures(marks, from);
        marks.iter().map(|mark| Mark { layer: mark.layer, shape: renumbered(&mark.shape, &forms, &images) }).collect()
    }

    fn pictures(&mut self, marks: &[Mark], from: Shown<'_>) -> Vec<usize> {
        let wanted: BTreeSet<usize> = marks.iter().flat_map(|mark| mark.shape.images()).collect();
        let mut images = vec![0; from.images.len()];
        for index in wanted {
            if let Some(image) = from.images.get(index) {
                images[index] = self.image(image);
            }
        }
        images
    }

    fn form(&mut self, form: &Form, from: Shown<'_>) -> usize {
        // A form may place others, which place none.
        let marks = self.take(&form.marks, from);
        if let Some(known) = self.forms.iter().position(|other| other.bounds == form.bounds && other.marks == marks) {
            return known;
        }
        let taken: BTreeSet<&str> = self.forms.iter().map(|form| form.id.as_str()).collect();
        let id = free(&form.id, &taken);
        self.forms.push(Form { id, bounds: form.bounds, marks });
        self.forms.len() - 1
    }

    fn image(&mut self, image: &Image) -> usize {
        let same = |other: &Image| other.size == image.size && other.pixels == image.pixels;
        if let Some(known) = self.images.iter().position(same) {
            return known;
        }
        let taken: BTreeSet<&str> = self.images.iter().map(|image| image.id.as_str()).collect();
        let id = free(&image.id, &taken);
        self.images.push(Image { id, ..image.clone() });
        self.images.len() - 1
    }
}

/// The identifier, with a number behind it where it is taken.
fn free(id: &str, taken: &BTreeSet<&str>) -> String {
    let numbered = (2_u32..).map(|number| format!("{id}-{number}"));
    std::iter::once(id.to_owned()).chain(numbered).find(|id| !taken.contains(id.as_str())).unwrap_or_default()
}

fn renumbered(shape: &Shape, forms: &[usize], images: &[usize]) -> Shape {
    match shape {
        // What is missing here is missing there: the faults tell.
        Shape::Place { form, motion } => {
            Shape::Place { form: forms.get(*form).copied().unwrap_or(usize::MAX), motion: *motion }
        }
        Shape::Image { image, motion } => {
            Shape::Image { image: images.get(*image).copied().unwrap_or(usize::MAX), motion: *motion }
        }
        Shape::Clip { path, marks } => {
            let inner =
                marks.iter().map(|mark| Mark { layer: mark.layer, shape: renumbered(&mark.shape, forms, images) });
            Shape::Clip { path: path.clone(), marks: inner.collect() }
        }
        other => other.clone(),
    }
}

#[cfg(test)]
mod tests {
    use flatwright_geometry::units::Mm;
    use kurbo::Affine;

    use super::*;
    use crate::faults;
    use crate::page::{Colour, Layer};

    fn square(id: &str, side: f64, colour: Colour) -> Form {
        let bounds = Rect::new(0.0, 0.0, side, side);
        let fill = Shape::Fill { path: bounds.to_path(0.1), colour };
        Form { id: id.into(), bounds, marks: vec![Mark { layer: Layer::Artwork, shape: fill }] }
    }

    /// A page whose one clip places the forms of those indices.
    fn document(forms: Vec<Form>, placed: &[usize]) -> Document {
        let paper = Rect::new(0.0, 0.0, 50.0, 50.0);
        let mark = |shape| Mark { layer: Layer::Artwork, shape };
        let marks = placed.iter().map(|&form| mark(Shape::Place { form, motion: Affine::IDENTITY })).collect();
        let page = Page {
            label: "1".into(),
            title: "t".into(),
            section: "s".into(),
            size: (Mm::new(50.0), Mm::new(50.0)),
            trim: paper,
            bleed: paper,
            copies: 1,
            marks: vec![mark(Shape::Clip { path: paper.to_path(0.1), marks })],
        };
        Document { forms, pages: vec![page], ..Document::default() }
    }

    #[test]
    fn a_page_brings_what_it_uses_and_nothing_twice() {
        let (red, blue) = (Colour(200, 0, 0), Colour(0, 0, 200));
        let mut into = document(vec![square("art-1", 10.0, red), square("art-2", 10.0, blue)], &[0, 1]);
        // Of the other's three forms one is here already, one has a name that is taken, one is not used.
        let forms = vec![square("x", 5.0, red), square("art-1", 20.0, red), square("art-9", 10.0, blue)];
        let page = page(&mut into, &document(forms, &[1, 2])).unwrap();
        let ids: Vec<&str> = into.forms.iter().map(|form| form.id.as_str()).collect();
        assert_eq!(ids, ["art-1", "art-2", "art-1-2"]);
        assert_eq!(page.marks[0].shape.places(), [2, 1]);
        into.pages.push(page);
        assert!(faults::of_document(&into).is_empty());
    }

    #[test]
    fn what_no_page_uses_is_left_out() {
        let all =
            vec![square("a", 1.0, Colour::BLACK), square("b", 2.0, Colour::BLACK), square("c", 3.0, Colour::BLACK)];
        let left = used(document(all, &[2, 0, 2]));
        let ids: Vec<&str> = left.forms.iter().map(|form| form.id.as_str()).collect();
        assert_eq!(ids, ["a", "c"]);
        assert_eq!(left.pages[0].marks[0].shape.places(), [1, 0, 1]);
    }
}
