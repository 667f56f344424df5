//! The notes of a lesson, as a path search reads them.

use super::super::super::standing::{cut, join};
use crate::{
    analysis::{Analysis, Study},
    bowing::{Eager, End, Lean, eager, hook_sounding_s, leans, liked},
    lesson::Lesson,
    score::SignKind,
};

/// One note of the search.
pub(in super::super) struct Note {
    pub eager: Eager,
    pub least: f64,
    pub most: f64,
    pub weight: f64,
    /// Share of the hair.
    pub place: f64,
    pub place_weight: f64,
    /// What speaks against a bow that begins with it, and against a down-bow that ends with it.
    pub lean: Lean,
    pub end: f64,
    /// It has an accent.
    pub accented: bool,
    /// The part of it that sounds where another note is hooked to it.
    pub hooked_part: f64,
    /// Hooked to the note before it as it is now.
    pub stopped: bool,
    pub smooth: bool,
    pub reach: f64,
    pub pin: Option<(f64, f64)>,
    /// A bow mark or a retake stands on it.
    pub marked: bool,
    /// What speaks against a bow that begins with it where it was joined, and against a new slur to it.
    pub cut: f64,
    pub join: f64,
}

/// All bowed notes.
pub(super) fn notes(study: &Study) -> Vec<Note> {
    let (lesson, analysis) = (study.lesson(), study.analysis());
    let problem = &analysis.plan.problem;
    let leans = leans(&lesson.score, &analysis.line, &lesson.setup);
    let eager = eager(&lesson.setup, &analysis.line, &analysis.bowing.notes);
    let mut notes = Vec::with_capacity(eager.len());
    for stroke in &analysis.bowing.strokes {
        let mut whole = Eager::default();
        eager[stroke.notes.clone()].iter().for_each(|note| whole += *note);
        let part = whole.part(&lesson.setup);
        notes.extend(stroke.notes.clone().map(|k| note(study, k, (eager[k], part), leans[k])));
    }
    for pin in problem.pins.iter().filter(|pin| pin.at == End::Start) {
        notes[pin.piece].pin = Some((pin.lo_mm, pin.hi_mm));
    }
    notes
}

/// `eager` is what the note would take, with the part of it that notes of its stroke take.
fn note(study: &Study, k: usize, (mut eager, part): (Eager, f64), lean: Lean) -> Note {
    let (lesson, analysis) = (study.lesson(), study.analysis());
    let (attack, piece) = (analysis.note(k), analysis.piece(k));
    let moves = if piece.moves() { untaken(lesson, analysis, k) } else { 0.0 };
    // Where it is asked for otherwise: the hair of another tempo, whole bows.
    if eager.own * part > 0.0 {
        eager.own = piece.wanted_mm / part;
    }
    let level = analysis.line.dynamics.level(attack.onset.to_f64());
    let next = analysis.line.notes.get(analysis.bowed(k).note + 1);
    let written_s = analysis.seconds_at(attack.end()) - analysis.seconds_at(attack.onset);
    let school = &lesson.setup.school;
    let accented = attack.marks.iter().any(|mark| mark.is_accent());
    Note {
        eager: eager * moves,
        least: piece.min_mm * moves,
        most: piece.max_mm * moves,
        weight: if piece.moves() { piece.speed_weight } else { 0.0 },
        place: liked(&lesson.setup, attack, level, analysis.bowed(k)).share,
        place_weight: piece.place_weight,
        lean,
        accented,
        end: Lean::end(&lesson.score, attack, next, &school.leanings),
        hooked_part: if written_s > 0.0 { hook_sounding_s(written_s) / written_s } else { 1.0 },
        stopped: analysis.is_stopped(k),
        smooth: !accented,
        reach: school.air_speed_mm_per_s * (free_s(lesson, analysis, k) - school.set_time_s).max(0.0),
        pin: None,
        marked: attack.bow.is_some() || attack.retake,
        cut: cut(study, k),
        join: join(study, k),
    }
}

/// How many times as long as now a note sounds when nothing is taken from its end.
fn untaken(lesson: &Lesson, analysis: &Analysis, k: usize) -> f64 {
    let (attack, piece) = (analysis.note(k), analysis.piece(k));
    let written = analysis.seconds_at(attack.end()) - analysis.seconds_at(attack.onset);
    let sounding = lesson.setup.habit(analysis.bowed(k).stroke_type).sounding;
    let whole = if attack.grace.is_some() { piece.seconds } else { written * sounding };
    if piece.seconds > 0.0 { (whole / piece.seconds).clamp(1.0, 3.0) } else { 1.0 }
}

/// Time in which the bow could be lifted before a note, s: the rest before it, or what is taken from the
/// end of the note before it.
fn free_s(lesson: &Lesson, analysis: &Analysis, k: usize) -> f64 {
    let school = &lesson.setup.school;
    let Some(before) = k.checked_sub(1) else { return 0.0 };
    let gap = analysis.seconds_at(analysis.note(k).onset) - analysis.seconds_at(analysis.note(before).end());
    if gap > school.set_time_s {
        gap
    } else {
        school.retake_time_s.min(analysis.piece(before).seconds / 2.0) + gap.max(0.0)
    }
}

/// Hairpins as (first bowed note, last one, opens), in order.
pub(super) fn hairpins(study: &Study) -> Vec<(usize, usize, bool)> {
    let analysis = study.analysis();
    let (line, bowed) = (&analysis.line, &analysis.bowing.notes);
    let hairpins = study.lesson().score.signs.iter().filter_map(|sign| {
        let SignKind::Hairpin { opens, end, .. } = sign.kind else { return None };
        let first = bowed.partition_point(|bowed| line.notes[bowed.note].onset <= sign.at).checked_sub(1)?;
        let last = bowed.partition_point(|bowed| line.notes[bowed.note].onset < end).checked_sub(1)?;
        (first <= last).then_some((first, last, opens))
    });
    hairpins.collect()
}
