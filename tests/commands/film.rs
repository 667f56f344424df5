//! `film`: which file it writes, and what it refuses.

use crate::{run, text};

#[test]
fn a_film_is_written_as_its_ending_says() {
    let folder = tempfile::tempdir().unwrap();
    let name = |name: &str| folder.path().join(name).to_str().expect("UTF-8").to_owned();
    let (gif, apng, frames) = (name("a.gif"), name("a.apng"), name("frame.png"));
    let small = ["--size", "160x120", "--rate", "4"];
    let made = |args: &[&str]| {
        let output = run(&[&["film", "demo"], args, &small].concat());
        assert!(output.status.success(), "{args:?}: {}", text(&output.stderr));
        text(&output.stdout)
    };
    let bars = ["--bars", "5"];
    assert!(made(&[&bars[..], &["-o", &gif]].concat()).contains("a.gif: 16 frames, 4.0 s"));
    assert!(std::fs::read(&gif).unwrap().starts_with(b"GIF89a"));
    // Twice as fast, without a pause: the four quarters alone.
    let fast = ["--tempo", "168", "--pause", "0", "--once", "-o", &apng];
    assert!(made(&[&bars[..], &fast].concat()).contains("6 frames"));
    assert!(std::fs::read(&apng).unwrap().windows(4).any(|four| four == b"acTL"));
    let levels = ["--levels", "D,A", "--way", "0.5", "--show", "fan", "-o", &frames];
    assert!(made(&levels).contains("frame.json: 6 frames"));
    assert!(folder.path().join("frame-6.png").exists() && !folder.path().join("frame-7.png").exists());
}

/// A shorter film in the place of a longer one leaves none of its frames; frames that no table tells of are not
/// written among.
#[test]
fn no_frame_of_an_earlier_film_stands_among_those_of_a_new_one() {
    let folder = tempfile::tempdir().unwrap();
    let frames = folder.path().join("frame.png").to_str().expect("UTF-8").to_owned();
    let made = |rate: &str, more: &[&str]| {
        let levels =
            ["film", "demo", "--levels", "D,A", "--way", "0.5", "--show", "fan", "--size", "160x120"];
        run(&[&levels[..], &["--rate", rate, "-o", &frames], more].concat())
    };
    let names = || {
        let files = std::fs::read_dir(folder.path()).unwrap();
        let mut names: Vec<_> =
            files.map(|file| file.unwrap().file_name().into_string().expect("UTF-8")).collect();
        names.sort();
        names
    };
    assert!(made("12", &[]).status.success());
    assert_eq!((names().len(), names()[0].as_str()), (19, "frame-01.png"));
    std::fs::write(folder.path().join("frame-x.png"), "mine").unwrap();
    assert!(made("4", &[]).status.success());
    let six: Vec<String> = (1..=6).map(|frame| format!("frame-{frame}.png")).collect();
    let rest = ["frame-x.png", "frame.json"].map(str::to_owned);
    assert_eq!(names(), [&six[..], &rest].concat());
    std::fs::remove_file(folder.path().join("frame.json")).unwrap();
    let output = made("2", &[]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("other frames of that name already"), "{}", text(&output.stderr));
    let output = made("2", &["--force"]);
    assert!(output.status.success());
    assert!(text(&output.stdout).contains("beside it 3 other frames of that name, no part of it"));
}

#[test]
fn what_cannot_be_filmed_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let gif = folder.path().join("a.gif").to_str().expect("UTF-8").to_owned();
    for (args, words) in [
        (&["-o", "a.mov"][..], ".gif or .apng or .png"),
        (&["--bars", "90", "-o", &gif], "--bars 90"),
        (&["--levels", "H", "-o", &gif], "this instrument has the levels"),
        (&["--size", "big", "-o", &gif], "1280x720"),
        (&["--size", "9x9", "-o", &gif], "64 to 4096"),
        (&["--rate", "60", "-o", &gif], "50 frames a second"),
        (&["--ground", "clear", "-o", &gif], "no clear ground"),
        (&["--bars", "5", "--levels", "D,A", "-o", &gif], "cannot be used with"),
        (&["--way", "2", "-o", &gif], "--levels"),
    ] {
        let output = run(&[&["film", "demo"], args].concat());
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        assert!(text(&output.stderr).contains(words), "{args:?}: {}", text(&output.stderr));
    }
    assert!(!std::path::Path::new(&gif).exists());
}
