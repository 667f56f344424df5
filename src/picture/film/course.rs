//! How a film runs: what is played or shown at each of its times.

use super::{Film, FilmError, MOST_FRAMES, Subject};
use crate::{
    analysis::{BowState, Study},
    arm::Plane,
    score::Quarters,
};

/// Part of a way for which the arm stays on each level. Assumed: long enough to be seen.
const STAY: f64 = 0.5;

/// How a film runs.
#[derive(Clone, Debug)]
pub(super) struct Course {
    what: What,
    pause_s: f64,
    rate: u32,
    /// Frames.
    pub count: usize,
}

#[derive(Clone, Debug)]
enum What {
    /// The music from here to there, s.
    Music(f64, f64),
    /// The arm through levels and back.
    Levels { planes: Vec<Plane>, way_s: f64, hair_share: f64 },
}

impl Course {
    /// The course of a film, with the time in the music that it goes through.
    pub fn new(study: &Study, film: &Film) -> Result<Self, FilmError> {
        let (score, analysis) = (&study.lesson().score, study.analysis());
        let (what, lasts_s) = match &film.subject {
            Subject::Passage { bars } => {
                let bars = bars.start..bars.end.min(score.bars.len());
                let span = score.span_of(&bars).unwrap_or(Quarters::ZERO..Quarters::ZERO);
                let (from, to) = (analysis.seconds_at(span.start), analysis.seconds_at(span.end));
                if to <= from {
                    return Err(FilmError::Wish("there is no music to play".to_owned()));
                }
                (What::Music(from, to), to - from)
            }
            Subject::Levels { levels, way_s, hair_share } => {
                let count = analysis.arm_path.fan.all().count();
                if levels.iter().any(|level| usize::from(*level) >= count) {
                    return Err(FilmError::Wish("this instrument has no such level of the arm".to_owned()));
                }
                let planes: Vec<Plane> =
                    levels.iter().map(|level| Plane::of_index(usize::from(*level))).collect();
                let ways = 2 * planes.len().saturating_sub(1).max(1);
                let stay = if planes.len() > 1 { STAY } else { 0.0 };
                let hair_share = if hair_share.is_finite() { hair_share.clamp(0.0, 1.0) } else { 0.5 };
                (What::Levels { planes, way_s: *way_s, hair_share }, ways as f64 * way_s * (1.0 + stay))
            }
        };
        // What goes round stands nowhere.
        let pause_s = if matches!(what, What::Music(..)) { film.pause_s } else { 0.0 };
        let frames = (pause_s + lasts_s) * f64::from(film.rate);
        if frames > MOST_FRAMES as f64 {
            return Err(FilmError::Wish(format!(
                "{:.0} s at {} frames a second are more than {MOST_FRAMES} frames; choose fewer bars, a faster tempo or fewer frames a second",
                pause_s + lasts_s,
                film.rate
            )));
        }
        let count = (frames - 1e-6).ceil().max(1.0) as usize;
        Ok(Self { what, pause_s, rate: film.rate, count })
    }

    /// When a frame is shown, s from the start.
    pub fn time_s(&self, frame: usize) -> f64 {
        frame as f64 / f64::from(self.rate)
    }

    /// Time in the music at a frame, s; none where the arm alone is shown.
    pub fn music_s(&self, frame: usize) -> Option<f64> {
        match &self.what {
            What::Music(from, to) => Some((from + (self.time_s(frame) - self.pause_s).max(0.0)).min(*to)),
            What::Levels { .. } => None,
        }
    }

    /// The bow at a frame.
    pub fn bow(&self, study: &Study, frame: usize) -> BowState {
        let analysis = study.analysis();
        match &self.what {
            What::Music(..) => analysis.bow_at(self.music_s(frame).unwrap_or(0.0)),
            What::Levels { planes, way_s, hair_share } => {
                let whole = analysis.arm_path.arm.hair_mm();
                let (from, to, share, hair) = match &planes[..] {
                    [only] => {
                        let to_and_fro = 1.0 - (1.0 - self.time_s(frame) / way_s).abs();
                        (*only, *only, 0.0, to_and_fro)
                    }
                    planes => {
                        let (from, to, share) = on_the_way(planes.len(), self.time_s(frame) / way_s);
                        (planes[from], planes[to], share, *hair_share)
                    }
                };
                analysis.bow_between((from, to), share, hair * whole)
            }
        }
    }
}

/// Between which two of so many places one is after so many ways up to the last and back, and how far: on each
/// one stays a while.
fn on_the_way(places: usize, ways: f64) -> (usize, usize, f64) {
    let round = 2 * (places - 1);
    let ways = ways / (1.0 + STAY);
    let leg = ways.floor() as usize % round;
    let place = |leg: usize| if leg < places { leg } else { round - leg };
    let share = ((ways.fract() * (1.0 + STAY) - STAY).max(0.0)).clamp(0.0, 1.0);
    (place(leg), place((leg + 1) % round), share * share * (3.0 - 2.0 * share))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_arm_stays_goes_and_comes_back() {
        let way = 1.0 + STAY;
        for (ways, from, to, share) in [
            (0.0, 0, 1, 0.0),
            (0.5 * STAY, 0, 1, 0.0),
            (STAY + 0.5, 0, 1, 0.5),
            (way, 1, 2, 0.0),
            (2.0 * way, 2, 1, 0.0),
            (3.0 * way + STAY + 0.5, 1, 0, 0.5),
            (4.0 * way, 0, 1, 0.0),
        ] {
            let (a, b, part) = on_the_way(3, ways + 1e-9);
            assert_eq!((a, b), (from, to), "{ways}");
            assert!((part - share).abs() < 1e-6, "{ways}: {part}");
        }
    }
}
