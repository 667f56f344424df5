//! Bars whose notes are others than in the file: in them the notes of a voice are written anew, from the
//! first that differs to the last. What stands on notes is put on them afterwards, as on all others.

use std::{
    collections::{BTreeMap, BTreeSet},
    ops::Range,
};

use super::{
    super::{
        element::Element,
        error::ImportError,
        fresh::{MOST_TICKS, Manner, grouped, lcm, moved, notes, places_of},
        notes::read_pitch,
        raw::RawEvent,
        xml::child,
    },
    Writing,
    compare::{same_note, slurs},
    measure::{Item, Kind, Measure},
    on_note::Gone,
    patch::Layout,
    pitches,
    slur_numbers::SlurNumbers,
};
use crate::score::{Event, Mark, Quarters, Score};

/// The notes of one voice in one bar, as places in the old score and in the new one.
#[derive(Debug, Default)]
struct Spot {
    old: Vec<usize>,
    new: Vec<usize>,
}

/// Notes of a voice that are to be written anew.
struct Change<'t> {
    measure: Measure<'t>,
    bar: usize,
    voice: u8,
    spot: Spot,
    /// Those of the spot that go, and those that come.
    gone: Range<usize>,
    come: Range<usize>,
}

/// What is written in the place of notes.
enum Piece<'t> {
    New(Element),
    /// What stood among them and stays.
    Kept(&'t str),
}

/// True where two scores are versions of the same part: the same bars, and half of the notes of the shorter
/// one are in the other too. Half is assumed: another part of the same piece shares less.
pub(super) fn are_versions(old: &Score, new: &Score) -> bool {
    let bars = |score: &Score| score.bars.iter().map(|bar| (bar.start, bar.length)).collect::<Vec<_>>();
    let counted = |score: &Score| {
        let mut counted: BTreeMap<String, usize> = BTreeMap::new();
        for event in score.events.iter().filter(|event| !event.is_rest()) {
            let pitches: Vec<String> = event.notes.iter().map(|note| note.pitch.name()).collect();
            *counted.entry(format!("{} {}", event.duration, pitches.join(" "))).or_default() += 1;
        }
        counted
    };
    if bars(old) != bars(new) {
        return false;
    }
    let (old, new) = (counted(old), counted(new));
    let both = old.iter().map(|(note, count)| (*count).min(new.get(note).copied().unwrap_or(0)));
    let shorter = old.values().sum::<usize>().min(new.values().sum());
    2 * both.sum::<usize>() >= shorter
}

/// The voices of the bars in which two scores have other notes or another key.
fn spots(old: &Score, new: &Score) -> BTreeMap<(usize, u8), Spot> {
    let mut all: BTreeMap<(usize, u8), Spot> = BTreeMap::new();
    for (index, (was, is)) in old.bars.iter().zip(&*new.bars).enumerate() {
        let mut spots: BTreeMap<(usize, u8), Spot> = BTreeMap::new();
        for place in places_of(old, was) {
            spots.entry((index, old.events[place].voice)).or_default().old.push(place);
        }
        for place in places_of(new, is) {
            spots.entry((index, new.events[place].voice)).or_default().new.push(place);
        }
        let same = |spot: &Spot| {
            let mut pairs = spot.old.iter().zip(&spot.new);
            let alike = |(a, b): (&usize, &usize)| same_note(&old.events[*a], &new.events[*b]);
            spot.old.len() == spot.new.len() && pairs.all(alike)
        };
        if was.key != is.key || !spots.values().all(same) {
            all.append(&mut spots);
        }
    }
    all
}

/// What may stand behind the stem of a note, and behind its lyrics (MusicXML 4.0, `note`).
const BEHIND_STEM: [&str; 8] =
    ["notehead", "notehead-text", "staff", "beam", "notations", "lyric", "play", "listen"];
const BEHIND_LYRICS: [&str; 2] = ["play", "listen"];

/// A note without what is put on it later.
fn bare(event: &Event) -> Event {
    let mut bare = event.clone();
    for note in &mut bare.notes {
        (note.string, note.fingers) = (None, Vec::new());
        note.harmonic &= !event.marks.contains(&Mark::Harmonic);
    }
    Event { bow: None, marks: BTreeSet::new(), sudden: None, ..bare }
}

impl<'t> Writing<'t> {
    /// Writes notes anew where they differ; gives how many came or went. Where that cannot be done they
    /// stay as they are.
    pub(super) fn other_notes(&mut self, wanted: &Score) -> Result<usize, ImportError> {
        // As it is when all notes are there, but those that stay still have their old pitches.
        let mut meanwhile = wanted.clone();
        let mut kept: Vec<(usize, usize)> = Vec::new();
        let mut changes = Vec::new();
        for ((bar, voice), spot) in spots(self.old, wanted) {
            let Some(measure) = Measure::read(&self.patch, &self.part.bars[bar])? else { continue };
            let Some((gone, come)) = self.differing(&measure, &spot, wanted) else { continue };
            kept.extend(spot.old[..gone.start].iter().copied().zip(spot.new[..come.start].iter().copied()));
            kept.extend(spot.old[gone.end..].iter().copied().zip(spot.new[come.end..].iter().copied()));
            if !(gone.is_empty() && come.is_empty()) {
                changes.push(Change { measure, bar, voice, spot, gone, come });
            }
        }
        for &(old, new) in &kept {
            let old = &self.old.events[old];
            for (note, was) in meanwhile.events[new].notes.iter_mut().zip(&old.notes) {
                note.pitch = was.pitch;
            }
        }
        let mut bars: BTreeSet<usize> =
            kept.iter().filter_map(|(old, _)| self.old.bar_at(self.old.events[*old].onset)).collect();
        let mut count = 0;
        for change in &changes {
            bars.insert(change.bar);
            if self.rewrite(change, &meanwhile)? {
                count += change.gone.len().max(change.come.len());
            }
        }
        let gone = changes.iter().flat_map(|change| change.spot.old[change.gone.clone()].iter().copied());
        self.slurs_of(&gone.collect());
        bars.into_iter().for_each(|bar| self.accidentals_beside(&meanwhile, bar, &kept));
        Ok(count)
    }

    /// Which notes of a voice go and come, up to whole groups under a beam and whole tuplets. None where the
    /// file has none of them where it should.
    fn differing(
        &self,
        measure: &Measure<'_>,
        spot: &Spot,
        wanted: &Score,
    ) -> Option<(Range<usize>, Range<usize>)> {
        let Spot { old, new } = spot;
        let same = |(a, b): &(&usize, &usize)| same_note(&self.old.events[**a], &wanted.events[**b]);
        let before = old.iter().zip(new).take_while(same).count();
        let rest = old.len().min(new.len()) - before;
        let after = old.iter().rev().zip(new.iter().rev()).take(rest).take_while(same).count();
        if before == old.len().max(new.len()) {
            return Some((before..before, before..before));
        }
        let mut gone = before..old.len() - after;
        // Whether something goes on from each note to the next.
        let (mut beam, mut open) = (false, 0);
        let mut goes_on = Vec::with_capacity(old.len());
        for &event in old {
            let Kind::Note(groups) = &measure.items[measure.place(self.raw[event].origin)?].kind else {
                return None;
            };
            beam = groups.beam_goes_on.unwrap_or(beam && self.old.events[event].is_rest());
            open = (open + groups.opened).max(0);
            goes_on.push(beam || open > 0);
        }
        while gone.start > 0 && goes_on[gone.start - 1] {
            gone.start -= 1;
        }
        while gone.end > 0 && gone.end < old.len() && goes_on[gone.end - 1] {
            gone.end += 1;
        }
        let come = gone.start..new.len() - (old.len() - gone.end);
        Some((gone, come))
    }

    /// Writes notes anew. False where the file has other things among them.
    fn rewrite(&mut self, change: &Change<'t>, score: &Score) -> Result<bool, ImportError> {
        let measure = &change.measure;
        let Some(region) = self.region(change) else { return Ok(false) };
        let Some(manner) = self.manner(change, &region)? else { return Ok(false) };
        let Some(pieces) = self.pieces(change, &region, manner, score)? else { return Ok(false) };
        let text = |layout: Layout<'_>| {
            let texts = pieces.iter().map(|piece| match piece {
                Piece::New(element) => element.text(layout.line_end, layout.indent, measure.step),
                Piece::Kept(text) => (*text).to_owned(),
            });
            texts.collect::<Vec<_>>().join(&format!("{}{}", layout.line_end, layout.indent))
        };
        if region.is_empty() {
            let Some(before) = region.start.checked_sub(1) else { return Ok(false) };
            let before = measure.items[before].range.clone();
            let layout = self.patch.layout(before.start);
            self.patch.insert(before.end, format!("{}{}{}", layout.line_end, layout.indent, text(layout)));
        } else {
            let range = measure.items[region.start].range.start..measure.items[region.end - 1].range.end;
            match text(self.patch.layout(range.start)) {
                nothing if nothing.is_empty() => self.patch.remove(range),
                text => self.patch.replace(range, text),
            }
        }
        Ok(true)
    }

    /// The elements of the bar from the first note that goes to the last; where none goes, an empty range
    /// before which new ones belong. None where other notes stand among them.
    fn region(&self, change: &Change<'_>) -> Option<Range<usize>> {
        let Change { measure, spot, gone, .. } = change;
        let heads = |event: usize| {
            let raw = self.raw[event];
            let origins = raw.heads.iter().map(|head| head.origin).chain([raw.origin]);
            origins.map(|origin| measure.place(origin)).collect::<Option<Vec<usize>>>()
        };
        if gone.is_empty() {
            let behind = |event: usize| heads(event)?.into_iter().max().map(|last| last + 1);
            let place = if let Some(before) = gone.start.checked_sub(1) {
                behind(spot.old[before])?
            } else if let Some(&next) = spot.old.first() {
                heads(next)?.into_iter().min()?
            } else {
                measure.items.iter().rposition(|item| item.kind != Kind::Barline)? + 1
            };
            return Some(place..place);
        }
        let mut own = BTreeSet::new();
        for &event in &spot.old[gone.clone()] {
            own.extend(heads(event)?);
        }
        let region = *own.first()?..own.last()? + 1;
        let items = &measure.items[region.clone()];
        let is_own = |(place, item): (usize, &Item)| {
            !matches!(item.kind, Kind::Note(_)) || own.contains(&(region.start + place))
        };
        // What stands between two elements is blank.
        let blank = |pair: &[Item]| self.patch.text[pair[0].range.end..pair[1].range.start].trim().is_empty();
        (items.iter().enumerate().all(is_own) && items.windows(2).all(blank)).then_some(region)
    }

    /// How notes are written there.
    fn manner(&self, change: &Change<'_>, region: &Range<usize>) -> Result<Option<Manner>, ImportError> {
        let Change { measure, bar, voice, .. } = change;
        let before = region.start.checked_sub(1).map(|before| measure.items[before].divisions);
        let divisions = before.or(self.part.bars[*bar].divisions).unwrap_or(Quarters::ONE);
        let mut others = (0..self.raw.len()).filter(|&event| self.old.events[event].voice == *voice);
        let named = match others.next() {
            Some(event) => self.part.voices[self.raw[event].voice].clone(),
            None => {
                let numbers = self.part.voices.iter().map(|name| name.parse::<u32>());
                let Ok(numbers) = numbers.collect::<Result<Vec<u32>, _>>() else { return Ok(None) };
                numbers.into_iter().max().map_or(1, |last| last + 1).to_string()
            }
        };
        let staff = self.raw.first().map_or(1, |raw| raw.staff);
        let start = self.old.bars[*bar].start;
        let near = self.old.events.partition_point(|event| event.onset < start);
        let sounding = |raw: &&&RawEvent| !raw.heads.is_empty();
        let other = self.raw[near..].iter().find(sounding).or(self.raw[..near].iter().rfind(sounding));
        let up = match other.map(|raw| &raw.heads[0]) {
            None => 0.0,
            Some(head) => {
                let tree = self.patch.element(head.origin)?;
                let written = child(tree.root(), "pitch").and_then(|node| read_pitch(node, "step", "octave"));
                let Some(written) = written else { return Ok(None) };
                written.midi() - head.note.pitch.midi()
            }
        };
        if up % 12.0 != 0.0 {
            return Ok(None);
        }
        let instrument = measure.items[region.start..].iter().chain(&measure.items).find_map(|item| {
            if let Kind::Note(groups) = &item.kind { groups.instrument.clone() } else { None }
        });
        Ok(Some(Manner {
            octaves: (up / 12.0) as i8,
            voice: Some(named),
            staff: (self.part.staves > 1).then_some(staff),
            instrument,
            ..Manner::new(divisions)
        }))
    }

    /// What is written in the place of a region: the new notes, and what stood there beside notes, all at
    /// their times. None where the ticks of the file can be made fine enough neither there nor for the notes.
    fn pieces(
        &self,
        change: &Change<'t>,
        region: &Range<usize>,
        mut manner: Manner,
        score: &Score,
    ) -> Result<Option<Vec<Piece<'t>>>, ImportError> {
        let Change { measure, bar, spot, come, .. } = change;
        let (own_bar, items) = (&score.bars[*bar], &measure.items[region.clone()]);
        let coming = &spot.new[come.clone()];
        let at_rest =
            region.start.checked_sub(1).map_or(Quarters::ZERO, |before| measure.items[before].after);
        let begins = items.first().map_or(at_rest, |item| item.at);
        let ends = items.last().map_or(begins, |item| item.after);
        let coarse = manner.divisions;
        let times = coming.iter().flat_map(|&event| {
            let event = &score.events[event];
            [event.onset - own_bar.start, event.duration]
        });
        let times = || times.clone().chain(items.iter().flat_map(|item| [item.at, item.after]));
        let finer = times().fold(1, |all, time| lcm(all, (time * coarse).denom()));
        manner.divisions = coarse * Quarters::from(finer);
        let others: Vec<&Item> = items.iter().filter(|item| item.kind == Kind::Other).collect();
        let text = |item: &Item| &self.patch.text[item.range.clone()];
        let own_ticks =
            |item: &&Item| item.divisions != coarse || finer > 1 && text(item).contains("<offset");
        let whole = |time: Quarters| (time * manner.divisions).denom() == 1;
        if manner.divisions > Quarters::from(MOST_TICKS)
            || others.iter().any(own_ticks)
            || !times().all(whole)
        {
            return Ok(None);
        }
        let mut written = Line { pieces: Vec::new(), at: begins, manner: &manner };
        let mut others = others.into_iter().peekable();
        let ticks = |divisions: Quarters| {
            let ticks = Element::new("divisions").saying(divisions.numer());
            (finer > 1).then(|| Piece::New(Element::new("attributes").holding([ticks])))
        };
        written.pieces.extend(ticks(manner.divisions));
        let events: Vec<Event> = coming.iter().map(|&place| bare(&score.events[place])).collect();
        let shown: BTreeMap<(usize, usize), _> = pitches::accidentals(score, *bar).into_iter().collect();
        let grouped = grouped(own_bar, &events.iter().collect::<Vec<_>>());
        for ((event, drawn), place) in events.iter().zip(&grouped).zip(coming) {
            let at = event.onset - own_bar.start;
            while let Some(other) = others.next_if(|other| other.at <= at) {
                written.go_to(other.at);
                written.pieces.push(Piece::Kept(text(other)));
            }
            written.go_to(at);
            let shown: Vec<_> =
                (0..event.notes.len()).map(|head| shown.get(&(*place, head)).copied().flatten()).collect();
            let elements = self.with_what_stays(change, event, notes(&manner, event, drawn, &shown))?;
            written.pieces.extend(elements.into_iter().map(Piece::New));
            written.at = at + event.duration;
        }
        for other in others {
            written.go_to(other.at);
            written.pieces.push(Piece::Kept(text(other)));
        }
        written.go_to(ends);
        let mut pieces = written.pieces;
        pieces.extend(ticks(coarse));
        Ok(Some(pieces))
    }

    /// The elements of a note with the lyrics of the one that it takes the place of, and with its stems where the
    /// pitches are the same.
    fn with_what_stays(
        &self,
        change: &Change<'_>,
        event: &Event,
        elements: Vec<Element>,
    ) -> Result<Vec<Element>, ImportError> {
        let takes_the_place = |&place: &usize| {
            let old = &self.old.events[place];
            let same = (old.onset, old.grace) == (event.onset, event.grace);
            same && !old.is_rest() && !event.is_rest()
        };
        let Some(old) = change.spot.old[change.gone.clone()].iter().copied().find(takes_the_place) else {
            return Ok(elements);
        };
        let pitches = |event: &Event| event.notes.iter().map(|note| note.pitch).collect::<Vec<_>>();
        let has_stem = |event: &Event| event.value.log2_whole < 0;
        let was = &self.old.events[old];
        let stays = pitches(was) == pitches(event) && has_stem(was) && has_stem(event);
        let tree = self.patch.element(self.raw[old].origin)?;
        let own = |name: &'static str| tree.root().children().filter(move |node| node.name() == name);
        let stem = own("stem").next().filter(|_| stays).map(Element::copy);
        let mut lyrics: Vec<Element> = own("lyric").map(Element::copy).collect();
        let with = |element: Element| {
            let element = match &stem {
                Some(stem) => element.with_before(&BEHIND_STEM, stem.clone()),
                None => element,
            };
            // They stand on the first head.
            let lyrics = lyrics.drain(..);
            lyrics.fold(element, |element, lyric| element.with_before(&BEHIND_LYRICS, lyric))
        };
        Ok(elements.into_iter().map(with).collect())
    }

    /// Slurs that begin or end on notes that go lose their other end too.
    pub(super) fn slurs_of(&mut self, gone: &BTreeSet<usize>) {
        let mut numbers = SlurNumbers::new(self.raw);
        for ((from, to), _) in slurs(self.old) {
            if !gone.contains(&from) && !gone.contains(&to) {
                continue;
            }
            let Some(number) = numbers.take(from, to) else { continue };
            for (end, start) in [(from, true), (to, false)] {
                if !gone.contains(&end) {
                    self.goes(end, &Gone::Slur { start, number });
                }
            }
        }
    }

    /// The accidentals that notes need, or need no longer, since others stand beside them in their bar.
    fn accidentals_beside(&mut self, score: &Score, bar: usize, kept: &[(usize, usize)]) {
        let shown: BTreeMap<(usize, usize), _> = pitches::accidentals(score, bar).into_iter().collect();
        let stays: BTreeMap<usize, usize> = kept.iter().copied().collect();
        for ((event, head), was) in pitches::accidentals(self.old, bar) {
            let is = stays.get(&event).and_then(|new| shown.get(&(*new, head)));
            if let Some(&is) = is.filter(|is| **is != was)
                && let Some(change) = self.on_head(event, self.old.events[event].notes[head].pitch)
            {
                change.pitch.accidental = Some(is);
            }
        }
    }
}

/// Notes on their way into a bar, one after another in time.
struct Line<'p, 't> {
    pieces: Vec<Piece<'t>>,
    /// Where the file is, from the start of the bar.
    at: Quarters,
    manner: &'p Manner,
}

impl Line<'_, '_> {
    /// Moves in time.
    fn go_to(&mut self, at: Quarters) {
        let ticks = self.manner.ticks(at - self.at);
        let name = if ticks > 0 { "forward" } else { "backup" };
        self.pieces.extend((ticks != 0).then(|| Piece::New(moved(name, ticks.abs()))));
        self.at = at;
    }
}
