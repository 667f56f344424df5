//! `<barline>`: double bars, repeats, endings; and jumps.

use super::{
    raw::RawBar,
    tree::Node,
    walk::Walker,
    xml::{child_text, elements, text},
};
use crate::score::{Jumps, Return};

impl Walker<'_> {
    /// Reads a `<barline>`.
    pub(super) fn barline(&mut self, node: Node<'_, '_>) {
        let location = node.attribute("location").unwrap_or("right");
        if child_text(node, "bar-style")
            .is_some_and(|style| style.contains("heavy") || style == "light-light")
        {
            match location {
                "right" => self.last_bar(|bar| bar.double_barline = true),
                "left" => {
                    let before = self.part.bars.len().wrapping_sub(2);
                    if let Some(bar) = self.part.bars.get_mut(before) {
                        bar.double_barline = true;
                    }
                }
                _ => self.remark(node, "a barline inside a bar is not read", ""),
            }
        }
        for item in elements(node) {
            match item.name() {
                "repeat" => match (item.attribute("direction").unwrap_or(""), location) {
                    ("forward", "right") => self.repeat_next = true,
                    ("forward", _) => self.last_bar(|bar| bar.repeat_start = true),
                    ("backward", "left") => {
                        let before = self.part.bars.len().wrapping_sub(2);
                        if let Some(bar) = self.part.bars.get_mut(before) {
                            bar.repeat_end = true;
                        }
                    }
                    ("backward", _) => self.last_bar(|bar| bar.repeat_end = true),
                    _ => self.warn(item, "a repeat without a direction is left out", ""),
                },
                "ending" => {
                    let number = item.attribute("number").unwrap_or("").trim();
                    let number = if number.is_empty() { text(item) } else { number }.to_owned();
                    match item.attribute("type").unwrap_or("") {
                        "start" => self.ending = Some(number),
                        _ => {
                            let ending = self.ending.take().unwrap_or(number);
                            self.last_bar(|bar| bar.ending = Some(ending));
                        }
                    }
                }
                "fermata" => {
                    self.remark(item, "a fermata on a barline is not read", "put it on a note or rest")
                }
                "segno" | "coda" => self.opening_sign(item.name(), location == "right"),
                _ => {}
            }
        }
    }

    fn last_bar(&mut self, change: impl FnOnce(&mut RawBar)) {
        if let Some(bar) = self.part.bars.last_mut() {
            change(bar);
        }
    }

    /// A segno or a coda, over the bar or, where it ends it, over the next.
    fn opening_sign(&mut self, name: &str, ends: bool) {
        let sign = match name {
            "segno" => Jumps { segno: true, ..Jumps::default() },
            _ => Jumps { coda: true, ..Jumps::default() },
        };
        if ends {
            self.opens_next.add(&sign);
        } else {
            self.last_bar(|bar| bar.jumps.add(&sign));
        }
    }

    /// A segno or a coda at the place that is read.
    pub(super) fn sign_here(&mut self, name: &str) {
        let full = self.time.bar_length();
        let ends = self.cursor.is_positive() && full.is_some_and(|full| self.cursor >= full);
        self.opening_sign(name, ends);
    }

    /// What words over the music, and a `<sound>`, say of jumps.
    pub(super) fn said_jumps(&mut self, words: &str, sound: Option<Node<'_, '_>>) {
        let mut jumps = Jumps::from_words(words);
        if let Some(sound) = sound {
            let has = |name: &str| sound.attribute(name).is_some_and(|value| value != "no");
            jumps.fine |= has("fine");
            jumps.to_coda |= has("tocoda");
            let back = has("dacapo").then_some(Return::ToStart);
            jumps.back = jumps.back.or(back).or(has("dalsegno").then_some(Return::ToSegno));
            for name in ["segno", "coda"] {
                if has(name) {
                    self.sign_here(name);
                }
            }
        }
        self.last_bar(|bar| bar.jumps.add(&jumps));
    }
}
