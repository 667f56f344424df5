//! Which way each stroke goes: a least-cost way through all strokes of the line.
//!
//! On the string strokes alternate; after a rest, a breath or a tremolo either direction is open. Bow
//! marks on the notes are held. What speaks for and against a direction is weighed by [`Leanings`], and
//! the cheapest way through all strokes is found by dynamic programming, so that a start is chosen for
//! what follows up to the next rest and beyond.
//!
//! Where alternating would turn a passage upside down a player takes two notes in one direction, hooked
//! or with a retake, and so does the cheapest way where that is worth its price. Where bow marks are
//! printed they are taken to say all there is to say: between two rests round a mark strokes alternate as
//! marked.

use crate::{
    score::{Attack, Direction, Mark, Quarters, Score},
    setup::Leanings,
};

/// How a bow is reached from the bow before it, as far as directions go.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Link {
    /// On the string: the other way.
    Turned,
    /// Set again at a retake, or after a tremolo of an even number of strokes: the same way.
    Again,
    /// Free, after a silence of so many quarters.
    Free(Quarters),
    /// Free, where a tremolo left the bow: either way is as good.
    Either,
    /// Nothing comes before it.
    Opening,
}

impl Link {
    /// Both directions are open.
    fn is_free(self) -> bool {
        matches!(self, Self::Free(_) | Self::Either | Self::Opening)
    }
}

/// Notes in one direction: indices of its first and last note into the line, and how it is reached.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bow {
    pub first: usize,
    pub last: usize,
    pub link: Link,
}

const WAYS: [Direction; 2] = [Direction::Down, Direction::Up];

/// The direction of each bow.
pub(super) fn directions(
    score: &Score,
    line: &[Attack],
    bows: &[Bow],
    leanings: &Leanings,
) -> Vec<Direction> {
    let metre = Metre { score, leanings };
    let may_repeat = may_repeat(line, bows);
    // The least cost of all bows so far if the last goes down, and up; and which way the bow before each
    // goes then.
    let mut least = [0.0_f64; 2];
    let mut came: Vec<[usize; 2]> = Vec::with_capacity(bows.len());
    for (bow, may_repeat) in bows.iter().zip(may_repeat) {
        let mark = line[bow.first].bow;
        let own = metre.costs(&line[bow.first..=bow.last], bow.link == Link::Opening);
        let (mut next, mut from) = ([f64::INFINITY; 2], [0; 2]);
        for way in (0..2).filter(|&way| mark.is_none_or(|mark| mark == WAYS[way])) {
            for (before, so_far) in least.into_iter().enumerate() {
                let cost =
                    so_far + own[way] + link_cost(bow.link, before == way, WAYS[way], may_repeat, leanings);
                if cost < next[way] {
                    (next[way], from[way]) = (cost, before);
                }
            }
        }
        least = next;
        came.push(from);
    }
    let mut way = usize::from(least[1] < least[0]);
    let mut ways = Vec::with_capacity(bows.len());
    for from in came.iter().rev() {
        ways.push(WAYS[way]);
        way = from[way];
    }
    ways.reverse();
    ways
}

/// What it costs to reach a bow of this direction, the same `again` as that of the bow before it or the
/// other.
fn link_cost(link: Link, again: bool, way: Direction, may_repeat: bool, leanings: &Leanings) -> f64 {
    let break_cost = match way {
        _ if !may_repeat => f64::INFINITY,
        Direction::Down => leanings.retake_on_string,
        Direction::Up => leanings.hook_on_string,
    };
    match link {
        Link::Opening | Link::Either => 0.0,
        Link::Free(silence) if again => leanings.again_after(silence.to_f64()),
        Link::Turned if again => break_cost,
        Link::Again if !again => break_cost,
        Link::Free(_) | Link::Turned | Link::Again => 0.0,
    }
}

/// For each bow whether alternating may be broken there: between two places where the bow is free, if no
/// mark stands there, everywhere; else only at a mark that comes after another, since the two may
/// contradict each other.
fn may_repeat(line: &[Attack], bows: &[Bow]) -> Vec<bool> {
    let mut may = Vec::with_capacity(bows.len());
    while may.len() < bows.len() {
        let rest = &bows[may.len()..];
        let count = 1 + rest[1..].iter().take_while(|bow| !bow.link.is_free()).count();
        let run = &rest[..count];
        let first_mark = run.iter().position(|bow| line[bow.first].bow.is_some());
        may.extend(run.iter().enumerate().map(|(k, bow)| match first_mark {
            Some(first) => k > first && line[bow.first].bow.is_some(),
            None => bow.link == Link::Turned,
        }));
    }
    may
}

/// How the bow goes on after a tremolo. A measured one has so many strokes that it says itself which
/// way the next goes; an unmeasured one ends where the hand stopped.
///
/// One or two slashes are measured, as eighths and sixteenths; from three on it is unmeasured (common
/// practice, no source).
pub(super) fn after_tremolo(note: &Attack) -> Link {
    let slashes = note.tremolo.unwrap_or(0);
    if !(1..=2).contains(&slashes) {
        return Link::Either;
    }
    // Each flag of the note counts as a slash.
    let flags = (0..6).find(|flags| note.duration >= Quarters::new(1, 1 << flags)).unwrap_or(6);
    let strokes = note.duration * Quarters::from(1 << (flags + u32::from(slashes)));
    match (strokes.denom(), strokes.numer() % 2) {
        (1, 0) => Link::Again,
        (1, _) => Link::Turned,
        _ => Link::Either,
    }
}

/// Weighs directions by the place of a note in its bar, and by its marks.
struct Metre<'a> {
    score: &'a Score,
    leanings: &'a Leanings,
}

impl Metre<'_> {
    /// What a down-bow and an up-bow for these notes cost.
    fn costs(&self, notes: &[Attack], opens: bool) -> [f64; 2] {
        let leanings = self.leanings;
        let (mut down, mut up) = (0.0, 0.0);
        // Grace notes lead to the note that has the beat.
        let first = notes.iter().find(|note| note.grace.is_none()).unwrap_or(&notes[0]);
        match self.place(first) {
            Place::Barline if opens => up += leanings.up_on_barline + leanings.up_on_opening,
            Place::Barline => up += leanings.up_on_barline,
            Place::HalfBar => up += leanings.up_on_half_bar,
            Place::Beat => up += leanings.up_on_beat,
            Place::Off => down += leanings.down_off_beat,
        }
        if self.ends_at_barline(&notes[notes.len() - 1]) {
            down += leanings.down_into_barline;
        }
        if first.marks.contains(&Mark::Sforzando) || first.marks.contains(&Mark::FortePiano) {
            up += leanings.up_on_sforzando;
        } else if first.marks.iter().any(|mark| mark.is_accent()) {
            up += leanings.up_on_accent;
        }
        if first.notes.len() >= 3 {
            up += leanings.up_on_chord;
        }
        [down, up]
    }

    fn place(&self, note: &Attack) -> Place {
        let Some(bar) = self.score.bars.get(note.bar) else { return Place::Off };
        if self.score.starts_bar(note) {
            return Place::Barline;
        }
        let full = bar.time.bar_length().unwrap_or(bar.length);
        let missing = if bar.pickup && full > bar.length { full - bar.length } else { Quarters::ZERO };
        let at = note.onset - bar.start + missing;
        let beat = bar.time.beat();
        let beats = at / beat;
        if beats.denom() != 1 {
            return Place::Off;
        }
        let halves = at + at == full && (full / beat).numer() % 2 == 0;
        if halves { Place::HalfBar } else { Place::Beat }
    }

    fn ends_at_barline(&self, note: &Attack) -> bool {
        let end = note.end();
        let after = self.score.bars.partition_point(|bar| bar.end() < end);
        self.score.bars.get(after).is_some_and(|bar| bar.end() == end)
    }
}

enum Place {
    Barline,
    HalfBar,
    Beat,
    Off,
}
