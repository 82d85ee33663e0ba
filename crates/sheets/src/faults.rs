//! What a writer cannot put on paper, found before anything is written.

use std::collections::BTreeSet;
use std::fmt;

use flatwright_geometry::tolerance::FIT;
use flatwright_geometry::units::Mm;
use kurbo::{Affine, BezPath, PathEl, Rect};

use crate::page::{Document, Form, Image, Mark, Page, Pen, Pixels, Shape};

/// Longest side of a page: 14 400 units of 1/72 in (ISO 32000-1, annex C.2).
pub const LONGEST_SIDE: Mm = Mm::inches(200.0);

/// One thing wrong with a document, with its place.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{place}: {problem}")]
pub struct Fault {
    /// Where, such as `page 3 ("Card 2 of 5: posts"), mark 17`; pages and marks are counted from 1.
    pub place: String,
    /// What.
    pub problem: Problem,
}

/// What can be wrong.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Problem {
    /// Nothing to print.
    #[error("has no pages; give it at least one")]
    NoPages,
    /// A number that is infinite or not a number.
    #[error("{0} is not a finite number; give it a length in millimetres")]
    NotFinite(&'static str),
    /// Paper without area or too long for a PDF.
    #[error("paper of {0} x {1}; give it sides above 0 mm and up to {LONGEST_SIDE}")]
    PaperSize(Mm, Mm),
    /// The trim reaches out of the bleed, or the bleed out of the paper.
    #[error("the {inner} ({}) reaches out of the {outer} ({}); make it smaller", boxed(*.inner_box), boxed(*.outer_box))]
    Boxes {
        /// The box that should be inside.
        inner: &'static str,
        /// Its corners, mm.
        inner_box: Rect,
        /// The box that should hold it.
        outer: &'static str,
        /// Its corners, mm.
        outer_box: Rect,
    },
    /// A line's width or dashes.
    #[error("a pen {0} wide with dashes of {1:?} mm draws no line; give no negative length and at least one above 0")]
    Pen(Mm, Vec<f64>),
    /// Type without height.
    #[error("text of size {0}; give it a size above 0 mm")]
    TextSize(Mm),
    /// A path whose first element is not a start point.
    #[error("a path does not begin with a start point; move to one first")]
    PathStart,
    /// A form index beyond the end.
    #[error("places form {form}, but there are {forms} (counted from 0)")]
    FormMissing {
        /// The index asked for.
        form: usize,
        /// How many there are.
        forms: usize,
    },
    /// A form placed by a form.
    #[error("a form places another form outside of a clip, or one that places forms itself; put its marks in directly")]
    FormInForm,
    /// A picture index beyond the end.
    #[error("shows picture {image}, but there are {images} (counted from 0)")]
    ImageMissing {
        /// The index asked for.
        image: usize,
        /// How many there are.
        images: usize,
    },
    /// Something that a clip cannot hold, or a picture outside of one.
    #[error("{0}; put only fills, lines, pictures and forms in a clip, and pictures nowhere else")]
    Clip(&'static str),
    /// A picture whose bytes are not what it says.
    #[error("picture {0:?} has not the pixels that its size says")]
    Pixels(String),
    /// A form's motion that is no motion.
    #[error("a form is scaled, skewed or mirrored ({0:?}) outside of a clip; only move and turn it")]
    FormMotion([f64; 6]),
    /// An identifier that file formats cannot take.
    #[error("\"{0}\" is no identifier; use ASCII letters, digits and \"-\"")]
    FormId(String),
    /// Two forms with one identifier.
    #[error("\"{0}\" is the identifier of another form too; give each its own")]
    FormTwice(String),
}

/// Everything wrong with a document. Empty where a writer can write it.
#[must_use]
pub fn of_document(document: &Document) -> Vec<Fault> {
    let mut found = Faults::default();
    if document.pages.is_empty() {
        found.report("the document", Problem::NoPages);
    }
    let mut ids = BTreeSet::new();
    for (index, form) in document.forms.iter().enumerate() {
        check_form(form, index, document, &mut found);
        if !ids.insert(&form.id) {
            found.report(form_place(form, index), Problem::FormTwice(form.id.clone()));
        }
    }
    let mut ids = BTreeSet::new();
    for (index, image) in document.images.iter().enumerate() {
        check_image(image, index, &mut found);
        if !ids.insert(&image.id) {
            found.report(format!("picture {index}"), Problem::FormTwice(image.id.clone()));
        }
    }
    for (index, page) in document.pages.iter().enumerate() {
        check_page(page, index, document, &mut found);
    }
    found.0
}

/// Everything wrong with one page and the forms that it places.
#[must_use]
pub fn of_page(document: &Document, index: usize) -> Vec<Fault> {
    let mut found = Faults::default();
    if let Some(page) = document.pages.get(index) {
        check_page(page, index, document, &mut found);
        // Piece forms place artwork, so what is placed is looked through once more.
        let mut placed: BTreeSet<usize> = page.marks.iter().flat_map(|mark| mark.shape.places()).collect();
        let direct: Vec<&Form> = placed.iter().filter_map(|&form| document.forms.get(form)).collect();
        placed.extend(direct.iter().flat_map(|form| &form.marks).flat_map(|mark| mark.shape.places()));
        for form in placed {
            if let Some(drawing) = document.forms.get(form) {
                check_form(drawing, form, document, &mut found);
            }
        }
    }
    found.0
}

/// Writes faults one to a line, for the errors of the writers.
pub(crate) struct Lines<'a>(pub &'a [Fault]);

impl fmt::Display for Lines<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|fault| write!(f, "\n  {fault}"))
    }
}

#[derive(Default)]
struct Faults(Vec<Fault>);

impl Faults {
    fn report(&mut self, place: impl Into<String>, problem: Problem) {
        self.0.push(Fault { place: place.into(), problem });
    }
}

fn form_place(form: &Form, index: usize) -> String {
    format!("form {index} ({:?})", form.id)
}

fn check_form(form: &Form, index: usize, document: &Document, found: &mut Faults) {
    let place = form_place(form, index);
    if !is_identifier(&form.id) {
        found.report(&place, Problem::FormId(form.id.clone()));
    }
    if !form.bounds.is_finite() {
        found.report(&place, Problem::NotFinite("a side of its bounds"));
    }
    check_marks(&form.marks, &place, Holder::Form, document, found);
}

fn check_image(image: &Image, index: usize, found: &mut Faults) {
    let place = format!("picture {index} ({:?})", image.id);
    if !is_identifier(&image.id) {
        found.report(&place, Problem::FormId(image.id.clone()));
    }
    let (width, height) = (image.size.0 as usize, image.size.1 as usize);
    let sound = match &image.pixels {
        Pixels::Jpeg { file, components } => file.starts_with(&[0xFF, 0xD8]) && matches!(components, 1 | 3),
        Pixels::Rgb(bytes) => width.checked_mul(height).and_then(|n| n.checked_mul(3)) == Some(bytes.len()),
    };
    if width == 0 || height == 0 || !sound {
        found.report(&place, Problem::Pixels(image.id.clone()));
    }
}

fn is_identifier(id: &str) -> bool {
    !id.is_empty() && id.chars().all(|c| c.is_ascii_alphanumeric() || c == '-')
}

fn check_page(page: &Page, index: usize, document: &Document, found: &mut Faults) {
    let place = format!("page {} ({:?})", index + 1, page.title);
    let (width, height) = page.size;
    let fits = |side: Mm| side > Mm::ZERO && side <= LONGEST_SIDE;
    if !(fits(width) && fits(height)) {
        found.report(&place, Problem::PaperSize(width, height));
    }
    let paper = Rect::new(0.0, 0.0, width.get(), height.get());
    for (inner, inner_box, outer, outer_box) in
        [("trim", page.trim, "bleed", page.bleed), ("bleed", page.bleed, "paper", paper)]
    {
        if !inner_box.is_finite() {
            found.report(&place, Problem::NotFinite("a side of its trim or bleed"));
        } else if !holds(outer_box, inner_box) {
            found.report(&place, Problem::Boxes { inner, inner_box, outer, outer_box });
        }
    }
    check_marks(&page.marks, &place, Holder::Page, document, found);
}

fn holds(outer: Rect, inner: Rect) -> bool {
    inner.x0 <= inner.x1 && inner.y0 <= inner.y1 && outer.inflate(FIT, FIT).contains_rect(inner)
}

/// What holds a mark.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Holder {
    Page,
    Form,
    Clip,
}

fn check_marks(marks: &[Mark], place: &str, holder: Holder, document: &Document, found: &mut Faults) {
    for (index, mark) in marks.iter().enumerate() {
        for problem in problems_of(&mark.shape, holder, document) {
            found.report(format!("{place}, mark {}", index + 1), problem);
        }
    }
}

fn problems_of(shape: &Shape, holder: Holder, document: &Document) -> Vec<Problem> {
    match shape {
        Shape::Stroke { path, pen } => path_problem(path).into_iter().chain(pen_problem(pen)).collect(),
        Shape::Fill { path, .. } => path_problem(path).into_iter().collect(),
        Shape::Text(_) if holder == Holder::Clip => vec![Problem::Clip("a clip holds text")],
        Shape::Text(text) => {
            let mut problems = Vec::new();
            if !(text.at.is_finite() && text.size.get().is_finite() && text.turn.radians().is_finite()) {
                problems.push(Problem::NotFinite("a text's position, size or turn"));
            } else if text.size <= Mm::ZERO {
                problems.push(Problem::TextSize(text.size));
            }
            problems
        }
        Shape::Place { form, motion } => {
            let forms = document.forms.len();
            let missing = match document.forms.get(*form) {
                _ if holder == Holder::Form => Some(Problem::FormInForm),
                None => Some(Problem::FormMissing { form: *form, forms }),
                Some(drawing)
                    if holder == Holder::Clip && drawing.marks.iter().any(|m| !m.shape.places().is_empty()) =>
                {
                    Some(Problem::FormInForm)
                }
                Some(_) => None,
            };
            let moved = if !motion.is_finite() {
                Some(Problem::NotFinite("a form's motion"))
            } else if holder != Holder::Clip && !is_motion(*motion) {
                Some(Problem::FormMotion(motion.as_coeffs()))
            } else {
                None
            };
            missing.into_iter().chain(moved).collect()
        }
        Shape::Clip { .. } if holder == Holder::Clip => vec![Problem::Clip("a clip holds another clip")],
        Shape::Clip { path, marks } => {
            let inner = marks.iter().flat_map(|mark| problems_of(&mark.shape, Holder::Clip, document));
            path_problem(path).into_iter().chain(inner).collect()
        }
        Shape::Image { .. } if holder != Holder::Clip => vec![Problem::Clip("a picture lies outside of a clip")],
        Shape::Image { image, motion } => {
            let images = document.images.len();
            let missing = (*image >= images).then_some(Problem::ImageMissing { image: *image, images });
            let moved = (!motion.is_finite()).then_some(Problem::NotFinite("a picture's motion"));
            missing.into_iter().chain(moved).collect()
        }
    }
}

fn path_problem(path: &BezPath) -> Option<Problem> {
    match path.elements().first() {
        None | Some(PathEl::MoveTo(_)) if path.is_finite() => None,
        None | Some(PathEl::MoveTo(_)) => Some(Problem::NotFinite("a coordinate of a path")),
        Some(_) => Some(Problem::PathStart),
    }
}

fn pen_problem(pen: &Pen) -> Option<Problem> {
    let lengths = || pen.dashes.iter().map(|dash| dash.get()).chain([pen.width.get()]);
    if !lengths().all(f64::is_finite) {
        return Some(Problem::NotFinite("a pen's width or dash"));
    }
    // A width of nothing means "as thin as the device can" in a PDF and "none" in SVG.
    let draws = pen.width > Mm::ZERO && lengths().all(|length| length >= 0.0);
    let dashed = pen.dashes.is_empty() || pen.dashes.iter().any(|&dash| dash > Mm::ZERO);
    (!(draws && dashed)).then(|| Problem::Pen(pen.width, pen.dashes.iter().map(|dash| dash.get()).collect()))
}

/// Whether a map only moves and turns: over the longest page it may be out by no more than `FIT`.
fn is_motion(motion: Affine) -> bool {
    let [a, b, c, d, _, _] = motion.as_coeffs();
    let slack = FIT / LONGEST_SIDE.get();
    (a.hypot(b) - 1.0).abs() <= slack && (a - d).abs() <= slack && (b + c).abs() <= slack
}

fn boxed(rect: Rect) -> String {
    format!("{} to {}, {} to {}", Mm::new(rect.x0), Mm::new(rect.x1), Mm::new(rect.y0), Mm::new(rect.y1))
}
