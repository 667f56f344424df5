//! Slurs drawn anew, all of a passage alike.

use std::ops::Range;

use super::{
    super::{
        choice::{Choice, Choices, Link},
        field::Field,
        paths::Note,
    },
    follow::{follow, linked},
};
use crate::score::{Attack, Bar, Quarters};

/// What speaks against a slur to a repeated note is more than this. Assumed.
const STEPS_AND_LEAPS: f64 = 1.0;

/// The bows of the chosen notes, each with the places where it may be cut.
fn cuttable(field: &Field, begun: &[Choice]) -> Vec<(Range<usize>, Vec<usize>)> {
    let starts: Vec<usize> = (0..begun.len()).filter(|&k| begun[k].link.starts()).collect();
    let ends = starts.iter().copied().skip(1).chain([begun.len()]);
    let bows = starts.iter().zip(ends).map(|(&start, end)| {
        let may = |k: &usize| field.links(*k).contains(&Link::Change) && !field.is_hooked_unasked(*k);
        (start..end, (start + 1..end).filter(may).collect::<Vec<_>>())
    });
    bows.filter(|(_, places)| !places.is_empty()).collect()
}

/// The longest slurs divided, each where it is heard least, and those that last at least this share of them.
pub(super) fn divided(field: &Field, notes: &[Note], begun: &[Choice], share: f64) -> Option<Choices> {
    let line = field.study().analysis();
    let bows = cuttable(field, begun);
    let lasts = |bow: &Range<usize>| (line.note(bow.end - 1).end() - line.note(bow.start).onset).to_f64();
    let longest = bows.iter().map(|(bow, _)| lasts(bow)).fold(0.0, f64::max);
    let long = bows.iter().filter(|(bow, _)| lasts(bow) >= share * longest);
    let cuts = long.filter_map(|(_, places)| {
        places.iter().copied().min_by(|a, b| notes[*a].cut.total_cmp(&notes[*b].cut))
    });
    linked(field, begun, cuts, Link::Change)
}

/// No slurs at all.
pub(super) fn separate(field: &Field, begun: &[Choice]) -> Option<Choices> {
    linked(field, begun, cuttable(field, begun).into_iter().flat_map(|(_, places)| places), Link::Change)
}

/// Single notes of one length slurred two and two.
pub(super) fn paired(field: &Field, notes: &[Note], begun: &[Choice]) -> Option<Choices> {
    let (score, line) = (&field.study().lesson().score, field.study().analysis());
    let single = |k: usize| begun[k].link.starts() && begun.get(k + 1).is_none_or(|next| next.link.starts());
    let second = |k: &usize| {
        let (first, note) = (line.note(k - 1), line.note(*k));
        let in_pairs = score.bars.get(first.bar).is_some_and(|bar| {
            let pairs: Quarters = (first.onset - bar.start) / (note.duration + note.duration);
            pairs.denom() == 1
        });
        let alike = first.duration == note.duration && first.bar == note.bar;
        alike && in_pairs && single(k - 1) && single(*k) && notes[*k].join < STEPS_AND_LEAPS
    };
    let pairs = (1..begun.len()).filter(second).filter(|k| field.links(*k).contains(&Link::Slur));
    linked(field, begun, pairs, Link::Slur)
}

/// A note is short behind a held one that lasts so many times as long. Assumed.
const HELD: i64 = 4;

/// Short notes drawn into the bow of the held note before them.
pub(super) fn drawn(field: &Field, begun: &[Choice]) -> Option<Choices> {
    let line = field.study().analysis();
    let plain = |note: &Attack| !note.is_dotted() && !note.marks.iter().any(|mark| mark.is_accent());
    let short = |k: &usize| {
        let (held, note) = (line.note(k - 1), line.note(*k));
        note.grace.is_none()
            && note.duration * Quarters::from(HELD) <= held.duration
            && plain(note)
            && begun[*k].link.starts()
    };
    let link = |k: usize| [Link::Slur, Link::Hook].into_iter().find(|link| field.links(k).contains(link));
    let changes: Vec<_> = (1..begun.len())
        .filter(short)
        .filter_map(|k| Some((k, Choice { link: link(k)?, ..begun[k] })))
        .collect();
    follow(field, begun, &changes)
}

/// What moves in steps slurred within parts of a bar.
pub(super) fn grouped(
    field: &Field,
    notes: &[Note],
    begun: &[Choice],
    part: fn(&Bar) -> Quarters,
) -> Option<Choices> {
    let (score, line) = (&field.study().lesson().score, field.study().analysis());
    let group = |k: usize| {
        let note = line.note(k);
        let bar = score.bars.get(note.bar)?;
        let parts: Quarters = (note.onset - bar.start) / part(bar);
        Some((note.bar, parts.numer().div_euclid(parts.denom())))
    };
    let within =
        |k: &usize| begun[*k].link.starts() && group(k - 1) == group(*k) && notes[*k].join < STEPS_AND_LEAPS;
    let joined = (1..begun.len()).filter(within).filter(|k| field.links(*k).contains(&Link::Slur));
    linked(field, begun, joined, Link::Slur)
}
