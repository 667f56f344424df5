//! Words that several panels use.

use std::time::SystemTime;

use crate::{analysis::Study, score::EventId};

/// A note with its place: "F♯4, bar 3, beat 2".
pub fn note_words(study: &Study, id: EventId) -> String {
    let (score, line) = (&study.lesson().score, &study.analysis().line);
    let Some(event) = line.event_index(id).map(|index| &score.events[index]) else { return String::new() };
    let names: Vec<String> = event.notes.iter().map(|note| note.pitch.name()).collect();
    let name = if names.is_empty() { "rest".to_owned() } else { names.join(" and ") };
    format!("{name}, {}", score.place_in(event.onset, &line.sections))
}

/// How long ago a moment was: "12 minutes ago".
pub fn ago(at: SystemTime, now: SystemTime) -> String {
    // A clock that was set back gives no length.
    let seconds = now.duration_since(at).unwrap_or_default().as_secs();
    let (count, unit) = match seconds {
        0 => return "just now".to_owned(),
        1..60 => (seconds, "second"),
        60..3600 => (seconds / 60, "minute"),
        3600..86_400 => (seconds / 3600, "hour"),
        _ => (seconds / 86_400, "day"),
    };
    format!("{count} {unit}{} ago", if count == 1 { "" } else { "s" })
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;

    #[test]
    fn ages_are_told_in_the_largest_whole_unit() {
        let start = SystemTime::UNIX_EPOCH + Duration::from_secs(1_000_000_000);
        let told = |seconds| ago(start, start + Duration::from_secs(seconds));
        assert_eq!(
            (told(0), told(1), told(59)),
            ("just now".to_owned(), "1 second ago".to_owned(), "59 seconds ago".to_owned())
        );
        assert_eq!((told(60), told(3599)), ("1 minute ago".to_owned(), "59 minutes ago".to_owned()));
        assert_eq!((told(3600), told(86_400 * 2)), ("1 hour ago".to_owned(), "2 days ago".to_owned()));
        assert_eq!(ago(start + Duration::from_secs(5), start), "just now");
    }
}
