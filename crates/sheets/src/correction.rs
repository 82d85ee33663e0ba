//! How pages are drawn so that a printer that prints them askew prints them true.

use flatwright_geometry::pattern::Stock;
use flatwright_geometry::units::Mm;
use kurbo::{Affine, Point, Rect, Vec2};

use crate::compose::{Composed, SheetRecord};

/// What a printer is corrected for.
#[derive(Clone, Debug, PartialEq)]
pub struct Correction {
    /// The printer's name.
    pub name: String,
    /// From what is wanted to what must be drawn, about the origin: scales and a shear.
    pub motion: Affine,
    /// What is corrected, in words, such as `across +0.42 %, up -0.10 %, skew 0.05 degrees`.
    pub words: String,
}

impl Correction {
    /// The motion about the middle of a page.
    #[must_use]
    pub fn on_page(&self, (width, height): (Mm, Mm)) -> Affine {
        let middle = Vec2::new(width.get(), height.get()) / 2.0;
        Affine::translate(middle) * self.motion * Affine::translate(-middle)
    }

    /// The motion of every page. Sheets of board, where it is cut straight, go to a cutter and not through
    /// the printer: they stay as they are.
    #[must_use]
    pub fn of_pages(&self, composed: &Composed, board_straight: bool) -> Vec<Affine> {
        let cut = |sheet: &&SheetRecord| board_straight && sheet.stock == Stock::Board;
        let for_cutter: Vec<usize> = composed.sheets.iter().filter(cut).map(|sheet| sheet.page).collect();
        let motion = |(index, page): (usize, &crate::page::Page)| {
            if for_cutter.contains(&index) { Affine::IDENTITY } else { self.on_page(page.size) }
        };
        composed.document.pages.iter().enumerate().map(motion).collect()
    }

    /// The margin that is left of `margin` on a page once it is corrected; below zero where contents
    /// run off the paper.
    #[must_use]
    pub fn margin_left(&self, size: (Mm, Mm), margin: Mm) -> Mm {
        let (w, h, m) = (size.0.get(), size.1.get(), margin.get());
        let motion = self.on_page(size);
        let Rect { x0, y0, x1, y1 } = Rect::new(m, m, w - m, h - m);
        let corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(|corner| motion * Point::from(corner));
        let nearest = |p: Point| p.x.min(p.y).min(w - p.x).min(h - p.y);
        Mm::new(corners.into_iter().map(nearest).fold(f64::INFINITY, f64::min))
    }

    /// What whoever prints must know, in a sentence or two.
    #[must_use]
    pub fn advice(&self) -> String {
        format!(
            "These pages are corrected for the printer \"{}\" ({}): print them there, with the same settings and paper as \
             its calibration page, and nowhere else. Files for a cutter are not corrected.",
            self.name, self.words
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_larger_drawing_leaves_less_margin() {
        let correction = |x: f64, y: f64| Correction {
            name: "a".into(),
            motion: Affine::scale_non_uniform(x, y),
            words: String::new(),
        };
        let a4 = (Mm::new(210.0), Mm::new(297.0));
        let left = |x, y| correction(x, y).margin_left(a4, Mm::new(7.0)).get();
        assert!((left(1.0, 1.0) - 7.0).abs() < 1e-9);
        // Half the printable height, 141.5 mm, grows by two per cent.
        assert!((left(1.0, 1.02) - (7.0 - 2.83)).abs() < 1e-9);
        assert!((left(0.98, 0.98) - (7.0 + 0.02 * 98.0)).abs() < 1e-9);
        assert!(left(1.06, 1.06) < 0.0);
        // The middle stays.
        let middle = correction(1.03, 0.99).on_page(a4) * Point::new(105.0, 148.5);
        assert!(middle.distance(Point::new(105.0, 148.5)) < 1e-9);
    }
}
