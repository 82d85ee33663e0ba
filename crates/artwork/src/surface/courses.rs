//! Courses: straight rows of stones, bricks or boards.

use kurbo::{Affine, Vec2};

use super::stone::{self, Finish};
use super::{Bond, Courses, Draw};
use crate::swatch::Element;

/// One stone along its course: from, to, and whether all variants share it.
type Stretch = (f64, f64, bool);

impl Courses {
    pub(super) fn elements(&self, draw: &Draw) -> Vec<Element> {
        let mut elements = Vec::new();
        let heights = self.heights(draw);
        for (row, window) in heights.windows(2).enumerate() {
            for (index, (from, to, shared)) in self.stretches(draw, row as u64).into_iter().enumerate() {
                let mut chance = draw.chance(shared, &[row as u64, index as u64]);
                let half = self.joint / 2.0;
                let (low, high) = ((from + half, window[0] + half), (to - half, window[1] - half));
                if high.0 - low.0 <= 2.0 * self.rough + 0.2 || high.1 - low.1 <= 2.0 * self.rough + 0.2 {
                    continue;
                }
                let outline = stone::rough_box(low, high, self.rough, &mut chance);
                let finish = Finish { tones: &self.tones, mottle: self.mottle, bevel: self.bevel, light: self.light() };
                let body = stone::stone(&outline, self.corner, &finish, &mut chance);
                let tone = stone::tone_of(&body);
                elements.extend(body);
                if let (Some(grain), Some(tone)) = (self.grain, tone) {
                    elements.extend(stone::grain(&outline, grain, tone, &mut chance));
                }
                elements.extend(self.pins.iter().flat_map(|pins| stone::pins(&outline, *pins)));
            }
        }
        if self.upright {
            // A reflection in the diagonal maps the square onto itself, and its sides onto its sides.
            let swap = Affine::new([0.0, 1.0, 1.0, 0.0, 0.0, 0.0]);
            elements.iter_mut().for_each(|element| element.path.apply_affine(swap));
        }
        elements
    }

    /// Where light comes from before upright courses are turned.
    fn light(&self) -> Vec2 {
        if self.upright { Vec2::new(stone::LIGHT.y, stone::LIGHT.x) } else { stone::LIGHT }
    }

    /// Levels of the joints between courses, from 0 to the module's side.
    fn heights(&self, draw: &Draw) -> Vec<f64> {
        let rows = self.rows.max(1);
        let mut chance = draw.shared(&[u64::MAX]);
        let weights: Vec<f64> = (0..rows).map(|_| 1.0 + chance.between(-self.uneven, self.uneven)).collect();
        let sum: f64 = weights.iter().sum();
        let mut levels = vec![0.0];
        let mut reached = 0.0;
        for weight in &weights {
            reached += weight;
            levels.push(draw.side * reached / sum);
        }
        levels
    }

    fn stretches(&self, draw: &Draw, row: u64) -> Vec<Stretch> {
        let side = draw.side;
        let mut shared = draw.shared(&[row]);
        let count = shared.whole(self.stones.0.max(1), self.stones.1.max(1));
        let length = side / f64::from(count);
        match self.bond {
            Bond::Stack | Bond::Running => {
                let offset = if self.bond == Bond::Running && row % 2 == 1 { length / 2.0 } else { 0.0 };
                let ends = (0..count).map(|i| (offset + f64::from(i) * length, offset + f64::from(i + 1) * length));
                ends.map(|(from, to)| (from, to, to > side)).collect()
            }
            Bond::Random => {
                // The stone over the module's side reaches this far past it, on either hand.
                let past = length * shared.between(0.25, 0.75);
                let before = length * shared.between(0.25, 0.75);
                let mut own = draw.own(&[row, u64::MAX]);
                let inner = count.saturating_sub(1).max(1);
                let weights: Vec<f64> = (0..inner).map(|_| own.between(0.7, 1.3)).collect();
                let (sum, room) = (weights.iter().sum::<f64>(), side - past - before);
                let mut from = past;
                let mut stretches: Vec<Stretch> = Vec::new();
                for weight in weights {
                    let to = from + room * weight / sum;
                    stretches.push((from, to, false));
                    from = to;
                }
                stretches.push((side - before, side + past, true));
                stretches
            }
        }
    }
}
