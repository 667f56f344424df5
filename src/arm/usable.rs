//! Hair the plan may use, and what ends it toward the tip.

use crate::setup::Setup;

use super::{Arm, LevelFan};

/// Hair the plan may use, mm from the frog: [`Setup::usable_mm`], and no farther than the arm
/// reaches where the set-up asks for that.
pub fn usable_mm(setup: &Setup) -> (f64, f64) {
    if !setup.player.tip_from_reach {
        return setup.usable_mm();
    }
    let reach = Arm::new(setup, &LevelFan::new(&setup.instrument)).tip_mark_mm();
    setup.usable_up_to_mm(Some(setup.player.tip_mark_mm.map_or(reach, |own| own.min(reach))))
}

/// What ends the hair that the plan uses, toward the tip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TipLimit {
    /// The margin that the player keeps from the tip.
    Margin,
    /// The player's own mark.
    Mark,
    /// The reach of the arm.
    Reach,
}

impl TipLimit {
    /// What ends the hair that is used with a set-up.
    pub fn of(setup: &Setup) -> Self {
        let own = setup.usable_mm().1;
        let at_mark = setup.player.tip_mark_mm.is_some_and(|mark| mark <= own);
        match usable_mm(setup).1 < own {
            true => Self::Reach,
            false if at_mark => Self::Mark,
            false => Self::Margin,
        }
    }

    /// "the arm's reach".
    pub fn words(self) -> &'static str {
        match self {
            Self::Margin => "the margin kept from the tip",
            Self::Mark => "the player's own mark",
            Self::Reach => "the arm's reach",
        }
    }
}

/// Less than this is no difference, mm. Assumed.
const NOTABLE_MM: f64 = 5.0;

/// How much of the bow is used, what limits it, and how far the arm reaches: one story in words.
pub fn reach_words(setup: &Setup) -> String {
    let fan = LevelFan::new(&setup.instrument);
    let arm = Arm::new(setup, &fan);
    let cm = |mm: f64| format!("{}", (mm / 5.0).round() / 2.0);
    let (from, to) = usable_mm(setup);
    let hair = arm.hair_mm();
    let used = format!(
        "Hair used: {} to {} of {} cm; {} ends it.",
        cm(from),
        cm(to),
        cm(hair),
        TipLimit::of(setup).words()
    );
    let least = fan
        .all()
        .map(|level| (arm.farthest_mm(level.angle_deg), &level.name))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let reach = match least {
        Some((mm, name)) if mm < hair - NOTABLE_MM => {
            let beyond = to - mm;
            let words = format!("The arm reaches {} cm on {name}", cm(mm));
            if beyond > NOTABLE_MM {
                format!("{words}: the plan goes {} cm farther.", cm(beyond))
            } else {
                words + "."
            }
        }
        _ => "The arm reaches the tip on every level.".to_owned(),
    };
    format!("{used} {reach}")
}
