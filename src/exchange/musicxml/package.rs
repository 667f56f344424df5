//! From XML text to the bytes of a file: in the encoding and the archive it came in.

use std::io::{Cursor, Write as _};

use zip::{CompressionMethod, ZipWriter, write::SimpleFileOptions};

use super::{
    error::ImportError,
    text::{archive_error, decode, entry, is_archive, music_entry},
};
use crate::exchange::{LIMIT, diagnostic::Reporter};

/// Name of the music in an archive that is made new.
const NAME: &str = "score.musicxml";
/// Table of contents of an archive that is made new (MusicXML 4.0, `container.xsd`).
const CONTAINER: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<container>\n  <rootfiles>\n    \
    <rootfile full-path=\"score.musicxml\" media-type=\"application/vnd.recordare.musicxml+xml\"/>\n  \
    </rootfiles>\n</container>\n";
/// First entry of an archive that is made new (MusicXML 4.0, "Compressed .mxl files").
const MEDIA_TYPE: &str = "application/vnd.recordare.musicxml";

/// The XML of a file, compressed or plain, in its own encoding.
///
/// # Errors
/// When a compressed file is broken, or does not say which of its files is the music.
pub fn unpack(bytes: &[u8]) -> Result<Vec<u8>, ImportError> {
    if !is_archive(bytes) {
        return Ok(bytes.to_vec());
    }
    let (mut archive, index) = music_entry(bytes, &mut Reporter::default())?;
    entry(&mut archive, index, LIMIT)
}

/// A text in the encoding of another, with its byte order mark; none where it has a letter which that
/// encoding has not.
pub(super) fn encode_like(old: &[u8], text: &str) -> Option<Vec<u8>> {
    let units = |of: fn(u16) -> [u8; 2]| text.encode_utf16().flat_map(of).collect::<Vec<u8>>();
    let bytes = match old {
        [0xEF, 0xBB, 0xBF, ..] => [b"\xEF\xBB\xBF".as_slice(), text.as_bytes()].concat(),
        [0xFF, 0xFE, ..] => [b"\xFF\xFE".to_vec(), units(u16::to_le_bytes)].concat(),
        [0xFE, 0xFF, ..] => [b"\xFE\xFF".to_vec(), units(u16::to_be_bytes)].concat(),
        [b'<', 0, ..] => units(u16::to_le_bytes),
        [0, b'<', ..] => units(u16::to_be_bytes),
        _ if std::str::from_utf8(old).is_ok() => text.as_bytes().to_vec(),
        _ => text.chars().map(|c| u8::try_from(u32::from(c)).ok()).collect::<Option<Vec<u8>>>()?,
    };
    // What was not read as it is written is not written.
    decode(&bytes).is_ok_and(|read| read == text).then_some(bytes)
}

/// The archive with other music in it; all else in it stays as it is.
pub(super) fn repack(archive: &[u8], music: &[u8]) -> Result<Vec<u8>, ImportError> {
    let (mut old, index) = music_entry(archive, &mut Reporter::default())?;
    let mut new = ZipWriter::new(Cursor::new(Vec::new()));
    for entry in 0..old.len() {
        let file = old.by_index_raw(entry).map_err(|error| archive_error(&error))?;
        if entry == index {
            let name = file.name().map_err(|error| archive_error(&error))?.into_owned();
            let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
            let options = file.last_modified().map_or(options, |time| options.last_modified_time(time));
            drop(file);
            new.start_file(name, options).map_err(|error| archive_error(&error))?;
            new.write_all(music).map_err(|error| archive_error(&error.into()))?;
        } else {
            new.raw_copy_file(file).map_err(|error| archive_error(&error))?;
        }
    }
    let new = new.finish().map_err(|error| archive_error(&error))?;
    Ok(new.into_inner())
}

/// A new archive around the XML of a score (MusicXML 4.0, `container.xsd`).
///
/// # Errors
/// Only when it gets larger than an archive can be.
pub fn pack(music: &[u8]) -> Result<Vec<u8>, ImportError> {
    let mut new = ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    let deflated = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    for (name, content, options) in [
        ("mimetype", MEDIA_TYPE.as_bytes(), stored),
        ("META-INF/container.xml", CONTAINER.as_bytes(), deflated),
        (NAME, music, deflated),
    ] {
        new.start_file(name, options).map_err(|error| archive_error(&error))?;
        new.write_all(content).map_err(|error| archive_error(&error.into()))?;
    }
    let new = new.finish().map_err(|error| archive_error(&error))?;
    Ok(new.into_inner())
}
