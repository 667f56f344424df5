//! How a lesson was before: what has changed since, as it was.

use serde::{Deserialize, Serialize};

use crate::{
    lesson::{Edit, EditError, Lesson, Pin, PinId},
    score::{Bar, Event, EventId, Shared, Sign, SignId, Slur, SlurId},
    setup::Setup,
};

/// Notes, slurs, signs and fixed places as they were in an earlier version; `None`: not there. Everything else is
/// as in the lesson.
#[derive(Clone, Debug, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Before {
    /// What the version is called.
    pub called: String,
    /// Notes.
    pub events: Vec<(EventId, Option<Shared<Event>>)>,
    /// Slurs.
    pub slurs: Vec<(SlurId, Option<Slur>)>,
    /// Signs.
    pub signs: Vec<(SignId, Option<Sign>)>,
    /// Fixed places.
    pub pins: Vec<(PinId, Option<Pin>)>,
    /// All bars, where any of them was another.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bars: Option<Shared<Vec<Bar>>>,
    /// The set-up with the practice tempo, where it was another.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub setup: Option<Box<Setup>>,
}

impl Before {
    /// What differs in an earlier version of a lesson.
    pub fn of(called: impl Into<String>, lesson: &Lesson, earlier: &Lesson) -> Self {
        let mut before = Self { called: called.into(), ..Self::default() };
        before.take(Edit::between("", lesson, earlier));
        before
    }

    fn take(&mut self, edit: Edit) {
        match edit {
            Edit::Step { edits, .. } => edits.into_iter().for_each(|edit| self.take(edit)),
            Edit::Event(id, event) => self.events.push((id, event)),
            Edit::Slur(id, slur) => self.slurs.push((id, slur)),
            Edit::Sign(id, sign) => self.signs.push((id, sign)),
            Edit::Pin(id, pin) => self.pins.push((id, pin)),
            Edit::Bars(bars) => self.bars = Some(bars),
            Edit::Setup(setup) => self.setup = Some(setup),
            // Names, and what is told or not, are those of the lesson.
            Edit::Title(_) | Edit::Part(_) | Edit::Silenced(_) => {}
            Edit::Pencilled(_) | Edit::Kept(_) | Edit::Spoken(_) | Edit::Handout(_) => {}
        }
    }

    /// Nothing differs.
    pub fn is_empty(&self) -> bool {
        *self == Self { called: self.called.clone(), ..Self::default() }
    }

    /// It was in other bars, or with another set-up.
    pub fn is_of_other_bars_or_setup(&self) -> bool {
        self.bars.is_some() || self.setup.is_some()
    }

    /// The lesson as it was.
    ///
    /// # Errors
    /// When it cannot have been so in this lesson: what is told contradicts it.
    pub fn lesson(&self, now: &Lesson) -> Result<Lesson, EditError> {
        let events = self.events.iter().map(|(id, event)| Edit::Event(*id, event.clone()));
        let slurs = self.slurs.iter().map(|(id, slur)| Edit::Slur(*id, *slur));
        let signs = self.signs.iter().map(|(id, sign)| Edit::Sign(*id, sign.clone()));
        let pins = self.pins.iter().map(|(id, pin)| Edit::Pin(*id, pin.clone()));
        let whole = self.bars.clone().map(Edit::Bars).into_iter().chain(self.setup.clone().map(Edit::Setup));
        let edits = whole.chain(events).chain(slurs).chain(signs).chain(pins).collect();
        let (lesson, _) = Edit::Step { what: String::new(), edits }.apply(now)?;
        lesson.checked().map_err(|error| EditError(error.to_string()))
    }
}
