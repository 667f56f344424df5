//! What is heard, in figures: how much faster than it is heard it is made, beside a plain sine made in the same run;
//! how soon it begins; and how far sound and picture are apart with a device that plays nowhere, in time. A real
//! device is not asked: what lies behind it cannot be measured from here.
//!
//! `cargo bench --bench sound -- 30` listens for 30 minutes (a quarter of a minute without a number).

use std::{
    f64::consts::TAU,
    hint::black_box,
    sync::Arc,
    time::{Duration, Instant},
};

use elbowroom::{
    analysis::Study,
    lesson::demo::demo,
    practice::Clock,
    sound::{
        Events, Program, RATE, Renderer, Wishes,
        speaker::{Outlet, Speaker},
    },
};
use passage::passage;

mod passage;

/// Seconds that are made.
const SECONDS: usize = 60;

/// Sound and picture are to be so near, ms.
const NEAR_MS: f64 = 10.0;

fn program(study: &Study) -> Program {
    let wishes = Wishes::default();
    let events = Arc::new(Events::new(study, &wishes.tuning(study)));
    let mut clock = Clock::new(study.analysis().total_s());
    clock.play(0.0);
    Program { events, clock, begins: 0.0, levels: wishes.levels(study) }
}

fn main() {
    let minutes: f64 = std::env::args().find_map(|word| word.parse().ok()).unwrap_or(0.25);
    let mut block = vec![0.0_f32; 480];
    let blocks = SECONDS * RATE as usize / block.len();

    let start = Instant::now();
    let mut phase = 0.0_f64;
    for _ in 0..blocks {
        for sample in &mut block {
            *sample = phase.sin() as f32;
            phase = (phase + TAU * 440.0 / f64::from(RATE)) % TAU;
        }
        black_box(&block);
    }
    let sine_s = start.elapsed().as_secs_f64();
    println!("a plain sine: {:.0} times as fast as it is heard", SECONDS as f64 / sine_s);

    for (name, study) in
        [("the demo", Study::new(demo())), ("a part of 28,000 notes", Study::new(passage(28_000)))]
    {
        let start = Instant::now();
        let program = program(&study);
        let events_ms = 1e3 * start.elapsed().as_secs_f64();
        let mut renderer = Renderer::new(RATE);
        renderer.play(Box::new(program));
        let start = Instant::now();
        for _ in 0..blocks {
            renderer.render(&mut block);
            black_box(&block);
        }
        let made_s = start.elapsed().as_secs_f64();
        println!(
            "{name}: {:.0} times as fast as it is heard, {:.1} times the sine; what is heard of it is known after {events_ms:.1} ms",
            SECONDS as f64 / made_s,
            made_s / sine_s
        );
    }

    let study = Study::new(demo());
    let Some(mut speaker) = Speaker::open(Outlet::Nowhere) else { return println!("no thread for a device") };
    while speaker.state() == elbowroom::sound::speaker::State::Opening {
        std::thread::sleep(Duration::from_millis(1));
    }
    for what in ["started", "running"] {
        let start = Instant::now();
        let runs = speaker.run(Duration::from_secs(1));
        let ran_ms = 1e3 * start.elapsed().as_secs_f64();
        let heard_ms = ran_ms + 1e3 * speaker.start_s();
        println!(
            "a device that has to be {what}: {ran_ms:.1} ms until it runs ({runs}), the first click is due after {heard_ms:.1} ms"
        );
    }

    let origin = Instant::now();
    let (mut most_ms, mut looks, mut late) = (0.0_f64, 0_u32, 0_u32);
    let zero = speaker.now_s(0.0);
    speaker.play(program(&study), zero + speaker.start_s());
    while origin.elapsed().as_secs_f64() < 60.0 * minutes {
        std::thread::sleep(Duration::from_millis(7));
        let system = origin.elapsed().as_secs_f64();
        let apart_ms = 1e3 * (speaker.now_s(system) - zero - system).abs();
        most_ms = most_ms.max(apart_ms);
        looks += 1;
        late += u32::from(apart_ms > NEAR_MS);
    }
    println!(
        "over {minutes} min the time by the frames and that of the system were at most {most_ms:.1} ms apart, and more than \
         {NEAR_MS} ms in {late} of {looks} looks"
    );
}
