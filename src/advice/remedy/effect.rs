//! What a change leaves, in one short sentence.

use crate::{
    bowing::{Finding, Verdict},
    score::cm,
};

use super::{
    super::{difference::family, standing::Standing},
    bent::{Bent, HEARD_PART},
    outcome::{Left, Outcome},
};

/// One short sentence on what a change leaves of a finding and of the lesson.
pub(super) fn effect(
    finding: &Finding,
    left: &Left,
    (before, after): (&Standing, &Standing),
    bent: &Bent,
) -> String {
    let others = others(left);
    let mut parts = vec![here(finding, left)];
    parts.extend(new(&others));
    if others.is_empty() && left.outcome(finding) == Outcome::Cures {
        parts.extend(gone(finding, left, before, after));
    }
    parts.extend(asked(bent));
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

/// How far a slower or faster bow is from what the dynamic asks for, where that is heard.
fn asked(bent: &Bent) -> Option<String> {
    if bent.is_thin() {
        Some(format!("a thin sound, {:.0} % of the bow the dynamic asks for", 100.0 * bent.least))
    } else if bent.most > 1.0 / HEARD_PART {
        Some(format!("light, {:.1} times the bow the dynamic asks for", bent.most))
    } else {
        None
    }
}

/// What is left of the finding itself.
fn here(finding: &Finding, left: &Left) -> String {
    match left.here {
        None => match (left.instead(finding), left.elsewhere, finding.more.len()) {
            (Some(new), ..) if new.verdict < finding.verdict => "puts worse in its place".to_owned(),
            (Some(new), ..) if family(new) == family(finding) => "only moves it".to_owned(),
            (Some(_), ..) => "puts another in its place".to_owned(),
            (None, 0, 0) => "clears it".to_owned(),
            (None, 0, 1) => "clears it, and the other place too".to_owned(),
            (None, 0, more) => format!("clears it, and the {more} other places too"),
            (None, 1, _) => "clears it here; 1 more place stays".to_owned(),
            (None, stay, _) => format!("clears it here; {stay} more places stay"),
        },
        Some(here) if here.short_mm > 0.0 && here.verdict < Verdict::Tight => {
            let eased = if finding.verdict == Verdict::Impossible && here.verdict == Verdict::RunsOut {
                "can be played, but at the wanted speed "
            } else {
                ""
            };
            format!("{eased}still {} short", cm(here.short_mm))
        }
        Some(_) if left.outcome(finding) == Outcome::Eases => "eases it".to_owned(),
        Some(_) => "does not clear it".to_owned(),
    }
}

/// What is new, but for what is left of the finding itself: that is said already.
fn others<'a>(left: &Left<'a>) -> Vec<&'a Finding> {
    left.new.iter().copied().filter(|new| left.here.is_none_or(|here| here != *new)).collect()
}

/// The worst of what is new.
fn new(others: &[&Finding]) -> Option<String> {
    let worst = others.iter().min_by_key(|finding| (finding.verdict, finding.at))?;
    let (bar, headline) = (worst.place.bar_words(), &worst.headline);
    let then = match worst.verdict {
        Verdict::Impossible => format!("{bar} then cannot be played"),
        Verdict::RunsOut => format!("{bar} then runs out"),
        Verdict::Tight => format!("{bar} is then tight"),
        Verdict::Notice => format!("in {bar} then {headline}"),
    };
    Some(match others.len() - 1 {
        0 => then,
        1 => format!("{then}, and 1 more place"),
        count => format!("{then}, and {count} more places"),
    })
}

/// What is gone beside the places of the finding itself.
fn gone(finding: &Finding, left: &Left, before: &Standing, after: &Standing) -> Option<String> {
    let found = |standing: &Standing| standing.impossible + standing.runs_out + standing.tight;
    let own = if finding.verdict < Verdict::Notice { 1 + finding.more.len() - left.elsewhere } else { 0 };
    let places = match found(before).saturating_sub(found(after) + own) {
        0 => return None,
        1 => "1 other trouble".to_owned(),
        gone => format!("{gone} other troubles"),
    };
    Some(format!("{places} gone with it"))
}
