//! What the pointer does on the hair map: places to fix, findings to open.

use egui::{CursorIcon, Rect, Role, Sense, Ui, Vec2, WidgetInfo};

use crate::{
    desk::{
        command::Command,
        widgets::{controls::gesture, words::note_words},
    },
    lesson::{Lesson, change},
    picture::Tag,
    score::Quarters,
};

use super::{input::MusicInput, scene::Scene};

/// The starts of notes on the hair map, and the pins: dragged up and down, they fix the place.
pub fn pins_input(ui: &Ui, input: &MusicInput<'_>, scene: &Scene, commands: &mut Vec<Command>) {
    let pinned = |note: usize| {
        let events = input.now.analysis().line.notes.get(note).map_or(&[][..], |note| note.events.as_slice());
        input.now.lesson().pins.iter().any(|pin| events.contains(&pin.event))
    };
    for &(note, at) in &scene.boundaries {
        let Some(attack) = input.now.analysis().line.notes.get(note) else { continue };
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
                format!("Place on the bow of {}", note_words(&input.now.study, id)),
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
            let cm = 10.0 / input.now.lesson().setup.bow.hair_mm.max(10.0);
            let share = ((share / cm).round() * cm).clamp(0.0, 1.0);
            let edit = move |lesson: &Lesson| change::hair_pin(lesson, id, Some((share, share)));
            commands.push(Command::drag(edit, gesture(ui, ("pin", id))));
        }
        if response.secondary_clicked() && has_pin {
            commands.push(Command::edit(move |lesson| change::hair_pin(lesson, id, None)));
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
pub fn marks_input(ui: &Ui, input: &MusicInput<'_>, scene: &Scene, commands: &mut Vec<Command>) {
    for (nth, (tag, bounds)) in scene.marks.iter().enumerate() {
        let Tag::Finding(index) = tag else { continue };
        let Some(finding) = input.now.analysis().findings.told.get(*index) else { continue };
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
            let nearest =
                finding.more.iter().enumerate().min_by(|a, b| off(a.1.out).total_cmp(&off(b.1.out)));
            if let Some((nth, _)) = nearest.filter(|(_, spot)| off(spot.out) < off(finding.out)) {
                commands.push(Command::Place(*index, nth));
            }
        }
        response.on_hover_text(format!("{}\n{}", finding.what, finding.why));
    }
}
