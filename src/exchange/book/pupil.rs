//! A pupil as the book holds one.

use std::{
    cmp::Reverse,
    path::{Path, PathBuf},
};

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::setup::{Body, Bow, Hold, Instrument, Player, Setup};

/// Most letters of a name. Assumed.
pub const MOST_LETTERS: usize = 80;
/// Most letters of a line of notes. Assumed: some lines of a page.
const MOST_OF_NOTE: usize = 600;
/// Most lessons of a pupil, and days of a lesson. Assumed: some decades of weeks.
const MOST_LISTED: usize = 2000;

/// A pupil: the figures to plan for, and what was worked on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pupil {
    /// The name, as the teacher calls the pupil.
    pub name: String,
    /// The figures; none where they were not kept yet.
    #[serde(default)]
    pub figures: Option<Figures>,
    /// The lessons, that of the latest day first.
    #[serde(default)]
    pub lessons: Vec<Listed>,
}

/// What a plan for a pupil starts from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Figures {
    /// Player.
    pub player: Player,
    /// Bow.
    pub bow: Bow,
    /// Instrument; none where only player and bow were kept, and all below are not meant either.
    #[serde(default)]
    pub instrument: Option<Instrument>,
    /// The player's body.
    #[serde(default)]
    pub body: Body,
    /// How the instrument is held; none: as is usual for it.
    #[serde(default)]
    pub hold: Option<Hold>,
    /// Instrument and bow change hands.
    #[serde(default)]
    pub left_handed: bool,
}

/// A lesson in the list of a pupil.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Listed {
    /// The title of its music.
    pub title: String,
    /// Its file; one in the folder of the book from there.
    pub file: PathBuf,
    /// The days it was worked on, the latest first.
    #[serde(default)]
    pub days: Vec<Day>,
}

/// A day on which a lesson was worked on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Day {
    /// The day.
    pub date: Date,
    /// The tempo reached, quarter notes a minute.
    #[serde(default)]
    pub tempo: Option<u16>,
    /// The marked tempo at that place, quarter notes a minute.
    #[serde(default)]
    pub marked: Option<u16>,
    /// What is to be remembered.
    #[serde(default)]
    pub note: String,
}

impl Figures {
    /// Those of a set-up.
    pub fn of(setup: &Setup) -> Self {
        Self {
            player: setup.player.clone(),
            bow: setup.bow.clone(),
            instrument: Some(setup.instrument.clone()),
            body: setup.body.clone(),
            hold: setup.hold.clone(),
            left_handed: setup.left_handed,
        }
    }

    /// The set-up for this pupil; school and practice tempo stay.
    pub fn onto(&self, setup: &Setup) -> Setup {
        let (player, bow) = (self.player.clone(), self.bow.clone());
        match &self.instrument {
            None => Setup { player, bow, ..setup.clone() },
            Some(instrument) => Setup {
                player,
                bow,
                instrument: instrument.clone(),
                body: self.body.clone(),
                hold: self.hold.clone(),
                left_handed: self.left_handed,
                ..setup.clone()
            },
        }
    }
}

impl Pupil {
    /// The set-up for this pupil, under the pupil's name; none where no figures are kept.
    pub fn onto(&self, setup: &Setup) -> Option<Setup> {
        let mut setup = self.figures.as_ref()?.onto(setup);
        setup.player.name.clone_from(&self.name);
        Some(setup)
    }

    /// The latest day on which anything was worked on.
    pub fn last(&self) -> Option<Date> {
        self.lessons.iter().filter_map(Listed::last).max()
    }

    /// The lesson of this file, in a book of this folder.
    pub fn listed(&self, folder: &Path, lesson: &Path) -> Option<&Listed> {
        self.lessons.iter().find(|listed| folder.join(&listed.file) == lesson)
    }

    /// Writes down what was reached on a day with the lesson of a file, in a book of this folder; what was written
    /// down for that day before is replaced.
    pub fn write_down(&mut self, folder: &Path, title: &str, lesson: &Path, day: Day) {
        let file = lesson.strip_prefix(folder).unwrap_or(lesson).to_owned();
        let place = self.lessons.iter().position(|listed| folder.join(&listed.file) == lesson);
        let mut listed = place.map_or_else(
            || Listed { title: String::new(), file, days: Vec::new() },
            |at| self.lessons.remove(at),
        );
        listed.title = title.trim().to_owned();
        listed.days.retain(|known| known.date != day.date);
        listed.days.push(day);
        listed.days.sort_by_key(|day| Reverse(day.date));
        self.lessons.push(listed);
        self.lessons.sort_by_key(|listed| Reverse(listed.last()));
    }

    /// Takes the lesson of a file off the list; the file stays.
    pub fn take_off(&mut self, folder: &Path, lesson: &Path) {
        self.lessons.retain(|listed| folder.join(&listed.file) != lesson);
    }

    /// What cannot be, in a sentence; none where all is well.
    pub fn problem(&self) -> Option<String> {
        let is_long = |text: &str, most| text.chars().count() > most;
        if self.name.trim().is_empty() {
            return Some("give the pupil a name first".to_owned());
        }
        if is_long(&self.name, MOST_LETTERS) {
            return Some(format!("a name has at most {MOST_LETTERS} letters"));
        }
        if self.lessons.len() > MOST_LISTED
            || self.lessons.iter().any(|listed| listed.days.len() > MOST_LISTED)
        {
            return Some(format!("a list has at most {MOST_LISTED} lines"));
        }
        let mut days = self.lessons.iter().flat_map(|listed| &listed.days);
        if days.any(|day| is_long(&day.note, MOST_OF_NOTE)) {
            return Some(format!("a note has at most {MOST_OF_NOTE} letters"));
        }
        let figures = self.figures.as_ref()?;
        let usual = Setup::for_family(crate::setup::Family::Violin);
        figures.onto(&usual).problems().into_iter().next()
    }
}

impl Listed {
    /// The latest day.
    pub fn last(&self) -> Option<Date> {
        self.days.first().map(|day| day.date)
    }
}

impl Day {
    /// "72 of 96"; empty where no tempo was written down.
    pub fn tempo_words(&self) -> String {
        match (self.tempo, self.marked) {
            (Some(tempo), Some(marked)) if tempo != marked => format!("{tempo} of {marked}"),
            (Some(tempo), Some(_)) => format!("{tempo}, as marked"),
            (Some(tempo), None) => tempo.to_string(),
            (None, _) => String::new(),
        }
    }
}
