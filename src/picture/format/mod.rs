//! Files of drawings.
//!
//! A further format is a file beside these and a line in [`FORMATS`].

pub(in crate::picture) mod canvas;
mod dots;
pub mod pdf;
pub mod png;
pub mod svg;

use super::{Picture, Theme};

/// Why a picture could not be turned into a file.
#[derive(Debug, thiserror::Error)]
pub enum RenderError {
    /// The file could not be put together.
    #[error("the drawing could not be turned into a file: {0}")]
    Drawing(String),
    /// The picture has no area, or too many pixels.
    #[error("a picture of {width_mm:.0} by {height_mm:.0} mm cannot be drawn at {dpi:.0} dots per inch")]
    Size {
        /// Width, mm.
        width_mm: f64,
        /// Height, mm.
        height_mm: f64,
        /// Resolution, dots per inch.
        dpi: f64,
    },
}

/// A kind of file drawings are written as.
#[derive(Debug)]
pub struct Format {
    /// The ending of its files, in lower case, without the dot.
    pub ending: &'static str,
    /// Tells from its first bytes whether a file is one of this format.
    pub is_one: fn(&[u8]) -> bool,
    write: Write,
}

/// The bytes of a file.
pub type File = Result<Vec<u8>, RenderError>;

/// How pages become files.
#[derive(Debug)]
enum Write {
    /// All of them one file.
    Book(fn(&mut dyn Iterator<Item = Picture>, &Theme) -> File),
    /// Each a file.
    Pages(fn(&Picture, &Theme) -> File),
}

/// All formats.
pub const FORMATS: &[Format] = &[svg::FORMAT, pdf::FORMAT, png::FORMAT];

impl Format {
    /// The format of files with this ending, whatever its case.
    pub fn of_ending(ending: &str) -> Option<&'static Self> {
        FORMATS.iter().find(|format| format.ending.eq_ignore_ascii_case(ending))
    }

    /// Each page is a file of its own.
    pub fn is_paged(&self) -> bool {
        matches!(self.write, Write::Pages(_))
    }

    /// How many files hold so many pages: one for all of them, or one a page where the format has single pages.
    pub fn count(&self, pages: usize) -> usize {
        if self.is_paged() { pages } else { 1 }
    }

    /// The files that hold these pages, in their order, each made when it is asked for; in the place of one that
    /// cannot be drawn stands why.
    pub fn files<'a>(
        &self,
        pages: impl IntoIterator<Item = Picture> + 'a,
        theme: &'a Theme,
    ) -> Box<dyn Iterator<Item = File> + 'a> {
        match self.write {
            Write::Book(write) => {
                let mut pages = Some(pages.into_iter());
                Box::new(std::iter::from_fn(move || Some(write(&mut pages.take()?, theme))))
            }
            Write::Pages(write) => Box::new(pages.into_iter().map(move |page| write(&page, theme))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_format_writes_two_pages() {
        let pages = [Picture::new(30.0, 20.0), Picture::new(30.0, 20.0)];
        for format in FORMATS {
            let files: Result<Vec<_>, _> = format.files(pages.clone(), &Theme::PRINT).collect();
            let files = files.unwrap();
            assert_eq!(files.len(), format.count(pages.len()), "{}", format.ending);
            assert!(files.iter().all(|file| file.len() > 60), "{}", format.ending);
            for other in FORMATS {
                assert_eq!((other.is_one)(&files[0]), other.ending == format.ending, "{}", other.ending);
            }
            let found = Format::of_ending(&format.ending.to_uppercase()).unwrap();
            assert_eq!(found.ending, format.ending, "endings differ");
        }
        assert!(Format::of_ending("").is_none());
    }
}
