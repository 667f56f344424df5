//! Which string each note is played on.
//!
//! Every attack has a few fingerings (a string for each note head) and hand positions; the cheapest
//! way through all of them is found by dynamic programming (Bellman 1957), where string crossings,
//! shifts of the hand and high positions cost.

use crate::{
    score::{Attack, Mark, Note, Quarters},
    setup::{Family, Setup},
};

use super::Plane;

/// Where an attack is played.
#[derive(Clone, Debug, PartialEq)]
pub struct Placement {
    /// String of each note head, parallel to the notes of the attack; 1 is the highest string.
    pub strings: Vec<u8>,
    /// The bow plane; for a chord that is broken, the plane it ends on.
    pub plane: Plane,
    /// All planes one after another, from low to high; one entry unless the chord is broken.
    pub planes: Vec<Plane>,
    /// Why it cannot be played, and what would work; the strings are then a guess.
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
/// First finger in first position, half steps above the open string: common practice.
const FIRST_POSITION: u8 = 2;
/// Highest harmonic, half steps above the open string: the eighth partial. Assumed limit.
const HIGHEST_HARMONIC: f64 = 36.0;
/// Pitches closer than this count as the same, half steps.
const SAME_PITCH: f64 = 0.01;

/// The strings and bow plane of every attack of a line. The result is parallel to `line` and the
/// same for the same input.
///
/// String marks, fingerings "0" and open-string marks bind; no note lies higher on a string than
/// the player's reach; notes sounding together need neighbouring strings and must lie inside the
/// hand; chords of three and four are broken into pairs.
pub fn place(line: &[Attack], setup: &Setup) -> Vec<Placement> {
    let neck = Neck::new(setup);
    let options: Vec<Options> = line.iter().map(|attack| neck.options(attack)).collect();
    let chosen = cheapest(line, &options, neck.frame);
    options
        .into_iter()
        .zip(chosen)
        .map(|(mut options, choice)| {
            let fingering = options.fingerings.swap_remove(choice);
            let planes = planes(&fingering.strings);
            let plane = planes.last().copied().unwrap_or(Plane::String(1));
            Placement { strings: fingering.strings, plane, planes, problem: options.problem }
        })
        .collect()
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
        && line.len() == other_line.len()
        && line.iter().zip(other_line).all(|(a, b)| alike(a, b))
}

/// One way of playing an attack.
#[derive(Clone, Debug, Default)]
struct Fingering {
    /// String of each note head.
    strings: Vec<u8>,
    /// Lowest and highest stopped finger, half steps above the open string.
    stopped: Option<(f64, f64)>,
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
struct Neck<'a> {
    setup: &'a Setup,
    /// MIDI numbers of the open strings, highest first.
    open: Vec<f64>,
    reach: f64,
    frame: u8,
    span: f64,
}

/// Half steps from first to last finger on one string, and on two strings at the nut. Hand frames
/// are common practice (a fourth on violin and viola, a minor third on the cello, a whole tone on
/// the bass); the spans are assumed.
fn hand(family: Family) -> (u8, f64) {
    match family {
        Family::Violin => (5, 5.5),
        Family::Viola => (5, 5.2),
        // With the thumb: octaves from the whole tone above the nut upward.
        Family::Cello => (3, 4.5),
        Family::DoubleBass => (2, 2.5),
    }
}

impl<'a> Neck<'a> {
    fn new(setup: &'a Setup) -> Self {
        let (frame, span) = hand(setup.instrument.family);
        Self {
            setup,
            open: setup.instrument.strings.iter().map(|string| string.pitch.midi()).collect(),
            reach: f64::from(setup.player.reach_half_steps),
            frame,
            span,
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
    fn strings_of(&self, note: &Note, marks: &Marks) -> Vec<usize> {
        (0..self.open.len()).filter(|&string| self.height(note, marks, string).is_some()).collect()
    }

    fn options(&self, attack: &Attack) -> Options {
        let marks = Marks {
            open: attack.marks.contains(&Mark::OpenString),
            harmonic: attack.marks.contains(&Mark::Harmonic),
        };
        let fingerings = self.fingerings(&attack.notes, &marks);
        if fingerings.is_empty() {
            let problem = (!attack.notes.is_empty()).then(|| self.problem(&attack.notes, &marks));
            return Options { fingerings: vec![self.guess(&attack.notes)], problem };
        }
        Options { fingerings, problem: None }
    }

    /// All ways of playing the notes together (or broken, from three notes on).
    fn fingerings(&self, notes: &[Note], marks: &Marks) -> Vec<Fingering> {
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
        let mut stopped: Option<(f64, f64)> = None;
        for (note, &string) in notes.iter().zip(strings) {
            let height = self.height(note, marks, string)?;
            if height > SAME_PITCH {
                stopped = Some(stopped.map_or((height, height), |(lo, hi)| (lo.min(height), hi.max(height))));
            }
        }
        // Half steps lie closer together up the string, by the twelfth root of two for each one
        // (equal temperament), so the hand spans more of them.
        if let Some((lo, hi)) = stopped
            && hi - lo > (self.span * (lo / 12.0).exp2()).floor()
        {
            return None;
        }
        Some(Fingering::on(strings.iter().map(|&s| s as u8 + 1).collect(), stopped))
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
        Fingering::on(strings, None)
    }

    /// Why the notes cannot be played, and what would work.
    fn problem(&self, notes: &[Note], marks: &Marks) -> String {
        for note in notes {
            if self.fingerings(std::slice::from_ref(note), marks).is_empty() {
                return self.problem_of_one(note, marks);
            }
        }
        let names: Vec<String> = notes.iter().map(|note| note.pitch.name()).collect();
        let names = names.join(" and ");
        if notes.len() > self.open.len() {
            return format!(
                "{names} are {} notes on {} strings; leave out inner notes",
                notes.len(),
                self.open.len()
            );
        }
        let mut remedies = Vec::new();
        let unbound: Vec<Note> = notes.iter().map(|note| Note { string: None, ..note.clone() }).collect();
        if unbound != notes && !self.fingerings(&unbound, marks).is_empty() {
            remedies.push("choose other strings".to_owned());
        }
        for (index, by) in [(notes.len() - 1, -12), (0, 12), (notes.len() - 1, 12), (0, -12)] {
            let mut moved = unbound.clone();
            moved[index].pitch = moved[index].pitch.transposed(by);
            moved.sort_by(|a, b| a.pitch.midi().total_cmp(&b.pitch.midi()));
            if !self.fingerings(&moved, marks).is_empty() {
                let way = if by > 0 { "higher" } else { "lower" };
                remedies.push(format!("play {} an octave {way}", notes[index].pitch.name()));
                break;
            }
        }
        let low = self.strings_of(&notes[0], marks);
        let high = self.strings_of(&notes[notes.len() - 1], marks);
        let some =
            |fits: &dyn Fn(usize, usize) -> bool| low.iter().any(|&a| high.iter().any(|&b| fits(a, b)));
        let apart = notes.len() == 2 && some(&|a, b| a != b);
        if apart {
            remedies.push("roll it from the lower note to the upper one".to_owned());
        } else {
            remedies.push("play the notes one after another".to_owned());
        }
        let why = if some(&|a, b| a.abs_diff(b) + 1 == notes.len()) {
            "lie too far apart for the hand on neighbouring strings"
        } else {
            "do not lie on neighbouring strings"
        };
        format!("{names} {why}; {}", remedies.join(", or "))
    }

    fn problem_of_one(&self, note: &Note, marks: &Marks) -> String {
        let name = note.pitch.name();
        let strings = &self.setup.instrument.strings;
        if let Some(number) = note.string {
            let free = Note { string: None, ..note.clone() };
            if let Some(&other) = self.strings_of(&free, marks).first() {
                let Some(marked) = usize::from(number).checked_sub(1).and_then(|s| strings.get(s)) else {
                    return format!(
                        "{name} is marked for string {number}, which there is not; play it on the {} string",
                        strings[other].name
                    );
                };
                let why = if note.pitch.midi() < marked.pitch.midi() { "below" } else { "out of reach on" };
                return format!(
                    "{name} is {why} the {} string; play it on the {} string",
                    marked.name, strings[other].name
                );
            }
        }
        let works = |by: i32| {
            let pitch = note.pitch.transposed(by);
            let moved = Note { pitch, string: None, fingers: Vec::new(), ..note.clone() };
            !self.strings_of(&moved, marks).is_empty()
        };
        let lowest = strings.last().map_or("lowest", |string| &string.name);
        let highest = strings.first().map_or("highest", |string| &string.name);
        if self.open.last().is_none_or(|open| note.pitch.midi() < open - SAME_PITCH) {
            let by = (1..=10).find(|octaves| works(12 * octaves));
            return format!("{name} is below the open {lowest} string; {}", octaves_words(by, "higher"));
        }
        let by = (1..=10).find(|octaves| works(-12 * octaves));
        format!(
            "{name} is more than {} half steps above the open {highest} string, out of this player's reach; {}",
            self.reach,
            octaves_words(by, "lower")
        )
    }
}

fn octaves_words(octaves: Option<i32>, way: &str) -> String {
    match octaves {
        Some(1) => format!("play it an octave {way}"),
        Some(count) => format!("play it {count} octaves {way}"),
        None => "leave it out".to_owned(),
    }
}

/// Marks of an attack that bear on the string.
struct Marks {
    open: bool,
    harmonic: bool,
}

impl Fingering {
    fn on(strings: Vec<u8>, stopped: Option<(f64, f64)>) -> Self {
        let planes = planes(&strings);
        let index = |plane: Option<&Plane>| plane.map_or(0, |plane| plane.index() as u8);
        Self { stopped, entry: index(planes.first()), exit: index(planes.last()), strings }
    }

    /// Hand positions (places of the first finger) from which the fingers reach: from, to. The
    /// first finger reaches a half step back, as it does for the flat notes of every position.
    fn hands(&self, frame: u8) -> Option<(u8, u8)> {
        let (lo, hi) = self.stopped?;
        let highest = (lo.round() as u8 + 1).max(FIRST_POSITION);
        Some(((hi.round() as u8).saturating_sub(frame).clamp(FIRST_POSITION, highest), highest))
    }
}

/// Bow planes for strings taken together: one string, one pair, or a broken chord from low to high.
/// A chord of four is broken in the middle, two and two; a chord of three shares its middle string
/// (common practice, no source).
fn planes(strings: &[u8]) -> Vec<Plane> {
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

/// A choice at one attack: its fingering and the place of the first finger.
#[derive(Clone, Copy)]
struct State {
    fingering: u16,
    hand: u8,
    /// Cheapest state before it.
    from: u16,
    cost: f64,
}

/// The index of the fingering chosen for every attack: the cheapest way through.
fn cheapest(line: &[Attack], options: &[Options], frame: u8) -> Vec<usize> {
    let mut columns: Vec<Vec<State>> = Vec::with_capacity(options.len());
    let mut hands = vec![FIRST_POSITION];
    let mut end = Quarters::ZERO;
    for (i, Options { fingerings, .. }) in options.iter().enumerate() {
        let ease = if line[i].onset > end { IN_A_REST } else { 1.0 };
        end = line[i].end();
        let mut column = Vec::new();
        for (f, fingering) in fingerings.iter().enumerate() {
            // With nothing stopped the hand may be wherever it was.
            let places: Vec<u8> =
                fingering.hands(frame).map_or_else(|| hands.clone(), |(lo, hi)| (lo..=hi).collect());
            for hand in places {
                let own = if fingering.stopped.is_some() {
                    STOPPED + HEIGHT * f64::from(hand.saturating_sub(FIRST_POSITION))
                } else {
                    0.0
                };
                let (from, cost) = match i.checked_sub(1) {
                    None => (0, shift(FIRST_POSITION, hand) * IN_A_REST),
                    Some(before) => columns[before]
                        .iter()
                        .enumerate()
                        .map(|(s, state)| {
                            let old = &options[before].fingerings[usize::from(state.fingering)];
                            let move_cost = crossing(old.exit, fingering.entry) + shift(state.hand, hand);
                            (s as u16, state.cost + ease * move_cost)
                        })
                        // The first of equals, so that the result never depends on chance.
                        .min_by(|a, b| a.1.total_cmp(&b.1))
                        .unwrap_or((0, 0.0)),
                };
                column.push(State { fingering: f as u16, hand, from, cost: cost + own });
            }
        }
        hands = column.iter().map(|state| state.hand).collect();
        hands.sort_unstable();
        hands.dedup();
        columns.push(column);
    }
    let last = columns.last().map_or(&[][..], Vec::as_slice);
    let best = last.iter().enumerate().min_by(|a, b| a.1.cost.total_cmp(&b.1.cost));
    let mut state = best.map_or(0, |(s, _)| s);
    let mut chosen: Vec<usize> = columns
        .iter()
        .rev()
        .map(|column| {
            let here = column[state];
            state = usize::from(here.from);
            usize::from(here.fingering)
        })
        .collect();
    chosen.reverse();
    chosen
}

fn crossing(from: u8, to: u8) -> f64 {
    let steps = f64::from(from.abs_diff(to));
    CROSSING * steps + SKIPPING * (steps - 2.0).max(0.0)
}

fn shift(from: u8, to: u8) -> f64 {
    if from == to { 0.0 } else { SHIFT.0 + SHIFT.1 * f64::from(from.abs_diff(to)) }
}

#[cfg(test)]
#[path = "strings_tests.rs"]
mod tests;
