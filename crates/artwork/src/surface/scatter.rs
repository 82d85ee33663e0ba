//! Things strewn over the square: chips and glints.

use kurbo::{BezPath, Point};

use super::{Draw, Flecks, Glints};
use crate::chance::Chance;
use crate::swatch::Element;

impl Flecks {
    pub(super) fn elements(&self, draw: &Draw) -> Vec<Element> {
        let flecks = strewn(draw, self.count, self.size.1 / 2.0).into_iter().filter_map(|(at, mut chance)| {
            let tone = *chance.one_of(&self.tones)?;
            let radius = chance.between(self.size.0, self.size.1) / 2.0;
            let corners = chance.whole(4, 6);
            let mut path = BezPath::new();
            for i in 0..corners {
                let angle = (f64::from(i) + chance.between(0.1, 0.9)) / f64::from(corners) * std::f64::consts::TAU;
                let reach = radius * chance.between(0.6, 1.0);
                let corner = at + reach * kurbo::Vec2::from_angle(angle);
                if i == 0 { path.move_to(corner) } else { path.line_to(corner) }
            }
            path.close_path();
            Some(Element::fill(path, tone))
        });
        flecks.collect()
    }
}

impl Glints {
    pub(super) fn elements(&self, draw: &Draw) -> Vec<Element> {
        let glints = strewn(draw, self.count, self.length.1 / 2.0).into_iter().filter_map(|(at, mut chance)| {
            let tone = *chance.one_of(&self.tones)?;
            let half = chance.between(self.length.0, self.length.1) / 2.0;
            let bend = self.width * chance.between(-1.0, 1.0);
            let mut path = BezPath::new();
            path.move_to((at.x - half, at.y));
            path.quad_to((at.x, at.y + bend + self.width), (at.x + half, at.y));
            path.quad_to((at.x, at.y + bend - self.width), (at.x - half, at.y));
            path.close_path();
            Some(Element::fill(path, tone))
        });
        glints.collect()
    }
}

/// Places all over the square, evenly by chance: those within `reach` of a side are the same in
/// all variants, so that what crosses the side is.
fn strewn(draw: &Draw, count: u32, reach: f64) -> Vec<(Point, Chance)> {
    // One place in each cell of a lattice, off its middle by chance: no heaps, no bare patches.
    let across = f64::from(count.max(1)).sqrt().ceil();
    let pitch = draw.side / across;
    let cells = (across * across) as u64;
    let mut order: Vec<(u64, u64)> = (0..cells).map(|cell| (draw.shared(&[3, cell]).draw(), cell)).collect();
    order.sort_unstable();
    order
        .into_iter()
        .take(count as usize)
        .map(|(_, cell)| {
            let (row, column) = ((cell / across as u64) as f64, (cell % across as u64) as f64);
            let place = |mut chance: Chance| {
                let at = Point::new((column + chance.part()) * pitch, (row + chance.part()) * pitch);
                (at, chance)
            };
            let near = |at: Point| [at.x, at.y].iter().any(|c| *c < reach || *c > draw.side - reach);
            let own = place(draw.own(&[2, cell]));
            // A cell that could reach the side is shared as a whole.
            let low = Point::new(column * pitch, row * pitch);
            let high = Point::new((column + 1.0) * pitch, (row + 1.0) * pitch);
            if near(low) || near(high) { place(draw.shared(&[2, cell])) } else { own }
        })
        .collect()
}
