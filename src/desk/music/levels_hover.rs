//! What is told of the levels when they are pointed at.

use egui::{Role, Sense, Ui, WidgetInfo};

use crate::{arm::Alternation, score::sentence_case};

use super::{input::MusicInput, scene::Scene};

/// Half width of what answers for a crossing in the levels, mm.
const CROSSING_MM: f64 = 2.5;

/// The crossings in the levels: how far, how fast, with which joint, and the finger to have ready.
pub fn crossings_hover(ui: &Ui, input: &MusicInput<'_>, scene: &Scene) {
    let analysis = input.now.analysis();
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
        let within = |figure: &&Alternation| (figure.notes.0..=figure.notes.1).contains(&crossing.into);
        let mut words = crossing.words(&analysis.arm_path.fan);
        if let Some(figure) = analysis.arm_path.alternations.iter().find(within) {
            words += &format!(".\n{}", figure.words());
        }
        if let Some(cue) = analysis.left_hand.cues.iter().find(|cue| cue.note == bowed.note) {
            words += &format!(".\n{}", sentence_case(&cue.words(&input.now.lesson().setup)));
        }
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
        response.on_hover_text(words + ".");
    }
}
