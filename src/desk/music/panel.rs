//! Staff, hair map and levels on one time axis, with the playhead over all three.

use std::{hash::Hash as _, hash::Hasher as _, sync::Arc};

use egui::{
    CornerRadius, CursorIcon, Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2, vec2,
};

use crate::{
    analysis::{Analysis, BowState},
    lesson::{Lesson, change},
    picture::{Ink, OtherPath, SPACE_MM, Tag},
    score::{EventId, Quarters, sentence_case},
};

use crate::desk::{
    command::Command,
    findings::compare::KEPT,
    music::scene::{LEAST_MM, Scene, SceneKey, Shown, Spacing},
    state::history::Gesture,
    state::offer::Version,
    state::view::View,
    widgets::painter::{ScreenPainter, colour},
    widgets::theme::Look,
};

/// What the panel reads.
pub struct MusicInput<'a> {
    /// The lesson.
    pub lesson: &'a Lesson,
    /// What is known about it.
    pub analysis: &'a Analysis,
    /// Its spacing.
    pub spacing: &'a Arc<Spacing>,
    /// Number of its state.
    pub state: u64,
    /// What is chosen and where the playhead is.
    pub view: &'a View,
    /// Position of the playhead, s.
    pub now_s: f64,
    /// Where the bow is.
    pub bow: &'a BowState,
    /// A version shown in the place of the lesson, over the present plan.
    pub preview: Option<Version<'a>>,
    /// A version kept to compare with.
    pub kept: Option<Version<'a>>,
    /// Colours.
    pub look: Look,
}

/// Height of the strip that shows the whole piece, points.
const OVERVIEW: f32 = 16.0;

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
    points_per_mm: f32,
    commands: &mut Vec<Command>,
) {
    let all = ui.available_rect_before_wrap();
    let rect = Rect::from_min_max(all.min, pos2(all.right(), all.bottom() - OVERVIEW));
    let key = SceneKey {
        state: input.state,
        preview: input.preview.map(|version| version.serial),
        kept: input.kept.map(|version| version.serial),
        first_bar: input.view.first_bar,
        zoom: input.view.zoom,
        rect,
        points_per_mm,
        look: input.look,
        pixels_per_point: ui.ctx().pixels_per_point(),
    };
    if scene.as_ref().is_none_or(|scene| scene.key != key) {
        *scene = Some(Scene::new(key, &shown(input), input.spacing, painter, ui.ctx()));
    }
    let Some(scene) = scene.as_ref() else { return };

    let ground = ui.interact(rect, ui.scope_id().with("music"), Sense::click_and_drag());
    ground.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Staff, hair map and levels"));
    // Lines that lead on into the next page end with the plot.
    let edge = scene.scale.pos((scene.sides.1 + 0.6, 0.0)).x;
    let painted = ui.painter_at(rect.expand(1.0).with_max_x(edge));
    selection(&painted, input, scene);
    changes(&painted, input, scene);
    loop_span(&painted, input, scene);
    painted.extend(scene.shapes.iter().cloned());
    playhead(&painted, input, scene);
    ground_input(ui, &ground, input, scene, commands);
    notes_input(ui, input, scene, commands);
    // What is only looked at cannot be taken hold of.
    if input.preview.is_none() {
        pins_input(ui, input, scene, commands);
        marks_input(ui, input, scene, commands);
        crossings_hover(ui, input, scene);
    }
    overview_ui(ui, Rect::from_min_max(pos2(all.left(), rect.bottom()), all.max), input, scene, commands);
    ui.advance_cursor_after_rect(all);
}

/// The lesson beside the kept version, or the version on offer over the lesson.
fn shown<'a>(input: &MusicInput<'a>) -> Shown<'a> {
    let MusicInput { lesson, analysis, .. } = *input;
    match (input.preview, input.kept) {
        (Some(version), _) => Shown {
            lesson: version.lesson,
            analysis: version.analysis,
            other: Some(OtherPath { lesson, analysis, words: "as it is now" }),
        },
        (None, Some(kept)) => Shown { lesson, analysis, other: Some(kept.path(KEPT)) },
        (None, None) => Shown { lesson, analysis, other: None },
    }
}

/// The chosen notes stand in a box, on the staff and down through the plots.
fn selection(painter: &egui::Painter, input: &MusicInput<'_>, scene: &Scene) {
    let theme = input.look.theme();
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
fn changes(painter: &egui::Painter, input: &MusicInput<'_>, scene: &Scene) {
    let ink = colour(input.look.theme(), Ink::Plan);
    for (_, bounds) in scene.notes.iter().filter(|note| scene.changed.contains(&note.0)) {
        let rect = scene.scale.rect(*bounds).expand(6.0);
        painter.rect_stroke(rect, 3.0, Stroke::new(1.0, ink), StrokeKind::Outside);
        painter.hline(rect.x_range(), rect.bottom() + 1.0, Stroke::new(3.0, ink));
    }
}

fn loop_span(painter: &egui::Painter, input: &MusicInput<'_>, scene: &Scene) {
    let Some((from, to)) = input.view.clock.span() else { return };
    let x = |seconds: f64| {
        let at = input.analysis.quarters_at(seconds);
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
    let ink = colour(input.look.theme(), Ink::Now);
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

fn playhead(painter: &egui::Painter, input: &MusicInput<'_>, scene: &Scene) {
    let quarters = input.analysis.quarters_at(input.now_s);
    if !scene.shows(quarters) {
        return;
    }
    let theme = input.look.theme();
    let (now, text) = (colour(theme, Ink::Now), colour(theme, Ink::Text));
    let wide = 1.8 * theme.line_factor as f32;
    let x = scene.axis.x_f64(quarters);
    let top = scene.scale.pos((x, scene.staff.0 + 2.0));
    let bottom = scene.scale.pos((x, scene.lanes.1));
    painter.line_segment([top, bottom], Stroke::new(wide, now));
    let cap = [top + vec2(-5.0, -1.0), top + vec2(5.0, -1.0), top + vec2(0.0, 6.0)];
    painter.add(Shape::convex_polygon(cap.to_vec(), now, Stroke::NONE));
    let hair = input.lesson.setup.bow.hair_mm.max(1.0);
    let at = scene.scale.pos((x, scene.hair_y(input.bow.hair_mm / hair)));
    // A hollow dot while the bow is in the air.
    let fill = if input.bow.on_string { now } else { colour(theme, Ink::Paper) };
    painter.circle(at, 5.5, fill, Stroke::new(1.5, text));
}

/// Clicks, drags and the wheel on the ground under the notes.
fn ground_input(
    ui: &Ui,
    ground: &egui::Response,
    input: &MusicInput<'_>,
    scene: &Scene,
    commands: &mut Vec<Command>,
) {
    let time_at = |pos: egui::Pos2| {
        let x = scene.scale.mm(pos).x.clamp(scene.sides.0, scene.sides.1);
        let (from, to) = (scene.window.0.to_f64(), scene.window.1.to_f64());
        scene.axis.quarters_at(x).clamp(from, to)
    };
    let on_staff = |pos: egui::Pos2| scene.scale.mm(pos).y < scene.staff.1;
    let seek = |pos: egui::Pos2| Command::Seek(input.analysis.seconds_at_f64(time_at(pos)));
    if let Some(pos) = ground.interact_pointer_pos() {
        let origin = ui.input(|i| i.pointer.press_origin()).unwrap_or(pos);
        if ground.clicked() {
            if on_staff(pos) {
                commands.push(Command::ChooseSpan(0.0, 0.0));
            }
            commands.push(seek(pos));
        } else if ground.dragged() {
            if on_staff(origin) {
                // A frame over the staff chooses what starts inside it.
                let (a, b) = (time_at(origin), time_at(pos));
                commands.push(Command::ChooseSpan(a.min(b), a.max(b)));
                let rect = Rect::from_two_pos(origin, pos2(pos.x, scene.scale.pos((0.0, scene.staff.1)).y));
                let ink = colour(input.look.theme(), Ink::Selected);
                ui.painter().rect(
                    rect,
                    2.0,
                    ink.gamma_multiply(0.08),
                    Stroke::new(1.0, ink),
                    StrokeKind::Inside,
                );
            } else {
                commands.push(seek(pos));
            }
        }
    }
    if ground.contains_pointer() {
        let (scroll, zoom) = ui.input(|i| (i.smooth_scroll_delta(), i.zoom_delta()));
        if (zoom - 1.0).abs() > 1e-3 {
            commands.push(Command::Zoom(f64::from(zoom)));
        } else if scroll != Vec2::ZERO {
            // One notch of a wheel turns on by about a bar; small movements add up.
            let id = ui.scope_id().with("wheel");
            let moved = ui.data_mut(|data| {
                let sum = data.get_temp_mut_or_default::<f32>(id);
                *sum += -(scroll.y + scroll.x) / 45.0;
                let whole = sum.trunc();
                *sum -= whole;
                whole
            });
            if moved != 0.0 {
                let bar = (input.view.first_bar as f32 + moved).max(0.0) as usize;
                commands.push(Command::Scroll(bar));
            }
        }
    }
}

/// Notes and rests on the staff.
fn notes_input(ui: &Ui, input: &MusicInput<'_>, scene: &Scene, commands: &mut Vec<Command>) {
    for (id, bounds) in &scene.notes {
        let rect = scene.scale.rect(*bounds).expand(3.0);
        let response = ui.interact(rect, ui.scope_id().with(("note", id)), Sense::click());
        let chosen = input.view.selection.contains(id);
        response.widget_info(|| {
            WidgetInfo::selected(Role::ListBoxOption, true, chosen, note_words(input.lesson, *id))
        });
        if response.clicked() {
            let extend = ui.input(|i| i.modifiers.shift);
            commands.push(Command::Choose { id: *id, extend });
        }
        if response.hovered() {
            let ink = colour(input.look.theme(), Ink::Selected);
            ui.painter().rect_stroke(
                rect,
                4.0,
                Stroke::new(1.0, ink.gamma_multiply(0.6)),
                StrokeKind::Inside,
            );
        }
    }
}

/// A note with its place: "F♯4, bar 3, beat 2".
pub fn note_words(lesson: &Lesson, id: EventId) -> String {
    let Some(event) = lesson.score.event(id) else { return String::new() };
    let names: Vec<String> = event.notes.iter().map(|note| note.pitch.name()).collect();
    let name = if names.is_empty() { "rest".to_owned() } else { names.join(" and ") };
    format!("{name}, {}", lesson.score.place(event.onset))
}

/// Names a drag of one thing, so that it is one step to undo.
pub fn gesture(ui: &Ui, what: impl std::hash::Hash) -> Gesture {
    let mut hasher = std::hash::DefaultHasher::new();
    what.hash(&mut hasher);
    let since = ui.input(|i| i.pointer.press_start_time());
    since.map(f64::to_bits).hash(&mut hasher);
    hasher.finish()
}

/// The starts of notes on the hair map, and the pins: dragged up and down, they fix the place.
fn pins_input(ui: &Ui, input: &MusicInput<'_>, scene: &Scene, commands: &mut Vec<Command>) {
    let pinned = |note: usize| {
        let events = input.analysis.line.notes.get(note).map_or(&[][..], |note| note.events.as_slice());
        input.lesson.pins.iter().any(|pin| events.contains(&pin.event))
    };
    for &(note, at) in &scene.boundaries {
        let Some(attack) = input.analysis.line.notes.get(note) else { continue };
        let id = attack.id();
        let has_pin = pinned(note);
        let at = scene.scale.pos(at);
        let mut rect = Rect::from_center_size(at, Vec2::splat(14.0));
        if has_pin {
            // The triangle over the dot belongs to it.
            rect.min.y -= 12.0;
        }
        let response = ui
            .interact(rect, ui.scope_id().with(("start", id)), Sense::click_and_drag())
            .on_hover_cursor(CursorIcon::ResizeVertical);
        response.widget_info(|| {
            WidgetInfo::labeled(
                Role::Slider,
                true,
                format!("Place on the bow of {}", note_words(input.lesson, id)),
            )
        });
        if response.clicked() {
            commands.push(Command::Choose { id, extend: ui.input(|i| i.modifiers.shift) });
        }
        if response.dragged()
            && let Some(pos) = response.interact_pointer_pos()
        {
            let share = scene.hair_share(scene.scale.mm(pos).y);
            // Whole centimetres are as fine as a bow arm goes.
            let cm = 10.0 / input.lesson.setup.bow.hair_mm.max(10.0);
            let share = ((share / cm).round() * cm).clamp(0.0, 1.0);
            let edit = change::hair_pin(input.lesson, id, Some((share, share)));
            commands.push(Command::Edit(Box::new(edit), Some(gesture(ui, ("pin", id)))));
        }
        if response.secondary_clicked() && has_pin {
            commands.push(Command::Edit(Box::new(change::hair_pin(input.lesson, id, None)), None));
        }
        let tip = if has_pin {
            "Drag to move this place; right click frees it"
        } else {
            "Drag to fix the place where this note starts"
        };
        response.on_hover_text(tip);
    }
}

/// Findings on the hair map.
fn marks_input(ui: &Ui, input: &MusicInput<'_>, scene: &Scene, commands: &mut Vec<Command>) {
    for (nth, (tag, bounds)) in scene.marks.iter().enumerate() {
        let Tag::Finding(index) = tag else { continue };
        let Some(finding) = input.analysis.findings.told.get(*index) else { continue };
        let rect = scene.scale.rect(*bounds).expand(3.0);
        let response = ui
            .interact(rect, ui.scope_id().with(("mark", nth, index)), Sense::click())
            .on_hover_cursor(CursorIcon::PointingHand);
        response.widget_info(|| {
            WidgetInfo::labeled(Role::Link, true, format!("{} on the hair map", finding.title()))
        });
        if response.clicked() {
            commands.push(Command::Finding(*index));
            // The sign of a further place leads there.
            let at = scene.axis.quarters_at(bounds.center().x);
            let off = |moment: Quarters| (moment.to_f64() - at).abs();
            let nearest = finding.more.iter().enumerate().min_by(|a, b| off(a.1.at).total_cmp(&off(b.1.at)));
            if let Some((nth, _)) = nearest.filter(|(_, spot)| off(spot.at) < off(finding.at)) {
                commands.push(Command::Place(*index, nth));
            }
        }
        response.on_hover_text(format!("{}\n{}", finding.what, finding.why));
    }
}

/// Half width of what answers for a crossing in the levels, mm.
const CROSSING_MM: f64 = 2.5;

/// The crossings in the levels: how far, how fast, with which joint, and the finger to have ready.
fn crossings_hover(ui: &Ui, input: &MusicInput<'_>, scene: &Scene) {
    let analysis = input.analysis;
    for crossing in &analysis.arm_path.crossings {
        let Some(bowed) = analysis.bowing.notes.get(crossing.into) else { continue };
        let at = analysis.line.notes[bowed.note].onset.to_f64();
        if !scene.shows(at) {
            continue;
        }
        let x = scene.axis.x_f64(at);
        let box_mm = kurbo::Rect::new(x - CROSSING_MM, scene.lanes.0, x + CROSSING_MM, scene.lanes.1);
        let id = ui.scope_id().with(("crossing", crossing.into));
        let response = ui.interact(scene.scale.rect(box_mm), id, Sense::hover());
        let within =
            |figure: &&crate::arm::Alternation| (figure.notes.0..=figure.notes.1).contains(&crossing.into);
        let mut words = crossing.words(&analysis.arm_path.fan);
        if let Some(figure) = analysis.arm_path.alternations.iter().find(within) {
            words += &format!(".\n{}", figure.words());
        }
        if let Some(cue) = analysis.left_hand.cues.iter().find(|cue| cue.note == bowed.note) {
            words += &format!(".\n{}", sentence_case(&cue.words(&input.lesson.setup)));
        }
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
        response.on_hover_text(words + ".");
    }
}

/// The whole piece as one line: what is in view, the findings, the playhead.
fn overview_ui(ui: &Ui, rect: Rect, input: &MusicInput<'_>, scene: &Scene, commands: &mut Vec<Command>) {
    let bars = &input.lesson.score.bars;
    let total = input.lesson.score.end().to_f64().max(1.0);
    let left = scene.scale.pos((scene.sides.0, 0.0)).x;
    let line =
        Rect::from_min_max(pos2(left, rect.top() + 5.0), pos2(rect.right() - 6.0, rect.bottom() - 4.0));
    let x = |quarters: f64| line.left() + line.width() * (quarters / total).clamp(0.0, 1.0) as f32;
    let theme = input.look.theme();
    let response = ui.interact(rect, ui.scope_id().with("overview"), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::ScrollBar, true, "Whole piece"));
    let painter = ui.painter();
    painter.rect_filled(line, 3.0, colour(theme, Ink::Panel));
    let seen = Rect::from_x_y_ranges(x(scene.window.0.to_f64())..=x(scene.window.1.to_f64()), line.y_range());
    let plan = colour(theme, Ink::Plan);
    painter.rect(seen, 3.0, colour(theme, Ink::Corridor), Stroke::new(1.0, plan), StrokeKind::Inside);
    for finding in &input.analysis.findings.told {
        let at = pos2(x(finding.at.to_f64()), line.center().y);
        let ink = colour(theme, Ink::Warn);
        match finding.verdict {
            crate::bowing::Verdict::Notice => {}
            crate::bowing::Verdict::Tight => {
                painter.circle_stroke(at, 1.8, Stroke::new(1.0, ink));
            }
            _ => {
                let corners = vec![at + vec2(-3.5, 3.0), at + vec2(0.0, -3.5), at + vec2(3.5, 3.0)];
                painter.add(Shape::convex_polygon(corners, ink, Stroke::NONE));
            }
        }
    }
    let now = x(input.analysis.quarters_at(input.now_s));
    painter.vline(now, line.y_range(), Stroke::new(1.5, colour(theme, Ink::Now)));
    if (response.clicked() || response.dragged())
        && let Some(pos) = response.interact_pointer_pos()
    {
        let share = f64::from((pos.x - line.left()) / line.width().max(1.0)).clamp(0.0, 1.0);
        let at = Quarters::from_f64(share * total);
        let middle = input.lesson.score.bar_at(at).unwrap_or(0);
        let half = (scene.bars.1 - scene.bars.0) / 2;
        commands.push(Command::Scroll(middle.saturating_sub(half).min(bars.len().saturating_sub(1))));
    }
    response.on_hover_text("The whole piece. Click or drag to look elsewhere");
}
