//! Carries out what was asked for while the window was drawn.

use egui::Context;

use crate::{
    analysis::Study,
    bowing::Density,
    desk::{
        arm::shown::ArmDesk,
        command::{Action, Command, LevelKey, Turn, Wish},
        state::{
            files::{Purpose, Then},
            history::{Gesture, Way},
            kept::Kept,
            steps::StepUnit,
            view::{Drawer, Stage, Told, ZOOM},
        },
        widgets::theme::Look,
        work::job::let_go,
        writing::ask::Asks,
    },
    lesson::{
        Edit, EditError, Lesson,
        change::{self, Moving},
    },
    score::SameBow,
};

use super::{
    Desk,
    editing::{same_bow, turn},
};

/// Factor on the stretch of the time axis of one press of its key.
const WIDER: f64 = 1.2;

impl Desk {
    /// Carries out a command, at once or in its turn. Of a gesture whose change is not shown yet only
    /// the last is wanted.
    pub(super) fn take_command(&mut self, command: Command, ctx: &Context, now: f64) {
        let waits = match command.turn() {
            Turn::Now => false,
            Turn::InOrder => self.underway.is_some() || !self.waiting.is_empty(),
            Turn::WhenShown => self.is_behind(),
        };
        if !waits {
            return self.apply(command, ctx, now);
        }
        if let Some((last, _)) = self.waiting.back_mut()
            && command.gesture().is_some()
            && last.gesture() == command.gesture()
        {
            *last = command;
        } else {
            self.waiting.push_back((command, self.history.study().clone()));
        }
    }

    /// Carries out what has waited for its turn.
    pub(super) fn carry_on(&mut self, ctx: &Context, now: f64) {
        let is_due = |command: &Command, awaits: bool| !awaits || command.turn() != Turn::WhenShown;
        while self.underway.is_none()
            && self.waiting.front().is_some_and(|(command, _)| is_due(command, self.awaits_analysis()))
            && let Some((command, asked_of)) = self.waiting.pop_front()
        {
            match command {
                Command::Edit(asked, gesture) => self.edit_asked(asked, gesture, asked_of, now),
                command => {
                    self.apply(command, ctx, now);
                    // Nobody else may hold that state any more.
                    if asked_of.id() != self.history.study().id() {
                        let_go(asked_of);
                    }
                }
            }
        }
    }

    /// Makes a change that a panel asks for. It goes out from the lesson as it was shown then: where what it
    /// changes is another since, it is not made.
    fn edit_asked(&mut self, asked: Wish, gesture: Option<Gesture>, asked_of: Study, now: f64) {
        let is_one_step = self.history.is_in(gesture);
        let make = move |lesson: &Lesson| {
            let edit = asked.make(asked_of.lesson())?;
            let is_same = std::ptr::eq(asked_of.lesson(), lesson);
            if is_same || is_one_step || edit.meets(asked_of.lesson(), lesson) {
                Ok(edit)
            } else {
                Err(EditError("Not done: it was changed a moment before; try again".to_owned()))
            }
        };
        self.edit_then(make, gesture, |_, _, _| {}, now);
    }

    /// What is shown is an earlier state of the lesson, and will follow.
    pub(super) fn awaits_analysis(&self) -> bool {
        self.history.is_behind() && !self.work.analysing.has_failed()
    }

    /// Carries out one command at the time `now`, s.
    fn apply(&mut self, command: Command, ctx: &Context, now: f64) {
        match command {
            Command::Do(action) => self.act(action, ctx, now),
            Command::Edit(asked, gesture) => {
                self.edit_asked(asked, gesture, self.history.study().clone(), now);
            }
            Command::Piece(asked) => self.change_piece(asked, now),
            Command::Choose { id, extend } => self.go_to_note(id, extend, now),
            Command::ChooseSpan(from, to) => self.view.choose_span(from, to, &self.history.lesson().score),
            Command::ChooseBar { bar, extend } => self.choose_bar(bar, extend, now),
            Command::Seek(seconds) => self.view.clock.seek(seconds, now),
            Command::Finding(index) => self.go_to_finding(index, now),
            Command::Place(index, nth) => self.go_to_place(index, nth, now),
            Command::Mark(index) => self.go_to_mark(index, now),
            Command::Pencil(density) => self.set_density(density),
            Command::Tell(told) => self.view.told = told,
            Command::CloseFinding => self.close_finding(),
            Command::Note(id) => self.go_to_note(id, false, now),
            Command::Bar(bar) => self.go_to_bar(bar, now),
            Command::Difference(index) => self.go_to_difference(index, now),
            Command::CloseDrawer => self.open_drawer(None),
            Command::Take(offer) => self.take(offer, now),
            Command::Search { freedom, whole } => self.search(freedom, whole, ctx),
            Command::StopSearch => self.work.search.cancel(),
            Command::Scroll(bar) => {
                self.view.first_bar = bar.min(self.lesson().score.bars.len().saturating_sub(1));
            }
            Command::Zoom(factor) => self.zoom(factor),
            Command::Look(look) => self.set_look(look, ctx),
            Command::Write(key) => self.write(key, now),
            Command::Put(pitch, string) => self.put(self.before_caret(), pitch, Some(string), now),
            Command::PutOnStaff(height, at) => self.put_on_staff(height, at, now),
            Command::Say(what, text) => self.say_of_note(what, text, now),
            Command::Typed(text) => {
                if let Some((what, text)) = self.panels.writing.typed(&text) {
                    self.say_of_note(what, text, now);
                }
            }
            Command::Make(making) => self.work.exercise.start(self.history.study(), making, ctx),
            Command::Page(page) => self.make_page(page, ctx),
            Command::SaveBlock(index) => self.ask_path(Purpose::Block(index), ctx),
            Command::CopyBlock(index) => self.copy_block(index, ctx),
            Command::SaveFilm => self.ask_path(Purpose::Film, ctx),
            Command::StopFilm => self.stop_film(),
            Command::Playing(playing) => self.set_playing(*playing),
            Command::StopTrack => self.stop_track(),
            Command::StopReading => {
                self.tasks.stop_reading();
            }
            Command::Book(wish) => self.take_book_wish(wish, ctx, now),
            Command::Leave(then) => self.leave(then, ctx),
        }
    }

    fn act(&mut self, action: Action, ctx: &Context, now: f64) {
        if self.view.stage == Stage::Class && self.act_for_class(action, ctx, now) {
            return;
        }
        if self.view.stage == Stage::Stand && self.act_at_stand(action, now) {
            return;
        }
        match action {
            Action::New => self.leave(Then::New, ctx),
            Action::Scale => self.panels.scale.open(self.history.lesson()),
            Action::Open => self.leave(Then::Ask, ctx),
            Action::ShowDemo => self.leave(Then::Demo, ctx),
            Action::Quit => self.leave(Then::Quit, ctx),
            Action::Save => self.save(ctx),
            Action::SaveAs => self.ask_path(Purpose::Save, ctx),
            Action::CompareFile => self.compare_file(ctx),
            Action::Versions => self.ask_versions(),
            Action::Left => self.ask_left(),
            Action::Book => self.open_book(ctx),
            Action::ExportPages => self.ask_path(Purpose::Pages, ctx),
            Action::ExportHandout => self.ask_path(Purpose::Handout, ctx),
            Action::SaveTrack => self.ask_path(Purpose::Track, ctx),
            Action::WriteScore => self.ask_besides(Purpose::Score),
            Action::NewScore => self.ask_besides(Purpose::NewScore),
            Action::Report => self.view.told = Told::Reading,
            Action::Setup => self.open_setup(ctx),
            Action::Keys => self.view.keys_open = !self.view.keys_open,
            Action::Undo => self.travel(Way::Back, now),
            Action::Redo => self.travel(Way::Forth, now),
            Action::SelectAll => self.select_all(),
            Action::SelectNone => self.select_none(),
            Action::Write => self.write_or_not(),
            Action::Piece => self.open_piece(),
            Action::Delete => self.delete_chosen(now),
            Action::Copy => self.copy(now),
            Action::Cut => self.cut(now),
            Action::Paste => self.paste(now),
            Action::InsertBars => self.insert_bars(now),
            Action::DeleteBars => self.delete_bars(now),
            Action::CutOut => self.cut_out(ctx),
            Action::Exercises => self.open_exercises(),
            Action::StepUp => self.move_chosen(Moving::Steps(1), now),
            Action::StepDown => self.move_chosen(Moving::Steps(-1), now),
            Action::HalfStepUp => self.move_chosen(Moving::HalfSteps(1), now),
            Action::HalfStepDown => self.move_chosen(Moving::HalfSteps(-1), now),
            Action::OctaveUp => self.move_chosen(Moving::Interval(7, 12), now),
            Action::OctaveDown => self.move_chosen(Moving::Interval(-7, -12), now),
            Action::StringUp => self.move_chosen(Moving::String(true), now),
            Action::StringDown => self.move_chosen(Moving::String(false), now),
            Action::Transpose => self.ask_interval(),
            Action::GoTo => self.panels.ask.open(Asks::Place),
            Action::Slur => self.slur(now),
            Action::Split => self.bow(|study, note| change::split_slur(study.lesson(), note.id()), now),
            Action::Turn => self.bow(turn, now),
            Action::Retake => {
                self.bow(|study, note| change::set_retake(study.lesson(), note.id(), !note.retake), now);
            }
            Action::Hook => self.bow(same_bow(SameBow::Hooked), now),
            Action::Portato => self.bow(same_bow(SameBow::Portato), now),
            Action::Settle => self.settle(now),
            Action::Suggest => self.open_drawer(Some(Drawer::Suggest)),
            Action::Ladder => self.open_drawer(Some(Drawer::Ladder)),
            Action::Curves => self.open_drawer(Some(Drawer::Curves)),
            Action::KeepVersion => self.keep_version(),
            Action::DropVersion => self.drop_version(),
            Action::TakeVersion => self.take_version(now),
            Action::Play => self.play_or_pause(ctx, now),
            Action::Next => self.step_note(true, false, now),
            Action::Previous => self.step_note(false, false, now),
            Action::ExtendNext => self.step_note(true, true, now),
            Action::ExtendPrevious => self.step_note(false, true, now),
            Action::NextBeat => self.step_by(StepUnit::Beat, true, now),
            Action::PreviousBeat => self.step_by(StepUnit::Beat, false, now),
            Action::NextBow => self.step_by(StepUnit::Bow, true, now),
            Action::PreviousBow => self.step_by(StepUnit::Bow, false, now),
            Action::NextBar => self.step_by(StepUnit::Bar, true, now),
            Action::PreviousBar => self.step_by(StepUnit::Bar, false, now),
            Action::NextLevel => self.step_by(StepUnit::Level, true, now),
            Action::PreviousLevel => self.step_by(StepUnit::Level, false, now),
            Action::ToStart => self.seek(0.0, now),
            Action::ToEnd => self.seek(self.analysis().total_s(), now),
            Action::NextFinding => self.step_finding(true, now),
            Action::PreviousFinding => self.step_finding(false, now),
            Action::NextMark => self.step_mark(true, now),
            Action::PreviousMark => self.step_mark(false, now),
            Action::NextSentence => self.step_sentence(true, now),
            Action::PreviousSentence => self.step_sentence(false, now),
            Action::NextOffer => self.step_offer(true),
            Action::PreviousOffer => self.step_offer(false),
            Action::TakeOffer => self.take_chosen(now),
            Action::Loop => self.loop_selection(now),
            Action::Repeats => self.take_repeats_or_not(now),
            Action::Sound => self.sound_or_not(),
            Action::CountIn => self.next_count_in(),
            Action::Faster => self.faster_or_not(),
            Action::Drone => self.drone_or_not(),
            Action::PlaySettings => self.panels.play.is_open = !self.panels.play.is_open,
            Action::Level(key) => {
                put_or_take(&mut self.view.level, key);
                self.view.level_since = None;
            }
            Action::HoldLevel(key) => put_or_take(&mut self.panels.arm.held, key),
            Action::LargeArm => self.show(Stage::Arm),
            Action::Class => self.show(Stage::Class),
            Action::Stand => self.show(Stage::Stand),
            Action::Together => self.show_together(now),
            Action::Handout => self.show(Stage::Handout),
            Action::PageForBars => self.page_for_bars(ctx),
            Action::PageForDoubleStop => self.page_for_double_stop(ctx, now),
            Action::WarmUp => self.open_warm_up(),
            Action::Film => self.open_film(),
            Action::NextArmView => self.panels.arm.turn(),
            Action::Wider => self.zoom(WIDER),
            Action::Narrower => self.zoom(1.0 / WIDER),
            Action::NextDensity => self.set_density(self.memory.pencil.next()),
            Action::NextLook => self.set_look(self.memory.look.next(), ctx),
        }
    }

    /// Says something in the line at the foot.
    pub(super) fn say(&mut self, words: &str) {
        self.view.message = Some(words.to_owned());
    }

    fn zoom(&mut self, factor: f64) {
        self.view.zoom = (self.view.zoom * factor).clamp(*ZOOM.start(), *ZOOM.end());
    }

    fn set_look(&mut self, look: Look, ctx: &Context) {
        self.memory.look = look;
        look.apply(ctx, self.window.factor);
    }

    fn set_density(&mut self, density: Density) {
        self.memory.pencil = density;
        self.say(&format!("Pencil marks: {}", density.words()));
    }

    fn select_all(&mut self) {
        let score = &self.history.lesson().score;
        self.view.choose_span(0.0, score.end().to_f64() + 1.0, score);
    }

    /// Waits no longer for a file, puts the drawer away, or else chooses nothing and closes all that can be closed.
    fn select_none(&mut self) {
        if self.tasks.stop_reading() {
            return self.say("The file is not read any further");
        }
        if self.view.drawer.is_some() {
            return self.open_drawer(None);
        }
        if self.view.writing {
            if !self.panels.writing.never_mind() {
                self.write_or_not();
            }
            return;
        }
        self.files.unsaid.clear();
        self.view.selection.clear();
        self.view.anchor = None;
        self.view.level = None;
        self.view.stage = Stage::Music;
        self.panels.arm = ArmDesk { view: self.panels.arm.view, ..ArmDesk::default() };
        self.close_finding();
        (self.view.keys_open, self.view.setup_open, self.panels.play.is_open) = (false, false, false);
        (self.panels.left.is_open, self.panels.versions.is_open) = (false, false);
        self.panels.book.is_open = false;
        self.view.message = None;
    }

    /// Asks about the piece, from the bar of the playhead on.
    fn open_piece(&mut self) {
        let bar = self.bar_of_playhead();
        self.panels.piece.open(self.history.lesson(), bar);
    }

    fn open_setup(&mut self, ctx: &Context) {
        self.view.setup_open = !self.view.setup_open;
        if self.view.setup_open {
            self.ask_book(None, ctx);
        }
    }

    fn write_or_not(&mut self) {
        self.view.writing = !self.view.writing;
        // The writing strip stands where the drawers do.
        self.open_drawer(None);
    }

    fn keep_version(&mut self) {
        let_go(self.kept.replace(Kept::new(self.history.study(), "kept version")));
        self.panels.findings.compared = true;
        self.view.told = Told::Findings;
        self.say("This version is kept; what you change now is shown against it");
    }

    fn drop_version(&mut self) {
        let kept = self.kept.take();
        let was_kept = kept.is_some();
        let_go(kept);
        self.panels.findings.compared = false;
        self.say(if was_kept { "The kept version is dropped" } else { "No version is kept" });
    }

    /// Makes the lesson what the kept version is, as one step.
    fn take_version(&mut self, now: f64) {
        let Some(kept) = &self.kept else { return self.say("No version is kept") };
        let (what, study) = (format!("Back to the {}", kept.words()), kept.study().clone());
        let make = move |lesson: &Lesson| Ok(Edit::between(what, lesson, study.lesson()));
        let go_on = |desk: &mut Self, made, _: f64| {
            if made == Ok(false) {
                desk.say("The lesson is that version already");
            }
        };
        self.edit_then(make, None, go_on, now);
    }

    /// Changes the piece and its bars as it was typed; what cannot be done is told beside what was typed.
    fn change_piece(&mut self, asked: Wish, now: f64) {
        let go_on = |desk: &mut Self, made: Result<bool, EditError>, _: f64| {
            if made.is_err() {
                desk.view.message = None;
            }
            desk.panels.piece.take(made);
        };
        self.edit_then(move |lesson| asked.make(lesson), None, go_on, now);
    }

    /// Shows something large in the middle; a second call goes back to the music.
    fn show(&mut self, stage: Stage) {
        self.view.stage = if self.view.stage == stage { Stage::Music } else { stage };
    }

    pub(super) fn show_together(&mut self, now: f64) {
        let study = self.history.study();
        let note = study.analysis().bow_at(self.view.clock.tick(now).position).note;
        self.panels.together.open(study, &self.view, note);
        self.show(Stage::Together);
    }
}

/// Looks at a level, or no longer where it was looked at.
fn put_or_take(level: &mut Option<usize>, key: LevelKey) {
    *level = if *level == Some(key.index()) { None } else { Some(key.index()) };
}
