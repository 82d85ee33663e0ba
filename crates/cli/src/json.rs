//! JSON that people can read: indented, but lists and objects of single values on one line.

use serde_json::Value;

/// Longest line that a list or object is kept on, characters.
const LINE: usize = 110;

/// `value` as text, with a line break at the end.
#[must_use]
pub fn compact(value: &Value) -> String {
    let mut text = String::new();
    write(value, 0, &mut text);
    text.push('\n');
    text
}

fn write(value: &Value, depth: usize, text: &mut String) {
    let (open, close) = match value {
        Value::Array(list) if !list.is_empty() => ('[', ']'),
        Value::Object(object) if !object.is_empty() => ('{', '}'),
        _ => return text.push_str(&value.to_string()),
    };
    if let Some(line) = on_one_line(value) {
        return text.push_str(&line);
    }
    text.push(open);
    let mut first = true;
    let mut next = |text: &mut String| {
        text.push_str(if first { "\n" } else { ",\n" });
        text.push_str(&"  ".repeat(depth + 1));
        first = false;
    };
    match value {
        Value::Array(list) => list.iter().for_each(|item| {
            next(text);
            write(item, depth + 1, text);
        }),
        Value::Object(object) => object.iter().for_each(|(key, item)| {
            next(text);
            text.push_str(&Value::from(key.as_str()).to_string());
            text.push_str(": ");
            write(item, depth + 1, text);
        }),
        _ => {}
    }
    text.push('\n');
    text.push_str(&"  ".repeat(depth));
    text.push(close);
}

/// Lists of numbers, lists of those, and objects of numbers, words and points, where they are short.
fn on_one_line(value: &Value) -> Option<String> {
    if nesting(value) > 2 {
        return None;
    }
    let line = value.to_string();
    let line = if line.len() > LINE { return None } else { spaced(value) };
    (line.len() <= LINE).then_some(line)
}

fn nesting(value: &Value) -> usize {
    match value {
        Value::Array(list) => 1 + list.iter().map(nesting).max().unwrap_or(0),
        Value::Object(object) => 1 + object.values().map(nesting).max().unwrap_or(0),
        _ => 0,
    }
}

fn spaced(value: &Value) -> String {
    match value {
        Value::Array(list) => format!("[{}]", list.iter().map(spaced).collect::<Vec<_>>().join(", ")),
        Value::Object(object) => {
            let field = |(key, value): (&String, &Value)| format!("{}: {}", Value::from(key.as_str()), spaced(value));
            format!("{{ {} }}", object.iter().map(field).collect::<Vec<_>>().join(", "))
        }
        _ => value.to_string(),
    }
}
