//! The short strokes that bring the bow back since the path as marked last met the plan.

use super::{
    super::{
        case::Case,
        correction::Correction,
        trial::{Change, Proposal},
    },
    speed::{FACTOR_STEP, FACTORS},
};
use crate::{
    bowing::{Kind, Verdict, as_fast},
    score::{SameBow, count_words},
};

/// A bow that lasts at most so much of those outward can come back light and quick. Assumed.
const LIGHT_PART: f64 = 0.7;
/// At most this many returns are changed as one figure. Assumed.
const MOST_RETURNS: usize = 64;

/// What is missing saved in the strokes one way and spent in those back; the returns alone lighter and
/// faster, or in one bow with the long strokes; the long strokes alone slower.
pub fn returns(case: &Case) -> Vec<Proposal> {
    let Some(figure) = Figure::of(case) else { return Vec::new() };
    let shared = figure.shared();
    shared.into_iter().chain(figure.lighter()).chain(figure.hooked()).chain(figure.saved()).collect()
}

/// Long strokes one way and short ones back, before the stroke that runs out.
struct Figure<'a> {
    case: &'a Case<'a>,
    /// Its first stroke.
    since: usize,
    /// The strokes that bring the bow back.
    returns: Vec<usize>,
    /// The strokes that go the way of the one that runs out.
    outward: Vec<usize>,
}

impl<'a> Figure<'a> {
    /// None where no stroke brings the bow back, or too many do to be one figure.
    fn of(case: &'a Case<'a>) -> Option<Self> {
        if matches!(case.finding.kind, Kind::Creep | Kind::SlurParity) {
            return Self::creeping(case);
        }
        let since = case.met();
        if case.finding.verdict > Verdict::RunsOut || case.finding.short_mm <= 0.0 {
            return None;
        }
        let away = case.direction(case.stroke);
        let (outward, returns): (Vec<usize>, Vec<usize>) =
            (since..case.stroke).partition(|&stroke| case.direction(stroke) == away);
        (1..=MOST_RETURNS).contains(&returns.len()).then_some(Self { case, since, returns, outward })
    }

    /// The pairs of strokes alike that a figure which creeps is made of, from its first on; none where a
    /// pattern of more strokes creeps.
    fn creeping(case: &'a Case<'a>) -> Option<Self> {
        let since = case.stroke;
        let rhythm = |stroke: usize| {
            case.notes(stroke)
                .map(|k| (case.note(k).duration, case.analysis().bowed(k).stroke_type))
                .collect()
        };
        let like = |stroke: usize| -> bool {
            let (here, before): (Vec<_>, Vec<_>) = (rhythm(stroke), rhythm(stroke - 2));
            case.stays(stroke) && here == before
        };
        let count = case.analysis().bowing.strokes.len();
        let end = (since + 2..count).find(|&stroke| !like(stroke)).unwrap_or(count);
        let pairs = (end - since) / 2;
        if !(2..=MOST_RETURNS).contains(&pairs) {
            return None;
        }
        let (first, second): (Vec<usize>, Vec<usize>) =
            (since..since + 2 * pairs).partition(|stroke| (stroke - since).is_multiple_of(2));
        let mm = |strokes: &[usize]| -> f64 { strokes.iter().map(|&stroke| case.hair(stroke).0).sum() };
        let (outward, returns) = if mm(&first) >= mm(&second) { (first, second) } else { (second, first) };
        Some(Self { case, since, returns, outward })
    }

    /// What may be left over of the strokes outward, mm.
    fn spare_mm(&self, out: f64, back: f64) -> f64 {
        match self.case.finding.verdict {
            Verdict::Impossible | Verdict::RunsOut => out - back - self.case.finding.short_mm,
            Verdict::Tight | Verdict::Notice => 0.0,
        }
    }

    /// The strokes outward, with the one that runs out.
    fn outward(&self) -> Vec<usize> {
        let runs_out = (!self.outward.contains(&self.case.stroke)
            && !self.returns.contains(&self.case.stroke))
        .then_some(self.case.stroke);
        self.outward.iter().copied().chain(runs_out).collect()
    }

    /// Hair that strokes want, mm.
    fn wanted(&self, strokes: &[usize]) -> f64 {
        strokes.iter().map(|&stroke| self.case.hair(stroke).0).sum()
    }

    /// "bar 8, beat 3" of the start of a stroke.
    fn at(&self, stroke: usize) -> String {
        self.case.at(self.case.notes(stroke).start)
    }

    /// As much is saved one way as spent back, each in proportion: with O the hair of the strokes one way, B
    /// of those back and N what may be left over, O r - B / r = N.
    fn shared(&self) -> Option<Proposal> {
        let case = self.case;
        let outward = self.outward();
        let (out, back) = (self.wanted(&outward), self.wanted(&self.returns));
        let left = self.spare_mm(out, back);
        let save = (left + (left * left + 4.0 * out * back).sqrt()) / (2.0 * out);
        // Saved more, and so spent more, than just enough.
        let save = (save / FACTOR_STEP + 1e-9).floor() * FACTOR_STEP;
        let spend = (100.0 / save).round() / 100.0;
        if !(FACTORS.0..1.0).contains(&save) {
            return None;
        }
        let first = self.outward.first().unwrap_or(&case.stroke).min(&self.returns[0]);
        let way = |stroke: usize| case.direction(stroke).bow_word();
        let words = format!(
            "From {} on save in the {}s, {}, and come back in the {}s, {}",
            self.at(*first),
            way(outward[0]),
            as_fast(save),
            way(self.returns[0]),
            as_fast(spend)
        );
        let ids = |strokes: &[usize]| strokes.iter().flat_map(|&stroke| case.ids(stroke)).collect();
        let saved = Correction::Speed(ids(&outward), save);
        let spent = Correction::Speed(ids(&self.returns), spend);
        Some(Proposal::new(Change::SaveBow, words, [saved, spent]))
    }

    /// A bow back is light and quick where it is shorter than the bows outward and has no weight of its own.
    fn can_be_light(&self) -> bool {
        let case = self.case;
        let mean_s = |strokes: &[usize]| {
            let seconds = |&stroke: &usize| -> f64 {
                case.notes(stroke).map(|k| case.analysis().piece(k).seconds).sum()
            };
            strokes.iter().map(seconds).sum::<f64>() / strokes.len().max(1) as f64
        };
        let heavy =
            |&stroke: &usize| case.notes(stroke).any(|k| case.is_accented(k) || case.note(k).notes.len() > 2);
        mean_s(&self.returns) <= LIGHT_PART * mean_s(&self.outward()) && !self.returns.iter().any(heavy)
    }

    fn lighter(&self) -> Vec<Proposal> {
        if !self.can_be_light() {
            return Vec::new();
        }
        let back = self.wanted(&self.returns);
        let first = self.at(self.returns[0]);
        let what =
            if self.returns.len() > 1 { "Light, fast bows back, from" } else { "A light, fast bow back at" };
        let ids: Vec<_> = self.returns.iter().flat_map(|&stroke| self.case.ids(stroke)).collect();
        // Just what is missing, or all the way back: the speeds are then as the times.
        [(back + self.case.finding.short_mm) / back, self.wanted(&self.outward) / back]
            .map(|factor| (factor / FACTOR_STEP).ceil() * FACTOR_STEP)
            .into_iter()
            .filter(|&factor| factor > 1.0 && factor <= FACTORS.1)
            .map(|factor| {
                let words = format!("{what} {first}: {}", as_fast(factor));
                Proposal::new(Change::Return, words, [Correction::Speed(ids.clone(), factor)])
            })
            .collect()
    }

    fn hooked(&self) -> Option<Proposal> {
        if self.returns.len() < 2 {
            return None;
        }
        let joined: Vec<usize> = (self.returns.iter().copied())
            .filter(|&stroke| stroke > self.since && self.case.stays(stroke))
            .collect();
        let hook = |&stroke: &usize| {
            let head = self.case.note(self.case.notes(stroke).start);
            Correction::Join(head.id(), SameBow::Hooked)
        };
        let words = match joined.len() {
            1 => format!("Hook the return at {}", self.at(joined[0])),
            count => {
                format!(
                    "Hook the {} short bows back, from {} on",
                    count_words(count),
                    self.at(self.returns[0])
                )
            }
        };
        Some(Proposal::new(Change::Hook, words, joined.iter().map(hook).collect::<Vec<_>>()))
    }

    fn saved(&self) -> Option<Proposal> {
        let case = self.case;
        let outward = self.outward();
        let (all, back) = (self.wanted(&outward), self.wanted(&self.returns));
        let factor = (back + self.spare_mm(all, back)) / all;
        let factor = (factor / FACTOR_STEP).floor() * FACTOR_STEP;
        let first = self.outward.first().filter(|_| (FACTORS.0..1.0).contains(&factor))?;
        let ids = outward.iter().flat_map(|&stroke| case.ids(stroke)).collect();
        let words = format!(
            "Save bow from {} on: {} in the {}s",
            self.at(*first),
            as_fast(factor),
            case.direction(*first).bow_word()
        );
        Some(Proposal::new(Change::SaveBow, words, [Correction::Speed(ids, factor)]))
    }
}
