//! The window's two calls a frame: what goes on, and what is drawn.

use egui::{Context, Ui, ViewportCommand};

use crate::desk::{
    command::{Command, WriteKey, keys::take_keys, write::Wait},
    file::windows::{question_ui, unsaid_ui},
    setup::window::SetupInput,
    state::files::Then,
};

use super::Desk;

impl Desk {
    /// Tells the system the title of the window, when it has changed.
    fn tell_title(&self, ctx: &Context) {
        let score = &self.lesson().score;
        let mark = if self.history.is_unsaved() { "• " } else { "" };
        let named = [score.title.trim(), score.part.trim(), "Elbowroom"];
        let named: Vec<&str> = named.into_iter().filter(|name| !name.is_empty()).collect();
        let title = if named.len() > 1 { format!("{mark}{}", named.join(" · ")) } else { named.concat() };
        let id = egui::Id::unique("window title");
        if ctx.data(|data| data.get_temp::<String>(id)).as_ref() != Some(&title) {
            ctx.data_mut(|data| data.insert_temp(id, title.clone()));
            ctx.send_viewport_cmd(ViewportCommand::Title(title));
        }
    }

    /// Follows the size of the window with type and controls.
    fn fit_window(&mut self, ui: &Ui) {
        let factor = window_factor(ui.available_size());
        if factor != self.window.factor {
            self.window.factor = factor;
            self.memory.look.apply(ui.ctx(), factor);
            ui.request_repaint();
        }
    }

    /// What comes from keys, and from files dropped on the window.
    fn input(&self, ui: &Ui, commands: &mut Vec<Command>) {
        if self.files.question.is_none() && !self.panels.asks() {
            let writing = self.view.writing.then(|| self.wait_to_come());
            let asks = self.panels.writing.asked.is_some()
                || self
                    .waiting
                    .iter()
                    .any(|(command, _)| matches!(command, Command::Write(key) if key.asks()));
            let is_busy = self.underway.is_some() || !self.waiting.is_empty();
            take_keys(ui, writing, asks && self.view.writing, is_busy, commands);
        }
        let dropped = ui.input(|input| input.raw.dropped_files.first().map(|file| file.path().to_owned()));
        commands.extend(dropped.map(|path| Command::Leave(Then::Open(path))));
    }

    /// What one more key is waited for when all that waits is carried out.
    fn wait_to_come(&self) -> Wait {
        let mut keys = self.waiting.iter().rev();
        let last =
            keys.find_map(|(command, _)| if let Command::Write(key) = command { Some(*key) } else { None });
        last.map_or(self.panels.writing.wait, WriteKey::waits_for)
    }

    /// The windows that stand over the panels.
    fn windows_ui(&mut self, ctx: &Context, commands: &mut Vec<Command>) {
        let title = self.lesson().score.title.clone();
        if let Some(answer) = question_ui(ctx, &mut self.files, &title) {
            self.answer(answer, ctx);
        }
        self.panels.piece.show(ctx, self.history.lesson(), commands);
        self.panels.ask.show(ctx, self.history.lesson(), commands);
        self.panels.scale.show(ctx, self.history.lesson(), commands);
        self.panels.exercises.show(ctx, self.history.lesson(), commands);
        self.panels.warm_up.show(ctx, self.history.study(), &mut self.work.warm_up, commands);
        self.film_ui(ctx, commands);
        self.panels.keys.show(ctx, &mut self.view.keys_open, self.memory.look, &mut self.drawn.painter);
        unsaid_ui(ctx, &mut self.files.unsaid);
        self.keeping_ui(ctx);
        self.book_ui(ctx, commands);
        self.play_settings_ui(ctx, commands);
        let input =
            SetupInput { lesson: self.history.lesson(), book: self.book.read(), look: self.memory.look };
        self.panels.setup.show(ctx, &input, &mut self.view.setup_open, commands);
    }
}

/// Factor on type and controls for a window of this size, in steps of a twentieth.
fn window_factor(size: egui::Vec2) -> f32 {
    let fits = (size.x / 1280.0).min(size.y / 800.0);
    ((fits * 20.0).floor() / 20.0).clamp(1.0, 1.6)
}

/// From one time to the next that it is noted where the lesson stands, s. Assumed.
const NOTED_S: f64 = 10.0;

impl eframe::App for Desk {
    /// What goes on whether or not the window is seen: results of tasks, closing.
    fn logic(&mut self, ctx: &Context, _frame: &mut eframe::Frame) {
        let now_s = self.now_s(ctx);
        self.turn_tasks(ctx);
        self.turn_changes(ctx, now_s);
        self.turn_book();
        // A window that is not left in order forgets little.
        if now_s - self.window.noted_s > NOTED_S && !self.view.clock.is_playing() {
            self.window.noted_s = now_s;
            self.note_place();
        }
        self.turn_keeping();
        self.turn_work(ctx, now_s);
        let closes = ctx.input(|input| input.viewport().close_requested());
        if closes
            && !self.window.may_close
            && (self.is_unsaved() || self.tasks.is_writing() || self.tasks.is_making() || self.is_behind())
        {
            ctx.send_viewport_cmd(ViewportCommand::CancelClose);
            self.take_command(Command::Leave(Then::Quit), ctx, now_s);
        }
        self.tell_title(ctx);
    }

    /// The window is closed: it is remembered where the lesson was left.
    fn on_exit(&mut self, _gl: Option<&eframe::glow::Context>) {
        self.note_place();
        self.keeper.remember(&self.memory);
    }

    /// Draws the window and collects commands, then carries them out.
    fn ui(&mut self, ui: &mut Ui, _frame: &mut eframe::Frame) {
        let ctx = ui.ctx().clone();
        let now_s = self.now_s(&ctx);
        self.window.now_s = now_s;
        self.fit_window(ui);
        let mut commands = Vec::new();
        self.input(ui, &mut commands);
        self.panels_ui(ui, now_s, &mut commands);
        self.windows_ui(&ctx, &mut commands);
        self.counting_ui(&ctx, now_s);

        let acted = !commands.is_empty();
        for command in commands {
            self.take_command(command, &ctx, now_s);
        }
        self.fill_screen(&ctx);
        self.remind_of_rest(now_s);
        self.follow_level(now_s);
        let tick = self.view.clock.tick(now_s);
        self.follow_playhead(tick.position, tick.moving);
        self.turn_sound(&ctx, now_s);
        if acted {
            ctx.request_repaint();
        } else if tick.moving {
            ctx.request_repaint_after(self.window.frames.wait());
        }
        if !tick.moving {
            self.window.frames.rest();
        }
    }
}
