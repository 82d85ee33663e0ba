//! Shadows on the ground and on floors. Walls carry none: their tone tells how the light falls.

use flatwright_geometry::region::{self, Region};
use flatwright_geometry::tolerance;
use kurbo::{Affine, Rect};

use super::camera::{Camera, dot, plus};
use super::faces::Face;
use super::order;

/// Narrower faces (cut edges of card) cast no shadow that could be seen beside their panel's, mm.
const LEAST_WIDTH: f64 = 1.0;
/// Smaller faces are no floor, mm².
const LEAST_FLOOR: f64 = 400.0;

/// What casts a shadow on a level plane.
pub(super) struct Shadows {
    /// Height of the plane, mm.
    pub height: f64,
    /// Shadows on it, seen from above, each with its bounds.
    cast: Vec<(Rect, Region)>,
}

impl Shadows {
    /// The shadows of all that rises above a height.
    pub fn on(height: f64, faces: &[Face], camera: &Camera) -> Self {
        let light = camera.light;
        let mut cast = Vec::new();
        for face in faces {
            let bounds = face.region.bounds();
            let narrow = bounds.width().min(bounds.height()) < LEAST_WIDTH;
            if narrow || dot(face.frame.normal, light) < 0.01 {
                continue;
            }
            // Along the light to the plane: an affine map from the face's own coordinates.
            let down = |p: [f64; 3]| plus(p, light, (height - p[2]) / light[2]);
            let frame = face.frame;
            let origin = down(frame.origin);
            let way = |d: [f64; 3]| plus(down(plus(frame.origin, d, 1.0)), origin, -1.0);
            let (x, y) = (way(frame.across), way(frame.along));
            let map = Affine::new([x[0], x[1], y[0], y[1], origin[0], origin[1]]);
            for part in order::above(face, height + tolerance::FIT) {
                let shadow = part.moved(map);
                cast.push((shadow.bounds(), shadow));
            }
        }
        Self { height, cast }
    }

    /// All of it, as areas seen from above.
    pub fn all(&self) -> Vec<Region> {
        region::union(&self.cast.iter().map(|(_, shadow)| shadow.clone()).collect::<Vec<_>>())
    }

    /// What of a floor's part lies in shadow, in the face's own coordinates.
    pub fn over(&self, face: &Face, part: &Region) -> Vec<Region> {
        let frame = face.frame;
        let (x, y, o) = (frame.across, frame.along, frame.origin);
        let there = Affine::new([x[0], x[1], y[0], y[1], o[0], o[1]]);
        let floor = part.moved(there);
        let bounds = floor.bounds();
        let near = self.cast.iter().filter(|(shadow, _)| shadow.overlaps(bounds));
        let near: Vec<Region> = near.map(|(_, shadow)| shadow.clone()).collect();
        let shadows = region::intersection(&[floor], &near);
        shadows.iter().map(|shadow| shadow.moved(there.inverse())).collect()
    }
}

/// Whether a face is level, looks up and is large enough to carry shadows.
pub(super) fn is_floor(face: &Face) -> bool {
    face.frame.normal[2] > 1.0 - tolerance::SNAP && face.region.area() > LEAST_FLOOR
}
