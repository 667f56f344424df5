//! Of all proposals the few that a page has room for: what comes again is marked once, a note has not more
//! than two marks, and where much is going on the less needed ones are left for when there is time.

use std::{cmp::Reverse, collections::BTreeMap};

use super::{Draft, Need, PencilMark, Topic, ground::rank};
use crate::{bowing::evidence::Evidence, score::BarName};

/// A figure is marked anew when it has not come for so many bars. Assumed.
const FORGOTTEN_BARS: usize = 8;
/// Most marks over one note, beside what must be told. Assumed.
const MOST_A_NOTE: usize = 2;
/// So many bars, or so many notes, are a page. Assumed, from printed parts.
const PAGE_BARS: f64 = 40.0;
const PAGE_NOTES: f64 = 250.0;
/// In a stretch of this part of a page at most so many marks are more than a thing for spare time. Assumed;
/// what must be told stands in any case.
const STRETCH: f64 = 0.1;
const MOST_A_STRETCH: usize = 3;

pub(super) fn few(evidence: &Evidence, mut drafts: Vec<Draft>) -> Vec<PencilMark> {
    drafts.sort_by_key(|Draft { mark, .. }| (mark.at, mark.note, Reverse(mark.weight), rank(mark.topic)));
    let mut marks = once(evidence, drafts);
    spread(evidence, &mut marks);
    marks
}

/// What is known of a figure that was marked.
struct Seen {
    /// The mark, as an index.
    mark: usize,
    /// Bar of the last time.
    last: usize,
}

/// Every figure once, until it is forgotten.
fn once(evidence: &Evidence, drafts: Vec<Draft>) -> Vec<PencilMark> {
    let mut seen: BTreeMap<(Option<usize>, Topic, u64), Seen> = BTreeMap::new();
    let mut marks: Vec<PencilMark> = Vec::new();
    // In which bars each comes again.
    let mut again: Vec<Vec<usize>> = Vec::new();
    for Draft { mark, figure } in drafts {
        let here = evidence.line.notes[mark.note].bar;
        // A figure of another movement is another figure.
        let figure = (evidence.line.sections.get(here).copied(), mark.topic, figure);
        let known = seen.get_mut(&figure);
        if let Some(known) = known {
            let forgotten = here - known.last > FORGOTTEN_BARS;
            known.last = here;
            if !forgotten {
                again[known.mark].push(here);
                continue;
            }
        }
        let crowd = marks.iter().rev().take_while(|other| other.at == mark.at);
        let says = |other: &PencilMark| {
            other.topic == mark.topic || mark.weight < Need::Must && is_said_by(mark.topic, other.topic)
        };
        let (count, same) = crowd.fold((0, false), |(count, same), other| (count + 1, same || says(other)));
        if count >= MOST_A_NOTE && mark.weight < Need::Must || same {
            continue;
        }
        seen.insert(figure, Seen { mark: marks.len(), last: here });
        marks.push(mark);
        again.push(Vec::new());
    }
    for (mark, again) in marks.iter_mut().zip(&again) {
        comes_again(evidence, mark, again);
    }
    marks
}

/// What one mark on a note says, the other says there too: how a chord is set is how it is accented, where the
/// bow is for the new loudness and after a lift, and how a note ends that is followed by a plucked one.
fn is_said_by(topic: Topic, other: Topic) -> bool {
    matches!(
        (topic, other),
        (Topic::Accent, Topic::Chord)
            | (Topic::StrokePlace, Topic::SuddenDynamic | Topic::Retake | Topic::Amount)
            | (Topic::PhraseEnd, Topic::Plucking)
    )
}

/// So many bars are named in which a mark holds too. Assumed.
const MOST_BARS: usize = 4;

/// The mark stands for what comes again in these bars. Where the same notes may go another way elsewhere, it is
/// said of the bars by their names, however many.
fn comes_again(evidence: &Evidence, mark: &mut PencilMark, again: &[usize]) {
    let own = evidence.line.notes[mark.note].bar;
    let mut bars: Vec<usize> = again.iter().copied().filter(|bar| *bar != own).collect();
    bars.dedup();
    // All of them stand in one movement.
    let names: Vec<BarName> = bars.iter().map(|bar| evidence.lesson.score.bar_name(*bar, &[])).collect();
    let own_bytes = mark.sentence.len();
    let by_the_plan = matches!(mark.topic, Topic::Hooked | Topic::PhraseEnd | Topic::Retake | Topic::Way);
    if !names.is_empty() && (by_the_plan || names.len() <= MOST_BARS) {
        mark.sentence += &format!(" Also in {}.", BarName::words_of(&names.iter().collect::<Vec<_>>()));
    } else if again.len() > 1 {
        mark.sentence += " The same each time.";
    }
    mark.elsewhere = mark.sentence.len() - own_bytes;
    if again.len() > 1 && !by_the_plan && mark.text.split(' ').count() <= 2 {
        mark.text += ", each time";
    }
}

/// Leaves only so many in a stretch that are worth telling.
fn spread(evidence: &Evidence, marks: &mut [PencilMark]) {
    let pages = pages(evidence);
    let place: Vec<f64> = marks.iter().map(|mark| pages[mark.note]).collect();
    let mut order: Vec<usize> = (0..marks.len()).filter(|&mark| marks[mark].weight == Need::Worth).collect();
    order.sort_by_key(|&mark| (rank(marks[mark].topic), mark));
    let mut kept: Vec<bool> = marks.iter().map(|mark| mark.weight == Need::Must).collect();
    for index in order {
        let near = |other: &usize| (place[*other] - place[index]).abs() < 0.5 * STRETCH;
        let before = (0..index).rev().take_while(near);
        let after = (index + 1..marks.len()).take_while(near);
        if before.chain(after).filter(|&other| kept[other]).count() < MOST_A_STRETCH {
            kept[index] = true;
        } else {
            marks[index].weight = Need::IfTime;
        }
    }
}

/// How many pages come before each note of the line: a bar fills a part of a page, by its notes where it
/// holds many.
fn pages(evidence: &Evidence) -> Vec<f64> {
    let notes = &evidence.line.notes;
    let mut pages = Vec::with_capacity(notes.len());
    let mut so_far = 0.0;
    while let Some(note) = notes.get(pages.len()) {
        let first = pages.len();
        let count = notes[first..].iter().take_while(|other| other.bar == note.bar).count();
        let bar = (1.0 / PAGE_BARS).max(count as f64 / PAGE_NOTES);
        let skipped = first.checked_sub(1).map_or(0, |before| note.bar.saturating_sub(notes[before].bar + 1));
        so_far += skipped as f64 / PAGE_BARS;
        pages.extend((0..count).map(|k| so_far + bar * k as f64 / count as f64));
        so_far += bar;
    }
    pages
}
