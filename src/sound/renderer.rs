//! From a program to samples, block by block. Nothing in here allocates once it is made: it runs where the
//! loudspeaker asks for samples.

use std::sync::Arc;

use crate::{
    practice::{
        Doing, Stretch,
        metre::{Count, Weight},
    },
    setup::Family,
};

use super::{
    Events, Program, Tone,
    voice::{Body, Click, Drive, Drone, STEP, Saws, Voice},
};

/// Strings that can sound at once: no instrument of the families has more.
const STRINGS: usize = 8;
/// Clicks that can sound at once; the oldest makes room.
const CLICKS: usize = 8;
/// Where the sum of all is held, so that nothing beyond it is cut off.
const KNEE: f32 = 0.7;
/// Tones looked back at to find what sounds in the middle of the music. Assumed; a broken chord has four, and
/// what is held over so many notes of other strings is not held.
const LOOK_BACK: usize = 64;

/// Makes samples.
#[derive(Debug)]
pub struct Renderer {
    rate: f64,
    saws: Arc<Saws>,
    program: Option<Box<Program>>,
    /// Frames that were made.
    frame: u64,
    strings: [Voice; STRINGS],
    /// The tone of each string, as an index.
    tones: [Option<usize>; STRINGS],
    /// The first tone that has not begun.
    next_tone: usize,
    clicks: [Click; CLICKS],
    next_click: usize,
    drone: Drone,
    body: Body,
    family: Family,
    /// Up to which position of the present stretch clicks have begun, and where the stretch began.
    clicked: Option<(f64, f64)>,
}

impl Renderer {
    /// Silence, at a rate of samples, Hz.
    pub fn new(rate: u32) -> Self {
        let rate = f64::from(rate);
        Self {
            rate,
            saws: Arc::new(Saws::new(rate)),
            program: None,
            frame: 0,
            strings: [Voice::REST; STRINGS],
            tones: [None; STRINGS],
            next_tone: 0,
            clicks: [Click::default(); CLICKS],
            next_click: 0,
            drone: Drone::default(),
            body: Body::new(Family::Viola, rate),
            family: Family::Viola,
            clicked: None,
        }
    }

    /// Frames that were made so far.
    pub fn frame(&self) -> u64 {
        self.frame
    }

    /// Plays another program from the next block on; gives back the one before, to be dropped elsewhere.
    pub fn play(&mut self, program: Box<Program>) -> Option<Box<Program>> {
        let goes_on = self.program.as_ref().is_some_and(|before| program.goes_on_from(before));
        if !goes_on {
            (self.tones, self.next_tone, self.clicked) = ([None; STRINGS], usize::MAX, None);
        }
        if program.events.family != self.family {
            self.family = program.events.family;
            self.body = Body::new(self.family, self.rate);
        }
        self.program.replace(program)
    }

    /// All has rung out.
    pub fn is_silent(&self) -> bool {
        self.strings.iter().all(Voice::is_over)
            && self.clicks.iter().all(Click::is_over)
            && self.drone.is_over()
    }

    /// The clock runs, or something has not rung out.
    pub fn plays(&self) -> bool {
        self.program.as_ref().is_some_and(|program| program.clock.is_playing()) || !self.is_silent()
    }

    /// Makes the next samples, one a frame, from -1 to 1.
    pub fn render(&mut self, out: &mut [f32]) {
        let Some(program) = self.program.take() else {
            out.fill(0.0);
            self.frame += out.len() as u64;
            return;
        };
        let mut rest = out;
        while !rest.is_empty() {
            let (length, stretch) = self.step(&program, rest.len().min(STEP));
            let (block, after) = rest.split_at_mut(length);
            self.block(&program, stretch, block);
            rest = after;
        }
        self.program = Some(program);
    }

    /// Seconds since the clock began to run.
    fn elapsed(&self, program: &Program, frames: usize) -> f64 {
        ((self.frame + frames as u64) as f64 - program.begins) / self.rate
    }

    /// Frames up to which nothing changes, at most so many, and the stretch of the music they are in; none
    /// while the clock does not run.
    fn step(&self, program: &Program, most: usize) -> (usize, Option<Stretch>) {
        if !program.clock.is_playing() {
            return (most, None);
        }
        let elapsed = self.elapsed(program, 0);
        if elapsed < 0.0 {
            let until = (-elapsed * self.rate).ceil() as usize;
            return (until.clamp(1, most), None);
        }
        let stretch = program.clock.stretch_at(elapsed);
        let until = ((stretch.until_s - elapsed) * self.rate).ceil();
        (if until < most as f64 { (until as usize).max(1) } else { most }, Some(stretch))
    }

    fn block(&mut self, program: &Program, stretch: Option<Stretch>, block: &mut [f32]) {
        block.fill(0.0);
        let (events, levels) = (&*program.events, &program.levels);
        match stretch.filter(|stretch| stretch.doing != Doing::Over) {
            Some(stretch) => {
                let from = self.elapsed(program, 0);
                let until = self.elapsed(program, block.len()).min(stretch.until_s);
                let span = (stretch.position_at(from), stretch.position_at(until));
                self.strings(events, &stretch, span, levels.tone, block);
                if levels.click > 0.0 {
                    self.click(program, &stretch, span);
                }
            }
            None => {
                (self.tones, self.next_tone, self.clicked) = ([None; STRINGS], usize::MAX, None);
                self.let_ring(events, levels.tone, block);
            }
        }
        for click in self.clicks.iter_mut().filter(|click| !click.is_over()) {
            click.add(block);
        }
        self.drone.add(levels.drone_hz, levels.drone, &self.saws, self.rate, block);
        for sample in block.iter_mut() {
            *sample = held(*sample);
        }
        self.frame += block.len() as u64;
    }

    /// Adds the strings, on which the music goes on in a span of positions.
    fn strings(
        &mut self,
        events: &Events,
        stretch: &Stretch,
        (from, until): (f64, f64),
        volume: f32,
        block: &mut [f32],
    ) {
        if volume == 0.0 || stretch.doing != Doing::Plays {
            (self.tones, self.next_tone) = ([None; STRINGS], usize::MAX);
            return self.let_ring(events, volume, block);
        }
        let all = &events.tones;
        // The next one lies before or far behind: it was gone somewhere else.
        let is_here = self.next_tone <= all.len()
            && self.next_tone.checked_sub(1).is_none_or(|last| all[last].at_s <= until)
            && all.get(self.next_tone).is_none_or(|next| next.at_s >= from - 2.0 * STEP as f64 / self.rate);
        if !is_here {
            self.next_tone = all.partition_point(|tone| tone.at_s < from);
            self.tones = sounding(all, self.next_tone, from);
        }
        while let Some(tone) = all.get(self.next_tone).filter(|tone| tone.at_s < until) {
            self.tones[usize::from(tone.string) % STRINGS] = Some(self.next_tone);
            self.next_tone += 1;
        }
        let loud = events.loud_at(from);
        for (string, index) in self.strings.iter_mut().zip(&mut self.tones) {
            // What begins in this block may be shorter than the block.
            let tone = index.map(|index| &all[index]).filter(|tone| tone.until_s > from || tone.at_s >= from);
            if tone.is_none() {
                *index = None;
            }
            let drive = Drive {
                tone,
                position_s: from,
                speed: stretch.speed,
                db: loud.db,
                level: loud.level,
                turn_s: events.turn_s,
            };
            string.add(&drive, events.family, &self.saws, self.rate, block);
        }
        self.through_body(volume, block);
    }

    /// Adds the strings, which are let alone.
    fn let_ring(&mut self, events: &Events, volume: f32, block: &mut [f32]) {
        if self.strings.iter().all(Voice::is_over) {
            return;
        }
        let drive =
            Drive { tone: None, position_s: 0.0, speed: 1.0, db: 0.0, level: 4.0, turn_s: events.turn_s };
        for string in &mut self.strings {
            string.add(&drive, events.family, &self.saws, self.rate, block);
        }
        self.through_body(volume, block);
    }

    fn through_body(&mut self, volume: f32, block: &mut [f32]) {
        self.body.turn(block);
        for sample in block {
            *sample *= volume;
        }
    }

    /// Begins the clicks of a span of positions.
    fn click(&mut self, program: &Program, stretch: &Stretch, (from, until): (f64, f64)) {
        // From where those of the block before ended; at the start of a stretch from its start.
        let (events, least) = (&program.events, program.levels.least);
        let (from_s, since) = self.clicked.unwrap_or((f64::NAN, from));
        let begun = stretch.position.max(from - LATE_S * stretch.speed).min(from);
        let since = if from_s == stretch.from_s { since } else { begun };
        self.clicked = Some((stretch.from_s, until));
        let mut begin = |at: f64, weight: Weight| {
            let waits = ((at - from) / stretch.speed * self.rate).round().max(0.0) as usize;
            let click = &mut self.clicks[self.next_click];
            click.begin(weight, program.levels.click, waits, self.rate);
            self.next_click = (self.next_click + 1) % CLICKS;
        };
        if stretch.doing == Doing::Plays {
            let first = events.clicks.partition_point(|(at, _)| *at < since - CLOSE_S);
            for (at, weight) in &events.clicks[first..] {
                if *at >= until - CLOSE_S {
                    break;
                }
                if *weight >= least {
                    begin(*at, *weight);
                }
            }
        } else {
            for Count { before_s, weight, .. } in &program.clock.counts(stretch.doing).counts {
                let at = stretch.begins - before_s;
                if (since - CLOSE_S..until - CLOSE_S).contains(&at) && *weight >= least {
                    begin(at, *weight);
                }
            }
        }
    }
}

/// Two positions so close are one, s: less than a sample, more than what is lost in counting.
const CLOSE_S: f64 = 1e-7;

/// A click that is so late is begun still, s. Assumed: nobody hears it; one that is later has been played.
const LATE_S: f64 = 0.005;

/// The tones that sound on each string in the middle of the music, before the next one begins.
fn sounding(all: &[Tone], next: usize, at_s: f64) -> [Option<usize>; STRINGS] {
    let mut tones = [None; STRINGS];
    let mut is_known = [false; STRINGS];
    for index in (next.saturating_sub(LOOK_BACK)..next.min(all.len())).rev() {
        let string = usize::from(all[index].string) % STRINGS;
        if !std::mem::replace(&mut is_known[string], true) && all[index].until_s > at_s {
            tones[string] = Some(index);
        }
    }
    tones
}

/// Held within -1 and 1: what is loud is bent softly, not cut off.
fn held(sample: f32) -> f32 {
    let over = sample.abs() - KNEE;
    if over <= 0.0 {
        return sample;
    }
    let room = 1.0 - KNEE;
    (KNEE + room * over / (room + over)).copysign(sample)
}
