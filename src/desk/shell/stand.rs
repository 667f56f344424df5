//! The view for the music stand: what its keys do.

use egui::{CentralPanel, Margin, Ui};
use strum::IntoEnumIterator as _;

use crate::{
    desk::{
        command::Action,
        stand::stand_ui,
        state::{now::Now, steps::StepUnit, view::Stage},
    },
    picture::Ink,
};

use super::{Desk, layout::ground};

impl Desk {
    /// Draws the view for the music stand.
    pub(super) fn stand_ui(&mut self, ui: &mut Ui, now: &Now) {
        let frame = ground(now.look, Ink::Paper, Margin::ZERO);
        let passage = self.work.wording.passage().map(AsRef::as_ref);
        let stand = self.panels.stand;
        CentralPanel::default().frame(frame).show(ui, |ui| stand_ui(ui, now, stand, passage));
    }

    /// Carries out a command as it is meant at the stand; gives whether it is done with. Nothing that is not seen
    /// there is changed from there.
    pub(super) fn act_at_stand(&mut self, action: Action, now_s: f64) -> bool {
        match action {
            Action::Next => self.step_by(self.panels.stand.unit, true, now_s),
            Action::Previous => self.step_by(self.panels.stand.unit, false, now_s),
            Action::Level(key) => {
                if let Some(unit) = StepUnit::iter().nth(key.index()) {
                    self.panels.stand.unit = unit;
                }
            }
            Action::Stand | Action::SelectNone => self.view.stage = Stage::Music,
            Action::Play | Action::Loop | Action::Repeats | Action::NextLook | Action::GoTo => return false,
            Action::NextBeat | Action::PreviousBeat | Action::NextBar | Action::PreviousBar => return false,
            Action::NextBow | Action::PreviousBow | Action::NextLevel | Action::PreviousLevel => {
                return false;
            }
            Action::ToStart | Action::ToEnd | Action::NextSentence | Action::PreviousSentence => {
                return false;
            }
            Action::Quit | Action::Save | Action::Keys => return false,
            _ => {}
        }
        true
    }
}
