//! A figure: one number of a set-up that a person can set, with all there is to say of it.

use crate::score::{Dynamic, StrokeType, figure};

use super::Origin;

/// What a figure belongs to; a list on the screen shows one section.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Section {
    /// The tempo that is practised.
    Tempo,
    /// Bridge and string length.
    Instrument,
    /// One string, 0 the highest.
    String(usize),
    /// The bow.
    Bow,
    /// What the player can do.
    Player,
    /// Where the player's bow lives.
    Home,
    /// The player's body.
    Body,
    /// How the instrument is held.
    Hold,
    /// What is kept and makes no difference on this instrument.
    Idle,
    /// What a school does with the elbow.
    Elbow,
    /// Lifts, retakes, and where speeds differ.
    Lifts,
    /// What the plan weighs against what.
    Plan,
    /// The bow at one dynamic mark.
    At(Dynamic),
    /// What one type of stroke does.
    Stroke(StrokeType),
    /// What speaks against a direction of the bow.
    Directions,
    /// From where on a finding is told.
    Rules,
}

/// How a figure is kept and written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// The unit it is kept in, in files, commands and messages; empty for a bare number.
    pub kept: &'static str,
    /// What is written after the number on the screen, with the space before it.
    pub shown: &'static str,
    /// What is kept for one of the unit shown.
    pub per_shown: f64,
    /// Decimals written at most.
    pub decimals: usize,
    /// Least change that is meant when it is dragged, in the unit shown. Assumed, as all steps.
    pub step: f64,
}

impl Unit {
    const fn new(
        kept: &'static str,
        shown: &'static str,
        per_shown: f64,
        decimals: usize,
        step: f64,
    ) -> Self {
        Self { kept, shown, per_shown, decimals, step }
    }

    /// A share, written in percent; `kept` says of what.
    pub(super) const fn share(kept: &'static str) -> Self {
        Self::new(kept, " %", 0.01, 1, 0.1)
    }

    /// Small lengths.
    pub const MM: Self = Self::new("mm", " mm", 1.0, 1, 0.1);
    /// Lengths of hair and of limbs.
    pub const CM: Self = Self::new("mm", " cm", 10.0, 1, 0.1);
    /// Speeds.
    pub const CM_PER_S: Self = Self::new("mm/s", " cm/s", 10.0, 1, 0.1);
    /// Times.
    pub const SECONDS: Self = Self::new("s", " s", 1.0, 2, 0.05);
    /// Masses.
    pub const GRAMS: Self = Self::new("g", " g", 1.0, 1, 0.1);
    /// Forces.
    pub const NEWTONS: Self = Self::new("N", " N", 1.0, 2, 0.01);
    /// Wave impedances.
    pub const KG_PER_S: Self = Self::new("kg/s", " kg/s", 1.0, 3, 0.005);
    /// Loudness.
    pub const DECIBELS: Self = Self::new("dB", " dB", 1.0, 1, 0.1);
    /// Angles.
    pub const DEGREES: Self = Self::new("degrees", "°", 1.0, 1, 0.1);
    /// Bow levels.
    pub const LEVELS: Self = Self::new("levels", " levels", 1.0, 1, 0.05);
    /// Intervals.
    pub const HALF_STEPS: Self = Self::new("half steps", " half steps", 1.0, 0, 0.05);
    /// Notes in a time.
    pub const NOTES_PER_S: Self = Self::new("notes a second", " a second", 1.0, 1, 0.05);
    /// Ratios.
    pub const TIMES: Self = Self::new("times", " times", 1.0, 2, 0.02);
    /// Counts.
    pub const COUNT: Self = Self::new("times", " times", 1.0, 0, 0.05);
    /// A number without a unit.
    pub const BARE: Self = Self::new("", "", 1.0, 2, 0.02);
}

/// Where the number stands.
#[derive(Debug)]
pub(super) enum Slot<'a> {
    Number(&'a mut f64),
    /// One's own number, or none: then the other counts.
    Own(&'a mut Option<f64>, f64),
    Count(&'a mut usize),
    HalfSteps(&'a mut u8),
}

impl<'a> From<&'a mut f64> for Slot<'a> {
    fn from(place: &'a mut f64) -> Self {
        Self::Number(place)
    }
}

impl<'a> From<(&'a mut Option<f64>, f64)> for Slot<'a> {
    fn from((own, other): (&'a mut Option<f64>, f64)) -> Self {
        Self::Own(own, other)
    }
}

impl<'a> From<&'a mut usize> for Slot<'a> {
    fn from(place: &'a mut usize) -> Self {
        Self::Count(place)
    }
}

impl<'a> From<&'a mut u8> for Slot<'a> {
    fn from(place: &'a mut u8) -> Self {
        Self::HalfSteps(place)
    }
}

/// One number that a person can set.
#[derive(Debug)]
pub struct Figure<'a> {
    /// What it belongs to.
    pub section: Section,
    /// Its name in lower case; with the section it is unique in a set-up.
    pub name: &'static str,
    /// What is measured, where the name does not say it; may be empty.
    pub what: &'static str,
    /// How it is kept and written.
    pub unit: Unit,
    /// Least value, in the unit it is kept in.
    pub least: f64,
    /// Greatest value, in the unit it is kept in.
    pub most: f64,
    /// Where the starting value comes from, in words.
    pub source: &'static str,
    /// The value to go back to, where one is known for this very instrument, hold or body.
    pub usual: Option<f64>,
    pub(super) starting: Origin,
    pub(super) slot: Slot<'a>,
}

impl Figure<'_> {
    /// The value, in the unit it is kept in.
    pub fn value(&self) -> f64 {
        match &self.slot {
            Slot::Number(number) => **number,
            Slot::Own(own, other) => own.unwrap_or(*other),
            Slot::Count(count) => **count as f64,
            Slot::HalfSteps(count) => f64::from(**count),
        }
    }

    /// Nobody has set it: its value follows from other figures.
    pub fn follows(&self) -> bool {
        matches!(&self.slot, Slot::Own(own, _) if own.is_none())
    }

    /// Sets it, in the unit it is kept in. Counts are rounded. Where a number of one's own is
    /// optional, one that reads the same as the usual one is none.
    pub fn set(&mut self, value: f64) {
        match &mut self.slot {
            Slot::Number(number) => **number = value,
            Slot::Own(own, other) => {
                let half_digit = 0.5 * self.unit.per_shown * 0.1_f64.powi(self.unit.decimals as i32);
                let same = (value - *other).abs() <= half_digit;
                **own = (!same).then_some(value);
            }
            // `as` saturates.
            Slot::Count(count) => **count = value.round() as usize,
            Slot::HalfSteps(count) => **count = value.round() as u8,
        }
    }

    /// Where the value at hand comes from: one that is not the usual one is the user's own.
    pub fn origin(&self) -> Origin {
        let own = match self.slot {
            Slot::Own(ref own, _) => own.is_some(),
            Slot::Number(_) | Slot::Count(_) | Slot::HalfSteps(_) => {
                self.usual.is_some_and(|usual| (usual - self.value()).abs() > 1e-9)
            }
        };
        if own { Origin::Measured } else { self.starting }
    }

    /// Its name with what it belongs to: "playable hair", "usual weight for mf".
    pub fn named(&self) -> String {
        let of = match self.section {
            Section::At(dynamic) => format!(" for {}", dynamic.mark()),
            Section::Stroke(stroke) => format!(" of {}", stroke.word()),
            Section::String(string) => format!(" of string {}", string + 1),
            Section::Tempo
            | Section::Instrument
            | Section::Bow
            | Section::Player
            | Section::Home
            | Section::Body
            | Section::Hold
            | Section::Idle
            | Section::Elbow
            | Section::Lifts
            | Section::Plan
            | Section::Directions
            | Section::Rules => String::new(),
        };
        format!("{}{of}", self.name)
    }

    /// Its value as it is read on the screen: "64.5 cm".
    pub fn shown(&self) -> String {
        let number = format!("{:.*}", self.unit.decimals, self.value() / self.unit.per_shown);
        let number = match number.contains('.') {
            true => number.trim_end_matches('0').trim_end_matches('.'),
            false => &number,
        };
        format!("{number}{}", self.unit.shown)
    }

    /// What is wrong with the value, if anything is: not a number, or out of range.
    pub fn problem(&self) -> Option<String> {
        let (value, name, Self { what, least, most, .. }) = (self.value(), self.named(), self);
        let what = if what.is_empty() { String::new() } else { format!(" ({what})") };
        let unit = if self.unit.kept.is_empty() { String::new() } else { format!(" {}", self.unit.kept) };
        let fits = (*least..=*most).contains(&value);
        (!fits).then(|| {
            format!(
                "{name}{what} is {}{unit}; it must lie between {least} and {}{unit}",
                figure(value),
                figure(*most)
            )
        })
    }
}
