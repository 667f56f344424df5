//! Files that commands write: what they are not written over, and how it ends when they cannot be.

use std::path::Path;

use crate::{run, text};

/// Copies music of the tests into a folder.
fn copied(name: &str, to: &Path) {
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(name);
    std::fs::copy(from, to).expect("copied");
}

#[test]
fn an_output_is_not_written_over_its_input_nor_over_another_kind_of_file() {
    let folder = tempfile::tempdir().unwrap();
    let name = |name: &str| folder.path().join(name).to_str().expect("UTF-8").to_owned();
    let (score, lesson, picture) = (name("score.xml"), name("lesson.elbowroom"), name("picture.svg"));
    copied("small.musicxml", Path::new(&score));
    assert!(run(&["exercise", "demo", "-o", &lesson]).status.success());
    copied("small.musicxml", Path::new(&picture));
    let before: Vec<Vec<u8>> = [&score, &lesson, &picture].map(|path| std::fs::read(path).unwrap()).into();
    let refused = [
        (vec!["exercise", &score, "-o", &score], "input itself"),
        (vec!["exercise", &lesson, "-o", &lesson], "input itself"),
        (vec!["exercise", "demo", "-o", &score], "another kind"),
        (vec!["suggest", &score, "--save-best", &score], "input itself"),
        (vec!["suggest", &lesson, "--save-best", &lesson], "input itself"),
        (vec!["suggest", "demo", "--save-best", &score], "another kind"),
        (vec!["draw", &picture, "-o", &picture], "input itself"),
        (vec!["draw", "demo", "-o", &picture], "another kind"),
        (vec!["handout", "demo", "--bars", "5-8", "-o", &picture], "another kind"),
        (vec!["sound", "demo", "--bars", "5", "-o", &picture], "another kind"),
    ];
    for (args, why) in refused {
        let output = run(&args);
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        let words = text(&output.stderr);
        assert!(words.contains(why) && words.contains("--force"), "{args:?}: {words}");
    }
    let after: Vec<Vec<u8>> = [&score, &lesson, &picture].map(|path| std::fs::read(path).unwrap()).into();
    assert!(before == after, "nothing was touched");
    // Of its own kind, or when forced, it is.
    assert!(run(&["exercise", "demo", "-o", &lesson]).status.success());
    assert!(run(&["draw", "demo", "--force", "-o", &picture]).status.success());
    assert!(run(&["draw", "demo", "-o", &picture]).status.success());
    assert!(run(&["suggest", &lesson, "--force", "--save-best", &lesson]).status.success());
    assert!(run(&["exercise", "demo", "-o", &lesson]).status.success());
    let forced = run(&["exercise", "demo", "--force", "-o", &score]);
    assert!(forced.status.success() && std::fs::read(&score).unwrap() == std::fs::read(&lesson).unwrap());
}

#[cfg(unix)]
#[test]
fn a_link_to_the_input_is_the_input() {
    let folder = tempfile::tempdir().unwrap();
    let (score, link) = (folder.path().join("score.xml"), folder.path().join("link.xml"));
    copied("small.musicxml", &score);
    std::os::unix::fs::symlink("score.xml", &link).unwrap();
    let output = run(&["exercise", score.to_str().unwrap(), "--first", "-o", link.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("input itself"));
}

#[cfg(target_os = "linux")]
mod ends {
    use std::{
        fs::File,
        process::{Command, Stdio},
    };

    use super::*;

    fn elbowroom(args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_elbowroom"));
        command.args(args);
        command
    }

    fn full() -> File {
        File::options().write(true).open("/dev/full").expect("Linux has a device that is always full")
    }

    #[test]
    fn results_that_cannot_be_written_are_an_error() {
        for args in [&["notes", "demo"][..], &["plan", "demo", "--json"], &["--help"]] {
            let output = elbowroom(args).stdout(full()).stderr(Stdio::piped()).output().unwrap();
            assert_eq!(output.status.code(), Some(2), "{args:?}");
            assert!(text(&output.stderr).contains("cannot be written"), "{args:?}");
        }
    }

    #[test]
    fn a_reader_that_has_read_enough_is_none() {
        let (read, write) = std::io::pipe().unwrap();
        drop(read);
        let output = elbowroom(&["notes", "demo"]).stdout(write).stderr(Stdio::piped()).output().unwrap();
        assert_eq!(output.status.code(), Some(0));
        assert!(!text(&output.stderr).contains("written"));
    }

    #[test]
    fn messages_nobody_can_hear_are_no_panic() {
        let missing = ["check", "no such file.mxl"];
        assert_eq!(elbowroom(&missing).stderr(full()).output().unwrap().status.code(), Some(2));
        let (read, write) = std::io::pipe().unwrap();
        drop(read);
        assert_eq!(elbowroom(&missing).stderr(write).output().unwrap().status.code(), Some(2));
    }
}

#[test]
fn a_title_does_not_command_the_terminal() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("song.elbowroom");
    let mut lesson = elbowroom::lesson::demo::demo();
    lesson.score.title = "Song\u{1b}]0;gone\u{7}".to_owned();
    elbowroom::exchange::lesson_file::save(&path, &lesson).unwrap();
    for command in ["notes", "check", "plan"] {
        let output = run(&[command, path.to_str().unwrap()]);
        let said = text(&output.stdout) + &text(&output.stderr);
        assert!(!said.contains(|c: char| c.is_control() && c != '\n' && c != '\t'), "{command}");
    }
}
