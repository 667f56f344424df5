//! Repeats, endings and jumps.

use crate::{
    lesson::{Edit, EditError, Lesson},
    score::{Jumps, Sign, SignKind},
};

use super::{bars::bar_at, refuse};

/// Begins a repeat at a bar and ends one there, or no longer.
///
/// # Errors
/// When there is no such bar.
pub fn set_repeat(lesson: &Lesson, bar: usize, start: bool, end: bool) -> Result<Edit, EditError> {
    bar_at(&lesson.score, bar)?;
    let mut new = lesson.clone();
    (new.score.bars[bar].repeat_start, new.score.bars[bar].repeat_end) = (start, end);
    Ok(Edit::between("Repeat", lesson, &new))
}

/// Puts a bar under the bracket of an ending, by the numbers of the times it is played ("1", "1, 2"); without
/// numbers under none. Bars under the same numbers after each other have one bracket.
///
/// # Errors
/// When there is no such bar, or the numbers are none.
pub fn set_ending(lesson: &Lesson, bar: usize, numbers: &str) -> Result<Edit, EditError> {
    bar_at(&lesson.score, bar)?;
    let numbers: Vec<&str> =
        numbers.split([',', ' ']).map(|n| n.trim_end_matches('.')).filter(|n| !n.is_empty()).collect();
    // Nobody plays a passage oftener. Assumed.
    if numbers.iter().any(|number| !number.parse::<u8>().is_ok_and(|n| (1..=99).contains(&n))) {
        return refuse("An ending has the numbers of the times it is played, such as 1 or 1, 2");
    }
    let mut new = lesson.clone();
    new.score.bars[bar].ending = (!numbers.is_empty()).then(|| numbers.join(", "));
    Ok(Edit::between("Ending", lesson, &new))
}

/// Puts segno and coda over the start of a bar, and over its end words that lead elsewhere, as they are
/// printed ("D.C. al Fine", "To Coda"); empty ones lead nowhere.
///
/// # Errors
/// When there is no such bar, or the words are others.
pub fn set_jumps(
    lesson: &Lesson,
    bar: usize,
    (segno, coda): (bool, bool),
    words: &str,
) -> Result<Edit, EditError> {
    let at = bar_at(&lesson.score, bar)?.end();
    let words = words.trim();
    let said = Jumps::from_words(words);
    if said.is_empty() && !words.is_empty() {
        return refuse("A jump is typed as it is printed: D.C. al Fine, D.S. al Coda, To Coda or Fine");
    }
    let mut new = lesson.clone();
    let score = &mut new.score;
    let here = score.bars[bar].start..=at;
    // Those at the start of the bar end the one before.
    score.signs.retain(|sign| {
        let jumps = matches!(&sign.kind, SignKind::Words(own) if !Jumps::from_words(own).is_empty());
        !(jumps && here.contains(&sign.at) && sign.at > *here.start())
    });
    if !words.is_empty() {
        let id = score.free_sign_id();
        score.signs.push(Sign { id, at, kind: SignKind::Words(words.to_owned()) });
    }
    score.bars[bar].jumps = Jumps { segno, coda, ..said };
    score.sort();
    Ok(Edit::between("Jump", lesson, &new))
}

/// The words over the end of a bar that lead elsewhere.
pub fn jump_words(lesson: &Lesson, bar: usize) -> String {
    let Some(bar) = lesson.score.bars.get(bar) else { return String::new() };
    let said = lesson.score.signs.iter().find_map(|sign| match &sign.kind {
        SignKind::Words(words) if sign.at > bar.start && sign.at <= bar.end() => {
            Some(words.trim()).filter(|words| !Jumps::from_words(words).is_empty())
        }
        _ => None,
    });
    said.map_or_else(|| lesson.score.unsaid_jumps(bar).join(" "), str::to_owned)
}
