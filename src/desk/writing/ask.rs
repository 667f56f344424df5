//! One line to type in: where to go, or by which interval to move notes.

use egui::{Context, Grid, Key, Modal, Modifiers};

use crate::{
    desk::{
        command::Command,
        widgets::typed::{begin_in, typed_ui},
    },
    lesson::{
        Lesson,
        change::{self, Moving},
    },
    score::{EventId, Quarters, Score, SignKind, interval_from_words},
};

/// What is asked for.
#[derive(Clone, Debug, PartialEq)]
pub enum Asks {
    /// A bar or a rehearsal mark to go to.
    Place,
    /// An interval to move these notes by.
    Interval(Vec<EventId>),
}

/// The window, when it is open.
#[derive(Default)]
pub struct AskWindow {
    asks: Option<Asks>,
    text: String,
    begun: bool,
}

impl AskWindow {
    /// Opens the window.
    pub fn open(&mut self, asks: Asks) {
        *self = Self { asks: Some(asks), text: String::new(), begun: false };
    }

    /// It waits for an answer.
    pub fn is_open(&self) -> bool {
        self.asks.is_some()
    }

    /// Shows the window.
    pub fn show(&mut self, ctx: &Context, lesson: &Lesson, commands: &mut Vec<Command>) {
        let Some(asks) = self.asks.clone() else { return };
        let mut closed = ctx.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape));
        Modal::new(egui::Id::unique("ask")).show(ctx, |ui| {
            ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
            let (heading, label, usual) = match &asks {
                Asks::Place => ("Go to", "Bar or rehearsal mark", marks(&lesson.score)),
                Asks::Interval(_) => ("Transpose", "Up or down by", INTERVALS.map(str::to_owned).to_vec()),
            };
            ui.heading(heading);
            let found = answer(&asks, &self.text, lesson);
            let told = match &found {
                Err(why) if !self.text.trim().is_empty() => Err(why.clone()),
                Err(why) => Ok(why.clone()),
                Ok((_, words)) => Ok(words.clone()),
            };
            let mut enter = false;
            Grid::new("ask").num_columns(3).show(ui, |ui| {
                let field = typed_ui(ui, label, &mut self.text, &usual, told);
                enter = field.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
                if !std::mem::replace(&mut self.begun, true) || enter {
                    begin_in(ui, &field, &self.text);
                }
            });
            ui.horizontal(|ui| {
                let done = ui.button("Done").clicked() || enter;
                if let (true, Ok((command, _))) = (done, found) {
                    commands.push(command);
                    closed = true;
                }
                closed |= ui.button("Cancel").clicked();
            });
        });
        if closed {
            self.asks = None;
        }
    }
}

/// Usual intervals.
const INTERVALS: [&str; 8] = [
    "up a step",
    "down a step",
    "up a minor third",
    "down a minor third",
    "up a perfect fifth",
    "down a perfect fifth",
    "up an octave",
    "down an octave",
];

/// What a text asks for, with words for it; or why it means nothing.
fn answer(asks: &Asks, text: &str, lesson: &Lesson) -> Result<(Command, String), String> {
    match asks {
        Asks::Place => {
            let bar = bar_of(&lesson.score, text)?;
            let words = lesson.score.bar_name(bar, &lesson.score.bar_sections()).words();
            Ok((Command::ChooseBar { bar, extend: false }, words))
        }
        Asks::Interval(notes) => {
            let (by, words) = moving(text)?;
            let notes = notes.clone();
            Ok((Command::edit(move |lesson| change::move_notes(lesson, &notes, by)), words))
        }
    }
}

/// The bar of a number ("14", "II:8" in the second movement) or of a rehearsal mark.
fn bar_of(score: &Score, text: &str) -> Result<usize, String> {
    let text = text.trim();
    let sections = score.bar_sections();
    let by_number = (0..score.bars.len()).find(|&bar| score.bar_name(bar, &sections).is(text));
    let mark = score.signs.iter().find(|sign| match &sign.kind {
        SignKind::Rehearsal(mark) => mark.trim().eq_ignore_ascii_case(text),
        _ => false,
    });
    by_number.or_else(|| mark.and_then(|sign| score.bar_at(sign.at))).ok_or_else(|| {
        let many = sections.last().is_some_and(|section| *section > 0);
        format!("a number{} or a rehearsal mark", if many { ", with its movement as II:8," } else { "" })
    })
}

fn marks(score: &Score) -> Vec<String> {
    let mark = |kind: &SignKind| match kind {
        SignKind::Rehearsal(mark) => Some(mark.trim().to_owned()),
        _ => None,
    };
    score.signs.iter().filter(|sign| sign.at >= Quarters::ZERO).filter_map(|sign| mark(&sign.kind)).collect()
}

/// By how much a text moves notes: "up a minor third", "down an octave"; a third or a sixth alone keeps to the
/// key.
fn moving(text: &str) -> Result<(Moving, String), String> {
    let why = || "such as up a minor third, down an octave; a third alone keeps to the key".to_owned();
    let text = text.trim().to_lowercase();
    let (sign, rest) = match text.split_once(' ') {
        Some(("down", rest)) => (-1, rest),
        Some(("up", rest)) => (1, rest),
        _ => (1, text.as_str()),
    };
    let name = rest.trim().trim_start_matches("a ").trim_start_matches("an ").trim();
    let side = if sign > 0 { "up" } else { "down" };
    let in_key = |steps: i32| (Moving::Steps(sign * steps), format!("{side} by letters of the key"));
    match name {
        "step" => return Ok(in_key(1)),
        "half step" => return Ok((Moving::Interval(sign, sign), format!("{side} a minor second"))),
        _ => {}
    }
    match interval_from_words(name).ok_or_else(why)? {
        (letters, None) => Ok(in_key(letters)),
        (letters, Some(half_steps)) => {
            Ok((Moving::Interval(sign * letters, sign * half_steps), format!("{side} {name}")))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lesson::demo::demo;

    #[test]
    fn intervals_are_read_as_they_are_typed() {
        let by = |text: &str| moving(text).map(|(by, _)| by).ok();
        assert_eq!(by("up a minor third"), Some(Moving::Interval(2, 3)));
        assert_eq!(by("minor third"), Some(Moving::Interval(2, 3)));
        assert_eq!(by("down an octave"), Some(Moving::Interval(-7, -12)));
        assert_eq!(by("down a third"), Some(Moving::Steps(-2)));
        assert_eq!(by("up a half step"), Some(Moving::Interval(1, 1)));
        assert_eq!(by("sideways"), None);
    }

    #[test]
    fn bars_are_found_by_number_and_by_rehearsal_mark() {
        let lesson = demo();
        let marked = change::set_rehearsal(&lesson, lesson.score.bars[4].start, "B").expect("marked");
        let lesson = marked.apply(&lesson).expect("marked").0;
        assert_eq!(bar_of(&lesson.score, "7"), Ok(6));
        assert_eq!(bar_of(&lesson.score, "b"), Ok(4));
        assert!(bar_of(&lesson.score, "99").is_err() && bar_of(&lesson.score, "").is_err());
        assert_eq!(marks(&lesson.score), ["B"]);
    }
}
