//! What faces are covered with: names of surfaces to surfaces, and how artwork is printed.

use std::ops::Deref;
use std::sync::OnceLock;

use flatwright_artwork::grid::{Field, Look};
use flatwright_artwork::{Colour, Grid, Ink, Print, Surface, Swatch, ink};
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::PieceKind;
use flatwright_geometry::units::{Mm, plain};
use flatwright_sheets::compose::Flip;

use super::{Given, Piece};
use crate::pictures::{self, Fit, Picture, Printed};
use crate::problem::{At, Problem, Spanned};
use crate::set_file::reader::{listed, nearest};
use crate::set_file::{ArtworkEntries, Covering, FieldWord, FlipWord, InkWord, LookWord, RegistrationWord, Rgb};
use crate::templates::Library;

/// What covers a face.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cover {
    /// A flat colour.
    Colour(Rgb),
    /// A surface: index into [`Artwork::surfaces`].
    Surface(usize),
    /// A picture: index into [`Artwork::pictures`].
    Picture(usize),
}

/// A picture of the designer, and what is printed of it.
#[derive(Clone, Debug)]
pub struct Own {
    /// The picture.
    pub picture: Picture,
    /// The greatest width at which it is printed; `None` where it is not.
    pub width: Option<Mm>,
    /// As it is printed; `None` where it is not.
    pub printed: Option<Printed>,
}

/// How a set's artwork is printed, and the surfaces that it uses.
#[derive(Clone, Debug)]
pub struct Artwork {
    /// Surfaces, in the order of first use.
    pub surfaces: Vec<Used>,
    /// Ink and shade.
    pub print: Print,
    /// A grid on the floors.
    pub grid: Option<Grid>,
    /// Settles what is left to chance.
    pub seed: u64,
    /// Drawings of each surface's square.
    pub variants: usize,
    /// The designer's pictures.
    pub pictures: Vec<Own>,
    /// Whether marks for a cutter stand at the sheets' corners.
    pub registration: bool,
    /// How paper is turned over for pages with the names of pieces on their backs, where there are
    /// such pages.
    pub reverse: Option<Flip>,
}

/// A surface that a set uses, and what it looks like from afar: worked out once, where it is asked for.
#[derive(Clone, Debug)]
pub struct Used {
    surface: Surface,
    afar: OnceLock<Colour>,
}

impl Deref for Used {
    type Target = Surface;

    fn deref(&self) -> &Surface {
        &self.surface
    }
}

/// Drawings of each surface where the set does not say how many.
const VARIANTS: u32 = 3;

impl Artwork {
    /// What the set file and the command line say.
    pub(super) fn new(
        entries: Option<&ArtworkEntries>,
        pictures: Vec<Picture>,
        given: &Given,
        problems: &mut Vec<Problem>,
    ) -> Self {
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
        let reverse = entries.and_then(|entries| entries.reverse_labels).is_some_and(|flag| flag.0);
        let flip = match entries.and_then(|entries| entries.flip) {
            Some(FlipWord::ShortEdge) => Flip::ShortEdge,
            Some(FlipWord::LongEdge) | None => Flip::LongEdge,
        };
        Self {
            pictures: pictures.into_iter().map(|picture| Own { picture, width: None, printed: None }).collect(),
            registration: entries.and_then(|entries| entries.registration) == Some(RegistrationWord::Corners),
            reverse: reverse.then_some(flip),
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
            let own: Vec<&str> = self.pictures.iter().map(|own| own.picture.name.as_str()).collect();
            let known = library.surfaces();
            let near = nearest(name, &[&own[..], &known].concat()).map(|near| format!("did you mean \"{near}\"? "));
            let own =
                if own.is_empty() { String::new() } else { format!("; your pictures are {}", listed(&own, "and")) };
            let help = format!("{}surfaces are {}{own}", near.unwrap_or_default(), listed(&known, "and"));
            problems.push(Problem::new(format!("there is no surface \"{name}\"")).at(at, "here").help(help));
        }
        found
    }

    /// The picture or else the surface of that name, if there is one.
    pub(super) fn carried(&mut self, name: &str, library: &Library) -> Option<Cover> {
        if let Some(index) = self.pictures.iter().position(|own| own.picture.name == name) {
            return Some(Cover::Picture(index));
        }
        if let Some(index) = self.surfaces.iter().position(|surface| surface.name == name) {
            return Some(Cover::Surface(index));
        }
        self.surfaces.push(Used { surface: library.surface(name)?.clone(), afar: OnceLock::new() });
        Some(Cover::Surface(self.surfaces.len() - 1))
    }

    /// Leaves out the surfaces that cover none of `faces`; the others come in the order of first use.
    pub(super) fn keep_used<'a>(&mut self, faces: impl Iterator<Item = &'a mut Cover>) {
        let all = std::mem::take(&mut self.surfaces);
        let mut kept: Vec<usize> = Vec::new();
        for face in faces {
            if let Cover::Surface(index) = face {
                let place = kept.iter().position(|old| old == index);
                *index = place.unwrap_or_else(|| {
                    kept.push(*index);
                    kept.len() - 1
                });
            }
        }
        self.surfaces = kept.into_iter().filter_map(|index| all.get(index).cloned()).collect();
    }

    /// Makes pictures ready for the pieces that show them; what a builder should know of them.
    pub(super) fn print_pictures(
        &mut self,
        pieces: &[Piece],
        p: &Parameters,
        problems: &mut Vec<Problem>,
    ) -> Vec<Problem> {
        let mut warnings = Vec::new();
        for (index, own) in self.pictures.iter_mut().enumerate() {
            warnings.extend(own.picture.notes.iter().cloned());
            let showing = || pieces.iter().filter(|piece| piece.face == Some(Cover::Picture(index)));
            // Lines alone, or nothing, are printed: pictures have no lines.
            if !matches!(self.print.ink, Ink::Colour | Ink::Grey) || showing().next().is_none() {
                continue;
            }
            let widths = showing().map(|piece| pictures::place(&own.picture, &piece.pattern, p.bleed).width());
            let width = Mm::new(widths.fold(0.0, f64::max));
            match own.picture.printed(&format!("picture-{}", index + 1), width, self.print) {
                Ok(printed) => (own.width, own.printed) = (Some(width), Some(printed)),
                Err(problem) => problems.push(problem),
            }
            warnings.extend(coarse(&own.picture, width));
            let floors = showing().any(|piece| matches!(piece.pattern.kind, PieceKind::TileWrap | PieceKind::TurnWrap));
            warnings.extend(seam(&own.picture, p.module).filter(|_| floors));
        }
        warnings
    }

    /// All surfaces as they are printed, for a module of that side.
    #[must_use]
    pub fn swatches(&self, module: Mm) -> Vec<Swatch> {
        let swatch = |surface: &Used| self.print.swatch(&surface.swatch(module.get(), self.seed, self.variants));
        self.surfaces.iter().map(swatch).collect()
    }

    /// A cover as files write it: `#rrggbb`, or the surface's name.
    #[must_use]
    pub fn name_of(&self, cover: Cover) -> String {
        match cover {
            Cover::Colour(Rgb(r, g, b)) => format!("#{r:02x}{g:02x}{b:02x}"),
            Cover::Surface(index) => self.surfaces.get(index).map(|surface| surface.name.clone()).unwrap_or_default(),
            Cover::Picture(index) => self.pictures.get(index).map(|own| own.picture.name.clone()).unwrap_or_default(),
        }
    }

    /// The colour that a cover shows from afar; `module` is the set's.
    #[must_use]
    pub fn from_afar(&self, cover: Cover, module: Mm) -> Colour {
        match cover {
            Cover::Colour(Rgb(r, g, b)) => self.print.colour(Colour(r, g, b)),
            Cover::Surface(index) => self.surfaces.get(index).map_or(Colour::WHITE, |surface| {
                let print = |swatch: Swatch| self.print.swatch(&swatch);
                let mean = || ink::mean_colour(&print(surface.swatch(module.get(), self.seed, 1)));
                *surface.afar.get_or_init(mean)
            }),
            Cover::Picture(index) => {
                self.pictures.get(index).map_or(Colour::WHITE, |own| self.print.colour(own.picture.mean()))
            }
        }
    }
}

/// The warning that a picture has too few pixels for its width on paper.
fn coarse(picture: &Picture, width: Mm) -> Option<Problem> {
    let resolution = picture.resolution(width).filter(|resolution| *resolution < pictures::LEAST_RESOLUTION)?;
    let (dots, least) = (plain(resolution.floor(), 0), plain(pictures::LEAST_RESOLUTION, 0));
    let across = plain(width.get(), 0);
    let message = format!(
        "\"{}\" has {dots} dots per inch where it is printed {across} mm wide; below {least} a print looks coarse",
        picture.name
    );
    let enough = (width.get() / flatwright_geometry::units::MM_PER_INCH * pictures::LEAST_RESOLUTION).ceil();
    let help = format!("use a file at least {} pixels wide, or print it smaller", plain(enough, 0));
    Some(Problem::new(message).at(&picture.at, "this file").help(help))
}

/// The warning that copies of a picture do not meet where tiles meet.
fn seam(picture: &Picture, module: Mm) -> Option<Problem> {
    let Fit::Repeat(width) = picture.fit else { return None };
    let copies = |side: f64| module.get() / side;
    let off = |count: f64| (count - count.round()).abs() > 0.01 || count < 0.99;
    let (across, up) = (copies(width.get()), copies(width.get() / picture.aspect()));
    (off(across) || off(up)).then(|| {
        let message = format!(
            "copies of \"{}\" do not fit the module of {module}: {} lie along it and {} up it, so seams show between tiles",
            picture.name,
            plain(across, 2),
            plain(up, 2)
        );
        let help = "choose a \"size\" that divides the module, and a picture whose sides do too";
        Problem::new(message).at(&picture.at, "this file").help(help)
    })
}

/// Fields that are smaller hold no figure's base.
const LEAST_PITCH: Mm = Mm::new(8.0);
