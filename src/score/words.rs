//! Words as they are shown.

/// The words with a capital at the start.
pub fn sentence_case(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A length as a player says it: "9.5 cm", "12 cm".
pub fn cm(mm: f64) -> String {
    let cm = mm / 10.0;
    // From here on it would be "10.0".
    if cm >= 9.95 { format!("{cm:.0} cm") } else { format!("{cm:.1} cm") }
}

/// A figure in a message, as it was given; one with many digits as a power of ten.
pub fn figure(value: f64) -> String {
    if value.is_finite() && value.abs() >= 1e9 { format!("{value:e}") } else { value.to_string() }
}

/// "three", for small numbers; larger ones in figures.
pub fn count_words(count: usize) -> String {
    const WORDS: [&str; 13] = [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
        "twelve",
    ];
    WORDS.get(count).map_or_else(|| count.to_string(), |word| (*word).to_owned())
}

/// The words of a printed text as they are compared: small letters without accents, nothing between them.
pub(super) fn folded(text: &str) -> Vec<String> {
    let plain = |letter: char| match letter {
        '\u{e0}'..='\u{e5}' => 'a',
        '\u{e7}' => 'c',
        '\u{e8}'..='\u{eb}' => 'e',
        '\u{ec}'..='\u{ef}' => 'i',
        '\u{f2}'..='\u{f6}' => 'o',
        '\u{f9}'..='\u{fc}' => 'u',
        other => other,
    };
    // Accents that are written as letters of their own, after the letter they belong to.
    let small = text.to_lowercase();
    let bare: String = small.chars().filter(|c| !('\u{300}'..='\u{36f}').contains(c)).map(plain).collect();
    bare.split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(ToOwned::to_owned)
        .collect()
}

/// Tells whether words ask for plucking (true) or the bow (false).
pub(crate) fn plucked(words: &str) -> Option<bool> {
    let folded = words.to_lowercase();
    let pizzicato = folded.rfind("pizz");
    let word_arco = |at: &usize| !folded[..*at].ends_with(char::is_alphabetic);
    let arco = folded.rfind("arco").filter(word_arco);
    match (pizzicato, arco) {
        (None, None) => None,
        (pizzicato, arco) => Some(pizzicato > arco),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_first_letter_changes() {
        let words = ["", "bar 8, E4", "étude", "F major"].map(sentence_case);
        assert_eq!(words, ["", "Bar 8, E4", "Étude", "F major"]);
    }

    #[test]
    fn lengths_have_two_figures() {
        assert_eq!([0.4, 95.0, 99.4, 99.6, 123.0].map(cm), ["0.0 cm", "9.5 cm", "9.9 cm", "10 cm", "12 cm"]);
    }

    #[test]
    fn words_for_plucking_and_bowing() {
        for (words, expected) in [
            ("pizz.", Some(true)),
            ("Pizzicato", Some(true)),
            ("arco", Some(false)),
            ("pizz. - arco", Some(false)),
            ("arco, poi pizz.", Some(true)),
            ("col arco", Some(false)),
            ("marco", None),
            ("dolce", None),
        ] {
            assert_eq!(plucked(words), expected, "{words}");
        }
    }
}
