//! How much hair each note wants.
//!
//! Players spend on short strokes and save on long ones: half a second at f takes a third of the bow, four
//! seconds one calm bow and not eight times as much (common practice, no source; measured speeds fall with
//! the length of a note, Schoonderwaldt, J. Acoust. Soc. Am. 126 (2009) 2707, from memory). So a stroke that
//! would take `v t` at the speed of the shortest takes
//!
//! `v t / (1 + v t / a)`
//!
//! where `a` is what the longest strokes come near to. Of the time the bow change takes its share: `t` is
//! `t^2 / (t + c)` of a stroke of `t` seconds where a change takes `c`. It is the stroke that does so; its
//! notes share what it takes as they would have shared the other.
//!
//! However long it is, a stroke wants no less speed than its dynamic can be held with: loudness follows speed
//! over distance from the bridge (Schelleng; Woodhouse, Euphonics 9.3.1), and nobody plays nearer to the bridge
//! than [`PLAYING_SPAN`]. At f that is a whole bow in 6 s, at p in 17.

use crate::{
    arm,
    score::{Attack, Line, Mark},
    setup::Setup,
    tone::PLAYING_SPAN,
};

use super::super::{Bowed, strokes};

/// More bow than usual at flautando. Assumed; that the bow is fast and light is common practice.
const FLAUTANDO: f64 = 1.25;
/// An accent makes the bow faster for so much of the start of a note, s. Assumed.
const ACCENT_S: f64 = 0.5;

/// What a note, or the notes of a stroke, would take of the bow at the speed of the shortest strokes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Eager {
    /// Hair with that of its accents, mm.
    mm: f64,
    /// The same times what the longest strokes come near to there, mm2.
    longest: f64,
    /// The same with the user's own factors.
    pub own: f64,
    /// Hair at the slowest speed with which the dynamic can be held, mm.
    held: f64,
    /// How long it sounds, s.
    seconds: f64,
}

impl std::ops::AddAssign for Eager {
    fn add_assign(&mut self, other: Self) {
        self.mm += other.mm;
        self.longest += other.longest;
        self.own += other.own;
        self.held += other.held;
        self.seconds += other.seconds;
    }
}

impl std::ops::Mul<f64> for Eager {
    type Output = Self;

    /// So many times as long.
    fn mul(self, times: f64) -> Self {
        Self {
            mm: self.mm * times,
            longest: self.longest * times,
            own: self.own * times,
            held: self.held * times,
            seconds: self.seconds * times,
        }
    }
}

/// What every note would take, as it is bowed at the tempo whose hair is wanted.
pub(crate) fn eager(setup: &Setup, line: &Line, bowed: &[Bowed]) -> Vec<Eager> {
    let (from, to) = arm::usable_mm(setup);
    let note = |bowed: &Bowed| {
        let note = &line.notes[bowed.note];
        let (speed, level) = speed_and_level(setup, note, line);
        let light = if note.manner.flautando { FLAUTANDO } else { 1.0 };
        let speed = (speed * setup.habit(bowed.stroke_type).speed * light).min(setup.fastest_mm_per_s());
        let longest_mm = setup.long_stroke_hair(level) * (to - from);
        let seconds = bowed.sounding_s;
        let accented_s = setup.school.accent_extra * accents(note) * ACCENT_S.min(seconds);
        let mm = speed * (seconds + accented_s);
        let held = seconds * setup.speed_mm_per_s(level) * PLAYING_SPAN.0 / setup.sounding_point(level);
        Eager { mm, longest: mm * longest_mm, own: mm * note.speed_factor, held, seconds }
    };
    bowed.iter().map(note).collect()
}

impl Eager {
    /// For each hair that the notes of a stroke would take at the speed of the shortest, what they take. A
    /// stroke wants to be no slower than its dynamic can be held with, and no slower or faster than this player
    /// can.
    pub fn part(&self, setup: &Setup) -> f64 {
        if self.mm <= 0.0 {
            return 0.0;
        }
        let moved = self.mm * self.seconds / (self.seconds + setup.school.change_s);
        let taken = moved / (1.0 + moved * self.mm / self.longest);
        let least = self.held.max(setup.slowest_mm_per_s() * self.seconds);
        taken.max(least).min(least.max(setup.fastest_mm_per_s() * self.seconds)) / self.mm
    }

    /// Hair that a stroke of these notes wants, mm.
    pub fn wanted_mm(&self, setup: &Setup) -> f64 {
        self.own * self.part(setup)
    }
}

/// Wanted hair of every note, mm.
pub(super) fn wanted_mm(setup: &Setup, line: &Line, bowed: &[Bowed]) -> Vec<f64> {
    let wanted = eager(setup, line, bowed);
    let mut all = Vec::with_capacity(bowed.len());
    for stroke in strokes(bowed) {
        let notes = &wanted[stroke.notes];
        let mut whole = Eager::default();
        notes.iter().for_each(|note| whole += *note);
        let part = whole.part(setup);
        all.extend(notes.iter().map(|note| note.own * part));
    }
    all
}

/// Accents on a note: 1 for a stronger start, 2 for a sharp one.
pub(super) fn accents(note: &Attack) -> f64 {
    const SHARP: [Mark; 3] = [Mark::StrongAccent, Mark::Sforzando, Mark::FortePiano];
    if SHARP.iter().any(|mark| note.marks.contains(mark)) {
        2.0
    } else if note.marks.iter().any(|mark| mark.is_accent()) {
        1.0
    } else {
        0.0
    }
}

/// Mean over a note of the speed of the shortest strokes, mm/s, and the level of its dynamic in its middle.
///
/// On a piece where the level is linear in time the speed is exponential in time, from v0 to v1, and its
/// mean is (v1 - v0) / ln(v1 / v0). The mean is the same at every practice tempo.
fn speed_and_level(setup: &Setup, note: &Attack, line: &Line) -> (f64, f64) {
    let (dynamics, tempo) = (&line.dynamics, &line.tempo);
    let (from, end) = (note.onset.to_f64(), note.end().to_f64());
    let level = dynamics.level((from + end) / 2.0);
    let written_s = tempo.seconds(note.end()) - tempo.seconds(note.onset);
    if written_s <= 0.0 {
        return (setup.short_stroke_mm_per_s(level), level);
    }
    let mean_mm = |(a, b, level_a, level_b): (f64, f64, f64, f64)| {
        let (v0, v1) = (setup.short_stroke_mm_per_s(level_a), setup.short_stroke_mm_per_s(level_b));
        let seconds = tempo.seconds_f64(b) - tempo.seconds_f64(a);
        let mean = if (v1 / v0 - 1.0).abs() < 1e-9 { v0 } else { (v1 - v0) / (v1 / v0).ln() };
        mean * seconds
    };
    let mm: f64 = dynamics.pieces(note.onset, note.end()).into_iter().map(mean_mm).sum();
    (mm / written_s, level)
}
