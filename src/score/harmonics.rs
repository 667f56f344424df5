//! Harmonics as they are printed, with two or three heads for one sound on one string.
//!
//! A string touched at a node sounds the partial of that node: touched a fourth above the stopped
//! note the fourth partial (two octaves), a fifth the third (octave and fifth), a major third the
//! fifth (two octaves and a third), a minor third the sixth (two octaves and a fifth). These are
//! facts of the vibrating string, rounded to half steps. That the touched place is a diamond and
//! what sounds may stand above it is common practice, no source.

use super::Note;

/// Half steps from the stopped note to the touched place, and to what sounds.
const NODES: [(i32, i32); 4] = [(3, 31), (4, 28), (5, 24), (7, 19)];
/// What sounds at least so many half steps above the touched place is no double stop with it. Assumed: a hand spans
/// an octave on two strings.
const FAR_RISE: i32 = 19;
/// More nodes, on which only an open string is touched.
const FAR_NODES: [(i32, i32); 2] = [(9, 28), (16, 28)];

/// The notes of one voice with every harmonic as one head: what the finger stops, or where it
/// touches an open string.
pub(super) fn one_head_each(notes: &[Note]) -> Vec<Note> {
    let half_steps = |low: &Note, high: &Note| (high.pitch.midi() - low.pitch.midi()).round() as i32;
    let mut kept = notes.to_vec();
    for touched in notes.iter().filter(|note| note.harmonic) {
        let plain = |note: &&Note| !note.harmonic;
        let stopped = notes
            .iter()
            .filter(plain)
            .find(|low| NODES.iter().any(|node| half_steps(low, touched) == node.0))
            .map(|low| low.pitch);
        if let Some(pitch) = stopped {
            kept.retain(|note| note.pitch != touched.pitch);
            kept.iter_mut().filter(|note| note.pitch == pitch).for_each(|note| note.harmonic = true);
            continue;
        }
        let rises = |(to_touch, to_sound)| to_sound - to_touch;
        let all = || NODES.into_iter().chain(FAR_NODES).map(rises);
        let sounding = |octaves: i32| {
            let over = |note: &&Note| all().any(|rise| half_steps(touched, note) == rise - 12 * octaves);
            notes.iter().filter(plain).find(over).map(|note| note.pitch)
        };
        // Under an octave line the touched head is often an octave too high.
        let fifth = || sounding(1).filter(|high| (high.midi() - touched.pitch.midi()).round() == 7.0);
        // So far above the touched head no finger of the same hand stops a note: it is what sounds, and the touched
        // head lacks an accidental.
        let far = || {
            let near = |high: &Note| {
                let off = |rise: i32| half_steps(touched, high) - rise;
                all().filter(|rise| *rise >= FAR_RISE).map(off).find(|off| off.abs() == 1)
            };
            notes.iter().filter(plain).find_map(|high| Some((high.pitch, near(high)?)))
        };
        let (high, lower) = match (sounding(0), fifth()) {
            (Some(high), _) => (high, 0),
            (None, Some(high)) => (high, -12),
            (None, None) => match far() {
                Some(far) => far,
                None => continue,
            },
        };
        kept.retain(|note| note.pitch != high);
        for note in kept.iter_mut().filter(|note| note.pitch == touched.pitch) {
            note.pitch = note.pitch.transposed(lower);
        }
    }
    without_sounding(kept)
}

/// Leaves out the heads that only tell what a harmonic sounds like, where they come from another
/// voice than the stopped note.
pub(super) fn without_sounding(mut notes: Vec<Note>) -> Vec<Note> {
    let at = |low: &Note, rise: i32, high: &Note| {
        (high.pitch.midi() - low.pitch.midi() - f64::from(rise)).abs() < 0.01
    };
    let all = notes.clone();
    for low in &all {
        let told_by = |node: &&(i32, i32)| {
            let high = all.iter().find(|high| at(low, node.1, high));
            let touched = all.iter().any(|touched| at(low, node.0, touched));
            high.is_some_and(|high| low.harmonic || high.harmonic && touched)
        };
        let Some(&(to_touch, to_sound)) = NODES.iter().find(told_by) else { continue };
        notes.retain(|note| !at(low, to_sound, note) && (low.harmonic || !at(low, to_touch, note)));
        notes.iter_mut().filter(|note| note.pitch == low.pitch).for_each(|note| note.harmonic = true);
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::Pitch;

    /// Heads as (MIDI number, diamond).
    fn folded(heads: &[(i32, bool)]) -> Vec<(i32, bool)> {
        let note =
            |&(midi, harmonic): &(i32, bool)| Note { harmonic, ..Note::new(Pitch::from_midi(midi, false)) };
        let notes: Vec<Note> = heads.iter().map(note).collect();
        let told = |note: &Note| (note.pitch.midi() as i32, note.harmonic);
        one_head_each(&notes).iter().map(told).collect()
    }

    /// A node divides the string in whole parts: the stopped length over the touched length is
    /// (n - 1) / n, and the partial sounds n times the pitch (a fact of the vibrating string).
    #[test]
    fn the_nodes_are_those_of_the_string() {
        let half_steps = |ratio: f64| (12.0 * ratio.log2()).round() as i32;
        for (node, partial) in NODES.into_iter().zip([6.0, 5.0, 4.0, 3.0]) {
            assert_eq!(node, (half_steps(partial / (partial - 1.0)), half_steps(partial)));
        }
        for (node, parts) in FAR_NODES.into_iter().zip([3.0, 2.0]) {
            assert_eq!(node, (half_steps(5.0 / parts), half_steps(5.0)));
        }
    }

    /// Common practice, no source: how harmonics are printed.
    #[test]
    fn a_harmonic_in_two_or_three_heads_is_one() {
        // Stopped and touched; the same with what sounds.
        assert_eq!(folded(&[(63, false), (68, true)]), [(63, true)]);
        assert_eq!(folded(&[(63, false), (68, true), (87, false)]), [(63, true)]);
        // Touched and sounding: on the A string of a violin a fourth above the open string.
        assert_eq!(folded(&[(74, true), (93, false)]), [(74, true)]);
        // The touched head under an octave line with its sound.
        assert_eq!(folded(&[(81, true), (88, false)]), [(69, true)]);
        // The touched head without the natural that its key wants: a fourth above the open D string.
        assert_eq!(folded(&[(68, true), (86, false)]), [(67, true)]);
        // Two at once, touched at the fifth.
        assert_eq!(folded(&[(63, false), (70, true)]), [(63, true)]);
    }

    #[test]
    fn other_notes_stay() {
        for heads in [&[(62, false), (69, false)][..], &[(60, false), (79, false)], &[(74, true)], &[]] {
            assert_eq!(folded(heads), heads);
        }
        // A double stop of two harmonics, and a harmonic over a note that is no part of it.
        assert_eq!(folded(&[(62, true), (69, true)]), [(62, true), (69, true)]);
        assert_eq!(folded(&[(62, false), (70, true)]), [(62, false), (70, true)]);
    }

    #[test]
    fn what_sounds_in_another_voice_is_left_out() {
        let note = |midi, harmonic| Note { harmonic, ..Note::new(Pitch::from_midi(midi, false)) };
        let left = |notes: &[Note]| -> Vec<i32> {
            without_sounding(notes.to_vec()).iter().map(|note| note.pitch.midi() as i32).collect()
        };
        assert_eq!(left(&[note(63, true), note(70, true), note(82, false), note(89, false)]), [63, 70]);
        assert_eq!(left(&[note(68, false), note(73, false), note(92, true)]), [68]);
        assert_eq!(left(&[note(55, false), note(62, false), note(74, false)]), [55, 62, 74]);
    }
}
