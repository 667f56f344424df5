//! Segno, coda, and the jumps to them. Their names are those of the trade, as in the `<sound>` element of
//! MusicXML 4.0.

use serde::{Deserialize, Serialize};

/// Where a jump back leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Return {
    /// Da capo: to the start.
    ToStart,
    /// Dal segno: to the sign.
    ToSegno,
}

/// What a bar has of segno, coda and jumps.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Jumps {
    /// A segno stands over its start.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub segno: bool,
    /// The coda begins with it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub coda: bool,
    /// After a jump back, its end leads to the coda.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub to_coda: bool,
    /// After a jump back, its end is the end.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub fine: bool,
    /// Its end jumps back.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub back: Option<Return>,
}

impl Jumps {
    /// None of them.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// What words over the end of a bar mean: "D.C. al Fine", "Dal segno", "To Coda", "Fine". Signs that
    /// begin a bar are no words.
    pub fn from_words(words: &str) -> Self {
        let letters: String = words.to_lowercase().chars().filter(|c| c.is_alphabetic()).collect();
        let mut jumps = Self::default();
        match letters.as_str() {
            "fine" | "fin" => jumps.fine = true,
            "tocoda" | "alcoda" | "allacoda" => jumps.to_coda = true,
            _ => {}
        }
        let starts = |names: &[&str]| names.iter().any(|name| letters.starts_with(name));
        let is_short = |name: &str| letters == name || starts(&[&format!("{name}al")]);
        if is_short("dc") || starts(&["dacapo"]) {
            jumps.back = Some(Return::ToStart);
        } else if is_short("ds") || starts(&["dalsegno"]) {
            jumps.back = Some(Return::ToSegno);
        }
        jumps
    }

    /// What stands over the end of its bar, but what is said there already.
    pub fn words(&self, said: &Self) -> Vec<&'static str> {
        let back = self.back.filter(|_| said.back.is_none()).map(|back| match back {
            Return::ToStart => "D.C.",
            Return::ToSegno => "D.S.",
        });
        let to_coda = (self.to_coda && !said.to_coda).then_some("To Coda");
        let fine = (self.fine && !said.fine).then_some("Fine");
        [to_coda, fine, back].into_iter().flatten().collect()
    }

    /// Has all that another has.
    pub fn has(&self, other: &Self) -> bool {
        let mut both = self.clone();
        both.add(other);
        both == *self && other.back.is_none_or(|back| self.back == Some(back))
    }

    /// Adds what another has.
    pub fn add(&mut self, other: &Self) {
        self.segno |= other.segno;
        self.coda |= other.coda;
        self.to_coda |= other.to_coda;
        self.fine |= other.fine;
        self.back = self.back.or(other.back);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The usual words of printed parts. Common practice, no source.
    #[test]
    fn words_of_jumps_are_understood() {
        let back = |words: &str| Jumps::from_words(words).back;
        for words in ["D.C.", "D. C. al Fine", "Da Capo", "da capo al fine", "D.C. al Coda"] {
            assert_eq!(back(words), Some(Return::ToStart), "{words}");
        }
        for words in ["D.S.", "D.S. al Coda", "Dal Segno", "dal segno al fine"] {
            assert_eq!(back(words), Some(Return::ToSegno), "{words}");
        }
        for words in ["", "dolce", "al fine", "fine del corso", "dcb", "senza sord."] {
            assert!(Jumps::from_words(words).is_empty(), "{words}");
        }
        assert!(Jumps::from_words("Fine").fine);
        assert!(Jumps::from_words("To Coda").to_coda);
    }
}
