//! The built-in demo, of our own invention: a viola passage that shows what the program is for.

use crate::{
    score::{
        Direction::{Down, Up},
        Dynamic, Mark, NoteValue, Quarters, SignKind, TimeSignature,
    },
    setup::{Family, Positions},
};

use super::{
    Lesson, Writer,
    change::{hair_pin, new_passage},
};

const QUARTER: NoteValue = NoteValue::QUARTER;
const HALF: NoteValue = NoteValue::HALF;
const WHOLE: NoteValue = NoteValue::WHOLE;

/// "Harbour Song": twelve bars for viola with slurs, double stops on two pairs of strings, a
/// crescendo, a sudden piano, a retake, one place fixed on the bow, and one slur in bar 8 for which
/// the bow is too short. For a pupil up to third position, so that the
/// strings change as they do in lessons.
pub fn demo() -> Lesson {
    let mut empty = new_passage(Family::Viola, TimeSignature::new(4, 4), 1, 84.0);
    empty.score.title = "Harbour Song".to_owned();
    empty.setup.player.positions = Positions::Third;
    for sign in &mut empty.score.signs {
        if let SignKind::Tempo { text, .. } = &mut sign.kind {
            *text = "Flowing".to_owned();
        }
    }
    let bar = |number: i64| Quarters::from(4 * (number - 1));
    let song = Writer::new(empty);
    let song = song.note("D4", HALF).bow(Down).note("G4", QUARTER).note("A4", QUARTER).slur(2);
    let song = song.note("B4", HALF).note("A4", QUARTER).note("G4", QUARTER).slur(2);
    let song = song.note("E4", HALF).note("F#4", QUARTER).note("G4", QUARTER).slur(2);
    let song = song.note("A4", WHOLE);
    // A new phrase: the bow is set again.
    let song = song.note("G4", QUARTER).retake().note("A4", QUARTER).note("B4", QUARTER).note("C5", QUARTER);
    let song = song.note("D5", HALF).note("C5", QUARTER).note("B4", QUARTER).slur(2);
    let song = song.note("D4 B4", HALF).mark(Mark::Accent).bow(Down).note("D4 A4", HALF);
    // Six beats of fortissimo in one bow.
    let song = song.note("B4", WHOLE).note("A4", HALF).slur(2).rest(QUARTER).note("D4", QUARTER).bow(Up);
    // The sudden piano begins in the upper half.
    let song = song
        .note("G4", HALF)
        .edit(|lesson, notes| hair_pin(lesson, notes[notes.len() - 1], Some((0.5, 0.6))));
    let song = song.note("B3 G4", QUARTER).note("A3 F#4", QUARTER).slur(2);
    let song = song.note("B3 D4", HALF).note("A3 D4", HALF);
    let song = song.note("G3 D4", WHOLE);
    let song = song
        .sign(bar(1), SignKind::Dynamic(Dynamic::Mf))
        .sign(bar(5), SignKind::Hairpin { opens: true, end: bar(7), niente: false })
        .sign(bar(7), SignKind::Dynamic(Dynamic::F))
        .sign(bar(8), SignKind::Dynamic(Dynamic::Ff))
        .sign(bar(10), SignKind::Dynamic(Dynamic::P));
    song.finish().expect("every note of it can be written").0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_bar_is_full() {
        let lesson = demo();
        for bar in &lesson.score.bars {
            let sum: Quarters = lesson
                .score
                .events
                .iter()
                .filter(|event| event.onset >= bar.start && event.onset < bar.end())
                .map(|event| event.duration)
                .sum();
            assert_eq!(sum, bar.length, "bar {}", bar.number);
        }
    }
}
