//! Figures that come back: what was bowed one way is bowed so again.

use std::collections::BTreeMap;

use super::{Bow, Link, lean::is_accented};
use crate::score::{Attack, Direction, Quarters, Score};

/// A figure is looked for in so many bars before it. Assumed.
const BARS: usize = 4;

/// A note of a figure, whatever its pitch.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Part {
    /// From the start of the figure.
    at: Quarters,
    duration: Quarters,
    /// A bow starts there.
    starts: bool,
    accent: bool,
    dotted: bool,
}

impl Part {
    fn new(note: &Attack, start: Quarters, starts: bool) -> Self {
        let accent = is_accented(note);
        let (at, duration) = (note.onset - start, note.duration);
        Self { at, duration, starts, accent, dotted: note.is_dotted() }
    }
}

/// For each bow with which a figure begins that came before, the bow with which it began then.
///
/// A figure is what stands between two places where the bow is free, if that is no more than a bar, else
/// what stands in each bar. It comes back where rhythm, slurs, accents and dots are the same and it begins
/// at the same place in the beat. A single note is none, unless it has an accent.
pub(super) fn alike(score: &Score, line: &[Attack], bows: &[Bow]) -> Vec<Option<usize>> {
    let mut alike = vec![None; bows.len()];
    let mut latest: BTreeMap<(Quarters, Vec<Part>), usize> = BTreeMap::new();
    let (mut k, mut run) = (0, 0);
    while k < bows.len() {
        if k >= run {
            run = (k + 1..bows.len()).find(|&next| bows[next].link.is_free()).unwrap_or(bows.len());
        }
        let head = &line[bows[k].first];
        let Some(bar) = score.bars.get(head.bar) else { break };
        let short = bows[k].link.is_free() && line[bows[run - 1].last].end() - head.onset <= bar.length;
        let barline = (k + 1..run).find(|&next| score.starts_bar(&line[bows[next].first]));
        let next = barline.filter(|_| !short).unwrap_or(run);
        let figure = figure(line, &bows[k..next]);
        if figure.len() > 1 || figure.first().is_some_and(|part| part.accent) {
            let Some(in_beat) = in_beat(score, head) else { break };
            let near = |before: &usize| line[bows[*before].first].bar + BARS >= head.bar;
            let before = latest.insert((in_beat, figure), k);
            alike[k] = before.filter(|before| near(before) && bows[k].link != Link::Opening);
        }
        k = next;
    }
    alike
}

/// For each bow without a mark the direction in which a mark lately had the bow before it go on, in the same
/// figure: the bows on either side are alike too, and it begins at the same place in the beat. Marks that
/// say otherwise there end it. Equal notes without an accent are no figure.
pub(super) fn marked_again(score: &Score, line: &[Attack], bows: &[Bow]) -> Vec<Option<Direction>> {
    let marked = as_marked(line, bows);
    let mut latest: BTreeMap<(Quarters, Vec<Part>), (Direction, usize)> = BTreeMap::new();
    let mut again = vec![None; bows.len()];
    for k in 1..bows.len().saturating_sub(1) {
        let head = &line[bows[k].first];
        let (Some(in_beat), Link::Turned) = (in_beat(score, head), bows[k].link) else { continue };
        let parts = figure(line, &bows[k - 1..=k + 1]);
        let alike = parts.iter().all(|part| part.duration == parts[0].duration);
        if alike && !Part::new(head, head.onset, true).accent {
            continue;
        }
        let key = (in_beat, parts);
        if head.bow.is_some() {
            match (marked[k - 1], marked[k]) {
                (Some(before), Some(way)) if before == way => latest.insert(key, (way, head.bar)),
                _ => latest.remove(&key),
            };
        } else if let Some((way, bar)) = latest.get_mut(&key)
            && *bar + BARS >= head.bar
        {
            (again[k], *bar) = (Some(*way), head.bar);
        }
    }
    again
}

/// The direction of each bow as far as marks tell it: those that follow on the string turn.
fn as_marked(line: &[Attack], bows: &[Bow]) -> Vec<Option<Direction>> {
    let mut before: Option<Direction> = None;
    let ways = bows.iter().map(|bow| {
        let follows = match bow.link {
            Link::Turned => before.map(Direction::turned),
            Link::Retaken | Link::Hooked | Link::Again => before,
            Link::Free(_) | Link::Either | Link::Opening => None,
        };
        before = line[bow.first].bow.filter(|_| bow.link != Link::Hooked).or(follows);
        before
    });
    ways.collect()
}

/// How far into its beat a note begins, in beats.
fn in_beat(score: &Score, note: &Attack) -> Option<Quarters> {
    let bar = score.bars.get(note.bar)?;
    let beats = (note.onset - bar.start) / bar.time.beat();
    Some(Quarters::new(beats.numer().rem_euclid(beats.denom()), beats.denom()))
}

fn figure(line: &[Attack], bows: &[Bow]) -> Vec<Part> {
    let start = line[bows[0].first].onset;
    let notes = bows.iter().flat_map(|bow| (bow.first..=bow.last).map(move |k| (k, k == bow.first)));
    let heard = notes.filter(|(k, _)| line[*k].grace.is_none());
    heard.map(|(k, starts)| Part::new(&line[k], start, starts)).collect()
}
