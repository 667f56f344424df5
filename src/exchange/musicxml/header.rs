//! The part list: name and instrument of every part.

use super::{
    tree::Node,
    xml::{child_text, elements},
};
use crate::setup::Family;

/// What the part list tells of a part.
pub(super) struct PartSource {
    /// Id in the file.
    pub id: String,
    /// Name, or the id.
    pub name: String,
    /// Instrument if known.
    pub family: Option<Family>,
    /// Listed as percussion.
    pub percussion: bool,
}

/// Reads a `<score-part>`.
pub(super) fn listed_part(node: Node<'_, '_>) -> PartSource {
    let id = node.attribute("id").unwrap_or("").to_owned();
    let abbreviation = child_text(node, "part-abbreviation").unwrap_or("");
    let name = child_text(node, "part-name").filter(|name| !name.is_empty()).unwrap_or(abbreviation);
    let name: String = if name.is_empty() { &id } else { name }.chars().take(200).collect();
    let inside = |outer: &'static str, inner: &'static str| {
        elements(node)
            .filter(move |node| node.name() == outer)
            .filter_map(move |node| child_text(node, inner))
    };
    let sounds: Vec<&str> = inside("score-instrument", "instrument-sound").collect();
    let family = sounds
        .iter()
        .find_map(|sound| family_of_sound(sound))
        .or_else(|| family_of_name(&name))
        .or_else(|| inside("midi-instrument", "midi-program").find_map(family_of_program));
    let percussion = family.is_none()
        && (sounds.iter().any(|sound| sound.starts_with("drum.") || sound.starts_with("metal."))
            || inside("midi-instrument", "midi-channel").any(|channel| channel == "10"));
    PartSource { id, name, family, percussion }
}

/// From the standard sounds of MusicXML (sounds.xsd).
fn family_of_sound(sound: &str) -> Option<Family> {
    match sound.strip_prefix("strings.")? {
        "violin" => Some(Family::Violin),
        "viola" => Some(Family::Viola),
        "cello" => Some(Family::Cello),
        "contrabass" => Some(Family::DoubleBass),
        _ => None,
    }
}

/// From the program numbers of General MIDI level 1, counted from 1.
fn family_of_program(program: &str) -> Option<Family> {
    match program {
        "41" => Some(Family::Violin),
        "42" => Some(Family::Viola),
        "43" => Some(Family::Cello),
        "44" => Some(Family::DoubleBass),
        _ => None,
    }
}

/// From the instrument's name in English, German, French, Italian or Spanish (common practice,
/// no source).
fn family_of_name(name: &str) -> Option<Family> {
    let name = name.to_lowercase();
    // Longer names first: a violoncello is no violin, a viola da gamba no viola.
    let names: [(&str, Option<Family>); 17] = [
        ("gamba", None),
        ("d'amore", None),
        ("violoncel", Some(Family::Cello)),
        ("violonchelo", Some(Family::Cello)),
        ("cello", Some(Family::Cello)),
        ("contrabass", Some(Family::DoubleBass)),
        ("kontrabass", Some(Family::DoubleBass)),
        ("contrebasse", Some(Family::DoubleBass)),
        ("contrabajo", Some(Family::DoubleBass)),
        ("double bass", Some(Family::DoubleBass)),
        ("string bass", Some(Family::DoubleBass)),
        ("viola", Some(Family::Viola)),
        ("bratsche", Some(Family::Viola)),
        ("violi", Some(Family::Violin)),
        ("violon", Some(Family::Violin)),
        ("geige", Some(Family::Violin)),
        ("fiddle", Some(Family::Violin)),
    ];
    names.into_iter().find(|(piece, _)| name.contains(piece)).and_then(|(_, family)| family)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_tell_the_instrument() {
        for (name, family) in [
            ("Violin\nI", Some(Family::Violin)),
            ("Violino II", Some(Family::Violin)),
            ("VIOLA", Some(Family::Viola)),
            ("Violoncello", Some(Family::Cello)),
            ("Kontrabass", Some(Family::DoubleBass)),
            ("Viola da gamba", None),
            ("Flute", None),
        ] {
            assert_eq!(family_of_name(name), family, "{name}");
        }
    }
}
