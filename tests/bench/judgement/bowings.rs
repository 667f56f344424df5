//! Accepted bowings of short excerpts: met where one of the first three suggestions for those bars is
//! one of them, stroke for stroke, hooks counted as one stroke.

use std::{
    collections::{BTreeMap, BTreeSet},
    path::Path,
};

use elbowroom::{
    advice::{Ask, Freedom, suggest},
    analysis::Analysis,
    score::{Direction, EventId},
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
/// direction.
fn is_met(bows: &[Bow], strokes: &[Stroke]) -> bool {
    let mut strokes = strokes.iter().peekable();
    for bow in bows {
        let Some(first) = strokes.next() else { return false };
        let mut taken = first.attacks.len();
        if first.direction != bow.direction {
            return false;
        }
        while taken < bow.attacks {
            let Some(next) = strokes.next_if(|next| {
                next.direction == bow.direction && !next.no_rest_before && bow.stops.contains(&taken)
            }) else {
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

/// The strokes of these bars.
fn within(page: &Page, analysis: &Analysis, bars: (usize, usize)) -> Vec<Stroke> {
    let score = &page.study.lesson().score;
    let inside = |stroke: &Stroke| (bars.0..=bars.1).contains(&score.bar_at(stroke.onset).unwrap_or(0));
    strokes(analysis).filter(inside).filter(|stroke| !stroke.attacks.is_empty()).collect()
}

fn words(strokes: &[Stroke]) -> String {
    let word = |stroke: &Stroke| {
        let letter = if stroke.direction == Direction::Down { 'D' } else { 'U' };
        format!("{letter}({})", stroke.attacks.len())
    };
    strokes.iter().map(word).collect::<Vec<_>>().join(" ")
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
        let answers = suggest(&page.study, &ask, &mut |_| true).unwrap_or_default();
        let answers: Vec<Vec<Stroke>> =
            answers.iter().map(|answer| within(page, answer.study.analysis(), bars)).collect();
        let met = answers.iter().any(|strokes| accepted.iter().any(|bows| is_met(bows, strokes)));
        let count = counts.entry(freedom.clone()).or_default();
        *count = (count.0 + usize::from(met), count.1 + 1);
        if list && !met {
            let bar = |bar: usize| &score.bars[bar].number;
            println!("  {name}, bars {} to {}, {freedom}", bar(bars.0), bar(bars.1));
            texts.iter().for_each(|text| println!("    accepted  {text}"));
            answers.iter().for_each(|answer| println!("    suggested {}", words(answer)));
        }
    }
    for (freedom, (met, all)) in counts {
        println!("{freedom:<28} {}", share(met, all));
    }
    Ok(())
}
