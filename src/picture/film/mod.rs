//! Moving pictures: a passage as it is played, or the arm on its way from level to level.
//!
//! A [`Film`] says what is seen, a [`Reel`] is a film of one study, laid out: at each of its moments a
//! drawing of what stands still and one of what moves. [`save_film`] makes files of it: one that moves, or
//! numbered frames with a table of their times.
//!
//! ```
//! use elbowroom::{
//!     analysis::Study,
//!     lesson::demo::demo,
//!     picture::film::{Film, Reel, Seen, Subject},
//! };
//!
//! let study = Study::new(demo());
//! let seen = Seen { staff: true, hair: true, bow: true, ..Seen::default() };
//! let film = Film { subject: Subject::Passage { bars: 4..6 }, seen, ..Film::default() };
//! let reel = Reel::new(&study, &film)?;
//! let first = reel.moment(0);
//! assert_eq!(first.time_s, 0.0);
//! assert_eq!((first.place.as_str(), reel.count() > 20), ("5", true));
//! # Ok::<(), elbowroom::picture::film::FilmError>(())
//! ```

mod apng;
mod course;
mod files;
mod gif;
mod layout;
mod moves;
mod palette;
mod reel;
mod shots;

use std::ops::Range;

use super::{ArmView, RenderError, Theme};
use crate::{bowing::Density, exchange::saving::SaveError, score::figure};

pub use files::{Kind, Made, There, names, save_film};
pub use reel::{Moment, Reel};

/// What is seen, how large and how fast.
#[derive(Clone, Debug, PartialEq)]
pub struct Film {
    /// What goes on.
    pub subject: Subject,
    /// What is seen of it.
    pub seen: Seen,
    /// Width and height, pixels.
    pub size: (u32, u32),
    /// Frames a second.
    pub rate: u32,
    /// The first picture stands so long before anything moves, s.
    pub pause_s: f64,
    /// It begins again at its end, where its file can say so.
    pub loops: bool,
    /// Colours, and whether its ground is clear.
    pub theme: Theme,
}

/// What goes on.
#[derive(Clone, Debug, PartialEq)]
pub enum Subject {
    /// These bars, by their indices, are played at the practice tempo.
    Passage {
        /// Which.
        bars: Range<usize>,
    },
    /// The arm goes through levels and back, staying on each. On one level alone the bow goes from frog to
    /// tip and back.
    Levels {
        /// Their places from the highest string to the lowest.
        levels: Vec<u8>,
        /// Time of one way, s.
        way_s: f64,
        /// Where on the hair, frog 0 to tip 1.
        hair_share: f64,
    },
}

/// What is seen. Staff, hair and levels are seen of a passage alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct Seen {
    /// The staff.
    pub staff: bool,
    /// Pencil marks over the staff.
    pub pencil: Density,
    /// The way of the bow between frog and tip.
    pub hair: bool,
    /// The levels of the arm.
    pub levels: bool,
    /// The bow to scale.
    pub bow: bool,
    /// The bridge with the bow on its level.
    pub fan: bool,
    /// The player, from here.
    pub player: Option<ArmView>,
}

impl Default for Film {
    fn default() -> Self {
        Self {
            subject: Subject::Passage { bars: 0..usize::MAX },
            seen: Seen::default(),
            size: (960, 540),
            rate: 20,
            pause_s: 1.0,
            loops: true,
            theme: Theme::LIGHT,
        }
    }
}

/// Least and greatest side, pixels, and most pixels of a frame: those of a picture of 3840 by 2160. Assumed.
pub const SIDES: std::ops::RangeInclusive<u32> = 64..=4096;
const MOST_PIXELS: u32 = 3840 * 2160;
/// Frames a second. Assumed: more than 60 no screen shows.
pub const RATES: std::ops::RangeInclusive<u32> = 1..=60;
/// Most frames of a film: ten minutes at 30 a second. Assumed.
const MOST_FRAMES: usize = 18_000;
/// Times of one way, s. Assumed.
pub const WAYS_S: std::ops::RangeInclusive<f64> = 0.1..=30.0;
/// Pauses before anything moves, s. Assumed.
pub const PAUSES_S: std::ops::RangeInclusive<f64> = 0.0..=30.0;

/// Why a film was not made. The words of what is wished wrongly say what to change.
#[derive(Debug, thiserror::Error)]
pub enum FilmError {
    /// It cannot be made as it is wished.
    #[error("{0}")]
    Wish(String),
    /// A frame could not be drawn.
    #[error(transparent)]
    Drawing(#[from] RenderError),
    /// A file was not saved.
    #[error(transparent)]
    Save(#[from] SaveError),
    /// It was called off.
    #[error("it was called off")]
    Stopped,
}

impl From<std::io::Error> for FilmError {
    fn from(error: std::io::Error) -> Self {
        Self::Save(error.into())
    }
}

impl Film {
    /// What cannot be made of it, in words.
    fn problem(&self) -> Option<String> {
        let (wide, high) = self.size;
        let (least, most) = (SIDES.start(), SIDES.end());
        if !SIDES.contains(&wide) || !SIDES.contains(&high) || wide * high > MOST_PIXELS {
            return Some(format!(
                "a film of {wide}x{high} pixels cannot be made; give {least} to {most} a side, at most 3840x2160 in all"
            ));
        }
        if !RATES.contains(&self.rate) {
            let (least, most) = (RATES.start(), RATES.end());
            return Some(format!("{} frames a second cannot be made; give {least} to {most}", self.rate));
        }
        if !PAUSES_S.contains(&self.pause_s) {
            return Some(format!(
                "a pause of {} s cannot be made; give 0 to {}",
                figure(self.pause_s),
                PAUSES_S.end()
            ));
        }
        match &self.subject {
            Subject::Levels { levels, .. } if levels.is_empty() => {
                Some("no level of the arm is chosen".to_owned())
            }
            Subject::Levels { way_s, .. } if !WAYS_S.contains(way_s) => {
                let (least, most) = (WAYS_S.start(), WAYS_S.end());
                Some(format!("{way_s} s from level to level cannot be made; give {least} to {most}"))
            }
            _ => None,
        }
    }
}
