//! The list beside the ladder: what to practise slowly in another way, and where tempo decides.

use egui::{CollapsingHeader, Label, RichText, ScrollArea, Ui, vec2};

use crate::{
    advice::{Ladder, LadderPlace},
    desk::{
        command::{Command, Making},
        widgets::theme::bold,
    },
    practice::Practised,
    score::sentence_case,
};

/// What to practise slowly in another way, and where tempo decides.
pub fn list_ui(ui: &mut Ui, ladder: &Ladder, commands: &mut Vec<Command>) {
    ScrollArea::vertical().id_salt("slow practice").auto_shrink([false, false]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        ui.label(bold("In slow practice"));
        if ladder.slow.is_empty() {
            note_ui(ui, "Every stroke can be played slowly as it is.");
        }
        for slow in &ladder.slow {
            group_ui(ui, &slow.places, &slow.words, commands);
            if let Some(spot) = slow.spots.first().filter(|_| slow.bounces) {
                let tip = "As a lesson from the first of these places; a button leads back";
                let words = sentence_case(Practised::Stopped.words());
                if ui.small_button(words).on_hover_text(tip).clicked() {
                    let bars = spot.bars.0..spot.bars.1 + 1;
                    commands.push(Command::Make(Making::Passage(bars, Practised::Stopped)));
                }
            }
        }
        let (always, edges): (Vec<_>, Vec<_>) = ladder.groups.iter().partition(|group| group.always);
        if !always.is_empty() {
            ui.add_space(4.0);
            ui.label(bold("At every tempo"));
        }
        for group in always {
            group_ui(ui, &group.places, &group.words, commands);
        }
        ui.add_space(4.0);
        ui.label(bold("Where the tempo decides"));
        if edges.is_empty() {
            note_ui(ui, "Nowhere between half and a little above the marked tempo.");
        }
        for group in edges {
            group_ui(ui, &group.places, &group.words, commands);
        }
    });
}

fn note_ui(ui: &mut Ui, words: &str) {
    ui.add(Label::new(RichText::new(words).weak()).wrap());
}

/// More places than this are folded at first. Assumed.
const SHOWN_PLACES: usize = 12;

/// What is to be said, and of which bars, each leading there.
fn group_ui(ui: &mut Ui, places: &[LadderPlace], words: &str, commands: &mut Vec<Command>) {
    note_ui(ui, &sentence_case(words));
    let mut links = |ui: &mut Ui| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = vec2(8.0, 1.0);
            for place in places {
                if ui.link(sentence_case(&place.words)).on_hover_text("Go there").clicked() {
                    commands.push(Command::Note(place.event));
                }
            }
        });
    };
    if places.len() > SHOWN_PLACES {
        let title = format!("{} places", places.len());
        CollapsingHeader::new(title).id_salt(words).show(ui, links);
    } else {
        links(ui);
    }
}
