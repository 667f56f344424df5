//! `draw`: the staff, the hair map and the levels on pages.

use std::path::{Path, PathBuf};

use clap::ValueEnum;

use crate::{
    exchange::lesson_file::write_whole,
    picture::{Paper, Picture, Theme, pdf, png, sheet, svg},
};

use super::{Failure, args::DrawArgs, input::study};

/// Dots per inch of a PNG page. Assumed: sharp on paper, 3508 dots on the long side of A4.
const PNG_DPI: f64 = 300.0;

/// In which format pages are written: the ending of the file names it.
#[derive(ValueEnum, Clone, Copy)]
enum PageFormat {
    Svg,
    Pdf,
    Png,
}

impl PageFormat {
    fn of(path: &Path) -> Result<Self, Failure> {
        let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or("");
        Self::from_str(ending, true).map_err(|_| {
            let endings = Self::value_variants().iter().filter_map(Self::to_possible_value);
            let endings: Vec<String> = endings.map(|value| format!(".{}", value.get_name())).collect();
            let path = path.display();
            Failure(format!("-o {path}: the ending chooses the format; it must be {}", endings.join(" or ")))
        })
    }

    /// The files that hold these pages.
    fn files(
        self,
        pages: &[Picture],
        theme: &Theme,
        output: &Path,
    ) -> Result<Vec<(PathBuf, Vec<u8>)>, Failure> {
        let each = |bytes: &dyn Fn(&Picture) -> Result<Vec<u8>, Failure>| {
            let path = |number| if pages.len() == 1 { output.to_owned() } else { numbered(output, number) };
            (1..).zip(pages).map(|(number, page)| Ok((path(number), bytes(page)?))).collect()
        };
        match self {
            Self::Svg => each(&|page| Ok(svg::write(page, theme).into_bytes())),
            Self::Png => {
                each(&|page| png::write(page, theme, PNG_DPI).map_err(|error| Failure::from_error(&error)))
            }
            Self::Pdf => {
                let bytes = pdf::write(pages, theme).map_err(|error| Failure::from_error(&error))?;
                Ok(vec![(output.to_owned(), bytes)])
            }
        }
    }
}

pub(super) fn run(args: &DrawArgs, out: &mut String) -> Result<u8, Failure> {
    // Before any work is done.
    let format = PageFormat::of(&args.output)?;
    let study = study(&args.source)?;
    let pages = sheet(study.lesson(), study.analysis(), None, Paper::A4_LANDSCAPE);
    for (path, bytes) in format.files(&pages, args.theme.theme(), &args.output)? {
        write_whole(&path, &bytes)
            .map_err(|error| Failure(format!("the file cannot be written: {error}\n  {}", path.display())))?;
        out.push_str(&format!("{}\n", path.display()));
    }
    Ok(0)
}

/// "part.svg" and 2 give "part-2.svg".
fn numbered(path: &Path, number: usize) -> PathBuf {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let ending = path.extension().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!("{stem}-{number}.{ending}"))
}
