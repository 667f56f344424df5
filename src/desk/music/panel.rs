//! Staff, hair map and levels on one time axis, with the playhead over all three.

use egui::{CornerRadius, Painter, Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, WidgetInfo, pos2};

use crate::{
    desk::{
        command::Command,
        state::kept::Kept,
        widgets::{
            painter::{ScreenPainter, colour},
            theme::Look,
        },
    },
    picture::{self, Ink, OtherPath, Playhead, SPACE_MM},
};

use super::{
    hair_input::{marks_input, pins_input},
    input::MusicInput,
    levels_hover::crossings_hover,
    overview::overview_ui,
    pencil_input::{chosen_marks, pencil_input},
    scene::{LEAST_MM, Scene, SceneKey, Shown},
    staff_input::{bars_input, ground_input, notes_input},
};

/// Height of the strip that shows the whole piece, points.
const OVERVIEW: f32 = 16.0;

/// Room between the caret and the note that stands there, mm.
const CARET_MM: f64 = 1.4 * SPACE_MM;

/// Points in a millimetre, so that a staff space is a whole number of points and fits the height.
pub fn points_per_mm(height: f32, look: Look) -> f32 {
    let ordinary = (height / 108.0).round().clamp(6.0, 11.0);
    (ordinary * if look == Look::Projector { 1.15 } else { 1.0 }).round() / SPACE_MM as f32
}

/// The scale, or a smaller one at which staff, hair map and levels fit a height.
pub fn fitting(points_per_mm: f32, height: f32) -> f32 {
    let space = SPACE_MM as f32;
    let fits = ((height - OVERVIEW) / LEAST_MM as f32 * space).floor().max(4.0) / space;
    points_per_mm.min(fits)
}

/// Draws the panel in what is left of `ui`.
pub fn music_ui(
    ui: &mut Ui,
    input: &MusicInput<'_>,
    scene: &mut Option<Scene>,
    painter: &mut ScreenPainter,
    commands: &mut Vec<Command>,
) {
    let all = ui.available_rect_before_wrap();
    let rect = Rect::from_min_max(all.min, pos2(all.right(), all.bottom() - OVERVIEW));
    let key = SceneKey {
        study: input.now.study.id(),
        preview: input.preview.map(|preview| preview.study.id()),
        kept: input.kept.map(|kept| kept.study().id()),
        first_bar: input.view.first_bar,
        zoom: input.view.zoom,
        rect,
        points_per_mm: fitting(input.now.points_per_mm, all.height()),
        look: input.now.look,
        pencil: input.pencil,
        pixels_per_point: ui.ctx().pixels_per_point(),
    };
    if scene.as_ref().is_none_or(|scene| scene.key != key) {
        *scene = Some(Scene::new(key, &shown(input), input.spacing, painter, ui.ctx()));
        // What else is drawn on this time axis stands under the music, and was drawn before it.
        ui.request_repaint();
    }
    let Some(scene) = scene.as_ref() else { return };

    let ground = ui.interact(rect, ui.scope_id().with("music"), Sense::click_and_drag());
    ground.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Staff, hair map and levels"));
    // Lines that lead on into the next page end with the plot.
    let edge = scene.scale.pos((scene.sides.1 + 0.6, 0.0)).x;
    let painted = ui.painter_at(rect.expand(1.0).with_max_x(edge));
    selection(&painted, input, scene);
    if input.preview.is_none() {
        chosen_marks(&painted, input, scene);
    }
    changes(&painted, input, scene);
    loop_span(&painted, input, scene);
    painted.extend(scene.shapes.iter().cloned());
    pointed(ui, &painted, input, scene);
    playhead(ui, &painted, input, scene, painter);
    caret(&painted, input, scene);
    ground_input(ui, &ground, input, scene, commands);
    notes_input(ui, input, scene, commands);
    bars_input(ui, scene, commands);
    // What is only looked at cannot be taken hold of.
    if input.preview.is_none() {
        pins_input(ui, input, scene, commands);
        marks_input(ui, input, scene, commands);
        pencil_input(ui, input, scene, commands);
        crossings_hover(ui, input, scene);
    }
    overview_ui(ui, Rect::from_min_max(pos2(all.left(), rect.bottom()), all.max), input, scene, commands);
    ui.advance_cursor_after_rect(all);
}

/// The lesson beside the kept version, or the version on offer over the lesson.
fn shown<'a>(input: &MusicInput<'a>) -> Shown<'a> {
    let study = &input.now.study;
    match (input.preview, input.kept) {
        (Some(version), _) => {
            let other = Some(OtherPath { study, words: "as it is now" });
            Shown { study: &version.study, engraving: &version.engraving, other }
        }
        (None, kept) => Shown { study, engraving: &input.spacing.engraving, other: kept.map(Kept::path) },
    }
}

/// The chosen notes stand in a box, on the staff and down through the plots.
fn selection(painter: &Painter, input: &MusicInput<'_>, scene: &Scene) {
    let theme = input.now.look.theme();
    let ink = colour(theme, Ink::Selected);
    for (_, bounds) in scene.notes.iter().filter(|note| input.view.selection.contains(&note.0)) {
        let rect = scene.scale.rect(*bounds).expand(4.0);
        painter.rect(
            rect,
            CornerRadius::same(4),
            ink.gamma_multiply(0.14),
            Stroke::new(1.3, ink),
            StrokeKind::Outside,
        );
    }
}

/// Notes with other marks in the version that is looked at have a box with a thick foot.
fn changes(painter: &Painter, input: &MusicInput<'_>, scene: &Scene) {
    let ink = colour(input.now.look.theme(), Ink::Plan);
    let Some(preview) = input.preview else { return };
    for (_, bounds) in scene.notes.iter().filter(|note| preview.changed.contains(&note.0)) {
        let rect = scene.scale.rect(*bounds).expand(6.0);
        painter.rect_stroke(rect, 3.0, Stroke::new(1.0, ink), StrokeKind::Outside);
        painter.hline(rect.x_range(), rect.bottom() + 1.0, Stroke::new(3.0, ink));
    }
}

fn loop_span(painter: &Painter, input: &MusicInput<'_>, scene: &Scene) {
    let Some((from, to)) = input.view.clock.span() else { return };
    let x = |seconds: f64| {
        let at = input.now.analysis().quarters_at(seconds);
        let x = if at >= scene.window.1.to_f64() {
            scene.sides.1
        } else if at < scene.window.0.to_f64() {
            scene.sides.0
        } else {
            scene.axis.x_f64(at)
        };
        x.clamp(scene.sides.0, scene.sides.1)
    };
    let (a, b) = (x(from), x(to));
    if b - a < 0.1 {
        return;
    }
    let ink = colour(input.now.look.theme(), Ink::Now);
    let rect = scene.scale.rect(kurbo::Rect::new(a, scene.staff.0 + 1.0, b, scene.lanes.1));
    painter.rect_filled(rect, 0.0, ink.gamma_multiply(0.10));
    for (x, sign) in [(rect.left(), 1.0), (rect.right(), -1.0)] {
        painter.vline(x, rect.y_range(), Stroke::new(1.5, ink));
        for share in [0.42, 0.58] {
            let y = rect.top() + 8.0 + (share - 0.5) * 30.0;
            painter.circle_filled(pos2(x + sign * 5.0, y), 2.0, ink);
        }
    }
}

fn playhead(ui: &Ui, painted: &Painter, input: &MusicInput<'_>, scene: &Scene, painter: &mut ScreenPainter) {
    let quarters = input.now.quarters();
    if !scene.shows(quarters) {
        return;
    }
    let hair = input.now.lesson().setup.bow.hair_mm.max(1.0);
    let head = Playhead {
        x_mm: scene.axis.x_f64(quarters),
        ends_mm: (scene.staff.0 + 2.0, scene.lanes.1),
        hair_y_mm: Some(scene.hair_y(input.now.bow.hair_mm / hair)),
        on_string: input.now.bow.on_string,
        words: &scene.words,
    };
    let drawing = picture::playhead(&head);
    let theme = input.now.look.theme();
    painted.extend(painter.shapes(ui.ctx(), &drawing, scene.scale, theme, &|_| None));
}

/// Where the next typed note comes: a line through the staff with a foot, before the note that stands there.
fn caret(painter: &Painter, input: &MusicInput<'_>, scene: &Scene) {
    let Some(at) = input.caret.filter(|at| *at >= scene.window.0 && *at <= scene.window.1) else { return };
    let x = if at == scene.window.1 { scene.axis.barline_x(at) } else { scene.axis.x(at) - CARET_MM };
    let (top, foot) =
        (scene.scale.pos((x, scene.lines.0 - SPACE_MM)), scene.scale.pos((x, scene.lines.1 + SPACE_MM)));
    let pen = Stroke::new(2.0, colour(input.now.look.theme(), Ink::Plan));
    painter.line_segment([top, foot], pen);
    for y in [top.y, foot.y] {
        painter.hline(top.x - 4.0..=top.x + 4.0, y, pen);
    }
}

/// The moment under the pointer, where a plot under the music tells more of it.
fn pointed(ui: &Ui, painter: &Painter, input: &MusicInput<'_>, scene: &Scene) {
    let Some(at) = input.plot.and_then(|plot| scene.pointed(ui.ctx(), plot)) else { return };
    let x = scene.axis.x_f64(at);
    let (top, foot) = (scene.scale.pos((x, scene.staff.0 + 2.0)), scene.scale.pos((x, scene.lanes.1)));
    let pen = Stroke::new(1.0, colour(input.now.look.theme(), Ink::Faint));
    painter.extend(Shape::dashed_line(&[top, foot], pen, 4.0, 2.4));
}
