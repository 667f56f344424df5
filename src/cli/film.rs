//! `film`: a passage as it is played, or the arm going from level to level, as a file that moves or as single
//! frames. The ending of the file chooses which.

use std::fmt;

use crate::{
    analysis::Study,
    bowing::Density,
    exchange::saving::Over,
    lesson::handout::ArmView,
    picture::film::{
        Film, FilmError, Kind, PAUSES_S, RATES, Reel, SIDES, Seen, Subject, There, WAYS_S, names, save_film,
    },
};

use super::{
    Failure,
    figures::{between, whole},
    input::{Source, study},
    looks::{GroundChoice, ThemeChoice, levels_named},
    output::{Output, not_written},
    progress::Progress,
    said::Results,
};

#[derive(clap::Args, Debug)]
pub(super) struct Args {
    #[command(flatten)]
    pub source: Source,
    #[command(flatten)]
    pub output: Output,
    /// These bars, as 5-8, played at the practice tempo; all of them otherwise
    #[arg(long, value_name = "BARS", conflicts_with = "levels")]
    pub bars: Option<String>,
    /// The arm going through these levels and back, as D,A or D,D+A,A; on one level from frog to tip and back
    #[arg(long, value_name = "LEVELS", value_delimiter = ',')]
    pub levels: Vec<String>,
    /// Seconds from level to level, or from frog to tip
    #[arg(long, value_name = "SECONDS", default_value_t = 1.5, requires = "levels",
        value_parser = between(WAYS_S), allow_negative_numbers = true)]
    pub way: f64,
    /// Where on the bow the levels are shown
    #[arg(long, value_enum, default_value = "middle", requires = "levels")]
    pub place: PlaceChoice,
    /// What is seen; staff, hair and bow of bars, player and fan of levels otherwise
    #[arg(long, value_enum, value_delimiter = ',', value_name = "WHAT")]
    pub show: Vec<Shown>,
    /// From where the player is seen
    #[arg(long, value_enum, default_value = "half")]
    pub view: ArmView,
    /// Pencil marks over the staff
    #[arg(long, value_enum, default_value = "worth")]
    pub pencil: Density,
    /// Width and height, pixels
    #[arg(long, value_name = "WxH", default_value = "960x540", allow_negative_numbers = true)]
    pub size: Size,
    /// Frames a second
    #[arg(long, value_name = "NUMBER", default_value_t = 20, value_parser = whole(RATES), allow_negative_numbers = true)]
    pub rate: u32,
    /// Seconds for which the first picture stands before the music begins
    #[arg(long, value_name = "SECONDS", default_value_t = 1.0, value_parser = between(PAUSES_S), allow_negative_numbers = true)]
    pub pause: f64,
    /// Stops at its end; otherwise it begins again
    #[arg(long)]
    pub once: bool,
    /// The ground; clear of single frames, paper otherwise
    #[arg(long, value_enum)]
    pub ground: Option<GroundChoice>,
    /// Colours
    #[arg(long, value_enum, default_value = "light")]
    pub theme: ThemeChoice,
}

#[derive(clap::ValueEnum, Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shown {
    Staff,
    /// The way of the bow between frog and tip
    Hair,
    /// The levels of the arm
    Levels,
    /// The bow to scale
    Bow,
    /// The bridge with the bow on its level
    Fan,
    Player,
}

#[derive(clap::ValueEnum, Clone, Copy, Debug)]
pub(super) enum PlaceChoice {
    Frog,
    Middle,
    Tip,
}

/// A size as it is typed: 1280x720.
#[derive(Clone, Copy, Debug)]
pub(super) struct Size(u32, u32);

impl std::str::FromStr for Size {
    type Err = String;

    fn from_str(typed: &str) -> Result<Self, String> {
        let side = |typed: &str| typed.parse().ok().filter(|side| SIDES.contains(side));
        let sides = typed.split_once(['x', 'X']).and_then(|(w, h)| Some(Self(side(w)?, side(h)?)));
        let (least, most) = (SIDES.start(), SIDES.end());
        sides.ok_or_else(|| format!("give width and height, as 1280x720, each from {least} to {most} pixels"))
    }
}

impl fmt::Display for Size {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}x{}", self.0, self.1)
    }
}

pub(super) fn run(args: &Args, out: &mut Results) -> Result<u8, Failure> {
    // Before any work is done.
    let path = &args.output.path;
    let kind = Kind::of_ending(path).ok_or_else(|| {
        let endings = Kind::ENDINGS.map(|(ending, _)| format!(".{ending}")).join(" or ");
        Failure(format!("-o {}: the ending chooses the kind of film; it must be {endings}", path.display()))
    })?;
    let study = study(&args.source)?;
    let reel = Reel::new(&study, &args.film(&study, kind)?).map_err(failure)?;
    for path in names(kind, path, reel.count()) {
        let is_table = path.extension().is_some_and(|ending| ending == "json");
        let is_kind: fn(&[u8]) -> bool = match kind {
            Kind::Frames if is_table => |head| head.starts_with(b"{"),
            Kind::Gif => |head| Kind::Gif.is_one(head),
            Kind::Apng | Kind::Frames => |head| Kind::Frames.is_one(head),
        };
        args.output.over.check(&path, &args.source, is_kind)?;
    }
    if kind == Kind::Frames {
        let there = There::at(path, reel.count());
        args.output.over.check_strangers(&there.strangers)?;
    }
    let mut progress = Progress::new("drawing frames");
    let mut tell = |share| {
        progress.tell(share);
        true
    };
    let made = save_film(&reel, kind, path, Over::Anything, &mut tell).map_err(|error| match error {
        FilmError::Save(error) => not_written(path, &error),
        error => failure(error),
    })?;
    drop(progress);
    let seconds = made.frames as f64 / f64::from(args.rate);
    out.print(&format!("{}: {} frames, {seconds:.1} s\n", made.path.display(), made.frames));
    if made.strangers > 0 {
        out.print(&format!("beside it {} other frames of that name, no part of it\n", made.strangers));
    }
    Ok(0)
}

fn failure(error: FilmError) -> Failure {
    Failure::from_error(&error)
}

impl Args {
    fn film(&self, study: &Study, kind: Kind) -> Result<Film, Failure> {
        let score = &study.lesson().score;
        let subject = if self.levels.is_empty() {
            let bars = match &self.bars {
                Some(typed) => {
                    score.bars_named(typed).map_err(|error| Failure(format!("--bars {typed}: {error}")))?
                }
                None => 0..score.bars.len(),
            };
            Subject::Passage { bars }
        } else {
            let hair_share = match self.place {
                PlaceChoice::Frog => 0.0,
                PlaceChoice::Middle => 0.5,
                PlaceChoice::Tip => 1.0,
            };
            Subject::Levels { levels: levels_named(study, &self.levels)?, way_s: self.way, hair_share }
        };
        let usual: &[Shown] = match subject {
            Subject::Passage { .. } => &[Shown::Staff, Shown::Hair, Shown::Bow],
            Subject::Levels { .. } => &[Shown::Player, Shown::Fan],
        };
        let show = if self.show.is_empty() { usual } else { &self.show };
        let has = |what: Shown| show.contains(&what);
        let seen = Seen {
            staff: has(Shown::Staff),
            pencil: self.pencil,
            hair: has(Shown::Hair),
            levels: has(Shown::Levels),
            bow: has(Shown::Bow),
            fan: has(Shown::Fan),
            player: has(Shown::Player).then_some(self.view),
        };
        let usual = if kind == Kind::Frames { GroundChoice::Clear } else { GroundChoice::Paper };
        Ok(Film {
            subject,
            seen,
            size: (self.size.0, self.size.1),
            rate: self.rate,
            pause_s: self.pause,
            loops: !self.once,
            theme: self.ground.unwrap_or(usual).of(self.theme.theme()),
        })
    }
}
