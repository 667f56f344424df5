//! Which part of the bow: loud and soft, entries, accents and chords, and where each stroke lives.

use super::{
    finding::Verdict,
    kinds::Kind,
    said::{About, Raw, Said},
};
use crate::{
    bowing::{Reached, evidence::Evidence},
    score::{Direction, Mark, SameBow, StrokeType, cm},
};

/// A note this much longer than the one hooked to it makes a dotted figure. Assumed.
const DOTTED: f64 = 2.0;
/// A fall of this many dynamic steps at once is sudden. Assumed.
const SUDDEN: f64 = 2.0;

pub(super) fn rule(evidence: &Evidence, raws: &mut Vec<Raw>) {
    ends(evidence, raws);
    homes(evidence, raws);
    hooked(evidence, raws);
    strong_starts(evidence, raws);
    for stroke in 0..evidence.strokes().len() {
        raws.extend(soft_entry(evidence, stroke));
        raws.extend(sudden_soft(evidence, stroke));
        raws.extend(start(evidence, stroke));
    }
}

fn notice(kind: Kind, heard: f64, headline: impl Into<String>, what: String, why: &str) -> Said {
    let (verdict, about) = (Verdict::Notice, About::Place);
    Said { kind, verdict, about, heard, headline: headline.into(), what, why: why.to_owned() }
}

fn percent(share: f64) -> f64 {
    100.0 * share
}

/// The plan has no say where nothing can be played.
fn planned(evidence: &Evidence, stroke: usize) -> bool {
    !evidence.plan.unplanned[evidence.strokes()[stroke].notes.clone()].contains(&true)
}

/// Words over the staff ask for a part of the bow: where it is played is no choice of the player's.
fn is_asked(evidence: &Evidence, stroke: usize) -> bool {
    evidence.note(evidence.first(stroke)).manner.part.is_some()
}

/// The stroke has no place of its own but that of its dynamic.
fn is_free(evidence: &Evidence, stroke: usize) -> bool {
    let first = evidence.first(stroke);
    !is_asked(evidence, stroke)
        && evidence.lesson.setup.habit(evidence.bowed(first).stroke_type).home.is_none()
}

/// Loud strokes that stay at the tip, soft ones that stay at the frog.
fn ends(evidence: &Evidence, raws: &mut Vec<Raw>) {
    let rules = evidence.rules();
    let nearest = |stroke: usize| {
        let (a, b) = evidence.shares(stroke);
        (a.min(b), a.max(b))
    };
    let free = |stroke: usize| planned(evidence, stroke) && is_free(evidence, stroke);
    let loud = evidence.runs(|stroke| {
        let piece = evidence.first(stroke);
        let excess = nearest(stroke).0 - rules.tip_part;
        (free(stroke) && evidence.is_loud(piece) && excess > 0.0).then_some((piece, excess))
    });
    for (strokes, piece, excess) in loud {
        let said = notice(
            Kind::LoudAtTip,
            0.4 + excess,
            "loud at the tip",
            format!(
                "On {} the plan has {} beyond {:.0} percent of the hair.",
                evidence.place(piece),
                evidence.note_words(piece),
                percent(rules.tip_part)
            ),
            "The tip has almost no weight of its own; loud notes sound more easily nearer the frog.",
        );
        raws.push(evidence.raw(piece, said).over(strokes));
    }
    let soft = evidence.runs(|stroke| {
        let piece = evidence.first(stroke);
        let excess = rules.frog_part - nearest(stroke).1;
        (free(stroke) && evidence.is_soft(piece) && excess > 0.0).then_some((piece, excess))
    });
    for (strokes, piece, excess) in soft {
        let said = notice(
            Kind::SoftAtFrog,
            0.3 + excess,
            "soft at the frog",
            format!(
                "On {} the plan has {} within the first {:.0} percent of the hair.",
                evidence.place(piece),
                evidence.note_words(piece),
                percent(rules.frog_part)
            ),
            "At the frog the whole weight of the bow lies on the string; soft notes are easier farther out.",
        );
        raws.push(evidence.raw(piece, said).over(strokes));
    }
}

/// Bouncing, stopped and trembling strokes away from where they live.
fn homes(evidence: &Evidence, raws: &mut Vec<Raw>) {
    for stroke_type in StrokeType::ALL {
        let Some((lo, hi)) = evidence.lesson.setup.habit(stroke_type).home else { continue };
        let (kind, why) = match stroke_type {
            StrokeType::Tremolo => (
                Kind::TremoloPlace,
                "Tremolo lives near the tip, where the bow is light; a loud one nearer the middle.",
            ),
            StrokeType::Martele => (
                Kind::MartelePlace,
                "Martelé is learned in the upper half, where the bow can be stopped cleanly.",
            ),
            StrokeType::Spiccato | StrokeType::Sautille | StrokeType::Ricochet => (
                Kind::BouncePlace,
                "The bow bounces well only near its place: broad and loud nearer the frog, short and fast nearer the middle.",
            ),
            StrokeType::Detache
            | StrokeType::Legato
            | StrokeType::Portato
            | StrokeType::SlurredStaccato
            | StrokeType::Colle
            | StrokeType::Lifted => (Kind::StrokePlace, "This stroke lives in another part of the bow."),
        };
        let slack = evidence.rules().home_slack;
        let runs = evidence.runs(|stroke| {
            let piece = evidence.first(stroke);
            // A dot read as martelé is no study in martelé; one that was chosen is.
            let meant =
                stroke_type != StrokeType::Martele || evidence.note(piece).stroke == Some(stroke_type);
            let placed = planned(evidence, stroke) && !is_asked(evidence, stroke);
            if evidence.bowed(piece).stroke_type != stroke_type || !meant || !placed {
                return None;
            }
            let (a, b) = evidence.shares(stroke);
            let middle = (a + b) / 2.0;
            // Loud tremolo comes down to the middle.
            let lo =
                if stroke_type == StrokeType::Tremolo && evidence.is_loud(piece) { lo.min(0.5) } else { lo };
            let excess = (lo - slack - middle).max(middle - hi - slack);
            (excess > 0.0).then_some((piece, excess))
        });
        for (strokes, piece, excess) in runs {
            let (a, b) = evidence.shares(evidence.bowing.stroke_of(piece));
            let said = notice(
                kind,
                0.3 + excess,
                format!("{} away from its place", stroke_type.word()),
                format!(
                    "On {} the plan has it at {:.0} percent of the hair; it lives between {:.0} and {:.0}.",
                    evidence.place(piece),
                    percent((a + b) / 2.0),
                    percent(lo),
                    percent(hi)
                ),
                why,
            );
            raws.push(evidence.raw(piece, said).over(strokes));
        }
    }
}

/// Hooked dotted figures far from the middle.
fn hooked(evidence: &Evidence, raws: &mut Vec<Raw>) {
    let (lo, hi) = evidence.rules().hook_region;
    let runs = evidence.runs(|stroke| {
        let notes = evidence.strokes()[stroke].notes.clone();
        let hook = notes.clone().skip(1).find(|&piece| {
            let note = evidence.note(piece);
            let by_marks = note.slur.is_none() && note.bow == Some(Direction::Up);
            note.same_bow == Some(SameBow::Hooked) || by_marks
        })?;
        let long = evidence.note(hook - 1).duration.to_f64();
        let dotted = long >= DOTTED * evidence.note(hook).duration.to_f64();
        let (a, b) = evidence.shares(stroke);
        let middle = (a + b) / 2.0;
        let excess = (lo - middle).max(middle - hi);
        (dotted && excess > 0.0 && planned(evidence, stroke)).then_some((hook - 1, excess))
    });
    for (strokes, piece, excess) in runs {
        let (a, b) = evidence.shares(evidence.bowing.stroke_of(piece));
        let said = notice(
            Kind::HookPlace,
            0.3 + excess,
            "a hooked figure far from the middle",
            format!(
                "On {} the plan has it at {:.0} percent of the hair; it speaks best between {:.0} and {:.0}.",
                evidence.place(piece),
                percent((a + b) / 2.0),
                percent(lo),
                percent(hi)
            ),
            "The bow has to bite again before the short note, and that is easiest in the middle.",
        );
        raws.push(evidence.raw(piece, said).over(strokes));
    }
}

/// A soft entry out of silence at the frog.
fn soft_entry(evidence: &Evidence, stroke: usize) -> Option<Raw> {
    let rules = evidence.rules();
    let piece = evidence.first(stroke);
    let silence = match evidence.bowed(piece).reached {
        Reached::First => true,
        Reached::Air(gap_s) => gap_s >= rules.silence_s,
        Reached::SameStroke | Reached::BowChange => false,
    };
    let (from, _) = evidence.shares(stroke);
    let near = silence && from < rules.frog_part && is_free(evidence, stroke);
    if !near || !evidence.is_soft(piece) || !planned(evidence, stroke) {
        return None;
    }
    let said = notice(
        Kind::SoftEntry,
        0.4,
        "a soft entry at the frog",
        format!(
            "On {} {} begins out of silence {} from the frog.",
            evidence.place(piece),
            evidence.note_words(piece),
            cm(evidence.plan.solution.start_mm[piece])
        ),
        "The nearer the frog, the harder it is to begin softly; farther out the bow lands lightly.",
    );
    Some(evidence.raw(piece, said).caused_by("entry"))
}

/// A sudden soft that begins near the frog.
fn sudden_soft(evidence: &Evidence, stroke: usize) -> Option<Raw> {
    let piece = evidence.first(stroke);
    let before = evidence.note(piece.checked_sub(1)?);
    let level = evidence.level(piece);
    let fall =
        evidence.line.dynamics.level(before.end().to_f64().min(evidence.note(piece).onset.to_f64()) - 1e-6)
            - level;
    let (from, _) = evidence.shares(stroke);
    let near = from < evidence.rules().sudden_soft_from && is_free(evidence, stroke);
    // Out of silence there is time to go anywhere.
    let joined =
        !matches!(evidence.bowed(piece).reached, Reached::Air(gap_s) if gap_s >= evidence.rules().silence_s);
    if fall < SUDDEN || !evidence.is_soft(piece) || !near || !joined || !planned(evidence, stroke) {
        return None;
    }
    let said = notice(
        Kind::SuddenSoft,
        0.5,
        "a sudden soft near the frog",
        format!(
            "On {} it is soft at once, {} from the frog.",
            evidence.place(piece),
            cm(evidence.plan.solution.start_mm[piece])
        ),
        "Soft is easy farther out: arrive there with the stroke before, without a rush, or lift the bow.",
    );
    Some(evidence.raw(piece, said).caused_by("sudden"))
}

/// Chords above the lower half, accents and sudden louds at the tip.
fn strong_starts(evidence: &Evidence, raws: &mut Vec<Raw>) {
    let rules = evidence.rules();
    let share =
        |piece: usize| evidence.plan.solution.start_mm[piece] / evidence.plan.problem.hair_mm.max(1.0);
    let plays = |piece: usize| {
        evidence.bowed(piece).stroke_type != StrokeType::Tremolo
            && evidence.note(piece).grace.is_none()
            && !evidence.plan.unplanned[piece]
    };
    // The note of a stroke that lies farthest beyond a limit.
    let beyond = |limit: f64, strong: &dyn Fn(usize) -> bool| {
        evidence.runs(|stroke| {
            evidence.strokes()[stroke]
                .notes
                .clone()
                .filter(|&piece| plays(piece) && strong(piece) && share(piece) > limit)
                .map(|piece| (piece, share(piece) - limit))
                .max_by(|a, b| a.1.total_cmp(&b.1))
        })
    };
    let begins = |piece: usize| {
        format!(
            "On {} {} begins at {:.0} percent of the hair.",
            evidence.place(piece),
            evidence.note_words(piece),
            percent(share(piece))
        )
    };
    let chord = |piece: usize| evidence.note(piece).notes.len() >= 3;
    for (strokes, piece, excess) in beyond(rules.chord_below, &chord) {
        let said = notice(
            Kind::ChordPlace,
            0.3 + excess,
            "a chord in the upper half",
            begins(piece),
            "Three and four strings need the weight of the lower half, and little bow on the bottom notes.",
        );
        raws.push(evidence.raw(piece, said).over(strokes));
    }
    let accent = |piece: usize| evidence.is_accented(piece) && !evidence.is_soft(piece) && !chord(piece);
    for (strokes, piece, excess) in beyond(rules.accent_below, &accent) {
        let sudden = evidence.note(piece).marks.contains(&Mark::FortePiano);
        let said = notice(
            Kind::AccentPlace,
            0.3 + excess,
            if sudden { "fp at the tip" } else { "an accent at the tip" },
            begins(piece),
            if sudden {
                "Most of the bow of an fp goes into its first moment, and the tip has no weight for it."
            } else {
                "The tip has little weight for an accent; nearer the frog it bites by itself."
            },
        );
        raws.push(evidence.raw(piece, said).over(strokes));
    }
}

/// A start whose possible places do not include where the stroke would like to begin.
fn start(evidence: &Evidence, stroke: usize) -> Option<Raw> {
    let notes = evidence.strokes()[stroke].notes.clone();
    let piece = notes.start;
    let pinned = evidence.plan.pinned[notes.clone()].contains(&true);
    if !evidence.strokes()[stroke].lift_before || pinned || !planned(evidence, stroke) {
        return None;
    }
    let (lo, hi) = evidence.plan.problem.usable;
    let sign = evidence.strokes()[stroke].direction.sign();
    let first = evidence.plan.piece(piece);
    let liked = (first.place_mm - sign * first.wanted_travel_mm() / 2.0).clamp(lo, hi);
    let (from, to) = evidence.plan.solution.corridor_start[piece];
    let off = (from - liked).max(liked - to);
    if off < evidence.rules().start_slack_mm {
        return None;
    }
    let said = notice(
        Kind::StartPlace,
        0.3,
        "what follows decides where to start",
        format!(
            "Start on {} between {} and {} from the frog, though this stroke would like to begin at {}.",
            evidence.place(piece),
            cm(from),
            cm(to),
            cm(liked)
        ),
        "From anywhere else a later stroke runs out, however the bow is saved.",
    );
    Some(evidence.raw(piece, said).caused_by(piece))
}
