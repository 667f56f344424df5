//! Drawings: plain shapes in millimetres made from a lesson and its analysis.
//!
//! A [`Picture`] has its origin at the top left, x to the right, y down. Shapes name an [`Ink`],
//! the role a colour plays; a [`Theme`] says what that looks like. The same picture goes to the
//! screen, to SVG, PDF and PNG.
//!
//! Points, boxes and outlines are those of [`kurbo`], in the millimetres of the picture.
//!
//! ```
//! use elbowroom::{
//!     analysis::Study,
//!     bowing::Density,
//!     lesson::demo::demo,
//!     picture::{Engraving, Format, Paper, System, Theme, TimeAxis, hair_map, sheet, staff, svg},
//! };
//!
//! let study = Study::new(demo());
//! // Pages, as they are printed.
//! let pages = sheet(&study, None, Paper::A4_LANDSCAPE, Density::default());
//! let pdf = Format::of_ending("pdf").expect("a format of the house");
//! assert_eq!(pdf.files(pages, &Theme::PRINT).count(), 1, "one file for all pages");
//!
//! // The first two bars in one line: the staff and the hair map on one axis.
//! let score = &study.lesson().score;
//! let engraving = Engraving::new(score);
//! let line = System::whole(score, &TimeAxis::new(score, &engraving), 20.0);
//! let to = score.bars[1].end();
//! let system = System { to, right_mm: line.axis.barline_x(to), ..line };
//! let mut drawing = staff(&study, &engraving, &system, Density::default(), 1.0).picture;
//! let map = hair_map(&study, &system, None, 40.0, 1.0).picture;
//! let top = drawing.height_mm;
//! drawing.height_mm += map.height_mm;
//! drawing.place(map, (0.0, top));
//! assert!(svg::write(&drawing, &Theme::LIGHT).starts_with("<svg"));
//! # Ok::<(), elbowroom::picture::RenderError>(())
//! ```

mod arm_figure;
mod axis;
mod bow_bar;
mod bow_signs;
mod breaking;
mod curve_lane;
mod engraving;
pub mod film;
mod format;
pub mod glyph;
mod hair_map;
pub mod handout;
mod lanes;
mod legend;
mod lettering;
mod level_fan;
mod passage;
mod path;
mod playhead;
mod shape;
mod sheet;
mod signed;
mod smufl;
mod staff;
mod system;
mod tempo_ladder;
mod theme;
mod together;
mod tone_band;

pub use crate::lesson::handout::ArmView;
pub use arm_figure::{ArmFigure, PAPER_PIXELS_PER_MM, arm_figure};
pub use axis::TimeAxis;
pub use bow_bar::bow_bar;
pub use bow_signs::bow_signs;
pub use curve_lane::curve_lane;
pub use engraving::{Engraving, SPACE_MM};
pub use format::{FORMATS, Format, RenderError, pdf, png, svg};
pub use glyph::Face;
pub use hair_map::{HairMap, OtherPath, hair_map};
pub use lanes::level_lanes;
pub use legend::signs_explained;
pub use level_fan::level_fan;
pub use passage::passage;
pub use playhead::{Playhead, playhead, words_on};
pub use shape::{About, Anchor, Item, Part, Picture, Role, Table, Tag};
pub use sheet::{Paper, sheet};
pub use staff::{Staff, header_width_mm, staff};
pub use system::System;
pub use tempo_ladder::{TempoLadder, tempo_ladder};
pub use theme::{Dash, Ink, Pen, Rgb, Theme};
pub use together::{TogetherView, together};
pub use tone_band::tone_band;
