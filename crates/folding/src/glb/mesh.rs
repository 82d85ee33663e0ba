//! Prisms as closed triangle meshes with flat normals, each kept once.

use std::collections::{BTreeMap, BTreeSet};

use flatwright_geometry::contour::Contour;
use flatwright_geometry::region::Region;
use kurbo::{Affine, Point};
use spade::handles::FixedVertexHandle;
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};

use super::{GlbFault, Texture};
use crate::scene::{Paint, Rgb, Scene, Shown, Side};
use crate::solid::Solid;

/// One prism in its own plane, mm.
#[derive(Debug)]
pub(super) struct Mesh {
    /// Corners, once for each face that they belong to.
    pub positions: Vec<[f64; 3]>,
    /// The normals of those faces.
    pub normals: Vec<[f64; 3]>,
    /// Where on a texture they lie; nothing where no face has one.
    pub places: Vec<[f64; 2]>,
    /// Triangles by what they show, counterclockwise from outside.
    pub groups: BTreeMap<Look, Vec<u32>>,
}

/// What a face shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Look {
    /// A colour all over.
    Plain(Rgb),
    /// The texture of that print of the scene.
    Print(usize),
}

/// The meshes of a scene, and for each solid of each piece the one that it has.
#[derive(Debug, Default)]
pub(super) struct Meshes {
    pub list: Vec<Mesh>,
    pub of: Vec<Vec<usize>>,
}

pub(super) fn all(scene: &Scene<'_>, textures: &[Option<Texture>]) -> Result<Meshes, Vec<GlbFault>> {
    let mut meshes = Meshes::default();
    let mut known: BTreeMap<Key, usize> = BTreeMap::new();
    let mut faults = Vec::new();
    for shown in &scene.shown {
        let mut of = Vec::new();
        for (number, solid) in shown.solids().iter().enumerate() {
            let dress = Dress { scene, shown, number, textures };
            let key = key(solid, shown, number);
            let index = match known.get(&key) {
                Some(index) => *index,
                None => {
                    let Some(mesh) = prism(solid, &dress) else {
                        faults.push(GlbFault::Open(shown.body.name.clone()));
                        continue;
                    };
                    meshes.list.push(mesh);
                    known.insert(key, meshes.list.len() - 1);
                    meshes.list.len() - 1
                }
            };
            of.push(index);
        }
        meshes.of.push(of);
    }
    if faults.is_empty() { Ok(meshes) } else { Err(faults) }
}

/// What makes two prisms equal: colours, print, heights, and contours bit by bit, each with its
/// length ahead of it.
type Key = (Paint, Option<(usize, [u64; 6])>, Vec<u64>);

fn key(solid: &Solid, shown: &Shown<'_>, number: usize) -> Key {
    let skin = shown.skin(number).map(|skin| (skin.print, skin.motion.as_coeffs().map(f64::to_bits)));
    let mut bits = vec![solid.heights.0.to_bits(), solid.heights.1.to_bits()];
    for contour in solid.region.contours() {
        bits.push(contour.points().len() as u64);
        bits.extend(contour.points().iter().flat_map(|p| [p.x.to_bits(), p.y.to_bits()]));
    }
    (shown.paint, skin, bits)
}

/// How the faces of a piece look.
struct Dress<'a> {
    scene: &'a Scene<'a>,
    shown: &'a Shown<'a>,
    /// Index of the solid.
    number: usize,
    textures: &'a [Option<Texture>],
}

impl Dress<'_> {
    /// The look of a side, and the map from its coordinates to places on the texture.
    fn of(&self, solid: &Solid, side: Side, plain: Rgb) -> (Look, Affine) {
        let print = self.scene.printed(self.shown, (self.number, solid), side);
        let texture = print.and_then(|(print, map)| Some((print, map, self.textures.get(print)?.as_ref()?)));
        match texture {
            Some((print, map, texture)) => (Look::Print(print), texture.place() * map),
            None => (Look::Plain(plain), Affine::IDENTITY),
        }
    }
}

/// The prism's mesh; `None` where its area has no triangles that close.
fn prism(solid: &Solid, dress: &Dress<'_>) -> Option<Mesh> {
    let paint = dress.shown.paint;
    let points: Vec<Point> = solid.region.contours().flat_map(Contour::points).copied().collect();
    let sides = sides(&solid.region);
    let triangles = triangles(&points, &sides)?;
    let mut mesh = Mesh { positions: Vec::new(), normals: Vec::new(), places: Vec::new(), groups: BTreeMap::new() };
    let (low, high) = solid.heights;
    let below: Vec<usize> = triangles.iter().flat_map(|[a, b, c]| [*a, *c, *b]).collect();
    let above: Vec<usize> = triangles.concat();
    let look = dress.of(solid, Side::Lower, paint.lower);
    let corners = points.iter().map(|p| ([p.x, p.y, low], Point::new(p.x, -p.y)));
    mesh.add(corners, [0.0, 0.0, -1.0], look, &below)?;
    let look = dress.of(solid, Side::Upper, paint.upper);
    mesh.add(points.iter().map(|p| ([p.x, p.y, high], *p)), [0.0, 0.0, 1.0], look, &above)?;
    for (a, b) in sides {
        let (a, b) = (points[a], points[b]);
        let look = dress.of(solid, Side::Edge(a, b), paint.edges);
        let (length, thick) = (a.distance(b), high - low);
        let along = (b - a).normalize();
        let corners = [
            ([a.x, a.y, low], Point::ZERO),
            ([b.x, b.y, low], Point::new(length, 0.0)),
            ([b.x, b.y, high], Point::new(length, thick)),
            ([a.x, a.y, high], Point::new(0.0, thick)),
        ];
        mesh.add(corners, [along.y, -along.x, 0.0], look, &[0, 1, 2, 0, 2, 3])?;
    }
    if !mesh.groups.keys().any(|look| matches!(look, Look::Print(_))) {
        mesh.places.clear();
    }
    Some(mesh)
}

impl Mesh {
    /// Adds a flat face, its corners in space and in its own coordinates; `None` past what an index
    /// can count.
    fn add(
        &mut self,
        corners: impl IntoIterator<Item = ([f64; 3], Point)>,
        normal: [f64; 3],
        (look, map): (Look, Affine),
        triangles: &[usize],
    ) -> Option<()> {
        let first = self.positions.len();
        for (corner, own) in corners {
            self.positions.push(corner);
            let place = if matches!(look, Look::Print(_)) { map * own } else { Point::ZERO };
            self.places.push([place.x, place.y]);
        }
        self.normals.resize(self.positions.len(), normal);
        // The largest 32-bit number is no index (glTF 2.0, 3.7.2.1).
        u32::try_from(self.positions.len()).ok().filter(|count| *count < u32::MAX)?;
        let indices = triangles.iter().map(|i| u32::try_from(first + i).unwrap_or(u32::MAX));
        self.groups.entry(look).or_default().extend(indices);
        Some(())
    }
}

/// The sides of a region as indices into its contours' points, the area on their left.
fn sides(region: &Region) -> Vec<(usize, usize)> {
    let mut sides = Vec::new();
    let mut first = 0;
    for (i, contour) in region.contours().enumerate() {
        let n = contour.points().len();
        // Holes are stored counterclockwise too.
        let side = |k: usize| if i == 0 { (first + k, first + (k + 1) % n) } else { (first + (k + 1) % n, first + k) };
        sides.extend((0..n).map(side));
        first += n;
    }
    sides
}

/// Triangles of the area, counterclockwise, such that each side of one is a side of the region or
/// that of exactly one other. `None` where that cannot be had.
///
/// Ear clipping leaves out corners that come to lie straight between others, which leaves a gap no
/// wider than nothing, but a gap. A constrained Delaunay triangulation goes through every corner.
fn triangles(points: &[Point], sides: &[(usize, usize)]) -> Option<Vec<[usize; 3]>> {
    let mut mesh = ConstrainedDelaunayTriangulation::<Point2<f64>>::new();
    // Two corners at one place are one vertex, and the sides do not close: caught below.
    let handles: Vec<FixedVertexHandle> =
        points.iter().map(|p| mesh.insert(Point2::new(p.x, p.y)).ok()).collect::<Option<_>>()?;
    let numbers: BTreeMap<usize, usize> = handles.iter().enumerate().map(|(i, handle)| (handle.index(), i)).collect();
    for (a, b) in sides {
        // Nothing is added where it would cross another side.
        if mesh.try_add_constraint(handles[*a], handles[*b]).is_empty()
            && !mesh.exists_constraint(handles[*a], handles[*b])
        {
            return None;
        }
    }
    let inside = inside(&mesh);
    let found: Option<Vec<[usize; 3]>> = mesh
        .inner_faces()
        .filter(|face| inside.contains(&face.fix().index()))
        .map(|face| {
            let [a, b, c] = face.vertices().map(|vertex| numbers.get(&vertex.fix().index()).copied());
            Some([a?, b?, c?])
        })
        .collect();
    found.filter(|triangles| closed(triangles, sides))
}

/// The faces an odd number of sides away from the outside.
fn inside(mesh: &ConstrainedDelaunayTriangulation<Point2<f64>>) -> BTreeSet<usize> {
    let outer = mesh.outer_face();
    let mut known = BTreeMap::from([(outer.fix().index(), false)]);
    let mut waiting: Vec<_> = mesh
        .convex_hull()
        .map(|edge| {
            let edge = if edge.is_outer_edge() { edge.rev() } else { edge };
            (edge.face(), edge.is_constraint_edge())
        })
        .collect();
    while let Some((face, odd)) = waiting.pop() {
        if known.contains_key(&face.fix().index()) {
            continue;
        }
        known.insert(face.fix().index(), odd);
        if let Some(face) = face.as_inner() {
            let next = face.adjacent_edges().map(|edge| (edge.rev().face(), odd != edge.is_constraint_edge()));
            waiting.extend(next);
        }
    }
    known.into_iter().filter(|(_, odd)| *odd).map(|(face, _)| face).collect()
}

/// Whether the sides of the triangles pair off, but for those of the region.
fn closed(triangles: &[[usize; 3]], sides: &[(usize, usize)]) -> bool {
    let outer: BTreeSet<(usize, usize)> = sides.iter().copied().collect();
    let edges: BTreeSet<(usize, usize)> = triangles.iter().flat_map(|&[a, b, c]| [(a, b), (b, c), (c, a)]).collect();
    outer.is_subset(&edges)
        && edges.len() == 3 * triangles.len()
        && edges.iter().all(|&(a, b)| outer.contains(&(a, b)) != edges.contains(&(b, a)))
}
