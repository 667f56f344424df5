//! What a player should know before playing: where the bow cannot go, where it runs out, where it
//! is tight.

use crate::{
    lesson::Lesson,
    score::{Attack, EventId, Quarters},
};

use super::{Bowed, Cause, Impossible, MarkedPath, Problem, RunOut, Solution};

/// How bad a finding is; they are never mixed up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// No way of bowing this as marked works.
    Impossible,
    /// Played at the wanted speeds, with no foresight, the hair ends.
    RunsOut,
    /// It can be played, but the plan has to bend a lot.
    Tight,
    /// It can be played, but a rule of thumb speaks against it.
    Notice,
}

impl Verdict {
    /// The verdict in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Impossible => "cannot be played as marked",
            Self::RunsOut => "runs out as marked",
            Self::Tight => "tight",
            Self::Notice => "worth a look",
        }
    }
}

/// Another place where the same thing happens for the same cause.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// The bowed note, as an index into the line.
    pub note: usize,
    /// The written event of that note.
    pub event: EventId,
    /// Where on the time axis it happens.
    pub at: Quarters,
    /// The place in words.
    pub place: String,
}

/// One thing to know, with its place and its numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Stable name of the kind of finding.
    pub id: &'static str,
    /// How bad.
    pub verdict: Verdict,
    /// The bowed note it happens on, as an index into the line.
    pub note: usize,
    /// The written event of that note.
    pub event: EventId,
    /// Where on the time axis it happens.
    pub at: Quarters,
    /// The place in words: "bar 8, beat 3 1/2".
    pub place: String,
    /// Further places with the same cause, in the order of the music; this one is the first, or the
    /// worst.
    pub more: Vec<Spot>,
    /// How plainly it would be heard, 0 to 1; the list is ranked by it within a verdict. Assumed.
    pub heard: f64,
    /// Hair that is missing, mm; zero where nothing is missing.
    pub short_mm: f64,
    /// Time that is missing, s; zero where nothing is missing.
    pub short_s: f64,
    /// Headline.
    pub title: String,
    /// What happens.
    pub what: String,
    /// Why it happens.
    pub why: String,
}

/// Everything [`findings`] reads.
pub struct Evidence<'a> {
    /// The lesson.
    pub lesson: &'a Lesson,
    /// The bowed line.
    pub line: &'a [Attack],
    /// How each note is bowed; parallel to the pieces of the problem.
    pub bowed: &'a [Bowed],
    /// The problem.
    pub problem: &'a Problem,
    /// Its solution.
    pub solution: &'a Solution,
    /// The path as marked.
    pub marked: &'a MarkedPath,
}

/// All findings, in the order of the music; at one place the worst first.
pub fn findings(evidence: &Evidence) -> Vec<Finding> {
    let mut found: Vec<Finding> =
        evidence.solution.impossible.iter().map(|spot| impossible(evidence, spot)).collect();
    found.extend(evidence.marked.run_outs.iter().map(|spot| runs_out(evidence, spot)));
    found.extend(tight(evidence));
    found.sort_by_key(|finding| (finding.at, finding.verdict));
    found
}

impl Evidence<'_> {
    /// Musical time after `seconds_in` of the sounding of a piece, on the nearest half, third or
    /// quarter of a beat: finer places cannot be shown to a pupil.
    fn at(&self, piece: usize, seconds_in: f64) -> Quarters {
        let bowed = &self.bowed[piece];
        let note = &self.line[bowed.note];
        if seconds_in <= 0.0 {
            return note.onset;
        }
        let score = &self.lesson.score;
        let seconds = (bowed.onset_s + seconds_in) * self.lesson.setup.tempo_share;
        let exact = score.tempo_map().quarters(seconds);
        let Some(bar) = score.bar_at(note.onset).map(|index| &score.bars[index]) else { return note.onset };
        let beats = (exact - bar.start.to_f64()) / bar.time.beat().to_f64();
        let whole = beats.floor();
        let part = [(0, 1), (1, 4), (1, 3), (1, 2), (2, 3), (3, 4), (1, 1)]
            .into_iter()
            .min_by(|a, b| {
                let off = |(n, d): (i64, i64)| (beats - whole - n as f64 / d as f64).abs();
                off(*a).total_cmp(&off(*b))
            })
            .map_or(Quarters::ZERO, |(n, d)| Quarters::new(n, d));
        let at = bar.start + bar.time.beat() * (Quarters::from(whole as i64) + part);
        at.max(note.onset).min(note.end())
    }

    fn place(&self, at: Quarters, piece: usize) -> (usize, EventId, String) {
        let note = self.bowed[piece].note;
        (note, self.line[note].id(), self.lesson.score.place_words(at))
    }

    /// "the F♯4" or "the double stop G3 and E4".
    fn note_words(&self, piece: usize) -> String {
        let names: Vec<String> =
            self.line[self.bowed[piece].note].notes.iter().map(|note| note.pitch.name()).collect();
        match names.as_slice() {
            [one] => format!("the {one}"),
            many => format!("the double stop {}", many.join(" and ")),
        }
    }

    /// First piece of the stroke that holds `piece`, and the seconds from there to its end.
    fn stroke_of(&self, piece: usize) -> (usize, usize) {
        let same = |k: usize| self.bowed[k].reached == super::Reached::SameStroke;
        let first = (0..=piece).rev().find(|&k| !same(k)).unwrap_or(0);
        let last = (piece + 1..self.bowed.len()).find(|&k| !same(k)).unwrap_or(self.bowed.len());
        (first, last)
    }
}

fn cm(mm: f64) -> String {
    let cm = mm / 10.0;
    if cm >= 10.0 { format!("{cm:.0} cm") } else { format!("{cm:.1} cm") }
}

fn runs_out(evidence: &Evidence, spot: &RunOut) -> Finding {
    let at = evidence.at(spot.piece, spot.seconds_in);
    let (note, event, place) = evidence.place(at, spot.piece);
    let bar = bar_of(&place);
    let (first, last) = evidence.stroke_of(spot.piece);
    let pieces = &evidence.problem.pieces;
    let end = if spot.at_tip { "tip" } else { "frog" };
    // What is missing is missing to the end of the stroke, not only of the note.
    let rest = &pieces[spot.piece + 1..last];
    let short_mm = spot.short_mm + rest.iter().map(|piece| piece.wanted_mm).sum::<f64>();
    let short_s = spot.short_seconds + rest.iter().map(|piece| piece.seconds).sum::<f64>();
    let what = format!(
        "Played as marked, the bow is at the {end} on {place}, under {}; {} and {short_s:.1} s of the stroke are missing.",
        evidence.note_words(spot.piece),
        cm(short_mm),
    );
    let wanted: f64 = pieces[first..last].iter().map(|piece| piece.wanted_mm).sum();
    let room = |from_mm: f64| {
        let (lo, hi) = evidence.problem.usable;
        if spot.at_tip { hi - from_mm } else { from_mm - lo }
    };
    // Had the whole stroke fitted from where the plan starts it, the strokes before it are to blame.
    let drift = spot.drift.as_ref().filter(|_| wanted <= room(evidence.solution.start_mm[first]));
    let count = last - first;
    let (title, why, id) = match drift {
        Some(drift) => {
            let since = &evidence.line[evidence.bowed[drift.since].note];
            let bars = (evidence.line[note].bar - since.bar + 1) as f64;
            (
                format!("{bar}: the bow has crept to the {end}"),
                format!(
                    "Since {} the strokes one way use more hair than those the other way: {} in all, about {} a bar.",
                    evidence.lesson.score.place_words(since.onset),
                    cm(drift.mm.abs()),
                    cm(drift.mm.abs() / bars)
                ),
                "runs-out-drift",
            )
        }
        None => {
            let subject =
                if count == 1 { "this note".to_owned() } else { format!("the {count} notes in this bow") };
            let left = room(evidence.marked.start_mm[first]).max(0.0);
            let (lo, hi) = evidence.problem.usable;
            // A stroke longer than the whole bow is to blame itself; a shorter one starts badly.
            let headline = if wanted <= hi - lo {
                format!("this bow starts too near the {end}")
            } else if count == 1 {
                "one note is too long for the bow".to_owned()
            } else {
                format!("{count} notes in one bow are too long for it")
            };
            (
                format!("{bar}: {headline}"),
                format!(
                    "At this dynamic {subject} would take {}; {} are left from where the stroke starts.",
                    cm(wanted),
                    cm(left)
                ),
                if wanted <= hi - lo { "runs-out-start" } else { "runs-out-stroke" },
            )
        }
    };
    Finding {
        id,
        verdict: Verdict::RunsOut,
        note,
        event,
        at,
        place,
        more: Vec::new(),
        heard: heard_short(short_mm),
        short_mm,
        short_s,
        title,
        what,
        why,
    }
}

fn impossible(evidence: &Evidence, spot: &Impossible) -> Finding {
    let at = evidence.at(spot.piece, spot.seconds_in);
    let (note, event, place) = evidence.place(at, spot.piece);
    let (what, why) = match spot.cause {
        Cause::Hair => (
            format!(
                "Even at the slowest speed and from the best place the hair ends on {place}, under {}; {} and {:.1} s are missing.",
                evidence.note_words(spot.piece),
                cm(spot.short_mm),
                spot.short_seconds
            ),
            "The stroke lasts longer than this player's slowest bow; it needs another bow, or a faster tempo.".to_owned(),
        ),
        Cause::Pin(_) => (
            format!("The place fixed for {} cannot be reached from the notes before it; {} are missing.", evidence.note_words(spot.piece), cm(spot.short_mm)),
            "The fixed place and the notes before it contradict each other within this player's speeds.".to_owned(),
        ),
        Cause::Reach => (
            format!("There is no time to set the bow where {} needs it; {} are missing.", evidence.note_words(spot.piece), cm(spot.short_mm)),
            "The lift before it is too short to move the bow that far through the air.".to_owned(),
        ),
    };
    Finding {
        id: match spot.cause {
            Cause::Hair => "no-way-hair",
            Cause::Pin(_) => "no-way-place",
            Cause::Reach => "no-way-lift",
        },
        verdict: Verdict::Impossible,
        note,
        event,
        at,
        title: format!("{}: cannot be played as marked", bar_of(&place)),
        place,
        more: Vec::new(),
        heard: 1.0,
        short_mm: spot.short_mm,
        short_s: spot.short_seconds,
        what,
        why,
    }
}

/// Notes where the plan leaves the wanted speed by more than the stated ratio or the corridor is
/// narrower than the stated width; neighbours of one stroke are told together, by the worst.
fn tight(evidence: &Evidence) -> Vec<Finding> {
    let school = &evidence.lesson.setup.school;
    let solution = evidence.solution;
    let mut found = Vec::new();
    let mut k = 0;
    while k < evidence.bowed.len() {
        let (_, last) = evidence.stroke_of(k);
        // A stroke that runs out is told as that; saving bow there is its cure.
        if evidence.marked.run_outs.iter().any(|spot| (k..last).contains(&spot.piece)) {
            k = last;
            continue;
        }
        let inside = |k: usize| {
            solution.impossible.iter().any(|spot| (spot.piece..spot.resumes.max(spot.piece + 1)).contains(&k))
        };
        let worst = (k..last)
            .filter(|&k| {
                !inside(k) && evidence.problem.pieces[k].travels && evidence.problem.pieces[k].wanted_mm > 0.0
            })
            .map(|k| {
                (k, (solution.end_mm[k] - solution.start_mm[k]).abs() / evidence.problem.pieces[k].wanted_mm)
            })
            .filter(|(_, ratio)| *ratio > 0.0)
            .max_by(|a, b| a.1.ln().abs().total_cmp(&b.1.ln().abs()));
        let narrow = (k..last)
            .filter(|&k| !inside(k))
            .filter(|&k| !evidence.problem.pins.iter().any(|pin| pin.piece == k))
            .map(|k| (k, solution.corridor_start[k].1 - solution.corridor_start[k].0))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .filter(|(_, width)| *width < school.tight_width_mm);
        if let Some((piece, ratio)) = worst.filter(|(_, r)| r.max(1.0 / r) > school.tight_ratio) {
            found.push(tight_speed(evidence, piece, ratio));
        } else if let Some((piece, width)) = narrow {
            found.push(tight_corridor(evidence, piece, width));
        }
        k = last.max(k + 1);
    }
    found
}

fn tight_speed(evidence: &Evidence, piece: usize, ratio: f64) -> Finding {
    let at = evidence.at(piece, 0.0);
    let (note, event, place) = evidence.place(at, piece);
    let wanted = &evidence.problem.pieces[piece];
    let used = (evidence.solution.end_mm[piece] - evidence.solution.start_mm[piece]).abs();
    let slower = ratio < 1.0;
    Finding {
        id: if slower { "tight-slow" } else { "tight-fast" },
        verdict: Verdict::Tight,
        note,
        event,
        at,
        title: if slower {
            format!("{}: save bow, {ratio:.1} times the wanted speed", bar_of(&place))
        } else {
            format!("{}: spend bow, {ratio:.1} times the wanted speed", bar_of(&place))
        },
        what: format!(
            "On {place} the plan gives {} {} where the dynamic asks for {}.",
            evidence.note_words(piece),
            cm(used),
            cm(wanted.wanted_mm)
        ),
        why: if slower {
            "The bow has to last, or must not leave its place; nearer the bridge the sound stays."
        } else {
            "The bow has to be won back for what follows; lighter and nearer the fingerboard it makes no bump."
        }
        .to_owned(),
        place,
        more: Vec::new(),
        heard: (ratio.ln().abs() / 4_f64.ln()).min(1.0),
        short_mm: (wanted.wanted_mm - used).max(0.0),
        short_s: 0.0,
    }
}

fn tight_corridor(evidence: &Evidence, piece: usize, width: f64) -> Finding {
    let at = evidence.at(piece, 0.0);
    let (note, event, place) = evidence.place(at, piece);
    let (lo, hi) = evidence.solution.corridor_start[piece];
    Finding {
        id: "tight-place",
        verdict: Verdict::Tight,
        note,
        event,
        at,
        title: format!("{}: only one place to start", bar_of(&place)),
        what: format!(
            "On {place} the bow must be between {} and {} from the frog, or the rest cannot be played.",
            cm(lo),
            cm(hi)
        ),
        why: format!("The strokes that follow leave only {} of room.", cm(width)),
        place,
        more: Vec::new(),
        heard: 0.2,
        short_mm: 0.0,
        short_s: 0.0,
    }
}

/// How plainly it is heard that this much hair is missing: fully from 20 cm on. Assumed.
fn heard_short(short_mm: f64) -> f64 {
    (short_mm / 200.0).clamp(0.0, 1.0)
}

/// "Bar 8" out of "bar 8, beat 2".
fn bar_of(place: &str) -> String {
    let bar = place.split(',').next().unwrap_or(place);
    let mut letters = bar.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
