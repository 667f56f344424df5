//! Pencil marks: what a teacher would write over the notes of a passage that can be played.
//!
//! Findings tell what does not work; these guide. Each rule looks at the music, the directions and the
//! plan and proposes marks; [`few`] leaves those that a page has room for. The rules are common practice,
//! no source, where nothing else is said, and their thresholds assumed.

mod accents;
mod amounts;
mod chords;
mod crossings;
mod density;
mod endings;
mod few;
mod ground;
mod hooks;
mod journeys;
mod passages;
mod places;
mod plucking;
mod repeats;
mod sounds;
mod sudden;
mod ways;

pub use density::Density;
pub(crate) use ground::{a_bow, as_fast, part_words, place_word};
use strum::{IntoStaticStr, VariantArray};

use super::{Zone, evidence::Evidence};
use crate::score::{EventId, Place, Quarters, sentence_case};

/// "right at the frog", "in the lower half": a share of the hair in words.
pub(crate) fn there(share: f64) -> &'static str {
    match share {
        ..0.07 => "right at the frog",
        0.93.. => "right at the tip",
        _ => Zone::of(share).there(),
    }
}

/// What a pencil mark is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, IntoStaticStr, VariantArray)]
pub enum Topic {
    /// An accent where the bow does not make it by itself: on an up-bow, or inside a bow.
    #[strum(serialize = "accent-wrong-end")]
    Accent,
    /// A bow to be divided, or played very slowly from its first moment.
    #[strum(serialize = "bow-runs-out")]
    RunsOut,
    /// A chord.
    #[strum(serialize = "chord")]
    Chord,
    /// A string passed over.
    #[strum(serialize = "crossing")]
    Crossing,
    /// Which way to start.
    #[strum(serialize = "direction-choice")]
    Way,
    /// Two notes in one direction with a stop between.
    #[strum(serialize = "hooked")]
    Hooked,
    /// One note for most of a bow.
    #[strum(serialize = "long-note")]
    LongNote,
    /// A slur to be divided: what hangs at its end wants a bow of its own.
    #[strum(serialize = "slur-change")]
    SlurChange,
    /// From the bow to the plucking finger or back.
    #[strum(serialize = "other")]
    Plucking,
    /// How a phrase ends.
    #[strum(serialize = "phrase-end")]
    PhraseEnd,
    /// The same direction again, after lifting the bow.
    #[strum(serialize = "retake")]
    Retake,
    /// A figure to be bowed as it was before.
    #[strum(serialize = "same-figure")]
    SameFigure,
    /// Hair to be saved or spent.
    #[strum(serialize = "save-or-spend")]
    Amount,
    /// Where on the bow a kind of stroke is played.
    #[strum(serialize = "stroke-place")]
    StrokePlace,
    /// A strong beat on an up-bow.
    #[strum(serialize = "strong-beat-up")]
    StrongBeatUp,
    /// A dynamic that changes at once.
    #[strum(serialize = "sudden-dynamic")]
    SuddenDynamic,
}

impl Topic {
    /// Its stable name, in files and commands.
    pub fn id(self) -> &'static str {
        self.into()
    }
}

/// How much a pupil needs to be told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Need {
    /// If time allows.
    IfTime = 1,
    /// Worth telling.
    Worth = 2,
    /// Must be told.
    Must = 3,
}

/// Something to write over a note.
#[derive(Clone, Debug, PartialEq)]
pub struct PencilMark {
    /// What it is about.
    pub topic: Topic,
    /// What else it tells.
    pub also: Option<Topic>,
    /// How much it is needed.
    pub weight: Need,
    /// The bowed note it stands over, as an index into the line.
    pub note: usize,
    /// The written event of that note.
    pub event: EventId,
    /// Where it stands, quarters from the start.
    pub at: Quarters,
    /// That place, as players say it.
    pub place: Place,
    /// The word over the staff.
    pub text: String,
    /// One sentence for the pupil.
    pub sentence: String,
    /// So much of its end tells of other bars, bytes.
    pub elsewhere: usize,
    /// The reason.
    pub why: String,
}

impl PencilMark {
    /// The sentence without what it tells of other bars.
    pub fn here(&self) -> &str {
        self.sentence.get(..self.sentence.len().saturating_sub(self.elsewhere)).unwrap_or(&self.sentence)
    }

    /// "Bar 8: save".
    pub fn title(&self) -> String {
        format!("{}: {}", sentence_case(&self.place.bar_words()), self.text)
    }
}

/// The pencil marks of a lesson, in the order of the music.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pencil {
    /// The marks.
    pub marks: Vec<PencilMark>,
    /// Marks that the teacher has rubbed out.
    pub rubbed_out: Vec<PencilMark>,
}

impl Pencil {
    /// Writes the marks of a lesson.
    pub fn new(evidence: &Evidence) -> Self {
        let mut drafts = Vec::new();
        for rule in [
            accents::rule,
            amounts::rule,
            chords::rule,
            crossings::rule,
            endings::rule,
            hooks::rule,
            journeys::rule,
            passages::rule,
            places::rule,
            plucking::rule,
            repeats::rule,
            sounds::rule,
            ways::rule,
        ] {
            rule(evidence, &mut drafts);
        }
        let mut pencil = Self::default();
        for mut mark in few::few(evidence, drafts) {
            let mut pencilled = evidence.lesson.pencilled.iter();
            match pencilled.find(|other| other.event == mark.event && other.id == mark.topic.id()) {
                Some(other) if other.words.is_empty() => pencil.rubbed_out.push(mark),
                Some(other) => {
                    // What a teacher has written is there to be read.
                    (mark.text, mark.weight) = (other.words.clone(), Need::Must);
                    pencil.marks.push(mark);
                }
                None => pencil.marks.push(mark),
            }
        }
        pencil
    }
}

/// What a rule proposes.
struct Draft {
    mark: PencilMark,
    /// Proposals of one topic that have this in common are the same figure.
    figure: u64,
}

/// What a rule says.
struct Advice {
    topic: Topic,
    also: Option<Topic>,
    weight: Need,
    text: String,
    sentence: String,
    why: String,
}

impl Advice {
    fn new(
        topic: Topic,
        weight: Need,
        text: impl Into<String>,
        sentence: impl Into<String>,
        why: impl Into<String>,
    ) -> Self {
        Self { topic, also: None, weight, text: text.into(), sentence: sentence.into(), why: why.into() }
    }

    /// Tells of a change of level too, which its sentence holds already.
    fn with(mut self, change: Option<&sudden::Change>) -> Self {
        if let Some(change) = change {
            self.text = format!("{}, {}", self.text, change.word());
            self.weight = self.weight.max(change.weight);
            self.also = Some(Topic::SuddenDynamic);
        }
        self
    }

    /// Stands over a piece; `figure` tells which others are the same.
    fn over(self, evidence: &Evidence, piece: usize, figure: u64) -> Draft {
        let note = evidence.note(piece);
        let Self { topic, also, weight, text, sentence, why } = self;
        let mark = PencilMark {
            topic,
            also,
            weight,
            note: evidence.bowed(piece).note,
            event: note.id(),
            at: note.onset,
            place: evidence.place(piece),
            text,
            sentence: sentence_case(&sentence),
            elsewhere: 0,
            why,
        };
        Draft { mark, figure }
    }
}
