//! How files are changed: bytes, lines, tokens, numbers; what is in an archive too.

use std::io::{Cursor, Read as _, Write as _};

use zip::{ZipArchive, ZipWriter, write::SimpleFileOptions};

use crate::random::Random;

/// Numbers at the edge of what fits.
const NUMBERS: [&str; 14] = [
    "0",
    "-1",
    "1",
    "127",
    "255",
    "256",
    "65535",
    "4294967295",
    "9223372036854775807",
    "-9223372036854775808",
    "1e308",
    "0.000000001",
    "NaN",
    "inf",
];

/// A changed file, at most `largest` bytes long.
pub fn mutated(bytes: &[u8], other: &[u8], largest: usize, random: &mut Random) -> Vec<u8> {
    // Most of what happens to an archive as a whole ends at its checksum; so mostly what is in it is
    // changed.
    if bytes.starts_with(b"PK")
        && random.chance(0.9)
        && let Some(archive) = with_changed_entry(bytes, other, largest, random)
    {
        return archive;
    }
    changed(bytes, other, largest, random)
}

fn changed(bytes: &[u8], other: &[u8], largest: usize, random: &mut Random) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    for _ in 0..1 + random.below(8) {
        if bytes.is_empty() {
            break;
        }
        change(&mut bytes, other, random);
        bytes.truncate(largest);
    }
    bytes
}

/// One change.
fn change(bytes: &mut Vec<u8>, other: &[u8], random: &mut Random) {
    let at = random.below(bytes.len());
    match random.below(9) {
        0 => bytes[at] = random.below(256) as u8,
        1 => bytes[at] ^= 1 << random.below(8),
        2 => {
            let span = piece(bytes, at, random);
            bytes.drain(span);
        }
        3 => {
            let copy = bytes[piece(bytes, at, random)].to_vec();
            let to = random.below(bytes.len());
            bytes.splice(to..to, copy);
        }
        4 => {
            let times = 2 + random.below(300);
            let span = piece(bytes, at, random);
            let copy = bytes[span.clone()].repeat(times);
            bytes.splice(span, copy);
        }
        5 if !other.is_empty() => {
            let copy = other[piece(other, random.below(other.len()), random)].to_vec();
            bytes.splice(at..at, copy);
        }
        6 => bytes.truncate(at),
        _ => {
            // A number, from here on.
            let is_digit = |byte: &u8| byte.is_ascii_digit();
            let Some(from) = bytes[at..].iter().position(is_digit).map(|ahead| at + ahead) else { return };
            let until =
                bytes[from..].iter().position(|byte| !is_digit(byte)).map_or(bytes.len(), |n| from + n);
            let number = NUMBERS[random.below(NUMBERS.len())];
            bytes.splice(from..until, number.bytes());
        }
    }
}

/// A piece at a place: some bytes, a line, or a token with its brackets and all up to the next such.
fn piece(bytes: &[u8], at: usize, random: &mut Random) -> std::ops::Range<usize> {
    let mark = match random.below(4) {
        0 => return at..(at + 1 + random.below(64)).min(bytes.len()),
        1 => b'<',
        2 => b'>',
        _ => b'\n',
    };
    let from = bytes[..at].iter().rposition(|byte| *byte == mark).unwrap_or(0);
    let mut until = at;
    for _ in 0..1 + random.below(12) {
        until = bytes[until..]
            .iter()
            .skip(1)
            .position(|byte| *byte == mark)
            .map_or(bytes.len(), |n| until + 1 + n);
        if until == bytes.len() {
            break;
        }
    }
    from..until.max(from + 1).min(bytes.len())
}

/// The archive with one of its entries changed.
fn with_changed_entry(bytes: &[u8], other: &[u8], largest: usize, random: &mut Random) -> Option<Vec<u8>> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).ok()?;
    let chosen = random.below(archive.len().max(1));
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for index in 0..archive.len() {
        let mut entry = archive.by_index(index).ok()?;
        let name = entry.name().ok()?.into_owned();
        let mut content = Vec::new();
        entry.read_to_end(&mut content).ok()?;
        if index == chosen {
            content.truncate(4 * largest);
            content = changed(&content, other, 4 * largest, random);
        }
        writer.start_file(name, SimpleFileOptions::default()).ok()?;
        writer.write_all(&content).ok()?;
    }
    Some(writer.finish().ok()?.into_inner())
}
