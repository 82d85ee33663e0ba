//! Spot colours of the processing-step layers.
//!
//! What lies on such a layer is painted in a Separation colour named after the layer, so that a
//! cutter or a prepress tool can tell it from artwork of the same colour. A printer without that
//! ink paints the alternative: the very colour of the pen.

use lopdf::{Dictionary, Object, dictionary};

use crate::page::{Colour, Document, Layer, Mark, Shape};

/// One spot colour.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Ink {
    /// The layer's identifier; a second colour on the same layer adds its number, `cutting-2`.
    pub name: String,
    layer: Layer,
    colour: Colour,
}

/// All spot colours of a document, in order of first use.
#[derive(Clone, Debug, Default)]
pub(super) struct Inks(Vec<Ink>);

impl Inks {
    pub(super) fn of(document: &Document) -> Self {
        let mut inks = Self::default();
        let pages = document.pages.iter().flat_map(|page| &page.marks);
        for mark in pages.chain(document.forms.iter().flat_map(|form| &form.marks)) {
            inks.note(mark);
        }
        inks
    }

    /// The spot colour that stands for a colour on a layer, where it has one.
    pub(super) fn get(&self, layer: Layer, colour: Colour) -> Option<&Ink> {
        self.0.iter().find(|ink| ink.layer == layer && ink.colour == colour)
    }

    fn note(&mut self, mark: &Mark) {
        let colour = match &mark.shape {
            Shape::Stroke { pen, .. } => pen.colour,
            Shape::Fill { colour, .. } => *colour,
            Shape::Text(text) => text.colour,
            // Clips hold artwork, which has no spot colours.
            Shape::Place { .. } | Shape::Clip { .. } | Shape::Image { .. } => return,
        };
        if mark.layer.processing_step().is_none() || self.get(mark.layer, colour).is_some() {
            return;
        }
        let before = self.0.iter().filter(|ink| ink.layer == mark.layer).count();
        let id = mark.layer.id();
        let name = if before == 0 { id.to_owned() } else { format!("{id}-{}", before + 1) };
        self.0.push(Ink { name, layer: mark.layer, colour });
    }
}

impl Ink {
    /// The colour space: tint 0 is white, tint 1 the pen's colour (ISO 32000-1, 8.6.6.4 and 7.10.3).
    pub(super) fn space(&self) -> Object {
        let parts = components(self.colour);
        let white = vec![Object::Integer(1); parts.len()];
        let device = if parts.len() == 1 { "DeviceGray" } else { "DeviceRGB" };
        let tint: Dictionary = dictionary! {
            "FunctionType" => 2,
            "Domain" => vec![0.into(), 1.into()],
            "C0" => white,
            "C1" => parts.into_iter().map(Object::Real).collect::<Vec<_>>(),
            "N" => 1,
        };
        let name = Object::Name(self.name.clone().into_bytes());
        vec![Object::Name(b"Separation".to_vec()), name, Object::Name(device.into()), tint.into()].into()
    }
}

/// A colour in DeviceGray (one part) where it is grey, so that black prints with black alone, or
/// else in DeviceRGB (three parts).
pub(super) fn components(colour: Colour) -> Vec<f32> {
    let Colour(red, green, blue) = colour;
    // Three decimals tell all 256 steps apart.
    let part = |byte: u8| (f32::from(byte) / 255.0 * 1000.0).round() / 1000.0;
    if red == green && green == blue { vec![part(red)] } else { vec![part(red), part(green), part(blue)] }
}
