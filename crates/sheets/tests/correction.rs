//! A corrected page differs from a plain one by its first transformation and by nothing else.

mod common;

use flatwright_geometry::units::MM_PER_POINT;
use flatwright_sheets::correction::Correction;
use flatwright_sheets::pdf;
use kurbo::{Affine, Point};
use lopdf::content::Content;

/// The operations of every page.
fn operations(bytes: &[u8]) -> Vec<Vec<lopdf::content::Operation>> {
    let file = lopdf::Document::load_mem(bytes).expect("the file is read");
    let pages = file.get_pages();
    let content = |id: &lopdf::ObjectId| file.get_page_content(*id);
    pages.values().map(|id| Content::decode(&content(id)).expect("content is read").operations).collect()
}

fn matrix(operation: &lopdf::content::Operation) -> Affine {
    assert_eq!(operation.operator, "cm");
    let numbers: Vec<f64> =
        operation.operands.iter().map(|number| f64::from(number.as_float().expect("a number"))).collect();
    Affine::new(numbers.try_into().expect("six numbers"))
}

#[test]
fn one_matrix_corrects_a_page() {
    let document = common::document();
    // A printer that prints 98.2 % across and 100.4 % up, with upright lines that lean by 0.3 degrees.
    let printer = Affine::new([0.982, 0.0, 1.004 * 0.3_f64.to_radians().tan(), 1.004, 0.0, 0.0]);
    let correction = Correction { name: "tide".into(), motion: printer.inverse(), words: String::new() };
    let motions: Vec<Affine> = document.pages.iter().map(|page| correction.on_page(page.size)).collect();
    let plain = pdf::write(&document).expect("it can be written");
    let corrected = pdf::write_corrected(&document, &motions).expect("it can be written");
    assert!(plain != corrected);
    assert!(pdf::write_corrected(&document, &[]).expect("it can be written") == plain, "none is none");

    let both = operations(&plain).into_iter().zip(operations(&corrected));
    for ((plain, corrected), page) in both.zip(&document.pages) {
        let told = |rest: &[lopdf::content::Operation]| format!("{rest:?}");
        assert_eq!(told(&plain[1..]), told(&corrected[1..]), "nothing else is changed");
        assert_eq!(
            plain.iter().filter(|operation| operation.operator == "cm").count(),
            corrected.iter().filter(|operation| operation.operator == "cm").count()
        );
        let (width, height) = page.size;
        let middle = Point::new(width.get() / 2.0, height.get() / 2.0);
        let to_mm = Affine::scale(MM_PER_POINT);
        let drawn = to_mm * matrix(&corrected[0]);
        assert!((drawn * middle).distance(middle) < 1e-3, "the middle stays");
        // As the printer prints it, about the middle, every corner comes out where it is wanted.
        let print = Affine::translate(middle.to_vec2()) * printer * Affine::translate(-middle.to_vec2());
        for corner in [(0.0, 0.0), (width.get(), 0.0), (width.get(), height.get()), (0.0, height.get())] {
            let printed = print * (drawn * Point::from(corner));
            assert!(printed.distance(Point::from(corner)) < 1e-3, "{corner:?} comes out at {printed:?}");
        }
    }
    let boxes = |bytes: &[u8]| -> Vec<String> {
        let file = lopdf::Document::load_mem(bytes).expect("the file is read");
        let page = |id: &lopdf::ObjectId| format!("{:?}", file.get_dictionary(*id).expect("a page").get(b"MediaBox"));
        file.get_pages().values().map(page).collect()
    };
    assert_eq!(boxes(&plain), boxes(&corrected));
}
