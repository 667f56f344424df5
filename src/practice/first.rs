//! The double stops with which one begins.

use crate::{
    arm::{Hand, together},
    score::{Note, Pitch},
    setup::Setup,
};

/// Half steps of the intervals taken, in the order in which they are learned: sixth, third, octave
/// (common practice, no source).
const INTERVALS: [&[i32]; 3] = [&[9, 8], &[4, 3], &[12]];
/// A major scale, half steps.
const MAJOR: [i32; 7] = [0, 2, 4, 5, 7, 9, 11];
/// Half steps over the open string that first position reaches on any of the instruments.
const REACHED: i32 = 8;

/// First double stops on every pair of strings, from the lowest pair, in the major key of its lower
/// string: one finger beside an open string, then a sixth, a third and an octave, as far as they lie in
/// first position. Every note is bound to its string.
pub fn first_double_stops(setup: &Setup) -> Vec<[Note; 2]> {
    let strings = &setup.instrument.strings;
    let mut found: Vec<[Note; 2]> = Vec::new();
    for upper in (1..strings.len()).rev() {
        let (low, high) = (strings[upper].pitch, strings[upper - 1].pitch);
        let apart = (high.midi() - low.midi()).round() as i32;
        let in_key = |half_steps: i32| MAJOR.contains(&half_steps.rem_euclid(12));
        let held = |(a, b): (i32, i32)| {
            let bound = |pitch: Pitch, string: usize| Note { string: Some(string as u8), ..Note::new(pitch) };
            let pair = [bound(low.transposed(a), upper + 1), bound(high.transposed(b), upper)];
            let found = together(setup, &pair, 1.0);
            let first = found.hand.is_none_or(|hand| hand == Hand::FIRST);
            (found.problem.is_none() && first).then_some(pair)
        };
        found.extend((1..REACHED).filter(|&b| in_key(apart + b)).find_map(|b| held((0, b))));
        for wanted in INTERVALS {
            let all = (0..REACHED).flat_map(|a| (0..REACHED).map(move |b| (a, b)));
            let fits = |&(a, b): &(i32, i32)| {
                wanted.contains(&(apart + b - a)) && in_key(a) && in_key(apart + b) && a + b > 0
            };
            // Both stopped before one of them open, low fingers first.
            let mut pairs: Vec<(i32, i32)> = all.filter(fits).collect();
            pairs.sort_by_key(|&(a, b)| (a == 0 || b == 0, a + b));
            found.extend(pairs.into_iter().find_map(held).filter(|pair| !found.contains(pair)));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        analysis::analyse,
        bowing::Verdict,
        lesson::change::new_passage,
        practice::{MOST_DOUBLE_STOPS, double_stop_ladder},
        score::TimeSignature,
        setup::{Catalogue, Family},
    };

    /// Common practice, no source: in first position of the violin on G and D: one finger E beside the
    /// open G; the sixth A and F sharp, the third C and E, the octave of A.
    #[test]
    fn the_first_double_stops_of_the_violin_are_the_usual_ones() {
        let stops = first_double_stops(&Setup::for_family(Family::Violin));
        let names = |pair: &[Note; 2]| pair.each_ref().map(|note| note.pitch.name()).join(" ");
        let lowest: Vec<String> = stops.iter().filter(|pair| pair[1].string == Some(3)).map(names).collect();
        assert_eq!(lowest, ["G3 E4", "A3 F♯4", "C4 E4", "A3 A4"]);
    }

    #[test]
    fn every_instrument_and_player_has_some_on_every_pair_and_can_play_their_ladder() {
        for family in Family::ALL {
            for player in &Catalogue::builtin().players {
                let mut lesson = new_passage(family, TimeSignature::new(4, 4), 0, 60.0);
                lesson.setup.player = player.clone();
                let name = format!("{} {}", player.name, family.word());
                let stops = first_double_stops(&lesson.setup);
                assert!(stops.len() <= MOST_DOUBLE_STOPS, "{name}");
                for upper in 1..4 {
                    let on_pair = stops.iter().filter(|pair| pair[1].string == Some(upper)).count();
                    assert!(on_pair >= 2, "{name}: {on_pair} on pair {upper}");
                }
                let exercise = double_stop_ladder(&lesson, &stops).expect(&name);
                let analysis = analyse(&exercise);
                assert!(analysis.left_hand.placements.iter().all(|place| place.problem.is_none()), "{name}");
                let bad = analysis.findings.told.iter().find(|finding| finding.verdict <= Verdict::RunsOut);
                assert_eq!(bad, None, "{name}");
            }
        }
    }
}
