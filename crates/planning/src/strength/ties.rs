//! The joints of a level as ties between pairs of tiles.

use std::collections::BTreeMap;

use super::capacity::Capacities;
use crate::assemble::Owners;
use crate::build::{LevelBuild, WallPlace};
use crate::plan::{Edge, Level, Vertex};

/// What ties two tiles.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Joint {
    /// The biscuit in the seam at this edge.
    Biscuit(Edge),
    /// The tongue under the face (index into [`flatwright_geometry::pieces::post::FACES`]) of a
    /// post (index into the level's posts).
    Tongue {
        /// Which post.
        post: usize,
        /// Which of its faces.
        face: usize,
    },
    /// A wall (index into the level's walls).
    Wall(usize),
}

/// Two tiles tied by one joint.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tie {
    /// The two tiles, the lower index first.
    pub tiles: [usize; 2],
    /// What ties them.
    pub joint: Joint,
    /// What it holds, relative units; never 0.
    pub capacity: u32,
}

/// All ties of a level: biscuits, then tongues, then walls, each in the level's order.
///
/// A tongue ties the two tiles on either side of the seam that it lies under. A wall ties, on each
/// side of it, the tile that its one post holds there to the tile that the other post holds there,
/// where these differ: it bridges the seams under it, and gaps in the floor too. That a post or a
/// wall also stiffens what lies further off is left out, and so are walls on bends, which seldom bridge a seam:
/// sums err on the low side. Tiles of turns are numbered as [`LevelBuild::slabs`] has them.
#[must_use]
pub fn ties(level: &Level, build: &LevelBuild, capacities: Capacities) -> Vec<Tie> {
    let owners = Owners::with_turns(level, build);
    let mut ties = Vec::new();
    let mut tie = |one: Option<usize>, other: Option<usize>, joint, capacity| {
        if let (Some(one), Some(other)) = (one, other)
            && one != other
            && capacity > 0
        {
            ties.push(Tie { tiles: [one.min(other), one.max(other)], joint, capacity });
        }
    };
    for &edge in &build.biscuits {
        let [one, other] = owners.sides(edge);
        tie(one, other, Joint::Biscuit(edge), capacities.biscuit);
    }
    for (index, post) in build.posts.iter().enumerate() {
        let feet = post.post.feet();
        // Quadrant i lies on the left of face i, quadrant i + 1 on its right.
        for face in (0..4).filter(|&face| feet.has(face) && feet.has(face + 1)) {
            let [one, other] = [face, (face + 1) % 4].map(|quadrant| owners.around(post.at, quadrant));
            tie(one, other, Joint::Tongue { post: index, face }, capacities.tongue);
        }
    }
    let held = Held::of(build, &owners);
    for (index, wall) in build.walls.iter().enumerate() {
        // A filler ties nothing: it hangs in one post.
        let pairs = if wall.filler.is_some() { Vec::new() } else { held.pairs(*wall) };
        let shares = u32::try_from(pairs.len()).unwrap_or(1).max(1);
        for (i, (one, other)) in pairs.into_iter().enumerate() {
            // What does not divide goes to the first pair.
            let rest = if i == 0 { capacities.wall % shares } else { 0 };
            tie(Some(one), Some(other), Joint::Wall(index), capacities.wall / shares + rest);
        }
    }
    ties
}

/// The tiles that each post's feet hold, by quadrant.
struct Held(BTreeMap<Vertex, [Option<usize>; 4]>);

impl Held {
    fn of(build: &LevelBuild, owners: &Owners) -> Self {
        let tiles = |at: Vertex, feet: flatwright_geometry::pieces::post::Feet| {
            [0, 1, 2, 3].map(|quadrant| owners.around(at, quadrant).filter(|_| feet.has(quadrant)))
        };
        Self(build.posts.iter().map(|post| (post.at, tiles(post.at, post.post.feet()))).collect())
    }

    /// Pairs of different tiles that a wall ties: at most one on each side; where neither side has
    /// a tile at both ends, the first tile at one end and the first at the other.
    fn pairs(&self, wall: WallPlace) -> Vec<(usize, usize)> {
        let (Some(from), Some(to)) = (self.0.get(&wall.from), self.0.get(&wall.to())) else { return Vec::new() };
        // On each side of the wall: the quadrant beside the wall, then the one beyond its end.
        // West to east: north side, south side. North to south: west side, east side.
        let (at_from, at_to) =
            if wall.down { ([[2, 1], [3, 0]], [[1, 2], [0, 3]]) } else { ([[0, 1], [3, 2]], [[1, 0], [2, 3]]) };
        let nearest = |tiles: &[Option<usize>; 4], side: [usize; 2]| side.into_iter().find_map(|q| tiles[q]);
        let mut pairs: Vec<(usize, usize)> = Vec::new();
        let mut both = false;
        for side in 0..2 {
            if let (Some(one), Some(other)) = (nearest(from, at_from[side]), nearest(to, at_to[side])) {
                both = true;
                if one != other && !pairs.contains(&(one, other)) {
                    pairs.push((one, other));
                }
            }
        }
        if !both
            && let (Some(&one), Some(&other)) = (from.iter().flatten().next(), to.iter().flatten().next())
            && one != other
        {
            pairs.push((one, other));
        }
        pairs
    }
}
