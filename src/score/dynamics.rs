//! How loud: dynamic marks and hairpins, resolved to a level at any moment.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};
use strum::{EnumCount, VariantArray};

use super::{Quarters, Score, SignKind, variants, words::folded};

/// Dynamic levels, softest first. The number of a level is its place: ppp 0 ... fff 7.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, EnumCount, VariantArray,
)]
#[expect(missing_docs, reason = "the marks are the names")]
pub enum Dynamic {
    Ppp,
    Pp,
    P,
    Mp,
    Mf,
    F,
    Ff,
    Fff,
}

impl Dynamic {
    /// All levels, softest first.
    pub const ALL: [Self; Self::COUNT] = variants(Self::VARIANTS);

    /// Level where a score gives none. Assumed; shown as such.
    pub const DEFAULT: Self = Self::Mf;

    /// The mark as printed.
    pub fn mark(self) -> &'static str {
        ["ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"][self as usize]
    }

    /// The level of a printed mark; marks beyond three letters count as the outermost.
    pub fn from_mark(mark: &str) -> Option<Self> {
        match mark {
            "pppp" | "ppppp" | "pppppp" | "n" => Some(Self::Ppp),
            "ffff" | "fffff" | "ffffff" => Some(Self::Fff),
            _ => Self::ALL.into_iter().find(|level| level.mark() == mark),
        }
    }

    /// One level softer or louder, held at the ends.
    pub fn stepped(self, steps: i32) -> Self {
        Self::ALL[(self as i32 + steps).clamp(0, 7) as usize]
    }
}

/// A hairpin: from, until, whether it opens, whether from or to nothing.
type Hairpin = (Quarters, Quarters, bool, bool);

/// The level marks, one at a place, and the hairpins, in order.
fn levels_and_hairpins(score: &Score) -> (Vec<(Quarters, Dynamic)>, Vec<Hairpin>) {
    let mut marks: Vec<(Quarters, Dynamic)> = Vec::new();
    let mut hairpins: Vec<Hairpin> = Vec::new();
    let mut words: Vec<SwellWords> = Vec::new();
    for sign in &score.signs {
        match sign.kind {
            SignKind::Dynamic(level) => marks.push((sign.at, level)),
            SignKind::Hairpin { opens, end, niente } => {
                if end > sign.at {
                    hairpins.push((sign.at, end, opens, niente));
                }
            }
            SignKind::Words(ref text) => {
                if let Some(opens) = swells(text) {
                    words.push((sign.at, opens, folded(text).iter().any(|word| word == "niente")));
                }
            }
            SignKind::Tempo { .. }
            | SignKind::Rehearsal(_)
            | SignKind::Clef(_)
            | SignKind::OctaveLine { .. } => {}
        }
    }
    marks.sort_by_key(|(at, _)| *at);
    // Of several at one place the last counts.
    marks.reverse();
    marks.dedup_by_key(|(at, _)| *at);
    marks.reverse();
    hairpins.sort_by_key(|(from, ..)| *from);
    words.sort_by_key(|(at, ..)| *at);
    let hairpins = with_words(score, &marks, hairpins, &words);
    (marks, hairpins)
}

/// The marks, with the usual level where a movement begins without one: what the movement before ended with says
/// nothing of it. Of each whether a movement begins there, to which no hairpin leads.
fn with_movements(score: &Score, marks: &[(Quarters, Dynamic)]) -> Vec<(Quarters, Dynamic, bool)> {
    let sections = score.bar_sections();
    let begins = (1..score.bars.len()).filter(|&bar| sections[bar] != sections[bar - 1]);
    let starts: BTreeSet<Quarters> = begins.map(|bar| score.bars[bar].start).collect();
    let marked = |at: &Quarters| marks.binary_search_by_key(at, |(at, _)| *at).is_ok();
    let unmarked = starts.iter().filter(|at| !marked(at)).map(|at| (*at, Dynamic::DEFAULT, true));
    let marked = marks.iter().map(|(at, mark)| (*at, *mark, starts.contains(at)));
    let mut levels: Vec<_> = marked.chain(unmarked).collect();
    levels.sort_by_key(|(at, ..)| *at);
    levels
}

/// Words that grow or fade: where they stand, whether they grow, whether to or from nothing.
type SwellWords = (Quarters, bool, bool);

/// The hairpins with those that stand in words. Words hold up to the next dynamic mark, the next hairpin
/// or words the other way, or the end of the movement (common practice, no source). Words inside a hairpin
/// or dashes only name it; a hairpin the same way that follows words goes on with them.
fn with_words(
    score: &Score,
    marks: &[(Quarters, Dynamic)],
    hairpins: Vec<Hairpin>,
    words: &[SwellWords],
) -> Vec<Hairpin> {
    if words.is_empty() {
        return hairpins;
    }
    let sections = score.bar_sections();
    let movement_end = |at: Quarters| {
        let section = score.bar_at(at).and_then(|bar| sections.get(bar));
        let last = sections.partition_point(|other| section.is_some_and(|section| other <= section));
        last.checked_sub(1).map_or(score.end(), |last| score.bars[last].end())
    };
    let mut all = Vec::new();
    let mut covered = Quarters::ZERO;
    let mut pins = hairpins.into_iter().peekable();
    for (k, &(at, opens, mut niente)) in words.iter().enumerate() {
        while let Some(pin) = pins.next_if(|pin| pin.0 <= at) {
            covered = covered.max(pin.1);
            all.push(pin);
        }
        if at < covered {
            continue;
        }
        let mut until = movement_end(at);
        if let Some((mark, _)) = marks.get(marks.partition_point(|(mark, _)| *mark <= at)) {
            until = until.min(*mark);
        }
        let mut later = words[k + 1..].iter().take_while(|word| word.0 < until);
        if let Some(other) = later.find(|word| word.1 != opens) {
            until = other.0;
        }
        if let Some(pin) = pins.next_if(|pin| pin.0 < until && pin.2 == opens) {
            until = until.min(pin.1);
            niente |= pin.3;
        } else if let Some(pin) = pins.peek() {
            until = until.min(pin.0);
        }
        if until > at {
            all.push((at, until, opens, niente));
            covered = until;
        }
    }
    all.extend(pins);
    all
}

/// Words that ask for fading, and for growing, beside those that begin with "dimin", "decresc" and "cresc".
const FADES: [&str; 9] =
    ["dim", "decr", "smorz", "smorzando", "morendo", "calando", "perdendosi", "leiser", "abnehmend"];
const GROWS: [&str; 5] = ["lauter", "zunehmend", "anschwellend", "augmentez", "augmentant"];
/// Words that deny them.
const DENYING: [&str; 7] = ["senza", "non", "sans", "ohne", "nicht", "without", "no"];

/// Whether words over the staff tell the music to grow (true) or fade (false); by the first that does.
pub(crate) fn swells(text: &str) -> Option<bool> {
    let words = folded(text);
    if words.iter().any(|word| DENYING.contains(&word.as_str())) {
        return None;
    }
    words.iter().find_map(|word| {
        let begins = |with: &[&str]| with.iter().any(|begin| word.starts_with(begin));
        if FADES.contains(&word.as_str()) || begins(&["dimin", "decresc"]) {
            Some(false)
        } else {
            (GROWS.contains(&word.as_str()) || begins(&["cresc"])).then_some(true)
        }
    })
}

/// The dynamics of a score as one curve over time.
///
/// Between marks the level is constant; along a hairpin it moves linearly in level, which is
/// linearly in the logarithm of the bow speed, since speeds are interpolated in log speed.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Dynamics {
    /// (from, until, level there, level at the end) in quarter notes, in order, without overlaps.
    spans: Vec<(f64, f64, f64, f64)>,
    /// Printed marks, in order.
    marks: Vec<(Quarters, Dynamic)>,
}

impl Dynamics {
    /// How far a hairpin moves when no mark follows it, in levels. Assumed.
    const OPEN_HAIRPIN: f64 = 1.0;
    /// How far a crescendo of so many quarters or more moves when the mark that ends it is no louder than what
    /// it began with, in levels. Assumed: the contrast is meant to be heard.
    const BROKEN_OFF: f64 = 2.0;
    const LONG_QUARTERS: f64 = 4.0;

    /// Reads the dynamics of a score. A hairpin goes to the next mark that stands at its end (or
    /// within a quarter note after it) if that mark lies in its direction, else one level.
    pub fn new(score: &Score) -> Self {
        let (marks, hairpins) = levels_and_hairpins(score);
        let end = score.end();
        let mut level = Dynamic::DEFAULT as usize as f64;
        let mut spans = Vec::new();
        let mut now = Quarters::ZERO;
        let levels = with_movements(score, &marks);
        let mut next_mark = levels.iter().peekable();
        let mut next_pin = hairpins.iter().peekable();
        // Walk from event to event: a mark sets the level, a hairpin moves it.
        loop {
            let mark_at = next_mark.peek().map(|(at, ..)| *at);
            let pin_at = next_pin.peek().map(|(from, ..)| *from);
            let Some(at) = [mark_at, pin_at].into_iter().flatten().min() else { break };
            if at > now {
                spans.push((now, at, level, level));
                now = at;
            }
            if mark_at == Some(at) {
                if let Some((_, mark, _)) = next_mark.next() {
                    level = *mark as usize as f64;
                }
                continue;
            }
            let Some(&(from, until, opens, niente)) = next_pin.next() else { break };
            let from = from.max(now);
            // A mark inside the hairpin takes over there.
            let reach = until + Quarters::ONE;
            let goal = next_mark
                .peek()
                .filter(|(at, _, begins)| *at <= reach && !begins)
                .map(|(at, mark, _)| (*at, *mark as usize as f64));
            let until = goal.map_or(until, |(at, _)| until.min(at)).max(from);
            // What a level that is no louder breaks off had grown to be heard.
            let broken_off = opens
                && (until - from).to_f64() >= Self::LONG_QUARTERS
                && next_mark.peek().is_some_and(|(at, mark, begins)| {
                    let first = next_pin.peek().is_none_or(|pin| pin.0 >= *at);
                    first && !begins && *mark as usize as f64 <= level
                });
            let step = match (opens, broken_off) {
                (true, true) => Self::BROKEN_OFF,
                (true, false) => Self::OPEN_HAIRPIN,
                (false, _) => -Self::OPEN_HAIRPIN,
            };
            let start = if niente && opens { 0.0 } else { level };
            let target = match goal {
                Some((_, to)) if (to > start) == opens && to != start => to,
                _ if niente && !opens => 0.0,
                _ => (start + step).clamp(0.0, 7.0),
            };
            if until > from {
                spans.push((from, until, start, target));
                now = until;
            }
            level = target;
        }
        spans.push((now, end.max(now + Quarters::ONE), level, level));
        let spans =
            spans.into_iter().map(|(from, until, start, to)| (from.to_f64(), until.to_f64(), start, to));
        Self { spans: spans.collect(), marks }
    }

    /// Level at `at` as a real number on the scale of [`Dynamic`]. At a place where the level
    /// jumps, the new level.
    pub fn level(&self, at: f64) -> f64 {
        let index = self.spans.partition_point(|span| span.0 <= at).saturating_sub(1);
        let Some(&(from, until, start, end)) = self.spans.get(index) else {
            return Dynamic::DEFAULT as usize as f64;
        };
        let share = if until > from { ((at - from) / (until - from)).clamp(0.0, 1.0) } else { 1.0 };
        start + (end - start) * share
    }

    /// Pieces of (from, until) on which the level is linear: (from, until, level, level at the
    /// end). Together they cover the span.
    pub fn pieces(&self, from: Quarters, until: Quarters) -> Vec<(f64, f64, f64, f64)> {
        let (a, b) = (from.to_f64(), until.to_f64());
        let first = self.spans.partition_point(|span| span.1 <= a);
        let mut pieces: Vec<(f64, f64, f64, f64)> = Vec::new();
        for &(s, e, l0, l1) in self.spans.iter().skip(first) {
            if s >= b {
                break;
            }
            let at = |t: f64| if e > s { l0 + (l1 - l0) * ((t - s) / (e - s)) } else { l1 };
            let (p, q) = (s.max(a), e.min(b));
            pieces.push((p, q, at(p), at(q)));
        }
        if let Some(&(_, q, _, level)) = pieces.last()
            && q < b
        {
            pieces.push((q, b, level, level));
        }
        if pieces.is_empty() {
            let level = self.level(a);
            pieces.push((a, b, level, level));
        }
        pieces
    }

    /// The printed mark in force at `at`, none before the first.
    pub fn mark_at(&self, at: Quarters) -> Option<Dynamic> {
        let after = self.marks.partition_point(|(from, _)| *from <= at);
        after.checked_sub(1).map(|index| self.marks[index].1)
    }
}
