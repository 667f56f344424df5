//! Words as they are shown.

/// The words with a capital at the start.
pub fn sentence_case(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_first_letter_changes() {
        let words = ["", "bar 8, E4", "étude", "F major"].map(sentence_case);
        assert_eq!(words, ["", "Bar 8, E4", "Étude", "F major"]);
    }
}
