//! The music around the chosen notes: a search in it costs what the passage is long, not the part.

use std::{collections::BTreeSet, ops::Range};

use crate::{
    analysis::Study,
    score::{EventId, Quarters, Score, SignKind, asks_the_bow},
};

use super::{
    ask::Freedom,
    choice::{Choice, Choices},
    field::{Field, choices_of},
};

/// Strokes of the part that go with the chosen notes on either side: farther away the plan hardly
/// changes. Assumed.
pub(super) const AROUND: usize = 24;
/// An excerpt is worth it when it has at most this share of the strokes. Assumed.
const WORTH: f64 = 0.5;

/// A stretch of a part as a lesson of its own.
pub(super) struct Excerpt {
    pub study: Study,
    /// Bowed notes of the part that are in it.
    notes: Range<usize>,
}

impl Excerpt {
    /// The chosen notes and so many strokes on either side. None where that is most of the part, or
    /// where the stretch cannot be bowed alone as it is in the part.
    pub fn of(study: &Study, chosen: &BTreeSet<EventId>, around: usize) -> Option<Self> {
        let analysis = study.analysis();
        let strokes = &analysis.bowing.strokes;
        let all = 0..analysis.bowing.notes.len();
        let is_chosen = |k: &usize| analysis.note(*k).events.iter().any(|id| chosen.contains(id));
        let first = all.clone().find(is_chosen)?;
        let last = all.rev().find(is_chosen)?;
        let from = analysis.stroke_of(first).saturating_sub(around);
        let to = (analysis.stroke_of(last) + around + 1).min(strokes.len());
        if (to - from) as f64 > WORTH * strokes.len() as f64 {
            return None;
        }
        let notes = strokes[from].notes.start..strokes[to - 1].notes.end;
        let head = analysis.note(notes.start);
        let (start, end) = (head.onset, analysis.note(notes.end - 1).end());
        let mut part = study.lesson().clone();
        keep_stretch(&mut part.score, &analysis.line.sections, start, end);
        part.forget_lost_notes();
        // It goes on in the direction it has in the part.
        let opening = part.score.events.iter_mut().find(|event| event.id == head.id())?;
        opening.bow = Some(strokes[from].direction);
        let part = Study::new(part);
        let of_part = part.analysis();
        let same_notes = of_part.bowing.notes.len() == notes.len()
            && notes.clone().enumerate().all(|(there, k)| {
                analysis.note(k).events == of_part.note(there).events
                    && analysis.note(k).manner == of_part.note(there).manner
            });
        if !same_notes {
            return None;
        }
        let set_time_s = study.lesson().setup.school.set_time_s;
        let mut as_in_part = choices_of(&analysis.line, &analysis.bowing, set_time_s)[notes.clone()].to_vec();
        let field = Field::new(&part, None, Freedom::Free);
        // How its first note is reached, the stretch does not know.
        as_in_part[0].link = field.present()[0].link;
        let alike = as_in_part == field.present();
        // What the music before it brings about is printed.
        let part = if alike { part } else { part.with(field.write(&as_in_part)?) };
        Some(Self { study: part, notes })
    }

    /// The bowing of the part with these notes bowed as in a bowing of the excerpt.
    pub fn in_part(&self, present: &[Choice], bowing: &[Choice]) -> Choices {
        let mut all = present.to_vec();
        // How its first note is reached, the excerpt does not know.
        all[self.notes.start + 1..self.notes.end].copy_from_slice(&bowing[1..]);
        all
    }
}

/// Leaves of a score the notes from one moment to another, and of the rest what says how they are played: the
/// tempo; of the section the last dynamic before them, all that swells from there on up to the next one behind
/// them, and what asks for a manner of bowing.
fn keep_stretch(score: &mut Score, sections: &[usize], start: Quarters, end: Quarters) {
    score.events.retain(|event| event.onset >= start && event.onset < end);
    let there: BTreeSet<EventId> = score.events.iter().map(|event| event.id).collect();
    score.slurs.retain(|slur| there.contains(&slur.from) && there.contains(&slur.to));
    let section = |at: Quarters| score.bar_at(at).and_then(|bar| sections.get(bar).copied());
    let (first, last) = (section(start), score.bars.iter().rev().find(|bar| bar.start < end));
    let last = last.and_then(|bar| section(bar.start));
    let begins = sections.partition_point(|section| Some(*section) < first);
    let ends = sections.partition_point(|section| Some(*section) <= last);
    let begins = score.bars.get(begins).map_or(Quarters::ZERO, |bar| bar.start);
    let ends = score.bars.get(ends).map_or(score.end(), |bar| bar.start);
    let at = |is_kind: fn(&SignKind) -> bool| {
        score.signs.iter().filter(move |sign| is_kind(&sign.kind)).map(|sign| sign.at)
    };
    let levels = || at(|kind| matches!(kind, SignKind::Dynamic(_)));
    let tempo = at(|kind| matches!(kind, SignKind::Tempo { .. })).rfind(|at| *at <= start);
    let level = levels().rfind(|at| *at <= start).map_or(begins, |level| level.max(begins));
    let next = levels().find(|at| *at >= end).map_or(ends, |next| next.min(ends));
    score.signs.retain(|sign| match &sign.kind {
        _ if sign.at > next || sign.at >= ends.max(end) => false,
        SignKind::Tempo { .. } => tempo.is_none_or(|tempo| sign.at >= tempo),
        SignKind::Words(words) => sign.at >= level || sign.at >= begins && asks_the_bow(words),
        _ => sign.at >= level,
    });
    score.bars.retain(|bar| bar.end() > start && bar.start < next.max(end));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        lesson::{Lesson, Writer, change::new_passage},
        score::{Dynamic, NoteValue, TimeSignature},
        setup::Family,
    };

    /// Two movements of twenty bars of quarters, with a slur here and there and a bow mark that turns what
    /// follows; of the first loudness, tempo and words change.
    fn part() -> (Lesson, Vec<EventId>) {
        let mut writer = Writer::new(new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 72.0));
        for k in 0..160 {
            writer = writer.note(["A4", "C5", "B4", "E5", "D5"][k % 5], NoteValue::QUARTER);
            writer = if k % 12 == 7 { writer.slur(2) } else { writer };
        }
        let bar = |bar: i64| Quarters::from(4 * bar);
        let words = |text: &str| SignKind::Words(text.to_owned());
        let hairpin = SignKind::Hairpin { opens: false, end: bar(15), niente: false };
        for (at, kind) in [
            (bar(1), SignKind::Dynamic(Dynamic::P)),
            (bar(3), words("cresc.")),
            (bar(6), SignKind::Dynamic(Dynamic::F)),
            (bar(7), words("punta d'arco")),
            (bar(9), SignKind::Tempo { qpm: 120.0, text: "Allegro".to_owned() }),
            (bar(12), hairpin),
            (bar(16), words("dim.")),
        ] {
            writer = writer.sign(at, kind);
        }
        let (mut lesson, ids) = writer.finish().expect("it can be written");
        for (nth, bar) in lesson.score.bars.iter_mut().enumerate() {
            bar.number = (nth % 20 + 1).to_string();
        }
        lesson.score.events[42].bow = Some(crate::score::Direction::Up);
        (lesson, ids)
    }

    #[test]
    fn a_stretch_is_played_as_in_the_part() {
        let (lesson, ids) = part();
        let study = Study::new(lesson);
        let analysis = study.analysis();
        let mut printed = 0;
        for first in (24..140).step_by(5) {
            let chosen = ids[first..first + 4].iter().copied().collect();
            let excerpt = Excerpt::of(&study, &chosen, 6).expect("it can be bowed alone");
            let (here, lesson) = (excerpt.study.analysis(), excerpt.study.lesson());
            for (there, k) in excerpt.notes.clone().enumerate() {
                let (now, note) = (analysis.note(k), here.note(there));
                assert_eq!((&now.events, now.manner), (&note.events, note.manner), "note {k}");
                assert_eq!(analysis.bowed(k).direction, here.bowed(there).direction, "note {k}");
                let level =
                    |analysis: &crate::analysis::Analysis| analysis.line.dynamics.level(now.onset.to_f64());
                assert!((level(analysis) - level(here)).abs() < 1e-9, "note {k}");
                assert_eq!(analysis.line.tempo.qpm_at(now.onset), here.line.tempo.qpm_at(now.onset));
            }
            assert!(lesson.score.signs.len() < study.lesson().score.signs.len());
            printed += lesson.score.events.iter().filter(|event| event.bow.is_some()).count();
        }
        assert!(printed > 0, "no mark holds what the music before brings about");
    }
}
