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
        (vec!["draw", &picture, "-o", &picture], "input itself"),
        (vec!["draw", "demo", "-o", &picture], "another kind"),
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
