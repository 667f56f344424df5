//! Drawings: plain shapes in millimetres made from a lesson and its analysis.
//!
//! A [`Picture`] has its origin at the top left, x to the right, y down. Shapes name an [`Ink`],
//! the role a colour plays; a [`Theme`] says what that looks like. The same picture goes to the
//! screen, to SVG, and from there to PDF and PNG.

mod arm_figure;
mod axis;
mod bow_bar;
mod engraving;
mod format;
pub mod glyph;
mod hair_map;
mod lanes;
mod level_fan;
mod passage;
mod path;
mod shape;
mod sheet;
mod staff;
mod system;
mod tempo_ladder;
mod theme;
mod together;
mod tone_band;

pub use arm_figure::{ArmFigure, ArmView, arm_figure};
pub use axis::TimeAxis;
pub use bow_bar::bow_bar;
pub use engraving::{Engraving, SPACE_MM};
pub use format::{FORMATS, Format, RenderError, pdf, png, svg};
pub use glyph::Face;
pub use hair_map::{HairMap, OtherPath, hair_map};
pub use lanes::level_lanes;
pub use level_fan::level_fan;
pub use passage::passage;
pub use shape::{Anchor, Item, Picture, Tag};
pub use sheet::{Paper, sheet};
pub use staff::{Staff, header_width_mm, staff};
pub use system::System;
pub use tempo_ladder::{TempoLadder, tempo_ladder};
pub use theme::{Dash, Ink, Pen, Rgb, Theme};
pub use together::{TogetherView, together};
pub use tone_band::tone_band;
