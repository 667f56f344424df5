//! From written notes to what is bowed: ties joined, voices sorted out.

use std::collections::{BTreeMap, BTreeSet};

use super::harmonics::{one_head_each, without_sounding};
use super::{
    Direction, EventId, Grace, Manner, Mark, Note, Quarters, SameBow, Score, SlurId, StrokeType, Tied, tied,
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
    fn new(score: &Score, tied: &Tied<'_>, bowed: &BTreeMap<EventId, u8>) -> Self {
        let head = tied.head;
        let (mut marks, mut late_accent) = (head.marks.clone(), None);
        for event in &tied.over {
            let (late, other) =
                event.marks.iter().copied().partition::<Vec<Mark>, _>(|mark| mark.is_accent());
            marks.extend(other);
            if !late.is_empty() {
                late_accent.get_or_insert(event.onset);
            }
        }
        Self {
            events: tied.ids().collect(),
            bar: score.bar_of(head),
            onset: head.onset,
            duration: tied.end - head.onset,
            voice: head.voice,
            notes: head.notes.clone(),
            grace: head.grace,
            bow: head.bow,
            slur: tied.slur,
            slur_start: tied.slur_start,
            retake: head.retake,
            same_bow: head.same_bow,
            marks,
            late_accent,
            stroke: head.stroke,
            tremolo: head.tremolo.or_else(|| bowed.get(&head.id).copied()),
            speed_factor: head.speed_factor.unwrap_or(1.0),
            pizzicato: head.pizzicato,
            cue: head.cue,
            manner: Manner::default(),
        }
    }

    /// It has a dot or a wedge, or words ask for one: there is a stop behind it already.
    pub fn is_dotted(&self) -> bool {
        let marked = [Mark::Staccato, Mark::Staccatissimo, Mark::Spiccato];
        marked.iter().any(|mark| self.marks.contains(mark)) || self.is_staccato_by_words()
    }

    /// Words ask for a dot over it: it is a separate note of up to a quarter, with no line over it.
    pub fn is_staccato_by_words(&self) -> bool {
        let separate = self.slur.is_none() && self.grace.is_none() && self.tremolo.is_none();
        self.manner.dotted
            && separate
            && self.duration <= Quarters::ONE
            && !self.marks.contains(&Mark::Tenuto)
    }

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

/// All attacks of a score, in score order, every voice on its own.
///
/// An event is joined to the one before it in its voice when all of its notes are tied from notes
/// of the same pitch there. A chord in which one pitch is tied and another is new is an attack.
pub fn attacks(score: &Score) -> Vec<Attack> {
    let all = tied(&score.events, &score.slurs);
    let bowed = bowed_tremolos(score, &all);
    all.iter().map(|tied| Attack::new(score, tied, &bowed)).collect()
}

/// The attack that holds an event; none for a rest.
pub fn attack_of(score: &Score, id: EventId) -> Option<Attack> {
    let all = tied(&score.events, &score.slurs);
    let bowed = bowed_tremolos(score, &all);
    all.iter().find(|tied| tied.holds(id)).map(|tied| Attack::new(score, tied, &bowed))
}

/// Strokes of the tremolos between two notes that the bow makes, by their notes: under a slur the fingers make
/// it, without one the bow goes back and forth (common practice, no source).
fn bowed_tremolos(score: &Score, all: &[Tied<'_>]) -> BTreeMap<EventId, u8> {
    let between = score.tremolos_between();
    if between.is_empty() {
        return BTreeMap::new();
    }
    let slurs: BTreeMap<EventId, SlurId> =
        all.iter().filter_map(|tied| Some((tied.id(), tied.slur?))).collect();
    let ends = between.iter().map(|own| ([own.from, own.to].map(|at| score.events[at].id), own.strokes));
    let bowed = ends.filter(|([from, to], _)| {
        let slur = slurs.get(from);
        slur.is_none() || slur != slurs.get(to)
    });
    bowed.flat_map(|(ends, strokes)| ends.map(|end| (end, strokes))).collect()
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
