//! Tests of the string choice. Which string a note is played on in first position is common
//! practice, no source.

use super::*;
use crate::{
    score::{Event, EventId, Grace, Note, NoteValue, Pitch, Quarters, Score, attacks},
    setup::{Family, Positions},
};

/// A line of quarter notes; each inner list is one chord of MIDI numbers.
fn line(chords: &[&[i32]]) -> Vec<Attack> {
    let mut score = Score::default();
    for (i, chord) in chords.iter().enumerate() {
        let notes = chord.iter().map(|&midi| Note::new(Pitch::from_midi(midi, false))).collect();
        let event = Event::new(EventId(i as u32), Quarters::from(i as i64), NoteValue::QUARTER, notes);
        score.events.push(event.into());
    }
    attacks(&score)
}

/// The strings on which a pupil who knows half and first position plays single quarter notes.
fn strings(family: Family, midi: &[i32]) -> Vec<u8> {
    let chords: Vec<&[i32]> = midi.chunks(1).collect();
    let mut setup = Setup::for_family(family);
    setup.player.positions = Positions::First;
    place(&line(&chords), &setup).into_iter().map(|p| p.strings[0]).collect()
}

/// Placements of single notes of one length for an advanced player.
fn advanced(family: Family, length: Quarters, midi: &[i32]) -> Vec<Placement> {
    let chords: Vec<&[i32]> = midi.chunks(1).collect();
    let mut line = line(&chords);
    for (i, attack) in line.iter_mut().enumerate() {
        attack.onset = length * Quarters::from(i as i64);
        attack.duration = length;
    }
    place(&line, &Setup::for_family(family))
}

fn one(family: Family, chord: &[i32]) -> Placement {
    place(&line(&[chord]), &Setup::for_family(family)).remove(0)
}

#[test]
fn a_scale_goes_over_the_strings_in_first_position() {
    let scale = [0, 2, 4, 5, 7, 9, 11, 12, 14, 16, 17, 19, 21, 23, 24];
    for (family, lowest) in [(Family::Violin, 55), (Family::Viola, 48), (Family::Cello, 36)] {
        let midi: Vec<i32> = scale.iter().map(|step| lowest + step).collect();
        assert_eq!(
            strings(family, &midi),
            [4, 4, 4, 4, 3, 3, 3, 3, 2, 2, 2, 2, 1, 1, 1],
            "{}",
            family.word()
        );
    }
    // E major from the open E string of the bass, tuned in fourths.
    let midi = [28, 30, 32, 33, 35, 37, 38, 40, 42, 43, 45];
    assert_eq!(strings(Family::DoubleBass, &midi), [4, 4, 4, 3, 3, 3, 2, 2, 2, 1, 1]);
}

/// Common practice, no source: in first position each string has its open note and the three fingers.
#[test]
fn a_scale_in_first_position_takes_one_finger_after_the_other() {
    let mut setup = Setup::for_family(Family::Violin);
    setup.player.positions = Positions::First;
    let scale: [&[i32]; 8] = [&[62], &[64], &[66], &[67], &[69], &[71], &[73], &[74]];
    let placed = place(&line(&scale), &setup);
    let fingers: Vec<&str> = placed.iter().map(|placement| placement.fingers[0].mark()).collect();
    assert_eq!(fingers, ["0", "1", "2", "3", "0", "1", "2", "3"]);
}

/// Common practice, no source: one finger goes on by a half step, or it shifts with the hand; it does
/// not creep up or down a scale.
#[test]
fn no_finger_creeps_along_a_scale() {
    let major = [0, 2, 4, 5, 7, 9, 11, 12, 14, 16, 17, 19, 21, 23, 24];
    for (family, lowest) in [(Family::Violin, 55), (Family::Viola, 48), (Family::Cello, 36)] {
        for (key, length) in (0..12).flat_map(|key| [(key, Quarters::ONE), (key, Quarters::new(1, 4))]) {
            let up = major.iter().map(|step| lowest + key + step);
            let midi: Vec<i32> = up.clone().chain(up.rev().skip(1)).collect();
            let placed = advanced(family, length, &midi);
            for (three, notes) in placed.windows(3).zip(midi.windows(3)) {
                let crept =
                    three.iter().all(|p| (&p.strings, &p.fingers) == (&three[0].strings, &three[0].fingers));
                assert!(!crept || notes[0] == notes[2], "{}, {notes:?}: {three:?}", family.word());
            }
        }
    }
}

#[test]
fn a_tune_stays_in_first_position_where_it_can() {
    // Up to B4 and down to E4: over the open A string of a viola, not up the D string.
    let midi = [62, 67, 69, 71, 69, 67, 64, 66, 67, 69];
    let found = strings(Family::Viola, &midi);
    assert_eq!(found[..7], [2, 2, 1, 1, 1, 2, 2]);
    // Above first position on the highest string there is no other way than to shift.
    let high = advanced(Family::Violin, Quarters::new(1, 2), &[81, 83, 85, 86, 88, 90]);
    assert!(high.iter().all(|placement| placement.strings == [1]), "{high:?}");
}

/// Counted from recorded performances and annotated fingerings (see [`Taste`]): open strings rather in
/// fast notes than where they last.
#[test]
fn an_advanced_player_takes_open_strings_where_they_pass() {
    let scale = [62, 64, 66, 67, 69, 71, 73, 74, 76, 78, 79, 78, 76, 74, 73, 71, 69, 67, 66, 64, 62];
    let open = |length| {
        let placed = advanced(Family::Violin, length, &scale);
        placed.iter().filter(|placement| placement.fingers == [Finger::Open]).count()
    };
    assert!(open(Quarters::from(2)) < open(Quarters::new(1, 4)));
}

/// Common practice, no source: these tenths are in the hand of an advanced violinist; nearer the nut,
/// on the longer string of the viola and for a player who stays low they are not.
#[test]
fn tenths_are_in_the_hand_of_an_advanced_violinist() {
    for tenth in [[59, 74], [60, 75], [61, 76]] {
        let found = one(Family::Violin, &tenth);
        assert_eq!((found.problem, &found.strings[..]), (None, &[4, 3][..]), "{tenth:?}");
    }
    assert!(one(Family::Violin, &[57, 73]).problem.is_some());
    assert!(one(Family::Viola, &[52, 67]).problem.is_some());
    let mut setup = Setup::for_family(Family::Violin);
    setup.player.reach_half_steps = 12;
    assert!(place(&line(&[&[59, 74]]), &setup)[0].problem.is_some());
}

#[test]
fn open_strings_lie_on_their_own_string() {
    for family in Family::ALL {
        let setup = Setup::for_family(family);
        for (number, string) in setup.instrument.strings.iter().enumerate() {
            let mut line = line(&[&[string.pitch.midi() as i32]]);
            line[0].marks.insert(Mark::OpenString);
            let placement = &place(&line, &setup)[0];
            assert_eq!(placement.strings, [number as u8 + 1]);
            assert_eq!(placement.plane, Plane::String(number as u8 + 1));
        }
    }
}

#[test]
fn a_printed_zero_means_the_open_string() {
    // D4 between notes on the G string of a violin could be a fourth finger; the 0 says open.
    let mut line = line(&[&[60], &[62], &[60]]);
    assert_eq!(place(&line, &Setup::for_family(Family::Violin))[1].strings, [4]);
    line[1].notes[0].fingers.push("0".to_owned());
    assert_eq!(place(&line, &Setup::for_family(Family::Violin))[1].strings, [3]);
}

#[test]
fn a_passage_marked_for_the_g_string_stays_there() {
    let mut line = line(&[&[62], &[64], &[65], &[67], &[65], &[64]]);
    for attack in &mut line {
        attack.notes[0].string = Some(4);
    }
    for placement in place(&line, &Setup::for_family(Family::Violin)) {
        assert_eq!((placement.strings, placement.problem), (vec![4], None));
    }
}

#[test]
fn a_note_marked_for_a_string_that_cannot_play_it_says_where_it_can() {
    let mut line = line(&[&[60]]);
    line[0].notes[0].string = Some(1);
    let placement = &place(&line, &Setup::for_family(Family::Violin))[0];
    assert_eq!(placement.problem.as_deref(), Some("C4 is below the E string; play it on the G string"));
    line[0].notes[0].string = Some(9);
    assert!(place(&line, &Setup::for_family(Family::Violin))[0].problem.is_some());
}

#[test]
fn the_reach_of_the_player_binds() {
    let mut setup = Setup::for_family(Family::Violin);
    let high = line(&[&[76 + 12]]);
    assert_eq!(place(&high, &setup)[0].problem, None);
    setup.player.reach_half_steps = 7;
    assert_eq!(
        place(&high, &setup)[0].problem.as_deref(),
        Some(
            "E6 is more than 7 half steps above the open E string, out of this player's reach; \
             play it an octave lower"
        )
    );
}

/// Common practice, no source: first position of the violin ends with the fourth finger, a fifth above
/// the open string, the third with the fourth finger on the octave's second above it; thumb position
/// of the cello begins where the fourth finger ends.
#[test]
fn the_positions_of_the_player_bind() {
    let with = |family, positions| {
        let mut setup = Setup::for_family(family);
        setup.player.positions = positions;
        setup
    };
    let first = with(Family::Violin, Positions::First);
    let scale: Vec<Vec<i32>> = (55..=83).map(|midi| vec![midi]).collect();
    let chords: Vec<&[i32]> = scale.iter().map(Vec::as_slice).collect();
    for placement in place(&line(&chords), &first) {
        assert_eq!(placement.problem, None);
        assert!(placement.hand.place <= 2, "{placement:?}");
    }
    let free = place(&line(&[&[76 + 12]]), &Setup::for_family(Family::Violin));
    assert_eq!(free[0].problem, None);
    let high = place(&line(&[&[76 + 12]]), &first);
    assert_eq!(
        high[0].problem.as_deref(),
        Some("E6 does not lie under the hand with half and first position; play it an octave lower")
    );
    // D6 in third position; a double stop that needs it.
    let third = with(Family::Violin, Positions::Third);
    assert_eq!(place(&line(&[&[86]]), &third)[0].problem, None);
    let tenth = place(&line(&[&[74, 86]]), &first)[0].problem.clone().unwrap_or_default();
    assert!(tenth.starts_with("D6 does not lie"), "{tenth}");
    let two = place(&line(&[&[79, 82]]), &first)[0].problem.clone().unwrap_or_default();
    assert!(two.starts_with("G5 and A♯5 do not lie under the hand with half and first position"), "{two}");
    let octave = line(&[&[39, 51]]);
    let cello = |positions| place(&octave, &with(Family::Cello, positions))[0].clone();
    assert!(cello(Positions::All).hand.thumb && cello(Positions::All).problem.is_none());
    let without = cello(Positions::WithoutThumb).problem.unwrap_or_default();
    assert!(without.starts_with("D♯2 and D♯3 do not lie under the hand with all but thumb"), "{without}");
}

#[test]
fn pitches_below_the_lowest_string_say_how_far_to_move() {
    for family in Family::ALL {
        let setup = Setup::for_family(family);
        let lowest = &setup.instrument.strings[3];
        let midi = lowest.pitch.midi() as i32;
        assert_eq!(one(family, &[midi]).problem, None);
        let below = one(family, &[midi - 1]);
        let problem = below.problem.expect("below the lowest string");
        assert!(
            problem.ends_with(&format!("below the open {} string; play it an octave higher", lowest.name))
        );
        assert_eq!(below.strings, [4]);
    }
    assert!(one(Family::Violin, &[55 - 13]).problem.is_some_and(|p| p.ends_with("play it 2 octaves higher")));
}

#[test]
fn double_stops_lie_on_neighbouring_strings_inside_the_hand() {
    // Sixth, third, octave and fifth on violin and viola; open fifths on all tuned in fifths.
    for (family, open) in [(Family::Violin, 62), (Family::Viola, 55)] {
        for chord in [[open + 2, open + 11], [open + 5, open + 9], [open + 2, open + 14], [open, open + 7]] {
            let placement = one(family, &chord);
            assert_eq!(placement.problem, None, "{chord:?}");
            assert_eq!(placement.strings[0], placement.strings[1] + 1, "{chord:?}");
            assert_eq!(placement.plane, Plane::Pair(placement.strings[1]));
        }
    }
    // An octave without an open string is beyond a cellist's hand next to the nut (from the whole
    // tone above it the thumb plays it), and beyond a bass player's.
    assert!(one(Family::Cello, &[37, 49]).problem.is_some());
    for low in [38, 50] {
        assert_eq!(one(Family::Cello, &[low, low + 12]).problem, None);
    }
    assert!(one(Family::DoubleBass, &[29, 41]).problem.is_some());
    assert_eq!(one(Family::DoubleBass, &[33, 38]).problem, None, "two open strings");
}

#[test]
fn two_notes_on_far_strings_are_told_and_rolled() {
    // The open G, and a note that only the two highest strings have.
    let placement = one(Family::Violin, &[55, 88]);
    assert_eq!(
        placement.problem.as_deref(),
        Some(
            "G3 and E6 do not lie on neighbouring strings; play E6 an octave lower, \
             or roll it from the lower note to the upper one"
        )
    );
    assert_eq!(placement.planes, [Plane::String(4), Plane::String(1)]);
    // Two notes that only the lowest string has.
    let same = one(Family::Violin, &[56, 58]).problem.expect("one string cannot sound two notes");
    assert!(same.contains("an octave higher") && same.contains("one after another"), "{same}");
}

#[test]
fn chords_are_broken_into_pairs_from_low_to_high() {
    // G major on the violin: open G, open D, B4, G5.
    let four = one(Family::Violin, &[55, 62, 71, 79]);
    assert_eq!((four.strings, four.problem), (vec![4, 3, 2, 1], None));
    assert_eq!(four.planes, [Plane::Pair(3), Plane::Pair(1)]);
    assert_eq!(four.plane, Plane::Pair(1));
    let three = one(Family::Viola, &[48, 55, 64]);
    assert_eq!(three.planes, [Plane::Pair(3), Plane::Pair(2)]);
    let five = one(Family::Viola, &[48, 55, 62, 69, 76]);
    assert!(five.problem.is_some_and(|problem| problem.contains("5 notes on 4 strings")));
    assert_eq!(five.strings.len(), 5);
}

#[test]
fn grace_notes_are_placed_too() {
    let mut line = line(&[&[69], &[71]]);
    line[0].grace = Some(Grace { order: 0, slash: true, after: false });
    line[0].duration = Quarters::ZERO;
    assert_eq!(place(&line, &Setup::for_family(Family::Violin)).len(), 2);
}

#[test]
fn every_note_gets_a_string_whatever_the_input() {
    let mut setup = Setup::for_family(Family::Violin);
    let odd = line(&[&[-40], &[127], &[0, 1, 2, 3, 4, 5, 6, 7], &[60, 60], &[]]);
    for strings in [0, 1, 2, 4] {
        setup.instrument.strings.truncate(4 - strings);
        let placements = place(&odd, &setup);
        assert_eq!(placements.len(), odd.len());
        for (placement, attack) in placements.iter().zip(&odd) {
            assert_eq!(placement.strings.len(), attack.notes.len());
            assert!(placement.planes.contains(&placement.plane) || attack.notes.is_empty());
        }
    }
    assert_eq!(place(&[], &setup), []);
}

#[test]
fn a_long_part_is_placed_the_same_way_twice() {
    let chords: Vec<Vec<i32>> = (0..30_000).map(|i| vec![55 + (i * 7 + i / 11) % 34]).collect();
    let chords: Vec<&[i32]> = chords.iter().map(Vec::as_slice).collect();
    let line = line(&chords);
    let setup = Setup::for_family(Family::Violin);
    let placements = place(&line, &setup);
    assert_eq!(placements, place(&line, &setup));
    assert!(placements.iter().all(|placement| placement.problem.is_none()));
}
