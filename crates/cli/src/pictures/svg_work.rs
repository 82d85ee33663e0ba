//! How much a drawing asks of the renderer: memory for its layers, and pixels painted. Estimates,
//! made from the same boxes as the renderer's layers, to refuse drawings that are made to fill the
//! memory or to run for ever.

use resvg::tiny_skia::{Rect, Transform};
use resvg::usvg::{Fill, Group, Node, Paint, Stroke, Tree, filter};

/// Most pixels of all layers that are held at once, 4 bytes each.
const MOST_HELD: f64 = 150e6;
/// Most pixels painted one after the other: some seconds.
const MOST_PAINTED: f64 = 3e9;
/// What one step of a filter costs beside painting its pixels once.
const FILTER_STEP: f64 = 8.0;
/// Widest blur, pixels. With some millions the renderer's whole numbers overflow, and it stops.
const WIDEST_BLUR: f64 = 1e6;
/// How far shapes may reach, pixels. Far beyond, the renderer's fixed-point numbers go wrong.
const FARTHEST: f64 = 1e6;
/// The renderer's layers reach this many drawings out of the drawing on each side.
const OUTSIDE: f64 = 2.0;

/// Pixels held at once, and painted one after the other.
#[derive(Clone, Copy, Default)]
struct Work {
    held: f64,
    painted: f64,
}

impl Work {
    /// One after the other: what is held is let go before the next.
    fn then(self, next: Self) -> Self {
        Self { held: self.held.max(next.held), painted: self.painted + next.painted }
    }

    /// All of it while so many more pixels are held and painted.
    fn over(self, held: f64, painted: f64) -> Self {
        Self { held: self.held + held, painted: self.painted + painted }
    }
}

/// Whether a drawing asks too much where a unit of it is `scale` pixels.
pub(super) fn is_too_much(tree: &Tree, scale: f64) -> bool {
    let canvas = Canvas { width: f64::from(tree.size().width()), height: f64::from(tree.size().height()), scale };
    let work = canvas.group(tree.root());
    !(work.held <= MOST_HELD && work.painted <= MOST_PAINTED)
}

struct Canvas {
    width: f64,
    height: f64,
    scale: f64,
}

impl Canvas {
    fn group(&self, group: &Group) -> Work {
        let mut work = group.children().iter().map(|node| self.node(node)).fold(Work::default(), Work::then);
        if !group.should_isolate() {
            return work;
        }
        let layer = self.pixels(group.abs_layer_bounding_box().to_rect());
        if let Some(mask) = group.mask() {
            work = work.then(self.group(mask.root()).over(layer, layer));
        }
        if let Some(clip) = group.clip_path() {
            work = work.then(self.group(clip.root()).over(layer, layer));
        }
        let size = self.scale * largest_scale(group.abs_transform());
        for step in group.filters().iter().flat_map(|filter| filter.primitives()) {
            // Results are held until the last step.
            work = work.over(layer, layer * (FILTER_STEP + for_each_pixel(step.kind(), size)));
            if let filter::Kind::Image(image) = step.kind() {
                work = work.then(self.group(image.root()).over(layer, layer));
            }
        }
        work.over(layer, 2.0 * layer)
    }

    fn node(&self, node: &Node) -> Work {
        let bounds = node.abs_stroke_bounding_box();
        let painted = self.pixels(bounds);
        match node {
            Node::Group(group) => self.group(group),
            Node::Text(text) => self.group(text.flattened()),
            Node::Image(image) => {
                // Unpacked anew each time.
                let pixels = f64::from(image.size().width()) * f64::from(image.size().height());
                Work::default().over(2.0 * pixels, pixels + painted)
            }
            Node::Path(path) => {
                let paints = path.fill().map(Fill::paint).into_iter();
                let paints = paints.chain(path.stroke().map(Stroke::paint));
                let mut work = Work::default();
                for paint in paints {
                    if let Paint::Pattern(pattern) = paint {
                        // Drawn once, not cut off where the drawing ends.
                        let size = self.scale * largest_scale(path.abs_transform().pre_concat(pattern.transform()));
                        let one = f64::from(pattern.rect().width()) * f64::from(pattern.rect().height()) * size * size;
                        work = work.then(self.group(pattern.root()).over(one, one));
                    }
                }
                let too_far = sides(bounds).iter().any(|side| side.abs() * self.scale > FARTHEST);
                work.over(0.0, if too_far { f64::INFINITY } else { painted })
            }
        }
    }

    /// Pixels of a box, in units of the drawing, as far as layers reach.
    fn pixels(&self, bounds: Rect) -> f64 {
        let [left, top, right, bottom] = sides(bounds);
        let along = |from: f64, to: f64, whole: f64| {
            let least = -OUTSIDE * whole;
            let most = (1.0 + OUTSIDE) * whole;
            (to.clamp(least, most) - from.clamp(least, most)) * self.scale + 4.0
        };
        along(left, right, self.width) * along(top, bottom, self.height)
    }
}

fn sides(bounds: Rect) -> [f64; 4] {
    [bounds.left(), bounds.top(), bounds.right(), bounds.bottom()].map(f64::from)
}

/// By how much a transform enlarges, along the axis that it enlarges most.
fn largest_scale(transform: Transform) -> f64 {
    let (x, y) = transform.get_scale();
    f64::from(x.max(y))
}

/// What a step of a filter does for each pixel beyond painting it; a unit of it is `size` pixels.
fn for_each_pixel(kind: &filter::Kind, size: f64) -> f64 {
    let blur = |x: f32, y: f32| if f64::from(x.max(y)) * size > WIDEST_BLUR { f64::INFINITY } else { 0.0 };
    match kind {
        filter::Kind::GaussianBlur(step) => blur(step.std_dev_x().get(), step.std_dev_y().get()),
        filter::Kind::DropShadow(step) => blur(step.std_dev_x().get(), step.std_dev_y().get()),
        filter::Kind::Morphology(step) => {
            let reach = |radius: f32| 2.0 * f64::from(radius) * size + 1.0;
            reach(step.radius_x().get()) * reach(step.radius_y().get())
        }
        filter::Kind::ConvolveMatrix(step) => f64::from(step.matrix().columns()) * f64::from(step.matrix().rows()),
        filter::Kind::Turbulence(step) => 16.0 * f64::from(step.num_octaves()),
        _ => 0.0,
    }
}
