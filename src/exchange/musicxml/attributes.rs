//! `<attributes>`: divisions, key, time signature, clef, transposition.

use super::{
    error::short,
    raw::{Placed, PlacedKind, RawBar},
    tree::Node,
    walk::Walker,
    xml::{child, child_text, decimal, elements, text},
};
use crate::score::{Clef, ClefSign, FINEST_BEAT, TimeSign, TimeSignature};

impl Walker<'_> {
    /// Reads `<attributes>`.
    pub(super) fn attributes(&mut self, node: Node<'_, '_>) {
        // The transposition stands last, but key and clef depend on it.
        for item in elements(node).filter(|item| item.name() == "transpose") {
            self.read_transposition(item);
        }
        for item in elements(node) {
            match item.name() {
                "divisions" => match decimal(text(item)).filter(|ticks| ticks.is_positive()) {
                    Some(ticks) => self.divisions = Some(ticks),
                    None => self.warn(item, "the divisions are not a positive number; they are left out", ""),
                },
                "key" if main_staff(item) => self.read_key(item),
                "time" if main_staff(item) => self.read_time(item),
                "key" | "time" => {}
                "staves" => {
                    self.part.staves = self.part.staves.max(text(item).parse().unwrap_or(1));
                }
                "clef" => self.read_clef(item),
                // Where they stand for the music they would be planned in its place.
                "staff-details" if is_beside(item) => {
                    self.part.beside.insert(staff_number(item));
                }
                "staff-details" if child(item, "staff-tuning").is_some() => self.warn(
                    item,
                    "the strings are tuned in a way of their own (scordatura); ordinary tuning is taken",
                    "set the strings in the set-up",
                ),
                "measure-style" => {
                    for style in elements(item) {
                        if let name @ ("measure-repeat" | "beat-repeat" | "slash") = style.name() {
                            let message =
                                format!("<{name}> is not unfolded; the notes that are there are read");
                            self.remark(style, message, "");
                        }
                    }
                }
                "staff-details" | "part-symbol" | "instruments" | "for-part" | "directive" | "footnote"
                | "level" | "transpose" => {}
                other => {
                    let message = format!("<{}> in the attributes is not known and not read", short(other));
                    self.remark(item, message, "");
                }
            }
        }
    }

    fn read_transposition(&mut self, node: Node<'_, '_>) {
        let number = |name| child_text(node, name).and_then(|t| t.parse::<f64>().ok()).unwrap_or(0.0);
        // `as` saturates; an absurd shift is held at ten octaves.
        let shift = (number("chromatic").round() + 12.0 * number("octave-change").round()) as i32;
        let staff = node.attribute("number").and_then(|t| t.trim().parse().ok()).unwrap_or(0);
        self.transpose.insert(staff, shift.clamp(-120, 120));
        if child(node, "double").is_some() {
            self.remark(node, "a part doubled in the octave is read without its double", "");
        }
    }

    fn read_key(&mut self, node: Node<'_, '_>) {
        let fifths = child_text(node, "fifths").and_then(|t| t.parse::<i32>().ok());
        match fifths.filter(|fifths| (-14..=14).contains(fifths)) {
            Some(fifths) => {
                // Each half step up is seven fifths up, or five down; the side with fewer signs.
                let shift = (7 * self.transposition(1)).rem_euclid(12);
                let (up, down) = (fifths + shift, fifths + shift - 12);
                let sounding = if shift != 0 && down.abs() < up.abs() { down } else { up };
                self.key = sounding.clamp(-14, 14) as i8;
            }
            None => {
                self.remark(node, "a key signature that is not in fifths is read as none", "");
                self.key = 0;
            }
        }
        let key = self.key;
        self.at_bar_start(|bar| bar.key = key);
    }

    fn read_time(&mut self, node: Node<'_, '_>) {
        let mut pairs: Vec<(String, u16)> = Vec::new();
        let mut beats = String::new();
        let mut bad = false;
        for item in elements(node) {
            match item.name() {
                "beats" => beats = text(item).replace(' ', ""),
                "beat-type" => match text(item).parse::<u16>() {
                    Ok(unit) if (1..=FINEST_BEAT).contains(&unit) => {
                        pairs.push((std::mem::take(&mut beats), unit))
                    }
                    _ => bad = true,
                },
                "senza-misura" => {
                    self.time = TimeSignature::free();
                    let time = self.time.clone();
                    self.at_bar_start(|bar| bar.time = time);
                    return;
                }
                "interchangeable" => self.remark(item, "the second of two time signatures is not read", ""),
                _ => {}
            }
        }
        // Several pairs add up; they are told in the finest of their units.
        let unit = pairs.iter().map(|(_, unit)| *unit).max().unwrap_or(4);
        let mut numbers: Vec<u32> = Vec::new();
        for (beats, own) in &pairs {
            for beat in beats.split('+') {
                match beat.parse::<u32>() {
                    Ok(beat) if (1..=1000).contains(&beat) && unit % own == 0 => {
                        numbers.push(beat * u32::from(unit / own));
                    }
                    _ => bad = true,
                }
            }
        }
        if bad || numbers.is_empty() || numbers.iter().sum::<u32>() > 4000 {
            self.warn(node, "a time signature cannot be understood; the one before it stays", "");
            return;
        }
        let beats: Vec<String> = numbers.iter().map(ToString::to_string).collect();
        let sign = match node.attribute("symbol") {
            Some("common") => TimeSign::Common,
            Some("cut") => TimeSign::Cut,
            _ => TimeSign::Numbers,
        };
        self.time = TimeSignature { beats: beats.join("+"), beat_type: unit, sign };
        let time = self.time.clone();
        self.at_bar_start(|bar| bar.time = time);
    }

    /// Applies a change to the bar at hand, unless notes stand in it already.
    fn at_bar_start(&mut self, change: impl FnOnce(&mut RawBar)) {
        if self.cursor.is_zero()
            && let Some(bar) = self.part.bars.last_mut()
        {
            change(bar);
        }
    }

    fn read_clef(&mut self, node: Node<'_, '_>) {
        let (sign, line) = match child_text(node, "sign").unwrap_or("") {
            "G" => (ClefSign::G, 2),
            "C" => (ClefSign::C, 3),
            "F" => (ClefSign::F, 4),
            other => {
                let message = format!("the clef {:?} is not read", short(other));
                self.remark(node, message, "");
                return;
            }
        };
        let line = child_text(node, "line")
            .and_then(|t| t.parse().ok())
            .filter(|l| (1..=5).contains(l))
            .unwrap_or(line);
        let staff = node.attribute("number").and_then(|t| t.trim().parse().ok()).unwrap_or(1);
        let octave = child_text(node, "clef-octave-change").and_then(|t| t.parse::<i32>().ok()).unwrap_or(0);
        // Pitches are kept as they sound, so the clef moves along with a transposition by octaves.
        let octave = (octave.clamp(-9, 9) + self.transposition(staff) / 12) as i8;
        let placed = Placed {
            origin: node.at(),
            spot: self.spot(),
            staff: Some(staff),
            voice: None,
            line: self.line(node),
            kind: PlacedKind::Clef(Clef { sign, line, octave }),
        };
        self.part.placed.push(placed);
    }
}

/// A staff that is no part of the music that is played: an ossia over it, cues, what an editor says
/// (MusicXML 4.0, `staff-type`).
fn is_beside(details: Node<'_, '_>) -> bool {
    matches!(child_text(details, "staff-type"), Some("ossia" | "cue" | "editorial" | "alternate"))
}

fn staff_number(node: Node<'_, '_>) -> u8 {
    node.attribute("number").and_then(|text| text.trim().parse().ok()).unwrap_or(1)
}

fn main_staff(node: Node<'_, '_>) -> bool {
    node.attribute("number").is_none_or(|number| number.trim() == "1")
}
