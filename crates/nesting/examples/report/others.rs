//! Other engines on the class set, by `tests/outside/rivals.py`.

use std::path::PathBuf;
use std::process::Command;

/// What an irregular engine may take, seconds.
const SECONDS: &str = "300";

pub fn all() -> String {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..");
    let python = std::env::var("PYTHON").unwrap_or_else(|_| "python3".into());
    let out = format!(
        "General packing libraries that install from a registry (`tests/outside/rivals.txt`), on class, with at most {SECONDS} s: \
         the same outlines, copies, turns, gap and page. Run with `PYTHON` naming an interpreter that has them.\n\n\
         | engine | pages of class | seconds | its layout |\n| --- | --- | --- | --- |\n"
    );
    let run =
        Command::new(python).arg(root.join("tests/outside/rivals.py")).args(["class", "--seconds", SECONDS]).output();
    match run {
        Ok(run) if run.status.success() => out + &String::from_utf8_lossy(&run.stdout),
        Ok(run) => {
            format!("Not measured: {}", String::from_utf8_lossy(&run.stderr).lines().last().unwrap_or("it failed"))
        }
        Err(error) => format!("Not measured: {error}"),
    }
}
