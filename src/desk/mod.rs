//! The window: the lesson on the desk.
//!
//! One screen: staff, hair map and levels on one time axis; under them what is selected and the bow
//! to scale; at the right the level view and the findings. Panels read the lesson, its analysis and
//! the view, and collect commands; these are carried out afterwards, in `apply`. The only room that
//! knows egui.

mod arm;
mod bowing;
mod command;
mod file;
mod findings;
mod music;
mod setup;
mod shell;
mod state;
mod tempo;
mod widgets;
mod work;

pub use command::{Action, Command};
pub use state::memory::Memory;
pub use widgets::theme::Look;

use std::{path::PathBuf, sync::Arc, time::Duration};

use egui::{CentralPanel, Context, Frame, Margin, Modifiers, Panel, Ui, ViewportCommand};

use crate::{
    advice::{Difference, Ladder, Remedy, Suggestion},
    analysis::{Analysis, analyse},
    lesson::{Lesson, demo::demo},
    picture::Ink,
};

use bowing::entry::Entry;
use bowing::suggest::Suggest;
use command::TABLE;
use file::tasks::Tasks;
use file::windows::{Files, Then};
use findings::compare::Kept;
use findings::panel::Which;
use music::scene::{Scene, Spacing};
use setup::window::SetupWindow;
use state::history::History;
use state::offer::{Offer, Version};
use state::view::{Drawer, Stage, View};
use tempo::ladder::LadderState;
use widgets::painter::{ScreenPainter, colour};
use work::remedies::{About, Adviser};

/// Why the window cannot be opened.
#[derive(Debug, thiserror::Error)]
#[error(
    "no window can be opened here ({0}). The commands need no display: try `elbowroom check FILE`, `elbowroom plan FILE`, `elbowroom draw FILE -o OUT.svg`, or `elbowroom --help`"
)]
pub struct DeskError(String);

/// Time between two pictures while playing.
const FRAME: Duration = Duration::from_millis(16);

/// Rounds of a loop after which a rest is due. Assumed; that one passage is not to be repeated without a
/// break is common practice, no source.
const ROUNDS: u32 = 20;

/// Opens the window, with a file or with the demo, and returns when it is closed.
///
/// # Errors
/// When there is no display, or the display cannot draw.
pub fn run(file: Option<PathBuf>) -> Result<(), DeskError> {
    let viewport = egui::ViewportBuilder::default()
        .with_title("Elbowroom")
        .with_app_id("elbowroom")
        .with_inner_size([1280.0, 800.0])
        .with_min_inner_size([1100.0, 680.0])
        .with_drag_and_drop(true);
    let options = eframe::NativeOptions { viewport, ..Default::default() };
    let start = move |cc: &eframe::CreationContext<'_>| -> Result<Box<dyn eframe::App>, _> {
        Ok(Box::new(Desk::new(&cc.egui_ctx, Memory::load(), file)))
    };
    eframe::run_native("Elbowroom", options, Box::new(start)).map_err(|error| {
        // What comes before the last part names places in the window library's own source.
        let words = crate::exchange::sentence(&error);
        DeskError(words.rsplit(": ").next().unwrap_or_default().trim_end_matches('.').to_owned())
    })
}

/// The desk: a lesson, what is known about it, and how it is shown.
pub struct Desk {
    history: History,
    analysis: Arc<Analysis>,
    /// What to take care of: a line and more about it.
    care: Option<(String, String)>,
    /// State of the lesson that `analysis` and `spacing` belong to.
    analysed: u64,
    /// Counts the analyses made; tells results for this one from late ones for another.
    generation: u64,
    adviser: Adviser,
    suggest: Suggest,
    ladder: LadderState,
    /// A version kept to compare with.
    kept: Option<Kept>,
    /// Height of the controls of the selection and the bow, for what takes their place.
    lower_height: f32,
    spacing: Arc<Spacing>,
    view: View,
    entry: Entry,
    files: Files,
    memory: Memory,
    setup_window: SetupWindow,
    tasks: Tasks,
    painter: ScreenPainter,
    scene: Option<Scene>,
    /// The playhead was moved: bring it into view.
    follow: bool,
    /// Factor on the size of type and controls: a large window has larger ones.
    window_factor: f32,
    /// The user has agreed to close the window.
    may_close: bool,
    /// A file to open at the start.
    waiting: Option<PathBuf>,
    /// The lessons to go back to: that an exercise was made from, and that this one was made from,
    /// the latest last, with their steps and their files.
    before: Vec<(History, Files)>,
}

impl Desk {
    /// A desk with the demo on it; a given file is opened at once.
    pub fn new(ctx: &Context, memory: Memory, file: Option<PathBuf>) -> Self {
        widgets::theme::install_fonts(ctx);
        memory.look.apply(ctx, 1.0);
        let lesson = demo();
        let analysis = Arc::new(analyse(&lesson));
        let spacing = Arc::new(Spacing::new(&lesson));
        let view = View::new(&analysis);
        let care = analysis.care_words(&lesson.score);
        Self {
            history: History::new(lesson),
            analysis,
            care,
            analysed: 0,
            generation: 1,
            adviser: Adviser::default(),
            suggest: Suggest::default(),
            ladder: LadderState::default(),
            kept: None,
            lower_height: 0.0,
            spacing,
            view,
            entry: Entry::default(),
            files: Files::default(),
            memory,
            setup_window: SetupWindow::default(),
            tasks: Tasks::default(),
            painter: ScreenPainter::default(),
            scene: None,
            follow: false,
            window_factor: 1.0,
            may_close: false,
            waiting: file,
            before: Vec::new(),
        }
    }

    /// The lesson.
    pub fn lesson(&self) -> &Lesson {
        self.history.lesson()
    }

    /// What is known about it.
    pub fn analysis(&self) -> &Analysis {
        &self.analysis
    }

    /// Steps that can be undone.
    pub fn undo_depth(&self) -> usize {
        self.history.depth()
    }

    /// Position of the playhead, s, at the time of the last frame.
    pub fn position_s(&self) -> f64 {
        let mut clock = self.view.clock;
        clock.tick(f64::NEG_INFINITY).position
    }

    fn analyse(&mut self) {
        self.analysis = Arc::new(analyse(self.history.lesson()));
        self.care = self.analysis.care_words(&self.history.lesson().score);
        self.generation += 1;
        self.view.offer = None;
        self.spacing = Arc::new(Spacing::new(self.history.lesson()));
        self.analysed = self.history.state();
    }

    /// The remedies known for the open finding.
    pub fn remedies(&self) -> &[Remedy] {
        let advice = self.view.findings.open.and_then(|open| self.adviser.advice(self.generation, open));
        advice.map_or(&[], |advice| &advice.remedies)
    }

    /// The present state of the lesson, for advice.
    fn about(&self) -> About<'_> {
        About { generation: self.generation, lesson: self.history.lesson(), analysis: &self.analysis }
    }

    /// Suggested bowings of the present lesson, the best first.
    pub fn suggestions(&self) -> &[Suggestion] {
        self.suggest.answers(self.generation)
    }

    /// A search for a bowing is under way.
    pub fn is_searching(&self) -> bool {
        self.suggest.is_searching()
    }

    /// The tempo ladder, once it was asked for and is there.
    pub fn tempo_ladder(&self) -> Option<&Ladder> {
        self.ladder.ladder()
    }

    /// Differences from the kept version; none without one.
    pub fn differences(&self) -> &[Difference] {
        self.kept.as_ref().map_or(&[], |kept| kept.differences())
    }

    /// Sees to what goes on in the background: remedies for the open finding and, at leisure, for
    /// those that may be opened next; the search, the ladder, the comparison.
    fn advise(&mut self, ctx: &Context, now: f64) {
        let list = self.view.findings.steps(&self.analysis);
        let open = self.view.findings.open;
        let place = open.and_then(|open| open.index(&self.analysis));
        let place = place.and_then(|index| list.iter().position(|other| *other == index));
        let next = list.get(place.map_or(0, |place| place + 1)).filter(|_| !self.view.clock.is_playing());
        let next = next.map(|index| Which::of(&self.analysis.findings.told[*index]));
        let wanted: Vec<Which> = open.into_iter().chain(next).collect();
        let about =
            About { generation: self.generation, lesson: self.history.lesson(), analysis: &self.analysis };
        let answered = self.suggest.turn(self.generation, about.lesson, about.analysis);
        if self.view.drawer == Some(Drawer::Ladder) {
            self.ladder.turn(&about, now, ctx);
        } else {
            self.ladder.rest();
        }
        if let Some(kept) = &mut self.kept {
            kept.turn(&about);
        }
        self.adviser.turn(&about, &wanted, now, ctx);
        if let Some(open) = open.filter(|_| !self.view.findings.pointed_at) {
            let chosen = match self.view.offer {
                Some(Offer::Remedy(index)) => Some(index),
                _ => None,
            };
            let stands = self.adviser.put_in_order(open, chosen);
            if chosen.is_some() {
                self.view.offer = stands.map(Offer::Remedy);
            }
        }
        if let Some(bar) = answered {
            // What is suggested is looked at on the hair map; it must be in view.
            self.bring_into_view(bar);
        }
    }

    /// Shows the music from this bar on, unless the bar is in view.
    fn bring_into_view(&mut self, bar: usize) {
        let is_seen = |scene: &Scene| (scene.bars.0..scene.bars.1).contains(&bar);
        if !self.scene.as_ref().is_some_and(is_seen) {
            self.view.first_bar = bar;
        }
    }

    /// Brings everything up to the present state of the lesson.
    fn refresh(&mut self, now: f64) {
        if self.analysed == self.history.state() {
            return;
        }
        let before = self.analysis.seconds_at_f64(1.0);
        self.analyse();
        let factor = if before > 0.0 { self.analysis.seconds_at_f64(1.0) / before } else { 1.0 };
        self.view.clock.stretch(factor, self.analysis.total_s(), now);
        self.view.keep_to(self.history.lesson());
    }

    /// After many rounds of a loop, a word about the arm.
    fn remind_of_rest(&mut self, now: f64) {
        let spells = self.view.clock.rounds(now) / ROUNDS;
        if spells > self.view.rests_told {
            let times = spells * ROUNDS;
            let words = "times round: let the arm hang and play something else; stop when it hurts";
            self.view.message = Some(format!("{times} {words}"));
        }
        self.view.rests_told = spells;
    }

    /// Turns the page when the playhead has left it.
    fn follow_playhead(&mut self, position: f64, playing: bool) {
        let Some(scene) = &self.scene else { return };
        if !(self.follow || playing) {
            return;
        }
        self.follow = false;
        let quarters = self.analysis.quarters_at(position).max(0.0);
        let at_end = scene.bars.1 >= self.lesson().score.bars.len() && quarters >= scene.window.0.to_f64();
        if scene.shows(quarters) || at_end {
            return;
        }
        let at = crate::score::Quarters::from_f64(quarters + 1e-6);
        let bar = self.lesson().score.bar_at(at).unwrap_or(0);
        // Playing on begins the next page; a jump back shows a bar of what leads there.
        self.view.first_bar = if playing { bar } else { bar.saturating_sub(1) };
    }

    /// Takes the keys of commands out of the input, before any widget sees them.
    fn keys(&self, ui: &Ui, commands: &mut Vec<Command>) {
        let ctx = ui.ctx();
        if self.files.is_asking() {
            return;
        }
        let typing = ctx.text_edit_focused();
        let focused = ctx.memory(|memory| memory.focused().is_some());
        if self.view.writing && !typing {
            Entry::keys(ui, commands);
        }
        // The chords with more modifiers first: Ctrl+Shift+S is not Ctrl+S.
        let mut chords: Vec<_> =
            TABLE.iter().flat_map(|entry| entry.keys.iter().map(|chord| (*chord, entry.action))).collect();
        let count = |m: Modifiers| u8::from(m.command) + u8::from(m.shift) + u8::from(m.alt);
        chords.sort_by_key(|((modifiers, _), _)| std::cmp::Reverse(count(*modifiers)));
        for ((modifiers, key), action) in chords {
            let plain = !modifiers.command;
            // A focused widget keeps the keys that work it; a text field all but the commands.
            let moves = matches!(
                key,
                egui::Key::ArrowLeft
                    | egui::Key::ArrowRight
                    | egui::Key::ArrowUp
                    | egui::Key::ArrowDown
                    | egui::Key::Enter
                    | egui::Key::Space
                    | egui::Key::Home
                    | egui::Key::End
            );
            let edits_text = matches!(key, egui::Key::A | egui::Key::Z | egui::Key::Y) || moves;
            if typing && (plain || edits_text) || focused && plain && moves {
                continue;
            }
            if ui.input_mut(|input| input.consume_key(modifiers, key)) {
                commands.push(Command::Do(action));
            }
        }
    }

    fn dropped(&mut self, ctx: &Context, commands: &mut Vec<Command>) {
        let dropped = ctx.input(|input| input.raw.dropped_files.first().map(|file| file.path().to_owned()));
        if let Some(path) = dropped {
            commands.push(Command::Leave(Then::Open(path)));
        }
    }

    fn panels(&mut self, ui: &mut Ui, now: f64, commands: &mut Vec<Command>) {
        let look = self.memory.look;
        let theme = look.theme();
        let position = self.view.clock.tick(now).position;
        let bow = self.analysis.bow_at(position);
        let size = look.type_factor();
        let ppm = music::panel::points_per_mm(ui.available_height(), look);
        let bar = |fill: Ink, margin: Margin| Frame::new().fill(colour(theme, fill)).inner_margin(margin);
        let lesson_and_analysis = (self.history.lesson(), &*self.analysis);
        let mut offer = self.view.offer;

        Panel::top("top").frame(bar(Ink::Panel, Margin::symmetric(12, 7))).show(ui, |ui| {
            let files = (&self.files, self.memory.recent.as_slice());
            shell::top_bar::top_ui(
                ui,
                &self.history,
                &self.analysis,
                &self.view,
                position,
                files,
                look,
                commands,
            );
        });
        Panel::bottom("hints").frame(bar(Ink::Panel, Margin::symmetric(12, 4))).show(ui, |ui| {
            self.foot_ui(ui, commands);
        });
        let side = (ui.available_width() * 0.235).clamp(270.0, 400.0) * (1.0 + (size - 1.0) * 0.3);
        Panel::right("side")
            .exact_size(side)
            .resizable(false)
            .frame(bar(Ink::Panel, Margin::symmetric(12, 8)))
            .show(ui, |ui| {
                let together = self.view.stage == Stage::Together;
                let level =
                    if together { self.view.together.level(self.history.lesson()) } else { self.view.level };
                let shown = arm::level::Shown { level, together, bow: &bow, look, ppm };
                // An open finding has the room, unless a level is looked at.
                let folded =
                    self.view.findings.open.is_some() && level.is_none() && self.view.stage == Stage::Music;
                if folded {
                    arm::level::folded_ui(ui, &self.analysis, &bow);
                } else {
                    let moved = arm::level::level_ui(
                        ui,
                        lesson_and_analysis,
                        &shown,
                        &mut self.view.arm,
                        &mut self.painter,
                        commands,
                    );
                    if self.view.stage != Stage::Arm {
                        arm::figure::small_ui(
                            ui,
                            lesson_and_analysis,
                            &moved,
                            &self.view.arm,
                            &mut self.painter,
                            (look, ppm),
                        );
                    }
                    if let Some((line, more)) = &self.care {
                        ui.add(egui::Label::new(egui::RichText::new(line).weak()).wrap()).on_hover_text(more);
                    }
                }
                ui.separator();
                let input = findings::panel::FindingsInput {
                    lesson: self.history.lesson(),
                    analysis: &self.analysis,
                    kept: self.kept.as_ref(),
                    now_note: bow.note,
                    look,
                };
                let open = self.view.findings.open;
                let advice = open.and_then(|open| self.adviser.advice(self.generation, open));
                let chosen = match self.view.offer {
                    Some(Offer::Remedy(index)) => Some(index),
                    _ => None,
                };
                let mut pointed = None;
                let mut over = false;
                findings::panel::findings_ui(
                    ui,
                    &input,
                    &mut self.view.findings,
                    commands,
                    |ui, commands| {
                        let silence;
                        (pointed, silence) =
                            findings::remedies::remedies_ui(ui, advice, chosen, look, commands);
                        over = ui.rect_contains_pointer(ui.min_rect());
                        silence
                    },
                );
                self.view.findings.pointed_at = over;
                offer = pointed.map(Offer::Remedy).or(offer);
            });
        let above = ui.available_height();
        if self.view.stage != Stage::Music {
            // What is shown large has all the room.
        } else if let Some(drawer) = self.view.drawer {
            let frame = bar(Ink::Panel, Margin::symmetric(12, 6));
            Panel::bottom("drawer").exact_size(self.lower_height).resizable(false).frame(frame).show(
                ui,
                |ui| {
                    if let Some(index) = self.drawer_ui(ui, drawer, position, ppm, commands) {
                        offer = Some(Offer::Suggestion(index));
                    }
                },
            );
        } else {
            self.lower_ui(ui, &bow, ppm, commands);
            self.lower_height = above - ui.available_height();
        }
        let open = self.view.findings.open;
        let advice = open.and_then(|open| self.adviser.advice(self.generation, open));
        let preview = match offer {
            Some(Offer::Remedy(index)) => {
                advice.and_then(|advice| advice.remedies.get(index)).map(|remedy| {
                    let about = (self.generation, open, &remedy.trial.words, &remedy.effect);
                    let serial = state::offer::serial(about);
                    Version { lesson: remedy.study.lesson(), analysis: remedy.study.analysis(), serial }
                })
            }
            Some(Offer::Suggestion(index)) => {
                self.suggest.answers(self.generation).get(index).map(|answer| {
                    let serial = self.suggest.serial(index);
                    Version { lesson: answer.study.lesson(), analysis: answer.study.analysis(), serial }
                })
            }
            None => None,
        };
        CentralPanel::default()
            .frame(bar(Ink::Paper, Margin { left: 12, right: 12, top: 6, bottom: 0 }))
            .show(ui, |ui| {
                let lesson_and_analysis: (&Lesson, &Analysis) = (self.history.lesson(), &self.analysis);
                match self.view.stage {
                    Stage::Music => {}
                    Stage::Arm => {
                        let (level, together) = (self.view.level, false);
                        let shown = arm::level::Shown { level, together, bow: &bow, look, ppm };
                        let arm = &mut self.view.arm;
                        arm::figure::large_ui(
                            ui,
                            lesson_and_analysis,
                            &shown,
                            arm,
                            &mut self.painter,
                            commands,
                        );
                        return;
                    }
                    Stage::Together => {
                        let desk = &mut self.view.together;
                        let bow = (&bow, look);
                        let painter = &mut self.painter;
                        arm::together::together_ui(ui, lesson_and_analysis, desk, bow, painter, commands);
                        return;
                    }
                }
                let input = music::panel::MusicInput {
                    lesson: self.history.lesson(),
                    analysis: &self.analysis,
                    spacing: &self.spacing,
                    state: self.history.state(),
                    view: &self.view,
                    now_s: position,
                    bow: &bow,
                    preview,
                    kept: self.kept.as_ref().map(Kept::version),
                    look,
                };
                let ppm = music::panel::fitting(ppm, ui.available_height());
                music::panel::music_ui(ui, &input, &mut self.scene, &mut self.painter, ppm, commands);
            });
    }
}

/// Factor on type and controls for a window of this size, in steps of a twentieth.
fn window_factor(size: egui::Vec2) -> f32 {
    let fits = (size.x / 1280.0).min(size.y / 800.0);
    ((fits * 20.0).floor() / 20.0).clamp(1.0, 1.6)
}

impl eframe::App for Desk {
    /// What goes on whether or not the window is seen: results of tasks, closing.
    fn logic(&mut self, ctx: &Context, _frame: &mut eframe::Frame) {
        if let Some(path) = self.waiting.take() {
            self.open(path, ctx);
        }
        if let Some(done) = self.tasks.poll() {
            self.finish(done, ctx);
        }
        let now = ctx.input(|input| input.time);
        self.advise(ctx, now);
        let closes = ctx.input(|input| input.viewport().close_requested());
        if closes && !self.may_close && self.is_unsaved() {
            ctx.send_viewport_cmd(ViewportCommand::CancelClose);
            self.leave(Then::Quit, ctx);
        }
        let title = &self.history.lesson().score.title;
        let mark = if self.history.is_unsaved() { "• " } else { "" };
        let title =
            if title.is_empty() { "Elbowroom".to_owned() } else { format!("{mark}{title} · Elbowroom") };
        let id = egui::Id::unique("window title");
        if ctx.data(|data| data.get_temp::<String>(id)).as_ref() != Some(&title) {
            ctx.data_mut(|data| data.insert_temp(id, title.clone()));
            ctx.send_viewport_cmd(ViewportCommand::Title(title));
        }
    }

    /// Draws the window and collects commands, then carries them out.
    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        let now = ui.input(|input| input.time);
        let ctx = ui.ctx().clone();
        let factor = window_factor(ui.available_size());
        if factor != self.window_factor {
            self.window_factor = factor;
            self.memory.look.apply(&ctx, factor);
            ctx.request_repaint();
        }
        let mut commands = Vec::new();
        self.keys(ui, &mut commands);
        self.dropped(&ctx, &mut commands);
        self.panels(ui, now, &mut commands);
        let title = self.history.lesson().score.title.clone();
        if let Some(answer) = self.files.windows_ui(&ctx, &title) {
            self.answer(answer, &ctx);
        }
        command::list::keys_ui(&ctx, &mut self.view.keys_open);
        let mut report_open = self.view.report_open;
        self.files.report_ui(&ctx, &mut report_open);
        self.view.report_open = report_open;
        let mut setup_open = self.view.setup_open;
        let folder = self.memory.folder();
        self.setup_window.show(&ctx, self.history.lesson(), folder, &mut setup_open, &mut commands);
        self.view.setup_open = setup_open;

        let acted = !commands.is_empty();
        for command in commands {
            self.apply(command, &ctx, now);
        }
        self.remind_of_rest(now);
        let tick = self.view.clock.tick(now);
        self.follow_playhead(tick.position, tick.moving);
        if acted {
            ctx.request_repaint();
        } else if tick.moving {
            ctx.request_repaint_after(FRAME);
        }
    }
}
