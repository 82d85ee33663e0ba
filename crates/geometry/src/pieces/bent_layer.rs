//! One layer of a bent wall: a sheet that is folded along lines across it, with what is cut out of the
//! wall where it is on the wall.

use kurbo::{Affine, Line};

use super::bend::Bend;
use super::{Draft, PieceError, mm, rect};
use crate::contour::Contour;
use crate::parameters::Parameters;
use crate::pattern::{Fold, PieceKind, Stock};
use crate::region::{self, Region};
use crate::tolerance;
use crate::units::{Angle, Mm, snapped};

/// A cut edge that runs along a fold nearer than this, mm, beyond what the fold itself takes, is moved
/// onto it: what would be left between the two is no card to speak of.
const SLIVER: f64 = 0.02;
/// Shortest stretch of such an edge that is moved, mm. Edges that cross a fold are left alone.
const LEAST_STRETCH: f64 = 0.5;
/// Smaller parts between folds and holes are noise of the snapping grid, mm2.
const LEAST_AREA: f64 = 0.01;

/// What sets a layer apart.
#[derive(Clone, Copy)]
pub(super) struct Layer {
    pub kind: PieceKind,
    pub stock: Stock,
    /// Which layer, for people.
    pub name: &'static str,
    /// Seen from its printed side: mountain folds outside the bend, valley folds inside.
    pub fold: Fold,
    /// How far outside the middle line the inside of its folds lies, mm.
    pub line: f64,
    /// The caliper that its folds bend.
    pub bends: Mm,
    /// Whether it has the tabs that hang in posts.
    pub tabs: bool,
}

impl Layer {
    pub(super) const fn of_card(p: &Parameters) -> Self {
        let (kind, stock) = (PieceKind::BentWall, Stock::Card);
        Self { kind, stock, name: "", fold: Fold::Mountain, line: 0.0, bends: p.card, tabs: true }
    }

    /// Cut half through from outside: the paper at its back alone bends, and takes no length.
    pub(super) const fn of_board() -> Self {
        let (kind, stock) = (PieceKind::BentCore, Stock::Board);
        Self { kind, stock, name: "", fold: Fold::Mountain, line: 0.0, bends: Mm::ZERO, tabs: true }
    }

    pub(super) const fn of_paper(p: &Parameters) -> Self {
        let (kind, stock) = (PieceKind::BentFacing, Stock::Paper);
        Self { kind, stock, name: "", fold: Fold::Mountain, line: 0.0, bends: p.paper, tabs: false }
    }

    /// Whether its printed side is seen from inside the bend.
    pub(super) const fn is_inside(self) -> bool {
        matches!(self.fold, Fold::Valley)
    }

    fn allowance(self, p: &Parameters, bend: Bend) -> f64 {
        mm(p.fold_allowance(Angle::degrees(bend.fold_angle()), self.bends))
    }

    /// Where its body begins, its folds, and where it ends, along the flat layer from its left end.
    pub(super) fn lines(self, p: &Parameters, bend: Bend) -> Vec<f64> {
        // Inside lengths, and half an allowance for each fold at their ends.
        self.along(p, bend.sides(p, self.line), self.allowance(p, bend))
    }

    /// The same places along the wall's middle line.
    fn middle(self, p: &Parameters, bend: Bend) -> Vec<f64> {
        self.along(p, bend.sides(p, 0.0), 0.0)
    }

    fn along(self, p: &Parameters, mut sides: Vec<f64>, allowance: f64) -> Vec<f64> {
        // Bends lead clockwise about their corners: from outside their end is on the left.
        if !self.is_inside() {
            sides.reverse();
        }
        let start = (mm(p.post_side()) + mm(p.play)) / 2.0;
        let (mut at, last) = (-start, sides.len().saturating_sub(1));
        let mut lines = vec![0.0];
        for (i, side) in sides.into_iter().enumerate() {
            let folds = if i == 0 || i == last { 0.5 } else { 1.0 };
            at += side + folds * allowance;
            lines.push(snapped(if i == last { at - start } else { at }));
        }
        lines
    }

    /// Adds its panels between the folds, with holes given along the middle line as seen from outside,
    /// and the folds between them.
    pub(super) fn hang(
        self,
        draft: &mut Draft,
        p: &Parameters,
        bend: Bend,
        outline: &[Region],
        holes: &[Region],
    ) -> Result<(), PieceError> {
        let (flat, middle) = (self.lines(p, bend), self.middle(p, bend));
        let mut holes = self.here(&flat, &middle, holes);
        holes.extend(slivers(&flat, &holes, self.allowance(p, bend) / 2.0 + SLIVER, mm(p.wall_height)));
        let last = flat.len() - 2;
        let mut first_of = Vec::new();
        for (i, ends) in flat.windows(2).enumerate() {
            // Tabs reach past the body.
            let from = if i == 0 { -1e4 } else { ends[0] };
            let to = if i == last { 1e4 } else { ends[1] };
            let facet = region::intersection(outline, &rect(from, -1e4, to, 1e4));
            first_of.push(draft.net.panels.len());
            let parts = region::difference(&facet, &holes).into_iter();
            for part in parts.filter(|part| part.area() > LEAST_AREA) {
                draft.panel("facet", &[part], &[])?;
            }
        }
        first_of.push(draft.net.panels.len());
        let mut folds = Vec::new();
        for (i, x) in flat.iter().enumerate().take(last + 1).skip(1) {
            for left in first_of[i - 1]..first_of[i] {
                for right in first_of[i]..first_of[i + 1] {
                    let stretches = common(draft, left, right, *x);
                    folds.extend(stretches.into_iter().map(|(from, to)| (left, right, *x, from, to)));
                }
            }
        }
        // From the first panel outwards, so that each fold begins at a panel that hangs on it already.
        let angle = Angle::degrees(bend.fold_angle());
        let mut hung = vec![false; draft.net.panels.len()];
        if let Some(first) = hung.first_mut() {
            *first = true;
        }
        while let Some(next) = folds.iter().position(|(left, right, ..)| hung[*left] || hung[*right]) {
            let (left, right, x, from, to) = folds.remove(next);
            let (fixed, turned) = if hung[left] { (left, right) } else { (right, left) };
            hung[turned] = true;
            draft.hinge(fixed, turned, Line::new((x, from), (x, to)), self.fold, angle);
        }
        Ok(())
    }

    /// Holes of the wall as they lie on the flat layer: what lies between two folds is stretched to the
    /// layer's own length there. A hole's edge is off by half an allowance of a fold at most.
    fn here(self, flat: &[f64], middle: &[f64], holes: &[Region]) -> Vec<Region> {
        let whole = middle.last().copied().unwrap_or_default();
        let seen = if self.is_inside() { Affine::new([-1.0, 0.0, 0.0, 1.0, whole, 0.0]) } else { Affine::IDENTITY };
        let holes: Vec<Region> = holes.iter().map(|hole| hole.moved(seen)).collect();
        let mut here = Vec::new();
        for (from, to) in middle.windows(2).zip(flat.windows(2)) {
            let stretch = (to[1] - to[0]) / (from[1] - from[0]);
            let motion = Affine::new([stretch, 0.0, 0.0, 1.0, to[0] - stretch * from[0], 0.0]);
            let part = region::intersection(&holes, &rect(from[0], -1e4, from[1], 1e4));
            here.extend(part.iter().map(|hole| hole.moved(motion)));
        }
        region::union(&here)
    }
}

/// What is cut beside folds where a hole begins within `near` of one: from the fold to the hole.
fn slivers(flat: &[f64], holes: &[Region], near: f64, height: f64) -> Vec<Region> {
    let mut cut = Vec::new();
    let folds = flat.get(1..flat.len().saturating_sub(1)).unwrap_or_default();
    for x in folds {
        let beside = |x: f64| upright_spans(holes, x);
        let (left, right) = (beside(x - near), beside(x + near));
        // Open on one side and not on the other.
        let apart = |open: &[(f64, f64)], shut: &[(f64, f64)], from: f64, to: f64| -> Vec<Region> {
            let area = |spans: &[(f64, f64)]| -> Vec<Region> {
                spans.iter().flat_map(|&(low, high)| rect(from, low.max(-1.0), to, high.min(height + 1.0))).collect()
            };
            let only = region::difference(&area(open), &area(shut));
            only.into_iter().filter(|stretch| stretch.bounds().height() > LEAST_STRETCH).collect()
        };
        cut.extend(apart(&right, &left, *x, x + near));
        cut.extend(apart(&left, &right, x - near, *x));
    }
    cut
}

/// Where an upright line runs through regions: from and to, in order.
fn upright_spans(regions: &[Region], x: f64) -> Vec<(f64, f64)> {
    let mut spans = Vec::new();
    for region in regions {
        let mut at: Vec<f64> = region
            .contours()
            .flat_map(Contour::sides)
            .filter(|(a, b)| (a.x <= x) != (b.x <= x))
            .map(|(a, b)| a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x))
            .collect();
        at.sort_by(f64::total_cmp);
        spans.extend(at.chunks_exact(2).map(|pair| (pair[0], pair[1])));
    }
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    spans
}

/// The stretches of an upright line at which two panels meet.
fn common(draft: &Draft, left: usize, right: usize, x: f64) -> Vec<(f64, f64)> {
    let on = |panel: usize| -> Vec<(f64, f64)> {
        let at = |at: f64| (at - x).abs() < tolerance::SNAP * 2.0;
        let region = &draft.net.panels[panel].region;
        let sides = region.contours().flat_map(Contour::sides).filter(|(a, b)| at(a.x) && at(b.x));
        sides.map(|(a, b)| (a.y.min(b.y), a.y.max(b.y))).collect()
    };
    let (ours, theirs) = (on(left), on(right));
    let mut common: Vec<(f64, f64)> = ours
        .iter()
        .flat_map(|a| theirs.iter().map(move |b| (a.0.max(b.0), a.1.min(b.1))))
        .filter(|(from, to)| to - from > tolerance::FIT)
        .collect();
    common.sort_by(|a, b| a.0.total_cmp(&b.0));
    common
}
