//! The sources of surfaces and of wall designs: those that the program carries, and a designer's own.

use std::collections::BTreeMap;

use flatwright_artwork::Surface;
use include_dir::{Dir, include_dir};

use crate::problem::{Problem, Problems};
use design_file::Recipe;

mod design_check;
pub mod design_draw;
pub mod design_expr;
pub mod design_file;
mod design_shape;
pub mod design_values;
pub mod surface_file;

static CARRIED: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/../../templates-src");

/// Everything that can be named in a set or a plan.
#[derive(Clone, Debug, Default)]
pub struct Library {
    surfaces: BTreeMap<String, Surface>,
    designs: BTreeMap<String, Recipe>,
}

impl Library {
    /// What the program carries, and over it the files of a folder: name and content of each. A
    /// file there replaces what has the same name here.
    ///
    /// # Errors
    /// Every problem of every file.
    pub fn new(own_surfaces: Vec<(String, Vec<u8>)>) -> Result<Self, Vec<Problem>> {
        let mut library = Self::default();
        let mut problems = Vec::new();
        let carried = CARRIED.get_dir("surfaces").into_iter().flat_map(Dir::files);
        let carried = carried.map(|file| (file.path().display().to_string(), file.contents().to_vec()));
        for (name, bytes) in carried.chain(own_surfaces) {
            match surface_file::read(&name, bytes) {
                Ok(surface) => drop(library.surfaces.insert(surface.name.clone(), surface)),
                Err(found) => problems.extend(Problems::into_list(found)),
            }
        }
        let carried = CARRIED.get_dir("walls").into_iter().flat_map(Dir::files);
        for file in carried {
            match design_file::read(&file.path().display().to_string(), file.contents().to_vec()) {
                Ok(recipe) => drop(library.designs.insert(recipe.file.design.0.clone(), recipe)),
                Err(found) => problems.extend(Problems::into_list(found)),
            }
        }
        if problems.is_empty() { Ok(library) } else { Err(problems) }
    }

    /// A surface by its name.
    #[must_use]
    pub fn surface(&self, name: &str) -> Option<&Surface> {
        self.surfaces.get(name)
    }

    /// A wall design by its name.
    #[must_use]
    pub fn design(&self, name: &str) -> Option<&Recipe> {
        self.designs.get(name)
    }

    /// The names of all wall designs, in the alphabet's order.
    #[must_use]
    pub fn designs(&self) -> Vec<&str> {
        self.designs.keys().map(String::as_str).collect()
    }

    /// The names of all surfaces, in the alphabet's order.
    #[must_use]
    pub fn surfaces(&self) -> Vec<&str> {
        self.surfaces.keys().map(String::as_str).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use flatwright_artwork::Colour;

    /// WCAG 2.2, success criterion 1.4.11: 3:1 for graphics. Lines on artwork are black.
    #[test]
    fn black_lines_stand_out_from_every_surface_that_is_carried() {
        let library = Library::new(Vec::new()).unwrap();
        assert!(library.surfaces().len() >= 9);
        for name in library.surfaces() {
            let swatch = library.surface(name).unwrap().swatch(76.2, 1, 3);
            for colour in swatch.colours() {
                let ratio = colour.contrast(Colour::BLACK);
                assert!(ratio >= 3.0, "{name}: {colour:?} {ratio}");
            }
        }
    }
}
