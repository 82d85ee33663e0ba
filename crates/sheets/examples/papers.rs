//! Prints every paper size as JSON, for comparison with other packages' tables.
use flatwright_sheets::paper::PaperSize;

fn main() {
    let lines: Vec<String> = PaperSize::all()
        .iter()
        .map(|p| format!("{{\"name\": \"{}\", \"width\": {}, \"height\": {}}}", p.name, p.width.get(), p.height.get()))
        .collect();
    println!("[{}]", lines.join(",\n"));
}
