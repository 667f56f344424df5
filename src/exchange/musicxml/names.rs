//! What MusicXML calls things, as the words and numbers of a score.

use super::{
    tree::Node,
    xml::{elements, text},
};

/// Longest text kept from one direction, characters. Assumed.
pub(super) const WORDS_LIMIT: usize = 500;

/// Most marks in one `<dynamics>` element. Assumed: real ones have one or two.
const DYNAMICS_LIMIT: usize = 8;

/// The marks in a `<dynamics>` element: "p", "sfz", or any text.
pub(super) fn dynamic_texts(node: Node<'_, '_>) -> Vec<String> {
    let own = |item: Node<'_, '_>| match item.name() {
        "other-dynamics" => text(item).chars().take(WORDS_LIMIT).collect(),
        name => name.to_owned(),
    };
    elements(node).take(DYNAMICS_LIMIT).map(own).filter(|mark: &String| !mark.is_empty()).collect()
}

/// Note types by their names in MusicXML, with their powers of two in whole notes.
const NOTE_TYPES: [(&str, i8); 14] = [
    ("1024th", -10),
    ("512th", -9),
    ("256th", -8),
    ("128th", -7),
    ("64th", -6),
    ("32nd", -5),
    ("16th", -4),
    ("eighth", -3),
    ("quarter", -2),
    ("half", -1),
    ("whole", 0),
    ("breve", 1),
    ("long", 2),
    ("maxima", 3),
];

/// A note type as a power of two in whole notes.
pub(super) fn log2_whole(name: &str) -> Option<i8> {
    NOTE_TYPES.iter().find(|(known, _)| *known == name).map(|(_, power)| *power)
}

/// The note type of a power of two in whole notes.
pub(super) fn note_type(log2_whole: i8) -> Option<&'static str> {
    NOTE_TYPES.iter().find(|(_, power)| *power == log2_whole).map(|(name, _)| *name)
}

/// Note values in the text of a tempo, by their powers of two in whole notes.
const TEMPO_UNITS: [(&str, i8); 5] = [("♪", -3), ("♩", -2), ("half", -1), ("whole", 0), ("16th", -4)];

/// The note value in the text of a tempo.
pub(super) fn tempo_unit(log2_whole: i8) -> &'static str {
    TEMPO_UNITS.iter().find(|(_, power)| *power == log2_whole).map_or("note", |(name, _)| name)
}

/// The text of a tempo, "♩. = 84", as note type, dots and number.
pub(super) fn metronome(text: &str) -> Option<(&'static str, usize, String)> {
    let (unit, number) = text.split_once('=')?;
    let unit = unit.trim();
    let plain = unit.trim_end_matches('.');
    let (_, power) = TEMPO_UNITS.iter().find(|(name, _)| *name == plain)?;
    let number = number.trim();
    let sensible = number.starts_with(|c: char| c.is_ascii_digit());
    sensible.then(|| Some((note_type(*power)?, unit.len() - plain.len(), number.to_owned())))?
}

/// The accidental for an alteration in half steps.
pub(super) fn accidental(alter: f32) -> Option<&'static str> {
    // Half steps times two are whole for all of them.
    Some(match (alter * 2.0).round() as i32 {
        0 => "natural",
        2 => "sharp",
        -2 => "flat",
        4 => "double-sharp",
        -4 => "flat-flat",
        1 => "quarter-sharp",
        -1 => "quarter-flat",
        3 => "three-quarters-sharp",
        -3 => "three-quarters-flat",
        _ => return None,
    })
}
