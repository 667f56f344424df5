//! `levels`: the bow planes of an instrument.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::{
    arm::{Level, LevelFan},
    setup::{Instrument, Setup},
};

use super::{
    Failure,
    answer::{Answer, FormArgs},
    figures::number,
    input::InstrumentChoice,
    json::rounded,
};

#[derive(clap::Args, Debug)]
pub(super) struct Args {
    /// Instrument
    #[arg(long, value_enum, default_value = "viola")]
    pub instrument: InstrumentChoice,
    /// Radius of the bridge curve, mm
    #[arg(long, value_name = "MM", value_parser = number, allow_negative_numbers = true)]
    pub radius: Option<f64>,
    /// Distance from outer string to outer string, mm
    #[arg(long, value_name = "MM", value_parser = number, allow_negative_numbers = true)]
    pub spread: Option<f64>,
    /// Height of the lowest string over the end of the fingerboard, mm
    #[arg(long, value_name = "MM", value_parser = number, allow_negative_numbers = true)]
    pub low_height: Option<f64>,
    /// Height of the highest string over the end of the fingerboard, mm
    #[arg(long, value_name = "MM", value_parser = number, allow_negative_numbers = true)]
    pub high_height: Option<f64>,
    /// How far the instrument is rolled toward its highest string, degrees
    #[arg(long, value_name = "DEGREES", value_parser = number, allow_negative_numbers = true)]
    pub roll: Option<f64>,
    #[command(flatten)]
    pub form: FormArgs,
}

/// An instrument and its bow planes.
pub(super) struct Levels {
    instrument: Instrument,
    fan: LevelFan,
}

#[derive(Serialize, JsonSchema)]
pub(super) struct Json {
    /// violin, viola, cello or double-bass
    instrument: &'static str,
    /// Its size
    size: String,
    /// Radius of the bridge curve, mm
    radius_mm: f64,
    /// Distance from outer string to outer string, mm
    spread_mm: f64,
    /// Lowest string over the end of the fingerboard, mm
    low_height_mm: f64,
    /// Highest string over the end of the fingerboard, mm
    high_height_mm: f64,
    /// Roll of the instrument toward its highest string, degrees
    roll_degrees: f64,
    /// Bow plane on each string
    strings: Vec<LevelJson>,
    /// Bow plane on each pair of strings
    pairs: Vec<LevelJson>,
}

#[derive(Serialize, JsonSchema)]
struct LevelJson {
    /// Name of the string or the pair
    name: String,
    /// Against the bridge, degrees; + is away from the top plate
    degrees: f64,
    /// The same in the room, degrees
    room_degrees: f64,
    /// Until the neighbour sounds, bow hand rising, degrees
    margin_up_degrees: f64,
    /// Until the neighbour sounds, bow hand sinking, degrees
    margin_down_degrees: f64,
}

impl Levels {
    pub fn new(args: &Args) -> Result<Self, Failure> {
        let mut setup = Setup::for_family(args.instrument.into());
        let bridge = &mut setup.instrument.bridge;
        for (given, value) in [
            (args.radius, &mut bridge.radius_mm),
            (args.spread, &mut bridge.spread_mm),
            (args.low_height, &mut bridge.low_height_mm),
            (args.high_height, &mut bridge.high_height_mm),
            (args.roll, &mut setup.instrument.roll_deg),
        ] {
            *value = given.unwrap_or(*value);
        }
        if let Some(problem) = setup.problems().into_iter().next() {
            return Err(Failure(problem));
        }
        let fan = LevelFan::new(&setup.instrument);
        Ok(Self { instrument: setup.instrument, fan })
    }
}

impl Answer for Levels {
    type Json<'a> = Json;

    fn json(&self) -> Json {
        let instrument = &self.instrument;
        Json {
            instrument: instrument.family.word(),
            size: instrument.size.clone(),
            radius_mm: instrument.bridge.radius_mm,
            spread_mm: instrument.bridge.spread_mm,
            low_height_mm: instrument.bridge.low_height_mm,
            high_height_mm: instrument.bridge.high_height_mm,
            roll_degrees: instrument.roll_deg,
            strings: self.fan.strings.iter().map(LevelJson::from).collect(),
            pairs: self.fan.pairs.iter().map(LevelJson::from).collect(),
        }
    }

    fn text(&self) -> String {
        let instrument = &self.instrument;
        let mut out = format!(
            "{}, {}: bridge radius {} mm, spread {} mm, rolled {} degrees\n\
             degrees: bow plane against the bridge (bow hand away from the top plate is positive); \
             in the room; until the neighbour sounds, up and down\n",
            instrument.family.word(),
            instrument.size,
            instrument.bridge.radius_mm,
            instrument.bridge.spread_mm,
            instrument.roll_deg
        );
        for level in self.fan.all() {
            let _ = writeln!(
                out,
                "{:<6} {:>7.2}  {:>7.2}  up {:>5.2}  down {:>5.2}",
                level.name, level.angle_deg, level.room_deg, level.margin_up_deg, level.margin_down_deg
            );
        }
        out
    }
}

impl From<&Level> for LevelJson {
    fn from(level: &Level) -> Self {
        Self {
            name: level.name.clone(),
            degrees: rounded(level.angle_deg),
            room_degrees: rounded(level.room_deg),
            margin_up_degrees: rounded(level.margin_up_deg),
            margin_down_degrees: rounded(level.margin_down_deg),
        }
    }
}
