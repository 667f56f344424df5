//! Figures that come back: what was bowed one way is bowed so again.

use std::collections::BTreeMap;

use super::{
    Bow, Link,
    lean::{is_dotted, is_sharp},
};
use crate::score::{Attack, Quarters, Score};

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
        let accent = is_sharp(note) || note.marks.iter().any(|mark| mark.is_accent());
        let (at, duration) = (note.onset - start, note.duration);
        Self { at, duration, starts, accent, dotted: is_dotted(note) }
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
            let beats = (head.onset - bar.start) / bar.time.beat();
            let in_beat = Quarters::new(beats.numer().rem_euclid(beats.denom()), beats.denom());
            let near = |before: &usize| line[bows[*before].first].bar + BARS >= head.bar;
            let before = latest.insert((in_beat, figure), k);
            alike[k] = before.filter(|before| near(before) && bows[k].link != Link::Opening);
        }
        k = next;
    }
    alike
}

fn figure(line: &[Attack], bows: &[Bow]) -> Vec<Part> {
    let start = line[bows[0].first].onset;
    let notes = bows.iter().flat_map(|bow| (bow.first..=bow.last).map(move |k| (k, k == bow.first)));
    let heard = notes.filter(|(k, _)| line[*k].grace.is_none());
    heard.map(|(k, starts)| Part::new(&line[k], start, starts)).collect()
}
