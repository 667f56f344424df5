//! Words as a teacher types them: a blank line begins a paragraph, a line that begins with "- " an item of a
//! list, what stands between two asterisks is bold. Nothing more has a meaning.

/// A paragraph, or an item of a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Paragraph {
    /// An item of a list.
    pub is_item: bool,
    /// Its words.
    pub runs: Vec<Run>,
}

/// Words that look alike.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Run {
    /// The words.
    pub text: String,
    /// Bold.
    pub bold: bool,
}

impl Paragraph {
    /// Its words without their looks.
    pub fn plain(&self) -> String {
        self.runs.iter().map(|run| run.text.as_str()).collect()
    }
}

/// The paragraphs of what was typed.
pub fn paragraphs(typed: &str) -> Vec<Paragraph> {
    let mut found: Vec<(bool, String)> = Vec::new();
    let mut is_new = true;
    for line in typed.lines().map(str::trim) {
        let item = line.strip_prefix("- ").map(str::trim);
        match (item, found.last_mut().filter(|_| !is_new)) {
            (None, _) if line.is_empty() => {}
            (None, Some((_, text))) => *text = format!("{text} {line}"),
            (item, _) => found.push((item.is_some(), item.unwrap_or(line).to_owned())),
        }
        is_new = line.is_empty();
    }
    found.into_iter().map(|(is_item, text)| Paragraph { is_item, runs: runs(&text) }).collect()
}

/// Asterisks that stand close around words make them bold; others are asterisks.
fn runs(text: &str) -> Vec<Run> {
    let mut found: Vec<Run> = Vec::new();
    let mut push = |text: &str, bold: bool| {
        if !text.is_empty() {
            found.push(Run { text: text.to_owned(), bold });
        }
    };
    let mut rest = text;
    let mut plain = 0;
    while let Some(start) = rest[plain..].find('*').map(|at| plain + at) {
        let inner = &rest[start + 1..];
        let is_tight = |text: &str| !text.is_empty() && text.trim() == text;
        match inner.find('*').filter(|end| is_tight(&inner[..*end])) {
            Some(end) => {
                push(&rest[..start], false);
                push(&inner[..end], true);
                (rest, plain) = (&inner[end + 1..], 0);
            }
            None => plain = start + 1,
        }
    }
    push(rest, false);
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(typed: &str) -> Vec<(bool, String)> {
        let mark = |run: &Run| if run.bold { format!("<{}>", run.text) } else { run.text.clone() };
        let words = |paragraph: &Paragraph| paragraph.runs.iter().map(mark).collect();
        paragraphs(typed).iter().map(|paragraph| (paragraph.is_item, words(paragraph))).collect()
    }

    #[test]
    fn paragraphs_items_and_bold_words() {
        let typed =
            "Start *near the frog*,\nlet it ring.\n\nThen:\n- one *slow* bow\n- a rest\n  and again\n\nEnd.";
        let wanted = [
            (false, "Start <near the frog>, let it ring."),
            (false, "Then:"),
            (true, "one <slow> bow"),
            (true, "a rest and again"),
            (false, "End."),
        ];
        assert_eq!(read(typed), wanted.map(|(item, words)| (item, words.to_owned())));
    }

    #[test]
    fn other_asterisks_stay() {
        for typed in ["2 * 3 * 4", "a * b", "*", "**", "one* two", "ends with *", "é*ü*"] {
            let all: String = paragraphs(typed).iter().map(Paragraph::plain).collect();
            let bold = typed == "é*ü*";
            assert_eq!(all, if bold { "éü" } else { typed }, "{typed}");
        }
        assert!(paragraphs(" \n\n ").is_empty());
    }
}
