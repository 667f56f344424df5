//! Speed, sounding point and weight by dynamic: as a curve whose points can be dragged, and as numbers.

use egui::{
    Align2, CursorIcon, Grid, Id, Label, Pos2, Response, RichText, Role, Sense, Ui, WidgetInfo, vec2,
};
use egui_plot::{GridMark, Line, MarkerShape, PlotBounds, PlotPoint, PlotTransform, Points};

use crate::{
    desk::{
        state::history::Gesture,
        widgets::{
            controls::gesture,
            painter::colour,
            plot::bare_plot,
            theme::{Look, bold},
        },
    },
    picture::Ink,
    score::{Dynamic, sentence_case},
    setup::{Section, Setup, Unit},
};

use super::figure::number_ui;

/// Height of the curve, points.
const HEIGHT: f32 = 110.0;
/// Room for the values at the left, points.
const VALUES: f32 = 44.0;
/// Room for a name over its numbers, points.
const NAME: f32 = 72.0;
/// How near to a point it can be taken hold of, points.
const REACH: f32 = 14.0;
/// Room over and under the values: a factor on them. Assumed.
const AIR: f64 = 1.5;

/// Which curve is shown, and the point that is held.
#[derive(Default)]
pub struct DynamicsView {
    /// Place of the figure among those of a dynamic.
    figure: usize,
    held: Option<Held>,
}

/// A point that is dragged. The range stays while it is, or the point would run away.
#[derive(Clone, Copy)]
struct Held {
    mark: usize,
    range: (f64, f64),
}

/// A figure at all dynamics, in the unit shown.
struct Course {
    name: &'static str,
    source: &'static str,
    unit: Unit,
    limits: (f64, f64),
    values: Vec<f64>,
}

impl Course {
    fn of(setup: &mut Setup, nth: usize) -> Option<Self> {
        let mut course: Option<Self> = None;
        for dynamic in Dynamic::ALL {
            let figure = setup.section_mut(Section::At(dynamic)).into_iter().nth(nth)?;
            let per = figure.unit.per_shown;
            let course = course.get_or_insert_with(|| Self {
                name: figure.name,
                source: figure.source,
                unit: figure.unit,
                limits: (figure.least / per, figure.most / per),
                values: Vec::new(),
            });
            course.values.push((figure.value() / per).clamp(course.limits.0, course.limits.1));
        }
        course
    }

    /// What is in view: the values with some air.
    fn range(&self) -> (f64, f64) {
        let least = self.values.iter().copied().fold(f64::INFINITY, f64::min);
        let most = self.values.iter().copied().fold(0.0, f64::max);
        (least / AIR, most * AIR)
    }

    fn words(&self, value: f64) -> String {
        format!("{value:.*}{}", self.unit.decimals, self.unit.shown)
    }
}

/// Draws curve and numbers.
pub fn dynamics_ui(
    ui: &mut Ui,
    setup: &mut Setup,
    own: &mut DynamicsView,
    look: Look,
    dragged: &mut Option<Gesture>,
) {
    ui.label(bold("By dynamic"));
    let names: Vec<&str> =
        setup.section_mut(Section::At(Dynamic::Mf)).iter().map(|figure| figure.name).collect();
    ui.horizontal_wrapped(|ui| {
        for (nth, name) in names.iter().enumerate() {
            ui.selectable_value(&mut own.figure, nth, sentence_case(name));
        }
    });
    if let Some(course) = Course::of(setup, own.figure)
        && let Some((mark, value)) = curve_ui(ui, &course, own, look)
    {
        let section = Section::At(Dynamic::ALL[mark]);
        if let Some(figure) = setup.section_mut(section).get_mut(own.figure) {
            figure.set(value * figure.unit.per_shown);
            *dragged = Some(gesture(ui, ("curve", section, figure.name)));
        }
    }
    Grid::new(Id::unique("dynamics")).num_columns(1 + names.len()).show(ui, |ui| {
        ui.label("");
        for name in names {
            // Over narrow numbers a name takes several lines.
            ui.vertical(|ui| {
                ui.set_max_width(NAME);
                ui.add(Label::new(RichText::new(name).weak()).wrap());
            });
        }
        ui.end_row();
        for dynamic in Dynamic::ALL {
            let label = ui.label(dynamic.mark());
            for mut figure in setup.section_mut(Section::At(dynamic)) {
                number_ui(ui, &label, &mut figure, dragged);
            }
            ui.end_row();
        }
    });
}

/// The curve; gives the point that was moved, and its new value. Between two marks the value changes
/// by the same factor for the same way, so on this scale of factors the lines are straight.
fn curve_ui(ui: &mut Ui, course: &Course, own: &mut DynamicsView, look: Look) -> Option<(usize, f64)> {
    let width = ui.available_width().clamp(200.0, 340.0);
    let (rect, _) = ui.allocate_exact_size(vec2(width, HEIGHT), Sense::hover());
    let foot = ui.text_style_height(&egui::TextStyle::Small) + 4.0;
    let mut plot = rect.with_min_x(rect.left() + VALUES);
    plot.max.y -= foot;
    let range = own.held.map_or_else(|| course.range(), |held| held.range);
    let points: Vec<[f64; 2]> =
        course.values.iter().enumerate().map(|(mark, value)| [mark as f64, value.log10()]).collect();
    let last = course.values.len().saturating_sub(1) as f64;
    let bounds = PlotBounds::from_min_max([-0.4, range.0.log10()], [last + 0.4, range.1.log10()]);
    let marks = points.iter().map(|point| GridMark { value: point[0], step_size: last }).collect::<Vec<_>>();
    let ink = |ink| colour(look.theme(), ink);
    let mut inside = ui.new_child(egui::UiBuilder::new().max_rect(plot).id_salt("by dynamic"));
    let shown = bare_plot("by dynamic", plot.size(), look)
        .x_grid_spacer(move |_| marks.clone())
        .y_grid_spacer(|_| Vec::new())
        .show(&mut inside, |plot| {
            plot.set_plot_bounds(bounds);
            plot.line(
                Line::new("", points.clone())
                    .color(ink(Ink::Plan))
                    .width(2.0)
                    .allow_hover(false)
                    .allow_band(false),
            );
            let dots = Points::new("", points.clone()).shape(MarkerShape::Circle).radius(4.5);
            plot.points(dots.color(ink(Ink::Plan)).allow_hover(false));
        });
    labels(ui, course, &shown.transform, look);
    hold(course, own, &shown.response, &shown.transform)
}

/// The marks under their points, and the value of each point over it.
fn labels(ui: &Ui, course: &Course, transform: &PlotTransform, look: Look) {
    let font = egui::TextStyle::Small.resolve(ui.style());
    let frame = transform.frame();
    for (mark, (dynamic, value)) in Dynamic::ALL.into_iter().zip(&course.values).enumerate() {
        let at = transform.position_from_point(&PlotPoint::new(mark as f64, value.log10()));
        let (text, faint) = (colour(look.theme(), Ink::Text), colour(look.theme(), Ink::Faint));
        let foot = Pos2::new(at.x, frame.bottom() + 2.0);
        ui.painter().text(foot, Align2::CENTER_TOP, dynamic.mark(), font.clone(), text);
        let words = format!("{value:.*}", course.unit.decimals);
        ui.painter().text(at - vec2(0.0, 6.0), Align2::CENTER_BOTTOM, words, font.clone(), faint);
    }
    let unit = Pos2::new(frame.left() - VALUES, frame.top());
    ui.painter().text(
        unit,
        Align2::LEFT_TOP,
        course.unit.shown.trim(),
        font,
        colour(look.theme(), Ink::Faint),
    );
}

/// Takes hold of the point under the pointer and follows it.
fn hold(
    course: &Course,
    own: &mut DynamicsView,
    response: &Response,
    transform: &PlotTransform,
) -> Option<(usize, f64)> {
    let name = sentence_case(course.name);
    response
        .widget_info(|| WidgetInfo::labeled(Role::Canvas, true, format!("{name} by dynamic, as a curve")));
    let near = |pos: Pos2| {
        let places = course.values.iter().enumerate().map(|(mark, value)| {
            (mark, transform.position_from_point(&PlotPoint::new(mark as f64, value.log10())).distance(pos))
        });
        places.min_by(|a, b| a.1.total_cmp(&b.1)).filter(|place| place.1 <= REACH).map(|place| place.0)
    };
    if response.drag_started() {
        // The pointer has moved a little before that counts as a drag.
        let mark = response.ctx.input(|input| input.pointer.press_origin()).and_then(near);
        own.held = mark.map(|mark| Held { mark, range: course.range() });
    }
    let held = own.held.filter(|_| response.dragged());
    if held.is_none() {
        own.held = None;
    }
    let pointed = held.map(|held| held.mark).or_else(|| response.hover_pos().and_then(near));
    if let Some(mark) = pointed {
        let words = format!("{}: {}", Dynamic::ALL[mark].mark(), course.words(course.values[mark]));
        response.clone().on_hover_cursor(CursorIcon::ResizeVertical).on_hover_text_at_pointer(format!(
            "{words}\nDrag to change it. Starting value: {}",
            course.source
        ));
    }
    let (held, pos) = held.zip(response.interact_pointer_pos())?;
    let wanted = 10_f64.powf(transform.value_from_position(pos).y);
    let digit = 10_f64.powi(course.unit.decimals as i32);
    let value = ((wanted * digit).round() / digit).clamp(course.limits.0, course.limits.1);
    (value != course.values[held.mark]).then_some((held.mark, value))
}
