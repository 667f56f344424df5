//! Keys by name: common practice, no source.

use super::Letter;

/// The letters by fifths upward; the key of no sharps and flats is that of the second.
const FIFTHS: [Letter; 7] = {
    use Letter::{A, B, C, D, E, F, G};
    [F, C, G, D, A, E, B]
};
/// Fifths from F to the keynote of a major and of a minor key without sharps and flats.
const MAJOR: i8 = 1;
const MINOR: i8 = 4;

/// The name of a key signature, given as its number of sharps (flats negative, 7 at most):
/// "B flat major or G minor".
pub fn key_words(key: i8) -> String {
    let keynote = |from: i8| {
        let fifths = key.clamp(-7, 7) + from;
        let letter = FIFTHS[fifths.rem_euclid(7) as usize].symbol();
        match fifths.div_euclid(7) {
            0 => letter.to_string(),
            1.. => format!("{letter} sharp"),
            _ => format!("{letter} flat"),
        }
    };
    format!("{} major or {} minor", keynote(MAJOR), keynote(MINOR))
}

/// The key signature a text means: "B flat", "Bb major", "f# minor", "3 sharps", "2 flats", "none". Without
/// a word for it a key is major. None where it is no key, or has more than seven sharps or flats.
pub fn key_from_words(text: &str) -> Option<i8> {
    let text = text.trim().to_lowercase().replace(['♯', '#'], " sharp ").replace('♭', " flat ");
    let mut words: Vec<&str> = text.split_whitespace().collect();
    let from = match words.last()? {
        &("minor" | "min" | "m") => MINOR,
        _ => MAJOR,
    };
    if let [.., "major" | "maj" | "minor" | "min" | "m"] = words[..] {
        words.pop();
    }
    let key = match words[..] {
        ["none" | "0"] => 0,
        [count, "sharp" | "sharps"] if count.parse::<i8>().is_ok() => count.parse().ok()?,
        [count, "flat" | "flats"] if count.parse::<i8>().is_ok() => -count.parse::<i8>().ok()?,
        [note] => {
            keynote(note.strip_suffix('b').filter(|_| note.len() > 1).unwrap_or(note))?
                - from
                - if note.len() > 1 { 7 } else { 0 }
        }
        [note, "sharp"] => keynote(note)? - from + 7,
        [note, "flat"] => keynote(note)? - from - 7,
        _ => return None,
    };
    (-7..=7).contains(&key).then_some(key)
}

/// Fifths from F up to a letter.
fn keynote(text: &str) -> Option<i8> {
    let mut letters = text.chars();
    let letter = letters.next()?.to_ascii_uppercase();
    let place = FIFTHS.iter().position(|fifth| fifth.symbol() == letter)?;
    letters.next().is_none().then_some(place as i8)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The circle of fifths: common practice, no source.
    #[test]
    fn keys_are_known_by_their_names() {
        let names = [
            (-7, "C flat major or A flat minor"),
            (-2, "B flat major or G minor"),
            (0, "C major or A minor"),
            (1, "G major or E minor"),
            (6, "F sharp major or D sharp minor"),
        ];
        for (key, name) in names {
            assert_eq!(key_words(key), name);
        }
        for key in -7..=7 {
            let both = key_words(key);
            for name in both.split(" or ") {
                assert_eq!(key_from_words(name), Some(key), "{name}");
            }
        }
    }

    #[test]
    fn keys_are_read_as_they_are_typed() {
        let typed = [
            ("Bb", -2),
            ("b", 5),
            ("bb", -2),
            ("B flat", -2),
            ("B♭ major", -2),
            ("g minor", -2),
            ("f# minor", 3),
            ("E", 4),
            ("2 flats", -2),
            ("3 sharps", 3),
            ("1 sharp", 1),
            ("none", 0),
            ("0", 0),
        ];
        for (text, key) in typed {
            assert_eq!(key_from_words(text), Some(key), "{text}");
        }
        for bad in [
            "",
            "H",
            "B sharp flat",
            "9 flats",
            "-3 flats x",
            "G sharp major",
            "Cbb",
            "minor",
            "é",
            "127 flats",
        ] {
            assert_eq!(key_from_words(bad), None, "{bad}");
        }
    }
}
