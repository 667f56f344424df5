//! `<notations>`: what stands on a note.

use std::collections::BTreeSet;

use super::{
    names::dynamic_texts,
    raw::{HarmonicRole, SlurEnd},
    tree::Node,
    walk::Walker,
    xml::{elements, short, text},
};
use crate::score::{Direction, Mark};

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
    pub slurs: Vec<SlurEnd>,
    pub dynamics: Vec<String>,
}

impl Walker<'_> {
    /// Reads `<notations>`.
    pub(super) fn notations(&mut self, node: Node<'_, '_>, on: &mut OnNote) {
        for item in elements(node) {
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
                "fermata" => {
                    on.marks.insert(Mark::Fermata);
                }
                "arpeggiate" => {
                    on.marks.insert(Mark::Arpeggiate);
                }
                "non-arpeggiate" => {
                    on.marks.insert(Mark::NonArpeggiate);
                }
                "glissando" | "slide" => self.remark(
                    item,
                    "a glissando is read as its two notes, without the slide",
                    "slur them if one bow takes both",
                ),
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
            let mark = match item.name() {
                "staccato" => Mark::Staccato,
                "staccatissimo" => Mark::Staccatissimo,
                "spiccato" => Mark::Spiccato,
                "tenuto" => Mark::Tenuto,
                "detached-legato" => Mark::DetachedLegato,
                "accent" => Mark::Accent,
                "strong-accent" => Mark::StrongAccent,
                "soft-accent" => Mark::SoftAccent,
                "stress" => Mark::Stress,
                "unstress" => Mark::Unstress,
                "breath-mark" => Mark::BreathMark,
                "caesura" => Mark::Caesura,
                other => {
                    let message = format!("the articulation <{}> is not read", short(other));
                    self.remark(item, message, "");
                    continue;
                }
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
                "open-string" => {
                    on.marks.insert(Mark::OpenString);
                }
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
                "snap-pizzicato" => {
                    on.marks.insert(Mark::SnapPizzicato);
                }
                "stopped" => {
                    on.marks.insert(Mark::LeftHandPizzicato);
                }
                other => {
                    let message = format!("the technical mark <{}> is not read", short(other));
                    self.remark(item, message, "");
                }
            }
        }
    }

    fn ornaments(&mut self, node: Node<'_, '_>, on: &mut OnNote) {
        for item in elements(node) {
            let mark = match item.name() {
                "trill-mark" | "shake" => Mark::Trill,
                "mordent" | "inverted-mordent" => Mark::Mordent,
                "turn"
                | "delayed-turn"
                | "inverted-turn"
                | "delayed-inverted-turn"
                | "vertical-turn"
                | "inverted-vertical-turn" => Mark::Turn,
                "tremolo" => {
                    self.tremolo(item, on);
                    continue;
                }
                // The line after a trill, and the accidental over an ornament.
                "wavy-line" | "accidental-mark" => continue,
                other => {
                    let message = format!("the ornament <{}> is not read", short(other));
                    self.remark(item, message, "");
                    continue;
                }
            };
            on.marks.insert(mark);
        }
    }

    fn tremolo(&mut self, node: Node<'_, '_>, on: &mut OnNote) {
        match node.attribute("type").unwrap_or("single") {
            "start" | "stop" => self.remark(
                node,
                "a tremolo between two notes is read as two long notes",
                "slur them if one bow takes both",
            ),
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
