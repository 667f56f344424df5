//! Which notes one bow takes where slurs meet ties and grace notes. That a tied note is one sound under
//! one bow, and that grace notes are played in the bow of their main note, is common practice, no source;
//! where the slurs of a file begin and end is told by the MusicXML 4.0 reference of the W3C Music Notation
//! Community Group.

use elbowroom::{analysis::analyse, exchange::musicxml::open, lesson::Lesson, setup::Family};

/// A note of the test: pitch, length in quarters (0 for a grace note), what stands in its notations.
type Written = (&'static str, i64, &'static str);

/// How many notes each stroke of a violin line takes.
fn strokes(notes: &[Written]) -> Vec<usize> {
    let head = "<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>";
    let mut bars = format!("<measure number='1'>{head}");
    let (mut number, mut beats) = (1, 0);
    for &(pitch, quarters, notations) in notes {
        if beats == 4 {
            number += 1;
            beats = 0;
            bars.push_str(&format!("</measure><measure number='{number}'>"));
        }
        let (step, octave) = pitch.split_at(1);
        let length = if quarters == 0 { "<grace/>".to_owned() } else { String::new() };
        let duration = if quarters == 0 { String::new() } else { format!("<duration>{quarters}</duration>") };
        let sound: String = ["stop", "start"]
            .iter()
            .filter(|end| notations.contains(&format!("<tied type='{end}'/>")))
            .map(|end| format!("<tie type='{end}'/>"))
            .collect();
        bars.push_str(&format!(
            "<note>{length}<pitch><step>{step}</step><octave>{octave}</octave></pitch>{duration}{sound}\
             <notations>{notations}</notations></note>"
        ));
        beats += quarters;
    }
    let xml = format!(
        "<score-partwise version='4.0'><part-list><score-part id='P1'><part-name>Violin</part-name>\
         </score-part></part-list><part id='P1'>{bars}</measure></part></score-partwise>"
    );
    let document = open(xml.as_bytes()).expect("the test writes good MusicXML");
    let imported = document.read(0).expect("there is one part");
    let analysis = analyse(&Lesson::new(imported.score, Family::Violin));
    analysis.bowing.strokes.iter().map(|stroke| stroke.notes.len()).collect()
}

const TIE: &str = "<tied type='start'/>";
const TIED: &str = "<tied type='stop'/>";
const OPEN: &str = "<slur type='start' number='1'/>";
const CLOSE: &str = "<slur type='stop' number='1'/>";
/// Ends a slur and begins the next.
const CHAIN: &str = "<slur type='stop' number='1'/><slur type='start' number='2'/>";
const CLOSE_SECOND: &str = "<slur type='stop' number='2'/>";

#[test]
fn a_slur_that_starts_on_a_tied_over_note_takes_the_whole_note() {
    let tied_over = "<tied type='stop'/><slur type='start' number='1'/>";
    let notes = [("A4", 4, TIE), ("A4", 2, tied_over), ("B4", 1, ""), ("C5", 1, CLOSE), ("D5", 4, "")];
    assert_eq!(strokes(&notes), [3, 1]);
}

#[test]
fn a_slur_that_only_ties_gives_way_to_the_slur_after_it() {
    let first = "<tied type='start'/><slur type='start' number='1'/>";
    let over = "<tied type='stop'/><slur type='stop' number='1'/><slur type='start' number='2'/>";
    let notes = [("A4", 4, first), ("A4", 2, over), ("B4", 2, CLOSE_SECOND), ("D5", 4, "")];
    assert_eq!(strokes(&notes), [2, 1]);
}

#[test]
fn a_slur_into_a_tied_note_and_one_out_of_it_are_two_bows() {
    let into = "<tied type='start'/><slur type='stop' number='1'/>";
    let out = "<tied type='stop'/><slur type='start' number='2'/>";
    let notes = [("G4", 2, OPEN), ("A4", 2, into), ("A4", 2, out), ("B4", 1, ""), ("C5", 1, CLOSE_SECOND)];
    assert_eq!(strokes(&notes), [2, 2]);
}

#[test]
fn one_note_slurred_out_of_a_tied_note_ends_the_bow_of_the_slur_into_it() {
    // Two slurs that meet on a tied note are one line; behind the tie there is nothing to change for.
    let into = "<tied type='start'/><slur type='stop' number='1'/>";
    let out = "<tied type='stop'/><slur type='start' number='2'/>";
    let notes = [("G4", 2, OPEN), ("A4", 2, into), ("A4", 2, out), ("B4", 2, CLOSE_SECOND), ("C5", 4, "")];
    assert_eq!(strokes(&notes), [3, 1]);
    let held = "<slur type='stop' number='2'/><tied type='start'/>";
    let tied = [("G4", 2, OPEN), ("A4", 2, into), ("A4", 2, out), ("B4", 2, held), ("B4", 4, TIED)];
    assert_eq!(strokes(&tied), [3]);
    // Without the tie they are two bows.
    let turned = [("G4", 2, OPEN), ("A4", 2, CLOSE), ("A4", 2, OPEN), ("B4", 2, CLOSE), ("C5", 4, "")];
    assert_eq!(strokes(&turned), [2, 2, 1]);
}

#[test]
fn a_grace_note_chained_to_a_slur_goes_in_its_bow() {
    for inner in 1..4 {
        let mut notes = vec![("G4", 0, OPEN), ("A4", 1, CHAIN)];
        notes.extend(vec![("B4", 1, ""); inner - 1]);
        notes.extend([("C5", 1, CLOSE_SECOND), ("D5", 1, "")]);
        assert_eq!(strokes(&notes), [inner + 2, 1], "a grace note before {} slurred notes", inner + 1);
    }
    let over = "<tied type='stop'/><slur type='start' number='2'/>";
    let main = "<tied type='start'/><slur type='stop' number='1'/>";
    let tied = [("G4", 0, OPEN), ("A4", 4, main), ("A4", 2, over), ("B4", 1, ""), ("C5", 1, CLOSE_SECOND)];
    assert_eq!(strokes(&tied), [4]);
}

#[test]
fn slurred_grace_notes_alone_go_with_their_main_note() {
    assert_eq!(strokes(&[("G4", 0, OPEN), ("A4", 2, CLOSE), ("B4", 2, TIE), ("B4", 4, TIED)]), [2, 1]);
}
