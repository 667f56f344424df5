//! One suggested bowing: headline, what it gains and costs, drawing and changes.

use egui::{Button, Frame, Label, Layout, Rect, RichText, Role, Sense, Shape, Stroke, Ui, WidgetInfo, vec2};

use crate::{
    advice::{Difference, Standing, Suggestion},
    analysis::StudyId,
    bowing::Verdict,
    desk::{
        command::Command,
        state::now::Now,
        widgets::{
            painter::{Scale, ScreenPainter, colour},
            signs::count_ui,
            theme::{Look, bold},
        },
        work::search::first_bar,
    },
    picture::{self, Ink, OtherPath},
    score::sentence_case,
};

/// Height of the hair in the drawing of an answer, mm.
const HAIR_MM: f64 = 22.0;
/// Size of that drawing against the music above it.
const SMALLER: f32 = 0.62;
/// Corner radius of an answer, points.
const CORNER: f32 = 5.0;

/// An answer, and how it is shown.
pub struct AnswerInput<'a> {
    /// The lesson and the moment.
    pub now: &'a Now,
    /// The answer.
    pub answer: &'a Suggestion,
    /// Its place among the answers.
    pub nth: usize,
    /// It is chosen by the keys.
    pub picked: bool,
    /// Its changes are listed.
    pub listed: bool,
    /// Height of the drawing, points.
    pub height: f32,
}

/// The drawing of an answer, with what it depends on.
#[derive(Default)]
pub struct AnswerDrawing {
    key: Option<AnswerKey>,
    /// What is painted.
    pub shapes: Vec<Shape>,
}

#[derive(Clone, Copy, PartialEq)]
struct AnswerKey {
    present: StudyId,
    rect: Rect,
    points_per_mm: f32,
    look: Look,
}

/// What a person does with an answer.
#[derive(Default)]
pub struct AnswerResponse {
    /// It is pointed at.
    pub over: bool,
    /// The list of changes is to be opened or folded.
    pub fold: bool,
}

/// Draws an answer.
pub fn answer_ui(
    ui: &mut Ui,
    shown: &AnswerInput<'_>,
    drawn: &mut AnswerDrawing,
    painter: &mut ScreenPainter,
    commands: &mut Vec<Command>,
) -> AnswerResponse {
    let theme = shown.now.look.theme();
    let suggestion = shown.answer;
    let mut fold = false;
    let frame = Frame::new().inner_margin(6.0).corner_radius(CORNER).fill(colour(theme, Ink::Paper));
    let framed = frame.show(ui, |ui| {
        ui.set_min_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 3.0;
        ui.add(Label::new(bold(&suggestion.headline)).wrap().selectable(false));
        // What speaks for it, before any figure.
        for reason in &suggestion.reasons {
            let reason = RichText::new(reason).weak().text_style(egui::TextStyle::Button);
            ui.add(Label::new(reason).wrap().selectable(false));
        }
        fold = row_ui(ui, shown, commands);
        let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), shown.height), Sense::hover());
        drawing_ui(ui, shown, rect, drawn, painter);
        if shown.listed {
            changes_ui(ui, &suggestion.changes, commands);
        }
    });
    let rect = framed.response.rect;
    let over = ui.rect_contains_pointer(rect);
    let (width, edge) = if over || shown.picked { (1.5, Ink::Plan) } else { (1.0, Ink::Rule) };
    let edge = Stroke::new(width, colour(theme, edge));
    ui.painter().rect_stroke(rect, CORNER, edge, egui::StrokeKind::Inside);
    AnswerResponse { over, fold }
}

/// What it leaves to be found, how much it changes, and the button that takes it. True when the
/// list of changes is to be opened or folded.
fn row_ui(ui: &mut Ui, shown: &AnswerInput<'_>, commands: &mut Vec<Command>) -> bool {
    let suggestion = shown.answer;
    let mut fold = false;
    ui.horizontal(|ui| {
        ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
        counts_ui(ui, &suggestion.here, shown.now.look);
        ui.with_layout(Layout::right_to_left(egui::Align::Center), |ui| {
            let nothing = suggestion.edit.is_empty();
            let take = ui.add_enabled(!nothing, Button::new("Take this"));
            take.widget_info(|| {
                WidgetInfo::labeled(Role::Button, !nothing, format!("Take bowing {}", shown.nth + 1))
            });
            if take.on_disabled_hover_text("The bowing stays as it is").clicked() {
                commands.push(Command::Take(suggestion.study.id()));
            }
            let list = Button::new(change_words(suggestion)).selected(shown.listed).truncate();
            fold = ui.add_enabled(!nothing, list).on_hover_text("List all of them").clicked();
        });
    });
    fold
}

fn counts_ui(ui: &mut Ui, standing: &Standing, look: Look) {
    let ink = colour(look.theme(), Ink::Warn);
    for (verdict, count) in [
        (Verdict::Impossible, standing.impossible),
        (Verdict::RunsOut, standing.runs_out),
        (Verdict::Tight, standing.tight),
    ] {
        if count > 0 {
            count_ui(ui, verdict, count, ink);
        }
    }
}

fn change_words(suggestion: &Suggestion) -> String {
    match suggestion.changes.len() {
        0 => "no change".to_owned(),
        1 => "1 change".to_owned(),
        n => format!("{n} changes"),
    }
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
    shown: &AnswerInput<'_>,
    rect: Rect,
    drawn: &mut AnswerDrawing,
    painter: &mut ScreenPainter,
) {
    let AnswerInput { now, answer, .. } = shown;
    let points_per_mm = now.points_per_mm * SMALLER;
    let key = AnswerKey { present: now.study.id(), rect, points_per_mm, look: now.look };
    if drawn.key != Some(key) {
        let other = OtherPath { study: &now.study, words: "as it is now" };
        let theirs = &answer.study;
        let first_bar = first_bar(&now.study, answer);
        let draw = |points_per_mm: f32| {
            let width = f64::from(rect.width() / points_per_mm);
            picture::passage(theirs, Some(other), first_bar, width, HAIR_MM)
        };
        // Made smaller where it is too high; more bars have room then.
        let fits = points_per_mm.min(rect.height() / draw(points_per_mm).height_mm.max(1.0) as f32);
        let picture = draw(fits);
        let fits = fits.min(rect.height() / picture.height_mm.max(1.0) as f32);
        let scale = Scale { origin: rect.min, points_per_mm: fits };
        drawn.shapes = painter.shapes(ui.ctx(), &picture, scale, now.look.theme(), &|_| None);
        drawn.key = Some(key);
    }
    ui.painter_at(rect).extend(drawn.shapes.iter().cloned());
}
