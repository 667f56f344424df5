//! From written notes to what is bowed: ties joined, voices sorted out.

use std::collections::{BTreeMap, BTreeSet};

use super::harmonics::{one_head_each, without_sounding};
use super::{
    Direction, Event, EventId, Grace, Manner, Mark, Note, Quarters, SameBow, Score, Shared, SlurId,
    StrokeType,
};

/// One attack of one voice, after tied notes are joined.
#[derive(Clone, Debug, PartialEq)]
pub struct Attack {
    /// The written events joined here, in order; the first carries the marks.
    pub events: Vec<EventId>,
    /// Index of its bar in the score; a grace note at the end of a note stands in the bar that ends
    /// there, not in the next.
    pub bar: usize,
    /// Where it starts.
    pub onset: Quarters,
    /// How long it sounds as written; zero for grace notes.
    pub duration: Quarters,
    /// Voice on the staff.
    pub voice: u8,
    /// Note heads, lowest first.
    pub notes: Vec<Note>,
    /// Set for grace notes.
    pub grace: Option<Grace>,
    /// Bow mark.
    pub bow: Option<Direction>,
    /// The innermost slur it lies under that tells the bow.
    pub slur: Option<SlurId>,
    /// It is the first note under that slur.
    pub slur_start: bool,
    /// Bow lifted and set again before it.
    pub retake: bool,
    /// Goes on in the same bow after a stop or pulse.
    pub same_bow: Option<SameBow>,
    /// Articulation and technique marks of all joined events.
    pub marks: BTreeSet<Mark>,
    /// Where an accent stands on a tied-over note: it is leaned into while the note sounds.
    pub late_accent: Option<Quarters>,
    /// Stroke type set by the user.
    pub stroke: Option<StrokeType>,
    /// Tremolo strokes.
    pub tremolo: Option<u8>,
    /// User's factor on the wanted speed.
    pub speed_factor: f64,
    /// Plucked: takes no hair.
    pub pizzicato: bool,
    /// A cue, not played.
    pub cue: bool,
    /// What words over the staff ask of the bow; known in a [`super::Line`].
    pub manner: Manner,
}

impl Attack {
    /// Where it ends as written.
    pub fn end(&self) -> Quarters {
        self.onset + self.duration
    }

    /// The first written event.
    pub fn id(&self) -> EventId {
        self.events[0]
    }

    /// MIDI numbers, lowest first.
    pub fn midi(&self) -> Vec<f64> {
        let mut midi: Vec<f64> = self.notes.iter().map(|note| note.pitch.midi()).collect();
        midi.sort_by(f64::total_cmp);
        midi
    }
}

/// A slur that begins on a tied-over note under another slur and has no more notes than this behind it is
/// read as the end of that other slur's bow; longer, as a bow of its own behind the tie. Assumed.
const MOST_TAKEN_IN: usize = 1;

/// All attacks of a score, in score order, every voice on its own.
///
/// An event is joined to the one before it in its voice when all of its notes are tied from notes
/// of the same pitch there. A chord in which one pitch is tied and another is new is an attack.
pub fn attacks(score: &Score) -> Vec<Attack> {
    let slur_of = innermost_slurs(score);
    let mut attacks: Vec<Attack> = Vec::with_capacity(score.events.len());
    // Of each attack the place of its first event.
    let mut first_at: Vec<usize> = Vec::with_capacity(score.events.len());
    // Slurs whose notes go on in the bow of the slur that leads into their tied first note.
    let mut goes_on: BTreeMap<SlurId, SlurId> = BTreeMap::new();
    // Last attack of each voice, with the notes of its last written event.
    let mut last: BTreeMap<u8, (usize, &[Note])> = BTreeMap::new();
    // Under a slur the fingers make the tremolo; without one the bow goes back and forth (common practice, no
    // source).
    let between = score.tremolos_between();
    let bowed: BTreeMap<usize, u8> = between
        .iter()
        .filter(|own| {
            slur_of[own.from].is_none_or(|under| slur_of[own.to].is_none_or(|to| to.slur != under.slur))
        })
        .flat_map(|own| [(own.from, own.strokes), (own.to, own.strokes)])
        .collect();
    for (at, event) in score.events.iter().enumerate().filter(|(_, event)| !event.is_rest()) {
        let slur = slur_of[at];
        if let Some((index, before)) = last.get(&event.voice)
            && event.grace.is_none()
            && continues(before, &attacks[*index], event)
            // A bow mark on a tied-over note changes the bow there.
            && (event.bow.is_none() || event.bow == attacks[*index].bow)
        {
            let attack = &mut attacks[*index];
            attack.duration += event.duration;
            attack.events.push(event.id);
            let (late, other) =
                event.marks.iter().copied().partition::<Vec<Mark>, _>(|mark| mark.is_accent());
            attack.marks.extend(other);
            if !late.is_empty() {
                attack.late_accent.get_or_insert(event.onset);
            }
            if let Some(under) = slur.filter(|under| under.starts) {
                let held = slur_of[first_at[*index]];
                // The bow of a slur that begins on a tied-over note begins with the whole note, unless a
                // slur leads into the note: that bow is held to its end, and takes in what follows if it
                // is one note.
                if held.is_none_or(|held| held.from_grace || held.starts && attack.events.contains(&held.to))
                {
                    (attack.slur, attack.slur_start) = (Some(under.slur), true);
                } else if under.attacks <= MOST_TAKEN_IN
                    && let Some(slur) = attack.slur
                {
                    goes_on.insert(under.slur, slur);
                }
            }
            let index = *index;
            last.insert(event.voice, (index, &event.notes));
            continue;
        }
        last.insert(event.voice, (attacks.len(), &event.notes));
        first_at.push(at);
        attacks.push(Attack {
            events: vec![event.id],
            bar: bar_of(score, event),
            onset: event.onset,
            duration: event.duration,
            voice: event.voice,
            notes: event.notes.clone(),
            grace: event.grace,
            bow: event.bow,
            slur: slur.map(|under| goes_on.get(&under.slur).copied().unwrap_or(under.slur)),
            slur_start: slur.is_some_and(|under| under.starts),
            retake: event.retake,
            same_bow: event.same_bow,
            marks: event.marks.clone(),
            late_accent: None,
            stroke: event.stroke,
            tremolo: event.tremolo.or_else(|| bowed.get(&at).copied()),
            speed_factor: event.speed_factor.unwrap_or(1.0),
            pizzicato: event.pizzicato,
            cue: event.cue,
            manner: Manner::default(),
        });
    }
    attacks
}

fn bar_of(score: &Score, event: &Event) -> usize {
    let bar = score.bar_at(event.onset).unwrap_or(0);
    let closes = event.grace.is_some_and(|grace| grace.after)
        && score.bars.get(bar).is_some_and(|bar| bar.start == event.onset);
    bar.saturating_sub(usize::from(closes))
}

fn continues(before: &[Note], attack: &Attack, event: &Event) -> bool {
    attack.grace.is_none()
        && attack.end() == event.onset
        && event.notes.iter().all(|note| {
            note.tie_stop && before.iter().any(|old| old.tie_start && old.pitch.midi() == note.pitch.midi())
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
fn innermost_slurs(score: &Score) -> Vec<Option<Under>> {
    let mut places: Vec<(EventId, usize)> =
        score.events.iter().enumerate().map(|(at, event)| (event.id, at)).collect();
    places.sort_unstable();
    let place = |id: EventId| {
        let found = places.binary_search_by_key(&id, |(id, _)| *id).ok()?;
        Some(places[found].1)
    };
    let mut spans: Vec<(bool, usize, usize, SlurId)> = score
        .slurs
        .iter()
        .filter(|slur| !slur.phrase)
        .filter_map(|slur| Some((place(slur.from)?, place(slur.to)?, slur.id)))
        .filter(|(from, to, _)| from < to)
        .map(|(from, to, id)| (leads_to_main(&score.events[from], &score.events[to]), from, to, id))
        .collect();
    // Shortest first; each tells the events that none before it told, so that every event is looked at
    // once however many slurs lie over it.
    spans.sort_by_key(|&(from_grace, from, to, id)| (from_grace, to - from, std::cmp::Reverse(id)));
    let mut untold = Untold::new(&score.events);
    let mut slur_of = vec![None; score.events.len()];
    for (from_grace, from, to, slur) in spans {
        let mut told = Vec::new();
        let mut at = untold.from(from);
        while at <= to {
            told.push(at);
            untold.tell(at);
            at = untold.from(at);
        }
        let attacks =
            told.iter().filter(|&&at| !score.events[at].notes.iter().all(|note| note.tie_stop)).count();
        for at in told {
            let to = score.events[to].id;
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

/// What one bow plays, from [`attacks`]: in each bar the voices with the same rhythm become
/// double stops, and otherwise the first voice that plays there leads. Cues are left out, and so
/// are heads that only tell how a harmonic sounds or what a trill goes to.
///
/// A note held into a bar keeps the bow: what begins under it is left out. Only where an earlier
/// voice comes in does the bow leave it, and it ends there. So no note begins before the one
/// before it ends.
///
/// The second list names the attacks (by index into `attacks`) that are not bowed: other voices,
/// which a second player would take.
pub fn bow_line(attacks: &[Attack]) -> (Vec<Attack>, Vec<usize>) {
    let mut line: Vec<Attack> = Vec::with_capacity(attacks.len());
    let mut left_out = Vec::new();
    let mut start = 0;
    while start < attacks.len() {
        let bar = attacks[start].bar;
        let len = attacks[start..].iter().take_while(|attack| attack.bar == bar).count();
        let mut voices: BTreeMap<u8, Vec<usize>> = BTreeMap::new();
        for i in (start..start + len).filter(|&i| !attacks[i].cue) {
            voices.entry(attacks[i].voice).or_default().push(i);
        }
        start += len;
        if let (Some(held), Some((&voice, members))) = (line.last_mut(), voices.first_key_value())
            && voice < held.voice
        {
            held.duration = held.duration.min(attacks[members[0]].onset - held.onset);
        }
        let held_until = line.last().map_or(Quarters::ZERO, Attack::end);
        for members in voices.values_mut() {
            let mut free = held_until;
            members.retain(|&i| {
                let begins = attacks[i].onset >= free;
                if begins {
                    free = attacks[i].end();
                } else {
                    left_out.push(i);
                }
                begins
            });
        }
        let mut voices = voices.into_values().filter(|members| !members.is_empty());
        let Some(lead) = voices.next() else { continue };
        let first = line.len();
        line.extend(lead.iter().map(|&i| stopped(&attacks[i])));
        let rhythm = |members: &[usize]| -> Vec<_> {
            let note = |attack: &Attack| (attack.onset, attack.duration, attack.grace, attack.pizzicato);
            members.iter().map(|&i| note(&attacks[i])).collect()
        };
        let lead_rhythm = rhythm(&lead);
        for members in voices {
            if rhythm(&members) != lead_rhythm {
                left_out.extend(members);
                continue;
            }
            for (target, &member) in line[first..].iter_mut().zip(&members) {
                let other = &attacks[member];
                if is_of_the_trill(target, other) {
                    continue;
                }
                target.notes.extend(stopped(other).notes);
                target.notes.sort_by(|a, b| a.pitch.midi().total_cmp(&b.pitch.midi()));
                target.notes.dedup_by(|a, b| a.pitch.midi() == b.pitch.midi());
                target.notes = without_sounding(std::mem::take(&mut target.notes));
                target.events.extend(&other.events);
                target.bow = target.bow.or(other.bow);
                target.marks.extend(other.marks.iter().copied());
                if target.slur.is_none() {
                    (target.slur, target.slur_start) = (other.slur, other.slur_start);
                }
            }
        }
    }
    left_out.sort_unstable();
    (line, left_out)
}

/// An attack with a head for each string. Where a harmonic is marked by words of the file instead of a
/// diamond, its heads are as they are meant.
fn stopped(attack: &Attack) -> Attack {
    let mut attack = attack.clone();
    let touched = attack.notes.iter().any(|note| note.harmonic);
    if touched && !attack.marks.contains(&Mark::Harmonic) {
        attack.notes = one_head_each(&attack.notes);
    }
    attack
}

/// True for a note in a voice of its own that shows what a trill goes to: one a second above it.
fn is_of_the_trill(trill: &Attack, other: &Attack) -> bool {
    let ([main], [upper]) = (&trill.notes[..], &other.notes[..]) else { return false };
    let rise = upper.pitch.midi() - main.pitch.midi();
    trill.marks.contains(&Mark::Trill) && (0.5..3.5).contains(&rise)
}
