//! Which string each note is played on.
//!
//! Every attack has a few ways to be played: a string for each note head, a place of the hand and
//! the fingers from there. The cheapest way through all of them is taken, as a player weighs
//! crossings, shifts, stretches, open strings and positions.

use std::collections::BTreeMap;

use crate::{
    score::{Attack, Mark},
    setup::Setup,
};

use super::{
    Plane,
    hand::{Finger, Hand},
    neck::{Fingering, Marks, Neck, SAME_PITCH, planes},
    position::Position,
    refused::problem,
    taste::Taste,
    way::{Choice, cheapest},
};

/// Where an attack is played.
#[derive(Clone, Debug, PartialEq)]
pub struct Placement {
    /// String of each note head, parallel to the notes of the attack; 1 is the highest string.
    pub strings: Vec<u8>,
    /// The bow plane; for a chord that is broken, the plane it ends on.
    pub plane: Plane,
    /// All planes one after another, from low to high; one entry unless the chord is broken.
    pub planes: Vec<Plane>,
    /// Finger of each note head, parallel to the notes of the attack.
    pub fingers: Vec<Finger>,
    /// Where the hand is; where nothing is stopped, where it was.
    pub hand: Hand,
    /// The position the player would name; none where nothing is stopped.
    pub position: Option<Position>,
    /// Why it cannot be played, and what would work; the strings and fingers are then a guess.
    pub problem: Option<String>,
}

/// The strings and bow plane of every attack of a line. The result is parallel to `line` and the
/// same for the same input.
///
/// String marks, fingerings "0" and open-string marks bind; no note lies higher on a string than
/// the player's reach, and the hand only in the player's positions; notes sounding together need
/// neighbouring strings and must lie inside the hand; chords of three and four are broken into pairs.
pub fn place(line: &[Attack], setup: &Setup) -> Vec<Placement> {
    let neck = Neck::new(setup);
    // Music repeats its notes: each different attack is looked at once.
    let mut known: BTreeMap<Key, usize> = BTreeMap::new();
    let mut different: Vec<Options> = Vec::new();
    let which: Vec<usize> = line
        .iter()
        .map(|attack| {
            *known.entry(key(attack)).or_insert_with(|| {
                different.push(Options::of(&neck, attack));
                different.len() - 1
            })
        })
        .collect();
    let options: Vec<&Options> = which.iter().map(|&index| &different[index]).collect();
    let ways: Vec<&[Fingering]> = options.iter().map(|options| &options.fingerings[..]).collect();
    let chosen = cheapest(line, &ways, Taste::of(setup));
    let placed = line.iter().zip(options).zip(chosen);
    placed.map(|((attack, options), choice)| placement(&neck, attack, options, choice)).collect()
}

/// A choice spelled out.
fn placement(neck: &Neck, attack: &Attack, options: &Options, choice: Choice) -> Placement {
    let fingering = &options.fingerings[usize::from(choice.fingering)];
    let planes = planes(&fingering.strings);
    let mut stopped = choice.grip.map_or(&[][..], |grip| &fingering.grips[usize::from(grip)].fingers).iter();
    let mut position = None;
    let heads = attack.notes.iter().zip(&fingering.strings);
    let fingers = heads.map(|(note, &string)| {
        let open = neck.setup.instrument.strings.get(usize::from(string).saturating_sub(1));
        let Some(open) = open.filter(|open| note.pitch.midi() - open.pitch.midi() > SAME_PITCH) else {
            return Finger::Open;
        };
        let finger = stopped.next().copied().unwrap_or(Finger::First);
        position.get_or_insert_with(|| {
            let letters = note.pitch.staff_step() - open.pitch.staff_step();
            let height = note.pitch.midi() - open.pitch.midi();
            choice.hand.position_of(neck.setup.instrument.family, finger, height, letters)
        });
        finger
    });
    let fingers = fingers.collect();
    Placement {
        strings: fingering.strings.clone(),
        plane: planes.last().copied().unwrap_or(Plane::String(1)),
        planes,
        fingers,
        hand: choice.hand,
        position,
        problem: options.problem.clone(),
    }
}

/// All ways of playing an attack, never none; with a problem there is one guess.
struct Options {
    fingerings: Vec<Fingering>,
    problem: Option<String>,
}

impl Options {
    fn of(neck: &Neck, attack: &Attack) -> Self {
        let marks = Marks {
            open: attack.marks.contains(&Mark::OpenString),
            harmonic: attack.marks.contains(&Mark::Harmonic),
        };
        let fingerings = neck.fingerings(&attack.notes, &marks);
        if fingerings.is_empty() {
            let problem = (!attack.notes.is_empty()).then(|| problem(neck, &attack.notes, &marks));
            return Self { fingerings: vec![neck.guess(&attack.notes)], problem };
        }
        Self { fingerings, problem: None }
    }
}

/// All of an attack that its options depend on: marks, and of each note pitch and spelling, string,
/// harmonic and finger.
type Key = (bool, bool, Vec<(i64, i32, Option<u8>, bool, Option<String>)>);

fn key(attack: &Attack) -> Key {
    let notes = attack.notes.iter().map(|note| {
        let hundredths = (note.pitch.midi() * 100.0).round() as i64;
        let printed = note.fingers.first().cloned();
        (hundredths, note.pitch.staff_step(), note.string, note.harmonic, printed)
    });
    let heard = |mark| attack.marks.contains(&mark);
    (heard(Mark::OpenString), heard(Mark::Harmonic), notes.collect())
}

/// True when [`place`] gives the same for both: nothing it reads differs.
pub fn places_alike((line, setup): (&[Attack], &Setup), (other_line, other): (&[Attack], &Setup)) -> bool {
    let heard = |attack: &Attack, mark| attack.marks.contains(&mark);
    let alike = |a: &Attack, b: &Attack| {
        (a.onset, a.duration) == (b.onset, b.duration)
            && a.notes == b.notes
            && [Mark::OpenString, Mark::Harmonic].iter().all(|&mark| heard(a, mark) == heard(b, mark))
    };
    setup.instrument == other.instrument
        && setup.player.reach_half_steps == other.player.reach_half_steps
        && setup.player.positions == other.player.positions
        && line.len() == other_line.len()
        && line.iter().zip(other_line).all(|(a, b)| alike(a, b))
}

#[cfg(test)]
#[path = "strings_tests.rs"]
mod tests;
