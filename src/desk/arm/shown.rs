//! Which level and which arm is shown: that of the music, or one that is looked at.

use egui::Ui;

use crate::{analysis::BowState, arm::Plane, desk::state::now::Now, picture::ArmView};

/// How the arm is shown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ArmDesk {
    /// Where the player is seen from.
    pub view: ArmView,
    /// Turned on from there, degrees: round the player, and up.
    pub turn_deg: (f64, f64),
    /// A second level held against the first, by its index.
    pub held: Option<usize>,
    /// A place on the hair to look at in place of the present one, frog 0 to tip 1.
    pub hair_share: Option<f64>,
    /// Time the arm takes to another level, s.
    pub move_s: f32,
}

impl Default for ArmDesk {
    fn default() -> Self {
        Self { view: ArmView::default(), turn_deg: (0.0, 0.0), held: None, hair_share: None, move_s: 0.6 }
    }
}

impl ArmDesk {
    /// The next view.
    pub fn turn(&mut self) {
        let now = ArmView::ALL.iter().position(|view| *view == self.view).unwrap_or(0);
        self.see(ArmView::ALL[(now + 1) % ArmView::ALL.len()]);
    }

    /// Looks from a named view, turned no farther.
    pub fn see(&mut self, view: ArmView) {
        (self.view, self.turn_deg) = (view, (0.0, 0.0));
    }
}

/// The bow as it is shown: in the music, or on its way to the level that is looked at.
pub fn shown_state(ui: &Ui, now: &Now, level: Option<usize>, arm: &ArmDesk) -> BowState {
    let analysis = now.analysis();
    let levels: Vec<_> = analysis.arm_path.fan.all().collect();
    let mut state = now.bow;
    if let Some(share) = arm.hair_share {
        state.hair_mm = share * analysis.arm_path.arm.hair_mm();
    }
    let looked_at = level.and_then(|index| Some((index, levels.get(index)?.angle_deg)));
    // In the music the bow moves by itself; to a level that is looked at it goes in its own time.
    let (target, seconds) = looked_at.map_or((state.level_deg, 0.0), |(_, angle)| (angle, arm.move_s));
    let id = egui::Id::unique("shown level");
    let eased = ui.ctx().animate_value_with_time(id, target as f32, seconds);
    if let Some((index, _)) = looked_at {
        state =
            BowState { plane: Plane::of_index(index), level_deg: f64::from(eased), on_string: true, ..state };
    }
    state
}
