//! Accepted bowings of short excerpts: met where one of the first three suggestions for those bars is
//! one of them, stroke for stroke, hooks counted as one stroke.

use std::{
    collections::{BTreeMap, BTreeSet},
    path::Path,
};

use elbowroom::{
    advice::{
        Ask, Changed, Freedom, Standing,
        search::{Choice, Choices, Field, Link},
        suggest,
    },
    analysis::{Analysis, Study},
    score::{Direction, EventId, Quarters},
};

use crate::{
    pages::{Page, Pages, Stroke, strokes},
    share,
    tables::rows,
};

/// One bow: its direction and how many attacks it takes; where stops are accepted inside it, as the
/// number of attacks before each.
#[derive(Clone, Debug)]
struct Bow {
    direction: Direction,
    attacks: usize,
    stops: BTreeSet<usize>,
}

/// Reads "D(2) U(1-1) / D(1)".
fn accepted(text: &str) -> Result<Vec<Bow>, String> {
    text.split_whitespace()
        .filter(|word| *word != "/")
        .map(|word| {
            let wrong = || format!("{word:?} is no bow");
            let direction = match word.chars().next() {
                Some('D') => Direction::Down,
                Some('U') => Direction::Up,
                _ => return Err(wrong()),
            };
            let inside = word[1..].strip_prefix('(').and_then(|rest| rest.strip_suffix(')'));
            let (mut attacks, mut stops) = (0, BTreeSet::new());
            for count in inside.ok_or_else(wrong)?.split('-') {
                stops.insert(attacks);
                attacks += count.parse::<usize>().map_err(|_| wrong())?;
            }
            stops.remove(&0);
            Ok(Bow { direction, attacks, stops })
        })
        .collect()
}

/// The strokes are the accepted bows. A bow that stops over a printed rest may be two strokes in its
/// direction, whether the stop is written or not.
fn is_met(bows: &[Bow], strokes: &[Stroke]) -> bool {
    let mut strokes = strokes.iter().peekable();
    for bow in bows {
        let Some(first) = strokes.next() else { return false };
        let mut taken = first.attacks.len();
        if first.direction != bow.direction {
            return false;
        }
        while taken < bow.attacks {
            let Some(next) = strokes.next_if(|next| next.direction == bow.direction && !next.no_rest_before)
            else {
                return false;
            };
            taken += next.attacks.len();
        }
        if taken != bow.attacks {
            return false;
        }
    }
    strokes.next().is_none()
}

/// A note lies in these bars, and not in a first ending without a number of its own: those are not annotated.
fn is_inside(page: &Page, bars: (usize, usize), onset: Quarters) -> bool {
    let score = &page.study.lesson().score;
    let bar = score.bar_at(onset).unwrap_or(0);
    (bars.0..=bars.1).contains(&bar) && !score.bars[bar].number.starts_with('X')
}

/// The strokes of these bars.
fn within(page: &Page, analysis: &Analysis, bars: (usize, usize)) -> Vec<Stroke> {
    let inside = |stroke: &Stroke| is_inside(page, bars, stroke.onset);
    strokes(analysis).filter(inside).filter(|stroke| !stroke.attacks.is_empty()).collect()
}

fn words(strokes: &[Stroke]) -> String {
    let word = |stroke: &Stroke| {
        let letter = if stroke.direction == Direction::Down { 'D' } else { 'U' };
        format!("{letter}({})", stroke.attacks.len())
    };
    strokes.iter().map(word).collect::<Vec<_>>().join(" ")
}

/// The accepted bowing written into the lesson; none where the search cannot come to it.
fn written(page: &Page, field: &Field, bars: (usize, usize), bows: &[Bow]) -> Option<Study> {
    let analysis = page.study.analysis();
    let inside = |k: &usize| is_inside(page, bars, analysis.note(*k).onset);
    let heard = |k: &usize| analysis.note(*k).grace.is_none();
    let notes: Vec<usize> = (0..analysis.bowing.notes.len()).filter(inside).filter(heard).collect();
    // The first bow begins with the first note that is not in the bow from before.
    let skipped = notes.len().checked_sub(bows.iter().map(|bow| bow.attacks).sum())?;
    let (mut changes, mut rest) = (Vec::new(), notes[skipped..].iter());
    let mut before = None;
    for bow in bows {
        for nth in 0..bow.attacks {
            let &k = rest.next()?;
            let open = |links: &[Link]| links.iter().copied().find(|link| field.links(k).contains(link));
            let link = if nth > 0 && bow.stops.contains(&nth) {
                open(&[Link::Hook, Link::Joined, Link::Set])
            } else if nth > 0 {
                open(&[Link::Joined, Link::Slur, Link::Hook, Link::Set])
            } else if before == Some(bow.direction) {
                open(&[Link::Set, Link::Breath, Link::Retake])
            } else {
                open(&[Link::Set, Link::Breath, Link::Change])
            };
            changes.push((k, Choice { link: link?, direction: bow.direction }));
        }
        before = Some(bow.direction);
    }
    let present = field.present();
    let bowed = |changes: &[(usize, Choice)]| {
        let obeys = |new: &Choices| changes.iter().all(|(k, choice)| new[*k] == *choice);
        field.changed(present, changes).filter(obeys)
    };
    let choices = bowed(&changes).or_else(|| {
        // The bow is turned in the rest before.
        let first = changes.first()?.0;
        let turn = (0..first).rev().find(|&k| field.links(k).iter().any(|link| link.is_open()))?;
        let turned = Choice { direction: present[turn].direction.turned(), ..present[turn] };
        changes.push((turn, turned));
        bowed(&changes)
    })?;
    field.write(&choices).map(Study::new)
}

/// What a bowing weighs against the present one, term by term.
fn terms(now: &Study, then: &Study) -> String {
    let (was, is, changed) = (Standing::of(now), Standing::of(then), Changed::between(now, then));
    format!(
        "{:+.2}: heard {:+.2}, plan {:+.2}, against {:+.2}, hairpins {:+}, {changed:?}",
        is.weight(changed) - was.weight(Changed::default()),
        is.heard - was.heard,
        is.cost - was.cost,
        is.against - was.against,
        (is.hairpins.1 - is.hairpins.0) as i64 - (was.hairpins.1 - was.hairpins.0) as i64,
    )
}

/// A passage, its first and last bar, and how free the bowing is.
type Excerpt<'a> = (&'a str, (usize, usize), String);

pub fn judge(pages: &Pages, judged: &Path, list: bool) -> Result<(), String> {
    let mut excerpts: BTreeMap<Excerpt<'_>, (&Page, Vec<String>)> = BTreeMap::new();
    for row in rows(&judged.join("bowings.tsv"))? {
        let page = pages.of(&row)?;
        let bars = (page.bar(row.text(0))?, page.bar(row.text(1))?);
        let key = (page.name.as_str(), bars, row.text(2).to_owned());
        excerpts.entry(key).or_insert((page, Vec::new())).1.push(row.text(3).to_owned());
    }
    println!("\nSuggestions: one of the first three is an accepted bowing");
    let mut counts: BTreeMap<String, (usize, usize)> = BTreeMap::new();
    // Of the answers that are not the bowing as it is: accepted, all.
    let mut shown = (0, 0);
    for ((name, bars, freedom), (page, texts)) in excerpts {
        let accepted: Vec<Vec<Bow>> = texts.iter().map(|text| accepted(text)).collect::<Result<_, _>>()?;
        let score = &page.study.lesson().score;
        let events: BTreeSet<EventId> = score
            .events
            .iter()
            .filter(|event| (bars.0..=bars.1).contains(&score.bar_at(event.onset).unwrap_or(0)))
            .map(|event| event.id)
            .collect();
        let may = if freedom == "free" { Freedom::Free } else { Freedom::Splits };
        let ask = Ask { events: Some(events), freedom: may, answers: 3 };
        let suggested = suggest(&page.study, &ask, &mut |_| true).unwrap_or_default();
        let answers: Vec<Vec<Stroke>> =
            suggested.iter().map(|answer| within(page, answer.study.analysis(), bars)).collect();
        let fits: Vec<bool> =
            answers.iter().map(|strokes| accepted.iter().any(|bows| is_met(bows, strokes))).collect();
        let met = fits.contains(&true);
        let count = counts.entry(freedom.clone()).or_default();
        *count = (count.0 + usize::from(met), count.1 + 1);
        let others = suggested.iter().zip(&fits).filter(|(answer, _)| !answer.changes.is_empty());
        for (_, fits) in others {
            shown = (shown.0 + usize::from(*fits), shown.1 + 1);
        }
        if list {
            let bar = |bar: usize| &score.bars[bar].number;
            let met = if met { "met" } else { "NOT MET" };
            println!("  {name}, bars {} to {}, {freedom}: {met}", bar(bars.0), bar(bars.1));
            let field = Field::new(&page.study, ask.events.as_ref(), may);
            for (text, bows) in texts.iter().zip(&accepted) {
                let terms = written(page, &field, bars, bows).map(|study| terms(&page.study, &study));
                println!("    accepted  {text}  {}", terms.unwrap_or_else(|| "not to be reached".to_owned()));
            }
            for ((strokes, answer), fits) in answers.iter().zip(&suggested).zip(&fits) {
                let sign = if *fits { '+' } else { '-' };
                println!("    suggested {sign} {}  {}", words(strokes), terms(&page.study, &answer.study));
                println!("        {}", answer.headline);
                answer.reasons.iter().for_each(|reason| println!("        {reason}"));
            }
        }
    }
    for (freedom, (met, all)) in counts {
        println!("{freedom:<28} {}", share(met, all));
    }
    println!("{:<28} {}", "of those that change a mark", share(shown.0, shown.1));
    Ok(())
}
