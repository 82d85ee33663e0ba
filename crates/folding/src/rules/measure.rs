//! Rulers for flat patterns and folded nets.

use flatwright_geometry::contour::Contour;
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::Pattern;
use flatwright_geometry::pieces::post::{self, Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::tile::{self, Tile};
use flatwright_geometry::region::Region;

use crate::fold::fold;
use crate::prove::sheet;
use crate::solid::Solid;

/// How far off an edge a line is laid to see what lies along it, mm.
pub(super) const BESIDE: f64 = 0.01;

/// A direction on the pattern.
#[derive(Clone, Copy)]
pub(super) enum Along {
    /// Along x, at a height y.
    X,
    /// Along y, at a distance x.
    Y,
}

/// The stretches of material along a line, in order.
pub(super) fn spans(region: &Region, along: Along, at: f64) -> Vec<(f64, f64)> {
    let mut crossings: Vec<f64> = region
        .contours()
        .flat_map(Contour::sides)
        .filter_map(|(a, b)| {
            let ((a, da), (b, db)) = match along {
                Along::X => ((a.x, a.y - at), (b.x, b.y - at)),
                Along::Y => ((a.y, a.x - at), (b.y, b.x - at)),
            };
            ((da > 0.0) != (db > 0.0)).then(|| a + (b - a) * da / (da - db))
        })
        .collect();
    crossings.sort_by(f64::total_cmp);
    crossings.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
}

/// The gaps between neighbouring stretches.
pub(super) fn gaps(spans: &[(f64, f64)]) -> Vec<(f64, f64)> {
    spans.windows(2).map(|pair| (pair[0].1, pair[1].0)).collect()
}

/// An edge notch of a tile: width, and depth from the lattice line.
#[derive(Clone, Copy)]
pub(super) struct Notch {
    pub width: f64,
    pub depth: f64,
    /// Board that is left between it and the notch across.
    pub left: f64,
}

/// The first notch along the tile's upper edge, measured on the core; as drawn up where the core has no shape.
pub(super) fn notch(p: &Parameters, tile: Tile) -> Notch {
    let (m, lattice) = (p.module.get(), p.module.get() * f64::from(tile.along) / 2.0);
    let middle = -m * (f64::from(tile.across) - 1.0) / 2.0;
    let measured = tile::core(p, tile).ok().and_then(|core| {
        let top = core.material.bounds().y1;
        let edge = spans(&core.material, Along::X, top - BESIDE);
        let (from, to) = gaps(&edge).into_iter().find(|gap| gap.0 < middle && middle < gap.1)?;
        let upright = spans(&core.material, Along::Y, middle);
        // The upper of two where the tile has an opening.
        let (low, high) = *upright.last()?;
        Some(Notch { width: to - from, depth: lattice - high, left: high - low })
    });
    let depth = p.notch_depth.get();
    measured.unwrap_or(Notch { width: p.notch_width.get(), depth, left: 2.0 * (lattice - depth) })
}

/// Sizes of a folded post.
#[derive(Clone, Copy)]
pub(super) struct Sleeve {
    /// Outer side, the larger of the two ways across.
    pub side: f64,
    /// How far its tongues reach from its middle.
    pub reach: f64,
}

/// Measured on a folded post that has every foot; as drawn up where it has no shape.
pub(super) fn sleeve(p: &Parameters, arms: Arms) -> Sleeve {
    let post = Post { arms, stand: Stand::Feet(Feet::ALL), under: false };
    let measured = post::sleeve(p, post).ok().and_then(|pattern| {
        let folded = fold(&pattern, sheet(p, pattern.stock)).ok()?;
        let tongue = |i: usize| pattern.net.panels[i].name == "tongue";
        let faces = extent(&folded, |i| !tongue(i));
        let all = extent(&folded, |_| true);
        Some(Sleeve { side: faces[0].max(faces[2]), reach: all[0].max(all[2]) / 2.0 })
    });
    let side = p.post_side().get();
    measured.unwrap_or(Sleeve { side, reach: side / 2.0 + p.tongue.get() })
}

/// Size along x, y and z of those folded panels that `keep` likes.
pub(super) fn extent(folded: &[Solid], keep: impl Fn(usize) -> bool) -> [f64; 3] {
    let (mut low, mut high) = ([f64::MAX; 3], [f64::MIN; 3]);
    for (_, panel) in folded.iter().enumerate().filter(|(i, _)| keep(*i)) {
        for corner in panel.corners() {
            for (i, v) in [corner.x, corner.y, corner.z].into_iter().enumerate() {
                low[i] = low[i].min(v);
                high[i] = high[i].max(v);
            }
        }
    }
    [0, 1, 2].map(|i| high[i] - low[i])
}

/// The narrowest slot of a post: width, and the height of its bottom above the floor.
#[derive(Clone, Copy)]
pub(super) struct Slot {
    pub width: f64,
    pub bottom: f64,
}

/// Measured on the sleeve's net, the glued flap's slot included; as drawn up where it has no shape.
pub(super) fn slot(p: &Parameters, arms: Arms) -> Slot {
    let post = Post { arms, stand: Stand::BasePlate, under: false };
    let measured = post::sleeve(p, post).ok().and_then(|net| narrowest(p, &net));
    let (height, depth) = (p.wall_height.get(), p.slot_depth().get());
    measured.unwrap_or(Slot { width: p.slot_width().get(), bottom: height - depth })
}

fn narrowest(p: &Parameters, net: &Pattern) -> Option<Slot> {
    // A sleeve on a base plate stands on the floor's level: its drawn heights are above the floor.
    let middle = p.wall_height.get() - p.slot_depth().get() / 2.0;
    let slots = gaps(&spans(&net.material, Along::X, middle));
    let (from, to) = slots.into_iter().min_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0)))?;
    let bottom = spans(&net.material, Along::Y, (from + to) / 2.0).last()?.1;
    Some(Slot { width: to - from, bottom })
}
