//! The tempo ladder over the whole part: what works at which tempo.

use egui::{
    Align2, CursorIcon, Label, Layout, ProgressBar, Rect, Response, RichText, Role, Sense, Shape, Stroke, Ui,
    WidgetInfo, pos2, vec2,
};

use crate::{
    advice::Ladder,
    analysis::StudyId,
    desk::{
        command::{Command, buttons::close_ui},
        state::now::Now,
        widgets::{
            controls::gesture,
            painter::{Scale, ScreenPainter, colour},
            theme::Look,
        },
        work::LadderWork,
    },
    lesson::{Lesson, change},
    picture::{Ink, TempoLadder, tempo_ladder},
    score::{Quarters, sentence_case},
};

use super::slow::list_ui;

/// What the signs of the ladder say.
const LEGEND: &str = "hatched: runs out · hatched both ways: cannot be played · ring: tight · drag the line to set the practice tempo";
/// Width of the list beside the ladder, as a share of the panel.
const LIST: f32 = 0.27;

/// The drawing of the ladder, with what it depends on.
#[derive(Default)]
pub struct LadderView {
    drawn: Option<LadderDrawing>,
}

struct LadderDrawing {
    key: LadderKey,
    ladder: TempoLadder,
    shapes: Vec<Shape>,
}

#[derive(Clone, Copy, PartialEq)]
struct LadderKey {
    /// The study the ladder is of.
    of: Option<StudyId>,
    rect: Rect,
    points_per_mm: f32,
    look: Look,
}

/// Draws the panel.
pub fn ladder_ui(
    ui: &mut Ui,
    now: &Now,
    work: &LadderWork,
    own: &mut LadderView,
    painter: &mut ScreenPainter,
    commands: &mut Vec<Command>,
) {
    head_ui(ui, work, commands);
    let room = ui.available_rect_before_wrap();
    let split = room.right() - room.width() * LIST;
    let plot = room.with_max_x(split - 12.0);
    let side = room.with_min_x(split);
    ui.advance_cursor_after_rect(room);
    let Some(ladder) = work.ladder() else {
        ui.painter().text(
            plot.center(),
            Align2::CENTER_CENTER,
            "The part is planned at every tempo from half to a little above the marked one.",
            egui::TextStyle::Body.resolve(ui.style()),
            colour(now.look.theme(), Ink::Faint),
        );
        return;
    };
    let key = LadderKey { of: work.of(), rect: plot, points_per_mm: now.points_per_mm, look: now.look };
    if own.drawn.as_ref().is_none_or(|drawn| drawn.key != key) {
        own.drawn = Some(draw(ui, now, ladder, key, painter));
    }
    if let Some(drawn) = &own.drawn {
        ui.painter_at(plot).extend(drawn.shapes.iter().cloned());
        let on_screen = OnScreen::new(&drawn.ladder, plot, now.points_per_mm);
        playhead(ui, now, &on_screen);
        places_ui(ui, now, ladder, &on_screen, commands);
        tempo_line_ui(ui, now, &on_screen, commands);
    }
    let mut list = ui.new_child(egui::UiBuilder::new().max_rect(side).id_salt("slow"));
    list_ui(&mut list, ladder, commands);
}

/// What the signs say, or how far the work is.
fn head_ui(ui: &mut Ui, work: &LadderWork, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
        ui.with_layout(Layout::right_to_left(egui::Align::Center), |ui| {
            close_ui(ui, commands);
            ui.with_layout(Layout::left_to_right(egui::Align::Center), |ui| match work.done_part() {
                Some(part) => {
                    let bar = ProgressBar::new(part).desired_width(140.0).desired_height(14.0);
                    ui.add(bar).on_hover_text("Part of the tempos tried");
                }
                None => {
                    ui.add(Label::new(RichText::new(LEGEND).weak()).truncate()).on_hover_text(LEGEND);
                }
            });
        });
    });
}

fn draw(ui: &Ui, now: &Now, ladder: &Ladder, key: LadderKey, painter: &mut ScreenPainter) -> LadderDrawing {
    let size = key.rect.size() / key.points_per_mm;
    let made = tempo_ladder(now.lesson(), ladder, f64::from(size.x), f64::from(size.y));
    let scale = Scale { origin: key.rect.min, points_per_mm: key.points_per_mm };
    let shapes = painter.shapes(ui.ctx(), &made.picture, scale, now.look.theme(), &|_| None);
    LadderDrawing { key, ladder: made, shapes }
}

/// Where the ladder lies on the screen.
struct OnScreen<'a> {
    made: &'a TempoLadder,
    scale: Scale,
    rect: Rect,
    /// What lies between the axes.
    area: Rect,
}

impl<'a> OnScreen<'a> {
    fn new(made: &'a TempoLadder, rect: Rect, points_per_mm: f32) -> Self {
        let scale = Scale { origin: rect.min, points_per_mm };
        let at = |x: f64, y: f64| scale.pos((x, y));
        let area = Rect::from_min_max(at(made.sides.0, made.ends.0), at(made.sides.1, made.ends.1));
        Self { made, scale, rect, area }
    }
}

fn playhead(ui: &Ui, now: &Now, on: &OnScreen<'_>) {
    let score = &now.lesson().score;
    let quarters = now.quarters();
    let bar = score.bar_at(Quarters::from_f64(quarters)).unwrap_or(0);
    let into = score
        .bars
        .get(bar)
        .map_or(0.0, |bar| ((quarters - bar.start.to_f64()) / bar.length.to_f64().max(1e-9)).clamp(0.0, 1.0));
    let x = on.scale.pos((on.made.x(bar as f64 + into), 0.0)).x;
    let pen = Stroke::new(1.5, colour(now.look.theme(), Ink::Now));
    ui.painter_at(on.rect).vline(x, on.area.y_range(), pen);
}

/// Bars to point at and to go to.
fn places_ui(ui: &Ui, now: &Now, ladder: &Ladder, on: &OnScreen<'_>, commands: &mut Vec<Command>) {
    let ground = ui.interact(on.area, ui.scope_id().with("ladder"), Sense::click());
    ground.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "What works at which tempo"));
    let Some(pos) = ground.hover_pos() else { return };
    let place = on.made.bars_at(on.scale.mm(pos).x);
    if ground.clicked() {
        commands.push(Command::Bar(place.0));
    }
    ground.on_hover_cursor(CursorIcon::PointingHand).on_hover_text_at_pointer(words_at(now, ladder, place));
}

/// The practice tempo as a line to drag.
fn tempo_line_ui(ui: &Ui, now: &Now, on: &OnScreen<'_>, commands: &mut Vec<Command>) {
    let share = now.lesson().setup.tempo_share;
    let y = on.scale.pos((0.0, on.made.y(share))).y;
    let (left, right) = (on.area.left(), on.area.right());
    let grip = Rect::from_min_max(pos2(left, y - 5.0), pos2(right, y + 5.0));
    let line = ui
        .interact(grip, ui.scope_id().with("tempo line"), Sense::drag())
        .on_hover_cursor(CursorIcon::ResizeVertical);
    let percent = format!("{:.0} %", share * 100.0);
    line.widget_info(|| {
        WidgetInfo::labeled(Role::Slider, true, format!("Practice tempo on the ladder, {percent}"))
    });
    tempo_line(ui, now, &line, (on, y), percent);
    // In the frame in which it is let go the pointer has no press to be one step with.
    if line.dragged()
        && ui.input(|input| input.pointer.primary_down())
        && let Some(pos) = line.interact_pointer_pos()
    {
        let wanted = (on.made.share(on.scale.mm(pos).y) * 100.0).round() / 100.0;
        if (wanted - share).abs() > 1e-6 {
            let edit = move |lesson: &Lesson| change::set_tempo_share(lesson, wanted);
            commands.push(Command::drag(edit, gesture(ui, "tempo line")));
        }
    }
}

fn tempo_line(ui: &Ui, now: &Now, line: &Response, (on, y): (&OnScreen<'_>, f32), percent: String) {
    let theme = now.look.theme();
    let painted = ui.painter_at(on.rect);
    let held = line.hovered() || line.dragged();
    let ink = colour(theme, Ink::Text);
    painted.hline(on.area.x_range(), y, Stroke::new(if held { 2.5 } else { 1.6 }, ink));
    let font = egui::TextStyle::Small.resolve(ui.style());
    let tag = painted.layout_no_wrap(percent, font, colour(theme, Ink::Paper));
    let at = pos2(on.area.right() - tag.size().x - 8.0, y - 0.5 * tag.size().y);
    painted.rect_filled(Rect::from_min_size(at, tag.size()).expand2(vec2(5.0, 1.0)), 3.0, ink);
    painted.galley(at, tag, ink);
}

/// What does not work in some bars, in words.
fn words_at(now: &Now, ladder: &Ladder, (first, end): (usize, usize)) -> String {
    let score = &now.lesson().score;
    let end = end.min(score.bars.len());
    let sections = score.bar_sections();
    let name = |bar: usize| score.bar_name(bar, &sections);
    let mut words = sentence_case(&name(first).words_to(&name(end.saturating_sub(1).max(first))));
    let spots: Vec<_> =
        ladder.spots.iter().filter(|spot| spot.bars.0 < end && spot.bars.1 >= first).collect();
    for spot in spots.iter().take(6) {
        words.push_str(&format!("\n{}: {}", spot.place, spot.words));
    }
    match spots.len() {
        0 => words.push_str("\nWorks at every tempo tried"),
        n if n > 6 => words.push_str(&format!("\nand {} more", n - 6)),
        _ => {}
    }
    words
}
