//! The window on a screen of its own that goes away under it: the program ends, and what was not saved is
//! offered. For this a virtual screen (`Xvfb`) and something to press keys on it (`xdotool`) must be
//! installed; without them it is left out.
#![cfg(target_os = "linux")]

use std::{
    io::{BufRead as _, BufReader},
    path::Path,
    process::{Child, Command, Stdio},
    time::{Duration, Instant},
};

use elbowroom::{exchange::unsaved::left, lesson::demo::demo};

/// Longest wait for anything, on a busy machine.
const PATIENCE: Duration = Duration::from_secs(120);

/// A program that ends with its test.
struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// A virtual screen, and what it is called; none where there is none to be had.
fn screen() -> Option<(Running, String)> {
    let mut command = Command::new("Xvfb");
    command.args(["-displayfd", "1", "-screen", "0", "1280x800x24", "-nolisten", "tcp"]);
    let mut screen = Running(command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().ok()?);
    let mut number = String::new();
    BufReader::new(screen.0.stdout.take()?).read_line(&mut number).ok()?;
    Some((screen, format!(":{}", number.trim())))
}

fn until<T>(what: &str, mut done: impl FnMut() -> Option<T>) -> T {
    let start = Instant::now();
    loop {
        if let Some(done) = done() {
            return done;
        }
        assert!(start.elapsed() < PATIENCE, "{what}");
        std::thread::sleep(Duration::from_millis(200));
    }
}

/// A lesson was kept in this data folder.
fn is_kept(data: &Path) -> bool {
    let folders = std::fs::read_dir(data.join("elbowroom/unsaved")).into_iter().flatten().flatten();
    let files = folders.filter_map(|folder| std::fs::read_dir(folder.path()).ok()).flatten().flatten();
    files.into_iter().any(|file| file.path().extension().is_some_and(|ending| ending == "elbowroom"))
}

#[test]
fn what_was_not_saved_outlives_the_screen() {
    if Command::new("xdotool").arg("version").output().is_err() {
        return eprintln!("left out: there is no xdotool");
    }
    let Some((screen, name)) = screen() else { return eprintln!("left out: there is no Xvfb") };
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("data");
    let mut program = Command::new(env!("CARGO_BIN_EXE_elbowroom"));
    program.env("DISPLAY", &name).env("LIBGL_ALWAYS_SOFTWARE", "1").env_remove("WAYLAND_DISPLAY");
    program.env("XDG_DATA_HOME", &data).env("XDG_CONFIG_HOME", folder.path().join("settings"));
    let mut program = Running(program.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap());
    let press = |args: &[&str]| Command::new("xdotool").env("DISPLAY", &name).args(args).output().unwrap();
    let window = until("the window comes", || {
        let found = press(&["search", "--onlyvisible", "--name", "Elbowroom"]);
        Some(String::from_utf8(found.stdout).ok()?.lines().next()?.to_owned())
    });
    until("a note is turned, and that is kept", || {
        press(&["windowfocus", &window]);
        press(&["key", "Right"]);
        press(&["key", "b"]);
        std::thread::sleep(Duration::from_secs(3));
        is_kept(&data).then_some(())
    });
    drop(screen);
    until("the program ends with its screen", || program.0.try_wait().unwrap());
    let offered = left(&data.join("elbowroom"));
    assert_eq!(offered.len(), 1);
    let lesson = offered[0].lesson.as_ref().expect("a whole lesson");
    assert!(*lesson.score.title == demo().score.title && **lesson != demo(), "the demo, changed");
}
