//! Slurs: ends paired, bow slurs told from phrase marks.

use std::collections::BTreeMap;

use super::settling::Settling;
use crate::score::{Slur, SlurId};

/// One end of a slur on an event, by the event's index.
type Ends = BTreeMap<u8, Vec<(usize, bool)>>;

/// Pairs the slur ends of a part and tells bow slurs from phrase marks. `joined` are further
/// (first, last) events to slur.
pub(super) fn pair(settling: &mut Settling<'_>, joined: &[(usize, usize)]) -> Vec<Slur> {
    let mut pairs = joined.to_vec();
    // First within a voice, where numbers of other voices cannot disturb; then across voices. Ends
    // are taken in score order: a stop can stand earlier in the file than its start.
    let mut by_voice: BTreeMap<u8, Ends> = BTreeMap::new();
    for (index, raw) in settling.raw.iter().enumerate() {
        for end in &raw.slurs {
            by_voice
                .entry(settling.events[index].voice)
                .or_default()
                .entry(end.number)
                .or_default()
                .push((index, end.start));
        }
    }
    let mut left: Ends = Ends::new();
    for ends in by_voice.into_values() {
        for (number, ends) in ends {
            left.entry(number).or_default().extend(pair_ends(ends, &mut pairs));
        }
    }
    for ends in left.into_values() {
        let mut across = Vec::new();
        let mut loose = pair_ends(ends, &mut across);
        for (from, to) in across {
            // Within one voice other slurs of the number stand between: these two are no pair.
            if settling.events[from].voice == settling.events[to].voice {
                loose.extend([(from, true), (to, false)]);
            } else {
                pairs.push((from, to));
            }
        }
        for (index, start) in loose {
            if start {
                settling.warn(index, "a slur begins and never ends; it is left out", "");
            } else {
                settling.warn(index, "a slur ends that never began; it is left out", "");
            }
        }
    }
    settle_voices(settling, &mut pairs);
    pairs.sort_unstable();
    pairs.dedup();
    let phrase = phrases(settling, &pairs);
    pairs
        .into_iter()
        .zip(phrase)
        .enumerate()
        .map(|(number, ((from, to), phrase))| Slur {
            id: SlurId(number as u32),
            from: settling.events[from].id,
            to: settling.events[to].id,
            phrase,
        })
        .collect()
}

/// Pairs starts and stops of one number in score order; on one event stops come first. Returns the
/// ends that are left. A slur that starts and stops on one event is none.
fn pair_ends(mut ends: Vec<(usize, bool)>, pairs: &mut Vec<(usize, usize)>) -> Vec<(usize, bool)> {
    ends.sort_unstable();
    let last_stop = ends.iter().rposition(|&(_, start)| !start);
    let mut open: Option<usize> = None;
    let mut left = Vec::new();
    for (position, &(index, start)) in ends.iter().enumerate() {
        if start {
            left.extend(open.replace(index).map(|old| (old, true)));
        } else if let Some(from) = open.take() {
            pairs.push((from, index));
        } else if last_stop == Some(position) && ends.binary_search(&(index, true)).is_ok() {
            // The stop of a slur on one single event.
            open = None;
        } else {
            left.push((index, false));
        }
    }
    left.extend(open.map(|from| (from, true)));
    left
}

/// A slur belongs to the voice of its first event; an end in another voice is taken to the event
/// of that voice at the same time.
fn settle_voices(settling: &mut Settling<'_>, pairs: &mut [(usize, usize)]) {
    for (from, to) in pairs {
        let voice = settling.events[*from].voice;
        if settling.events[*to].voice == voice {
            continue;
        }
        let onset = settling.events[*to].onset;
        let first = settling.events.partition_point(|event| event.onset < onset);
        let twin = settling.events[first..]
            .iter()
            .take_while(|event| event.onset == onset)
            .position(|event| event.voice == voice && event.grace.is_none() && !event.is_rest());
        if let Some(twin) = twin {
            *to = first + twin;
        }
        settling.note(*from, "a slur leads to another voice", "check where it ends");
    }
}

/// For every pair whether it is a phrase mark: it holds another bow slur, the bow is marked to turn
/// under it, or it lies under a bow slur and holds no more than one stroke of its own.
fn phrases(settling: &mut Settling<'_>, pairs: &[(usize, usize)]) -> Vec<bool> {
    // Indices of the pairs of each voice, in order of their first event, longest first.
    let mut voices: BTreeMap<u8, Vec<usize>> = BTreeMap::new();
    for (slur, &(from, _)) in pairs.iter().enumerate() {
        voices.entry(settling.events[from].voice).or_default().push(slur);
    }
    let mut phrase = vec![false; pairs.len()];
    for (voice, slurs) in voices {
        let attacks = attacks_of(settling, voice);
        tell_by_contents(pairs, &slurs, &attacks, &mut phrase);
        for slur in slurs {
            if !phrase[slur] {
                phrase[slur] = turns_under(settling, pairs[slur], &attacks);
            }
        }
    }
    phrase
}

/// Notes of a voice that are attacks: no grace notes, no ends of ties.
fn attacks_of(settling: &Settling<'_>, voice: u8) -> Vec<usize> {
    let attack = |&index: &usize| {
        let event = &settling.events[index];
        event.voice == voice
            && event.grace.is_none()
            && !event.is_rest()
            && !event.notes.iter().all(|note| note.tie_stop)
    };
    (0..settling.events.len()).filter(attack).collect()
}

/// Marks as phrases the slurs of a voice that hold another bow slur, and those under a bow slur that
/// hold no more than one stroke.
fn tell_by_contents(pairs: &[(usize, usize)], slurs: &[usize], attacks: &[usize], phrase: &mut [bool]) {
    let between = |from: usize, to: usize| {
        attacks.partition_point(|&a| a <= to) - attacks.partition_point(|&a| a < from)
    };
    for (position, &outer) in slurs.iter().enumerate() {
        let (from, to) = pairs[outer];
        // Pairs are sorted by their first event, so those inside stand near.
        let before = slurs[..position].iter().rev().take_while(|&&s| pairs[s].0 == from);
        let after = slurs[position + 1..].iter().take_while(|&&s| pairs[s].0 <= to);
        for &inside in before.chain(after).filter(|&&s| pairs[s].1 <= to && pairs[s] != pairs[outer]) {
            let (a, b) = pairs[inside];
            phrase[if between(a, b) <= 1 { inside } else { outer }] = true;
        }
    }
}

/// Tells whether the bow is marked to turn under a slur. A mark on the first stroke, even after grace
/// notes, is the mark of the whole slur and is put at its start.
fn turns_under(settling: &mut Settling<'_>, (from, to): (usize, usize), attacks: &[usize]) -> bool {
    let under = &attacks[attacks.partition_point(|&a| a < from)..attacks.partition_point(|&a| a <= to)];
    let turned = under.iter().skip(1).find(|&&a| settling.events[a].bow.is_some());
    if let Some(&turned) = turned {
        settling.warn(
            turned,
            "a bow mark stands under a slur; the slur is read as a phrase mark",
            "slur the notes of each bow",
        );
        return true;
    }
    if let Some(&marked) = under.first().filter(|&&a| a > from)
        && let Some(bow) = settling.events[marked].bow.take()
    {
        // The slur begins on a grace note: the bow begins there too.
        settling.events[from].bow.get_or_insert(bow);
        settling.note(marked, "a bow mark after slurred grace notes is moved to the first of them", "");
    }
    false
}
