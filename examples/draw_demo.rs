//! From a lesson to drawings: `cargo run --example draw_demo -- FOLDER` writes the demo lesson's
//! first page, its bow and its levels as SVG.

use std::{error::Error, path::PathBuf};

use elbowroom::{
    analysis::Study,
    lesson::demo::demo,
    picture::{Paper, Theme, bow_bar, level_fan, sheet, svg},
};

fn main() -> Result<(), Box<dyn Error>> {
    let folder = PathBuf::from(std::env::args_os().nth(1).ok_or("name a folder for the drawings")?);
    let study = Study::new(demo());
    let analysis = study.analysis();
    for finding in &analysis.findings.told {
        println!("{}: {}", finding.place, finding.headline);
    }
    // The bow a third of the way through.
    let state = analysis.bow_at(analysis.total_s() / 3.0);
    let pages = sheet(&study, None, Paper::A4_LANDSCAPE);
    let pictures = [
        ("page.svg", pages.first().cloned().unwrap_or_default()),
        ("bow.svg", bow_bar(&study, &state, 200.0)),
        ("levels.svg", level_fan(&study, &state, 70.0)),
    ];
    for (name, picture) in pictures {
        std::fs::write(folder.join(name), svg::write(&picture, &Theme::LIGHT))?;
    }
    Ok(())
}
