//! What stands free on a floor or lies on posts, as folded bodies.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::pieces::free_wall::FreeWall;
use flatwright_geometry::pieces::piece::Piece;
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
    /// A prop, a stair, a pillar or a free-standing wall.
    pub piece: Piece,
    /// Where its own east, north and up point.
    pub axes: [Space; 3],
    /// Where its origin is, mm: east and north of its place, up from the table.
    pub at: Space,
}

/// The bodies of a piece in its own coordinates: where its shell is; a free-standing wall about the
/// middle of its base plate, which lies on z = 0, its front to the south; a stair marker about its
/// middle, its back on z = 0. None of other pieces.
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
        _ => match piece.nets(p)? {
            Some(nets) => {
                let kind = nets.first().map_or(PieceKind::Prop, |made| made.pattern.kind);
                vec![body(kind, shell::close(p, &nets)?.concat())]
            }
            None => Vec::new(),
        },
    })
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
