//! A page for a passage of a quartet: where the bow runs out, what helps, a table to fill in.
//!
//! `cargo run --example handout_run_out -- quartet.mxl cello page.pdf`

use std::{error::Error, path::PathBuf};

use elbowroom::{
    Lesson, Opened, Study,
    bowing::Verdict,
    exchange::UNTOLD,
    lesson::handout::Block,
    open_file,
    picture::{Theme, handout::pages, pdf},
    practice::handout::of_finding,
    remedies,
};

fn main() -> Result<(), Box<dyn Error>> {
    let names: Vec<PathBuf> = std::env::args_os().skip(1).map(PathBuf::from).collect();
    let [file, part, out] = &names[..] else {
        return Err("name the file to read, its part, and the PDF to write".into());
    };
    let lesson = match open_file(file)? {
        Opened::Lesson(lesson, _) => *lesson,
        Opened::Score(document) => {
            let part = document.read(document.find_part(&part.to_string_lossy())?)?;
            Lesson::new(part.score, part.instrument.unwrap_or(UNTOLD.0))
        }
    };
    let study = Study::new(lesson);
    let told = &study.analysis().findings.told;
    let finding = told.iter().find(|finding| finding.verdict == Verdict::RunsOut);
    let finding = finding.ok_or("the bow runs out nowhere in this part")?;
    let tried = remedies(&study, finding);
    let mut handout = of_finding(&study, finding, &tried);
    // The teacher's own words, before the table.
    let table = handout.entries.iter().rposition(|entry| matches!(entry.block, Block::Heading(_)));
    let words = "Play both ways slowly, one after the other. *In which one is there bow left at the end?*";
    handout.entries.insert(table.unwrap_or(0), Block::Words(words.to_owned()).into());
    std::fs::write(out, pdf::write(pages(&study, &handout), &Theme::PRINT)?)?;
    Ok(())
}
