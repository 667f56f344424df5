//! A page for a double stop of the demo: where the fingers lie, the bow on both strings, and the way up to it.
//!
//! `cargo run --example handout_double_stop -- page.pdf`

use std::{error::Error, path::PathBuf};

use elbowroom::{
    Study,
    lesson::{demo::demo, handout::Block},
    picture::{Theme, handout::pages, pdf},
    practice::handout::of_double_stop,
};

fn main() -> Result<(), Box<dyn Error>> {
    let out = std::env::args_os().nth(1).map(PathBuf::from).ok_or("name the PDF to write")?;
    let study = Study::new(demo());
    // The first one with both fingers down: that of bar 10.
    let notes = &study.analysis().line.notes;
    let stop = notes.iter().find(|attack| attack.notes.len() > 1 && attack.bar == 9);
    let stop = stop.ok_or("the demo has a double stop in bar 10")?.id();
    let mut handout = of_double_stop(&study, stop);
    for entry in &mut handout.entries {
        if let Block::Head(head) = &mut entry.block {
            (head.pupil, head.teacher) = ("Jonas".to_owned(), "Anton".to_owned());
        }
    }
    let words = "Half the weight you know from one string is enough for each of two. *Listen for both notes at the \
                 same time*, from the first moment on.";
    handout.entries.insert(2, Block::Words(words.to_owned()).into());
    std::fs::write(&out, pdf::write(pages(&study, &handout), &Theme::PRINT)?)?;
    Ok(())
}
