//! The artwork in parts.json: how it is printed, and the designer's pictures.

use flatwright_artwork::Ink;
use flatwright_geometry::units::snapped;
use schemars::JsonSchema;
use serde::Serialize;

use crate::import::{Own, Set};
use crate::pictures::Fit;
use crate::set_file::InkWord;

/// How artwork is printed.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct ArtworkRecord {
    /// "colour", "grey", "line-art" or "blank".
    pub ink: String,
    /// Lighter (above 0, up to 1) or darker (below 0, down to -1).
    pub shade: f64,
    /// Names of the surfaces that are used.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub surfaces: Vec<String>,
    /// The designer's own pictures.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub pictures: Vec<PictureRecord>,
}

/// A picture of the designer.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct PictureRecord {
    /// Its name.
    pub name: String,
    /// The file, as the set names it.
    pub file: String,
    /// "repeat", "cover" or "whole".
    pub fit: String,
    /// Pixels across and down; absent for a drawing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pixels: Option<[u32; 2]>,
    /// The greatest width at which it is printed; absent where it is not printed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub width: Option<f64>,
    /// Its dots per inch at that width; absent for a drawing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dots_per_inch: Option<f64>,
}

impl ArtworkRecord {
    /// The record of a set's artwork.
    #[must_use]
    pub fn new(set: &Set) -> Self {
        let art = &set.artwork;
        let ink = match art.print.ink {
            Ink::Colour => InkWord::Colour,
            Ink::Grey => InkWord::Grey,
            Ink::LineArt => InkWord::LineArt,
            Ink::Blank => InkWord::Blank,
        };
        let picture = |own: &Own| PictureRecord {
            name: own.picture.name.clone(),
            file: own.picture.file.clone(),
            fit: match own.picture.fit {
                Fit::Repeat(_) => "repeat",
                Fit::Cover => "cover",
                Fit::Whole(_) => "whole",
            }
            .to_owned(),
            pixels: own.picture.pixels().map(|(across, down)| [across, down]),
            width: own.width.map(|width| snapped(width.get())),
            dots_per_inch: own.width.and_then(|width| own.picture.resolution(width)).map(f64::floor),
        };
        Self {
            ink: ink.word().to_owned(),
            shade: art.print.shade,
            surfaces: art.surfaces.iter().map(|surface| surface.name.clone()).collect(),
            pictures: art.pictures.iter().map(picture).collect(),
        }
    }
}
