//! Expressions of a design file: numbers in millimetres that follow the wall's size.

use std::borrow::Cow;
use std::sync::Arc;

use exmex::{BinOp, Express, FlatEx, MakeOperators, Operator};
use jsonc_parser::ast::Value;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};

use crate::problem::{At, Problem};
use crate::set_file::reader::{Read, Reader, nearest};

/// Longest expression, characters.
const LONGEST: usize = 240;
/// Largest number that an expression may come to: farther out than any wall reaches.
const LARGEST: f64 = 10_000.0;

/// Words that stand for operations, which no value may be called.
pub const OPERATIONS: [&str; 15] =
    ["min", "max", "sin", "cos", "tan", "sqrt", "abs", "floor", "ceil", "round", "chance", "above", "PI", "mod", "not"];

/// The operations of expressions.
#[derive(Clone, Debug)]
struct Operations;

impl MakeOperators<f64> for Operations {
    /// Higher numbers bind first. Of two operations with one number the parser may take the second
    /// first where it is commutative: so what takes away stands above what adds.
    fn make<'a>() -> Vec<Operator<'a, f64>> {
        vec![
            Operator::make_bin_unary("-", BinOp { apply: |a, b| a - b, prio: 1, is_commutative: false }, |a| -a),
            Operator::make_bin_unary("+", BinOp { apply: |a, b| a + b, prio: 0, is_commutative: true }, |a| a),
            Operator::make_bin("*", BinOp { apply: |a, b| a * b, prio: 2, is_commutative: true }),
            Operator::make_bin("/", BinOp { apply: |a, b| a / b, prio: 3, is_commutative: false }),
            Operator::make_bin("^", BinOp { apply: f64::powf, prio: 4, is_commutative: false }),
            Operator::make_bin("mod", BinOp { apply: f64::rem_euclid, prio: 3, is_commutative: false }),
            Operator::make_bin("min", BinOp { apply: f64::min, prio: 0, is_commutative: true }),
            Operator::make_bin("max", BinOp { apply: f64::max, prio: 0, is_commutative: true }),
            Operator::make_bin("above", BinOp { apply: above, prio: 0, is_commutative: false }),
            Operator::make_unary("sin", f64::sin),
            Operator::make_unary("cos", f64::cos),
            Operator::make_unary("tan", f64::tan),
            Operator::make_unary("sqrt", f64::sqrt),
            Operator::make_unary("abs", f64::abs),
            Operator::make_unary("floor", f64::floor),
            Operator::make_unary("ceil", f64::ceil),
            Operator::make_unary("round", f64::round),
            Operator::make_unary("not", not),
            Operator::make_unary("chance", chance),
            Operator::make_constant("PI", std::f64::consts::PI),
        ]
    }
}

/// 1 where `a` is above `b`, else 0.
fn above(a: f64, b: f64) -> f64 {
    f64::from(u8::from(a > b))
}

/// 1 for what is not above 0.
fn not(a: f64) -> f64 {
    f64::from(u8::from(a <= 0.0))
}

/// From 0 to 1, by chance, but always the same for the same number.
fn chance(a: f64) -> f64 {
    #[expect(clippy::cast_possible_truncation, reason = "any whole number near it will do")]
    let key = (a * 1000.0).round() as i64;
    let draw = flatwright_artwork::chance::Chance::new(0, &[key.cast_unsigned()]).draw();
    (draw >> 11) as f64 / (1u64 << 53) as f64
}

/// An expression that was read.
#[derive(Clone, Debug)]
pub struct Expr {
    text: String,
    at: At,
    /// Behind a pointer: it is some kilobytes large, and shapes hold many.
    flat: Arc<FlatEx<f64, Operations>>,
}

/// Names and what they stand for, the latest first to be found.
#[derive(Clone, Debug, Default)]
pub struct Scope(Vec<(String, f64)>);

impl Scope {
    /// Adds a name.
    pub fn push(&mut self, name: &str, value: f64) {
        self.0.push((name.to_owned(), value));
    }

    /// Takes the latest name away.
    pub fn pop(&mut self) {
        self.0.pop();
    }

    fn get(&self, name: &str) -> Option<f64> {
        self.0.iter().rev().find(|(known, _)| known == name).map(|(_, value)| *value)
    }
}

impl Expr {
    /// What it comes to.
    ///
    /// # Errors
    /// A problem where that is no number, or one that is out of reach.
    pub fn value(&self, scope: &Scope) -> Result<f64, Problem> {
        let values: Option<Vec<f64>> = self.flat.var_names().iter().map(|name| scope.get(name)).collect();
        let value = values.and_then(|values| self.flat.eval(&values).ok());
        value.filter(|value| value.is_finite() && value.abs() <= LARGEST).ok_or_else(|| {
            let found = value.map_or_else(|| "nothing".to_owned(), |value| value.to_string());
            Problem::new(format!("\"{}\" comes to {found} here", self.text)).at(&self.at, "this expression").help(
                format!(
                    "let it come to a number from -{LARGEST} to {LARGEST}: no division by zero, no root of less than 0"
                ),
            )
        })
    }

    /// Where it is written.
    #[must_use]
    pub const fn at(&self) -> &At {
        &self.at
    }

    /// Notes the names in it that `known` does not have.
    pub fn check(&self, known: &[&str], problems: &mut Vec<Problem>) {
        for name in self.flat.var_names().iter().filter(|name| !known.contains(&name.as_str())) {
            let near = nearest(name, known).map(|near| format!("did you mean \"{near}\"? "));
            let help = format!("{}names known here are {}", near.unwrap_or_default(), known.join(", "));
            problems.push(Problem::new(format!("\"{name}\" stands for nothing")).at(&self.at, "in here").help(help));
        }
    }
}

impl JsonSchema for Expr {
    fn schema_name() -> Cow<'static, str> {
        "Expression".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A number, or an expression in quotes, in millimetres: + - * / ^, mod (what a division leaves; it binds like one), min(a, b), max(a, b), above(a, b), not(a), sin, cos, tan (radians), sqrt, abs, floor, ceil, round, PI, and chance(n), a number from 0 to 1 that is always the same for the same n. Names of a wall design: length, wall_height, module, post, thickness, play, tool, edge, hook_gap, its own values and names, and the index of a repeat. Names of a prop: module, wall_height, board, card, play, and its own.",
            "anyOf": [{ "type": "number" }, { "type": "string", "minLength": 1, "maxLength": LONGEST }],
        })
    }
}

impl Read for Expr {
    fn read(value: &Value<'_>, reader: &mut Reader) -> Option<Self> {
        let text = match value {
            Value::StringLit(text) => text.value.to_string(),
            Value::NumberLit(number) => number.value.to_owned(),
            _ => {
                let help = "write millimetres, such as 4 or \"length / 2 - width / 2\"";
                reader.mismatch(value, "a number or an expression in quotes", help);
                return None;
            }
        };
        if text.chars().count() > LONGEST {
            let what = format!("has {} characters; at most {LONGEST} are read", text.chars().count());
            reader.wrong(value, &what, "here", "give a part of it a name under \"names\"");
            return None;
        }
        // Numbers of JSON may have an exponent, which expressions do not.
        let number = value.as_number_lit().and_then(|number| number.value.parse::<f64>().ok());
        let written = number.map_or_else(|| text.clone(), |number| number.to_string());
        match FlatEx::parse(&written) {
            Ok(flat) => Some(Self { text, at: reader.at(value), flat: Arc::new(flat) }),
            Err(error) => {
                let what = format!("is no expression: {}", lowered(error.msg()));
                let help = "write it like \"length / 2 + 3\", with * between factors and a closing bracket for each opening one";
                reader.wrong(value, &what, "here", help);
                None
            }
        }
    }
}

fn lowered(message: &str) -> String {
    let mut letters = message.trim_end_matches('.').chars();
    letters.next().map(|first| first.to_lowercase().chain(letters).collect()).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &str, scope: &Scope) -> f64 {
        let flat = FlatEx::<f64, Operations>::parse(text).unwrap();
        let values: Vec<f64> = flat.var_names().iter().map(|name| scope.get(name).unwrap()).collect();
        flat.eval(&values).unwrap()
    }

    #[test]
    #[expect(clippy::float_cmp, reason = "whole numbers")]
    fn operations_mean_what_the_schema_says() {
        let mut scope = Scope::default();
        scope.push("length", 60.0);
        scope.push("i", 3.0);
        let cases = [
            ("length / 2 - 10", 20.0),
            ("2 + 3 * 4 ^ 2", 50.0),
            ("-2 + i", 1.0),
            ("10 - 4 - 3", 3.0),
            ("10 - 4 + 3", 9.0),
            ("1 - 2 + 3 - 4 + 5", 3.0),
            ("8 / 2 / 2 * 3", 6.0),
            ("2 * 9 / 3 * 4", 24.0),
            ("2 * 5 mod 3", 4.0),
            ("-i ^ 2 + 2 * -i", 3.0),
            ("min(length, 5) + max(1, 2)", 7.0),
            ("i mod 2", 1.0),
            ("above(i, 2) + above(2, i)", 1.0),
            ("not(i) + not(0) + not(0.5)", 1.0),
            ("cos(PI)", -1.0),
            ("round(2.6) + floor(2.6) + ceil(2.1)", 8.0),
        ];
        for (text, expected) in cases {
            assert_eq!(value(text, &scope), expected, "{text}");
        }
        let draws: Vec<f64> = (0..200).map(|n| chance(f64::from(n))).collect();
        assert!(draws.iter().all(|draw| (0.0..1.0).contains(draw)));
        let mean = draws.iter().sum::<f64>() / 200.0;
        assert!((mean - 0.5).abs() < 0.1, "{mean}");
        assert_eq!(chance(7.0), chance(7.0));
    }
}

/// Names that expressions of a data file may use.
#[derive(Debug, Default)]
pub struct Names(Vec<String>);

impl Names {
    /// Those that every expression knows.
    #[must_use]
    pub fn new(known: &[&str]) -> Self {
        Self(known.iter().map(|&name| name.to_owned()).collect())
    }

    /// Adds one that is written at a place; a problem without help where it is known already.
    pub fn define(&mut self, name: &str, at: &At) -> Option<Problem> {
        let twice = self.0.iter().any(|known| known == name);
        self.push(name);
        twice.then(|| Problem::new(format!("\"{name}\" stands for two things")).at(at, "the second one"))
    }

    /// Adds one that may hide another, such as an index.
    pub fn push(&mut self, name: &str) {
        self.0.push(name.to_owned());
    }

    /// Takes the last one off.
    pub fn pop(&mut self) {
        self.0.pop();
    }

    /// Notes the names in an expression that are not known.
    pub fn check(&self, expr: &Expr, problems: &mut Vec<Problem>) {
        let known: Vec<&str> = self.0.iter().map(String::as_str).collect();
        expr.check(&known, problems);
    }
}
