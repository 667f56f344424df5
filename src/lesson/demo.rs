//! The built-in demo, of our own invention: a viola passage that shows what the program is for.

use crate::{
    score::{
        Bar, Clef, Direction, Dynamic, Event, EventId, Mark, Note, NoteValue, Pitch, Quarters, Score, Sign,
        SignId, SignKind, Slur, SlurId, TimeSignature,
    },
    setup::Family,
};

use super::{Lesson, Pin, PinId};

/// "Harbour Song": twelve bars for viola with slurs, double stops on two pairs of strings, a
/// crescendo, a sudden piano, a retake, one place fixed on the bow, and one slur in bar 8 for which
/// the bow is too short.
pub fn demo() -> Lesson {
    let mut song = Writer::default();
    song.note("D4", HALF).bow(Direction::Down).note("G4", QUARTER).note("A4", QUARTER).slur(2);
    song.note("B4", HALF).note("A4", QUARTER).note("G4", QUARTER).slur(2);
    song.note("E4", HALF).note("F#4", QUARTER).note("G4", QUARTER).slur(2);
    song.note("A4", WHOLE);
    // A new phrase: the bow is set again.
    song.note("G4", QUARTER).retake().note("A4", QUARTER).note("B4", QUARTER).note("C5", QUARTER);
    song.note("D5", HALF).note("C5", QUARTER).note("B4", QUARTER).slur(2);
    song.note("D4 B4", HALF).accent().bow(Direction::Down).note("D4 A4", HALF);
    // Six beats of forte in one bow.
    song.note("B4", WHOLE).note("A4", HALF).slur(2).rest(QUARTER).note("D4", QUARTER).bow(Direction::Up);
    song.note("G4", HALF).note("B3 G4", QUARTER).note("A3 F#4", QUARTER).slur(2);
    song.note("B3 D4", HALF).note("A3 D4", HALF);
    song.note("G3 D4", WHOLE);

    let bar = |number: i64| Quarters::from(4 * (number - 1));
    let sign = |(index, (at, kind))| Sign { id: SignId(index), at, kind };
    let signs = [
        (bar(1), SignKind::Clef(Clef::ALTO)),
        (bar(1), SignKind::Tempo { qpm: 84.0, text: "Flowing".to_owned() }),
        (bar(1), SignKind::Dynamic(Dynamic::Mf)),
        (bar(5), SignKind::Hairpin { opens: true, end: bar(7), niente: false }),
        (bar(7), SignKind::Dynamic(Dynamic::F)),
        (bar(10), SignKind::Dynamic(Dynamic::P)),
    ];
    let bars = (1..=12).map(|number| Bar {
        start: bar(number),
        length: Quarters::from(4),
        number: number.to_string(),
        pickup: false,
        time: TimeSignature::new(4, 4),
        key: 1,
        repeat_start: false,
        repeat_end: false,
        ending: None,
        double_barline: number == 12,
    });
    // The sudden piano begins in the upper half.
    let piano = song.events.iter().find(|event| event.onset == bar(10)).map(|event| event.id);
    let mut score = Score {
        title: "Harbour Song".to_owned(),
        part: "Viola".to_owned(),
        bars: bars.collect(),
        events: song.events,
        slurs: song.slurs,
        signs: (0..).zip(signs).map(sign).collect(),
    };
    score.sort();
    let mut lesson = Lesson::new(score, Family::Viola);
    lesson.pins =
        piano.map(|event| Pin { id: PinId(0), event, from_share: 0.5, to_share: 0.6 }).into_iter().collect();
    lesson
}

const QUARTER: NoteValue = NoteValue::QUARTER;
const HALF: NoteValue = NoteValue::plain(-1);
const WHOLE: NoteValue = NoteValue::plain(0);

/// Writes notes one after another.
#[derive(Default)]
struct Writer {
    events: Vec<Event>,
    slurs: Vec<Slur>,
    now: Quarters,
}

impl Writer {
    /// A note, or a double stop of two names.
    fn note(&mut self, names: &str, value: NoteValue) -> &mut Self {
        let notes = names.split(' ').filter_map(Pitch::from_name).map(Note::new).collect();
        self.events.push(Event::new(EventId(self.events.len() as u32), self.now, value, notes));
        self.now += value.length();
        self
    }

    fn rest(&mut self, value: NoteValue) -> &mut Self {
        self.note("", value)
    }

    fn bow(&mut self, direction: Direction) -> &mut Self {
        self.last(|event| event.bow = Some(direction))
    }

    fn retake(&mut self) -> &mut Self {
        self.last(|event| event.retake = true)
    }

    fn accent(&mut self) -> &mut Self {
        self.last(|event| {
            event.marks.insert(Mark::Accent);
        })
    }

    /// Slurs the last `count` notes.
    fn slur(&mut self, count: usize) -> &mut Self {
        let (first, last) = (self.events.len().saturating_sub(count), self.events.len().saturating_sub(1));
        self.slurs.push(Slur {
            id: SlurId(self.slurs.len() as u32),
            from: EventId(first as u32),
            to: EventId(last as u32),
            phrase: false,
        });
        self
    }

    fn last(&mut self, change: impl FnOnce(&mut Event)) -> &mut Self {
        if let Some(event) = self.events.last_mut() {
            change(event);
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_bar_is_full() {
        let lesson = demo();
        for bar in &lesson.score.bars {
            let sum: Quarters = lesson
                .score
                .events
                .iter()
                .filter(|event| event.onset >= bar.start && event.onset < bar.end())
                .map(|event| event.duration)
                .sum();
            assert_eq!(sum, bar.length, "bar {}", bar.number);
        }
    }
}
