//! A lesson written back into the score file it came from.
//!
//! The file is read again, what the lesson has otherwise is put into its text, and all else in it stays
//! byte for byte: layout, lyrics, the other parts, what this program does not know. The changed text is
//! then read once more and compared with the lesson, so that what the file cannot say is told.

mod bars;
mod compare;
mod in_time;
mod measure;
mod measures;
mod on_note;
mod patch;
mod pitches;
mod rewrite;
mod slur_numbers;
mod title;

use std::collections::{BTreeMap, BTreeSet};

use super::{
    Document,
    element::Element,
    error::ImportError,
    marks::MARKS,
    package, placed,
    places::Besides,
    raw::{Placed, PlacedKind, RawEvent, RawPart},
    resolve::Origins,
    signs::{Meaning, letters, meaning},
    timeline::Tempo,
    wanted::as_written,
};
use crate::{
    analysis::Study,
    exchange::diagnostic::Reporter,
    score::{Bar, Dynamic, Event, Mark, Note, Pitch, Quarters, Score, Shared, Sign, SignKind, TimeSign},
};
use compare::{Differences, differences};
use in_time::{GoneSign, NewSign};
use on_note::{Gone, OnNote};
use patch::Patch;
use slur_numbers::SlurNumbers;

/// Most numbers a hairpin may have, as most readers know them (MusicXML 3.1, `number-level`).
const MOST_WEDGES: usize = 6;

/// Why a lesson cannot be written back.
#[derive(Debug, thiserror::Error)]
pub enum BackError {
    /// The file cannot be read.
    #[error(transparent)]
    Source(#[from] ImportError),
    /// It holds other notes than the lesson.
    #[error(
        "the score file has other notes than the lesson ({0}); write the part as a new file, or name the file the lesson came from"
    )]
    OtherNotes(String),
    /// It has more or fewer bars than the lesson.
    #[error("the score file has {there} bars and the lesson {here}, and {why}")]
    OtherBars {
        /// Bars of the file.
        there: usize,
        /// Bars of the lesson.
        here: usize,
        /// Why it cannot have as many.
        why: String,
        /// It could if the other parts followed.
        may_follow: bool,
    },
    /// A word has a letter that the encoding of the file has not.
    #[error(
        "the score file is in an encoding that has not all letters of the lesson; save it in UTF-8 first"
    )]
    Encoding,
}

/// What becomes of the other parts of a score file where bars come or go.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum OtherParts {
    /// They stay as they are; then no bar can come or go.
    #[default]
    Stay,
    /// The same bars come or go in them: bars of rest, and whatever stands in those that go.
    Follow,
}

/// A score file with the bowing of a lesson in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WrittenBack {
    /// The file, of the kind it was: plain or compressed.
    pub bytes: Vec<u8>,
    /// How many places of the file were changed.
    pub changes: usize,
    /// What the file does not say as the lesson does, in words.
    pub left: Vec<String>,
}

/// Writes a lesson (bars, notes, keys, metres, repeats, endings, slurs, bow marks, marks on notes, strings, fingerings,
/// dynamics, hairpins, words, tempo, title) into the score file it came from, with what is wanted besides. Where nothing differs the bytes are the same.
///
/// # Errors
/// When the file cannot be read, its part is another one, bars or notes cannot be put into it, or bars come or go
/// and the other parts are to stay.
pub fn write_back(
    study: &Study,
    source: &[u8],
    part: usize,
    besides: Besides,
    others: OtherParts,
) -> Result<WrittenBack, BackError> {
    let xml = package::unpack(source)?;
    let text = super::text::decode(&xml)?;
    let mut wanted = as_written(study, besides);
    let mut document = super::open_text(&text, Reporter::default())?;
    let (barred, mut changes) = measures::with_bars(&document, &text, part, &wanted, others)?;
    if let Some(barred) = &barred {
        document = super::open_text(barred, Reporter::default())?;
    }
    keep_time_signs(&mut wanted, &document.read(part)?.score);
    let (noted, more) = with_notes(&document, barred.as_deref().unwrap_or(&text), part, &wanted)?;
    changes += more;
    if let Some(noted) = &noted {
        document = super::open_text(noted, Reporter::default())?;
    }
    let so_far = noted.as_deref().or(barred.as_deref()).unwrap_or(&text);
    let (marked, more) = with_marks(&document, so_far, part, &wanted)?;
    changes += more;
    let Some(changed) = marked.or(noted).or(barred) else {
        let left = compare::in_words(&document.read(part)?.score, &wanted);
        return Ok(WrittenBack { bytes: source.to_vec(), changes: 0, left });
    };
    let music = package::encode_like(&xml, &changed).ok_or(BackError::Encoding)?;
    let bytes = if super::text::is_archive(source) { package::repack(source, &music)? } else { music };
    let again = super::open(&bytes)?.read(part)?.score;
    let left = compare::in_words(&again, &wanted);
    Ok(WrittenBack { bytes, changes, left })
}

/// A lesson may be older than the signs C and cut C: its numbers do not take the place of one in the file.
fn keep_time_signs(wanted: &mut Score, file: &Score) {
    let is_kept = |new: &Bar, old: &Bar| {
        new.time.sign == TimeSign::Numbers && new.time != old.time && new.time.counts_as(&old.time)
    };
    if wanted.bars.iter().zip(&file.bars).any(|(new, old)| is_kept(new, old)) {
        for (new, old) in wanted.bars.iter_mut().zip(&file.bars).filter(|(new, old)| is_kept(new, old)) {
            new.time.sign = old.time.sign;
        }
    }
}

/// A text with the notes of a score, with their keys, metres and repeats, and how many places are changed;
/// none where they are the same.
fn with_notes(
    document: &Document,
    text: &str,
    part: usize,
    wanted: &Score,
) -> Result<(Option<String>, usize), BackError> {
    let (imported, origins) = document.read_with_origins(part)?;
    let old = imported.score;
    let refused = compare::other_notes(&old, wanted);
    if refused.is_none() && old.bars == wanted.bars {
        return Ok((None, 0));
    }
    if let Some(places) = refused.filter(|_| !rewrite::are_versions(&old, wanted)) {
        return Err(BackError::OtherNotes(places));
    }
    let mut writing = Writing::new(text, document, part, &origins, &old);
    let changes = writing.other_bars(wanted)? + writing.other_notes(wanted)?;
    Ok((writing.finish()?, changes))
}

/// A text with the title of a score and what stands on its notes, which are those of the text, and how many
/// places are changed.
fn with_marks(
    document: &Document,
    text: &str,
    part: usize,
    wanted: &Score,
) -> Result<(Option<String>, usize), BackError> {
    let (imported, origins) = document.read_with_origins(part)?;
    let old = imported.score;
    if let Some(places) = compare::other_notes(&old, wanted) {
        return Err(BackError::OtherNotes(places));
    }
    let found = differences(&old, wanted);
    let mut writing = Writing::new(text, document, part, &origins, &old);
    if found.title {
        title::set(&mut writing.patch, &wanted.title)?;
    }
    writing.pitches(wanted, &found);
    writing.notes(wanted, &found)?;
    writing.slurs(&found);
    writing.signs(&found)?;
    Ok((writing.finish()?, found.count()))
}

/// The changes of a text, collected by the elements they change.
struct Writing<'a> {
    patch: Patch<'a>,
    document: &'a Document,
    part: &'a RawPart,
    events: &'a [Shared<Event>],
    raw: &'a [&'a RawEvent],
    origins: &'a Origins<'a>,
    old: &'a Score,
    /// By the place of the `<note>`.
    on_notes: BTreeMap<usize, OnNote>,
    tempos: &'a [Tempo],
    /// By the place of the direction.
    gone_signs: BTreeMap<usize, Vec<GoneSign>>,
    /// New directions in the place of old ones.
    instead: BTreeMap<usize, Element>,
    /// From where to where the new hairpins go, with their numbers.
    new_wedges: Vec<(Quarters, Quarters, usize)>,
}

impl<'a> Writing<'a> {
    fn new(
        text: &'a str,
        document: &'a Document,
        part: usize,
        origins: &'a Origins<'a>,
        old: &'a Score,
    ) -> Self {
        Self {
            patch: Patch::new(text),
            document,
            part: &document.parts[part],
            events: &old.events,
            raw: &origins.events,
            origins,
            old,
            on_notes: BTreeMap::new(),
            tempos: &document.tempos,
            gone_signs: BTreeMap::new(),
            instead: BTreeMap::new(),
            new_wedges: Vec::new(),
        }
    }

    /// The place of the `<note>` that the marks of an event stand on, and those of all its heads.
    fn first(&self, index: usize) -> usize {
        self.raw[index].origin
    }

    fn come(&mut self, index: usize, group: &'static str, element: Element) {
        self.on_notes.entry(self.first(index)).or_default().come.push((group, element));
    }

    fn goes(&mut self, index: usize, gone: &Gone) {
        for head in &self.raw[index].heads {
            self.on_notes.entry(head.origin).or_default().gone.push(gone.clone());
        }
    }

    /// Other pitches, and the accidentals that they ask for in their bars.
    fn pitches(&mut self, wanted: &Score, found: &Differences) {
        let mut bars: BTreeSet<usize> = BTreeSet::new();
        for &index in &found.events {
            let (old, new) = (&self.events[index], &wanted.events[index]);
            for (was, is) in old.notes.iter().zip(&new.notes).filter(|(was, is)| was.pitch != is.pitch) {
                bars.extend(self.old.bar_at(old.onset));
                if let Some(change) = self.on_head(index, was.pitch) {
                    change.pitch.pitch = Some((was.pitch, is.pitch));
                }
            }
        }
        for bar in bars {
            let (old, new) = (pitches::accidentals(self.old, bar), pitches::accidentals(wanted, bar));
            for (((event, head), was), (_, is)) in old.into_iter().zip(new).filter(|(old, new)| old != new) {
                if let Some(change) = self.on_head(event, self.events[event].notes[head].pitch) {
                    change.pitch.accidental = (was != is).then_some(is);
                }
            }
        }
    }

    /// What is to change on the head of an event that has this pitch.
    fn on_head(&mut self, index: usize, pitch: Pitch) -> Option<&mut OnNote> {
        let head = self.raw[index].heads.iter().find(|head| head.note.pitch == pitch)?;
        Some(self.on_notes.entry(head.origin).or_default())
    }

    /// What stands on notes and rests: bow, marks, strings, fingers.
    fn notes(&mut self, wanted: &Score, found: &Differences) -> Result<(), ImportError> {
        for &index in &found.events {
            let (old, new) = (&self.events[index], &wanted.events[index]);
            if old.bow != new.bow {
                for name in ["up-bow", "down-bow"] {
                    self.goes(index, &Gone::Named { group: "technical", name });
                }
                if let Some(bow) = new.bow {
                    let name = if bow == crate::score::Direction::Up { "up-bow" } else { "down-bow" };
                    self.come(index, "technical", Element::new(name));
                }
            }
            for &mark in old.marks.difference(&new.marks) {
                self.mark_goes(index, mark);
            }
            for &mark in new.marks.difference(&old.marks) {
                self.mark_comes(new, index, mark)?;
            }
            for mark in [Mark::Sforzando, Mark::FortePiano] {
                let stays = old.marks.contains(&mark) && new.marks.contains(&mark);
                if stays && old.sudden_letters() != new.sudden_letters() {
                    self.mark_goes(index, mark);
                    self.mark_comes(new, index, mark)?;
                }
            }
            for (was, is) in old.notes.iter().zip(&new.notes) {
                self.fingering(index, was, is);
            }
        }
        Ok(())
    }

    fn mark_goes(&mut self, index: usize, mark: Mark) {
        let named = MARKS.iter().find(|known| known.mark == mark);
        for name in named.map_or(&[][..], |named| named.names) {
            let group = named.map_or("", |named| named.group);
            self.goes(index, &Gone::Named { group, name });
        }
        if !matches!(mark, Mark::Sforzando | Mark::FortePiano) {
            return;
        }
        let is_attack = |letters: &str| match meaning(letters) {
            Some(Meaning::Attack(own, _)) => own == mark,
            _ => false,
        };
        for own in self.raw[index].dynamics.iter().filter(|own| is_attack(&letters(own))) {
            self.goes(index, &Gone::Dynamic(own.clone()));
        }
        let raw = self.raw[index];
        for placed in
            self.part.placed.iter().filter(|placed| (placed.spot.bar, placed.spot.at) == (raw.bar, raw.at))
        {
            if let PlacedKind::Dynamic(text) | PlacedKind::Words(text) = &placed.kind
                && is_attack(&letters(text))
            {
                self.gone_signs.entry(placed.origin).or_default().push(GoneSign::Dynamic(text.clone()));
            }
        }
    }

    fn mark_comes(&mut self, new: &Event, index: usize, mark: Mark) -> Result<(), ImportError> {
        let attack = match mark {
            Mark::Sforzando | Mark::FortePiano => new.sudden_letters().unwrap_or("sf"),
            // What it joins must be named, which a lesson does not.
            Mark::NonArpeggiate => return Ok(()),
            _ => {
                if let Some(named) = MARKS.iter().find(|known| known.mark == mark) {
                    self.come(index, named.group, Element::new(named.names[0]));
                }
                return Ok(());
            }
        };
        self.put_in(self.events[index].onset, false, false, placed::dynamics(attack))
    }

    fn fingering(&mut self, index: usize, was: &Note, is: &Note) {
        if (&was.fingers, was.string) == (&is.fingers, is.string) {
            return;
        }
        let Some(change) = self.on_head(index, was.pitch) else { return };
        if was.fingers != is.fingers {
            for name in ["fingering", "thumb-position"] {
                change.gone.push(Gone::Named { group: "technical", name });
            }
            for finger in &is.fingers {
                let element = match finger.as_str() {
                    "T" => Element::new("thumb-position"),
                    finger => Element::new("fingering").saying(finger),
                };
                change.come.push(("technical", element));
            }
        }
        if was.string != is.string {
            change.gone.push(Gone::Named { group: "technical", name: "string" });
            let string = is.string.map(|string| ("technical", Element::new("string").saying(string)));
            change.come.extend(string);
        }
    }

    fn slurs(&mut self, found: &Differences) {
        let mut numbers = SlurNumbers::new(self.raw);
        for &(from, to) in &found.slurs_gone {
            // Read without such a slur in the file, as from a tie between two pitches: it stays.
            if let Some(number) = numbers.take(from, to) {
                self.goes(from, &Gone::Slur { start: true, number });
                self.goes(to, &Gone::Slur { start: false, number });
            }
        }
        for &(from, to) in &found.slurs_come {
            if let Some(number) = numbers.give(from, to) {
                let end = |kind| Element::new("slur").with("type", kind).with("number", number);
                self.come(from, "", end("start"));
                self.come(to, "", end("stop"));
            }
        }
    }

    fn signs(&mut self, found: &Differences) -> Result<(), ImportError> {
        for &index in &found.signs_gone {
            let sign = &self.old.signs[index];
            let origin = self.origins.signs[index];
            let mut goes = |at: Option<usize>, gone: GoneSign| {
                if let Some(at) = at {
                    self.gone_signs.entry(at).or_default().push(gone);
                }
            };
            match &sign.kind {
                SignKind::Dynamic(level) => goes(origin.start, GoneSign::Dynamic(level.mark().to_owned())),
                SignKind::Words(words) => goes(origin.start, GoneSign::Words(words.clone())),
                SignKind::Hairpin { .. } => {
                    goes(origin.start, GoneSign::Wedge { start: true });
                    goes(origin.end, GoneSign::Wedge { start: false });
                }
                SignKind::OctaveLine { .. } => {
                    goes(origin.start, GoneSign::OctaveLine { start: true });
                    goes(origin.end, GoneSign::OctaveLine { start: false });
                }
                SignKind::Tempo { .. } => self.tempo_goes(sign.at),
                SignKind::Rehearsal(_) | SignKind::Clef(_) => {}
            }
            if let (SignKind::Dynamic(level), None) = (&sign.kind, origin.start) {
                self.dynamic_on_note_goes(sign.at, *level);
            }
        }
        for sign in &found.signs_come {
            self.sign_comes(sign)?;
        }
        Ok(())
    }

    fn tempo_of(&self, at: Quarters) -> Option<&'a Tempo> {
        let start = |tempo: &Tempo| self.old.bars.get(tempo.bar).map(|bar| bar.start + tempo.at);
        self.tempos.iter().find(|tempo| start(tempo) == Some(at))
    }

    fn tempo_goes(&mut self, at: Quarters) {
        for &(origin, words, _) in self.tempo_of(at).into_iter().flat_map(|tempo| &tempo.origins) {
            self.gone_signs.entry(origin).or_default().push(GoneSign::Tempo { words });
        }
    }

    /// A tempo comes in the place of the one that went there, or at a note.
    fn tempo_comes(&mut self, at: Quarters, qpm: f64, text: &str) -> Result<(), ImportError> {
        let element = placed::tempo(qpm, text);
        let old = self.tempo_of(at).into_iter().flat_map(|tempo| &tempo.origins);
        let place = old.copied().find(|(_, _, moved)| !moved);
        if let Some((origin, ..)) = place {
            self.instead.insert(origin, element);
            return Ok(());
        }
        let sign = NewSign { at, ends: false, of_voice: false, what: element };
        in_time::put_in(&mut self.patch, self.part, (self.events, self.raw), sign)
    }

    fn dynamic_on_note_goes(&mut self, at: Quarters, level: Dynamic) {
        for index in 0..self.events.len() {
            let own =
                self.raw[index].dynamics.iter().find(|own| Dynamic::from_mark(&letters(own)) == Some(level));
            if let (true, Some(own)) = (self.events[index].onset == at, own) {
                self.goes(index, &Gone::Dynamic(own.clone()));
            }
        }
    }

    fn sign_comes(&mut self, sign: &Sign) -> Result<(), ImportError> {
        match &sign.kind {
            SignKind::Dynamic(level) => self.put_in(sign.at, false, false, placed::level(*level)),
            SignKind::Words(words) => self.put_in(sign.at, false, true, placed::words(words)),
            SignKind::Hairpin { opens, end, niente } => {
                let (from, to) = (*niente && *opens, *niente && !*opens);
                let number = self.wedge_number(sign.at, *end);
                self.put_in(sign.at, false, false, placed::wedge(Some(*opens), from, number))?;
                self.put_in(*end, true, false, placed::wedge(None, to, number))
            }
            SignKind::OctaveLine { octaves, end } => {
                let above = *octaves > 0;
                self.put_in(sign.at, false, above, placed::octave_line(true, *octaves))?;
                self.put_in(*end, true, above, placed::octave_line(false, *octaves))
            }
            SignKind::Tempo { qpm, text } => self.tempo_comes(sign.at, *qpm, text),
            SignKind::Rehearsal(_) | SignKind::Clef(_) => Ok(()),
        }
    }

    /// A number for a new hairpin: one the file uses for no hairpin, and no new one at the same time, if
    /// there is such.
    fn wedge_number(&mut self, from: Quarters, to: Quarters) -> usize {
        let of_file = |number: usize| {
            let own = |placed: &Placed| match placed.kind {
                PlacedKind::WedgeStart { number, .. } | PlacedKind::WedgeStop { number, .. } => number.into(),
                _ => 0,
            };
            self.part.placed.iter().any(|placed| own(placed) == number)
        };
        let of_new = |number| {
            self.new_wedges.iter().any(|&(start, end, own)| own == number && start <= to && end >= from)
        };
        let free = (1..=MOST_WEDGES).rev().find(|&number| !of_file(number) && !of_new(number));
        let number = free.unwrap_or(MOST_WEDGES);
        self.new_wedges.push((from, to, number));
        number
    }

    fn put_in(&mut self, at: Quarters, ends: bool, above: bool, what: Element) -> Result<(), ImportError> {
        let what = placed::direction(if above { "above" } else { "below" }, [what]);
        let sign = NewSign { at, ends, of_voice: true, what };
        in_time::put_in(&mut self.patch, self.part, (self.events, self.raw), sign)
    }

    fn finish(self) -> Result<Option<String>, ImportError> {
        Ok(self.settled()?.apply())
    }

    /// All changes together.
    fn settled(mut self) -> Result<Patch<'a>, ImportError> {
        for (at, change) in &self.on_notes {
            on_note::change(&mut self.patch, *at, change)?;
        }
        for (at, gone) in &self.gone_signs {
            in_time::take_out(&mut self.patch, *at, gone, self.instead.get(at))?;
        }
        Ok(self.patch)
    }
}
