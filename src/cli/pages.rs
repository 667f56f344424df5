//! Files of pages. The ending of the file chooses the format.

use std::path::{Path, PathBuf};

use crate::{
    exchange::saving::numbered_beside,
    picture::{FORMATS, Format, Picture, Theme},
};

use super::{
    Failure,
    input::Source,
    output::{Output, write_file},
    progress::Progress,
    said::Results,
};

/// The format that the ending of a file names.
pub(super) fn format_of(path: &Path) -> Result<&'static Format, Failure> {
    let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or("");
    Format::of_ending(ending).ok_or_else(|| {
        let endings: Vec<String> = FORMATS.iter().map(|format| format!(".{}", format.ending)).collect();
        let path = path.display();
        Failure(format!("-o {path}: the ending chooses the format; it must be {}", endings.join(" or ")))
    })
}

/// Writes pages as one file, or a numbered one each, and prints their names.
pub(super) fn write_pages(
    format: &Format,
    pages: impl ExactSizeIterator<Item = Picture>,
    theme: &Theme,
    (output, source): (&Output, &Source),
    out: &mut Results,
) -> Result<(), Failure> {
    let (count, path) = (pages.len(), &output.path);
    let paths: Vec<PathBuf> = match format.count(count) {
        1 => vec![path.clone()],
        many => (1..=many).map(|number| numbered(path, number)).collect(),
    };
    for path in &paths {
        output.over.check(path, source, format.is_one)?;
    }
    let mut progress = Progress::new("drawing pages");
    let pages = pages.enumerate().map(|(index, page)| {
        progress.tell(index as f64 / count as f64);
        page
    });
    for (path, file) in paths.iter().zip(format.files(pages, theme)) {
        write_file(path, &file.map_err(|error| Failure::from_error(&error))?)?;
        out.print(&format!("{}\n", path.display()));
    }
    // Whose they are nobody can tell, so they stay.
    let single = |path: &&PathBuf| format.is_paged() && !paths.contains(path);
    let beside = numbered_beside(path);
    match beside.iter().filter(single).count() {
        0 => {}
        1 => out.print("beside it one other page of that name, no part of it\n"),
        more => out.print(&format!("beside it {more} other pages of that name, no part of it\n")),
    }
    Ok(())
}

/// "part.svg" and 2 give "part-2.svg".
fn numbered(path: &Path, number: usize) -> PathBuf {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let ending = path.extension().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!("{stem}-{number}.{ending}"))
}
