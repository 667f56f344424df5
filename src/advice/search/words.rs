//! Suggestions in words.

use std::{
    cmp::Ordering,
    collections::{BTreeMap, BTreeSet},
};

use crate::{
    analysis::Study,
    score::{Direction, EventId, sentence_case},
};

use super::{
    super::{
        difference::Difference,
        standing::{Changed, Standing, bars_begun},
    },
    answer::Suggestion,
    ways::Way,
};

/// Costs of two plans closer than this are alike. Assumed.
const SAME_COST: f64 = 0.05;
/// Directions that differ by less than this, in strong beats on up-bows, are alike. Assumed.
const SAME_LEANING: f64 = 0.3;

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
            let bars = [study, &answer.study].map(|study| bars_begun(study, &inside));
            balance.of_bowing((&here, &bars[0]), (&answer.here, &bars[1]));
            let elsewhere = (answer.after.against - answer.here.against) - (whole.against - here.against);
            if elsewhere > SAME_LEANING {
                balance.costs.push("bows before or after these notes the other way than usual".to_owned());
            }
            balance.of_writing(answer.changed);
            balance.of_plan(here.cost, answer.here.cost);
            balance.lines()
        };
    }
    answers
}

fn as_it_is(first: bool, now: &Standing) -> String {
    match (first, now.impossible + now.runs_out > 0) {
        (true, true) => {
            "Nothing that was tried is better. Where the bow runs out, less bow or another dynamic \
                         helps: see the findings."
                .to_owned()
        }
        (true, false) => "Nothing that was tried is better.".to_owned(),
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

/// The first notes of bars that are begun, with their bows.
type Bars = BTreeMap<EventId, Direction>;

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

    /// Bars begun on down-bows, each for itself: one that is slurred over gains nothing, and loses its down-bow.
    fn of_bars(&mut self, now: &Bars, then: &Bars) {
        let with = |one: &Bars, bar: &EventId| one.get(bar).copied();
        let turned = |was: &Bars, is: &Bars, from: Option<Direction>| {
            let up = is.iter().filter(|(_, direction)| **direction == Direction::Up);
            up.filter(|(bar, _)| with(was, bar) == from).count()
        };
        let (one, more) = ("bar begun on an up-bow", "bars begun on up-bows");
        self.fewer_is_better(turned(then, now, Some(Direction::Down)), 0, one, more, "");
        let new = turned(now, then, Some(Direction::Down)) + turned(now, then, None);
        self.fewer_is_better(0, new, one, more, "");
        let over =
            now.iter().filter(|(bar, was)| **was == Direction::Down && with(then, bar).is_none()).count();
        self.fewer_is_better(
            0,
            over,
            "down-bow on a barline slurred over",
            "down-bows on barlines slurred over",
            "",
        );
    }

    fn of_bowing(&mut self, (now, bars_now): (&Standing, &Bars), (then, bars_then): (&Standing, &Bars)) {
        let before = (self.gains.len(), self.costs.len());
        self.of_bars(bars_now, bars_then);
        // A hairpin over several strokes goes with none of them and against none.
        let against = |standing: &Standing| standing.hairpins.1 - standing.hairpins.0;
        self.fewer_is_better(
            against(now),
            against(then),
            "hairpin against the bow",
            "hairpins against the bow",
            "",
        );
        self.fewer_is_better(now.stops, then.stops, "hooked note", "hooked notes", "");
        self.fewer_is_better(
            now.retakes,
            then.retakes,
            "retake without a rest",
            "retakes without a rest",
            "",
        );
        let told = (self.gains.len(), self.costs.len());
        if then.against < now.against - SAME_LEANING && told.0 == before.0 {
            self.gains.push("beats, accents and figures nearer to their usual bows".to_owned());
        } else if then.against > now.against + SAME_LEANING && told.1 == before.1 {
            self.costs.push("beats, accents or figures the other way than usual".to_owned());
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
            self.gains.push("bow speeds and places nearer to those wanted".to_owned());
        } else if is > was + SAME_COST {
            self.costs.push("bow speeds and places farther from those wanted".to_owned());
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
