//! What a change leaves, in two short sentences: what it gains, and what it costs.

use crate::{
    bowing::{Finding, Verdict},
    score::{count_words, sentence_case},
};

use super::{
    super::{difference::family, standing::Standing},
    bent::{Bent, HEARD_PART},
    outcome::{Left, Outcome},
};

/// So little is missing that a player finds it without a word, mm. Assumed.
const LITTLE_MM: f64 = 60.0;

/// What a change gains for a finding, and what it costs elsewhere.
pub(super) fn effect(
    finding: &Finding,
    left: &Left,
    (before, after): (&Standing, &Standing),
    (bent, says_light): (&Bent, bool),
    turned: Option<&str>,
) -> String {
    let others = others(left);
    let gain = here(finding, left) + &also(finding, left);
    let mut costs: Vec<String> = new(&others).into_iter().collect();
    costs.extend(turned.map(|bar| format!("the bows turn round from {bar} on")));
    costs.extend(asked(bent, says_light));
    let rules = after.notices.saturating_sub(before.notices);
    if rules > 0 && finding.verdict < Verdict::Notice {
        costs.push(match rules {
            1 => "one more place is worth a look".to_owned(),
            more => format!("{} more places are worth a look", count_words(more)),
        });
    }
    let up = |standing: &Standing| standing.strong_beats.1 - standing.strong_beats.0;
    if up(after) > up(before) {
        costs.push(match up(after) - up(before) {
            1 => "one more bar begins with an up-bow".to_owned(),
            bars => format!("{} more bars begin with an up-bow", count_words(bars)),
        });
    }
    let gain = format!("{gain}.");
    match costs.split_last() {
        None => gain,
        Some((last, [])) => format!("{gain} {}.", sentence_case(last)),
        Some((last, first)) => format!("{gain} {}, and {last}.", sentence_case(&first.join(", "))),
    }
}

/// How far a slower or faster bow is from what the dynamic asks for, where that is heard and the words of the
/// change do not say it.
fn asked(bent: &Bent, says_light: bool) -> Option<String> {
    if bent.is_thin() {
        Some("it will sound softer than marked".to_owned())
    } else if bent.most > 1.0 / HEARD_PART && !says_light {
        Some("that bow has to be light, or it will stick out".to_owned())
    } else {
        None
    }
}

/// What is left of the finding itself.
fn here(finding: &Finding, left: &Left) -> String {
    match left.here {
        None => match (left.instead(finding), left.elsewhere, finding.more.len()) {
            (Some(new), ..) if new.verdict < finding.verdict => "Puts worse in its place".to_owned(),
            (Some(new), ..) if family(new) == family(finding) => "Only moves it".to_owned(),
            (Some(_), ..) => "Puts another trouble in its place".to_owned(),
            (None, 0, 0) => "Clears it".to_owned(),
            (None, 0, 1) => "Clears it, and the other place too".to_owned(),
            (None, 0, more) => format!("Clears it, and the {} other places too", count_words(more)),
            (None, 1, _) => "Clears it here, but one more place stays".to_owned(),
            (None, stay, _) => format!("Clears it here, but {} more places stay", count_words(stay)),
        },
        Some(here) if here.short_mm > 0.0 && here.verdict < Verdict::Tight => {
            let how_much = if here.short_mm < LITTLE_MM { "a little bow is" } else { "some bow is" };
            match finding.verdict == Verdict::Impossible && here.verdict == Verdict::RunsOut {
                true => format!("It can be played, though at the wanted speed {how_much} missing"),
                false => format!("Eases it, though {how_much} still missing"),
            }
        }
        Some(_) if left.outcome(finding) == Outcome::Eases => "Eases it".to_owned(),
        Some(_) => "Does not clear it".to_owned(),
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
    let place = match others.len() - 1 {
        0 => bar,
        1 => format!("{bar} and at one more place"),
        count => format!("{bar} and at {} more places", count_words(count)),
    };
    Some(match worst.verdict {
        Verdict::Impossible => format!("it can then not be played in {place}"),
        Verdict::RunsOut => format!("the bow then runs out in {place}"),
        Verdict::Tight => format!("it is then tight in {place}"),
        Verdict::Notice => format!("then, in {place}, {headline}"),
    })
}

/// What goes with it, named by its place: ", and the trouble in bar 12 too".
pub(super) fn also(finding: &Finding, left: &Left) -> String {
    let worst = left.gone.iter().min_by_key(|gone| (gone.verdict, gone.at));
    let Some(worst) = worst.filter(|_| left.outcome(finding) == Outcome::Cures && others(left).is_empty())
    else {
        return String::new();
    };
    let bar = worst.place.bar_words();
    match left.gone.len() - 1 {
        0 => format!(", and the trouble in {bar} too"),
        1 => format!(", and the trouble in {bar} and in one more place too"),
        more => format!(", and the trouble in {bar} and in {} more places too", count_words(more)),
    }
}
