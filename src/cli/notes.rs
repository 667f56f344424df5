//! `notes`: what was read.

use std::fmt::Write as _;

use serde_json::json;

use crate::{
    arm::place,
    score::{Attack, Dynamics, attacks},
};

use super::{
    Failure, Source,
    input::{json_text, load, print_report, rounded},
};

pub(super) fn run(source: &Source, as_json: bool, out: &mut String) -> Result<(), Failure> {
    let input = load(source)?;
    let lesson = &input.lesson;
    let score = &lesson.score;
    print_report(&input.report, &[]);
    let events = attacks(score);
    let dynamics = Dynamics::new(score);
    let tempo = score.tempo_map();
    let share = lesson.setup.tempo_share;
    let placements = place(&events, &lesson.setup);
    let sections = score.bar_sections();
    let bar = |event: &Attack| score.bar_name(event.bar, &sections).to_string();
    if as_json {
        let list: Vec<_> = events
            .iter()
            .zip(&placements)
            .map(|(event, placement)| {
                let seconds = tempo.seconds(event.onset) / share;
                json!({
                    "onset": event.onset.to_string(),
                    "duration": event.duration.to_string(),
                    "seconds": rounded(seconds),
                    "duration_seconds": rounded(tempo.seconds(event.end()) / share - seconds),
                    "midi": event.midi().iter().map(|&m| number(m)).collect::<Vec<_>>(),
                    "bar": bar(event),
                    "voice": event.voice,
                    "bow": event.bow.map(crate::score::Direction::word),
                    "slur": event.slur.map(|slur| slur.0),
                    "dynamic": dynamics.mark_at(event.onset).map(crate::score::Dynamic::mark),
                    "grace": event.grace.is_some(),
                    "strings": placement.strings,
                })
            })
            .collect();
        let value = json!({
            "title": score.title,
            "part": score.part,
            "instrument": lesson.setup.instrument.family.word(),
            "bars": score.bars.len(),
            "events": list,
        });
        out.push_str(&json_text(&value));
        return Ok(());
    }
    let _ = writeln!(
        out,
        "{} - {}: {} bars, {} notes",
        title(&score.title),
        score.part,
        score.bars.len(),
        events.len()
    );
    let width = events.iter().map(|event| bar(event).chars().count()).fold(5, usize::max);
    let _ = writeln!(
        out,
        "{:>width$}  {:>8}  {:>8}  {:<5} {:<4} {:<6} notes on strings",
        "bar", "onset", "length", "bow", "slur", "dynamic"
    );
    for (event, placement) in events.iter().zip(&placements) {
        let names: Vec<String> = event
            .notes
            .iter()
            .zip(&placement.strings)
            .map(|(note, &string)| {
                let strings = &lesson.setup.instrument.strings;
                let on = strings.get(usize::from(string).saturating_sub(1)).map_or("?", |s| s.name.as_str());
                format!("{} on {on}", note.pitch.name())
            })
            .collect();
        let _ = writeln!(
            out,
            "{:>width$}  {:>8}  {:>8}  {:<5} {:<4} {:<6} {}",
            bar(event),
            event.onset.to_string(),
            if event.grace.is_some() { "grace".to_owned() } else { event.duration.to_string() },
            event.bow.map_or("", crate::score::Direction::word),
            event.slur.map_or_else(String::new, |slur| slur.0.to_string()),
            dynamics.mark_at(event.onset).map_or("", crate::score::Dynamic::mark),
            names.join(", ")
        );
    }
    Ok(())
}

/// Whole MIDI numbers as whole numbers, quarter tones as they are.
fn number(midi: f64) -> serde_json::Value {
    if midi.fract() == 0.0 { json!(midi as i64) } else { json!(midi) }
}

fn title(title: &str) -> &str {
    if title.is_empty() { "Untitled" } else { title }
}
