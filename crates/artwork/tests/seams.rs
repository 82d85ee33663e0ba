//! Squares of any variants fit each other on all sides.

use flatwright_artwork::{
    Bevel, Bond, Cobbles, Colour, Courses, Element, Flecks, Layer, Paint, Ripples, Surface, Swatch,
};
use flatwright_geometry::contour::Contour;
use flatwright_geometry::region::{self, Region};
use kurbo::{Affine, Rect};

const SIDE: f64 = 76.2;
const TONES: [Colour; 2] = [Colour(0xa0, 0xa0, 0xa0), Colour(0xb8, 0xb4, 0xa8)];

fn courses(bond: Bond, upright: bool) -> Layer {
    Layer::Courses(Courses {
        rows: 4,
        stones: (2, 4),
        bond,
        upright,
        uneven: 0.3,
        joint: 1.0,
        corner: 1.0,
        rough: 0.4,
        tones: TONES.to_vec(),
        mottle: 0.05,
        bevel: Some(Bevel { width: 0.4, light: 0.3, shade: 0.2 }),
        grain: None,
        pins: None,
    })
}

fn cobbles(across: u32, jitter: f64) -> Layer {
    Layer::Cobbles(Cobbles { across, jitter, joint: 0.8, round: 0.5, tones: TONES.to_vec(), mottle: 0.05, bevel: None })
}

fn surfaces() -> Vec<Surface> {
    let layers = vec![
        vec![courses(Bond::Random, false)],
        vec![courses(Bond::Random, true)],
        vec![courses(Bond::Running, false)],
        vec![cobbles(6, 0.95)],
        vec![cobbles(12, 1.0)],
        vec![Layer::Flecks(Flecks { count: 120, size: (0.5, 3.0), tones: TONES.to_vec() })],
        vec![Layer::Ripples(Ripples { lines: 6, waves: 3, height: 3.0, width: 0.5, tones: TONES.to_vec() })],
    ];
    let ground = Colour(0x60, 0x60, 0x60);
    layers.into_iter().map(|layers| Surface { name: "under test".into(), ground, layers }).collect()
}

fn crosses(element: &Element) -> bool {
    let b = element.bounds();
    b.x0 < 0.0 || b.y0 < 0.0 || b.x1 > SIDE || b.y1 > SIDE
}

fn fills(swatch: &Swatch, variant: usize, shift: (f64, f64)) -> Vec<Region> {
    let elements = swatch.variants[variant].iter().flatten();
    elements
        .filter(|element| matches!(element.paint, Paint::Fill(_)))
        .filter_map(|element| Contour::flattened(&(Affine::translate(shift) * &element.path)).ok().map(Region::from))
        .collect()
}

#[test]
fn what_crosses_a_side_is_the_same_in_all_variants() {
    for surface in surfaces() {
        for seed in 0..6 {
            let swatch = surface.swatch(SIDE, seed, 4);
            let crossing = |variant: usize| -> Vec<&Element> {
                swatch.variants[variant].iter().flatten().filter(|element| crosses(element)).collect()
            };
            assert!((1..4).all(|variant| crossing(variant) == crossing(0)), "{:?}", surface.layers);
            // There would be nothing to compare if all variants were one.
            let all = |variant: usize| &swatch.variants[variant];
            let varies = !matches!(surface.layers[0], Layer::Ripples(_));
            assert_eq!((1..4).any(|variant| all(variant) != all(0)), varies, "{:?}", surface.layers);
        }
    }
}

/// Stones of one square and of its neighbours to the right and above share no area, and together
/// leave no hole at the side that is larger than those inside.
#[test]
fn stones_of_neighbouring_squares_do_not_overlap() {
    for surface in &surfaces()[..5] {
        let swatch = surface.swatch(SIDE, 3, 3);
        for (left, right) in [(0, 1), (1, 2), (2, 0), (0, 0)] {
            for shift in [(SIDE, 0.0), (0.0, SIDE)] {
                let (a, b) = (fills(&swatch, left, (0.0, 0.0)), fills(&swatch, right, shift));
                let shared: f64 = region::intersection(&a, &b).iter().map(Region::area).sum();
                // Coordinates are rounded to 0.01 mm; joints are eighty times as wide.
                assert!(shared < 1e-6, "{:?}: {shared} mm2", surface.layers);
                // A band across the side is as full of stones as one across the middle.
                let share = |band: Rect| {
                    let band: Vec<Region> = Contour::rectangle(band).map(Region::from).into_iter().collect();
                    let all = [a.clone(), b.clone()].concat();
                    region::intersection(&all, &band).iter().map(Region::area).sum::<f64>() / band[0].area()
                };
                let (side, middle) = if shift.0 > 0.0 {
                    (Rect::new(SIDE - 8.0, 0.0, SIDE + 8.0, SIDE), Rect::new(30.0, 0.0, 46.0, SIDE))
                } else {
                    (Rect::new(0.0, SIDE - 8.0, SIDE, SIDE + 8.0), Rect::new(0.0, 30.0, SIDE, 46.0))
                };
                let (side, middle) = (share(side), share(middle));
                assert!(side > 0.85 * middle, "{:?}: {side} at the side, {middle} inside", surface.layers);
            }
        }
    }
}

#[test]
fn the_same_seed_gives_the_same_drawing_and_another_seed_another() {
    for surface in surfaces() {
        assert_eq!(surface.swatch(SIDE, 5, 2), surface.swatch(SIDE, 5, 2));
        assert_ne!(surface.swatch(SIDE, 5, 2), surface.swatch(SIDE, 6, 2));
    }
}

/// WCAG 2.2's own points: black on white is 21:1; #767676 reaches 4.5:1 on white, #777777 does not.
#[test]
fn contrast_agrees_with_the_published_points() {
    assert!((Colour::BLACK.contrast(Colour::WHITE) - 21.0).abs() < 1e-9);
    assert!(Colour(0x76, 0x76, 0x76).contrast(Colour::WHITE) >= 4.5);
    assert!(Colour(0x77, 0x77, 0x77).contrast(Colour::WHITE) < 4.5);
    // A grey's own grey is itself.
    assert_eq!(Colour(0x80, 0x80, 0x80).grey(), Colour(0x80, 0x80, 0x80));
}
