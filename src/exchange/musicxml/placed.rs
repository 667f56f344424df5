//! Elements for what is placed in time (MusicXML 4.0, `direction`).

use super::{element::Element, names, places::is_small};
use crate::score::Dynamic;

/// Size of the letters of small signs, points. Assumed: about two thirds of the usual words.
const SMALL_POINTS: u8 = 7;

/// A `<direction>` over or under the staff.
pub(super) fn direction(placement: &str, what: impl IntoIterator<Item = Element>) -> Element {
    let kinds = what.into_iter().map(|what| Element::new("direction-type").holding([what]));
    Element::new("direction").with("placement", placement).holding(kinds)
}

/// Dynamics that have an element of their own (MusicXML 4.0, `dynamics`), beside the levels.
const NAMED: [&str; 11] = ["sf", "sfp", "sfpp", "fp", "rf", "rfz", "sfz", "sffz", "fz", "pf", "sfzp"];

/// The dynamic of a level, or of other letters.
pub(super) fn dynamics(letters: &'static str) -> Element {
    let named = NAMED.contains(&letters) || Dynamic::ALL.iter().any(|level| level.mark() == letters);
    let held = if named { Element::new(letters) } else { Element::new("other-dynamics").saying(letters) };
    Element::new("dynamics").holding([held])
}

/// One end of an octave line: where it begins, with the octaves its notes sound higher than printed, or
/// where it stops, with the octaves too.
pub(super) fn octave_line(starts: bool, octaves: i8) -> Element {
    let kind = match (starts, octaves > 0) {
        (false, _) => "stop",
        (true, true) => "down",
        (true, false) => "up",
    };
    Element::new("octave-shift").with("type", kind).with("size", 7 * octaves.unsigned_abs() + 1)
}

/// A level of the dynamics.
pub(super) fn level(level: Dynamic) -> Element {
    dynamics(level.mark())
}

/// One end of a hairpin: where it opens or closes, or where it stops.
pub(super) fn wedge(opens: Option<bool>, niente: bool, number: usize) -> Element {
    let kind = match opens {
        Some(true) => "crescendo",
        Some(false) => "diminuendo",
        None => "stop",
    };
    let wedge = Element::new("wedge").with("type", kind).with("number", number);
    if niente { wedge.with("niente", "yes") } else { wedge }
}

/// Words; small where they are a sign.
pub(super) fn words(words: &str) -> Element {
    let element = Element::new("words");
    let element = if is_small(words) { element.with("font-size", SMALL_POINTS) } else { element };
    element.saying(words)
}

/// A tempo as it was printed: words, a number for a note value, or both; and for playback. What was not
/// printed is for playback alone.
pub(super) fn tempo(qpm: f64, text: &str) -> Element {
    let (words, number) = match text.rsplit_once('(') {
        Some((words, number)) => (words.trim(), number.trim_end_matches(')')),
        None if text.contains('=') => ("", text),
        None => (text, ""),
    };
    let number = names::metronome(number);
    let words = if number.is_none() { text } else { words };
    let said = (!words.is_empty()).then(|| self::words(words));
    let sound = Element::new("sound").with("tempo", qpm);
    if said.is_none() && number.is_none() {
        return sound;
    }
    let number = number.map(|(unit, dots, per_minute)| {
        Element::new("metronome")
            .holding([Element::new("beat-unit").saying(unit)])
            .holding((0..dots).map(|_| Element::new("beat-unit-dot")))
            .holding([Element::new("per-minute").saying(per_minute)])
    });
    let direction = direction("above", said.into_iter().chain(number));
    direction.holding([sound])
}
