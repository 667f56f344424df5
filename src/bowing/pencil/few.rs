//! Of all proposals the few that a page has room for: what comes again is marked once, and a note has
//! not more than two marks.

use std::collections::BTreeMap;

use super::{Draft, PencilMark, Topic};
use crate::bowing::evidence::Evidence;

/// A figure is marked anew when it has not come for so many bars. Assumed.
const FORGOTTEN_BARS: usize = 8;
/// Marks of one topic have at least so many bars from one to the next, unless they must be told. Assumed.
const APART_BARS: usize = 1;
/// Most marks over one note. Assumed.
const MOST_A_NOTE: usize = 2;

pub(super) fn few(evidence: &Evidence, mut drafts: Vec<Draft>) -> Vec<PencilMark> {
    drafts.sort_by_key(|draft| (draft.mark.at, draft.mark.note, std::cmp::Reverse(draft.mark.weight)));
    let bar = |mark: &PencilMark| evidence.line.notes[mark.note].bar;
    let mut seen: BTreeMap<(Topic, u64), usize> = BTreeMap::new();
    let mut last: BTreeMap<Topic, usize> = BTreeMap::new();
    let mut marks: Vec<PencilMark> = Vec::new();
    for Draft { mark, figure } in drafts {
        let here = bar(&mark);
        let again = seen.insert((mark.topic, figure), here);
        if again.is_some_and(|before| here - before <= FORGOTTEN_BARS) {
            continue;
        }
        let near = last.get(&mark.topic).is_some_and(|before| here - before < APART_BARS);
        let crowd = marks.iter().rev().take_while(|other| other.at == mark.at).count();
        if near && mark.weight < super::Need::Must || crowd >= MOST_A_NOTE {
            continue;
        }
        last.insert(mark.topic, here);
        marks.push(mark);
    }
    marks
}
