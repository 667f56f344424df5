//! Which string each note is played on.
//!
//! Every attack has a few ways to be played: a string for each note head, a place of the hand and
//! the fingers from there. The cheapest way through all of them is found by dynamic programming
//! (Bellman 1957), where string crossings, shifts, stretches and high positions cost.

use std::collections::BTreeMap;

use crate::{
    score::{Attack, Mark, Quarters},
    setup::Setup,
};

use super::{
    Plane,
    hand::{Finger, Hand, NOT_AS_PRINTED},
    neck::{Fingering, Marks, Neck, SAME_PITCH, planes},
    refused::problem,
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
    /// Why it cannot be played, and what would work; the strings and fingers are then a guess.
    pub problem: Option<String>,
}

/// Cost of a crossing, for each step in the order of bow planes (two steps from string to
/// neighbouring string). Assumed, as are all costs here: they only rank, and keep a line in first
/// position over the strings rather than up one string.
const CROSSING: f64 = 0.25;
/// Added for each step beyond the neighbouring string.
const SKIPPING: f64 = 0.15;
/// Cost of a shift, and of each half step of it.
const SHIFT: (f64, f64) = (1.0, 0.08);
/// Share of the cost left where a rest or breath gives time.
const IN_A_REST: f64 = 0.4;
/// Cost of each half step above first position, and of a stopped note against an open string.
const HEIGHT: f64 = 0.03;
const STOPPED: f64 = 0.05;
/// One finger sliding to the next note on its string, and the thumb coming up or going back.
const SLIDE: f64 = 0.15;
const THUMB_CHANGE: f64 = 0.3;
/// A hand strained by this much more than another on the same notes is never taken: a shift is less.
const MOST_STRAIN: f64 = 1.6;
/// The strings and bow plane of every attack of a line. The result is parallel to `line` and the
/// same for the same input.
///
/// String marks, fingerings "0" and open-string marks bind; no note lies higher on a string than
/// the player's reach, and the hand only in the player's positions; notes sounding together need neighbouring strings and must lie inside the
/// hand; chords of three and four are broken into pairs.
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
    let chosen = cheapest(line, &options);
    line.iter()
        .zip(options)
        .zip(chosen)
        .map(|((attack, options), (choice, hand))| {
            let fingering = &options.fingerings[choice];
            let planes = planes(&fingering.strings);
            let grip = fingering.grips.iter().find(|grip| grip.hand == hand);
            let mut stopped = grip.map_or(&[][..], |grip| &grip.fingers).iter();
            let fingers = attack
                .notes
                .iter()
                .zip(&fingering.strings)
                .map(|(note, &string)| {
                    let open = neck.open.get(usize::from(string).saturating_sub(1));
                    let is_open = open.is_none_or(|open| note.pitch.midi() - open <= SAME_PITCH);
                    if is_open { Finger::Open } else { stopped.next().copied().unwrap_or(Finger::First) }
                })
                .collect();
            Placement {
                strings: fingering.strings.clone(),
                plane: planes.last().copied().unwrap_or(Plane::String(1)),
                planes,
                fingers,
                hand,
                problem: options.problem.clone(),
            }
        })
        .collect()
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

/// A choice at one attack.
#[derive(Clone, Copy)]
struct State {
    fingering: u16,
    hand: Hand,
    /// First and last bow plane, as in [`Fingering`].
    entry: u8,
    exit: u8,
    /// A number for string and finger, where there is one note, and it is stopped; else 0.
    single: u8,
    /// Cheapest state before it.
    from: u16,
    cost: f64,
}

impl State {
    /// The choices of an attack, each with its own cost alone. Of one fingering, hands that are far
    /// more strained than its best are left out.
    fn all(fingerings: &[Fingering], hands: &[Hand]) -> Vec<Self> {
        let mut states = Vec::new();
        for (f, fingering) in fingerings.iter().enumerate() {
            let other = f64::from(fingering.not_as_printed) * NOT_AS_PRINTED;
            let state = |hand: Hand, single, cost: f64| Self {
                fingering: f as u16,
                hand,
                entry: fingering.entry,
                exit: fingering.exit,
                single,
                from: 0,
                cost: cost + other,
            };
            // With nothing stopped the hand may be wherever it was.
            if fingering.grips.is_empty() {
                states.extend(hands.iter().map(|&hand| state(hand, 0, 0.0)));
                continue;
            }
            let least = fingering.grips.iter().map(|grip| grip.strain).fold(f64::MAX, f64::min);
            for grip in fingering.grips.iter().filter(|grip| grip.strain <= least + MOST_STRAIN) {
                let single = match (&fingering.strings[..], &grip.fingers[..]) {
                    (&[string], &[finger]) => 8 * string.min(30) + finger as u8,
                    _ => 0,
                };
                let high = f64::from(grip.hand.place.saturating_sub(Hand::FIRST.place));
                states.push(state(grip.hand, single, STOPPED + grip.strain + HEIGHT * high));
            }
        }
        states
    }
}

/// The fingering chosen for every attack, by its index, and the place of the hand: the cheapest way
/// through.
fn cheapest(line: &[Attack], options: &[&Options]) -> Vec<(usize, Hand)> {
    let mut columns: Vec<Vec<State>> = Vec::with_capacity(options.len());
    let mut hands = vec![Hand::FIRST];
    let mut end = Quarters::ZERO;
    for (i, options) in options.iter().enumerate() {
        let ease = if line[i].onset > end { IN_A_REST } else { 1.0 };
        end = line[i].end();
        let mut column = State::all(&options.fingerings, &hands);
        let repeats =
            i > 0 && line[i - 1].notes.first().map(|n| n.pitch) == line[i].notes.first().map(|n| n.pitch);
        for state in &mut column {
            let Some(before) = columns.last() else {
                state.cost += shift(Hand::FIRST, state.hand) * IN_A_REST;
                continue;
            };
            let mut best = (0, f64::INFINITY);
            for (s, old) in before.iter().enumerate() {
                let mut moves = crossing(old.exit, state.entry);
                if old.hand != state.hand {
                    moves += shift(old.hand, state.hand);
                } else if !repeats && state.single != 0 && old.single == state.single {
                    moves += SLIDE;
                }
                let cost = old.cost + ease * moves;
                // The first of equals, so that the result never depends on chance.
                if cost < best.1 {
                    best = (s as u16, cost);
                }
            }
            state.from = best.0;
            state.cost += if best.1.is_finite() { best.1 } else { 0.0 };
        }
        hands = column.iter().map(|state| state.hand).collect();
        hands.sort_unstable();
        hands.dedup();
        columns.push(column);
    }
    let last = columns.last().map_or(&[][..], Vec::as_slice);
    let best = last.iter().enumerate().min_by(|a, b| a.1.cost.total_cmp(&b.1.cost));
    let mut state = best.map_or(0, |(s, _)| s);
    let mut chosen: Vec<(usize, Hand)> = columns
        .iter()
        .rev()
        .map(|column| {
            let here = column[state];
            state = usize::from(here.from);
            (usize::from(here.fingering), here.hand)
        })
        .collect();
    chosen.reverse();
    chosen
}

fn crossing(from: u8, to: u8) -> f64 {
    let steps = f64::from(from.abs_diff(to));
    CROSSING * steps + SKIPPING * (steps - 2.0).max(0.0)
}

fn shift(from: Hand, to: Hand) -> f64 {
    let thumb = if from.thumb == to.thumb { 0.0 } else { THUMB_CHANGE };
    let places = f64::from(from.place.abs_diff(to.place));
    if from == to { 0.0 } else { SHIFT.0 + SHIFT.1 * places + thumb }
}

#[cfg(test)]
#[path = "strings_tests.rs"]
mod tests;
