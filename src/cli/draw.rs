//! `draw`: the staff, the hair map and the levels on pages.

use std::path::{Path, PathBuf};

use crate::{
    analysis::Study,
    exchange::lesson_file::write_whole,
    picture::{Paper, Picture, Theme, pdf, png, sheet, svg},
};

use super::{
    Failure, Source, ThemeChoice,
    input::{load, print_report},
};

/// Dots per inch of a PNG page. Assumed: sharp on paper, 3508 dots on the long side of A4.
const PNG_DPI: f64 = 300.0;

pub(super) fn run(
    source: &Source,
    output: &Path,
    theme: ThemeChoice,
    out: &mut String,
) -> Result<(), Failure> {
    let ending = output.extension().and_then(|ending| ending.to_str()).unwrap_or("").to_lowercase();
    // Before any work is done.
    if !matches!(ending.as_str(), "svg" | "pdf" | "png") {
        return Err(Failure(format!(
            "-o {}: the ending must be .svg, .pdf or .png; it chooses the format",
            output.display()
        )));
    }
    let input = load(source)?;
    let study = Study::new(input.lesson);
    print_report(&input.report, &study.analysis().findings.notices);
    let theme = match theme {
        ThemeChoice::Print => &Theme::PRINT,
        ThemeChoice::Light => &Theme::LIGHT,
        ThemeChoice::Dark => &Theme::DARK,
        ThemeChoice::Projector => &Theme::PROJECTOR,
    };
    let pages = sheet(&study, None, Paper::A4_LANDSCAPE);
    let mut files: Vec<(PathBuf, Vec<u8>)> = Vec::new();
    let page_bytes = |page: &Picture| match ending.as_str() {
        "svg" => Ok(svg::write(page, theme).into_bytes()),
        _ => png::write(page, theme, PNG_DPI).map_err(|error| Failure::from_error(&error)),
    };
    match (ending.as_str(), pages.as_slice()) {
        ("pdf", _) => {
            let bytes = pdf::write(&pages, theme).map_err(|error| Failure::from_error(&error))?;
            files.push((output.to_owned(), bytes));
        }
        (_, [page]) => files.push((output.to_owned(), page_bytes(page)?)),
        // Formats of one page each: one numbered file a page.
        (_, pages) => {
            for (index, page) in pages.iter().enumerate() {
                files.push((numbered(output, index + 1), page_bytes(page)?));
            }
        }
    }
    for (path, bytes) in files {
        write_whole(&path, &bytes)
            .map_err(|error| Failure(format!("the file cannot be written: {error}\n  {}", path.display())))?;
        out.push_str(&format!("{}\n", path.display()));
    }
    Ok(())
}

/// "part.svg" and 2 give "part-2.svg".
fn numbered(path: &Path, number: usize) -> PathBuf {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let ending = path.extension().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!("{stem}-{number}.{ending}"))
}
