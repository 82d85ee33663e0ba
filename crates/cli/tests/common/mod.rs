//! The program as its tests start it.
#![allow(dead_code, reason = "each test uses its own part of this")]

pub mod tree;

use std::path::PathBuf;
use std::process::{Command, Stdio};

/// A file of the repository.
pub fn file(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..").join(name)
}

/// A file of the sample.
pub fn sample(name: &str) -> PathBuf {
    file("samples/brinewell").join(name)
}

/// The program with arguments, without colours and without input.
pub fn flatwright(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_flatwright"));
    command.args(arguments).env("NO_COLOR", "1").stdin(Stdio::null());
    command
}

/// What a program wrote.
pub fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}
