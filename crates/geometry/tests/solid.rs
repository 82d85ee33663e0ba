//! Developed lengths, areas and angles of nets against the formulas of the solids.
//!
//! Source of the formulas: D. Zwillinger (ed.), CRC Standard Mathematical Tables and Formulae,
//! section on solids (prisms, cylinders, cones and frusta); they are in every handbook of
//! mathematics. Regular polygons stand for circles: their own formulas are exact, and come to
//! those of the circle as their sides become more.

use std::f64::consts::{PI, TAU};

use approx::assert_relative_eq;
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::solid::form::{Ends, cone, rectangle, regular, stack};
use flatwright_geometry::pieces::solid::space::Vector;
use flatwright_geometry::pieces::solid::{Made, Role, Shell, ShellError, nets};
use flatwright_geometry::units::Mm;

const TUBE: Ends = Ends { bottom: false, top: false };
/// Card so thin that folds and joints take next to nothing, mm: under `NOTHING` of a face's area.
const THIN: f64 = 0.02;
const NOTHING: f64 = 6e-3;

fn with(card: f64) -> Parameters {
    Parameters { card: Mm::new(card), ..Parameters::default() }
}

fn made(p: &Parameters, shell: &Shell) -> Vec<Made> {
    nets(p, shell, PieceKind::Prop, "solid").unwrap_or_else(|error| panic!("{error}"))
}

/// The area of the panels that are faces, mm².
fn face_area(made: &[Made]) -> f64 {
    let areas = made.iter().flat_map(|made| {
        made.roles.iter().zip(&made.pattern.net.panels).map(|(role, panel)| match role {
            Role::Face(_) => panel.region.area(),
            Role::Flap { .. } | Role::Leaf(_) => 0.0,
        })
    });
    areas.sum()
}

/// Side and distance from the middle of a regular polygon whose corners lie on a circle.
fn polygon(n: u32, radius: f64) -> (f64, f64) {
    let half = PI / f64::from(n);
    (2.0 * radius * half.sin(), radius * half.cos())
}

#[test]
fn a_cylinder_unrolls_to_its_circumference_by_its_height() {
    let (radius, height) = (15.0, 22.0);
    for n in [6, 12, 24, 36] {
        let ring = regular(n, radius);
        let shell = stack(&[(ring.clone(), 0.0), (ring, height)], TUBE).expect("a tube");
        let (side, _) = polygon(n, radius);
        let perimeter = f64::from(n) * side;
        let area: f64 = (0..shell.faces().len()).filter(|i| shell.faces()[*i].made).map(|i| shell.area(i)).sum();
        assert_relative_eq!(area, perimeter * height, max_relative = 1e-12);
        // 2 pi r h, but for what a chord is shorter than its arc: under (pi / n)^2 / 6 of it.
        let round = TAU * radius * height;
        assert!(area < round && area > round * (1.0 - (PI / f64::from(n)).powi(2) / 6.0));
        assert_relative_eq!(face_area(&made(&with(THIN), &shell)), area, max_relative = NOTHING);
        // From fold to fold a side and the allowance A K u of a fold (DIN 6935 has the like for sheet metal).
        let p = with(0.25);
        let net = &made(&p, &shell)[0];
        let face = |panel: usize| matches!(net.roles[panel], Role::Face(_));
        let folds = net.pattern.net.hinges.iter().filter(|hinge| face(hinge.to));
        let mut folds: Vec<f64> = folds.map(|hinge| hinge.line.p0.x).collect();
        folds.sort_by(f64::total_cmp);
        assert_eq!(folds.len(), n as usize - 1);
        let allowance = TAU / f64::from(n) * 0.5 * 0.25;
        for pair in folds.windows(2) {
            assert_relative_eq!(pair[1] - pair[0], side + allowance, epsilon = 1e-9);
        }
    }
}

#[test]
fn a_cone_unrolls_to_a_sector() {
    let (radius, height) = (16.0, 24.0);
    for n in [6, 9, 12, 16] {
        let shell = cone(&regular(n, radius), Vector::new(0.0, 0.0, height), false).expect("a cone");
        let (side, middle) = polygon(n, radius);
        let slant = height.hypot(middle);
        let area: f64 = (1..shell.faces().len()).map(|i| shell.area(i)).sum();
        assert_relative_eq!(area, f64::from(n) * side * slant / 2.0, max_relative = 1e-12);
        let edge = height.hypot(radius);
        let round = PI * radius * edge;
        assert!(area < round && area > round * (1.0 - (PI / f64::from(n)).powi(2)), "{area} for {round}");
        let net = &made(&with(THIN), &shell)[0];
        assert_relative_eq!(face_area(std::slice::from_ref(net)), area, max_relative = NOTHING);
        // Folds between facets meet in the point; the sector is n facets wide.
        let facet = 2.0 * (side / 2.0 / edge).asin();
        let turns: Vec<f64> = net
            .pattern
            .net
            .hinges
            .iter()
            .filter(|hinge| matches!(net.roles[hinge.to], Role::Face(_)))
            .map(|hinge| (hinge.line.p1 - hinge.line.p0).atan2().rem_euclid(PI))
            .collect();
        // As lines they have no direction: where the sector is wider than half a turn some lie between
        // others, and one step is lost where the count begins anew.
        let near = |turn: f64| turns.iter().any(|other| ((other - turn).rem_euclid(PI) - facet).abs() < 1e-9);
        let steps = turns.iter().filter(|turn| near(**turn)).count();
        assert_eq!(turns.len(), n as usize - 1);
        assert_eq!(steps, n as usize - 2, "each fold but the last is a facet before the next");
        let sector = f64::from(n) * facet;
        let round = TAU * radius / edge;
        assert!(sector < round && sector > round * (1.0 - (PI / f64::from(n)).powi(2) / 3.0), "{sector} for {round}");
    }
}

#[test]
fn a_frustum_has_its_area_and_volume() {
    let (lower, upper, height) = (16.0, 10.0, 20.0);
    for n in [4, 8, 16, 24] {
        let rings = [(regular(n, lower), 0.0), (regular(n, upper), height)];
        let shell = stack(&rings, TUBE).expect("a frustum");
        let ((a, from), (b, to)) = (polygon(n, lower), polygon(n, upper));
        let slant = height.hypot(from - to);
        let area: f64 = (0..shell.faces().len()).filter(|i| shell.faces()[*i].made).map(|i| shell.area(i)).sum();
        assert_relative_eq!(area, f64::from(n) * (a + b) / 2.0 * slant, max_relative = 1e-12);
        let round = PI * (lower + upper) * height.hypot(lower - upper);
        assert!(area < round && area > round * (1.0 - (PI / f64::from(n)).powi(2)));
        let ends = |side: f64, middle: f64| f64::from(n) * side * middle / 2.0;
        let (s, t) = (ends(a, from), ends(b, to));
        // h / 3 (S + T + sqrt(S T))
        assert_relative_eq!(shell.volume(), height / 3.0 * (s + t + (s * t).sqrt()), max_relative = 1e-12);
        assert_relative_eq!(face_area(&made(&with(THIN), &shell)), area, max_relative = NOTHING);
    }
}

#[test]
fn a_prism_has_its_perimeter_by_its_height_and_two_ends() {
    for (base, perimeter, end) in [
        (rectangle(30.0, 20.0), 100.0, 600.0),
        (vec![(0.0, 0.0).into(), (30.0, 0.0).into(), (0.0, 40.0).into()], 120.0, 600.0),
        // An L: its corner in the middle folds the other way.
        (
            [(0.0, 0.0), (40.0, 0.0), (40.0, 15.0), (15.0, 15.0), (15.0, 30.0), (0.0, 30.0)].map(Into::into).to_vec(),
            140.0,
            825.0,
        ),
    ] {
        let height = 18.0;
        let shell = stack(&[(base.clone(), 0.0), (base, height)], Ends::BOTH).expect("a prism");
        assert_relative_eq!(shell.volume(), end * height, max_relative = 1e-12);
        let net = made(&with(THIN), &shell);
        assert_relative_eq!(face_area(&net), perimeter * height + 2.0 * end, max_relative = NOTHING);
        // Nothing lies over anything else: the sheet that is used is the sum of the panels.
        for made in &net {
            let panels: f64 = made.pattern.net.panels.iter().map(|panel| panel.region.area()).sum();
            assert_relative_eq!(panels, made.pattern.material.area(), epsilon = 1e-3);
        }
    }
}

/// A shell a caliper below another: every plane by that much, so a box by twice as much each way.
#[test]
fn an_inset_box_is_two_calipers_smaller() {
    let ring = rectangle(30.0, 20.0);
    let shell = stack(&[(ring.clone(), 0.0), (ring.clone(), 15.0)], Ends::BOTH).expect("a box");
    assert_relative_eq!(shell.inset(0.5).expect("an inside").volume(), 29.0 * 19.0 * 14.0, max_relative = 1e-12);
    let open = Ends { bottom: true, top: false };
    let open = stack(&[(ring.clone(), 0.0), (ring, 15.0)], open).expect("a box");
    assert_relative_eq!(open.inset(0.5).expect("an inside").volume(), 29.0 * 19.0 * 14.5, max_relative = 1e-12);
    assert_eq!(open.inset(10.0), Err(ShellError::NoInside));
}

#[test]
fn faces_that_close_no_body_are_refused() {
    let ring = regular(3, 10.0);
    let shell = stack(&[(ring.clone(), 0.0), (ring, 10.0)], Ends::BOTH).expect("a prism");
    let (points, faces) = (shell.points().to_vec(), shell.faces().to_vec());
    let without = Shell::new(points.clone(), faces[1..].to_vec());
    assert!(matches!(without, Err(ShellError::NotClosed(_))), "{without:?}");
    let mut bent = points.clone();
    bent[0].x += 1.0;
    assert!(matches!(Shell::new(bent, faces.clone()), Err(ShellError::NotFlat(_))));
    let mut bad = points;
    bad[0].x = f64::NAN;
    assert_eq!(Shell::new(bad, faces), Err(ShellError::NotFinite(0)));
    // A stack whose second frustum goes straight on has facets in one plane.
    let ring = regular(8, 10.0);
    let straight = stack(&[(ring.clone(), 0.0), (ring.clone(), 10.0), (ring, 20.0)], Ends::BOTH);
    assert!(matches!(straight, Err(ShellError::NoFold(..))), "{straight:?}");
}

/// The same shell has the same nets.
#[test]
fn nets_do_not_depend_on_chance() {
    let shell = stack(&[(regular(10, 14.0), 0.0), (regular(10, 18.0), 24.0)], Ends::BOTH).expect("a vat");
    let p = with(0.25);
    assert_eq!(made(&p, &shell), made(&p, &shell));
}
