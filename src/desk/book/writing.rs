//! What is written down of a day: date, tempo reached, a line of notes.

use std::path::{Path, PathBuf};

use egui::{Button, DragValue, Key, Label, TextEdit, TextStyle, Ui};
use jiff::civil::Date;

use crate::{
    desk::{
        command::{Action, BookWish, Command},
        widgets::theme::bold,
    },
    exchange::book::{Day, Kept},
    setup::TEMPO_SHARE,
};

use super::BookInput;

/// What is typed for a pupil and a lesson.
pub struct Draft {
    of: (PathBuf, PathBuf),
    date: String,
    /// The tempo where it was typed; else it follows the practice tempo.
    tempo: Option<u16>,
    note: String,
}

impl Draft {
    /// What stands there for today already, to be mended; or an empty line.
    fn new(of: (PathBuf, PathBuf), today: Date, known: Option<&Day>) -> Self {
        let note = known.map_or_else(String::new, |day| day.note.clone());
        Self { of, date: today.to_string(), tempo: known.and_then(|day| day.tempo), note }
    }
}

/// Draws the fields for the lesson on the desk.
pub fn draft_ui(
    ui: &mut Ui,
    draft: &mut Option<Draft>,
    input: &BookInput<'_>,
    (kept, folder): (&Kept, &Path),
    commands: &mut Vec<Command>,
) {
    let title = input.lesson.score.title.trim();
    let title = if title.is_empty() { "Untitled" } else { title };
    let words = format!("On the desk: {title}");
    ui.add(Label::new(bold(words)).truncate());
    let Some(file) = input.file else {
        ui.horizontal(|ui| {
            ui.label("Save it as a lesson, and it can be listed here.");
            if ui.button("Save as…").clicked() {
                commands.push(Command::Do(Action::SaveAs));
            }
        });
        return;
    };
    let of = (kept.file.clone(), file.to_owned());
    let known = kept.pupil.listed(folder, file);
    let known = known.and_then(|listed| listed.days.iter().find(|day| day.date == input.today));
    let draft = match draft {
        Some(draft) if draft.of == of => draft,
        other => other.insert(Draft::new(of, input.today, known)),
    };
    let (practice, marked) = input.tempo;
    ui.horizontal(|ui| {
        let label = ui.label("Day");
        // Room for a date in whatever type.
        let wide = 5.0 * ui.text_style_height(&TextStyle::Button);
        ui.add(TextEdit::singleline(&mut draft.date).desired_width(wide)).labelled_by(label.id);
        let label = ui.label("Tempo reached");
        let mut tempo = draft.tempo.unwrap_or(practice);
        let range = |share: f64| (f64::from(marked) * share) as u16;
        let field =
            DragValue::new(&mut tempo).range(range(TEMPO_SHARE.0).max(1)..=range(TEMPO_SHARE.1).max(1));
        let field = ui.add(field.prefix("♩ = ").update_while_editing(false)).labelled_by(label.id);
        if field.on_hover_text("The practice tempo as it is set now; click to type another").changed() {
            draft.tempo = Some(tempo);
        }
        ui.weak(if tempo == marked { "as marked".to_owned() } else { format!("of {marked}") });
    });
    let date: Result<Date, _> = draft.date.trim().parse();
    ui.horizontal(|ui| {
        let label = ui.label("Note");
        let field = TextEdit::singleline(&mut draft.note).desired_width(340.0);
        let field = ui.add(field.hint_text("what to remember for the next time")).labelled_by(label.id);
        let is_entered = field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
        let is_new = known.is_none();
        let words = if is_new { "Write it down" } else { "Write it anew" };
        let button = ui.add_enabled(date.is_ok(), Button::new(words));
        if let Ok(date) = date
            && (button.clicked() || is_entered)
        {
            let tempo = Some(draft.tempo.unwrap_or(practice));
            let day = Day { date, tempo, marked: Some(marked), note: draft.note.trim().to_owned() };
            commands.push(Command::Book(BookWish::WriteDown(kept.file.clone(), day)));
        }
    });
    if draft.date.trim().parse::<Date>().is_err() {
        ui.colored_label(ui.visuals().warn_fg_color, "A day is written as year, month and day: 2026-11-28");
    }
}
