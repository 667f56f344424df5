//! Carries out what was asked for while the window was drawn.

use egui::Context;

use crate::{
    bowing::Bowed,
    lesson::{Edit, EditError, change},
    practice,
    score::{Direction, EventId, Quarters, SameBow},
};

use crate::desk::{
    Desk,
    bowing::entry::WriteKey,
    command::{Action, Command},
    file::tasks::Purpose,
    file::windows::Then,
    findings::compare::Kept,
    findings::panel::Which,
    state::history::{Gesture, History},
    state::offer::Offer,
    state::view::{Drawer, Stage, ZOOM, beat_times, note_steps, step_at},
};

impl Desk {
    /// Carries out one command at the time `now`, s.
    pub(in crate::desk) fn apply(&mut self, command: Command, ctx: &Context, now: f64) {
        match command {
            Command::Do(action) => self.act(action, ctx, now),
            Command::Edit(edit, gesture) => {
                self.edit(*edit, gesture, now);
            }
            Command::Choose { id, extend } => self.go_to_note(id, extend, now),
            Command::ChooseSpan(from, to) => self.view.choose_span(from, to, &self.history.lesson().score),
            Command::Seek(seconds) => self.view.clock.seek(seconds, now),
            Command::Finding(index) => self.go_to_finding(index, now),
            Command::Place(index, nth) => {
                let spot = self.analysis.findings.told.get(index).and_then(|finding| finding.more.get(nth));
                if let Some((event, at)) = spot.map(|spot| (spot.event, spot.at)) {
                    self.go_to(event, at, now);
                }
            }
            Command::CloseFinding => {
                self.view.findings.close();
                self.view.offer = None;
            }
            Command::Note(id) => self.go_to_note(id, false, now),
            Command::Bar(bar) => {
                if let Some(start) = self.history.lesson().score.bars.get(bar).map(|bar| bar.start) {
                    self.view.clock.seek(self.analysis.seconds_at(start), now);
                    self.follow = true;
                }
            }
            Command::Difference(index) => {
                let difference = self.kept.as_ref().and_then(|kept| kept.differences().get(index));
                let Some((event, at)) = difference.map(|d| (d.event, d.at)) else { return };
                match event.filter(|id| self.history.lesson().score.event(*id).is_some()) {
                    Some(event) => self.go_to(event, at, now),
                    None => {
                        self.view.clock.seek(self.analysis.seconds_at(at), now);
                        self.follow = true;
                    }
                }
            }
            Command::CloseDrawer => self.open_drawer(None),
            Command::Take(offer) => self.take(offer, now),
            Command::Scroll(bar) => {
                self.view.first_bar = bar.min(self.history.lesson().score.bars.len().saturating_sub(1));
            }
            Command::Zoom(factor) => {
                self.view.zoom = (self.view.zoom * factor).clamp(*ZOOM.start(), *ZOOM.end());
            }
            Command::Look(look) => {
                self.memory.look = look;
                self.memory.save();
                look.apply(ctx, self.window_factor);
            }
            Command::Write(key) => self.write(key, now),
            Command::Leave(then) => self.leave(then, ctx),
        }
    }

    fn act(&mut self, action: Action, ctx: &Context, now: f64) {
        let chosen = self.view.chosen(&self.history.lesson().score);
        match action {
            Action::New => self.leave(Then::New, ctx),
            Action::Open => self.leave(Then::Ask, ctx),
            Action::ShowDemo => self.leave(Then::Demo, ctx),
            Action::Quit => self.leave(Then::Quit, ctx),
            Action::Save => self.save(ctx),
            Action::SaveAs => self.ask_path(Purpose::Save, ctx),
            Action::ExportPages => self.ask_path(Purpose::Pages, ctx),
            Action::Report => self.view.report_open = true,
            Action::Undo => self.travel(History::undo, "Undone", "Nothing to undo", ctx, now),
            Action::Redo => self.travel(History::redo, "Done again", "Nothing to do again", ctx, now),
            Action::SelectAll => {
                let end = self.history.lesson().score.end().to_f64() + 1.0;
                self.view.choose_span(0.0, end, &self.history.lesson().score);
            }
            Action::SelectNone if self.view.drawer.is_some() => self.open_drawer(None),
            Action::SelectNone => {
                self.view.selection.clear();
                self.view.anchor = None;
                self.view.level = None;
                self.view.stage = Stage::Music;
                self.view.arm =
                    crate::desk::arm::figure::ArmDesk { view: self.view.arm.view, ..Default::default() };
                self.view.findings.close();
                self.view.offer = None;
                (self.view.keys_open, self.view.setup_open, self.view.report_open) = (false, false, false);
                self.view.message = None;
            }
            Action::Delete => {
                let edit = change::delete(self.history.lesson(), &chosen);
                self.edit(edit, None, now);
            }
            Action::Slur | Action::Split | Action::Turn | Action::Retake | Action::Hook | Action::Portato => {
                let edit = self.bow_edit(action, &chosen);
                self.edit(edit, None, now);
            }
            Action::Settle => {
                let kept = &self.history.lesson().kept;
                let notes = self.view.chosen_notes(&self.analysis);
                let all = notes.iter().all(|note| kept.contains(&note.id()));
                let edit = change::keep_bowing(self.history.lesson(), &chosen, !all);
                self.edit(edit, None, now);
            }
            Action::Suggest => self.open_drawer(Some(Drawer::Suggest)),
            Action::Ladder => self.open_drawer(Some(Drawer::Ladder)),
            Action::KeepVersion => {
                self.kept = Some(Kept::new(&self.about()));
                self.view.findings.compared = true;
                self.say("This version is kept; what you change now is shown against it");
            }
            Action::DropVersion => {
                let words = if self.kept.take().is_some() {
                    "The kept version is dropped"
                } else {
                    "No version is kept"
                };
                self.view.findings.compared = false;
                self.say(words);
            }
            Action::Play => {
                if self.view.clock.is_playing() {
                    self.view.clock.pause(now);
                } else {
                    self.view.clock.play(now);
                }
            }
            Action::Next | Action::Previous | Action::ExtendNext | Action::ExtendPrevious => {
                let forward = matches!(action, Action::Next | Action::ExtendNext);
                let extend = matches!(action, Action::ExtendNext | Action::ExtendPrevious);
                self.step_note(forward, extend, now);
            }
            Action::NextBeat | Action::PreviousBeat => {
                let times = beat_times(&self.history.lesson().score, &self.analysis);
                let at = self.view.clock.tick(now).position;
                let to = if action == Action::NextBeat {
                    practice::next_after(&times, at)
                } else {
                    practice::next_before(&times, at)
                };
                if let Some(to) = to {
                    self.view.clock.seek(to, now);
                    self.follow = true;
                }
            }
            Action::ToStart | Action::ToEnd => {
                let to = if action == Action::ToStart { 0.0 } else { self.analysis.total_s() };
                self.view.clock.seek(to, now);
                self.follow = true;
            }
            Action::NextFinding | Action::PreviousFinding => {
                self.step_finding(action == Action::NextFinding, now);
            }
            Action::NextOffer | Action::PreviousOffer => self.step_offer(action == Action::NextOffer),
            Action::TakeOffer => match self.view.offer {
                Some(offer) => self.take(offer, now),
                None => self.say("Look at what helps first, with the down arrow"),
            },
            Action::Loop => self.loop_selection(now),
            Action::Level(number) => {
                let index = usize::from(number) - 1;
                self.view.level = if self.view.level == Some(index) { None } else { Some(index) };
            }
            Action::HoldLevel(number) => {
                let held = &mut self.view.arm.held;
                let index = usize::from(number) - 1;
                *held = if *held == Some(index) { None } else { Some(index) };
            }
            Action::LargeArm => self.show(Stage::Arm),
            Action::Together => {
                let now = self.analysis.bow_at(self.view.clock.tick(now).position).note;
                let mut together = std::mem::take(&mut self.view.together);
                together.open(self.history.lesson(), &self.analysis, &self.view, now);
                self.view.together = together;
                self.show(Stage::Together);
            }
            Action::NextArmView => self.view.arm.turn(),
            Action::Wider => self.apply(Command::Zoom(1.2), ctx, now),
            Action::Narrower => self.apply(Command::Zoom(1.0 / 1.2), ctx, now),
            Action::NextLook => self.apply(Command::Look(self.memory.look.next()), ctx, now),
            Action::Write => {
                self.view.writing = !self.view.writing;
                // The writing strip stands where the drawers do.
                self.open_drawer(None);
            }
            Action::Setup => self.view.setup_open = !self.view.setup_open,
            Action::Keys => self.view.keys_open = !self.view.keys_open,
        }
    }

    fn travel(&mut self, go: fn(&mut History) -> bool, done: &str, none: &str, ctx: &Context, now: f64) {
        let (undo, redo) = self.history.words();
        let what = if done == "Undone" { undo } else { redo }.unwrap_or_default().to_owned();
        if go(&mut self.history) {
            // A field that is being typed in would put its old text back.
            ctx.memory_mut(|memory| {
                if let Some(id) = memory.focused() {
                    memory.surrender_focus(id);
                }
            });
            self.view.message = Some(format!("{done}: {what}"));
            self.refresh(now);
        } else {
            self.view.message = Some(none.to_owned());
        }
    }

    /// Applies an edit, or says why it cannot be made; true when the lesson has changed.
    fn edit(&mut self, edit: Result<Edit, EditError>, gesture: Option<Gesture>, now: f64) -> bool {
        let applied = edit.and_then(|edit| {
            let what = edit.what().to_owned();
            self.history.apply(&edit, gesture).map(|changed| (changed, what))
        });
        match applied {
            Ok((true, what)) => {
                self.view.message = Some(what);
                self.refresh(now);
                true
            }
            Ok((false, _)) => false,
            Err(error) => {
                self.view.message = Some(error.to_string());
                false
            }
        }
    }

    fn bow_edit(&self, action: Action, chosen: &[EventId]) -> Result<Edit, EditError> {
        let lesson = self.history.lesson();
        let notes = self.view.chosen_notes(&self.analysis);
        let Some(note) = notes.first().copied() else {
            return Err(EditError("Select a note first".to_owned()));
        };
        let id = note.id();
        let same = |how| change::hook(lesson, id, if note.same_bow == Some(how) { None } else { Some(how) });
        match action {
            Action::Split => change::split_slur(lesson, id),
            Action::Turn => {
                let is_it = |bowed: &&Bowed| self.analysis.line.notes[bowed.note].id() == id;
                let bowed = self.analysis.bowing.notes.iter().find(is_it);
                let direction = bowed.map_or(Direction::Down, |bowed| bowed.direction);
                change::turn_from(lesson, id, direction)
            }
            Action::Retake => change::set_retake(lesson, id, !note.retake),
            Action::Hook => same(SameBow::Hooked),
            Action::Portato => same(SameBow::Portato),
            _ => {
                let is_one = note.slur.is_some() && notes.iter().all(|other| other.slur == note.slur);
                change::set_slur(lesson, chosen, !is_one)
            }
        }
    }

    fn go_to_note(&mut self, id: EventId, extend: bool, now: f64) {
        let lesson = self.history.lesson();
        let Some(onset) = lesson.score.event(id).map(|event| event.onset) else { return };
        if extend {
            self.view.extend_to(id, &lesson.score);
        } else {
            self.view.choose(id);
        }
        self.view.clock.seek(self.analysis.seconds_at(onset), now);
        self.follow = true;
    }

    fn go_to_finding(&mut self, index: usize, now: f64) {
        let Some(finding) = self.analysis.findings.told.get(index) else { return };
        let (event, at) = (finding.event, finding.at);
        self.view.findings.open(Which::of(finding));
        self.view.offer = None;
        self.go_to(event, at, now);
    }

    /// Chooses a note and puts the playhead at a moment of it.
    fn go_to(&mut self, event: EventId, at: Quarters, now: f64) {
        self.view.choose(event);
        self.view.clock.seek(self.analysis.seconds_at(at), now);
        self.follow = true;
    }

    /// Opens the next finding of the list as shown, or the one before. In the order of the music
    /// that is the next from the playhead, unless the playhead stands at the open one.
    fn step_finding(&mut self, forward: bool, now: f64) {
        let findings = &self.analysis.findings.told;
        let steps = self.view.findings.steps(&self.analysis);
        let Some(last) = steps.len().checked_sub(1) else { return };
        let at = self.analysis.quarters_at(self.view.clock.tick(now).position);
        let off = |index: &usize| findings[*index].at.to_f64() - at;
        let open = self.view.findings.open.and_then(|open| open.index(&self.analysis));
        let open = open.filter(|open| !self.view.findings.by_time || off(open).abs() <= 1e-3);
        let place = open.and_then(|open| steps.iter().position(|index| *index == open));
        let to = match (place, forward) {
            (Some(place), true) => (place + 1) % steps.len(),
            (Some(place), false) => place.checked_sub(1).unwrap_or(last),
            (None, _) if !self.view.findings.by_time => 0,
            (None, true) => steps.iter().position(|index| off(index) > 1e-3).unwrap_or(0),
            (None, false) => steps.iter().rposition(|index| off(index) < -1e-3).unwrap_or(last),
        };
        self.go_to_finding(steps[to], now);
    }

    fn say(&mut self, words: &str) {
        self.view.message = Some(words.to_owned());
    }

    /// Shows something large in the middle; a second call goes back to the music.
    fn show(&mut self, stage: Stage) {
        self.view.stage = if self.view.stage == stage { Stage::Music } else { stage };
    }

    /// Shows a drawer in the place of the bow; a second call puts it away.
    fn open_drawer(&mut self, drawer: Option<Drawer>) {
        self.view.drawer = drawer.filter(|drawer| self.view.drawer != Some(*drawer));
        self.view.offer = None;
        if self.view.drawer != Some(Drawer::Suggest) {
            self.suggest.cancel();
        }
    }

    /// Looks at the next offer, or the one before; past either end, at none.
    fn step_offer(&mut self, forward: bool) {
        let answers = self.suggest.answers(self.generation).len();
        let suggests = self.view.drawer == Some(Drawer::Suggest) && answers > 0;
        let count = if suggests { answers } else { self.remedies().len() };
        if count == 0 {
            self.say(match self.view.drawer {
                Some(Drawer::Suggest) => "Press Suggest first; the answers are shown under it",
                _ => "Open a finding first; what helps is listed under it",
            });
        }
        let place = match self.view.offer {
            Some(Offer::Remedy(index)) if !suggests => index + 1,
            Some(Offer::Suggestion(index)) if suggests => index + 1,
            _ => 0,
        };
        let place = if forward { place + 1 } else { place + count } % (count + 1);
        let offer = if suggests { Offer::Suggestion } else { Offer::Remedy };
        self.view.offer = place.checked_sub(1).map(offer);
    }

    /// Makes a change that is on offer, as one step.
    fn take(&mut self, offer: Offer, now: f64) {
        let changes_from = match offer {
            Offer::Suggestion(index) => self.suggest.first_bar(index),
            Offer::Remedy(_) => None,
        };
        let taken = match offer {
            Offer::Remedy(index) => {
                let remedy = self.remedies().get(index);
                remedy.map(|remedy| {
                    (remedy.trial.edit.clone(), format!("{} · {}", remedy.trial.words, remedy.effect))
                })
            }
            Offer::Suggestion(index) => {
                let answer = self.suggest.answers(self.generation).get(index);
                answer.map(|answer| (answer.edit.clone(), format!("Taken · {}", answer.headline)))
            }
        };
        if let Some((edit, words)) = taken
            && self.edit(Ok(edit), None, now)
        {
            self.view.message = Some(words);
            if let Some(bar) = changes_from {
                self.bring_into_view(bar);
            }
        }
    }

    fn step_note(&mut self, forward: bool, extend: bool, now: f64) {
        let steps = note_steps(&self.history.lesson().score, &self.analysis);
        let times: Vec<f64> = steps.iter().map(|step| self.analysis.seconds_at(step.0)).collect();
        let at = self.view.clock.tick(now).position;
        let nothing_chosen = self.view.selection.is_empty();
        let to = if forward { practice::next_after(&times, at) } else { practice::next_before(&times, at) };
        // The first step from the very start chooses the first note.
        let to = if forward && nothing_chosen && at <= 1e-3 {
            times.first().copied().filter(|t| *t <= 1e-3).or(to)
        } else {
            to
        };
        let Some(to) = to else { return };
        let quarters = self.analysis.quarters_at(to);
        if let Some(id) = step_at(&steps, quarters) {
            self.go_to_note(id, extend, now);
        }
    }

    fn loop_selection(&mut self, now: f64) {
        let on = self.view.clock.span().is_some();
        let score = &self.history.lesson().score;
        let events = score.events.iter().filter(|event| self.view.selection.contains(&event.id));
        let span = events.map(|event| (event.onset, event.end())).reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
        match span {
            _ if on => self.view.clock.set_span(None, now),
            Some((from, to)) => {
                let span = (self.analysis.seconds_at(from), self.analysis.seconds_at(to));
                self.view.clock.set_span(Some(span), now);
                self.view.clock.seek(span.0, now);
                self.view.message = Some("The selected notes are looped".to_owned());
            }
            None => self.view.message = Some("Select the notes to loop first".to_owned()),
        }
    }

    fn write(&mut self, key: WriteKey, now: f64) {
        if self.entry.change_value(key) {
            return;
        }
        let score = &self.history.lesson().score;
        let chosen = self.view.chosen(score);
        let steps = note_steps(score, &self.analysis);
        let at = self.analysis.quarters_at(self.view.clock.tick(now).position);
        // With nothing chosen, writing goes on at the playhead; before the first note, in front.
        let under = if at <= 1e-6 { None } else { step_at(&steps, at) };
        let selected = chosen.last().copied().or(under);
        let known: std::collections::BTreeSet<EventId> = score.events.iter().map(|event| event.id).collect();
        let before = selected.and_then(|id| {
            let index = score.events.iter().position(|event| event.id == id)?;
            index.checked_sub(1).map(|index| score.events[index].id)
        });
        let edit = self.entry.edit(self.history.lesson(), selected, key);
        if !self.edit(edit, None, now) {
            return;
        }
        let score = &self.history.lesson().score;
        let new = score.events.iter().find(|event| !known.contains(&event.id)).map(|event| event.id);
        let next = match key {
            WriteKey::Note(_) | WriteKey::Rest => new.or(selected),
            WriteKey::DeleteBefore => before,
            _ => selected,
        };
        match next.filter(|id| score.event(*id).is_some()) {
            Some(id) => self.go_to_note(id, false, now),
            None => self.view.selection.clear(),
        }
    }
}
