//! What every score promises, and the constructor that sees to it.

use std::collections::BTreeSet;

use super::{
    ALTERS, Bar, Event, EventId, FINEST_BEAT, LARGEST_ID, LONGEST, MOST_NOTES, OCTAVES, Quarters,
    SPEED_FACTORS, Score, Sign, SignKind, Slur, TEMPOS, crowd, figure,
};

/// What contradicts what in a score, or is out of all bounds.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct ScoreError(pub(super) String);

impl Score {
    /// The score with its lists in score order, if it keeps what every score promises:
    ///
    /// - Bars take time and follow one another without gaps; their time signatures count in 1 to
    ///   [`FINEST_BEAT`].
    /// - Everything lies between the start and [`LONGEST`] quarter notes.
    /// - No two notes, slurs or signs have one id, and none is above [`LARGEST_ID`].
    /// - There are at most [`MOST_NOTES`] notes and rests, and no crowd of them at one time.
    /// - Slurs start and end on notes that are there.
    /// - Accidentals are within [`ALTERS`], tempos within [`TEMPOS`], speeds within [`SPEED_FACTORS`].
    ///
    /// What is read from a file goes through here, and every [`Edit`](crate::lesson::Edit) that this
    /// library makes keeps the promise.
    ///
    /// # Errors
    /// With the first thing that is wrong, in words.
    ///
    /// ```
    /// use elbowroom::score::{Event, EventId, Letter, Note, NoteValue, Pitch, Quarters, Score};
    ///
    /// let note = |id, at| {
    ///     let pitch = Pitch::new(Letter::D, 0.0, 4);
    ///     Event::new(EventId(id), Quarters::from(at), NoteValue::QUARTER, vec![Note::new(pitch)])
    /// };
    /// let score = Score { events: vec![note(1, 1).into(), note(0, 0).into()], ..Score::default() }.checked()?;
    /// assert_eq!(score.events[0].id, EventId(0));
    /// let twice = Score { events: vec![note(0, 0).into(), note(0, 1).into()], ..Score::default() };
    /// assert_eq!(twice.checked().unwrap_err().to_string(), "two notes have the number 0");
    /// # Ok::<(), elbowroom::score::ScoreError>(())
    /// ```
    pub fn checked(mut self) -> Result<Self, ScoreError> {
        self.sort();
        match fault(&self) {
            Some(fault) => Err(ScoreError(fault)),
            None => Ok(self),
        }
    }
}

fn fault(score: &Score) -> Option<String> {
    of_bars(&score.bars)
        .or_else(|| ids_fault("notes", score.events.iter().map(|event| event.id.0)))
        .or_else(|| ids_fault("slurs", score.slurs.iter().map(|slur| slur.id.0)))
        .or_else(|| ids_fault("signs", score.signs.iter().map(|sign| sign.id.0)))
        .or_else(|| too_many(score))
        .or_else(|| score.events.iter().find_map(|event| of_event(event)))
        .or_else(|| score.signs.iter().find_map(of_sign))
        .or_else(|| of_slurs(score))
}

fn too_many(score: &Score) -> Option<String> {
    if score.events.len() > MOST_NOTES {
        return Some(format!("it has {} notes and rests; at most {MOST_NOTES} are read", score.events.len()));
    }
    crowd(&score.bars, &score.events).map(|crowd| crowd.to_string())
}

/// True from the start of the music to the latest place it may have.
fn in_time(at: Quarters) -> bool {
    (Quarters::ZERO..=Quarters::from(LONGEST)).contains(&at)
}

fn of_bars(bars: &[Bar]) -> Option<String> {
    for (index, bar) in bars.iter().enumerate() {
        let number = &bar.number;
        if !bar.length.is_positive() {
            return Some(format!("bar {number:?} has the length {}; a bar takes time", bar.length));
        }
        if !in_time(bar.start) || !in_time(bar.end()) {
            return Some(format!(
                "bar {number:?} goes from {} to {}; music begins at 0 and has at most {LONGEST} quarter notes",
                bar.start,
                bar.end()
            ));
        }
        if !(1..=FINEST_BEAT).contains(&bar.time.beat_type) {
            return Some(format!(
                "the time signature of bar {number:?} counts in {}; it must lie between 1 and {FINEST_BEAT}",
                bar.time.beat_type
            ));
        }
        if index > 0 && bars[index - 1].end() != bar.start {
            return Some(format!("bar {number:?} does not start where the bar before it ends"));
        }
    }
    None
}

/// What is wrong with a list of ids, if anything is.
pub(crate) fn ids_fault(what: &str, ids: impl Iterator<Item = u32>) -> Option<String> {
    let mut seen = BTreeSet::new();
    for id in ids {
        if !seen.insert(id) {
            return Some(format!("two {what} have the number {id}"));
        }
        if id > LARGEST_ID {
            return Some(format!("among the {what} is the number {id}; the largest allowed is {LARGEST_ID}"));
        }
    }
    None
}

fn of_event(event: &Event) -> Option<String> {
    let id = event.id.0;
    if event.duration < Quarters::ZERO || event.onset < Quarters::ZERO {
        return Some(format!("note {id} has a negative time"));
    }
    if !in_time(event.end()) {
        return Some(format!("note {id} ends at {}; music has at most {LONGEST} quarter notes", event.end()));
    }
    let outside = |what: &str, value: f64, least: f64, most: f64| {
        format!("{what} of note {id} is {}; it must lie between {least} and {most}", figure(value))
    };
    if let Some(note) = event.notes.iter().find(|note| !ALTERS.contains(&note.pitch.alter)) {
        let (least, most) = ALTERS.into_inner();
        let alter = f64::from(note.pitch.alter);
        return Some(outside("the half steps of the accidental", alter, least.into(), most.into()));
    }
    let (least, most) = SPEED_FACTORS.into_inner();
    let factor = event.speed_factor.filter(|factor| !SPEED_FACTORS.contains(factor))?;
    Some(outside("the factor on the bow speed", factor, least, most))
}

fn of_sign(sign: &Sign) -> Option<String> {
    let id = sign.id.0;
    match sign.kind {
        SignKind::Tempo { qpm, .. } if !TEMPOS.contains(&qpm) => {
            let (least, most) = TEMPOS.into_inner();
            return Some(format!(
                "sign {id} sets a tempo of {} quarter notes a minute; it must lie between {least} and {most}",
                figure(qpm)
            ));
        }
        SignKind::OctaveLine { octaves, .. } if !OCTAVES.contains(&octaves) => {
            return Some(format!("sign {id} moves notes by {octaves} octaves; at most three are read"));
        }
        _ => {}
    }
    let end = sign.kind.end().unwrap_or(sign.at);
    let outside = !in_time(sign.at) || !in_time(end);
    outside.then(|| format!("sign {id} stands outside the music"))
}

fn of_slurs(score: &Score) -> Option<String> {
    let ids: BTreeSet<EventId> = score.events.iter().map(|event| event.id).collect();
    let loose = |slur: &&Slur| !ids.contains(&slur.from) || !ids.contains(&slur.to);
    let slur = score.slurs.iter().find(loose)?;
    Some(format!("slur {} starts or ends on a note that is not there", slur.id.0))
}
