//! A passage of any length.

use elbowroom::{
    lesson::{Lesson, demo::demo},
    score::{EventId, Quarters, SlurId},
};

/// The demo passage again and again until it has this many notes.
pub fn passage(notes: usize) -> Lesson {
    let seed = demo();
    let length = seed.score.end();
    let mut lesson = seed.clone();
    let ids = seed.score.free_event_id().0;
    let slurs = seed.score.free_slur_id().0;
    let mut turn = 0_u32;
    while lesson.score.events.len() < notes {
        turn += 1;
        let shift = length * Quarters::from(i64::from(turn));
        lesson.score.bars.extend(seed.score.bars.iter().cloned().map(|mut bar| {
            bar.start += shift;
            bar
        }));
        lesson.score.events.extend(seed.score.events.iter().cloned().map(|mut event| {
            event.id = EventId(event.id.0 + turn * ids);
            event.onset += shift;
            event
        }));
        lesson.score.slurs.extend(seed.score.slurs.iter().map(|slur| {
            let mut slur = *slur;
            slur.id = SlurId(slur.id.0 + turn * slurs);
            slur.from = EventId(slur.from.0 + turn * ids);
            slur.to = EventId(slur.to.0 + turn * ids);
            slur
        }));
    }
    lesson
}
