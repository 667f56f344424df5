//! Writing notes: what keys do at the caret.

use crate::{
    desk::{
        command::write::{Put, Said, WriteKey},
        state::steps::step_about,
        writing::typing::{at_height, last_of, said},
    },
    lesson::{EditError, Lesson, change},
    score::{Event, EventId, Pitch, Quarters, SignKind},
};

use super::Desk;

impl Desk {
    /// The note or rest before the caret: the last chosen one, else that of the playhead; none at the start.
    pub(super) fn before_caret(&self) -> Option<EventId> {
        let chosen = self.view.last_chosen(&self.lesson().score);
        let study = self.history.study();
        let at = study.analysis().quarters_at(self.position_s());
        let under = || {
            let is_in = |id: &EventId| self.lesson().score.event(*id).is_some();
            step_about(&study.lesson().score, study.analysis(), at).filter(is_in)
        };
        chosen.or_else(|| if at <= 1e-6 { None } else { under() })
    }

    /// Where the next note comes, while notes are written.
    pub(super) fn caret(&self) -> Option<Quarters> {
        let (study, line) = (self.history.study(), &self.analysis().line);
        let shown = |id| {
            let note = line.note_of(id).map(|note| line.notes[note].end());
            note.or_else(|| Some(study.lesson().score.events[line.event_index(id)?].end()))
        };
        // A note that is not shown yet is not tied to another one.
        let end = |id| shown(id).or_else(|| self.lesson().score.event(id).map(Event::end));
        self.view.writing.then(|| self.before_caret().and_then(end).unwrap_or(Quarters::ZERO))
    }

    /// What a writing key does.
    pub(super) fn write(&mut self, key: WriteKey, now_s: f64) {
        let before = self.before_caret();
        self.panels.writing.stand_at(before);
        if self.view.selection.len() > 1 && self.write_on_chosen(key, now_s) {
            return;
        }
        if self.panels.writing.prepare(key) {
            return;
        }
        if let WriteKey::Slur | WriteKey::Hairpin | WriteKey::OctaveLine = key {
            let is_note = |id: &EventId| self.lesson().score.event(*id).is_some_and(|event| !event.is_rest());
            let Some(id) = before.filter(is_note) else {
                return self.say("Type a note first; a slur or a line begins at the note before");
            };
            let words = self.panels.writing.open_or_close(key, id);
            return self.say(&words);
        }
        let score = &self.history.lesson().score;
        let one_before = before.filter(|_| key == WriteKey::TakeBack).and_then(|id| {
            let index = score.events.iter().position(|event| event.id == id)?;
            index.checked_sub(1).map(|index| score.events[index].id)
        });
        let free = score.free_event_id();
        let writing = self.panels.writing.clone();
        let go_on = move |desk: &mut Self, made: Result<bool, EditError>, now_s| {
            if made != Ok(true) {
                return;
            }
            let is_there = |id: &EventId| desk.lesson().score.event(*id).is_some();
            let next = match key {
                WriteKey::Note(_) | WriteKey::Rest | WriteKey::Tie => Some(free).filter(is_there).or(before),
                WriteKey::TakeBack => one_before,
                _ => before,
            };
            let next = next.filter(is_there);
            desk.panels.writing.done(key);
            match next {
                Some(id) => desk.go_to_note(id, false, now_s),
                None => desk.view.selection.clear(),
            }
            desk.panels.writing.stay_at(next);
        };
        self.edit_then(move |lesson| writing.edit(lesson, before, key), None, go_on, now_s);
    }

    /// Writes a note at a height on the staff behind the last note the middle of which lies before a moment.
    pub(super) fn put_on_staff(&mut self, height: i32, at: f64, now_s: f64) {
        let lesson = self.history.lesson();
        let events = lesson.score.events.iter().filter(|event| event.voice == 0);
        let middle = |event: &Event| (event.onset.to_f64() + event.end().to_f64()) / 2.0;
        let before = events.filter(|event| middle(event) <= at).map(|event| event.id).next_back();
        let place = before.and_then(|id| last_of(lesson, id)).unwrap_or(Quarters::ZERO);
        let pitch = at_height(lesson, place, height);
        self.put(before, pitch, None, now_s);
    }

    /// Writes a note of this pitch behind a note, on a string where one was chosen.
    pub(super) fn put(&mut self, before: Option<EventId>, pitch: Pitch, string: Option<u8>, now_s: f64) {
        self.panels.writing.stand_at(before);
        let free = self.lesson().score.free_event_id();
        let writing = self.panels.writing.clone();
        let go_on = move |desk: &mut Self, made: Result<bool, EditError>, now_s| {
            if made == Ok(true) {
                desk.panels.writing.done(WriteKey::Note(pitch.letter));
                desk.go_to_note(free, false, now_s);
                desk.panels.writing.stay_at(Some(free));
            }
        };
        self.edit_then(move |lesson| writing.put(lesson, before, &[pitch], string), None, go_on, now_s);
    }

    /// What a key does to several chosen notes at once; false where it has nothing to do with them.
    fn write_on_chosen(&mut self, key: WriteKey, now_s: f64) -> bool {
        let lesson = self.history.lesson();
        let selection = &self.view.selection;
        match key {
            WriteKey::Slur => self.slur(now_s),
            WriteKey::Hairpin | WriteKey::OctaveLine => {
                let events = lesson.score.events.iter().filter(|event| selection.contains(&event.id));
                let span = events.map(|event| (event.onset, event.end()));
                let Some((from, to)) = span.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1))) else { return false };
                // Opening or 8va, closing or 8vb, none, in turn.
                let here = lesson.score.signs.iter().find_map(|sign| match sign.kind {
                    SignKind::Hairpin { opens, .. } if key == WriteKey::Hairpin && sign.at == from => {
                        Some(opens)
                    }
                    SignKind::OctaveLine { octaves, .. }
                        if key == WriteKey::OctaveLine && sign.at == from =>
                    {
                        Some(octaves > 0)
                    }
                    _ => None,
                });
                let next = match here {
                    None => Some(true),
                    Some(true) => Some(false),
                    Some(false) => None,
                };
                let draw = move |lesson: &Lesson| match key {
                    WriteKey::Hairpin => change::set_hairpin(lesson, from, to, next),
                    _ => {
                        let octaves = next.map(|above| if above { 1 } else { -1 });
                        change::set_octave_line(lesson, from, to, octaves)
                    }
                };
                self.edit(draw, now_s);
            }
            WriteKey::Put(Put::Mark(mark)) => {
                let notes = self.view.chosen_notes(self.analysis());
                let all = notes.iter().all(|note| note.marks.contains(&mark));
                self.panels.writing.never_mind();
                self.edit_chosen(move |lesson, chosen| change::set_mark(lesson, &chosen, mark, !all), now_s);
            }
            WriteKey::Put(Put::Tremolo(strokes)) => {
                let so = |event: &Event| event.is_rest() || event.tremolo == Some(strokes);
                let mut events = lesson.score.events.iter().filter(|event| selection.contains(&event.id));
                let all = events.all(|event| so(event));
                self.panels.writing.never_mind();
                let wanted = (!all).then_some(strokes);
                self.edit_chosen(move |lesson, chosen| change::set_tremolo(lesson, &chosen, wanted), now_s);
            }
            _ => return false,
        }
        true
    }

    /// What was typed into a field is said of the note before the caret.
    pub(super) fn say_of_note(&mut self, what: Said, text: String, now_s: f64) {
        let Some(id) = self.before_caret() else {
            return self.say("Type a note first; this belongs to the note before");
        };
        let go_on = {
            let text = text.clone();
            move |desk: &mut Self, made: Result<bool, EditError>, _: f64| {
                if made == Ok(true) {
                    desk.panels.writing.has_said(desk.history.lesson(), id, what, &text);
                }
            }
        };
        self.edit_then(move |lesson| said(lesson, id, what, &text), None, go_on, now_s);
    }
}
