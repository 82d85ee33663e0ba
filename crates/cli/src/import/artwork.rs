//! What faces are covered with: names of surfaces to surfaces, and how artwork is printed.

use flatwright_artwork::grid::{Field, Look};
use flatwright_artwork::{Colour, Grid, Ink, Print, Surface, Swatch, ink};
use flatwright_geometry::units::Mm;

use super::Given;
use crate::problem::{At, Problem, Spanned};
use crate::set_file::reader::{listed, nearest};
use crate::set_file::{ArtworkEntries, Covering, FieldWord, InkWord, LookWord, Rgb};
use crate::templates::Library;

/// What covers a face.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cover {
    /// A flat colour.
    Colour(Rgb),
    /// A surface: index into [`Artwork::surfaces`].
    Surface(usize),
}

/// How a set's artwork is printed, and the surfaces that it uses.
#[derive(Clone, Debug)]
pub struct Artwork {
    /// Surfaces, in the order of first use.
    pub surfaces: Vec<Surface>,
    /// Ink and shade.
    pub print: Print,
    /// A grid on the floors.
    pub grid: Option<Grid>,
    /// Settles what is left to chance.
    pub seed: u64,
    /// Drawings of each surface's square.
    pub variants: usize,
}

/// Drawings of each surface where the set does not say how many.
const VARIANTS: u32 = 3;

impl Artwork {
    /// What the set file and the command line say.
    pub(super) fn new(entries: Option<&ArtworkEntries>, given: &Given, problems: &mut Vec<Problem>) -> Self {
        let ink = given.get("--ink").and_then(|ink| InkWord::from_word(&ink.value));
        let ink = ink.or(entries.and_then(|entries| entries.ink));
        let share = |share: Option<crate::set_file::Share>| share.map_or(0.0, |share| share.0);
        let shade = entries.map_or(0.0, |entries| share(entries.lighter) - share(entries.darker));
        let grid = entries.and_then(|entries| entries.grid.as_ref()).and_then(|entry| {
            let pitch = entry.pitch.value.0;
            if pitch < LEAST_PITCH {
                let message = format!("`artwork.grid.pitch` is {pitch}");
                let help = format!("fields are at least {LEAST_PITCH} wide; 1 in is usual");
                problems.push(Problem::new(message).at(&entry.pitch.at, "here").help(help));
                return None;
            }
            let field = match entry.field {
                Some(FieldWord::Hex) => Field::Hex,
                Some(FieldWord::Square) | None => Field::Square,
            };
            let look = match entry.look {
                Some(LookWord::Lines) => Look::Lines,
                Some(LookWord::Corners) | None => Look::Corners,
            };
            Some(Grid { field, pitch: pitch.get(), look })
        });
        let ink = match ink {
            Some(InkWord::Grey) => Ink::Grey,
            Some(InkWord::LineArt) => Ink::LineArt,
            Some(InkWord::Blank) => Ink::Blank,
            Some(InkWord::Colour) | None => Ink::Colour,
        };
        Self {
            surfaces: Vec::new(),
            print: Print { ink, shade },
            grid,
            seed: entries.and_then(|entries| entries.seed).map_or(1, |seed| u64::from(seed.0)),
            variants: entries.and_then(|entries| entries.variants).map_or(VARIANTS, |variants| variants.0) as usize,
        }
    }

    /// The cover that a name or colour of the set file stands for.
    pub(super) fn covering(
        &mut self,
        covering: &Spanned<Covering>,
        library: &Library,
        problems: &mut Vec<Problem>,
    ) -> Option<Cover> {
        match &covering.value {
            Covering::Colour(colour) => Some(Cover::Colour(*colour)),
            Covering::Surface(name) => self.named(name, &covering.at, library, problems),
        }
    }

    /// The surface of that name.
    pub(super) fn named(
        &mut self,
        name: &str,
        at: &At,
        library: &Library,
        problems: &mut Vec<Problem>,
    ) -> Option<Cover> {
        let found = self.carried(name, library);
        if found.is_none() {
            let known = library.surfaces();
            let near = nearest(name, &known).map(|near| format!("did you mean \"{near}\"? "));
            let help = format!("{}surfaces are {}", near.unwrap_or_default(), listed(&known, "and"));
            problems.push(Problem::new(format!("there is no surface \"{name}\"")).at(at, "here").help(help));
        }
        found
    }

    /// The surface of that name, if there is one.
    pub(super) fn carried(&mut self, name: &str, library: &Library) -> Option<Cover> {
        if let Some(index) = self.surfaces.iter().position(|surface| surface.name == name) {
            return Some(Cover::Surface(index));
        }
        self.surfaces.push(library.surface(name)?.clone());
        Some(Cover::Surface(self.surfaces.len() - 1))
    }

    /// All surfaces as they are printed, for a module of that side.
    #[must_use]
    pub fn swatches(&self, module: Mm) -> Vec<Swatch> {
        let swatch = |surface: &Surface| self.print.swatch(&surface.swatch(module.get(), self.seed, self.variants));
        self.surfaces.iter().map(swatch).collect()
    }

    /// A cover as files write it: `#rrggbb`, or the surface's name.
    #[must_use]
    pub fn name_of(&self, cover: Cover) -> String {
        match cover {
            Cover::Colour(Rgb(r, g, b)) => format!("#{r:02x}{g:02x}{b:02x}"),
            Cover::Surface(index) => self.surfaces.get(index).map(|surface| surface.name.clone()).unwrap_or_default(),
        }
    }

    /// The colour that a cover shows from afar.
    #[must_use]
    pub fn from_afar(&self, cover: Cover, module: Mm) -> Colour {
        match cover {
            Cover::Colour(Rgb(r, g, b)) => self.print.colour(Colour(r, g, b)),
            Cover::Surface(index) => self.surfaces.get(index).map_or(Colour::WHITE, |surface| {
                ink::mean_colour(&self.print.swatch(&surface.swatch(module.get(), self.seed, 1)))
            }),
        }
    }
}

/// Fields that are smaller hold no figure's base.
const LEAST_PITCH: Mm = Mm::new(8.0);
