//! From every spot a rule has seen to the few findings a person reads.

use std::collections::BTreeMap;

use strum::EnumCount as _;

use super::{
    bounce, chords, direction, figures,
    finding::{Finding, Verdict},
    hair, hand,
    kinds::Kind,
    levels, lifts,
    notices::notices,
    said::{About, Raw},
    speed, tone,
};
use crate::{
    bowing::evidence::Evidence,
    score::{Dynamic, EventId, Quarters},
};

/// What there is to tell, and what is not told.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Findings {
    /// Findings in the order of the music; at one place the worst first.
    pub told: Vec<Finding>,
    /// Findings the lesson silences, with the reason given.
    pub silenced: Vec<(Finding, String)>,
    /// What was assumed or left out.
    pub notices: Vec<String>,
    /// Where something happens, in the order of the music: when, the finding, and which of its further places.
    places: Vec<(Quarters, usize, Option<usize>)>,
}

impl Findings {
    /// All findings of a lesson: one for one cause, without the kinds its school has switched off and
    /// the spots it has silenced.
    pub fn new(evidence: &Evidence) -> Self {
        let mut raws = Vec::new();
        for rule in [
            hair::rule,
            hand::rule,
            speed::rule,
            figures::rule,
            bounce::rule,
            chords::rule,
            direction::rule,
            lifts::rule,
            levels::rule,
            tone::rule,
        ] {
            rule(evidence, &mut raws);
        }
        let off = &evidence.rules().off;
        raws.retain(|raw| !off.contains(raw.finding.kind.id()));
        let (kept, hidden) = split_silenced(
            evidence,
            without_followers(evidence, once_per_place(raws, evidence.strokes().len())),
        );
        let mut silenced = Vec::new();
        for (reason, raws) in hidden {
            let groups = joined(evidence, raws);
            silenced.extend(groups.into_iter().map(|finding| (finding, reason.clone())));
        }
        silenced.sort_by_key(|(finding, _)| (finding.at, finding.verdict, finding.kind));
        let notices = notices(&evidence.lesson.score, evidence.line, evidence.plan);
        let mut told = joined(evidence, kept);
        told.retain(|finding| !goes_by(evidence, finding));
        let places = places(&told);
        Self { told, silenced, notices, places }
    }

    /// What happens, where hair ends the end of it, from `from` until `to`, in the order of the music: the finding, as
    /// an index, and which of its further places it is; none for its own.
    pub fn between(
        &self,
        from: Quarters,
        to: Quarters,
    ) -> impl Iterator<Item = (usize, Option<usize>)> + use<'_> {
        let first = self.places.partition_point(|(at, ..)| *at < from);
        let here = self.places[first..].iter().take_while(move |(at, ..)| *at < to);
        here.map(|(_, finding, more)| (*finding, *more))
    }
}

/// A bow of less than so many seconds is short for [`goes_by`], s; from this dynamic on it is missed. Assumed.
const SHORT_S: f64 = 1.0;
const MISSED_FROM: f64 = Dynamic::Mf as usize as f64 - 0.25;

/// A short bow, softer than mezzo forte, runs out once: it is drawn with what is left, and nobody hears it. A figure in
/// which it comes again and again is to be told.
fn goes_by(evidence: &Evidence, finding: &Finding) -> bool {
    let Some(piece) = evidence.bowing.bowed_of(finding.note) else { return false };
    let short = evidence.seconds(evidence.bowing.stroke_of(piece)) < SHORT_S;
    let drawn = matches!(finding.kind, Kind::RunsOutDrift | Kind::RunsOutStart);
    drawn && finding.more.is_empty() && short && evidence.level(piece) < MISSED_FROM
}

/// Every place of some findings, in the order of the music.
fn places(findings: &[Finding]) -> Vec<(Quarters, usize, Option<usize>)> {
    let of = |(index, finding): (usize, &Finding)| {
        let more = finding.more.iter().enumerate().map(|(nth, spot)| (spot.out, Some(nth)));
        let all: Vec<_> = std::iter::once((finding.out, None)).chain(more).collect();
        all.into_iter().map(move |(at, nth)| (at, index, nth))
    };
    let mut places: Vec<_> = findings.iter().enumerate().flat_map(of).collect();
    places.sort_unstable();
    places
}

/// The order in which to read findings: the worse verdict first, then what is heard more plainly,
/// then the place. Indices into `findings`.
pub fn ranked(findings: &[Finding]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..findings.len()).collect();
    order.sort_by(|&a, &b| worse_first(&findings[a], &findings[b]));
    order
}

fn worse_first(a: &Finding, b: &Finding) -> std::cmp::Ordering {
    // Small differences of what is heard are none.
    let heard = |finding: &Finding| (20.0 * finding.heard).round() as i64;
    // Whole centimetres; what is heard no longer tells where much is missing.
    let missing = |finding: &Finding| (finding.short_mm / 10.0).round() as i64;
    let key =
        |finding: &Finding| (finding.verdict, -heard(finding), -missing(finding), finding.at, finding.kind);
    key(a).cmp(&key(b))
}

/// Of findings about the same thing at one place only the worst stays. A spot that cannot be played
/// or runs out also explains the place of the bow there, and the speeds of the strokes beside it.
fn once_per_place(mut raws: Vec<Raw>, strokes: usize) -> Vec<Raw> {
    raws.sort_by(|a, b| worse_first(&a.finding, &b.finding));
    let about = |about: About| about as usize;
    let mut taken = [(); About::COUNT].map(|()| vec![false; strokes]);
    let mut impossible = vec![false; strokes];
    // Where how much bow is told of the stroke itself.
    let mut own_spots = vec![false; strokes];
    raws.retain(|raw| {
        let within = raw.strokes.start.min(strokes)..raw.strokes.end.min(strokes);
        let own = raw.finding.verdict;
        let told = match own {
            Verdict::Impossible => false,
            Verdict::RunsOut => impossible[within.clone()].contains(&true),
            Verdict::Tight | Verdict::Notice => {
                // A passage away from its place is explained only by what explains its worst spot.
                let spots =
                    if raw.about == About::Amount { within.clone() } else { raw.stroke..raw.stroke + 1 };
                taken[about(raw.about)][spots].contains(&true)
                    && (raw.finding.kind != Kind::NearSlowest || own_spots[raw.stroke])
            }
        };
        if told {
            return false;
        }
        // What the hand does not reach explains nothing of the bow.
        let of_bow = raw.about != About::Hand;
        let serious = of_bow && matches!(own, Verdict::Impossible | Verdict::RunsOut);
        if of_bow && own == Verdict::Impossible {
            impossible[within.clone()].fill(true);
        }
        if raw.about == About::Amount {
            own_spots[within.clone()].fill(true);
        }
        let wide = if raw.about == About::Amount {
            within.start.saturating_sub(1)..(within.end + 1).min(strokes)
        } else {
            within.clone()
        };
        taken[about(raw.about)][wide].fill(true);
        if serious {
            taken[about(About::Place)][within].fill(true);
        }
        true
    });
    raws
}

/// What runs out so many bars behind another bow that does is looked at with it. Assumed.
const FOLLOWS_BARS: usize = 4;

/// A bow that has no room left because another ran out on the way to it, or a little before it with no lift between,
/// is the same trouble: it joins that one where it is of its kind or of its rhythm, and goes without a word where it
/// is of neither. What comes first is what there is to cure, so that it leads.
///
/// Keeps the order of the others.
fn without_followers(evidence: &Evidence, raws: Vec<Raw>) -> Vec<Raw> {
    let mut order: Vec<usize> = (0..raws.len()).collect();
    order.retain(|&raw| raws[raw].finding.verdict == Verdict::RunsOut && raws[raw].about == About::Amount);
    order.sort_by_key(|&raw| raws[raw].stroke);
    let mut of: Vec<Follows> = raws.iter().map(|_| Follows::None).collect();
    let mut leader: Option<usize> = None;
    for raw in order {
        if let Some(leader) = leader.filter(|&leader| follows(evidence, &raws[leader], &raws[raw])) {
            let same = raws[leader].finding.kind == raws[raw].finding.kind
                || evidence.rhythm(raws[leader].stroke) == evidence.rhythm(raws[raw].stroke);
            let first = if let Follows::With(first) = of[leader] { first } else { leader };
            of[raw] = if same { Follows::With(first) } else { Follows::Silently };
            if !same {
                continue;
            }
        }
        leader = Some(raw);
    }
    let mut led: BTreeMap<usize, Vec<Raw>> = BTreeMap::new();
    let mut kept: Vec<(usize, Raw)> = Vec::with_capacity(raws.len());
    for (index, raw) in raws.into_iter().enumerate() {
        match of[index] {
            Follows::None => kept.push((index, raw)),
            Follows::With(first) => led.entry(first).or_default().push(raw),
            Follows::Silently => {}
        }
    }
    let mut all = Vec::new();
    for (index, first) in kept {
        let followers = led.remove(&index).unwrap_or_default();
        let (kind, cause) = (first.finding.kind, first.cause);
        all.push(first);
        all.extend(followers.into_iter().map(|mut raw| {
            (raw.finding.kind, raw.cause) = (kind, cause);
            raw
        }));
    }
    all
}

/// How a spot follows from another.
enum Follows {
    None,
    /// Told with this one.
    With(usize),
    Silently,
}

/// A bow runs out because of another before it.
fn follows(evidence: &Evidence, leader: &Raw, raw: &Raw) -> bool {
    let (first, last) = (evidence.first(leader.stroke), evidence.first(raw.stroke));
    if !matches!(raw.finding.kind, Kind::RunsOutDrift | Kind::RunsOutStart)
        || !evidence.same_section(first, last)
    {
        return false;
    }
    let bar = |at: Quarters| evidence.lesson.score.bar_at(at).unwrap_or(0);
    let between = leader.stroke + 1..=raw.stroke;
    let end = evidence.note(evidence.strokes()[leader.stroke].notes.end - 1).end();
    let near = bar(evidence.note(last).onset).saturating_sub(bar(end)) <= FOLLOWS_BARS
        && !between.clone().any(|stroke| evidence.strokes()[stroke].lift_before);
    let run_out = evidence.plan.run_out(&evidence.strokes()[raw.stroke].notes);
    let on_the_way = run_out.is_some_and(|spot| evidence.bowing.stroke_of(spot.since) <= leader.stroke);
    near || on_the_way
}

/// What is told, and what is silenced by the reason given.
fn split_silenced(evidence: &Evidence, raws: Vec<Raw>) -> (Vec<Raw>, BTreeMap<String, Vec<Raw>>) {
    let mut kept = Vec::with_capacity(raws.len());
    let mut silenced: BTreeMap<String, Vec<Raw>> = BTreeMap::new();
    for raw in raws {
        // How much bow is said of a whole stroke, at whichever of its notes.
        let notes = match raw.about {
            About::Amount => evidence.strokes()[raw.stroke].notes.clone(),
            _ => evidence.bowing.bowed_of(raw.finding.note).map_or(0..0, |piece| piece..piece + 1),
        };
        let is_here =
            |event: EventId| notes.clone().any(|piece| evidence.note(piece).events.contains(&event));
        let reason = evidence
            .lesson
            .silenced
            .iter()
            .find(|entry| entry.id == raw.finding.kind.id() && is_here(entry.event))
            .map(|entry| entry.reason.clone());
        match reason {
            Some(reason) => silenced.entry(reason).or_default().push(raw),
            None => kept.push(raw),
        }
    }
    (kept, silenced)
}

/// Findings of one kind about how much bow, so many bars apart, are one trouble, whatever their figures.
/// Assumed: a player sees them in one look.
const ONE_LOOK_BARS: usize = 1;

/// Joins the findings of one kind and cause, or about the amount of bow in neighbouring bars; the worst leads.
/// Expects the worst first.
///
/// Where the bar numbers begin again a group ends: "also at bar 12" means a bar near by.
fn joined(evidence: &Evidence, raws: Vec<Raw>) -> Vec<Finding> {
    let mut groups: Vec<Finding> = Vec::new();
    let mut of_cause: BTreeMap<(Kind, Verdict, u64, Option<usize>), usize> = BTreeMap::new();
    let mut of_bar: BTreeMap<(Kind, Verdict, Option<usize>, usize), usize> = BTreeMap::new();
    for raw in raws {
        let bar = evidence.line.notes[raw.finding.note].bar;
        let section = evidence.line.sections.get(bar).copied();
        let (kind, verdict) = (raw.finding.kind, raw.finding.verdict);
        let cause = (kind, verdict, raw.cause, section);
        let here = |bar: usize| (kind, verdict, section, bar);
        let near = of_bar
            .range(here(bar.saturating_sub(ONE_LOOK_BARS))..=here(bar + ONE_LOOK_BARS))
            .next()
            .map(|(_, index)| *index)
            .filter(|_| raw.about == About::Amount);
        let index = of_cause.get(&cause).copied().or(near);
        of_bar.insert(here(bar), index.unwrap_or(groups.len()));
        if let Some(index) = index {
            groups[index].more.push(raw.finding.spot());
        } else {
            of_cause.insert(cause, groups.len());
            groups.push(raw.finding);
        }
    }
    for group in &mut groups {
        group.more.sort_by_key(|spot| (spot.at, spot.note));
    }
    groups.sort_by_key(|finding| (finding.at, finding.verdict, finding.kind));
    groups
}
