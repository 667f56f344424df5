//! What the sentences are written from.

use std::ops::Range;

use super::{Draft, Phrase, Sentence, Tempos};
use crate::{
    analysis::{Analysis, Study},
    bowing::{Evidence, Pencil, Zone},
    lesson::Lesson,
    score::{BarName, Quarters, sentence_case},
};

/// A study on its way into words.
pub(super) struct Story<'a> {
    pub lesson: &'a Lesson,
    pub analysis: &'a Analysis,
    pub evidence: Evidence<'a>,
    pub pencil: &'a Pencil,
    pub tempos: Option<&'a Tempos>,
    /// The bars that are told of, as indices.
    pub bars: Range<usize>,
}

impl<'a> Story<'a> {
    pub fn new(study: &'a Study, tempos: Option<&'a Tempos>, bars: Range<usize>) -> Self {
        let (lesson, analysis) = (study.lesson(), study.analysis());
        let evidence = analysis.evidence(lesson);
        Self { lesson, analysis, evidence, pencil: study.pencil(), tempos, bars }
    }

    /// A phrase in words, given as its strokes.
    pub fn tell(&self, strokes: Range<usize>) -> Option<Phrase> {
        let notes = self.notes(&strokes);
        let (from, to) = (self.onset(notes.start), self.end(notes.end.checked_sub(1)?));
        let mut drafts = self.start(&strokes).into_iter().collect::<Vec<_>>();
        let (watched, told) = self.watch(&strokes);
        drafts.extend(self.way(&strokes, &told));
        drafts.extend(watched);
        drafts.extend(self.hands(&strokes));
        // In the order of the music; of what begins together the way comes first, as it was written.
        drafts.sort_by_key(|draft| draft.notes.start);
        drafts.extend(self.tempos(&strokes));
        // A bow belongs to the bar in which it begins.
        let (first, last) = (self.bar_of(strokes.start), self.bar_of(strokes.end - 1));
        let sections = &self.analysis.line.sections;
        let name = |bar: usize| self.lesson.score.bar_name(bar, sections);
        let title = sentence_case(&BarName::words_to(&name(first), &name(last)));
        let sentences = drafts.into_iter().map(|draft| self.placed(draft)).collect();
        Some(Phrase { bars: first..last + 1, from, to, title, sentences })
    }

    fn placed(&self, draft: Draft) -> Sentence {
        let Draft { notes, says, claims, text } = draft;
        Sentence {
            from: self.onset(notes.start),
            to: self.end(notes.end - 1),
            event: self.analysis.note(notes.start).id(),
            says,
            claims,
            text,
            own: None,
        }
    }

    /// The bowed notes of some strokes.
    pub fn notes(&self, strokes: &Range<usize>) -> Range<usize> {
        let all = self.evidence.strokes();
        match (all.get(strokes.start), strokes.end.checked_sub(1).and_then(|last| all.get(last))) {
            (Some(first), Some(last)) if !strokes.is_empty() => first.notes.start..last.notes.end,
            _ => 0..0,
        }
    }

    /// The bar in which a bowed note stands.
    pub fn bar(&self, note: usize) -> usize {
        self.analysis.note(note).bar
    }

    /// The bar in which a stroke begins, as players count: that of its main note.
    pub fn bar_of(&self, stroke: usize) -> usize {
        self.bar(self.evidence.main_note(stroke))
    }

    /// The movement in which a stroke begins.
    pub fn section(&self, stroke: usize) -> Option<usize> {
        self.analysis.line.sections.get(self.bar_of(stroke)).copied()
    }

    pub fn onset(&self, note: usize) -> Quarters {
        self.analysis.note(note).onset
    }

    pub fn end(&self, note: usize) -> Quarters {
        self.analysis.note(note).end()
    }

    /// Where a stroke starts and ends, as shares of the hair.
    pub fn ends(&self, stroke: usize) -> (f64, f64) {
        self.evidence.shares(stroke)
    }

    pub fn zones(&self, stroke: usize) -> (Zone, Zone) {
        let (start, end) = self.ends(stroke);
        (Zone::of(start), Zone::of(end))
    }

    /// How much of the hair a stroke takes, as a share.
    pub fn travel(&self, stroke: usize) -> f64 {
        let (start, end) = self.ends(stroke);
        (end - start).abs()
    }

    /// The plan covers a stroke.
    pub fn is_planned(&self, stroke: usize) -> bool {
        let notes = self.evidence.strokes()[stroke].notes.clone();
        self.analysis.plan.error.is_none() && !self.analysis.plan.unplanned[notes].contains(&true)
    }

    /// The time in which nothing is bowed before a stroke, s; none before the first.
    pub fn silence_s(&self, stroke: usize) -> Option<f64> {
        let before = stroke.checked_sub(1)?;
        let ended = self.analysis.bowed(self.evidence.last_note(before));
        let here = self.analysis.bowed(self.evidence.first(stroke));
        Some(here.onset_s - ended.onset_s - ended.sounding_s)
    }

    /// "bar 9", without its movement: what is told of is near.
    pub fn bar_words(&self, bar: usize) -> String {
        self.lesson.score.bar_name(bar, &[]).words()
    }
}
