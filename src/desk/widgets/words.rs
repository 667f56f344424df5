//! Words that several panels use.

use crate::{lesson::Lesson, score::EventId};

/// A note with its place: "F♯4, bar 3, beat 2".
pub fn note_words(lesson: &Lesson, id: EventId) -> String {
    let Some(event) = lesson.score.event(id) else { return String::new() };
    let names: Vec<String> = event.notes.iter().map(|note| note.pitch.name()).collect();
    let name = if names.is_empty() { "rest".to_owned() } else { names.join(" and ") };
    format!("{name}, {}", lesson.score.place(event.onset))
}
