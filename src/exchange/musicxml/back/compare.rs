//! Two scores of one part compared: are their notes the same, and what stands otherwise on them?

use std::collections::BTreeMap;

use crate::score::{Bar, Event, EventId, Quarters, Score, Sign, SignKind};

/// Places that are named when the notes differ.
const NAMED: usize = 3;

/// What stands otherwise in the second of two scores of the same notes.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Differences {
    /// The title.
    pub title: bool,
    /// Bars of another key or metre, or with other repeats, endings or jumps, as indices.
    pub bars: Vec<usize>,
    /// Events with other pitches, marks, strings or fingers, as indices.
    pub events: Vec<usize>,
    /// Slurs only the first has, by the indices of their first and last events.
    pub slurs_gone: Vec<(usize, usize)>,
    /// Slurs only the second has.
    pub slurs_come: Vec<(usize, usize)>,
    /// Signs only the first has, as indices.
    pub signs_gone: Vec<usize>,
    /// Signs only the second has.
    pub signs_come: Vec<Sign>,
}

impl Differences {
    /// How many there are.
    pub(super) fn count(&self) -> usize {
        usize::from(self.title)
            + self.events.len()
            + self.slurs_gone.len()
            + self.slurs_come.len()
            + self.signs_gone.len()
            + self.signs_come.len()
    }
}

/// What makes a note the same note, of whatever pitch.
pub(super) fn same_note(a: &Event, b: &Event) -> bool {
    let heads = |event: &Event| -> Vec<_> {
        event.notes.iter().map(|note| (note.tie_start, note.tie_stop)).collect()
    };
    let own = |event: &Event| {
        (event.onset, event.duration, event.voice, event.grace, event.tremolo, event.tremolo_to_next)
    };
    own(a) == own(b) && heads(a) == heads(b)
}

/// Where the notes or bars of two scores differ, in words; none where they are the same.
pub(super) fn other_notes(old: &Score, new: &Score) -> Option<String> {
    let bars = |score: &Score| score.bars.iter().map(|bar| (bar.start, bar.length)).collect::<Vec<_>>();
    if old.bars.len() != new.bars.len() {
        return Some(format!("{} bars there, {} here", old.bars.len(), new.bars.len()));
    }
    let mut places: Vec<String> = Vec::new();
    let mut name = |at: Quarters| {
        let place = new.place(at).bar_words();
        if !places.contains(&place) {
            places.push(place);
        }
    };
    for (a, b) in bars(old).iter().zip(&bars(new)).filter(|(a, b)| a != b) {
        name(a.0.min(b.0));
    }
    let longest = old.events.len().max(new.events.len());
    for index in 0..longest {
        match (old.events.get(index), new.events.get(index)) {
            (Some(a), Some(b)) if same_note(a, b) => {}
            (a, b) => {
                let at = [a, b].into_iter().flatten().map(|event| event.onset).min();
                at.into_iter().for_each(&mut name);
                if old.events.len() != new.events.len() {
                    break;
                }
            }
        }
    }
    if places.is_empty() {
        return None;
    }
    let more = if places.len() > NAMED { " and more" } else { "" };
    places.truncate(NAMED);
    Some(format!("{}{more}", places.join(", ")))
}

/// What stands otherwise in `new`; both have the same notes.
pub(super) fn differences(old: &Score, new: &Score) -> Differences {
    let differs = |index: &usize| {
        let (a, b) = (&old.events[*index], &new.events[*index]);
        let heads = |event: &Event| -> Vec<_> {
            event.notes.iter().map(|note| (note.pitch, note.string, note.fingers.clone())).collect()
        };
        (a.bow, &a.marks, a.sudden_letters()) != (b.bow, &b.marks, b.sudden_letters()) || heads(a) != heads(b)
    };
    let (slurs_gone, slurs_come) = apart(slurs(old), slurs(new));
    let (signs_gone, signs_come) = apart(signs(old), signs(new));
    Differences {
        title: old.title != new.title,
        bars: (0..old.bars.len().min(new.bars.len()))
            .filter(|&bar| said(old, bar) != said(new, bar))
            .collect(),
        events: (0..old.events.len().min(new.events.len())).filter(differs).collect(),
        slurs_gone: slurs_gone.into_iter().map(|(key, _)| key).collect(),
        slurs_come: slurs_come.into_iter().map(|(key, _)| key).collect(),
        signs_gone: signs_gone.into_iter().map(|(_, index)| index).collect(),
        signs_come: signs_come.into_iter().map(|(_, index)| new.signs[index].clone()).collect(),
    }
}

/// What a bar says. A repeat has a heavy barline, and so has the bar before it.
fn said(score: &Score, bar: usize) -> Bar {
    let own = &score.bars[bar];
    let repeated = own.repeat_end || score.bars.get(bar + 1).is_some_and(|next| next.repeat_start);
    Bar { double_barline: own.double_barline || repeated, ..own.clone() }
}

/// Slurs by the indices of their first and last events. What is said about them, phrase or bow, is read
/// from what they hold.
pub(super) fn slurs(score: &Score) -> Vec<((usize, usize), usize)> {
    let places: BTreeMap<EventId, usize> =
        score.events.iter().enumerate().map(|(index, event)| (event.id, index)).collect();
    let ends = |(index, slur): (usize, &crate::score::Slur)| {
        Some(((*places.get(&slur.from)?, *places.get(&slur.to)?), index))
    };
    score.slurs.iter().enumerate().filter_map(ends).collect()
}

/// Signs by all that they say.
fn signs(score: &Score) -> Vec<((Quarters, String), usize)> {
    let said = |(index, sign): (usize, &Sign)| ((sign.at, format!("{:?}", sign.kind)), index);
    score.signs.iter().enumerate().map(said).collect()
}

/// What is compared, each with its index.
type Keyed<K> = Vec<(K, usize)>;

/// What only the first list has, and what only the second.
fn apart<K: Ord>(mut old: Keyed<K>, mut new: Keyed<K>) -> (Keyed<K>, Keyed<K>) {
    old.sort();
    new.sort();
    let mut gone = Vec::new();
    let mut come = Vec::new();
    let (mut a, mut b) = (old.into_iter().peekable(), new.into_iter().peekable());
    loop {
        match (a.peek(), b.peek()) {
            (Some(x), Some(y)) if x.0 == y.0 => {
                a.next();
                b.next();
            }
            (Some(x), y) if y.is_none_or(|y| x.0 < y.0) => gone.extend(a.next()),
            (_, Some(_)) => come.extend(b.next()),
            (_, None) => break,
        }
    }
    (gone, come)
}

/// Differences in words, each with its bar: what a file that is read as `file` does not say as `score`
/// does.
pub(super) fn in_words(file: &Score, score: &Score) -> Vec<String> {
    let found = differences(file, score);
    let at = |onset: Quarters| score.place(onset).to_string();
    let note = |index: usize| at(score.events[index].onset);
    let mut words: Vec<String> = Vec::new();
    if found.title {
        words.push("the title".to_owned());
    }
    let bar_words = |bar: &usize| {
        let place = score.place(score.bars[*bar].start).bar_words();
        format!("{place}: its key, metre, repeat, ending or jump")
    };
    words.extend(found.bars.iter().map(bar_words));
    let pitches = |score: &Score, index: usize| -> Vec<_> {
        score.events[index].notes.iter().map(|note| note.pitch).collect()
    };
    for &index in &found.events {
        let same = pitches(file, index) == pitches(score, index);
        let what = if same { "the marks on the note" } else { "the pitch of the note" };
        words.push(format!("{}: {what}", note(index)));
    }
    words.extend(found.slurs_gone.iter().map(|&(from, _)| format!("{}: a slur that stays", note(from))));
    words.extend(found.slurs_come.iter().map(|&(from, _)| format!("{}: a slur", note(from))));
    let stays = found.signs_gone.iter().map(|&index| &file.signs[index]);
    words.extend(stays.map(|sign| format!("{}: {} stays", at(sign.at), sign_words(&sign.kind))));
    words.extend(found.signs_come.iter().map(|sign| format!("{}: {}", at(sign.at), sign_words(&sign.kind))));
    words
}

fn sign_words(kind: &SignKind) -> String {
    match kind {
        SignKind::Dynamic(level) => format!("the dynamic {}", level.mark()),
        SignKind::Hairpin { .. } => "a hairpin".to_owned(),
        SignKind::Tempo { .. } => "the tempo".to_owned(),
        SignKind::Words(words) => format!("the words {words:?}"),
        SignKind::Rehearsal(_) => "a rehearsal mark".to_owned(),
        SignKind::Clef(_) => "a clef".to_owned(),
        SignKind::OctaveLine { .. } => "an octave line".to_owned(),
    }
}
