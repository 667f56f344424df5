//! The corrections that changes are made of, as values that can be put one after another.

use std::collections::BTreeMap;

use crate::{
    analysis::Study,
    lesson::{Edit, EditError, Lesson, change},
    score::{Direction, Dynamic, Dynamics, EventId, Quarters, SameBow, SignKind, StrokeType},
};

/// One correction of a lesson, as a teacher would ask for it.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Correction {
    /// A new bow starts at this note: the slur, hook or portato that leads there ends.
    NewBow(EventId),
    /// One slur from the first to the second.
    Slur(EventId, EventId),
    /// The note goes on in the bow of the note before it.
    Join(EventId, SameBow),
    /// The bow is lifted and set again before the note, which is then played in this direction.
    Retake(EventId, Direction),
    /// It is not.
    NoRetake(EventId),
    /// The tie into the note is gone.
    Untie(EventId),
    /// The bow changes inside the note, at this time: it is written as two notes.
    Inside(EventId, Quarters),
    /// The notes are played in this stroke type.
    Stroke(Vec<EventId>, StrokeType),
    /// The note is played in this direction, in a bow of its own; what follows goes on from it.
    Bow(EventId, Direction),
    /// The note starts at this share of the hair, or anywhere.
    Place(EventId, Option<f64>),
    /// The notes are played this many times as fast as now.
    Speed(Vec<EventId>, f64),
    /// So many dynamic steps louder from here to there, then as before.
    Louder(i32, Quarters, Quarters),
    /// Practice tempo as a share of the marked tempo.
    Tempo(f64),
}

impl Correction {
    /// The lesson after it.
    pub(super) fn made(&self, lesson: &Lesson) -> Result<Lesson, EditError> {
        let edit = match self {
            Self::NewBow(id) => return new_bow(lesson, *id),
            Self::Slur(from, to) => change::set_slur(lesson, &[*from, *to], true)?,
            Self::Join(id, how) => change::hook(lesson, *id, Some(*how))?,
            Self::Retake(id, direction) => {
                let (lifted, _) = change::set_retake(lesson, *id, true)?.apply(lesson)?;
                return Ok(change::set_bow(&lifted, &[*id], Some(*direction))?.apply(&lifted)?.0);
            }
            Self::NoRetake(id) => change::set_retake(lesson, *id, false)?,
            Self::Untie(id) => return Ok(untied(lesson, *id)),
            Self::Inside(id, at) => {
                let second = lesson.score.free_event_id();
                let (divided, _) = change::divide_note(lesson, *id, *at)?.apply(lesson)?;
                return new_bow(&untied(&divided, second), second);
            }
            Self::Stroke(ids, stroke) => change::set_stroke(lesson, ids, Some(*stroke))?,
            Self::Bow(id, direction) => change::set_bow(lesson, &[*id], Some(*direction))?,
            Self::Place(id, share) => change::hair_pin(lesson, *id, share.map(|share| (share, share)))?,
            Self::Speed(ids, factor) => return faster(lesson, ids, *factor),
            Self::Louder(steps, from, until) => return louder(lesson, *steps, *from, *until),
            Self::Tempo(share) => change::set_tempo_share(lesson, *share)?,
        };
        Ok(edit.apply(lesson)?.0)
    }

    /// It would change a settled bowing, of a note or of what is tied to it.
    pub(super) fn is_settled(&self, study: &Study) -> bool {
        let kept = |id: &EventId| study.lesson().kept.contains(id);
        let tied = |id: &EventId| {
            let bowed = study.analysis().bowed_of_event(*id);
            bowed.is_some_and(|k| study.analysis().note(k).events.iter().any(kept))
        };
        self.touches().iter().any(|id| kept(id) || tied(id))
    }

    /// Notes that are drawn faster or slower.
    pub(super) fn faster(&self) -> &[EventId] {
        match self {
            Self::Speed(ids, _) => ids,
            _ => &[],
        }
    }

    /// Notes whose bowing it changes.
    fn touches(&self) -> Vec<EventId> {
        match self {
            Self::NewBow(id)
            | Self::Join(id, _)
            | Self::Retake(id, _)
            | Self::NoRetake(id)
            | Self::Untie(id)
            | Self::Inside(id, _)
            | Self::Bow(id, _) => vec![*id],
            Self::Slur(from, to) => vec![*from, *to],
            Self::Stroke(ids, _) => ids.clone(),
            Self::Place(..) | Self::Speed(..) | Self::Louder(..) | Self::Tempo(_) => Vec::new(),
        }
    }
}

/// All corrections in turn as one edit; none where one cannot be made or nothing changes.
pub(super) fn edit_of(lesson: &Lesson, words: &str, corrections: &[Correction]) -> Option<Edit> {
    let mut next = None;
    for correction in corrections {
        next = Some(correction.made(next.as_ref().unwrap_or(lesson)).ok()?);
    }
    let edit = Edit::between(words, lesson, &next?);
    (!edit.is_empty()).then_some(edit)
}

/// The notes tied into this one end where it starts.
fn untied(lesson: &Lesson, id: EventId) -> Lesson {
    let mut next = lesson.clone();
    let Some(here) = lesson.score.event(id) else { return next };
    for event in next.score.events.iter_mut().filter(|event| event.voice == here.voice) {
        let same = |midi: f64| here.notes.iter().any(|note| note.pitch.midi() == midi);
        let (is_here, ends_here) = (event.id == id, event.onset < here.onset && event.end() == here.onset);
        if is_here || ends_here {
            for note in event.notes.iter_mut().filter(|note| same(note.pitch.midi())) {
                (note.tie_stop, note.tie_start) = (note.tie_stop && !is_here, note.tie_start && !ends_here);
            }
        }
    }
    next
}

fn new_bow(lesson: &Lesson, id: EventId) -> Result<Lesson, EditError> {
    let (mut next, _) = change::hook(lesson, id, None)?.apply(lesson)?;
    match change::split_slur(&next, id) {
        Ok(edit) => next = edit.apply(&next)?.0,
        // Not slurred: two equal marks in a row had hooked it.
        Err(_) if next == *lesson => next = change::set_bow(lesson, &[id], None)?.apply(lesson)?.0,
        Err(_) => {}
    }
    Ok(next)
}

fn faster(lesson: &Lesson, ids: &[EventId], factor: f64) -> Result<Lesson, EditError> {
    // One change for all notes that come to the same factor, in hundredths.
    let mut wanted: BTreeMap<i64, Vec<EventId>> = BTreeMap::new();
    let now: BTreeMap<EventId, Option<f64>> =
        lesson.score.events.iter().map(|event| (event.id, event.speed_factor)).collect();
    for id in ids {
        let now = now.get(id).copied().flatten().unwrap_or(1.0);
        wanted.entry((now * factor * 100.0).round() as i64).or_default().push(*id);
    }
    let mut next = lesson.clone();
    for (hundredths, ids) in wanted {
        let factor = hundredths as f64 / 100.0;
        next = change::set_speed_factor(&next, &ids, Some(factor))?.apply(&next)?.0;
    }
    Ok(next)
}

/// Every mark in force or standing inside moves by the steps; at the end the old level comes back.
fn louder(lesson: &Lesson, steps: i32, from: Quarters, until: Quarters) -> Result<Lesson, EditError> {
    let dynamics = Dynamics::new(&lesson.score);
    let level_at = |at: Quarters| {
        let level = dynamics.level(at.to_f64()).round().clamp(0.0, 7.0) as usize;
        dynamics.mark_at(at).filter(|mark| *mark as usize == level).unwrap_or(Dynamic::ALL[level])
    };
    let inside: Vec<(Quarters, Dynamic)> = lesson
        .score
        .signs
        .iter()
        .filter_map(|sign| match sign.kind {
            SignKind::Dynamic(level) if sign.at > from && sign.at < until => Some((sign.at, level)),
            _ => None,
        })
        .collect();
    let stands =
        lesson.score.signs.iter().any(|sign| sign.at == until && matches!(sign.kind, SignKind::Dynamic(_)));
    let mut marks = vec![(from, level_at(from).stepped(steps))];
    marks.extend(inside.into_iter().map(|(at, level)| (at, level.stepped(steps))));
    if !stands && until < lesson.score.end() {
        marks.push((until, level_at(until)));
    }
    let mut next = lesson.clone();
    for (at, level) in marks {
        next = change::set_dynamic(&next, at, Some(level))?.apply(&next)?.0;
    }
    Ok(next)
}
