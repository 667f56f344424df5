//! `handout`: what the pupil takes home, on pages. The ending of the file chooses the format.

use std::path::{Path, PathBuf};

use crate::{
    advice::remedies,
    analysis::Study,
    exchange::{Opened, lesson_file, open_file, sentence},
    lesson::{
        Lesson,
        handout::{ArmView, Before, Block, Handout, Head, Leaf, Readers},
    },
    picture::handout::{block, inner_width_mm, pages},
    practice::handout::{of_double_stop, of_finding, of_levels, of_passage, of_versions, warm_up},
};

use super::{
    Failure,
    figures::{between, place, whole},
    input::{Source, study},
    looks::{GroundChoice, PaperChoice, ThemeChoice, WIDTHS_MM, levels_named},
    output::{Output, write_file},
    pages::{format_of, write_pages},
    said::Results,
};

#[derive(clap::Args, Debug)]
pub(super) struct Args {
    #[command(flatten)]
    pub source: Source,
    #[command(flatten)]
    pub output: Output,
    /// A page for these bars, as 5-8: the music, what to watch, a table for practising; with --warm-up the movement
    /// that it is for, as II:1
    #[arg(long, value_name = "BARS", conflicts_with_all = ["finding", "levels", "double_stop", "since"])]
    pub bars: Option<String>,
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
    /// One block alone as a drawing, by its number on the handout, on a clear ground
    #[arg(long, value_name = "NUMBER", value_parser = place, allow_negative_numbers = true)]
    pub block: Option<usize>,
    /// How wide the block is drawn, mm; as on its page otherwise
    #[arg(long, value_name = "MM", requires = "block", value_parser = between(WIDTHS_MM), allow_negative_numbers = true)]
    pub width: Option<f64>,
    /// The ground; clear of a block, paper otherwise
    #[arg(long, value_enum)]
    pub ground: Option<GroundChoice>,
    /// Also save the lesson with this handout, as a lesson file
    #[arg(long, value_name = "LESSON")]
    pub save: Option<PathBuf>,
    /// Colours
    #[arg(long, value_enum, default_value = "print")]
    pub theme: ThemeChoice,
}

/// A handout made in one step, in place of the one in the lesson.
#[derive(clap::Args, Debug)]
#[group(multiple = false)]
pub(super) struct Start {
    /// A page for a finding, by its number in what `check` prints: what helps, before and after
    #[arg(long, value_name = "NUMBER", value_parser = place, allow_negative_numbers = true)]
    pub finding: Option<usize>,
    /// A page for these levels of the arm, as D,A or D,D+A: the player and the bridge
    #[arg(long, value_name = "LEVELS", value_delimiter = ',')]
    pub levels: Vec<String>,
    /// A page for the first double stop of this bar: fingers, bow, weight, and the way up to it
    #[arg(long, value_name = "BAR")]
    pub double_stop: Option<String>,
    /// A page for what has changed since an earlier version of the lesson: both over one another, every change in words
    #[arg(long, value_name = "LESSON")]
    pub since: Option<PathBuf>,
    /// A warm-up for the piece in so many minutes, 10 where no number is given: the scale and the arpeggio of its key,
    /// its slurs, strokes, crossings and double stops, each with its time and what it is for; of several movements the
    /// first, or that of --bars
    #[arg(long, value_name = "MINUTES", num_args = 0..=1, default_missing_value = "10",
        value_parser = whole(1..=60_u8), allow_negative_numbers = true)]
    pub warm_up: Option<u8>,
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

pub(super) fn run(args: &Args, out: &mut Results) -> Result<u8, Failure> {
    // Before any work is done.
    let format = format_of(&args.output.path)?;
    let study = study(&args.source)?;
    let mut handout = match args.start.made(&study, args.bars.as_deref())? {
        Some(handout) => handout,
        None if study.lesson().handout.is_empty() => {
            return Err(Failure(
                "this lesson has no handout; --bars 5-8, --finding 1, --levels D,A, --double-stop 7, --since LESSON or --warm-up makes one"
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
    let files = (&args.output, &args.source);
    let ground = |usual: GroundChoice| args.ground.unwrap_or(usual).of(args.theme.theme());
    if let Some(number) = args.block {
        let entry = number.checked_sub(1).and_then(|index| handout.entries.get(index)).ok_or_else(|| {
            Failure(format!("--block {number}: the handout has the blocks 1 to {}", handout.entries.len()))
        })?;
        let width = args.width.unwrap_or_else(|| inner_width_mm(&handout));
        let block = block(&study, &entry.block, handout.readers, width);
        write_pages(format, std::iter::once(block), &ground(GroundChoice::Clear), files, out)?;
    } else {
        let pages = pages(&study, &handout).into_iter();
        write_pages(format, pages, &ground(GroundChoice::Paper), files, out)?;
    }
    if let Some(path) = &args.save {
        save(&study, handout, path, args, out)?;
    }
    Ok(0)
}

/// Saves the lesson with the handout.
fn save(study: &Study, handout: Handout, path: &Path, args: &Args, out: &mut Results) -> Result<(), Failure> {
    args.output.over.check(path, &args.source, lesson_file::is_lesson)?;
    let lesson = Lesson { handout: handout.into(), ..study.lesson().clone() };
    let text = lesson_file::write(&lesson).map_err(|error| Failure::from_error(&error))?;
    write_file(path, text.as_bytes())?;
    out.print(&format!("{}\n", path.display()));
    Ok(())
}

impl Start {
    /// The handout that was asked for, with bars where they were given; none where none was.
    fn made(&self, study: &Study, typed: Option<&str>) -> Result<Option<Handout>, Failure> {
        let (score, analysis) = (&study.lesson().score, study.analysis());
        let bars = |option: &str, typed: &str| {
            score.bars_named(typed).map_err(|error| Failure(format!("{option} {typed}: {error}")))
        };
        let given = typed.map(|typed| bars("--bars", typed)).transpose()?;
        if let Some(minutes) = self.warm_up {
            return Ok(Some(warm_up(study, given.map_or(0, |bars| bars.start), minutes)));
        }
        if let Some(bars) = given {
            return Ok(Some(of_passage(study, bars)));
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
        if let Some(path) = &self.since {
            let told = |why: &str| Failure(format!("--since {}: {why}", path.display()));
            let earlier = match open_file(path) {
                Ok(Opened::Lesson(lesson, _)) => lesson,
                Ok(Opened::Score(_)) => return Err(told("this is a score; give a lesson file")),
                Err(error) => return Err(told(&sentence(&error))),
            };
            let before = Before::of("as it was", study.lesson(), &earlier);
            let made = of_versions(study, before);
            return made.map(Some).ok_or_else(|| told("nothing is different there"));
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
        Ok(None)
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
