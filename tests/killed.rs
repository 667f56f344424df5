//! A program that is killed while it saves and keeps: the file is the old one or the new one, and what
//! was kept is offered.
//!
//! The program is this one, run once more: it saves and keeps a lesson that counts, and tells each step
//! when it is done. What it has told must be on the disk; one step more may be.
#![cfg(unix)]

#[path = "common/random.rs"]
mod random;

use std::{
    io::{BufRead as _, BufReader, Write as _},
    path::{Path, PathBuf},
    process::{Command, Stdio},
    time::Duration,
};

use elbowroom::{
    exchange::{
        Opened, lesson_file, open_file,
        saving::Over,
        unsaved::{About, Left, Session, left},
        versions,
    },
    lesson::{Lesson, demo::demo},
};
use random::Random;

/// Names the folder in which the program that is killed works.
const FOLDER: &str = "ELBOWROOM_KILLED";
/// How often it is killed. Assumed: a step takes some ten system calls, and each is hit.
const KILLS: usize = 40;
/// Longest time from the first step until it is killed, ms: a few steps of a debug build. Assumed.
const LATEST_MS: usize = 60;

struct Places {
    file: PathBuf,
    data: PathBuf,
}

impl Places {
    fn of(folder: &Path) -> Self {
        Self { file: folder.join("song.elbowroom"), data: folder.join("data") }
    }
}

/// A lesson that tells its number at both ends of its file.
fn numbered(number: usize) -> Lesson {
    let mut lesson = demo();
    lesson.score.title = format!("{number}");
    lesson.setup.player.name = format!("{number}");
    lesson
}

fn number(lesson: &Lesson) -> usize {
    let number = lesson.score.title.parse().expect("a whole number");
    assert_eq!(lesson, &numbered(number), "a whole lesson");
    number
}

fn tell(step: &str, number: usize) {
    let mut out = std::io::stdout().lock();
    writeln!(out, "{step} {number}").and_then(|()| out.flush()).expect("somebody listens");
}

/// Saves and keeps until it is killed.
fn work(folder: &Path) -> ! {
    let Places { file, data } = Places::of(folder);
    let session = Session::begin(&data).expect("a data folder");
    let mut number = match open_file(&file) {
        Ok(Opened::Lesson(lesson, _)) => self::number(&lesson),
        _ => 0,
    };
    let mut about = About::default();
    loop {
        number += 1;
        let lesson = numbered(number);
        session.keep(1, &lesson, &about).expect("kept");
        tell("kept", number);
        let saved = versions::save_lesson(Some(&data), &file, &lesson, Over::Anything).expect("saved");
        assert!(saved.doubt.is_none(), "{:?}", saved.doubt);
        about.file = Some((file.clone(), saved.seen));
        tell("saved", number);
    }
}

/// Runs the program and kills it at a moment of chance; gives the last step of each kind that it told.
fn killed(folder: &Path, signal: &str, random: &mut Random) -> (usize, usize) {
    let mut program = Command::new(std::env::current_exe().expect("this program"))
        .args(["--exact", "whatever_kills_it_old_or_new_is_there_and_the_work_is_offered", "--nocapture"])
        .env(FOLDER, folder)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("it runs");
    let lines = BufReader::new(program.stdout.take().expect("piped")).lines();
    let (mut kept, mut saved) = (0, 0);
    let mut killer = None;
    for line in lines.map_while(Result::ok) {
        if let Some((step, number)) = line.rsplit_once(' ')
            && let Ok(number) = number.parse()
        {
            // The name of the test stands before the first step.
            match step.rsplit(' ').next() {
                Some("kept") => kept = number,
                Some("saved") => saved = number,
                _ => continue,
            }
            let (signal, id) = (signal.to_owned(), program.id().to_string());
            killer.get_or_insert_with(|| {
                let wait = Duration::from_millis(random.below(LATEST_MS) as u64);
                std::thread::spawn(move || {
                    std::thread::sleep(wait);
                    Command::new("kill").args([signal, id]).status().expect("it is killed")
                })
            });
        }
    }
    assert!(killer.expect("it told a step").join().expect("killed").success());
    assert!(!program.wait().expect("it ended").success());
    (kept, saved)
}

#[test]
fn whatever_kills_it_old_or_new_is_there_and_the_work_is_offered() {
    if let Some(folder) = std::env::var_os(FOLDER) {
        work(Path::new(&folder));
    }
    let folder = tempfile::tempdir().unwrap();
    let Places { file, data } = Places::of(folder.path());
    let mut random = Random::new(1);
    for kill in 0..KILLS {
        let signal = if kill % 2 == 0 { "-KILL" } else { "-TERM" };
        let (kept, saved) = killed(folder.path(), signal, &mut random);
        let old_or_new = |what: &str, told: usize, found: usize| {
            assert!(found == told || found == told + 1, "kill {kill}: {what} {told} was told, {found} found");
        };
        match open_file(&file) {
            Ok(Opened::Lesson(lesson, _)) if saved > 0 => old_or_new("saved", saved, number(&lesson)),
            Ok(Opened::Lesson(lesson, _)) => old_or_new("saved", kept - 1, number(&lesson)),
            other => assert!(saved == 0 && kept <= 1, "kill {kill}: {other:?}"),
        }
        let offered = left(&data);
        assert_eq!(offered.len(), 1, "kill {kill}: the work is offered");
        old_or_new("kept", kept, number(offered[0].lesson.as_ref().expect("a whole lesson")));
        if let Some((path, _)) = &offered[0].about.file {
            assert_eq!(path, &file);
        }
        offered.into_iter().for_each(Left::throw_away);
        for version in versions::list(&data, &file) {
            assert!(matches!(open_file(&version.path), Ok(Opened::Lesson(..))), "kill {kill}");
        }
    }
    // The next save clears away what was left lying.
    lesson_file::save(&file, &numbered(0)).unwrap();
    let names = std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name());
    assert_eq!(names.filter(|name| name.to_string_lossy().ends_with(".part")).count(), 0);
    assert!(left(&data).is_empty());
}
