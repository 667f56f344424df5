//! MusicXML 4.0, plain or compressed, to a [`Score`](crate::score::Score) of one part, and back.
//!
//! Source of all element meanings: the MusicXML 4.0 schema and reference pages of the W3C Music
//! Notation Community Group. Reading goes in two stages: [`open`] walks the XML once and keeps what
//! every part says, bar by bar; [`Document::read`] settles bar lengths, ties, slurs and signs of one
//! part.
//!
//! Writing: [`write_back`] puts a lesson into the file it came from, [`write_new`] makes a
//! file of its own.
//!
//! Read: pitch (sounding), exact time, chords, grace and cue notes, ties, slurs, articulations,
//! bow marks, strings, fingerings, harmonics, tremolo, fermatas and breaths, pizzicato, dynamics,
//! hairpins, words (those for the bow mean something: [`Line`](crate::score::Line)), tempo, bars, meter, key, clefs, rehearsal marks, repeats (kept as written),
//! octave lines, glissandi, lines of trills.
//! Not read: layout, lyrics, chord symbols, figured bass, playback settings. What a part
//! holds of these that could matter to a player is told in the diagnostics.

mod attributes;
mod back;
mod barlines;
mod directions;
mod element;
mod error;
mod fresh;
mod hairpins;
mod header;
mod lines;
mod marks;
mod names;
mod notations;
mod notes;
mod octave_lines;
mod package;
mod pass;
mod placed;
mod places;
mod raw;
mod resolve;
mod settling;
mod signs;
mod slurs;
#[cfg(test)]
mod tests;
mod text;
mod ties;
mod timeline;
mod tree;
mod walk;
mod wanted;
mod xml;

pub use back::{BackError, OtherParts, WrittenBack, write_back};
pub use error::ImportError;
pub use fresh::write_new;
pub use package::{pack, unpack};
pub use places::{Besides, Places};
pub use resolve::Imported;
use resolve::Origins;
pub use text::is_archive;

use crate::{
    exchange::diagnostic::Reporter,
    score::{LONGEST, MOST_NOTES, Quarters},
    setup::Family,
};

/// A MusicXML file, read as far as it does not depend on the part.
#[derive(Debug)]
pub struct Document {
    title: String,
    parts: Vec<raw::RawPart>,
    infos: Vec<PartInfo>,
    timeline: timeline::Timeline,
    tempos: Vec<timeline::Tempo>,
    /// Remarks on the whole file.
    report: Reporter,
}

/// What a part is, to choose from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartInfo {
    /// Its place among the parts, from 0.
    pub index: usize,
    /// Id in the file.
    pub id: String,
    /// Name in the file, or the id where it has none.
    pub name: String,
    /// Instrument, where the file tells that it is one of the four.
    pub instrument: Option<Family>,
    /// Number of bars.
    pub bars: usize,
    /// Number of note heads.
    pub notes: usize,
    /// Number of staves.
    pub staves: u8,
    /// A percussion part.
    pub percussion: bool,
}

/// Opens a MusicXML file from its bytes; whether it is compressed is told by the content.
///
/// # Errors
/// When the bytes are no MusicXML score, are broken, or go beyond the limits. Never panics.
pub fn open(bytes: &[u8]) -> Result<Document, ImportError> {
    let mut report = Reporter::default();
    let text = text::text_of(bytes, &mut report)?;
    open_text(&text, report)
}

/// Opens the text of a MusicXML file, with what was told about the file so far.
fn open_text(text: &str, mut report: Reporter) -> Result<Document, ImportError> {
    let pass::Contents { title, parts } = pass::contents(text, &mut report)?;
    let timeline = timeline::Timeline::of_score(&parts);
    let tempos = timeline::tempos(&parts, &timeline, &mut report);
    let infos = parts
        .iter()
        .enumerate()
        .map(|(index, part)| PartInfo {
            index,
            id: part.id.clone(),
            name: part.name.clone(),
            instrument: part.family,
            bars: part.bars.len(),
            notes: part.notes,
            staves: part.staves,
            percussion: part.percussion,
        })
        .collect();
    Ok(Document { title, parts, infos, timeline, tempos, report })
}

impl Document {
    /// The parts, in file order; at least one.
    pub fn parts(&self) -> &[PartInfo] {
        &self.infos
    }

    /// The part to offer first: the first for one of the four instruments that has notes, else the
    /// first with pitched notes, else the first.
    pub fn likely_part(&self) -> usize {
        let first = |fits: &dyn Fn(&PartInfo) -> bool| self.infos.iter().position(fits);
        first(&|part| part.instrument.is_some() && part.notes > 0)
            .or_else(|| first(&|part| !part.percussion && part.notes > 0))
            .unwrap_or(0)
    }

    /// The part with this id; else the one that [`find_part`](Self::find_part) finds.
    ///
    /// # Errors
    /// When there is none.
    pub fn part_of(&self, id: &str) -> Result<usize, ImportError> {
        match self.infos.iter().position(|part| part.id == id) {
            Some(part) => Ok(part),
            None => self.find_part(id),
        }
    }

    /// Finds a part by its number from 1, its name, a piece of its name, or the name of its
    /// instrument, whichever fits first; upper and lower case are the same.
    ///
    /// # Errors
    /// When none or more than one fits; the error lists the parts.
    pub fn find_part(&self, wanted: &str) -> Result<usize, ImportError> {
        let folded = fold(wanted);
        if let Ok(number) = folded.parse::<usize>()
            && (1..=self.infos.len()).contains(&number)
        {
            return Ok(number - 1);
        }
        let mut several = false;
        let tests: [&dyn Fn(&PartInfo) -> bool; 3] = [
            &|part| fold(&part.name) == folded,
            &|part| !folded.is_empty() && fold(&part.name).contains(&folded),
            &|part| part.instrument.is_some_and(|family| family.word() == folded),
        ];
        for fits in tests {
            let mut found = self.infos.iter().filter(|part| fits(part));
            match (found.next(), found.next()) {
                (Some(only), None) => return Ok(only.index),
                (Some(_), Some(_)) => {
                    several = true;
                    break;
                }
                _ => {}
            }
        }
        Err(self.no_such_part(wanted, several))
    }

    fn no_such_part(&self, wanted: &str, several: bool) -> ImportError {
        let parts = self.infos.iter().map(|part| {
            format!("{} {}", part.index + 1, part.name.split_whitespace().collect::<Vec<_>>().join(" "))
        });
        ImportError::NoSuchPart { wanted: wanted.to_owned(), several, parts: parts.collect() }
    }

    /// Reads one part by its index.
    ///
    /// # Errors
    /// When there is no part with this index, it is too long, or it contradicts itself; when it has
    /// more notes than [`MOST_NOTES`], or more at once than anybody plays.
    pub fn read(&self, part: usize) -> Result<Imported, ImportError> {
        self.read_with_origins(part).map(|(imported, _)| imported)
    }

    /// The same, with where in the text it was read.
    fn read_with_origins(&self, part: usize) -> Result<(Imported, Origins<'_>), ImportError> {
        let raw = self.parts.get(part).ok_or_else(|| self.no_such_part(&(part + 1).to_string(), false))?;
        if raw.events.len() > MOST_NOTES {
            let (what, limit) = ("the number of notes in the part".to_owned(), MOST_NOTES.to_string());
            return Err(ImportError::Limit { what, limit });
        }
        let whole = resolve::Whole {
            title: &self.title,
            timeline: &self.timeline,
            tempos: &self.tempos,
            report: &self.report,
        };
        let (imported, origins) = resolve::resolve(raw, &whole)?;
        let score = imported.score;
        if score.end() > Quarters::from(LONGEST) {
            let (what, limit) = ("the length of the music".to_owned(), format!("{LONGEST} quarter notes"));
            return Err(ImportError::Limit { what, limit });
        }
        let score = score.checked()?;
        Ok((Imported { score, ..imported }, origins))
    }
}

fn fold(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}
