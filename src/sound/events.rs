//! From a study to what is heard of it: tones with their bow, how loud it is when, and where it clicks.

use crate::{
    analysis::{Analysis, Study},
    arm::{Placement, Plane, chord_seconds},
    bowing::{Bowed, Reached},
    practice::metre::{Weight, pulses_of},
    score::{Attack, Dynamic, Letter, Mark, Pitch, Quarters, StrokeType},
    setup::{Family, Setup},
    tone::string::level_change_db,
};

use super::Tuning;

/// How a tone begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Begins {
    /// The bow is set on the string, or starts from rest.
    Set,
    /// The bow turns on the string.
    Turns,
    /// In the same bow, without a dent.
    Slurred,
    /// In the same bow, after a stop.
    Stopped,
    /// In the same bow, with a pulse.
    Pulsed,
}

/// How a tone ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ends {
    /// It goes straight on in the same bow.
    Slurred,
    /// The bow turns.
    Turns,
    /// The bow stops on the string.
    Stops,
    /// The bow leaves the string, which rings.
    Rings,
}

/// What the bow does meanwhile.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Manner {
    /// It moves evenly.
    Even,
    /// It bites and lets go: martelé, collé.
    Bites,
    /// It bounces: spiccato, sautillé, ricochet.
    Bounces,
    /// It trembles, with so many strokes in a second of the music.
    Trembles(f64),
    /// The string is plucked.
    Plucked,
}

/// One note on one string.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tone {
    /// When it begins, s from the start at the practice tempo.
    pub at_s: f64,
    /// When the bow has done with it; of a plucked one, when it is damped.
    pub until_s: f64,
    /// The string, from 0, the highest.
    pub string: u8,
    /// Its frequency, Hz.
    pub hz: f64,
    /// What the plan makes louder or softer than the dynamic asks for, dB.
    pub db: f64,
    /// How much stronger it begins, from 0 to 1 for a sharp accent.
    pub accent: f64,
    /// How it begins.
    pub begins: Begins,
    /// How it ends.
    pub ends: Ends,
    /// What the bow does meanwhile.
    pub manner: Manner,
}

/// How loud it is from a moment on: between two of them it moves evenly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loud {
    /// The moment, s at the practice tempo.
    pub at_s: f64,
    /// Against mf, dB.
    pub db: f64,
    /// Level of the dynamics, 0 ppp to 7 fff.
    pub level: f64,
}

/// What is heard of a study.
#[derive(Clone, Debug, PartialEq)]
pub struct Events {
    /// The tones, in the order in which they begin.
    pub tones: Vec<Tone>,
    /// How loud it is; never empty.
    pub loud: Vec<Loud>,
    /// Where it clicks, s at the practice tempo, and how strongly.
    pub clicks: Vec<(f64, Weight)>,
    /// The time a turn of the bow takes, s.
    pub turn_s: f64,
    /// Whose body sounds.
    pub family: Family,
}

/// A silence this short between two notes is none, s. Assumed.
const NO_GAP_S: f64 = 0.005;
/// Strokes of an unmeasured tremolo in a second, and the most of a measured one. Assumed, inside the 10 to 20
/// attacks a second of quick bouncing strokes.
const TREMOLO_HZ: f64 = 11.0;
const MOST_STROKES_HZ: f64 = 14.0;
/// Tremolo signs with so many strokes are not measured. Common practice, no source.
const UNMEASURED: u8 = 3;

/// Notes of a trill in a second, main and upper ones together. Assumed: some six trills a second.
const TRILL_HZ: f64 = 12.0;

impl Events {
    /// What is heard of a study.
    pub fn new(study: &Study, tuning: &Tuning) -> Self {
        let (lesson, analysis) = (study.lesson(), study.analysis());
        let line = &analysis.line;
        let mut tones: Vec<Tone> = Vec::new();
        for (note, attack) in line.notes.iter().enumerate().filter(|(_, attack)| !attack.cue) {
            let placement = analysis.left_hand.placements.get(note);
            let tone = match analysis.bowed_of(note) {
                Some(k) => bowed(analysis, k),
                None => plucked(analysis, note),
            };
            let last = lesson.setup.instrument.strings.len().saturating_sub(1);
            let sounding = on_strings(&tone, attack, placement, last, tuning);
            match (trilled(attack), &sounding[..]) {
                (true, [single]) if single.manner != Manner::Plucked => {
                    let key = lesson.score.bars.get(attack.bar).map_or(0, |bar| bar.key);
                    let upper = tuning.hz(step_over(attack.notes[0].pitch, key));
                    tones.extend(trill(single, upper));
                }
                _ => tones.extend(sounding),
            }
        }
        tones.sort_by(|one, other| one.at_s.total_cmp(&other.at_s));
        let click =
            |(at, pulse): (Quarters, crate::practice::metre::Pulse)| (analysis.seconds_at(at), pulse.weight);
        Self {
            tones,
            loud: loud(&lesson.setup, analysis),
            clicks: lesson.score.bars.iter().flat_map(pulses_of).map(click).collect(),
            turn_s: lesson.setup.school.change_s,
            family: lesson.setup.instrument.family,
        }
    }

    /// How loud it is at a moment.
    pub fn loud_at(&self, at_s: f64) -> Loud {
        let after = self.loud.partition_point(|loud| loud.at_s <= at_s);
        let here = self.loud[after.saturating_sub(1)];
        let Some(next) = self.loud.get(after).filter(|_| after > 0) else { return here };
        let share = (at_s - here.at_s) / (next.at_s - here.at_s);
        let between = |from: f64, to: f64| from + (to - from) * share;
        Loud { at_s, db: between(here.db, next.db), level: between(here.level, next.level) }
    }
}

/// Loudness of a level against mf, dB: it follows the speed of the bow over its distance from the bridge
/// ([`level_change_db`]), both as this player has them for short strokes.
fn level_db(setup: &Setup, level: f64) -> f64 {
    let bow = |level: f64| (setup.short_stroke_mm_per_s(level), setup.sounding_point(level));
    level_change_db(bow(Dynamic::Mf as usize as f64), bow(level))
}

/// The dynamics in time. A jump is two moments in one.
fn loud(setup: &Setup, analysis: &Analysis) -> Vec<Loud> {
    let line = &analysis.line;
    let mut all = Vec::new();
    for (from, until, first, last) in line.dynamics.pieces(Quarters::ZERO, line.end.max(Quarters::ONE)) {
        // Fine enough for marks that are unevenly far apart, and for changes of tempo.
        let steps = if first == last { 1 } else { ((last - first).abs() * 4.0).ceil().max(1.0) as u32 };
        all.extend((0..=steps).map(|step| {
            let share = f64::from(step) / f64::from(steps);
            let level = first + (last - first) * share;
            let at_s = analysis.seconds_at_f64(from + (until - from) * share);
            Loud { at_s, db: level_db(setup, level), level }
        }));
    }
    all
}

/// What all strings of a bowed note have in common.
fn bowed(analysis: &Analysis, k: usize) -> Tone {
    let (bowed, attack) = (analysis.bowed(k), analysis.note(k));
    let until_s = bowed.onset_s + bowed.sounding_s;
    let manner = match bowed.stroke_type {
        StrokeType::Martele | StrokeType::Colle => Manner::Bites,
        StrokeType::Spiccato | StrokeType::Sautille | StrokeType::Ricochet => Manner::Bounces,
        StrokeType::Tremolo => Manner::Trembles(strokes_hz(analysis, attack)),
        _ => Manner::Even,
    };
    let before = k.checked_sub(1).map(|before| analysis.bowed(before));
    let silence = |one: &Bowed, other: &Bowed| other.onset_s - one.onset_s - one.sounding_s > NO_GAP_S;
    let begins = match (bowed.reached, before) {
        (Reached::First | Reached::Air(_), _) | (_, None) => Begins::Set,
        (Reached::SameStroke, _) if bowed.stroke_type == StrokeType::Portato => Begins::Pulsed,
        (Reached::SameStroke, Some(before)) if silence(before, bowed) || analysis.is_stopped(k) => {
            Begins::Stopped
        }
        (Reached::SameStroke, _) => Begins::Slurred,
        (Reached::BowChange, Some(before)) if silence(before, bowed) => Begins::Set,
        (Reached::BowChange, _) => Begins::Turns,
    };
    let lifted =
        matches!(bowed.stroke_type, StrokeType::Lifted | StrokeType::Colle) || manner == Manner::Bounces;
    let ends = match analysis.bowing.notes.get(k + 1) {
        None => Ends::Rings,
        Some(next) if matches!(next.reached, Reached::Air(_)) || lifted => Ends::Rings,
        Some(next) if silence(bowed, next) && bowed.stroke_type != StrokeType::Portato => Ends::Stops,
        Some(next) if next.reached == Reached::SameStroke => Ends::Slurred,
        Some(_) => Ends::Turns,
    };
    let db = analysis.tones.notes.get(k).map_or(0.0, |tone| tone.level_db);
    Tone {
        at_s: bowed.onset_s,
        until_s,
        string: 0,
        hz: 0.0,
        db,
        accent: accent(attack),
        begins,
        ends,
        manner,
    }
}

/// What all strings of a plucked note have in common.
fn plucked(analysis: &Analysis, note: usize) -> Tone {
    let attack = &analysis.line.notes[note];
    let at_s = analysis.seconds_at(attack.onset);
    Tone {
        at_s,
        until_s: analysis.seconds_at(attack.end()).max(at_s),
        string: 0,
        hz: 0.0,
        db: 0.0,
        accent: accent(attack),
        begins: Begins::Set,
        ends: Ends::Stops,
        manner: Manner::Plucked,
    }
}

/// The tones of a note, a string each. A chord that is broken sounds pair after pair.
fn on_strings(
    tone: &Tone,
    attack: &Attack,
    placement: Option<&Placement>,
    last: usize,
    tuning: &Tuning,
) -> Vec<Tone> {
    let planes: &[Plane] = placement.map_or(&[], |placement| &placement.planes);
    let broken = if tone.manner == Manner::Plucked || planes.len() < 2 { &[] } else { planes };
    let mut from = tone.at_s;
    let lasts = chord_seconds(tone.until_s - tone.at_s, broken.len());
    let pieces: Vec<(&Plane, f64, f64)> = broken
        .iter()
        .zip(lasts)
        .map(|(plane, lasts)| {
            let piece = (plane, from, from + lasts);
            from += lasts;
            piece
        })
        .collect();
    let mut tones: Vec<Tone> = Vec::new();
    for (head, note) in attack.notes.iter().enumerate() {
        let string = placement.and_then(|placement| placement.strings.get(head)).copied().unwrap_or(1);
        let mut own = Tone {
            string: usize::from(string.saturating_sub(1)).min(last).min(usize::from(u8::MAX)) as u8,
            hz: tuning.hz(note.pitch),
            ..*tone
        };
        let mine = || pieces.iter().filter(|(plane, ..)| plane.strings().any(|other| other == string));
        if let Some(((_, begins_s, _), (.., ends_s))) = mine().next().zip(mine().next_back()) {
            (own.at_s, own.until_s) = (*begins_s, *ends_s);
            if own.at_s > tone.at_s {
                (own.begins, own.accent) = (Begins::Slurred, 0.0);
            }
            if own.until_s < tone.until_s {
                own.ends = Ends::Rings;
            }
        }
        // One string sounds one note.
        if !tones.iter().any(|other| other.string == own.string) {
            tones.push(own);
        }
    }
    tones
}

fn trilled(attack: &Attack) -> bool {
    attack.notes.len() == 1 && [Mark::Trill, Mark::TrillLine].iter().any(|mark| attack.marks.contains(mark))
}

/// The next step over a note, as the key has it. What an accidental over the trill says is not known here.
fn step_over(pitch: Pitch, key: i8) -> Pitch {
    let place = pitch.staff_step() + 1;
    let letter = Letter::ALL[place.rem_euclid(7) as usize];
    Pitch::new(letter, letter.alter_in_key(key), place.div_euclid(7) as i8)
}

/// A trill: the note and the one over it by turns in one bow, from the note and back to it.
fn trill(tone: &Tone, upper_hz: f64) -> Vec<Tone> {
    let lasts = tone.until_s - tone.at_s;
    // An odd number, so that it ends on its note.
    let count = 2 * (0.5 * (lasts * TRILL_HZ - 1.0)).round().max(0.0) as usize + 1;
    let each = lasts / count as f64;
    let part = |k: usize| Tone {
        at_s: tone.at_s + each * k as f64,
        until_s: if k + 1 == count { tone.until_s } else { tone.at_s + each * (k + 1) as f64 },
        hz: if k.is_multiple_of(2) { tone.hz } else { upper_hz },
        begins: if k == 0 { tone.begins } else { Begins::Slurred },
        accent: if k == 0 { tone.accent } else { 0.0 },
        ends: if k + 1 == count { tone.ends } else { Ends::Slurred },
        ..*tone
    };
    (0..count).map(part).collect()
}

/// How much stronger a note begins. Assumed: an accent half as much as a sharp one.
fn accent(attack: &Attack) -> f64 {
    let has = |mark| attack.marks.contains(&mark);
    if has(Mark::StrongAccent) || has(Mark::Sforzando) || has(Mark::FortePiano) {
        1.0
    } else if has(Mark::Accent) || has(Mark::Stress) || has(Mark::SoftAccent) {
        0.5
    } else {
        0.0
    }
}

/// Strokes of a tremolo in a second of the music: one and two strokes are measured, eighths and sixteenths.
fn strokes_hz(analysis: &Analysis, attack: &Attack) -> f64 {
    let signs = attack.tremolo.unwrap_or(UNMEASURED);
    if signs >= UNMEASURED {
        return TREMOLO_HZ;
    }
    let quarter_hz = analysis.line.tempo.qpm_at(attack.onset) * analysis.bowing.tempo_share / 60.0;
    (quarter_hz * f64::from(1_u32 << signs)).min(MOST_STROKES_HZ)
}
