//! What differs between two bowings of the same notes, in words.

use std::collections::{BTreeMap, BTreeSet};

use crate::{
    analysis::{Analysis, Study},
    lesson::{Lesson, Pin},
    score::{Attack, Direction, Dynamic, EventId, Quarters, Score, SignKind, cm},
};

use super::{findings::Told, marks::changed_marks, one::Difference};

/// Strokes that start this far apart or less start alike, mm. Assumed.
const ALIKE_MM: f64 = 20.0;

/// What differs between two lessons on the same score, in the order of the music: marks, dynamics,
/// fixed places, tempo, where on the bow the strokes start, findings gone and new.
///
/// Notes are matched by their ids; notes that are in one lesson only are told as such.
pub fn compare(before: &Study, after: &Study) -> Vec<Difference> {
    let mut list = List { before, after, found: Vec::new() };
    list.whole();
    list.found.extend(changed_marks(&before.lesson().score, &after.lesson().score));
    list.notes();
    list.signs();
    list.pins();
    list.bow_places();
    list.findings();
    list.found.sort_by_key(|difference| difference.at);
    list.found
}

struct List<'a> {
    before: &'a Study,
    after: &'a Study,
    found: Vec<Difference>,
}

impl<'a> List<'a> {
    /// A difference at a place of this score.
    fn push(&mut self, score: &Score, at: Quarters, event: Option<EventId>, words: impl Into<String>) {
        self.found.push(Difference { at, event, place: score.place(at).short(), words: words.into() });
    }

    /// Practice tempo and the rest of the set-up.
    fn whole(&mut self) {
        let (old, new) = (&self.before.lesson().setup, &self.after.lesson().setup);
        let score = &self.after.lesson().score;
        if old.tempo_share != new.tempo_share {
            let percent = |share: f64| format!("{:.0} %", share * 100.0);
            let words = format!(
                "practice tempo {} of the marked tempo instead of {}",
                percent(new.tempo_share),
                percent(old.tempo_share)
            );
            self.push(score, Quarters::ZERO, None, words);
        }
        let mut same_tempo = new.clone();
        same_tempo.tempo_share = old.tempo_share;
        if same_tempo != *old {
            self.push(score, Quarters::ZERO, None, "another set-up: instrument, bow, player or school");
        }
    }

    /// Length and speed of every note, its direction, and notes that are in one lesson only.
    fn notes(&mut self) {
        let old: BTreeMap<EventId, usize> = heads(self.before.analysis());
        let new: BTreeMap<EventId, usize> = heads(self.after.analysis());
        let (old_score, new_score) = (&self.before.lesson().score, &self.after.lesson().score);
        let (old_line, new_line) = (&self.before.analysis().line.notes, &self.after.analysis().line.notes);
        for (id, k) in &old {
            if !new.contains_key(id) {
                self.push(old_score, old_line[*k].onset, Some(*id), "this note is gone");
            }
        }
        // Runs of strokes whose direction is turned are told once.
        let mut turned: Option<(usize, usize)> = None;
        for (k, attack) in new_line.iter().enumerate() {
            let Some(&other) = old.get(&attack.id()) else {
                self.push(new_score, attack.onset, Some(attack.id()), "this note is new");
                continue;
            };
            for words in others(&old_line[other], attack) {
                self.push(new_score, attack.onset, Some(attack.id()), words);
            }
            let directions =
                direction(self.before.analysis(), other).zip(direction(self.after.analysis(), k));
            match directions {
                Some((a, b)) if a != b => turned = Some((turned.map_or(k, |(first, _)| first), k)),
                Some(_) => self.told_turned(turned.take()),
                // A plucked note is no end of a run.
                None => {}
            }
        }
        self.told_turned(turned);
    }

    fn told_turned(&mut self, run: Option<(usize, usize)>) {
        let Some((first, last)) = run else { return };
        let analysis = self.after.analysis();
        let attack = &analysis.line.notes[first];
        let score = &self.after.lesson().score;
        let way = direction(analysis, first).map_or("", Direction::bow_word);
        let words = if analysis.line.notes[last].onset > attack.onset {
            format!(
                "bowing turned round up to {}, from {way}",
                score.place(analysis.line.notes[last].onset).short()
            )
        } else {
            format!("now {way}")
        };
        self.push(score, attack.onset, Some(attack.id()), words);
    }

    /// Dynamics, hairpins and tempo marks.
    fn signs(&mut self) {
        let (old, new) = (&self.before.lesson().score, &self.after.lesson().score);
        let (was, is) = (Signs::of(old), Signs::of(new));
        self.changes(&was.dynamics, &is.dynamics, |level| level.mark().to_owned());
        self.changes(&was.hairpins, &is.hairpins, |(opens, end)| {
            let what = if *opens { "crescendo" } else { "diminuendo" };
            format!("{what} to {}", new.place(*end).short())
        });
        self.changes(&was.qpm, &is.qpm, |qpm| format!("{qpm:.0} quarter notes a minute"));
    }

    /// One line for every place where the two maps differ.
    fn changes<T: PartialEq>(
        &mut self,
        old: &BTreeMap<Quarters, T>,
        new: &BTreeMap<Quarters, T>,
        name: impl Fn(&T) -> String,
    ) {
        let score = &self.after.lesson().score;
        let all: BTreeSet<Quarters> = old.keys().chain(new.keys()).copied().collect();
        for at in all {
            let words = match (old.get(&at), new.get(&at)) {
                (Some(a), Some(b)) if a != b => format!("{} instead of {}", name(b), name(a)),
                (Some(a), None) => format!("no {}", name(a)),
                (None, Some(b)) => format!("new {}", name(b)),
                (Some(_), Some(_)) | (None, None) => continue,
            };
            self.push(score, at, None, words);
        }
    }

    fn pins(&mut self) {
        let by_event = |lesson: &'a Lesson| -> BTreeMap<EventId, &'a Pin> {
            lesson.pins.iter().map(|pin| (pin.event, pin)).collect()
        };
        let (old, new) = (by_event(self.before.lesson()), by_event(self.after.lesson()));
        let where_is = |pin: &Pin, lesson: &Lesson| {
            let hair = lesson.setup.bow.hair_mm;
            let (from, to) = (cm(pin.from_share * hair), cm(pin.to_share * hair));
            if from == to { from } else { format!("{from} to {to}") }
        };
        let events: BTreeSet<EventId> = old.keys().chain(new.keys()).copied().collect();
        for id in events {
            let (score, words) = match (old.get(&id), new.get(&id)) {
                (Some(a), Some(b)) if (a.from_share, a.to_share) != (b.from_share, b.to_share) => {
                    let (a, b) = (where_is(a, self.before.lesson()), where_is(b, self.after.lesson()));
                    (&self.after.lesson().score, format!("starts {b} from the frog instead of {a}, fixed"))
                }
                (Some(_), None) => (&self.before.lesson().score, "place on the bow set free".to_owned()),
                (None, Some(b)) => (
                    &self.after.lesson().score,
                    format!("fixed to start {} from the frog", where_is(b, self.after.lesson())),
                ),
                (Some(_), Some(_)) | (None, None) => continue,
            };
            self.push(score, onset(score, id), Some(id), words);
        }
    }

    /// Where strokes start elsewhere on the bow; neighbours that go the same way are told together.
    fn bow_places(&mut self) {
        let old = heads(self.before.analysis());
        let (was, is) = (self.before.analysis(), self.after.analysis());
        let mut run: Vec<(usize, f64)> = Vec::new();
        for stroke in &is.bowing.strokes {
            let k = stroke.notes.start;
            let attack = is.note(k);
            let before = old.get(&attack.id()).and_then(|&note| was.bowed_of(note));
            let Some(before) = before else { continue };
            let moved = is.plan.solution.start_mm[k] - was.plan.solution.start_mm[before];
            let goes_on = run.last().is_some_and(|(_, last)| last.signum() == moved.signum());
            if !goes_on || moved.abs() <= ALIKE_MM {
                self.told_moved(&std::mem::take(&mut run));
            }
            if moved.abs() > ALIKE_MM {
                run.push((k, moved));
            }
        }
        self.told_moved(&run);
    }

    fn told_moved(&mut self, run: &[(usize, f64)]) {
        let Some((&(first, moved), &(last, _))) = run.first().zip(run.last()) else { return };
        let is = self.after.analysis();
        let score = &self.after.lesson().score;
        let end = if moved > 0.0 { "tip" } else { "frog" };
        let attack = is.note(first);
        let most = run.iter().map(|(_, moved)| moved.abs()).fold(0.0, f64::max);
        let words = if run.len() == 1 {
            let now = is.plan.solution.start_mm[first];
            format!("starts {} nearer the {end}, {} from the frog", cm(most), cm(now))
        } else {
            let until = score.place(is.note(last).onset).short();
            format!("{} strokes up to {until} start as much as {} nearer the {end}", run.len(), cm(most))
        };
        self.push(score, attack.onset, Some(attack.id()), words);
    }

    fn findings(&mut self) {
        let (was, is) = (Told::new(self.before.analysis()), Told::new(self.after.analysis()));
        for finding in &self.before.analysis().findings.told {
            if finding.events().all(|event| !is.has(finding, event)) {
                let words = format!("no longer: {}", finding.headline);
                self.push(&self.before.lesson().score, finding.at, Some(finding.event), words);
            }
        }
        for finding in &self.after.analysis().findings.told {
            if finding.events().any(|event| !was.has(finding, event)) {
                let words = format!("new: {}", finding.headline);
                self.push(&self.after.lesson().score, finding.at, Some(finding.event), words);
            }
        }
    }
}

fn onset(score: &Score, id: EventId) -> Quarters {
    score.event(id).map_or(Quarters::ZERO, |event| event.onset)
}

/// Index in the line by the first written event.
fn heads(analysis: &Analysis) -> BTreeMap<EventId, usize> {
    analysis.line.notes.iter().enumerate().map(|(k, attack)| (attack.id(), k)).collect()
}

fn direction(analysis: &Analysis, note: usize) -> Option<Direction> {
    analysis.bowed_of(note).map(|k| analysis.bowed(k).direction)
}

/// The signs of a score that are compared, by their places.
#[derive(Default)]
struct Signs {
    dynamics: BTreeMap<Quarters, Dynamic>,
    /// Opens, and where it ends.
    hairpins: BTreeMap<Quarters, (bool, Quarters)>,
    qpm: BTreeMap<Quarters, f64>,
}

impl Signs {
    fn of(score: &Score) -> Self {
        let mut signs = Self::default();
        for sign in &score.signs {
            match sign.kind {
                SignKind::Dynamic(level) => {
                    signs.dynamics.insert(sign.at, level);
                }
                SignKind::Hairpin { opens, end, niente: _ } => {
                    signs.hairpins.insert(sign.at, (opens, end));
                }
                SignKind::Tempo { qpm, text: _ } => {
                    signs.qpm.insert(sign.at, qpm);
                }
                // These say nothing to the bow.
                SignKind::Words(_)
                | SignKind::Rehearsal(_)
                | SignKind::Clef(_)
                | SignKind::OctaveLine { .. } => {}
            }
        }
        signs
    }
}

/// What differs in one note, but for its marks of the bowing.
fn others(old: &Attack, new: &Attack) -> Vec<String> {
    let mut words = Vec::new();
    if old.notes != new.notes || (old.onset, old.duration) != (new.onset, new.duration) {
        words.push("other notes or another length".to_owned());
    }
    if old.speed_factor != new.speed_factor {
        let how = if new.speed_factor < old.speed_factor { "slower" } else { "faster" };
        words.push(format!("a {how} bow, {:.0} % of its usual speed", new.speed_factor * 100.0));
    }
    words
}
