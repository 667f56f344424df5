//! `<note>`: pitch, value, and all that stands on it.

use super::{
    error::short,
    names::log2_whole,
    notations::OnNote,
    raw::{Head, RawEvent},
    tree::Node,
    walk::Walker,
    xml::{child_text, elements, text},
};
use crate::score::{ALTERS, Letter, Mark, Note, NoteValue, Pitch, Quarters};

/// What a `<note>` says, before it becomes an event or joins one.
#[derive(Default)]
struct Written<'a> {
    chord: bool,
    grace: Option<bool>,
    cue: bool,
    rest: bool,
    whole_bar: bool,
    pitch: Option<Pitch>,
    ticks: Option<&'a str>,
    log2_whole: Option<i8>,
    dots: u8,
    tuplet: Option<(u16, u16)>,
    voice: usize,
    staff: u8,
    tie_start: bool,
    tie_stop: bool,
    accidental: bool,
    accidental_shown: bool,
    on: OnNote,
}

impl Walker<'_> {
    /// Reads a `<note>` and moves the cursor.
    pub(super) fn note(&mut self, node: Node<'_, '_>) {
        let written = self.read_note(node);
        // A hidden note of the first voice still takes its time. Another voice hides the notes of a
        // trill or a tremolo written out for playback, and its rests; they are not the player's. Nor is a head that
        // is hidden over a printed one: the upper note of a trill.
        let aside = written.voice > 0 || written.grace.is_some() || written.chord;
        if node.attribute("print-object") == Some("no") && aside {
            if !written.rest {
                self.remark(node, "a note hidden in the print is left out", "");
            }
            if !written.chord {
                self.chord_base = None;
                let length = self.length(node, &written);
                self.cursor += length;
            }
            return;
        }
        if written.chord {
            match self.chord_base {
                Some(base) if !written.rest => return self.join_chord(node, base, written),
                _ => self.warn(node, "a chord note has no note to join; it is read as a note of its own", ""),
            }
        }
        let length = self.length(node, &written);
        let rest = written.rest;
        if rest && written.on.bow.is_some() {
            self.warn(node, "a bow mark on a rest is left out", "");
        }
        let event = self.event(node, &written, length);
        let index = self.part.events.len();
        self.part.events.push(event);
        if rest {
            self.chord_base = None;
        } else {
            let trill_line = written.on.trill_line;
            let head = self.head(node, written);
            self.part.events[index].heads = vec![head];
            self.trill_line(index, trill_line);
            self.chord_base = Some(index);
        }
        self.cursor += length;
    }

    /// The event of a note that joins no other, without its head.
    fn event(&self, node: Node<'_, '_>, written: &Written<'_>, duration: Quarters) -> RawEvent {
        let value = match written.log2_whole {
            Some(log2_whole) => NoteValue { log2_whole, dots: written.dots, tuplet: written.tuplet },
            None if written.whole_bar => NoteValue::plain(0),
            None if written.grace.is_some() => NoteValue::plain(-3),
            None => nearest_value(duration, written.tuplet),
        };
        let (spot, on) = (self.spot(), &written.on);
        RawEvent {
            bar: spot.bar,
            at: spot.at,
            duration,
            value,
            voice: written.voice,
            staff: written.staff,
            heads: Vec::new(),
            grace: written.grace,
            grace_after: false,
            bow: on.bow.filter(|_| !written.rest),
            marks: on.marks.clone(),
            tremolo: on.tremolo,
            tremolo_to_next: on.tremolo_to_next,
            cue: written.cue,
            whole_bar: written.whole_bar,
            pizzicato: node.attribute("pizzicato") == Some("yes"),
            slurs: on.slurs.clone(),
            dynamics: on.dynamics.clone(),
            line: self.line(node),
            origin: node.at(),
        }
    }

    /// Marks the notes of a voice from where the line of a trill begins to where it ends.
    fn trill_line(&mut self, index: usize, (begins, ends): (bool, bool)) {
        let (voice, staff) = (self.part.events[index].voice, self.part.events[index].staff);
        if begins {
            self.trill_lines.insert((voice, staff), index);
            self.part.events[index].marks.insert(Mark::TrillLine);
        }
        let from = if ends { self.trill_lines.remove(&(voice, staff)) } else { None };
        let Some(from) = from else { return };
        for event in &mut self.part.events[from..=index] {
            if (event.voice, event.staff) == (voice, staff) && !event.heads.is_empty() {
                event.marks.insert(Mark::TrillLine);
            }
        }
    }

    fn join_chord(&mut self, node: Node<'_, '_>, base: usize, written: Written<'_>) {
        // Grace notes have no duration to compare.
        if written.grace.is_none() {
            let length = self.length(node, &written);
            if length < self.part.events[base].duration {
                self.remark(node, "a chord note shorter than its chord is held as long as the chord", "");
            }
        }
        let on = &written.on;
        let event = &mut self.part.events[base];
        let clash = matches!((event.bow, on.bow), (Some(a), Some(b)) if a != b);
        event.bow = event.bow.or(on.bow);
        event.marks.extend(on.marks.iter().copied());
        event.tremolo = event.tremolo.or(on.tremolo);
        event.tremolo_to_next = event.tremolo_to_next.or(on.tremolo_to_next);
        event.pizzicato |= node.attribute("pizzicato") == Some("yes");
        for slur in &on.slurs {
            if !event.slurs.contains(slur) {
                event.slurs.push(*slur);
            }
        }
        event.dynamics.extend(on.dynamics.iter().cloned());
        let head = self.head(node, written);
        self.part.events[base].heads.push(head);
        if clash {
            self.warn(node, "both bow directions stand on one chord; the first is taken", "");
        }
    }

    fn head(&mut self, node: Node<'_, '_>, written: Written<'_>) -> Head {
        self.part.notes += 1;
        self.part.has_tie |= written.tie_start || written.tie_stop;
        let pitch = written.pitch.unwrap_or_else(|| {
            self.warn(node, "a note without a proper pitch is read as C4", "");
            Pitch::new(Letter::C, 0.0, 4)
        });
        let note = Note {
            pitch: pitch.transposed(self.transposition(written.staff)),
            tie_start: written.tie_start,
            tie_stop: written.tie_stop,
            string: written.on.string,
            fingers: written.on.fingers,
            accidental_shown: written.accidental_shown,
            harmonic: written.on.harmonic,
        };
        Head {
            note,
            tied_start: written.on.tied_start,
            tied_stop: written.on.tied_stop,
            role: written.on.role,
            accidental: written.accidental && self.transposition(written.staff) % 12 == 0,
            origin: node.at(),
        }
    }

    /// The length by the duration, else by the printed value.
    fn length(&mut self, node: Node<'_, '_>, written: &Written<'_>) -> Quarters {
        if written.grace.is_some() {
            return Quarters::ZERO;
        }
        let ticks = written.ticks.unwrap_or("");
        if let Some(length) = self.ticks(node, ticks).filter(|length| length.is_positive()) {
            return length;
        }
        if written.whole_bar
            && let Some(full) = self.full_bar()
        {
            return full;
        }
        match written.log2_whole {
            Some(log2_whole) => {
                self.warn(node, "a note has no proper duration; it lasts as long as it looks", "");
                NoteValue { log2_whole, dots: written.dots, tuplet: written.tuplet }.length()
            }
            None => {
                self.warn(node, "a note has neither duration nor type; it is read as a quarter note", "");
                Quarters::ONE
            }
        }
    }

    fn read_note<'a>(&mut self, node: Node<'a, '_>) -> Written<'a> {
        let voice = self.voice(child_text(node, "voice").unwrap_or("1"));
        let mut written = Written { voice, staff: 1, ..Written::default() };
        for item in elements(node) {
            match item.name() {
                "chord" => written.chord = true,
                "grace" => written.grace = Some(item.attribute("slash") == Some("yes")),
                "cue" => written.cue = true,
                "rest" => {
                    written.rest = true;
                    written.whole_bar = item.attribute("measure") == Some("yes");
                }
                "pitch" => written.pitch = read_pitch(item, "step", "octave"),
                "unpitched" => {
                    self.unpitched += 1;
                    let shown = read_pitch(item, "display-step", "display-octave");
                    written.pitch = Some(shown.unwrap_or(Pitch::new(Letter::B, 0.0, 4)));
                    self.warn(item, "a note without pitch is read at the pitch it is printed at", "");
                }
                "duration" => written.ticks = Some(text(item)),
                "tie" => match item.attribute("type") {
                    Some("start") => written.tie_start = true,
                    Some("stop") => written.tie_stop = true,
                    _ => self.warn(item, "a tie that neither starts nor stops is left out", ""),
                },
                "type" => {
                    written.log2_whole = self.note_type(item).or(written.log2_whole);
                    if matches!(item.attribute("size"), Some("cue" | "grace-cue")) && !written.cue {
                        written.cue = true;
                        self.remark(item, "a note of cue size is read as a cue, which is not played", "");
                    }
                }
                "dot" => written.dots = written.dots.saturating_add(1),
                "time-modification" => written.tuplet = self.tuplet(item),
                "accidental" => {
                    written.accidental = true;
                    written.accidental_shown = ["cautionary", "editorial", "parentheses", "bracket"]
                        .iter()
                        .any(|name| item.attribute(name) == Some("yes"));
                }
                "staff" => written.staff = text(item).parse().unwrap_or(1),
                "notations" => self.notations(item, &mut written.on),
                // A diamond is where a harmonic is touched (common practice, no source).
                "notehead" if text(item) == "diamond" => written.on.harmonic = true,
                "voice" | "lyric" | "beam" | "stem" | "notehead" | "notehead-text" | "instrument"
                | "play" | "listen" | "footnote" | "level" => {}
                other => {
                    let message = format!("<{}> in a note is not known and not read", short(other));
                    self.remark(item, message, "");
                }
            }
        }
        written
    }

    /// A `<type>` as a power of two in whole notes.
    fn note_type(&mut self, item: Node<'_, '_>) -> Option<i8> {
        let known = log2_whole(text(item));
        if known.is_none() {
            let message =
                format!("the note type {:?} is not known; its duration tells it", short(text(item)));
            self.warn(item, message, "");
        }
        known
    }

    /// A `<time-modification>` as actual and normal notes.
    fn tuplet(&mut self, item: Node<'_, '_>) -> Option<(u16, u16)> {
        let number = |name| child_text(item, name).and_then(|t| t.parse::<u16>().ok()).filter(|n| *n > 0);
        let tuplet = number("actual-notes").zip(number("normal-notes"));
        if tuplet.is_none() {
            self.warn(item, "a tuplet without proper numbers is drawn without them", "");
        }
        tuplet
    }
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

/// The pitch that an element holds in these two of its children, and in `<alter>`.
pub(super) fn read_pitch(node: Node<'_, '_>, step: &str, octave: &str) -> Option<Pitch> {
    let mut name = child_text(node, step)?.chars();
    let symbol = name.next().filter(|_| name.as_str().is_empty())?.to_ascii_uppercase();
    let letter = Letter::ALL.into_iter().find(|letter| letter.symbol() == symbol)?;
    let octave: i8 = child_text(node, octave)?.parse().ok().filter(|octave| (-1..=10).contains(octave))?;
    let alter = match child_text(node, "alter") {
        None | Some("") => 0.0,
        Some(text) => text.parse::<f32>().ok().filter(|alter| ALTERS.contains(alter))?,
    };
    Some(Pitch::new(letter, alter, octave))
}
