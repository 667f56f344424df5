//! What the pointer does on the staff and on the ground under the three pictures.

use egui::{CursorIcon, Pos2, Rect, Response, Role, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2};

use crate::{
    desk::{
        command::Command,
        widgets::{painter::colour, words::note_words},
    },
    picture::{Ink, SPACE_MM, Tag},
    score::Quarters,
};

use super::{input::MusicInput, scene::Scene};

/// Clicks, drags and the wheel on the ground under the notes.
pub fn ground_input(
    ui: &Ui,
    ground: &Response,
    input: &MusicInput<'_>,
    scene: &Scene,
    commands: &mut Vec<Command>,
) {
    let time_at = |pos: Pos2| {
        let x = scene.scale.mm(pos).x.clamp(scene.sides.0, scene.sides.1);
        let (from, to) = (scene.window.0.to_f64(), scene.window.1.to_f64());
        scene.axis.quarters_at(x).clamp(from, to)
    };
    let on_staff = |pos: Pos2| scene.scale.mm(pos).y < scene.staff.1;
    let seek = |pos: Pos2| Command::Seek(input.now.analysis().seconds_at_f64(time_at(pos)));
    if let Some(pos) = ground.interact_pointer_pos() {
        let origin = ui.input(|i| i.pointer.press_origin()).unwrap_or(pos);
        if ground.double_clicked() && on_staff(pos) && input.caret.is_none() {
            let bar = input.now.lesson().score.bar_at(Quarters::from_f64(time_at(pos)));
            let extend = ui.input(|i| i.modifiers.shift);
            commands.extend(bar.map(|bar| Command::ChooseBar { bar, extend }));
        } else if ground.clicked() && on_staff(pos) && input.caret.is_some() {
            commands.push(Command::PutOnStaff(height_at(input, scene, pos), time_at(pos)));
        } else if ground.clicked() {
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
                let ink = colour(input.now.look.theme(), Ink::Selected);
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
        wheel_input(ui, input, commands);
    }
}

/// The height of a point on the staff, in letters: [`Pitch::staff_step`](crate::score::Pitch::staff_step).
fn height_at(input: &MusicInput<'_>, scene: &Scene, pos: Pos2) -> i32 {
    let at = scene.axis.quarters_at(scene.scale.mm(pos).x);
    let clef = input.now.lesson().score.clef_at(Quarters::from_f64(at));
    let up = (scene.lines.1 - scene.scale.mm(pos).y) / (SPACE_MM / 2.0);
    clef.bottom_line() + up.round().clamp(-12.0, 20.0) as i32
}

/// Numbers of bars over the staff.
pub fn bars_input(ui: &Ui, scene: &Scene, commands: &mut Vec<Command>) {
    for (tag, bounds) in &scene.marks {
        let Tag::Bar(bar) = tag else { continue };
        let rect = scene.scale.rect(*bounds).expand(4.0);
        let response = ui.interact(rect, ui.scope_id().with(("bar", bar)), Sense::click());
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("Choose bar {}", bar + 1)));
        if response.clicked() {
            let extend = ui.input(|i| i.modifiers.shift);
            commands.push(Command::ChooseBar { bar: *bar, extend });
        }
        response
            .on_hover_cursor(CursorIcon::PointingHand)
            .on_hover_text("Choose this bar; Shift+click chooses all up to it");
    }
}

/// The wheel turns on, with Ctrl it stretches.
fn wheel_input(ui: &Ui, input: &MusicInput<'_>, commands: &mut Vec<Command>) {
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

/// Notes and rests on the staff.
pub fn notes_input(ui: &Ui, input: &MusicInput<'_>, scene: &Scene, commands: &mut Vec<Command>) {
    for (id, bounds) in &scene.notes {
        let rect = scene.scale.rect(*bounds).expand(3.0);
        let response = ui.interact(rect, ui.scope_id().with(("note", id)), Sense::click());
        let chosen = input.view.selection.contains(id);
        response.widget_info(|| {
            WidgetInfo::selected(Role::ListBoxOption, true, chosen, note_words(&input.now.study, *id))
        });
        if response.clicked() {
            let extend = ui.input(|i| i.modifiers.shift);
            commands.push(Command::Choose { id: *id, extend });
        }
        if response.hovered() {
            let ink = colour(input.now.look.theme(), Ink::Selected);
            ui.painter().rect_stroke(
                rect,
                4.0,
                Stroke::new(1.0, ink.gamma_multiply(0.6)),
                StrokeKind::Inside,
            );
        }
    }
}
