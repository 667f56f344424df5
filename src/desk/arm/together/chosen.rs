//! The notes that are looked at together.

use crate::{
    analysis::{Analysis, Study},
    arm::{Together, together},
    desk::state::view::View,
    lesson::Lesson,
    score::{Dynamic, EventId, Note},
};

/// Least and most notes taken together.
pub const FEWEST: usize = 2;
pub const MOST: usize = 4;
/// Longest chord, s.
pub const LONGEST_S: f64 = 20.0;

/// The notes that are looked at.
#[derive(Clone, Debug, PartialEq)]
pub struct TogetherDesk {
    /// The notes, lowest first.
    pub notes: Vec<Note>,
    /// Where in the music they come from; none once one of them was changed.
    pub place: Option<EventId>,
    /// How long a chord sounds, s.
    pub seconds: f64,
    /// How loud.
    pub dynamic: Dynamic,
    /// Which of its bow planes is shown, counted from the first.
    pub plane: usize,
}

impl Default for TogetherDesk {
    fn default() -> Self {
        Self { notes: Vec::new(), place: None, seconds: 1.0, dynamic: Dynamic::Mf, plane: 0 }
    }
}

impl TogetherDesk {
    /// Looks at what is chosen, else at what sounds now, else at the nearest double stop from there
    /// on; without any at the two strings in the middle.
    pub fn open(&mut self, study: &Study, view: &View, now: Option<usize>) {
        let (lesson, analysis) = (study.lesson(), study.analysis());
        let chosen = view.chosen_notes(analysis).into_iter().find(|attack| attack.notes.len() >= FEWEST);
        let chosen = chosen.map(|attack| attack.id());
        let from = now.unwrap_or(analysis.line.notes.len());
        let next = places(analysis).into_iter().find(|(index, _)| *index >= from).map(|(_, id)| id);
        match chosen.or(next).or(self.place).or_else(|| places(analysis).last().map(|(_, id)| *id)) {
            Some(id) => self.take(study, id),
            None if self.notes.is_empty() => {
                let strings = &lesson.setup.instrument.strings;
                let middle = strings.len() / 2;
                let pair = strings.iter().skip(middle.saturating_sub(1)).take(2).rev();
                self.set(pair.map(|string| Note::new(string.pitch)).collect());
            }
            None => {}
        }
    }

    /// Takes the notes of an attack.
    pub fn take(&mut self, study: &Study, id: EventId) {
        let analysis = study.analysis();
        let Some(index) = analysis.line.note_of(id) else { return };
        let attack = &analysis.line.notes[index];
        self.set(attack.notes.clone());
        self.place = Some(id);
        let seconds = analysis.seconds_at(attack.end()) - analysis.seconds_at(attack.onset);
        self.seconds = seconds.clamp(0.05, LONGEST_S);
        let level = analysis.line.dynamics.level(attack.onset.to_f64()).round();
        self.dynamic = Dynamic::ALL[(level.max(0.0) as usize).min(Dynamic::ALL.len() - 1)];
    }

    pub fn set(&mut self, mut notes: Vec<Note>) {
        notes.truncate(MOST);
        notes.sort_by(|a, b| a.pitch.midi().total_cmp(&b.pitch.midi()));
        (self.notes, self.place) = (notes, None);
    }

    /// What is known of them.
    pub fn look(&self, lesson: &Lesson) -> Together {
        together(&lesson.setup, &self.notes, self.seconds)
    }

    /// The level of the bow that is shown, by its index.
    pub fn level(&self, lesson: &Lesson) -> Option<usize> {
        let found = self.look(lesson);
        let pairs = if found.problem.is_some() { Vec::new() } else { found.pairs };
        pairs.get(self.plane.min(pairs.len().saturating_sub(1))).map(|pair| pair.plane.index())
    }
}

/// All double stops and chords of the music: index into the line, and identity.
pub fn places(analysis: &Analysis) -> Vec<(usize, EventId)> {
    let several = analysis.line.notes.iter().enumerate().filter(|(_, attack)| attack.notes.len() >= FEWEST);
    several.map(|(index, attack)| (index, attack.id())).collect()
}
