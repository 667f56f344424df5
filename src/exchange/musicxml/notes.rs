//! `<note>`: pitch, value, and all that stands on it.

use std::collections::BTreeSet;

use roxmltree::Node;

use super::{
    header::{child_text, elements, text},
    raw::{HarmonicRole, Head, RawEvent, SlurEnd},
    walk::{Walker, short},
};
use crate::score::{Direction, Letter, Mark, Note, NoteValue, Pitch, Quarters};

/// What a `<note>` says, before it becomes an event or joins one.
struct Draft {
    chord: bool,
    grace: Option<bool>,
    cue: bool,
    rest: bool,
    whole_bar: bool,
    pitch: Option<Pitch>,
    ticks: Option<String>,
    log2_whole: Option<i8>,
    dots: u8,
    tuplet: Option<(u16, u16)>,
    voice: usize,
    staff: u8,
    tie_start: bool,
    tie_stop: bool,
    accidental_shown: bool,
    on: OnNote,
}

/// What `<notations>` add; the parts for the event are merged over a chord.
#[derive(Default)]
struct OnNote {
    tied_start: bool,
    tied_stop: bool,
    string: Option<u8>,
    fingers: Vec<String>,
    harmonic: bool,
    role: Option<HarmonicRole>,
    bow: Option<Direction>,
    marks: BTreeSet<Mark>,
    tremolo: Option<u8>,
    slurs: Vec<SlurEnd>,
    dynamics: Vec<String>,
}

impl Walker<'_> {
    /// Reads a `<note>` and moves the cursor.
    pub(super) fn note(&mut self, node: Node<'_, '_>) {
        let draft = self.draft(node);
        // A hidden note of the first voice still takes its time. Another voice hides the notes of a
        // trill or a tremolo written out for playback; they are not the player's.
        if node.attribute("print-object") == Some("no")
            && !draft.rest
            && (draft.voice > 0 || draft.grace.is_some())
        {
            self.remark(node, "a note hidden in the print is left out", "");
            if !draft.chord {
                self.chord_base = None;
                let length = self.length(node, &draft);
                self.cursor += length;
            }
            return;
        }
        if draft.chord {
            match self.chord_base {
                Some(base) if !draft.rest => return self.join_chord(node, base, draft),
                _ => self.warn(node, "a chord note has no note to join; it is read as a note of its own", ""),
            }
        }
        let length = self.length(node, &draft);
        let value = match draft.log2_whole {
            Some(log2_whole) => NoteValue { log2_whole, dots: draft.dots, tuplet: draft.tuplet },
            None if draft.whole_bar => NoteValue::plain(0),
            None if draft.grace.is_some() => NoteValue::plain(-3),
            None => nearest_value(length, draft.tuplet),
        };
        let spot = self.spot();
        let rest = draft.rest;
        let on = &draft.on;
        if rest && on.bow.is_some() {
            self.warn(node, "a bow mark on a rest is left out", "");
        }
        let event = RawEvent {
            bar: spot.bar,
            at: spot.at,
            duration: length,
            value,
            voice: draft.voice,
            staff: draft.staff,
            heads: Vec::new(),
            grace: draft.grace,
            grace_after: false,
            bow: on.bow.filter(|_| !rest),
            marks: on.marks.clone(),
            tremolo: on.tremolo,
            cue: draft.cue,
            whole_bar: draft.whole_bar,
            pizzicato: node.attribute("pizzicato") == Some("yes"),
            slurs: on.slurs.clone(),
            dynamics: on.dynamics.clone(),
            line: self.line(node),
        };
        let index = self.part.events.len();
        self.part.events.push(event);
        if rest {
            self.chord_base = None;
        } else {
            let head = self.head(node, draft);
            self.part.events[index].heads.push(head);
            self.chord_base = Some(index);
        }
        self.cursor += length;
    }

    fn join_chord(&mut self, node: Node<'_, '_>, base: usize, draft: Draft) {
        // Grace notes have no duration to compare.
        if draft.grace.is_none() {
            let length = self.length(node, &draft);
            if length < self.part.events[base].duration {
                self.remark(node, "a chord note shorter than its chord is held as long as the chord", "");
            }
        }
        let on = &draft.on;
        let event = &mut self.part.events[base];
        let clash = matches!((event.bow, on.bow), (Some(a), Some(b)) if a != b);
        event.bow = event.bow.or(on.bow);
        event.marks.extend(on.marks.iter().copied());
        event.tremolo = event.tremolo.or(on.tremolo);
        event.pizzicato |= node.attribute("pizzicato") == Some("yes");
        for slur in &on.slurs {
            if !event.slurs.contains(slur) {
                event.slurs.push(*slur);
            }
        }
        event.dynamics.extend(on.dynamics.iter().cloned());
        let head = self.head(node, draft);
        self.part.events[base].heads.push(head);
        if clash {
            self.warn(node, "both bow directions stand on one chord; the first is taken", "");
        }
    }

    fn head(&mut self, node: Node<'_, '_>, draft: Draft) -> Head {
        self.part.notes += 1;
        self.part.has_tie |= draft.tie_start || draft.tie_stop;
        let pitch = draft.pitch.unwrap_or_else(|| {
            self.warn(node, "a note without a proper pitch is read as C4", "");
            Pitch::new(Letter::C, 0.0, 4)
        });
        let note = Note {
            pitch: pitch.transposed(self.transposition(draft.staff)),
            tie_start: draft.tie_start,
            tie_stop: draft.tie_stop,
            string: draft.on.string,
            fingers: draft.on.fingers,
            accidental_shown: draft.accidental_shown,
            harmonic: draft.on.harmonic,
        };
        Head { note, tied_start: draft.on.tied_start, tied_stop: draft.on.tied_stop, role: draft.on.role }
    }

    /// The length by the duration, else by the printed value.
    fn length(&mut self, node: Node<'_, '_>, draft: &Draft) -> Quarters {
        if draft.grace.is_some() {
            return Quarters::ZERO;
        }
        let ticks = draft.ticks.as_deref().unwrap_or("");
        if let Some(length) = self.ticks(node, ticks).filter(|length| length.is_positive()) {
            return length;
        }
        if draft.whole_bar
            && let Some(full) = self.full_bar()
        {
            return full;
        }
        match draft.log2_whole {
            Some(log2_whole) => {
                self.warn(node, "a note has no proper duration; it lasts as long as it looks", "");
                NoteValue { log2_whole, dots: draft.dots, tuplet: draft.tuplet }.length()
            }
            None => {
                self.warn(node, "a note has neither duration nor type; it is read as a quarter note", "");
                Quarters::ONE
            }
        }
    }

    fn draft(&mut self, node: Node<'_, '_>) -> Draft {
        let mut draft = Draft {
            chord: false,
            grace: None,
            cue: false,
            rest: false,
            whole_bar: false,
            pitch: None,
            ticks: None,
            log2_whole: None,
            dots: 0,
            tuplet: None,
            voice: usize::MAX,
            staff: 1,
            tie_start: false,
            tie_stop: false,
            accidental_shown: false,
            on: OnNote::default(),
        };
        for item in elements(node) {
            match item.tag_name().name() {
                "chord" => draft.chord = true,
                "grace" => draft.grace = Some(item.attribute("slash") == Some("yes")),
                "cue" => draft.cue = true,
                "rest" => {
                    draft.rest = true;
                    draft.whole_bar = item.attribute("measure") == Some("yes");
                }
                "pitch" => draft.pitch = read_pitch(item, "step", "octave"),
                "unpitched" => {
                    draft.pitch = read_pitch(item, "display-step", "display-octave").or(Some(Pitch::new(
                        Letter::B,
                        0.0,
                        4,
                    )));
                    self.warn(item, "a note without pitch is read at the pitch it is printed at", "");
                }
                "duration" => draft.ticks = Some(text(item).to_owned()),
                "tie" => match item.attribute("type") {
                    Some("start") => draft.tie_start = true,
                    Some("stop") => draft.tie_stop = true,
                    _ => self.warn(item, "a tie that neither starts nor stops is left out", ""),
                },
                "voice" => draft.voice = self.voice(text(item)),
                "type" => match log2_whole(text(item)) {
                    Some(log2_whole) => draft.log2_whole = Some(log2_whole),
                    None => {
                        let message = format!(
                            "the note type {:?} is not known; its duration tells it",
                            short(text(item))
                        );
                        self.warn(item, message, "");
                    }
                },
                "dot" => draft.dots = draft.dots.saturating_add(1),
                "time-modification" => {
                    let number = |name| child_text(item, name).and_then(|t| t.parse::<u16>().ok());
                    draft.tuplet = match (number("actual-notes"), number("normal-notes")) {
                        (Some(actual), Some(normal)) if actual > 0 && normal > 0 => Some((actual, normal)),
                        _ => {
                            self.warn(item, "a tuplet without proper numbers is drawn without them", "");
                            None
                        }
                    };
                }
                "accidental" => {
                    draft.accidental_shown = ["cautionary", "editorial", "parentheses", "bracket"]
                        .iter()
                        .any(|name| item.attribute(*name) == Some("yes"));
                }
                "staff" => draft.staff = text(item).parse().unwrap_or(1),
                "notations" => self.notations(item, &mut draft.on),
                // A diamond is where a harmonic is touched (common practice, no source).
                "notehead" if text(item) == "diamond" => draft.on.harmonic = true,
                "lyric" | "beam" | "stem" | "notehead" | "notehead-text" | "instrument" | "play"
                | "listen" | "footnote" | "level" => {}
                other => {
                    let message = format!("<{}> in a note is not known and not read", short(other));
                    self.remark(item, message, "");
                }
            }
        }
        if draft.voice == usize::MAX {
            draft.voice = self.voice("1");
        }
        draft
    }

    fn notations(&mut self, node: Node<'_, '_>, on: &mut OnNote) {
        for item in elements(node) {
            let kind = item.attribute("type").unwrap_or("");
            match item.tag_name().name() {
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
                "dynamics" => on.dynamics.extend(super::directions::dynamic_texts(item)),
                "fermata" => {
                    on.marks.insert(Mark::Fermata);
                }
                "arpeggiate" => {
                    on.marks.insert(Mark::Arpeggiate);
                }
                "non-arpeggiate" => {
                    on.marks.insert(Mark::NonArpeggiate);
                }
                "glissando" | "slide" => self.remark(item, "glissandi are not read", ""),
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
            let mark = match item.tag_name().name() {
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
            match item.tag_name().name() {
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
                    on.role = elements(item).find_map(|part| match part.tag_name().name() {
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
            let mark = match item.tag_name().name() {
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

/// Note types by their names in MusicXML, as powers of two in whole notes.
pub(super) fn log2_whole(name: &str) -> Option<i8> {
    Some(match name {
        "1024th" => -10,
        "512th" => -9,
        "256th" => -8,
        "128th" => -7,
        "64th" => -6,
        "32nd" => -5,
        "16th" => -4,
        "eighth" => -3,
        "quarter" => -2,
        "half" => -1,
        "whole" => 0,
        "breve" => 1,
        "long" => 2,
        "maxima" => 3,
        _ => return None,
    })
}

/// The value that looks most like a length: equal, else the longest plain one that is not longer.
fn nearest_value(length: Quarters, tuplet: Option<(u16, u16)>) -> NoteValue {
    let printed = match tuplet {
        Some((actual, normal)) => length * Quarters::new(i64::from(actual), i64::from(normal)),
        None => length,
    };
    let value = NoteValue::of_length(printed).unwrap_or_else(|| {
        (-8..=2)
            .rev()
            .map(NoteValue::plain)
            .find(|value| value.length() <= printed)
            .unwrap_or(NoteValue::plain(-8))
    });
    NoteValue { tuplet, ..value }
}

fn read_pitch(node: Node<'_, '_>, step: &str, octave: &str) -> Option<Pitch> {
    let name = child_text(node, step)?.to_uppercase();
    let letter = Letter::ALL.into_iter().find(|letter| letter.symbol().to_string() == name)?;
    let octave: i8 = child_text(node, octave)?.parse().ok().filter(|octave| (-1..=10).contains(octave))?;
    let alter = match child_text(node, "alter") {
        None | Some("") => 0.0,
        Some(text) => text.parse::<f32>().ok().filter(|alter| (-4.0..=4.0).contains(alter))?,
    };
    Some(Pitch::new(letter, alter, octave))
}
