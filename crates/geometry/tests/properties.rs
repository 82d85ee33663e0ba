//! Properties of every pattern over the whole range of parameters, and contours and offsets
//! against independent geometry libraries: `geo` (areas, validity) and `cavalier_contours` (offsets).

use std::sync::Arc;

use approx::assert_relative_eq;
use cavalier_contours::polyline::{PlineSource, PlineSourceMut, Polyline};
use flatwright_geometry::contour::Contour;
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::{Pattern, PieceKind};
use flatwright_geometry::pieces::bend::{Bend, BendForm, TurnPart, TurnTile};
use flatwright_geometry::pieces::bent_wall::BentWall;
use flatwright_geometry::pieces::cap::{self, Cap};
use flatwright_geometry::pieces::coupler::{self, Coupler};
use flatwright_geometry::pieces::design::{Design, Mark};
use flatwright_geometry::pieces::filler::Filler;
use flatwright_geometry::pieces::grating::Grating;
use flatwright_geometry::pieces::niche::Niche;
use flatwright_geometry::pieces::opening::{HingeSide, Leaf, Opening};
use flatwright_geometry::pieces::post::{self, Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::tile::{self, Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::pieces::well::Well;
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::units::Mm;
use geo::{Area, Validation};
use kurbo::{Affine, Point, Rect};
use proptest::prelude::*;

fn parameters() -> impl Strategy<Value = Parameters> {
    let lengths = (60.0..120.0, 2.0..12.0, 0.1..0.6, 0.05..0.25, 0.0..0.5, 0.1..0.5, 40.0..90.0);
    (lengths, any::<bool>()).prop_map(|((module, board, card, paper, kerf, play, height), board_walls)| Parameters {
        module: Mm::new(module),
        board: Mm::new(board),
        card: Mm::new(card),
        paper: Mm::new(paper),
        kerf: Mm::new(kerf),
        play: Mm::new(play),
        wall_height: Mm::new(height),
        walls: if board_walls { WallBuild::Board } else { WallBuild::Card },
        ..Parameters::default()
    })
}

fn buildable() -> impl Strategy<Value = Parameters> {
    parameters().prop_filter("can be built", |p| p.check().is_ok())
}

/// A niche beside a doorway, under a broken top edge.
fn niche() -> Opening {
    let area = Rect::new(26.0, 12.0, 38.0, 26.0);
    let cut = Contour::rectangle(Rect::new(8.0, -1.0, 18.0, 24.0)).map(Region::from);
    let top = [(8.0, 36.0), (20.0, 42.0), (24.0, 38.0), (42.0, 44.0)].map(Point::from);
    Opening::Drawn(Arc::new(Design {
        name: "ruin".into(),
        mark: Mark::Plain,
        length: 60.9,
        cuts: cut.into_iter().collect(),
        top: top.to_vec(),
        leaf: Some(Leaf { area: Rect::new(8.0, 0.0, 18.0, 24.0), hinge: HingeSide::Right }),
        niche: Some(Niche { area, depth: 6.0 }),
    }))
}

fn openings() -> impl Strategy<Value = Option<Opening>> {
    let mm = Mm::new;
    prop_oneof![
        Just(None),
        Just(Some(Opening::Door { width: mm(22.0), height: mm(30.0), hinge: HingeSide::Right })),
        Just(Some(Opening::Arch { width: mm(22.0), height: mm(32.0) })),
        Just(Some(Opening::Window { width: mm(18.0), height: mm(14.0), sill: mm(15.0), arched: true })),
        Just(Some(Opening::Bars { width: mm(20.0), height: mm(18.0), sill: mm(10.0), count: 3, bar: mm(2.0) })),
        Just(Some(Opening::Low { height: mm(20.0) })),
        Just(Some(niche())),
    ]
}

fn geo_polygon(region: &Region) -> geo::Polygon {
    let ring = |contour: &Contour| contour.points().iter().map(|p| (p.x, p.y)).collect::<geo::LineString>();
    geo::Polygon::new(ring(&region.outer), region.holes.iter().map(ring).collect())
}

/// What holds for every pattern whatever its kind.
fn sound(pattern: &Pattern) {
    let polygon = geo_polygon(&pattern.material);
    assert!(polygon.is_valid(), "{}: {:?}", pattern.kind, polygon.validation_errors());
    assert_relative_eq!(polygon.unsigned_area(), pattern.material.area(), max_relative = 1e-9);
    for contour in pattern.material.contours() {
        assert_eq!(contour.first_crossing(), None, "{} crosses itself", pattern.kind);
    }
    // Panels tile the material: their areas add up to it, so none overlaps another.
    let panels: f64 = pattern.net.panels.iter().map(|panel| panel.region.area()).sum();
    assert_relative_eq!(panels, pattern.material.area(), max_relative = 1e-6);
    // Every panel hangs on another, and every fold line lies on both of its panels' borders.
    for i in 1..pattern.net.panels.len() {
        assert!(pattern.net.hinges.iter().any(|hinge| hinge.to == i || hinge.from == i), "panel {i} hangs loose");
    }
    for hinge in &pattern.net.hinges {
        for panel in [hinge.from, hinge.to] {
            let region = &pattern.net.panels[panel].region;
            let middle = hinge.line.midpoint();
            let nearest = region
                .contours()
                .flat_map(Contour::sides)
                .map(|(a, b)| distance_to_side(middle, a, b))
                .fold(f64::INFINITY, f64::min);
            assert!(nearest < 1e-5, "{}: a fold line is {nearest} mm off its panel", pattern.kind);
        }
    }
    // Labels lie on the material and never on the face.
    for spot in &pattern.label_spots {
        let spot: Region = Contour::rectangle(spot.rect).expect("a spot has an area").into();
        let outside = region::difference(std::slice::from_ref(&spot), std::slice::from_ref(&pattern.material));
        assert!(outside.is_empty(), "{}: a label spot hangs over the edge", pattern.kind);
        let on_face = region::intersection(&[spot], &pattern.face);
        assert!(on_face.is_empty(), "{} {}: a label spot on the face", pattern.kind, pattern.detail);
    }
}

fn distance_to_side(p: kurbo::Point, a: kurbo::Point, b: kurbo::Point) -> f64 {
    let along = b - a;
    let t = ((p - a).dot(along) / along.hypot2()).clamp(0.0, 1.0);
    p.distance(a + along * t)
}

/// Symmetric under `mirror`, corner by corner.
fn symmetric(region: &Region, mirror: Affine) {
    let there = region.moved(mirror);
    let here = [region.clone()];
    let odd: f64 = region::difference(&here, std::slice::from_ref(&there)).iter().map(Region::area).sum();
    assert!(odd < 1e-3, "{odd} mm2 have no mirror image");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn tiles(p in buildable(), across in 1..4u32, along in 1..4u32, every in any::<bool>()) {
        let reliefs = if every { Reliefs::EveryModule } else { Reliefs::Corners };
        let tile = Tile::plain(across, along, reliefs);
        let core = tile::core(&p, tile).unwrap();
        sound(&core);
        symmetric(&core.material, Affine::FLIP_X);
        symmetric(&core.material, Affine::FLIP_Y);
        // Width times height, less four corner squares, the notches, and the reliefs along edges.
        let notches = f64::from(2 * (across + along)) * p.notch_width.get()
            * (p.notch_depth - p.play / 2.0 - p.paper).get();
        let points = if every { f64::from(2 * (across - 1 + along - 1)) } else { 0.0 };
        let relief = p.core_relief().get();
        let points = points * (p.post_side() + p.play).get() * relief;
        let area = (p.core_size(across).get() * p.core_size(along).get()) - 4.0 * relief * relief - notches - points;
        assert_relative_eq!(core.material.area(), area, max_relative = 1e-6);

        let wrap = tile::wrap(&p, tile).unwrap();
        sound(&wrap);
        symmetric(&wrap.material, Affine::FLIP_X);
        symmetric(&wrap.material, Affine::FLIP_Y);
    }

    /// Whatever the opening, its tile is refused, or sound with as much less board as the opening takes.
    #[test]
    fn tiles_with_openings(p in buildable(), sides in (1..4u32, 1..4u32), size in (1..9u32, 1..9u32), at in (0..16u32, 0..16u32)) {
        let plain = Tile::plain(sides.0, sides.1, Reliefs::Corners);
        let middle = Well::in_the_middle(plain, (2 * size.0, 2 * size.1));
        for well in [middle, Well { at, ..middle }] {
            let tile = Tile { opening: Some(well), ..plain };
            let (core, wrap) = (tile::core(&p, tile), tile::wrap(&p, tile));
            prop_assert_eq!(core.is_ok(), wrap.is_ok());
            let (Ok(core), Ok(wrap)) = (core, wrap) else { continue };
            prop_assert_eq!(tile.turned(1).turned(3), tile);
            prop_assert_eq!(tile.turned(1).up_to_rotation(), tile.up_to_rotation());
            sound(&core);
            sound(&wrap);
            let area = |parts: u32| p.module.get() * f64::from(parts) / 6.0 + 2.0 * p.paper.get();
            let left = tile::core(&p, plain).unwrap().material.area() - area(well.size.0) * area(well.size.1);
            assert_relative_eq!(core.material.area(), left, max_relative = 1e-6);
            // Turning the tile turns its opening with it.
            let turned = tile::core(&p, tile.turned(1)).unwrap().material;
            let back = [turned.moved(Affine::new([0.0, -1.0, 1.0, 0.0, 0.0, 0.0]))];
            let odd: f64 = region::difference(&back, &[core.material]).iter().map(Region::area).sum();
            prop_assert!(odd < 1e-3, "{} mm2 differ", odd);
        }
    }

    #[test]
    fn gratings(p in buildable(), size in (1..7u32, 1..7u32), bar in 4.0..9.0, gap in 3.0..12.0, crossed in any::<bool>()) {
        let grating = Grating { size, bar: Mm::new(bar), gap: Mm::new(gap), crossed };
        let Ok(patterns) = grating.patterns(&p) else {
            prop_assert!(grating.board_size(&p).1.get() < 2.0 * bar + gap || grating.board_size(&p).0.get() < 2.0 * bar + gap);
            return Ok(());
        };
        patterns.iter().for_each(sound);
        let [board, card] = &patterns[..] else { panic!("two parts") };
        prop_assert_eq!(&board.material.holes, &card.material.holes);
        let (width, height) = board.size();
        for hole in &board.material.holes {
            // Gaps are as wide as asked, less than twice as wide, and bars between them as wide as the frame.
            let bounds = hole.bounds();
            prop_assert!(bounds.height() > gap - 1e-3 && bounds.height() < 2.0 * (gap + bar), "{:?}", bounds);
            prop_assert!(bounds.y0 > -height.get() / 2.0 + bar - 1e-5 && bounds.y1 < height.get() / 2.0 - bar + 1e-5);
            prop_assert!(bounds.x0 > -width.get() / 2.0 + bar - 1e-5 && bounds.x1 < width.get() / 2.0 - bar + 1e-5);
        }
        // The card reaches past the opening, which is wider than the board by the play.
        prop_assert!(card.size().0 > width + p.play && card.size().1 > height + p.play);
    }

    #[test]
    fn fillers(p in buildable(), thirds in 1..3u32) {
        let filler = Filler { thirds };
        let Ok(patterns) = filler.patterns(&p) else {
            prop_assert!(filler.length(&p).is_err());
            return Ok(());
        };
        patterns.iter().for_each(sound);
        // Two of them, a third and two thirds, leave the play between them: M - s - 2f together.
        let both: f64 = [1, 2].iter().filter_map(|&thirds| Filler { thirds }.length(&p).ok()).map(Mm::get).sum();
        if (Filler { thirds: 1 }).length(&p).is_ok() {
            assert_relative_eq!(both, (p.module - p.post_side() - p.play * 2.0).get(), max_relative = 1e-9);
        }
        let facings = patterns.iter().filter(|pattern| pattern.kind == PieceKind::WallFacing).count();
        prop_assert_eq!(facings, usize::from(p.walls == WallBuild::Board));
    }

    #[test]
    fn pockets_biscuits_and_plates(p in buildable()) {
        let pocket = tile::corner_pocket(&p).unwrap();
        sound(&pocket);
        symmetric(&pocket.material, Affine::new([0.0, 1.0, 1.0, 0.0, 0.0, 0.0]));
        sound(&tile::biscuit(&p).unwrap());
        sound(&post::base_plate(&p).unwrap());
        if let Ok(plug) = post::sleeve_plug(&p) {
            sound(&plug);
        }
    }

    #[test]
    fn posts(p in buildable(), arms in 0..16u8, feet in 0..16u8, under in any::<bool>()) {
        let post = Post { arms: Arms::from_bits(arms), stand: Stand::Feet(Feet::from_bits(feet)), under };
        let sleeve = post::sleeve(&p, post).unwrap();
        sound(&sleeve);
        // Turning the post changes neither how much card it takes nor how it is cut.
        let turned = post::sleeve(&p, post.turned(1)).unwrap();
        assert_relative_eq!(sleeve.net.panels.len() as f64, turned.net.panels.len() as f64);
    }

    #[test]
    fn caps(p in buildable(), arms in 0..16u8) {
        let cap = Cap { arms: Arms::from_bits(arms) };
        let net = cap::net(&p, cap).unwrap();
        sound(&net);
        let turned = cap::net(&p, cap.turned(1)).unwrap();
        assert_relative_eq!(net.material.area(), turned.material.area(), max_relative = 1e-6);
    }

    #[test]
    fn couplers(p in buildable(), arms in 0..16u8) {
        let coupler = Coupler { arms: Arms::from_bits(arms) };
        let net = coupler::sleeve(&p, coupler).unwrap();
        sound(&net);
        let turned = coupler::sleeve(&p, coupler.turned(1)).unwrap();
        // Where the strip begins may differ; a face more or less has the slot of the double face.
        prop_assert_eq!(net.net.panels.len(), turned.net.panels.len());
        prop_assert!((net.material.bounds().height() - turned.material.bounds().height()).abs() < 1e-9);
        // Below it leaves room for the tabs and in the post, above for the hooks.
        prop_assert!(coupler::reach_below(&p) <= p.slot_depth().get());
        prop_assert!(coupler::reach_above(&p) + (p.slot_depth() + p.hook_drop + p.play).get() <= p.post_height().get() + 1e-9);
    }

    #[test]
    fn walls(p in buildable(), span in prop_oneof![Just(1.0), Just(2.0), Just(1.5)], opening in openings()) {
        for pattern in (Wall { span, opening }).patterns(&p).into_iter().flatten() {
            sound(&pattern);
        }
    }

    /// Whatever has room for its bend; a wall longer than its window is always built.
    #[test]
    fn bends(p in buildable(), reach in 1..5u32, round in any::<bool>(), inner in 1..4u32, opening in openings()) {
        let bend = Bend { form: if round { BendForm::Round } else { BendForm::Diagonal }, reach };
        let window = !opening.as_ref().is_some_and(|opening| opening.swings() || opening.has_box());
        match (BentWall { bend, opening }).patterns(&p) {
            Ok(patterns) => patterns.iter().for_each(sound),
            Err(error) => prop_assert!(reach == 1 || !window, "{}", error),
        }
        let parts = [TurnPart::Fan, TurnPart::Ring(inner), TurnPart::Spandrel];
        for tile in parts.map(|part| TurnTile { bend, part }) {
            if tile.check(&p).is_err() {
                prop_assert!(reach == 1 || inner >= reach || tile.inner().is_some_and(|inner| inner.reach == 1));
                continue;
            }
            let core = tile.core(&p).unwrap();
            sound(&core);
            sound(&tile.wrap(&p).unwrap());
            // A bend is the same from either end.
            symmetric(&core.material, Affine::new([0.0, 1.0, 1.0, 0.0, 0.0, 0.0]));
            for pocket in tile.corners(&p).into_iter().filter_map(|corner| corner.pocket) {
                sound(&pocket.pattern(&p).unwrap());
            }
        }
    }

    #[test]
    fn kerf_offsets_agree_with_an_independent_library(p in buildable(), arms in 0..16u8, feet in 0..16u8) {
        let kerf = Mm::new(0.3);
        let post = Post { arms: Arms::from_bits(arms), stand: Stand::Feet(Feet::from_bits(feet)), under: false };
        let tile = Tile::plain(2, 1, Reliefs::Corners);
        for pattern in [post::sleeve(&p, post).unwrap(), tile::core(&p, tile).unwrap()] {
            let ours = pattern.tool_contours(kerf);
            assert_eq!(ours.len(), 1);
            let reach = kerf.get() / 2.0;
            let theirs = rounded_offset_area(&pattern.material.outer, reach);
            // They round convex corners, we keep them sharp: a corner turning by 2t differs by
            // (tan t - t) r^2 (elementary geometry of the tangent kite and its sector).
            let corners: f64 = turns(&pattern.material.outer)
                .filter(|turn| *turn > 0.0)
                .map(|turn| ((turn / 2.0).tan() - turn / 2.0) * reach * reach)
                .sum();
            assert_relative_eq!(ours[0].outer.area(), theirs + corners, max_relative = 1e-7);
        }
    }
}

/// Area inside the outward offset by an independent library (arcs at convex corners).
fn rounded_offset_area(contour: &Contour, reach: f64) -> f64 {
    let mut line = Polyline::new_closed();
    for point in contour.points() {
        line.add(point.x, point.y, 0.0);
    }
    // Its positive offsets lie to the left, inside a counterclockwise line.
    line.parallel_offset(-reach).iter().map(|l: &Polyline<f64>| l.area()).sum()
}

/// By how much the contour turns left at each corner, radians.
fn turns(contour: &Contour) -> impl Iterator<Item = f64> + '_ {
    let points = contour.points();
    let n = points.len();
    (0..n).map(move |i| {
        let (a, b, c) = (points[(i + n - 1) % n], points[i], points[(i + 1) % n]);
        let (before, after) = (b - a, c - b);
        before.cross(after).atan2(before.dot(after))
    })
}

#[test]
fn a_hole_shrinks_by_half_the_kerf_on_every_side() {
    let p = Parameters::default();
    let window = Opening::Window { width: Mm::new(20.0), height: Mm::new(15.0), sill: Mm::new(15.0), arched: false };
    let wall = &Wall { span: 1.0, opening: Some(window) }.patterns(&p).unwrap()[0];
    let cut = wall.tool_contours(Mm::new(0.2));
    assert_eq!(cut[0].holes.len(), 2, "front and back");
    for hole in &cut[0].holes {
        assert_relative_eq!(hole.bounds().width(), 19.8, max_relative = 1e-9);
        assert_relative_eq!(hole.bounds().height(), 14.8, max_relative = 1e-9);
    }
    assert_relative_eq!(cut[0].outer.bounds().width(), wall.material.bounds().width() + 0.2, max_relative = 1e-9);
}

#[test]
fn parameters_that_cannot_be_built_are_all_named() {
    let p = Parameters {
        notch_depth: Mm::new(35.0),
        tongue: Mm::new(30.0),
        hook_drop: Mm::new(40.0),
        ..Parameters::default()
    };
    let fields: Vec<&str> = p.check().unwrap_err().iter().map(|error| error.field).collect();
    assert_eq!(fields, ["notch_depth", "tongue", "hook_drop"]);
    let p = Parameters { module: Mm::new(f64::NAN), board: Mm::new(-1.0), ..Parameters::default() };
    let fields: Vec<&str> = p.check().unwrap_err().iter().map(|error| error.field).collect();
    assert_eq!(fields, ["module", "board"]);
}

/// Calipers as they are measured or estimated, to the hundredth: front and back of a wall meet in its
/// fold, whatever that rounds to.
#[test]
fn every_caliper_of_card_gives_walls_in_one_piece() {
    for hundredths in 10..=60 {
        let p = Parameters { card: Mm::new(f64::from(hundredths) / 100.0), ..Parameters::default() };
        for span in [1.0 / 3.0, 1.0, 2.0] {
            let patterns = Wall { span, opening: None }.patterns(&p);
            sound(&patterns.unwrap_or_else(|error| panic!("card of {}: {error}", p.card))[0]);
        }
    }
}
