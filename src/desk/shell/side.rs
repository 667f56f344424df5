//! The column at the right: the level, the arm and the findings.

use egui::{Label, RichText, Ui};

use crate::{
    analysis::StudyId,
    desk::{
        arm::{
            figure::small_ui,
            level::{LookedAt, folded_ui, level_ui},
        },
        command::Command,
        findings::{FindingsInput, panel::findings_ui},
        state::{now::Now, view::Stage},
    },
};

use super::Desk;

impl Desk {
    /// Draws the column. Gives the remedy that is pointed at.
    pub(super) fn side_ui(&mut self, ui: &mut Ui, now: &Now, commands: &mut Vec<Command>) -> Option<StudyId> {
        let looked_at = self.looked_at(now);
        // An open finding has the room, unless a level is looked at.
        let is_folded = self.panels.findings.open.is_some()
            && looked_at.index().is_none()
            && self.view.stage == Stage::Music;
        if is_folded {
            folded_ui(ui, now);
        } else {
            self.arm_ui(ui, now, looked_at, commands);
        }
        ui.separator();
        let open = self.panels.findings.open;
        let input = FindingsInput {
            now,
            kept: self.kept.as_ref(),
            advice: open.and_then(|open| self.work.remedies.advice(open)),
            chosen: self.view.offer,
        };
        findings_ui(ui, &input, &mut self.panels.findings, commands)
    }

    fn looked_at(&self, now: &Now) -> LookedAt {
        if self.view.stage == Stage::Together {
            self.panels.together.level(now.lesson()).map_or(LookedAt::Music, LookedAt::Together)
        } else {
            self.view.level.map_or(LookedAt::Music, LookedAt::Chosen)
        }
    }

    /// The level, the arm unless it is shown large, and what to take care of.
    fn arm_ui(&mut self, ui: &mut Ui, now: &Now, looked_at: LookedAt, commands: &mut Vec<Command>) {
        let (arm, painter) = (&self.panels.arm, &mut self.drawn.painter);
        let state = level_ui(ui, now, looked_at, arm, painter, commands);
        if self.view.stage != Stage::Arm {
            small_ui(ui, now, &state, arm, painter);
        }
        if let Some((line, more)) = self.work.care.words() {
            ui.add(Label::new(RichText::new(line).weak()).wrap()).on_hover_text(more);
        }
    }
}
