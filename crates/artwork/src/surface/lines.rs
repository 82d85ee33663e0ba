//! Lines: ripples over the whole module, cracks inside it, bars across it.

use kurbo::{BezPath, Circle, Point, Rect, Shape as _, Vec2};

use super::{Bars, Cracks, Draw, Ripples};
use crate::swatch::Element;

impl Ripples {
    pub(super) fn elements(&self, draw: &Draw) -> Vec<Element> {
        let mut elements = Vec::new();
        let pitch = draw.side / f64::from(self.lines.max(1));
        for line in 0..self.lines {
            // All of it is shared: a ripple crosses every side of every module.
            let mut chance = draw.shared(&[u64::from(line)]);
            let Some(tone) = chance.one_of(&self.tones).copied() else { continue };
            let level = (f64::from(line) + 0.5) * pitch;
            let waves: Vec<(f64, f64, f64)> = (1..=self.waves.max(1))
                .map(|k| {
                    (f64::from(k), chance.between(0.3, 1.0) / f64::from(k), chance.between(0.0, std::f64::consts::TAU))
                })
                .collect();
            let size: f64 = waves.iter().map(|w| w.1).sum();
            let turn = std::f64::consts::TAU / draw.side;
            let height = |x: f64| waves.iter().map(|(k, a, phase)| a * (k * turn * x + phase).sin()).sum::<f64>();
            let slope =
                |x: f64| waves.iter().map(|(k, a, phase)| a * k * turn * (k * turn * x + phase).cos()).sum::<f64>();
            let scale = self.height / 2.0 / size;
            let at = |x: f64| Point::new(x, level + scale * height(x));
            let steps = 4 * self.waves.max(1) + 4;
            let step = draw.side / f64::from(steps);
            let mut path = BezPath::new();
            path.move_to(at(0.0));
            for i in 0..steps {
                // A cubic with the curve's own slopes at both ends.
                let (from, to) = (f64::from(i) * step, f64::from(i + 1) * step);
                let lean = |x: f64| Vec2::new(step / 3.0, scale * slope(x) * step / 3.0);
                path.curve_to(at(from) + lean(from), at(to) - lean(to), at(to));
            }
            elements.push(Element::line(path, tone, self.width));
        }
        elements
    }
}

impl Cracks {
    pub(super) fn elements(&self, draw: &Draw) -> Vec<Element> {
        let margin = self.width;
        let inside = Rect::new(0.0, 0.0, draw.side, draw.side).inset(-margin);
        let cracks = (0..self.count).map(|index| {
            let mut chance = draw.own(&[u64::from(index)]);
            let mut at = Point::new(chance.between(inside.x0, inside.x1), chance.between(inside.y0, inside.y1));
            let mut heading = chance.between(0.0, std::f64::consts::TAU);
            let mut left = chance.between(self.length.0, self.length.1);
            let mut path = BezPath::new();
            path.move_to(at);
            while left > 0.0 {
                let step = chance.between(1.0, 3.5).min(left.max(0.5));
                heading += chance.between(-0.8, 0.8);
                let to = at + step * Vec2::from_angle(heading);
                if !inside.contains(to) {
                    break;
                }
                path.line_to(to);
                if chance.part() < 0.2 {
                    let side =
                        to + step * 0.8 * Vec2::from_angle(heading + if chance.part() < 0.5 { 0.9 } else { -0.9 });
                    if inside.contains(side) {
                        path.line_to(side);
                        path.move_to(to);
                    }
                }
                at = to;
                left -= step;
            }
            Element::line(path, self.tone, self.width)
        });
        cracks.filter(|crack| crack.path.elements().len() > 1).collect()
    }
}

impl Bars {
    pub(super) fn elements(&self, draw: &Draw) -> Vec<Element> {
        let pitch = draw.side / f64::from(self.count.max(1));
        let places: Vec<f64> = (0..self.count).map(|i| (f64::from(i) + 0.5) * pitch).collect();
        let half = self.width / 2.0;
        let mut elements = Vec::new();
        // Whole modules end to end: bars run over the sides without a gap.
        let bar = |rect: Rect, lit: [(Point, Point); 2], elements: &mut Vec<Element>| {
            elements.push(Element::fill(rect.to_path(0.1), self.tone));
            let Some(bevel) = self.bevel else { return };
            for ((from, to), by) in lit.into_iter().zip([bevel.light, -bevel.shade]) {
                let mut path = BezPath::new();
                path.move_to(from);
                path.line_to(to);
                elements.push(Element::line(path, self.tone.shaded(by), bevel.width).as_detail());
            }
        };
        let edge = half - self.bevel.map_or(0.0, |bevel| bevel.width / 2.0);
        for &y in &places {
            let line = |y: f64| (Point::new(0.0, y), Point::new(draw.side, y));
            bar(Rect::new(0.0, y - half, draw.side, y + half), [line(y + edge), line(y - edge)], &mut elements);
        }
        for &x in &places {
            let line = |x: f64| (Point::new(x, 0.0), Point::new(x, draw.side));
            bar(Rect::new(x - half, 0.0, x + half, draw.side), [line(x - edge), line(x + edge)], &mut elements);
        }
        if let Some(rivets) = self.rivets {
            let crossings = places.iter().flat_map(|&x| places.iter().map(move |&y| (x, y)));
            elements
                .extend(crossings.map(|at| Element::fill(Circle::new(at, rivets.radius).to_path(0.01), rivets.tone)));
        }
        elements
    }
}
