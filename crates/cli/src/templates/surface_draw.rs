//! What a surface file makes: the surface.

use flatwright_artwork as artwork;
use flatwright_artwork::Colour;

use super::surface_file::{BevelEntry, Bond, CoursesEntry, LayerEntry, PinsEntry, SurfaceFile};
use crate::problem::Spanned;
use crate::set_file::{Length, Rgb, Share};

/// The surface that a file describes, which holds what [`surface_file::read`](super::surface_file::read) asks for.
pub(super) fn surface(file: &SurfaceFile) -> artwork::Surface {
    artwork::Surface {
        name: file.surface.0.clone(),
        ground: colour(file.ground),
        layers: file.layers.value.iter().map(layer).collect(),
    }
}

fn layer(entry: &LayerEntry) -> artwork::Layer {
    match entry {
        LayerEntry::Courses(e) => artwork::Layer::Courses(courses(e)),
        LayerEntry::Cobbles(e) => artwork::Layer::Cobbles(artwork::Cobbles {
            across: e.across.value.0,
            jitter: share(e.jitter, 0.5),
            joint: e.joint.0.get(),
            round: share(e.round, 0.0),
            tones: tones(&e.tones),
            mottle: share(e.mottle, 0.0),
            bevel: e.bevel.as_ref().map(bevel),
        }),
        LayerEntry::Flecks(e) => artwork::Layer::Flecks(artwork::Flecks {
            count: e.count.0,
            size: ordered(e.smallest, e.largest),
            tones: tones(&e.tones),
        }),
        LayerEntry::Ripples(e) => artwork::Layer::Ripples(artwork::Ripples {
            lines: e.lines.0,
            waves: e.waves.0,
            height: e.height.0.get(),
            width: e.width.0.get(),
            tones: tones(&e.tones),
        }),
        LayerEntry::Glints(e) => artwork::Layer::Glints(artwork::Glints {
            count: e.count.0,
            length: ordered(e.shortest, e.longest),
            width: e.width.0.get(),
            tones: tones(&e.tones),
        }),
        LayerEntry::Cracks(e) => artwork::Layer::Cracks(artwork::Cracks {
            count: e.count.0,
            length: ordered(e.shortest, e.longest),
            width: e.width.0.get(),
            tone: colour(e.tone),
        }),
        LayerEntry::Bars(e) => artwork::Layer::Bars(artwork::Bars {
            count: e.count.0,
            width: e.width.0.get(),
            tone: colour(e.tone),
            bevel: e.bevel.as_ref().map(bevel),
            rivets: e.rivets.as_ref().map(pins),
        }),
    }
}

fn courses(e: &CoursesEntry) -> artwork::Courses {
    let length = |length: Option<Length>| length.map_or(0.0, |length| length.0.get());
    let fewest = e.fewest.0;
    artwork::Courses {
        rows: e.rows.value.0,
        stones: (fewest, e.most.map_or(fewest, |most| most.0.max(fewest))),
        bond: match e.bond.unwrap_or(Bond::Random) {
            Bond::Stack => artwork::Bond::Stack,
            Bond::Running => artwork::Bond::Running,
            Bond::Random => artwork::Bond::Random,
        },
        upright: e.upright.is_some_and(|flag| flag.0),
        uneven: share(e.uneven, 0.0),
        joint: e.joint.0.get(),
        corner: length(e.corner),
        rough: length(e.rough),
        tones: tones(&e.tones),
        mottle: share(e.mottle, 0.0),
        bevel: e.bevel.as_ref().map(bevel),
        grain: e.grain.as_ref().map(|grain| artwork::Grain {
            lines: grain.lines.0,
            width: grain.width.0.get(),
            shade: grain.shade.0,
        }),
        pins: e.pins.as_ref().map(pins),
    }
}

fn colour(Rgb(r, g, b): Rgb) -> Colour {
    Colour(r, g, b)
}

fn tones(list: &Spanned<Vec<Rgb>>) -> Vec<Colour> {
    list.value.iter().copied().map(colour).collect()
}

fn share(share: Option<Share>, default: f64) -> f64 {
    share.map_or(default, |share| share.0)
}

fn ordered(low: Length, high: Length) -> (f64, f64) {
    let (low, high) = (low.0.get(), high.0.get());
    (low.min(high), low.max(high))
}

fn bevel(e: &BevelEntry) -> artwork::Bevel {
    artwork::Bevel { width: e.width.0.get(), light: e.light.0, shade: e.shade.0 }
}

fn pins(e: &PinsEntry) -> artwork::Pins {
    artwork::Pins { radius: e.radius.0.get(), tone: colour(e.tone) }
}
