//! What stands under the music: the controls of the selection and the bow, or a drawer in their place.

use egui::{Margin, Panel, Stroke, Ui};

use crate::{
    analysis::StudyId,
    desk::{
        bowing::{
            bow::bow_ui,
            inspector::inspector_ui,
            suggest::{SuggestInput, suggest_ui},
        },
        command::Command,
        state::{now::Now, view::Drawer},
        tempo::{curves::curves_ui, ladder::ladder_ui},
        writing::{fingerboard::fingerboard_ui, strip::strip_ui},
    },
    picture::Ink,
    score::Quarters,
};

use super::{Desk, layout::ground};

impl Desk {
    /// Draws what stands under the music. Gives the suggestion that is pointed at.
    pub(super) fn under_ui(
        &mut self,
        ui: &mut Ui,
        now: &Now,
        commands: &mut Vec<Command>,
    ) -> Option<StudyId> {
        let Some(drawer) = self.view.drawer else {
            let above = ui.available_height();
            self.lower_ui(ui, now, commands);
            self.window.lower_height = above - ui.available_height();
            return None;
        };
        Panel::bottom("drawer")
            .exact_size(self.window.lower_height)
            .resizable(false)
            .frame(ground(now.look, Ink::Panel, Margin::symmetric(12, 6)))
            .show(ui, |ui| self.drawer_ui(ui, drawer, now, commands))
            .inner
    }

    /// The controls of the selection and the bow.
    fn lower_ui(&mut self, ui: &mut Ui, now: &Now, commands: &mut Vec<Command>) {
        let look = now.look;
        Panel::bottom("bow").frame(ground(look, Ink::Panel, Margin::symmetric(12, 6))).show(ui, |ui| {
            match self.caret() {
                Some(caret) => fingerboard_ui(ui, now, caret, commands),
                None => bow_ui(ui, now, &mut self.drawn.painter),
            }
        });
        let strip = ground(look, Ink::Paper, Margin::symmetric(12, 5)).stroke(Stroke::NONE);
        Panel::bottom("inspector").frame(strip).show_separator_line(false).show(ui, |ui| {
            // The height stays the same whatever is selected, or the music above would jump.
            let rows = if self.view.writing { 4.0 } else { 2.0 };
            ui.set_min_height(rows * (ui.spacing().interact_size.y + ui.spacing().item_spacing.y));
            if self.view.writing {
                let caret = self.caret().unwrap_or(Quarters::ZERO);
                ui.scope(|ui| strip_ui(ui, &mut self.panels.writing, now.lesson(), caret, commands));
            }
            ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
            inspector_ui(ui, &now.study, &self.view, commands);
        });
    }

    fn drawer_ui(
        &mut self,
        ui: &mut Ui,
        drawer: Drawer,
        now: &Now,
        commands: &mut Vec<Command>,
    ) -> Option<StudyId> {
        let painter = &mut self.drawn.painter;
        match drawer {
            Drawer::Suggest => {
                let input = SuggestInput { now, view: &self.view, search: &self.work.search };
                suggest_ui(ui, &input, &mut self.panels.suggest, painter, commands)
            }
            Drawer::Ladder => {
                ladder_ui(ui, now, &self.work.ladder, &mut self.panels.ladder, painter, commands);
                None
            }
            Drawer::Curves => {
                let own = &mut self.panels.curves;
                curves_ui(ui, now, self.drawn.scene.as_ref(), own, &self.work.curves, commands);
                None
            }
        }
    }
}
