//! `ladder`: what works at which tempo.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::{
    advice::{Band, Ladder, LadderPlace, LadderSpot, Rung, SlowPractice, ladder, ladder_shares},
    analysis::Study,
    bowing::Verdict,
    score::Quarters,
};

use super::{
    Failure,
    answer::{Answer, FormArgs},
    input::{Source, load, print_report},
    json::rounded,
};

#[derive(clap::Args, Debug)]
pub(super) struct Args {
    #[command(flatten)]
    pub source: Source,
    #[command(flatten)]
    pub form: FormArgs,
}

/// A tempo ladder, and the marked tempo.
pub(super) struct Climb {
    ladder: Ladder,
    qpm: f64,
}

#[derive(Serialize, JsonSchema)]
pub(super) struct Json {
    /// The tempos tried, slowest first
    rungs: Vec<RungJson>,
    /// Every stroke that does not work at one of them
    spots: Vec<SpotJson>,
    /// What to practise in another way when slow
    slow: Vec<SlowJson>,
}

#[derive(Serialize, JsonSchema)]
struct RungJson {
    /// Share of the marked tempo: 0.5 is half of it
    share: f64,
    /// What is found at it
    spots: Vec<RungSpotJson>,
}

#[derive(Serialize, JsonSchema)]
struct RungSpotJson {
    /// Bar and beat in words
    place: String,
    /// How bad it is, such as: runs out as marked
    verdict: &'static str,
}

#[derive(Serialize, JsonSchema)]
struct SpotJson {
    /// Bars in words
    place: String,
    /// Quarter notes from the start of the piece, as 5/2
    at: String,
    /// Tempos at which it goes alike, slowest first
    bands: Vec<BandJson>,
    /// The same in words
    words: String,
}

#[derive(Serialize, JsonSchema)]
struct BandJson {
    /// Slowest of these tempos, as a share of the marked tempo
    from: f64,
    /// Fastest of them
    to: f64,
    /// What is found there; none where it works
    verdict: Option<&'static str>,
}

#[derive(Serialize, JsonSchema)]
struct SlowJson {
    /// Bars in words
    place: String,
    /// What to do
    words: String,
    /// The strokes it is about
    spots: Vec<SlowSpotJson>,
}

#[derive(Serialize, JsonSchema)]
struct SlowSpotJson {
    /// Quarter notes from the start of the piece, as 5/2
    at: String,
    /// Below this share of the marked tempo
    below: f64,
}

impl Climb {
    pub fn new(args: &Args) -> Result<Self, Failure> {
        let input = load(&args.source)?;
        print_report(&input.report, &input.lesson.score.assumptions());
        let study = Study::new(input.lesson);
        let ladder = ladder(&study, &ladder_shares(), &mut |_| true)
            .ok_or_else(|| Failure("the ladder was given up before its end".to_owned()))?;
        Ok(Self { ladder, qpm: study.lesson().score.tempo_map().qpm_at(Quarters::ZERO) })
    }
}

impl Answer for Climb {
    type Json<'a> = Json;

    fn json(&self) -> Json {
        Json {
            rungs: self.ladder.rungs.iter().map(RungJson::from).collect(),
            spots: self.ladder.spots.iter().map(SpotJson::from).collect(),
            slow: self.ladder.slow.iter().map(SlowJson::from).collect(),
        }
    }

    fn text(&self) -> String {
        let mut out = String::new();
        for rung in &self.ladder.rungs {
            let count = |verdict| rung.spots.iter().filter(|spot| spot.verdict == verdict).count();
            let _ = writeln!(
                out,
                "{:>4.0} % (quarter = {:.0}): {} cannot be played, {} run out, {} tight",
                rung.share * 100.0,
                self.qpm * rung.share,
                count(Verdict::Impossible),
                count(Verdict::RunsOut),
                count(Verdict::Tight)
            );
        }
        let groups = self.ladder.groups.iter().map(|group| (&group.places, &group.words));
        let slow = self.ladder.slow.iter().map(|slow| (&slow.places, &slow.words));
        for (places, words) in groups.chain(slow) {
            let _ = writeln!(out, "{}: {words}", LadderPlace::all(places));
        }
        out
    }
}

impl From<&Rung> for RungJson {
    fn from(rung: &Rung) -> Self {
        let spots = rung.spots.iter();
        let spot = |spot: &crate::advice::RungSpot| RungSpotJson {
            place: spot.place.clone(),
            verdict: spot.verdict.words(),
        };
        Self { share: rounded(rung.share), spots: spots.map(spot).collect() }
    }
}

impl From<&LadderSpot> for SpotJson {
    fn from(spot: &LadderSpot) -> Self {
        let band = |band: &Band| BandJson {
            from: rounded(band.from),
            to: rounded(band.to),
            verdict: band.verdict.map(Verdict::words),
        };
        Self {
            place: spot.place.clone(),
            at: spot.at.to_string(),
            bands: spot.bands.iter().map(band).collect(),
            words: spot.words.clone(),
        }
    }
}

impl From<&SlowPractice> for SlowJson {
    fn from(slow: &SlowPractice) -> Self {
        let spots = slow.spots.iter();
        Self {
            place: LadderPlace::all(&slow.places),
            words: slow.words.clone(),
            spots: spots
                .map(|spot| SlowSpotJson { at: spot.at.to_string(), below: rounded(spot.below) })
                .collect(),
        }
    }
}
