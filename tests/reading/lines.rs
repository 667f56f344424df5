//! Lines over and between notes, and dynamics of one note: what a file says of them is kept, and comes back
//! from a new file. What the elements mean is told by the MusicXML 4.0 reference of the W3C Music Notation
//! Community Group: `octave-shift` type "down" is for notes printed lower than they sound, size 15 for two
//! octaves; `glissando` is wavy and `slide` solid where no `line-type` says otherwise.

use elbowroom::{
    analysis::Study,
    exchange::musicxml::{Besides, open, write_new},
    score::{Dynamic, Mark, Pitch, Quarters, Score, SignKind, attacks},
};

use crate::data::lesson;

fn note(pitch: &str, notations: &str) -> String {
    let (step, octave) = pitch.split_at(1);
    format!(
        "<note><pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>1</duration>\
         <type>quarter</type><notations>{notations}</notations></note>"
    )
}

fn direction(what: &str) -> String {
    format!("<direction><direction-type>{what}</direction-type></direction>")
}

/// A violin part of one bar of 4/4, read, and read again from the new file written of it.
fn both(bar: &str) -> [Score; 2] {
    let head = "<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>";
    let xml = format!(
        "<score-partwise version='4.0'><part-list><score-part id='P1'><part-name>Violin</part-name>\
         </score-part></part-list><part id='P1'><measure number='1'>{head}{bar}</measure></part></score-partwise>"
    );
    let read = |bytes: &[u8]| open(bytes).expect("good MusicXML").read(0).expect("there is one part");
    let first = read(xml.as_bytes());
    let again = read(&write_new(&Study::new(lesson(first.clone())), Besides::default()));
    [first.score, again.score]
}

#[test]
fn octave_lines_keep_the_sounding_pitch() {
    let down = direction("<octave-shift type='down' size='15'/>");
    let stop = direction("<octave-shift type='stop' size='15'/>");
    let bar = [down, note("A6", ""), note("B6", ""), stop, note("A4", ""), note("G4", "")].concat();
    for score in both(&bar) {
        let lines: Vec<_> = score.signs.iter().filter(|sign| sign.kind.end().is_some()).collect();
        let [line] = lines[..] else { panic!("{lines:?}") };
        assert_eq!(line.at, Quarters::ZERO);
        assert_eq!(line.kind, SignKind::OctaveLine { octaves: 2, end: Quarters::from(2) });
        assert_eq!(score.events[0].notes[0].pitch, Pitch::from_name("A6").unwrap());
    }
}

#[test]
fn glissandi_and_the_lines_of_trills_are_marks() {
    let wave = |kind| format!("<ornaments><wavy-line type='{kind}'/></ornaments>");
    let trill = format!("<ornaments><trill-mark/></ornaments>{}", wave("start"));
    let slide = "<slide type='start'/>";
    let bar = [note("D4", &trill), note("E4", &wave("stop")), note("D4", slide), note("A4", "")].concat();
    for score in both(&bar) {
        let marks = |event: usize| score.events[event].marks.iter().copied().collect::<Vec<_>>();
        assert_eq!(marks(0), [Mark::Trill, Mark::TrillLine]);
        assert_eq!(marks(1), [Mark::TrillLine]);
        assert_eq!(marks(2), [Mark::Slide]);
        assert_eq!(marks(3), []);
    }
    let [straight, _] =
        both(&[note("D4", "<glissando type='start' line-type='solid'/>"), note("A4", "")].concat());
    assert!(straight.events[0].marks.contains(&Mark::Slide));
    let [wavy, _] = both(&[note("D4", "<glissando type='start'/>"), note("A4", "")].concat());
    assert!(wavy.events[0].marks.contains(&Mark::Glissando));
}

/// MusicXML 4.0 reference, `tremolo`: of two notes the first has "start", the second "stop"; each has half of its
/// printed value in `duration`. Without a slur the bow makes it, else the fingers (common practice, no source).
#[test]
fn a_tremolo_between_two_notes_is_one_of_the_bow_or_of_the_fingers() {
    let end =
        |kind: &str, slur: &str| format!("{slur}<ornaments><tremolo type='{kind}'>3</tremolo></ornaments>");
    let bowed = [note("D4", &end("start", "")), note("A4", &end("stop", ""))].concat();
    let fingered =
        [note("D4", &end("start", "<slur type='start'/>")), note("F4", &end("stop", "<slur type='stop'/>"))]
            .concat();
    for score in both(&[bowed, fingered].concat()) {
        let places: Vec<_> =
            score.tremolos_between().iter().map(|own| (own.from, own.to, own.strokes)).collect();
        assert_eq!(places, [(0, 1, 3), (2, 3, 3)]);
        let trembles: Vec<_> = attacks(&score).iter().map(|attack| attack.tremolo).collect();
        assert_eq!(trembles, [Some(3), Some(3), None, None]);
    }
    // Before a rest there is none.
    let rest = "<note><rest/><duration>1</duration><type>quarter</type></note>";
    let [alone, _] = both(&[&note("D4", &end("start", "")), rest].concat());
    assert_eq!((alone.tremolos_between().len(), alone.events[0].tremolo_to_next), (0, None));
}

/// An accidental that the bar rule does not ask for reminds the player (common practice, no source); one that it
/// asks for says nothing more.
#[test]
fn accidentals_that_remind_are_kept() {
    let sharp = note("F5", "").replace("<step>F</step>", "<step>F</step><alter>1</alter>");
    let shown =
        |note: String, name: &str| note.replace("<type>", &format!("<accidental>{name}</accidental><type>"));
    let bar =
        [shown(sharp, "sharp"), shown(note("F4", ""), "natural"), note("G4", ""), note("A4", "")].concat();
    for score in both(&bar) {
        let kept: Vec<bool> = score.events.iter().map(|event| event.notes[0].accidental_shown).collect();
        assert_eq!(kept, [false, true, false, false]);
    }
}

#[test]
fn a_dynamic_of_one_note_keeps_its_letters() {
    let dynamic = |name: &str| match name {
        "ffz" | "sff" => direction(&format!("<dynamics><other-dynamics>{name}</other-dynamics></dynamics>")),
        _ => direction(&format!("<dynamics><{name}/></dynamics>")),
    };
    for (name, after) in [
        ("sf", None),
        ("fz", None),
        ("ffz", None),
        ("sff", None),
        ("rfz", None),
        ("fp", Some(Dynamic::P)),
        ("sfp", Some(Dynamic::P)),
        ("sfpp", Some(Dynamic::Pp)),
    ] {
        for score in both(&format!("{}{}", dynamic(name), note("A4", ""))) {
            assert_eq!(score.events[0].sudden_letters(), Some(name));
            let level = score.signs.iter().find_map(|sign| match sign.kind {
                SignKind::Dynamic(level) => Some(level),
                _ => None,
            });
            assert_eq!(level, after, "{name}");
        }
    }
}
