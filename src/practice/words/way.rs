//! The way of the bow over a phrase in sentences.

use std::ops::Range;

use super::{
    Claim, Draft, Says,
    alike::Again,
    steps::{Lifts, Step},
    story::Story,
    voice::{at, to},
};
use crate::{
    bowing::{Zone, a_bow, part_words},
    score::{Direction, count_words},
};

/// A stroke that takes this share of the hair is one to be ready for. Assumed.
const BIG: f64 = 0.55;
/// So many clauses, or letters, make a sentence; where another bar begins fewer letters end one. Assumed.
const MOST_CLAUSES: usize = 3;
const MOST_LETTERS: usize = 110;
const ENOUGH_LETTERS: usize = 60;
/// A bow is slow below this speed and quick above that, mm/s. Assumed.
const SLOW_MM_S: f64 = 150.0;
const QUICK_MM_S: f64 = 550.0;
/// A note grows from so many dynamic steps on. Assumed.
const GROWS: f64 = 0.7;
/// Strokes grow or fade by so many steps or more, and by less than so many from one to the next. Assumed.
const SWELLS: f64 = 0.4;
const AT_ONCE: f64 = 0.8;
/// Strokes that end so much longer than they began take more and more. Assumed.
const MORE: f64 = 1.2;
/// And a stroke is louder than the one before from so many on. Assumed.
const LOUDER: f64 = 0.5;

/// How a slow bow is told, which is not for being loud.
const SLOWLY: &str = ", slowly";

/// What is told of a stretch.
struct Clause {
    strokes: Range<usize>,
    text: String,
    claims: Vec<Claim>,
    /// It stands as a sentence of its own.
    alone: bool,
}

impl Story<'_> {
    /// The way of the bow over a phrase. Steps that begin with one of the notes in `told` are told elsewhere.
    pub fn way(&self, strokes: &Range<usize>, told: &[usize]) -> Vec<Draft> {
        let mut drafts = Vec::new();
        let mut bar = self.bar_of(strokes.start);
        let mut rest = strokes.start;
        for again in self.again(strokes) {
            self.tell_way(rest..again.strokes.start, strokes.start, told, &mut bar, &mut drafts);
            rest = again.strokes.end;
            bar = self.bar_of(rest - 1);
            drafts.push(self.alike_words(&again));
        }
        self.tell_way(rest..strokes.end, strokes.start, told, &mut bar, &mut drafts);
        drafts
    }

    fn alike_words(&self, again: &Again) -> Draft {
        let (here, like) = (self.bars_words(&again.bars), self.bars_words(&again.like));
        let are = if again.bars.len() > 1 { "are" } else { "is" };
        let text = if again.bars == again.like {
            format!("the second half of {here} is bowed like the first.")
        } else {
            format!("{here} {are} bowed like {like}.")
        };
        let claim = |(strokes, as_from): &(Range<usize>, usize)| Claim::Alike {
            strokes: strokes.clone(),
            as_from: *as_from,
        };
        let claims = again.pairs.iter().map(claim).collect();
        Draft::new(self.notes(&again.strokes), Says::Alike, claims, &text)
    }

    fn tell_way(
        &self,
        strokes: Range<usize>,
        phrase: usize,
        told: &[usize],
        bar: &mut usize,
        drafts: &mut Vec<Draft>,
    ) {
        let mut open: Vec<Clause> = Vec::new();
        let mut before: Option<Zone> = None;
        for step in self.steps(strokes) {
            let of_it = step.strokes();
            let is_told = told.contains(&self.evidence.main_note(of_it.start));
            let first_bar = self.bar_of(of_it.start);
            let new_bar = first_bar != *bar || self.bar_of(of_it.end - 1) != *bar;
            let letters: usize = open.iter().map(|clause| clause.text.chars().count()).sum();
            let enough = open.len() >= MOST_CLAUSES
                || letters >= if new_bar { ENOUGH_LETTERS } else { MOST_LETTERS }
                || of_it.start > phrase && self.is_set_anew(of_it.start);
            let clause = self.clause(&step, phrase, before, bar);
            if enough || clause.alone {
                drafts.extend(self.sentence(&mut open));
            }
            before = Some(self.zones(of_it.start).0);
            if is_told {
                continue;
            }
            let alone = clause.alone;
            open.push(clause);
            if alone {
                drafts.extend(self.sentence(&mut open));
            }
        }
        drafts.extend(self.sentence(&mut open));
    }

    /// The clauses so far as a sentence.
    fn sentence(&self, open: &mut Vec<Clause>) -> Option<Draft> {
        let clauses = std::mem::take(open);
        let strokes = clauses.first()?.strokes.start..clauses.last()?.strokes.end;
        let claims = clauses.iter().flat_map(|clause| clause.claims.clone()).collect();
        let texts: Vec<&str> = clauses.iter().map(|clause| clause.text.as_str()).collect();
        let text = match texts.as_slice() {
            [one] => (*one).to_owned(),
            [before @ .., last] => format!("{}, and {last}", before.join(", ")),
            [] => return None,
        };
        Some(Draft::new(self.notes(&strokes), Says::Way, claims, &format!("{text}.")))
    }

    fn clause(&self, step: &Step, phrase: usize, before: Option<Zone>, bar: &mut usize) -> Clause {
        let strokes = step.strokes();
        let place = self.bar_prefix(&strokes, bar);
        let notes = self.notes(&strokes);
        let (mut text, mut claims, mut alone) = (String::new(), Vec::new(), false);
        let first = strokes.start;
        let is_set_anew = first > phrase && self.is_set_anew(first);
        if is_set_anew && !matches!(step, Step::Lifts(..)) {
            let zone = self.zones(first).0;
            let again = match (self.evidence.way(first - 1), self.evidence.way(first)) {
                (Direction::Down, Direction::Down) => ", down again",
                (Direction::Up, Direction::Up) => ", up again",
                _ => "",
            };
            // Where strokes go to and fro the place is told with them, and told twice it may seem to be two.
            if matches!(step, Step::Stay(..) | Step::Swing(..)) {
                text = format!("{place}set the bow anew{again}: ");
            } else {
                text = format!("{place}set the bow anew {}{again}: ", at(zone));
                claims.push(Claim::At { note: notes.start, end: false, zone });
            }
        } else if !matches!(step, Step::Move(stroke) if self.is_big(*stroke) && *stroke > phrase) {
            text = place.clone();
        }
        match step {
            Step::Move(stroke) => {
                // From a new place nothing is brought back.
                let before = before.filter(|_| !is_set_anew);
                let (told, moved) = self.move_words(*stroke, phrase, before, &place, &mut alone);
                text += &told;
                claims.extend(moved);
            }
            Step::Stay(strokes, zone) => {
                text += &format!("{} stay {}{}", self.run_words(strokes), at(*zone), self.swell(strokes));
                claims.push(Claim::Within { notes, zone: *zone });
            }
            Step::Travel(strokes) => {
                let zone = self.zones(strokes.end - 1).1;
                text += &format!(
                    "{} go little by little {}{}",
                    self.run_words(strokes),
                    to(self.ends(strokes.end - 1).1),
                    self.swell(strokes)
                );
                claims.push(Claim::At { note: notes.end - 1, end: true, zone });
            }
            Step::Swing(strokes, zones) => {
                let run = self.run_words(strokes);
                let [a, b] = zones.map(Zone::word);
                text += &format!("{run} go from the {a} to the {b} and back, a bow each way");
                text += self.swell(strokes);
                claims.push(Claim::Between { notes, zones: *zones });
            }
            Step::Lifts(lifts) => {
                let (told, claimed) = self.lifts_words(lifts, notes);
                text += &told;
                claims.extend(claimed);
                alone = true;
            }
        }
        Clause { strokes, text, claims, alone }
    }

    /// Groups of strokes, each after a lift: how often the bow is lifted, and where they are.
    fn lifts_words(&self, lifts: &Lifts, notes: Range<usize>) -> (String, Vec<Claim>) {
        let Lifts { strokes, groups, way, zones } = lifts;
        let [a, b] = *zones;
        let around = self.part_around(strokes);
        let count = count_words(*groups);
        let claims = vec![
            Claim::Lifts { notes: notes.clone(), times: *groups, way: *way },
            match around {
                Some(zone) => Claim::Within { notes, zone },
                None => Claim::Spread { notes, zones: *zones },
            },
        ];
        let place = match around {
            Some(zone) => at(zone).to_owned(),
            None if a == b => at(a).to_owned(),
            None => format!("between the {} and the {}", a.word(), b.word()),
        };
        let text = match way {
            Some(way) if *groups == strokes.len() => {
                let all = match way {
                    Direction::Down => "down-bows",
                    Direction::Up => "up-bows",
                };
                format!("the next {count} bows are {all}, each set anew after a lift, {place}")
            }
            way => {
                let begun = way.map_or_else(String::new, |way| format!(", each time with {}", a_bow(way)));
                let run = self.run_words(strokes);
                format!("lift and set the bow anew {count} times{begun}: {run} stay {place}")
            }
        };
        (text, claims)
    }

    fn is_big(&self, stroke: usize) -> bool {
        self.travel(stroke) >= BIG
    }

    fn move_words(
        &self,
        stroke: usize,
        phrase: usize,
        before: Option<Zone>,
        place: &str,
        alone: &mut bool,
    ) -> (String, Vec<Claim>) {
        let called = self.stroke_words(stroke);
        let (from, until) = self.zones(stroke);
        let notes = self.evidence.strokes()[stroke].notes.clone();
        let start = Claim::At { note: notes.start, end: false, zone: from };
        let end = Claim::At { note: notes.end - 1, end: true, zone: until };
        let share = self.travel(stroke);
        if self.is_big(stroke) {
            let takes = Claim::Takes { note: notes.start, share, tempo: None };
            let how =
                format!("takes {}{}, {}", part_words(share), self.pace(stroke), to(self.ends(stroke).1));
            let why = self.reason(stroke);
            if stroke == phrase || self.is_set_anew(stroke) {
                return (format!("{called} {how}{why}"), vec![takes, end]);
            }
            *alone = true;
            let place = place.trim_end();
            let place = if place.is_empty() { String::new() } else { format!(" {place}") };
            return (format!("be {} for {called}{place}: it {how}{why}", at(from)), vec![start, takes, end]);
        }
        if from == until {
            return (format!("{called} stays {}", at(from)), vec![end]);
        }
        let verb = if before == Some(until) { "brings you back" } else { "takes you" };
        (format!("{called} {verb} {}", to(self.ends(stroke).1)), vec![end])
    }

    /// ", with more and more bow for the crescendo", of strokes whose dynamic and length change together.
    fn swell(&self, strokes: &Range<usize>) -> &'static str {
        let (first, last) = (strokes.start, strokes.end - 1);
        let level = |stroke: usize| self.evidence.level(self.evidence.main_note(stroke));
        let (grown, longer) = (level(last) - level(first), self.travel(last) / self.travel(first).max(1e-9));
        let steps =
            || strokes.clone().skip(1).map(|stroke| (level(stroke) - level(stroke - 1)) * grown.signum());
        let gradual = strokes.len() > 2 && steps().all(|step| (-1e-9..AT_ONCE).contains(&step));
        if gradual && grown >= SWELLS && longer >= MORE {
            ", with more and more bow as it grows"
        } else if gradual && grown <= -SWELLS && longer <= 1.0 / MORE {
            ", with less and less bow as it fades"
        } else {
            ""
        }
    }

    /// ", slowly", ", quickly".
    fn pace(&self, stroke: usize) -> &'static str {
        let speed = self.evidence.used_mm(stroke) / self.evidence.seconds(stroke).max(1e-9);
        match speed {
            ..SLOW_MM_S => SLOWLY,
            QUICK_MM_S.. => ", quickly",
            _ => "",
        }
    }

    /// What much bow is spent for, where that is not its length.
    fn reason(&self, stroke: usize) -> String {
        let main = self.evidence.main_note(stroke);
        let ends = self.end(self.evidence.last_note(stroke));
        let grown = self.analysis.line.dynamics.level(ends.to_f64() - 1e-6) - self.evidence.level(main);
        let next = stroke + 1;
        let longer = next < self.evidence.strokes().len()
            && !self.evidence.strokes()[next].lift_before
            && self.evidence.seconds(next) >= 1.5 * self.evidence.seconds(stroke);
        if grown >= GROWS {
            ", for the crescendo".to_owned()
        } else if longer && self.travel(next) >= BIG {
            ", to leave room for the long bow after it".to_owned()
        } else if self.evidence.is_loud(main) && self.is_louder(stroke) && self.pace(stroke) != SLOWLY {
            ", because it is loud".to_owned()
        } else {
            String::new()
        }
    }

    /// Louder than the stroke before it, or the first.
    fn is_louder(&self, stroke: usize) -> bool {
        let level = |stroke: usize| self.evidence.level(self.evidence.main_note(stroke));
        stroke.checked_sub(1).is_none_or(|before| level(stroke) - level(before) >= LOUDER)
    }

    /// "in bar 3 ", where that was not said before.
    fn bar_prefix(&self, strokes: &Range<usize>, bar: &mut usize) -> String {
        let (first, last) = (self.bar_of(strokes.start), self.bar_of(strokes.end - 1));
        let said = first == last && first == *bar;
        *bar = last;
        match self.bars_words(&(first..last + 1)) {
            _ if said => String::new(),
            // From the upbeat to a bar.
            words if words.starts_with("from ") => format!("{words} "),
            words => format!("in {words} "),
        }
    }

    /// A stroke in words with its bar.
    pub fn stroke_in_bar(&self, stroke: usize) -> String {
        format!("{} in {}", self.stroke_words(stroke), self.bar_words(self.bar_of(stroke)))
    }
}
