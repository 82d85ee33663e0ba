//! How few sheets could do at best.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::tolerance;
use kurbo::Rect;

use crate::job::Job;

/// A number of sheets that no layout can undercut, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Bound {
    /// The number of sheets.
    pub sheets: u64,
    /// The reason, one sentence with its numbers.
    pub certificate: String,
}

/// The area bound: no layout that [`crate::check::check`] accepts has fewer sheets.
///
/// The gap is counted where that is proved. Outlines that lie `gap` apart stay disjoint when each
/// is grown by `r = gap/2`, and lie in the free area grown by `r`. The grown area of a convex
/// outline of area A and perimeter P is `A + P r + pi r^2` (Steiner's formula), that of any
/// other at least `A + 2 r sqrt(pi A) + pi r^2` (the Brunn-Minkowski inequality). The checker's
/// tolerance is taken off the gap and added to the free area first. Where sheets differ, the
/// largest free area is used for all. With no gap the checker's tolerance on overlaps is covered
/// by taking a strip of that width off every outline.
#[must_use]
pub fn lower_bound(job: &Job) -> Bound {
    let slack = tolerance::FIT;
    let r = (job.gap().get() - slack).max(0.0) / 2.0;
    // Only with next to no gap does the checker let outlines overlap at all, by twice its tolerance.
    let strip = if r > 0.0 { 0.0 } else { 2.0 * slack };
    let pieces: f64 = job
        .items()
        .iter()
        .map(|item| {
            let outline = &item.outline;
            f64::from(item.copies) * (grown(outline, r) - strip * outline.perimeter()).max(0.0)
        })
        .sum();
    let plain: f64 = job.items().iter().map(|item| f64::from(item.copies) * item.outline.area()).sum();
    let room = job.sheets().iter().map(|sheet| grown_rect(sheet.free.inflate(slack, slack), r)).fold(0.0, f64::max);
    let ratio = if room > 0.0 { pieces / room } else { 0.0 };
    // A sheet's worth of rounding is far below one part in 1e9.
    let sheets = ((ratio * (1.0 - 1e-9)).ceil().max(0.0) as u64).max(u64::from(!job.items().is_empty()));
    let certificate = format!(
        "area: the outlines cover {plain:.0} mm2, {pieces:.0} mm2 when each is grown by half the gap; one sheet, \
         grown likewise, offers {room:.0} mm2; {pieces:.0} / {room:.0} = {ratio:.3}"
    );
    Bound { sheets, certificate }
}

/// At most the area of `outline` grown by `r` on all sides; see [`lower_bound`].
fn grown(outline: &Contour, r: f64) -> f64 {
    use std::f64::consts::PI;
    let area = outline.area();
    let ring = if is_convex(outline) { outline.perimeter() } else { 2.0 * (PI * area).sqrt() };
    area + ring * r + PI * r * r
}

fn grown_rect(rect: Rect, r: f64) -> f64 {
    rect.area() + 2.0 * (rect.width() + rect.height()) * r + std::f64::consts::PI * r * r
}

fn is_convex(outline: &Contour) -> bool {
    let p = outline.points();
    let n = p.len();
    (0..n).all(|i| (p[(i + 1) % n] - p[i]).cross(p[(i + 2) % n] - p[(i + 1) % n]) >= 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Item, SheetKind, Turns};
    use flatwright_geometry::units::Mm;

    fn job(copies: u32, gap: f64) -> Job {
        let outline = Contour::rectangle(Rect::new(0.0, 0.0, 49.0, 49.0)).unwrap();
        let item = Item { name: "square".into(), outline, copies, turns: Turns::Fixed };
        let sheet = SheetKind { name: "page".into(), free: Rect::new(0.0, 0.0, 99.0, 99.0), price: 1.0 };
        Job::new(vec![item], vec![sheet], Mm::new(gap), 0, 0).unwrap()
    }

    /// Four squares of 49 with a gap of 1 fill a sheet of 99: the bound must not ask for more.
    #[test]
    fn a_perfect_sheet_meets_the_bound() {
        assert_eq!(lower_bound(&job(4, 1.0)).sheets, 1);
        assert_eq!(lower_bound(&job(40, 1.0)).sheets, 10);
        assert_eq!(lower_bound(&job(41, 1.0)).sheets, 11);
    }

    /// Without the gap 41 squares would cover 10.04 sheets, 40 only 9.8.
    #[test]
    fn without_a_gap_only_the_area_counts() {
        assert_eq!(lower_bound(&job(40, 0.0)).sheets, 10);
        assert_eq!(lower_bound(&job(81, 0.0)).sheets, 20);
    }
}
