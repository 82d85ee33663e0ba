//! The main job, in phase order: read, import, lay out, write.
//!
//! Every phase is a function from the one before; nothing here touches the terminal.

use std::io::{self, Read as _};
use std::path::Path;

use flatwright_sheets::compose::{self, ComposeError, Composed, Part, Progress, Settings, SheetSettings};
use flatwright_sheets::page::Colour;
use flatwright_sheets::{pdf, svg};

use crate::args::Overrides;
use crate::import::{self, Piece, Set, SheetChoice};
use crate::output::Output;
use crate::parts::PartsList;
use crate::problem::{Problem, Problems};
use crate::set_file;

/// Overlap of the parts of a piece that is split.
const SPLIT_OVERLAP: flatwright_geometry::units::Mm = flatwright_geometry::units::Mm::new(10.0);

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

/// What the packing may be told.
#[derive(Clone, Copy, Debug)]
pub struct Effort {
    /// Seed of the choices that are left to chance.
    pub seed: u64,
    /// Step budget; the usual one where none is given.
    pub steps: Option<u32>,
}

/// Phase 1: the bytes of a set file and what to call it. `-` is standard input.
///
/// # Errors
/// One problem: the file is not there, cannot be read, or is too large.
pub fn load(file: &Path) -> Result<(String, Vec<u8>), Problems> {
    let piped = file == Path::new("-");
    let name = if piped { "standard input".to_owned() } else { file.display().to_string() };
    // One byte more than is taken, so that a file that is too large is known without reading it all.
    let limit = set_file::LARGEST as u64 + 1;
    let mut bytes = Vec::new();
    let read = if piped {
        io::stdin().lock().take(limit).read_to_end(&mut bytes)
    } else {
        std::fs::File::open(file).and_then(|opened| opened.take(limit).read_to_end(&mut bytes))
    };
    match read {
        Ok(_) => Ok((name, bytes)),
        Err(error) => {
            let help = match error.kind() {
                io::ErrorKind::NotFound => "check the name; a set file ends in .json by custom",
                io::ErrorKind::IsADirectory => "name the set file in that folder",
                _ => "check that the file may be read",
            };
            let problem = Problem::new(format!("could not read {name}: {}", reason(&error))).help(help);
            Err(Problems::new(name, vec![problem]))
        }
    }
}

/// Phase 2: a set, checked and computed.
///
/// # Errors
/// Everything that is wrong with the file or with the values that replace its own.
pub fn resolve(name: &str, bytes: Vec<u8>, overrides: &Overrides) -> Result<Set, Problems> {
    let (file, source) = set_file::read(name, bytes)?;
    import::import(&file, &source, overrides)
}

/// Phase 3: finished pages. `progress` is called now and then.
///
/// # Errors
/// [`Failure::Input`] for pieces and sheets that do not go together; [`Failure::Check`] where the
/// layout did not pass its check.
pub fn lay_out(name: &str, set: &Set, effort: Effort, progress: &mut dyn FnMut(Progress)) -> Result<Composed, Failure> {
    let parts: Vec<Part> = set.pieces.iter().map(part).collect();
    let composed = compose::compose(&parts, &settings(set, effort), progress);
    let mut composed = composed.map_err(|errors| failure(name, set, errors))?;
    if let Some(about) = &set.about {
        composed.document.subject.clone_from(about);
    }
    Ok(composed)
}

/// Phase 4: the contents of every file.
///
/// # Errors
/// [`Failure::Check`] where a writer refuses its document.
pub fn render(set: &Set, composed: &Composed) -> Result<Output, Failure> {
    let document = &composed.document;
    let fail = |error: &dyn std::error::Error| Failure::Check(error.to_string());
    let (pdf, pages) = std::thread::scope(|scope| {
        // The two writers share nothing but the document: one runs beside the other.
        let pages = scope.spawn(|| (0..document.pages.len()).map(|page| svg::write(document, page)).collect());
        (pdf::write(document), pages.join())
    });
    let pages: Result<Vec<String>, _> = pages.map_err(|_| Failure::Check("the SVG writer stopped".to_owned()))?;
    Ok(Output {
        pdf: pdf.map_err(|error| fail(&error))?,
        pages: pages.map_err(|error| fail(&error))?,
        parts: PartsList::new(set, Some(composed)).to_json().map_err(|error| fail(&error))?,
    })
}

fn part(piece: &Piece) -> Part {
    let mut pattern = piece.pattern.clone();
    if let Some(label) = &piece.label {
        let comma = if pattern.detail.is_empty() { "" } else { ", " };
        pattern.detail = format!("{}{comma}{label}", pattern.detail);
    }
    Part {
        id: piece.id.clone(),
        pattern,
        copies: piece.count,
        face: piece.face.map(|rgb| Colour(rgb.0, rgb.1, rgb.2)),
        label_on_face: piece.label_on_face,
    }
}

fn settings(set: &Set, effort: Effort) -> Settings {
    let sheet = |choice: &SheetChoice| SheetSettings {
        paper: choice.size.clone(),
        orientation: choice.orientation,
        material: choice.material.clone(),
        kerf: choice.kerf,
    };
    let sheets = &set.sheets;
    Settings {
        paper: sheet(&sheets.paper),
        card: sheet(&sheets.card),
        board_as: match &sheets.board.sheet {
            Some(size) => compose::BoardAs::Sheet(size.clone()),
            None => compose::BoardAs::Template,
        },
        board_material: sheets.board.material.clone(),
        board_kerf: sheets.board.kerf,
        margin: sheets.margin,
        gap: sheets.gap,
        bleed: set.parameters.bleed,
        split_overlap: sheets.split_large.then_some(SPLIT_OVERLAP),
        seed: effort.seed,
        effort: effort.steps.unwrap_or(flatwright_nesting::Job::DEFAULT_EFFORT),
        ..Settings::new(&set.name, sheets.paper.size.clone())
    }
}

/// Errors of the layout, each at the entry that asks for the piece.
fn failure(name: &str, set: &Set, errors: Vec<ComposeError>) -> Failure {
    if let Some(broken) = errors.iter().find(|error| matches!(error, ComposeError::Layout { .. })) {
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

/// What went wrong, without the system's error number.
fn reason(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file".to_owned(),
        io::ErrorKind::PermissionDenied => "reading it is not allowed".to_owned(),
        io::ErrorKind::IsADirectory => "it is a folder".to_owned(),
        _ => error.to_string(),
    }
}
