//! Bent wall: it hangs between two posts as any wall and follows a bend between them.
//!
//! A fold along its top cannot be bent. So a wall of card is two skins glued back to back, and one of
//! board is a core that is cut half through along its folds, with a facing on either side and a strip
//! along its top. Its front is the outside of the bend.

use kurbo::{Affine, Point, Rect, Vec2};

use super::bend::Bend;
use super::bent_layer::Layer;
use super::opening::{Cut, Opening};
use super::wall::{tab_spot, tabs, wall_plane};
use super::{Draft, PieceError, mm, rect};
use crate::contour::Contour;
use crate::parameters::{Parameters, WallBuild};
use crate::pattern::{Fold, Pattern, PieceKind, Plane, Stock};
use crate::region::{self, Region};
use crate::units::Mm;

/// One bent wall.
#[derive(Clone, Debug, PartialEq)]
pub struct BentWall {
    /// The way that it follows.
    pub bend: Bend,
    /// Its opening, if any, seen from outside the bend.
    pub opening: Option<Opening>,
}

impl BentWall {
    /// What sets it apart, for people.
    #[must_use]
    pub fn detail(&self) -> String {
        let Bend { form, reach } = self.bend;
        match &self.opening {
            Some(opening) => format!("{form}, {reach}, {}", opening.name()),
            None => format!("{form}, {reach}"),
        }
    }

    /// Modules along its middle line, from post to post, as a straight wall would span them.
    #[must_use]
    pub fn developed_span(&self, p: &Parameters) -> f64 {
        self.bend.sides(p, 0.0).iter().sum::<f64>() / mm(p.module)
    }

    /// Length of its body along its middle line.
    ///
    /// # Errors
    /// [`PieceError`] where the bend has no room.
    pub fn body(&self, p: &Parameters) -> Result<Mm, PieceError> {
        self.bend.check(p)?;
        Ok(p.wall_body(self.developed_span(p)))
    }

    /// Its patterns: outer and inner skin of card; or of board the core, outer and inner facing, and the
    /// strip along its top, in two parts where an opening takes its middle.
    ///
    /// # Errors
    /// [`PieceError`] where the bend or the opening has no room.
    pub fn patterns(&self, p: &Parameters) -> Result<Vec<Pattern>, PieceError> {
        let body = mm(self.body(p)?);
        let cut = self.opening.as_ref().map_or(Ok(Cut::default()), |opening| opening.cut(p, body))?;
        if cut.niche.is_some() || cut.leaf.is_some() {
            return Err(PieceError::OutOfRange {
                what: "a bent wall's opening",
                found: "one with a box or a leaf".into(),
                help: "use an arch, a window, bars or another design without either".into(),
            });
        }
        let (half, paper) = (mm(p.wall_thickness()) / 2.0, mm(p.paper));
        let (outside, inside) = (Fold::Mountain, Fold::Valley);
        let mut patterns = Vec::new();
        match p.walls {
            WallBuild::Card => {
                let skin = |name, fold, line| Layer { name, fold, line, tabs: true, ..Layer::of_card(p) };
                patterns.push(self.layer(p, &cut, skin("outer skin", outside, 0.0))?);
                patterns.push(self.layer(p, &cut, skin("inner skin", inside, -mm(p.card)))?);
            }
            WallBuild::Board => {
                let core = Layer { name: "cut half through on its lines", line: -half, ..Layer::of_board() };
                patterns.push(self.layer(p, &cut, core)?);
                let facing = |name, fold, line| Layer { name, fold, line, ..Layer::of_paper(p) };
                patterns.push(self.layer(p, &cut, facing("outside", outside, half))?);
                patterns.push(self.layer(p, &cut, facing("inside", inside, -half - paper))?);
                patterns.extend(self.top(p, &cut)?);
            }
        }
        Ok(patterns)
    }

    /// One of its layers as it lies flat, printed side up: x along the wall from the body's left end as
    /// seen from that side, y up from the floor.
    fn layer(&self, p: &Parameters, cut: &Cut, layer: Layer) -> Result<Pattern, PieceError> {
        let lines = layer.lines(p, self.bend);
        let (length, height) = (lines.last().copied().unwrap_or_default(), mm(p.wall_height));
        let mut outline = rect(0.0, 0.0, length, height);
        if layer.tabs {
            outline = region::union(&[outline, tabs(p, length, height, 1.0)].concat());
        }
        let mut draft = Draft::new(layer.kind, layer.stock, format!("{}, {}", self.detail(), layer.name));
        layer.hang(&mut draft, p, self.bend, &outline, &cut.through)?;
        if layer.kind == PieceKind::BentCore {
            for (spot, upward) in spots(&draft, &lines) {
                draft.label(spot, upward);
            }
        } else {
            let body = rect(0.0, -1.0, length, height + 1.0);
            let panels: Vec<Region> = draft.net.panels.iter().map(|panel| panel.region.clone()).collect();
            draft.face = region::intersection(&panels, &body);
            // Behind each other as front and back of a straight wall are.
            let mirror = Affine::new([-1.0, 0.0, 0.0, 1.0, length, 0.0]);
            let seen = if layer.is_inside() { mirror } else { Affine::IDENTITY };
            draft.planes.push(Plane::everywhere(seen * wall_plane(p)));
        }
        if layer.tabs && layer.stock == Stock::Card {
            let spot = tab_spot(p, length);
            draft.label(spot, true);
            draft.label(Rect::new(length - spot.x1, spot.y0, length - spot.x0, spot.y1), true);
        }
        draft.finish()
    }

    /// The strips along the top of a board wall: the band between its faces, where no opening takes it,
    /// as seen from above.
    fn top(&self, p: &Parameters, cut: &Cut) -> Result<Vec<Pattern>, PieceError> {
        let (height, half) = (mm(p.wall_height), mm(p.wall_thickness()) / 2.0);
        let body = mm(self.body(p)?);
        let high = cut.through.iter().map(Region::bounds).filter(|hole| hole.y1 > height);
        let taken: Vec<Region> = high.filter_map(|hole| self.band(p, (hole.x0, hole.x1), half + 1.0)).collect();
        let whole: Vec<Region> = self.band(p, (0.0, body), half).into_iter().collect();
        let strips = region::difference(&whole, &taken);
        let several = strips.len() > 1;
        let strip = |(number, strip): (usize, Region)| {
            let number = if several { format!(" {}", number + 1) } else { String::new() };
            let detail = format!("{}, along the top{number}", self.detail());
            let mut draft = Draft::new(PieceKind::BentFacing, Stock::Paper, detail);
            let panel = draft.panel("top", &[strip], &[])?;
            draft.shows(panel);
            // By whole modules below, where a design's ornament does not reach up to it.
            let module = mm(p.module);
            let below = ((height + mm(p.bleed)) / module).ceil() * module;
            draft.planes.push(Plane::everywhere(Affine::translate((0.0, -below))));
            draft.finish()
        };
        strips.into_iter().enumerate().map(strip).collect()
    }

    /// What lies within `reach` mm of the middle line between two places along the body, from its left
    /// end as seen from outside; in the bend's frame.
    fn band(&self, p: &Parameters, (from, to): (f64, f64), reach: f64) -> Option<Region> {
        let start = (mm(p.post_side()) + mm(p.play)) / 2.0;
        let edge = |outwards: f64| -> Vec<Point> {
            let reversed = |mut line: Vec<Point>| {
                line.reverse();
                line
            };
            let (middle, beside) = (reversed(self.bend.line(p)), reversed(self.bend.beside(p, outwards)));
            let mut at = -start;
            let mut points = Vec::new();
            for (i, side) in middle.windows(2).enumerate() {
                let along = (side[1] - side[0]).normalize();
                // Outwards is on the right on this way round.
                let off = Vec2::new(along.y, -along.x) * outwards;
                let end = at + side[0].distance(side[1]);
                if at > from && at < to {
                    points.push(beside[i]);
                }
                for cut in [from, to] {
                    if cut >= at && cut < end {
                        points.push(side[0] + along * (cut - at) + off);
                    }
                }
                at = end;
            }
            points
        };
        let outer = edge(reach);
        let inner = edge(-reach).into_iter().rev();
        Contour::new(outer.into_iter().chain(inner)).ok().map(Region::from)
    }
}

/// Stretches between the half cuts of a core, where its label may stand: below, above and beside what is
/// cut out of each, the largest first.
fn spots(draft: &Draft, lines: &[f64]) -> Vec<(Rect, bool)> {
    let mut spots = Vec::new();
    for panel in &draft.net.panels {
        let bounds = panel.region.bounds();
        let between = lines.windows(2).find(|pair| pair[0] < bounds.center().x && bounds.center().x < pair[1]);
        let Some(between) = between else { continue };
        let spot = Rect { x0: bounds.x0.max(between[0]), x1: bounds.x1.min(between[1]), ..bounds };
        let bare = |spot: &Rect| {
            let spot = rect(spot.x0 + 0.1, spot.y0 + 0.1, spot.x1 - 0.1, spot.y1 - 0.1);
            region::difference(&spot, std::slice::from_ref(&panel.region))
        };
        let missing = bare(&spot).iter().map(Region::bounds).reduce(|a, b| a.union(b));
        let parts = match missing {
            None => vec![spot],
            Some(hole) => vec![
                Rect { y1: hole.y0, ..spot },
                Rect { y0: hole.y1, ..spot },
                Rect { x1: hole.x0, ..spot },
                Rect { x0: hole.x1, ..spot },
            ],
        };
        let whole = |spot: &Rect| spot.width() > 1.0 && spot.height() > 1.0 && bare(spot).is_empty();
        spots.extend(parts.into_iter().filter(whole).map(|spot| (spot, spot.height() > spot.width())));
    }
    spots.sort_by(|(a, _), (b, _)| b.area().total_cmp(&a.area()).then(a.x0.total_cmp(&b.x0)));
    spots.truncate(3);
    spots
}
