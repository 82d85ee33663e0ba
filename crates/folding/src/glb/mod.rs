//! A build as binary glTF 2.0 (Khronos Group, glTF 2.0 specification): every piece a named node.
//!
//! Lengths are metres and y is up, as the specification has it. A piece of one solid is one node
//! with a mesh; the panels of a folded piece are nodes below the piece's own. Each mesh is one
//! closed prism in its panel's own plane, so that a thin panel keeps its thickness in the single
//! precision of the format, and prisms that touch are never taken for one open surface. Equal
//! prisms share a mesh, equal colours a material. What is printed on pieces are textures, embedded as
//! PNG, one for each flat pattern.

use std::collections::BTreeSet;

use kurbo::{Affine, Rect};

use crate::scene::Scene;

mod mesh;
mod write;

/// What a print looks like.
#[derive(Clone, Debug, PartialEq)]
pub struct Texture {
    /// A PNG file.
    pub png: Vec<u8>,
    /// The rectangle of the flat pattern that it shows, mm.
    pub bounds: Rect,
}

impl Texture {
    /// From the flat pattern to the texture: (0, 0) is the picture's upper left corner, (1, 1) its
    /// lower right one (glTF 2.0, 3.8.1).
    pub(crate) fn place(&self) -> Affine {
        let Rect { x0, y1, .. } = self.bounds;
        let (w, h) = (self.bounds.width(), self.bounds.height());
        Affine::new([1.0 / w, 0.0, 0.0, -1.0 / h, -x0 / w, y1 / h])
    }

    fn is_sound(&self) -> bool {
        // The signature (W3C PNG specification, 5.2).
        let area = self.bounds.width() > 0.0 && self.bounds.height() > 0.0 && self.bounds.is_finite();
        area && self.png.starts_with(b"\x89PNG\r\n\x1a\n")
    }
}

/// Why no file was written.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GlbError {
    /// Everything that is wrong with the scene.
    #[error("the build cannot be written as glTF:{}", listed(.0))]
    Faults(Vec<GlbFault>),
    /// More than a file can hold.
    #[error("the build would be larger than the 4 GiB that a binary glTF file can hold; write it in parts")]
    TooLarge,
}

/// One thing wrong with a scene.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GlbFault {
    /// Nothing to write.
    #[error("it has no pieces; give it at least one")]
    Empty,
    /// Two pieces with one name.
    #[error("two pieces are called {0:?}; give each its own name")]
    NameTwice(String),
    /// A piece made of nothing.
    #[error("piece {0:?} has no solids; leave it out or give it one")]
    NoSolids(String),
    /// A height or a place that is no number.
    #[error("piece {0:?} has a part that is not at a finite place; give every length a finite number")]
    NotFinite(String),
    /// A part without thickness.
    #[error("piece {name:?} has a part from height {from} to {to} mm; the second must be larger")]
    Flat {
        /// The piece.
        name: String,
        /// Height of its lower face, mm.
        from: f64,
        /// Height of its upper face, mm.
        to: f64,
    },
    /// A texture that shows nothing.
    #[error("the texture of {0:?} is no PNG file, or shows an area of nothing; leave it out or give it both")]
    Texture(String),
    /// A part whose faces could not be closed.
    #[error("a face of piece {0:?} could not be divided into triangles without a gap; please report this")]
    Open(String),
}

/// The scene as a file: same scene, same bytes. `textures` has what each of the scene's prints looks
/// like; where there is none, pieces have their plain colours.
///
/// A piece with a cover has the sheet as its last part ([`crate::scene::Shown::solids`]).
///
/// # Errors
/// [`GlbError::Faults`] with everything that is wrong, [`GlbError::TooLarge`] past 4 GiB.
pub fn write(scene: &Scene<'_>, textures: &[Option<Texture>]) -> Result<Vec<u8>, GlbError> {
    let mut faults = faults(scene);
    for (print, texture) in scene.prints.iter().zip(textures) {
        if !texture.as_ref().is_none_or(Texture::is_sound) {
            faults.push(GlbFault::Texture(print.id.clone()));
        }
    }
    if !faults.is_empty() {
        return Err(GlbError::Faults(faults));
    }
    let meshes = mesh::all(scene, textures).map_err(GlbError::Faults)?;
    write::file(scene, textures, &meshes)
}

fn faults(scene: &Scene<'_>) -> Vec<GlbFault> {
    let mut found = Vec::new();
    if scene.shown.is_empty() {
        found.push(GlbFault::Empty);
    }
    let mut names = BTreeSet::new();
    for shown in &scene.shown {
        let name = &shown.body.name;
        if !names.insert(name) {
            found.push(GlbFault::NameTwice(name.clone()));
        }
        if shown.body.solids.is_empty() {
            found.push(GlbFault::NoSolids(name.clone()));
        }
        for solid in &shown.solids() {
            let (from, to) = solid.heights;
            if !(from.is_finite() && to.is_finite() && solid.pose.is_finite()) {
                found.push(GlbFault::NotFinite(name.clone()));
            } else if from >= to {
                found.push(GlbFault::Flat { name: name.clone(), from, to });
            }
        }
    }
    found
}

fn listed(faults: &[GlbFault]) -> String {
    faults.iter().map(|fault| format!("\n  {fault}")).collect()
}
