//! From bytes to XML text: archives, encodings, limits.

use std::{
    borrow::Cow,
    io::{Cursor, Read},
    str::Utf8Error,
};

use zip::{ZipArchive, result::ZipError};

use super::{error::ImportError, lines::Lines, tree::Stream};
use crate::exchange::{
    LIMIT,
    diagnostic::{FilePlace, Reporter},
};

/// Most entries in an archive. Assumed; ordinary ones have two to ten.
const ENTRY_LIMIT: usize = 10_000;
/// Largest table of contents in an archive, bytes. Assumed.
const CONTAINER_LIMIT: u64 = 1 << 20;

/// The XML text of a file, whether it is compressed or plain.
pub(super) fn text_of<'b>(bytes: &'b [u8], report: &mut Reporter) -> Result<Cow<'b, str>, ImportError> {
    if bytes.is_empty() {
        return Err(ImportError::Empty);
    }
    if bytes.len() as u64 > LIMIT {
        return Err(too_large("the size of the file", LIMIT));
    }
    let text = if is_archive(bytes) {
        let (mut archive, index) = music_entry(bytes, report)?;
        decoded(entry(&mut archive, index, LIMIT)?)?.into()
    } else {
        decode(bytes)?
    };
    if !text.trim_start().starts_with('<') {
        return Err(ImportError::Unsupported {
            what: "the file holds no XML".to_owned(),
            hint: "open a MusicXML file: .musicxml, .xml or .mxl".to_owned(),
        });
    }
    // Entities can unfold to any size, and no music program writes them.
    if text.contains("<!ENTITY") {
        return Err(ImportError::Unsupported {
            what: "the file declares XML entities".to_owned(),
            hint: "export it again from a music program".to_owned(),
        });
    }
    Ok(text)
}

/// Is it a compressed file (`.mxl`)? Told by the first bytes of a ZIP archive, a full or an empty one.
#[must_use]
pub fn is_archive(bytes: &[u8]) -> bool {
    bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06")
}

fn too_large(what: &str, limit: u64) -> ImportError {
    ImportError::Limit { what: what.to_owned(), limit: format!("{} MiB", limit >> 20) }
}

pub(super) fn archive_error(error: &ZipError) -> ImportError {
    let reason = match error {
        ZipError::UnsupportedArchive(_)
        | ZipError::InvalidPassword
        | ZipError::CompressionMethodNotSupported(_) => {
            "it is packed in a way that is not read, or locked by a password"
        }
        ZipError::FileNotFound => "it lacks a file that it names",
        _ => "it is cut off or damaged",
    };
    ImportError::Archive { reason: reason.to_owned() }
}

/// An archive in memory.
pub(super) type Archive<'b> = ZipArchive<Cursor<&'b [u8]>>;

/// A compressed file as an archive, and which of its entries is the music.
pub(super) fn music_entry<'b>(
    bytes: &'b [u8],
    report: &mut Reporter,
) -> Result<(Archive<'b>, usize), ImportError> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|error| archive_error(&error))?;
    if archive.len() > ENTRY_LIMIT {
        return Err(ImportError::Limit {
            what: "the number of entries in the archive".to_owned(),
            limit: ENTRY_LIMIT.to_string(),
        });
    }
    let path = match archive.index_for_name("META-INF/container.xml") {
        Some(index) => {
            let content = entry(&mut archive, index, CONTAINER_LIMIT)?;
            Some(root_file(&decode(&content)?)?)
        }
        None => None,
    };
    let index = match path {
        Some(path) => {
            if path.starts_with(['/', '\\'])
                || path.contains(':')
                || path.split(['/', '\\']).any(|p| p == "..")
            {
                return Err(ImportError::Archive {
                    reason: format!("the path {path:?} leads outside of it"),
                });
            }
            archive.index_for_name(&path).ok_or_else(|| ImportError::Archive {
                reason: format!("it has no entry {path:?}, which it names"),
            })?
        }
        None => {
            let candidates: Vec<usize> = (0..archive.len())
                .filter(|&index| {
                    archive
                        .name_for_index(index)
                        .is_some_and(|name| name.is_ok_and(|name| is_music_name(&name)))
                })
                .collect();
            let [only] = candidates[..] else {
                return Err(ImportError::Archive {
                    reason: format!("it does not say which of {} files is the music", candidates.len()),
                });
            };
            report.warn(
                FilePlace::default(),
                "the archive has no META-INF/container.xml; its only XML file was read",
                "",
            );
            only
        }
    };
    Ok((archive, index))
}

fn is_music_name(name: &str) -> bool {
    let name = name.to_lowercase();
    (name.ends_with(".xml") || name.ends_with(".musicxml"))
        && !name.starts_with("meta-inf/")
        && !name.starts_with("__macosx/")
}

/// One entry, up to `limit` bytes whatever its header promises.
pub(super) fn entry(archive: &mut Archive<'_>, index: usize, limit: u64) -> Result<Vec<u8>, ImportError> {
    let file = archive.by_index(index).map_err(|error| archive_error(&error))?;
    // A header may promise anything; what is promised of a score is mostly true.
    let mut content = Vec::with_capacity(file.size().min(limit >> 2) as usize);
    file.take(limit + 1).read_to_end(&mut content).map_err(|error| archive_error(&error.into()))?;
    if content.len() as u64 > limit {
        return Err(too_large("the unpacked size of an entry in the archive", limit));
    }
    Ok(content)
}

/// Path of the first root file named in an archive's table of contents.
fn root_file(text: &str) -> Result<String, ImportError> {
    let lines = Lines::new(text);
    let mut stream = Stream::new(text, &lines);
    let whole = stream.root().and_then(|mut tree| stream.fill(&mut tree).map(|()| tree));
    let tree = whole.map_err(|error| ImportError::Archive {
        reason: format!("META-INF/container.xml is broken: {error}"),
    })?;
    let root_file = tree.all().find(|node| node.name() == "rootfile");
    root_file
        .and_then(|node| node.attribute("full-path"))
        .filter(|path| !path.is_empty())
        .map(ToOwned::to_owned)
        .ok_or_else(|| ImportError::Archive { reason: "META-INF/container.xml names no music".to_owned() })
}

/// Text in one of the encodings MusicXML files come in: UTF-8, UTF-16 (by its byte order mark or
/// its first bytes), ISO-8859-1.
pub(super) fn decode(bytes: &[u8]) -> Result<Cow<'_, str>, ImportError> {
    match bytes {
        [0xEF, 0xBB, 0xBF, rest @ ..] => utf8(rest),
        [0xFF, 0xFE, rest @ ..] => utf16(rest, u16::from_le_bytes).map(Cow::from),
        [0xFE, 0xFF, rest @ ..] => utf16(rest, u16::from_be_bytes).map(Cow::from),
        [b'<', 0, ..] => utf16(bytes, u16::from_le_bytes).map(Cow::from),
        [0, b'<', ..] => utf16(bytes, u16::from_be_bytes).map(Cow::from),
        _ => match declared_encoding(bytes).as_deref() {
            None | Some("utf-8" | "utf8" | "us-ascii" | "ascii" | "utf-16") => utf8(bytes),
            // The first 256 code points of Unicode are those of ISO-8859-1.
            Some("iso-8859-1" | "latin1" | "latin-1") => {
                Ok(bytes.iter().map(|&b| char::from(b)).collect::<String>().into())
            }
            Some(other) => Err(ImportError::Unsupported {
                what: format!("the file is in the encoding {other:?}"),
                hint: "save it again in UTF-8".to_owned(),
            }),
        },
    }
}

/// The same of bytes that are given away: text in UTF-8 stays where it is.
fn decoded(bytes: Vec<u8>) -> Result<String, ImportError> {
    if let Cow::Owned(text) = decode(&bytes)? {
        return Ok(text);
    }
    let mut text =
        String::from_utf8(bytes).map_err(|error| not_utf8(error.as_bytes(), error.utf8_error()))?;
    if text.starts_with('\u{feff}') {
        text.remove(0);
    }
    Ok(text)
}

fn declared_encoding(bytes: &[u8]) -> Option<String> {
    let head: String = bytes.iter().take(200).map(|&b| char::from(b)).collect();
    let declaration = head.trim_start().strip_prefix("<?xml")?.split("?>").next()?;
    let value = declaration.split_once("encoding")?.1.trim_start().strip_prefix('=')?.trim_start();
    let quote = value.chars().next().filter(|c| matches!(c, '"' | '\''))?;
    Some(value[1..].split(quote).next()?.to_lowercase())
}

fn utf8(bytes: &[u8]) -> Result<Cow<'_, str>, ImportError> {
    std::str::from_utf8(bytes).map(Cow::from).map_err(|error| not_utf8(bytes, error))
}

fn not_utf8(bytes: &[u8], error: Utf8Error) -> ImportError {
    let before = &bytes[..error.valid_up_to()];
    ImportError::Malformed {
        line: 1 + before.iter().filter(|&&b| b == b'\n').count() as u32,
        reason: "the text is not in UTF-8".to_owned(),
    }
}

fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Result<String, ImportError> {
    let (pairs, rest) = bytes.as_chunks::<2>();
    let broken = |line| ImportError::Malformed { line, reason: "the text is not in UTF-16".to_owned() };
    let mut text = String::with_capacity(pairs.len());
    let mut line = 1;
    for char in char::decode_utf16(pairs.iter().map(|&pair| unit(pair))) {
        let char = char.map_err(|_| broken(line))?;
        line += u32::from(char == '\n');
        text.push(char);
    }
    if rest.is_empty() { Ok(text) } else { Err(broken(line)) }
}

#[cfg(test)]
mod tests {
    use super::*;

    const XML: &str = "<?xml version='1.0' encoding='ISO-8859-1'?>\n<a>\u{e9}</a>";

    #[test]
    fn every_encoding_gives_the_same_text() {
        let plain = XML.replace("ISO-8859-1", "UTF-8");
        let units: Vec<u16> = plain.encode_utf16().collect();
        let little: Vec<u8> = units.iter().flat_map(|u| u.to_le_bytes()).collect();
        let big: Vec<u8> = units.iter().flat_map(|u| u.to_be_bytes()).collect();
        let latin: Vec<u8> = XML.chars().map(|c| c as u32 as u8).collect();
        for (bytes, expected) in [
            (plain.clone().into_bytes(), &plain),
            ([b"\xEF\xBB\xBF".as_slice(), plain.as_bytes()].concat(), &plain),
            ([b"\xFF\xFE".as_slice(), &little].concat(), &plain),
            ([b"\xFE\xFF".as_slice(), &big].concat(), &plain),
            (little, &plain),
            (big, &plain),
            (latin, &XML.to_owned()),
        ] {
            assert_eq!(decode(&bytes).as_deref(), Ok(expected.as_str()));
            assert_eq!(decoded(bytes).as_ref(), Ok(expected));
        }
    }

    #[test]
    fn a_foreign_encoding_is_named() {
        let error = decode(b"<?xml version=\"1.0\" encoding=\"KOI8-R\"?><a/>").unwrap_err();
        assert!(error.to_string().contains("koi8-r"), "{error}");
        let error = decode(b"<a>\n\xff</a>").unwrap_err();
        assert!(error.to_string().contains("line 2"), "{error}");
    }
}
