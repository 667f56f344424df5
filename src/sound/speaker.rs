//! The loudspeaker: hands the samples of a [`Renderer`] to the sound device, and tells the time by what was
//! heard of them.
//!
//! A device is opened, started and stopped on a thread of its own, for that may take long. Samples are made
//! where the device asks for them; a program gets there through a tray that the device only looks into, so that
//! it never waits, and what it has done with is put back to be dropped elsewhere. Without a device nothing
//! sounds, which is no error.

use std::{
    sync::{
        Arc, Mutex,
        atomic::{AtomicI64, AtomicU8, AtomicU64, Ordering},
        mpsc::{Receiver, RecvTimeoutError, Sender, channel},
    },
    time::{Duration, Instant},
};

use maudio::{
    audio::sample_rate::SampleRate,
    backend::Backend,
    context::ContextBuilder,
    device::{
        Device,
        device_builder::{DeviceBuilder, DeviceBuilderOps as _},
    },
};

use super::{Program, Renderer, track::RATE};

/// Frames that a device is asked to take at a time: 10 ms.
const PERIOD: u32 = RATE / 100;
/// From the moment in which samples are asked for to that in which they are heard, s. Assumed: a device takes
/// three periods and asks when one of them is free, so that two are before it.
const LATENCY_S: f64 = 0.02;
/// What begins now is heard after this time, s: the samples of the next period are made up to a period from
/// now, and half a period is left to the thread.
const START_S: f64 = LATENCY_S + 0.015;
/// Most that all may be heard later, s. Assumed.
pub const MOST_LATE_S: f64 = 0.5;
/// A device is stopped when nothing has played for so long. Assumed.
const IDLE: Duration = Duration::from_secs(20);
/// A device that has not asked for samples for so long does not run, s. Assumed.
const GONE_S: f64 = 0.5;

/// By how much the line through the askings gives way from one to the next, ns: far more than quartz clocks drift
/// apart, so that it is back soon after a device has left samples out. Assumed.
const DRIFT_NS: i64 = 100_000;
/// A device that asks so late has left samples out: all three periods were empty, ns.
const LEFT_OUT_NS: i64 = 30_000_000;

/// Where the samples go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outlet {
    /// To the device that the system plays sound on.
    Device,
    /// Nowhere, but in time: for trying out.
    Nowhere,
}

/// What the loudspeaker is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum State {
    /// A device is looked for.
    Opening,
    /// There is one, and it is silent.
    Stopped,
    /// It begins to ask for samples.
    Starting,
    /// It asks for samples.
    Running,
    /// There is none.
    Missing,
}

impl State {
    fn of(number: u8) -> Self {
        let all = [Self::Opening, Self::Stopped, Self::Starting, Self::Running];
        all.into_iter().find(|state| *state as u8 == number).unwrap_or(Self::Missing)
    }
}

/// What the device and the window share.
#[derive(Debug)]
struct Shared {
    state: AtomicU8,
    /// When the first frame would have been asked for, had each been when it was due; in nanoseconds since `start`.
    first_ns: AtomicI64,
    /// When it was last asked for samples, the same way.
    asked_ns: AtomicU64,
    /// When something played last, the same way.
    played_ns: AtomicU64,
    start: Instant,
    tray: Mutex<Tray>,
}

/// A program on its way to the device, and one on its way back.
#[derive(Debug, Default)]
struct Tray {
    next: Option<Box<Program>>,
    done: Option<Box<Program>>,
}

impl Shared {
    fn state(&self) -> State {
        State::of(self.state.load(Ordering::Acquire))
    }

    fn set(&self, state: State) {
        self.state.store(state as u8, Ordering::Release);
    }

    fn seconds(&self) -> f64 {
        self.start.elapsed().as_secs_f64()
    }

    /// Since it was last asked for samples, s.
    fn unasked_s(&self) -> f64 {
        self.seconds() - self.asked_ns.load(Ordering::Acquire) as f64 * 1e-9
    }

    /// Since something played, s.
    fn unplayed_s(&self) -> f64 {
        self.seconds() - self.played_ns.load(Ordering::Relaxed) as f64 * 1e-9
    }

    fn runs(&self) -> bool {
        self.state() == State::Running && self.unasked_s() < GONE_S
    }

    /// Called where samples are made: makes them.
    fn ask(&self, renderer: &mut Renderer, out: &mut [f32]) {
        // Whoever holds the tray just now puts something in; it is there the next time.
        if let Ok(mut tray) = self.tray.try_lock()
            && let Some(next) = tray.next.take()
        {
            tray.done = renderer.play(next);
        }
        let now_ns = self.start.elapsed().as_nanos() as u64;
        let first_ns = now_ns as i64 - (renderer.frame() as i128 * 1_000_000_000 / i128::from(RATE)) as i64;
        let known_ns = self.first_ns.load(Ordering::Relaxed);
        // It may be asked late, never early: the earliest counts, but for what the two clocks drift apart, and for
        // samples that were left out.
        let is_new = self.state() == State::Starting || first_ns - known_ns > LEFT_OUT_NS;
        let line_ns = if is_new { first_ns } else { first_ns.min(known_ns + DRIFT_NS) };
        self.first_ns.store(line_ns, Ordering::Release);
        self.asked_ns.store(now_ns, Ordering::Release);
        if renderer.plays() {
            self.played_ns.store(now_ns, Ordering::Relaxed);
        }
        if self.state() == State::Starting {
            self.set(State::Running);
        }
        renderer.render(out);
    }
}

/// A loudspeaker, and the time by it.
///
/// The time goes on evenly whether it runs or not: while it runs it is counted by the frames that were heard,
/// else by the clock of the window.
#[derive(Debug)]
pub struct Speaker {
    shared: Arc<Shared>,
    /// Wakes the thread of the device.
    wake: Sender<()>,
    /// The time at which the first frame was heard; none while the device does not run.
    zero_s: Option<f64>,
    /// By how much the time is ahead of the clock of the window, s.
    ahead_s: f64,
    told_s: f64,
    /// How much later its sound is heard than the device knows of, s.
    late_s: f64,
}

impl Speaker {
    /// Begins to look for a device; none where the system gives no thread.
    pub fn open(outlet: Outlet) -> Option<Self> {
        let shared = Arc::new(Shared {
            state: AtomicU8::new(State::Opening as u8),
            first_ns: AtomicI64::new(0),
            asked_ns: AtomicU64::new(0),
            played_ns: AtomicU64::new(0),
            start: Instant::now(),
            tray: Mutex::default(),
        });
        let (wake, woken) = channel();
        let device = Arc::clone(&shared);
        let thread = std::thread::Builder::new().name("sound".to_owned());
        thread.spawn(move || attend(&device, outlet, &woken)).ok()?;
        Some(Self { shared, wake, zero_s: None, ahead_s: 0.0, told_s: f64::NEG_INFINITY, late_s: 0.0 })
    }

    /// What it is doing.
    pub fn state(&self) -> State {
        self.shared.state()
    }

    /// Has the device run, and waits for it no longer than this; gives whether it runs.
    pub fn run(&self, most: Duration) -> bool {
        // Without its thread there is no device.
        let _ = self.wake.send(());
        let begun = Instant::now();
        while !self.shared.runs() && self.state() != State::Missing && begun.elapsed() < most {
            std::thread::sleep(Duration::from_millis(1));
        }
        self.shared.runs()
    }

    /// The time, s, from that of the window's clock, which only runs forward.
    pub fn now_s(&mut self, window_s: f64) -> f64 {
        let plain = window_s + self.ahead_s;
        if self.shared.runs() {
            let heard = self.heard_s();
            let zero = *self.zero_s.get_or_insert(plain.max(self.told_s) - heard);
            self.ahead_s = zero + heard - window_s;
            self.told_s = self.told_s.max(zero + heard);
        } else {
            self.zero_s = None;
            self.told_s = self.told_s.max(plain);
        }
        self.told_s
    }

    /// Seconds of the samples that were heard.
    fn heard_s(&self) -> f64 {
        let first_s = self.shared.first_ns.load(Ordering::Acquire) as f64 * 1e-9;
        self.shared.seconds() - first_s - LATENCY_S - self.late_s
    }

    /// Takes into account that all is heard so much later than the device knows of, s: wireless ones are late.
    pub fn set_late(&mut self, late_s: f64) {
        self.late_s = late_s.clamp(0.0, MOST_LATE_S);
    }

    /// After which time something is heard that is begun now, s.
    pub fn start_s(&self) -> f64 {
        START_S + self.late_s
    }

    /// Plays a program whose clock begins to run at this time; gives whether the device runs and takes it.
    pub fn play(&self, mut program: Program, since_s: f64) -> bool {
        let Some(zero) = self.zero_s else { return false };
        program.begins = (since_s - zero) * f64::from(RATE);
        let next = Box::new(program);
        // What was not fetched and what is done with is dropped here, behind the lock.
        let old = self.shared.tray.lock().ok().map(|mut tray| (tray.next.replace(next), tray.done.take()));
        old.is_some()
    }
}

/// Opens a device, and has it run when it is woken.
fn attend(shared: &Arc<Shared>, outlet: Outlet, woken: &Receiver<()>) {
    let mut device = open(shared, outlet);
    loop {
        match woken.recv_timeout(IDLE) {
            Ok(()) => {
                if shared.runs() {
                    continue;
                }
                // What stopped by itself, or was not there, may be there again.
                let stopped = device.as_mut().filter(|_| shared.state() == State::Stopped);
                shared.set(State::Starting);
                let runs = stopped.is_some_and(|device| device.device_start().is_ok());
                if !runs {
                    drop(device.take());
                    device = open(shared, outlet);
                    if let Some(device) = &mut device {
                        shared.set(State::Starting);
                        if device.device_start().is_err() {
                            shared.set(State::Missing);
                        }
                    }
                }
            }
            Err(RecvTimeoutError::Timeout) => {
                let idle = shared.state() == State::Running && shared.unplayed_s() > IDLE.as_secs_f64();
                if let Some(device) = device.as_mut().filter(|_| idle)
                    && device.device_stop().is_ok()
                {
                    shared.set(State::Stopped);
                }
            }
            // The window is gone.
            Err(RecvTimeoutError::Disconnected) => return,
        }
    }
}

/// Opens a device, silent.
fn open(shared: &Arc<Shared>, outlet: Outlet) -> Option<Device<f32>> {
    shared.set(State::Opening);
    let opened = try_open(shared, outlet);
    shared.set(if opened.is_some() { State::Stopped } else { State::Missing });
    opened
}

fn try_open(shared: &Arc<Shared>, outlet: Outlet) -> Option<Device<f32>> {
    // The library would take a device that plays nowhere where there is no other.
    let backends = match outlet {
        Outlet::Device => REAL,
        Outlet::Nowhere => &[Backend::Null],
    };
    let ways = backends.iter().copied().filter(|way| *way != Backend::Alsa || has_card());
    let context = ContextBuilder::new().preferred_backends(ways).build().ok()?;
    let (asked, mut renderer) = (Arc::clone(shared), Renderer::new(RATE));
    DeviceBuilder::playback()
        .f32()
        .playback_channels(1)
        .sample_rate(SampleRate::Sr48000)
        .period_size_frames(PERIOD)
        .context(&context)
        .with_callback(move |_, out| asked.ask(&mut renderer, out))
        .ok()
}

/// There is a sound card; where there is none, the library that looks for one complains on the terminal.
fn has_card() -> bool {
    let told = std::fs::read_to_string("/proc/asound/cards");
    !cfg!(target_os = "linux") || told.is_ok_and(|cards| cards.contains('['))
}

/// The ways to a device on the systems we know, the usual one of each first.
const REAL: &[Backend] = &[
    Backend::Wasapi,
    Backend::DSound,
    Backend::WinMm,
    Backend::CoreAudio,
    Backend::PulseAudio,
    Backend::Alsa,
    Backend::Jack,
    Backend::Sndio,
    Backend::Audio4,
    Backend::Oss,
];
