//! From the notes a bow plays to its strokes: stroke types, directions, where the bow is lifted,
//! and how long each note sounds.

use std::ops::Range;

use super::directions::{Bow, Lean, Link, Weigher, after_tremolo, directions};
use crate::{
    score::{Attack, Direction, Line, Mark, Quarters, SameBow, Score, StrokeType},
    setup::Setup,
};

/// A run of notes in one direction with the hair on the string.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stroke {
    /// Its notes, as indices into the bowed line. Plucked notes are never inside one.
    pub notes: Range<usize>,
    /// Its direction.
    pub direction: Direction,
    /// The bow was off the string before it, or starts here.
    pub lift_before: bool,
}

/// How a bowed note is reached from the bowed note before it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reached {
    /// It is the first one.
    First,
    /// In the same stroke.
    SameStroke,
    /// By a bow change on the string.
    BowChange,
    /// Through the air, with this much time between the two sounds, s.
    Air(f64),
}

/// One note as it is bowed.
#[derive(Clone, Debug, PartialEq)]
pub struct Bowed {
    /// Index into the line.
    pub note: usize,
    /// When its sound starts, s from the start of the score at the practice tempo.
    pub onset_s: f64,
    /// How long the bow moves for it, s.
    pub sounding_s: f64,
    /// Stroke type, read from the marks or set by the user.
    pub stroke_type: StrokeType,
    /// Direction.
    pub direction: Direction,
    /// What speaks against the direction of the bow that begins or is hooked here, in parts of a strong
    /// beat on an up-bow ([`crate::setup::Leanings`]); zero inside a bow.
    pub against: f64,
    /// How it is reached.
    pub reached: Reached,
    /// Time taken from the end of the note before it for a retake without a rest, s.
    pub stolen_s: f64,
}

/// The stop in a hooked bow takes this part of the note before it, and no longer than this, s. Assumed: what is
/// hooked to a long note is hardly separated.
const HOOK_PART: f64 = 0.2;
const HOOK_S: f64 = 0.15;

/// How long of a note of so many seconds sounds before the stop of a hooked bow, s.
pub(crate) fn hook_sounding_s(note_s: f64) -> f64 {
    note_s - (HOOK_PART * note_s).min(HOOK_S)
}

/// Separate notes with a dot at least this long are lifted or stopped, shorter ones bounced, s.
/// Assumed; the border between the bouncing strokes is near 0.15 s.
pub const STOPPED_FROM_S: f64 = 0.3;
/// At most this share of a note is given up to a retake or to its grace notes. Assumed.
const MOST_STOLEN: f64 = 0.5;

/// Works out how every note of the line is bowed. Plucked notes are skipped.
///
/// Directions: a printed mark counts; the others come from a least-cost way through all strokes
/// (`directions.rs`). Two equal marks in a row on separate notes are hooked when up, a retake when down
/// (common practice, no source).
pub fn bow(score: &Score, whole: &Line, setup: &Setup) -> Vec<Bowed> {
    let (line, dynamics) = (&whole.notes[..], &whole.dynamics);
    let tempo = score.tempo_map();
    let share = setup.tempo_share;
    let seconds = |at: Quarters| tempo.seconds(at) / share;
    let played: Vec<usize> = (0..line.len()).filter(|&i| !line[i].pizzicato).collect();
    let steps = steps(score, line, &played, setup, &seconds);
    let ways = ways(score, whole, &played, &steps, setup);
    let mut bowed: Vec<Bowed> = Vec::with_capacity(played.len());
    for (k, &i) in played.iter().enumerate() {
        let note = &line[i];
        let (onset_s, end_s) = (seconds(note.onset), seconds(note.end()));
        let level = dynamics.level(note.onset.to_f64());
        let stroke_type = stroke_type(note, end_s - onset_s, level, line.get(i + 1));
        let Step { gap_s, rest, breath, trembled, joined, .. } = steps[k];
        let (direction, against) = ways[k];
        let twice = k > 0 && ways[k - 1].0 == direction && !joined && !rest && !trembled;
        let hooked_by_mark = twice && !note.retake && direction == Direction::Up && !breath;
        let retake = (note.retake || breath || (twice && !hooked_by_mark)) && !rest && k > 0;
        let mut stolen_s = 0.0;
        let reached = if k == 0 {
            Reached::First
        } else if rest {
            Reached::Air(gap_s)
        } else if retake {
            // The time comes out of the end of the note before.
            if let Some(last) = bowed.last_mut() {
                stolen_s = setup.school.retake_time_s.min(last.sounding_s * MOST_STOLEN);
                last.sounding_s -= stolen_s;
            }
            Reached::Air(stolen_s.max(0.0) + gap_s.max(0.0))
        } else if joined || hooked_by_mark {
            Reached::SameStroke
        } else {
            Reached::BowChange
        };
        let stops = note.same_bow == Some(SameBow::Hooked) || hooked_by_mark;
        if reached == Reached::SameStroke
            && stops
            && let Some(last) = bowed.last_mut()
        {
            last.sounding_s = last.sounding_s.min(hook_sounding_s((onset_s - last.onset_s).max(0.0)));
        }
        let sounding_s = (end_s - onset_s).max(0.0) * setup.habit(stroke_type).sounding;
        bowed.push(Bowed {
            note: i,
            onset_s,
            sounding_s,
            stroke_type,
            direction,
            against,
            reached,
            stolen_s,
        });
    }
    give_time_to_grace_notes(line, setup, &mut bowed);
    bowed
}

/// What lies between a played note and the one before it.
#[derive(Clone, Copy)]
struct Step {
    /// Silence between them, s.
    gap_s: f64,
    /// The silence is long enough to lift the bow and set it.
    rest: bool,
    /// A breath or a caesura.
    breath: bool,
    /// The note before is a tremolo.
    trembled: bool,
    /// Both are in one bow.
    joined: bool,
    /// How a bow is reached that begins with it, if no mark says otherwise.
    link: Link,
}

/// A slur over a rest of at most this length is one bow, s. Assumed; over longer ones it is a phrase.
const SLURRED_REST_S: f64 = 0.6;
/// A rest after a bow is too short to take the bow back through the air where that would be less than so
/// much for each second of the bow, mm/s. Assumed: half of a slow bow.
const CARRIED_BACK_MM_PER_S: f64 = 100.0;
/// Time from one movement to the next, s. Assumed; long enough to set the bow anywhere.
const MOVEMENT_S: f64 = 5.0;

fn steps(
    score: &Score,
    line: &[Attack],
    played: &[usize],
    setup: &Setup,
    seconds: &dyn Fn(Quarters) -> f64,
) -> Vec<Step> {
    let sections = score.bar_sections();
    let step = |k: usize| {
        let note = &line[played[k]];
        let Some(before) = k.checked_sub(1).map(|before| &line[played[before]]) else {
            return Step {
                gap_s: 0.0,
                rest: false,
                breath: false,
                trembled: false,
                joined: false,
                link: Link::Opening,
            };
        };
        let opens = sections.get(before.bar) != sections.get(note.bar);
        let pause_s = if opens { MOVEMENT_S } else { 0.0 };
        let gap_s = seconds(note.onset) - seconds(before.end()) + pause_s;
        // A slur over a short rest is one bow with a stop in it.
        let held = slurred(before, note) && gap_s <= SLURRED_REST_S && !note.retake;
        let rest = gap_s > setup.school.set_time_s && !held;
        let joined =
            joins(line, played[k - 1], note) && !rest && !note.retake && !turned_by_mark(line, played[k]);
        let breath = before.marks.contains(&Mark::BreathMark) || before.marks.contains(&Mark::Caesura);
        let link = match () {
            () if opens => Link::Opening,
            () if rest => Link::Free(note.onset - before.end()),
            () if breath => Link::Free(BREATH),
            () if before.tremolo.is_some() => after_tremolo(before),
            () => Link::Turned,
        };
        Step { gap_s, rest, breath, trembled: before.tremolo.is_some(), joined, link }
    };
    (0..played.len()).map(step).collect()
}

/// The direction of every played note, and what speaks against it where a bow begins.
fn ways(
    score: &Score,
    whole: &Line,
    played: &[usize],
    steps: &[Step],
    setup: &Setup,
) -> Vec<(Direction, f64)> {
    let line = &whole.notes[..];
    let seconds = |at: Quarters| whole.tempo.seconds(at) / setup.tempo_share;
    let mut bows: Vec<Bow> = Vec::new();
    let mut of_note = Vec::with_capacity(played.len());
    let mut was_hasty = false;
    for (k, (&i, step)) in played.iter().zip(steps).enumerate() {
        let before = k.checked_sub(1).map(|before| &line[played[before]]);
        let is_hooked = step.joined && before.is_some_and(|before| hooks(before, &line[i]));
        match bows.last_mut() {
            Some(bow) if step.joined && !is_hooked => bow.last = i,
            _ => {
                let spent_s = bows
                    .last()
                    .map_or(0.0, |bow| seconds(line[bow.last].end()) - seconds(line[bow.first].onset));
                let back_mm = setup.school.air_speed_mm_per_s * (step.gap_s - setup.school.set_time_s);
                let hasty = step.rest && back_mm < CARRIED_BACK_MM_PER_S * spent_s;
                let in_a_row = std::mem::replace(&mut was_hasty, hasty) && hasty;
                let link = match step.link {
                    Link::Opening => Link::Opening,
                    // Through the air again and again, the bow would creep.
                    Link::Free(_) if in_a_row => Link::Turned,
                    link @ Link::Free(_) if step.rest => link,
                    _ if is_hooked => Link::Hooked,
                    _ if line[i].retake => Link::Retaken,
                    link => link,
                };
                bows.push(Bow { first: i, last: i, link });
            }
        }
        of_note.push(bows.len() - 1);
    }
    let ways = directions(score, whole, &bows, &setup.school.leanings);
    let begins = |(k, &bow): (usize, &usize)| {
        let (way, against) = ways[bow];
        (way, if bows[bow].first == played[k] { against } else { 0.0 })
    };
    of_note.iter().enumerate().map(begins).collect()
}

/// A breath frees the bow like a rest of this length. Assumed.
const BREATH: Quarters = Quarters::ONE;

/// What speaks against a bow that begins with each played note.
pub(crate) fn leans(score: &Score, whole: &Line, setup: &Setup) -> Vec<Lean> {
    let line = &whole.notes[..];
    let seconds = |at: Quarters| whole.tempo.seconds(at) / setup.tempo_share;
    let played: Vec<usize> = (0..line.len()).filter(|&i| !line[i].pizzicato).collect();
    let steps = steps(score, line, &played, setup, &seconds);
    let weigher = Weigher::new(score, whole, &setup.school.leanings);
    let lean = |(k, step): (usize, &Step)| {
        let before = k.checked_sub(1).map(|before| &line[played[before]]);
        weigher.lean(&line[played[k]..], before, step.link)
    };
    steps.iter().enumerate().map(lean).collect()
}

/// True when `note` goes on in the bow of `before` after a stop.
fn hooks(before: &Attack, note: &Attack) -> bool {
    note.same_bow == Some(SameBow::Hooked) && !slurred(before, note)
}

fn slurred(before: &Attack, note: &Attack) -> bool {
    note.slur.is_some() && note.slur == before.slur && !note.slur_start
}

/// A bow mark inside a slur begins a bow of its own there, unless it repeats the mark with which the slur
/// began. Common practice, no source.
fn turned_by_mark(line: &[Attack], note: usize) -> bool {
    let Some(mark) = line[note].bow else { return false };
    let under = line[..note].iter().rev().take_while(|before| before.slur == line[note].slur);
    line[note].slur.is_some()
        && !line[note].slur_start
        && under.last().is_some_and(|first| first.bow != Some(mark))
}

/// True when `note` goes on in the bow of the note `before`, an index into the line. Grace notes lead to the note
/// after them, but for those in which a slur over the note before them ends, as behind a trill.
fn joins(line: &[Attack], before: usize, note: &Attack) -> bool {
    let main = line[..before].iter().rev().find(|other| other.grace.is_none());
    let before = &line[before];
    let ends_slur = before.slur.is_some()
        && note.slur != before.slur
        && main.is_some_and(|main| main.slur == before.slur && main.voice == before.voice);
    let leads = before.grace.is_some_and(|grace| !grace.after) && !ends_slur;
    let led_by_grace = leads && note.onset == before.onset && note.bow.is_none();
    let after_grace = note.grace.is_some_and(|grace| grace.after) && note.bow.is_none();
    slurred(before, note) || note.same_bow.is_some() || led_by_grace || after_grace
}

/// A wedge, or a dot with an accent, is hammered from this level of the dynamics on: f. Assumed; softer it
/// is short and lifted, as a dot is (common practice, no source).
const HAMMERED_FROM: f64 = 5.0;

/// The stroke a musician reads from the marks.
fn stroke_type(note: &Attack, written_s: f64, level: f64, next: Option<&Attack>) -> StrokeType {
    if let Some(stroke) = note.stroke {
        return stroke;
    }
    let has = |mark| note.marks.contains(&mark);
    // A dot at the end of a tie only shortens the note.
    let tied = note.notes.iter().all(|head| head.tie_start);
    let wedge = has(Mark::Staccatissimo) && !tied;
    let dotted = wedge || (has(Mark::Staccato) || note.is_staccato_by_words()) && !tied;
    let slurred = note.slur.is_some()
        && (!note.slur_start || next.is_some_and(|next| next.slur == note.slur && !next.slur_start));
    if note.tremolo.is_some() {
        StrokeType::Tremolo
    } else if let Some(stroke) = asked_in_words(note, slurred, written_s) {
        stroke
    } else if slurred && dotted && has(Mark::Tenuto) || note.same_bow == Some(SameBow::Portato) {
        StrokeType::Portato
    } else if slurred && dotted {
        StrokeType::SlurredStaccato
    } else if slurred && (has(Mark::Tenuto) || has(Mark::DetachedLegato)) {
        StrokeType::Portato
    } else if slurred {
        StrokeType::Legato
    } else if has(Mark::Spiccato) || (dotted && written_s < STOPPED_FROM_S) {
        StrokeType::Spiccato
    } else if dotted && level >= HAMMERED_FROM && (wedge || has(Mark::Accent) || has(Mark::StrongAccent)) {
        StrokeType::Martele
    } else if dotted {
        StrokeType::Lifted
    } else {
        StrokeType::Detache
    }
}

/// Longer notes do not bounce, whatever the words over a passage say, s. Assumed.
const BOUNCED_TO_S: f64 = 0.6;

/// The stroke that words over the staff ask for, where the note can take it: separate notes that are not
/// to be broad, of the bouncing strokes only short ones; thrown notes may lie under a slur.
fn asked_in_words(note: &Attack, slurred: bool, written_s: f64) -> Option<StrokeType> {
    use StrokeType::{Ricochet, Sautille, Spiccato};
    let stroke = note.manner.stroke?;
    let broad = note.marks.contains(&Mark::Tenuto) || note.marks.contains(&Mark::DetachedLegato);
    let long = matches!(stroke, Spiccato | Sautille | Ricochet) && written_s > BOUNCED_TO_S;
    let under_slur = slurred && stroke != Ricochet;
    (note.grace.is_none() && !broad && !long && !under_slur).then_some(stroke)
}

/// Grace notes take no written time: each gets a little from the note it leans on.
fn give_time_to_grace_notes(line: &[Attack], setup: &Setup, bowed: &mut [Bowed]) {
    for k in 0..bowed.len() {
        let Some(grace) = line[bowed[k].note].grace else { continue };
        let main = if grace.after {
            (0..k).rev().find(|&j| line[bowed[j].note].grace.is_none())
        } else {
            (k + 1..bowed.len()).find(|&j| line[bowed[j].note].grace.is_none())
        };
        let Some(main) = main else { continue };
        let take = setup.school.grace_s.min(bowed[main].sounding_s * MOST_STOLEN / 2.0);
        bowed[main].sounding_s -= take;
        bowed[k].sounding_s = take;
        if grace.after {
            // It ends where its main note did, and moves those before it back.
            bowed[main + 1..=k].iter_mut().for_each(|moved| moved.onset_s -= take);
        } else {
            // It starts where its main note did, and moves those after it and the main note on.
            bowed[k + 1..=main].iter_mut().for_each(|moved| moved.onset_s += take);
        }
    }
}

/// Groups bowed notes into strokes. Indices are into `bowed`.
pub fn strokes(bowed: &[Bowed]) -> Vec<Stroke> {
    let mut strokes: Vec<Stroke> = Vec::new();
    for (k, note) in bowed.iter().enumerate() {
        match strokes.last_mut() {
            Some(stroke) if note.reached == Reached::SameStroke => stroke.notes.end = k + 1,
            _ => strokes.push(Stroke {
                notes: k..k + 1,
                direction: note.direction,
                lift_before: matches!(note.reached, Reached::First | Reached::Air(_)),
            }),
        }
    }
    strokes
}
