//! Files made to keep a reader busy: read or refused in a time that grows with their length alone.

use std::{
    fmt::Write as _,
    time::{Duration, Instant},
};

use elbowroom::{
    analysis::Study,
    exchange::{lesson_file, musicxml},
    lesson::{Lesson, demo::demo},
    score::{EventId, Slur, SlurId},
    setup::Family,
};

/// Longest time for any of them, assumed: a slow machine, a build for debugging. What is not bounded
/// takes minutes.
const LONGEST: Duration = Duration::from_secs(20);

const NOTE: &str = "<note><pitch><step>D</step><octave>4</octave></pitch><duration>4</duration>";

/// One bar of a part, with this in it.
fn bar(contents: &str) -> String {
    format!(
        "<score-partwise><part-list><score-part id='P'><part-name>Viola</part-name></score-part></part-list>\
         <part id='P'><measure number='7'><attributes><divisions>4</divisions></attributes>{contents}\
         </measure></part></score-partwise>"
    )
}

/// Reads the first part: the number of notes, or why not.
fn answer(name: &str, xml: &str) -> Result<usize, String> {
    let start = Instant::now();
    let read = musicxml::open(xml.as_bytes()).and_then(|document| document.read(0));
    let answer = match read {
        Err(error) => Err(error.to_string()),
        Ok(part) => {
            let notes = part.score.events.len();
            let study = Study::new(Lesson::new(part.score, Family::Viola));
            assert!(study.analysis().line.notes.len() <= notes);
            Ok(notes)
        }
    };
    assert!(start.elapsed() < LONGEST, "{name} took {:?}", start.elapsed());
    answer
}

#[test]
fn what_is_written_many_times_takes_no_more_than_its_length() {
    let attributes: String = (0..200_000).fold(String::new(), |mut text, n| {
        let _ = write!(text, " a{n}=''");
        text
    });
    let stops = "<notations><slur type='stop' number='1'/><slur type='stop' number='2'/></notations></note>";
    let tied = "<tie type='start'/></note>";
    for (name, xml, notes) in [
        ("attributes", bar(&format!("<print{attributes}/>{NOTE}</note>")), 1),
        ("slurs that only stop", bar(&format!("{NOTE}{stops}").repeat(3000)), 3000),
        ("ties to nothing", bar(&format!("{NOTE}{tied}").repeat(3000)), 3000),
        (
            "clefs",
            bar(&format!(
                "<attributes>{}</attributes>{NOTE}</note>",
                "<clef><sign>C</sign></clef>".repeat(50_000)
            )),
            1,
        ),
        (
            "words",
            bar(&format!(
                "{}{NOTE}</note>",
                "<direction><direction-type><words>cresc.</words></direction-type></direction>"
                    .repeat(50_000)
            )),
            1,
        ),
    ] {
        assert_eq!(answer(name, &xml), Ok(notes), "{name}");
    }
}

#[test]
fn more_at_once_than_anybody_plays_is_refused_in_words() {
    let chord = format!(
        "{NOTE}</note>{}",
        format!("{}</note>", NOTE.replace("<note>", "<note><chord/>")).repeat(59_999)
    );
    let graces = format!(
        "{}{NOTE}</note>",
        "<note><grace/><pitch><step>D</step><octave>4</octave></pitch></note>".repeat(50_000)
    );
    let voices: String = (0..80_000).fold(String::new(), |mut text, n| {
        let _ = write!(text, "{NOTE}<voice>{n}</voice></note><backup><duration>4</duration></backup>");
        text
    });
    let rests = "<note><rest/><duration>1</duration></note>".repeat(100_001);
    for (name, contents, words) in [
        ("a chord", chord, "bar \"7\" has 60000 notes at once; no player plays more than 64"),
        (
            "grace notes",
            graces,
            "bar \"7\" has 50000 grace notes at one place; no player plays more than 250",
        ),
        ("voices", voices, "bar \"7\" has 80000 notes at once"),
        ("a long part", rests, "the number of notes in the part is beyond 100000"),
    ] {
        let refused = answer(name, &bar(&contents)).expect_err(name);
        assert!(refused.starts_with(words), "{name}: {refused}");
    }
    let mut lesson = demo();
    let note = lesson.score.events[0].notes[0].clone();
    lesson.score.events[0].notes = vec![note; 60_000];
    let text = lesson_file::write(&lesson).expect("any lesson can be written");
    let refused = lesson_file::read(&text).expect_err("refused").to_string();
    assert!(refused.contains("no player plays more than 64"), "{refused}");
}

/// Slurs over the whole piece, which only a lesson file can hold in such a number.
#[test]
fn ten_thousand_slurs_over_one_another_are_analysed() {
    let mut lesson = demo();
    let (first, last) = (lesson.score.events[0].id, lesson.score.events.last().expect("notes").id);
    let next = lesson.score.free_slur_id().0;
    let over = |n: u32, from: EventId, to: EventId| Slur { id: SlurId(next + n), from, to, phrase: false };
    lesson.score.slurs.extend((0..10_000).map(|n| over(n, first, last)));
    let start = Instant::now();
    let text = lesson_file::write(&lesson).expect("any lesson can be written");
    let study = Study::new(lesson_file::read(&text).expect("a lesson"));
    assert!(!study.analysis().line.notes.is_empty());
    assert!(start.elapsed() < LONGEST, "it took {:?}", start.elapsed());
}
