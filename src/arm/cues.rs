//! Which finger must lie on the next string before the bow arrives there.

use crate::{score::Attack, setup::Setup};

use super::{Finger, Placement};

/// A finger to set before a string crossing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FingerCue {
    /// Index into the line.
    pub note: usize,
    /// Its string, 1 is the highest.
    pub string: u8,
    /// The finger.
    pub finger: Finger,
    /// The string the same finger comes from, where it has to hop over; no other finger is free then.
    pub hops_from: Option<u8>,
    /// It can lie across both strings (a fifth, on strings tuned in fifths): then it need not hop.
    pub across: bool,
    /// The hand moves to another position on the way.
    pub shifts: bool,
}

impl FingerCue {
    /// In words: "finger 1 on D; it hops over from G".
    pub fn words(&self, setup: &Setup) -> String {
        let name = |string: u8| {
            let string = setup.instrument.strings.get(usize::from(string).saturating_sub(1));
            string.map_or_else(|| "?".to_owned(), |string| string.name.clone())
        };
        let finger = match self.finger {
            Finger::Thumb => "thumb".to_owned(),
            finger => format!("finger {}", finger.mark()),
        };
        let mut words = format!("{finger} ready on {}", name(self.string));
        match self.hops_from {
            Some(from) if self.across => words += &format!(", laid across from {}", name(from)),
            Some(from) => words += &format!(", it hops over from {}", name(from)),
            None if self.shifts => words += ", with a shift",
            None => {}
        }
        words
    }
}

/// The fingers to set ahead of every crossing from one single note to another, in order.
pub fn finger_cues(line: &[Attack], placements: &[Placement]) -> Vec<FingerCue> {
    let mut cues = Vec::new();
    let pairs = placements.windows(2).zip(line.windows(2)).enumerate();
    for (k, (places, notes)) in pairs {
        let ([before, here], [note_before, note]) = (places, notes) else { continue };
        let (&[old_string], &[string]) = (&before.strings[..], &here.strings[..]) else { continue };
        let (&[old_finger], &[finger]) = (&before.fingers[..], &here.fingers[..]) else { continue };
        if old_string == string || finger == Finger::Open || here.problem.is_some() {
            continue;
        }
        let shifts = before.hand.shifts_to(here.hand);
        let touching = note_before.end() >= note.onset;
        let hops = finger == old_finger && !shifts && touching && string.abs_diff(old_string) == 1;
        let fifth = note_before.notes.first().zip(note.notes.first()).is_some_and(|(a, b)| {
            let apart = (a.pitch.midi() - b.pitch.midi()).abs();
            (apart - 7.0).abs() < 0.01
        });
        cues.push(FingerCue {
            note: k + 1,
            string,
            finger,
            hops_from: hops.then_some(old_string),
            across: hops && fifth,
            shifts,
        });
    }
    cues
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        arm::place,
        score::{Event, EventId, Note, NoteValue, Pitch, Quarters, Score, attacks},
        setup::{Family, Positions},
    };

    /// In first position.
    fn cues(midi: &[i32]) -> Vec<FingerCue> {
        let event = |(k, &midi): (usize, &i32)| {
            let notes = vec![Note::new(Pitch::from_midi(midi, false))];
            Event::new(EventId(k as u32), Quarters::from(k as i64), NoteValue::QUARTER, notes).into()
        };
        let score = Score { events: midi.iter().enumerate().map(event).collect(), ..Score::default() };
        let line = attacks(&score);
        let mut setup = Setup::for_family(Family::Violin);
        setup.player.positions = Positions::First;
        finger_cues(&line, &place(&line, &setup))
    }

    /// Common practice, no source: E4 on the D string and B4 on the A string are both a first finger, a
    /// fifth apart, laid across; F sharp 4 to B4 needs another finger set ahead; an open string none.
    #[test]
    fn the_finger_is_told_before_the_crossing() {
        let fifth = cues(&[64, 71]);
        assert_eq!(fifth.len(), 1);
        assert_eq!((fifth[0].string, fifth[0].finger), (2, Finger::First));
        assert_eq!((fifth[0].hops_from, fifth[0].across), (Some(3), true));
        assert_eq!(
            fifth[0].words(&Setup::for_family(Family::Violin)),
            "finger 1 ready on A, laid across from D"
        );
        let fourth = cues(&[66, 71]);
        assert_eq!((fourth[0].finger, fourth[0].hops_from), (Finger::First, None));
        assert_eq!(cues(&[64, 69]), [], "open A");
        assert_eq!(cues(&[64, 66, 67]), [], "no crossing");
    }

    /// Common practice, no source: F natural and B lie under second and first finger; F natural to B
    /// flat are both low, a fourth apart, and one finger would have to hop.
    #[test]
    fn a_finger_that_hops_is_named() {
        let hop = cues(&[64, 70]);
        let words = hop[0].words(&Setup::for_family(Family::Violin));
        assert_eq!((hop[0].hops_from, hop[0].across), (Some(3), false));
        assert!(words.ends_with("it hops over from D"), "{words}");
    }
}
