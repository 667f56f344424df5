//! Which accidentals are printed, and how key signatures are spelled.

use std::collections::HashMap;

use kurbo::Rect;

use super::chord::{self, Chord};
use crate::{picture::smufl, score::Score};

/// The bar rule: an accidental holds for its line or space to the end of the bar; a note tied over
/// the barline does not repeat it. Common practice, no source.
pub(super) fn set(score: &Score, chords: &mut [Chord]) {
    let mut bar = None;
    let mut state: HashMap<i32, f32> = HashMap::new();
    for (event, chord) in score.events.iter().zip(chords) {
        let now = score.bar_at(event.onset);
        if now != bar {
            state.clear();
            bar = now;
        }
        let key = now.and_then(|bar| score.bars.get(bar)).map_or(0, |bar| bar.key);
        for head in &mut chord.heads {
            let note = &event.notes[head.note];
            let in_force = state.get(&head.step).copied();
            let expected = in_force.unwrap_or_else(|| key_alter(key, note.pitch.letter as i32));
            let tied_over = note.tie_stop && in_force.is_none();
            if note.accidental_shown || (note.pitch.alter != expected && !tied_over) {
                head.accidental = Some(note.pitch.alter);
            }
            if !tied_over {
                state.insert(head.step, note.pitch.alter);
            }
        }
    }
}

/// Air between an accidental and what stands right of it, staff spaces. Assumed.
const AIR: f64 = 0.2;

/// Puts the accidentals of each onset left of its heads, each as near to them as there is room: first the
/// highest, then the lowest, and so on inward. Grace notes have their own. Common practice, no source.
pub(super) fn place(score: &Score, chords: &mut [Chord]) {
    for members in chord::onsets(score) {
        let (small, full): (Vec<usize>, Vec<usize>) = members.partition(|&i| score.events[i].grace.is_some());
        small.iter().for_each(|&index| place_beside(chords, &[index]));
        place_beside(chords, &full);
    }
}

fn place_beside(chords: &mut [Chord], members: &[usize]) {
    let mut wanted: Vec<(usize, usize)> = Vec::new();
    let mut taken: Vec<Rect> = Vec::new();
    for &c in members {
        let chord = &chords[c];
        for (h, head) in chord.heads.iter().enumerate() {
            let x = chord.shift + if head.displaced { chord.displacement() } else { 0.0 };
            let y = -f64::from(head.step) / 2.0;
            taken.push(Rect::new(x - chord.half, y - 0.5, x + chord.half, y + 0.5));
            if head.accidental.is_some() {
                wanted.push((c, h));
            }
        }
    }
    wanted.sort_by_key(|&(c, h)| -chords[c].heads[h].step);
    let mut wanted = std::collections::VecDeque::from(wanted);
    let mut from_top = true;
    while let Some((c, h)) = if from_top { wanted.pop_front() } else { wanted.pop_back() } {
        from_top = !from_top;
        let shift = chords[c].shift;
        let head = &mut chords[c].heads[h];
        let sign = smufl::accidental(head.accidental.unwrap_or_default()).bounds();
        let y = -f64::from(head.step) / 2.0;
        let (top, bottom) = (y + sign.y0, y + sign.y1);
        // From the right edge of what is beside it to the left, until nothing is in the way.
        let mut right = f64::INFINITY;
        let beside = |taken: &&Rect| taken.y0 < bottom && taken.y1 > top;
        for edge in taken.iter().filter(beside).map(|taken| taken.x0 - AIR) {
            let free = |right: f64| {
                !taken
                    .iter()
                    .filter(beside)
                    .any(|t| t.x0 - AIR < right && t.x1 + AIR / 2.0 > right - sign.width())
            };
            if free(edge) && (right.is_infinite() || edge > right) {
                right = edge;
            }
        }
        let left = right - sign.width();
        head.accidental_x = left - shift;
        taken.push(Rect::new(left, top, right, bottom));
    }
}

/// Alteration that a key signature gives a letter (0 for C to 6 for B). Sharps come in the order
/// F C G D A E B, flats in the opposite order; from the eighth on they double.
pub(super) fn key_alter(key: i8, letter: i32) -> f32 {
    // Place of each letter in the order of sharps.
    let sharp_order = [1, 3, 5, 0, 2, 4, 6][letter.clamp(0, 6) as usize];
    let order = if key >= 0 { sharp_order } else { 6 - sharp_order };
    let count = i32::from(key).abs();
    let times = i32::from(count > order) + i32::from(count > order + 7);
    (times * i32::from(key.signum())) as f32
}

/// How many signs a change of key prints: the new signature, and naturals where it becomes empty
/// or turns to the other side.
pub(in crate::picture) fn key_signs(old: i8, new: i8) -> usize {
    usize::from(naturals(old, new) + new.unsigned_abs().min(7))
}

/// Naturals printed before a new signature.
pub(in crate::picture) fn naturals(old: i8, new: i8) -> u8 {
    if new == 0 || (old != 0 && old.signum() != new.signum()) { old.unsigned_abs().min(7) } else { 0 }
}

/// Half spaces above the bottom line of the signs of a key signature, in order, where `c_step` is
/// any step on which a C stands. Other clefs shift the pattern of the treble clef; where that would
/// leave the staff at the top, as in the tenor clef, sharps start low.
pub(in crate::picture) fn key_steps(count: u8, sharps: bool, c_step: i32) -> Vec<i32> {
    let higher = (c_step + 2).rem_euclid(7);
    let (pattern, shift) = match (sharps, higher) {
        (true, 1 | 2) => ([2, 6, 3, 7, 4, 8, 5], higher - 1),
        (true, 0) => ([8, 5, 9, 6, 3, 7, 4], 0),
        (true, _) => ([8, 5, 9, 6, 3, 7, 4], higher - 7),
        (false, 0..=2) => ([4, 7, 3, 6, 2, 5, 1], higher),
        (false, _) => ([4, 7, 3, 6, 2, 5, 1], higher - 7),
    };
    pattern.into_iter().take(usize::from(count)).map(|step| step + shift).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::{Bar, Clef, Event, EventId, Letter, Note, NoteValue, Pitch, Quarters, TimeSignature};

    /// The order of sharps and flats (common practice, no source).
    #[test]
    fn keys_alter_the_letters_they_name() {
        let altered = |key| (0..7).filter(|&l| key_alter(key, l) != 0.0).collect::<Vec<_>>();
        assert_eq!(altered(1), [3], "G major has F sharp");
        assert_eq!(altered(-2), [2, 6], "B flat major has E flat and B flat");
        assert_eq!(altered(7).len(), 7);
        assert_eq!(key_alter(-3, 5), -1.0, "E flat major has A flat");
    }

    /// Printed patterns of the clefs (common practice, no source), as half spaces above the bottom
    /// line.
    #[test]
    fn signatures_stand_where_they_are_printed() {
        let c = |clef: Clef| 28 - clef.bottom_line();
        assert_eq!(key_steps(7, true, c(Clef::TREBLE)), [8, 5, 9, 6, 3, 7, 4]);
        assert_eq!(key_steps(7, false, c(Clef::TREBLE)), [4, 7, 3, 6, 2, 5, 1]);
        assert_eq!(key_steps(7, true, c(Clef::BASS)), [6, 3, 7, 4, 1, 5, 2]);
        assert_eq!(key_steps(7, false, c(Clef::BASS)), [2, 5, 1, 4, 0, 3, -1]);
        assert_eq!(key_steps(7, true, c(Clef::ALTO)), [7, 4, 8, 5, 2, 6, 3]);
        assert_eq!(key_steps(7, false, c(Clef::ALTO)), [3, 6, 2, 5, 1, 4, 0]);
        assert_eq!(key_steps(7, true, c(Clef::TENOR)), [2, 6, 3, 7, 4, 8, 5]);
        assert_eq!(key_steps(7, false, c(Clef::TENOR)), [5, 8, 4, 7, 3, 6, 2]);
    }

    /// The bar rule (common practice, no source).
    #[test]
    fn an_accidental_holds_to_the_barline() {
        let bar = |n: i64| {
            Bar::new(Quarters::from(2 * n), Quarters::from(2), n.to_string(), TimeSignature::new(2, 4), 1)
        };
        let pitches =
            [(Letter::F, 1.0), (Letter::F, 0.0), (Letter::F, 0.0), (Letter::F, 1.0), (Letter::C, 1.0)];
        let mut score = Score { bars: vec![bar(0), bar(1), bar(2)].into(), ..Score::default() };
        for (i, (step, alter)) in pitches.into_iter().enumerate() {
            let note = Note::new(Pitch::new(step, alter, 5));
            let onset = Quarters::from(i as i64);
            score.events.push(Event::new(EventId(i as u32), onset, NoteValue::QUARTER, vec![note]).into());
        }
        // The last C sharp is tied over the barline.
        score.events[4].notes[0].tie_stop = true;
        let engraving = crate::picture::Engraving::new(&score);
        let printed: Vec<_> = engraving.chords.iter().map(|chord| chord.heads[0].accidental).collect();
        assert_eq!(printed, [None, Some(0.0), Some(0.0), Some(1.0), None]);
    }
}
