//! Small passages written note by note.

use elbowroom::{
    lesson::Lesson,
    score::{
        Bar, Clef, Event, EventId, Grace, Mark, Note, NoteValue, Pitch, Quarters, Score, Shared, Sign,
        SignId, SignKind, Slur, SlurId, TimeSignature,
    },
    setup::Family,
};

pub const HALF: NoteValue = NoteValue::plain(-1);
pub const QUARTER: NoteValue = NoteValue::QUARTER;
pub const EIGHTH: NoteValue = NoteValue::plain(-3);
pub const SIXTEENTH: NoteValue = NoteValue::plain(-4);
pub const DOTTED_HALF: NoteValue = NoteValue { log2_whole: -1, dots: 1, tuplet: None };
pub const DOTTED_QUARTER: NoteValue = NoteValue { log2_whole: -2, dots: 1, tuplet: None };
pub const TRIPLET_EIGHTH: NoteValue = NoteValue { log2_whole: -3, dots: 0, tuplet: Some((3, 2)) };

/// Notes one after another.
#[derive(Default)]
pub struct Passage {
    events: Vec<Event>,
    slurs: Vec<Slur>,
    signs: Vec<Sign>,
    now: Quarters,
    voice: u8,
}

impl Passage {
    /// A note, a chord of several names, or a rest of none.
    pub fn note(&mut self, names: &str, value: NoteValue) -> &mut Self {
        let notes = names.split_whitespace().map(|name| Note::new(Pitch::from_name(name).expect(name)));
        let mut event = Event::new(EventId(self.events.len() as u32), self.now, value, notes.collect());
        event.voice = self.voice;
        self.events.push(event);
        self.now += value.length();
        self
    }

    /// Several notes of one value.
    pub fn notes(&mut self, names: &str, value: NoteValue) -> &mut Self {
        for name in names.split_whitespace() {
            self.note(name, value);
        }
        self
    }

    /// Grace notes before the next note.
    pub fn grace(&mut self, names: &str, slash: bool) -> &mut Self {
        for (order, name) in (0..).zip(names.split_whitespace()) {
            let at = self.now;
            self.note(name, EIGHTH);
            self.now = at;
            self.last(|event| {
                event.duration = Quarters::ZERO;
                event.grace = Some(Grace { order, slash, after: false });
            });
        }
        self
    }

    /// Changes the last note.
    pub fn last(&mut self, change: impl FnOnce(&mut Event)) -> &mut Self {
        change(self.events.last_mut().expect("a note"));
        self
    }

    /// Marks on the last note.
    pub fn marks(&mut self, marks: &[Mark]) -> &mut Self {
        self.last(|event| event.marks.extend(marks))
    }

    /// Ties the last note to the one before it.
    pub fn tied(&mut self) -> &mut Self {
        let [.., before, last] = &mut self.events[..] else { panic!("two notes") };
        before.notes.iter_mut().for_each(|note| note.tie_start = true);
        last.notes.iter_mut().for_each(|note| note.tie_stop = true);
        self
    }

    /// Slurs the last `count` notes.
    pub fn slur(&mut self, count: usize) -> &mut Self {
        self.arc(count, false)
    }

    /// A phrase mark over the last `count` notes.
    pub fn phrase(&mut self, count: usize) -> &mut Self {
        self.arc(count, true)
    }

    fn arc(&mut self, count: usize, phrase: bool) -> &mut Self {
        let (from, to) = (self.events[self.events.len() - count].id, self.events[self.events.len() - 1].id);
        self.slurs.push(Slur { id: SlurId(self.slurs.len() as u32), from, to, phrase });
        self
    }

    /// A sign where the next note starts.
    pub fn sign(&mut self, kind: SignKind) -> &mut Self {
        let (id, at) = (SignId(self.signs.len() as u32), self.now);
        self.signs.push(Sign { id, at, kind });
        self
    }

    /// A hairpin over the next `quarters`.
    pub fn hairpin(&mut self, opens: bool, quarters: i64, niente: bool) -> &mut Self {
        let end = self.now + Quarters::from(quarters);
        self.sign(SignKind::Hairpin { opens, end, niente })
    }

    /// What follows is another voice, from the start.
    pub fn second_voice(&mut self) -> &mut Self {
        (self.voice, self.now) = (1, Quarters::ZERO);
        self
    }

    /// The lesson: bars of one time and key to the end of the notes.
    pub fn lesson(&self, family: Family, beats: u16, key: i8) -> Lesson {
        let time = TimeSignature::new(beats, 4);
        let length = time.bar_length().expect("a meter");
        let end = self.events.iter().map(Event::end).fold(Quarters::ZERO, Quarters::max);
        let mut bars = Vec::new();
        let mut start = Quarters::ZERO;
        while start < end {
            bars.push(Bar {
                start,
                length,
                number: (bars.len() + 1).to_string(),
                pickup: false,
                time: time.clone(),
                key,
                repeat_start: false,
                repeat_end: false,
                ending: None,
                double_barline: false,
            });
            start += length;
        }
        let mut signs = self.signs.clone();
        let clef = if family == Family::Viola { Clef::ALTO } else { Clef::TREBLE };
        signs.push(Sign { id: SignId(signs.len() as u32), at: Quarters::ZERO, kind: SignKind::Clef(clef) });
        let mut score = Score {
            title: "Lantern Round".to_owned(),
            part: String::new(),
            bars: bars.into(),
            events: self.events.iter().cloned().map(Shared::from).collect(),
            slurs: self.slurs.clone().into(),
            signs: signs.into(),
        };
        score.sort();
        Lesson::new(score, family)
    }
}
