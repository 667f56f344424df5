//! How readily a player takes a bowing instead of the present one.
//!
//! The weight of a bowing says how it goes on the bow; it does not say what a player takes. That was fitted to the
//! bowings that teachers wrote down for some 260 excerpts of fifteen quartets (those of `tests/data` and of the annotated
//! passages), against all others that the search tried there: the chance that a bowing is theirs grows with the
//! exponential of its liking. A term is here where it carried over to quartets that were left out of the fit; the
//! weights are round, and two fifths more or less of any of them changes hardly an answer.

use std::collections::BTreeMap;

use crate::score::{Attack, Direction, EventId, Quarters};

use super::{
    super::standing::{Strength, StrongNote, strong_notes},
    choice::{Choice, Link},
    field::Field,
    figures::Figures,
    tried::Tried,
};

/// The bowing as it is is liked so much more than another that changes nothing to speak of. This and all that follow
/// are assumed, chosen to agree with those excerpts.
pub(super) const AS_IT_IS: f64 = 1.2;
/// A bowing that is liked so much less than the present one is not told: a teacher takes one of twelve of these.
pub(super) const TOLD: f64 = AS_IT_IS - 2.5;

/// Each mark that differs, and what speaks against the slurs that are cut and made.
const MARK: f64 = 0.15;
const SLUR: f64 = 0.6;
/// Of a bow that bears two bars the barline is where it is divided first: that outweighs its cost.
const CUT_AT_BARLINE: f64 = 2.5;
/// A printed bow mark that is not followed.
const UNMARKED: f64 = 3.0;
/// What speaks against the directions, for a strong beat on an up-bow.
const LEANING: f64 = 0.35;
/// An accent or a chord that comes on a down-bow; one that comes off it takes as much.
const ACCENT: f64 = 0.8;
/// A note hooked to the one before it; less where it is short, half a beat at most, and more where it begins a bar or
/// is longer than a beat.
const HOOK: f64 = 1.3;
const SHORT_HOOK: f64 = 1.0;
const HEAVY_HOOK: f64 = 1.5;
/// A retake where nothing strong comes down for it.
const PLAIN_RETAKE: f64 = 2.3;
/// Each kind of change beyond the first: hooks, retakes, cuts and joins are one thing to think of each.
const KIND: f64 = 1.8;
/// A bar or a beat that is bowed otherwise than the first one of its rhythm.
const UNLIKE: f64 = 0.9;
/// Neighbouring bows that last unlike, as the mean logarithm of their ratio.
const UNEVEN: f64 = 2.8;
/// What is found, for each point of its weight.
const HEARD: f64 = 0.25;

/// Reads the bowings of one field.
pub(super) struct Reader<'a> {
    field: &'a Field,
    figures: Figures,
    strong: BTreeMap<EventId, StrongNote>,
}

/// What is written at a note that was not.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Change {
    Hook,
    Retake,
    Cut,
    Join,
}

impl<'a> Reader<'a> {
    pub fn new(field: &'a Field) -> Self {
        Self { field, figures: Figures::of(field), strong: strong_notes(field.study()) }
    }

    /// How readily a bowing is taken; the present one has [`AS_IT_IS`].
    pub fn liking(&self, tried: &Tried, now: &Tried) -> f64 {
        let more = |is: usize, was: usize| is as f64 - was as f64;
        let ((unlike, uneven), (was_unlike, was_uneven)) =
            (self.figures.read(&tried.bowing), self.figures.read(&now.bowing));
        let lost = accents(&tried.turned.up) + accents(&tried.turned.over);
        -MARK * tried.changed.marks as f64
            - SLUR * tried.changed.slurs
            - UNMARKED * tried.changed.unmarked as f64
            - LEANING * (tried.after.against - now.after.against)
            - HEARD * (tried.after.heard - now.after.heard)
            - HOOK * more(tried.after.stops, now.after.stops)
            + ACCENT * more(accents(&tried.turned.down), lost)
            - UNLIKE * more(unlike, was_unlike)
            - UNEVEN * (uneven - was_uneven)
            + self.written(&tried.bowing)
    }

    /// What is written anew, as it is liked.
    fn written(&self, bowing: &[Choice]) -> f64 {
        let (study, present) = (self.field.study(), self.field.present());
        let (score, analysis) = (&study.lesson().score, study.analysis());
        let (mut liked, mut at_barline, mut kinds) = (0.0, false, Vec::new());
        for k in self.field.chosen_notes() {
            let note = analysis.note(k);
            let (was, is) = (present[k].link, bowing[k].link);
            let of = |link: Link| is == link && was != link;
            if of(Link::Hook) {
                kinds.push(Change::Hook);
                liked += self.hook(note);
            }
            if of(Link::Retake) {
                kinds.push(Change::Retake);
                let strong = self.strong.contains_key(&note.id()) && bowing[k].direction == Direction::Down;
                liked -= if strong { 0.0 } else { PLAIN_RETAKE };
            }
            if was == Link::Joined && is.starts() {
                kinds.push(Change::Cut);
                at_barline |= score.starts_bar(note);
            }
            if of(Link::Slur) {
                kinds.push(Change::Join);
            }
        }
        kinds.sort_unstable();
        kinds.dedup();
        liked + if at_barline { CUT_AT_BARLINE } else { 0.0 } - KIND * kinds.len().saturating_sub(1) as f64
    }

    /// What a note gains or loses as a hook beside others.
    fn hook(&self, note: &Attack) -> f64 {
        let score = &self.field.study().lesson().score;
        let Some(bar) = score.bars.get(note.bar) else { return 0.0 };
        let beat = bar.time.beat();
        let short = note.duration * Quarters::from(2) <= beat;
        let heavy = score.starts_bar(note) || note.duration > beat;
        let less = if heavy { HEAVY_HOOK } else { 0.0 };
        if short { SHORT_HOOK - less } else { -less }
    }
}

/// How many of these are more than the first of a bar.
pub(super) fn accents(notes: &[StrongNote]) -> usize {
    notes.iter().filter(|note| note.strength != Strength::Barline).count()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        advice::{Freedom, search::tried::Pool},
        analysis::Study,
        lesson::{Writer, change::new_passage},
        score::{Mark, NoteValue, TimeSignature},
        setup::Family,
    };

    /// What a passage is of: names of one bar, each with its length, an accent or none, and how many notes up to it are slurred.
    type Notes<'a> = &'a [(&'a str, NoteValue, bool, usize)];

    const QUARTER: NoteValue = NoteValue::QUARTER;
    const EIGHTH: NoteValue = NoteValue::EIGHTH;

    fn written(bars: usize, notes: Notes) -> Study {
        let violin = Writer::new(new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 80.0));
        let passage = (0..bars).flat_map(|_| notes).fold(violin, |writer, (name, value, accent, slur)| {
            let writer = writer.note(name, *value);
            let writer = if *accent { writer.mark(Mark::Accent) } else { writer };
            if *slur > 1 { writer.slur(*slur) } else { writer }
        });
        Study::new(passage.finish().expect("it can be written").0)
    }

    /// How these changes are liked, each where the others are not made.
    fn likings<const N: usize>(study: &Study, changes: [&[(usize, Link)]; N]) -> [f64; N] {
        read(study, changes, |reader, tried, now| reader.liking(tried, now))
    }

    /// What is read of each of these changes where the others are not made.
    fn read<const N: usize>(
        study: &Study,
        changes: [&[(usize, Link)]; N],
        reads: impl Fn(&Reader, &Tried, &Tried) -> f64,
    ) -> [f64; N] {
        let field = Field::new(study, None, Freedom::Free);
        let mut on = |_: f64| true;
        let mut pool = Pool::new(&field, &mut on);
        let reader = Reader::new(&field);
        changes.map(|change| {
            let at = |(k, link): &(usize, Link)| (*k, Choice { link: *link, ..field.present()[*k] });
            let changes: Vec<(usize, Choice)> = change.iter().map(at).collect();
            // Direction and all that follows go on from the note before.
            let mut bowing = field.present().to_vec();
            for (k, choice) in changes {
                let before = bowing[k - 1].direction;
                let direction = if choice.link == Link::Change { before.turned() } else { before };
                bowing = field.changed(&bowing, &[(k, Choice { direction, ..choice })]).expect("bowed");
            }
            let tried = pool.try_out(bowing).expect("not stopped").expect("it can be written");
            reads(&reader, &pool.tried[tried], &pool.tried[0])
        })
    }

    /// Common practice, no source.
    #[test]
    fn a_short_note_is_hooked_rather_than_a_long_one_or_the_first_of_a_bar() {
        let notes = [
            ("A4", QUARTER, false, 0),
            ("B4", EIGHTH, false, 0),
            ("C5", EIGHTH, false, 0),
            ("D5", NoteValue::HALF, false, 0),
        ];
        let [short, long, first] =
            likings(&written(3, &notes), [&[(6, Link::Hook)], &[(7, Link::Hook)], &[(8, Link::Hook)]]);
        assert!(short > long && short > first, "{short}, {long}, {first}");
    }

    /// What is done in one of two like bars is done in the other. Common practice, no source.
    #[test]
    fn like_bars_are_bowed_alike() {
        let notes = [
            ("A4", QUARTER, false, 0),
            ("B4", QUARTER, false, 0),
            ("C5", QUARTER, false, 0),
            ("B4", QUARTER, false, 0),
        ];
        let study = written(4, &notes);
        let pairs = |bars: &[usize]| -> Vec<(usize, Link)> {
            bars.iter().flat_map(|bar| [(4 * bar + 1, Link::Slur), (4 * bar + 3, Link::Slur)]).collect()
        };
        let (three, four) = (pairs(&[0, 1, 3]), pairs(&[0, 1, 2, 3]));
        let [three, four] = likings(&study, [&three, &four]);
        assert!(four > three, "{three}, {four}");
    }

    /// A slur over a barline is divided there; one within a bar in halves. Common practice, no source.
    #[test]
    fn slurs_are_divided_at_the_barline_and_in_halves() {
        let notes = [
            ("A4", QUARTER, false, 0),
            ("B4", QUARTER, false, 0),
            ("C5", QUARTER, false, 0),
            ("D5", QUARTER, false, 4),
        ];
        let [halves, rest] = likings(&written(2, &notes), [&[(6, Link::Change)], &[(5, Link::Change)]]);
        assert!(halves > rest, "{halves}, {rest}");
        let mut over = notes;
        over[3].3 = 0;
        let study = written(2, &over);
        let (lesson, ids) = (study.lesson(), study.lesson().score.events.iter().map(|event| event.id));
        let ids: Vec<EventId> = ids.collect();
        let edit = crate::lesson::change::set_slur(lesson, &ids[2..6], true).expect("slurred");
        let study = Study::new(edit.apply(lesson).expect("slurred").0);
        let [barline, beat] = likings(&study, [&[(4, Link::Change)], &[(5, Link::Change)]]);
        assert!(barline > beat, "{barline}, {beat}");
    }

    /// A bow is lifted for an accent rather than for nothing; one thing to think of is taken rather than two. Common
    /// practice, no source.
    #[test]
    fn a_retake_is_for_an_accent_and_one_change_is_enough() {
        let notes = [
            ("A4", QUARTER, false, 0),
            ("B4", QUARTER, false, 0),
            ("C5", QUARTER, false, 0),
            ("D5", QUARTER, true, 0),
        ];
        let study = written(2, &notes);
        let down = |k: usize| study.analysis().bowed(k - 1).direction == Direction::Down;
        assert!(down(7), "the accent is on an up-bow, behind a down-bow");
        let [accent, plain] = likings(&study, [&[(7, Link::Retake)], &[(6, Link::Retake)]]);
        assert!(accent > TOLD && plain < TOLD, "{accent}, {plain}");
        let (hook, retake) = ((2, Link::Hook), (6, Link::Retake));
        let [hooked, retaken, both] =
            read(&study, [&[hook], &[retake], &[hook, retake]], |reader, tried, _| {
                reader.written(&tried.bowing)
            });
        assert!(both < hooked + retaken - 0.1, "{both}, {hooked}, {retaken}");
    }
}
