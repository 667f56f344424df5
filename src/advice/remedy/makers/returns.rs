//! The strokes that bring the bow back, and those that carry it away: what is missing is shared out among them.

use std::ops::Range;

use super::{
    super::{
        case::Case,
        correction::Correction,
        reach::seconds,
        trial::{Change, Proposal},
    },
    speed::{FACTOR_STEP, FACTORS},
};
use crate::{
    bowing::{Kind, UNSEEN, Verdict, as_fast},
    score::{SameBow, StrokeType, count_words},
};

/// A bow that lasts at most so much of those outward can come back light and quick. Assumed.
const LIGHT_PART: f64 = 0.75;
/// A bow at least so much as long as another is as long. Assumed.
const EQUAL_PART: f64 = 0.9;
/// A bow back is drawn at most so many times as fast, before another one is taken to help or some of it stays. Assumed:
/// faster ones stick out.
const EASY_FACTOR: f64 = 2.0;
/// At most this many returns are changed as one figure. Assumed.
const MOST_RETURNS: usize = 64;
/// Longest figure looked for, strokes. Assumed, as for the finding.
const LONGEST: usize = 16;
/// On the string a short note takes so many times the bow it would get there. Assumed.
const ON_THE_STRING: f64 = 1.5;

/// The returns alone longer and lighter; what is missing saved one way and spent the other; the returns in one
/// bow with the long strokes; the long strokes alone slower.
pub fn returns(case: &Case) -> Vec<Proposal> {
    let Some(figure) = Figure::of(case) else { return Vec::new() };
    // Nothing is drawn faster to mend a bow that is too fast.
    let (lighter, shared) = match case.finding.kind {
        Kind::Rush => (Vec::new(), None),
        _ => (figure.lighter(), figure.shared()),
    };
    lighter.into_iter().chain(shared).chain(figure.hooked()).chain(figure.saved()).collect()
}

/// Strokes one way and strokes back, around the spot or before it.
struct Figure<'a> {
    case: &'a Case<'a>,
    /// Its first stroke.
    since: usize,
    /// The strokes that bring the bow back.
    returns: Vec<usize>,
    /// The strokes that carry it away.
    outward: Vec<usize>,
    /// Hair that is to be won, mm; none where as much is to come back as goes out.
    missing_mm: Option<f64>,
}

impl<'a> Figure<'a> {
    /// None where no stroke brings the bow back, or too many do to be one figure.
    fn of(case: &'a Case<'a>) -> Option<Self> {
        let figure = match (case.finding.kind, case.finding.verdict) {
            (Kind::Creep | Kind::SlurParity, _) => Self::creeping(case)?,
            // No bow back makes another one shorter.
            (Kind::NearSlowest | Kind::TightPlace, _) | (_, Verdict::Impossible) => return None,
            (_, Verdict::RunsOut) => Self::before(case),
            (_, Verdict::Tight | Verdict::Notice) => Self::around(case),
        };
        let figure = figure.unequal();
        let is_one = (1..=MOST_RETURNS).contains(&figure.returns.len())
            && figure.missing_mm.is_none_or(|missing| missing > 0.0);
        is_one.then_some(figure)
    }

    /// What leads to a stroke that runs out.
    fn before(case: &'a Case<'a>) -> Self {
        let away = case.direction(case.stroke);
        let since = case.met().min(case.chain_start().max(case.stroke.saturating_sub(UNSEEN)));
        let (outward, returns) = (since..case.stroke).partition(|&stroke| case.direction(stroke) == away);
        Self { case, since, returns, outward, missing_mm: Some(case.finding.short_mm) }
    }

    /// What lies around a stroke that gets too little or too much: what it lacks comes back before it, what it has
    /// to bring back alone comes in the others too.
    fn around(case: &'a Case<'a>) -> Self {
        let (wanted, planned) = case.hair(case.stroke);
        let lacks = planned < wanted;
        let here = case.direction(case.stroke);
        let away = if lacks { here } else { here.turned() };
        let since = case.chain_start().max(case.stroke.saturating_sub(UNSEEN));
        let count = case.analysis().bowing.strokes.len();
        let end = (case.stroke + 1..(case.stroke + 3).min(count)).find(|&stroke| !case.stays(stroke));
        let end = end.unwrap_or((case.stroke + 3).min(count));
        let others = (since..end).filter(|&stroke| stroke != case.stroke);
        let (outward, returns) = others.partition(|&stroke| case.direction(stroke) == away);
        Self { case, since, returns, outward, missing_mm: Some((wanted - planned).abs()) }
    }

    /// A figure that creeps, from its first stroke on: the shortest that comes again.
    fn creeping(case: &'a Case<'a>) -> Option<Self> {
        let strokes = (2..=LONGEST).step_by(2).find_map(|period| repeated(case, period))?;
        let since = strokes.start;
        let here = case.direction(since);
        let (first, second): (Vec<usize>, Vec<usize>) =
            strokes.partition(|&stroke| case.direction(stroke) == here);
        let mm = |strokes: &[usize]| -> f64 { strokes.iter().map(|&stroke| case.hair(stroke).0).sum() };
        let (outward, returns) = if mm(&first) >= mm(&second) { (first, second) } else { (second, first) };
        Some(Self { case, since, returns, outward, missing_mm: None })
    }

    /// The same without what is as long as the strokes beside it: equal strokes stay equal.
    fn unequal(mut self) -> Self {
        let case = self.case;
        let seconds = |stroke: usize| seconds(case.analysis(), stroke);
        let beside = |stroke: usize| {
            let before = stroke.checked_sub(1).filter(|_| case.stays(stroke));
            let after = Some(stroke + 1).filter(|&next| case.stays(next));
            before.into_iter().chain(after).map(seconds)
        };
        let is_shorter = |stroke: &usize| seconds(*stroke) < EQUAL_PART * beside(*stroke).fold(0.0, f64::max);
        let is_longer =
            |stroke: &usize| beside(*stroke).fold(f64::INFINITY, f64::min) < EQUAL_PART * seconds(*stroke);
        self.returns.retain(is_shorter);
        self.outward.retain(is_longer);
        self
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
        let runs_out = self.case.finding.verdict <= Verdict::RunsOut
            && !self.outward.contains(&self.case.stroke)
            && !self.returns.contains(&self.case.stroke);
        self.outward.iter().copied().chain(runs_out.then_some(self.case.stroke)).collect()
    }

    /// Hair that strokes want, mm.
    fn wanted(&self, strokes: &[usize]) -> f64 {
        strokes.iter().map(|&stroke| self.case.hair(stroke).0).sum()
    }

    /// "bar 8, beat 3" of the start of a stroke.
    fn at(&self, stroke: usize) -> String {
        self.case.at(self.case.notes(stroke).start)
    }

    /// "up-bow" of the strokes back.
    fn back(&self) -> &'static str {
        self.case.direction(self.returns[0]).bow_word()
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
        let words = format!(
            "From {} on save in the {}s, {}, and come back in the {}s, {}",
            self.at(*first),
            case.direction(outward[0]).bow_word(),
            as_fast(save),
            self.back(),
            as_fast(spend)
        );
        let saved = Correction::Speed(ids(case, &outward), save);
        let spent = Correction::Speed(ids(case, &self.returns), spend);
        Some(Proposal::new(Change::SaveBow, words, [saved, spent]))
    }

    /// The returns that can be light, the nearest to the spot first: shorter than the bows outward, with no weight
    /// of their own.
    fn light(&self) -> Vec<usize> {
        let seconds = |stroke: usize| seconds(self.case.analysis(), stroke);
        let mut outward = self.outward();
        outward.push(self.case.stroke);
        let mean_s = outward.iter().map(|&stroke| seconds(stroke)).sum::<f64>() / outward.len() as f64;
        let is_light =
            |stroke: &usize| seconds(*stroke) <= LIGHT_PART * mean_s && self.case.can_be_light(*stroke);
        let mut light: Vec<usize> = self.returns.iter().copied().filter(is_light).collect();
        light.sort_by_key(|stroke| stroke.abs_diff(self.case.stroke));
        light
    }

    /// The bows back alone: so many as can win what is missing easily, or all of them.
    fn lighter(&self) -> Vec<Proposal> {
        let light = self.light();
        let missing = self.missing_mm.unwrap_or(self.wanted(&self.outward) - self.wanted(&self.returns));
        if light.is_empty() || missing <= 0.0 {
            return Vec::new();
        }
        let needs = |strokes: &[usize]| 1.0 + missing / self.wanted(strokes).max(1.0);
        let all = 1..=light.len();
        let few = all.clone().find(|&count| needs(&light[..count]) <= EASY_FACTOR);
        let counts = if self.missing_mm.is_none() {
            vec![light.len()]
        } else {
            vec![few.unwrap_or(light.len()), light.len()]
        };
        let mut found: Vec<Proposal> = Vec::new();
        for count in counts {
            let strokes = &light[..count];
            let factor = (needs(strokes) / FACTOR_STEP).ceil() * FACTOR_STEP;
            // As much as can be made up: the rest is eased.
            let factor = factor.min(self.most(strokes));
            found.extend(self.longer(strokes, factor));
        }
        // All the way back: the speeds are then as the times.
        let even =
            (self.wanted(&self.outward) / self.wanted(&light).max(1.0) / FACTOR_STEP).ceil() * FACTOR_STEP;
        found.extend(self.longer(&light, even.min(self.most(&light))));
        let is_off = |&stroke: &usize| {
            let kind = self.case.analysis().bowed(self.case.notes(stroke).start).stroke_type;
            matches!(kind, StrokeType::Spiccato | StrokeType::Lifted | StrokeType::Sautille)
        };
        if few.is_none() {
            let off: Vec<usize> = light.iter().copied().filter(is_off).collect();
            found.extend(self.on_the_string(&off));
        }
        found
    }

    /// The greatest factor by which these strokes can be longer: for the player, and on the hair.
    fn most(&self, strokes: &[usize]) -> f64 {
        let analysis = self.case.analysis();
        let (lo, hi) = analysis.plan.problem.usable;
        let of = |&stroke: &usize| {
            let fastest: f64 = self.case.notes(stroke).map(|k| analysis.piece(k).max_mm).sum();
            fastest.min(hi - lo) / self.case.hair(stroke).0.max(1.0)
        };
        let most = strokes.iter().map(of).fold(EASY_FACTOR, f64::min);
        (most / FACTOR_STEP).floor() * FACTOR_STEP
    }

    fn longer(&self, strokes: &[usize], factor: f64) -> Option<Proposal> {
        let words = format!("{}: {}", self.long_light(strokes)?, as_fast(factor));
        let ids = ids(self.case, strokes);
        (factor > 1.0).then(|| Proposal::new(Change::Return, words, [Correction::Speed(ids, factor)]))
    }

    /// Off the string a short note takes hardly any bow: on it, it takes what is needed.
    fn on_the_string(&self, strokes: &[usize]) -> Option<Proposal> {
        let words = format!("{}, on the string", self.long_light(strokes)?);
        let ids = ids(self.case, strokes);
        let stroke = Correction::Stroke(ids.clone(), StrokeType::Detache);
        Some(Proposal::new(Change::Return, words, [stroke, Correction::Speed(ids, ON_THE_STRING)]))
    }

    /// "A long, light up-bow at bar 8", "Long, light up-bows back, from bar 8 on".
    fn long_light(&self, strokes: &[usize]) -> Option<String> {
        let first = self.at(*strokes.iter().min()?);
        Some(match strokes.len() {
            1 => format!("A long, light {} back at {first}", self.back()),
            _ => format!("Long, light {}s back, from {first} on", self.back()),
        })
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
        let all = self.wanted(&outward);
        let factor = match self.missing_mm {
            Some(missing) => (all - missing) / all,
            None => self.wanted(&self.returns) / all,
        };
        let factor = (factor / FACTOR_STEP).floor() * FACTOR_STEP;
        let first = outward.first().filter(|_| (FACTORS.0..1.0).contains(&factor))?;
        let words = format!(
            "Save bow from {} on: {} in the {}s",
            self.at(*first),
            as_fast(factor),
            case.direction(*first).bow_word()
        );
        Some(Proposal::new(Change::SaveBow, words, [Correction::Speed(ids(case, &outward), factor)]))
    }
}

/// The written notes of strokes, in the order of the music.
fn ids(case: &Case, strokes: &[usize]) -> Vec<crate::score::EventId> {
    let mut strokes = strokes.to_vec();
    strokes.sort_unstable();
    strokes.iter().flat_map(|&stroke| case.ids(stroke)).collect()
}

/// The strokes from the spot on in which a figure of so many comes again and again, at least twice.
fn repeated(case: &Case, period: usize) -> Option<Range<usize>> {
    let since = case.stroke;
    let rhythm = |stroke: usize| -> Vec<_> {
        let notes = case.notes(stroke);
        notes.map(|k| (case.note(k).duration, case.analysis().bowed(k).stroke_type)).collect()
    };
    let like = |stroke: usize| case.stays(stroke) && rhythm(stroke) == rhythm(stroke - period);
    let count = case.analysis().bowing.strokes.len();
    let end = (since + period..count).find(|&stroke| !like(stroke)).unwrap_or(count);
    let times = (end.min(count) - since) / period;
    let stays = (since + 1..since + period).all(|stroke| case.stays(stroke));
    (times >= 2 && stays).then_some(since..since + times * period)
}
