//! The view for a class: what its keys do, and that it fills the screen.

use egui::{CentralPanel, Context, Margin, Ui, ViewportCommand};

use crate::{
    desk::{
        arm::{class::class_ui, figure::Drawer},
        command::Action,
        state::{now::Now, view::Stage},
    },
    picture::Ink,
};

use super::{Desk, layout::ground};

/// Step along the hair, as a share of it.
const STEP: f64 = 0.05;
/// How much faster or slower a key makes what moves.
const FASTER: f64 = 1.25;

impl Desk {
    /// Draws the view for a class.
    pub(super) fn class_ui(&mut self, ui: &mut Ui, now: &Now) {
        let drawer = Drawer { cache: &mut self.drawn.figure, painter: &mut self.drawn.painter };
        let (class, arm) = (&mut self.panels.class, &mut self.panels.arm);
        let frame = ground(now.look, Ink::Paper, Margin::ZERO);
        CentralPanel::default().frame(frame).show(ui, |ui| class_ui(ui, now, class, arm, drawer));
    }

    /// The window fills the screen while a class is shown something, or at the music stand.
    pub(super) fn fill_screen(&mut self, ctx: &Context) {
        let fills = matches!(self.view.stage, Stage::Class | Stage::Stand);
        if self.window.fills_screen != fills {
            self.window.fills_screen = fills;
            ctx.send_viewport_cmd(ViewportCommand::Fullscreen(fills));
        }
    }

    /// Carries out a command as it is meant before a class; gives whether it is done with. Nothing that
    /// is not seen there is changed from there.
    pub(super) fn act_for_class(&mut self, action: Action, ctx: &Context, now_s: f64) -> bool {
        let position = self.view.clock.tick(now_s).position;
        let now = Now::new(self.history.study(), position, self.memory.look, 1.0);
        let class = &mut self.panels.class;
        let hair = now.bow.hair_mm / now.analysis().arm_path.arm.hair_mm();
        match action {
            Action::Level(key) => class.show(key.index()),
            Action::HoldLevel(key) => class.hold(key.index()),
            Action::NextLook | Action::NextArmView => self.panels.arm.turn(),
            Action::Play => class.move_or_stop(false, &now, now_s),
            Action::Loop => class.move_or_stop(true, &now, now_s),
            Action::Next => class.slide(STEP, hair),
            Action::Previous => class.slide(-STEP, hair),
            Action::PreviousOffer => class.hasten(FASTER),
            Action::NextOffer => class.hasten(1.0 / FASTER),
            Action::LargeArm => {
                class.follow();
                self.play_or_pause(ctx, now_s);
            }
            Action::Class | Action::SelectNone => self.view.stage = Stage::Music,
            Action::Quit | Action::Save | Action::Keys => return false,
            _ => {}
        }
        true
    }
}
