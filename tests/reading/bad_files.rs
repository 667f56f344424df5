//! Broken, hostile and cut files: always a clear error or a remark, never a panic.

use std::{
    io::{Cursor, Write as _},
    path::{Path, PathBuf},
};

use elbowroom::{
    analysis::Study,
    bowing::Density,
    exchange::{
        lesson_file,
        musicxml::{self, ImportError, Imported},
    },
    lesson::{EditError, Lesson, change, demo::demo},
    picture::{Paper, sheet},
    score::{Bar, EventId, LARGEST_ID, LONGEST, NoteValue, Pitch, Quarters, SignId, SignKind},
    setup::{Family, School},
};
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
/// with a word of their diagnostics, if they have any.
const BAD: &[(&str, &str)] = &[
    ("accented_grace.musicxml", ""),
    ("cut.musicxml", "line 12"),
    ("entity.musicxml", "XML entities"),
    ("junk.musicxml", "UTF-8"),
    ("mismatched.musicxml", "line 8"),
    ("negative.musicxml", "as long as it looks"),
    ("nested_namespaces.musicxml", "<a> in a bar is not known"),
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
        let is_told = words.is_empty() || told.iter().any(|line| line.contains(words));
        assert!(is_told, "{name}: {told:?}");
        assert!(told.iter().all(|line| !line.contains('\n')), "{name}: one line each: {told:?}");
    }
}

#[test]
fn what_is_read_of_bad_files_is_analysed_and_drawn() {
    for (name, _) in BAD {
        let bytes = std::fs::read(data("bad").join(name)).expect("readable");
        for part in read_all(&bytes).unwrap_or_default() {
            let study = Study::new(Lesson::new(part.score, Family::Viola));
            let pages = sheet(&study, None, Paper::A4_LANDSCAPE, Density::All);
            assert!(pages.map(|page| page.items.len()).sum::<usize>() > 0, "{name}");
        }
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

/// The message about a lesson file in which something was spoilt.
fn refused(spoil: impl Fn(&mut Lesson)) -> String {
    let mut lesson = demo();
    spoil(&mut lesson);
    let text = lesson_file::write(&lesson).expect("any lesson can be written");
    lesson_file::read(&text).expect_err("refused").to_string()
}

#[test]
fn a_lesson_file_names_each_thing_by_a_number_of_its_own() {
    let twice = |spoil: fn(&mut Lesson)| refused(spoil);
    let told = [
        (twice(|lesson| lesson.score.events[1].id = lesson.score.events[0].id), "two notes have the number"),
        (twice(|lesson| lesson.score.slurs[1].id = lesson.score.slurs[0].id), "two slurs have the number"),
        (twice(|lesson| lesson.score.signs[1].id = lesson.score.signs[0].id), "two signs have the number"),
        (
            twice(|lesson| lesson.pins.push(lesson.pins.first().expect("the demo has one").clone())),
            "two places on the bow have the number",
        ),
        (twice(|lesson| lesson.score.events[0].id = EventId(u32::MAX)), "the number 4294967295; the largest"),
        (twice(|lesson| lesson.score.signs[0].id = SignId(u32::MAX)), "the number 4294967295; the largest"),
    ];
    for (message, words) in told {
        assert!(message.contains(words), "{words}: {message}");
    }
    // Up to the largest number there is room for new notes.
    let mut lesson = demo();
    let last = lesson.score.events.len() - 1;
    lesson.score.slurs.clear();
    lesson.pins.clear();
    lesson.score.events[last].id = EventId(LARGEST_ID);
    let lesson = lesson_file::read(&lesson_file::write(&lesson).expect("written")).expect("read");
    let edit = change::insert(&lesson, None, NoteValue::QUARTER, &[Pitch::from_midi(69, false)]);
    assert!(edit.and_then(|edit| edit.apply(&lesson)).is_ok());
}

#[test]
fn a_lesson_file_keeps_to_times_that_music_has() {
    let bar = |change: fn(&mut Bar)| refused(|lesson| change(&mut lesson.score.bars[1]));
    let last = |length: i64| {
        refused(|lesson| lesson.score.bars.last_mut().expect("bars").length = Quarters::from(length))
    };
    let told = [
        (bar(|bar| bar.length = Quarters::ZERO), "has the length 0; a bar takes time"),
        (bar(|bar| bar.length = Quarters::from(-4)), "has the length -4; a bar takes time"),
        (bar(|bar| bar.start += Quarters::ONE), "does not start where the bar before it ends"),
        (bar(|bar| bar.time.beat_type = 0), "counts in 0; it must lie between 1 and 512"),
        (bar(|bar| bar.time.beat_type = 60_000), "counts in 60000"),
        (last(1_000_000_000_000_000), "at most 100000 quarter notes"),
        (last(i64::MAX), "at most 100000 quarter notes"),
        (refused(|lesson| lesson.score.bars[0].start = Quarters::from(-1)), "music begins at 0"),
        (refused(|lesson| lesson.score.events[0].onset = Quarters::from(-1)), "has a negative time"),
        (refused(|lesson| lesson.score.events[0].duration = Quarters::from(200_000)), "note 0 ends at"),
        (refused(|lesson| lesson.score.signs[0].at = Quarters::from(-1)), "stands outside the music"),
        (refused(|lesson| lesson.score.signs[0].at = Quarters::from(200_000)), "stands outside the music"),
    ];
    for (message, words) in told {
        assert!(message.contains(words), "{words}: {message}");
    }
    for qpm in [0.0, -1.0, 0.99, 1000.1, 1e300, f64::NAN, f64::INFINITY] {
        let kind = SignKind::Tempo { qpm, text: String::new() };
        let message = refused(|lesson| lesson.score.signs[0].kind = kind.clone());
        assert!(message.contains("must lie between 1 and 1000"), "{qpm}: {message}");
    }
}

/// The sum of the upper numbers of a time signature may be larger than any that is printed.
#[test]
fn an_absurd_time_signature_is_read() {
    let mut lesson = demo();
    lesson.score.bars[0].time.beats = "65535+65535".to_owned();
    let lesson = lesson_file::read(&lesson_file::write(&lesson).expect("written")).expect("read");
    assert_eq!(lesson.score.bars[0].time.count(), u16::MAX);
}

#[test]
fn a_lesson_file_keeps_to_figures_a_plan_can_be_made_of() {
    type Figure = fn(&mut School) -> &mut f64;
    let figures: [(Figure, &str); 10] = [
        (|school| &mut school.grace_s, "time of a grace note"),
        (|school| &mut school.accent_extra, "extra bow of an accent"),
        (|school| &mut school.tight_width_mm, "width of a narrow place"),
        (|school| &mut school.speed_weight, "weight of the wanted speed"),
        (|school| &mut school.place_weight, "weight of the preferred place"),
        (|school| &mut school.even_in_stroke, "weight of evenness in a stroke"),
        (|school| &mut school.even_across_turn, "weight of evenness across a bow change"),
        (|school| &mut school.lift_weight, "weight against moving in a lift"),
        (|school| &mut school.strokes[0].sounding, "sounding part of détaché"),
        (|school| &mut school.strokes[0].speed, "speed of détaché"),
    ];
    for (figure, name) in figures {
        for bad in [-1.0, 1e9, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            let message = refused(|lesson| *figure(&mut lesson.setup.school) = bad);
            assert!(
                message.contains(name) && message.contains("must lie between"),
                "{name} {bad}: {message}"
            );
        }
    }
    let message = refused(|lesson| lesson.setup.school.strokes[4].home = Some((0.5, f64::NAN)));
    assert!(message.contains("end of the home region of martelé"), "{message}");
}

/// Music without end is refused wherever it comes from, since what is saved must be read again.
#[test]
fn no_music_gets_longer_than_can_be_saved() {
    let mut long = String::new();
    for number in 1..=11 {
        long += &format!(
            "<measure number='{number}'><attributes><divisions>1</divisions></attributes>\
             <note><rest/><duration>10000</duration></note></measure>"
        );
    }
    let xml = format!("<score-partwise><part id='P'>{long}</part></score-partwise>");
    let error = read_all(xml.as_bytes()).expect_err("too long").to_string();
    assert!(error.contains("the length of the music is beyond 100000 quarter notes"), "{error}");

    let mut lesson = demo();
    let last = lesson.score.bars.last_mut().expect("bars");
    last.length = Quarters::from(LONGEST) - last.start;
    let after = lesson.score.events.last().expect("notes").id;
    let mut end = lesson.score.events.last().cloned().expect("notes");
    (end.id, end.onset) = (lesson.score.free_event_id(), Quarters::from(LONGEST - 1));
    end.duration = Quarters::ONE;
    lesson.score.events.push(end);
    lesson.score.sort();
    let edit = change::insert(&lesson, Some(after), NoteValue::QUARTER, &[]).expect("it can be laid out");
    let EditError(sentence) = edit.apply(&lesson).expect_err("too long");
    assert!(sentence.contains("longer than 100000 quarter notes"), "{sentence}");
}

/// A settled bowing of a note that is not there would pass to the next new note.
#[test]
fn what_is_fixed_on_no_note_is_not_read() {
    let mut lesson = demo();
    let kept = lesson.score.events[0].id;
    lesson.kept = [kept, lesson.score.free_event_id()].into();
    let read = lesson_file::read(&lesson_file::write(&lesson).expect("written")).expect("read");
    assert_eq!(read.kept, [kept].into());
}
