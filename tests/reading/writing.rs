//! Scores written: a lesson back into the file it came from, and as a file of its own.
//!
//! Checked against the files themselves, which come back byte for byte, and against the MusicXML 4.0
//! schema of the W3C Music Notation Community Group by `xmllint`.

use std::{
    collections::BTreeSet,
    path::{Path, PathBuf},
    process::Command,
};

use elbowroom::{
    analysis::Study,
    exchange::musicxml::{
        self, BackError, Besides, Imported, OtherParts, WrittenBack, unpack, write_back, write_new,
    },
    lesson::{Edit, Lesson, change},
    score::{
        Bar, Direction, Dynamic, Event, EventId, Mark, NoteValue, Pitch, Quarters, SameBow, Score, Sign,
        SignKind, TimeSign, TimeSignature,
    },
};

use crate::{
    data::{files, lesson, shared},
    random::Random,
};

/// All that a score says, apart from ids.
fn said(score: &Score) -> (Vec<String>, BTreeSet<(usize, usize)>, Vec<String>) {
    let place = |id: EventId| score.events.iter().position(|event| event.id == id).expect("an event");
    let events = score.events.iter().map(|event| {
        let mut event = event.clone();
        (event.id, event.line) = (EventId(0), 0);
        // A rest of a whole bar looks the same in every metre.
        if event.whole_bar {
            event.value = NoteValue::WHOLE;
        }
        format!("{event:?}")
    });
    let mut signs: Vec<String> =
        score.signs.iter().map(|sign| format!("{:?} {:?}", sign.at, sign.kind)).collect();
    signs.sort();
    let slurs = score.slurs.iter().map(|slur| (place(slur.from), place(slur.to))).collect();
    (events.collect(), slurs, signs)
}

fn read(bytes: &[u8], part: usize) -> Imported {
    musicxml::open(bytes).expect("what was written is read").read(part).expect("and has the part")
}

fn back(lesson: Lesson, source: &[u8], part: usize) -> WrittenBack {
    write_back(&Study::new(lesson), source, part, Besides::default(), OtherParts::Stay)
        .expect("it is written")
}

/// The schema with its imports beside it, in a folder of its own; none where it is missing.
pub fn schema(folder: &Path) -> Option<PathBuf> {
    let from = shared("musicxml-schema")?;
    for name in ["musicxml.xsd", "xml.xsd", "xlink.xsd"] {
        let text = std::fs::read_to_string(from.join(name)).expect("a file of the schema");
        std::fs::write(folder.join(name), text.replace("http://www.musicxml.org/xsd/", "")).expect("a copy");
    }
    Some(folder.join("musicxml.xsd"))
}

/// What `xmllint` has against a file; none where it is valid.
pub fn against(schema: &Path, xml: &[u8]) -> Option<String> {
    let file = schema.with_file_name("score.xml");
    std::fs::write(&file, xml).expect("a file in a temporary folder");
    let told = Command::new("xmllint")
        .args(["--noout", "--nonet", "--schema"])
        .args([schema, file.as_path()])
        .output()
        .expect("xmllint is installed (libxml2-utils)");
    (!told.status.success())
        .then(|| String::from_utf8_lossy(&told.stderr).lines().take(5).collect::<Vec<_>>().join("\n"))
}

/// Every file of the data that can be read, with its bytes.
fn scores() -> Vec<(PathBuf, Vec<u8>)> {
    let all = ["quartets", "suite"].into_iter().flat_map(files);
    let readable = |path: PathBuf| {
        let bytes = std::fs::read(&path).expect("a file of the data");
        musicxml::open(&bytes).is_ok().then_some((path, bytes))
    };
    all.filter_map(readable).collect()
}

#[test]
fn what_is_not_changed_comes_back_byte_for_byte() {
    for (path, source) in scores() {
        let document = musicxml::open(&source).unwrap();
        // Of a long score one part, for time.
        let long = source.len() > 100_000;
        for part in document.parts().iter().filter(|part| !long || part.index == document.likely_part()) {
            let Ok(imported) = document.read(part.index) else { continue };
            let written = back(lesson(imported), &source, part.index);
            assert!(written.bytes == source, "{}, {}", path.display(), part.name);
            assert_eq!((written.changes, written.left), (0, vec![]), "{}, {}", path.display(), part.name);
        }
    }
}

/// Changes of every kind a teacher makes, at places of chance.
pub fn marked_up(lesson: &Lesson, random: &mut Random, count: usize) -> Lesson {
    let mut lesson = lesson.clone();
    let notes: Vec<EventId> = lesson
        .score
        .events
        .iter()
        .filter(|event| !event.is_rest() && event.grace.is_none() && !event.cue)
        .map(|event| event.id)
        .collect();
    for _ in 0..count {
        let at = random.below(notes.len().saturating_sub(4).max(1));
        let few = &notes[at..(at + 2 + random.below(3)).min(notes.len())];
        let one = few[0];
        let edit = match random.below(13) {
            0 => change::set_slur(&lesson, few, true),
            1 => change::set_slur(&lesson, few, false),
            2 => change::split_slur(&lesson, one),
            3 => change::set_bow(&lesson, &[one], Some(Direction::Up)),
            4 => change::set_bow(&lesson, &[one], None),
            5 => change::set_finger(&lesson, one, 0, Some("2")),
            6 => change::set_string(&lesson, one, 0, Some(2)),
            7 => change::set_dynamic(&lesson, onset(&lesson, one), Some(Dynamic::Pp)),
            8 => change::set_tempo(&lesson, onset(&lesson, one), Some((63.0, "Calmly (♩ = 63)"))),
            9 => change::move_notes(&lesson, few, change::Moving::Steps(1)),
            10 => Ok(change::set_title("An Air & its <Double>")),
            11 => {
                let (from, to) = (onset(&lesson, one), onset(&lesson, few[few.len() - 1]));
                change::set_octave_line(&lesson, from, to, [Some(1), Some(-1), None][random.below(3)])
            }
            _ => Ok(other_marks(&lesson, few)),
        };
        if let Ok((next, _)) = edit.and_then(|edit| edit.apply(&lesson)) {
            lesson = next;
        }
    }
    lesson
}

/// What only the first of two ordered lists has.
fn apart<T: Ord + Clone>(old: &[T], new: &[T]) -> Vec<T> {
    let mut rest = new.iter().peekable();
    let only = old.iter().filter(|item| {
        while rest.next_if(|other| other < item).is_some() {}
        rest.next_if(|other| other == item).is_none()
    });
    only.cloned().collect()
}

fn onset(lesson: &Lesson, id: EventId) -> Quarters {
    lesson.score.event(id).expect("a note").onset
}

/// A dot more or less, an accent, a sf, and a hairpin over the notes.
fn other_marks(lesson: &Lesson, notes: &[EventId]) -> Edit {
    let mut new = lesson.clone();
    for event in new.score.events.iter_mut().filter(|event| notes.contains(&event.id)) {
        if !event.marks.remove(&Mark::Staccato) {
            event.marks.insert(Mark::Staccato);
        }
        let mark = if event.id == notes[0] { Mark::Sforzando } else { Mark::Accent };
        event.marks.insert(mark);
    }
    let (first, last) = (notes[0], notes[notes.len() - 1]);
    let at = onset(lesson, first);
    let end = lesson.score.event(last).expect("a note").end();
    let id = new.score.free_sign_id();
    new.score.signs.push(Sign { id, at, kind: SignKind::Hairpin { opens: true, end, niente: false } });
    Edit::between("Marks", lesson, &new)
}

/// The bowing of a teacher goes into real parts and comes out again; nothing else in the file changes.
#[test]
fn a_marked_up_part_goes_back_into_its_file() {
    let folder = tempfile::tempdir().unwrap();
    let schema = schema(folder.path());
    let mut random = Random::new(12);
    let (mut changes, mut left, mut kinds) = (0, Vec::new(), 0);
    for (path, source) in scores() {
        let document = musicxml::open(&source).unwrap();
        let part = document.likely_part();
        let Ok(imported) = document.read(part) else { continue };
        let old = lesson(imported);
        if old.score.events.iter().filter(|event| !event.is_rest()).count() < 5 {
            continue;
        }
        kinds += 1;
        let new = marked_up(&old, &mut random, if old.score.events.len() > 1000 { 15 } else { 40 });
        let written = back(new.clone(), &source, part);
        changes += written.changes;
        left.extend(written.left.iter().map(|line| format!("{}: {line}", path.display())));
        // What is left out is told, and nothing else is.
        let again = read(&written.bytes, part).score;
        if written.left.is_empty() {
            let [again, wanted] = [&again, &new.score].map(said);
            assert_eq!(again.1, wanted.1, "{}: slurs", path.display());
            assert_eq!(again.2, wanted.2, "{}: signs", path.display());
            assert_eq!(read(&written.bytes, part).score.title, new.score.title, "{}", path.display());
        }
        // The other parts are as they were.
        for other in document.parts().iter().filter(|other| other.index != part) {
            if let Ok(imported) = document.read(other.index) {
                let [a, b] = [imported.score, read(&written.bytes, other.index).score];
                assert_eq!(said(&a).0, said(&b).0, "{}: {}", path.display(), other.name);
            }
        }
        let [before, after] = [&source, &written.bytes].map(|bytes| unpack(bytes).unwrap());
        if let Some(schema) = &schema
            && against(schema, &before).is_none()
        {
            assert_eq!(against(schema, &after), None, "{}", path.display());
        }
        // The lines that stay are the same lines.
        let lines = |bytes: &[u8]| {
            let mut lines: Vec<Vec<u8>> = bytes.split(|byte| *byte == b'\n').map(<[u8]>::to_vec).collect();
            lines.sort();
            lines
        };
        let gone = apart(&lines(&before), &lines(&after)).len();
        assert!(gone <= 8 * written.changes, "{}: {gone} lines, {}", path.display(), written.changes);
    }
    assert!(kinds == 0 || changes > 8 * kinds, "{changes} changes in {kinds} parts");
    assert!(left.len() * 50 <= changes, "{} of {changes} are left out:\n{}", left.len(), left.join("\n"));
}

/// What a part that was written alone says otherwise than the lesson, and what the schema has against it.
fn otherwise(lesson: &Lesson, schema: Option<&Path>) -> Vec<String> {
    let xml = write_new(&Study::new(lesson.clone()), Besides::default());
    let again = read(&xml, 0).score;
    let [(old_events, old_slurs, old_signs), (events, slurs, signs)] = [&lesson.score, &again].map(said);
    let mut told = Vec::new();
    for (index, (old, new)) in old_events.iter().zip(&events).enumerate().filter(|(_, (a, b))| a != b) {
        told.push(format!("{}: {old}\n{new}", lesson.score.place(lesson.score.events[index].onset)));
    }
    if old_events.len() != events.len() || lesson.score.bars.len() != again.bars.len() {
        told.push("other numbers of notes or bars".to_owned());
    }
    // Every part ends with a final barline.
    let last = again.bars.len().saturating_sub(1);
    for (index, (old, new)) in lesson.score.bars.iter().zip(&again.bars).enumerate() {
        let new =
            Bar { double_barline: new.double_barline && index != last || old.double_barline, ..new.clone() };
        if *old != new {
            told.push(format!("bar {}: {old:?}\n{new:?}", index + 1));
        }
    }
    if old_slurs != slurs {
        told.push("other slurs".to_owned());
    }
    // Where a file tells plucking or a jump for playback alone, the new one says it in words; and it has a clef.
    let added = ["arco", "pizz.", "D.C.", "D.S.", "Fine", "To Coda"].map(|word| format!("Words({word:?})"));
    let no_clef = !old_signs.iter().any(|sign| sign.starts_with("0 Clef"));
    told.extend(apart(&old_signs, &signs));
    told.extend(apart(&signs, &old_signs).into_iter().filter(|sign| {
        !(added.iter().any(|added| sign.ends_with(added)) || no_clef && sign.starts_with("0 Clef"))
    }));
    told.extend(schema.and_then(|schema| against(schema, &xml)));
    told
}

/// A part that is written alone says what it said, and is valid.
#[test]
fn a_new_file_says_what_the_lesson_says() {
    let folder = tempfile::tempdir().unwrap();
    let schema = schema(folder.path());
    let mut wrong = Vec::new();
    for (path, source) in scores() {
        let document = musicxml::open(&source).unwrap();
        let part = document.likely_part();
        let Ok(imported) = document.read(part) else { continue };
        // Of two staves one is read, and a bar is as long as the other one makes it.
        if document.parts()[part].staves > 1 {
            continue;
        }
        for told in otherwise(&lesson(imported), schema.as_deref()) {
            wrong.push(format!("{}: {told}", path.file_name().unwrap().to_string_lossy()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Other notes, as they are typed: a length, a note over others, one divided, one less, a double stop; another
/// key, a repeat, an ending.
pub fn with_other_notes(lesson: &Lesson, random: &mut Random, count: usize) -> Lesson {
    let mut lesson = lesson.clone();
    for _ in 0..count {
        let first = |event: &&Event| event.voice == 0 && event.grace.is_none() && !event.cue;
        let notes: Vec<Event> =
            lesson.score.events.iter().map(|event| &**event).filter(first).cloned().collect();
        let at = &notes[random.below(notes.len())];
        let bar = random.below(lesson.score.bars.len());
        let value = NoteValue::plain(-1 - random.below(4) as i8);
        let pitch = Pitch::from_name(["D4", "F#4", "Bb4", "A4"][random.below(4)]).expect("a pitch");
        let edit = match random.below(12) {
            0..4 => change::write_over(&lesson, Some(at.id), value, &[pitch]),
            4..6 => change::divide_note(&lesson, at.id, at.onset + at.duration / Quarters::from(2)),
            6 => change::write_over(
                &lesson,
                Some(at.id),
                NoteValue { tuplet: Some((3, 2)), ..value },
                &[pitch],
            ),
            7 => change::write_over(&lesson, Some(at.id), value, &[]),
            8 => change::add_note(&lesson, at.id, pitch),
            9 => change::set_key(&lesson, bar, random.below(7) as i8 - 3),
            10 => change::set_repeat(&lesson, bar, random.below(2) == 0, random.below(2) == 0),
            _ => change::set_ending(&lesson, bar, ["1", "2", ""][random.below(3)]),
        };
        let bars = lesson.score.bars.len();
        if let Ok((next, _)) = edit.and_then(|edit| edit.apply(&lesson))
            && next.score.bars.len() == bars
        {
            lesson = next;
        }
    }
    lesson
}

/// Notes that were typed go into the bars of real parts and come out again; the other parts, and the bars that
/// have the same notes, stay as they are.
#[test]
fn other_notes_go_back_into_their_bars() {
    let folder = tempfile::tempdir().unwrap();
    let schema = schema(folder.path());
    let mut random = Random::new(5);
    let (mut parts, mut left, mut refused) = (0, Vec::new(), Vec::new());
    for (path, source) in scores() {
        let document = musicxml::open(&source).unwrap();
        let part = document.likely_part();
        let Ok(imported) = document.read(part) else { continue };
        let old = lesson(imported);
        let notes = old.score.events.iter().filter(|event| !event.is_rest()).count();
        if notes < 5 {
            continue;
        }
        let new = with_other_notes(&old, &mut random, (notes / 8).clamp(1, 6));
        let written =
            match write_back(&Study::new(new.clone()), &source, part, Besides::default(), OtherParts::Stay) {
                Ok(written) => written,
                Err(error) => {
                    refused.push(format!("{}: {error}", path.display()));
                    continue;
                }
            };
        parts += 1;
        left.extend(written.left.iter().map(|line| format!("{}: {line}", path.display())));
        let again = read(&written.bytes, part).score;
        if written.left.is_empty() {
            let lasting = |score: &Score| -> Vec<_> {
                let heads = |event: &Event| -> Vec<_> {
                    event.notes.iter().map(|note| (note.pitch, note.tie_start, note.tie_stop)).collect()
                };
                let own = |event: &Event| {
                    (event.onset, event.duration, event.voice, heads(event), event.marks.clone())
                };
                score.events.iter().map(|event| own(event)).collect()
            };
            assert_eq!(lasting(&again), lasting(&new.score), "{}", path.display());
            assert_eq!(said(&again).1, said(&new.score).1, "{}: slurs", path.display());
        }
        for other in document.parts().iter().filter(|other| other.index != part) {
            if let Ok(imported) = document.read(other.index) {
                let [a, b] = [imported.score, read(&written.bytes, other.index).score];
                assert_eq!(said(&a).0, said(&b).0, "{}: {}", path.display(), other.name);
            }
        }
        let [before, after] = [&source, &written.bytes].map(|bytes| unpack(bytes).unwrap());
        if let Some(schema) = &schema
            && against(schema, &before).is_none()
        {
            assert_eq!(against(schema, &after), None, "{}", path.display());
        }
    }
    let told = [left.clone(), refused.clone()].concat().join("\n");
    assert!(
        left.len() * 10 <= parts && refused.len() * 10 <= parts,
        "{} left, {} refused, {parts} written\n{told}",
        left.len(),
        refused.len()
    );
}

/// A metre of the same length, and a repeat with its ending, are of all parts; a key is of its own.
#[test]
fn a_metre_and_a_repeat_go_into_all_parts() {
    let source = std::fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/duo.musicxml")).unwrap();
    let mut new = lesson(read(&source, 0));
    let old = new.score.clone();
    let time = &old.bars[0].time;
    let halved = TimeSignature::new(2 * time.count(), 2 * time.beat_type);
    let last = old.bars.len() - 1;
    new = change::set_metre(&new, 0, &halved).unwrap().apply(&new).unwrap().0;
    new = change::set_repeat(&new, last, false, true).unwrap().apply(&new).unwrap().0;
    new = change::set_key(&new, 0, old.bars[0].key + 1).unwrap().apply(&new).unwrap().0;
    let written = back(new.clone(), &source, 0);
    assert_eq!(written.left, Vec::<String>::new());
    for part in 0..2 {
        let bars = read(&written.bytes, part).score.bars;
        assert!(bars.iter().all(|bar| bar.time == halved) && bars[last].repeat_end, "part {part}: {bars:?}");
    }
    let keys = [0, 1].map(|part| read(&written.bytes, part).score.bars[0].key);
    assert_eq!(keys, [old.bars[0].key + 1, read(&source, 1).score.bars[0].key]);
}

/// What is sung to a note, and which way its stem points, stays when the note gets another length.
#[test]
fn lyrics_and_stems_stay_on_notes_that_are_written_anew() {
    let source = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/duo.musicxml"));
    let lyric = "<lyric number=\"1\"><syllabic>single</syllabic><text>Sea &amp; sky</text></lyric>";
    let sung = format!("<type>half</type><stem>down</stem>{lyric}</note>");
    let source = source.expect("the file is there").replacen("<type>half</type></note>", &sung, 1);
    let old = lesson(read(source.as_bytes(), 0));
    let first = old.score.events[0].id;
    let (new, _) = change::set_length(&old, first, NoteValue::QUARTER).unwrap().apply(&old).unwrap();
    let written = String::from_utf8(back(new, source.as_bytes(), 0).bytes).expect("text");
    let note = written.split("<note>").find(|note| note.contains("Sea &amp; sky")).expect("it is there");
    assert!(note.contains("<type>quarter</type>") && note.contains("<stem>down</stem>"), "{note}");
    assert_eq!(written.matches("<lyric").count(), 1);
    let folder = tempfile::tempdir().unwrap();
    if let Some(schema) = schema(folder.path()) {
        assert_eq!(against(&schema, written.as_bytes()), None);
    }
}

/// C and cut C are read, written into a new file and into the old one; a lesson that was saved without them
/// takes none away.
#[test]
fn the_signs_c_and_cut_c_come_and_go() {
    let source = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/duo.musicxml"));
    let source = source.expect("the file is there");
    let plain = lesson(read(source.as_bytes(), 0));
    let with = |time: &TimeSignature| {
        let mut new = plain.clone();
        for bar in &mut new.score.bars {
            bar.time = time.clone();
        }
        new
    };
    let common = source.replacen("<time>", "<time symbol=\"common\">", 2);
    for (sign, symbol) in [(TimeSignature::common(), "common"), (TimeSignature::cut(), "cut")] {
        let written = back(with(&sign), source.as_bytes(), 0);
        let text = String::from_utf8(written.bytes.clone()).expect("text");
        assert_eq!(text.matches(&format!("symbol=\"{symbol}\"")).count(), 2, "in both parts");
        for part in 0..2 {
            assert_eq!(read(&written.bytes, part).score.bars[0].time, sign);
        }
        let new = write_new(&Study::new(with(&sign)), Besides::default());
        assert!(read(&new, 0).score.bars.iter().all(|bar| bar.time == sign));
    }
    let numbers = lesson(read(common.as_bytes(), 0)).score.bars[0].time.clone();
    assert_eq!(numbers.sign, TimeSign::Common);
    let old = with(&TimeSignature { sign: TimeSign::Numbers, ..numbers });
    assert_eq!(back(old, common.as_bytes(), 0).bytes, common.as_bytes());
}

/// A bar of rest comes into all parts, bars go out of all of them, with the slurs and hairpins that hang over
/// their edges; the bars behind are counted on.
#[test]
fn bars_come_and_go_in_all_parts_where_they_may() {
    let folder = tempfile::tempdir().unwrap();
    let schema = schema(folder.path());
    let source = std::fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/duo.musicxml")).unwrap();
    let old = lesson(read(&source, 0));
    let bars = |bytes: &[u8], part: usize| read(bytes, part).score.bars.to_vec();
    let count = old.score.bars.len();
    let changes = |lesson: &Lesson| {
        let edits = [
            change::insert_bars(lesson, 1, 2),
            change::insert_bars(lesson, count, 1),
            change::insert_bars(lesson, 0, 1),
            change::delete_bars(lesson, 1..2),
            change::delete_bars(lesson, count - 1..count),
            change::delete_bars(lesson, 0..1),
        ];
        let changed = edits.map(|edit| edit.unwrap().apply(lesson).unwrap().0);
        let passage = change::excerpt(lesson, 1..3).unwrap();
        changed.into_iter().chain([passage]).collect::<Vec<_>>()
    };
    let viola = lesson(read(&source, 1));
    for (case, (new, viola)) in changes(&old).into_iter().zip(changes(&viola)).enumerate() {
        let follow = write_back(&Study::new(new.clone()), &source, 0, Besides::default(), OtherParts::Follow);
        let written = follow.unwrap_or_else(|error| panic!("{case}: {error}"));
        let again = read(&written.bytes, 0).score;
        assert_eq!(said(&again).0, said(&new.score).0, "{case}");
        let numbers = |bars: &[Bar]| bars.iter().map(|bar| bar.number.clone()).collect::<Vec<_>>();
        assert_eq!(numbers(&again.bars), numbers(&new.score.bars), "{case}");
        // The same bars of the other part.
        let notes = |score: &Score| {
            let of = |event: &Event| {
                (event.onset, event.duration, event.notes.iter().map(|note| note.pitch).collect::<Vec<_>>())
            };
            score.events.iter().filter(|event| !event.is_rest()).map(|event| of(event)).collect::<Vec<_>>()
        };
        assert_eq!(notes(&read(&written.bytes, 1).score), notes(&viola.score), "{case}");
        let keys =
            |score: &Score| score.bars.iter().map(|bar| (bar.key, bar.time.clone())).collect::<Vec<_>>();
        assert_eq!(keys(&read(&written.bytes, 1).score), keys(&viola.score), "{case}");
        let other = bars(&written.bytes, 1);
        assert_eq!(numbers(&other), numbers(&new.score.bars), "{case}");
        let text = String::from_utf8(written.bytes.clone()).unwrap();
        for name in ["slur", "wedge"] {
            let all = |kinds: &[&str]| {
                kinds
                    .iter()
                    .map(|kind| text.matches(&format!("<{name} type=\"{kind}\"")).count())
                    .sum::<usize>()
            };
            assert_eq!(all(&["start", "crescendo", "diminuendo"]), all(&["stop"]), "{case}: {name}");
        }
        if let Some(schema) = &schema {
            assert_eq!(against(schema, &written.bytes), None, "{case}");
        }
        // And as it was.
        let back =
            write_back(&Study::new(old.clone()), &written.bytes, 0, Besides::default(), OtherParts::Follow);
        let back = back.unwrap_or_else(|error| panic!("{case} back: {error}"));
        assert_eq!(said(&read(&back.bytes, 0).score).0, said(&old.score).0, "{case} back");
        assert_eq!(bars(&back.bytes, 1).len(), count, "{case} back");
    }
}

/// Ties over the edges of bars that go lose their other half, in the parts that follow too; those between others stay.
#[test]
fn no_half_of_a_tie_is_left_where_bars_go() {
    let folder = tempfile::tempdir().unwrap();
    let schema = schema(folder.path());
    let source =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/duo.musicxml")).unwrap();
    let (start, end) = (source.find("<part id=\"P2\">").unwrap(), source.find("</score-partwise>").unwrap());
    let tie = |kinds: &[&str]| {
        let all =
            |name: &str| kinds.iter().map(|kind| format!("<{name} type=\"{kind}\"/>")).collect::<String>();
        (all("tie"), all("tied"))
    };
    // One note over four bars, from tie to tie.
    let bar = |number: usize| {
        let (ties, tied) =
            tie([&["start"][..], &["stop", "start"], &["stop", "start"], &["stop"]][number - 1]);
        let head = if number == 1 {
            "<attributes><divisions>2</divisions><time><beats>3</beats><beat-type>4</beat-type></time></attributes>"
        } else {
            ""
        };
        format!(
            "<measure number=\"{number}\">{head}<note><pitch><step>G</step><octave>3</octave></pitch><duration>6</duration>{ties}<voice>1</voice><type>half</type><dot/><notations>{tied}</notations></note></measure>"
        )
    };
    let viola: String = (1..=4).map(bar).collect();
    let source = format!("{}<part id=\"P2\">{viola}</part>{}", &source[..start], &source[end..]);
    let old = lesson(read(source.as_bytes(), 0));
    for gone in [0..1, 1..2, 1..3, 3..4] {
        let (new, _) = change::delete_bars(&old, gone.clone()).unwrap().apply(&old).unwrap();
        let study = Study::new(new);
        let written =
            write_back(&study, source.as_bytes(), 0, Besides::default(), OtherParts::Follow).unwrap();
        let text = String::from_utf8(written.bytes.clone()).unwrap();
        let count =
            |end: &str| ["tie", "tied"].map(|name| text.matches(&format!("<{name} type=\"{end}\"")).count());
        let left = if gone.start == 0 || gone.end == 4 { 2 } else { 2 - gone.len() };
        assert_eq!((count("start"), count("stop")), ([left; 2], [left; 2]), "{gone:?}: {text}");
        let viola = read(&written.bytes, 1);
        assert!(!viola.diagnostics.iter().any(|told| told.message.contains("tie")), "{gone:?}");
        if let Some(schema) = &schema {
            assert_eq!(against(schema, &written.bytes), None, "{gone:?}");
        }
    }
}

#[test]
fn other_bars_and_other_parts_are_not_written_over() {
    let source = std::fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/duo.musicxml")).unwrap();
    let old = lesson(read(&source, 0));
    let (new, _) = change::insert_bars(&old, 1, 1).unwrap().apply(&old).unwrap();
    let refused = write_back(&Study::new(new), &source, 0, Besides::default(), OtherParts::Stay);
    assert!(matches!(refused, Err(BackError::OtherBars { may_follow: true, .. })), "{refused:?}");
    let other = lesson(read(&source, 1));
    let refused = write_back(&Study::new(other), &source, 0, Besides::default(), OtherParts::Stay);
    assert!(matches!(refused, Err(BackError::OtherNotes(_))), "{refused:?}");
}

/// Titles as files have them: of the work, of a movement, of both, of none; where they are printed they
/// follow. Titles of our own.
#[test]
fn a_title_goes_where_the_file_has_it() {
    let source =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/duo.musicxml")).unwrap();
    let at = source.find("<part-list>").unwrap();
    let head = source[..at]
        .find("<score-partwise")
        .map(|from| from + source[from..].find('>').unwrap() + 1)
        .unwrap();
    let credit = |words: &str| format!("<credit page=\"1\"><credit-words>{words}</credit-words></credit>");
    let work = |words: &str| format!("<work><work-title>{words}</work-title></work>");
    let movement = |words: &str| format!("<movement-title>{words}</movement-title>");
    for (before, title, after) in [
        (work("Old") + &credit("Old"), "New & Co", work("New &amp; Co") + &credit("New &amp; Co")),
        (work("Old") + &movement("I"), "Old, II", work("Old") + &movement("II")),
        (work("Old") + &movement("I"), "New", work("New")),
        (movement("Old"), "New", movement("New")),
        (String::new(), "New", work("New")),
        (
            "<work><work-number>1</work-number></work>".into(),
            "New",
            "<work><work-number>1</work-number></work>".to_owned() + &movement("New"),
        ),
    ] {
        let with = |head_text: &str| format!("{}{head_text}{}", &source[..head], &source[at..]);
        let file = with(&before);
        let mut new = lesson(read(file.as_bytes(), 0));
        new.score.title = title.to_owned();
        let written = back(new, file.as_bytes(), 0);
        assert_eq!(written.left, Vec::<String>::new());
        assert_eq!(String::from_utf8(written.bytes).unwrap(), with(&after));
    }
}

/// A bow that is lifted and one that is hooked have no sign of their own in the standard; they come back
/// as the same bowing.
#[test]
fn retakes_and_hooks_come_back_as_the_same_bowing() {
    let source = std::fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/duo.musicxml")).unwrap();
    let old = lesson(read(&source, 0));
    let notes: Vec<EventId> =
        old.score.events.iter().filter(|e| !e.is_rest() && e.grace.is_none()).map(|e| e.id).collect();
    let mut tried = 0;
    for &id in &notes[1..] {
        for (how, edit) in [
            ("retake", change::set_retake(&old, id, true)),
            ("hooked", change::hook(&old, id, Some(SameBow::Hooked))),
            ("portato", change::hook(&old, id, Some(SameBow::Portato))),
        ] {
            let Ok((new, _)) = edit.and_then(|edit| edit.apply(&old)) else { continue };
            let study = Study::new(new);
            let written = write_back(&study, &source, 0, Besides::default(), OtherParts::Stay).unwrap();
            let again = Study::new(lesson(read(&written.bytes, 0)));
            // What the notes after it do is free.
            let way = |study: &Study| -> (Direction, Direction, bool) {
                let analysis = study.analysis();
                let k = analysis.bowed_of_event(id).expect("a bowed note");
                let [before, here] = [k - 1, k].map(|k| analysis.bowed(k).direction);
                (before, here, analysis.stroke_of(k) == analysis.stroke_of(k - 1))
            };
            assert_eq!(way(&study), way(&again), "{how} at {id:?}: {:?}", written.left);
            tried += 1;
        }
    }
    assert!(tried > 5);
}
