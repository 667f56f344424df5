//! What it brings about that a string or a finger is set by hand.

use crate::{score::Attack, setup::Setup};

use super::{Finger, Placement, place};

/// String crossings and shifts of a stretch of music.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Moves {
    /// Changes of the bow plane.
    pub crossings: usize,
    /// Changes of the place of the hand.
    pub shifts: usize,
}

/// The music around a note with its strings and fingers as they are set, and with the note left free.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bound {
    /// As set.
    pub set: Moves,
    /// With string and finger of the note left free.
    pub free: Moves,
    /// Why a finger that is set is not taken.
    pub refused: Option<String>,
}

/// Notes looked at before and after. Assumed: beyond them the hand is back where it would be.
const AROUND: usize = 16;

impl Moves {
    fn of(placements: &[Placement]) -> Self {
        let count = |differ: &dyn Fn(&Placement, &Placement) -> bool| {
            placements.windows(2).filter(|two| differ(&two[0], &two[1])).count()
        };
        Self {
            crossings: count(&|a, b| a.planes.last() != b.planes.first()),
            shifts: count(&|a, b| a.hand.shifts_to(b.hand)),
        }
    }
}

/// Looks at a note of a line whose string or finger is set; none where neither is.
pub fn bound(line: &[Attack], index: usize, setup: &Setup) -> Option<Bound> {
    let note = line.get(index)?;
    if note.notes.iter().all(|head| head.string.is_none() && head.fingers.is_empty()) {
        return None;
    }
    let from = index.saturating_sub(AROUND);
    let mut around = line[from..(index + AROUND + 1).min(line.len())].to_vec();
    let as_set = place(&around, setup);
    let here = as_set.get(index - from)?;
    let heads = note.notes.iter().zip(&here.fingers).filter_map(|(head, &taken)| {
        let wanted = Finger::from_mark(head.fingers.first()?)?;
        (wanted != taken).then(|| {
            format!("{} does not lie under {}; {} is taken", head.pitch.name(), wanted.words(), taken.words())
        })
    });
    let refused = here.problem.clone().or_else(|| Some(heads.collect::<Vec<_>>().join(", ")));
    for head in &mut around[index - from].notes {
        (head.string, head.fingers) = (None, Vec::new());
    }
    Some(Bound {
        set: Moves::of(&as_set),
        free: Moves::of(&place(&around, setup)),
        refused: refused.filter(|why| !why.is_empty()),
    })
}

impl Bound {
    /// In words: "3 crossings and 2 shifts around here, left free 3 and 0".
    pub fn words(&self) -> String {
        let some = |count: usize, what: &str| format!("{count} {what}{}", if count == 1 { "" } else { "s" });
        format!(
            "{} and {} around here, left free {} and {}",
            some(self.set.crossings, "crossing"),
            some(self.set.shifts, "shift"),
            self.free.crossings,
            self.free.shifts
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        lesson::{Lesson, change::set_finger},
        score::{Event, EventId, Note, NoteValue, Pitch, Quarters, Score, attacks},
        setup::{Family, Positions},
    };

    fn lesson(midi: &[i32]) -> Lesson {
        let event = |(k, &midi): (usize, &i32)| {
            let notes = vec![Note::new(Pitch::from_midi(midi, false))];
            Event::new(EventId(k as u32), Quarters::from(k as i64), NoteValue::QUARTER, notes).into()
        };
        let events = midi.iter().enumerate().map(event).collect();
        Lesson::new(Score { events, ..Score::default() }, Family::Violin)
    }

    fn with_finger(lesson: &Lesson, note: u32, finger: &str) -> Lesson {
        let edit = set_finger(lesson, EventId(note), 0, Some(finger)).expect("it can be set");
        edit.apply(lesson).expect("it applies").0
    }

    /// Common practice, no source: A3 to D5 on a violin lie in first position, D5 under the third finger.
    /// Under the first it takes the hand to the third position and back.
    #[test]
    fn a_finger_set_by_hand_costs_its_shifts() {
        let lesson = lesson(&[57, 59, 60, 74, 60, 59, 57]);
        let line = |lesson: &Lesson| attacks(&lesson.score);
        assert_eq!(bound(&line(&lesson), 3, &lesson.setup), None);
        let set = with_finger(&lesson, 3, "1");
        let found = bound(&line(&set), 3, &set.setup).expect("a finger is set");
        assert_eq!(place(&line(&set), &set.setup)[3].fingers, [Finger::First]);
        assert_eq!((found.free.shifts, found.set.shifts), (0, 2));
        assert_eq!(found.refused, None);
        assert_eq!(found.words(), "2 crossings and 2 shifts around here, left free 2 and 0");
    }

    /// Where no position the player uses has the note under that finger it is said, and another is taken.
    #[test]
    fn a_finger_that_does_not_lie_there_is_told() {
        let mut lesson = lesson(&[64, 69, 71]);
        lesson.setup.player.positions = Positions::First;
        let set = with_finger(&lesson, 1, "4");
        let found = bound(&attacks(&set.score), 1, &set.setup).expect("a finger is set");
        assert_eq!(found.refused, None, "the fourth finger on the D string");
        let set = with_finger(&lesson, 0, "4");
        let refused = bound(&attacks(&set.score), 0, &set.setup).expect("a finger is set").refused;
        assert_eq!(refused.as_deref(), Some("E4 does not lie under finger 4; finger 1 is taken"));
    }

    #[test]
    fn setting_a_finger_is_one_step_that_leads_back() {
        let lesson = lesson(&[67, 69, 71]);
        let edit = set_finger(&lesson, EventId(1), 0, Some("0")).expect("A is an open string");
        let (set, back) = edit.apply(&lesson).expect("it applies");
        assert_eq!(set.score.events[1].notes[0].fingers, ["0"]);
        assert_eq!(place(&attacks(&set.score), &set.setup)[1].fingers, [Finger::Open]);
        assert_eq!(back.apply(&set).expect("it leads back").0, lesson);
        let free = set_finger(&set, EventId(1), 0, None).expect("free again");
        assert_eq!(free.apply(&set).expect("it applies").0, lesson);
        for (note, head, finger) in [(0, 0, "0"), (1, 1, "1"), (1, 0, "5"), (9, 0, "1")] {
            assert!(set_finger(&lesson, EventId(note), head, Some(finger)).is_err());
        }
    }
}
