//! Suggested bowings: what is asked, and the answers side by side.

use std::collections::BTreeMap;

use egui::{Button, Layout, ProgressBar, ScrollArea, Ui};
use strum::IntoEnumIterator as _;

use crate::{
    advice::Freedom,
    analysis::StudyId,
    desk::{
        command::{Command, buttons::close_ui},
        state::{now::Now, view::View},
        widgets::painter::ScreenPainter,
        work::{Search, search::ANSWERS},
    },
};

use super::answer::{AnswerDrawing, AnswerInput, answer_ui};

/// Part of the panel's height that the drawing of an answer has. Assumed.
const DRAWING: f32 = 0.5;

/// What is asked, and how the answers are shown.
pub struct SuggestView {
    freedom: Freedom,
    /// The whole part rather than the selected notes.
    whole: bool,
    /// The changes of every answer are listed.
    listed: bool,
    /// Drawings of the answers.
    drawn: BTreeMap<StudyId, AnswerDrawing>,
}

impl Default for SuggestView {
    fn default() -> Self {
        Self { freedom: Freedom::Splits, whole: false, listed: false, drawn: BTreeMap::new() }
    }
}

/// What the panel reads.
pub struct SuggestInput<'a> {
    /// The lesson and the moment.
    pub now: &'a Now,
    /// What is chosen.
    pub view: &'a View,
    /// The search and its answers.
    pub search: &'a Search,
}

/// Draws the panel. Gives the answer that is pointed at.
pub fn suggest_ui(
    ui: &mut Ui,
    input: &SuggestInput<'_>,
    own: &mut SuggestView,
    painter: &mut ScreenPainter,
    commands: &mut Vec<Command>,
) -> Option<StudyId> {
    ask_ui(ui, input, own, commands);
    ui.separator();
    let answers = input.search.answers();
    own.drawn.retain(|id, _| input.search.leading_to(*id).is_some());
    if answers.is_empty() {
        none_ui(ui, input.search);
        return None;
    }
    let mut pointed = None;
    let mut fold = false;
    let height = (DRAWING * ui.available_height()).max(60.0);
    // All answers are scrolled together, so that each can be read in full beside the others.
    ScrollArea::vertical().id_salt("answers").auto_shrink([false, false]).show(ui, |ui| {
        ui.columns(ANSWERS, |columns| {
            for (nth, (column, answer)) in columns.iter_mut().zip(answers).enumerate() {
                let id = answer.study.id();
                let shown = AnswerInput {
                    now: input.now,
                    answer,
                    nth,
                    picked: input.view.offer == Some(id),
                    listed: own.listed,
                    height,
                };
                let drawn = own.drawn.entry(id).or_default();
                // The layout of columns alone would spread the words of a line.
                let plain = Layout::top_down(egui::Align::Min);
                let response =
                    column.with_layout(plain, |ui| answer_ui(ui, &shown, drawn, painter, commands)).inner;
                if response.over {
                    pointed = Some(id);
                }
                fold |= response.fold;
            }
        });
    });
    own.listed ^= fold;
    pointed
}

fn none_ui(ui: &mut Ui, search: &Search) {
    let words = match search.problem() {
        _ if search.done_part().is_some() => {
            "Bowings are tried one after the other, each with its own plan.".to_owned()
        }
        Some(why) => format!("No suggestion: {why}."),
        None => "Choose what may change and press Suggest. Notes whose bowing is settled stay as they are."
            .to_owned(),
    };
    ui.weak(words);
}

fn ask_ui(ui: &mut Ui, input: &SuggestInput<'_>, own: &mut SuggestView, commands: &mut Vec<Command>) {
    let searching = input.search.done_part();
    let several = input.view.selection.len() > 1;
    ui.horizontal(|ui| {
        ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
        ui.add_enabled_ui(searching.is_none(), |ui| {
            let whole = own.whole || !several;
            let selected = ui.add_enabled(several, Button::new("Selected notes").selected(!whole));
            if selected.on_disabled_hover_text("Select several notes on the staff first").clicked() {
                own.whole = false;
            }
            if ui.add(Button::new("Whole part").selected(whole)).clicked() {
                own.whole = true;
            }
            ui.separator();
            ui.weak("May change");
            for freedom in Freedom::iter() {
                let (words, tip) = freedom_words(freedom);
                let button = Button::new(words).selected(own.freedom == freedom);
                if ui.add(button).on_hover_text(tip).clicked() {
                    own.freedom = freedom;
                }
            }
        });
        ui.with_layout(Layout::right_to_left(egui::Align::Center), |ui| {
            close_ui(ui, commands);
            if let Some(part) = searching {
                if ui.button("Cancel").clicked() {
                    commands.push(Command::StopSearch);
                }
                let width = ui.available_width().clamp(20.0, 110.0);
                let bar = ProgressBar::new(part).desired_width(width).desired_height(14.0);
                ui.add(bar).on_hover_text("Part of the bowings tried");
            } else if ui.button("Suggest").clicked() {
                commands.push(Command::Search { freedom: own.freedom, whole: own.whole });
            }
        });
    });
}

/// What a search may change: on its button, and in full.
fn freedom_words(freedom: Freedom) -> (&'static str, &'static str) {
    match freedom {
        Freedom::Directions => ("Directions", "Bow directions and retakes; slurs stay"),
        Freedom::Splits => {
            ("Also hooks", "Directions, retakes, hooks; only slurs too long for a bow are split")
        }
        Freedom::Free => ("Also slurs", "Slurs may be split and joined"),
    }
}

#[cfg(test)]
mod tests {
    use egui_kittest::Harness;

    use super::*;
    use crate::{
        advice::{Changed, Standing, Suggestion},
        analysis::Study,
        desk::widgets::theme::{Look, install_fonts},
        lesson::{Edit, change, demo::demo},
        score::EventId,
    };

    /// An answer that makes one change and calls it "Better".
    fn answer(edit: Edit) -> Suggestion {
        let (lesson, _) = edit.apply(&demo()).unwrap();
        let study = Study::new(lesson);
        let after = Standing::of(&study);
        Suggestion {
            headline: "Better".to_owned(),
            changes: Vec::new(),
            reasons: Vec::new(),
            edit,
            study,
            here: after.clone(),
            after,
            changed: Changed { marks: 1, ..Changed::default() },
        }
    }

    #[test]
    fn answers_of_one_headline_have_drawings_of_their_own() {
        let study = Study::new(demo());
        let notes: Vec<EventId> = study.analysis().line.notes.iter().map(|note| note.id()).collect();
        let now = Now::new(&study, 0.0, Look::default(), 4.0);
        let view = View::new(&study);
        let draw = |ui: &mut Ui, (search, own, painter): &mut (Search, SuggestView, ScreenPainter)| {
            // Fonts take effect with the next frame.
            install_fonts(ui.ctx());
            let input = SuggestInput { now: &now, view: &view, search };
            suggest_ui(ui, &input, own, painter, &mut Vec::new());
        };
        let state = (Search::default(), SuggestView::default(), ScreenPainter::default());
        let mut harness = Harness::new_ui_state(draw, state);
        let mut drawn = Vec::new();
        for note in [0, 2] {
            let found = answer(change::set_retake(study.lesson(), notes[note], true).unwrap());
            let id = found.study.id();
            harness.state_mut().0 = Search::answered(&study, vec![found]);
            harness.run_steps(3);
            drawn.push(harness.state().1.drawn[&id].shapes.clone());
        }
        assert!(!drawn[0].is_empty() && drawn[0] != drawn[1]);
    }
}
