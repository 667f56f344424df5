//! Exercises written bar after bar in common time.

use std::collections::BTreeSet;

use crate::{
    arm::usable_mm,
    lesson::Lesson,
    score::{
        Bar, Dynamic, Event, EventId, Note, NoteValue, Quarters, Score, Shared, Sign, SignId, SignKind, Slur,
        SlurId, TimeSignature,
    },
    setup::Setup,
};

/// Tempo, quarter notes a minute. Assumed: slow enough to think; faster only where this player's bow is too short
/// for two quarters.
const SLOWEST_QPM: f64 = 60.0;
/// How loud it is played. Assumed.
const LOUD: Dynamic = Dynamic::Mf;
/// A bow of two quarters takes at most this share of the usable hair. Assumed.
const BOW: f64 = 2.0;
const HAIR_SHARE: f64 = 0.7;
/// Length of a bar.
const BAR: i64 = 4;

/// An exercise on its way.
#[derive(Default)]
pub(super) struct Sheet {
    events: Vec<Event>,
    slurs: Vec<Slur>,
    words: Vec<(Quarters, String)>,
    /// Where double bars stand.
    ends: BTreeSet<Quarters>,
}

impl Sheet {
    /// Nothing is written.
    pub fn is_empty(&self) -> bool {
        self.events.is_empty()
    }

    fn now(&self) -> Quarters {
        self.events.last().map_or(Quarters::ZERO, |event| event.onset + event.duration)
    }

    /// Begins a bar, with words over it.
    pub fn row(&mut self, words: &str) {
        self.fill(Quarters::from(BAR));
        self.say(words);
    }

    /// Ends a part of it with a double bar.
    pub fn end(&mut self) {
        self.fill(Quarters::from(BAR));
        self.ends.insert(self.now());
    }

    /// Words over what comes next.
    pub fn say(&mut self, words: &str) {
        self.words.push((self.now(), words.to_owned()));
    }

    /// A note, or notes together.
    pub fn note(&mut self, value: NoteValue, notes: Vec<Note>) -> EventId {
        let id = EventId(self.events.len() as u32);
        self.events.push(Event::new(id, self.now(), value, notes));
        id
    }

    /// A rest.
    pub fn rest(&mut self, value: NoteValue) {
        self.note(value, Vec::new());
    }

    /// Rests up to the next beat.
    pub fn rest_to_beat(&mut self) {
        self.fill(Quarters::ONE);
    }

    /// Slurs over so many notes each; none over a single one.
    pub fn slurs(&mut self, notes: &[EventId], count: usize) {
        for group in notes.chunks(count.max(1)) {
            if let [from, .., to] = *group {
                let id = SlurId(self.slurs.len() as u32);
                self.slurs.push(Slur { id, from, to, phrase: false });
            }
        }
    }

    /// Rests up to the next multiple of a length, the short ones first.
    fn fill(&mut self, unit: Quarters) {
        for log2 in [-4, -3, -2, -1] {
            let value = NoteValue::plain(log2);
            let longer = NoteValue::plain(log2 + 1).length();
            let is_off = |now: Quarters, length: Quarters| (now / length).denom() != 1;
            if longer <= unit && is_off(self.now(), longer) {
                self.rest(value);
            }
        }
    }

    /// The score, in the key and clef of a bar of a lesson.
    pub fn score(mut self, lesson: &Lesson, bar: usize) -> Score {
        self.fill(Quarters::from(BAR));
        let length = Quarters::from(BAR);
        let count = (self.now() / length).to_f64() as i64;
        let Self { events, slurs, words, ends } = self;
        let old = lesson.score.bars.get(bar);
        let key = old.map_or(0, |bar| bar.key);
        let clef = lesson.score.clef_at(old.map_or(Quarters::ZERO, |bar| bar.start));
        let bars = (1..=count).map(|number| {
            let start = length * Quarters::from(number - 1);
            let double_barline = ends.contains(&(start + length));
            Bar {
                double_barline,
                ..Bar::new(start, length, number.to_string(), TimeSignature::new(4, 4), key)
            }
        });
        let kinds = [
            SignKind::Clef(clef),
            SignKind::Tempo { qpm: qpm(&lesson.setup), text: String::new() },
            SignKind::Dynamic(LOUD),
        ];
        let words = words.into_iter().map(|(at, words)| (at, SignKind::Words(words)));
        let signs = kinds.into_iter().map(|kind| (Quarters::ZERO, kind)).chain(words);
        let mut score = Score {
            title: String::new(),
            part: lesson.score.part.clone(),
            bars: bars.collect(),
            events: events.into_iter().map(Shared::from).collect(),
            slurs: slurs.into(),
            signs: (0..).zip(signs).map(|(id, (at, kind))| Sign { id: SignId(id), at, kind }).collect(),
        };
        score.sort();
        score
    }
}

/// The tempo at which a bow lies well within this player's hair.
fn qpm(setup: &Setup) -> f64 {
    let (from, to) = usable_mm(setup);
    let bow_s = HAIR_SHARE * (to - from) / setup.speed_mm_per_s(LOUD as usize as f64);
    (BOW * 60.0 / bow_s).ceil().max(SLOWEST_QPM)
}
