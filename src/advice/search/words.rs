//! Suggestions in words.

use std::{cmp::Ordering, collections::BTreeSet};

use crate::{
    analysis::Study,
    score::{BarName, EventId, Score, sentence_case},
};

use super::{
    super::{
        difference::Difference,
        standing::{Changed, Standing, Strength, StrongNote, Turned, strong_notes},
    },
    answer::Suggestion,
    ways::Way,
};

/// Costs of two plans closer than this are alike: nobody feels less in the arm. Assumed.
const SAME_COST: f64 = 0.5;
/// Directions that differ by less than this, in strong beats on up-bows, are alike. Assumed.
const SAME_LEANING: f64 = 0.3;

const NEARER: &str = "beats and figures nearer to their usual bows";
const EASIER: &str = "less to save and to hurry";

/// The way it is bowed, if it has a name, and the changes in a few words; how many more there are is counted as
/// they are listed.
pub(super) fn headline(way: Option<Way>, changes: &[Difference]) -> String {
    let one = |change: &Difference| format!("{}: {}", change.place, change.words);
    let changes = match changes {
        [] => "As it is".to_owned(),
        [first] => one(first),
        [first, second] => format!("{}; {}", one(first), one(second)),
        [first, rest @ ..] => format!("{}; and {} more changes", one(first), rest.len()),
    };
    sentence_case(&match way {
        Some(way) => format!("{} ({changes})", way.words()),
        None => changes,
    })
}

/// Adds the figures of the notes that were asked about, and what is gained and paid, in two lines.
pub(super) fn explain(
    study: &Study,
    asked: Option<&BTreeSet<EventId>>,
    mut answers: Vec<Suggestion>,
) -> Vec<Suggestion> {
    let inside = |event: EventId| asked.is_none_or(|asked| asked.contains(&event));
    let (whole, here) = (Standing::of(study), Standing::within(study, &inside));
    let strong = strong_notes(study);
    let line = &study.analysis().line.notes;
    let bars: BTreeSet<usize> = line.iter().filter(|note| inside(note.id())).map(|note| note.bar).collect();
    for (index, answer) in answers.iter_mut().enumerate() {
        answer.here = Standing::within(&answer.study, &inside);
        answer.reasons = if answer.changes.is_empty() {
            vec![as_it_is(index == 0, &here)]
        } else {
            let mut balance = Balance::default();
            balance.of_spots(&here, &answer.here, "");
            if asked.is_some() {
                balance.of_spots(
                    &without(&whole, &here),
                    &without(&answer.after, &answer.here),
                    " elsewhere",
                );
            }
            let turned = Turned::between(&strong, &strong_notes(&answer.study));
            balance.of_strong(&study.lesson().score, &turned);
            balance.of_bowing(&here, &answer.here);
            let elsewhere = (answer.after.against - answer.here.against) - (whole.against - here.against);
            let named = turned.up.iter().chain(&turned.over).any(|note| !bars.contains(&note.bar));
            if elsewhere > SAME_LEANING && !named {
                balance.costs.push("bows before or after these notes the other way than usual".to_owned());
            }
            balance.of_writing(answer.changed);
            balance.of_plan(here.cost, answer.here.cost);
            let better = answer.weight() < whole.weight(Changed::default());
            balance.gains.extend((better && balance.gains.is_empty()).then(|| small(&whole, &answer.after)));
            balance.lines()
        };
    }
    answers
}

/// What weighs less though no gain can be counted.
fn small(now: &Standing, then: &Standing) -> String {
    let nearer = then.against < now.against;
    if nearer { NEARER.to_owned() } else { EASIER.to_owned() }
}

fn as_it_is(first: bool, now: &Standing) -> String {
    match (first, now.impossible + now.runs_out > 0) {
        (true, true) => {
            "Nothing that was tried is clearly better. Where the bow runs out, less bow or another dynamic \
                         helps: see the findings."
                .to_owned()
        }
        (true, false) => "Nothing that was tried is clearly better.".to_owned(),
        (false, _) => "The bowing as it is now, to compare.".to_owned(),
    }
}

/// How the rest of a part stands.
fn without(whole: &Standing, here: &Standing) -> Standing {
    Standing {
        impossible: whole.impossible.saturating_sub(here.impossible),
        runs_out: whole.runs_out.saturating_sub(here.runs_out),
        tight: whole.tight.saturating_sub(here.tight),
        notices: whole.notices.saturating_sub(here.notices),
        ..Standing::default()
    }
}

/// Of so many bars at most the numbers are told, of more how many notes there are. Assumed.
const NAMED: usize = 4;

/// Strong notes in words, each kind for itself: "the sf of bars 16 and 17 on down-bows", "bar 18 begins on an up-bow".
fn strong_words(score: &Score, notes: &[StrongNote], place: fn(usize) -> &'static str) -> Vec<String> {
    let sections = score.bar_sections();
    let kind = |note: &StrongNote| (note.strength, sections.get(note.bar).copied());
    let kinds: BTreeSet<_> = notes.iter().map(kind).collect();
    let words = kinds.into_iter().map(|of| {
        let bars = || notes.iter().filter(|note| kind(note) == of).map(|note| note.bar);
        let count = bars().count();
        let different: BTreeSet<usize> = bars().collect();
        let names: Vec<BarName> = different.iter().map(|bar| score.bar_name(*bar, &sections)).collect();
        let named = (names.len() <= NAMED).then(|| BarName::words_of(&names.iter().collect::<Vec<_>>()));
        let (one, more) = match of.0 {
            Strength::Sudden(letters) => (letters, letters),
            Strength::Accent => ("accent", "accents"),
            Strength::Chord => ("chord", "chords"),
            Strength::Barline => ("bar", "bars"),
        };
        let name = if count == 1 { one } else { more };
        let place = place(count);
        match (of.0, named) {
            (Strength::Barline, Some(named)) if count == 1 => format!("{named} begins {place}"),
            (Strength::Barline, Some(named)) => format!("{named} begin {place}"),
            (Strength::Barline, None) => format!("{count} bars begin {place}"),
            (_, Some(named)) => format!("the {name} of {named} {place}"),
            (_, None) => format!("{count} {name} {place}"),
        }
    });
    words.collect()
}

fn on_down_bows(count: usize) -> &'static str {
    if count == 1 { "on a down-bow" } else { "on down-bows" }
}

fn on_up_bows(count: usize) -> &'static str {
    if count == 1 { "on an up-bow" } else { "on up-bows" }
}

fn inside_slurs(count: usize) -> &'static str {
    if count == 1 { "inside a slur" } else { "inside slurs" }
}

/// What a bowing gains and costs against the present one, the weightiest first.
#[derive(Default)]
struct Balance {
    gains: Vec<String>,
    costs: Vec<String>,
}

impl Balance {
    fn of_spots(&mut self, now: &Standing, then: &Standing, place: &str) {
        for (was, is, one, more) in [
            (now.impossible, then.impossible, "spot that cannot be played", "spots that cannot be played"),
            (now.runs_out, then.runs_out, "spot where the bow runs out", "spots where the bow runs out"),
            (now.tight, then.tight, "tight spot", "tight spots"),
            (now.notices, then.notices, "spot that deserves a look", "spots that deserve a look"),
        ] {
            self.fewer_is_better(was, is, one, more, place);
        }
    }

    /// Each kind for itself, never one against the other: a bar begun on an up-bow is no price for an sf that comes
    /// down, and none that is kept down.
    fn of_strong(&mut self, score: &Score, turned: &Turned) {
        self.gains.extend(strong_words(score, &turned.down, on_down_bows));
        self.costs.extend(strong_words(score, &turned.up, on_up_bows));
        self.costs.extend(strong_words(score, &turned.over, inside_slurs));
    }

    fn of_bowing(&mut self, now: &Standing, then: &Standing) {
        // A hairpin over several strokes goes with none of them and against none.
        let against = |standing: &Standing| standing.hairpins.1 - standing.hairpins.0;
        let (one, more) = ("hairpin against the bow", "hairpins against the bow");
        self.fewer_is_better(against(now), against(then), one, more, "");
        self.fewer_is_better(now.stops, then.stops, "hooked note", "hooked notes", "");
        let (one, more) = ("retake without a rest", "retakes without a rest");
        self.fewer_is_better(now.retakes, then.retakes, one, more, "");
        if then.against < now.against - SAME_LEANING && self.gains.is_empty() {
            self.gains.push(NEARER.to_owned());
        } else if then.against > now.against + SAME_LEANING && self.costs.is_empty() {
            self.costs.push("beats or figures the other way than usual".to_owned());
        }
    }

    fn of_writing(&mut self, changed: Changed) {
        self.fewer_is_better(0, changed.unmarked, "printed bow mark undone", "printed bow marks undone", "");
        self.fewer_is_better(0, changed.divided, "slur divided", "cuts in slurs", "");
        self.fewer_is_better(
            0,
            changed.unlike,
            "note bowed otherwise than in the like figure before",
            "notes bowed otherwise than in the like figure before",
            "",
        );
        self.fewer_is_better(0, changed.slurred, "note newly slurred", "notes newly slurred", "");
    }

    fn of_plan(&mut self, was: f64, is: f64) {
        if is < was - SAME_COST {
            self.gains.push(EASIER.to_owned());
        } else if is > was + SAME_COST {
            self.costs.push("more to save and to hurry".to_owned());
        }
    }

    fn fewer_is_better(&mut self, was: usize, is: usize, one: &str, more: &str, place: &str) {
        let name = if was.abs_diff(is) == 1 { one } else { more };
        let words = |compared: &str| format!("{} {compared} {name}{place}", was.abs_diff(is));
        match is.cmp(&was) {
            Ordering::Less => self.gains.push(words("fewer")),
            Ordering::Greater => self.costs.push(words("more")),
            Ordering::Equal => {}
        }
    }

    /// "Gains: ..." and "Costs: ...".
    fn lines(self) -> Vec<String> {
        let line = |what: &str, list: &[String], nothing: &str| {
            let words = if list.is_empty() { nothing.to_owned() } else { list.join(", ") };
            format!("{what}: {words}.")
        };
        vec![
            line("Gains", &self.gains, "none; another way to play it"),
            line("Costs", &self.costs, "nothing"),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        advice::standing::StrongNotes,
        lesson::{Writer, change::new_passage},
        score::{Direction, Mark, NoteValue, TimeSignature},
        setup::Family,
    };

    /// Six bars of two halves; in the second and third an sf on the second half.
    fn bars() -> Study {
        let mut writer = Writer::new(new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 72.0));
        for k in 0..12 {
            writer = writer.note("A4", NoteValue::HALF);
            writer = if k == 3 || k == 5 { writer.mark(Mark::Sforzando) } else { writer };
        }
        Study::new(writer.finish().expect("it can be written").0)
    }

    /// An sf that comes down is told beside the bars that go up for it, none against the other; of many bars how many
    /// there are.
    #[test]
    fn strong_notes_are_told_by_their_bars_each_kind_for_itself() {
        let study = bars();
        let all = |bow: Direction| -> StrongNotes {
            let of = |(id, note): (EventId, StrongNote)| {
                let bow = if note.strength == Strength::Barline { bow.turned() } else { bow };
                (id, StrongNote { bow: Some(bow), ..note })
            };
            strong_notes(&study).into_iter().map(of).collect()
        };
        let (up, down) = (all(Direction::Up), all(Direction::Down));
        let told = |was: &StrongNotes, is: &StrongNotes| {
            let mut balance = Balance::default();
            balance.of_strong(&study.lesson().score, &Turned::between(was, is));
            balance.lines()
        };
        let lines = ["Gains: the sf of bars 2 and 3 on down-bows.", "Costs: 6 bars begin on up-bows."];
        assert_eq!(told(&up, &down), lines);
        let lines = ["Gains: 6 bars begin on down-bows.", "Costs: the sf of bars 2 and 3 on up-bows."];
        assert_eq!(told(&down, &up), lines);
        // Taken into a slur an sf loses its bow, and gets it where it is cut out; a barline cut out gains nothing.
        let mut slurred = down.clone();
        for note in slurred.values_mut().filter(|note| note.bar == 1) {
            note.bow = None;
        }
        assert_eq!(
            told(&down, &slurred),
            ["Gains: none; another way to play it.", "Costs: the sf of bar 2 inside a slur."]
        );
        let lines = ["Gains: the sf of bar 2 on a down-bow.", "Costs: bar 2 begins on an up-bow."];
        assert_eq!(told(&slurred, &down), lines);
    }
}
