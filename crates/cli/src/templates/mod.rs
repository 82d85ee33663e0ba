//! The sources of surfaces, of wall designs and of props: those that the program carries, and a designer's own.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use flatwright_artwork::Surface;
use include_dir::{Dir, include_dir};

use crate::problem::{Problem, Problems};
use design_file::Recipe;
use prop_file::PropFile;

mod design_check;
pub mod design_draw;
pub mod design_expr;
pub mod design_file;
mod design_shape;
pub mod design_values;
mod prop_check;
pub mod prop_draw;
pub mod prop_file;
mod surface_draw;
pub mod surface_file;

static CARRIED: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/../../templates-src");

/// Everything that can be named in a set or a plan.
#[derive(Clone, Debug, Default)]
pub struct Library {
    surfaces: BTreeMap<String, Surface>,
    designs: BTreeMap<String, Recipe>,
    props: BTreeMap<String, PropFile>,
}

/// Data files of a designer: name and content of each.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    /// Surfaces.
    pub surfaces: Vec<(String, Vec<u8>)>,
    /// Designs of walls.
    pub walls: Vec<(String, Vec<u8>)>,
    /// Props.
    pub props: Vec<(String, Vec<u8>)>,
}

impl Library {
    /// What the program carries, and over it a designer's own files: one of those replaces what has
    /// the same name here.
    ///
    /// # Errors
    /// Every problem of every file.
    pub fn new(own: Sources) -> Result<Self, Vec<Problem>> {
        let mut library = Self::carried().clone()?;
        let problems = library.take_in(own);
        if problems.is_empty() { Ok(library) } else { Err(problems) }
    }

    /// What the program carries; it is read once.
    fn carried() -> &'static Result<Self, Vec<Problem>> {
        static READ: LazyLock<Result<Library, Vec<Problem>>> = LazyLock::new(|| {
            let of = |folder| {
                let files = CARRIED.get_dir(folder).into_iter().flat_map(Dir::files);
                files.map(|file| (file.path().display().to_string(), file.contents().to_vec())).collect()
            };
            let mut library = Library::default();
            let problems =
                library.take_in(Sources { surfaces: of("surfaces"), walls: of("walls"), props: of("props") });
            if problems.is_empty() { Ok(library) } else { Err(problems) }
        });
        &READ
    }

    /// Reads files; a name that is there already is replaced. Every problem of every file.
    fn take_in(&mut self, sources: Sources) -> Vec<Problem> {
        let mut problems = Vec::new();
        for (name, bytes) in sources.surfaces {
            match surface_file::read(&name, bytes) {
                Ok(surface) => drop(self.surfaces.insert(surface.name.clone(), surface)),
                Err(found) => problems.extend(Problems::into_list(found)),
            }
        }
        for (name, bytes) in sources.walls {
            match design_file::read(&name, bytes) {
                Ok(recipe) => drop(self.designs.insert(recipe.file.design.0.clone(), recipe)),
                Err(found) => problems.extend(Problems::into_list(found)),
            }
        }
        for (name, bytes) in sources.props {
            match prop_file::read(&name, bytes) {
                Ok(prop) => drop(self.props.insert(prop.prop.0.clone(), prop)),
                Err(found) => problems.extend(Problems::into_list(found)),
            }
        }
        problems
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

    /// A prop by its name.
    #[must_use]
    pub fn prop(&self, name: &str) -> Option<&PropFile> {
        self.props.get(name)
    }

    /// The names of all props, in the alphabet's order.
    #[must_use]
    pub fn props(&self) -> Vec<&str> {
        self.props.keys().map(String::as_str).collect()
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
    use flatwright_artwork::{Colour, Ink, Print};
    use flatwright_sheets::art::pens_on;
    use flatwright_sheets::lines::LineType;

    /// WCAG 2.2, success criterion 1.4.11: 3:1 for graphics, of every type of line on every surface
    /// that is carried and on bare paper, in colour and in grey, as it is and darker. A line over
    /// artwork that is too dark is seen against its white casing.
    #[test]
    fn every_line_stands_out_from_every_surface_that_is_carried() {
        let library = Library::new(Sources::default()).unwrap();
        assert!(library.surfaces().len() >= 9);
        let (mut bare, mut cased) = (0, 0);
        for name in library.surfaces() {
            let swatch = library.surface(name).unwrap().swatch(76.2, 1, 3);
            for print in
                [(Ink::Colour, 0.0), (Ink::Grey, 0.0), (Ink::Colour, -0.3), (Ink::Grey, -0.3), (Ink::LineArt, 0.0)]
            {
                let print = Print { ink: print.0, shade: print.1 };
                let colours = print.swatch(&swatch).colours();
                for line in LineType::ALL {
                    let pens = pens_on(&colours, *line);
                    let seen = pens.last().unwrap().colour;
                    let beside = match &pens[..] {
                        [casing, _] => vec![casing.colour],
                        _ => colours.clone(),
                    };
                    if pens.len() == 2 {
                        cased += 1;
                    } else {
                        bare += 1;
                    }
                    for colour in beside.into_iter().chain([Colour::WHITE]) {
                        let ratio = seen.contrast(colour);
                        assert!(ratio >= 3.0, "{} on {name}, {print:?}: {colour:?} {ratio}", line.name());
                    }
                    let on_paper = line.colour().contrast(Colour::WHITE);
                    assert!(on_paper >= 3.0, "{} on paper: {on_paper}", line.name());
                }
            }
        }
        assert!(bare > 100, "{bare} bare, {cased} cased");
    }

    #[test]
    fn a_file_of_ones_own_takes_the_place_of_what_is_carried() {
        let file = |name: &str, ground: &str| {
            let text = format!("{{\"surface\": \"{name}\", \"ground\": \"{ground}\", \"layers\": []}}");
            (format!("{name}.json"), text.into_bytes())
        };
        let surfaces = vec![file("brick", "#010203"), file("sea glass", "#040506")];
        let library = Library::new(Sources { surfaces, ..Sources::default() }).unwrap();
        assert_eq!(library.surface("brick").unwrap().ground, Colour(1, 2, 3));
        assert_eq!(library.surface("sea glass").unwrap().ground, Colour(4, 5, 6));
        let broken = vec![("bad.json".to_owned(), b"{}".to_vec()), ("worse.json".to_owned(), b"[".to_vec())];
        let problems = Library::new(Sources { surfaces: broken, ..Sources::default() }).unwrap_err();
        assert!(problems.len() >= 2, "both files are told: {problems:?}");
    }
}
