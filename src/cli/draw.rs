//! `draw`: the staff, the hair map and the levels of the whole part on pages; or what is asked for of some bars, on
//! pages or as one drawing. The ending of the file chooses the format.

use crate::{
    analysis::{Quantity, Study},
    bowing::Density,
    lesson::handout::{ArmView, Block, Handout, Head, Leaf, Readers, Shown},
    picture::{
        Paper, Picture,
        handout::{blocks, pages},
        sheet,
    },
    practice::handout::{levels_in, strokes_in},
};

use super::{
    Failure,
    figures::between,
    input::{Source, study},
    looks::{GroundChoice, PaperChoice, ThemeChoice, WIDTHS_MM},
    output::Output,
    pages::{format_of, write_pages},
    said::Results,
};

#[derive(clap::Args, Debug)]
pub(super) struct Args {
    #[command(flatten)]
    pub source: Source,
    #[command(flatten)]
    pub output: Output,
    /// These bars alone, as 5-8
    #[arg(long, value_name = "BARS")]
    pub bars: Option<String>,
    /// What is drawn; hair, levels and curves stand under the staff, places over it
    #[arg(long, value_enum, value_delimiter = ',', value_name = "WHAT")]
    pub show: Vec<Drawn>,
    /// Which curve `--show curves` draws, by its id
    #[arg(long, value_name = "CURVE", default_value = "speed")]
    pub curve: String,
    /// From where the player is seen
    #[arg(long, value_enum, default_value = "half")]
    pub view: ArmView,
    /// Pencil marks over the staff
    #[arg(long, value_enum, default_value = "worth")]
    pub pencil: Density,
    /// Size of the paper; the whole part lies on its side
    #[arg(long, value_enum, default_value = "a4")]
    pub paper: PaperChoice,
    /// One drawing so many mm wide, on no page
    #[arg(long, value_name = "MM", conflicts_with = "paper", value_parser = between(WIDTHS_MM), allow_negative_numbers = true)]
    pub width: Option<f64>,
    /// The ground
    #[arg(long, value_enum, default_value = "paper")]
    pub ground: GroundChoice,
    /// Colours
    #[arg(long, value_enum, default_value = "print")]
    pub theme: ThemeChoice,
}

#[derive(clap::ValueEnum, Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Drawn {
    Staff,
    /// Places on the bow as small signs
    Places,
    /// The way of the bow between frog and tip
    Hair,
    /// The levels of the arm
    Levels,
    /// The bow at the start of each stroke
    Bow,
    /// The bridge with the bow on each level
    Fan,
    /// The player on each level
    Player,
    /// A curve, see --curve
    Curves,
}

pub(super) fn run(args: &Args, out: &mut Results) -> Result<u8, Failure> {
    // Before any work is done.
    let format = format_of(&args.output.path)?;
    let study = study(&args.source)?;
    let theme = args.ground.of(args.theme.theme());
    let files = (&args.output, &args.source);
    if args.bars.is_none() && args.show.is_empty() && args.width.is_none() {
        let paper = match args.paper {
            PaperChoice::A4 => Paper::A4_LANDSCAPE,
            PaperChoice::Letter => Paper::LETTER_LANDSCAPE,
        };
        let pages = sheet(&study, None, paper, args.pencil);
        write_pages(format, pages, &theme, files, out)?;
        return Ok(0);
    }
    let asked = args.blocks(&study)?;
    let drawn: Vec<Picture> = match args.width {
        Some(width) => vec![blocks(&study, &asked, Readers::default(), width)],
        None => pages(&study, &args.handout(&study, asked)),
    };
    write_pages(format, drawn.into_iter(), &theme, files, out)?;
    Ok(0)
}

impl Args {
    /// What is asked for of the bars, from the top.
    fn blocks(&self, study: &Study) -> Result<Vec<Block>, Failure> {
        let score = &study.lesson().score;
        let bars = match &self.bars {
            Some(typed) => {
                score.bars_named(typed).map_err(|error| Failure(format!("--bars {typed}: {error}")))?
            }
            None => 0..score.bars.len(),
        };
        let usual = [Drawn::Staff, Drawn::Hair, Drawn::Levels];
        let show = if self.show.is_empty() { &usual[..] } else { &self.show };
        let has = |what: Drawn| show.contains(&what);
        let curve = match Quantity::from_id(&self.curve) {
            _ if !has(Drawn::Curves) => None,
            Some(quantity) => Some(quantity.id().to_owned()),
            None => {
                let ids: Vec<&str> =
                    <Quantity as strum::IntoEnumIterator>::iter().map(Quantity::id).collect();
                return Err(Failure(format!("--curve {}: the curves are {}", self.curve, ids.join(", "))));
            }
        };
        let mut blocks = Vec::new();
        let under = [Drawn::Staff, Drawn::Places, Drawn::Hair, Drawn::Levels, Drawn::Curves];
        if under.into_iter().any(has) {
            let shown = Shown {
                pencil: !matches!(self.pencil, Density::None),
                places: has(Drawn::Places),
                hair: has(Drawn::Hair),
                levels: has(Drawn::Levels),
                curve,
            };
            blocks.push(Block::Passage { bars: score.typed_bars(bars.clone()), shown });
        }
        if has(Drawn::Bow) {
            blocks.push(Block::Bow(strokes_in(study, &bars)));
        }
        if has(Drawn::Fan) {
            blocks.push(Block::Levels(levels_in(study, &bars)));
        }
        if has(Drawn::Player) {
            blocks.push(Block::Player { levels: levels_in(study, &bars), view: self.view });
        }
        Ok(blocks)
    }

    /// The same on pages.
    fn handout(&self, study: &Study, blocks: Vec<Block>) -> Handout {
        let title = study.lesson().score.title.trim().to_owned();
        let head = Block::Head(Head { title, ..Head::default() });
        let paper = match self.paper {
            PaperChoice::A4 => Leaf::A4,
            PaperChoice::Letter => Leaf::Letter,
        };
        let entries = std::iter::once(head).chain(blocks).map(Into::into).collect();
        Handout { paper, entries, ..Handout::default() }
    }
}
