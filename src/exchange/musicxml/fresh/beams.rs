//! Beams: notes shorter than a quarter note are joined within a beat.

use crate::score::{Bar, Event, Quarters};

/// For each event of one voice in one bar the words of its beams, the outermost first (MusicXML 4.0,
/// `beam`).
pub(super) fn beams(bar: &Bar, events: &[&Event]) -> Vec<Vec<&'static str>> {
    let beat = bar.time.beat();
    let own_beat = |event: &Event| -> i64 {
        let at = (event.onset - bar.start) / beat;
        at.numer().div_euclid(at.denom())
    };
    let levels: Vec<usize> = events.iter().map(|event| flags(event)).collect();
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (index, event) in events.iter().enumerate().filter(|(_, event)| event.grace.is_none()) {
        if levels[index] == 0 {
            groups.push(Vec::new());
            continue;
        }
        let joins = groups.last().and_then(|group| group.last()).is_some_and(|&last| {
            own_beat(events[last]) == own_beat(event) && events[last].end() == event.onset
        });
        if joins {
            if let Some(group) = groups.last_mut() {
                group.push(index);
            }
        } else {
            groups.push(vec![index]);
        }
    }
    let mut words = vec![Vec::new(); events.len()];
    for group in groups.iter().filter(|group| group.len() > 1) {
        for (place, &index) in group.iter().enumerate() {
            for level in 1..=levels[index] {
                let has = |other: Option<&usize>| other.is_some_and(|&other| levels[other] >= level);
                let before = has(place.checked_sub(1).and_then(|before| group.get(before)));
                let after = has(group.get(place + 1));
                words[index].push(match (before, after) {
                    (true, true) => "continue",
                    (true, false) => "end",
                    (false, true) => "begin",
                    (false, false) if place + 1 == group.len() => "backward hook",
                    (false, false) => "forward hook",
                });
            }
        }
    }
    words
}

/// How many beams a note has; none for rests and for a quarter note or longer.
fn flags(event: &Event) -> usize {
    if event.is_rest() || event.duration <= Quarters::ZERO {
        return 0;
    }
    // An eighth note has the power -3.
    usize::try_from(-2 - i32::from(event.value.log2_whole)).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::{EventId, Note, NoteValue, Pitch, TimeSignature};

    /// Common practice, no source.
    #[test]
    fn a_dotted_figure_has_a_hook_and_a_beat_is_one_group() {
        let bar = Bar::new(Quarters::ZERO, Quarters::from(2), "1", TimeSignature::new(2, 4), 0);
        let values = [NoteValue::EIGHTH.dotted(), NoteValue::SIXTEENTH, NoteValue::EIGHTH, NoteValue::EIGHTH];
        let mut onset = Quarters::ZERO;
        let events: Vec<Event> = values
            .iter()
            .map(|value| {
                let note = Note::new(Pitch::from_name("D4").unwrap());
                let event = Event::new(EventId(0), onset, *value, vec![note]);
                onset = event.end();
                event
            })
            .collect();
        let told = beams(&bar, &events.iter().collect::<Vec<_>>());
        assert_eq!(told, [vec!["begin"], vec!["end", "backward hook"], vec!["begin"], vec!["end"]]);
    }
}
