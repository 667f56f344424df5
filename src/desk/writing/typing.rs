//! Notes typed one after another. The caret stands behind the note that is selected: what is typed comes
//! there, and what is said of a note is said of the one before it.

use crate::{
    desk::command::write::{Put, Said, Side, Wait, WriteKey},
    lesson::{
        Edit, EditError, Lesson,
        change::{self, Moving},
    },
    score::{
        Attack, Dynamic, Event, EventId, Letter, NoteValue, Pitch, Quarters, SameBow, Shared, SignKind,
        Sudden, attack_of,
    },
};

/// What the next typed note will be, and what is open.
#[derive(Clone, Debug)]
pub struct Writing {
    /// Value of the next note, without its tuplet.
    pub value: NoteValue,
    /// The group the next notes belong to.
    pub group: Option<Group>,
    /// Notes are written over what is there; else later notes move on.
    pub over: bool,
    /// The key that is waited for.
    pub wait: Wait,
    /// The note at which the open slur began.
    pub slur: Option<EventId>,
    /// The note at which the open hairpin began, and whether it opens.
    pub hairpin: Option<(EventId, bool)>,
    /// The note at which the open octave line began, and the octaves it says.
    pub octaves: Option<(EventId, i8)>,
    /// What is being typed in a field.
    pub asked: Option<Asked>,
    /// The head that was written last is the lowest.
    lowest: bool,
    /// The note before the caret when the last key was carried out.
    at: Option<EventId>,
}

/// Notes in the time of others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Group {
    /// Actual and normal number of notes.
    pub numbers: (u16, u16),
    /// The value of which there are so many.
    unit: NoteValue,
    /// What is still to come of the group.
    left: Quarters,
    /// Another group follows.
    pub stays: bool,
}

/// What a field asks for.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// What it is for.
    pub what: Said,
    /// Typed so far.
    pub text: String,
    /// The field has had the focus.
    pub begun: bool,
}

impl Default for Writing {
    fn default() -> Self {
        Self {
            value: NoteValue::QUARTER,
            group: None,
            over: false,
            wait: Wait::No,
            slur: None,
            hairpin: None,
            octaves: None,
            asked: None,
            lowest: true,
            at: None,
        }
    }
}

impl Group {
    /// So many of a value in the time of as many as the trade takes for it: common practice, no source.
    pub fn new(actual: u16, unit: NoteValue) -> Self {
        let normal = match actual {
            2 => 3,
            3 => 2,
            4 => 3,
            5..=7 => 4,
            8 => 6,
            _ => 8,
        };
        let left = unit.length() * Quarters::from(i64::from(normal));
        Self { numbers: (actual, normal), unit, left, stays: false }
    }

    fn has_begun(self) -> bool {
        self.left != Self::new(self.numbers.0, self.unit).left
    }

    /// How many of its value are still to come.
    pub fn to_come(self) -> Quarters {
        self.left / NoteValue { tuplet: Some(self.numbers), ..self.unit }.length()
    }
}

impl Writing {
    /// The value of the next note.
    pub fn next_value(&self) -> NoteValue {
        NoteValue { tuplet: self.group.map(|group| group.numbers), ..self.value }
    }

    /// The caret stands behind this note; what was open at another place ends.
    pub fn stand_at(&mut self, before: Option<EventId>) {
        if self.at != before {
            (self.group, self.slur, self.hairpin, self.octaves) = (None, None, None, None);
            self.lowest = true;
            self.at = before;
        }
    }

    /// The caret has gone on behind this note; what is open goes along.
    pub fn stay_at(&mut self, before: Option<EventId>) {
        self.at = before;
    }

    /// What waits for one more key, or for words, waits no longer; false where nothing did.
    pub fn never_mind(&mut self) -> bool {
        let waited = self.wait != Wait::No || self.asked.is_some();
        (self.wait, self.asked) = (Wait::No, None);
        waited
    }

    /// Takes in words that were typed before their field had the focus; gives them all when a line end came.
    pub fn typed(&mut self, text: &str) -> Option<(Said, String)> {
        let asked = self.asked.as_mut()?;
        if text != "\n" {
            asked.text += text;
            return None;
        }
        self.asked.take().map(|asked| (asked.what, asked.text))
    }

    /// Does what a key asks for that changes no note; false where it is about notes.
    pub fn prepare(&mut self, key: WriteKey) -> bool {
        self.wait = Wait::No;
        match key {
            WriteKey::Value(log2_whole) => self.value = NoteValue::plain(log2_whole),
            WriteKey::Dot => self.value.dots = u8::from(self.value.dots == 0),
            WriteKey::Triplet => {
                self.group = match self.group {
                    None => Some(Group::new(3, NoteValue { dots: 0, ..self.value })),
                    Some(group) if !group.stays && !group.has_begun() => Some(Group { stays: true, ..group }),
                    Some(_) => None,
                }
            }
            WriteKey::Tuplet(actual) => {
                self.group = Some(Group::new(actual, NoteValue { dots: 0, ..self.value }));
            }
            WriteKey::Over => self.over = !self.over,
            WriteKey::Wait(wait) => self.wait = wait,
            WriteKey::AskDynamic | WriteKey::AskWords => {
                let what = if key == WriteKey::AskDynamic { Said::Dynamic } else { Said::Words };
                self.asked = Some(Asked { what, text: String::new(), begun: false });
            }
            _ => return false,
        }
        true
    }

    /// The edit a key asks for. `before` is the note or rest before the caret.
    ///
    /// # Errors
    /// Why it cannot be made, in words.
    pub fn edit(&self, lesson: &Lesson, before: Option<EventId>, key: WriteKey) -> Result<Edit, EditError> {
        let note =
            || before.ok_or_else(|| EditError("Type a note first; this belongs to the note before".into()));
        match key {
            WriteKey::Note(letter) => self.put(lesson, before, &[near(lesson, before, letter)], None),
            WriteKey::Rest => self.put(lesson, before, &[], None),
            WriteKey::Tie => self.keep_on(lesson, note()?),
            WriteKey::Second(letter, side) => {
                let id = note()?;
                change::add_note(lesson, id, beyond(lesson, id, letter, side)?)
            }
            WriteKey::Alter(by) => {
                let id = note()?;
                let heads = lesson.score.event(id).map_or(0, |event| event.notes.len());
                change::alter(lesson, id, if self.lowest { 0 } else { heads.saturating_sub(1) }, by)
            }
            WriteKey::Move { steps, half } => {
                let by = if half { Moving::HalfSteps(steps) } else { Moving::Steps(steps) };
                change::move_notes(lesson, &[note()?], by)
            }
            WriteKey::Put(put) => put_on(lesson, note()?, put),
            WriteKey::TakeBack => {
                let id = before.ok_or_else(|| EditError("There is nothing before to take back".into()))?;
                change::delete(lesson, &[id])
            }
            WriteKey::Slur
            | WriteKey::Hairpin
            | WriteKey::OctaveLine
            | WriteKey::Value(_)
            | WriteKey::Dot
            | WriteKey::Triplet
            | WriteKey::Tuplet(_)
            | WriteKey::Over
            | WriteKey::Wait(_)
            | WriteKey::AskDynamic
            | WriteKey::AskWords => Err(EditError("This key changes no note".into())),
        }
    }

    /// Takes in that a key was carried out: the group goes on, a rest ends a slur.
    pub fn done(&mut self, key: WriteKey) {
        match key {
            WriteKey::Note(_) | WriteKey::Rest | WriteKey::Tie => {
                let length = self.next_value().length();
                if let Some(group) = &mut self.group {
                    group.left = group.left - length;
                    if !group.left.is_positive() {
                        let next = Group { stays: true, ..Group::new(group.numbers.0, group.unit) };
                        self.group = Some(next).filter(|_| group.stays);
                    }
                }
                if key == WriteKey::Rest {
                    self.slur = None;
                }
                self.lowest = true;
            }
            WriteKey::Second(_, side) => self.lowest = side == Side::Under,
            _ => {}
        }
    }

    /// Begins a slur, a hairpin or an octave line at the note before the caret, or ends the open one.
    pub fn open_or_close(&mut self, key: WriteKey, before: EventId) -> String {
        if key == WriteKey::Slur {
            self.slur = if self.slur.is_none() { Some(before) } else { None };
            return if self.slur.is_some() { "A slur begins here" } else { "The slur ends here" }.to_owned();
        }
        if key == WriteKey::OctaveLine {
            let (octaves, words) = match self.octaves {
                None => (Some((before, 1)), "From here notes are printed an octave lower, with 8va"),
                Some((from, 1)) if from == before => {
                    (Some((from, -1)), "From here notes are printed an octave higher, with 8vb")
                }
                Some((from, _)) if from == before => (None, "No octave line"),
                Some(_) => (None, "The octave line ends here"),
            };
            self.octaves = octaves;
            return words.to_owned();
        }
        let (hairpin, words) = match self.hairpin {
            None => (Some((before, true)), "A hairpin opens from here"),
            Some((from, true)) if from == before => (Some((from, false)), "A hairpin closes from here"),
            Some((from, false)) if from == before => (None, "No hairpin"),
            Some(_) => (None, "The hairpin ends here"),
        };
        self.hairpin = hairpin;
        words.to_owned()
    }

    /// Puts a note, chord or rest behind a note, on a string where one is chosen, and draws the open slur,
    /// hairpin and octave line up to it.
    ///
    /// # Errors
    /// Why it cannot be put there, in words.
    pub fn put(
        &self,
        lesson: &Lesson,
        before: Option<EventId>,
        pitches: &[Pitch],
        string: Option<u8>,
    ) -> Result<Edit, EditError> {
        let value = self.next_value();
        let id = lesson.score.free_event_id();
        let edit = if self.over {
            change::write_over(lesson, before, value, pitches)?
        } else {
            change::insert(lesson, before, value, pitches)?
        };
        let mut next = edit.apply(lesson)?.0;
        if string.is_some() {
            next = change::set_string(&next, id, 0, string)?.apply(&next)?.0;
        }
        self.drawn_on(lesson, next, id, edit.what())
    }

    /// Ties the note to one more of the value chosen; where the next note has the same pitches already, to
    /// that one.
    fn keep_on(&self, lesson: &Lesson, id: EventId) -> Result<Edit, EditError> {
        let notes = lesson.score.event(id).map(|event| event.notes.clone()).unwrap_or_default();
        if notes.is_empty() {
            return Err(EditError("A rest is not tied; type one more rest".into()));
        }
        if let Ok(edit) = change::join_ties(lesson, id) {
            return Ok(edit);
        }
        let pitches: Vec<Pitch> = notes.iter().map(|note| note.pitch).collect();
        let longer = self.put(lesson, Some(id), &pitches, None)?.apply(lesson)?.0;
        let tied = change::join_ties(&longer, id)?.apply(&longer)?.0;
        Ok(Edit::between("Tie", lesson, &tied))
    }

    /// The edit that leads to the next lesson with the open slur, hairpin and octave line drawn up to its new
    /// note.
    fn drawn_on(
        &self,
        lesson: &Lesson,
        mut next: Lesson,
        new: EventId,
        what: &str,
    ) -> Result<Edit, EditError> {
        let is_rest = next.score.event(new).is_none_or(|event| event.is_rest());
        if let Some(from) = self.slur.filter(|from| !is_rest && next.score.event(*from).is_some()) {
            next = change::set_slur(&next, &[from, new], true)?.apply(&next)?.0;
        }
        if let Some((from, opens)) = self.hairpin
            && let (Some(from), Some(to)) = (next.score.event(from), last_of(&next, new))
        {
            next = change::set_hairpin(&next, from.onset, to, Some(opens))?.apply(&next)?.0;
        }
        if let Some((from, octaves)) = self.octaves
            && let (Some(from), Some(to)) = (next.score.event(from), last_of(&next, new))
        {
            next = change::set_octave_line(&next, from.onset, to, Some(octaves))?.apply(&next)?.0;
        }
        Ok(Edit::between(what, lesson, &next))
    }

    /// Takes in what was said of a note: a level ends the hairpin that leads there.
    pub fn has_said(&mut self, lesson: &Lesson, id: EventId, what: Said, text: &str) {
        let at = |id| lesson.score.event(id).map(|event| event.onset);
        let is_level = what == Said::Dynamic && Dynamic::from_mark(text.trim()).is_some();
        self.hairpin = self.hairpin.filter(|(from, _)| !(is_level && at(*from) < at(id)));
    }
}

/// What was typed into a field, as an edit on the note before the caret.
///
/// # Errors
/// When the words mean nothing there.
pub fn said(lesson: &Lesson, id: EventId, what: Said, text: &str) -> Result<Edit, EditError> {
    let Some(at) = lesson.score.event(id).map(|event| event.onset) else {
        return Err(EditError("Type a note first; this belongs to the note before".into()));
    };
    if what == Said::Words {
        return change::set_words(lesson, at, text);
    }
    let text = text.trim();
    if Sudden::from_letters(text).is_some() {
        return change::set_sudden(lesson, id, text);
    }
    let level = Dynamic::from_mark(text);
    if level.is_none() && !text.is_empty() {
        let words = "How loud is typed as it is printed: ppp, pp, p, mp, mf, f, ff, fff, sf or fp";
        return Err(EditError(words.into()));
    }
    let set = change::set_dynamic(lesson, at, level)?;
    let mut next = set.apply(lesson)?.0;
    // The hairpin that leads here ends where the new level stands.
    let reaching = next.score.signs.iter().find_map(|sign| match sign.kind {
        SignKind::Hairpin { opens, end, .. } if sign.at < at && end > at => Some((sign.at, opens)),
        _ => None,
    });
    if let Some((from, opens)) = reaching.filter(|_| level.is_some()) {
        next = change::set_hairpin(&next, from, at, Some(opens))?.apply(&next)?.0;
    }
    Ok(Edit::between(set.what(), lesson, &next))
}

/// Puts a mark on a note, or takes it off again.
fn put_on(lesson: &Lesson, id: EventId, put: Put) -> Result<Edit, EditError> {
    let attack = note_of(lesson, id)?;
    match put {
        Put::Bow(direction) => {
            change::set_bow(lesson, &[id], (attack.bow != Some(direction)).then_some(direction))
        }
        Put::Mark(mark) => change::set_mark(lesson, &[id], mark, !attack.marks.contains(&mark)),
        Put::Retake => change::set_retake(lesson, id, !attack.retake),
        Put::Tremolo(strokes) => {
            let is_so = lesson.score.event(id).is_some_and(|event| event.tremolo == Some(strokes));
            change::set_tremolo(lesson, &[id], (!is_so).then_some(strokes))
        }
        Put::TremoloBetween => change::tremolo_with_next(lesson, change::note_before(lesson, id)?),
        Put::Hook => {
            change::hook(lesson, id, (attack.same_bow != Some(SameBow::Hooked)).then_some(SameBow::Hooked))
        }
    }
}

fn note_of(lesson: &Lesson, id: EventId) -> Result<Attack, EditError> {
    attack_of(&lesson.score, id)
        .ok_or_else(|| EditError("This belongs to a note; a rest stands before the caret".into()))
}

/// Where a note with all that is tied to it ends, or a rest.
pub fn last_of(lesson: &Lesson, id: EventId) -> Option<Quarters> {
    match note_of(lesson, id) {
        Ok(attack) => Some(attack.end()),
        Err(_) => lesson.score.event(id).map(Event::end),
    }
}

/// The pitch on a letter that lies nearest to the note before, with the sharps and flats of the key and
/// of the bar; without a note before, nearest to the second open string.
pub fn near(lesson: &Lesson, before: Option<EventId>, letter: Letter) -> Pitch {
    let score = &lesson.score;
    let index = before.and_then(|id| score.events.iter().position(|event| event.id == id));
    let sounding = |event: &Shared<Event>| event.notes.last().map(|note| note.pitch);
    let last = index.and_then(|index| score.events[..=index].iter().rev().find_map(sounding));
    let strings = &lesson.setup.instrument.strings;
    let from = last.or_else(|| strings.get(1).or(strings.first()).map(|string| string.pitch));
    let from = from.map_or(28, Pitch::staff_step);
    let octave = (-1..=9).min_by_key(|octave| (octave * 7 + letter as i32 - from).abs()).unwrap_or(4);
    let at = before.and_then(|id| last_of(lesson, id)).unwrap_or(Quarters::ZERO);
    spelled(lesson, at, letter, octave as i8)
}

/// The pitch on a letter next above or below what sounds in a note.
fn beyond(lesson: &Lesson, id: EventId, letter: Letter, side: Side) -> Result<Pitch, EditError> {
    let event = lesson.score.event(id);
    let heads = event.map(|event| event.notes.as_slice()).unwrap_or_default();
    let head = if side == Side::Over { heads.last() } else { heads.first() };
    let (Some(head), Some(event)) = (head, event) else {
        return Err(EditError("A rest stands before the caret; type a note first".into()));
    };
    let from = head.pitch.staff_step();
    let mut octaves = -1..=9;
    let octave = match side {
        Side::Over => octaves.find(|octave| octave * 7 + letter as i32 > from),
        Side::Under => octaves.rfind(|octave| octave * 7 + (letter as i32) < from),
    };
    Ok(spelled(lesson, event.onset, letter, octave.unwrap_or(4) as i8))
}

/// The note at a height on the staff, counted in letters, as it sounds at a place without a sign.
pub fn at_height(lesson: &Lesson, at: Quarters, staff_step: i32) -> Pitch {
    let letter = Letter::ALL[staff_step.rem_euclid(7) as usize];
    spelled(lesson, at, letter, staff_step.div_euclid(7) as i8)
}

/// A letter as it sounds at a place without a sign of its own: the last sign on its line in the bar counts,
/// else the key (common practice, no source).
fn spelled(lesson: &Lesson, at: Quarters, letter: Letter, octave: i8) -> Pitch {
    let score = &lesson.score;
    let Some(bar) = score.bar_at(at).map(|index| &score.bars[index]) else {
        return Pitch::new(letter, 0.0, octave);
    };
    let in_bar = score.events.iter().rev().filter(|event| event.onset >= bar.start && event.onset < at);
    let heads = in_bar.flat_map(|event| &event.notes).map(|note| note.pitch);
    let signed = heads.into_iter().find(|pitch| (pitch.letter, pitch.octave) == (letter, octave));
    signed.unwrap_or_else(|| Pitch::new(letter, letter.alter_in_key(bar.key), octave))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lesson::demo::demo;

    #[test]
    fn a_letter_is_taken_in_the_octave_nearest_to_the_note_before() {
        let lesson = demo();
        let b4 = lesson
            .score
            .events
            .iter()
            .find(|event| event.notes.first().is_some_and(|note| note.pitch.name() == "B4"));
        let id = b4.map(|event| event.id);
        assert_eq!(near(&lesson, id, Letter::C).name(), "C5");
        assert_eq!(near(&lesson, id, Letter::F).name(), "F♯4");
    }

    /// Common practice, no source: a sign holds to the end of its bar, in its octave.
    #[test]
    fn a_sign_holds_to_the_end_of_its_bar() {
        use crate::{
            lesson::{Writer, change::new_passage},
            score::TimeSignature,
            setup::Family,
        };
        let empty = new_passage(Family::Violin, TimeSignature::new(3, 4), 0, 60.0);
        let quarter = NoteValue::QUARTER;
        let writer = Writer::new(empty).note("F#5", quarter).note("E5", quarter);
        let (lesson, notes) = writer.clone().finish().expect("written");
        assert_eq!(near(&lesson, Some(notes[1]), Letter::F).name(), "F♯5");
        assert_eq!(spelled(&lesson, Quarters::from(2), Letter::F, 4).name(), "F4");
        let (lesson, notes) = writer.note("E5", quarter).finish().expect("written");
        assert_eq!(near(&lesson, Some(notes[2]), Letter::F).name(), "F5", "in the next bar");
    }

    #[test]
    fn a_group_ends_when_it_is_full() {
        let mut writing = Writing { value: NoteValue::EIGHTH, ..Writing::default() };
        writing.prepare(WriteKey::Triplet);
        for left in [2, 1] {
            writing.done(WriteKey::Note(Letter::C));
            assert_eq!(writing.group.map(|group| group.to_come()), Some(Quarters::from(left)));
        }
        writing.done(WriteKey::Rest);
        assert_eq!(writing.group, None);
        writing.prepare(WriteKey::Triplet);
        writing.prepare(WriteKey::Triplet);
        for _ in 0..3 {
            writing.done(WriteKey::Note(Letter::C));
        }
        assert!(writing.group.is_some_and(|group| group.stays && !group.has_begun()), "the next one begins");
        writing.prepare(WriteKey::Triplet);
        assert_eq!(writing.group, None);
    }
}
