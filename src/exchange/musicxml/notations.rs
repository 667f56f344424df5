//! `<notations>`: what stands on a note.

use std::collections::BTreeSet;

use super::{
    error::short,
    marks::mark_of,
    names::dynamic_texts,
    raw::{HarmonicRole, SlurEnd},
    tree::Node,
    walk::Walker,
    xml::{elements, text},
};
use crate::score::{Direction, Mark};

/// Strokes of a tremolo between two notes that does not say how many. Assumed: three are unmeasured.
const UNSAID_STROKES: u8 = 3;

/// What `<notations>` add; the parts for the event are merged over a chord.
#[derive(Default)]
pub(super) struct OnNote {
    pub tied_start: bool,
    pub tied_stop: bool,
    pub string: Option<u8>,
    pub fingers: Vec<String>,
    pub harmonic: bool,
    pub role: Option<HarmonicRole>,
    pub bow: Option<Direction>,
    pub marks: BTreeSet<Mark>,
    pub tremolo: Option<u8>,
    pub tremolo_to_next: Option<u8>,
    pub slurs: Vec<SlurEnd>,
    pub dynamics: Vec<String>,
    /// The line of a trill begins, and ends.
    pub trill_line: (bool, bool),
}

impl Walker<'_> {
    /// Reads `<notations>`.
    pub(super) fn notations(&mut self, node: Node<'_, '_>, on: &mut OnNote) {
        for item in elements(node) {
            if let Some(mark) = mark_of("", item.name()) {
                on.marks.insert(mark);
                continue;
            }
            let kind = item.attribute("type").unwrap_or("");
            match item.name() {
                "tied" => {
                    on.tied_start |= kind == "start";
                    on.tied_stop |= kind == "stop";
                }
                "slur" => {
                    let number = item.attribute("number").and_then(|t| t.trim().parse().ok()).unwrap_or(1);
                    match kind {
                        "start" | "stop" => on.slurs.push(SlurEnd { start: kind == "start", number }),
                        "continue" => {}
                        _ => self.warn(item, "a slur that neither starts nor stops is left out", ""),
                    }
                }
                "articulations" => self.articulations(item, on),
                "technical" => self.technical(item, on),
                "ornaments" => self.ornaments(item, on),
                "dynamics" => on.dynamics.extend(dynamic_texts(item)),
                name @ ("glissando" | "slide") => {
                    // By the standard a glissando is wavy and a slide straight, if they say nothing else.
                    let wavy = match item.attribute("line-type") {
                        Some(line) => line == "wavy",
                        None => name == "glissando",
                    };
                    if kind == "start" {
                        on.marks.insert(if wavy { Mark::Glissando } else { Mark::Slide });
                    }
                }
                "tuplet" | "accidental-mark" | "footnote" | "level" => {}
                other => {
                    let message = format!("the notation <{}> is not read", short(other));
                    self.remark(item, message, "");
                }
            }
        }
    }

    fn articulations(&mut self, node: Node<'_, '_>, on: &mut OnNote) {
        for item in elements(node) {
            let Some(mark) = mark_of("articulations", item.name()) else {
                let message = format!("the articulation <{}> is not read", short(item.name()));
                self.remark(item, message, "");
                continue;
            };
            on.marks.insert(mark);
        }
    }

    fn technical(&mut self, node: Node<'_, '_>, on: &mut OnNote) {
        for item in elements(node) {
            match item.name() {
                name @ ("up-bow" | "down-bow") => {
                    let bow = if name == "up-bow" { Direction::Up } else { Direction::Down };
                    if on.bow.is_some_and(|other| other != bow) {
                        self.warn(item, "both bow directions stand on one note; the first is taken", "");
                    } else {
                        on.bow = Some(bow);
                    }
                }
                "string" => match text(item).parse().ok().filter(|string| (1..=6).contains(string)) {
                    Some(string) => on.string = Some(string),
                    None => self.warn(item, "a string number that is no string is left out", ""),
                },
                "fingering" if !text(item).is_empty() => {
                    on.fingers.push(text(item).chars().take(20).collect());
                }
                "fingering" => {}
                "thumb-position" => on.fingers.push("T".to_owned()),
                "harmonic" => {
                    on.harmonic = true;
                    on.marks.insert(Mark::Harmonic);
                    on.role = elements(item).find_map(|part| match part.name() {
                        "base-pitch" => Some(HarmonicRole::Base),
                        "touching-pitch" => Some(HarmonicRole::Touching),
                        "sounding-pitch" => Some(HarmonicRole::Sounding),
                        _ => None,
                    });
                    if on.role != Some(HarmonicRole::Sounding) {
                        self.remark(item, "a harmonic is read at the pitch it is written at", "");
                    }
                }
                name if mark_of("technical", name).is_some() => on.marks.extend(mark_of("technical", name)),
                other => {
                    let message = format!("the technical mark <{}> is not read", short(other));
                    self.remark(item, message, "");
                }
            }
        }
    }

    fn ornaments(&mut self, node: Node<'_, '_>, on: &mut OnNote) {
        for item in elements(node) {
            let name = item.name();
            if let Some(mark) = mark_of("ornaments", name) {
                on.marks.insert(mark);
            } else if name == "tremolo" {
                self.tremolo(item, on);
            } else if name == "wavy-line" {
                match item.attribute("type") {
                    Some("start") => on.trill_line.0 = true,
                    Some("stop") => on.trill_line.1 = true,
                    _ => {}
                }
            } else if name != "accidental-mark" {
                // That is the accidental over an ornament.
                let message = format!("the ornament <{}> is not read", short(name));
                self.remark(item, message, "");
            }
        }
    }

    fn tremolo(&mut self, node: Node<'_, '_>, on: &mut OnNote) {
        match node.attribute("type").unwrap_or("single") {
            "start" => {
                let strokes = text(node).parse::<u8>().ok().filter(|strokes| (1..=8).contains(strokes));
                on.tremolo_to_next = Some(strokes.unwrap_or(UNSAID_STROKES));
            }
            "stop" => {}
            "unmeasured" => on.tremolo = Some(0),
            _ => match text(node).parse::<u8>() {
                Ok(strokes) if strokes <= 8 => on.tremolo = Some(strokes),
                _ => {
                    self.warn(
                        node,
                        "a tremolo without a proper number of strokes is taken as unmeasured",
                        "",
                    );
                    on.tremolo = Some(0);
                }
            },
        }
    }
}
