//! What differs between two versions of a lesson, in words.

use std::collections::{BTreeMap, BTreeSet};

use crate::{
    analysis::{Analysis, Study},
    lesson::{Lesson, Pin},
    score::{
        Attack, Direction, Dynamic, EventId, Mark, Note, NoteValue, Quarters, Score, SignKind, cm,
        mixed_number,
    },
};

use super::{bars::SameBars, findings::Told, marks::changed_marks, one::Difference, setup::changed_setup};

/// Strokes that start this far apart or less start alike, mm. Assumed.
const ALIKE_MM: f64 = 20.0;

/// What differs between two versions of a lesson: first the set-up and the practice tempo, then in the order of
/// the music bars, notes, marks, dynamics, tempo, words, fixed places, where on the bow the strokes start, findings
/// gone and new.
///
/// Notes are matched by their ids; notes that are in one lesson only are told as such, and so are bars.
pub fn compare(before: &Study, after: &Study) -> Vec<Difference> {
    let bars = SameBars::new(&before.lesson().score, &after.lesson().score);
    let mut list = List { before, after, bars, found: Vec::new() };
    list.whole();
    list.bars();
    list.found.extend(changed_marks(&before.lesson().score, &after.lesson().score));
    list.notes();
    list.signs();
    list.pins();
    list.bow_places();
    list.findings();
    list.found.sort_by_key(|difference| (!difference.everywhere, difference.at));
    list.found
}

struct List<'a> {
    before: &'a Study,
    after: &'a Study,
    bars: SameBars,
    found: Vec<Difference>,
}

impl<'a> List<'a> {
    /// A difference at a place of this score.
    fn push(&mut self, score: &Score, at: Quarters, event: Option<EventId>, words: impl Into<String>) {
        let (place, words) = (score.place(at).short(), words.into());
        self.found.push(Difference { at, everywhere: false, event, place, words });
    }

    /// A difference at a place of the earlier score, where that is now.
    fn push_earlier(&mut self, at: Quarters, event: Option<EventId>, words: impl Into<String>) {
        let (now, place) = (self.bars.moment(at), self.before.lesson().score.place(at).short());
        self.found.push(Difference { at: now, everywhere: false, event, place, words: words.into() });
    }

    fn push_whole(&mut self, place: &str, words: String) {
        let (at, place) = (Quarters::ZERO, place.to_owned());
        self.found.push(Difference { at, everywhere: true, event: None, place, words });
    }

    /// Practice tempo and the rest of the set-up.
    fn whole(&mut self) {
        let (old, new) = (&self.before.lesson().setup, &self.after.lesson().setup);
        if old.tempo_share != new.tempo_share {
            let percent = |share: f64| format!("{:.0} %", share * 100.0);
            let words = format!(
                "{} of the marked tempo instead of {}",
                percent(new.tempo_share),
                percent(old.tempo_share)
            );
            self.push_whole("practice tempo", words);
        }
        changed_setup(old, new).into_iter().for_each(|words| self.push_whole("set-up", words));
    }

    /// Metres, keys, repeats, bars put in and taken out.
    fn bars(&mut self) {
        let (old, new) = (&self.before.lesson().score, &self.after.lesson().score);
        for (at, words) in self.bars.differences(old, new) {
            self.push(new, at, None, words);
        }
    }

    /// Length and speed of every note, its direction, and notes that are in one lesson only.
    fn notes(&mut self) {
        let old: BTreeMap<EventId, usize> = heads(self.before.analysis());
        let new: BTreeMap<EventId, usize> = heads(self.after.analysis());
        let new_score = &self.after.lesson().score;
        let (old_line, new_line) = (&self.before.analysis().line.notes, &self.after.analysis().line.notes);
        for (id, k) in &old {
            if !new.contains_key(id) {
                self.push_earlier(old_line[*k].onset, Some(*id), "this note is gone");
            }
        }
        // Runs of strokes whose direction is turned are told once, and so are notes that have moved alike.
        let mut turned: Option<(usize, usize)> = None;
        let mut shifted: Option<(usize, usize, Quarters)> = None;
        for (k, attack) in new_line.iter().enumerate() {
            let Some(&other) = old.get(&attack.id()) else {
                self.push(new_score, attack.onset, Some(attack.id()), "this note is new");
                continue;
            };
            for words in self.others(&old_line[other], attack) {
                self.push(new_score, attack.onset, Some(attack.id()), words);
            }
            let by = attack.onset - self.bars.moment(old_line[other].onset);
            shifted = match shifted {
                Some((first, _, before)) if before == by => Some((first, k, by)),
                before => {
                    self.told_shifted(before);
                    (!by.is_zero()).then_some((k, k, by))
                }
            };
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
        self.told_shifted(shifted);
    }

    fn told_shifted(&mut self, run: Option<(usize, usize, Quarters)>) {
        let Some((first, last, by)) = run else { return };
        let (line, score) = (&self.after.analysis().line.notes, &self.after.lesson().score);
        let way = if by.is_positive() { "later" } else { "earlier" };
        let length = match NoteValue::of_length(if by.is_positive() { by } else { -by }) {
            Some(value) if value.words().starts_with('e') => format!("an {}", value.words()),
            Some(value) => format!("a {}", value.words()),
            None => format!("{} quarters", mixed_number(if by.is_positive() { by } else { -by })),
        };
        let until = match line[last].onset > line[first].onset {
            true => format!(", with the notes up to {}", score.place(line[last].onset).short()),
            false => String::new(),
        };
        let (at, event) = (line[first].onset, line[first].id());
        self.push(score, at, Some(event), format!("{length} {way}{until}"));
    }

    /// What differs in one note, but for its marks of the bowing and its place.
    fn others(&self, old: &Attack, new: &Attack) -> Vec<String> {
        let mut words = Vec::new();
        let pitches = |attack: &Attack| attack.notes.iter().map(|note| note.pitch.name()).collect::<Vec<_>>();
        if pitches(old) != pitches(new) {
            let [is, was] = [new, old].map(|attack| pitches(attack).join(" and "));
            words.push(format!("{is} instead of {was}"));
        } else {
            words.extend(self.hand_words(old, new));
        }
        if old.duration != new.duration && !(old.duration.is_zero() || new.duration.is_zero()) {
            let length = |attack: &Attack| match NoteValue::of_length(attack.duration) {
                Some(value) => value.words(),
                None => format!("{} quarters", mixed_number(attack.duration)),
            };
            words.push(format!("{} instead of {}", length(new), length(old)));
        }
        if old.grace.is_some() != new.grace.is_some() {
            words.push(if new.grace.is_some() { "a grace note" } else { "no grace note" }.to_owned());
        }
        if old.pizzicato != new.pizzicato {
            words.push(if new.pizzicato { "plucked" } else { "bowed" }.to_owned());
        }
        if old.tremolo != new.tremolo {
            words.push(if new.tremolo.is_some() { "another tremolo" } else { "no tremolo" }.to_owned());
        }
        let only = |a: &Attack, b: &Attack| {
            a.marks.difference(&b.marks).map(|mark: &Mark| mark.words()).collect::<Vec<_>>()
        };
        words.extend(only(new, old).into_iter().map(|mark| format!("new {mark}")));
        words.extend(only(old, new).into_iter().map(|mark| format!("no {mark}")));
        if old.speed_factor != new.speed_factor {
            let how = if new.speed_factor < old.speed_factor { "slower" } else { "faster" };
            words.push(format!("a {how} bow, {:.0} % of its usual speed", new.speed_factor * 100.0));
        }
        words
    }

    /// Fingers and strings of the same pitches.
    fn hand_words(&self, old: &Attack, new: &Attack) -> Vec<String> {
        let mut words = Vec::new();
        let fingers = |attack: &Attack| {
            let fingers = attack.notes.iter().flat_map(|note: &Note| note.fingers.iter().cloned());
            fingers.collect::<Vec<_>>().join(" ")
        };
        match (fingers(old), fingers(new)) {
            (was, is) if was == is => {}
            (was, is) if was.is_empty() => words.push(format!("finger {is}")),
            (was, is) if is.is_empty() => words.push(format!("no finger {was}")),
            (was, is) => words.push(format!("finger {is} instead of {was}")),
        }
        let strings = |attack: &Attack, study: &Study| {
            let known = &study.lesson().setup.instrument.strings;
            let name = |note: &Note| {
                known.get(usize::from(note.string?).checked_sub(1)?).map(|one| one.name.clone())
            };
            attack.notes.iter().filter_map(name).collect::<Vec<_>>().join(" and ")
        };
        match (strings(old, self.before), strings(new, self.after)) {
            (was, is) if was == is => {}
            (was, is) if is.is_empty() => words.push(format!("no longer marked for the {was} string")),
            (_, is) => words.push(format!("on the {is} string")),
        }
        words
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
        let was = Signs::of(old, |at| self.bars.moment(at));
        let is = Signs::of(new, |at| at);
        self.changes(&was.dynamics, &is.dynamics, |level| level.mark().to_owned());
        self.changes(&was.hairpins, &is.hairpins, |(opens, end)| {
            let what = if *opens { "crescendo" } else { "diminuendo" };
            format!("{what} to {}", new.place(*end).short())
        });
        self.changes(&was.qpm, &is.qpm, |qpm| format!("{qpm:.0} quarter notes a minute"));
        self.changes(&was.words, &is.words, |words| format!("“{}”", words.join(", ")));
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
            let score = &self.after.lesson().score;
            let words = match (old.get(&id), new.get(&id)) {
                (Some(a), Some(b)) if (a.from_share, a.to_share) != (b.from_share, b.to_share) => {
                    let (a, b) = (where_is(a, self.before.lesson()), where_is(b, self.after.lesson()));
                    format!("starts {b} from the frog instead of {a}, fixed")
                }
                (Some(_), None) => {
                    let at = onset(&self.before.lesson().score, id);
                    self.push_earlier(at, Some(id), "place on the bow set free");
                    continue;
                }
                (None, Some(b)) => {
                    format!("fixed to start {} from the frog", where_is(b, self.after.lesson()))
                }
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
                self.push_earlier(finding.at, Some(finding.event), words);
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
    words: BTreeMap<Quarters, Vec<String>>,
}

impl Signs {
    /// With their moments as `now` has them.
    fn of(score: &Score, now: impl Fn(Quarters) -> Quarters) -> Self {
        let mut signs = Self::default();
        for sign in &score.signs {
            let at = now(sign.at);
            match &sign.kind {
                SignKind::Dynamic(level) => {
                    signs.dynamics.insert(at, *level);
                }
                SignKind::Hairpin { opens, end, niente: _ } => {
                    signs.hairpins.insert(at, (*opens, now(*end)));
                }
                SignKind::Tempo { qpm, text: _ } => {
                    signs.qpm.insert(at, *qpm);
                }
                SignKind::Words(words) => signs.words.entry(at).or_default().push(words.clone()),
                // These say nothing to the bow.
                SignKind::Rehearsal(_) | SignKind::Clef(_) | SignKind::OctaveLine { .. } => {}
            }
        }
        signs
    }
}
