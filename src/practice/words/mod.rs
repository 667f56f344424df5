//! The passage in words: what a teacher says while going through it with a pupil, written from the plan.
//!
//! By phrases, a few sentences each: where to start, the way of the bow, what to watch. Every sentence holds
//! the notes it speaks of and what it claims of them as values, in the order of its words, so that a reader can
//! hold it against the plan.

mod alike;
mod hands;
mod phrases;
mod start;
mod steps;
mod story;
mod tempos;
mod voice;
mod watch;
mod way;

pub use tempos::{SLOW_SHARE, Tempos};
pub(super) use voice::{at, to};

use std::ops::Range;

use crate::{
    analysis::Study,
    bowing::{Kind, Topic, Zone},
    lesson::Spoken,
    score::{Direction, EventId, Quarters, sentence_case},
};
use story::Story;

/// Some bars in words.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Passage {
    /// The phrases, in the order of the music.
    pub phrases: Vec<Phrase>,
}

/// A phrase in words.
#[derive(Clone, Debug, PartialEq)]
pub struct Phrase {
    /// Its bars, as indices.
    pub bars: Range<usize>,
    /// Where its first bow starts.
    pub from: Quarters,
    /// Where its last bow ends.
    pub to: Quarters,
    /// "Bars 5 to 8".
    pub title: String,
    /// What there is to say, in the order in which it is said.
    pub sentences: Vec<Sentence>,
}

/// One sentence.
#[derive(Clone, Debug, PartialEq)]
pub struct Sentence {
    /// From where on it is the sentence of the moment.
    pub from: Quarters,
    /// Where it ceases to be.
    pub to: Quarters,
    /// The written note with which its span begins.
    pub event: EventId,
    /// What it is about.
    pub says: Says,
    /// What it claims, in the order of its words.
    pub claims: Vec<Claim>,
    /// As the program says it.
    pub text: String,
    /// The teacher's words in its place.
    pub own: Option<Own>,
}

/// What the teacher says in the place of a sentence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Own {
    /// The words; none where the sentence is left out.
    pub words: String,
    /// The program said something else when they were written: the plan has changed since.
    pub outdated: bool,
}

/// What a sentence is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Says {
    /// Where to start and which way.
    Start {
        /// Which way.
        direction: Direction,
        /// Where on the bow.
        zone: Zone,
    },
    /// Where the bow goes.
    Way,
    /// What is bowed as something before.
    Alike,
    /// What does not work as marked.
    Trouble(Kind),
    /// What a teacher marks.
    Mark(Topic),
    /// How the elbow goes.
    Elbow,
    /// Which finger has to be there before the bow.
    Finger,
    /// What changes at the slow tempo.
    Slow,
    /// What changes at the full tempo.
    Full,
    /// The teacher's own words, for which the program has none any more.
    Own,
}

impl Says {
    /// Its stable name, in files and for programs.
    pub fn id(self) -> String {
        match self {
            Self::Start { .. } => "start".to_owned(),
            Self::Way => "way".to_owned(),
            Self::Alike => "alike".to_owned(),
            Self::Trouble(kind) => kind.id().to_owned(),
            Self::Mark(topic) => format!("mark-{}", topic.id()),
            Self::Elbow => "elbow".to_owned(),
            Self::Finger => "finger".to_owned(),
            Self::Slow => "slow".to_owned(),
            Self::Full => "full".to_owned(),
            Self::Own => "own".to_owned(),
        }
    }
}

/// What a sentence claims. Notes are bowed notes, as indices.
#[derive(Clone, Debug, PartialEq)]
pub enum Claim {
    /// The bow is in this part at the start of a note, or at its end.
    At {
        /// The note.
        note: usize,
        /// At its end.
        end: bool,
        /// The part of the bow.
        zone: Zone,
    },
    /// The bow stays in this part from the start of the first to the end of the last ([`Zone::around`]).
    Within {
        /// The notes.
        notes: Range<usize>,
        /// The part of the bow.
        zone: Zone,
    },
    /// Each bow goes from one of two parts to the other, the next one back.
    Between {
        /// The notes of the bows.
        notes: Range<usize>,
        /// The part in which the first bow starts, and that in which it ends.
        zones: [Zone; 2],
    },
    /// The bow is lifted and set anew so often in some bows, the first of them included.
    Lifts {
        /// The notes of the bows.
        notes: Range<usize>,
        /// How often.
        times: usize,
        /// Which way it goes after each lift, where that is one way.
        way: Option<Direction>,
    },
    /// All places of some bows lie from one part to another.
    Spread {
        /// The notes of the bows.
        notes: Range<usize>,
        /// The part nearest to the frog and that nearest to the tip; told once where they are the same.
        zones: [Zone; 2],
    },
    /// A stroke takes this share of the hair.
    Takes {
        /// The first note of the stroke.
        note: usize,
        /// The share.
        share: f64,
        /// At this share of the marked tempo; none for the tempo of the lesson.
        tempo: Option<f64>,
    },
    /// Strokes are bowed as others before them: directions, lengths, and places within [`ALIKE`].
    Alike {
        /// The strokes, as indices.
        strokes: Range<usize>,
        /// The first of those before.
        as_from: usize,
    },
    /// The elbow is higher on the level of a note than on that of the note before, or lower.
    Elbow {
        /// The note.
        into: usize,
        /// Higher.
        rises: bool,
    },
    /// A stroke is longer than the bow at a share of the marked tempo.
    RunsOut {
        /// The first note of the stroke.
        note: usize,
        /// The tempo.
        share: f64,
    },
}

/// Bows are alike whose ends lie no farther apart than this share of the hair. Assumed.
pub const ALIKE: f64 = 0.08;

impl Passage {
    /// Some bars of a study in words; empty where nothing is bowed there. `tempos` are the same lesson slowly and
    /// at its full tempo, where that is to be said too.
    pub fn new(study: &Study, tempos: Option<&Tempos>, bars: Range<usize>) -> Self {
        let story = Story::new(study, tempos, bars.clone());
        let phrases = story.phrases().into_iter().filter_map(|strokes| story.tell(strokes));
        let mut passage = Self { phrases: phrases.collect() };
        passage.once();
        passage.take(&study.lesson().spoken);
        if let Some(span) = study.lesson().score.span_of(&bars) {
            passage.keep(study, &span);
        }
        passage
    }

    /// The sentences, in order.
    pub fn sentences(&self) -> impl Iterator<Item = &Sentence> {
        self.phrases.iter().flat_map(|phrase| &phrase.sentences)
    }

    /// The sentence of a moment, as the phrase and the sentence in it, as indices: of those that are said there
    /// the one that began last.
    pub fn at(&self, quarters: f64) -> Option<(usize, usize)> {
        let near = |at: Quarters| at.to_f64() <= quarters + 1e-6;
        let phrase = self.phrases.partition_point(|phrase| near(phrase.from)).checked_sub(1)?;
        let said = self.phrases[phrase].sentences.iter().enumerate();
        let now = said.filter(|(_, said)| said.is_said() && near(said.from) && !near(said.to));
        now.max_by_key(|(index, said)| (said.from, std::cmp::Reverse(*index)))
            .map(|(index, _)| (phrase, index))
    }

    /// What is the same in every phrase at the slow tempo is said the first time.
    fn once(&mut self) {
        let mut said = std::collections::BTreeSet::new();
        for phrase in &mut self.phrases {
            phrase
                .sentences
                .retain(|sentence| sentence.says != Says::Slow || said.insert(sentence.text.clone()));
        }
    }

    /// Puts the teacher's words in their places.
    fn take(&mut self, spoken: &[Spoken]) {
        for sentence in self.phrases.iter_mut().flat_map(|phrase| &mut phrase.sentences) {
            let id = sentence.says.id();
            let own = spoken.iter().find(|own| own.event == sentence.event && own.id == id);
            sentence.own =
                own.map(|own| Own { words: own.words.clone(), outdated: own.instead_of != sentence.text });
        }
    }

    /// Keeps the teacher's words for which the program has no sentence any more, where they were.
    fn keep(&mut self, study: &Study, span: &Range<Quarters>) {
        let line = &study.analysis().line;
        for own in study.lesson().spoken.iter().filter(|own| !own.words.is_empty()) {
            let Some(note) = line.note_of(own.event).map(|note| &line.notes[note]) else { continue };
            let placed = self.sentences().any(|said| said.event == own.event && said.says.id() == own.id);
            let phrase = self.phrases.partition_point(|phrase| phrase.from <= note.onset);
            let Some(phrase) = phrase.checked_sub(1).and_then(|index| self.phrases.get_mut(index)) else {
                continue;
            };
            if placed || !span.contains(&note.onset) {
                continue;
            }
            let at = phrase.sentences.partition_point(|said| said.from <= note.onset);
            phrase.sentences.insert(
                at,
                Sentence {
                    from: note.onset,
                    to: note.end(),
                    event: own.event,
                    says: Says::Own,
                    claims: Vec::new(),
                    text: own.instead_of.clone(),
                    own: Some(Own { words: own.words.clone(), outdated: true }),
                },
            );
        }
    }
}

impl Phrase {
    /// What is said, as one text.
    pub fn words(&self) -> String {
        let said = self.sentences.iter().filter(|sentence| sentence.is_said());
        said.map(Sentence::words).collect::<Vec<_>>().join(" ")
    }
}

impl Sentence {
    /// What is said: the teacher's words where there are some.
    pub fn words(&self) -> &str {
        self.own.as_ref().map_or(&self.text, |own| &own.words)
    }

    /// The teacher has not left it out.
    pub fn is_said(&self) -> bool {
        !self.words().is_empty()
    }
}

/// A sentence before its place is known.
struct Draft {
    /// Bowed notes of its span.
    notes: Range<usize>,
    says: Says,
    claims: Vec<Claim>,
    text: String,
}

impl Draft {
    fn new(notes: Range<usize>, says: Says, claims: Vec<Claim>, text: &str) -> Self {
        Self { notes, says, claims, text: sentence_case(text) }
    }
}
