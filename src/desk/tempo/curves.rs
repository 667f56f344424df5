//! Curves of the music in view on its own time axis: speed, sounding point, weight and the arm.

use egui::{
    Align, Align2, Color32, FontId, Label, Layout, Rect, RichText, Role, Sense, Stroke, Ui, UiBuilder,
    WidgetInfo, pos2, vec2,
};
use egui_plot::{FilledArea, GridMark, Line, LineStyle, PlotBounds, PlotUi, VLine};
use strum::IntoEnumIterator as _;

use crate::{
    analysis::{Curve, CurveLine, CurveRole, Quantity},
    desk::{
        command::{Command, buttons::close_ui},
        music::scene::Scene,
        state::now::Now,
        widgets::{painter::colour, plot::bare_plot, theme::Look},
        work::CurveWork,
    },
    picture::Ink,
    score::sentence_case,
};

/// Room over and under the values, as a share of their range. Assumed.
const AIR: f64 = 0.12;
/// The limits are in view where they lie within this many times the range of the values. Assumed.
const LIMITS_WITHIN: f64 = 0.6;
/// About as many lines of the grid.
const GRID_LINES: f64 = 5.0;

/// Which curve is shown.
pub struct CurvesView {
    quantity: Quantity,
    /// Where it was drawn last.
    plot: Option<Rect>,
}

impl Default for CurvesView {
    fn default() -> Self {
        Self { quantity: Quantity::Speed, plot: None }
    }
}

impl CurvesView {
    /// Where the curve was drawn last.
    pub fn plot(&self) -> Option<Rect> {
        self.plot
    }

    /// Which figure is shown.
    pub fn quantity(&self) -> Quantity {
        self.quantity
    }
}

/// Draws the panel under the music that `scene` shows.
pub fn curves_ui(
    ui: &mut Ui,
    now: &Now,
    scene: Option<&Scene>,
    own: &mut CurvesView,
    work: &CurveWork,
    commands: &mut Vec<Command>,
) {
    ui.horizontal(|ui| {
        ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
        for quantity in Quantity::iter() {
            let words = sentence_case(quantity.words());
            ui.selectable_value(&mut own.quantity, quantity, words).on_hover_text(quantity.unit_words());
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            close_ui(ui, commands);
        });
    });
    let Some(scene) = scene else { return };
    let pointed = own.plot.and_then(|plot| scene.pointed(ui.ctx(), plot));
    let Some(curve) = work.curve(own.quantity) else {
        if work.is_under_way() {
            ui.weak("Working it out…");
        } else {
            ui.ctx().request_repaint();
        }
        return;
    };
    values_ui(ui, now, curve, pointed.unwrap_or_else(|| now.quarters()));
    let room = ui.available_rect_before_wrap();
    ui.advance_cursor_after_rect(room);
    let Some((least, most)) = y_range(curve) else {
        ui.put(room, Label::new(RichText::new("Nothing here is bowed.").weak()));
        return;
    };
    // As wide as the music above, so that every moment lies under its place there.
    let sides = [scene.sides.0, scene.sides.1].map(|x| scene.scale.pos((x, 0.0)).x);
    let rect = Rect::from_min_max(pos2(sides[0], room.top() + 4.0), pos2(sides[1], room.bottom() - 2.0));
    let bounds = PlotBounds::from_min_max([scene.sides.0, least], [scene.sides.1, most]);
    ticks(ui, now.look, rect, (least, most));
    plot_ui(ui, &Drawing { now, scene, curve, bounds, pointed }, rect, commands);
    own.plot = Some(rect);
}

/// What is drawn in the plot; x is millimetres of the music above.
struct Drawing<'a> {
    now: &'a Now,
    scene: &'a Scene,
    curve: &'a Curve,
    bounds: PlotBounds,
    pointed: Option<f64>,
}

fn plot_ui(ui: &mut Ui, drawing: &Drawing<'_>, rect: Rect, commands: &mut Vec<Command>) {
    let Drawing { now, scene, curve, bounds, pointed } = *drawing;
    let mut inside = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("curve"));
    let grid = bounds.range_y();
    let bars = bar_lines(now, scene);
    let shown = bare_plot("curve", rect.size(), now.look)
        .x_grid_spacer(move |_| bars.clone())
        .y_grid_spacer(move |_| grid_marks(*grid.start(), *grid.end()))
        .show(&mut inside, |plot| {
            plot.set_plot_bounds(bounds);
            band(plot, drawing);
            for line in &curve.lines {
                line_ui(plot, drawing, line);
            }
            let ink = |ink| colour(now.look.theme(), ink);
            let at = |quarters: f64| scene.axis.x_f64(quarters);
            if let Some(quarters) = pointed {
                let style = LineStyle::Dashed { length: 4.0 };
                plot.vline(VLine::new("pointer", at(quarters)).color(ink(Ink::Faint)).style(style));
            }
            if scene.shows(now.quarters()) {
                let width = 1.8 * now.look.theme().line_factor as f32;
                plot.vline(VLine::new("playhead", at(now.quarters())).color(ink(Ink::Now)).width(width));
            }
        });
    let words = sentence_case(curve.quantity.words());
    shown.response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, format!("{words} as a curve")));
    let pressed = shown.response.clicked() || shown.response.dragged();
    if let Some(quarters) = pointed.filter(|_| pressed) {
        commands.push(Command::Seek(now.analysis().seconds_at_f64(quarters)));
    }
}

/// Between the least and the most, where both are known.
fn band(plot: &mut PlotUi<'_>, drawing: &Drawing<'_>) {
    let line = |role| drawing.curve.lines.iter().find(|line| line.role == role);
    let (Some(least), Some(most)) = (line(CurveRole::Least), line(CurveRole::Most)) else { return };
    let fill = colour(drawing.now.look.theme(), Ink::Corridor);
    for (low, high) in least.runs.iter().zip(&most.runs) {
        let (xs, low) = in_view(drawing, low);
        let (_, high) = in_view(drawing, high);
        if xs.len() > 1 && low.len() == high.len() {
            plot.add(FilledArea::new("", &xs, &low, &high).fill_color(fill).allow_hover(false));
        }
    }
}

fn line_ui<'a>(plot: &mut PlotUi<'a>, drawing: &Drawing<'_>, line: &CurveLine) {
    let pen = Pen::of(line.role, drawing.now.look);
    for run in &line.runs {
        let (xs, ys) = in_view(drawing, run);
        if xs.len() > 1 {
            let points: Vec<[f64; 2]> = xs.into_iter().zip(ys).map(|(x, y)| [x, y]).collect();
            let line = Line::new("", points).color(pen.colour).width(pen.width).style(pen.style);
            plot.line(line.allow_hover(false).allow_band(false));
        }
    }
}

/// The part of a run in view as x, mm of the music above, and values; a point to either side leads on.
fn in_view(drawing: &Drawing<'_>, run: &[(f64, f64)]) -> (Vec<f64>, Vec<f64>) {
    let scene = drawing.scene;
    let (from, to) = (scene.window.0.to_f64(), scene.window.1.to_f64());
    let first = run.partition_point(|point| point.0 < from).saturating_sub(1);
    let end = (run.partition_point(|point| point.0 < to) + 1).min(run.len());
    let x = |quarters: f64| {
        // The end of the music in view has no place of its own before the next page.
        if quarters >= to { scene.sides.1 } else { scene.axis.x_f64(quarters) }
    };
    run[first.min(end)..end].iter().map(|point| (x(point.0), point.1)).unzip()
}

/// How a line is drawn: never told apart by colour alone.
struct Pen {
    colour: Color32,
    width: f32,
    style: LineStyle,
}

impl Pen {
    fn of(role: CurveRole, look: Look) -> Self {
        let theme = look.theme();
        let (ink, width, style) = match role {
            CurveRole::Planned => (Ink::Plan, 2.2, LineStyle::Solid),
            CurveRole::Wanted => (Ink::Text, 1.4, LineStyle::Dashed { length: 6.0 }),
            CurveRole::Least => (Ink::Warn, 1.4, LineStyle::Dotted { spacing: 5.0 }),
            CurveRole::Most => (Ink::Warn, 1.4, LineStyle::Dashed { length: 10.0 }),
        };
        Self { colour: colour(theme, ink), width: width * theme.line_factor as f32, style }
    }
}

/// What each line is, with its value at a moment: under the pointer, or at the playhead.
fn values_ui(ui: &mut Ui, now: &Now, curve: &Curve, quarters: f64) {
    let (decimals, unit) = (curve.quantity.decimals(), curve.quantity.unit());
    ui.horizontal(|ui| {
        ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
        for line in &curve.lines {
            sample_ui(ui, &Pen::of(line.role, now.look));
            let value =
                line.at(quarters).map_or("–".to_owned(), |value| format!("{value:.decimals$}{unit}"));
            let words = format!("{} {value}", curve.quantity.role_words(line.role));
            ui.add(Label::new(words).truncate());
            ui.add_space(6.0);
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let score = &now.lesson().score;
            let place = score.place(score.nearest_beat_part(quarters)).to_string();
            ui.add(Label::new(RichText::new(place).weak()).truncate());
        });
    });
}

/// A short piece of a line.
fn sample_ui(ui: &mut Ui, pen: &Pen) {
    let (rect, _) = ui.allocate_exact_size(vec2(28.0, 12.0), Sense::hover());
    let ends = [rect.left_center(), rect.right_center()];
    let stroke = Stroke::new(pen.width, pen.colour);
    match pen.style {
        LineStyle::Solid => {
            ui.painter().line_segment(ends, stroke);
        }
        LineStyle::Dashed { length } => {
            ui.painter().extend(egui::Shape::dashed_line(&ends, stroke, length, length * 0.6));
        }
        LineStyle::Dotted { spacing } => {
            ui.painter().extend(egui::Shape::dotted_line(&ends, pen.colour, spacing, pen.width * 0.6));
        }
    }
}

/// The values in view, with some air; the limits too, where they are not far off.
fn y_range(curve: &Curve) -> Option<(f64, f64)> {
    let (mut least, mut most) = curve.range()?;
    let wide = (most - least).max(0.25 * most.abs()).max(1e-3);
    for point in curve.lines.iter().flat_map(|line| line.runs.iter().flatten()) {
        if (least - LIMITS_WITHIN * wide..=most + LIMITS_WITHIN * wide).contains(&point.1) {
            (least, most) = (least.min(point.1), most.max(point.1));
        }
    }
    Some((least - AIR * wide, most + AIR * wide))
}

/// A step of 1, 2 or 5 times a power of ten.
fn grid_step(range: f64) -> f64 {
    let rough = (range / GRID_LINES).max(1e-6);
    let power = 10_f64.powf(rough.log10().floor());
    let steps = [1.0, 2.0, 5.0, 10.0].map(|step| step * power);
    steps.into_iter().find(|step| *step >= rough).unwrap_or(10.0 * power)
}

fn grid_marks(least: f64, most: f64) -> Vec<GridMark> {
    let step = grid_step(most - least);
    let first = (least / step).ceil() as i64;
    let last = (most / step).floor() as i64;
    (first..=last).map(|nth| GridMark { value: nth as f64 * step, step_size: most - least }).collect()
}

/// The barlines of the music in view.
fn bar_lines(now: &Now, scene: &Scene) -> Vec<GridMark> {
    let bars = now.lesson().score.bars.get(scene.bars.0..scene.bars.1).unwrap_or_default();
    let step_size = scene.sides.1 - scene.sides.0;
    bars.iter().map(|bar| GridMark { value: scene.axis.barline_x(bar.start), step_size }).collect()
}

/// The values of the grid, left of the plot.
fn ticks(ui: &Ui, look: Look, rect: Rect, (least, most): (f64, f64)) {
    let step = grid_step(most - least);
    let decimals = (-step.log10().floor()).max(0.0) as usize;
    let font: FontId = egui::TextStyle::Small.resolve(ui.style());
    for mark in grid_marks(least, most) {
        let share = ((mark.value - least) / (most - least)) as f32;
        let at = pos2(rect.left() - 5.0, rect.bottom() - share * rect.height());
        // A minus sign in front of nothing is none.
        let words = format!("{:.decimals$}", mark.value + 0.0).replace('-', "–");
        ui.painter().text(at, Align2::RIGHT_CENTER, words, font.clone(), colour(look.theme(), Ink::Faint));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_grid_has_round_values_inside_the_range() {
        for (least, most, expected) in
            [(0.0, 50.0, 10.0), (12.0, 13.1, 0.5), (-4.0, 87.0, 20.0), (0.2, 1.1, 0.2)]
        {
            let marks: Vec<f64> = grid_marks(least, most).iter().map(|mark| mark.value).collect();
            assert!(marks.len() >= 2, "{least} to {most}");
            assert!(marks.iter().all(|value| (least..=most).contains(value)), "{least} to {most}");
            assert!((marks[1] - marks[0] - expected).abs() < 1e-9, "{least} to {most}: {marks:?}");
        }
    }
}
