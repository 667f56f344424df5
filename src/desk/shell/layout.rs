//! What stands where.

use egui::{CentralPanel, Frame, Margin, Panel, Ui};

use crate::{
    analysis::StudyId,
    desk::{
        arm::{figure, together},
        command::Command,
        music::{
            MusicInput,
            panel::{music_ui, points_per_mm},
        },
        state::{
            now::Now,
            view::{Drawer, Stage},
        },
        widgets::{painter::colour, theme::Look},
    },
    picture::Ink,
};

use super::{
    Desk,
    top_bar::{TopInput, top_ui},
};

/// The ground of a part of the window.
pub fn ground(look: Look, fill: Ink, margin: Margin) -> Frame {
    Frame::new().fill(colour(look.theme(), fill)).inner_margin(margin)
}

/// Width of the column at the right for a window of this width, points.
fn side_width(window: f32, look: Look) -> f32 {
    (window * 0.235).clamp(270.0, 400.0) * (1.0 + (look.type_factor() - 1.0) * 0.3)
}

impl Desk {
    /// Draws all panels and collects what is asked for, at the time `now_s`.
    pub(super) fn panels_ui(&mut self, ui: &mut Ui, now_s: f64, commands: &mut Vec<Command>) {
        let look = self.memory.look;
        let position_s = self.view.clock.tick(now_s).position;
        let scale = points_per_mm(ui.available_height(), look);
        let now = &Now::new(self.history.study(), position_s, look, scale);
        if self.view.stage == Stage::Class {
            return self.class_ui(ui, now);
        }
        if self.view.stage == Stage::Stand {
            return self.stand_ui(ui, now);
        }

        let round = self.round_words(now_s);
        Panel::top("top").frame(ground(look, Ink::Panel, Margin::symmetric(12, 7))).show(ui, |ui| {
            let input = TopInput {
                now,
                history: &self.history,
                view: &self.view,
                files: &self.files,
                recent: &self.memory.recent,
                round: round.as_deref(),
                is_heard: self.is_heard(),
                now_s,
            };
            top_ui(ui, &input, commands);
        });
        Panel::bottom("hints").frame(ground(look, Ink::Panel, Margin::symmetric(12, 4))).show(ui, |ui| {
            self.foot_ui(ui, now_s, commands);
        });
        let side = Panel::right("side")
            .exact_size(side_width(ui.available_width(), look))
            .resizable(false)
            .frame(ground(look, Ink::Panel, Margin::symmetric(12, 8)))
            .show(ui, |ui| self.side_ui(ui, now, commands));
        // What is shown large has all the room.
        let is_music = self.view.stage == Stage::Music;
        let under = if is_music { self.under_ui(ui, now, commands) } else { None };
        let offer = under.or(side.inner).or(self.view.offer);
        CentralPanel::default()
            .frame(ground(look, Ink::Paper, Margin { left: 12, right: 12, top: 6, bottom: 0 }))
            .show(ui, |ui| self.middle_ui(ui, now, offer, commands));
    }

    /// The largest part: the music with the version that is looked at, or what is shown large.
    fn middle_ui(&mut self, ui: &mut Ui, now: &Now, offer: Option<StudyId>, commands: &mut Vec<Command>) {
        let caret = self.caret();
        let offered = offer.and_then(|id| self.work.offered(id)).cloned();
        self.work.preview.turn(&now.study, offered.as_ref(), ui.ctx());
        let painter = &mut self.drawn.painter;
        match self.view.stage {
            Stage::Music => {
                let input = MusicInput {
                    caret,
                    now,
                    view: &self.view,
                    spacing: self.history.spacing(),
                    preview: self.work.preview.ready(),
                    plot: self.panels.curves.plot().filter(|_| self.view.drawer == Some(Drawer::Curves)),
                    pencil: self.memory.pencil,
                    kept: self.kept.as_ref(),
                };
                music_ui(ui, &input, &mut self.drawn.scene, painter, commands);
            }
            Stage::Arm => {
                let drawer = figure::Drawer { cache: &mut self.drawn.figure, painter };
                figure::large_ui(ui, now, self.view.level, &mut self.panels.arm, drawer, commands);
            }
            // They fill the window by themselves.
            Stage::Class | Stage::Stand => {}
            Stage::Together => {
                together::together_ui(ui, now, &mut self.panels.together, painter, commands);
            }
            Stage::Handout => self.handout_ui(ui, now, commands),
        }
    }
}
