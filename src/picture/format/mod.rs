//! Files of drawings.
//!
//! A further format is a file beside these and a line in [`FORMATS`].

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
    write: fn(&[Picture], &Theme) -> Files,
}

/// The bytes of the files that hold some pages: one file for all of them, or one file a page.
pub type Files = Result<Vec<Vec<u8>>, RenderError>;

/// All formats.
pub const FORMATS: &[Format] = &[svg::FORMAT, pdf::FORMAT, png::FORMAT];

impl Format {
    /// The format of files with this ending, whatever its case.
    pub fn of_ending(ending: &str) -> Option<&'static Self> {
        FORMATS.iter().find(|format| format.ending.eq_ignore_ascii_case(ending))
    }

    /// The bytes of the files that hold these pages, in their order: one file for all of them, or one a
    /// page where the format has single pages.
    ///
    /// # Errors
    /// When a page cannot be drawn in this format.
    pub fn files(&self, pages: &[Picture], theme: &Theme) -> Files {
        (self.write)(pages, theme)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_format_writes_two_pages() {
        let pages = [Picture::new(30.0, 20.0), Picture::new(30.0, 20.0)];
        for format in FORMATS {
            let files = format.files(&pages, &Theme::PRINT).unwrap();
            assert!(files.len() == 1 || files.len() == 2, "{}", format.ending);
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
