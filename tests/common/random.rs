//! Passages of chance for tests and benches, the same on every run.

#![allow(dead_code, reason = "each test and bench uses its part")]

use elbowroom::bowing::{End, Join, Piece, Pin, Problem, Weights};
use elbowroom::score::Direction;

/// A small generator of even numbers (xorshift64*, Vigna, "An experimental exploration of
/// Marsaglia's xorshift generators, scrambled", 2016).
pub struct Random(u64);

impl Random {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    /// Between `lo` and `hi`.
    pub fn between(&mut self, lo: f64, hi: f64) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let bits = self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11;
        lo + (hi - lo) * bits as f64 / (1_u64 << 53) as f64
    }

    /// True this often, of 1.
    pub fn chance(&mut self, often: f64) -> bool {
        self.between(0.0, 1.0) < often
    }

    /// Below `count`, which is positive.
    pub fn below(&mut self, count: usize) -> usize {
        (self.between(0.0, count as f64) as usize).min(count - 1)
    }
}

/// Strokes of one to six notes on 650 mm of hair, with rests, stops, tremolo and pins. Not every
/// passage can be played.
pub fn passage(random: &mut Random, count: usize) -> Problem {
    const HAIR_MM: f64 = 650.0;
    let slowest_whole_bow_s = random.between(6.0, 20.0);
    let fastest_whole_bow_s = random.between(0.5, 1.0);
    let place_weight = if random.chance(0.2) { 0.0 } else { random.between(0.0, 2.0) };
    let dynamic_mm_s = random.between(80.0, 300.0);
    let mut direction = if random.chance(0.5) { Direction::Down } else { Direction::Up };
    let mut pieces: Vec<Piece> = Vec::with_capacity(count);
    while pieces.len() < count {
        let notes = if random.chance(0.5) { 1 } else { 2 + random.below(5) };
        let stroke_s = if random.chance(0.15) { random.between(2.0, 6.0) } else { random.between(0.1, 2.0) };
        for note in 0..notes {
            let join = match (pieces.is_empty(), note) {
                (true, _) => Join::Start,
                (_, 0) if random.chance(0.06) => Join::Lift { reach_mm: random.between(0.0, 500.0) },
                (_, 0) => Join::Turn { smooth: random.chance(0.8) },
                _ => Join::Same,
            };
            let seconds = stroke_s * random.between(0.5, 1.5) / f64::from(notes as u32);
            pieces.push(Piece {
                seconds,
                wanted_mm: seconds * dynamic_mm_s * random.between(0.6, 1.6),
                min_mm: seconds * HAIR_MM / slowest_whole_bow_s,
                max_mm: seconds * HAIR_MM / fastest_whole_bow_s,
                direction,
                travels: !random.chance(0.05),
                carries: false,
                place_mm: random.between(50.0, 600.0),
                place_weight,
                speed_weight: if random.chance(0.02) { 0.0 } else { random.between(0.5, 2.0) },
                join,
            });
        }
        direction = if random.chance(0.95) { direction.turned() } else { direction };
    }
    pieces.truncate(count);
    for piece in &mut pieces {
        if random.chance(0.02) {
            piece.max_mm = piece.min_mm;
        }
    }
    let mut pins = Vec::new();
    for _ in 0..count / 25 + 1 {
        if random.chance(0.5) {
            let lo_mm = random.between(20.0, 600.0);
            let wide = if random.chance(0.3) { 0.0 } else { random.between(0.0, 150.0) };
            let at = if random.chance(0.5) { End::Start } else { End::Finish };
            pins.push(Pin { piece: random.below(count), at, lo_mm, hi_mm: lo_mm + wide });
        }
    }
    Problem {
        hair_mm: HAIR_MM,
        usable: (random.between(0.0, 20.0), random.between(560.0, HAIR_MM)),
        start: random.chance(0.3).then(|| (0.0, random.between(30.0, 300.0))),
        pieces,
        pins,
        weights: Weights::default(),
    }
}

/// The same, tried until it can be played from one end to the other.
pub fn playable(random: &mut Random, count: usize) -> Problem {
    loop {
        let mut problem = passage(random, count);
        // A passage of chance of some length always has a spot or two: mend those.
        for _ in 0..4 * count {
            let (_, spots) = elbowroom::bowing::corridor(&problem);
            let Some(spot) = spots.first() else { return problem };
            match spot.cause {
                elbowroom::bowing::Cause::Pin(index) => drop(problem.pins.remove(index)),
                _ => {
                    let first = spot.piece.saturating_sub(1);
                    for piece in &mut problem.pieces[first..=spot.piece] {
                        piece.min_mm *= 0.5;
                        if let Join::Lift { reach_mm } = &mut piece.join {
                            *reach_mm = 600.0;
                        }
                    }
                }
            }
        }
    }
}

/// A passage as music mostly is: quarters and eighths in one dynamic, alone or slurred in twos and
/// fours, the place left free within reason, a rest now and then.
pub fn easy(random: &mut Random, count: usize) -> Problem {
    const HAIR_MM: f64 = 650.0;
    let mut direction = Direction::Down;
    let mut pieces = Vec::with_capacity(count + 4);
    while pieces.len() < count {
        let notes = [1, 1, 2, 4][random.below(4)];
        for note in 0..notes {
            let seconds = if random.chance(0.5) { 0.25 } else { 0.5 };
            pieces.push(Piece {
                seconds,
                wanted_mm: 200.0 * seconds,
                min_mm: seconds * HAIR_MM / 20.0,
                max_mm: seconds * HAIR_MM / 0.5,
                direction,
                travels: true,
                carries: false,
                place_mm: 0.5 * HAIR_MM,
                place_weight: 1.0,
                speed_weight: 1.0,
                join: match (pieces.is_empty(), note) {
                    (true, _) => Join::Start,
                    (_, 0) if random.chance(0.03) => Join::Lift { reach_mm: 400.0 },
                    (_, 0) => Join::Turn { smooth: true },
                    _ => Join::Same,
                },
            });
        }
        direction = direction.turned();
    }
    pieces.truncate(count);
    Problem {
        hair_mm: HAIR_MM,
        usable: (10.0, 640.0),
        start: None,
        pieces,
        pins: Vec::new(),
        weights: Weights::default(),
    }
}
