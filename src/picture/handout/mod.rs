//! Handouts: the blocks of a lesson's handout set on pages.
//!
//! Each block becomes slabs, drawings that stay whole; [`pages`] puts them one after the other. A block
//! alone is a drawing too, see [`block`].
//!
//! ```
//! use elbowroom::{
//!     analysis::Study,
//!     lesson::{demo::demo, handout::{Block, Handout, Shown}},
//!     picture::{handout::pages, pdf, Theme},
//! };
//!
//! let shown = Shown { hair: true, ..Shown::default() };
//! let block = Block::Passage { bars: "5-8".to_owned(), shown };
//! let handout = Handout { entries: vec![block.into()], ..Handout::default() };
//! let pages = pages(&Study::new(demo()), &handout);
//! assert_eq!(pages.len(), 1);
//! assert!(pdf::write(pages, &Theme::PRINT)?.starts_with(b"%PDF"));
//! # Ok::<(), elbowroom::picture::RenderError>(())
//! ```

mod arm;
mod found;
mod leaf;
mod look;
mod music;
mod rows;
mod slab;
mod words;

use super::{About, Engraving, Paper, Picture, TimeAxis};
use crate::{
    analysis::Study,
    figure::{Mannequin, Sitter},
    lesson::handout::{Block, Handout, Leaf, Readers},
    score::Score,
};

use look::Look;
use slab::Slab;

/// The paper of a handout.
pub fn paper(handout: &Handout) -> Paper {
    match (handout.paper, handout.on_side) {
        (Leaf::A4, false) => Paper::A4_PORTRAIT,
        (Leaf::A4, true) => Paper::A4_LANDSCAPE,
        (Leaf::Letter, false) => Paper::LETTER_PORTRAIT,
        (Leaf::Letter, true) => Paper::LETTER_LANDSCAPE,
    }
}

/// The pages of a handout. At least one, which is empty where the handout is.
pub fn pages(study: &Study, handout: &Handout) -> Vec<Picture> {
    Press::new(study, handout.readers).pages(handout)
}

/// A block alone, so many mm wide.
pub fn block(study: &Study, block: &Block, readers: Readers, width_mm: f64) -> Picture {
    let mut press = Press::new(study, readers);
    let slabs = press.slabs(block, width_mm);
    let about = About { music: study.lesson().score.title.clone(), ..About::default() };
    Picture { about, ..slab::stacked(slabs, width_mm).picture }
}

/// What blocks are made with.
struct Press<'a> {
    study: &'a Study,
    look: Look,
    music: Music,
    /// The player, once one is drawn.
    sitter: Option<Sitter>,
}

/// A score as it is engraved and spaced.
struct Music {
    engraving: Engraving,
    axis: TimeAxis,
}

impl Music {
    fn new(score: &Score) -> Self {
        let engraving = Engraving::new(score);
        Self { axis: TimeAxis::new(score, &engraving), engraving }
    }
}

impl<'a> Press<'a> {
    fn new(study: &'a Study, readers: Readers) -> Self {
        let music = Music::new(&study.lesson().score);
        Self { study, look: Look::new(readers), music, sitter: None }
    }

    fn sitter(&mut self) -> &mut Sitter {
        let study = self.study;
        self.sitter.get_or_insert_with(|| {
            Sitter::new(Mannequin::new(&study.lesson().setup, &study.analysis().arm_path.arm))
        })
    }

    /// The slabs of a block for this width, mm.
    fn slabs(&mut self, block: &Block, width_mm: f64) -> Vec<Slab> {
        let made = match block {
            Block::Head(head) => Ok(self.head(head, width_mm)),
            Block::Heading(text) => Ok(self.heading(text, width_mm)),
            Block::Words(text) => Ok(self.words(text, width_mm)),
            Block::Passage { bars, shown } => self.passage(bars, shown, width_mm),
            Block::InWords { bars } => self.in_words(bars, width_mm),
            Block::Bow(notes) => self.bows(notes, width_mm),
            Block::Levels(levels) => self.levels(levels, width_mm),
            Block::Player { levels, view } => self.player(levels, *view, width_mm),
            Block::Together(note) => self.together(*note, width_mm),
            Block::Tempos { bars } => self.tempos(bars, width_mm),
            Block::Finding(found) => self.finding(found, width_mm),
            Block::Remedy { found, change } => self.remedy(found, change, width_mm),
            Block::StepByStep(note) => self.step_by_step(*note, width_mm),
            Block::Scale { bars } => self.scale(bars, width_mm),
            Block::Practice { bars, shares } => self.practice(bars, shares, width_mm),
            Block::Staves(count) => Ok(self.staves(*count, width_mm)),
            Block::Lines(count) => Ok(self.lines(*count, width_mm)),
        };
        made.unwrap_or_else(|Missing(words)| self.missing(&words, width_mm))
    }
}

/// What a block names and the lesson has not, in a sentence for the page.
struct Missing(String);

/// The slabs of a block, or what it lacks.
type Made = Result<Vec<Slab>, Missing>;
