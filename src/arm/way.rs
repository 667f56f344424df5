//! The cheapest way over the strings: string, place of the hand and finger of every note.
//!
//! Dynamic programming (Bellman 1957) over the ways in which each attack can be played. A note has some
//! forty of them; going from all of one to all of the next would be sixteen hundred moves. But a move
//! of the hand costs so much for starting and so much for each half step, so that the cheapest way to
//! every place is found by passing once up and once down the string (the distance transform of
//! Felzenszwalb and Huttenlocher 2012); only between hands at rest or a half step apart are the fingers
//! looked at, since there one of them could creep from note to note.

use crate::score::{Attack, Quarters};

use super::{
    Finger, Hand,
    hand::NOT_AS_PRINTED,
    neck::{Fingering, SAME_PITCH},
    taste::Taste,
};

/// Share of the cost of a move left where a rest or breath gives time. Assumed.
const IN_A_REST: f64 = 0.4;
/// A hand strained by this much more than another on the same notes is never taken: a shift is less.
const MOST_STRAIN: f64 = 1.6;
/// Steps in the order of bow planes from a string to its neighbour.
const NEIGHBOUR: u8 = 2;
/// Notes closer than this are a step of a scale apart, half steps.
const STEP: f64 = 2.5;
/// Notes closer than this are a half step apart: one finger glides from one to the other.
const GLIDE: f64 = 1.5;

/// What is chosen for an attack: one of its fingerings, one of the grips of that where something is
/// stopped, and the place of the hand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Choice {
    pub fingering: u16,
    pub grip: Option<u16>,
    pub hand: Hand,
}

/// One way at one attack.
#[derive(Clone, Copy)]
struct State {
    choice: Choice,
    /// First and last bow plane, as in [`Fingering`].
    entry: u8,
    exit: u8,
    /// The finger, where one note is stopped alone.
    single: Option<Finger>,
    /// Cheapest state before it.
    from: u16,
    cost: f64,
}

/// What is known of an attack besides its fingerings.
#[derive(Clone, Copy)]
struct Moment {
    /// A quarter note or longer: then players choose otherwise.
    long: bool,
    /// A sixteenth or shorter.
    fast: bool,
    /// Share of the cost of a move to it.
    ease: f64,
    /// Half steps from the note before, between single notes.
    interval: Option<f64>,
}

impl Moment {
    fn of(note: &Attack, before: Option<&Attack>) -> Self {
        let pitch = |note: &Attack| match &note.notes[..] {
            [alone] => Some(alone.pitch.midi()),
            _ => None,
        };
        let interval = before.and_then(pitch).zip(pitch(note)).map(|(a, b)| (a - b).abs());
        let at_once = before.is_some_and(|before| note.onset <= before.end());
        Self {
            long: note.duration >= Quarters::ONE,
            fast: note.duration <= Quarters::new(1, 4),
            ease: if at_once { 1.0 } else { IN_A_REST },
            interval,
        }
    }
}

/// The choices of an attack, each with its own cost alone, in the order of their hands; where nothing
/// is stopped the hand may be at any of `hands`. Of one fingering, hands that are far more strained
/// than its best are left out.
fn states(fingerings: &[Fingering], hands: &[Hand], moment: Moment, taste: &Taste) -> Vec<State> {
    let mut states = Vec::with_capacity(48);
    for (f, fingering) in fingerings.iter().enumerate() {
        let own = f64::from(fingering.not_as_printed) * NOT_AS_PRINTED;
        let state = |hand, grip, single, cost: f64| State {
            choice: Choice { fingering: f as u16, grip, hand },
            entry: fingering.entry,
            exit: fingering.exit,
            single,
            from: 0,
            cost: own + cost,
        };
        if fingering.grips.is_empty() {
            let open = taste.open.0 + if moment.long { taste.open.1 } else { 0.0 };
            states.extend(hands.iter().map(|&hand| state(hand, None, None, open)));
            continue;
        }
        let on_top = if fingering.entry == 0 && moment.long { taste.long_on_top } else { 0.0 };
        let least = fingering.grips.iter().map(|grip| grip.strain).fold(f64::MAX, f64::min);
        for (g, grip) in fingering.grips.iter().enumerate() {
            if grip.strain > least + MOST_STRAIN {
                continue;
            }
            let single = match grip.fingers[..] {
                [finger] if fingering.strings.len() == 1 => Some(finger),
                _ => None,
            };
            let fourth = if single == Some(Finger::Fourth) { taste.fourth } else { 0.0 };
            let cost = on_top + grip.strain + fourth + taste.place(grip.hand);
            states.push(state(grip.hand, Some(g as u16), single, cost));
        }
    }
    states.sort_by_key(|state| state.choice.hand);
    states
}

/// A cost and the state it comes from.
type Arrival = (f64, u16);
const NONE: Arrival = (f64::INFINITY, 0);

fn take_cheaper(best: &mut Arrival, other: Arrival) {
    // The first of equals, so that the result never depends on chance.
    if other.0 < best.0 {
        *best = other;
    }
}

/// Hands that set out alike: from one bow plane, with or without the thumb, after an open string or not.
struct Departure {
    exit: u8,
    thumb: bool,
    open: bool,
    /// What has been paid with the hand at each place, from the lowest place looked at.
    paid: Vec<Arrival>,
}

/// The states before, sorted out by how their hands set out.
fn departures(before: &[State], lowest: u8, width: usize) -> Vec<Departure> {
    let mut found: Vec<Departure> = Vec::with_capacity(6);
    for (s, old) in before.iter().enumerate() {
        let Choice { hand, grip, .. } = old.choice;
        let (exit, thumb, open) = (old.exit, hand.thumb, grip.is_none());
        let alike = |other: &Departure| (other.exit, other.thumb, other.open) == (exit, thumb, open);
        let index = found.iter().position(alike).unwrap_or_else(|| {
            found.push(Departure { exit, thumb, open, paid: vec![NONE; width] });
            found.len() - 1
        });
        take_cheaper(&mut found[index].paid[usize::from(hand.place - lowest)], (old.cost, s as u16));
    }
    found
}

/// Adds to `found`, for each place, the cheapest way to move the hand there, by a shift.
fn move_hand(from: &Departure, to_thumb: bool, moment: Moment, taste: &Taste, found: &mut [Arrival]) {
    let mut start = if from.open { taste.shift_after_open } else { taste.shift.0 };
    start += if moment.fast { taste.fast_shift } else { 0.0 };
    start += if from.thumb == to_thumb { 0.0 } else { taste.thumb };
    let (start, each) = (moment.ease * start, moment.ease * taste.shift.1);
    let mut run = NONE;
    let mut pass = |place: usize, run: &mut Arrival| {
        run.0 += each;
        take_cheaper(run, from.paid[place]);
        take_cheaper(&mut found[place], (run.0 + start, run.1));
    };
    (0..from.paid.len()).for_each(|place| pass(place, &mut run));
    run = NONE;
    (0..from.paid.len()).rev().for_each(|place| pass(place, &mut run));
}

/// Cost of a crossing to `new` from the bow plane `exit`.
fn crossing(exit: u8, new: &State, moment: Moment, taste: &Taste) -> f64 {
    let at_a_step = exit != new.entry && moment.interval.is_some_and(|interval| interval < STEP);
    taste.crossing(exit, new.entry) + if at_a_step { taste.crossing_at_a_step } else { 0.0 }
}

/// Cost of one finger for both notes, the hand not shifting; on one string that is a glide by a half
/// step, and farther a finger only gets by a shift.
fn same_finger(old: &State, new: &State, moment: Moment, taste: &Taste) -> f64 {
    let interval = moment.interval.unwrap_or(0.0);
    if new.single.is_none() || old.single != new.single || interval < SAME_PITCH {
        return 0.0;
    }
    match old.exit.abs_diff(new.entry) {
        0 if interval < GLIDE => taste.slide,
        0 => f64::INFINITY,
        NEIGHBOUR => taste.across,
        _ => 0.0,
    }
}

/// Cost of the fingers and the hand between hands at rest or a half step apart.
fn without_shift(old: &State, new: &State, moment: Moment, taste: &Taste) -> f64 {
    let adjust = if old.choice.hand == new.choice.hand { 0.0 } else { taste.adjust };
    adjust + same_finger(old, new, moment, taste)
}

/// Adds to each new state the cheapest way to it.
fn arrive(before: &[State], column: &mut [State], moment: Moment, taste: &Taste) {
    let places = || before.iter().chain(&*column).map(|state| state.choice.hand.place);
    let (lowest, highest) = (places().min().unwrap_or(0), places().max().unwrap_or(0));
    let width = usize::from(highest - lowest) + 1;
    let thumbs = 1 + usize::from(column.iter().any(|new| new.choice.hand.thumb));
    // By bow plane before, thumb and place.
    let mut moved: Vec<(u8, Vec<Arrival>)> = Vec::with_capacity(4);
    for from in departures(before, lowest, width) {
        let index = moved.iter().position(|(exit, _)| *exit == from.exit).unwrap_or_else(|| {
            moved.push((from.exit, vec![NONE; thumbs * width]));
            moved.len() - 1
        });
        for (thumb, found) in moved[index].1.chunks_exact_mut(width).enumerate() {
            move_hand(&from, thumb == 1, moment, taste, found);
        }
    }
    let mut first = 0;
    for new in column {
        let hand = new.choice.hand;
        let mut best = NONE;
        for (exit, found) in &moved {
            let (cost, from) = found[usize::from(hand.thumb) * width + usize::from(hand.place - lowest)];
            let crossing = moment.ease * crossing(*exit, new, moment, taste);
            take_cheaper(&mut best, (cost + crossing, from));
        }
        // Both are in the order of their hands.
        let below = |old: &&State| old.choice.hand.place + 1 < hand.place;
        first += before[first..].iter().take_while(below).count();
        let near = before[first..].iter().take_while(|old| old.choice.hand.place <= hand.place + 1);
        for (s, old) in near.enumerate().filter(|(_, old)| !old.choice.hand.shifts_to(hand)) {
            let cost = crossing(old.exit, new, moment, taste) + without_shift(old, new, moment, taste);
            take_cheaper(&mut best, (old.cost + moment.ease * cost, (first + s) as u16));
        }
        new.from = best.1;
        new.cost += if best.0.is_finite() { best.0 } else { 0.0 };
    }
}

/// The cheapest way through the fingerings of every attack of a line.
pub(super) fn cheapest(line: &[Attack], options: &[&[Fingering]], taste: &Taste) -> Vec<Choice> {
    let mut columns: Vec<Vec<State>> = Vec::with_capacity(options.len());
    let mut hands = vec![Hand::FIRST];
    for (i, fingerings) in options.iter().enumerate() {
        let moment = Moment::of(&line[i], i.checked_sub(1).map(|before| &line[before]));
        let mut column = states(fingerings, &hands, moment, taste);
        match columns.last() {
            Some(before) => arrive(before, &mut column, moment, taste),
            None => column.iter_mut().for_each(|state| {
                state.cost += moment.ease * taste.shift(Hand::FIRST, state.choice.hand);
            }),
        }
        hands.clear();
        hands.extend(column.iter().map(|state| state.choice.hand));
        hands.dedup();
        columns.push(column);
    }
    let last = columns.last().map_or(&[][..], Vec::as_slice);
    let best = last.iter().enumerate().min_by(|a, b| a.1.cost.total_cmp(&b.1.cost));
    let mut state = best.map_or(0, |(s, _)| s);
    let mut chosen: Vec<Choice> = columns
        .iter()
        .rev()
        .map(|column| {
            let here = column[state];
            state = usize::from(here.from);
            here.choice
        })
        .collect();
    chosen.reverse();
    chosen
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        arm::neck::{Marks, Neck},
        score::{Event, EventId, Note, NoteValue, Pitch, Score, attacks},
        setup::{Family, Positions, Setup},
    };

    /// All that going from one way to the next costs, as the costs are told.
    fn move_cost(old: &State, new: &State, moment: Moment, taste: &Taste) -> f64 {
        let start = if old.choice.grip.is_none() { taste.shift_after_open } else { taste.shift.0 };
        let hurry = if moment.fast { taste.fast_shift } else { 0.0 };
        let (from, to) = (old.choice.hand, new.choice.hand);
        let thumb = if from.thumb == to.thumb { 0.0 } else { taste.thumb };
        let apart = f64::from(from.place.abs_diff(to.place));
        let shift = start + hurry + thumb + taste.shift.1 * apart;
        let hand = if from.shifts_to(to) { shift } else { shift.min(without_shift(old, new, moment, taste)) };
        moment.ease * (hand + crossing(old.exit, new, moment, taste))
    }

    /// The cost of the cheapest way, every move tried.
    fn least_of_all(line: &[Attack], options: &[&[Fingering]], taste: &Taste) -> f64 {
        let mut before: Vec<State> = Vec::new();
        for (i, fingerings) in options.iter().enumerate() {
            let mut hands: Vec<Hand> = before.iter().map(|state| state.choice.hand).collect();
            hands.dedup();
            let hands = if i == 0 { vec![Hand::FIRST] } else { hands };
            let moment = Moment::of(&line[i], i.checked_sub(1).map(|before| &line[before]));
            let mut column = states(fingerings, &hands, moment, taste);
            for new in &mut column {
                let moves = before.iter().map(|old| old.cost + move_cost(old, new, moment, taste));
                new.cost += match i {
                    0 => moment.ease * taste.shift(Hand::FIRST, new.choice.hand),
                    _ => moves.fold(f64::INFINITY, f64::min),
                };
            }
            before = column;
        }
        before.iter().map(|state| state.cost).fold(f64::INFINITY, f64::min)
    }

    /// The cost of a way that was chosen.
    fn cost_of(line: &[Attack], options: &[&[Fingering]], chosen: &[Choice], taste: &Taste) -> f64 {
        let mut cost = 0.0;
        let mut before: Option<State> = None;
        for (i, choice) in chosen.iter().enumerate() {
            let moment = Moment::of(&line[i], i.checked_sub(1).map(|before| &line[before]));
            let column = states(options[i], &[choice.hand], moment, taste);
            let state = *column.iter().find(|state| state.choice == *choice).expect("it was chosen");
            cost += state.cost
                + before.map_or(moment.ease * taste.shift(Hand::FIRST, choice.hand), |old| {
                    move_cost(&old, &state, moment, taste)
                });
            before = Some(state);
        }
        cost
    }

    /// Passing along the string finds what trying every move finds.
    #[test]
    fn the_way_is_the_cheapest_of_all() {
        let lengths = [Quarters::new(1, 4), Quarters::new(1, 2), Quarters::ONE, Quarters::from(2)];
        for (family, lowest) in [(Family::Violin, 55), (Family::Cello, 36), (Family::DoubleBass, 28)] {
            for positions in [Positions::All, Positions::Third] {
                let mut setup = Setup::for_family(family);
                setup.player.positions = positions;
                let mut score = Score::default();
                let mut at = Quarters::ZERO;
                for i in 0..160_usize {
                    let midi = lowest + [0, 7, 12, 15, 3, 19, 22, 10, 28, 5][(i * i + i / 7) % 10];
                    let mut notes = vec![Note::new(Pitch::from_midi(midi, false))];
                    if i % 13 == 0 {
                        notes.push(Note::new(Pitch::from_midi(midi + 9, false)));
                    }
                    let mut event = Event::new(EventId(i as u32), at, NoteValue::QUARTER, notes);
                    event.duration = lengths[(i * 7 + i / 5) % 4];
                    at = event.end() + if i % 11 == 0 { Quarters::ONE } else { Quarters::ZERO };
                    score.events.push(event.into());
                }
                let line = attacks(&score);
                let neck = Neck::new(&setup);
                let all: Vec<Vec<Fingering>> = line
                    .iter()
                    .map(|attack| match neck.fingerings(&attack.notes, &Marks::default()) {
                        none if none.is_empty() => vec![neck.guess(&attack.notes)],
                        found => found,
                    })
                    .collect();
                let options: Vec<&[Fingering]> = all.iter().map(Vec::as_slice).collect();
                let taste = Taste::of(&setup);
                let chosen = cheapest(&line, &options, taste);
                let (found, least) =
                    (cost_of(&line, &options, &chosen, taste), least_of_all(&line, &options, taste));
                assert!((found - least).abs() < 1e-9, "{}, {positions:?}: {found}, {least}", family.word());
            }
        }
    }
}
