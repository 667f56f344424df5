//! The judgement of the program beside that of teachers: directions, spots worth telling and accepted
//! bowings of real passages, annotated from the notation alone, and the bow marks that composers and
//! editors printed.
//!
//! The data lies in `shared/data` beside the checkout; `judged/README.md` there says how it is scored.
//! The figures are there to find causes: what only fits these pages is worth nothing.
//!
//! `cargo bench --bench judgement -- [directions] [spots] [bowings] [printed] [density] [remedies] [firsts] [marks]
//! [teachers] [--list] [--judged FOLDER] [--only NAME]`: the parts named, or all; `--list` tells every place that went
//! otherwise, and the remedies of each finding; `--judged` takes the tables of another folder; `--only`
//! reads remedies of the files and parts with this in their name. `tests/data/apart` holds passages that no rule was made from: a teacher's reading
//! from the notation alone, common practice, no source. Who looks at them with `--list` to find causes
//! needs others to measure on.

mod bowings;
mod density;
mod directions;
mod firsts;
mod marks;
mod pages;
mod printed;
mod remedies;
mod spots;
mod tables;
mod teachers;

use std::path::{Path, PathBuf};

use pages::Pages;

/// What is asked for on the command line.
struct Asked {
    parts: Vec<String>,
    list: bool,
    judged: PathBuf,
    only: Option<String>,
}

const PARTS: [&str; 9] =
    ["directions", "spots", "bowings", "printed", "density", "remedies", "firsts", "marks", "teachers"];

fn asked(data: &Path) -> Result<Asked, String> {
    let mut asked = Asked { parts: Vec::new(), list: false, judged: data.join("judged"), only: None };
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        match word.as_str() {
            "--list" => asked.list = true,
            "--judged" => asked.judged = words.next().ok_or("--judged needs a folder")?.into(),
            "--only" => asked.only = Some(words.next().ok_or("--only needs a name")?),
            // Added by cargo.
            "--bench" => {}
            part if PARTS.contains(&part) => asked.parts.push(part.to_owned()),
            other => return Err(format!("{other:?} is not known; name any of {}", PARTS.join(", "))),
        }
    }
    if asked.parts.is_empty() {
        asked.parts = PARTS.map(str::to_owned).to_vec();
    }
    Ok(asked)
}

fn main() -> Result<(), String> {
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/data");
    let asked = asked(&data)?;
    if !asked.judged.join("directions.tsv").exists() {
        println!("NOT MEASURED: {} has no tables; nothing is judged.", asked.judged.display());
        return Ok(());
    }
    let pages = Pages::read(&asked.judged, &data)?;
    let wanted = |part: &str| asked.parts.iter().any(|asked| asked == part);
    if wanted("directions") {
        directions::judge(&pages, &asked.judged, asked.list)?;
    }
    if wanted("spots") {
        spots::judge(&pages, &asked.judged, asked.list)?;
    }
    if wanted("bowings") {
        bowings::judge(&pages, &asked.judged, asked.list)?;
    }
    if wanted("printed") {
        printed::judge(&[data.join("quartets"), data.join("judged")], asked.list)?;
    }
    if wanted("density") {
        density::judge(&[data.join("quartets"), data.join("judged")])?;
    }
    if wanted("remedies") {
        let folders = [data.join("quartets"), data.join("judged")];
        remedies::judge(&folders, asked.only.as_deref(), asked.list)?;
    }
    if wanted("firsts") {
        let table = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/remedies/firsts.tsv");
        firsts::judge(&table, &data, asked.list)?;
    }
    if wanted("marks") {
        let readings = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/readings");
        marks::judge(&readings, &data, asked.list)?;
    }
    if wanted("teachers") {
        let second = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/second");
        teachers::judge(&data.join("judged"), &second)?;
    }
    Ok(())
}

/// "82 % (41 of 50)".
fn share(part: usize, whole: usize) -> String {
    format!("{:>3.0} % ({part} of {whole})", 100.0 * part as f64 / whole.max(1) as f64)
}
