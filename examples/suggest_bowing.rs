//! From a file to a page: reads a part (MusicXML or a lesson), tells what is found in it, suggests a
//! bowing and draws it.
//!
//! `cargo run --example suggest_bowing -- part.mxl pages.pdf`

use std::{error::Error, path::PathBuf};

use elbowroom::{
    Lesson, Opened, Study,
    advice::{Ask, Freedom},
    bowing::Density,
    exchange::UNTOLD,
    open_file,
    picture::{Paper, Theme, pdf, sheet},
    suggest,
};

fn main() -> Result<(), Box<dyn Error>> {
    let mut names = std::env::args_os().skip(1).map(PathBuf::from);
    let (Some(part), Some(pages)) = (names.next(), names.next()) else {
        return Err("name the file to read and the PDF to write".into());
    };
    let lesson = match open_file(&part)? {
        Opened::Lesson(lesson, _) => *lesson,
        Opened::Score(document) => {
            let part = document.read(document.likely_part())?;
            Lesson::new(part.score, part.instrument.unwrap_or(UNTOLD.0))
        }
    };
    let study = Study::new(lesson);
    for finding in &study.analysis().findings.told {
        println!("{}", finding.title());
    }
    let ask = Ask { events: None, freedom: Freedom::Splits, answers: 1 };
    // The search can be watched and stopped; this one is let go to its end.
    let answers = suggest(&study, &ask, &mut |_| true)?;
    let best = answers.first().ok_or("there is no bowing")?;
    println!("{}", best.headline);
    let drawn = sheet(&best.study, None, Paper::A4_LANDSCAPE, Density::default());
    std::fs::write(&pages, pdf::write(drawn, &Theme::PRINT)?)?;
    Ok(())
}
