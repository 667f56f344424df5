//! `handout`: what the pupil takes home, on pages. The ending of the file chooses the format.

use crate::{
    advice::remedies,
    analysis::Study,
    lesson::handout::{ArmView, Block, Handout, Head, Leaf, Readers},
    picture::{Theme, handout::pages},
    practice::handout::{of_double_stop, of_finding, of_levels, of_passage, warm_up},
};

use super::{
    Failure,
    draw::ThemeChoice,
    input::{Source, study},
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
    #[command(flatten)]
    pub start: Start,
    #[command(flatten)]
    pub head: HeadArgs,
    /// Size of the paper; as in the lesson otherwise
    #[arg(long, value_enum)]
    pub paper: Option<PaperChoice>,
    /// The paper lies on its side
    #[arg(long)]
    pub on_side: bool,
    /// Large type and large notes
    #[arg(long)]
    pub children: bool,
    /// Colours
    #[arg(long, value_enum, default_value = "print")]
    pub theme: ThemeChoice,
}

/// A handout made in one step, in place of the one in the lesson.
#[derive(clap::Args, Debug)]
#[group(multiple = false)]
pub(super) struct Start {
    /// A page for these bars, as 5-8: the music, what to watch, a table for practising
    #[arg(long, value_name = "BARS")]
    pub bars: Option<String>,
    /// A page for a finding, by its number in what `check` prints: what helps, before and after
    #[arg(long, value_name = "NUMBER")]
    pub finding: Option<usize>,
    /// A page for these levels of the arm, as D,A or D,D+A: the player and the bridge
    #[arg(long, value_name = "LEVELS", value_delimiter = ',')]
    pub levels: Vec<String>,
    /// A page for the first double stop of this bar: fingers, bow, weight, and the way up to it
    #[arg(long, value_name = "BAR")]
    pub double_stop: Option<String>,
    /// A warm-up for the piece: the scale of its key, its double stops
    #[arg(long)]
    pub warm_up: bool,
}

/// What stands at the head.
#[derive(clap::Args, Debug)]
pub(super) struct HeadArgs {
    /// For whom it is
    #[arg(long, value_name = "NAME")]
    pub pupil: Option<String>,
    /// From whom it is
    #[arg(long, value_name = "NAME")]
    pub teacher: Option<String>,
    /// When, in words
    #[arg(long, value_name = "WORDS")]
    pub date: Option<String>,
}

#[derive(clap::ValueEnum, Clone, Copy, Debug)]
pub(super) enum PaperChoice {
    A4,
    Letter,
}

pub(super) fn run(args: &Args, out: &mut Results) -> Result<u8, Failure> {
    // Before any work is done.
    let format = format_of(&args.output.path)?;
    let study = study(&args.source)?;
    let mut handout = match args.start.made(&study)? {
        Some(handout) => handout,
        None if study.lesson().handout.is_empty() => {
            return Err(Failure(
                "this lesson has no handout; --bars 5-8, --finding 1, --levels D,A, --double-stop 7 or --warm-up makes one"
                    .to_owned(),
            ));
        }
        None => study.lesson().handout.clone().own(),
    };
    if let Some(paper) = args.paper {
        handout.paper = match paper {
            PaperChoice::A4 => Leaf::A4,
            PaperChoice::Letter => Leaf::Letter,
        };
    }
    handout.on_side |= args.on_side;
    if args.children {
        handout.readers = Readers::Children;
    }
    args.head.put_on(&mut handout);
    let pages = pages(&study, &handout);
    let theme: &Theme = args.theme.theme();
    write_pages(format, pages.into_iter(), theme, (&args.output, &args.source), out)?;
    Ok(0)
}

/// The places of the levels that were typed, from the highest string.
pub(super) fn levels_named(study: &Study, typed: &[String]) -> Result<Vec<u8>, Failure> {
    let names: Vec<&str> = study.analysis().arm_path.fan.all().map(|level| level.name.as_str()).collect();
    let place = |typed: &String| {
        let found = names.iter().position(|name| name.eq_ignore_ascii_case(typed.trim()));
        found.and_then(|place| u8::try_from(place).ok()).ok_or_else(|| {
            Failure(format!("--levels {typed}: this instrument has the levels {}", names.join(", ")))
        })
    };
    typed.iter().map(place).collect()
}

impl Start {
    /// The handout that was asked for; none where none was.
    fn made(&self, study: &Study) -> Result<Option<Handout>, Failure> {
        let (score, analysis) = (&study.lesson().score, study.analysis());
        let bars = |option: &str, typed: &str| {
            score.bars_named(typed).map_err(|error| Failure(format!("{option} {typed}: {error}")))
        };
        if let Some(typed) = &self.bars {
            return Ok(Some(of_passage(study, bars("--bars", typed)?)));
        }
        if let Some(number) = self.finding {
            let told = &analysis.findings.told;
            let finding = number.checked_sub(1).and_then(|index| told.get(index)).ok_or_else(|| {
                Failure(match told.len() {
                    0 => format!("--finding {number}: nothing was found in this part"),
                    count => format!("--finding {number}: check finds 1 to {count} in this part"),
                })
            })?;
            return Ok(Some(of_finding(study, finding, &remedies(study, finding))));
        }
        if !self.levels.is_empty() {
            let levels = levels_named(study, &self.levels)?;
            return Ok(Some(of_levels(study, &levels, ArmView::default())));
        }
        if let Some(typed) = &self.double_stop {
            let bars = bars("--double-stop", typed)?;
            let mut here = analysis.line.notes.iter().filter(|attack| bars.contains(&attack.bar));
            let attack = here
                .find(|attack| attack.notes.len() > 1)
                .ok_or_else(|| Failure(format!("--double-stop {typed}: no notes sound together there")))?;
            return Ok(Some(of_double_stop(study, attack.id())));
        }
        Ok(self.warm_up.then(|| warm_up(study)))
    }
}

impl HeadArgs {
    /// Puts what was given at the head; a handout without one gets one.
    fn put_on(&self, handout: &mut Handout) {
        if self.pupil.is_none() && self.teacher.is_none() && self.date.is_none() {
            return;
        }
        if !handout.entries.iter().any(|entry| matches!(entry.block, Block::Head(_))) {
            handout.entries.insert(0, Block::Head(Head::default()).into());
        }
        let head = handout.entries.iter_mut().find_map(|entry| match &mut entry.block {
            Block::Head(head) => Some(head),
            _ => None,
        });
        if let Some(head) = head {
            let given = [
                (&self.pupil, &mut head.pupil),
                (&self.teacher, &mut head.teacher),
                (&self.date, &mut head.date),
            ];
            for (given, place) in given {
                if let Some(given) = given {
                    place.clone_from(given);
                }
            }
        }
    }
}
