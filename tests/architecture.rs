//! The house: rooms use only what lies below them, and no window library is named below the desk.

use std::{fs, path::Path};

/// Rooms from the ground up; a room may use the rooms before it, never one after.
const ROOMS: [&str; 13] = [
    "score", "setup", "lesson", "arm", "tone", "bowing", "analysis", "advice", "exchange", "practice",
    "picture", "cli", "desk",
];

fn files(room: &str) -> Vec<(String, String)> {
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    let mut folders = vec![source.join(room)];
    let single = source.join(format!("{room}.rs"));
    if single.exists() {
        found.push((single.display().to_string(), fs::read_to_string(&single).expect("readable")));
    }
    while let Some(folder) = folders.pop() {
        let Ok(entries) = fs::read_dir(folder) else { continue };
        for entry in entries {
            let path = entry.expect("readable").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                found.push((path.display().to_string(), fs::read_to_string(&path).expect("readable")));
            }
        }
    }
    found
}

#[test]
fn rooms_only_use_rooms_below_them() {
    for (height, room) in ROOMS.iter().enumerate() {
        let sources = files(room);
        assert!(!sources.is_empty(), "the room {room} is empty");
        for (path, source) in sources {
            for above in &ROOMS[height + 1..] {
                let grouped = source.lines().any(|line| line.trim_start().starts_with(&format!("{above}::")))
                    && source.contains("use crate::{");
                assert!(
                    !source.contains(&format!("crate::{above}::")) && !grouped,
                    "{path} in the room {room} uses the room {above} above it"
                );
            }
        }
    }
}

#[test]
fn no_window_library_below_the_desk() {
    for room in ROOMS.iter().filter(|room| **room != "desk") {
        for (path, source) in files(room) {
            for library in ["egui", "eframe", "rfd::"] {
                assert!(!source.contains(library), "{path} names {library}");
            }
        }
    }
}

#[test]
fn no_files_or_clocks_where_everything_is_computed() {
    for room in ["score", "setup", "lesson", "arm", "tone", "bowing", "analysis", "advice", "picture"] {
        for (path, source) in files(room) {
            for call in ["std::fs", "std::time", "std::env", "Instant::now", "SystemTime"] {
                assert!(!source.contains(call), "{path} uses {call}");
            }
        }
    }
}
