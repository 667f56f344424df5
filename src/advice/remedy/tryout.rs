//! Changes tried for real: made in a copy, analysed, compared with what was found before.

use std::collections::VecDeque;

use crate::{
    analysis::Study,
    bowing::{Finding, Verdict},
    lesson::{Edit, Lesson, change},
};

use super::{
    super::{
        difference::{Told, marks_changed},
        standing::{Changed, Standing, told_weight},
    },
    bent::Bent,
    effect::{also, effect},
    everywhere::everywhere,
    kinds::trials,
    lost::{lost, overrules_a_mark},
    offer::Remedy,
    outcome::{Left, Outcome},
    rank::{Trouble, rank},
    reach::Reach,
    trial::{Change, Trial},
};

/// Share of the tempo to which the smallest change of tempo is found. Assumed.
const TEMPO_STEP: f64 = 0.01;
/// With so many single changes that cure, two at once are not tried. Assumed.
const ENOUGH: usize = 3;

/// All remedies of a finding, the best first. The same input always gives the same list.
pub fn remedies(study: &Study, finding: &Finding) -> Vec<Remedy> {
    let mut tried = Vec::new();
    each_remedy(study, finding, &mut |remedy, _| {
        tried.extend(remedy);
        true
    });
    rank(tried)
}

/// Tries one change after the other and tells of each what came of it, if anything, and how many
/// were tried of how many; false stops it. What eases one of several places is tried at all of them;
/// two changes at once are tried only where few single ones cure.
pub fn each_remedy(
    study: &Study,
    finding: &Finding,
    tell: &mut dyn FnMut(Option<Remedy>, (usize, usize)) -> bool,
) {
    let before = Before::of(study, finding);
    let (double, single): (Vec<Trial>, Vec<Trial>) =
        trials(study, finding).into_iter().partition(Trial::is_double);
    let (mut cures, mut count) = (0, (0, 0));
    for list in [single, double] {
        if cures >= ENOUGH {
            return;
        }
        count.1 += list.len();
        let mut list: VecDeque<(Trial, Option<usize>)> =
            list.into_iter().map(|trial| (trial, None)).collect();
        while let Some((trial, stayed)) = list.pop_front() {
            let again = trial.clone();
            // Made at all places it must clear more of them than made at one.
            let remedy = before.tried(trial).filter(|remedy| stayed.is_none_or(|at| remedy.stays_at < at));
            if let Some(remedy) = &remedy {
                cures += usize::from(remedy.cures_plainly());
                if remedy.stays_at > 0 && remedy.outcome != Outcome::Leaves && stayed.is_none() {
                    let all = everywhere(study, finding, &again);
                    count.1 += usize::from(all.is_some());
                    list.extend(all.map(|trial| (trial, Some(remedy.stays_at))));
                }
            }
            count.0 += 1;
            if !tell(remedy, count) {
                return;
            }
        }
    }
}

/// Tries a change for a finding: makes it in a copy and analyses that.
///
/// A change of tempo is made as small as cures; its words and its edit then say so. None where the
/// edit cannot be applied or changes nothing.
pub fn try_out(study: &Study, finding: &Finding, trial: Trial) -> Option<Remedy> {
    Before::of(study, finding).tried(trial)
}

/// What is known before any change.
struct Before<'a> {
    study: &'a Study,
    finding: &'a Finding,
    standing: Standing,
    told: Told,
    missing_mm: f64,
}

impl<'a> Before<'a> {
    fn of(study: &'a Study, finding: &'a Finding) -> Self {
        let (standing, told) = (Standing::of(study), Told::new(study.analysis()));
        Self { study, finding, standing, told, missing_mm: missing_mm(study) }
    }

    fn tried(&self, trial: Trial) -> Option<Remedy> {
        let lesson = self.study.lesson();
        let (trial, study) = if trial.change == Change::Tempo {
            self.least_tempo(trial)?
        } else {
            let (next, _) = trial.edit.apply(lesson).ok()?;
            (trial, self.study.with(next))
        };
        if study.lesson() == lesson || overrules_a_mark(self.study, &study) {
            return None;
        }
        let (trouble, reach) =
            (Trouble::of(self.study, self.finding), Reach::between(self.study, &study, self.finding));
        if trouble.is_missed_by(&trial, &reach) {
            return None;
        }
        let after = Standing::of(&study);
        let bent = Bent::between(self.study, &study);
        let left = Left::of(&self.told, self.finding, (self.study, &study));
        let meant = self.finding.places() - left.elsewhere;
        let serious = left.new.iter().filter(|new| new.verdict < Verdict::Notice);
        let worse =
            after.weight(Changed::between(self.study, &study)) + bent.weight + lost(self.study, &study)
                - self.standing.weight(Changed::default());
        // What is left of the finding itself is counted by how much of it that is.
        let stays = left.here.map_or(0.0, |here| told_weight(here.verdict, here.heard));
        let score = &lesson.score;
        let turned = reach.turned_from.map(|at| score.place(at).bar_words());
        let says_light = trial.change == Change::Return;
        Some(Remedy {
            new_findings: serious.map(|finding| finding.title()).collect(),
            outcome: left.outcome(self.finding),
            stays_at: left.elsewhere,
            missing_mm: missing_mm(&study) - self.missing_mm,
            also: also(self.finding, &left),
            effect: effect(
                self.finding,
                &left,
                (&self.standing, &after),
                (&bent, says_light),
                turned.as_deref(),
            ),
            worse,
            price: worse + meant as f64 * told_weight(self.finding.verdict, self.finding.heard) - stays,
            left: left.part(self.finding),
            marks_changed: marks_changed(&lesson.score, &study.lesson().score)
                + other_changes(lesson, study.lesson()),
            trouble,
            reach,
            is_thin: bent.is_thin(),
            trial,
            before: self.standing.clone(),
            after,
            study,
        })
    }

    /// The smallest change of tempo toward that of the trial that cures, by bisection to 1 %.
    fn least_tempo(&self, trial: Trial) -> Option<(Trial, Study)> {
        let lesson = self.study.lesson();
        let (far, _) = trial.edit.apply(lesson).ok()?;
        let at = |share: f64| {
            let edit = change::set_tempo_share(lesson, share).ok()?;
            let next = self.study.with(edit.apply(lesson).ok()?.0);
            let outcome = Left::of(&self.told, self.finding, (self.study, &next)).outcome(self.finding);
            (outcome == Outcome::Cures).then_some(next)
        };
        let now = lesson.setup.tempo_share;
        let (mut good, mut bad) = (far.setup.tempo_share, now);
        let mut best = at(good)?;
        while (good - bad).abs() > TEMPO_STEP * now {
            // On whole hundredths, so that the words are exact.
            let middle = ((good + bad) / 2.0 / TEMPO_STEP).round() * TEMPO_STEP;
            if (middle - good).abs() < TEMPO_STEP / 2.0 || (middle - bad).abs() < TEMPO_STEP / 2.0 {
                break;
            }
            match at(middle) {
                Some(found) => (good, best) = (middle, found),
                None => bad = middle,
            }
        }
        let way = if good > now { "faster" } else { "slower" };
        let words = format!("Take it {way}, at {:.0} % of the marked tempo", good * 100.0);
        let edit = Edit::between(words.clone(), lesson, best.lesson());
        Some((Trial { words, edit, ..trial }, best))
    }
}

/// Hair missing in all, mm: where it cannot be played, and where a player feels it.
fn missing_mm(study: &Study) -> f64 {
    let (plan, rules) = (&study.analysis().plan, &study.lesson().setup.school.rules);
    let felt = plan.run_outs.iter().filter(|spot| spot.is_felt(rules)).map(|spot| spot.short_mm);
    plan.solution.impossible.iter().map(|spot| spot.short_mm).chain(felt).sum()
}

/// Dynamics, places on the bow, divided notes, speed factors and the tempo that differ.
fn other_changes(before: &Lesson, after: &Lesson) -> usize {
    let signs = others(&before.score.signs, &after.score.signs);
    let pins = others(&before.pins, &after.pins);
    let divided = before.score.events.len().abs_diff(after.score.events.len());
    let pairs = before.score.events.iter().zip(&after.score.events);
    let speeds = pairs.filter(|(a, b)| a.id == b.id && a.speed_factor != b.speed_factor).count();
    signs + pins + divided + speeds + usize::from(before.setup.tempo_share != after.setup.tempo_share)
}

/// How many of a list are not in the other, the greater of both ways. Most changes leave it alone.
fn others<T: PartialEq>(before: &[T], after: &[T]) -> usize {
    if before == after {
        return 0;
    }
    let missing = |of: &[T], from: &[T]| of.iter().filter(|one| !from.contains(one)).count();
    missing(before, after).max(missing(after, before))
}
