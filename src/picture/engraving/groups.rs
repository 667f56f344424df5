//! What belongs together: voices of a bar, beams, tuplets. Common practice, no source.

use std::collections::{BTreeMap, HashMap, HashSet};

use crate::score::{Bar, Between, NoteValue, Quarters, Score, TimeSignature};

/// Voices that play in each bar, in order. Whole-bar rests do not count.
pub(super) fn voices_by_bar(score: &Score) -> HashMap<usize, Vec<u8>> {
    let mut voices: HashMap<usize, Vec<u8>> = HashMap::new();
    for event in score.events.iter().filter(|event| !(event.whole_bar && event.is_rest())) {
        let list = voices.entry(score.bar_at(event.onset).unwrap_or(0)).or_default();
        if let Err(at) = list.binary_search(&event.voice) {
            list.insert(at, event.voice);
        }
    }
    voices
}

/// Lengths of the groups into which beams are cut, from the barline. `fine`: the bar has notes
/// shorter than an eighth, so beams show every beat.
fn beam_spans(time: &TimeSignature, fine: bool) -> Vec<Quarters> {
    let unit = Quarters::new(4, i64::from(time.beat_type.max(1)));
    let count = i64::from(time.count()).max(1);
    if time.beats.contains('+') {
        let parts = time.beats.split('+').filter_map(|part| part.trim().parse::<i64>().ok());
        return parts.filter(|n| *n > 0).map(|n| unit * Quarters::from(n)).collect();
    }
    let span = match (count, time.beat_type) {
        (3, 8 | 16) => unit * Quarters::from(3),
        (2 | 4, 4) if !fine => Quarters::from(2),
        (3, 4) if !fine => Quarters::from(3),
        (_, 1 | 2) if fine => Quarters::ONE,
        (_, 1 | 2) => Quarters::from(2),
        (_, 8..) if time.beat() == unit => Quarters::ONE,
        _ => time.beat(),
    };
    let total = unit * Quarters::from(count);
    let pieces = (total.to_f64() / span.to_f64()).ceil().clamp(1.0, 64.0);
    vec![span; pieces as usize]
}

/// Index of the beam span in which a note starts. A pick-up counts back from its end.
fn span_of(bar: &Bar, fine: bool, onset: Quarters) -> usize {
    let missing = match bar.time.bar_length() {
        Some(full) if bar.pickup && full > bar.length => full - bar.length,
        _ => Quarters::ZERO,
    };
    let mut left = onset - bar.start + missing;
    let spans = beam_spans(&bar.time, fine);
    for (index, span) in spans.iter().enumerate() {
        if left < *span {
            return index;
        }
        left = left - *span;
    }
    spans.len()
}

/// Beam groups of two or more events: one voice, one beam span, no rest between; grace notes of
/// one onset among themselves.
/// The two notes of a tremolo are a group.
pub(super) fn beams(score: &Score, tremolos: &[Between]) -> Vec<Vec<usize>> {
    let between: HashSet<usize> = tremolos.iter().flat_map(|own| [own.from, own.to]).collect();
    let mut groups: Vec<Vec<usize>> = Vec::new();
    // Open group of each voice: its bar, span and (for grace notes) onset, and its members.
    type Place = (usize, usize, Quarters);
    let mut open: BTreeMap<(u8, bool), (Place, Vec<usize>)> = BTreeMap::new();
    let mut fine: HashMap<usize, bool> = HashMap::new();
    for event in score.events.iter().filter(|event| event.grace.is_none() && !event.is_rest()) {
        let bar = score.bar_at(event.onset).unwrap_or(0);
        *fine.entry(bar).or_default() |= event.value.log2_whole <= -4 || event.value.tuplet.is_some();
    }
    for (index, event) in score.events.iter().enumerate() {
        let grace = event.grace.is_some();
        let bar_index = score.bar_at(event.onset).unwrap_or(0);
        let fine = fine.get(&bar_index).copied().unwrap_or(false);
        let span = score.bars.get(bar_index).map_or(0, |bar| span_of(bar, fine, event.onset));
        let place = (bar_index, span, if grace { event.onset } else { Quarters::ZERO });
        let beamable = event.value.log2_whole <= -3 && !event.is_rest() && !between.contains(&index);
        let key = (event.voice, grace);
        match open.remove(&key) {
            Some((before, mut members)) if before == place && beamable => {
                members.push(index);
                open.insert(key, (place, members));
            }
            closed => {
                groups.extend(closed.map(|(_, members)| members));
                if beamable {
                    open.insert(key, (place, vec![index]));
                }
            }
        }
    }
    groups.extend(open.into_values().map(|(_, members)| members));
    groups.extend(tremolos.iter().map(|own| vec![own.from, own.to]));
    groups.retain(|members| members.len() > 1);
    groups.sort();
    groups
}

/// Tuplets: runs of one voice with one ratio, cut where a group is full. That each of two notes of a tremolo is
/// printed as long as both makes no tuplet.
pub(super) fn tuplets(score: &Score, tremolos: &[Between]) -> Vec<Vec<usize>> {
    let between: HashSet<usize> = tremolos.iter().flat_map(|own| [own.from, own.to]).collect();
    let mut groups: Vec<Vec<usize>> = Vec::new();
    // Open group of each voice: ratio, length so far, members.
    type Open = ((u16, u16), Quarters, Vec<usize>);
    let mut open: BTreeMap<u8, Open> = BTreeMap::new();
    for (index, event) in score.events.iter().enumerate().filter(|(_, event)| event.grace.is_none()) {
        let current = open.remove(&event.voice);
        let ratio = event.value.tuplet.filter(|ratio| !(between.contains(&index) && ratio.0 == 2 * ratio.1));
        let Some(ratio) = ratio else {
            groups.extend(current.map(|(_, _, members)| members));
            continue;
        };
        let (mut length, mut members) = match current {
            Some((old, length, members)) if old == ratio => (length, members),
            other => {
                groups.extend(other.map(|(_, _, members)| members));
                (Quarters::ZERO, Vec::new())
            }
        };
        length += event.duration;
        members.push(index);
        // Full when the members fill `normal` notes of the shortest plain value among them.
        let shortest = members.iter().map(|&i| score.events[i].value.log2_whole).min().unwrap_or(-2);
        let full = NoteValue::plain(shortest).length() * Quarters::from(i64::from(ratio.1));
        if full.is_positive() && (length / full).denom() == 1 {
            groups.push(members);
        } else {
            open.insert(event.voice, (ratio, length, members));
        }
    }
    groups.extend(open.into_values().map(|(_, _, members)| members));
    groups.retain(|members| members.len() > 1);
    groups.sort();
    groups
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::{Event, EventId, Letter, Note, Pitch};

    fn bar_of(time: TimeSignature, values: &[NoteValue]) -> Score {
        let length = time.bar_length().unwrap();
        let mut score =
            Score { bars: vec![Bar::new(Quarters::ZERO, length, "1", time, 0)].into(), ..Score::default() };
        let mut at = Quarters::ZERO;
        for (i, value) in values.iter().enumerate() {
            let note = Note::new(Pitch::new(Letter::C, 0.0, 5));
            score.events.push(Event::new(EventId(i as u32), at, *value, vec![note]).into());
            at += value.length();
        }
        score
    }

    #[test]
    fn beams_show_the_beats() {
        let eighth = NoteValue::plain(-3);
        let sizes = |score: &Score| beams(score, &[]).iter().map(Vec::len).collect::<Vec<_>>();
        assert_eq!(sizes(&bar_of(TimeSignature::new(4, 4), &[eighth; 8])), [4, 4]);
        assert_eq!(sizes(&bar_of(TimeSignature::new(3, 4), &[eighth; 6])), [6]);
        assert_eq!(sizes(&bar_of(TimeSignature::new(6, 8), &[eighth; 6])), [3, 3]);
        assert_eq!(sizes(&bar_of(TimeSignature::new(3, 8), &[eighth; 3])), [3]);
        let sixteenth = NoteValue::plain(-4);
        let mixed = [eighth, eighth, sixteenth, sixteenth, sixteenth, sixteenth];
        assert_eq!(sizes(&bar_of(TimeSignature::new(2, 4), &mixed)), [2, 4]);
        let plus = TimeSignature::from_words("3+2/8").expect("a metre");
        assert_eq!(sizes(&bar_of(plus, &[eighth; 5])), [3, 2]);
    }

    #[test]
    fn triplets_are_told_apart() {
        let triplet = NoteValue { log2_whole: -3, dots: 0, tuplet: Some((3, 2)) };
        let long = NoteValue { log2_whole: -2, ..triplet };
        let values = [triplet, triplet, triplet, long, triplet];
        let groups = tuplets(&bar_of(TimeSignature::new(2, 4), &values), &[]);
        assert_eq!(groups, [vec![0, 1, 2], vec![3, 4]]);
    }
}
