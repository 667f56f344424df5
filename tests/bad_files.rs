//! Broken, hostile and cut files: always a clear error or a remark, never a panic.

use std::{
    io::{Cursor, Write as _},
    path::{Path, PathBuf},
};

use elbowroom::exchange::musicxml::{self, ImportError, Imported};
use zip::{ZipWriter, write::SimpleFileOptions};

fn data(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(name)
}

/// Opens and reads every part.
fn read_all(bytes: &[u8]) -> Result<Vec<Imported>, ImportError> {
    let document = musicxml::open(bytes)?;
    (0..document.parts().len()).map(|part| document.read(part)).collect()
}

fn archive(entries: &[(&str, &[u8])]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, content) in entries {
        writer.start_file(*name, SimpleFileOptions::default()).expect("starts");
        writer.write_all(content).expect("writes");
    }
    writer.finish().expect("finishes").into_inner()
}

fn container(path: &str) -> Vec<u8> {
    format!("<container><rootfiles><rootfile full-path='{path}'/></rootfiles></container>").into_bytes()
}

fn small() -> Vec<u8> {
    std::fs::read(data("small.musicxml")).expect("the small score")
}

/// What the message of each file in tests/data/bad must hold. Files that can still be read stand
/// with a word of their diagnostics.
const BAD: &[(&str, &str)] = &[
    ("cut.musicxml", "line 12"),
    ("entity.musicxml", "XML entities"),
    ("junk.musicxml", "UTF-8"),
    ("mismatched.musicxml", "line 8"),
    ("negative.musicxml", "as long as it looks"),
    ("no_bars.musicxml", "no part with bars"),
    ("nonsense.musicxml", "left out"),
    ("not_xml.musicxml", "no XML"),
    ("opus.musicxml", "opus"),
    ("wrong_root.musicxml", "<html>"),
];

#[test]
fn every_bad_file_has_its_message() {
    let mut names: Vec<String> = std::fs::read_dir(data("bad"))
        .expect("the folder of bad files")
        .map(|entry| entry.expect("readable").file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    assert_eq!(names, BAD.iter().map(|(name, _)| *name).collect::<Vec<_>>(), "one line for every file");
    for (name, words) in BAD {
        let bytes = std::fs::read(data("bad").join(name)).expect("readable");
        let told: Vec<String> = match read_all(&bytes) {
            Err(error) => vec![error.to_string()],
            Ok(parts) => parts.iter().flat_map(|part| &part.diagnostics).map(ToString::to_string).collect(),
        };
        assert!(told.iter().any(|line| line.contains(words)), "{name}: {told:?}");
        assert!(told.iter().all(|line| !line.contains('\n')), "{name}: one line each: {told:?}");
    }
}

#[test]
fn bad_archives_are_refused_with_the_reason() {
    let music = small();
    for (entries, words) in [
        (vec![], "which of 0 files"),
        (vec![("META-INF/container.xml", container("score.xml"))], "no entry"),
        (vec![("META-INF/container.xml", container("../score.xml"))], "outside"),
        (vec![("META-INF/container.xml", container("/etc/score.xml"))], "outside"),
        (vec![("META-INF/container.xml", container("")), ("score.xml", music.clone())], "names no music"),
        (vec![("META-INF/container.xml", b"<container>".to_vec())], "container.xml is broken"),
        (vec![("a.xml", music.clone()), ("b.xml", music.clone())], "which of 2 files"),
    ] {
        let borrowed: Vec<(&str, &[u8])> = entries.iter().map(|(name, text)| (*name, &text[..])).collect();
        let error = read_all(&archive(&borrowed)).expect_err(words).to_string();
        assert!(error.contains(words), "{words}: {error}");
    }
    assert!(matches!(read_all(b"PK\x03\x04 and no more"), Err(ImportError::Archive { .. })));
    assert_eq!(read_all(b"").expect_err("empty"), ImportError::Empty);
}

#[test]
fn archives_are_read_by_their_first_root_file_or_their_only_score() {
    let music = small();
    let two = archive(&[
        ("other.xml", b"<a/>"),
        ("META-INF/container.xml", &container("scores/mine.xml")),
        ("scores/mine.xml", &music),
    ]);
    let plain = read_all(&music).expect("reads");
    assert_eq!(read_all(&two).expect("reads")[0].score, plain[0].score);
    let bare = read_all(&archive(&[("mine.musicxml", &music)])).expect("reads");
    assert_eq!(bare[0].score, plain[0].score);
    assert!(bare[0].diagnostics.iter().any(|d| d.message.contains("container.xml")));
}

#[test]
fn a_zip_bomb_stops_at_the_limit() {
    let spaces = vec![b' '; 1 << 20];
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    writer.start_file("score.xml", SimpleFileOptions::default()).expect("starts");
    for _ in 0..70 {
        writer.write_all(&spaces).expect("writes");
    }
    let bomb = writer.finish().expect("finishes").into_inner();
    assert!(bomb.len() < 1 << 20, "small on disk");
    let error = read_all(&bomb).expect_err("too large");
    assert!(matches!(error, ImportError::Limit { .. }), "{error}");
}

#[test]
fn too_many_archive_entries_are_refused() {
    let names: Vec<String> = (0..10_001).map(|n| format!("{n}.txt")).collect();
    let entries: Vec<(&str, &[u8])> = names.iter().map(|name| (name.as_str(), &b""[..])).collect();
    let error = read_all(&archive(&entries)).expect_err("too many").to_string();
    assert!(error.contains("entries"), "{error}");
}

#[test]
fn deep_nesting_neither_overflows_nor_hangs() {
    for depth in [300, 100_000] {
        let xml = format!(
            "<score-partwise><part id='P'><measure>{}{}</measure></part></score-partwise>",
            "<direction>".repeat(depth),
            "</direction>".repeat(depth)
        );
        match read_all(xml.as_bytes()) {
            Ok(parts) => assert_eq!(parts.len(), 1),
            Err(error) => assert!(matches!(error, ImportError::Malformed { .. }), "{error}"),
        }
    }
}

#[test]
fn a_sample_cut_anywhere_gives_an_error() {
    let music = small();
    let text = music.trim_ascii_end();
    for len in 0..text.len() {
        assert!(read_all(&text[..len]).is_err(), "cut at {len}");
    }
    let zipped = archive(&[("META-INF/container.xml", &container("s.xml")), ("s.xml", &music)]);
    for len in 0..zipped.len() {
        assert!(read_all(&zipped[..len]).is_err(), "archive cut at {len}");
    }
}

/// Flipped bytes and lost lines: whatever comes out, it comes out.
#[test]
fn a_damaged_sample_never_panics() {
    let music = small();
    for at in 0..music.len() {
        let mut damaged = music.clone();
        for byte in [b'9', b'-', b'<', 0xFF] {
            damaged[at] = byte;
            let _ = read_all(&damaged);
        }
    }
    let lines: Vec<&str> = std::str::from_utf8(&music).expect("text").lines().collect();
    for lost in 0..lines.len() {
        let kept: Vec<&str> =
            lines.iter().enumerate().filter(|(at, _)| *at != lost).map(|(_, line)| *line).collect();
        let _ = read_all(kept.join("\n").as_bytes());
    }
}

/// Numbers at the edge of what fits, in every place that takes one.
#[test]
fn absurd_numbers_never_panic() {
    let music = String::from_utf8(small()).expect("text");
    for number in
        ["0", "-1", "1e308", "9223372036854775807", "-9223372036854775808", "0.000000001", "NaN", ""]
    {
        for tag in [
            "divisions",
            "duration",
            "beats",
            "beat-type",
            "fifths",
            "octave",
            "alter",
            "staff",
            "voice",
            "per-minute",
            "offset",
            "line",
            "string",
            "octave-change",
            "actual-notes",
            "normal-notes",
        ] {
            let (open, close) = (format!("<{tag}>"), format!("</{tag}>"));
            let mut changed = String::new();
            let mut rest = music.as_str();
            let mut found = false;
            while let Some((before, after)) = rest.split_once(&open) {
                let (_, after) = after.split_once(&close).expect("closed");
                changed += &format!("{before}{open}{number}{close}");
                rest = after;
                found = true;
            }
            assert!(found, "the sample holds no <{tag}>");
            changed += rest;
            for part in read_all(changed.as_bytes()).expect("still a score") {
                let map = part.score.tempo_map();
                assert!(
                    part.score.events.iter().all(|event| map.seconds(event.onset).is_finite()),
                    "{tag} {number}"
                );
                assert!(
                    part.score.events.iter().all(|event| event.onset >= elbowroom::score::Quarters::ZERO)
                );
                let _ = elbowroom::score::attacks(&part.score);
                let _ = elbowroom::score::Dynamics::new(&part.score);
            }
        }
    }
}
