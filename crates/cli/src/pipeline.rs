//! The main jobs, in phase order: read, import, prove, lay out, write.
//!
//! Every phase is a function from the one before; nothing here touches the terminal.

use std::path::{Path, PathBuf};

use flatwright_folding::glb;
use flatwright_geometry::units::Mm;
use flatwright_sheets::art::Artwork;
use flatwright_sheets::compose::{self, ComposeError, Composed, Part, Progress, Settings};
use flatwright_sheets::cutter::Ease;
use flatwright_sheets::page::{Colour, Document};
use flatwright_sheets::png::PngError;
use flatwright_sheets::reduce::reduced;
use flatwright_sheets::texture::texture;
use flatwright_sheets::view::{self as sheets_view, Arrangement};
use flatwright_sheets::{class as sheets_class, contact, guide, pdf, plan_view, png, svg};

use crate::args::Overrides;
use crate::calibration::Printer;
use crate::class::{self, Class};
use crate::faces;
use crate::import::{self, Set};
use crate::job::{part, settings};
use crate::machine;
use crate::open::{self, Input};
use crate::output::Output;
use crate::parts::PartsList;
use crate::planned::{self, view};
use crate::problem::{COMMAND_LINE, Problem, Problems};
use crate::proof::{self, Proof, Which};

pub use crate::job::Effort;

/// Resolution of the plan's picture, dots per inch.
const PICTURE: f64 = 150.0;
/// Width at which a build is drawn for other pages, which scale it.
const PICTURE_WIDTH: Mm = Mm::new(180.0);
/// Pixels along the longer side of a designer's picture in a build's textures, at most.
const TEXTURE_PIXELS: u32 = 1024;
/// Least margin of the guide.
const GUIDE_MARGIN: Mm = Mm::new(12.0);

/// Why there is no output.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The input is wrong, and can be mended.
    #[error(transparent)]
    Input(#[from] Problems),
    /// The input is good, and this program failed on it.
    #[error("{0}")]
    Check(String),
}

/// Phases 1 and 2: a set, read, checked and computed. `stock` is what has been built already.
///
/// # Errors
/// Everything that is wrong with the files, or with the values that replace the set file's own.
pub fn load(file: &Path, stock: Option<&Path>, overrides: &Overrides) -> Result<Set, Problems> {
    if file == Path::new("-") && stock == Some(file) {
        let problem = Problem::new("both the set and its stock cannot come from standard input");
        return Err(Problems::new(COMMAND_LINE, vec![problem.help("name one of the two files")]));
    }
    let input = Input::load(file)?;
    let stock = stock.map(Input::load).transpose()?;
    import::import(open::open(input, stock)?.with_profiles(&overrides.profiles)?, overrides)
}

/// The same for the bytes of a set file or a floor plan. Files that they name are looked for in the
/// current folder.
///
/// # Errors
/// As [`load`] has them.
pub fn resolve(name: &str, bytes: Vec<u8>, overrides: &Overrides) -> Result<Set, Problems> {
    let input = Input { name: name.to_owned(), bytes, folder: PathBuf::from(".") };
    import::import(open::open(input, None)?.with_profiles(&overrides.profiles)?, overrides)
}

/// Phase 3: every net folded, every build put together, every rule checked.
#[must_use]
pub fn prove(set: &Set) -> Proof {
    let parts: Vec<Part> = set.pieces.iter().map(|piece| part(set, piece)).collect();
    // Neither pictures nor effort change what a page must hold.
    let settings = settings(set, Effort { seed: 1, steps: None });
    proof::proof(set, &compose::page_uses(&parts, &settings))
}

/// Phase 4: finished pages. `progress` is called now and then.
///
/// # Errors
/// [`Failure::Input`] for pieces and sheets that do not go together; [`Failure::Check`] where the
/// layout did not pass its check.
pub fn lay_out(
    name: &str,
    set: &Set,
    proof: &Proof,
    effort: Effort,
    progress: &mut dyn FnMut(Progress),
) -> Result<Composed, Failure> {
    let parts: Vec<Part> = set.pieces.iter().map(|piece| part(set, piece)).collect();
    let artwork = faces::artwork(set);
    let settings = Settings { artwork, picture: cover_picture(set, proof), ..settings(set, effort) };
    let composed = compose::compose(&parts, &settings, progress);
    let mut composed = composed.map_err(|errors| failure(name, set, errors))?;
    if let Some(about) = &set.about {
        composed.document.subject.clone_from(about);
    }
    Ok(composed)
}

/// Phase 5: the contents of every file of `sheets`, with a contact sheet of so many dots per inch
/// where one is wanted, and files for a cutting machine where those are.
///
/// # Errors
/// [`Failure::Input`] for a contact sheet too fine or too coarse; [`Failure::Check`] where a writer
/// refuses its document.
pub fn render(set: &Set, composed: &Composed, contact: Option<f64>, cutter: Option<Ease>) -> Result<Output, Failure> {
    let document = &composed.document;
    let correction = set.printer.as_ref().map(Printer::correction);
    let motions = correction.map(|correction| correction.of_pages(composed, set.sheets.board.direct));
    let (pdf, pages) = std::thread::scope(|scope| {
        // The two writers share nothing but the document: one runs beside the other.
        let pages = scope.spawn(|| (0..document.pages.len()).map(|page| svg::write(document, page)).collect());
        (pdf::write_corrected(document, &motions.unwrap_or_default()), pages.join())
    });
    let pages: Result<Vec<String>, _> = pages.map_err(|_| Failure::Check("the SVG writer stopped".to_owned()))?;
    let mut files = vec![("sheets.pdf".to_owned(), pdf.map_err(|error| check(&error))?)];
    files.extend(contact_sheet("pages.png", document, contact)?);
    files.extend(cutter.map(|ease| machine::files(composed, ease)).unwrap_or_default());
    files.extend(set.class.as_ref().map(|class| class_pages(set, class, composed)).transpose()?);
    files.push(parts_file(set, composed)?);
    let former = machine::names().chain(["pages.png".to_owned(), class::FILE.to_owned()]).collect();
    Ok(Output { pages: pages.map_err(|error| check(&error))?, files, former })
}

/// Phase 5: the contents of every file of `plan`: the plan redrawn, the guide, the build as solids,
/// the parts list; with a contact sheet of the guide where one is wanted.
///
/// # Errors
/// [`Failure::Input`] for a set without a plan, for paper that has no room for the guide, and for a
/// contact sheet too fine or too coarse;
/// [`Failure::Check`] where a writer refuses its document.
pub fn render_plan(
    name: &str,
    set: &Set,
    proof: &Proof,
    composed: &Composed,
    contact: Option<f64>,
) -> Result<Output, Failure> {
    let Some(planned) = &set.plan else { return Err(no_plan(name)) };
    let refused = |message: String| {
        let help = "change `stock`, --paper or --margin";
        Failure::Input(Problems::new(name, vec![Problem::new(message).help(help)]))
    };
    let told = planned::guide::guide(set, planned, composed, pictures(set, proof));
    let drawing = plan_view::document(&told.plan, &view::fit(planned)).map_err(|error| check(&error))?;
    let margin = set.sheets.margin.max(GUIDE_MARGIN);
    let guide = guide::document(&told, &set.sheets.paper.size, margin).map_err(|error| refused(error.to_string()))?;
    let (drawings, guide_file) = std::thread::scope(|scope| {
        let drawings = scope.spawn(|| draw(&drawing));
        (drawings.join(), pdf::write(&guide))
    });
    let mut files = drawings.map_err(|_| Failure::Check("the picture's writer stopped".to_owned()))??;
    files.push(("guide.pdf".to_owned(), guide_file.map_err(|error| check(&error))?));
    files.extend(contact_sheet("guide.png", &guide, contact)?);
    files.extend(solids(set, proof)?);
    files.push(parts_file(set, composed)?);
    let numbers = 1..=flatwright_planning::text::MOST_LEVELS;
    let numbered = numbers
        .flat_map(|number| [format!("plan-{number}.svg"), format!("plan-{number}.png"), format!("build-{number}.glb")]);
    let former =
        ["plan.svg", "plan.png", "build.glb", "guide.png"].map(str::to_owned).into_iter().chain(numbered).collect();
    Ok(Output { pages: Vec::new(), files, former })
}

/// A picture of a level's build (levels count from 1), or without one of all levels on each other, as
/// `svg`, `png` or `pdf`. All levels taken apart stand above each other, whole.
///
/// # Errors
/// [`Failure::Input`] for a set without a plan or without that level, an ending that names no kind
/// of picture, or a width out of range; [`Failure::Check`] where the build cannot be put together
/// or a writer refuses it.
pub fn picture(
    name: &str,
    set: &Set,
    proof: &Proof,
    level: Option<usize>,
    width: Mm,
    arrangement: Arrangement,
    ending: &str,
) -> Result<Vec<u8>, Failure> {
    let refused =
        |message: String, help: &str| Failure::Input(Problems::new(name, vec![Problem::new(message).help(help)]));
    let Some(planned) = &set.plan else { return Err(no_plan(name)) };
    let levels = planned.levels.len();
    let which = match level {
        Some(level) if !(1..=levels).contains(&level) => {
            return Err(refused(
                format!("the plan has {levels} levels and no level {level}"),
                "levels count from 1, the lowest; \"all\" draws them on each other",
            ));
        }
        Some(level) => Which::Level(level - 1),
        None if levels == 1 => Which::Level(0),
        None => Which::all(arrangement),
    };
    let arrangement = which.arrangement(arrangement);
    let placed = proof::placed(set, proof, which);
    let scene = placed.as_ref().and_then(|placed| proof::scene(set, proof, placed));
    let (scene, prints) =
        scene.ok_or_else(|| Failure::Check("the build could not be put together; try 'flatwright proof'".into()))?;
    let document = sheets_view::document(&scene, &prints, width, arrangement)
        .map_err(|error| refused(error.to_string(), "give another --width"))?;
    match ending {
        "svg" => svg::write(&document, 0).map(String::into_bytes).map_err(|error| check(&error)),
        "png" => png::write(&document, 0, PICTURE).map_err(|error| check(&error)),
        "pdf" => pdf::write(&document).map_err(|error| check(&error)),
        _ => Err(refused(
            format!("no picture is known by the ending \".{ending}\""),
            "let the name end in .svg, .png or .pdf",
        )),
    }
}

/// A build drawn for a page that scales it. A build that cannot be drawn has no picture: the proof
/// tells what is wrong with it.
fn drawn(set: &Set, proof: &Proof, which: Which, arrangement: Arrangement) -> Option<Document> {
    let placed = proof::placed(set, proof, which)?;
    let (scene, prints) = proof::scene(set, proof, &placed)?;
    sheets_view::document(&scene, &prints, PICTURE_WIDTH, which.arrangement(arrangement)).ok()
}

/// All of it as it stands.
fn cover_picture(set: &Set, proof: &Proof) -> Option<Document> {
    let which = if proof.levels() > 1 { Which::Whole } else { Which::Level(0) };
    drawn(set, proof, which, Arrangement::Assembled)
}

/// All levels on each other and lifted off each other, then every level as it stands, and taken apart.
fn pictures(set: &Set, proof: &Proof) -> Vec<Document> {
    let both = [Arrangement::Assembled, Arrangement::Exploded];
    let whole = [Which::Whole, Which::Apart].into_iter().filter(|_| proof.levels() > 1);
    let whole = whole.map(|which| drawn(set, proof, which, Arrangement::Assembled));
    let levels = (0..proof.levels())
        .flat_map(|level| both.map(|arrangement| drawn(set, proof, Which::Level(level), arrangement)));
    whole.chain(levels).flatten().collect()
}

/// The builds as files of solids, in their artwork: `build.glb`, and where there are several levels
/// `build-1.glb` and so on for each of them.
fn solids(set: &Set, proof: &Proof) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let levels = proof.levels();
    let mut files = Vec::new();
    let each = (0..levels).map(|level| (Which::Level(level), format!("build-{}.glb", level + 1)));
    let whole = if levels == 1 { Which::Level(0) } else { Which::Whole };
    for (which, name) in std::iter::once((whole, "build.glb".to_owned())).chain(each.filter(|_| levels > 1)) {
        let placed = proof::placed(set, proof, which);
        let Some((scene, prints)) = placed.as_ref().and_then(|placed| proof::scene(set, proof, placed)) else {
            continue;
        };
        let artwork = Artwork {
            images: prints.artwork.images.iter().map(|image| reduced(image, TEXTURE_PIXELS)).collect(),
            ..prints.artwork
        };
        let bare = Colour(proof::STOCK.0, proof::STOCK.1, proof::STOCK.2);
        let textures =
            prints.faces.iter().enumerate().map(|(print, face)| texture(&scene, print, face, &artwork, bare));
        let textures: Vec<_> = textures.collect::<Result<_, _>>().map_err(|error| check(&error))?;
        files.push((name, glb::write(&scene, &textures).map_err(|error| check(&error))?));
    }
    Ok(files)
}

fn no_plan(name: &str) -> Failure {
    let problem = Problem::new(format!("{name} has no floor plan"));
    let help = "give a floor plan, or a set file with a \"plan\": \"NAME.plan\"";
    Failure::Input(Problems::new(name, vec![problem.help(help)]))
}

/// The pages for a class.
fn class_pages(set: &Set, class: &Class, composed: &Composed) -> Result<(String, Vec<u8>), Failure> {
    let book = class::book(set, class, composed);
    let margin = set.sheets.margin.max(GUIDE_MARGIN);
    let document = sheets_class::document(&book, &set.sheets.paper.size, margin).map_err(|error| {
        let problem = Problem::new(error.to_string()).help("change `stock`, --paper or --margin");
        Failure::Input(Problems::new(COMMAND_LINE, vec![problem]))
    })?;
    Ok((class::FILE.to_owned(), pdf::write(&document).map_err(|error| check(&error))?))
}

/// The pages of a plan, each as SVG and PNG.
fn draw(drawing: &Document) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let mut files = Vec::new();
    for page in 0..drawing.pages.len() {
        let name = if drawing.pages.len() == 1 { "plan".to_owned() } else { format!("plan-{}", page + 1) };
        let svg = svg::write(drawing, page).map_err(|error| check(&error))?;
        let png = png::write(drawing, page, PICTURE).map_err(|error| check(&error))?;
        files.push((format!("{name}.svg"), svg.into_bytes()));
        files.push((format!("{name}.png"), png));
    }
    Ok(files)
}

/// All pages of a document on one picture, where that is wanted.
fn contact_sheet(name: &str, document: &Document, wanted: Option<f64>) -> Result<Option<(String, Vec<u8>)>, Failure> {
    let Some(dots_per_inch) = wanted else { return Ok(None) };
    match contact::write(document, dots_per_inch) {
        Ok(bytes) => Ok(Some((name.to_owned(), bytes))),
        Err(error @ (PngError::Resolution { .. } | PngError::TooLarge { .. })) => {
            let problem = Problem::new(format!("the contact sheet cannot be drawn: {error}"));
            Err(Problems::new(COMMAND_LINE, vec![problem.help("give another number, as in --contact=150")]).into())
        }
        Err(error) => Err(check(&error)),
    }
}

fn parts_file(set: &Set, composed: &Composed) -> Result<(String, Vec<u8>), Failure> {
    let text = PartsList::new(set, Some(composed)).to_json().map_err(|error| check(&error))?;
    Ok(("parts.json".to_owned(), text.into_bytes()))
}

fn check(error: &dyn std::error::Error) -> Failure {
    Failure::Check(error.to_string())
}

/// Errors of the layout, each at the entry that asks for the piece.
fn failure(name: &str, set: &Set, errors: Vec<ComposeError>) -> Failure {
    let of_ours = |error: &&ComposeError| {
        matches!(
            error,
            ComposeError::Layout { .. }
                | ComposeError::Cuts { .. }
                | ComposeError::Order { .. }
                | ComposeError::Bags { .. }
        )
    };
    if let Some(broken) = errors.iter().find(of_ours) {
        return Failure::Check(broken.to_string());
    }
    let problem = |error: ComposeError| {
        let problem = Problem::new(error.to_string());
        match &error {
            ComposeError::TooLarge { id, .. } => {
                let piece = set.pieces.iter().find(|piece| piece.id == *id);
                let split = if set.sheets.split_large { "" } else { ", let \"split_large\" be true" };
                let problem = problem.help(format!("use larger sheets{split}, or make the piece smaller"));
                match piece {
                    Some(piece) => problem.at(&piece.at, "asked for here"),
                    None => problem,
                }
            }
            ComposeError::PageTooSmall { .. } => problem.help("change `stock`, --paper or --margin"),
            ComposeError::Job(_) => problem.help("split the set into several"),
            _ => problem,
        }
    };
    Failure::Input(Problems::new(name, errors.into_iter().map(problem).collect()))
}
