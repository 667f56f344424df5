//! The handout in the window: pages made in one step, blocks moved and typed in, all of it undone.

use egui::{Key, Modifiers};
use egui_kittest::{Harness, kittest::Queryable as _};
use elbowroom::{
    desk::Desk,
    lesson::{demo::demo, handout::Block},
};

use crate::harness::{click, desk, press, press_with, settle, wait_until};

fn blocks(harness: &Harness<'_, Desk>) -> Vec<Block> {
    harness.state().lesson().handout.entries.iter().map(|entry| entry.block.clone()).collect()
}

/// A page for the bars of the first note.
fn with_a_page() -> Harness<'static, Desk> {
    let mut harness = desk(None);
    press(&mut harness, Key::ArrowRight);
    press_with(&mut harness, Modifiers::COMMAND | Modifiers::SHIFT, Key::H);
    wait_until(&mut harness, |harness| harness.query_by_label_contains("Page 1 of 1").is_some());
    harness
}

#[test]
fn a_page_for_the_chosen_bars_is_shown_as_it_will_be_printed() {
    let mut harness = with_a_page();
    let made = blocks(&harness);
    assert!(matches!(&made[0], Block::Head(head) if head.title == "Harbour Song"));
    let passage = made.iter().find_map(|block| match block {
        Block::Passage { bars, .. } => Some(bars.as_str()),
        _ => None,
    });
    assert_eq!(passage, Some("1"));
    assert_eq!(harness.state().undo_depth(), 1);
    press_with(&mut harness, Modifiers::COMMAND, Key::Z);
    assert_eq!(harness.state().lesson(), &demo());
    // A second one comes behind, under the same head.
    press_with(&mut harness, Modifiers::COMMAND, Key::Y);
    press_with(&mut harness, Modifiers::COMMAND | Modifiers::SHIFT, Key::H);
    wait_until(&mut harness, |harness| blocks(harness).len() > made.len());
    let heads = blocks(&harness).iter().filter(|block| matches!(block, Block::Head(_))).count();
    assert_eq!((heads, blocks(&harness).len()), (1, 2 * made.len() - 1));
}

#[test]
fn blocks_are_added_moved_and_removed() {
    let mut harness = desk(None);
    click(&mut harness, "Handout");
    harness.get_by_label_contains("Nothing is on it yet");
    for block in ["Heading", "Words"] {
        click(&mut harness, "Add a block");
        click(&mut harness, block);
    }
    let is = |harness: &Harness<'_, Desk>, names: &[&str]| {
        let name = |block: &Block| match block {
            Block::Heading(_) => "Heading",
            Block::Words(_) => "Words",
            _ => "other",
        };
        assert_eq!(blocks(harness).iter().map(name).collect::<Vec<_>>(), names);
    };
    is(&harness, &["Heading", "Words"]);
    click(&mut harness, "Up");
    is(&harness, &["Words", "Heading"]);
    click(&mut harness, "Double");
    is(&harness, &["Words", "Words", "Heading"]);
    click(&mut harness, "Remove");
    is(&harness, &["Words", "Heading"]);
    for _ in 0..5 {
        press_with(&mut harness, Modifiers::COMMAND, Key::Z);
    }
    assert_eq!(harness.state().lesson(), &demo());
    click(&mut harness, "Children");
    assert!(!harness.state().lesson().handout.is_empty());
}

#[test]
fn words_are_typed_and_undone_at_once() {
    let mut harness = desk(None);
    click(&mut harness, "Handout");
    click(&mut harness, "Add a block");
    click(&mut harness, "Heading");
    let typed = |harness: &Harness<'_, Desk>| match &blocks(harness)[..] {
        [Block::Heading(text)] => text.clone(),
        other => panic!("{other:?}"),
    };
    assert_eq!(typed(&harness), "This week");
    let field = |harness: &mut Harness<'_, Desk>| {
        let fields = harness.get_all_by_role(egui::accesskit::Role::TextInput);
        fields.last().expect("a field").focus();
    };
    field(&mut harness);
    settle(&mut harness);
    press_with(&mut harness, Modifiers::COMMAND, Key::A);
    for text in ["For", " next", " time"] {
        harness.get_all_by_role(egui::accesskit::Role::TextInput).last().expect("a field").type_text(text);
        settle(&mut harness);
    }
    assert_eq!(typed(&harness), "For next time");
    wait_until(&mut harness, |harness| harness.query_by_label_contains("Page 1 of 1").is_some());
    press(&mut harness, Key::Escape);
    press_with(&mut harness, Modifiers::COMMAND, Key::Z);
    assert_eq!(typed(&harness), "This week", "all that was typed is one step");
}

#[test]
fn a_finding_leads_to_a_page() {
    let mut harness = desk(None);
    press(&mut harness, Key::J);
    wait_until(&mut harness, |harness| harness.query_by_label("choose one").is_some());
    click(&mut harness, "A page for the pupil");
    wait_until(&mut harness, |harness| !blocks(harness).is_empty());
    assert!(blocks(&harness).iter().any(|block| matches!(block, Block::Finding(_))));
    assert!(blocks(&harness).iter().any(|block| matches!(block, Block::Remedy { .. })));
}

#[test]
fn what_has_changed_since_the_kept_version_comes_on_a_page() {
    let mut harness = desk(None);
    press(&mut harness, Key::K);
    press(&mut harness, Key::ArrowRight);
    press(&mut harness, Key::B);
    click(&mut harness, "Handout");
    click(&mut harness, "Make a page");
    click(&mut harness, "A page for what has changed");
    wait_until(&mut harness, |harness| !blocks(harness).is_empty());
    let versions = blocks(&harness).into_iter().find_map(|block| match block {
        Block::Versions { before, .. } => Some(before),
        _ => None,
    });
    let before = versions.expect("a block").lesson(harness.state().lesson()).expect("it fits");
    assert_eq!(before.score, demo().score);
}
