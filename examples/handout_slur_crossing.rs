//! A page for a child: the first slur from one string to another, with pictures of the arm.
//!
//! `cargo run --example handout_slur_crossing -- page.pdf`

use std::{error::Error, path::PathBuf};

use elbowroom::{
    Family, Lesson, Study,
    lesson::{
        Writer,
        change::{new_passage, set_string},
        handout::{ArmView, Block, Entry, Handout, Head, Readers, Shown},
    },
    picture::{Theme, handout::pages, pdf},
    score::{Direction::Down, NoteValue, TimeSignature},
    setup::{Body, Catalogue, Sex},
};

/// "Two Boats", of our own invention, for a violin of a quarter size and a child of seven.
fn song() -> Result<Lesson, Box<dyn Error>> {
    let mut empty = new_passage(Family::Violin, TimeSignature::new(4, 4), 2, 72.0);
    empty.score.title = "Two Boats".to_owned();
    let small = Catalogue::builtin().by_size(Family::Violin).into_iter().find(|violin| violin.size == "1/4");
    empty.setup = empty.setup.in_size(small.ok_or("there is no quarter size")?);
    empty.setup.body = Body::of_age(7.0, Sex::Girl);
    let beginner = Catalogue::builtin().players.iter().position(|player| player.name == "beginner");
    let hair = empty.setup.bow.hair_mm;
    if let Some(player) = beginner.and_then(|index| Catalogue::builtin().stage(index, hair)) {
        empty.setup.player = player;
    }
    let (half, quarter) = (NoteValue::HALF, NoteValue::QUARTER);
    // Open strings: the A is not for the fourth finger on the D string.
    let on_a =
        |song: Writer| song.edit(|lesson, notes| set_string(lesson, notes[notes.len() - 1], 0, Some(2)));
    let song = on_a(Writer::new(empty).note("D4", half).bow(Down).note("A4", half)).slur(2);
    let song = on_a(song.note("A4", half)).note("D4", half).slur(2);
    let song = on_a(song.note("E4", quarter).note("F#4", quarter).note("A4", half)).slur(3);
    let song = on_a(song.note("A4", half)).note("D4", half).slur(2);
    Ok(song.finish()?.0)
}

fn main() -> Result<(), Box<dyn Error>> {
    let out = std::env::args_os().nth(1).map(PathBuf::from).ok_or("name the PDF to write")?;
    let study = Study::new(song()?);
    // The strings D and A among the levels, counted from the highest string with the pairs between.
    let (d, a) = (4, 2);
    let head = Head {
        title: "Two Boats".to_owned(),
        pupil: "Mira".to_owned(),
        date: "3 October".to_owned(),
        teacher: "Anton".to_owned(),
    };
    let blocks = [
        Block::Head(head),
        Block::Words(
            "*One bow, two strings.* The bow keeps moving. Your arm takes it over to the other string."
                .to_owned(),
        ),
        Block::Player { levels: vec![d, a], view: ArmView::Half },
        Block::Heading("Play it".to_owned()),
        Block::Passage { bars: "1-2".to_owned(), shown: Shown { levels: true, ..Shown::default() } },
        Block::Words(
            "- Say \"D\" and \"A\" and move your arm, without the bow.\n\
             - Play the open strings D and A in one bow.\n\
             - Now with fingers. Is the bow still moving when the string changes?"
                .to_owned(),
        ),
    ];
    let handout =
        Handout { readers: Readers::Children, entries: blocks.map(Entry::from).into(), ..Handout::default() };
    std::fs::write(&out, pdf::write(pages(&study, &handout), &Theme::PRINT)?)?;
    Ok(())
}
