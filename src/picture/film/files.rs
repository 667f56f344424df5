//! The files of a film. Each is written as it is made and put in its place whole; a film of numbered frames is
//! whole when its table is there, which is written last.

use std::{
    collections::BTreeSet,
    ffi::OsString,
    io::{self, BufWriter, Write as _},
    path::{Path, PathBuf},
};

use serde::{Deserialize, Serialize};

use super::{FilmError, Reel, apng, gif, shots::develop};
use crate::{
    exchange::{
        LIMIT, read_file,
        saving::{Over, SaveError, Together, numbered_beside, save_pieces},
    },
    picture::Theme,
};

/// Bytes that go to the disk at once. Assumed.
const PIECE: usize = 1 << 18;
/// Number of the format of the table; grows where a field goes or gets another meaning.
const FORMAT: u32 = 1;

/// How a film is written. The ending of its file says it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// One GIF, on paper.
    Gif,
    /// One PNG that moves.
    Apng,
    /// A numbered PNG for each frame, and a table of their times.
    Frames,
}

impl Kind {
    /// All, with the endings of their files.
    pub const ENDINGS: [(&str, Self); 3] = [("gif", Self::Gif), ("apng", Self::Apng), ("png", Self::Frames)];

    /// The ending of its files.
    pub fn ending(self) -> &'static str {
        Self::ENDINGS.iter().find(|(_, kind)| *kind == self).map_or("", |(ending, _)| ending)
    }

    /// The kind that the ending of a file names.
    pub fn of_ending(path: &Path) -> Option<Self> {
        let ending = path.extension()?.to_str()?;
        let named = Self::ENDINGS.into_iter().find(|(known, _)| known.eq_ignore_ascii_case(ending));
        named.map(|(_, kind)| kind)
    }

    /// Tells from its first bytes whether a file is one of this kind.
    pub fn is_one(self, head: &[u8]) -> bool {
        head.starts_with(match self {
            Self::Gif => b"GIF8",
            Self::Apng | Self::Frames => b"\x89PNG",
        })
    }

    /// What cannot be said in this kind of file, in words.
    pub fn problem(self, theme: &Theme, rate: u32) -> Option<String> {
        match self {
            Self::Gif if theme.is_clear => Some(
                "a GIF has no clear ground with smooth edges; write .apng, or .png for single frames"
                    .to_owned(),
            ),
            Self::Gif if rate > gif::MOST_RATE => {
                Some(format!("a GIF shows {} frames a second at most", gif::MOST_RATE))
            }
            _ => None,
        }
    }
}

/// What was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Made {
    /// The file that shows the film: of single frames their table.
    pub path: PathBuf,
    /// How many frames there are.
    pub frames: usize,
    /// Numbered frames of that name beside it that are no part of it.
    pub strangers: usize,
}

/// Writes a film; `goes_on` is told the part that is done, 0 to 1, and says whether it is still wanted.
///
/// # Errors
/// Says why it was not made, or not saved. Of a film that was called off nothing is left. Numbered frames of that
/// name are there already as soon as one of them is, whatever its number.
pub fn save_film(
    reel: &Reel,
    kind: Kind,
    path: &Path,
    over: Over,
    goes_on: &mut dyn FnMut(f64) -> bool,
) -> Result<Made, FilmError> {
    let film = reel.film();
    if let Some(problem) = kind.problem(&film.theme, film.rate) {
        return Err(FilmError::Wish(problem));
    }
    let mut strangers = 0;
    let path = match kind {
        Kind::Gif => {
            one_file(path, over, &mut |out| gif::write(reel, out, goes_on))?;
            path.to_owned()
        }
        Kind::Apng => {
            one_file(path, over, &mut |out| apng::write(reel, out, goes_on))?;
            path.to_owned()
        }
        Kind::Frames => {
            let there = There::at(path, reel.count());
            strangers = there.strangers.len();
            frames(reel, path, (over, &there), goes_on)?
        }
    };
    Ok(Made { path, frames: reel.count(), strangers })
}

/// What writes a film to a file.
type Writing<'a> = dyn FnMut(&mut dyn io::Write) -> Result<(), FilmError> + 'a;

/// A file that is written as it is made.
fn one_file(path: &Path, over: Over, make: &mut Writing<'_>) -> Result<(), FilmError> {
    let mut failed = None;
    let saved = save_pieces(path, over, &mut |write| {
        let mut out = BufWriter::with_capacity(PIECE, Out(write));
        make(&mut out).and_then(|()| Ok(out.flush()?)).map_err(|error| {
            failed = Some(error);
            io::Error::other("not made")
        })
    });
    match failed {
        Some(error) => Err(error),
        None => Ok(saved?),
    }
}

/// Hands on what is written, piece by piece.
struct Out<'a>(&'a mut dyn FnMut(&[u8]) -> io::Result<()>);

impl io::Write for Out<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        (self.0)(bytes)?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// The table of single frames.
#[derive(Serialize)]
struct Table<'a> {
    format: u32,
    title: &'a str,
    width: u32,
    height: u32,
    frames_per_second: u32,
    frames: Vec<Row>,
}

/// A frame in the table.
#[derive(Serialize)]
struct Row {
    file: String,
    /// From the start of the film, s.
    time_s: f64,
    /// From the start of the music at the practice tempo, s.
    #[serde(skip_serializing_if = "Option::is_none")]
    music_s: Option<f64>,
    /// From the start of the music, quarter notes.
    #[serde(skip_serializing_if = "Option::is_none")]
    quarters: Option<f64>,
    /// The bar, as it is typed.
    #[serde(skip_serializing_if = "String::is_empty")]
    bar: String,
    /// Contact point, mm from the frog.
    hair_mm: f64,
    /// Angle of the bow, degrees.
    level_deg: f64,
}

/// What is read of a table of frames.
#[derive(Deserialize)]
struct Listed {
    frames: Vec<ListedFrame>,
}

#[derive(Deserialize)]
struct ListedFrame {
    file: PathBuf,
}

/// The numbered frames that are there already under the name of a film.
#[derive(Debug, Default)]
pub struct There {
    /// Those of an earlier film, which go before it is replaced: its table names them.
    earlier: Vec<PathBuf>,
    /// Others, over which it does not write: nobody knows whose they are.
    pub strangers: Vec<PathBuf>,
}

impl There {
    /// Looks where a film of so many frames is to be.
    pub fn at(path: &Path, count: usize) -> Self {
        let listed = read_file(&path.with_extension("json"), LIMIT).ok();
        let listed = listed.and_then(|table| serde_json::from_slice::<Listed>(&table).ok());
        let listed: BTreeSet<OsString> = listed
            .map_or_else(Vec::new, |table| table.frames)
            .into_iter()
            .map(|frame| frame.file.into_os_string())
            .collect();
        let own: BTreeSet<PathBuf> = (0..count).map(|index| numbered(path, index, count)).collect();
        let mut there = Self::default();
        for file in numbered_beside(path) {
            let name = file.file_name().unwrap_or_default();
            if listed.contains(name) {
                there.earlier.push(file);
            } else if !own.contains(&path.with_file_name(name)) {
                there.strangers.push(file);
            }
        }
        there
    }

    fn is_empty(&self) -> bool {
        self.earlier.is_empty() && self.strangers.is_empty()
    }
}

/// Numbered frames, and last their table; gives where that is. They come to their places when all are made; what an
/// earlier film left there goes then, so that no frame of it stands among those of this one.
fn frames(
    reel: &Reel,
    path: &Path,
    (over, there): (Over, &There),
    goes_on: &mut dyn FnMut(f64) -> bool,
) -> Result<PathBuf, FilmError> {
    if over == Over::Nothing && !there.is_empty() {
        return Err(SaveError::Exists.into());
    }
    let count = reel.count();
    let table = path.with_extension("json");
    let mut together = Together::beside(path)?;
    let name_of = |path: &Path| path.file_name().unwrap_or_default().to_owned();
    develop(reel, &|frame| apng::single(&frame), &mut |index, bytes: Vec<u8>| {
        if !goes_on(index as f64 / count as f64) {
            return Err(FilmError::Stopped);
        }
        Ok(together.save(&name_of(&numbered(path, index, count)), &bytes)?)
    })?;
    together.save(&name_of(&table), &table_of(reel, path)?)?;
    let mut earlier = there.earlier.clone();
    if !earlier.is_empty() {
        earlier.insert(0, table.clone());
    }
    together.put(over, &earlier)?;
    Ok(table)
}

fn table_of(reel: &Reel, path: &Path) -> Result<Vec<u8>, FilmError> {
    let rounded = |value: f64| (value * 1e6).round() / 1e6;
    let row = |index: usize| {
        let moment = reel.moment(index);
        let name = numbered(path, index, reel.count());
        Row {
            file: name.file_name().unwrap_or_default().to_string_lossy().into_owned(),
            time_s: rounded(moment.time_s),
            music_s: moment.music_s.map(rounded),
            quarters: moment.quarters.map(rounded),
            bar: moment.place,
            hair_mm: rounded(moment.bow.hair_mm),
            level_deg: rounded(moment.bow.level_deg),
        }
    };
    let film = reel.film();
    let table = Table {
        format: FORMAT,
        title: &reel.study().lesson().score.title,
        width: film.size.0,
        height: film.size.1,
        frames_per_second: film.rate,
        frames: (0..reel.count()).map(row).collect(),
    };
    let mut text = serde_json::to_vec_pretty(&table).map_err(std::io::Error::from)?;
    text.push(b'\n');
    Ok(text)
}

/// "bow.png" and the first of 240 give "bow-001.png".
fn numbered(path: &Path, index: usize, count: usize) -> PathBuf {
    let digits = count.to_string().len();
    let mut name: OsString = path.file_stem().unwrap_or_default().to_owned();
    name.push(format!("-{:0digits$}", index + 1));
    name.push(".");
    name.push(path.extension().unwrap_or_default());
    path.with_file_name(name)
}

/// The files that a film of so many frames is written as, the first ones first.
pub fn names(kind: Kind, path: &Path, count: usize) -> Vec<PathBuf> {
    match kind {
        Kind::Gif | Kind::Apng => vec![path.to_owned()],
        Kind::Frames => {
            let frames = (0..count).map(|index| numbered(path, index, count));
            frames.chain([path.with_extension("json")]).collect()
        }
    }
}
