//! One pass over a file: title, part list, and the bars of each part.

use std::collections::HashMap;

use super::{
    error::{ImportError, short},
    header::{PartSource, listed_part},
    lines::Lines,
    raw::RawPart,
    tree::{Node, Stream, Tree},
    walk::Walker,
    xml::{child, child_text, elements, text},
};
use crate::exchange::diagnostic::{FilePlace, Reporter};

/// Most parts and most bars in a part. Assumed.
const PART_LIMIT: usize = 1000;
const BAR_LIMIT: usize = 100_000;
/// Most notes, rests, signs and bars in all parts. Assumed: the longest scores of the orchestra have
/// half as many.
const ITEM_LIMIT: usize = 1_000_000;

/// What a file holds.
pub(super) struct Contents {
    /// Title of the piece; may be empty.
    pub title: String,
    /// The parts that have bars, at least one.
    pub parts: Vec<RawPart>,
}

/// Reads the text of a file.
pub(super) fn contents(text: &str, report: &mut Reporter) -> Result<Contents, ImportError> {
    let lines = Lines::new(text);
    let mut stream = Stream::new(text, &lines);
    let timewise = is_timewise(stream.root()?.root())?;
    let mut pass = Pass {
        lines: &lines,
        report,
        concert: false,
        work: String::new(),
        movement: String::new(),
        parts: Vec::new(),
        by_id: HashMap::new(),
        items: 0,
    };
    // One after another, in the same place: room for a bar is made once.
    let mut held = Tree::default();
    while let Some(mut outer) = stream.next_child()? {
        match outer.root().name() {
            "part" if !timewise => {
                let part = pass.part(outer.root())?;
                while stream.next_whole_child(&mut held)? {
                    let bar = &held;
                    if bar.root().name() == "measure" {
                        pass.bar(part, bar.root(), bar.root())?;
                    }
                }
            }
            "measure" if timewise => {
                while stream.next_whole_child(&mut held)? {
                    let inner = &held;
                    if inner.root().name() == "part" {
                        let part = pass.part(inner.root())?;
                        pass.bar(part, outer.root(), inner.root())?;
                    }
                }
            }
            _ => {
                stream.fill(&mut outer)?;
                pass.head(outer.root())?;
            }
        }
    }
    stream.finish()?;
    pass.finish()
}

/// Whether the bars hold the parts, or the parts the bars.
fn is_timewise(root: Node<'_, '_>) -> Result<bool, ImportError> {
    match root.name() {
        "score-partwise" => Ok(false),
        "score-timewise" => Ok(true),
        "opus" => Err(ImportError::Unsupported {
            what: "the file is an opus, which only names other files".to_owned(),
            hint: "open one of the scores it names".to_owned(),
        }),
        other => Err(ImportError::Unsupported {
            what: format!("the file is XML but no score: its root is <{}>", short(other)),
            hint: "open a MusicXML file, whose root is <score-partwise>".to_owned(),
        }),
    }
}

/// What the pass has found so far.
struct Pass<'l> {
    lines: &'l Lines<'l>,
    report: &'l mut Reporter,
    /// Pitches are written as they sound. This and the part list stand before the parts.
    concert: bool,
    work: String,
    movement: String,
    parts: Vec<Walker<'l>>,
    by_id: HashMap<String, usize>,
    /// Notes, rests, signs and bars that are kept.
    items: usize,
}

impl Pass<'_> {
    /// Reads an element of the head.
    fn head(&mut self, node: Node<'_, '_>) -> Result<(), ImportError> {
        match node.name() {
            "work" => self.work = child_text(node, "work-title").unwrap_or("").to_owned(),
            "movement-title" => self.movement = text(node).to_owned(),
            "defaults" => self.concert = child(node, "concert-score").is_some(),
            "part-list" => {
                for part in elements(node).filter(|node| node.name() == "score-part") {
                    let source = listed_part(part);
                    if !self.by_id.contains_key(&source.id) {
                        self.add(source)?;
                    }
                }
            }
            _ => {}
        }
        Ok(())
    }

    /// Index of the part that an element names.
    fn part(&mut self, node: Node<'_, '_>) -> Result<usize, ImportError> {
        let id = node.attribute("id").unwrap_or("");
        if let Some(&known) = self.by_id.get(id) {
            return Ok(known);
        }
        self.report.warn(
            FilePlace { bar: "", line: self.lines.at(node.at()) },
            "a part is missing from the part list; it is called by its id",
            "",
        );
        self.add(PartSource {
            id: id.to_owned(),
            name: if id.is_empty() { "(no name)" } else { id }.to_owned(),
            family: None,
            percussion: false,
        })
    }

    fn add(&mut self, source: PartSource) -> Result<usize, ImportError> {
        let index = self.parts.len();
        if index == PART_LIMIT {
            return Err(limit("the number of parts", PART_LIMIT));
        }
        self.by_id.insert(source.id.clone(), index);
        self.parts.push(Walker::new(source, self.concert, self.lines));
        Ok(index)
    }

    fn bar(&mut self, part: usize, bar: Node<'_, '_>, contents: Node<'_, '_>) -> Result<(), ImportError> {
        let walker = &mut self.parts[part];
        let before = walker.part.items();
        walker.bar(bar, contents);
        if walker.part.bars.len() > BAR_LIMIT {
            return Err(limit("the number of bars", BAR_LIMIT));
        }
        self.items += walker.part.items() - before;
        if self.items > ITEM_LIMIT {
            return Err(limit("the number of notes, signs and bars", ITEM_LIMIT));
        }
        Ok(())
    }

    fn finish(self) -> Result<Contents, ImportError> {
        let (parts, empty): (Vec<RawPart>, Vec<RawPart>) =
            self.parts.into_iter().map(Walker::finish).partition(|part| !part.bars.is_empty());
        for part in empty {
            let message = format!("the listed part {:?} has no bars and is left out", part.name);
            self.report.note(FilePlace::default(), message, "");
        }
        if parts.is_empty() {
            return Err(ImportError::NoMusic);
        }
        // Title of the work, of the movement, or of both.
        let title = match (self.work, self.movement) {
            (work, movement) if movement.is_empty() || work == movement => work,
            (work, movement) if work.is_empty() => movement,
            (work, movement) => format!("{work}, {movement}"),
        };
        Ok(Contents { title, parts })
    }
}

fn limit(what: &str, limit: usize) -> ImportError {
    ImportError::Limit { what: what.to_owned(), limit: limit.to_string() }
}
