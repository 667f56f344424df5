//! What speaks for and against a direction: the place in the bar, marks, and how the bow is reached.

use super::Link;
use crate::{
    score::{Attack, Dynamic, Dynamics, Line, Mark, Quarters, Score, TempoMap},
    setup::Leanings,
};

/// What speaks against a bow that begins with a note, in parts of a strong beat on an up-bow.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Lean {
    /// By its place and its marks: a down-bow, an up-bow.
    pub own: [f64; 2],
    /// The bow is lifted before it and goes the same way again, though no rest lets it.
    pub retake: f64,
    /// It goes on in the bow of the note before it after a stop: in a down-bow, an up-bow.
    pub hook: [f64; 2],
    /// It goes the same way again after the rest before it; zero where there is none.
    pub again_after_rest: f64,
}

/// What directions of a line are weighed by.
pub(in crate::bowing) struct Weigher<'a> {
    score: &'a Score,
    leanings: &'a Leanings,
    dynamics: &'a Dynamics,
    tempo: &'a TempoMap,
    /// For each bar whether it has an accent behind its first beat.
    accented: Vec<bool>,
    /// For each bar whether it begins with a sharp attack.
    sharp: Vec<bool>,
}

impl<'a> Weigher<'a> {
    pub fn new(score: &'a Score, whole: &'a Line, leanings: &'a Leanings) -> Self {
        let line = &whole.notes[..];
        let mut accented = vec![false; score.bars.len()];
        let mut sharp = accented.clone();
        for note in line {
            if is_sharp(note)
                && score.starts_bar(note)
                && let Some(bar) = sharp.get_mut(note.bar)
            {
                *bar = true;
            }
            if is_accented(note)
                && !score.starts_bar(note)
                && let Some(bar) = accented.get_mut(note.bar)
            {
                *bar = true;
            }
        }
        Self { score, leanings, dynamics: &whole.dynamics, tempo: &whole.tempo, accented, sharp }
    }

    /// What speaks against a bow that takes these notes, after `before`.
    pub fn lean(&self, notes: &[Attack], before: Option<&Attack>, link: Link) -> Lean {
        let Self { score, leanings, dynamics, accented, .. } = self;
        // Grace notes lead to the note that has the beat.
        let first = notes.iter().find(|note| note.grace.is_none()).unwrap_or(&notes[0]);
        let (mut down, mut up) = (0.0, 0.0);
        match place(score, first) {
            Place::Barline => {
                // However it goes on, a movement begins down.
                let within = accented.get(first.bar) == Some(&true) && link != Link::Opening;
                let plain = within && !is_accented(first);
                let part = match plain || self.leads_to_a_sharp_attack(notes) {
                    true => leanings.plain_barline_part,
                    false => 1.0,
                };
                up += part * (leanings.up_on_barline + up_on_start(link, leanings));
            }
            Place::HalfBar => up += leanings.up_on_half_bar,
            Place::Beat => up += leanings.up_on_beat,
            Place::Off => down += leanings.down_off_beat,
        }
        if is_sharp(first) {
            up += leanings.up_on_sforzando;
        } else if is_accented(first) {
            up += leanings.up_on_accent;
        }
        if first.notes.len() >= 3 {
            up += leanings.up_on_chord;
        }
        let level = |at: Quarters| dynamics.level(at.to_f64());
        // A loud or accented start on a beat has the weight of a down-bow; an upbeat goes up however loud it is.
        let on_beat = !matches!(place(score, first), Place::Off);
        let loud = level(first.onset) > Dynamic::F as usize as f64 - 0.25;
        if on_beat && is_start(link) && (loud || is_accented(first)) {
            up += leanings.up_on_loud_start;
        }
        if on_beat && before.is_some_and(|before| self.is_newly_loud(before, first)) {
            up += leanings.up_on_loud_start;
        }
        let (mut retake, mut hook) = before.map_or((0.0, 0.0), |before| breaks(before, &notes[0], leanings));
        if before.is_some_and(|before| self.is_brief(before) && !is_firm_start(first)) {
            retake += NO_TIME_TO_LIFT;
        }
        if before.is_some_and(|before| self.is_light(before, notes)) {
            hook = hook.min(leanings.hook_on_light_note);
        }
        // What sounds otherwise at once is a bow of its own.
        let until = |before: &Attack| dynamics.level(before.end().to_f64() - 1e-6);
        if before.is_some_and(|before| (level(notes[0].onset) - until(before)).abs() >= AT_ONCE) {
            hook = hook.max(leanings.hook_to_new_dynamic);
        }
        if score.starts_bar(&notes[0]) {
            hook = hook.max(leanings.hook_on_barline);
        }
        // Stops are at home in the up-bow.
        let hook = [hook.max(leanings.hook_on_string), hook];
        let again_after_rest = match link {
            Link::Free(silence) => {
                let firm = loud || is_accented(first) || first.notes.len() >= 3;
                let hasty = !firm && before.is_some_and(|before| self.is_hasty(before, &notes[0]));
                leanings.again_after(silence.to_f64()) + if hasty { leanings.again_in_no_time } else { 0.0 }
            }
            _ => 0.0,
        };
        Lean { own: [down, up], retake, hook, again_after_rest }
    }

    /// An f or more is printed at a note, and less before it.
    fn is_newly_loud(&self, before: &Attack, note: &Attack) -> bool {
        let (now, then) = (self.dynamics.mark_at(note.onset), self.dynamics.mark_at(before.onset));
        now >= Some(Dynamic::F) && then.is_some_and(|then| Some(then) < now)
    }

    /// A plain bow that takes its bar before one that begins sharply is the upbeat to that.
    fn leads_to_a_sharp_attack(&self, notes: &[Attack]) -> bool {
        let (Some(first), Some(last)) = (notes.first(), notes.last()) else { return false };
        let whole = self.score.bars.get(first.bar).is_some_and(|bar| last.end() == bar.end());
        whole && !is_accented(first) && self.sharp.get(first.bar + 1) == Some(&true)
    }

    /// A rest that is hardly there, at the marked tempo.
    fn is_hasty(&self, before: &Attack, note: &Attack) -> bool {
        let rest_s = self.tempo.seconds(note.onset) - self.tempo.seconds(before.end());
        rest_s > 0.0 && rest_s < HASTY_S
    }

    /// Too short to be cut for a lift; a dot makes room for it.
    fn is_brief(&self, note: &Attack) -> bool {
        self.tempo.seconds(note.end()) - self.tempo.seconds(note.onset) < BRIEF_S && !note.is_dotted()
    }

    /// A plain note, in a bow of its own, that goes with the one before it hardly separated: as long as that, and soft,
    /// or the eighth behind a quarter in a beat of three.
    fn is_light(&self, before: &Attack, notes: &[Attack]) -> bool {
        let [note] = notes else { return false };
        let soft = self.dynamics.level(note.onset.to_f64()) <= SOFT;
        let pair = before.duration == note.duration && note.duration <= Quarters::ONE;
        let beat = self.score.bars.get(note.bar).map(|bar| bar.time.beat());
        let of_three = before.duration == note.duration + note.duration
            && beat == Some(before.duration + note.duration)
            && matches!(place(self.score, note), Place::Off);
        let plain = before.slur.is_none() && note.grace.is_none();
        plain && (pair && soft || of_three && !is_accented(note))
    }
}

impl Lean {
    /// What speaks against a down-bow that ends with this note; `next` comes after it. What ends
    /// before a rest does not lead into a strong beat.
    pub(crate) fn end(score: &Score, note: &Attack, next: Option<&Attack>, leanings: &Leanings) -> f64 {
        let end = note.end();
        if next.is_none_or(|next| next.onset > end) {
            return 0.0;
        }
        let after = score.bars.partition_point(|bar| bar.end() < end);
        let at_barline = score.bars.get(after).is_some_and(|bar| bar.end() == end);
        if at_barline { leanings.down_into_barline } else { 0.0 }
    }
}

/// Up to this level, in dynamic steps, what is played is soft. Assumed: no louder than mp.
pub(super) const SOFT: f64 = Dynamic::Mp as usize as f64 + 0.2;

/// A shorter rest is no time to lift the bow for something light, s. Assumed.
pub(in crate::bowing) const HASTY_S: f64 = 0.2;

/// A rest after which one starts anew is longer than this, quarters. Assumed.
const NEW_START: f64 = 0.6;

/// A dynamic that changes by so many steps at a note is a new one. Assumed.
const AT_ONCE: f64 = 0.9;

/// Something begins there: a movement, or what follows a rest.
fn is_start(link: Link) -> bool {
    match link {
        Link::Opening => true,
        Link::Free(silence) => silence.to_f64() > NEW_START,
        _ => false,
    }
}

/// What an up-bow on the barline costs more because something begins there.
fn up_on_start(link: Link, leanings: &Leanings) -> f64 {
    match link {
        Link::Opening => leanings.up_on_opening,
        _ if is_start(link) => leanings.up_on_start,
        _ => 0.0,
    }
}

/// The long note of a dotted figure is at least so many times as long as the short one behind it.
const DOTTED: i64 = 3;
/// A note no longer than this, quarters, may take the long one behind it into its bow. Assumed.
const LEADING: (i64, i64) = (1, 4);

/// A retake between two slurs that begin with notes so short, quarters, costs so much more, and one out of a note that
/// lasts no longer than this, s. Assumed: the line would be torn, and a strong beat on an up-bow is less harm.
const SWIFT: (i64, i64) = (1, 2);
const BRIEF_S: f64 = 0.3;
const NO_TIME_TO_LIFT: f64 = 1.0;

/// What a second down-bow and a second up-bow on the string cost: a retake, a hooked note.
fn breaks(before: &Attack, note: &Attack, leanings: &Leanings) -> (f64, f64) {
    let (mut retake, mut hook) = (leanings.retake_on_string, leanings.hook_on_string);
    if note.is_dotted() {
        hook = hook.min(leanings.hook_on_dots);
    }
    let dotted = before.duration >= note.duration * Quarters::from(DOTTED);
    // The other way round only a very short note goes with the long one behind it.
    let reversed = note.duration >= before.duration * Quarters::from(DOTTED)
        && before.duration <= Quarters::new(LEADING.0, LEADING.1)
        && before.slur.is_none()
        && !is_accented(note);
    if note.grace.is_none() && before.grace.is_none() && (dotted || reversed) {
        hook = hook.min(leanings.hook_in_dotted_figure);
    }
    if note.notes.len() >= 3 || is_accented(note) {
        retake = retake.min(leanings.retake_for_accent);
    }
    if before.slur.is_some() && note.slur_start && note.slur != before.slur {
        hook = hook.max(leanings.hook_between_slurs);
        if note.duration <= Quarters::new(SWIFT.0, SWIFT.1) {
            retake += NO_TIME_TO_LIFT;
        }
    }
    (retake, hook)
}

/// What is lifted for in any time.
fn is_firm_start(note: &Attack) -> bool {
    is_sharp(note) || note.notes.len() >= 3
}

/// A sharp attack by a dynamic.
pub(super) fn is_sharp(note: &Attack) -> bool {
    note.marks.contains(&Mark::Sforzando) || note.marks.contains(&Mark::FortePiano)
}

/// An accent by a mark or by a dynamic.
pub(super) fn is_accented(note: &Attack) -> bool {
    is_sharp(note) || note.marks.iter().any(|mark| mark.is_accent())
}

enum Place {
    Barline,
    HalfBar,
    Beat,
    Off,
}

fn place(score: &Score, note: &Attack) -> Place {
    let Some(bar) = score.bars.get(note.bar) else { return Place::Off };
    if score.starts_bar(note) {
        return Place::Barline;
    }
    let full = bar.time.bar_length().unwrap_or(bar.length);
    let missing = if bar.pickup && full > bar.length { full - bar.length } else { Quarters::ZERO };
    let at = note.onset - bar.start + missing;
    let beat = bar.time.beat();
    let beats = at / beat;
    if beats.denom() != 1 {
        return Place::Off;
    }
    let halves = at + at == full && (full / beat).numer() % 2 == 0;
    if halves { Place::HalfBar } else { Place::Beat }
}
