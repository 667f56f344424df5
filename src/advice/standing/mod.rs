//! How a lesson stands: one measure by which bowings are compared.

mod alike;
mod changed;
mod counts;
mod slurs;
mod strong;
mod weights;

pub(super) use alike::like_before;
pub use changed::Changed;
pub(super) use slurs::{cut, join};
#[cfg(test)]
pub(super) use strong::StrongNotes;
pub(super) use strong::{Strength, StrongNote, Turned, strong_notes};
pub(super) use weights::{HAIRPIN, LEANING, MARK, UNMARKED, told_weight};
use weights::{STRONG_BEAT, UNLIKE};

use crate::{analysis::Study, bowing::Verdict, score::EventId};

/// How a lesson stands, for ranking bowings of the same notes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Standing {
    /// Spots that cannot be played as marked.
    pub impossible: usize,
    /// Spots where the bow runs out as marked.
    pub runs_out: usize,
    /// Spots where the plan bends a lot.
    pub tight: usize,
    /// Rules of thumb that speak against it.
    pub notices: usize,
    /// Hair missing in all, mm.
    pub missing_mm: f64,
    /// Sum over the findings of how plainly each is heard, weighed by its verdict.
    pub heard: f64,
    /// Cost of the plan.
    pub cost: f64,
    /// Bars that begin with the start of a stroke or a hooked note: (on a down-bow, all of them).
    pub strong_beats: (usize, usize),
    /// Hairpins inside one stroke: (crescendo up or diminuendo down, all of them).
    pub hairpins: (usize, usize),
    /// Retakes that take their time from a note.
    pub retakes: usize,
    /// Notes that go on in the bow of the note before them after a stop.
    pub stops: usize,
    /// What speaks against the directions, retakes and hooks among it, in parts of a strong beat on an
    /// up-bow: the same as that by which directions are chosen where none is marked.
    pub against: f64,
}

impl Standing {
    /// How a lesson stands.
    pub fn of(study: &Study) -> Self {
        Self::within(study, &|_| true)
    }

    /// The same of some of the written notes; the plan is that of the whole lesson.
    pub fn within(study: &Study, inside: &dyn Fn(EventId) -> bool) -> Self {
        let mut standing = Self {
            cost: study.analysis().plan.solution.cost,
            strong_beats: counts::strong_beats(study, inside),
            hairpins: counts::hairpins(study, inside),
            retakes: counts::retakes(study.analysis(), inside),
            stops: counts::stops(study.analysis(), inside),
            against: counts::against(study.analysis(), inside),
            ..Self::default()
        };
        for finding in &study.analysis().findings.told {
            let spots = finding.events().filter(|event| inside(*event)).count();
            if spots == 0 {
                continue;
            }
            let count = match finding.verdict {
                Verdict::Impossible => &mut standing.impossible,
                Verdict::RunsOut => &mut standing.runs_out,
                Verdict::Tight => &mut standing.tight,
                Verdict::Notice => &mut standing.notices,
            };
            *count += spots;
            standing.heard += spots as f64 * told_weight(finding.verdict, finding.heard);
            if matches!(finding.verdict, Verdict::Impossible | Verdict::RunsOut) {
                standing.missing_mm += finding.short_mm;
            }
        }
        standing
    }

    /// One number: the lower, the better. Only compares bowings of the same notes.
    pub fn burden(&self) -> f64 {
        let against = |(with, all): (usize, usize)| (all - with) as f64;
        self.heard + self.cost + STRONG_BEAT * against(self.strong_beats) + HAIRPIN * against(self.hairpins)
    }

    /// What a search makes as small as it can and by which remedies are ranked: what is found, the cost of the plan, what speaks against
    /// the directions, a little for each mark that differs from what was there, and more for each slur
    /// that is cut or made, each note bowed otherwise than its like and each printed bow mark that is not followed.
    pub fn weight(&self, changed: Changed) -> f64 {
        let against_hairpins = (self.hairpins.1 - self.hairpins.0) as f64;
        self.heard
            + self.cost
            + LEANING * self.against
            + HAIRPIN * against_hairpins
            + MARK * changed.marks as f64
            + UNMARKED * changed.unmarked as f64
            + changed.slurs
            + UNLIKE * changed.unlike as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        lesson::{Edit, Lesson, Writer, change, demo::demo},
        score::{Direction, NoteValue, Quarters, SameBow, Sign, SignKind, TimeSignature},
        setup::Family,
    };

    fn standing(lesson: &Lesson) -> Standing {
        Standing::of(&Study::new(lesson.clone()))
    }

    #[test]
    fn running_out_weighs_more_than_bending() {
        let standing = standing(&demo());
        assert_eq!(standing.runs_out, 1);
        let eased = Standing { runs_out: 0, heard: 0.0, missing_mm: 0.0, ..standing.clone() };
        assert!(eased.burden() + 2.0 < standing.burden());
    }

    /// Eight quarters in two bars, with a hairpin on one note of each: the other way round, every strong
    /// beat and every hairpin is the other way round.
    #[test]
    fn strong_beats_and_hairpins_follow_the_bow() {
        let violin = Writer::new(change::new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 60.0));
        let quarters = (0..8).fold(violin, |writer, _| writer.note("A4", NoteValue::QUARTER));
        let (mut lesson, _) = quarters.finish().expect("it can be written");
        for (k, opens) in [(0, true), (5, true), (6, false)] {
            let id = lesson.score.free_sign_id();
            let kind = SignKind::Hairpin { opens, end: Quarters::from(k + 1), niente: false };
            lesson.score.signs.push(Sign { id, at: Quarters::from(k), kind });
        }
        let as_it_is = standing(&lesson);
        assert_eq!((as_it_is.strong_beats, as_it_is.hairpins), ((2, 2), (2, 3)));
        let first = lesson.score.events[0].id;
        let (turned, _) = change::turn_from(&lesson, first, Direction::Down)
            .and_then(|edit| edit.apply(&lesson))
            .expect("turned");
        let turned = standing(&turned);
        assert_eq!((turned.strong_beats, turned.hairpins), ((0, 2), (1, 3)));
        // Hooked to the up-bow before it, the second strong beat is on an up-bow; slurred, it is none.
        let fifth = lesson.score.events[4].id;
        let strong_beats = |edit: Edit| standing(&edit.apply(&lesson).expect("bowed").0).strong_beats;
        let hooked = change::hook(&lesson, fifth, Some(SameBow::Hooked)).expect("hooked");
        assert_eq!(strong_beats(hooked), (1, 2));
        let slurred = change::set_slur(&lesson, &[lesson.score.events[3].id, fifth], true).expect("slurred");
        assert_eq!(strong_beats(slurred), (1, 1));
    }
}
