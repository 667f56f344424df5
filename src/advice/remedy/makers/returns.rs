//! The short strokes that bring the bow back since the path as marked last met the plan.

use super::{
    super::{
        case::Case,
        correction::Correction,
        trial::{Change, Proposal},
        words::two_places,
    },
    speed::{FACTOR_STEP, FACTORS},
};
use crate::{bowing::Verdict, score::SameBow};

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
        let since = case.met();
        if case.finding.verdict > Verdict::RunsOut || case.finding.short_mm <= 0.0 {
            return None;
        }
        let away = case.direction(case.stroke);
        let (outward, returns): (Vec<usize>, Vec<usize>) =
            (since..case.stroke).partition(|&stroke| case.direction(stroke) == away);
        (1..=MOST_RETURNS).contains(&returns.len()).then_some(Self { case, since, returns, outward })
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
        let outward: Vec<usize> = self.outward.iter().copied().chain([case.stroke]).collect();
        let (out, back) = (self.wanted(&outward), self.wanted(&self.returns));
        let left = out - back - case.finding.short_mm;
        let save = (left + (left * left + 4.0 * out * back).sqrt()) / (2.0 * out);
        // Saved more, and so spent more, than just enough.
        let save = (save / FACTOR_STEP + 1e-9).floor() * FACTOR_STEP;
        let spend = two_places(1.0 / save).parse().unwrap_or(1.0 / save);
        if !(FACTORS.0..1.0).contains(&save) {
            return None;
        }
        let first = self.outward.first().unwrap_or(&case.stroke).min(&self.returns[0]);
        let way = |stroke: usize| case.direction(stroke).bow_word();
        let words = format!(
            "From {} on save in the {}s, {} times the speed, and come back in the {}s, {} times",
            self.at(*first),
            way(case.stroke),
            two_places(save),
            way(self.returns[0]),
            two_places(1.0 / save)
        );
        let ids = |strokes: &[usize]| strokes.iter().flat_map(|&stroke| case.ids(stroke)).collect();
        let saved = Correction::Speed(ids(&outward), save);
        let spent = Correction::Speed(ids(&self.returns), spend);
        Some(Proposal::new(Change::SaveBow, words, [saved, spent]))
    }

    fn lighter(&self) -> Vec<Proposal> {
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
                let words = format!("{what} {first}: {} times the speed", two_places(factor));
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
            count => format!("Hook the {count} short bows back, from {} on", self.at(self.returns[0])),
        };
        Some(Proposal::new(Change::Hook, words, joined.iter().map(hook).collect::<Vec<_>>()))
    }

    fn saved(&self) -> Option<Proposal> {
        let case = self.case;
        let all = self.wanted(&self.outward) + case.hair(case.stroke).0;
        let factor = ((all - case.finding.short_mm) / all / FACTOR_STEP).floor() * FACTOR_STEP;
        let first = self.outward.first().filter(|_| factor >= FACTORS.0)?;
        let ids = self.outward.iter().chain([&case.stroke]).flat_map(|&stroke| case.ids(stroke)).collect();
        let words = format!(
            "Save bow from {} on: {} times the speed in the {}s",
            self.at(*first),
            two_places(factor),
            case.direction(case.stroke).bow_word()
        );
        Some(Proposal::new(Change::SaveBow, words, [Correction::Speed(ids, factor)]))
    }
}
