//! The one or two things to watch in a phrase: what does not work as marked, and what a teacher marks.

use std::{cmp::Reverse, ops::Range};

use super::{Claim, Draft, Says, story::Story};
use crate::{
    bowing::{Need, PencilMark, Topic, Verdict, Zone, places_in},
    score::sentence_case,
};

/// So much is watched in a phrase. Assumed: more than a pupil keeps in mind at a time.
const MOST_WATCHED: usize = 2;

impl Story<'_> {
    /// What there is to watch, and the notes whose way it tells.
    pub fn watch(&self, strokes: &Range<usize>) -> (Vec<Draft>, Vec<usize>) {
        let notes = self.notes(strokes);
        let mut drafts: Vec<Draft> = strokes.clone().filter_map(|stroke| self.trouble(stroke)).collect();
        drafts.truncate(MOST_WATCHED);
        let marks = &self.pencil.marks;
        let line = |note: usize| self.analysis.bowed(note).note;
        let from = marks.partition_point(|mark| mark.note < line(notes.start));
        let here = marks[from..].iter().take_while(|mark| mark.note <= line(notes.end - 1));
        let mut here: Vec<(&PencilMark, usize, Vec<Claim>)> = here
            .filter_map(|mark| {
                let note = self.analysis.bowed_of(mark.note)?;
                let claims = self.claims(mark, note, strokes.start)?;
                Some((mark, note, claims))
            })
            .collect();
        here.sort_by_key(|(mark, note, _)| (Reverse(mark.weight), *note));
        here.truncate(MOST_WATCHED);
        let told = here.iter().filter(|(mark, ..)| mark.topic == Topic::StrokePlace);
        let told = told.map(|(_, note, _)| *note).collect();
        let first_bar = self.bar_of(strokes.start);
        drafts.extend(here.into_iter().map(|(mark, note, claims)| {
            let stroke = self.analysis.stroke_of(note);
            let bar = self.bar(note);
            // What stands over its note on paper has to be found here.
            let told = mark.here().replace("this note", &self.second(note));
            let text = if bar == first_bar { told } else { format!("{}: {told}", self.bar_words(bar)) };
            let notes = note..self.evidence.strokes()[stroke].notes.end;
            Draft::new(notes, Says::Mark(mark.topic), claims, &text)
        }));
        (drafts, told)
    }

    /// "the second D": of two notes of one name, which a mark calls this one, the note over which it stands.
    fn second(&self, note: usize) -> String {
        let graced = self.analysis.note(note).grace.is_some();
        let stroke = self.analysis.stroke_of(note);
        let main = if graced { self.evidence.main_note(stroke) } else { note };
        self.evidence.called(main).replacen("the ", "the second ", 1)
    }

    /// What a mark claims of the bow; none where it is told otherwise, or says more than can be held against the
    /// plan.
    fn claims(&self, mark: &PencilMark, note: usize, first: usize) -> Option<Vec<Claim>> {
        let stroke = self.analysis.stroke_of(note);
        let told = match mark.topic {
            Topic::Way | Topic::LongNote => true,
            Topic::Retake => stroke == first || self.is_set_anew(stroke),
            Topic::StrokePlace => mark.here().contains(" stay in "),
            _ => mark.here().contains("nearer the"),
        };
        // How much bow and how loud is worth a word in any case.
        let worth = match mark.topic {
            Topic::Amount | Topic::SuddenDynamic => Need::IfTime,
            _ => Need::Worth,
        };
        if told || mark.weight < worth || self.analysis.plan.unplanned[note] {
            return None;
        }
        let last = self.evidence.last_note(stroke);
        let hair = self.analysis.plan.problem.hair_mm.max(1.0);
        let (start, _) = self.analysis.plan.places_mm(note);
        let end = self.ends(stroke).1;
        match places_in(mark.here()).as_slice() {
            [] => Some(Vec::new()),
            [zone] if Zone::of(start / hair) == *zone => {
                Some(vec![Claim::At { note, end: false, zone: *zone }])
            }
            [zone] if Zone::of(end) == *zone => Some(vec![Claim::At { note: last, end: true, zone: *zone }]),
            _ => None,
        }
    }

    /// A stroke that does not work as marked.
    fn trouble(&self, stroke: usize) -> Option<Draft> {
        let notes = self.evidence.strokes()[stroke].notes.clone();
        let (from, to) = (self.onset(notes.start), self.end(notes.end - 1));
        let findings = &self.analysis.findings;
        let (finding, _) = findings.between(from, to).find(|(index, more)| {
            let finding = &findings.told[*index];
            let note = more.map_or(finding.note, |nth| finding.more[nth].note);
            finding.verdict <= Verdict::RunsOut
                && self.analysis.bowed_of(note).is_some_and(|note| notes.contains(&note))
        })?;
        let finding = &findings.told[finding];
        let called = self.stroke_in_bar(stroke);
        let text = match finding.verdict {
            Verdict::Impossible => {
                format!("{} cannot be played as marked; the findings say what helps.", sentence_case(&called))
            }
            _ => format!("If you do not look ahead, the bow runs out on {called}."),
        };
        Some(Draft::new(notes, Says::Trouble(finding.kind), Vec::new(), &text))
    }
}
