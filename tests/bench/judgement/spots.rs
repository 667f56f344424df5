//! Annotated spots: told where a finding or a pencil mark that fits its kind stands within one bar.

use std::{
    collections::{BTreeMap, BTreeSet},
    path::Path,
};

use elbowroom::bowing::{Kind, Need, Topic, Verdict};

use crate::{
    pages::{Page, Pages},
    share,
    tables::rows,
};

/// A spot may be told this many bars off.
pub const BARS_OFF: usize = 1;

/// An annotated spot.
struct Spot {
    bar: usize,
    beat: f64,
    kind: String,
    weight: usize,
    note: String,
}

/// Something the program says.
struct Said {
    /// Index of its bar.
    bar: usize,
    words: String,
    /// The kinds of spot it fits.
    fits: Vec<&'static str>,
    /// What a pencil mark is about; none for a finding.
    topic: Option<Topic>,
    /// Which finding it is a place of.
    finding: Option<usize>,
}

/// The kinds of spot that a finding fits.
fn fits(kind: Kind) -> &'static [&'static str] {
    const AMOUNT: &[&str] = &["save-or-spend", "long-note"];
    const RUNS_OUT: &[&str] = &["bow-runs-out", "save-or-spend", "long-note", "slur-change"];
    const PLACE: &[&str] = &["stroke-place"];
    const DIRECTION: &[&str] = &["direction-choice", "strong-beat-up"];
    match kind {
        Kind::NoWayHair | Kind::RunsOutDrift | Kind::RunsOutStroke | Kind::RunsOutStart => RUNS_OUT,
        Kind::NoWayPlace => PLACE,
        Kind::OutOfHand => &[],
        Kind::NoWayLift | Kind::ShortRetake => &["retake"],
        Kind::TightSlow | Kind::TightFast | Kind::TightPlace | Kind::NearSlowest | Kind::Rush => AMOUNT,
        Kind::Creep => AMOUNT,
        Kind::SlurParity => &["same-figure", "direction-choice"],
        Kind::SpiccatoFast | Kind::SautilleSlow => PLACE,
        Kind::ChordPlace | Kind::ChordUp => &["chord"],
        Kind::FirstBeatUp | Kind::UpbeatDown | Kind::StrongBeatsUp => DIRECTION,
        Kind::ToneThin => &["long-note", "save-or-spend"],
        Kind::CrossingFarOut => &["crossing"],
    }
}

fn said(page: &Page) -> Vec<Said> {
    let score = &page.study.lesson().score;
    let mut said = Vec::new();
    for (number, finding) in page.study.analysis().findings.told.iter().enumerate() {
        let places = std::iter::once(finding.at).chain(finding.more.iter().map(|spot| spot.at));
        for at in places {
            let Some(bar) = score.bar_at(at) else { continue };
            if (page.bars.0..=page.bars.1).contains(&bar) {
                said.push(Said {
                    bar,
                    words: finding.headline.clone(),
                    fits: fits(finding.kind).to_vec(),
                    topic: None,
                    finding: Some(number),
                });
            }
        }
    }
    // The least of them are for spare time, as are spots of weight 1.
    for mark in page.study.pencil().marks.iter().filter(|mark| mark.weight > Need::IfTime) {
        let Some(bar) = score.bar_at(mark.at) else { continue };
        if (page.bars.0..=page.bars.1).contains(&bar) {
            let words = format!("{}: {}", mark.topic.id(), mark.text);
            said.push(Said {
                bar,
                words,
                fits: fits_mark(mark.topic)
                    .iter()
                    .chain(mark.also.map_or(&[][..], fits_mark))
                    .copied()
                    .collect(),
                topic: Some(mark.topic),
                finding: None,
            });
        }
    }
    said
}

/// The kinds of spot that a pencil mark fits: its own, and what is another name for the same advice.
pub fn fits_mark(topic: Topic) -> &'static [&'static str] {
    match topic {
        Topic::Accent => &["accent-wrong-end"],
        Topic::RunsOut => &["bow-runs-out", "long-note", "save-or-spend", "slur-change"],
        Topic::Chord => &["chord"],
        Topic::Crossing => &["crossing"],
        Topic::Way => &["direction-choice", "retake"],
        Topic::Hooked => &["hooked", "same-figure"],
        Topic::LongNote => &["long-note", "bow-runs-out", "save-or-spend"],
        Topic::PhraseEnd => &["phrase-end"],
        Topic::Plucking => &["other"],
        Topic::Retake => &["retake", "direction-choice"],
        Topic::SameFigure => &["same-figure"],
        Topic::Amount => &["save-or-spend", "long-note"],
        Topic::StrokePlace => &["stroke-place"],
        Topic::StrongBeatUp => &["strong-beat-up", "accent-wrong-end"],
        Topic::SlurChange => &["slur-change", "accent-wrong-end"],
        Topic::SuddenDynamic => &["sudden-dynamic"],
    }
}

/// Told and annotated.
type Count = (usize, usize);

pub fn judge(pages: &Pages, judged: &Path, list: bool) -> Result<(), String> {
    let mut of_page: BTreeMap<&str, Vec<Spot>> = BTreeMap::new();
    for row in rows(&judged.join("spots.tsv"))? {
        let page = pages.of(&row)?;
        of_page.entry(&page.name).or_default().push(Spot {
            bar: page.bar(row.text(0))?,
            beat: row.number(1)?,
            kind: row.text(2).to_owned(),
            weight: row.number(3)? as usize,
            note: row.text(4).to_owned(),
        });
    }
    let mut kinds: BTreeMap<String, [Count; 4]> = BTreeMap::new();
    // Told without need, and said: by findings and by pencil marks.
    let mut needs = [(0, 0); 2];
    let mut topics: BTreeMap<&str, (f64, usize)> = BTreeMap::new();
    let mut missed = Vec::new();
    let mut elsewhere: Vec<String> = Vec::new();
    let mut needless: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for page in pages.iter() {
        let spots = of_page.remove(page.name.as_str()).unwrap_or_default();
        let all = said(page);
        for spot in &spots {
            let told = all.iter().any(|said| {
                said.bar.abs_diff(spot.bar) <= BARS_OFF && said.fits.contains(&spot.kind.as_str())
            });
            let weight = spot.weight.min(3);
            for kind in [spot.kind.as_str(), "all"] {
                let count = &mut kinds.entry(kind.to_owned()).or_default()[weight];
                *count = (count.0 + usize::from(told), count.1 + 1);
            }
            if !told && weight >= 2 {
                let place = page.place(spot.bar, spot.beat);
                missed.push(format!("{weight} {:<18} {place}: {}", spot.kind, spot.note));
            }
        }
        for said in &all {
            if let Some(topic) = said.topic {
                let worth = worth(&spots, said);
                for name in [topic.id(), "all"] {
                    let count = topics.entry(name).or_default();
                    *count = (count.0 + worth, count.1 + 1);
                }
                if worth == 0.0 {
                    let number = &page.study.lesson().score.bars[said.bar].number;
                    elsewhere.push(format!("{}, bar {number}: {}", page.name, said.words));
                }
            }
            // A finding with several places is said once, and needed where one of them is.
            let places = all.iter().filter(|other| {
                said.finding.is_some() && other.finding == said.finding || std::ptr::eq(*other, said)
            });
            let places: Vec<&Said> = places.collect();
            if !places.first().is_some_and(|first| std::ptr::eq(*first, said)) {
                continue;
            }
            let count = &mut needs[usize::from(said.topic.is_some())];
            count.1 += 1;
            let near = |spot: &Spot| {
                spot.weight >= 2 && places.iter().any(|place| place.bar.abs_diff(spot.bar) <= BARS_OFF)
            };
            if !spots.iter().any(near) {
                count.0 += 1;
                let number = &page.study.lesson().score.bars[said.bar].number;
                needless.entry(said.words.clone()).or_default().push(format!("{} {number}", page.name));
            }
        }
    }
    println!("\nSpots told, by a finding or a pencil mark that fits, within {BARS_OFF} bar");
    println!("{:<28} {:>20} {:>20} {:>20}", "", "weight 3", "weight 2", "weight 1");
    for (kind, counts) in &kinds {
        let cells: Vec<String> =
            [3, 2, 1].iter().map(|&weight| share(counts[weight].0, counts[weight].1)).collect();
        println!("{kind:<28} {:>20} {:>20} {:>20}", cells[0], cells[1], cells[2]);
    }
    for (who, (without, all)) in ["findings", "pencil marks"].iter().zip(needs) {
        println!("{:<28} {}", format!("{who} without need"), share(without, all));
    }
    println!(
        "\nPencil marks that fit a spot of their kind within {BARS_OFF} bar (a spot of weight 1 counts half)"
    );
    for (topic, (worth, all)) in topics {
        println!("{topic:<28} {:>3.0} % ({worth} of {all})", 100.0 * worth / all as f64);
    }
    if list {
        println!("The same words elsewhere, where no spot asks for them:");
        elsewhere.iter().for_each(|place| println!("  {place}"));
        println!("Missed, of weight 3 and 2:");
        missed.sort_by(|a, b| b[..1].cmp(&a[..1]));
        missed.iter().for_each(|place| println!("  {place}"));
        println!("Told where no spot of weight 3 or 2 is near:");
        for (words, places) in needless {
            println!("  {} times: {words} ({})", places.len(), places.join("; "));
        }
    }
    counts(pages);
    Ok(())
}

/// How much a pencil mark is worth to a teacher who wrote these spots: one where a spot that it fits must or
/// should be told, half where it may be.
fn worth(spots: &[Spot], said: &Said) -> f64 {
    let fits =
        |spot: &&Spot| said.bar.abs_diff(spot.bar) <= BARS_OFF && said.fits.contains(&spot.kind.as_str());
    let most = spots.iter().filter(fits).map(|spot| spot.weight).max();
    most.map_or(0.0, |weight| if weight >= 2 { 1.0 } else { 0.5 })
}

/// How much is said in the parts the passages are taken from.
fn counts(pages: &Pages) {
    let mut seen = BTreeSet::new();
    println!("\nSaid in 100 notes of the whole parts");
    println!("{:<28} {:>10} {:>10} {:>10} {:>10}", "", "cannot", "runs out", "tight", "notice");
    let mut all = [0.0; 4];
    for page in pages.iter() {
        let analysis = page.study.analysis();
        if !seen.insert(&page.study.lesson().score.title) {
            continue;
        }
        let of = |verdict| elbowroom::bowing::spots(&analysis.findings.told, verdict) as f64;
        let hundreds = analysis.bowing.notes.len() as f64 / 100.0;
        let verdicts = [Verdict::Impossible, Verdict::RunsOut, Verdict::Tight, Verdict::Notice];
        let counts = verdicts.map(|verdict| of(verdict) / hundreds);
        let [a, b, c, d] = counts;
        println!("{:<28} {a:>10.2} {b:>10.2} {c:>10.2} {d:>10.2}", page.name);
        all.iter_mut().zip(counts).for_each(|(all, count)| *all += count);
    }
    let [a, b, c, d] = all.map(|sum| sum / seen.len().max(1) as f64);
    println!("{:<28} {a:>10.2} {b:>10.2} {c:>10.2} {d:>10.2}", "mean");
}
