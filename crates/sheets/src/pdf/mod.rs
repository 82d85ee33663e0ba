//! The PDF writer.
//!
//! [`write()`] goes through three steps, each in its own file: `draw` turns every page, and every
//! layer of every form, into content through the small `canvas`; the document builder's library
//! makes a file of them; `finish` adds what that library does not write or writes wrongly
//! (page boxes, layers, forms, spot colours, type, bookmarks, labels, document information).
//!
//! Forms are stored per layer: a page draws its layers bottom first, and within a layer places
//! the part of each form that lies on it. So the bleed of one piece never covers the cutting line
//! of its neighbour, and hiding a layer hides it in the forms too.

mod canvas;
mod draw;
mod finish;
mod ink;
mod outline;
mod text;

use kurbo::Affine;

use crate::faults::{self, Fault, Lines};
use crate::page::Document;

/// Why no PDF was written.
#[derive(Debug, thiserror::Error)]
pub enum PdfError {
    /// The document cannot be put on paper; all that is wrong with it.
    #[error("the document cannot be written as PDF:{}", Lines(.0))]
    Faults(Vec<Fault>),
    /// The type could not be cut down to the characters used.
    #[error("the type could not be embedded: {0}; please report this with the document's text")]
    Type(#[from] subsetter::Error),
    /// The library built a document without the parts that it should have.
    #[error("the PDF could not be put together: {0}; please report this")]
    Build(#[from] lopdf::Error),
    /// The file could not be put into memory.
    #[error("the PDF could not be stored: {0}")]
    Save(#[from] std::io::Error),
}

/// The document as a PDF 1.7 file: same document, same bytes.
///
/// Coordinates are within 1e-4 mm of the document's on paper up to A0.
///
/// # Errors
/// [`PdfError::Faults`] with everything that [`faults::of_document`] finds; the others only where
/// a library fails.
///
/// ```
/// use flatwright_geometry::units::Mm;
/// use flatwright_sheets::page::{Document, Page};
/// # use kurbo::Rect;
/// let paper = Rect::new(0.0, 0.0, 210.0, 297.0);
/// let page = Page {
///     label: "1".into(),
///     title: "Brine hall floor".into(),
///     section: "Card".into(),
///     size: (Mm::new(210.0), Mm::new(297.0)),
///     trim: paper,
///     bleed: paper,
///     copies: 1,
///     marks: Vec::new(),
/// };
/// let document = Document { title: "Brinewell".into(), pages: vec![page], ..Document::default() };
/// let file = flatwright_sheets::pdf::write(&document)?;
/// assert!(file.starts_with(b"%PDF-1.7"));
/// # Ok::<(), flatwright_sheets::pdf::PdfError>(())
/// ```
pub fn write(document: &Document) -> Result<Vec<u8>, PdfError> {
    write_corrected(document, &[])
}

/// The same with the contents of each page drawn through a motion of their own, so that a printer
/// that prints them askew prints them true: the first motion is for the first page, and pages beyond the
/// last one are drawn as they are. The page boxes stay.
///
/// # Errors
/// As [`write()`].
pub fn write_corrected(document: &Document, corrections: &[Affine]) -> Result<Vec<u8>, PdfError> {
    let faults = faults::of_document(document);
    if !faults.is_empty() {
        return Err(PdfError::Faults(faults));
    }
    let inks = ink::Inks::of(document);
    let types = text::Types::of(document);
    let drawn = draw::document(document, &inks, &types, corrections);
    finish::file(document, drawn, &inks, &types)
}
