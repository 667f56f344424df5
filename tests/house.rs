//! The house: rooms use only what lies below them, no window library is named below the desk, and no
//! two files of a folder need each other.

use std::{
    collections::{BTreeMap, BTreeSet},
    fs,
    path::Path,
};

/// Rooms from the ground up; a room may use the rooms before it, never one after.
const ROOMS: [&str; 15] = [
    "score", "setup", "lesson", "arm", "figure", "tone", "bowing", "analysis", "advice", "exchange",
    "practice", "sound", "picture", "cli", "desk",
];

/// The folders of the window from the ground up; a folder may use the folders before it.
const DESK: [&str; 20] = [
    "widgets", "state", "command", "work", "file", "music", "findings", "pencil", "wording", "writing",
    "bowing", "arm", "tempo", "play", "setup", "book", "handout", "film", "stand", "shell",
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

/// The rooms named after `crate::` in a source.
fn rooms_used(source: &str) -> BTreeSet<String> {
    named_after("crate::", source)
}

/// What is named after a prefix in a source, in paths and in groups of a `use`, comments left out.
fn named_after(prefix: &str, source: &str) -> BTreeSet<String> {
    let code = source.lines().map(|line| line.split("//").next().unwrap_or(line));
    let code: String = code.flat_map(|line| line.split_whitespace()).collect::<Vec<_>>().join(" ");
    let code = code.replace(":: ", "::").replace("{ ", "{");
    let name = |text: &str| -> String {
        text.trim_start().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
    };
    let mut used = BTreeSet::new();
    for rest in code.split(prefix).skip(1) {
        let Some(group) = rest.strip_prefix('{') else {
            used.insert(name(rest));
            continue;
        };
        let (mut depth, mut item) = (0, 0);
        for (k, c) in group.char_indices() {
            match c {
                '{' => depth += 1,
                '}' if depth == 0 => {
                    used.insert(name(&group[item..k]));
                    break;
                }
                '}' => depth -= 1,
                ',' if depth == 0 => {
                    used.insert(name(&group[item..k]));
                    item = k + 1;
                }
                _ => {}
            }
        }
    }
    used
}

#[test]
fn every_way_of_naming_a_room_is_seen() {
    let seen =
        |source: &str| rooms_used(source).into_iter().filter(|room| !room.is_empty()).collect::<Vec<_>>();
    assert_eq!(seen("use crate::desk;"), ["desk"]);
    assert_eq!(
        seen("use crate::{advice::Standing as S, score::{Quarters, Score}, tone};"),
        ["advice", "score", "tone"]
    );
    assert_eq!(seen("use crate::{\n    arm::{\n        self,\n    },\n    cli,\n};"), ["arm", "cli"]);
    assert_eq!(seen("fn f() { crate::picture::draw() } // crate::desk"), ["picture"]);
}

#[test]
fn rooms_only_use_rooms_below_them() {
    for (height, room) in ROOMS.iter().enumerate() {
        let sources = files(room);
        assert!(!sources.is_empty(), "the room {room} is empty");
        for (path, source) in sources {
            let used = rooms_used(&source);
            for above in &ROOMS[height + 1..] {
                assert!(!used.contains(*above), "{path} in the room {room} uses the room {above} above it");
            }
        }
    }
}

#[test]
fn folders_of_the_window_only_use_folders_below_them() {
    for (height, folder) in DESK.iter().enumerate() {
        let sources = files(&format!("desk/{folder}"));
        assert!(!sources.is_empty(), "the folder {folder} is empty");
        for (path, source) in sources {
            let used = named_after("desk::", &source);
            for above in &DESK[height + 1..] {
                assert!(!used.contains(*above), "{path} in {folder} uses {above} above it");
            }
        }
    }
    let folders = fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/desk")).expect("readable");
    for folder in folders.map(|entry| entry.expect("readable").path()).filter(|path| path.is_dir()) {
        let name = folder.file_name().expect("a name").to_string_lossy().into_owned();
        assert!(DESK.contains(&name.as_str()), "the folder {name} of the window has no height");
    }
}

#[test]
fn no_two_files_of_a_folder_need_each_other() {
    let mut folders: BTreeMap<String, BTreeMap<String, BTreeSet<String>>> = BTreeMap::new();
    for (path, source) in ROOMS.iter().flat_map(|room| files(room)) {
        let path = Path::new(&path);
        let name = |part: Option<&std::ffi::OsStr>| part.expect("a name").to_string_lossy().into_owned();
        let folder = path.parent().expect("a folder").display().to_string();
        folders.entry(folder).or_default().insert(name(path.file_stem()), named_after("super::", &source));
    }
    for (folder, uses) in folders {
        // What can be put up with all it uses already standing; what is left over goes in a circle.
        let mut standing: BTreeSet<&String> = BTreeSet::new();
        while let Some((file, _)) = uses.iter().find(|(file, used)| {
            let needs = |name: &String| name != *file && uses.contains_key(name) && !standing.contains(name);
            !standing.contains(file) && !used.iter().any(needs)
        }) {
            standing.insert(file);
        }
        let left: Vec<&String> = uses.keys().filter(|file| !standing.contains(file)).collect();
        assert!(left.is_empty(), "in {folder} these need each other, or what does: {left:?}");
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
