//! Remedies: changes that cure a finding, tried for real and ranked by what they leave.

mod everywhere;
mod kinds;
mod makers;
mod places;
mod step;
mod trial;

use std::collections::{BTreeMap, VecDeque};

use crate::{
    analysis::{Analysis, analyse_after},
    bowing::{Finding, Verdict},
    lesson::{Edit, Lesson, change},
    score::{EventId, cm},
};

use super::{
    difference::{Told, family},
    search::weight,
    standing::{Standing, marks_changed},
};
use everywhere::everywhere;

pub use makers::trials;
pub use trial::{Change, Trial};

/// What a change does to the finding it is tried for; the better comes first. Of a finding with
/// several places this is said of the first one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// Nothing of it is left in its stroke, and nothing as bad came up anywhere.
    Cures,
    /// Less of it is left: less hair missing, or heard less.
    Eases,
    /// It is gone from its stroke, but something as bad came up.
    Moves,
    /// It is gone from its stroke, but something worse came up.
    Worsens,
    /// It is there as before, or worse.
    Leaves,
}

/// A change that was tried: what it leaves.
#[derive(Clone, Debug)]
pub struct Remedy {
    /// The change.
    pub trial: Trial,
    /// The lesson after it.
    pub lesson: Lesson,
    /// The analysis of that lesson.
    pub analysis: Box<Analysis>,
    /// How the lesson stood.
    pub before: Standing,
    /// How it stands after the change.
    pub after: Standing,
    /// What became of the finding.
    pub outcome: Outcome,
    /// Further places of the finding where it is still told.
    pub stays_at: usize,
    /// Titles of findings that were not there before, those worse than a notice.
    pub new_findings: Vec<String>,
    /// Marks of the bowing, dynamics, places and speeds that differ.
    pub marks_changed: usize,
    /// One short sentence on what it leaves.
    pub effect: String,
    /// Practice tempo before the change, as a share of the marked tempo.
    tempo_before: f64,
}

/// Share of the tempo to which the smallest change of tempo is found. Assumed.
const TEMPO_STEP: f64 = 0.01;
/// Two burdens closer than this rank alike; then fewer changed marks are better. Assumed.
const SAME_BURDEN: f64 = 0.1;
/// Hair missing that ranks like one unit of burden, mm. Assumed.
const MISSING_MM: f64 = 100.0;
/// Hair missing that is no more and no less, mm. Assumed.
const SAME_MM: f64 = 5.0;
/// How plainly something is heard, 0 to 1, that is as before. Assumed.
const SAME_HEARD: f64 = 0.05;
/// A change of tempo up to this share comes before what only eases. Assumed.
const SMALL_TEMPO: f64 = 0.1;
/// More changed marks than this are much for one spot. Assumed.
const NEAR: usize = 6;
/// With so many single changes that cure, two at once are not tried. Assumed.
const ENOUGH: usize = 3;
/// A list holds at most this many remedies, and this many of one kind. Assumed.
const MOST: usize = 8;
const MOST_OF_A_KIND: usize = 2;

/// Tries a change: applies it to a copy and analyses that. `before` is how the lesson stands.
///
/// A change of tempo is made as small as cures; its words and its edit then say so. None where the
/// edit cannot be applied or changes nothing.
pub fn try_out(
    lesson: &Lesson,
    analysis: &Analysis,
    before: &Standing,
    finding: &Finding,
    trial: Trial,
) -> Option<Remedy> {
    tried(lesson, analysis, (before, &Told::new(analysis)), finding, trial)
}

/// The same, with what is known of the lesson before any change.
fn tried(
    lesson: &Lesson,
    analysis: &Analysis,
    (before, told): (&Standing, &Told),
    finding: &Finding,
    trial: Trial,
) -> Option<Remedy> {
    let (trial, next, after) = match trial.change {
        Change::Tempo => least_tempo(lesson, analysis, told, finding, trial)?,
        _ => {
            let (next, _) = trial.edit.apply(lesson).ok()?;
            let after = analyse_after(&next, lesson, analysis);
            (trial, next, after)
        }
    };
    if next == *lesson {
        return None;
    }
    let standing = Standing::of(&next, &after);
    let left = Left::of(told, finding, &after);
    let (outcome, stays_at) = (left.outcome(finding), left.elsewhere);
    let effect = effect(finding, &left, before, &standing);
    let worse = left.new.iter().filter(|new| new.verdict < Verdict::Notice);
    Some(Remedy {
        new_findings: worse.map(|finding| finding.title()).collect(),
        marks_changed: marks_changed(&lesson.score, &next.score) + other_changes(lesson, &next),
        trial,
        lesson: next,
        analysis: Box::new(after),
        before: before.clone(),
        after: standing,
        outcome,
        stays_at,
        effect,
        tempo_before: lesson.setup.tempo_share,
    })
}

/// All remedies of a finding, the best first. The same input always gives the same list.
pub fn remedies(lesson: &Lesson, analysis: &Analysis, finding: &Finding) -> Vec<Remedy> {
    let mut tried = Vec::new();
    each_remedy(lesson, analysis, finding, &mut |remedy, _| {
        tried.extend(remedy);
        true
    });
    rank(tried)
}

/// Tries one change after the other and tells of each what came of it, if anything, and how many
/// were tried of how many; false stops it. What eases one of several places is tried at all of them;
/// two changes at once are tried only where few single ones cure.
pub fn each_remedy(
    lesson: &Lesson,
    analysis: &Analysis,
    finding: &Finding,
    tell: &mut dyn FnMut(Option<Remedy>, (usize, usize)) -> bool,
) {
    let (before, told) = (Standing::of(lesson, analysis), Told::new(analysis));
    let (double, single): (Vec<Trial>, Vec<Trial>) =
        trials(lesson, analysis, finding).into_iter().partition(Trial::is_double);
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
            let remedy = tried(lesson, analysis, (&before, &told), finding, trial);
            // Made at all places it must clear more of them than made at one.
            let remedy = remedy.filter(|remedy| stayed.is_none_or(|stayed| remedy.stays_at < stayed));
            if let Some(remedy) = &remedy {
                let plain = !(remedy.other_tempo() || remedy.is_wide() || remedy.lifts_inside());
                cures += usize::from(remedy.cures() && remedy.helps() && plain);
                if remedy.stays_at > 0 && remedy.outcome != Outcome::Leaves && stayed.is_none() {
                    let all = everywhere(lesson, analysis, finding, &again);
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

/// Drops what does not help and what is the same as another, and puts the best first: what cures,
/// then what eases, then what only moves the trouble, another tempo and a lift inside a slur late; then
/// what changes only a few marks, then the burden it leaves, then how little it changes. The best of every kind comes before a second one of any kind when the
/// list is full.
pub fn rank(mut tried: Vec<Remedy>) -> Vec<Remedy> {
    tried.retain(Remedy::helps);
    let key = |remedy: &Remedy| (remedy.weight() / SAME_BURDEN).round();
    tried.sort_by(|a, b| {
        (a.class().cmp(&b.class()))
            .then(a.is_wide().cmp(&b.is_wide()))
            .then(key(a).total_cmp(&key(b)))
            .then(a.marks_changed.cmp(&b.marks_changed))
    });
    let mut kept: Vec<(usize, Remedy)> = Vec::new();
    let mut of_kind = BTreeMap::new();
    for remedy in tried {
        if !kept.iter().any(|(_, other)| other.lesson == remedy.lesson) {
            let count = of_kind.entry((remedy.trial.alike(), remedy.trial.everywhere)).or_insert(0);
            *count += 1;
            if *count <= MOST_OF_A_KIND {
                kept.push((*count, remedy));
            }
        }
    }
    while kept.len() > MOST {
        let second = kept.iter().rposition(|(count, _)| *count > 1);
        kept.remove(second.unwrap_or(kept.len() - 1));
    }
    kept.into_iter().map(|(_, remedy)| remedy).collect()
}

impl Remedy {
    /// Nothing of the finding is left in its stroke, and nothing as bad came up anywhere.
    pub fn cures(&self) -> bool {
        self.outcome == Outcome::Cures
    }

    /// Nothing more cannot be played, no more hair is missing in all, and it cures or eases. What
    /// leaves the finding as it is, or something worse for it, does not help, however much it eases
    /// others.
    pub fn helps(&self) -> bool {
        let (before, after) = (&self.before, &self.after);
        // What can be played at last may well run out: more hair is missing then than before.
        let playable = after.impossible < before.impossible;
        let missing = if playable { 0.0 } else { after.missing_mm - before.missing_mm };
        let lighter = after.burden() < before.burden() - SAME_BURDEN / 2.0;
        after.impossible <= before.impossible
            && missing < SAME_MM
            && match self.outcome {
                Outcome::Cures => after.runs_out <= before.runs_out || lighter || missing < -SAME_MM,
                Outcome::Eases | Outcome::Moves => lighter || missing < -SAME_MM,
                Outcome::Worsens | Outcome::Leaves => false,
            }
    }

    /// It changes the whole piece, and eases more than the spot it is for.
    fn other_tempo(&self) -> bool {
        self.trial.change == Change::Tempo
    }

    /// It changes much of the music for one spot: a teacher first tries what is near.
    fn is_wide(&self) -> bool {
        self.marks_changed > NEAR && !self.trial.everywhere
    }

    /// It breaks a slur by lifting the bow.
    fn lifts_inside(&self) -> bool {
        self.trial.change == Change::RetakeInside
    }

    /// The lower, the earlier in a list.
    fn class(&self) -> (Outcome, bool, bool) {
        let (was, is) = (self.tempo_before, self.lesson.setup.tempo_share);
        match self.outcome {
            Outcome::Cures if self.other_tempo() && (is / was - 1.0).abs() > SMALL_TEMPO => {
                (Outcome::Eases, true, false)
            }
            outcome => (outcome, self.other_tempo(), self.lifts_inside()),
        }
    }

    /// What it leaves as one number, retakes and stops weighed as in a search; a burden counts spots, so
    /// the hair that is missing is added.
    fn weight(&self) -> f64 {
        weight(&self.analysis, &self.after, self.marks_changed) + self.after.missing_mm / MISSING_MM
    }
}

/// What a change leaves of a finding.
struct Left<'a> {
    /// What of its kind is left in the stroke it was found in.
    here: Option<&'a Finding>,
    /// Its further places where it is still told.
    elsewhere: usize,
    /// Findings that were not there before: those worse than a notice, for a notice all.
    new: Vec<&'a Finding>,
}

impl<'a> Left<'a> {
    fn of(told: &Told, finding: &Finding, after: &'a Analysis) -> Self {
        let at = |event: EventId| {
            let mut alike = after.findings.told.iter().filter(|left| family(left) == family(finding));
            alike.find(|left| left.events().any(|other| told.same_stroke(event, other)))
        };
        let least = finding.verdict.max(Verdict::Tight);
        let is_new = |new: &&Finding| new.events().any(|event| !told.has(new, event));
        Self {
            here: at(finding.event),
            elsewhere: finding.more.iter().filter(|spot| at(spot.event).is_some()).count(),
            new: after.findings.told.iter().filter(|new| new.verdict <= least).filter(is_new).collect(),
        }
    }

    /// The worst of what is new and as bad as the finding, or worse.
    fn instead(&self, finding: &Finding) -> Option<&'a Finding> {
        let as_bad = self.new.iter().filter(|new| new.verdict <= finding.verdict);
        as_bad.min_by_key(|new| (new.verdict, family(new) != family(finding), new.at)).copied()
    }

    fn outcome(&self, finding: &Finding) -> Outcome {
        // Nothing is worse than another spot that cannot be played.
        if self.new.iter().any(|new| new.verdict == Verdict::Impossible) {
            return Outcome::Worsens;
        }
        match self.here {
            None => match self.instead(finding) {
                Some(new) if new.verdict < finding.verdict => Outcome::Worsens,
                Some(_) => Outcome::Moves,
                None => Outcome::Cures,
            },
            Some(here) => {
                let better = here.verdict > finding.verdict;
                let same = here.verdict == finding.verdict;
                let less = here.short_mm < finding.short_mm - SAME_MM;
                let no_more = here.short_mm < finding.short_mm + SAME_MM;
                let fainter = here.heard < finding.heard - SAME_HEARD;
                let eases = better || same && (less || no_more && fainter);
                if eases { Outcome::Eases } else { Outcome::Leaves }
            }
        }
    }
}

/// The smallest change of tempo toward that of the trial that cures, by bisection to 1 %.
fn least_tempo(
    lesson: &Lesson,
    analysis: &Analysis,
    told: &Told,
    finding: &Finding,
    trial: Trial,
) -> Option<(Trial, Lesson, Analysis)> {
    let (far, _) = trial.edit.apply(lesson).ok()?;
    let at = |share: f64| {
        let edit = change::set_tempo_share(lesson, share).ok()?;
        let (next, _) = edit.apply(lesson).ok()?;
        let after = analyse_after(&next, lesson, analysis);
        let outcome = Left::of(told, finding, &after).outcome(finding);
        (outcome == Outcome::Cures).then_some((next, after))
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
    let edit = Edit::between(words.clone(), lesson, &best.0);
    Some((Trial { words, edit, ..trial }, best.0, best.1))
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

/// One short sentence on what a change leaves.
fn effect(finding: &Finding, left: &Left, before: &Standing, after: &Standing) -> String {
    let outcome = left.outcome(finding);
    let mut parts = Vec::new();
    match left.here {
        None => parts.push(match (left.instead(finding), left.elsewhere, finding.more.len()) {
            (Some(new), ..) if new.verdict < finding.verdict => "puts worse in its place".to_owned(),
            (Some(new), ..) if family(new) == family(finding) => "only moves it".to_owned(),
            (Some(_), ..) => "puts another in its place".to_owned(),
            (None, 0, 0) => "clears it".to_owned(),
            (None, 0, 1) => "clears it, and the other place too".to_owned(),
            (None, 0, more) => format!("clears it, and the {more} other places too"),
            (None, 1, _) => "clears it here; 1 more place stays".to_owned(),
            (None, stay, _) => format!("clears it here; {stay} more places stay"),
        }),
        Some(here) if here.short_mm > 0.0 && here.verdict < Verdict::Tight => {
            let eased = if finding.verdict == Verdict::Impossible && here.verdict == Verdict::RunsOut {
                "can be played, but at the wanted speed "
            } else {
                ""
            };
            parts.push(format!("{eased}still {} short", cm(here.short_mm)));
        }
        Some(_) if outcome == Outcome::Eases => parts.push("eases it".to_owned()),
        Some(_) => parts.push("does not clear it".to_owned()),
    }
    // What is left of the finding itself is said already.
    let others: Vec<&Finding> =
        left.new.iter().copied().filter(|new| left.here.is_none_or(|here| here != *new)).collect();
    if let Some(worst) = others.iter().min_by_key(|finding| (finding.verdict, finding.at)) {
        let (bar, headline) = (worst.place.bar_words(), &worst.headline);
        let then = match worst.verdict {
            Verdict::Impossible => format!("{bar} then cannot be played"),
            Verdict::RunsOut => format!("{bar} then runs out"),
            Verdict::Tight => format!("{bar} is then tight"),
            Verdict::Notice => format!("in {bar} then {headline}"),
        };
        parts.push(match others.len() - 1 {
            0 => then,
            1 => format!("{then}, and 1 more place"),
            count => format!("{then}, and {count} more places"),
        });
    }
    // What is gone beside the places of the finding itself.
    let found = |standing: &Standing| standing.impossible + standing.runs_out + standing.tight;
    let own = if finding.verdict < Verdict::Notice { 1 + finding.more.len() - left.elsewhere } else { 0 };
    let gone = found(before).saturating_sub(found(after) + own);
    if others.is_empty() && outcome == Outcome::Cures && gone > 0 {
        let places = if gone == 1 { "1 other trouble".to_owned() } else { format!("{gone} other troubles") };
        parts.push(format!("{places} gone with it"));
    }
    let rules = after.notices.saturating_sub(before.notices);
    if rules > 0 && finding.verdict < Verdict::Notice {
        parts.push(format!("{rules} more worth a look"));
    }
    let up = |standing: &Standing| standing.strong_beats.1 - standing.strong_beats.0;
    if up(after) > up(before) {
        let bars = up(after) - up(before);
        parts.push(format!("{bars} more {} up-bow", if bars == 1 { "bar begins" } else { "bars begin" }));
    }
    parts.join("; ")
}
