//! Choices that several commands have: colours, paper, ground, levels, widths.

use crate::{analysis::Study, picture::Theme};

use super::Failure;

#[derive(clap::ValueEnum, Clone, Copy, Debug)]
pub(super) enum ThemeChoice {
    Print,
    Light,
    Dark,
    Projector,
}

impl ThemeChoice {
    pub fn theme(self) -> &'static Theme {
        match self {
            Self::Print => &Theme::PRINT,
            Self::Light => &Theme::LIGHT,
            Self::Dark => &Theme::DARK,
            Self::Projector => &Theme::PROJECTOR,
        }
    }
}

#[derive(clap::ValueEnum, Clone, Copy, Debug)]
pub(super) enum PaperChoice {
    A4,
    Letter,
}

#[derive(clap::ValueEnum, Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum GroundChoice {
    Paper,
    Clear,
}

impl GroundChoice {
    /// A theme on this ground.
    pub fn of(self, theme: &Theme) -> Theme {
        if self == Self::Clear { theme.clear() } else { *theme }
    }
}

/// Widths of a drawing, mm. Assumed: from a stamp to a poster.
pub(super) const WIDTHS_MM: std::ops::RangeInclusive<f64> = 20.0..=2000.0;

/// The places of the levels that were typed, from the highest string.
pub(super) fn levels_named(study: &Study, typed: &[String]) -> Result<Vec<u8>, Failure> {
    let names: Vec<&str> = study.analysis().arm_path.fan.all().map(|level| level.name.as_str()).collect();
    let place = |typed: &String| {
        let found = names.iter().position(|name| name.eq_ignore_ascii_case(typed.trim()));
        found.and_then(|place| u8::try_from(place).ok()).ok_or_else(|| {
            Failure(format!("--levels {typed}: this instrument has the levels {}", names.join(", ")))
        })
    };
    typed.iter().map(place).collect()
}
