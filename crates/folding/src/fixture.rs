//! What stands free on a floor or lies on posts, as folded bodies.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::free_wall::FreeWall;
use flatwright_geometry::pieces::piece::Piece;
use flatwright_geometry::pieces::roof::Roof;
use flatwright_geometry::pieces::solid::space::Vector as Space;
use flatwright_geometry::pieces::stair::Stair;
use parry3d_f64::math::{Matrix, Pose, Rotation, Vector};

use crate::place::{Body, PlaceError};
use crate::prove::{prove, sheet};
use crate::shell;
use crate::solid::Solid;

/// A piece and how it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Fixture {
    /// A prop, a stair, a pillar, a free-standing wall or a roof.
    pub piece: Piece,
    /// Where its own east, north and up point.
    pub axes: [Space; 3],
    /// Where its origin is, mm: east and north of its place, up from the table.
    pub at: Space,
}

/// The bodies of a piece in its own coordinates: where its shell is; a free-standing wall about the
/// middle of its base plate, which lies on z = 0, its front to the south; a stair marker about its
/// middle, its back on z = 0; a roof with the posts' tops at z = 0. None of other pieces. Where a body has
/// several parts, each but the first of a free-standing wall begins its name with what it is.
///
/// # Errors
/// Where the piece has no pattern, or its nets do not close.
pub fn bodies(p: &Parameters, piece: &Piece) -> Result<Vec<Body>, PlaceError> {
    let body = |kind: PieceKind, solids: Vec<Solid>| Body { name: String::new(), kind, solids };
    Ok(match piece {
        Piece::FreeWall(wall) => free_wall(p, wall)?,
        Piece::Stair(Stair::Marker(_)) => {
            let Some(pattern) = piece.patterns(p)?.pop() else { return Ok(Vec::new()) };
            let (kind, caliper) = (pattern.kind, p.card.get());
            let (long, wide) = pattern.size();
            let pose = Pose::from_translation(Vector::new(-long.get() / 2.0, -wide.get() / 2.0, caliper));
            vec![body(kind, vec![Solid { region: pattern.material, heights: (-caliper, 0.0), pose }])]
        }
        Piece::Roof(roof) => self::roof(p, roof)?,
        _ => match piece.nets(p)? {
            Some(nets) => {
                let kind = nets.first().map_or(PieceKind::Prop, |made| made.pattern.kind);
                vec![body(kind, shell::close(p, &nets)?.concat())]
            }
            None => Vec::new(),
        },
    })
}

/// The parts of a roof, and the caps on its ridges. Those of hips, and all over a plan with inner corners,
/// are left out.
fn roof(p: &Parameters, roof: &Roof) -> Result<Vec<Body>, PlaceError> {
    let mut bodies = Vec::new();
    let mut ridges = Vec::new();
    for part in roof.parts(p)? {
        let nets = Roof::nets(p, &part)?;
        let name = part.name.rsplit(", ").next().unwrap_or_default();
        bodies.push(Body { name: format!("{name} of "), kind: part.kind, solids: shell::close(p, &nets)?.concat() });
        for strip in roof.strips(&part).iter().filter(|strip| strip.ridge && roof.plan.len() == 4) {
            let outside = &part.outside;
            let ends = strip.ends.map(|end| outside.points()[end]);
            ridges.push((roof.strip(p, strip)?, ends, outside.normal(strip.faces[0])));
        }
    }
    for (number, (pattern, ends, normal)) in ridges.into_iter().enumerate() {
        let kind = pattern.kind;
        let fold = pattern.net.hinges.first().map(|hinge| hinge.angle).unwrap_or_default();
        let (sheet, half) = (sheet(p, pattern.stock), p.fold_allowance(fold, p.card).get() / 2.0);
        let what = format!("{} {}", pattern.kind, pattern.detail);
        let proved = prove(pattern, sheet).map_err(|faults| PlaceError::Folds { what, faults })?;
        // The upper half lies on one slope, its fold's inner edge along the ridge: half the allowance
        // above the pattern's line, a caliper below its printed face. A lip along the ridge ends square: its
        // outer corner stands out of the other slope, and the cap lies on that.
        let vector = |v: Space| Vector::new(v.x, v.y, v.z);
        let ([from, to], normal) = (ends.map(vector), vector(normal));
        let along = (to - from).normalize();
        let across = normal.cross(along);
        let lip = p.card.get() * fold.radians().cos().max(0.0) / normal.z;
        let origin = from - across * half + normal * p.card.get() + Vector::Z * lip;
        let there = Pose::from_parts(origin, Rotation::from_mat3(&Matrix::from_cols(along, across, normal)));
        let solids = proved.folded().iter().map(|panel| panel.moved(there)).collect();
        bodies.push(Body { name: format!("ridge cap {} of ", number + 1), kind, solids });
    }
    Ok(bodies)
}

/// The wall, glued by its feet to its plate.
fn free_wall(p: &Parameters, wall: &FreeWall) -> Result<Vec<Body>, PlaceError> {
    let mut patterns = wall.patterns(p)?;
    let (base, net) = (patterns.pop(), patterns.pop());
    let (Some(base), Some(net)) = (base, net) else { return Ok(Vec::new()) };
    let (card, board) = (p.card.get(), p.board.get());
    let (long, across) = wall.plate_size(p)?;
    let corner = Pose::from_translation(Vector::new(-long.get() / 2.0, -across.get() / 2.0, 0.0));
    let plate = Solid { region: base.material, heights: (0.0, board), pose: corner };
    let kind = net.kind;
    let what = format!("{} {}", net.kind, net.detail);
    let sheet = sheet(p, net.stock);
    let proved = prove(net, sheet).map_err(|faults| PlaceError::Folds { what, faults })?;
    // Drawn with the printed side of its front up: that turns to the south, its y upward. The front's
    // back is the wall's middle.
    let upright = Rotation::from_axis_angle(Vector::X, std::f64::consts::FRAC_PI_2);
    let stood: Vec<Solid> =
        proved.folded().iter().map(|panel| panel.moved(Pose::from_parts(Vector::ZERO, upright))).collect();
    let lowest = stood.iter().flat_map(Solid::corners).map(|corner| corner.z).fold(f64::MAX, f64::min);
    let lift = Pose::from_translation(Vector::new(-long.get() / 2.0, -card, board - lowest));
    let solids = stood.iter().map(|panel| panel.moved(lift)).collect();
    let wall = Body { name: String::new(), kind, solids };
    Ok(vec![wall, Body { name: "plate of ".to_owned(), kind: base.kind, solids: vec![plate] }])
}

impl Fixture {
    /// From the piece's own coordinates to those of its place.
    #[must_use]
    pub fn pose(&self) -> Pose {
        let vector = |v: Space| Vector::new(v.x, v.y, v.z);
        let [east, north, up] = self.axes.map(vector);
        Pose::from_parts(vector(self.at), Rotation::from_mat3(&Matrix::from_cols(east, north, up)))
    }
}
