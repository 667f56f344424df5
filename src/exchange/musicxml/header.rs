//! The head of a score: title, part list, and where the bars of each part are.

use std::collections::HashMap;

use roxmltree::Node;

use super::{
    error::ImportError,
    text::Lines,
    xml::{child, child_text, elements},
};
use crate::{
    exchange::diagnostic::{FilePlace, Reporter},
    setup::Family,
};

/// Most parts and most bars in a part. Assumed.
const PART_LIMIT: usize = 1000;
const BAR_LIMIT: usize = 100_000;

/// What the head tells.
pub(super) struct Contents<'a, 'i> {
    /// Title of the piece; may be empty.
    pub title: String,
    /// Pitches are written as they sound.
    pub concert: bool,
    /// The parts.
    pub parts: Vec<PartSource<'a, 'i>>,
}

/// A part and its bars.
pub(super) struct PartSource<'a, 'i> {
    /// Id in the file.
    pub id: String,
    /// Name, or the id.
    pub name: String,
    /// Instrument if known.
    pub family: Option<Family>,
    /// Listed as percussion.
    pub percussion: bool,
    /// For each bar the element with its attributes and the element with its contents.
    pub bars: Vec<(Node<'a, 'i>, Node<'a, 'i>)>,
}

/// Reads the head and finds the bars.
pub(super) fn contents<'a, 'i>(
    xml: &'a roxmltree::Document<'i>,
    lines: &Lines,
    report: &mut Reporter,
) -> Result<Contents<'a, 'i>, ImportError> {
    let root = xml.root_element();
    let timewise = match root.tag_name().name() {
        "score-partwise" => false,
        "score-timewise" => true,
        "opus" => {
            return Err(ImportError::Unsupported {
                what: "the file is an opus, which only names other files".to_owned(),
                hint: "open one of the scores it names".to_owned(),
            });
        }
        other => {
            return Err(ImportError::Unsupported {
                what: format!("the file is XML but no score: its root is <{other}>"),
                hint: "open a MusicXML file, whose root is <score-partwise>".to_owned(),
            });
        }
    };
    let concert = child(root, "defaults").is_some_and(|defaults| child(defaults, "concert-score").is_some());
    let mut parts = listed_parts(root, timewise, lines, report);
    let limit =
        |what: &str, limit: usize| ImportError::Limit { what: what.to_owned(), limit: limit.to_string() };
    if parts.len() > PART_LIMIT {
        return Err(limit("the number of parts", PART_LIMIT));
    }
    if parts.iter().any(|part| part.bars.len() > BAR_LIMIT) {
        return Err(limit("the number of bars", BAR_LIMIT));
    }
    for part in parts.iter().filter(|part| part.bars.is_empty()) {
        report.note(
            FilePlace::default(),
            format!("the listed part {:?} has no bars and is left out", part.name),
            "",
        );
    }
    parts.retain(|part| !part.bars.is_empty());
    if parts.is_empty() {
        return Err(ImportError::NoMusic);
    }
    Ok(Contents { title: title(root), concert, parts })
}

/// Title of the work, of the movement, or of both.
fn title(root: Node<'_, '_>) -> String {
    let work = child(root, "work").and_then(|work| child_text(work, "work-title")).unwrap_or("");
    let movement = child_text(root, "movement-title").unwrap_or("");
    match (work, movement) {
        ("", title) | (title, "") => title.to_owned(),
        (work, movement) if work == movement => work.to_owned(),
        (work, movement) => format!("{work}, {movement}"),
    }
}

/// The parts of the part list, and those that are missing from it, with their bars.
fn listed_parts<'a, 'i>(
    root: Node<'a, 'i>,
    timewise: bool,
    lines: &Lines,
    report: &mut Reporter,
) -> Vec<PartSource<'a, 'i>> {
    let list = child(root, "part-list").into_iter().flat_map(elements);
    let mut listed: Vec<PartSource<'a, 'i>> =
        list.filter(|node| node.tag_name().name() == "score-part").map(listed_part).collect();
    let mut by_id: HashMap<String, usize> =
        listed.iter().enumerate().map(|(index, part)| (part.id.clone(), index)).collect();
    let mut add =
        |id: &str, node: Node<'a, 'i>, bars: &mut dyn Iterator<Item = (Node<'a, 'i>, Node<'a, 'i>)>| {
            let index = *by_id.entry(id.to_owned()).or_insert_with(|| {
                report.warn(
                    FilePlace { bar: "", line: lines.of(node) },
                    "a part is missing from the part list; it is called by its id",
                    "",
                );
                listed.push(PartSource {
                    id: id.to_owned(),
                    name: if id.is_empty() { "(no name)" } else { id }.to_owned(),
                    family: None,
                    percussion: false,
                    bars: Vec::new(),
                });
                listed.len() - 1
            });
            listed[index].bars.extend(bars);
        };
    let named = |name: &'static str| move |node: &Node<'_, '_>| node.tag_name().name() == name;
    let id_of = |node: Node<'a, 'i>| node.attribute("id").unwrap_or("");
    if timewise {
        for bar in elements(root).filter(named("measure")) {
            for part in elements(bar).filter(named("part")) {
                add(id_of(part), part, &mut std::iter::once((bar, part)));
            }
        }
    } else {
        for part in elements(root).filter(named("part")) {
            add(id_of(part), part, &mut elements(part).filter(named("measure")).map(|bar| (bar, bar)));
        }
    }
    listed
}

fn listed_part<'a, 'i>(node: Node<'a, 'i>) -> PartSource<'a, 'i> {
    let id = node.attribute("id").unwrap_or("").to_owned();
    let abbreviation = child_text(node, "part-abbreviation").unwrap_or("");
    let name = child_text(node, "part-name").filter(|name| !name.is_empty()).unwrap_or(abbreviation);
    let name: String = if name.is_empty() { &id } else { name }.chars().take(200).collect();
    let inside = |outer: &'static str, inner: &'static str| {
        elements(node)
            .filter(move |node| node.tag_name().name() == outer)
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
    PartSource { id, name, family, percussion, bars: Vec::new() }
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
