//! `<barline>`: double bars, repeats, endings; and jumps.

use super::{
    raw::RawBar,
    tree::Node,
    walk::Walker,
    xml::{child_text, elements, text},
};

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
                "segno" | "coda" => self.jump(item),
                _ => {}
            }
        }
    }

    fn last_bar(&mut self, change: impl FnOnce(&mut RawBar)) {
        if let Some(bar) = self.part.bars.last_mut() {
            change(bar);
        }
    }

    /// Remarks on a jump.
    pub(super) fn jump(&mut self, node: Node<'_, '_>) {
        self.remark(
            node,
            "jumps (da capo, dal segno, coda) are not unfolded; the music is planned in written order",
            "",
        );
    }
}
