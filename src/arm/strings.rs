//! Which string each note is played on.
//!
//! Every attack has a few ways to be played: a string for each note head, a place of the hand and
//! the fingers from there. The cheapest way through all of them is found by dynamic programming
//! (Bellman 1957), where string crossings, shifts, stretches and high positions cost.

use std::collections::BTreeMap;

use crate::{
    score::{Attack, Mark, Note, Quarters},
    setup::{Positions, Setup},
};

use super::{
    Plane,
    hand::{Finger, Grip, Hand, NOT_AS_PRINTED, Stop, grips},
    together::problem,
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
/// Highest harmonic, half steps above the open string: the eighth partial. Assumed limit.
const HIGHEST_HARMONIC: f64 = 36.0;
/// Pitches closer than this count as the same, half steps.
pub(super) const SAME_PITCH: f64 = 0.01;

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
                different.push(neck.options(attack));
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

/// One way of playing an attack.
#[derive(Clone, Debug, Default)]
pub(super) struct Fingering {
    /// String of each note head.
    strings: Vec<u8>,
    /// Ways to stop the notes that are not open; empty where all are.
    grips: Vec<Grip>,
    /// Open strings over which another finger is printed.
    not_as_printed: u8,
    /// [`Plane::index`] of the first and the last bow plane.
    entry: u8,
    exit: u8,
}

/// All ways of playing an attack, never none; with a problem there is one guess.
struct Options {
    fingerings: Vec<Fingering>,
    problem: Option<String>,
}

/// What string choice needs of the set-up.
pub(super) struct Neck<'a> {
    pub setup: &'a Setup,
    /// MIDI numbers of the open strings, highest first.
    pub open: Vec<f64>,
    pub reach: f64,
    pub positions: Positions,
}

impl<'a> Neck<'a> {
    pub fn new(setup: &'a Setup) -> Self {
        Self {
            setup,
            open: setup.instrument.strings.iter().map(|string| string.pitch.midi()).collect(),
            reach: f64::from(setup.player.reach_half_steps),
            positions: setup.player.positions,
        }
    }

    /// Height of a note on a string, half steps, where it can be played there.
    fn height(&self, note: &Note, marks: &Marks, string: usize) -> Option<f64> {
        let height = note.pitch.midi() - self.open[string];
        let open = height.abs() < SAME_PITCH;
        let fits = if marks.harmonic || note.harmonic {
            (-SAME_PITCH..=HIGHEST_HARMONIC).contains(&height)
        } else {
            (-SAME_PITCH..=self.reach).contains(&height)
        };
        let must_be_open = marks.open || note.fingers.first().is_some_and(|finger| finger == "0");
        let bound = note.string.is_none_or(|number| usize::from(number) == string + 1);
        let can_be_open =
            must_be_open && self.open.iter().any(|o| (o - note.pitch.midi()).abs() < SAME_PITCH);
        (fits && bound && (open || !can_be_open)).then_some(height)
    }

    /// All strings (counted from 0) on which a note can be played, highest first.
    pub fn strings_of(&self, note: &Note, marks: &Marks) -> Vec<usize> {
        (0..self.open.len()).filter(|&string| self.height(note, marks, string).is_some()).collect()
    }

    /// The highest string (counted from 0) on which the hand takes a note alone.
    pub fn playable_on(&self, note: &Note, marks: &Marks) -> Option<usize> {
        let notes = std::slice::from_ref(note);
        (0..self.open.len()).find(|&string| self.fingering(notes, marks, &[string]).is_some())
    }

    fn options(&self, attack: &Attack) -> Options {
        let marks = Marks {
            open: attack.marks.contains(&Mark::OpenString),
            harmonic: attack.marks.contains(&Mark::Harmonic),
        };
        let fingerings = self.fingerings(&attack.notes, &marks);
        if fingerings.is_empty() {
            let problem = (!attack.notes.is_empty()).then(|| problem(self, &attack.notes, &marks));
            return Options { fingerings: vec![self.guess(&attack.notes)], problem };
        }
        Options { fingerings, problem: None }
    }

    /// All ways of playing the notes together (or broken, from three notes on).
    pub fn fingerings(&self, notes: &[Note], marks: &Marks) -> Vec<Fingering> {
        let count = self.open.len();
        let mut found = Vec::new();
        match notes.len() {
            0 => {}
            1 => found.extend((0..count).filter_map(|s| self.fingering(notes, marks, &[s]))),
            2 => {
                for upper in 0..count.saturating_sub(1) {
                    found.extend(self.fingering(notes, marks, &[upper + 1, upper]));
                    found.extend(self.fingering(notes, marks, &[upper, upper + 1]));
                }
            }
            many => {
                for lowest in many.saturating_sub(1)..count {
                    let strings: Vec<usize> = (0..many).map(|i| lowest - i).collect();
                    found.extend(self.fingering(notes, marks, &strings));
                }
            }
        }
        found
    }

    /// The fingering of notes on these strings (counted from 0), where the hand can take it.
    fn fingering(&self, notes: &[Note], marks: &Marks, strings: &[usize]) -> Option<Fingering> {
        let mut stops = Vec::new();
        let mut not_as_printed = 0;
        for (note, &string) in notes.iter().zip(strings) {
            let height = self.height(note, marks, string)?;
            let printed = note.fingers.first().and_then(|mark| Finger::from_mark(mark));
            if height <= SAME_PITCH {
                not_as_printed += u8::from(printed.is_some_and(|finger| finger != Finger::Open));
            } else {
                // A touched harmonic lies where the finger touches, which the score does not say.
                let is_harmonic = marks.harmonic || note.harmonic;
                let height = if is_harmonic { height.min(self.reach.max(1.0)) } else { height };
                stops.push(Stop { height, string, printed });
            }
        }
        let grips = grips(self.setup.instrument.family, self.positions, &stops);
        if grips.is_empty() && !stops.is_empty() {
            return None;
        }
        let strings = strings.iter().map(|&s| s as u8 + 1).collect();
        Some(Fingering { not_as_printed, ..Fingering::on(strings, grips) })
    }

    /// Something to show for notes that cannot be played: each on a string of its own where the
    /// strings suffice, else on the nearest string.
    fn guess(&self, notes: &[Note]) -> Fingering {
        let count = self.open.len().clamp(1, 6) as u8;
        let mut strings: Vec<u8> = notes
            .iter()
            .map(|note| {
                let below = self.open.iter().position(|open| *open <= note.pitch.midi() + SAME_PITCH);
                note.string.unwrap_or(below.map_or(count, |s| s as u8 + 1)).clamp(1, count)
            })
            .collect();
        for i in 1..strings.len() {
            if strings[i] == strings[i - 1] && notes[i].string.is_none() {
                strings[i] = strings[i].saturating_sub(1).max(1);
            }
        }
        Fingering::on(strings, Vec::new())
    }
}

/// Marks of an attack that bear on the string.
#[derive(Default)]
pub(super) struct Marks {
    pub open: bool,
    pub harmonic: bool,
}

impl Fingering {
    fn on(strings: Vec<u8>, grips: Vec<Grip>) -> Self {
        let planes = planes(&strings);
        let index = |plane: Option<&Plane>| plane.map_or(0, |plane| plane.index() as u8);
        Self { grips, not_as_printed: 0, entry: index(planes.first()), exit: index(planes.last()), strings }
    }
}

/// Bow planes for strings taken together: one string, one pair, or a broken chord from low to high.
/// A chord of four is broken in the middle, two and two; a chord of three shares its middle string
/// (common practice, no source).
pub(super) fn planes(strings: &[u8]) -> Vec<Plane> {
    let mut ordered = strings.to_vec();
    ordered.sort_unstable();
    ordered.dedup();
    let pairs: Vec<Plane> =
        ordered.windows(2).filter(|two| two[1] == two[0] + 1).map(|two| Plane::Pair(two[0])).rev().collect();
    if pairs.is_empty() || pairs.len() + 1 != ordered.len() {
        return ordered.into_iter().rev().map(Plane::String).collect();
    }
    match pairs[..] {
        [low, _, high] => vec![low, high],
        _ => pairs,
    }
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
