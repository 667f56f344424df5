//! The title in the head of a file.

use super::{
    super::{
        element::Element,
        error::ImportError,
        lines::Lines,
        tree::{Node, Stream, Tree},
        xml::{child, text},
    },
    on_note::{put_after, put_before},
    patch::{Patch, step_of},
};

/// What stands before the title of a movement in the head (MusicXML 4.0, `score-header`).
const BEFORE: [&str; 2] = ["work", "movement-number"];

/// Gives the piece another title, where the file has it: as the title of the work, or of the movement in
/// which it is the second half of what is shown; and where it is printed on the page.
pub(super) fn set(patch: &mut Patch<'_>, title: &str) -> Result<(), ImportError> {
    let head = head(patch)?;
    let named = |name: &str| head.iter().map(Tree::root).find(|node| node.name() == name);
    let full = |node: &Node<'_, '_>| !text(*node).is_empty();
    let work = named("work").and_then(|work| child(work, "work-title")).filter(full);
    let movement = named("movement-title").filter(full);
    let of_movement = work.and_then(|work| title.strip_prefix(text(work))?.strip_prefix(", "));
    let mut printed: Vec<(&str, &str)> = Vec::new();
    match (work, movement, of_movement) {
        (_, Some(movement), Some(rest)) => {
            patch.set_text(movement, rest);
            printed.push((text(movement), rest));
        }
        (Some(work), movement, _) => {
            patch.set_text(work, title);
            printed.push((text(work), title));
            movement.into_iter().for_each(|movement| patch.remove(movement.range()));
        }
        (None, Some(movement), _) => {
            patch.set_text(movement, title);
            printed.push((text(movement), title));
        }
        (None, None, _) => put_in(patch, &head, title),
    }
    for credit in head.iter().map(Tree::root).filter(|node| node.name() == "credit") {
        for words in credit.children().filter(|node| node.name() == "credit-words") {
            if let Some((_, new)) = printed.iter().find(|(old, _)| text(words) == *old) {
                patch.set_text(words, new);
            }
        }
    }
    Ok(())
}

/// What stands before the music.
fn head<'t>(patch: &Patch<'t>) -> Result<Vec<Tree<'t>>, ImportError> {
    let lines = Lines::new("");
    let mut stream = Stream::new(patch.text, &lines);
    stream.root()?;
    let mut head = Vec::new();
    while let Some(mut tree) = stream.next_child()? {
        if ["part", "measure"].contains(&tree.root().name()) {
            break;
        }
        stream.fill(&mut tree)?;
        head.push(tree);
    }
    Ok(head)
}

/// Puts a title into a head that has none.
fn put_in(patch: &mut Patch<'_>, head: &[Tree<'_>], title: &str) {
    let Some(first) = head.first().map(Tree::root) else { return };
    let step = step_of(patch, first, 0);
    let before = head.iter().map(Tree::root).take_while(|node| BEFORE.contains(&node.name())).last();
    let element = Element::new("movement-title").saying(title);
    match (before, head.iter().map(Tree::root).find(|node| node.name() == "movement-title")) {
        // An empty one.
        (_, Some(own)) => patch.set_text(own, title),
        (Some(before), None) => put_after(patch, (before.range().start, before.range().end), &element, step),
        (None, None) => {
            let work = Element::new("work").holding([Element::new("work-title").saying(title)]);
            put_before(patch, first.at(), &work, step);
        }
    }
}
