//! "The same bow, stopped": strokes that only work fast are practised slowly from the string, as short and in the
//! same places as they are, with a stop after each.

use std::ops::Range;

use super::sheet::Sheet;
use crate::{
    advice::longest_bounce,
    analysis::Study,
    lesson::{Lesson, Pin, PinId, change::set_tempo_share},
    score::{Attack, EventId, Note, NoteValue, SignKind, StrokeType},
};

/// So many of them in a row are a passage of that stroke: fewer are just short. Assumed.
const PASSAGE: usize = 3;
/// Most notes. Assumed: what is practised at a time.
const MOST_NOTES: usize = 96;
/// Tempos between which it is written, quarter notes a minute: a note to a beat. Assumed.
const TEMPOS: (f64, f64) = (50.0, 120.0);
/// How far a stroke may begin from its place in the piece, as a share of the hair. Assumed: a finger's breadth.
const NEAR: f64 = 0.03;

/// The runs of bouncing notes in some bars, one sixteenth to a beat.
///
/// # Errors
/// In words, where nothing works only fast.
pub(super) fn stopped(study: &Study, bars: &Range<usize>) -> Result<Lesson, String> {
    // A slower tempo makes other strokes of them: those of the marked tempo are meant.
    let marked = set_tempo_share(study.lesson(), 1.0).and_then(|edit| edit.apply(study.lesson()));
    let study = &marked.map_or_else(|_| study.clone(), |(marked, _)| study.with(marked));
    let runs = runs(study, bars);
    if runs.is_empty() {
        return Err("Every stroke of these bars can be played slowly as it is".to_owned());
    }
    let (lesson, analysis) = (study.lesson(), study.analysis());
    let hair = lesson.setup.bow.hair_mm;
    let sections = lesson.score.bar_sections();
    let mut sheet = Sheet::default();
    // With each note its direction and its place on the bow.
    let mut written: Vec<(EventId, usize)> = Vec::new();
    for run in runs {
        let mut bar = None;
        for piece in run.take(MOST_NOTES.saturating_sub(written.len())) {
            let attack = analysis.note(piece);
            if bar != Some(attack.bar) {
                sheet.row(&lesson.score.bar_name(attack.bar, &sections).words());
                bar = Some(attack.bar);
            }
            let id = sheet.note(NoteValue::plain(-4), bound(study, analysis.bowed(piece).note, attack));
            sheet.rest_to_beat();
            written.push((id, piece));
        }
    }
    let mut score = sheet.score(lesson, bars.start);
    let lengths = written
        .iter()
        .map(|(_, piece)| analysis.note(*piece))
        .map(|attack| analysis.seconds_at(attack.end()) - analysis.seconds_at(attack.onset));
    let shortest_s = lengths.fold(f64::INFINITY, f64::min);
    for sign in &mut score.signs {
        if let SignKind::Tempo { qpm, .. } = &mut sign.kind {
            *qpm = (15.0 / shortest_s).clamp(TEMPOS.0, TEMPOS.1).round();
        }
    }
    for (id, piece) in &written {
        if let Some(event) = score.events.iter_mut().find(|event| event.id == *id) {
            event.bow = Some(analysis.bowed(*piece).direction);
            event.stroke = Some(StrokeType::Martele);
        }
    }
    let mut made =
        Lesson { setup: lesson.setup.clone(), ..Lesson::new(score, lesson.setup.instrument.family) };
    made.pins = (0..)
        .zip(written)
        .map(|(id, (event, piece))| {
            let at = analysis.ends_mm(piece).0 / hair;
            let (from_share, to_share) = ((at - NEAR).max(0.0), (at + NEAR).min(1.0));
            Pin { id: PinId(id), event, from_share, to_share }
        })
        .collect();
    Ok(made)
}

/// The runs of notes that bounce, as indices of the bowed notes.
fn runs(study: &Study, bars: &Range<usize>) -> Vec<Range<usize>> {
    let analysis = study.analysis();
    let mut runs: Vec<Range<usize>> = Vec::new();
    for (piece, bowed) in analysis.bowing.notes.iter().enumerate() {
        let attack = analysis.note(piece);
        let is_one = bars.contains(&attack.bar)
            && attack.grace.is_none()
            && !attack.notes.is_empty()
            && longest_bounce(bowed.stroke_type).is_some();
        match runs.last_mut().filter(|run| run.end == piece) {
            Some(run) if is_one => run.end += 1,
            _ if is_one => runs.push(piece..piece + 1),
            _ => {}
        }
    }
    runs.retain(|run| run.len() >= PASSAGE);
    runs
}

/// The notes of an attack on their strings, with their fingers.
fn bound(study: &Study, note: usize, attack: &Attack) -> Vec<Note> {
    let placement = &study.analysis().left_hand.placements[note];
    let heads = attack.notes.iter().enumerate();
    heads
        .map(|(head, note)| Note {
            string: placement.strings.get(head).copied(),
            fingers: placement.fingers.get(head).map(|finger| finger.mark().to_owned()).into_iter().collect(),
            harmonic: note.harmonic,
            ..Note::new(note.pitch)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        lesson::{Writer, change::new_passage},
        score::{Mark, TimeSignature},
        setup::Family,
    };

    /// Sixteenths with dots at 100 last 0.15 s: spiccato. The same bow at a quarter of the speed of notes.
    #[test]
    fn what_only_bounces_fast_is_played_as_short_with_stops() {
        let notes = ["C4", "D4", "E4", "F4", "G4", "A4", "B4", "C5"];
        let empty = Writer::new(new_passage(Family::Viola, TimeSignature::new(4, 4), 0, 100.0));
        let dotted = notes
            .into_iter()
            .fold(empty, |writer, name| writer.note(name, NoteValue::plain(-4)).mark(Mark::Staccato));
        let dotted = dotted.note("C4", NoteValue::HALF).finish().expect("notes").0;
        let full = Study::new(dotted.clone());
        let slow = set_tempo_share(&dotted, 0.5).unwrap().apply(&dotted).unwrap().0;
        let made = stopped(&full, &(0..1)).expect("spiccato");
        let from_slow = stopped(&Study::new(slow), &(0..1)).expect("the same from a slow tempo");
        assert_eq!((from_slow.score, from_slow.pins), (made.score.clone(), made.pins.clone()));
        let study = Study::new(made);
        let (is, was) = (study.analysis(), full.analysis());
        assert_eq!(is.bowing.notes.len(), notes.len(), "the long note is no part of it");
        for k in 0..notes.len() {
            assert_eq!(is.note(k).notes[0].pitch, was.note(k).notes[0].pitch);
            assert_eq!(is.bowed(k).direction, was.bowed(k).direction);
            assert!((is.ends_mm(k).0 - was.ends_mm(k).0).abs() < 2.0 * NEAR * 640.0, "in the same place");
            let lasts = is.seconds_at(is.note(k).end()) - is.seconds_at(is.note(k).onset);
            assert!((lasts - 0.15).abs() < 0.005, "{lasts}");
            assert!((is.seconds_at(is.note(k).onset) - 0.6 * k as f64).abs() < 0.02, "one to a beat");
        }
        let calm = Study::new(crate::lesson::demo::demo());
        assert!(stopped(&calm, &(0..2)).unwrap_err().contains("slowly as it is"));
    }
}
