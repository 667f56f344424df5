//! Which marks of the bowing differ between two versions of the same notes, as a player tells them.

use std::collections::{BTreeMap, BTreeSet};

use crate::score::{Attack, EventId, Place, Quarters, SameBow, Score, Slur, attacks};

use super::{count::slurs, one::Difference};

/// What differs in slurs, bow marks, retakes, hooks and stroke types, in the order of the music: one
/// for each slur, or those of one bar, and one for each note.
pub fn changed_marks(before: &Score, after: &Score) -> Vec<Difference> {
    let (old, new) = (attacks(before), attacks(after));
    let known: BTreeMap<EventId, &Attack> = old.iter().map(|attack| (attack.id(), attack)).collect();
    let mut found = changed_slurs(before, after, (&old, &new));
    for attack in &new {
        let words = known.get(&attack.id()).map_or_else(Vec::new, |old| note_words(old, attack));
        if !words.is_empty() {
            let place = after.place(attack.onset).short();
            let (at, event) = (attack.onset, Some(attack.id()));
            found.push(Difference { at, everywhere: false, event, place, words: words.join(", ") });
        }
    }
    found.sort_by_key(|difference| difference.at);
    found
}

fn note_words(old: &Attack, new: &Attack) -> Vec<String> {
    let mut words = Vec::new();
    match (old.bow, new.bow) {
        (Some(a), None) => words.push(format!("{} no longer marked", a.bow_word())),
        (None, Some(b)) => words.push(format!("{} marked", b.bow_word())),
        (Some(a), Some(b)) if a != b => {
            words.push(format!("{} marked instead of {}", b.bow_word(), a.bow_word()));
        }
        (Some(_), Some(_)) | (None, None) => {}
    }
    if old.retake != new.retake {
        words.push(if new.retake { "retake" } else { "no retake" }.to_owned());
    }
    if old.same_bow != new.same_bow {
        let how = match (old.same_bow, new.same_bow) {
            (_, Some(SameBow::Hooked)) => "hooked to the note before",
            (_, Some(SameBow::Portato)) => "portato with the note before",
            (Some(SameBow::Hooked), None) => "no longer hooked to the note before",
            (_, None) => "no longer portato with the note before",
        };
        words.push(how.to_owned());
    }
    if old.stroke != new.stroke {
        words.push(
            new.stroke.map_or_else(|| "stroke as marked".to_owned(), |stroke| stroke.word().to_owned()),
        );
    }
    words
}

/// The notes under a slur, by their first events.
type Under = Vec<EventId>;

/// Slurs that hang together by their notes, as they were and as they are.
#[derive(Default)]
struct Regrouped {
    old: Vec<Under>,
    new: Vec<Under>,
}

impl Regrouped {
    fn notes(&self) -> BTreeSet<EventId> {
        self.old.iter().chain(&self.new).flatten().copied().collect()
    }
}

fn changed_slurs(before: &Score, after: &Score, lines: (&[Attack], &[Attack])) -> Vec<Difference> {
    let (old, new) = (under_slurs(before, lines.0), under_slurs(after, lines.1));
    let mut changes: Vec<Regrouped> = Vec::new();
    let gone = old.iter().filter(|slur| !new.contains(slur)).map(|slur| (slur, true));
    let come = new.iter().filter(|slur| !old.contains(slur)).map(|slur| (slur, false));
    for (slur, was) in gone.chain(come) {
        let mut change = Regrouped::default();
        if was { &mut change.old } else { &mut change.new }.push(slur.clone());
        // All that share a note with it are one change.
        let (touched, apart): (Vec<_>, Vec<_>) = changes.into_iter().partition(|other| {
            slur.iter().any(|note| other.old.iter().chain(&other.new).flatten().any(|n| n == note))
        });
        for other in touched {
            change.old.extend(other.old);
            change.new.extend(other.new);
        }
        changes = apart;
        changes.push(change);
    }
    let onset: BTreeMap<EventId, Quarters> =
        lines.0.iter().chain(lines.1).map(|attack| (attack.id(), attack.onset)).collect();
    let wording = Wording { before, onset, old: &old };
    wording.all(changes)
}

/// The notes under every slur of the bowing, in the order of the music.
fn under_slurs(score: &Score, line: &[Attack]) -> Vec<Under> {
    let place: BTreeMap<EventId, usize> = line
        .iter()
        .enumerate()
        .flat_map(|(k, attack)| attack.events.iter().map(move |id| (*id, k)))
        .collect();
    let under = |slur: &Slur| {
        let (from, to) = (*place.get(&slur.from)?, *place.get(&slur.to)?);
        let inside = line.get(from..=to)?.iter().filter(|attack| attack.voice == line[from].voice);
        Some(inside.map(Attack::id).collect::<Under>())
    };
    let mut all: Vec<Under> =
        slurs(score).values().filter_map(under).filter(|notes| notes.len() > 1).collect();
    all.sort_by_key(|notes| place.get(&notes[0]).copied());
    all
}

/// What words are made from.
struct Wording<'a> {
    before: &'a Score,
    /// Where each note starts.
    onset: BTreeMap<EventId, Quarters>,
    /// All slurs there were.
    old: &'a [Under],
}

impl Wording<'_> {
    fn at(&self, note: EventId) -> Quarters {
        self.onset.get(&note).copied().unwrap_or(Quarters::ZERO)
    }

    fn place(&self, note: EventId) -> Place {
        self.before.place(self.at(note))
    }

    /// "beat 3" in the same bar, else "bar 7, beat 3".
    fn seen_from(&self, here: &Place, note: EventId) -> String {
        let place = self.place(note);
        if place.bar == here.bar { place.beat_words() } else { place.short() }
    }

    fn all(&self, changes: Vec<Regrouped>) -> Vec<Difference> {
        let mut found = Vec::new();
        // Slurs that are gone, by the bar they start in.
        let mut undone: BTreeMap<Option<usize>, Vec<Under>> = BTreeMap::new();
        let bar = |slur: &Under| self.before.bar_at(self.at(slur[0]));
        for mut change in changes {
            change.old.sort_by_key(|slur| self.at(slur[0]));
            change.new.sort_by_key(|slur| self.at(slur[0]));
            if change.new.is_empty() {
                let slurs = std::mem::take(&mut change.old);
                for slur in slurs {
                    undone.entry(bar(&slur)).or_default().push(slur);
                }
            } else if let Some(first) = change.notes().into_iter().min_by_key(|note| self.at(*note)) {
                found.push(self.difference(first, self.place(first).short(), self.changed(&change, first)));
            }
        }
        for (of_bar, mut slurs) in undone {
            slurs.sort_by_key(|slur| self.at(slur[0]));
            let there = self.old.iter().filter(|slur| bar(slur) == of_bar).count();
            let first = slurs[0][0];
            if there > 1 && there == slurs.len() {
                let words = if there == 2 {
                    "both slurs undone".to_owned()
                } else {
                    format!("all {there} slurs undone")
                };
                found.push(self.difference(first, self.place(first).bar_words(), words));
                continue;
            }
            for slur in slurs {
                let here = self.place(slur[0]);
                let last = slur[slur.len() - 1];
                // The only slur of its bar needs no beat.
                let place = if there == 1 { here.bar_words() } else { here.short() };
                let words = if self.place(last).bar == here.bar {
                    "the slur undone".to_owned()
                } else {
                    format!("the slur to {} undone", self.place(last).short())
                };
                found.push(self.difference(slur[0], place, words));
            }
        }
        found
    }

    fn difference(&self, note: EventId, place: String, words: String) -> Difference {
        Difference { at: self.at(note), everywhere: false, event: Some(note), place, words }
    }

    /// A change that leaves or makes slurs; `first` is its first note.
    fn changed(&self, change: &Regrouped, first: EventId) -> String {
        let here = self.place(first);
        let end = |slur: &Under| self.seen_from(&here, slur[slur.len() - 1]);
        let all: BTreeSet<EventId> = change.notes();
        let span = |slur: &Under| format!("from {} to {}", self.seen_from(&here, slur[0]), end(slur));
        match (&change.old[..], &change.new[..]) {
            ([], [new]) => format!("new slur to {}", end(new)),
            ([old], new) if old.len() == all.len() => self.cut(old, new, &here),
            ([_], [new]) if new.len() == all.len() => format!("the slur longer, {}", span(new)),
            (old, [new]) if new.len() == all.len() => {
                let (count, to) = (counted(old.len()), end(new));
                format!("{count} slurs in one, to {to}")
            }
            (_, new) => {
                format!("slurred anew: {}", new.iter().map(span).collect::<Vec<_>>().join(", "))
            }
        }
    }

    /// A slur of which only parts are left.
    fn cut(&self, old: &Under, new: &[Under], here: &Place) -> String {
        let goes_on: BTreeSet<&EventId> = new.iter().flat_map(|slur| &slur[1..]).collect();
        let starts: Vec<EventId> = old[1..].iter().filter(|note| !goes_on.contains(note)).copied().collect();
        if let ([left], true) = (new, starts.len() > 2) {
            let (from, to) = (self.seen_from(here, left[0]), self.seen_from(here, left[left.len() - 1]));
            return format!("the slur only from {from} to {to}");
        }
        let places: Vec<String> = starts.iter().map(|note| self.seen_from(here, *note)).collect();
        let (last, first) = places.split_last().map_or(("", &[][..]), |(last, first)| (last, first));
        let first =
            if first.is_empty() { String::new() } else { format!("{} and before ", first.join(", before ")) };
        format!("the slur in {}, cut before {first}{last}", counted(starts.len() + 1))
    }
}

/// A small number in words.
fn counted(count: usize) -> String {
    const WORDS: [&str; 5] = ["two", "three", "four", "five", "six"];
    count
        .checked_sub(2)
        .and_then(|k| WORDS.get(k))
        .map_or_else(|| count.to_string(), |word| (*word).to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        lesson::{
            Lesson, Writer,
            change::{new_passage, set_bow, set_retake, set_slur, split_slur},
        },
        score::{Direction, NoteValue, TimeSignature},
        setup::Family,
    };

    /// Eight quarters in two bars, slurred so.
    fn slurred(slurs: &[std::ops::RangeInclusive<usize>]) -> (Lesson, Vec<EventId>) {
        let violin = Writer::new(new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 60.0));
        let notes = (0..8).fold(violin, |writer, _| writer.note("A4", NoteValue::QUARTER));
        let slurred = slurs.iter().fold(notes, |writer, slur| {
            writer.edit(|lesson, ids| set_slur(lesson, &ids[slur.clone()], true))
        });
        slurred.finish().unwrap()
    }

    fn told(
        before: &[std::ops::RangeInclusive<usize>],
        after: &[std::ops::RangeInclusive<usize>],
    ) -> Vec<String> {
        let found = changed_marks(&slurred(before).0.score, &slurred(after).0.score);
        found.iter().map(|change| format!("{}: {}", change.place, change.words)).collect()
    }

    #[test]
    fn an_undone_slur_is_told_as_such() {
        assert_eq!(told(&[0..=3], &[]), ["bar 1: the slur undone"]);
        assert_eq!(told(&[1..=3], &[]), ["bar 1: the slur undone"]);
        assert_eq!(told(&[4..=5, 6..=7], &[]), ["bar 2: both slurs undone"]);
        assert_eq!(told(&[4..=5, 6..=7], &[4..=5]), ["bar 2, beat 3: the slur undone"]);
        assert_eq!(told(&[2..=5], &[]), ["bar 1: the slur to bar 2, beat 2 undone"]);
        assert_eq!(told(&[0..=3], &[0..=3]), [""; 0]);
    }

    #[test]
    fn a_cut_slur_tells_where() {
        assert_eq!(told(&[0..=3], &[0..=1, 2..=3]), ["bar 1: the slur in two, cut before beat 3"]);
        assert_eq!(told(&[0..=3], &[0..=2]), ["bar 1: the slur in two, cut before beat 4"]);
        assert_eq!(told(&[0..=7], &[0..=3, 4..=7]), ["bar 1: the slur in two, cut before bar 2"]);
        assert_eq!(
            told(&[0..=5], &[0..=1, 2..=3, 4..=5]),
            ["bar 1: the slur in three, cut before beat 3 and before bar 2"]
        );
        assert_eq!(
            told(&[0..=7], &[0..=1, 2..=3, 4..=5, 6..=7]),
            ["bar 1: the slur in four, cut before beat 3, before bar 2 and before bar 2, beat 3"]
        );
        assert_eq!(told(&[0..=7], &[0..=2]), ["bar 1: the slur only from beat 1 to beat 3"]);
    }

    #[test]
    fn new_slurs_tell_their_ends() {
        assert_eq!(told(&[], &[1..=2]), ["bar 1, beat 2: new slur to beat 3"]);
        assert_eq!(told(&[0..=1, 2..=3], &[0..=3]), ["bar 1: two slurs in one, to beat 4"]);
        assert_eq!(told(&[0..=1], &[0..=2]), ["bar 1: the slur longer, from beat 1 to beat 3"]);
        assert_eq!(
            told(&[0..=3, 4..=7], &[0..=2, 3..=7]),
            ["bar 1: slurred anew: from beat 1 to beat 3, from beat 4 to bar 2, beat 4"]
        );
    }

    #[test]
    fn marks_of_one_note_are_one_change() {
        let (lesson, ids) = slurred(&[0..=3]);
        let mut next = split_slur(&lesson, ids[2]).unwrap().apply(&lesson).unwrap().0;
        next = set_retake(&next, ids[2], true).unwrap().apply(&next).unwrap().0;
        next = set_bow(&next, &ids[2..=2], Some(Direction::Up)).unwrap().apply(&next).unwrap().0;
        let words = |before: &Lesson, after: &Lesson| -> Vec<String> {
            changed_marks(&before.score, &after.score).into_iter().map(|change| change.words).collect()
        };
        assert_eq!(words(&lesson, &next), ["the slur in two, cut before beat 3", "up-bow marked, retake"]);
        assert_eq!(
            words(&next, &lesson),
            ["two slurs in one, to beat 4", "up-bow no longer marked, no retake"]
        );
    }
}
