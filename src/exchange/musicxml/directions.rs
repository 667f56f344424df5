//! `<direction>` and `<sound>`: what is placed in time.

use super::{
    error::short,
    names::{WORDS_LIMIT, dynamic_texts, log2_whole, tempo_unit},
    raw::{Placed, PlacedKind, RawTempo, Spot},
    tree::Node,
    walk::Walker,
    xml::{child, child_text, decimal, elements, text},
};
use crate::score::{NoteValue, OCTAVES, Quarters, TEMPOS, asks_the_bow, plucked, swells};

/// What is said of a tempo outside [`TEMPOS`].
const OUT_OF_RANGE: &str = "a tempo that is not between 1 and 1000 quarter notes a minute is left out";

/// A tempo that a score may have, in quarter notes a minute.
fn in_range(qpm: f64) -> Option<f64> {
    TEMPOS.contains(&qpm).then_some(qpm)
}

/// What one direction says.
#[derive(Default)]
struct Said {
    words: Vec<String>,
    kinds: Vec<PlacedKind>,
    /// Quarter notes per minute and text of a metronome mark.
    printed: Option<(f64, String)>,
}

/// Words without brackets in which nothing is left: the number that stood between them is an element of its own,
/// or the note was a letter of a music font (U+E000 to U+F8FF, for private use).
fn without_empty_brackets(words: &str) -> String {
    let mut left = String::new();
    let mut rest = words;
    while let Some((before, (inside, after))) =
        rest.split_once('(').and_then(|(before, after)| Some((before, after.split_once(')')?)))
    {
        left += before;
        if !inside.chars().all(|sign| sign.is_whitespace() || ('\u{e000}'..='\u{f8ff}').contains(&sign)) {
            left += &format!("({inside})");
        }
        rest = after;
    }
    left += rest;
    left.split_whitespace().collect::<Vec<_>>().join(" ")
}

impl Walker<'_> {
    /// Reads a `<direction>`.
    pub(super) fn direction(&mut self, node: Node<'_, '_>) {
        let mut spot = self.spot();
        if let Some(offset) = child(node, "offset") {
            match self.ticks(offset, text(offset)) {
                Some(shift) => spot.offset = shift,
                None => self.warn(offset, "an offset that is no number is left out", ""),
            }
            spot.exact = offset.attribute("sound") == Some("yes");
        }
        let staff = child_text(node, "staff").and_then(|t| t.parse().ok());
        let voice = child_text(node, "voice").map(ToOwned::to_owned).map(|name| self.voice(&name));
        let mut said = Said::default();
        for item in elements(node).filter(|n| n.name() == "direction-type").flat_map(elements) {
            self.direction_type(item, &mut said);
        }
        let Said { words, mut kinds, printed } = said;
        let words = words.join(" ");
        let sound = child(node, "sound");
        let (played, pizzicato) = sound.map_or((None, None), |sound| self.sound(sound));
        self.said_jumps(&words, sound);
        if let Some(plucked) = plucked(&words).or(pizzicato) {
            kinds.push(PlacedKind::Pizzicato(plucked));
        }
        let (line, origin) = (self.line(node), node.at());
        let tempo = printed.is_some() || played.is_some();
        for kind in &mut kinds {
            if let PlacedKind::DashesStart { words: own, .. } = kind {
                own.clone_from(&words);
            }
        }
        // Many files put a tempo for playback beside any words; those for the bow are this part's own.
        let names_tempo = tempo && (printed.is_some() || !asks_the_bow(&words) && swells(&words).is_none());
        let (words, tempo_words) = if names_tempo {
            (String::new(), without_empty_brackets(&words))
        } else {
            (words, String::new())
        };
        if !words.is_empty() {
            kinds.push(PlacedKind::Words(words));
        }
        let placed = |kind| Placed { spot, staff, voice, line, origin, kind };
        self.part.placed.extend(kinds.into_iter().map(placed));
        if tempo {
            self.part.tempos.push(RawTempo { spot, printed, played, words: tempo_words, line, origin });
        }
    }

    /// Reads what stands in a `<direction-type>`.
    fn direction_type(&mut self, item: Node<'_, '_>, said: &mut Said) {
        let kinds = &mut said.kinds;
        let number = item.attribute("number").and_then(|t| t.trim().parse().ok()).unwrap_or(1);
        let niente = item.attribute("niente") == Some("yes");
        match item.name() {
            "words" | "symbol" => {
                let text: String = text(item).chars().take(WORDS_LIMIT).collect();
                if item.name() == "words" && !text.is_empty() {
                    said.words.push(text);
                }
            }
            "dynamics" => kinds.extend(dynamic_texts(item).into_iter().map(PlacedKind::Dynamic)),
            "wedge" => match item.attribute("type").unwrap_or("") {
                "crescendo" => kinds.push(PlacedKind::WedgeStart { opens: true, number, niente }),
                "diminuendo" => kinds.push(PlacedKind::WedgeStart { opens: false, number, niente }),
                "stop" => kinds.push(PlacedKind::WedgeStop { number, niente }),
                "continue" => {}
                _ => self.warn(item, "a hairpin that neither starts nor stops is left out", ""),
            },
            "dashes" => match item.attribute("type").unwrap_or("") {
                "start" => kinds.push(PlacedKind::DashesStart { number, words: String::new() }),
                "stop" => kinds.push(PlacedKind::DashesStop { number }),
                _ => {}
            },
            "octave-shift" => {
                // The notes are given as they sound: "down" says that they are printed lower.
                let size: i8 = item.attribute("size").and_then(|t| t.trim().parse().ok()).unwrap_or(8);
                let octaves = (size - 1) / 7;
                match item.attribute("type").unwrap_or("") {
                    "down" if OCTAVES.contains(&octaves) => {
                        kinds.push(PlacedKind::OctaveLine { octaves: Some(octaves), number });
                    }
                    "up" if OCTAVES.contains(&octaves) => {
                        kinds.push(PlacedKind::OctaveLine { octaves: Some(-octaves), number });
                    }
                    "stop" => kinds.push(PlacedKind::OctaveLine { octaves: None, number }),
                    "continue" => {}
                    _ => self.warn(item, "an octave line that neither starts nor stops is left out", ""),
                }
            }
            "rehearsal" if !text(item).is_empty() => {
                kinds.push(PlacedKind::Rehearsal(text(item).chars().take(WORDS_LIMIT).collect()));
            }
            "metronome" => said.printed = self.metronome(item).or(said.printed.take()),
            name @ ("segno" | "coda") => self.sign_here(name),
            "scordatura" => self.warn(
                item,
                "the strings are tuned in a way of their own (scordatura); ordinary tuning is taken",
                "set the strings in the set-up",
            ),
            "rehearsal" | "bracket" | "pedal" | "image" | "staff-divide" => {}
            other => {
                let message = format!("the direction <{}> is not read", short(other));
                self.remark(item, message, "");
            }
        }
    }

    /// Reads a `<sound>` that stands in the bar by itself.
    pub(super) fn lone_sound(&mut self, node: Node<'_, '_>) {
        let mut spot: Spot = self.spot();
        if let Some(offset) = child_text(node, "offset") {
            spot.offset = self.ticks(node, offset).unwrap_or(Quarters::ZERO);
            spot.exact = true;
        }
        let line = self.line(node);
        let (played, pizzicato) = self.sound(node);
        self.said_jumps("", Some(node));
        if let Some(plucked) = pizzicato {
            let kind = PlacedKind::Pizzicato(plucked);
            let placed = Placed { spot, staff: None, voice: None, line, origin: node.at(), kind };
            self.part.placed.push(placed);
        }
        if played.is_some() {
            self.part.tempos.push(RawTempo {
                spot,
                printed: None,
                played,
                words: String::new(),
                line,
                origin: node.at(),
            });
        }
    }

    /// Tempo and plucking of a `<sound>`.
    fn sound(&mut self, node: Node<'_, '_>) -> (Option<f64>, Option<bool>) {
        let pizzicato = match node.attribute("pizzicato") {
            Some("yes") => Some(true),
            Some("no") => Some(false),
            _ => None,
        };
        let tempo = node.attribute("tempo").and_then(|text| {
            let qpm = text.trim().parse::<f64>().ok().and_then(in_range);
            if qpm.is_none() {
                self.warn(node, OUT_OF_RANGE, "");
            }
            qpm
        });
        (tempo, pizzicato)
    }

    /// Quarter notes per minute and text of a metronome mark; nothing where it gives no number.
    fn metronome(&mut self, node: Node<'_, '_>) -> Option<(f64, String)> {
        let mut unit: Option<NoteValue> = None;
        let mut units = 0;
        let mut per_minute = None;
        for item in elements(node) {
            match item.name() {
                "beat-unit" => {
                    units += 1;
                    if units == 1 {
                        unit = log2_whole(text(item)).map(NoteValue::plain);
                    }
                }
                "beat-unit-dot" if units == 1 => {
                    if let Some(value) = &mut unit {
                        value.dots = value.dots.saturating_add(1);
                    }
                }
                "per-minute" => per_minute = Some(text(item)),
                _ => {}
            }
        }
        let (Some(unit), Some(beats), 1) = (unit, per_minute.and_then(|text| self.beats(node, text)), units)
        else {
            self.remark(node, "a metronome mark without a number sets no tempo", "");
            return None;
        };
        let Some(qpm) = in_range(beats * unit.length().to_f64()) else {
            self.warn(node, OUT_OF_RANGE, "");
            return None;
        };
        let name = tempo_unit(unit.log2_whole);
        let dots = ".".repeat(usize::from(unit.dots.min(3)));
        Some((qpm, format!("{name}{dots} = {}", short(per_minute.unwrap_or("")))))
    }

    /// The number in "88", "c. 88", "60-66": of two the middle.
    fn beats(&mut self, node: Node<'_, '_>, text: &str) -> Option<f64> {
        let numbers: Vec<f64> = text
            .split(|c: char| !c.is_ascii_digit() && c != '.')
            .map(|piece| piece.trim_matches('.'))
            .filter_map(|piece| decimal(piece).map(Quarters::to_f64))
            .filter(|number| *number > 0.0)
            .collect();
        if numbers.len() == 2 {
            self.remark(node, "of a range of tempi the middle is taken", "");
        }
        match numbers[..] {
            [only] => Some(only),
            [low, high] => Some((low + high) / 2.0),
            _ => None,
        }
    }
}
