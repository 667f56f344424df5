//! Elements for what is placed in time (MusicXML 4.0, `direction`).

use super::element::Element;
use crate::score::Dynamic;

/// A `<direction>` over or under the staff.
pub(super) fn direction(placement: &str, what: impl IntoIterator<Item = Element>) -> Element {
    let kinds = what.into_iter().map(|what| Element::new("direction-type").holding([what]));
    Element::new("direction").with("placement", placement).holding(kinds)
}

/// The dynamic of a level, or of some other letters of the standard's list.
pub(super) fn dynamics(letters: &'static str) -> Element {
    Element::new("dynamics").holding([Element::new(letters)])
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

/// Words.
pub(super) fn words(words: &str) -> Element {
    Element::new("words").saying(words)
}
