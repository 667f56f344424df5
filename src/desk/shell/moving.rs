//! Moving in the music: to notes, findings and bars, with the page following the playhead.

use crate::{
    desk::state::{
        findings::Which,
        pencil::Listed,
        steps::{StepUnit, note_steps, step_at},
        view::Told,
    },
    practice,
    score::{Event, EventId, Quarters, Score, Shared},
};

/// Rounds of a loop after which a rest is due. Assumed; that one passage is not to be repeated without a
/// break is common practice, no source.
const ROUNDS: u32 = 20;

use super::Desk;

/// The next note or rest of the same voice, or the one before; what is tied over from another is part of that.
fn beside(score: &Score, id: EventId, forward: bool) -> Option<EventId> {
    let place = score.events.iter().position(|event| event.id == id)?;
    let voice = score.events[place].voice;
    let is_step = |event: &&Shared<Event>| {
        let is_over = !event.is_rest() && event.notes.iter().all(|note| note.tie_stop);
        event.voice == voice && event.grace.is_none() && !is_over
    };
    let next = if forward {
        score.events[place + 1..].iter().find(is_step)
    } else {
        score.events[..place].iter().rfind(is_step)
    };
    next.map(|event| event.id)
}

impl Desk {
    /// Chooses a note, or all up to it, and goes there.
    pub(super) fn go_to_note(&mut self, id: EventId, extend: bool, now_s: f64) {
        let score = &self.history.lesson().score;
        let Some(onset) = score.event(id).map(|event| event.onset) else { return };
        if extend {
            self.view.extend_to(id, score);
        } else {
            self.view.choose(id);
        }
        self.seek_to(onset, now_s);
    }

    /// Chooses a note and puts the playhead at a moment of it.
    pub(super) fn go_to(&mut self, event: EventId, at: Quarters, now_s: f64) {
        self.view.choose(event);
        self.seek_to(at, now_s);
    }

    /// Puts the playhead at a moment of the music.
    pub(super) fn seek_to(&mut self, at: Quarters, now_s: f64) {
        self.seek(self.analysis().seconds_at(at), now_s);
        self.view.heads_for = self.history.is_behind().then_some(at);
    }

    /// Puts the playhead at a moment, s, and brings it into view.
    pub(super) fn seek(&mut self, position_s: f64, now_s: f64) {
        self.view.clock.seek(position_s, now_s);
        (self.view.follow, self.view.heads_for) = (true, None);
    }

    /// The bar of the playhead.
    pub(super) fn bar_of_playhead(&self) -> usize {
        let at = Quarters::from_f64(self.analysis().quarters_at(self.position_s()) + 1e-6);
        self.lesson().score.bar_at(at).unwrap_or(0)
    }

    pub(super) fn go_to_bar(&mut self, bar: usize, now_s: f64) {
        if let Some(start) = self.lesson().score.bars.get(bar).map(|bar| bar.start) {
            self.seek_to(start, now_s);
        }
    }

    /// Goes to a difference from the kept version.
    pub(super) fn go_to_difference(&mut self, index: usize, now_s: f64) {
        let Some(difference) = self.differences().get(index) else { return };
        let (event, at) = (difference.event, difference.at);
        match event.filter(|id| self.lesson().score.event(*id).is_some()) {
            Some(event) => self.go_to(event, at, now_s),
            None => self.seek_to(at, now_s),
        }
    }

    /// Opens a finding and goes to it.
    pub(super) fn go_to_finding(&mut self, index: usize, now_s: f64) {
        let Some(finding) = self.analysis().findings.told.get(index) else { return };
        let (which, event, at) = (Which::of(finding), finding.event, finding.at);
        self.panels.findings.open(which);
        self.view.told = Told::Findings;
        self.view.offer = None;
        self.go_to(event, at, now_s);
    }

    /// Goes to one of the further places of a finding.
    pub(super) fn go_to_place(&mut self, index: usize, nth: usize, now_s: f64) {
        let spot = self.analysis().findings.told.get(index).and_then(|finding| finding.more.get(nth));
        if let Some((event, at)) = spot.map(|spot| (spot.event, spot.at)) {
            self.go_to(event, at, now_s);
        }
    }

    /// Goes to a pencil mark.
    pub(super) fn go_to_mark(&mut self, index: usize, now_s: f64) {
        let Some(mark) = self.history.study().pencil().marks.get(index) else { return };
        let (event, at) = (mark.event, mark.at);
        self.view.told = Told::Pencil;
        self.go_to(event, at, now_s);
    }

    /// Goes to the next pencil mark from the playhead, or to the one before it.
    pub(super) fn step_mark(&mut self, forward: bool, now_s: f64) {
        let study = self.history.study();
        let at = study.analysis().quarters_at(self.view.clock.tick(now_s).position);
        let all = &study.pencil().marks;
        self.view.told = Told::Pencil;
        match Listed::new(all, self.memory.pencil, at).step(all, forward, at) {
            Some(mark) => self.go_to_mark(mark, now_s),
            None => self.say("No pencil marks are shown"),
        }
    }

    /// Opens the next finding of the list as shown, or the one before. In the order of the music
    /// that is the next from the playhead, unless the playhead stands at the open one.
    pub(super) fn step_finding(&mut self, forward: bool, now_s: f64) {
        let analysis = self.history.study().analysis();
        let shown = &self.panels.findings;
        let steps = shown.steps(analysis);
        let Some(last) = steps.len().checked_sub(1) else { return };
        let at = analysis.quarters_at(self.view.clock.tick(now_s).position);
        let off = |index: &usize| analysis.findings.told[*index].at.to_f64() - at;
        let open = shown.open.and_then(|open| open.index(analysis));
        let open = open.filter(|open| !shown.by_time || off(open).abs() <= 1e-3);
        let place = open.and_then(|open| steps.iter().position(|index| *index == open));
        let to = match (place, forward) {
            (Some(place), true) => (place + 1) % steps.len(),
            (Some(place), false) => place.checked_sub(1).unwrap_or(last),
            (None, _) if !shown.by_time => 0,
            // What begins where one stands is the first.
            (None, true) => steps.iter().position(|index| off(index) > -1e-3).unwrap_or(0),
            (None, false) => steps.iter().rposition(|index| off(index) < -1e-3).unwrap_or(last),
        };
        self.go_to_finding(steps[to], now_s);
    }

    pub(super) fn close_finding(&mut self) {
        self.panels.findings.close();
        self.view.offer = None;
    }

    /// Goes a note or a rest on or back.
    pub(super) fn step_note(&mut self, forward: bool, extend: bool, now_s: f64) {
        // What is shown may have moved meanwhile: the notes as they are now tell which is the next.
        if self.history.is_behind()
            && let Some(from) = self.view.moving_end(&self.lesson().score)
        {
            if let Some(id) = beside(&self.lesson().score, from, forward) {
                self.go_to_note(id, extend, now_s);
            }
            return;
        }
        let study = self.history.study().clone();
        let steps = note_steps(&study.lesson().score, study.analysis());
        let times: Vec<f64> = steps.iter().map(|step| study.analysis().seconds_at(step.0)).collect();
        let at = self.view.clock.tick(now_s).position;
        let to = if forward { practice::next_after(&times, at) } else { practice::next_before(&times, at) };
        // The first step from the very start chooses the first note.
        let to = if forward && self.view.selection.is_empty() && at <= 1e-3 {
            times.first().copied().filter(|t| *t <= 1e-3).or(to)
        } else {
            to
        };
        let to = to.and_then(|to| step_at(&steps, study.analysis().quarters_at(to)));
        if let Some(id) = to {
            self.go_to_note(id, extend, now_s);
        }
    }

    /// Goes on or back to the next of some places.
    pub(super) fn step_by(&mut self, unit: StepUnit, forward: bool, now_s: f64) {
        if unit == StepUnit::Note {
            return self.step_note(forward, false, now_s);
        }
        let times = unit.times(&self.lesson().score, self.analysis());
        let at = self.view.clock.tick(now_s).position;
        let to = if forward { practice::next_after(&times, at) } else { practice::next_before(&times, at) };
        if let Some(to) = to {
            self.seek(to, now_s);
        }
    }

    /// Goes to the next sentence of the passage in words, or to the one before.
    pub(super) fn step_sentence(&mut self, forward: bool, now_s: f64) {
        self.view.told = Told::Words;
        // While the words are not written, there is nowhere to go.
        let Some(passage) = self.work.wording.passage() else { return };
        let said = passage.sentences().filter(|sentence| sentence.is_said());
        let mut places: Vec<(f64, EventId)> =
            said.map(|sentence| (self.analysis().seconds_at(sentence.from), sentence.event)).collect();
        places.sort_by(|a, b| a.0.total_cmp(&b.0));
        let times: Vec<f64> = places.iter().map(|place| place.0).collect();
        let at = self.view.clock.tick(now_s).position;
        let to = if forward { practice::next_after(&times, at) } else { practice::next_before(&times, at) };
        let event = to.and_then(|to| places.iter().find(|place| place.0 >= to)).map(|place| place.1);
        if let Some(event) = event {
            self.go_to_note(event, false, now_s);
        }
    }

    /// Loops the chosen notes, or ends the loop.
    pub(super) fn loop_selection(&mut self, now_s: f64) {
        let study = self.history.study();
        let events = &study.lesson().score.events;
        let chosen = events.iter().filter(|event| self.view.selection.contains(&event.id));
        let span = chosen.map(|event| (event.onset, event.end())).reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
        match span {
            _ if self.view.clock.span().is_some() => self.view.clock.set_span(None, now_s),
            Some((from, to)) => {
                let span = (study.analysis().seconds_at(from), study.analysis().seconds_at(to));
                self.view.clock.set_span(Some(span), now_s);
                self.view.clock.seek(span.0, now_s);
                self.say("The selected notes are looped");
            }
            None => self.say("Select the notes to loop first"),
        }
    }

    /// Plays the repeats, or goes once through.
    pub(super) fn take_repeats_or_not(&mut self, now_s: f64) {
        let study = self.history.study().clone();
        if practice::way_through(&study).len() < 2 {
            return self.say("There are no repeats here");
        }
        self.view.repeats = !self.view.repeats;
        self.view.find_way(&study, now_s);
        self.say(if self.view.repeats { "Repeats are played" } else { "Once through, without repeats" });
    }

    /// After many rounds of a loop, a word about the arm.
    pub(super) fn remind_of_rest(&mut self, now_s: f64) {
        let spells = self.view.clock.rounds(now_s) / ROUNDS;
        if spells > self.view.rests_told {
            let times = spells * ROUNDS;
            let words = "times round: let the arm hang and play something else; stop when it hurts";
            self.view.message = Some(format!("{times} {words}"));
        }
        self.view.rests_told = spells;
    }

    /// Turns the page when the playhead has left it.
    pub(super) fn follow_playhead(&mut self, position_s: f64, playing: bool) {
        let Some(scene) = &self.drawn.scene else { return };
        if !(self.view.follow || playing) {
            return;
        }
        self.view.follow = false;
        let bars = &self.lesson().score.bars;
        let quarters = self.analysis().quarters_at(position_s).max(0.0);
        let at_end = scene.bars.1 >= bars.len() && quarters >= scene.window.0.to_f64();
        if scene.shows(quarters) || at_end {
            return;
        }
        let bar = self.lesson().score.bar_at(Quarters::from_f64(quarters + 1e-6)).unwrap_or(0);
        // Playing on begins the next page; a jump back shows a bar of what leads there.
        self.view.first_bar = if playing { bar } else { bar.saturating_sub(1) };
    }
}
