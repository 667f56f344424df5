//! The longest frame of the window without a screen, for each thing a person does with a part, short and
//! long: opening, choosing, stepping, turning on, playing, changing, undoing, the list of keys, leaving
//! for another lesson. The baseline is a frame of the demo with no change, in the same run. Painting by the
//! graphics card is not in it; the tree for screen readers is, which the window makes only for those who
//! use one.
//!
//! `cargo bench --bench frames -- 28000 delete` does only what is called so with a part of that length. Beside each
//! frame stands the time in which this thread had a core, where the system tells: a busy machine takes none of that.
//!
//! `cargo bench --bench frames -- play` plays a part as long as that of a quartet, 20 s of it at 60 frames a second,
//! and tells what share of one core its frames take.

use std::{
    path::{Path, PathBuf},
    time::{Duration, Instant},
};

use egui::{Event, Key, Modifiers, MouseWheelSource, MouseWheelUnit, TouchPhase, Vec2, pos2};
use egui_kittest::Harness;
use elbowroom::{
    desk::{Desk, Memory},
    exchange::lesson_file,
    lesson::demo::demo,
};
use passage::passage;

mod passage;

/// Notes of the parts: the demo again and again, as long as the longest real parts, as many bars as are read.
const NOTES: [usize; 3] = [300, 28_000, 60_000];

/// Each is done so often; a busy machine makes some frames longer, so the least of the longest counts.
const RUNS: usize = 5;

type Window = Harness<'static, Desk>;

/// What a person does, without waiting for what comes of it.
struct Deed {
    words: &'static str,
    events: fn() -> Vec<Event>,
    /// Frames it lasts at least.
    frames: usize,
}

/// A key pressed and let go.
fn press(key: Key, modifiers: Modifiers) -> Vec<Event> {
    let event = |pressed| Event::Key { key, pressed, modifiers, repeat: false, physical_key: None };
    vec![event(true), event(false)]
}

fn key(key: Key) -> Vec<Event> {
    press(key, Modifiers::NONE)
}

fn ctrl(key: Key) -> Vec<Event> {
    press(key, Modifiers::COMMAND)
}

const DEEDS: [Deed; 40] = [
    Deed { words: "nothing", events: Vec::new, frames: 5 },
    Deed { words: "next note", events: || key(Key::ArrowRight), frames: 3 },
    Deed {
        words: "select up to the next note",
        events: || press(Key::ArrowRight, Modifiers::SHIFT),
        frames: 3,
    },
    Deed { words: "to the end", events: || key(Key::End), frames: 5 },
    Deed { words: "to the start", events: || key(Key::Home), frames: 5 },
    Deed { words: "turn on with the wheel", events: wheel, frames: 20 },
    Deed { words: "play", events: || key(Key::Space), frames: 60 },
    Deed { words: "pause", events: || key(Key::Space), frames: 3 },
    Deed { words: "next finding", events: || key(Key::J), frames: 30 },
    Deed { words: "next pencil mark", events: || key(Key::E), frames: 5 },
    Deed { words: "all keys", events: || key(Key::F1), frames: 5 },
    Deed { words: "close all", events: || key(Key::Escape), frames: 5 },
    Deed { words: "next note again", events: || key(Key::ArrowRight), frames: 3 },
    Deed { words: "turn the bow", events: || key(Key::B), frames: 60 },
    Deed { words: "undo", events: || ctrl(Key::Z), frames: 60 },
    Deed { words: "slur two notes", events: slur, frames: 60 },
    Deed { words: "undo the slur", events: || ctrl(Key::Z), frames: 60 },
    Deed { words: "delete a note", events: || key(Key::Delete), frames: 60 },
    Deed { words: "undo deleting", events: || ctrl(Key::Z), frames: 60 },
    Deed { words: "delete again", events: || ctrl(Key::Y), frames: 60 },
    Deed { words: "undo deleting again", events: || ctrl(Key::Z), frames: 60 },
    Deed { words: "cut a note", events: || vec![Event::Cut], frames: 60 },
    Deed { words: "put it in", events: || vec![Event::Paste(String::new())], frames: 60 },
    Deed { words: "undo putting in", events: || ctrl(Key::Z), frames: 60 },
    Deed { words: "undo cutting", events: || ctrl(Key::Z), frames: 60 },
    Deed { words: "insert a bar", events: || press(Key::Insert, Modifiers::COMMAND), frames: 60 },
    Deed { words: "undo inserting", events: || ctrl(Key::Z), frames: 60 },
    Deed { words: "begin to write", events: || key(Key::W), frames: 5 },
    Deed { words: "write a note", events: || key(Key::A), frames: 60 },
    Deed { words: "undo writing", events: || ctrl(Key::Z), frames: 60 },
    Deed { words: "write ten notes at once", events: ten_notes, frames: 60 },
    Deed { words: "undo one of them", events: || ctrl(Key::Z), frames: 60 },
    Deed { words: "write no more", events: || key(Key::W), frames: 5 },
    Deed { words: "select all", events: || ctrl(Key::A), frames: 5 },
    Deed { words: "copy all", events: || ctrl(Key::C), frames: 5 },
    Deed { words: "move all up a step", events: || press(Key::ArrowUp, Modifiers::ALT), frames: 60 },
    Deed { words: "undo moving all", events: || ctrl(Key::Z), frames: 60 },
    Deed { words: "delete all", events: || key(Key::Delete), frames: 60 },
    Deed { words: "undo deleting all", events: || ctrl(Key::Z), frames: 60 },
    Deed { words: "save", events: || ctrl(Key::S), frames: 60 },
];

/// As quickly as no one types.
fn ten_notes() -> Vec<Event> {
    [Key::A, Key::B, Key::C, Key::D, Key::E].repeat(2).into_iter().flat_map(key).collect()
}

/// The chosen note and the next one under a slur.
fn slur() -> Vec<Event> {
    [press(Key::ArrowRight, Modifiers::SHIFT), key(Key::S)].concat()
}

/// A turn of the wheel by three lines over the staff.
fn wheel() -> Vec<Event> {
    let turn = Event::MouseWheel {
        unit: MouseWheelUnit::Line,
        delta: Vec2::new(0.0, -3.0),
        phase: TouchPhase::Move,
        source: MouseWheelSource::Wheel,
        modifiers: Modifiers::NONE,
    };
    vec![Event::PointerMoved(pos2(400.0, 300.0)), turn]
}

/// How long a frame took, ms, and how long this thread had a core in it.
fn frame_ms(window: &mut Window) -> [f64; 2] {
    let (start, core) = (Instant::now(), on_core_ns());
    window.step();
    let took = start.elapsed().as_secs_f64() * 1e3;
    [took, on_core_ns().zip(core).map_or(took, |(end, start)| (end - start) * 1e-6)]
}

/// The longer of either.
fn longer(one: [f64; 2], other: [f64; 2]) -> [f64; 2] {
    [one[0].max(other[0]), one[1].max(other[1])]
}

/// How many bars a strip is turned on by.
const BARS: usize = 1000;

/// The times of the frames while the wheel turns the strip on from the start of the part by so many bars, a line
/// of text in each frame.
fn scrolled_ms(window: &mut Window, bars: usize) -> Vec<[f64; 2]> {
    window.input_mut().events.extend(key(Key::Home));
    longest_ms(window, 5, |window| window.state().first_bar() == 0);
    let mut times = Vec::new();
    while window.state().first_bar() < bars {
        window.input_mut().events.extend(wheel());
        times.push(frame_ms(window));
    }
    times
}

/// The longest frame until what was begun is shown.
fn longest_ms(window: &mut Window, frames: usize, done: impl Fn(&Window) -> bool) -> [f64; 2] {
    let mut longest = frame_ms(window);
    let mut rest = frames;
    while rest > 0 || window.state().is_making() || !done(window) {
        if rest == 0 {
            std::thread::sleep(Duration::from_millis(2));
        }
        longest = longer(longest, frame_ms(window));
        rest = rest.saturating_sub(1);
    }
    longest
}

fn open(path: &Path) -> Window {
    let path = path.to_owned();
    Harness::builder()
        .with_size([1280.0, 800.0])
        .with_step_dt(1.0 / 60.0)
        .build_eframe(move |context| Desk::new(&context.egui_ctx, Memory::default(), Some(path)))
}

#[derive(Debug)]
struct Dropped(PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        std::fs::read(&self.0).map_err(|error| error.to_string())
    }
}

fn is_there(notes: usize) -> impl Fn(&Window) -> bool {
    move |window| window.state().lesson().score.events.len() == notes
}

fn least(times: &[[f64; 2]]) -> [f64; 2] {
    times.iter().fold([f64::INFINITY; 2], |[a, b], [c, d]| [a.min(*c), b.min(*d)])
}

/// Notes of a part of a quartet, and seconds of it that are played.
const QUARTET: usize = 3_000;
const PLAYED_S: f64 = 20.0;

/// Time this thread has had of a core, ns, where the system tells; a busy machine takes none of it.
fn on_core_ns() -> Option<f64> {
    std::fs::read_to_string("/proc/thread-self/schedstat").ok()?.split(' ').next()?.parse().ok()
}

/// The share of one core that is taken while the music plays at 60 frames a second.
fn played(folder: &Path) {
    let lesson = passage(QUARTET);
    let count = lesson.score.events.len();
    let path = folder.join("quartet.elbowroom");
    lesson_file::save(&path, &lesson).expect("saved");
    let mut window = open(&path);
    longest_ms(&mut window, 60, is_there(count));
    let frames = (60.0 * PLAYED_S) as usize;
    let mut told = |words: &str| {
        let (start, began) = (on_core_ns(), Instant::now());
        (0..frames).for_each(|_| window.step());
        let wall_ms = began.elapsed().as_secs_f64() * 1e3;
        let core_ms = on_core_ns().zip(start).map_or(wall_ms, |(end, start)| (end - start) * 1e-6);
        let each = core_ms / frames as f64;
        println!(
            "{count} notes, {words}: {each:.2} ms a frame, {:.1} % of a core at 60 a second",
            6.0 * each
        );
        window.input_mut().events.extend(key(Key::Space));
    };
    told("nothing moves");
    told("playing");
}

fn main() {
    if std::env::args().any(|word| word == "play") {
        return played(tempfile::tempdir().expect("a temporary folder").path());
    }
    let folder = tempfile::tempdir().expect("a temporary folder");
    let mut bare = f64::INFINITY;
    let only: Option<usize> = std::env::args().skip(1).find_map(|arg| arg.parse().ok());
    let words: Vec<String> = std::env::args()
        .skip(1)
        .filter(|arg| !arg.starts_with('-') && arg.parse::<usize>().is_err())
        .collect();
    let is_asked = |deed: &&Deed| words.is_empty() || words.iter().any(|word| deed.words.contains(word));
    for notes in NOTES.into_iter().filter(|notes| only.is_none_or(|only| only == *notes)) {
        let lesson = passage(notes);
        let count = lesson.score.events.len();
        let path = folder.path().join(format!("{notes}.elbowroom"));
        lesson_file::save(&path, &lesson).expect("saved");
        let short = folder.path().join("short.elbowroom");
        lesson_file::save(&short, &demo()).expect("saved");
        drop(lesson);
        let mut window = open(&short);
        longest_ms(&mut window, 60, is_there(demo().score.events.len()));
        bare = bare.min(least(&(0..20).map(|_| frame_ms(&mut window)).collect::<Vec<_>>())[0]);
        println!("{count} notes; a frame of the demo with no change {bare:.2} ms");
        let told = |words: &str, times: &[[f64; 2]]| {
            let [longest, core] = least(times);
            println!(
                "{words:<28}{longest:8.2} ms {:7.1} bare frames {core:8.2} ms on a core",
                longest / bare
            );
        };
        let (mut there, mut away) = (Vec::new(), Vec::new());
        for _ in 0..RUNS.min(3) {
            let mut drop_file = |path: &Path, notes| {
                window.input_mut().dropped_files.push(std::sync::Arc::new(Dropped(path.to_owned())));
                longest_ms(&mut window, 10, is_there(notes))
            };
            there.push(drop_file(&path, count));
            away.push(drop_file(&short, demo().score.events.len()));
        }
        told("open", &there);
        told("leave for a short one", &away);
        window.input_mut().dropped_files.push(std::sync::Arc::new(Dropped(path.clone())));
        longest_ms(&mut window, 60, is_there(count));
        let deeds: Vec<&Deed> = DEEDS.iter().filter(is_asked).collect();
        let mut times = vec![Vec::new(); deeds.len()];
        for _ in 0..RUNS {
            for (deed, times) in deeds.iter().zip(&mut times) {
                // Not through the harness, which gives each event a frame of its own.
                window.input_mut().events.extend((deed.events)());
                times.push(longest_ms(&mut window, deed.frames, |_| true));
            }
        }
        for (deed, times) in deeds.iter().zip(&times) {
            told(deed.words, times);
        }
        if !words.is_empty() {
            continue;
        }
        let bars = BARS.min(window.state().lesson().score.bars.len() / 2);
        let runs: Vec<Vec<[f64; 2]>> = (0..RUNS).map(|_| scrolled_ms(&mut window, bars)).collect();
        // Of each frame the least, as of each deed.
        let frames: Vec<f64> = (0..runs.iter().map(Vec::len).min().unwrap_or(0))
            .map(|frame| least(&runs.iter().map(|run| run[frame]).collect::<Vec<_>>())[0])
            .collect();
        let mean = frames.iter().sum::<f64>() / frames.len().max(1) as f64;
        let longest = frames.iter().copied().fold(0.0, f64::max);
        println!(
            "one strip turned on by {bars} bars: {} frames, {mean:.2} ms each ({:.1} bare frames), the longest \
             {longest:.2} ms ({:.1})",
            frames.len(),
            mean / bare,
            longest / bare
        );
    }
}
