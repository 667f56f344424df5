//! Which bars of two versions are the same, and how they differ.

use std::{collections::BTreeMap, ops::Range};

use crate::score::{Bar, EventId, Quarters, Score, key_words};

/// The bars of an earlier version that are still there. Notes keep their ids, so bars are known by them; between bars
/// with known notes, bars are the same in their order as far as there are equally many.
#[derive(Clone, Debug)]
pub struct SameBars {
    /// For each earlier bar the bar it is now.
    now: Vec<Option<usize>>,
    old: Vec<Span>,
    new: Vec<Span>,
}

/// Where a bar starts and ends.
type Span = (Quarters, Quarters);

impl SameBars {
    /// Holds an earlier score against what is there now.
    pub fn new(earlier: &Score, score: &Score) -> Self {
        let spans = |score: &Score| score.bars.iter().map(|bar| (bar.start, bar.end())).collect();
        let (old, new): (Vec<Span>, Vec<Span>) = (spans(earlier), spans(score));
        let mut same = Self { now: vec![None; old.len()], old, new };
        let is: BTreeMap<EventId, usize> =
            score.events.iter().map(|event| (event.id, score.bar_of(event))).collect();
        // How many notes of an earlier bar are in which bar now.
        let mut shared: Vec<BTreeMap<usize, usize>> = vec![BTreeMap::new(); same.old.len()];
        for event in &earlier.events {
            let there = is.get(&event.id).zip(shared.get_mut(earlier.bar_of(event)));
            if let Some((bar, counts)) = there {
                *counts.entry(*bar).or_default() += 1;
            }
        }
        // From known bar to known bar, always on.
        let (mut i, mut j) = (0, 0);
        for (bar, counts) in shared.iter().enumerate() {
            // Of as many the first, as where a bar was divided.
            let later = counts.iter().rev().filter(|(now, _)| **now >= j);
            let most = later.max_by_key(|(_, count)| **count);
            if let Some((now, _)) = most {
                same.between(i..bar, j..*now);
                same.now[bar] = Some(*now);
                (i, j) = (bar + 1, *now + 1);
            }
        }
        same.between(i..same.old.len(), j..same.new.len());
        same
    }

    fn between(&mut self, old: Range<usize>, new: Range<usize>) {
        if old.len() == new.len() {
            old.zip(new).for_each(|(bar, now)| self.now[bar] = Some(now));
        }
    }

    /// The earlier bars that stood where these stand now, with those that are gone from among them.
    pub fn earlier(&self, bars: &Range<usize>) -> Range<usize> {
        let mut here =
            (0..self.now.len()).filter(|bar| self.now[*bar].is_some_and(|now| bars.contains(&now)));
        let first = here.next();
        let last = here.next_back().or(first);
        first.zip(last).map_or(0..0, |(first, last)| first..last + 1)
    }

    /// Every bar stands where it stood and is as long.
    pub fn stand_still(&self) -> bool {
        self.old == self.new
    }

    /// A moment of the earlier version in what is there now; of a bar that is gone the start of the next.
    pub fn moment(&self, at: Quarters) -> Quarters {
        let after = self.old.partition_point(|(start, _)| *start <= at);
        let Some(bar) = after.checked_sub(1) else { return at };
        match self.now[bar] {
            Some(now) => self.new[now].0 + (at - self.old[bar].0),
            None => self.start_after(bar),
        }
    }

    /// Where the first bar after one that is gone starts now.
    fn start_after(&self, bar: usize) -> Quarters {
        let next = self.now[bar..].iter().flatten().next();
        next.map_or_else(|| self.new.last().map_or(Quarters::ZERO, |(_, end)| *end), |now| self.new[*now].0)
    }

    /// What differs in the bars themselves, each with its moment now.
    pub(super) fn differences(&self, earlier: &Score, score: &Score) -> Vec<(Quarters, String)> {
        let mut found = self.gone_and_new(earlier, score);
        let mut before: Option<(&Bar, &Bar)> = None;
        for (bar, now) in self.now.iter().enumerate() {
            let Some(now) = now else { continue };
            let (old, new) = (&earlier.bars[bar], &score.bars[*now]);
            found.extend(bar_words(old, new, before).into_iter().map(|words| (new.start, words)));
            before = Some((old, new));
        }
        found
    }

    fn gone_and_new(&self, earlier: &Score, score: &Score) -> Vec<(Quarters, String)> {
        let named = |score: &Score, bars: &Range<usize>| {
            let sections = score.bar_sections();
            let name = |bar: usize| score.bar_name(bar, &sections);
            (name(bars.start).words_to(&name(bars.end - 1)), bars.len())
        };
        let gone: Vec<usize> = (0..self.now.len()).filter(|bar| self.now[*bar].is_none()).collect();
        let mut kept = vec![false; self.new.len()];
        self.now.iter().flatten().for_each(|now| kept[*now] = true);
        let added: Vec<usize> = (0..kept.len()).filter(|bar| !kept[*bar]).collect();
        let gone = runs(&gone).into_iter().map(|bars| {
            let (name, count) = named(earlier, &bars);
            let is = if count == 1 { "is" } else { "are" };
            (self.start_after(bars.start), format!("{name}, as it was counted before, {is} gone"))
        });
        let added = runs(&added).into_iter().map(|bars| {
            let (name, count) = named(score, &bars);
            (score.bars[bars.start].start, format!("{name} {} new", if count == 1 { "is" } else { "are" }))
        });
        gone.chain(added).collect()
    }
}

/// Numbers that follow one another, as ranges.
fn runs(sorted: &[usize]) -> Vec<Range<usize>> {
    sorted.chunk_by(|one, next| one + 1 == *next).map(|run| run[0]..run[run.len() - 1] + 1).collect()
}

/// What is otherwise in a bar: a metre or key only where the other one begins.
fn bar_words(old: &Bar, new: &Bar, before: Option<(&Bar, &Bar)>) -> Vec<String> {
    let mut words = Vec::new();
    if old.time != new.time && before.is_none_or(|(a, b)| (&a.time, &b.time) != (&old.time, &new.time)) {
        let metre = |bar: &Bar| match bar.time.words() {
            words if words.is_empty() => "no metre".to_owned(),
            words => words,
        };
        words.push(format!("{} instead of {}", metre(new), metre(old)));
    }
    if old.key != new.key && before.is_none_or(|(a, b)| (a.key, b.key) != (old.key, new.key)) {
        words.push(format!("the key of {} instead of {}", key_words(new.key), key_words(old.key)));
    }
    let mut mark = |was: bool, is: bool, what: &str| {
        if was != is {
            words.push(if is { format!("new {what}") } else { format!("no {what}") });
        }
    };
    mark(old.repeat_start, new.repeat_start, "start of a repeat");
    mark(old.repeat_end, new.repeat_end, "end of a repeat");
    mark(old.double_barline, new.double_barline, "double barline");
    mark(old.pickup, new.pickup, "upbeat");
    mark(old.jumps.segno, new.jumps.segno, "segno");
    mark(old.jumps.coda, new.jumps.coda, "coda");
    match (&old.ending, &new.ending) {
        (old, new) if old == new => {}
        (_, Some(number)) => words.push(format!("ending {number}")),
        (Some(number), None) => words.push(format!("no ending {number}")),
        (None, None) => {}
    }
    let [was, is] = [old, new].map(|bar| bar.jumps.words(&Default::default()));
    words.extend(is.iter().filter(|word| !was.contains(word)).map(|word| format!("new {word}")));
    words.extend(was.iter().filter(|word| !is.contains(word)).map(|word| format!("no {word}")));
    words
}
