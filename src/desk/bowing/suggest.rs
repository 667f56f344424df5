//! Suggest a bowing: what is asked, the search in the background, and its answers side by side.

use std::collections::BTreeSet;

use egui::{
    Button, Context, Frame, Label, ProgressBar, Rect, RichText, Role, ScrollArea, Sense, Shape, Stroke, Ui,
    WidgetInfo, vec2,
};

use crate::{
    advice::{Ask, Difference, Freedom, Suggestion, suggest},
    analysis::{Analysis, Study},
    bowing::Verdict,
    lesson::Lesson,
    picture::{self, Ink, OtherPath},
    score::{EventId, sentence_case},
};

use crate::desk::{
    command::Command,
    state::offer::{Offer, serial},
    widgets::painter::{Scale, ScreenPainter, colour},
    widgets::signs::count_ui,
    widgets::theme::{Look, bold},
    work::job::Job,
    work::remedies::About,
};

/// Answers asked for: as many as have room side by side.
const ANSWERS: usize = 3;
/// Height of the hair in the drawing of an answer, mm.
const HAIR_MM: f64 = 22.0;
/// Part of the panel's height that the drawing of an answer has. Assumed.
const DRAWING: f32 = 0.5;
/// Size of that drawing against the music above it.
const SMALLER: f32 = 0.62;
/// Corner radius of an answer, points.
const CORNER: f32 = 5.0;
/// Progress is told when it has grown by this much.
const NOTABLE: f64 = 0.01;

enum Found {
    Part(f64),
    Answers(Vec<Suggestion>),
    Nothing(String),
}

/// What is asked and what was answered. The answers belong to one state of the lesson.
pub struct Suggest {
    freedom: Freedom,
    /// The whole part rather than the selected notes.
    whole: bool,
    generation: u64,
    /// Searches started in this state of the lesson.
    searches: u64,
    job: Option<Job<Found>>,
    done_part: f64,
    answers: Vec<Suggestion>,
    /// For each answer the first bar it changes.
    first_bars: Vec<usize>,
    /// Why there is no answer.
    problem: Option<String>,
    /// The changes of every answer are listed.
    listed: bool,
    /// Drawings of the answers, with what they depend on.
    drawn: Vec<(u64, Vec<Shape>)>,
}

impl Default for Suggest {
    fn default() -> Self {
        Self {
            freedom: Freedom::Splits,
            whole: false,
            generation: 0,
            searches: 0,
            job: None,
            done_part: 0.0,
            answers: Vec::new(),
            first_bars: Vec::new(),
            problem: None,
            listed: false,
            drawn: Vec::new(),
        }
    }
}

impl Suggest {
    /// The answers for this state of the lesson, the best first.
    pub fn answers(&self, generation: u64) -> &[Suggestion] {
        if generation == self.generation { &self.answers } else { &[] }
    }

    /// The first bar an answer changes.
    pub fn first_bar(&self, index: usize) -> Option<usize> {
        self.first_bars.get(index).copied()
    }

    /// A number for an answer that no other answer has; two may have the same headline.
    pub fn serial(&self, index: usize) -> u64 {
        serial(("suggestion", self.generation, self.searches, index))
    }

    /// A search is under way.
    pub fn is_searching(&self) -> bool {
        self.job.is_some()
    }

    /// Takes in what was found; forgets what belongs to another state of the lesson. Call it every
    /// frame. When answers have come, gives the bar from which they differ.
    pub fn turn(&mut self, generation: u64, lesson: &Lesson, analysis: &Analysis) -> Option<usize> {
        let mut new = None;
        if generation != self.generation {
            let Self { freedom, whole, listed, .. } = *self;
            *self = Self { freedom, whole, listed, generation, ..Self::default() };
        }
        while let Some(found) = self.job.as_mut().and_then(Job::next) {
            match found {
                Found::Part(part) => self.done_part = part,
                Found::Answers(answers) => {
                    self.first_bars =
                        answers.iter().map(|answer| first_bar(lesson, analysis, answer)).collect();
                    new = self.first_bars.iter().copied().min();
                    self.answers = answers;
                }
                Found::Nothing(why) => self.problem = Some(why),
            }
        }
        if self.job.as_ref().is_some_and(Job::is_over) {
            self.job = None;
        }
        new
    }

    /// Starts a search for the chosen notes, or for the whole part where fewer than two are chosen.
    pub fn start(&mut self, about: &About<'_>, chosen: &BTreeSet<EventId>, ctx: &Context) {
        let events = (!self.whole && chosen.len() > 1).then(|| chosen.clone());
        let ask = Ask { events, freedom: self.freedom, answers: ANSWERS };
        let study = Study::new(about.lesson.clone());
        (self.answers, self.problem, self.done_part) = (Vec::new(), None, 0.0);
        self.searches += 1;
        self.job = Job::start("suggest a bowing", ctx, move |line| {
            let mut told = 0.0;
            let found = suggest(&study, &ask, &mut |part| {
                if part >= told + NOTABLE {
                    told = part;
                    line.send(Found::Part(part));
                }
                line.is_wanted()
            });
            line.send(match found {
                Ok(answers) => Found::Answers(answers),
                Err(error) => Found::Nothing(error.to_string()),
            });
        });
    }

    /// Stops the search.
    pub fn cancel(&mut self) {
        if self.job.take().is_some() {
            self.problem = Some("the search was stopped".to_owned());
        }
    }
}

/// The first bar in which an answer differs from the lesson; the first of all where nothing does.
fn first_bar(lesson: &Lesson, analysis: &Analysis, answer: &Suggestion) -> usize {
    let stroke = |bowed: &crate::bowing::Bowed| (bowed.note, bowed.direction, bowed.reached);
    let mut pairs = analysis.bowing.notes.iter().zip(&answer.study.analysis().bowing.notes);
    let apart = pairs.find(|(now, theirs)| stroke(now) != stroke(theirs));
    let at = apart.and_then(|(now, _)| analysis.line.notes.get(now.note)).map(|note| note.onset);
    at.and_then(|at| lesson.score.bar_at(at)).unwrap_or(0)
}

/// What the panel reads.
pub struct SuggestInput<'a> {
    /// The lesson, its analysis and their number.
    pub about: About<'a>,
    /// The chosen notes.
    pub chosen: &'a BTreeSet<EventId>,
    /// The answer chosen by the keys.
    pub picked: Option<usize>,
    /// Colours.
    pub look: Look,
    /// Points in a millimetre of the music above.
    pub points_per_mm: f32,
}

/// Draws the panel. Gives the answer that is pointed at.
pub fn suggest_ui(
    ui: &mut Ui,
    input: &SuggestInput<'_>,
    suggest: &mut Suggest,
    painter: &mut ScreenPainter,
    commands: &mut Vec<Command>,
) -> Option<usize> {
    ask_ui(ui, input, suggest, commands);
    ui.separator();
    if suggest.answers.is_empty() {
        let words = match &suggest.problem {
            _ if suggest.is_searching() => {
                "Bowings are tried one after the other, each with its own plan.".to_owned()
            }
            Some(why) => format!("No suggestion: {why}."),
            None => {
                "Choose what may change and press Suggest. Notes whose bowing is settled stay as they are."
                    .to_owned()
            }
        };
        ui.weak(words);
        return None;
    }
    let mut pointed = None;
    suggest.drawn.resize_with(suggest.answers.len(), Default::default);
    let height = (DRAWING * ui.available_height()).max(60.0);
    // All answers are scrolled together, so that each can be read in full beside the others.
    ScrollArea::vertical().id_salt("answers").auto_shrink([false, false]).show(ui, |ui| {
        ui.columns(ANSWERS, |columns| {
            for (index, column) in columns.iter_mut().enumerate().take(suggest.answers.len()) {
                // The layout of columns alone would spread the words of a line.
                let plain = egui::Layout::top_down(egui::Align::Min);
                let shown = column
                    .with_layout(plain, |ui| answer_ui(ui, input, suggest, index, height, painter, commands));
                let (over, take) = shown.inner;
                if over {
                    pointed = Some(index);
                }
                if take {
                    commands.push(Command::Take(Offer::Suggestion(index)));
                }
            }
        });
    });
    pointed
}

fn ask_ui(ui: &mut Ui, input: &SuggestInput<'_>, suggest: &mut Suggest, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
        let chosen = input.chosen.len();
        ui.add_enabled_ui(!suggest.is_searching(), |ui| {
            let whole = suggest.whole || chosen < 2;
            let selected = ui.add_enabled(chosen > 1, Button::new("Selected notes").selected(!whole));
            if selected.on_disabled_hover_text("Select several notes on the staff first").clicked() {
                suggest.whole = false;
            }
            if ui.add(Button::new("Whole part").selected(whole)).clicked() {
                suggest.whole = true;
            }
            ui.separator();
            ui.weak("May change");
            for (freedom, words, tip) in [
                (Freedom::Directions, "Directions", "Bow directions and retakes; slurs stay"),
                (Freedom::Splits, "Also split slurs", "Directions, retakes, hooks; slurs may be split"),
                (Freedom::Free, "Also new slurs", "Slurs may be split and joined"),
            ] {
                let button = Button::new(words).selected(suggest.freedom == freedom);
                if ui.add(button).on_hover_text(tip).clicked() {
                    suggest.freedom = freedom;
                }
            }
        });
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            close_ui(ui, commands);
            if suggest.is_searching() {
                if ui.button("Cancel").clicked() {
                    suggest.cancel();
                }
                let width = ui.available_width().clamp(20.0, 110.0);
                let bar =
                    ProgressBar::new(suggest.done_part as f32).desired_width(width).desired_height(14.0);
                ui.add(bar).on_hover_text("Part of the bowings tried");
            } else if ui.button("Suggest").clicked() {
                suggest.start(&input.about, input.chosen, ui.ctx());
            }
        });
    });
}

/// The button that gives the room back to the bow.
pub fn close_ui(ui: &mut Ui, commands: &mut Vec<Command>) {
    if ui.button("Close").on_hover_text("Back to the bow (Esc)").clicked() {
        commands.push(Command::CloseDrawer);
    }
}

/// One answer with a drawing of this height; whether it is pointed at, and whether it is to be taken.
fn answer_ui(
    ui: &mut Ui,
    input: &SuggestInput<'_>,
    suggest: &mut Suggest,
    index: usize,
    height: f32,
    painter: &mut ScreenPainter,
    commands: &mut Vec<Command>,
) -> (bool, bool) {
    let theme = input.look.theme();
    let (answer, answer_serial) = (&suggest.answers[index], suggest.serial(index));
    let frame = Frame::new().inner_margin(6.0).corner_radius(CORNER).fill(colour(theme, Ink::Paper));
    let (mut take, mut list_clicked) = (false, false);
    let shown = frame.show(ui, |ui| {
        ui.set_min_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 3.0;
        ui.add(Label::new(bold(&answer.headline)).wrap().selectable(false));
        ui.horizontal(|ui| {
            ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
            let ink = colour(theme, Ink::Warn);
            for (verdict, count) in [
                (Verdict::Impossible, answer.here.impossible),
                (Verdict::RunsOut, answer.here.runs_out),
                (Verdict::Tight, answer.here.tight),
            ] {
                if count > 0 {
                    count_ui(ui, verdict, count, ink);
                }
            }
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                let nothing = answer.edit.is_empty();
                let button = ui.add_enabled(!nothing, Button::new("Take this"));
                button.widget_info(|| {
                    WidgetInfo::labeled(Role::Button, !nothing, format!("Take bowing {}", index + 1))
                });
                take = button.on_disabled_hover_text("The bowing stays as it is").clicked();
                let words = match answer.changes.len() {
                    0 => "no change".to_owned(),
                    1 => "1 change".to_owned(),
                    n => format!("{n} changes"),
                };
                let list = Button::new(words).selected(suggest.listed).truncate();
                let list = ui.add_enabled(!nothing, list).on_hover_text("List all of them");
                list_clicked = list.clicked();
            });
        });
        let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
        let first_bar = suggest.first_bars.get(index).copied().unwrap_or(0);
        let shapes = &mut suggest.drawn[index];
        drawing_ui(ui, input, (answer, answer_serial), first_bar, rect, shapes, painter);
        if suggest.listed {
            changes_ui(ui, &answer.changes, commands);
        }
        ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
        for reason in &answer.reasons {
            ui.add(Label::new(RichText::new(reason).weak()).wrap().selectable(false));
        }
    });
    suggest.listed ^= list_clicked;
    let rect = shown.response.rect;
    let over = ui.rect_contains_pointer(rect);
    let (width, edge) = if over || input.picked == Some(index) { (1.5, Ink::Plan) } else { (1.0, Ink::Rule) };
    let edge = Stroke::new(width, colour(theme, edge));
    ui.painter().rect_stroke(rect, CORNER, edge, egui::StrokeKind::Inside);
    (over, take)
}

/// Every change, each leading there.
fn changes_ui(ui: &mut Ui, changes: &[Difference], commands: &mut Vec<Command>) {
    for change in changes {
        let words = sentence_case(&format!("{}: {}", change.place, change.words));
        let there = ui.link(words);
        if let Some(event) = change.event.filter(|_| there.on_hover_text("Go there").clicked()) {
            commands.push(Command::Note(event));
        }
    }
}

fn drawing_ui(
    ui: &Ui,
    input: &SuggestInput<'_>,
    (answer, answer_serial): (&Suggestion, u64),
    first_bar: usize,
    rect: Rect,
    (key, shapes): &mut (u64, Vec<Shape>),
    painter: &mut ScreenPainter,
) {
    let points_per_mm = input.points_per_mm * SMALLER;
    let corners = [rect.left(), rect.top(), rect.right(), rect.bottom(), points_per_mm].map(f32::to_bits);
    let wanted = serial((answer_serial, corners, input.look.words(), first_bar));
    if *key != wanted {
        let About { lesson, analysis, .. } = &input.about;
        let other = OtherPath { lesson, analysis, words: "as it is now" };
        let (theirs, plan) = (answer.study.lesson(), answer.study.analysis());
        let draw = |points_per_mm: f32| {
            let width = f64::from(rect.width() / points_per_mm);
            picture::passage(theirs, plan, Some(other), first_bar, width, HAIR_MM)
        };
        // Made smaller where it is too high; more bars have room then.
        let fits = points_per_mm.min(rect.height() / draw(points_per_mm).height_mm.max(1.0) as f32);
        let drawn = draw(fits);
        let fits = fits.min(rect.height() / drawn.height_mm.max(1.0) as f32);
        let scale = Scale { origin: rect.min, points_per_mm: fits };
        *shapes = painter.shapes(ui.ctx(), &drawn, scale, input.look.theme(), &|_| None);
        *key = wanted;
    }
    ui.painter_at(rect).extend(shapes.iter().cloned());
}

#[cfg(test)]
mod tests {
    use egui_kittest::Harness;

    use super::*;
    use std::sync::Arc;

    use crate::{
        advice::Standing,
        analysis::analyse,
        desk::widgets::theme::install_fonts,
        lesson::{Edit, change, demo::demo},
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
            marks_changed: 1,
        }
    }

    #[test]
    fn answers_of_one_headline_have_drawings_of_their_own() {
        let (lesson, chosen) = (demo(), BTreeSet::new());
        let analysis = Arc::new(analyse(&lesson));
        let notes: Vec<EventId> = analysis.line.notes.iter().map(|note| note.id()).collect();
        let about = || About { generation: 1, lesson: &lesson, analysis: &analysis };
        let mut suggest = Suggest::default();
        suggest.turn(1, &lesson, &analysis);
        let draw = |ui: &mut Ui, (suggest, painter): &mut (Suggest, ScreenPainter)| {
            // Fonts take effect with the next frame.
            install_fonts(ui.ctx());
            let (look, points_per_mm) = (Look::default(), 4.0);
            let input = SuggestInput { about: about(), chosen: &chosen, picked: None, look, points_per_mm };
            suggest_ui(ui, &input, suggest, painter, &mut Vec::new());
        };
        let mut harness = Harness::new_ui_state(draw, (suggest, ScreenPainter::default()));
        let mut drawn = Vec::new();
        for note in [0, 2] {
            let ctx = harness.ctx.clone();
            let suggest = &mut harness.state_mut().0;
            suggest.start(&about(), &chosen, &ctx);
            suggest.job = None;
            suggest.answers = vec![answer(change::set_retake(&lesson, notes[note], true).unwrap())];
            harness.run_steps(3);
            drawn.push(harness.state().0.drawn[0].1.clone());
        }
        assert!(!drawn[0].is_empty() && drawn[0] != drawn[1]);
    }
}
