//! The value of a `roof` statement.

use flatwright_geometry::pieces::roof::{Form, Skirt};
use flatwright_geometry::units::{Angle, Mm};

use super::fitting::{Kind, Value};
use super::{Line, TextError};
use crate::fittings::roofs::RoofDesign;

/// Pitch where the text says nothing, and the least and the greatest, degrees; overhang, mm: as in a set.
const PITCH: f64 = 40.0;
const PITCHES: std::ops::RangeInclusive<f64> = 15.0..=65.0;
const OVERHANG: f64 = 3.0;

/// Reads the value of a statement, which stands at a column of a line; what is wrong goes to `errors`. Its
/// level is not looked up yet.
pub(super) fn read(line: &Line, (column, text): (usize, &str), errors: &mut Vec<TextError>) -> Option<RoofDesign> {
    let before = errors.len();
    let mut value = Value::new(Kind::Roof, line.number, column, text, errors);
    let face = value.face();
    let (head, spot) = value.head();
    let forms = [Form::Hip, Form::Gable, Form::LeanTo, Form::Flat];
    let form = forms.into_iter().find(|form| form.name() == head);
    if form.is_none() {
        value.wrong_at(spot, &format!("\"{head}\" is not a form of roof"), Kind::Roof.help());
    }
    let pitch = pitch(&mut value);
    let overhang = value.length("overhang").unwrap_or(Mm::new(OVERHANG));
    let skirt = value.take("skirt").and_then(|said| {
        let skirt = match said.value.as_str() {
            "inside" => Some(Skirt::Inside),
            "outside" => Some(Skirt::Outside),
            _ => None,
        };
        if skirt.is_none() {
            let help = "write \"skirt inside\" for one between the posts, \"skirt outside\" for one round them";
            value.wrong_at(said.at, &format!("\"{}\" is not a place of a skirt", said.value), help);
        }
        skirt
    });
    let over = over(&mut value);
    value.done();
    let spot = (line.number, column, text.chars().count());
    let (pitch, form) = (Angle::degrees(pitch), form?);
    (errors.len() == before).then_some(RoofDesign { level: 0, form, pitch, overhang, skirt, over, face, spot })
}

fn pitch(value: &mut Value<'_, '_>) -> f64 {
    let Some(said) = value.take("pitch") else { return PITCH };
    let number = said.value.strip_suffix("deg").map(str::trim_end).and_then(|text| text.parse::<f64>().ok());
    match number.filter(|number| PITCHES.contains(number)) {
        Some(number) => number,
        None => {
            let help = format!("write {} to {} degrees, such as \"pitch 40 deg\"", PITCHES.start(), PITCHES.end());
            value.wrong_at(said.at, &format!("\"{}\" is not a pitch", said.value), &help);
            PITCH
        }
    }
}

fn over(value: &mut Value<'_, '_>) -> Option<[usize; 4]> {
    let said = value.take("over")?;
    let numbers: Vec<Option<usize>> =
        said.value.split_whitespace().map(|word| word.parse().ok().filter(|number| *number <= 200)).collect();
    if let [Some(x), Some(y), Some(wide @ 1..), Some(deep @ 1..)] = numbers[..] {
        return Some([x, y, wide, deep]);
    }
    let help = "write the column and the row of its north-west cell, counted from 0, and how many columns and rows it \
                covers: \"over 0 0 3 2\"";
    value.wrong_at(said.at, &format!("\"{}\" is no part of a level", said.value), help);
    None
}
