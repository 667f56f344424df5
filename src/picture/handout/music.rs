//! Passages: staff, way of the bow, levels and curves on one axis.

use std::ops::Range;

use super::{Made, Missing, Music, Press, leaf::repeated, slab::Slab};
use crate::{
    analysis::{Quantity, Study},
    bowing::Density,
    lesson::{Lesson, handout::Shown},
    picture::{
        OtherPath, Picture, Role, System, bow_signs, breaking::even_lines, curve_lane,
        hair_map::fitting_hair_map, header_width_mm, legend::Sign, level_lanes, staff,
    },
    practice::{Practised, double_stop_ladder, passage_exercise},
    score::{Attack, EventId, Note, sentence_case},
};

/// Room for names at the left of the hair map and the levels, mm.
const NAMES_MM: f64 = 15.0;
/// Height of the hair, and of a curve, mm.
const HAIR_MM: f64 = 25.0;
const CURVE_MM: f64 = 20.0;
/// Music is stretched at most by this factor to fill a line. Assumed.
const MOST_STRETCH: f64 = 2.4;
/// Most marks that are read one by one to those who do not see them. Assumed.
const MOST_READ: usize = 12;

/// What is drawn of a passage.
pub(super) struct Drawn<'a> {
    pub study: &'a Study,
    pub music: &'a Music,
    pub bars: Range<usize>,
    pub pencil: Density,
    pub places: bool,
    pub hair: bool,
    pub levels: bool,
    pub curve: Option<Quantity>,
    pub other: Option<OtherPath<'a>>,
}

impl<'a> Drawn<'a> {
    /// The staff of some bars alone.
    pub fn staff(study: &'a Study, music: &'a Music, bars: Range<usize>) -> Self {
        let (places, hair, levels, curve, other) = (false, false, false, None, None);
        Self { study, music, bars, pencil: Density::None, places, hair, levels, curve, other }
    }
}

impl Press<'_> {
    /// The bars of that name.
    pub(super) fn bars(&self, typed: &str) -> Result<Range<usize>, Missing> {
        let score = &self.study.lesson().score;
        score.bars_named(typed.trim()).map_err(|_| {
            let many = typed.contains('-');
            let words = match (typed.trim(), many) {
                ("", _) => "No bars are chosen here.".to_owned(),
                (typed, true) => format!("Bars {typed} are not in this music."),
                (typed, false) => format!("Bar {typed} is not in this music."),
            };
            Missing(words)
        })
    }

    pub(super) fn passage(&self, bars: &str, shown: &Shown, width_mm: f64) -> Made {
        let bars = self.bars(bars)?;
        let curve = match &shown.curve {
            None => None,
            Some(id) => match Quantity::from_id(id) {
                Some(quantity) => Some(quantity),
                None => return Err(Missing(format!("There is no curve called {id}."))),
            },
        };
        let pencil = if shown.pencil { Density::Worth } else { Density::None };
        let &Shown { places, hair, levels, .. } = shown;
        let drawn =
            Drawn { pencil, places, hair, levels, curve, ..Drawn::staff(self.study, &self.music, bars) };
        Ok(self.lines_of(&drawn, width_mm))
    }

    /// The lines of a passage, each a slab.
    pub(super) fn lines_of(&self, drawn: &Drawn, width_mm: f64) -> Vec<Slab> {
        let score = &drawn.study.lesson().score;
        let Music { engraving, axis } = drawn.music;
        let factor = self.look.drawing;
        let wide = width_mm / factor;
        let has_names = drawn.hair || drawn.levels || drawn.curve.is_some();
        let names = if has_names { NAMES_MM } else { 0.0 };
        let head = |first: usize| header_width_mm(score, first).max(names);
        let lines = even_lines(score, engraving, axis, drawn.bars.clone(), &|first| wide - head(first));
        let mut slabs = Vec::new();
        for bars in lines {
            let Some(span) = score.span_of(&bars) else { continue };
            let left = head(bars.start);
            let natural = axis.barline_x(span.end) - axis.barline_x(span.start) + axis.notice_mm(span.end);
            let right = wide.min(left + natural.max(1.0) * MOST_STRETCH);
            let system = System::fitted(axis, (span.start, span.end), 0.0, (left, right));
            let mut slab = line_of(drawn, &system);
            let words = words_of(drawn, &bars, &system);
            slab.picture = slab.picture.scaled(factor).read_as(Role::Figure(words));
            slab.gap_mm = if slabs.is_empty() { 0.9 } else { 0.8 } * self.look.gap_mm();
            slabs.push(slab);
        }
        slabs
    }

    /// The way up to the notes that sound together at a note.
    pub(super) fn step_by_step(&self, note: EventId, width_mm: f64) -> Made {
        let lesson = self.study.lesson();
        let pairs: Vec<[Note; 2]> =
            self.sounding(note)?.notes.windows(2).map(|two| [two[0].clone(), two[1].clone()]).collect();
        let Some(exercise) = double_stop_ladder(lesson, &pairs) else {
            return Err(Missing("These notes do not lie in the hand together.".to_owned()));
        };
        Ok(self.exercise(exercise, width_mm))
    }

    /// The notes that sound together at a note.
    pub(super) fn sounding(&self, note: EventId) -> Result<&Attack, Missing> {
        let line = &self.study.analysis().line;
        let missing = |words: &str| Missing(words.to_owned());
        let attack = line.note_of(note).map(|note| &line.notes[note]);
        let attack =
            attack.ok_or_else(|| missing("The notes that stood here are not in the music any more."))?;
        if attack.notes.len() < 2 {
            return Err(missing("Only one note sounds here."));
        }
        Ok(attack)
    }

    /// An exercise made from some bars, with its name and what it is for.
    pub(super) fn passage_exercise(&mut self, bars: &str, practised: &str, width_mm: f64) -> Made {
        let bars = self.bars(bars)?;
        let kind = Practised::from_id(practised)
            .ok_or_else(|| Missing(format!("There is no exercise called {practised}.")))?;
        let made = passage_exercise(self.study, bars, kind);
        let made = made.map_err(|why| Missing(format!("{}: {why}.", sentence_case(kind.words()))))?;
        let mut slabs =
            self.words(&format!("*{}.* {}", sentence_case(kind.words()), kind.purpose()), width_mm);
        slabs.iter_mut().for_each(|slab| slab.keeps = true);
        slabs.extend(self.exercise(made, width_mm));
        slabs.iter_mut().for_each(|slab| slab.cautions.extend(repeated()));
        Ok(slabs)
    }

    /// A scale in the key of some bars.
    pub(super) fn scale(&self, bars: &str, width_mm: f64) -> Made {
        let bars = self.bars(bars)?;
        let scale = |kind| passage_exercise(self.study, bars.clone(), kind);
        let made = scale(Practised::ScaleSlurred).or_else(|_| scale(Practised::ScaleSingle));
        let made = made.map_err(|why| Missing(sentence_case(&why) + "."))?;
        Ok(self.exercise(made, width_mm))
    }

    /// An exercise on the staff. On which string a note is, its finger and the words over it say.
    fn exercise(&self, mut exercise: Lesson, width_mm: f64) -> Vec<Slab> {
        let bare = |note: &Note| Note { string: None, ..note.clone() };
        for event in &mut exercise.score.events {
            event.notes = event.notes.iter().map(bare).collect();
        }
        let study = Study::new(exercise);
        let score = &study.lesson().score;
        let music = Music::new(score);
        self.lines_of(&Drawn::staff(&study, &music, 0..score.bars.len()), width_mm)
    }
}

/// A line of music with all that is asked for under it.
fn line_of(drawn: &Drawn, system: &System) -> Slab {
    let study = drawn.study;
    let staff = staff(study, &drawn.music.engraving, system, drawn.pencil, 1.0).picture;
    let signs = drawn.places.then(|| bow_signs(study, system));
    let mut parts: Vec<Picture> = signs.into_iter().chain([staff]).collect();
    if drawn.hair {
        parts.push(fitting_hair_map(study, system, drawn.other, HAIR_MM).picture);
    }
    if drawn.levels {
        parts.push(level_lanes(study, system));
    }
    let mut slab = Slab { signs: parts.iter().flat_map(Sign::on).collect(), ..Slab::default() };
    if let Some(quantity) = drawn.curve {
        parts.push(curve_lane(study, system, quantity, CURVE_MM));
    }
    let height = parts.iter().map(|part| part.height_mm).sum();
    slab.picture = Picture::new(system.right_mm, height);
    let mut y = 0.0;
    for part in parts {
        let height = part.height_mm;
        slab.picture.place(part, (0.0, y));
        y += height;
    }
    slab
}

/// What a line shows, for those who do not see it.
fn words_of(drawn: &Drawn, bars: &Range<usize>, system: &System) -> String {
    let (score, analysis) = (&drawn.study.lesson().score, drawn.study.analysis());
    let sections = score.bar_sections();
    let name = |bar: usize| score.bar_name(bar, &sections);
    let mut words =
        format!("{} on the staff", sentence_case(&name(bars.start).words_to(&name(bars.end - 1))));
    let marks = &drawn.study.pencil().marks;
    let here = marks.iter().filter(|mark| system.shows(mark.at) && drawn.pencil.shows(mark.weight));
    let marks: Vec<String> =
        here.map(|mark| format!("{}, {}", mark.text, mark.place.short())).take(MOST_READ).collect();
    if !marks.is_empty() {
        words += &format!(", with the pencil marks {}", marks.join("; "));
    }
    if drawn.places {
        words += "; over it little bows with the hair that each stroke takes";
    }
    if drawn.hair {
        let notes = 0..analysis.bowing.notes.len();
        let shown = notes.filter(|k| system.shows(analysis.note(*k).onset));
        let ends = shown.map(|k| analysis.plan.places_mm(k)).flat_map(|(from, to)| [from, to]);
        let (least, most) = ends.fold((f64::INFINITY, 0.0_f64), |(l, m), mm| (l.min(mm), m.max(mm)));
        if least <= most {
            let [least, most] = [least, most].map(|mm| format!("{:.0}", mm / 10.0));
            words += &format!("; under it the way of the bow, between {least} and {most} cm from the frog");
        }
        if let Some(other) = drawn.other {
            words += &format!(", and dashed as it is {}", other.words);
        }
    }
    if drawn.levels {
        words += "; under it the levels of the bow arm";
    }
    if let Some(quantity) = drawn.curve {
        words += &format!("; under it the curve of the {}, in {}", quantity.words(), quantity.unit_words());
    }
    words + "."
}
