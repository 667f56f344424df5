//! The window of the lesson book: the pupils at the left, the lessons of the chosen one beside them, and under these
//! what is written down today.

use std::path::{Path, PathBuf};

use egui::{
    Align, Align2, Button, CollapsingHeader, Context, Key, Label, Layout, RichText, ScrollArea, TextEdit, Ui,
    Window,
};
use jiff::civil::Date;

use crate::{
    desk::{
        command::{BookWish, Command},
        file::book::Read,
        state::files::Then,
        widgets::theme::bold,
    },
    exchange::book::{Day, Kept, Listed, Pupil},
    setup::size_words,
};

use super::{
    BookInput,
    writing::{Draft, draft_ui},
};

/// Width of the list of pupils and of what stands beside it, points.
const NAMES: f32 = 190.0;
const LESSONS: f32 = 520.0;
/// Height of the lists, points.
const LIST: f32 = 300.0;

/// State of the window besides the book.
#[derive(Default)]
pub struct BookWindow {
    /// It is shown.
    pub is_open: bool,
    /// The file of the chosen pupil.
    chosen: Option<PathBuf>,
    /// The name of a new pupil, as it is typed.
    new: String,
    /// Another name for the chosen pupil, as it is typed.
    renamed: Option<String>,
    /// What is taken out when it is said a second time: a pupil's file, or a lesson.
    doubtful: Option<PathBuf>,
    draft: Option<Draft>,
    /// Letters have not gone to the field for a new name yet, as they do while the book is empty.
    is_new: bool,
}

impl BookWindow {
    /// Opens the window at the pupil of the lesson on the desk, or where it was.
    pub fn open(&mut self) {
        *self = Self { is_open: true, is_new: true, chosen: self.chosen.take(), ..Self::default() };
    }

    /// Draws the window.
    pub fn show(&mut self, ctx: &Context, input: &BookInput<'_>, commands: &mut Vec<Command>) {
        let mut is_open = self.is_open;
        let window = Window::new("Lesson book").open(&mut is_open).resizable(false).collapsible(false);
        let window = window.pivot(Align2::CENTER_CENTER).default_pos(ctx.content_rect().center());
        window.show(ctx, |ui| {
            // Read by the hand at the machine.
            ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
            folder_ui(ui, input.folder, commands);
            ui.separator();
            match input.read {
                None => drop(ui.label("Reading…")),
                Some(Err(why)) => drop(ui.add(Label::new(why).wrap())),
                Some(Ok(read)) => self.pages_ui(ui, input, read, commands),
            }
        });
        self.is_open &= is_open;
    }

    fn pages_ui(&mut self, ui: &mut Ui, input: &BookInput<'_>, read: &Read, commands: &mut Vec<Command>) {
        let pupils = &read.book.pupils;
        let has = |file: &PathBuf| pupils.iter().any(|kept| kept.file == *file);
        if !self.chosen.as_ref().is_some_and(has) {
            let of_lesson = input.file.and_then(|file| read.book.with_lesson(file).next());
            self.choose(of_lesson.or(pupils.first()).map(|kept| kept.file.clone()));
        }
        ui.horizontal_top(|ui| {
            ui.vertical(|ui| {
                ui.set_width(NAMES);
                self.names_ui(ui, input, read, commands);
            });
            ui.separator();
            ui.vertical(|ui| {
                ui.set_width(LESSONS);
                match pupils.iter().find(|kept| self.chosen.as_ref() == Some(&kept.file)) {
                    Some(kept) => self.pupil_ui(ui, input, (kept, read), commands),
                    None => drop(ui.add(Label::new(EMPTY).wrap())),
                }
            });
        });
    }

    fn choose(&mut self, file: Option<PathBuf>) {
        if self.chosen != file {
            (self.renamed, self.doubtful, self.draft) = (None, None, None);
            self.chosen = file;
        }
    }

    fn names_ui(&mut self, ui: &mut Ui, input: &BookInput<'_>, read: &Read, commands: &mut Vec<Command>) {
        ui.label(bold("Pupils"));
        ScrollArea::vertical().id_salt("pupils").max_height(LIST).min_scrolled_height(LIST).show(ui, |ui| {
            for kept in &read.book.pupils {
                let last = kept.pupil.last().map(|date| date_words(date, input.today));
                let is_chosen = self.chosen.as_ref() == Some(&kept.file);
                let row = ui.horizontal(|ui| {
                    let shown = ui.selectable_label(is_chosen, &kept.pupil.name);
                    ui.weak(last.as_deref().unwrap_or_default());
                    shown
                });
                let shown = row.inner;
                if shown.on_hover_text("The day is that of the last lesson").clicked() {
                    self.choose(Some(kept.file.clone()));
                }
            }
            for unread in &read.book.unread {
                let name = unread.file.file_name().unwrap_or_default().to_string_lossy().into_owned();
                let words = format!("{name}: {}", unread.why);
                ui.add(Label::new(RichText::new(words).color(ui.visuals().warn_fg_color)).wrap());
            }
        });
        ui.add_space(4.0);
        ui.horizontal(|ui| {
            let label = ui.label("New");
            let field = TextEdit::singleline(&mut self.new).desired_width(90.0).hint_text("name");
            let field = ui.add(field).labelled_by(label.id);
            if std::mem::take(&mut self.is_new) && read.book.pupils.is_empty() {
                field.request_focus();
            }
            let is_entered = field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
            let ready = !self.new.trim().is_empty() && input.folder.is_some();
            if (ui.add_enabled(ready, Button::new("Add")).clicked() || is_entered) && ready {
                let name = std::mem::take(&mut self.new);
                commands.push(Command::Book(BookWish::Add(name)));
            }
        });
    }

    fn pupil_ui(
        &mut self,
        ui: &mut Ui,
        input: &BookInput<'_>,
        (kept, read): (&Kept, &Read),
        commands: &mut Vec<Command>,
    ) {
        self.head_ui(ui, kept, commands);
        let folder = &read.book.folder;
        let height = LIST - 96.0;
        ScrollArea::vertical().id_salt("lessons").max_height(height).min_scrolled_height(height).show(
            ui,
            |ui| {
                ui.set_width(LESSONS - 16.0);
                if kept.pupil.lessons.is_empty() {
                    ui.weak(
                        "No lessons yet. Open or save one, then write down under this list what was reached.",
                    );
                }
                for listed in &kept.pupil.lessons {
                    let file = folder.join(&listed.file);
                    let is_there = !read.missing.contains(&file);
                    self.listed_ui(ui, (kept, listed, is_there), (file, input.today), commands);
                }
            },
        );
        ui.separator();
        let folder = folder.clone();
        let draft = &mut self.draft;
        draft_ui(ui, draft, input, (kept, &folder), commands);
    }

    /// The pupil's name, figures, and what can be done with them.
    fn head_ui(&mut self, ui: &mut Ui, kept: &Kept, commands: &mut Vec<Command>) {
        let book = |wish| Command::Book(wish);
        ui.horizontal(|ui| {
            if let Some(typed) = &mut self.renamed {
                let label = ui.label("New name");
                ui.add(TextEdit::singleline(typed).desired_width(140.0)).labelled_by(label.id);
                let ready = !typed.trim().is_empty();
                if ui.add_enabled(ready, Button::new("Rename")).clicked() {
                    commands.push(book(BookWish::Rename(kept.file.clone(), typed.clone())));
                    self.renamed = None;
                }
                return;
            }
            ui.label(bold(&kept.pupil.name));
            ui.weak(figure_words(&kept.pupil));
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                let is_sure = self.doubtful.as_ref() == Some(&kept.file);
                let words = if is_sure { "Take out for good" } else { "Take out…" };
                let tip = "Takes the pupil and these notes out of the book; the lessons stay where they are";
                if ui.small_button(words).on_hover_text(tip).clicked() {
                    self.doubtful = (!is_sure).then(|| kept.file.clone());
                    if is_sure {
                        commands.push(book(BookWish::Remove(kept.file.clone())));
                    }
                }
                if ui.small_button("Rename…").clicked() {
                    self.renamed = Some(kept.pupil.name.clone());
                }
            });
        });
        ui.horizontal(|ui| {
            let tip = "The lesson on the desk is planned for this pupil: instrument, bow, hold and figures";
            let can = kept.pupil.figures.is_some();
            if ui.add_enabled(can, Button::new("Plan for this pupil")).on_hover_text(tip).clicked() {
                commands.push(book(BookWish::TakeFigures(kept.file.clone())));
            }
            let tip = "Keeps instrument, bow, hold and figures of the lesson on the desk with this pupil";
            if ui.button("Keep the figures on the desk").on_hover_text(tip).clicked() {
                commands.push(book(BookWish::KeepFigures(kept.file.clone())));
            }
        });
        ui.add_space(4.0);
    }

    /// A lesson of the pupil: title, last day, tempo, notes, and the days before.
    fn listed_ui(
        &mut self,
        ui: &mut Ui,
        (kept, listed, is_there): (&Kept, &Listed, bool),
        (file, today): (PathBuf, Date),
        commands: &mut Vec<Command>,
    ) {
        ui.separator();
        ui.horizontal(|ui| {
            let title = if listed.title.is_empty() { "Untitled" } else { &listed.title };
            ui.add(Label::new(bold(title)).truncate()).on_hover_text(file.display().to_string());
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                let is_sure = self.doubtful.as_ref() == Some(&file);
                let words = if is_sure { "Really take off" } else { "Take off…" };
                let tip = "Takes the lesson with its days off this list; its file stays";
                if ui.small_button(words).on_hover_text(tip).clicked() {
                    self.doubtful = (!is_sure).then(|| file.clone());
                    if is_sure {
                        commands.push(Command::Book(BookWish::TakeOff(kept.file.clone(), file.clone())));
                    }
                }
                let tip = "Opens it where it was left";
                if ui.add_enabled(is_there, Button::new("Open").small()).on_hover_text(tip).clicked() {
                    commands.push(Command::Leave(Then::Open(file.clone())));
                }
            });
        });
        if !is_there {
            ui.weak(format!("It is not there any more: {}", file.display()));
        }
        let mut days = listed.days.iter();
        if let Some(day) = days.next() {
            day_ui(ui, day, today);
        }
        if days.len() > 0 {
            let words = if days.len() == 1 {
                "the day before".to_owned()
            } else {
                format!("{} days before", days.len())
            };
            CollapsingHeader::new(words)
                .id_salt(&file)
                .show(ui, |ui| days.for_each(|day| day_ui(ui, day, today)));
        }
    }
}

/// What stands in the place of a pupil where there is none yet.
const EMPTY: &str = "Add a pupil by name. Each gets a file of its own in the folder above: plain text \
    that stays there. Then write down after a lesson what was worked on, the tempo reached and a line to remember.";

fn folder_ui(ui: &mut Ui, folder: Option<&Path>, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        if ui
            .button("Other folder…")
            .on_hover_text("Keep the book somewhere else; what is kept here stays")
            .clicked()
        {
            commands.push(Command::Book(BookWish::Folder));
        }
        match folder {
            Some(folder) => {
                let words = format!("Kept in {}. Nothing leaves this machine.", folder.display());
                ui.add(Label::new(RichText::new(words).weak()).truncate());
            }
            None => drop(ui.label("There is no folder for it on this machine yet; choose one")),
        }
    });
}

/// Instrument, size and positions of a pupil.
fn figure_words(pupil: &Pupil) -> String {
    let Some(figures) = &pupil.figures else { return "no figures kept yet".to_owned() };
    let positions = figures.player.positions.words();
    match &figures.instrument {
        Some(instrument) => {
            format!("{} {} · {positions}", instrument.family.word(), size_words(&instrument.size))
        }
        None => positions.to_owned(),
    }
}

fn day_ui(ui: &mut Ui, day: &Day, today: Date) {
    ui.horizontal_wrapped(|ui| {
        ui.label(date_words(day.date, today));
        let tempo = day.tempo_words();
        if !tempo.is_empty() {
            ui.label(format!("♩ = {tempo}"));
        }
        ui.label(&day.note);
    });
}

/// "today", "Tue 24 Nov", with the year where it is another.
fn date_words(date: Date, today: Date) -> String {
    if date == today {
        "today".to_owned()
    } else if date.year() == today.year() {
        date.strftime("%a %-d %b").to_string()
    } else {
        date.strftime("%-d %b %Y").to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_told_shortly() {
        let day = |text: &str| -> Date { text.parse().unwrap() };
        let told = |date| date_words(day(date), day("2026-11-28"));
        assert_eq!(
            [told("2026-11-28"), told("2026-11-24"), told("2025-01-03")],
            ["today", "Tue 24 Nov", "3 Jan 2025"]
        );
    }
}
