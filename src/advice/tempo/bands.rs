//! Between which tempos a stroke works, and what it does where it does not.

use crate::bowing::Verdict;

/// Tempos at which a stroke goes alike.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// Slowest of these tempos that was tried, as a share of the marked tempo.
    pub from: f64,
    /// Fastest of them.
    pub to: f64,
    /// What is found there; none where it works.
    pub verdict: Option<Verdict>,
}

/// What a stroke does at these tempos, slowest first; where two neighbours differ, the tempos between
/// them are tried down to whole hundredths.
pub(super) fn bands(shares: &[f64], verdict: &mut dyn FnMut(f64) -> Option<Verdict>) -> Vec<Band> {
    let mut bands: Vec<Band> = Vec::new();
    for &share in shares {
        let here = Band { from: share, to: share, verdict: verdict(share) };
        if let Some(&before) = bands.last() {
            between(before, here, verdict, &mut bands);
        }
        push(&mut bands, here);
    }
    steady(bands)
}

/// A stroke that goes otherwise for less than this part of the tempo, and then as before, goes as before:
/// nobody practises between two steps of a metronome. Assumed: a step of the ladder.
const NARROW: f64 = 0.05;

/// The bands without those that flip and flip back within a step.
fn steady(mut bands: Vec<Band>) -> Vec<Band> {
    let narrow = |bands: &[Band], k: usize| {
        let (before, after) = (bands[k - 1], bands[k + 1]);
        let wide = after.from - before.to;
        (before.verdict == after.verdict && wide < NARROW + 0.01 - 1e-9).then_some((k, wide))
    };
    loop {
        let inner = 1..bands.len().saturating_sub(1);
        let least = inner.filter_map(|k| narrow(&bands, k)).min_by(|a, b| a.1.total_cmp(&b.1));
        let Some((k, _)) = least else { return bands };
        bands[k - 1].to = bands[k + 1].to;
        bands.drain(k..k + 2);
    }
}

/// Adds the tempos between two tried ones.
fn between(
    before: Band,
    after: Band,
    verdict: &mut dyn FnMut(f64) -> Option<Verdict>,
    bands: &mut Vec<Band>,
) {
    let middle = ((before.to + after.from) * 50.0).round() / 100.0;
    if before.verdict == after.verdict || middle <= before.to || middle >= after.from {
        return;
    }
    let here = Band { from: middle, to: middle, verdict: verdict(middle) };
    between(before, here, verdict, bands);
    push(bands, here);
    between(here, after, verdict, bands);
}

fn push(bands: &mut Vec<Band>, band: Band) {
    match bands.last_mut().filter(|last| last.verdict == band.verdict) {
        Some(last) => last.to = band.to,
        None => bands.push(band),
    }
}

/// "cannot be played below 65 % of the tempo, tight from 65 to 81 % and from 95 % up".
pub(super) fn words(bands: &[Band]) -> String {
    if let [Band { verdict: Some(verdict), .. }] = bands {
        let when = if *verdict == Verdict::Impossible { "at any" } else { "at every" };
        return format!("{} {when} tempo tried", plainly(*verdict));
    }
    let mut words = String::new();
    let mut said = None;
    for (k, band) in bands.iter().enumerate() {
        let Some(verdict) = band.verdict else { continue };
        if said == Some(verdict) {
            words.push_str(" and");
        } else {
            let comma = if words.is_empty() { "" } else { ", " };
            words.push_str(&format!("{comma}{}", plainly(verdict)));
        }
        let of_it = if said.is_none() { " of the tempo" } else { "" };
        words.push_str(&match bands.get(k + 1) {
            Some(next) if k == 0 => format!(" below {}{of_it}", percent(next.from)),
            None => format!(" from {}{of_it} up", percent(band.from)),
            Some(_) if band.from == band.to => format!(" at {}{of_it}", percent(band.from)),
            Some(_) => format!(" from {:.0} to {}{of_it}", 100.0 * band.from, percent(band.to)),
        });
        said = Some(verdict);
    }
    words
}

fn plainly(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Impossible => "cannot be played",
        Verdict::RunsOut => "the bow runs out",
        Verdict::Tight => "tight",
        Verdict::Notice => "worth a look",
    }
}

/// A share in whole percent, upward: below it a stroke that works from the share on does not work.
pub(super) fn percent(share: f64) -> String {
    format!("{:.0} %", (share * 100.0 - 1e-6).ceil())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(verdict: impl Fn(i64) -> Option<Verdict>) -> (String, usize) {
        let shares = [0.5, 0.75, 1.0];
        let mut tried = 0;
        let found = bands(&shares, &mut |share| {
            tried += 1;
            verdict((share * 100.0).round() as i64)
        });
        (words(&found), tried)
    }

    #[test]
    fn each_verdict_is_told_where_it_begins_and_ends() {
        use Verdict::{Impossible, RunsOut, Tight};
        let by = |limits: &'static [(i64, Option<Verdict>)]| {
            told(|share| limits.iter().find(|(to, _)| share <= *to).and_then(|(_, verdict)| *verdict)).0
        };
        assert_eq!(by(&[(100, Some(Impossible))]), "cannot be played at any tempo tried");
        assert_eq!(by(&[(100, Some(RunsOut))]), "the bow runs out at every tempo tried");
        assert_eq!(
            by(&[(64, Some(Impossible)), (81, Some(Tight)), (100, None)]),
            "cannot be played below 65 % of the tempo, tight from 65 to 81 %"
        );
        assert_eq!(
            by(&[(63, None), (64, Some(Tight)), (100, Some(RunsOut))]),
            "tight at 64 % of the tempo, the bow runs out from 65 % up"
        );
        assert_eq!(
            by(&[(60, Some(Tight)), (80, None), (100, Some(Tight))]),
            "tight below 61 % of the tempo and from 81 % up"
        );
        assert_eq!(by(&[(64, None), (100, Some(RunsOut))]), "the bow runs out from 65 % of the tempo up");
    }

    /// What flips for one step and back is noise, what lasts is told.
    #[test]
    fn a_flip_between_two_steps_is_none() {
        use Verdict::{RunsOut, Tight};
        let flips = |share: i64| (74..=76).contains(&share).then_some(Tight);
        assert_eq!(told(flips).0, "");
        let lasts = |share: i64| (70..=80).contains(&share).then_some(Tight);
        assert_eq!(told(lasts).0, "tight from 70 to 80 % of the tempo");
        let gap = |share: i64| (!(74..=76).contains(&share)).then_some(RunsOut);
        assert_eq!(told(gap).0, "the bow runs out at every tempo tried");
    }

    #[test]
    fn few_tempos_are_tried() {
        let (_, tried) = told(|share| (share < 63).then_some(Verdict::Tight));
        assert!(tried <= 3 + 5, "{tried}");
    }
}
