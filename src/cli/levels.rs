//! `levels`: the bow planes of an instrument.

use std::fmt::Write as _;

use serde_json::{Value, json};

use crate::{
    arm::{Level, LevelFan},
    setup::Setup,
};

use super::{
    Failure, LevelsArgs,
    input::{json_text, rounded},
};

pub(super) fn run(args: &LevelsArgs, out: &mut String) -> Result<(), Failure> {
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
    let instrument = &setup.instrument;
    let fan = LevelFan::new(instrument);
    if args.json {
        let list = |levels: &[Level]| -> Vec<Value> {
            levels
                .iter()
                .map(|level| {
                    json!({
                        "name": level.name,
                        "degrees": rounded(level.angle_deg),
                        "room_degrees": rounded(level.room_deg),
                        "margin_up_degrees": rounded(level.margin_up_deg),
                        "margin_down_degrees": rounded(level.margin_down_deg),
                    })
                })
                .collect()
        };
        out.push_str(&json_text(&json!({
            "instrument": instrument.family.word(),
            "size": instrument.size,
            "radius_mm": instrument.bridge.radius_mm,
            "spread_mm": instrument.bridge.spread_mm,
            "low_height_mm": instrument.bridge.low_height_mm,
            "high_height_mm": instrument.bridge.high_height_mm,
            "roll_degrees": instrument.roll_deg,
            "strings": list(&fan.strings),
            "pairs": list(&fan.pairs),
        })));
        return Ok(());
    }
    let _ = writeln!(
        out,
        "{}, {}: bridge radius {} mm, spread {} mm, rolled {} degrees\n\
         degrees: bow plane against the bridge (bow hand away from the top plate is positive); \
         in the room; until the neighbour sounds, up and down",
        instrument.family.word(),
        instrument.size,
        instrument.bridge.radius_mm,
        instrument.bridge.spread_mm,
        instrument.roll_deg
    );
    for level in fan.all() {
        let _ = writeln!(
            out,
            "{:<6} {:>7.2}  {:>7.2}  up {:>5.2}  down {:>5.2}",
            level.name, level.angle_deg, level.room_deg, level.margin_up_deg, level.margin_down_deg
        );
    }
    Ok(())
}
