//! The handout: what the pupil takes home, as blocks one after another.
//!
//! A block holds only what it needs to be made again from the lesson, so that a handout follows the
//! music: bars by their printed numbers, notes by their ids, levels, a view, words. What it names may be
//! gone from the lesson; whoever draws it says so.

mod before;
mod words;

use serde::{Deserialize, Serialize};
use strum::{EnumCount, VariantArray};

use crate::score::{EventId, variants};

pub use before::Before;
pub use words::{Paragraph, Run, paragraphs};

/// The blocks of a handout, and on what they are printed.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Handout {
    /// Size of the paper.
    pub paper: Leaf,
    /// The paper lies on its side.
    pub on_side: bool,
    /// For whom it is set.
    pub readers: Readers,
    /// What is on it, from the top.
    pub entries: Vec<Entry>,
}

/// A size of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Leaf {
    /// 210 by 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 by 11 inches.
    Letter,
}

/// Those for whom a page is set: size of type and of music.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Readers {
    /// Usual sizes.
    #[default]
    Adults,
    /// Large type and large notes.
    Children,
}

/// A block at its place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// What stands there.
    pub block: Block,
    /// It stands beside the block before it, where the paper is wide enough, else under it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub beside: bool,
}

/// One thing on a handout.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Block {
    /// The head of the page.
    Head(Head),
    /// A heading.
    Heading(String),
    /// Words of the teacher, see [`paragraphs`].
    Words(String),
    /// A passage of the music.
    Passage {
        /// Its bars as they are typed, see [`Score::bars_named`](crate::score::Score::bars_named).
        bars: String,
        /// What is shown with the staff.
        shown: Shown,
    },
    /// A passage in words: where to start, where the bow goes, what to watch.
    InWords {
        /// Its bars as they are typed.
        bars: String,
    },
    /// The bow to scale, with where each of these notes starts and ends.
    Bow(Vec<EventId>),
    /// The bridge with the bow on these levels, by their places among the levels from the highest string to
    /// the lowest.
    Levels(Vec<u8>),
    /// The player on these levels, side by side.
    Player {
        /// As for [`Block::Levels`].
        levels: Vec<u8>,
        /// From where.
        view: ArmView,
    },
    /// The notes that sound together at this note: fingerboard, bridge and weight.
    Together(EventId),
    /// What works at which tempo in these bars, played by themselves.
    Tempos {
        /// Bars as they are typed.
        bars: String,
    },
    /// What was found at a note.
    Finding(Found),
    /// A change that was tried for a finding: the bow before and after, and what is different.
    Remedy {
        /// The finding.
        found: Found,
        /// The words of the change.
        change: String,
    },
    /// Bars before and after, over one another, and what is different.
    Versions {
        /// Bars as they are typed.
        bars: String,
        /// How they were.
        before: Before,
    },
    /// The way up to the notes that sound together at this note, step by step.
    StepByStep(EventId),
    /// An exercise made from these bars.
    Exercise {
        /// Bars as they are typed.
        bars: String,
        /// What is practised, by its stable name.
        practised: String,
    },
    /// A scale in the key of these bars, over the strings they are played on.
    Scale {
        /// Bars as they are typed.
        bars: String,
    },
    /// A table to fill in while practising.
    Practice {
        /// Bars whose tempo is meant.
        bars: String,
        /// Tempos as shares of the marked one, one a row.
        shares: Vec<f64>,
    },
    /// Empty staves.
    Staves(u8),
    /// Empty lines to write on.
    Lines(u8),
}

/// The head of a page; any of it may be empty.
#[derive(Clone, Debug, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Head {
    /// What the page is about: the piece.
    pub title: String,
    /// For whom.
    pub pupil: String,
    /// When.
    pub date: String,
    /// From whom.
    pub teacher: String,
}

/// What is shown with the staff of a passage.
#[derive(Clone, Debug, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Shown {
    /// Pencil marks over the staff.
    pub pencil: bool,
    /// Places on the bow as small signs over the staff.
    pub places: bool,
    /// The way of the bow between frog and tip.
    pub hair: bool,
    /// The levels of the arm.
    pub levels: bool,
    /// The curve of this quantity, by its id.
    pub curve: Option<String>,
}

/// A finding by what it is and where.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Found {
    /// The stable id of its kind.
    pub kind: String,
    /// The written note it is about.
    pub note: EventId,
}

/// Where the player is seen from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, EnumCount, VariantArray, Serialize, Deserialize)]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum ArmView {
    /// Half from the front, on the side of the bow.
    #[default]
    Half,
    /// From the side of the bow: there the elbow's heights stand nearly over each other.
    BowSide,
    /// The front, as the player sees it in a mirror.
    Mirror,
    /// From behind, through the trunk: the pupil copies without turning anything round.
    Behind,
    /// From above: bow and string at a right angle.
    Above,
    /// Through the player's own eyes.
    OwnEyes,
}

impl ArmView {
    /// All, in the order in which they are offered.
    pub const ALL: [Self; Self::COUNT] = variants(Self::VARIANTS);
}

/// Most blocks of a handout, rows of a block, and letters of its words. Assumed: far more than anybody hands
/// out, and still drawn in seconds.
const MOST_BLOCKS: usize = 300;
const MOST_ROWS: usize = 60;
const MOST_LETTERS: usize = 20_000;
/// Shares of the marked tempo that a table may have. Assumed.
const SHARES: std::ops::RangeInclusive<f64> = 0.05..=4.0;

impl Handout {
    /// It holds blocks that programs do not know which read lessons up to format 2: the passage in words, earlier
    /// versions of bars, exercises made from them.
    pub fn has_newer_blocks(&self) -> bool {
        let is_newer = |block: &Block| {
            matches!(block, Block::InWords { .. } | Block::Versions { .. } | Block::Exercise { .. })
        };
        self.entries.iter().any(|entry| is_newer(&entry.block))
    }

    /// It holds earlier versions in other bars or with another set-up, which programs that read lessons up to format
    /// 3 do not know.
    pub fn has_whole_versions(&self) -> bool {
        self.entries.iter().any(|entry| match &entry.block {
            Block::Versions { before, .. } => before.is_of_other_bars_or_setup(),
            _ => false,
        })
    }

    /// Nothing was put on it.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// The first thing on it that no page can be made of, in words.
    pub fn problem(&self) -> Option<String> {
        if self.entries.len() > MOST_BLOCKS {
            return Some(format!("the handout has more than {MOST_BLOCKS} blocks"));
        }
        self.entries.iter().enumerate().find_map(|(index, entry)| {
            Some(format!("block {} of the handout {}", index + 1, entry.block.problem()?))
        })
    }
}

impl Block {
    fn problem(&self) -> Option<String> {
        let long = |text: &str| (text.len() > MOST_LETTERS).then(|| "has too many words".to_owned());
        let many = |count: usize| (count > MOST_ROWS).then(|| format!("has more than {MOST_ROWS} rows"));
        match self {
            Self::Head(Head { title, pupil, date, teacher }) => {
                [title, pupil, date, teacher].into_iter().find_map(|text| long(text))
            }
            Self::Heading(text) | Self::Words(text) => long(text),
            Self::Passage { bars, .. } | Self::Tempos { bars } | Self::Scale { bars } => long(bars),
            Self::Exercise { bars, practised } => long(bars).or_else(|| long(practised)),
            Self::Versions { bars, before } => long(bars).or_else(|| long(&before.called)),
            Self::InWords { bars } => long(bars),
            Self::Bow(notes) => many(notes.len()),
            Self::Levels(levels) | Self::Player { levels, .. } => many(levels.len()),
            Self::Practice { bars, shares } => long(bars).or_else(|| many(shares.len())).or_else(|| {
                let odd = shares.iter().find(|share| !SHARES.contains(share))?;
                let (least, most) = SHARES.into_inner();
                Some(format!("has {odd} of the marked tempo; it must lie between {least} and {most}"))
            }),
            Self::Staves(count) | Self::Lines(count) => many(usize::from(*count)),
            Self::Remedy { change, .. } => long(change),
            Self::Together(_) | Self::StepByStep(_) | Self::Finding(_) => None,
        }
    }
}

impl From<Block> for Entry {
    fn from(block: Block) -> Self {
        Self { block, beside: false }
    }
}
