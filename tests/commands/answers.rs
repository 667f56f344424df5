//! What the commands answer, and how they fail.

use std::{any::TypeId, path::Path};

use clap::CommandFactory as _;
use elbowroom::{
    analysis::Study,
    cli::Cli,
    exchange::lesson_file,
    lesson::{Writer, change::new_passage},
    score::{Dynamic, Quarters, SignKind, TimeSignature},
    setup::Family,
};
use serde_json::Value;

use crate::{
    data, json,
    music::{HALF, WHOLE, passage, violin, written},
    run, text,
};

#[test]
fn check_finds_the_run_out_of_the_demo_and_says_so_by_its_exit_code() {
    let output = run(&["check", "demo", "--json"]);
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    let value: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(value["runs_out"], 1);
    assert_eq!(value["impossible"], 0);
    let finding = value["findings"]
        .as_array()
        .expect("a list")
        .iter()
        .find(|finding| finding["verdict"] == "runs out as marked")
        .expect("the run-out is listed");
    assert!(finding["short_mm"].as_f64().expect("a number") > 0.0);
    assert!(finding["place"].as_str().expect("words").starts_with("bar "));
    assert!(finding["more"].is_array());
    assert!((0.0..=1.0).contains(&finding["heard"].as_f64().expect("a number")));
    assert!(value["worth_a_look"].is_u64());
    assert_eq!(value["silenced"], Value::Array(Vec::new()));
}

#[test]
fn check_lists_the_worst_first_when_asked() {
    let places = |order: &str| -> Vec<String> {
        let output = run(&["check", "demo", "--tempo", "60", "--order", order, "--json"]);
        let value: Value = serde_json::from_slice(&output.stdout).expect("JSON");
        let list = value["findings"].as_array().expect("a list").clone();
        list.iter().map(|finding| format!("{} {}", finding["verdict"], finding["place"])).collect()
    };
    let (music, worst) = (places("music"), places("worst"));
    assert!(worst[0].contains("runs out"), "{worst:?}");
    let sorted = |mut list: Vec<String>| {
        list.sort();
        list
    };
    assert_eq!(sorted(music), sorted(worst));
}

#[test]
fn a_faster_tempo_cures_a_slur_that_runs_out() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("slur.elbowroom");
    let loud = violin().note("A4", WHOLE).note("B4", WHOLE).slur(2);
    let (lesson, _) = written(loud.sign(Quarters::ZERO, SignKind::Dynamic(Dynamic::Ff)));
    lesson_file::save(&file, &lesson).expect("saved");
    let path = file.to_str().expect("a plain path");
    let slow = run(&["check", path, "--tempo", "60"]);
    let fast = run(&["check", path, "--tempo", "200"]);
    assert_eq!(slow.status.code(), Some(1));
    assert_eq!(fast.status.code(), Some(0), "{}", text(&fast.stdout));
}

#[test]
fn notes_lists_exact_fractions_and_joined_ties() {
    let value = json(&["notes", "demo", "--json"]);
    let events = value["events"].as_array().expect("a list");
    assert!(!events.is_empty());
    for event in events {
        for key in ["onset", "duration"] {
            let fraction = event[key].as_str().expect("text");
            assert!(fraction.parse::<elbowroom::score::Quarters>().is_ok(), "{fraction}");
        }
        assert!(event["grace"].is_boolean());
        assert_eq!(event["midi"].as_array().map(Vec::len), event["strings"].as_array().map(Vec::len));
        assert_eq!(event["strings"].as_array().map(Vec::len), event["fingers"].as_array().map(Vec::len));
    }
}

/// Bars are named with their movement, an upbeat by its name, as in the findings.
#[test]
fn notes_and_plan_name_the_movement_of_a_bar() {
    let bar = |number: u8, quarters: u8, signs: &str, close: &str| {
        let note = "<note><pitch><step>D</step><octave>4</octave></pitch><duration>1</duration>\
                    <voice>1</voice><type>quarter</type></note>";
        let notes = note.repeat(usize::from(quarters));
        format!(r#"<measure number="{number}">{signs}{notes}{close}</measure>"#)
    };
    let signs = "<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time>\
                 <clef><sign>C</sign><line>3</line></clef></attributes>";
    let close = r#"<barline location="right"><bar-style>light-heavy</bar-style></barline>"#;
    let bars = [bar(0, 1, signs, ""), bar(1, 4, "", close), bar(0, 1, "", ""), bar(1, 4, "", close)].concat();
    let score = format!(
        r#"<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Viola</part-name></score-part></part-list><part id="P1">{bars}</part></score-partwise>"#
    );
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("two.musicxml");
    std::fs::write(&file, score).expect("it is written");
    let file = file.to_str().expect("a plain path");
    for command in ["notes", "plan"] {
        let words = text(&run(&[command, file]).stdout);
        for name in ["upbeat (I) ", " 1 (I) ", "upbeat (II) ", " 1 (II) "] {
            assert!(words.contains(name), "{command}, {name}: {words}");
        }
    }
    assert_eq!(json(&["notes", file, "--json"])["events"][9]["bar"], "1 (II)");
}

/// The plan that is printed must solve the problem that is printed: every note inside its limits
/// and its corridor, contiguous where it should be.
#[test]
fn plan_prints_an_answer_to_the_problem_it_prints() {
    let value = json(&["plan", "demo", "--json"]);
    let notes = value["notes"].as_array().expect("a list");
    let number = |note: &Value, key: &str| note[key].as_f64().expect("a number");
    let usable = (&value["usable_mm"][0], &value["usable_mm"][1]);
    for (before, note) in std::iter::once(None).chain(notes.iter().map(Some)).zip(notes) {
        let sign = if note["direction"] == "down" { 1.0 } else { -1.0 };
        let used = sign * (number(note, "end_mm") - number(note, "start_mm"));
        if note["travels"] == true {
            assert!(used >= number(note, "min_mm") - 1e-6 && used <= number(note, "max_mm") + 1e-6);
        }
        for key in ["start_mm", "end_mm"] {
            let corridor = &note[&format!("corridor_{key}")];
            assert!(number(note, key) >= corridor[0].as_f64().expect("a number") - 1e-6);
            assert!(number(note, key) <= corridor[1].as_f64().expect("a number") + 1e-6);
            assert!(number(note, key) >= usable.0.as_f64().expect("a number") - 1e-6);
            assert!(number(note, key) <= usable.1.as_f64().expect("a number") + 1e-6);
        }
        if let Some(before) = before {
            let jump = (number(note, "start_mm") - number(before, "end_mm")).abs();
            match note["join"].as_str().expect("a word") {
                "lift" => assert!(jump <= number(note, "reach_mm") + 1e-6),
                _ => assert!(jump < 1e-6),
            }
        }
    }
}

/// Violin, radius 42 mm, spread 33.5 mm, even string heights: tangents 23.50 and 7.64 degrees,
/// pairs 15.57 and 0 degrees (computed from the geometry of the circle).
#[test]
fn levels_follow_the_bridge() {
    let value = json(&[
        "levels",
        "--instrument",
        "violin",
        "--radius",
        "42",
        "--spread",
        "33.5",
        "--low-height",
        "5",
        "--high-height",
        "5",
        "--json",
    ]);
    let degrees = |list: &str| -> Vec<f64> {
        value[list]
            .as_array()
            .expect("a list")
            .iter()
            .map(|l| l["degrees"].as_f64().expect("a number"))
            .collect()
    };
    for (found, expected) in degrees("strings").iter().zip([-23.50, -7.64, 7.64, 23.50]) {
        assert!((found - expected).abs() < 0.01, "{found} for {expected}");
    }
    for (found, expected) in degrees("pairs").iter().zip([-15.57, 0.0, 15.57]) {
        assert!((found - expected).abs() < 0.01, "{found} for {expected}");
    }
}

/// Formats of one page get one numbered file a page; the command prints what it wrote.
#[test]
fn draw_writes_each_format() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    for (name, magic) in [("a.svg", &b"<svg"[..]), ("a.pdf", b"%PDF"), ("a.png", b"\x89PNG")] {
        let path = folder.path().join(name);
        let output = run(&["draw", "demo", "-o", path.to_str().expect("UTF-8")]);
        assert!(output.status.success(), "{}", text(&output.stderr));
        let printed = text(&output.stdout);
        assert!(printed.lines().count() >= 1);
        for file in printed.lines() {
            let written = std::fs::read(file).expect("the file that was printed is there");
            assert!(written.windows(magic.len()).take(200).any(|window| window == magic), "{file}");
        }
    }
}

/// Pencil marks on the pages: those worth telling, or as many as are asked for.
#[test]
fn draw_writes_as_many_pencil_marks_as_are_wanted() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("a.svg");
    let list = run(&["pencil", "demo", "--json"]);
    let list: Value = serde_json::from_slice(&list.stdout).expect("JSON");
    let marks = list["marks"].as_array().expect("a list");
    for (option, least) in [("", 2), ("none", 4), ("must", 3), ("worth", 2), ("all", 1)] {
        let mut args = vec!["draw", "demo", "--force", "-o", path.to_str().expect("UTF-8")];
        if !option.is_empty() {
            args.extend(["--pencil", option]);
        }
        let printed = run(&args).stdout;
        let files = text(&printed);
        let pages: String =
            files.lines().map(|file| std::fs::read_to_string(file).expect("a page")).collect();
        for mark in marks {
            let words = mark["text"].as_str().expect("words");
            let wanted = marks.iter().any(|m| m["text"] == words && m["weight"].as_u64() >= Some(least));
            assert_eq!(pages.contains(&format!(">{words}<")), wanted, "{option}: {words}");
        }
    }
}

#[test]
fn bad_use_and_bad_input_leave_with_2_and_a_message() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let broken = folder.path().join("broken.musicxml");
    std::fs::write(&broken, "<score-partwise><part>").expect("written");
    let broken = broken.to_str().expect("UTF-8");
    let missing = folder.path().join("missing.mxl");
    for args in [
        vec!["check", broken],
        vec!["check", missing.to_str().expect("UTF-8")],
        vec!["check"],
        vec!["dance"],
        vec!["check", "demo", "--tempo", "nan"],
        vec!["levels", "--radius", "-3"],
        vec!["levels", "--roll", "nan"],
        vec!["levels", "--roll", "1e300"],
        vec!["levels", "--low-height", "1e9"],
        vec!["levels", "--high-height", "inf"],
        vec!["draw", "demo", "-o", "picture.xyz"],
        vec!["draw", "demo", "-o", "/nowhere/at/all/picture.svg"],
    ] {
        let output = run(&args);
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        assert!(output.stdout.is_empty(), "{args:?}");
        assert!(!output.stderr.is_empty(), "{args:?}");
        assert!(!text(&output.stderr).contains("panicked"), "{args:?}: {}", text(&output.stderr));
    }
    assert!(!Path::new("picture.xyz").exists());
}

/// What the table of figures allows is what every command allows: the message names figure and range.
#[test]
fn a_figure_out_of_range_is_named() {
    for (option, value, words) in [
        ("--roll", "nan", "roll of the instrument"),
        ("--low-height", "1e9", "lowest string high"),
        ("--spread", "200", "outer strings apart"),
    ] {
        let message = text(&run(&["levels", "--instrument", "violin", option, value]).stderr);
        assert!(message.contains(words) && message.contains("must lie between"), "{option}: {message}");
    }
}

/// Over every option that takes a figure, as the commands themselves say it: what cannot be is refused by
/// the name of the option, with what can be, and never in the words of a library.
#[test]
fn every_option_refuses_a_figure_that_cannot_be_in_our_own_words() {
    let folder = tempfile::tempdir().expect("a folder");
    let figures = [
        TypeId::of::<f64>(),
        TypeId::of::<u8>(),
        TypeId::of::<u16>(),
        TypeId::of::<u32>(),
        TypeId::of::<usize>(),
    ];
    let mut asked = 0;
    for command in Cli::command().get_subcommands() {
        let out = folder.path().join(match command.get_name() {
            "film" => "out.gif",
            "sound" => "out.wav",
            "write" => "out.musicxml",
            "exercise" => "out.elbowroom",
            _ => "out.pdf",
        });
        let out = out.to_str().expect("a plain path");
        for option in command.get_arguments() {
            let kind = option.get_value_parser().type_id();
            let is_size = option.get_id() == "size";
            if !is_size && !figures.iter().any(|figure| kind == *figure) {
                continue;
            }
            asked += 1;
            let name = format!("--{}", option.get_long().expect("a figure is an option"));
            for typed in ["1e300", "-1", "nan", "", "x"] {
                let mut args = vec![command.get_name()];
                if command.get_positionals().next().is_some() {
                    args.push("demo");
                }
                if command.get_arguments().any(|argument| argument.get_id() == "path") {
                    args.extend(["-o", out]);
                }
                // What some of them want beside them.
                match name.as_str() {
                    "--step" => args.extend(["--bars", "2", "--up-to", "90"]),
                    "--up-to" => args.extend(["--bars", "2"]),
                    "--way" => args.extend(["--levels", "D,A"]),
                    "--block" => args.extend(["--bars", "2"]),
                    "--width" if command.get_name() == "handout" => {
                        args.extend(["--bars", "2", "--block", "1"])
                    }
                    _ => {}
                }
                args.extend([name.as_str(), typed]);
                let output = run(&args);
                let said = text(&output.stderr);
                let wrong = |why: &str| format!("{args:?}: {why}: {said}");
                assert_eq!(output.status.code(), Some(2), "{}", wrong("not refused"));
                let line = said.lines().last().unwrap_or("");
                let words =
                    line.strip_prefix("elbowroom: ").unwrap_or_else(|| panic!("{}", wrong("not ours")));
                for foreign in
                    ["digit", "literal", "in string", "target type", "invalid", "usage", "..", "argument"]
                {
                    assert!(!words.to_lowercase().contains(foreign), "{}", wrong(foreign));
                }
                let is_told = ["give", "lie between", "out of range"].iter().any(|way| words.contains(way));
                assert!(is_told, "{}", wrong("does not say what is possible"));
                assert!(!Path::new(out).exists(), "{}", wrong("a file is made"));
            }
        }
    }
    assert!(asked > 25, "{asked} options");
}

#[test]
fn another_instrument_keeps_the_player_and_the_school_of_a_lesson() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("own.elbowroom");
    let viola = Writer::new(new_passage(Family::Viola, TimeSignature::new(4, 4), 0, 60.0));
    let (mut lesson, _) = written(viola.note("D4", WHOLE));
    // A player whose slowest whole bow lasts two seconds cannot hold a note of four.
    lesson.setup.player.slowest_whole_bow_s = 2.0;
    lesson_file::save(&path, &lesson).expect("saved");
    let path = path.to_str().expect("UTF-8");
    let stands = json(&["plan", path, "--json"]);
    assert_eq!(json(&["plan", path, "--instrument", "viola", "--json"]), stands);
    for instrument in [None, Some("viola"), Some("violin"), Some("cello")] {
        let mut args = vec!["check", path];
        args.extend(instrument.into_iter().flat_map(|instrument| ["--instrument", instrument]));
        assert_eq!(run(&args).status.code(), Some(1), "{instrument:?} lets a short-breathed player hold on");
    }
}

#[test]
fn a_wrong_part_lists_the_parts() {
    let Some(file) = data::shared("quartets/sq8811375.mxl") else { return };
    let output = run(&["check", file.to_str().expect("UTF-8"), "--part", "kazoo"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).to_lowercase().contains("viola"), "{}", text(&output.stderr));
}

#[test]
fn suggest_offers_first_what_weighs_no_more_than_now_and_saves_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("best.elbowroom");
    let path = file.to_str().expect("a plain path");
    let value = json(&["suggest", "demo", "--bars", "7-10", "--answers", "2", "--json", "--save-best", path]);
    let now = value["weight_now"].as_f64().expect("a number");
    let answers = value["answers"].as_array().expect("a list");
    assert!((1..=2).contains(&answers.len()));
    assert!(answers[0]["weight"].as_f64().expect("a number") <= now);
    for answer in answers {
        assert!(!answer["headline"].as_str().expect("words").is_empty());
        assert!(!answer["reasons"].as_array().expect("a list").is_empty());
    }
    // The bow runs out under the slur of bar 8; the saved lesson is the one that was told of.
    let saved = run(&["check", path, "--json"]);
    let saved: Value = serde_json::from_slice(&saved.stdout).expect("JSON");
    assert_eq!(saved["runs_out"], answers[0]["runs_out"]);
    assert_eq!(run(&["suggest", "demo", "--bars", "400-3"]).status.code(), Some(2));
}

/// All changes are listed, and the spots are counted here as `check` counts them.
#[test]
fn suggest_lists_every_change_and_counts_as_check_does() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("slurs.elbowroom");
    let slur = |writer: Writer| (0..3).fold(writer, |writer, _| writer.note("A4", HALF)).slur(3);
    let slurs = (0..3).fold(violin(), |writer, _| slur(writer)).note("A4", HALF);
    let (lesson, _) = written(slurs.sign(Quarters::ZERO, SignKind::Dynamic(Dynamic::Ff)));
    lesson_file::save(&file, &lesson).expect("saved");
    let path = file.to_str().expect("a plain path");
    let best = folder.path().join("best.elbowroom");
    let best = best.to_str().expect("a plain path");
    let value = json(&["suggest", path, "--answers", "1", "--json", "--save-best", best]);
    let changes = value["answers"][0]["changes"].as_array().expect("a list");
    assert!(changes.len() > 2, "{changes:#?}");
    let printed = text(&run(&["suggest", path, "--answers", "1"]).stdout);
    for change in changes {
        let words = |key: &str| change[key].as_str().expect("words").to_owned();
        let line = format!("   - {}: {}", words("place"), words("words"));
        assert!(printed.lines().any(|printed| printed == line), "{line}: {printed}");
    }
    let more = format!("and {} more changes", changes.len() - 1);
    assert!(printed.contains(&more), "{printed}");
    assert_eq!(printed.lines().filter(|line| line.starts_with("   - ")).count(), changes.len());
    for (file, of) in [(path, None), (best, Some(&value["answers"][0]["asked"]))] {
        let check: Value = serde_json::from_slice(&run(&["check", file, "--json"]).stdout).expect("JSON");
        for (key, verdict) in [("runs_out", "runs out as marked"), ("worth_a_look", "worth a look")] {
            let findings = check["findings"].as_array().expect("a list").iter();
            let spots = findings.filter(|finding| finding["verdict"] == verdict);
            let spots =
                spots.map(|finding| 1 + finding["more"].as_array().map_or(0, Vec::len)).sum::<usize>();
            assert_eq!(check[key], spots, "{key} of {file}");
            assert!(of.is_none_or(|of| of[key] == check[key]), "{key}: {value}");
        }
        assert!(of.is_some() || check["runs_out"].as_u64().is_some_and(|count| count > 2), "{check}");
    }
}

#[test]
fn advise_lists_remedies_with_what_they_leave() {
    let value = json(&["advise", "demo", "--at", "8", "--json"]);
    let remedies = value["findings"][0]["remedies"].as_array().expect("a list");
    assert!(remedies.iter().any(|remedy| remedy["cures"] == true));
    assert_eq!(json(&["advise", "demo", "--bars", "8", "--json"]), value);
    let outside = run(&["advise", "demo", "--bars", "8-9999"]);
    assert!(String::from_utf8_lossy(&outside.stderr).contains("this part has bars"));
    let none = run(&["advise", "demo", "--at", "2"]);
    assert_eq!(text(&none.stdout), "nothing found there\n");
}

#[test]
fn ladder_tells_what_works_from_half_the_tempo_on() {
    let value = json(&["ladder", "demo", "--json"]);
    assert_eq!(value["rungs"][0]["share"], 0.5);
    let bands = value["spots"][0]["bands"].as_array().expect("a list");
    let rungs = value["rungs"].as_array().expect("a list");
    assert!(rungs[rungs.len() - 1]["share"].as_f64().is_some_and(|share| share > 1.0));
    assert_eq!(
        (&bands[0]["from"], &bands[bands.len() - 1]["to"]),
        (&0.5.into(), &rungs[rungs.len() - 1]["share"])
    );
    // What is said is said once, of all the bars in which it is so.
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("slow.elbowroom");
    let (mut lesson, _) = passage(&[WHOLE; 4]);
    lesson.setup.player.slowest_whole_bow_s = 6.0;
    lesson_file::save(&file, &lesson).expect("saved");
    let of_long = run(&["ladder", file.to_str().expect("a plain path")]);
    let printed = text(&of_long.stdout);
    let bars = printed.lines().filter(|line| line.starts_with("bar"));
    let said: Vec<&str> = bars.filter_map(|line| line.split_once(": ")).map(|(_, said)| said).collect();
    assert!(said.iter().any(|words| words.starts_with("cannot be played")), "{printed}");
    assert!(said.iter().enumerate().all(|(k, words)| !said[..k].contains(words)), "{printed}");
    let output = run(&["ladder", "demo"]);
    assert!(
        text(&output.stdout).contains("bars 8 to 9: the bow runs out at every tempo tried"),
        "{}",
        text(&output.stdout)
    );
}

#[test]
fn an_exercise_is_written_and_can_be_checked() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("ladder.elbowroom");
    let file = file.to_str().expect("a plain path");
    let output = run(&["exercise", "demo", "-o", file]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    assert!(text(&output.stdout).starts_with("7 double stops, step by step"), "{}", text(&output.stdout));
    let output = run(&["check", file, "--json"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stdout));
    let output = run(&["exercise", "demo", "--instrument", "violin", "--first", "-o", file]);
    assert!(text(&output.stdout).starts_with("12 double stops, step by step"), "{}", text(&output.stdout));
    let notes = text(&run(&["notes", file]).stdout);
    assert!(notes.contains("G3") && !notes.contains("C3"), "from the violin's own lowest string: {notes}");
    let output = run(&["exercise", "demo", "--notes", "E4,C5", "-o", file]);
    assert!(text(&output.stdout).starts_with("Double stop E4 and C5"), "{}", text(&output.stdout));
    for (notes, words) in [("E4", "give two notes"), ("C3,A4", "C3 and A4"), ("C4,H4", "give two notes")] {
        let output = run(&["exercise", "demo", "--notes", notes, "-o", file]);
        assert_eq!(output.status.code(), Some(2));
        assert!(text(&output.stderr).contains(words), "{}", text(&output.stderr));
    }
}

#[test]
fn a_part_is_written_back_and_as_a_file_of_its_own() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = |name: &str| folder.path().join(name).to_str().expect("a plain path").to_owned();
    let source = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/duo.musicxml");
    let (same, new, packed) = (path("same.musicxml"), path("new.xml"), path("packed.mxl"));
    let output = run(&["write", source, "--part", "viola", "-o", &same]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    assert!(text(&output.stdout).starts_with("0 changes"), "{}", text(&output.stdout));
    assert_eq!(std::fs::read(&same).unwrap(), std::fs::read(source).unwrap(), "byte for byte");
    // Pencil marks are words over the staff.
    let output = run(&["write", source, "--part", "viola", "--pencil", "all", "-o", &packed]);
    assert!(output.status.success() && !text(&output.stdout).starts_with("0 changes"));
    assert!(std::fs::read(&packed).unwrap().starts_with(b"PK"));
    // What was typed in has no file it came from.
    let output = run(&["write", "demo", "-o", &new]);
    assert!(text(&output.stdout).starts_with("A new file"), "{}", text(&output.stderr));
    let notes = |file: &str| text(&run(&["notes", file]).stdout).lines().count();
    assert_eq!(notes(&new), notes("demo"));
    for (args, words) in [
        (vec!["write", "demo", "-o", "a.txt"], ".musicxml, .xml or .mxl"),
        (vec!["write", "demo", "--into", source, "-o", &new], "--part"),
        (vec!["write", "demo", "--into", source, "--part", "viola", "-o", &new], "keep step"),
        (vec!["write", source, "-o", source], "input itself"),
    ] {
        let output = run(&args);
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        assert!(text(&output.stderr).contains(words), "{args:?}: {}", text(&output.stderr));
    }
}

/// Of some bars only their marks are listed; bars that are not there are named.
#[test]
fn pencil_takes_bars() {
    let bars = |args: &[&str]| -> Vec<String> {
        let output = run(&[&["pencil", "demo", "--json"], args].concat());
        let list: Value = serde_json::from_slice(&output.stdout).expect("JSON");
        let marks = list["marks"].as_array().expect("marks").iter();
        marks.map(|mark| mark["bar"].as_str().expect("a bar").to_owned()).collect()
    };
    let all = bars(&[]);
    let some: Vec<String> = all.iter().filter(|bar| ["7", "8"].contains(&bar.as_str())).cloned().collect();
    assert!(!some.is_empty() && some.len() < all.len(), "{all:?}");
    assert_eq!(bars(&["--bars", "7-8"]), some);
    let refused = run(&["pencil", "demo", "--bars", "99"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("--bars 99"));
}

/// What a teacher has rubbed out stays known, and is not written.
#[test]
fn pencil_lists_what_is_rubbed_out() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("rubbed.elbowroom");
    let mut lesson = elbowroom::lesson::demo::demo();
    let mark = Study::new(lesson.clone()).pencil().marks[0].clone();
    let rub_out = elbowroom::lesson::change::pencil(&lesson, mark.topic.id(), mark.event, Some(""));
    (lesson, _) = rub_out.expect("an edit").apply(&lesson).expect("applied");
    lesson_file::save(&path, &lesson).expect("saved");
    let file = path.to_str().expect("UTF-8");
    let list: Value = serde_json::from_slice(&run(&["pencil", file, "--json"]).stdout).expect("JSON");
    let at = mark.at.to_string();
    let still = |m: &Value| m["at"] == at.as_str() && m["kind"] == mark.topic.id();
    assert!(!list["marks"].as_array().expect("a list").iter().any(still));
    let printed = run(&["pencil", file]).stdout;
    assert!(text(&printed).contains(&format!("{} (rubbed out)", mark.text)));
}

/// A passage in words, by its bars; the teacher's words stand in it, and what is left out does not.
#[test]
fn words_tell_a_passage_and_what_the_teacher_says_instead() {
    let printed = text(&run(&["words", "demo", "--bars", "1-4"]).stdout);
    assert!(printed.starts_with("Bars 1 to 4\n  Start bar 1 with a down-bow"), "{printed}");
    assert!(!printed.contains("Bars 5"), "{printed}");
    for (bars, said) in [("40", "--bars 40: give one bar or two"), ("x", "--bars x: give one bar or two")] {
        let output = run(&["words", "demo", "--bars", bars]);
        assert_eq!(output.status.code(), Some(2));
        assert!(text(&output.stderr).contains(said), "{}", text(&output.stderr));
    }
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("own.elbowroom");
    let mut lesson = elbowroom::lesson::demo::demo();
    let event = lesson.score.events[0].id;
    for (id, words) in [("start", "Breathe, then begin."), ("way", "")] {
        let edit = elbowroom::lesson::change::speak(&lesson, id, event, "something else", Some(words));
        (lesson, _) = edit.expect("an edit").apply(&lesson).expect("applied");
    }
    lesson_file::save(&path, &lesson).expect("saved");
    let file = path.to_str().expect("UTF-8");
    let printed = text(&run(&["words", file]).stdout);
    assert!(
        printed.contains("  Breathe, then begin.\n") && !printed.contains("The long D takes"),
        "{printed}"
    );
    let json: Value = serde_json::from_slice(&run(&["words", file, "--json"]).stdout).expect("JSON");
    let said = &json["phrases"][0]["sentences"];
    assert_eq!((&said[0]["own"], &said[0]["outdated"]), (&Value::Bool(true), &Value::Bool(true)), "{said}");
    assert_eq!(said[1]["text"], "", "left out");
}

/// Pages are made in one step; what is not there is refused before anything is written.
#[test]
fn an_exercise_is_made_from_some_bars() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("exercise.elbowroom").to_str().expect("UTF-8").to_owned();
    let made = run(&["exercise", "demo", "--of", "open-strings", "--bars", "5-8", "-o", &out]);
    assert!(made.status.success(), "{}", text(&made.stderr));
    assert_eq!(text(&made.stdout), "Harbour Song, bars 5 to 8: open strings only: 4 bars\n");
    assert!(run(&["check", &out]).status.code().is_some_and(|code| code < 2));
    for (args, words) in [
        (&["--of", "juggling"][..], "possible values"),
        (&["--of", "crossings", "--bars", "90"], "--bars 90"),
        (&["--bars", "5"], "--of"),
        (&["--of", "crossings", "--first"], "cannot be used with"),
    ] {
        let output = run(&[&["exercise", "demo", "-o", &out], args].concat());
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        assert!(text(&output.stderr).contains(words), "{args:?}: {}", text(&output.stderr));
    }
}

/// The size of an SVG, mm.
fn size_of(svg: &str) -> (f64, f64) {
    let value = |name: &str| {
        let rest = &svg[svg.find(&format!(" {name}=\"")).expect("it is there") + name.len() + 3..];
        rest[..rest.find("mm").expect("mm")].parse().expect("a number")
    };
    (value("width"), value("height"))
}

#[test]
fn what_is_asked_for_of_some_bars_is_drawn_on_no_page_or_on_pages() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out.svg").to_str().expect("UTF-8").to_owned();
    let drawn = |args: &[&str]| {
        let output = run(&[&["draw", "demo", "--bars", "5-8", "--force", "-o", &out], args].concat());
        assert!(output.status.success(), "{args:?}: {}", text(&output.stderr));
        std::fs::read_to_string(&out).expect("written")
    };
    let staff = drawn(&["--show", "staff", "--width", "160"]);
    assert!(size_of(&staff).0 == 160.0 && size_of(&staff).1 < 60.0 && !staff.contains(">tip<"));
    let mut last = size_of(&staff).1;
    for (show, told) in [
        ("staff,hair", ">tip<"),
        ("staff,hair,levels", ">A+D<"),
        ("staff,hair,levels,curves", "cm/s"),
        ("staff,hair,levels,curves,fan", ">bow hand<"),
        ("staff,hair,levels,curves,fan,bow", ">balance point<"),
        ("staff,hair,levels,curves,fan,bow,player", "the elbow"),
    ] {
        let svg = drawn(&["--show", show, "--width", "160"]);
        assert!(svg.contains(told) && size_of(&svg).1 > last, "{show}: {told}");
        last = size_of(&svg).1;
    }
    let clear = drawn(&["--show", "staff", "--width", "160", "--ground", "clear"]);
    assert!(staff.contains("<rect width") && !clear.contains("<rect width"));
    assert_eq!(size_of(&drawn(&["--paper", "letter"])), (215.9, 279.4));
    for (args, words) in [
        (&["--width", "3"][..], "20 to 2000"),
        (&["--show", "curves", "--curve", "colour"], "the curves are speed"),
        (&["--width", "100", "--paper", "a4"], "cannot be used with"),
    ] {
        let output = run(&[&["draw", "demo", "--force", "-o", &out], args].concat());
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        assert!(text(&output.stderr).contains(words), "{args:?}: {}", text(&output.stderr));
    }
}

#[test]
fn a_block_alone_a_lesson_with_its_handout_and_what_has_changed() {
    let folder = tempfile::tempdir().unwrap();
    let name = |name: &str| folder.path().join(name).to_str().expect("UTF-8").to_owned();
    let (svg, saved, changed) = (name("a.svg"), name("saved.elbowroom"), name("changed.elbowroom"));
    let made = |args: &[&str]| {
        let output = run(&[&["handout"], args, &["-o", &svg]].concat());
        assert!(output.status.success(), "{args:?}: {}", text(&output.stderr));
        std::fs::read_to_string(&svg).expect("written")
    };
    let block = made(&["demo", "--bars", "5-8", "--block", "3", "--width", "120", "--save", &saved]);
    assert!(size_of(&block).0 == 120.0 && !block.contains("<rect width") && block.contains(">tip<"));
    let file = elbowroom::exchange::lesson_file::read(&std::fs::read_to_string(&saved).unwrap()).unwrap();
    assert!(file.handout.entries.len() > 3);
    // The saved handout is there again.
    assert_eq!(made(&[&saved, "--block", "3", "--width", "120"]), block);
    let output = run(&["handout", &saved, "--block", "99", "-o", &svg]);
    assert!(text(&output.stderr).contains("the handout has the blocks 1 to"));
    let output = run(&["handout", "demo", "--since", &saved, "-o", &svg]);
    assert!(text(&output.stderr).contains("nothing is different"), "{}", text(&output.stderr));
    let mut other = file;
    other.score.slurs.pop();
    elbowroom::exchange::lesson_file::save(std::path::Path::new(&changed), &other).unwrap();
    let page = made(&[&changed, "--since", &saved]);
    assert!(page.contains("before and after") && page.contains("As it is now"), "{page}");
}

#[test]
fn handout_makes_pages_and_refuses_what_is_not_there() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = |name: &str| folder.path().join(name).to_str().expect("UTF-8").to_owned();
    let out = path("pages.pdf");
    for (args, words) in [
        (vec![], "has no handout; --bars 5-8"),
        (vec!["--bars", "90"], "--bars 90: give one bar or two"),
        (vec!["--finding", "99"], "--finding 99: check finds 1 to"),
        (vec!["--finding", "0"], "--finding 0"),
        (vec!["--levels", "E"], "this instrument has the levels A, A+D, D"),
        (vec!["--double-stop", "1"], "no notes sound together there"),
        (vec!["--bars", "1", "--levels", "D"], "cannot be used with"),
        (vec!["--bars", "90", "--warm-up"], "--bars 90: give one bar or two"),
    ] {
        let output = run(&[&["handout", "demo", "-o", &out][..], &args].concat());
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        assert!(text(&output.stderr).contains(words), "{args:?}: {}", text(&output.stderr));
        assert!(!std::path::Path::new(&out).exists());
    }
    let made = run(&["handout", "demo", "--bars", "5-8", "--pupil", "Mira", "--children", "-o", &out]);
    assert!(made.status.success(), "{}", text(&made.stderr));
    assert!(std::fs::read(&out).expect("a file").starts_with(b"%PDF-"));
    // That of the lesson, on the paper it has, as a picture a page.
    let mut lesson = elbowroom::lesson::demo::demo();
    lesson.handout.on_side = true;
    lesson.handout.entries.push(elbowroom::lesson::handout::Block::Words("Sing it first.".to_owned()).into());
    let file = path("song.elbowroom");
    lesson_file::save(std::path::Path::new(&file), &lesson).expect("saved");
    let drawn = run(&["handout", &file, "-o", &path("page.svg"), "--teacher", "Anton"]);
    assert!(drawn.status.success(), "{}", text(&drawn.stderr));
    let page = std::fs::read_to_string(path("page.svg")).expect("a page");
    assert!(
        page.contains("width=\"297mm\"") && page.contains("Sing it first.") && page.contains("From Anton")
    );
}

/// Of several movements the first is warmed up for, or that of the bars.
#[test]
fn a_warm_up_is_for_the_movement_that_is_named() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = |name: &str| folder.path().join(name).to_str().expect("UTF-8").to_owned();
    let mut lesson = elbowroom::lesson::demo::demo();
    let (bars, events) = (lesson.score.bars.clone(), lesson.score.events.clone());
    let (end, free) = (lesson.score.end(), lesson.score.free_event_id().0);
    lesson
        .score
        .bars
        .extend(bars.iter().cloned().map(|bar| elbowroom::score::Bar { start: bar.start + end, ..bar }));
    lesson.score.events.extend(events.iter().cloned().map(|mut event| {
        (event.id.0, event.onset) = (event.id.0 + free, event.onset + end);
        event
    }));
    lesson.score.sort();
    let (file, saved, out) = (path("two.elbowroom"), path("warm.elbowroom"), path("warm.pdf"));
    lesson_file::save(std::path::Path::new(&file), &lesson).expect("saved");
    for (bars, movement) in [(vec![], "I:"), (vec!["--bars", "II:3"], "II:"), (vec!["--bars", "I:2"], "I:")] {
        let args = ["handout", &file, "--warm-up", "10", "-o", &out, "--save", &saved];
        let made = run(&[&args[..], &bars].concat());
        assert!(made.status.success(), "{}", text(&made.stderr));
        let lesson = lesson_file::read_bytes(&std::fs::read(&saved).expect("a file")).expect("a lesson");
        let of: Vec<&str> = (lesson.handout.entries.iter())
            .filter_map(|entry| match &entry.block {
                elbowroom::lesson::handout::Block::Exercise { bars, .. } => Some(bars.as_str()),
                _ => None,
            })
            .collect();
        assert!(!of.is_empty() && of.iter().all(|bars| bars.starts_with(movement)), "{of:?}");
    }
}

/// Pages of an earlier, longer run are not taken for pages of this one, and not removed.
#[test]
fn pages_of_an_earlier_run_are_told() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let out = folder.path().join("page.svg");
    for number in 1..=9 {
        let drawn = run(&["draw", "demo", "--bars", "1", "-o", out.to_str().expect("UTF-8")]);
        assert!(drawn.status.success());
        std::fs::rename(&out, folder.path().join(format!("page-{number}.svg"))).expect("a page");
    }
    let drawn = run(&["draw", "demo", "-o", out.to_str().expect("UTF-8")]);
    let told = text(&drawn.stdout);
    let written = told.lines().filter(|line| line.ends_with(".svg")).count();
    assert!(written > 0 && written < 8, "{told}");
    let left = if written == 1 { 9 } else { 9 - written };
    assert!(told.contains(&format!("beside it {left} other pages of that name, no part of it")), "{told}");
    assert!(folder.path().join("page-9.svg").exists());
}

/// A bar of four beats at 60 after one that is counted, and the tail; then the same at 40, 50 and 60.
#[test]
fn sound_writes_a_practice_track_and_says_what_it_cannot() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("track.wav");
    let path = file.to_str().expect("a plain path");
    let lasts = |args: &[&str]| {
        let output = run(&[&["sound", "demo", "-o", path], args].concat());
        assert!(output.status.success(), "{}", text(&output.stderr));
        let reader = hound::WavReader::open(&file).expect("a WAV file");
        f64::from(reader.duration()) / f64::from(reader.spec().sample_rate)
    };
    assert!((lasts(&["--bars", "2", "--tempo", "60"]) - 10.0).abs() < 1e-3);
    let steps = ["--bars", "2", "--tempo", "40", "--up-to", "60", "--step", "10"];
    assert!((lasts(&steps) - 2.0 - 8.0 * (1.5 + 1.2 + 1.0)).abs() < 1e-3);
    let before = std::fs::read(&file).expect("there");
    for (args, why) in [
        (&["--bars", "99"][..], "--bars 99"),
        (&["--times", "3"], "choose one with --bars"),
        (&["--bars", "2", "--up-to", "20"], "--up-to 20 is out of range"),
        (&["--bars", "2", "--up-to", "90", "--step", "0"], "--step 0: give a number from 0.5"),
        (&["--bars", "2", "--times", "0"], "--times 0: give a whole number from 1 to 200"),
        (&["--drone", "H9"], "--drone H9"),
        (&["--a4", "415"], "430"),
    ] {
        let output = run(&[&["sound", "demo", "-o", path], args].concat());
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        assert!(text(&output.stderr).contains(why), "{args:?}: {}", text(&output.stderr));
    }
    assert_eq!(std::fs::read(&file).expect("there"), before, "what fails leaves the file as it is");
}
