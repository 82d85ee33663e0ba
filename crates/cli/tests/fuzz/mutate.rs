//! Spoils a file in a few places, by a seeded generator: the same number gives the same bytes.

use fastrand::Rng;

/// Longest input that is made, bytes.
const LONGEST: usize = 64 * 1024;

/// Numbers at which programs stumble.
const NUMBERS: [&str; 18] = [
    "0",
    "-0",
    "1",
    "-1",
    "2",
    "40",
    "200",
    "400",
    "401",
    "65535",
    "100000",
    "4294967296",
    "-9223372036854775808",
    "1e308",
    "1e-320",
    "1e999",
    "0.0000001",
    "99999999999999999999999999",
];

/// One of `seeds`, spoiled. `words` are pieces of the format.
pub fn spoiled(seeds: &[Vec<u8>], words: &[&str], rng: &mut Rng) -> Vec<u8> {
    let mut bytes = seeds[rng.usize(..seeds.len())].clone();
    // Mostly once: what is spoiled in many places is refused at the first.
    let times = if rng.u8(..3) == 0 { 2 + rng.usize(..5) } else { 1 };
    for _ in 0..times {
        spoil(&mut bytes, seeds, words, rng);
        bytes.truncate(LONGEST);
    }
    bytes
}

fn spoil(bytes: &mut Vec<u8>, seeds: &[Vec<u8>], words: &[&str], rng: &mut Rng) {
    let at = rng.usize(..=bytes.len());
    let range = |bytes: &[u8], rng: &mut Rng| {
        let most = [2, 12, 90][rng.usize(..3)];
        let end = (at + rng.usize(..=most)).min(bytes.len());
        at..end
    };
    match rng.u8(..12) {
        0 if at < bytes.len() => bytes[at] ^= 1 << rng.u8(..8),
        1 if at < bytes.len() => bytes[at] = rng.u8(..),
        2 => drop(bytes.splice(at..at, [rng.u8(..)])),
        3 | 4 if !words.is_empty() => {
            let word = words[rng.usize(..words.len())].bytes();
            // In the place of what is there, or before it.
            let range = if rng.bool() { range(bytes, rng) } else { at..at };
            drop(bytes.splice(range, word));
        }
        5 => {
            let range = range(bytes, rng);
            drop(bytes.drain(range));
        }
        6 => {
            let copy = bytes[range(bytes, rng)].to_vec();
            let times = [1, 2, 40][rng.usize(..3)];
            drop(bytes.splice(at..at, copy.repeat(times)));
        }
        7 => {
            let other = &seeds[rng.usize(..seeds.len())];
            let from = rng.usize(..=other.len());
            let end = (from + rng.usize(..=200)).min(other.len());
            drop(bytes.splice(at..at, other[from..end].iter().copied()));
        }
        8 if rng.u8(..4) == 0 => bytes.truncate(at),
        // A line or an entry elsewhere.
        9 => {
            let moved: Vec<u8> = bytes.drain(range(bytes, rng)).collect();
            let to = rng.usize(..=bytes.len());
            drop(bytes.splice(to..to, moved));
        }
        _ => number(bytes, at, rng),
    }
}

/// Another number in the place of the first one after `at`.
fn number(bytes: &mut Vec<u8>, at: usize, rng: &mut Rng) {
    let Some(start) = bytes[at..].iter().position(u8::is_ascii_digit).map(|found| at + found) else { return };
    let end = bytes[start..].iter().position(|byte| !byte.is_ascii_digit()).map_or(bytes.len(), |found| start + found);
    let other = NUMBERS[rng.usize(..NUMBERS.len())].bytes();
    drop(bytes.splice(start..end, other));
}

/// Puts the checksums of a PNG's chunks right, so that a spoiled one is read beyond the first.
pub fn mend_checksums(bytes: &mut [u8]) {
    let mut at = 8;
    while let Some(length) =
        bytes.get(at..at + 4).map(|four| four.iter().fold(0, |sum, byte| sum << 8 | usize::from(*byte)))
    {
        let Some(end) =
            at.checked_add(8).and_then(|start| start.checked_add(length)).filter(|end| end + 4 <= bytes.len())
        else {
            return;
        };
        let sum = crc32fast::hash(&bytes[at + 4..end]);
        bytes[end..end + 4].copy_from_slice(&sum.to_be_bytes());
        at = end + 4;
    }
}
