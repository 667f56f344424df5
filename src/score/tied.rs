//! Written notes joined by their ties, and the slur each lies under.

use std::collections::BTreeMap;

use super::{Event, EventId, Mark, Note, Quarters, Shared, Slur, SlurId};

/// The written events that sound as one attack, as they stand in the score.
#[derive(Clone, Debug)]
pub struct Tied<'a> {
    /// The first of them, which carries the marks.
    pub head: &'a Event,
    /// Those tied over from it, in order.
    pub over: Vec<&'a Event>,
    /// Where the last one ends as written.
    pub end: Quarters,
    /// The innermost slur it lies under that tells the bow.
    pub slur: Option<SlurId>,
    /// It is the first note under that slur.
    pub slur_start: bool,
}

impl Tied<'_> {
    /// The first written event.
    pub fn id(&self) -> EventId {
        self.head.id
    }

    /// All of the written events, in order.
    pub fn ids(&self) -> impl Iterator<Item = EventId> {
        std::iter::once(self.head).chain(self.over.iter().copied()).map(|event| event.id)
    }

    /// The last written event.
    pub fn last_id(&self) -> EventId {
        self.over.last().map_or(self.head.id, |event| event.id)
    }

    /// It is one of the written events.
    pub fn holds(&self, id: EventId) -> bool {
        self.ids().any(|here| here == id)
    }

    /// The mark stands on one of the written events.
    pub fn has_mark(&self, mark: Mark) -> bool {
        self.head.marks.contains(&mark) || self.over.iter().any(|event| event.marks.contains(&mark))
    }
}

/// A slur that begins on a tied-over note under another slur and has no more notes than this behind it is
/// read as the end of that other slur's bow; longer, as a bow of its own behind the tie. Assumed.
const MOST_TAKEN_IN: usize = 1;

/// The notes of a score, in score order, every voice on its own, with their ties joined: what
/// [`attacks`](super::attacks) are made of. An edit that asks only how notes hang together goes out from
/// here, since nothing of the events is copied.
///
/// `events` come in score order.
pub fn tied<'a>(events: &'a [Shared<Event>], slurs: &[Slur]) -> Vec<Tied<'a>> {
    let slur_of = innermost_slurs(events, slurs);
    let mut all: Vec<Tied> = Vec::with_capacity(events.len());
    // Of each the place of its first event.
    let mut first_at: Vec<usize> = Vec::with_capacity(events.len());
    // Slurs whose notes go on in the bow of the slur that leads into their tied first note.
    let mut goes_on: BTreeMap<SlurId, SlurId> = BTreeMap::new();
    // The last one of each voice.
    let mut last: BTreeMap<u8, usize> = BTreeMap::new();
    for (at, event) in events.iter().enumerate().filter(|(_, event)| !event.is_rest()) {
        let slur = slur_of[at];
        if let Some(&index) = last.get(&event.voice)
            && continues(&all[index], event)
        {
            let tied = &mut all[index];
            tied.end += event.duration;
            tied.over.push(event);
            if let Some(under) = slur.filter(|under| under.starts) {
                let held = slur_of[first_at[index]];
                // The bow of a slur that begins on a tied-over note begins with the whole note, unless a
                // slur leads into the note: that bow is held to its end, and takes in what follows if it
                // is one note.
                if held.is_none_or(|held| held.from_grace || held.starts && tied.holds(held.to)) {
                    (tied.slur, tied.slur_start) = (Some(under.slur), true);
                } else if under.attacks <= MOST_TAKEN_IN
                    && let Some(slur) = tied.slur
                {
                    goes_on.insert(under.slur, slur);
                }
            }
            continue;
        }
        last.insert(event.voice, all.len());
        first_at.push(at);
        all.push(Tied {
            head: event,
            over: Vec::new(),
            end: event.end(),
            slur: slur.map(|under| goes_on.get(&under.slur).copied().unwrap_or(under.slur)),
            slur_start: slur.is_some_and(|under| under.starts),
        });
    }
    all
}

/// The event is tied over from those before it; a bow mark on it that is not theirs changes the bow there.
fn continues(before: &Tied, event: &Event) -> bool {
    let notes: &[Note] = &before.over.last().unwrap_or(&before.head).notes;
    event.grace.is_none()
        && before.head.grace.is_none()
        && before.end == event.onset
        && (event.bow.is_none() || event.bow == before.head.bow)
        && event.notes.iter().all(|note| {
            note.tie_stop && notes.iter().any(|old| old.tie_start && old.pitch.midi() == note.pitch.midi())
        })
}

/// How an event lies under a slur.
#[derive(Clone, Copy)]
struct Under {
    slur: SlurId,
    /// The slur begins on it.
    starts: bool,
    /// The last event of the slur.
    to: EventId,
    /// The slur only leads from grace notes to their main note.
    from_grace: bool,
    /// How many notes under it are not tied over from the note before them.
    attacks: usize,
}

/// For every event, by its place, the innermost bow slur it lies under: the one with the fewest events. A
/// slur from grace notes to their main note says nothing about the slur that goes on from there, so any
/// other slur goes before it.
fn innermost_slurs(events: &[Shared<Event>], slurs: &[Slur]) -> Vec<Option<Under>> {
    let mut places: Vec<(EventId, usize)> =
        events.iter().enumerate().map(|(at, event)| (event.id, at)).collect();
    places.sort_unstable();
    let place = |id: EventId| {
        let found = places.binary_search_by_key(&id, |(id, _)| *id).ok()?;
        Some(places[found].1)
    };
    let mut spans: Vec<(bool, usize, usize, SlurId)> = slurs
        .iter()
        .filter(|slur| !slur.phrase)
        .filter_map(|slur| Some((place(slur.from)?, place(slur.to)?, slur.id)))
        .filter(|(from, to, _)| from < to)
        .map(|(from, to, id)| (leads_to_main(&events[from], &events[to]), from, to, id))
        .collect();
    // Shortest first; each tells the events that none before it told, so that every event is looked at
    // once however many slurs lie over it.
    spans.sort_by_key(|&(from_grace, from, to, id)| (from_grace, to - from, std::cmp::Reverse(id)));
    let mut untold = Untold::new(events);
    let mut slur_of = vec![None; events.len()];
    for (from_grace, from, to, slur) in spans {
        let mut told = Vec::new();
        let mut at = untold.from(from);
        while at <= to {
            told.push(at);
            untold.tell(at);
            at = untold.from(at);
        }
        let attacks = told.iter().filter(|&&at| !events[at].notes.iter().all(|note| note.tie_stop)).count();
        for at in told {
            let to = events[to].id;
            slur_of[at] = Some(Under { slur, starts: at == from, to, from_grace, attacks });
        }
    }
    slur_of
}

/// The notes of each voice that no slur has told yet: for the place of an event where to look on in its
/// voice, itself if it is one of them.
struct Untold {
    on: Vec<usize>,
    /// The next event of the same voice; the number of events behind the last one.
    next: Vec<usize>,
}

impl Untold {
    fn new(events: &[Shared<Event>]) -> Self {
        let mut last: BTreeMap<u8, usize> = BTreeMap::new();
        let mut next = vec![events.len(); events.len()];
        for (at, event) in events.iter().enumerate() {
            if let Some(before) = last.insert(event.voice, at) {
                next[before] = at;
            }
        }
        let on = (0..events.len()).map(|at| if events[at].is_rest() { next[at] } else { at }).collect();
        Self { on, next }
    }

    /// The first of them from a place on in its voice. The ways there get shorter by half.
    fn from(&mut self, mut at: usize) -> usize {
        while at < self.on.len() && self.on[at] != at {
            let on = self.on[at];
            self.on[at] = self.on.get(on).copied().unwrap_or(on);
            at = on;
        }
        at
    }

    fn tell(&mut self, at: usize) {
        self.on[at] = self.next[at];
    }
}

/// `grace` is a grace note before `main`.
fn leads_to_main(grace: &Event, main: &Event) -> bool {
    grace.grace.is_some_and(|grace| !grace.after) && main.grace.is_none() && main.onset == grace.onset
}
