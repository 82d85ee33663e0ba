//! Bodies of flat faces: every net folds, every flap lands, and the faces are where the shell is.

use flatwright_folding::shell::close;
use flatwright_folding::solid::Solid;
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::solid::form::{Ends, cone, rectangle, regular, stack};
use flatwright_geometry::pieces::solid::space::Vector;
use flatwright_geometry::pieces::solid::{Made, Role, Shell, nets};
use flatwright_geometry::units::Mm;

const OPEN: Ends = Ends { bottom: true, top: false };
const TUBE: Ends = Ends { bottom: false, top: false };

fn shells() -> Vec<(&'static str, Shell)> {
    let ring = |n, r| regular(n, r);
    let made = |rings: &[(Vec<kurbo::Point>, f64)], ends| stack(rings, ends).expect("a shell");
    let boxed = |x, y, z, ends| made(&[(rectangle(x, y), 0.0), (rectangle(x, y), z)], ends);
    let apex = |z| Vector::new(0.0, 0.0, z);
    let mut all = vec![
        ("box", boxed(30.0, 20.0, 15.0, Ends::BOTH)),
        ("cube", boxed(20.0, 20.0, 20.0, Ends::BOTH)),
        ("tray", boxed(60.0, 40.0, 8.0, OPEN)),
        ("leg", boxed(6.0, 6.0, 22.0, Ends::BOTH)),
        ("slab", boxed(60.0, 30.0, 4.0, Ends::BOTH)),
        ("tube", made(&[(ring(6, 12.0), 0.0), (ring(6, 12.0), 30.0)], TUBE)),
        ("hood", made(&[(ring(4, 25.0), 0.0), (ring(4, 12.0), 12.0)], Ends { bottom: false, top: true })),
        ("cask", made(&[(ring(8, 10.0), 0.0), (ring(8, 13.0), 12.0), (ring(8, 10.0), 24.0)], Ends::BOTH)),
    ];
    // Inner corners: sides that fold towards each other.
    let ell = [(0.0, 0.0), (40.0, 0.0), (40.0, 15.0), (15.0, 15.0), (15.0, 30.0), (0.0, 30.0)].map(kurbo::Point::from);
    all.push(("ell", made(&[(ell.to_vec(), 0.0), (ell.to_vec(), 18.0)], Ends::BOTH)));
    let step =
        [(0.0, 0.0), (45.0, 0.0), (45.0, 10.0), (30.0, 10.0), (30.0, 20.0), (15.0, 20.0), (15.0, 30.0), (0.0, 30.0)];
    let step = step.map(kurbo::Point::from).to_vec();
    all.push(("steps", made(&[(step.clone(), 0.0), (step, 25.0)], Ends::BOTH)));
    for n in [3, 4, 6, 8, 12, 16, 20, 24] {
        let r = 18.0;
        // Facets of 24 are 3 mm wide at the narrow end.
        all.push(("prism", made(&[(ring(n, r), 0.0), (ring(n, r), 20.0)], Ends::BOTH)));
        all.push(("vat", made(&[(ring(n, r), 0.0), (ring(n, r + 6.0), 20.0)], OPEN)));
        all.push(("frustum", made(&[(ring(n, r), 0.0), (ring(n, 13.0), 20.0)], Ends::BOTH)));
        all.push(("cone", cone(&ring(n, r), apex(25.0), true).expect("a cone")));
        all.push(("open cone", cone(&ring(n, r), apex(25.0), false).expect("a cone")));
    }
    all
}

fn with(card: f64) -> Parameters {
    Parameters { card: Mm::new(card), ..Parameters::default() }
}

/// Each face of the folded nets lies on its face of the shell: no corner of it is off that plane,
/// or beyond the planes of the others by more than the lips reach.
fn faces_lie_on_the_shell(shell: &Shell, made: &[Made], folded: &[Vec<Solid>]) {
    for (net, panels) in made.iter().zip(folded) {
        for (role, panel) in net.roles.iter().zip(panels) {
            let Role::Face(face) = role else { continue };
            let normal = shell.normal(*face);
            let level = normal.dot(shell.points()[shell.faces()[*face].corners[0]]);
            let (low, high) = panel.corners().fold((f64::MAX, f64::MIN), |(low, high), corner| {
                let height = normal.dot(Vector::new(corner.x, corner.y, corner.z)) - level;
                (low.min(height), high.max(height))
            });
            let caliper = panel.heights.1 - panel.heights.0;
            assert!(low.abs() < 1e-5 && (high - caliper).abs() < 1e-5, "{low} to {high}");
        }
    }
}

/// Nets of all bodies in several cards, most of which can be folded: those that can be drawn close,
/// and what cannot be drawn says why.
#[test]
fn every_body_closes() {
    let (mut closed, mut refused) = (0, Vec::new());
    for card in [0.25, 0.5, 1.0] {
        let p = with(card);
        for (name, outside) in shells() {
            let what = format!("{name} of {} faces, card {card}", outside.faces().len());
            let nets = outside
                .inset(card)
                .map_err(|error| error.to_string())
                .and_then(|shell| Ok((nets(&p, &shell, PieceKind::Prop, name).map_err(|e| e.to_string())?, shell)));
            match nets {
                Ok((made, shell)) => {
                    let folded = close(&p, &made).unwrap_or_else(|error| panic!("{what}: {error}"));
                    faces_lie_on_the_shell(&shell, &made, &folded);
                    every_side_is_joined(&shell, &made);
                    closed += 1;
                }
                Err(error) => refused.push(format!("{what}: {error}")),
            }
        }
    }
    // Everything closes in card of 0.25 mm; thicker card is refused where facets are narrow.
    assert!(refused.iter().all(|what| !what.contains("card 0.25")), "{refused:#?}");
    assert!(
        refused.iter().all(|what| what.contains("card 1:")
            || what.contains("of 22")
            || what.contains("of 26")
            || what.contains("of 25")),
        "{refused:#?}"
    );
    assert!(closed > 110 && closed + refused.len() == 3 * shells().len(), "{closed}: {refused:#?}");
}

/// Each side between two faces is a fold or has one flap.
fn every_side_is_joined(shell: &Shell, made: &[Made]) {
    let faces = shell.faces();
    let sides = |face: usize| {
        let corners = &faces[face].corners;
        (0..corners.len()).map(|i| (corners[i], corners[(i + 1) % corners.len()])).collect::<Vec<_>>()
    };
    let mut shared = 0;
    for one in 0..faces.len() {
        for other in one + 1..faces.len() {
            if faces[one].made && faces[other].made {
                shared += sides(one).iter().filter(|(a, b)| sides(other).contains(&(*b, *a))).count();
            }
        }
    }
    let folds: usize = made.iter().map(|made| made.pattern.net.hinges.len()).sum();
    // A flap has one hinge of its own.
    assert_eq!(folds, shared, "folds between faces, and flaps");
    let panels: usize = made.iter().flat_map(|made| &made.roles).filter(|role| matches!(role, Role::Face(_))).count();
    assert_eq!(panels, faces.iter().filter(|face| face.made).count());
}

/// The check itself can fail: a flap that is moved along its fold hangs over, one that is folded by
/// another angle is off its seat.
#[test]
fn a_spoiled_net_is_refused() {
    let p = with(0.25);
    let shell = shells()[0].1.inset(0.25).expect("an inside");
    let made = nets(&p, &shell, PieceKind::Prop, "box").expect("nets");
    assert!(close(&p, &made).is_ok());
    let mut bent = made.clone();
    let hinge = bent[0].pattern.net.hinges.last_mut().expect("a flap's hinge");
    hinge.angle = flatwright_geometry::units::Angle::degrees(80.0);
    assert!(close(&p, &bent).is_err());
    let mut moved = made;
    let flap = moved[0].roles.iter().position(|role| matches!(role, Role::Flap { .. })).expect("a flap");
    let line = moved[0].pattern.net.hinges.iter().find(|hinge| hinge.to == flap).expect("its hinge").line;
    let along = (line.p1 - line.p0).normalize() * 8.0;
    let panel = &mut moved[0].pattern.net.panels[flap];
    panel.region = panel.region.moved(kurbo::Affine::translate(along));
    assert!(close(&p, &moved).is_err());
}
