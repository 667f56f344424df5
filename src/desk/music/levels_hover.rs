//! What is told of the levels when they are pointed at.

use egui::{Role, Sense, Ui, WidgetInfo};

use crate::{arm::Alternation, score::sentence_case};

use super::{input::MusicInput, scene::Scene};

/// Half width of what answers for a crossing in the levels, mm.
const CROSSING_MM: f64 = 2.5;

/// The crossings in the levels: how far, how fast, with which joint, and the finger to have ready.
pub fn crossings_hover(ui: &Ui, input: &MusicInput<'_>, scene: &Scene) {
    let analysis = input.now.analysis();
    let place =
        |at| analysis.bowing.notes.partition_point(|bowed| analysis.line.notes[bowed.note].onset < at);
    for crossing in analysis.arm_path.crossings_into(place(scene.window.0)..place(scene.window.1)) {
        let bowed = analysis.bowed(crossing.into);
        let at = analysis.line.notes[bowed.note].onset.to_f64();
        let x = scene.axis.x_f64(at);
        let box_mm = kurbo::Rect::new(x - CROSSING_MM, scene.lanes.0, x + CROSSING_MM, scene.lanes.1);
        let id = ui.scope_id().with(("crossing", crossing.into));
        let response = ui.interact(scene.scale.rect(box_mm), id, Sense::hover());
        let within = |figure: &&Alternation| figure.notes.0 <= crossing.into;
        let mut words = crossing.words(&analysis.arm_path.fan);
        if let Some(figure) = analysis.arm_path.alternations_from(crossing.into).first().filter(within) {
            words += &format!(".\n{}", figure.words());
        }
        if let Some(cue) = analysis.left_hand.cues_of(bowed.note..bowed.note + 1).first() {
            words += &format!(".\n{}", sentence_case(&cue.words(&input.now.lesson().setup)));
        }
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
        response.on_hover_text(words + ".");
    }
}
