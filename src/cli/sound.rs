//! `sound`: a practice track as a WAV file.

use std::ops::RangeInclusive;

use crate::{
    analysis::Study,
    practice::Pace,
    score::{Pitch, figure},
    setup::TEMPO_SHARE,
    sound::{A4_HZ, Beats, Rounds, Temper, Track, Wishes, is_wave},
};

use super::{
    Failure,
    bars::bars_of,
    figures::{between, number, whole},
    input::{Source, load, print_report},
    output::{Output, write_pieces},
    progress::Progress,
    said::Results,
};

/// Most rounds of a track. Assumed.
const MOST_TIMES: u32 = 200;
/// Steps from tempo to tempo, quarter notes a minute. Assumed.
const STEPS: RangeInclusive<f64> = 0.5..=200.0;
/// Step from tempo to tempo that is taken without another, quarter notes a minute. Assumed.
const STEP: f64 = 4.0;

#[derive(clap::Args, Debug)]
pub(super) struct Args {
    #[command(flatten)]
    pub source: Source,
    /// Bars to be played, as 5-8; the whole part with its repeats otherwise
    #[arg(long, value_name = "BARS")]
    pub bars: Option<String>,
    /// Goes on round after round up to this tempo, in quarter notes a minute, from --tempo or the marked one
    #[arg(long, value_name = "QPM", value_parser = number, allow_negative_numbers = true)]
    pub up_to: Option<f64>,
    /// How much faster each tempo is than the one before it, quarter notes a minute
    #[arg(long, value_name = "QPM", requires = "up_to", default_value_t = STEP,
        value_parser = between(STEPS), allow_negative_numbers = true)]
    pub step: f64,
    /// How often the bars are played, at each tempo
    #[arg(long, value_name = "COUNT", default_value_t = 1, value_parser = whole(1..=MOST_TIMES), allow_negative_numbers = true)]
    pub times: u32,
    /// Bars counted before each time
    #[arg(long, value_name = "BARS", default_value_t = 1, value_parser = whole(0..=2_u8), allow_negative_numbers = true)]
    pub count_in: u8,
    /// What clicks
    #[arg(long, value_enum, default_value = "beats")]
    pub click: ClickChoice,
    /// Click and drone alone, for playing along
    #[arg(long)]
    pub no_tones: bool,
    /// A note that sounds throughout, as D3, or "key" for the first note of the key
    #[arg(long, value_name = "NOTE")]
    pub drone: Option<String>,
    /// Tuning note, Hz
    #[arg(long, value_name = "HZ", default_value_t = 440,
        value_parser = whole(A4_HZ.0 as u16..=A4_HZ.1 as u16), allow_negative_numbers = true)]
    pub a4: u16,
    /// Temperament
    #[arg(long, value_enum, default_value = "equal")]
    pub tuned: TemperChoice,
    #[command(flatten)]
    pub output: Output,
}

#[derive(clap::ValueEnum, Clone, Copy, Debug)]
pub(super) enum ClickChoice {
    /// Nothing
    None,
    /// The first beat of each bar
    Bars,
    /// Every beat
    Beats,
    /// Every beat and its parts
    Parts,
}

#[derive(clap::ValueEnum, Clone, Copy, Debug)]
pub(super) enum TemperChoice {
    /// Twelve equal half steps
    Equal,
    /// Pure thirds and fifths over the first note of the key
    Just,
    /// A row of pure fifths
    Fifths,
}

pub(super) fn run(args: &Args, out: &mut Results) -> Result<u8, Failure> {
    let wishes = wishes(args)?;
    let mut input = load(&args.source)?;
    let rounds = rounds(args, &mut input.lesson)?;
    let study = Study::new(input.lesson);
    print_report(&input.report, &study.analysis().findings.notices);
    let score = &study.lesson().score;
    let track = match (&args.bars, rounds.times) {
        (Some(typed), _) => Track::rounds(&study, bars_of(score, typed)?, &wishes, rounds),
        (None, 1) => Track::whole(&study, &wishes, rounds.count_in),
        (None, _) => {
            return Err(Failure(
                "--times and --up-to are for a passage; choose one with --bars 5-8".to_owned(),
            ));
        }
    };
    let seconds = track.seconds();
    let Some(mut wave) = track.wave() else {
        return Err(Failure(format!(
            "the track would last {:.0} hours, longer than a WAV file can be; choose fewer --bars or --times",
            seconds / 3600.0
        )));
    };
    args.output.over.check(&args.output.path, &args.source, is_wave)?;
    let mut progress = Progress::new("making the track");
    write_pieces(&args.output.path, &mut |write| {
        while let Some(piece) = wave.next_piece() {
            write(piece)?;
            progress.tell(wave.done_part());
        }
        Ok(())
    })?;
    let (minutes, seconds) = (seconds as u64 / 60, seconds as u64 % 60);
    out.print(&format!("{}: {minutes} min {seconds} s\n", args.output.path.display()));
    Ok(0)
}

fn wishes(args: &Args) -> Result<Wishes, Failure> {
    let plain = Wishes::default();
    let (click, beats) = match args.click {
        ClickChoice::None => (0, plain.beats),
        ClickChoice::Bars => (plain.click, Beats::Bars),
        ClickChoice::Beats => (plain.click, Beats::Beats),
        ClickChoice::Parts => (plain.click, Beats::Parts),
    };
    let drone_midi = match args.drone.as_deref() {
        None | Some("key") => None,
        Some(name) => {
            let midi = Pitch::from_name(name).map(Pitch::midi).filter(|midi| (21.0..=108.0).contains(midi));
            let midi = midi.ok_or_else(|| {
                Failure(format!("--drone {name}: give a note with its octave, as D3 or Bb2, or key"))
            })?;
            Some(midi.round() as u8)
        }
    };
    Ok(Wishes {
        click,
        beats,
        tone: if args.no_tones { 0 } else { plain.tone },
        a4_hz: args.a4,
        temper: match args.tuned {
            TemperChoice::Equal => Temper::Equal,
            TemperChoice::Just => Temper::Just,
            TemperChoice::Fifths => Temper::Fifths,
        },
        is_droning: args.drone.is_some(),
        drone_midi,
        ..plain
    })
}

/// How often and how fast; the lesson is set to the fastest tempo, whose bow all of them have.
fn rounds(args: &Args, lesson: &mut crate::lesson::Lesson) -> Result<Rounds, Failure> {
    let marked = lesson.score.tempo_map().qpm_at(crate::score::Quarters::ZERO);
    let from = marked * lesson.setup.tempo_share;
    let (mut pace, mut tempos) = (Pace::EVEN, 1);
    if let Some(goal) = args.up_to {
        let (least, most) = (from, marked * TEMPO_SHARE.1);
        if !(goal > least && goal <= most) {
            return Err(Failure(format!(
                "--up-to {} is out of range; it begins at {from:.0}, and goes up to {most:.0} at most",
                figure(goal)
            )));
        }
        lesson.setup.tempo_share = goal / marked;
        pace = Pace { first: from / goal, step: args.step / goal, each: args.times };
        tempos = pace.tempos();
    }
    let times = args.times.saturating_mul(tempos);
    if !(1..=MOST_TIMES).contains(&times) {
        return Err(Failure(format!(
            "the bars would be played {times} times; 1 to {MOST_TIMES} are possible"
        )));
    }
    Ok(Rounds { times, pace, count_in: args.count_in })
}
