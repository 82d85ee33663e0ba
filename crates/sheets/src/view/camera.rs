//! The parallel projection and the light.

use kurbo::{Point, Vec2};

use super::{AZIMUTH, ELEVATION};
use crate::page::Colour;

/// A point or direction in space: east, north, up. mm.
pub(super) type Space = [f64; 3];

pub(super) fn dot(a: Space, b: Space) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(super) fn cross(a: Space, b: Space) -> Space {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

pub(super) fn plus(a: Space, b: Space, times: f64) -> Space {
    [a[0] + b[0] * times, a[1] + b[1] * times, a[2] + b[2] * times]
}

pub(super) fn unit(a: Space) -> Space {
    plus([0.0; 3], a, 1.0 / dot(a, a).sqrt())
}

/// Darkest and lightest that a face is, as parts of its colour.
const SHADE: (f64, f64) = (0.62, 1.03);
/// A face in shadow, as a part of what it would be in the light.
pub(super) const SHADOW: f64 = 0.86;
/// The lines along its edges, likewise.
const EDGE: f64 = 0.62;

/// Where the viewer and the light are.
#[derive(Clone, Copy, Debug)]
pub(super) struct Camera {
    right: Space,
    up: Space,
    /// Towards the viewer.
    pub toward: Space,
    /// Towards the light.
    pub light: Space,
}

impl Camera {
    pub fn new() -> Self {
        let (turn, lift) = (AZIMUTH.to_radians(), ELEVATION.to_radians());
        let right = [turn.cos(), turn.sin(), 0.0];
        let toward = [turn.sin() * lift.cos(), -turn.cos() * lift.cos(), lift.sin()];
        let up = cross(toward, right);
        // From the left, a little from behind the viewer, high.
        let level = plus(plus([0.0; 3], right, -0.78), [toward[0], toward[1], 0.0], 0.42);
        let light = unit([level[0], level[1], 1.25]);
        Self { right, up, toward, light }
    }

    /// A point on the picture plane, mm at full size.
    pub fn seen(&self, p: Space) -> Point {
        Point::new(dot(p, self.right), dot(p, self.up))
    }

    /// A direction on the picture plane.
    pub fn along(&self, d: Space) -> Vec2 {
        self.seen(d).to_vec2()
    }

    /// What part of its colour a face shows in the light; `normal` is of length 1.
    pub fn shade(&self, normal: Space) -> f64 {
        let (dark, bright) = SHADE;
        let lit = (dot(normal, self.light) * 0.5 + 0.5).clamp(0.0, 1.0);
        dark + (bright - dark) * lit.powf(1.2)
    }
}

/// The line colour for a face of a colour.
pub(super) fn edge(colour: Colour) -> Colour {
    times(colour, EDGE)
}

pub(super) fn times(Colour(r, g, b): Colour, part: f64) -> Colour {
    let one = |channel: u8| (f64::from(channel) * part).round().clamp(0.0, 255.0) as u8;
    Colour(one(r), one(g), one(b))
}
