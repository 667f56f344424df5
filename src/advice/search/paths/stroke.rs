//! A stroke to be tried, and where on the bow it may start.

use crate::score::Direction;

use super::super::choice::Link;

/// Places tried after a lift lie so far apart, mm. Assumed.
const SET_MM: f64 = 100.0;

/// A stroke to be tried: its notes, how it is reached and how new notes join it.
pub(super) struct Stroke {
    pub first: usize,
    pub last: usize,
    pub joint: Link,
    pub link: Link,
    pub run: Run,
    pub new_notes: usize,
    /// What speaks against its new slurs and against joining notes that bear a bow mark.
    pub redrawn: f64,
}

impl Stroke {
    /// The bow may be set elsewhere before it.
    pub fn is_lifted(&self) -> bool {
        self.link != Link::Change
    }

    /// What stands for the choices before it with this stroke mixed in (FNV-1a, a public-domain hash).
    pub fn mixed(&self, choices: u64, direction: Direction) -> u64 {
        let values = [
            self.first as u64,
            self.link as u64,
            direction as u64,
            if self.new_notes > 0 { self.joint as u64 } else { Link::Joined as u64 },
        ];
        values.iter().fold(choices ^ 0xcbf2_9ce4_8422_2325, |hash, value| {
            (hash ^ value).wrapping_mul(0x0000_0100_0000_01b3).rotate_left(23)
        })
    }
}

/// What the notes of a stroke want together, in mm and hairs.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Run {
    pub wanted: f64,
    pub least: f64,
    pub most: f64,
    pub weight: f64,
    /// Weight of the places of its notes.
    pub place_weight: f64,
    /// Half its wanted hair, and where its middle would best lie, as shares of the hair.
    pub half: f64,
    pub middle: f64,
}

impl Run {
    /// What it costs that its notes have other speeds and places than they want, at this ratio of the
    /// wanted hair, starting at this share of the hair; `d` is 1 toward the tip, -1 toward the frog.
    pub fn bent(&self, ratio: f64, d: f64, from: f64) -> f64 {
        // Where its middle comes to lie, off where it would best lie.
        let off = from + d * ratio * self.half - self.middle;
        self.weight * (ratio + 1.0 / ratio - 2.0) + self.place_weight * off * off
    }
}

/// Where a stroke may start.
pub(super) struct Starts {
    places: [f64; 16],
    count: usize,
}

impl Starts {
    pub fn new(place: f64, reach: f64, usable: (f64, f64), lifted: bool, first: bool) -> Self {
        let mut starts = Self { places: [place; 16], count: usize::from(!first) };
        if lifted {
            let choices = 12.0_f64.min(((usable.1 - usable.0) / SET_MM).ceil()).max(1.0);
            for choice in 0..=choices as usize {
                let goal = usable.0 + (usable.1 - usable.0) * choice as f64 / choices;
                let near = goal.clamp(place - reach, place + reach);
                if first || (near - place).abs() > SET_MM / 2.0 {
                    starts.add(near);
                }
            }
        }
        starts
    }

    pub fn add(&mut self, place: f64) {
        if self.count < self.places.len() && !self.list().iter().any(|other| (other - place).abs() < 1.0) {
            self.places[self.count] = place;
            self.count += 1;
        }
    }

    pub fn list(&self) -> &[f64] {
        &self.places[..self.count]
    }
}
