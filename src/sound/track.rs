//! A practice track: a passage, at one tempo or from tempo to tempo, as samples and as a WAV file.

use std::{ops::Range, sync::Arc};

use crate::{
    analysis::Study,
    practice::{Clock, CountIn, Doing, Pace, way_through},
    score::Quarters,
};

use super::{Events, Levels, Program, Renderer, Wishes};

/// Samples in a second.
pub const RATE: u32 = 48_000;
/// What is heard after the last note, s. Assumed.
const TAIL_S: f64 = 2.0;
/// Samples made at a time.
const BLOCK: usize = 4096;

/// How often a passage is played, and how fast.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rounds {
    /// How often; at least once.
    pub times: u32,
    /// How fast each time.
    pub pace: Pace,
    /// Bars that are counted before each.
    pub count_in: u8,
}

/// The samples of a practice track.
#[derive(Debug)]
pub struct Track {
    renderer: Renderer,
    /// What plays when the music is over: all rings out.
    after: Option<Box<Program>>,
    /// The last frame of the music, and of all.
    music: u64,
    frames: u64,
    block: Vec<f32>,
}

impl Track {
    /// The whole part with its repeats, at the practice tempo, after a count of so many bars.
    pub fn whole(study: &Study, wishes: &Wishes, count_in: u8) -> Self {
        let mut clock = Clock::new(study.analysis().total_s());
        clock.set_way(way_through(study), 0.0);
        let (score, analysis) = (&study.lesson().score, study.analysis());
        clock.play_after(CountIn::new(score, analysis, Quarters::ZERO, count_in), 0.0);
        Self::new(study, wishes, clock, u32::MAX)
    }

    /// A passage, round after round, each counted in.
    pub fn rounds(study: &Study, span: Range<Quarters>, wishes: &Wishes, rounds: Rounds) -> Self {
        let (score, analysis) = (&study.lesson().score, study.analysis());
        let seconds = (analysis.seconds_at(span.start), analysis.seconds_at(span.end));
        let count = CountIn::new(score, analysis, span.start, rounds.count_in);
        let mut clock = Clock::new(analysis.total_s());
        clock.set_span(Some(seconds), 0.0);
        clock.set_rounds(count.clone(), rounds.pace, 0.0);
        clock.seek(seconds.0, 0.0);
        clock.play_after(count, 0.0);
        Self::new(study, wishes, clock, rounds.times.max(1))
    }

    /// So many rounds of a clock that plays.
    fn new(study: &Study, wishes: &Wishes, mut clock: Clock, times: u32) -> Self {
        let mut over_s = 0.0;
        loop {
            let stretch = clock.stretch_at(over_s);
            if stretch.round >= times || stretch.doing == Doing::Over {
                break;
            }
            over_s = stretch.until_s;
        }
        let events = Arc::new(Events::new(study, &wishes.tuning(study)));
        let mut renderer = Renderer::new(RATE);
        let levels = wishes.levels(study);
        let program = Program { events, clock: clock.clone(), begins: 0.0, levels };
        renderer.play(Box::new(program.clone()));
        clock.pause(over_s);
        let after = Program { clock, levels: Levels { drone_hz: None, ..levels }, ..program };
        let music = (over_s * f64::from(RATE)).round() as u64;
        Self {
            renderer,
            after: Some(Box::new(after)),
            music,
            frames: music + (TAIL_S * f64::from(RATE)) as u64,
            block: vec![0.0; BLOCK],
        }
    }

    /// Frames in all; each is one sample.
    pub fn frames(&self) -> u64 {
        self.frames
    }

    /// How long it is, s.
    pub fn seconds(&self) -> f64 {
        self.frames as f64 / f64::from(RATE)
    }

    /// The next samples, from -1 to 1; none after the last.
    pub fn next_samples(&mut self) -> Option<&[f32]> {
        let done = self.renderer.frame();
        if done >= self.music
            && let Some(after) = self.after.take()
        {
            self.renderer.play(after);
        }
        let until = if self.after.is_some() { self.music } else { self.frames };
        let length = (until - done).min(BLOCK as u64) as usize;
        let block = &mut self.block[..length];
        self.renderer.render(block);
        (length > 0).then_some(block)
    }

    /// The share that is made, 0 to 1.
    pub fn done_part(&self) -> f64 {
        self.renderer.frame() as f64 / self.frames.max(1) as f64
    }

    /// The bytes of a WAV file piece by piece: its head, then 16 bits a sample. None where it would be longer
    /// than such a file can be.
    pub fn wave(self) -> Option<Wave> {
        let bytes = u32::try_from(self.frames * SAMPLE).ok().filter(|bytes| *bytes <= u32::MAX - HEAD)?;
        Some(Wave { track: self, head: Some(head(bytes)), piece: Vec::new() })
    }
}

/// Bytes of a sample, and of the head without its first eight.
const SAMPLE: u64 = 2;
const HEAD: u32 = 36;

/// The head of a WAV file with so many bytes of samples: one channel, 16 bits (RIFF WAVE, Microsoft and IBM,
/// Multimedia Programming Interface and Data Specifications 1.0, 1991).
fn head(bytes: u32) -> Vec<u8> {
    let mut head = Vec::with_capacity(44);
    head.extend(b"RIFF");
    head.extend((HEAD + bytes).to_le_bytes());
    head.extend(b"WAVEfmt ");
    head.extend(16_u32.to_le_bytes());
    // Whole numbers, one channel.
    head.extend([1_u16, 1].map(u16::to_le_bytes).concat());
    head.extend([RATE, RATE * SAMPLE as u32].map(u32::to_le_bytes).concat());
    head.extend([SAMPLE as u16, 8 * SAMPLE as u16].map(u16::to_le_bytes).concat());
    head.extend(b"data");
    head.extend(bytes.to_le_bytes());
    head
}

/// True when a file begins as a WAV file does.
pub fn is_wave(bytes: &[u8]) -> bool {
    bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WAVE")
}

/// A WAV file that is being made.
#[derive(Debug)]
pub struct Wave {
    track: Track,
    head: Option<Vec<u8>>,
    piece: Vec<u8>,
}

impl Wave {
    /// The next bytes; none after the last.
    pub fn next_piece(&mut self) -> Option<&[u8]> {
        self.piece.clear();
        match self.head.take() {
            Some(head) => self.piece.extend(head),
            None => {
                let samples = self.track.next_samples()?;
                let bytes = |sample: &f32| ((sample * f32::from(i16::MAX)).round() as i16).to_le_bytes();
                self.piece.extend(samples.iter().flat_map(bytes));
            }
        }
        Some(&self.piece)
    }

    /// The share that is made, 0 to 1.
    pub fn done_part(&self) -> f64 {
        self.track.done_part()
    }
}
