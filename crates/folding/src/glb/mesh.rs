//! Prisms as closed triangle meshes with flat normals, each kept once.

use std::collections::{BTreeMap, BTreeSet};

use flatwright_geometry::contour::Contour;
use flatwright_geometry::region::Region;
use kurbo::Point;
use spade::handles::FixedVertexHandle;
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};

use super::GlbFault;
use crate::scene::{Paint, Rgb, Scene};
use crate::solid::Solid;

/// One prism in its own plane, mm.
#[derive(Debug)]
pub(super) struct Mesh {
    /// Corners, once for each face that they belong to.
    pub positions: Vec<[f64; 3]>,
    /// The normals of those faces.
    pub normals: Vec<[f64; 3]>,
    /// Triangles by colour, counterclockwise from outside.
    pub groups: BTreeMap<Rgb, Vec<u32>>,
}

/// The meshes of a scene, and for each solid of each piece the one that it has.
#[derive(Debug, Default)]
pub(super) struct Meshes {
    pub list: Vec<Mesh>,
    pub of: Vec<Vec<usize>>,
}

pub(super) fn all(scene: &Scene<'_>) -> Result<Meshes, Vec<GlbFault>> {
    let mut meshes = Meshes::default();
    let mut known: BTreeMap<Key, usize> = BTreeMap::new();
    let mut faults = Vec::new();
    for shown in &scene.shown {
        let mut of = Vec::new();
        for solid in &shown.body.solids {
            let index = match known.get(&key(solid, shown.paint)) {
                Some(index) => *index,
                None => {
                    let Some(mesh) = prism(solid, shown.paint) else {
                        faults.push(GlbFault::Open(shown.body.name.clone()));
                        continue;
                    };
                    meshes.list.push(mesh);
                    known.insert(key(solid, shown.paint), meshes.list.len() - 1);
                    meshes.list.len() - 1
                }
            };
            of.push(index);
        }
        meshes.of.push(of);
    }
    if faults.is_empty() { Ok(meshes) } else { Err(faults) }
}

/// What makes two prisms equal: colours, heights, and contours bit by bit, each with its length
/// ahead of it.
type Key = (Paint, Vec<u64>);

fn key(solid: &Solid, paint: Paint) -> Key {
    let mut bits = vec![solid.heights.0.to_bits(), solid.heights.1.to_bits()];
    for contour in solid.region.contours() {
        bits.push(contour.points().len() as u64);
        bits.extend(contour.points().iter().flat_map(|p| [p.x.to_bits(), p.y.to_bits()]));
    }
    (paint, bits)
}

/// The prism's mesh; `None` where its area has no triangles that close.
fn prism(solid: &Solid, paint: Paint) -> Option<Mesh> {
    let points: Vec<Point> = solid.region.contours().flat_map(Contour::points).copied().collect();
    let sides = sides(&solid.region);
    let triangles = triangles(&points, &sides)?;
    let mut mesh = Mesh { positions: Vec::new(), normals: Vec::new(), groups: BTreeMap::new() };
    let (low, high) = solid.heights;
    let below: Vec<usize> = triangles.iter().flat_map(|[a, b, c]| [*a, *c, *b]).collect();
    let above: Vec<usize> = triangles.concat();
    mesh.add(points.iter().map(|p| [p.x, p.y, low]), [0.0, 0.0, -1.0], paint.lower, &below)?;
    mesh.add(points.iter().map(|p| [p.x, p.y, high]), [0.0, 0.0, 1.0], paint.upper, &above)?;
    for (a, b) in sides {
        let (a, b) = (points[a], points[b]);
        let along = (b - a).normalize();
        let corners = [[a.x, a.y, low], [b.x, b.y, low], [b.x, b.y, high], [a.x, a.y, high]];
        mesh.add(corners, [along.y, -along.x, 0.0], paint.edges, &[0, 1, 2, 0, 2, 3])?;
    }
    Some(mesh)
}

impl Mesh {
    /// Adds a flat face; `None` past what an index can count.
    fn add(
        &mut self,
        corners: impl IntoIterator<Item = [f64; 3]>,
        normal: [f64; 3],
        colour: Rgb,
        triangles: &[usize],
    ) -> Option<()> {
        let first = self.positions.len();
        self.positions.extend(corners);
        self.normals.resize(self.positions.len(), normal);
        // The largest 32-bit number is no index (glTF 2.0, 3.7.2.1).
        u32::try_from(self.positions.len()).ok().filter(|count| *count < u32::MAX)?;
        let indices = triangles.iter().map(|i| u32::try_from(first + i).unwrap_or(u32::MAX));
        self.groups.entry(colour).or_default().extend(indices);
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
