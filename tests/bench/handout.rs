//! Handouts: time to make one page of each starting point of the demo, and a handout of forty pages, as drawings
//! and as the file that is printed. The baseline is the analysis of the demo in the same run. The aims are 150 ms a
//! page and 3 s for forty.

use std::hint::black_box;

use elbowroom::{
    advice::remedies,
    analysis::{Study, analyse},
    exchange::saving::Over,
    lesson::{
        demo::demo,
        handout::{ArmView, Block, Entry, Handout, Shown},
    },
    picture::{
        Theme,
        film::{Film, Kind, Reel, Seen, Subject, save_film},
        handout::pages,
        pdf,
    },
    practice::handout::{of_double_stop, of_finding, of_levels, of_passage, warm_up},
};

#[path = "timing.rs"]
mod timing;
use timing::median_seconds;

fn main() {
    let lesson = demo();
    let study = Study::new(lesson.clone());
    let baseline = median_seconds(21, || drop(black_box(analyse(&lesson))));
    println!("baseline, analysis of the demo: {:.2} ms", 1e3 * baseline);
    let finding = &study.analysis().findings.told[0];
    let stop = study.analysis().line.notes.iter().find(|attack| attack.notes.len() > 1);
    let stop = stop.expect("the demo has double stops").id();
    let made = [
        ("passage", of_passage(&study, 4..8)),
        ("finding with what helps", of_finding(&study, finding, &remedies(&study, finding))),
        ("levels, two players and two bridges", of_levels(&study, &[2, 0], ArmView::default())),
        ("double stop", of_double_stop(&study, stop)),
        ("warm-up", warm_up(&study, 0, 10)),
    ];
    let drawn = |handout: &Handout| drop(black_box(pages(&study, handout)));
    let printed = |handout: &Handout| drop(black_box(pdf::write(pages(&study, handout), &Theme::PRINT)));
    for (name, handout) in &made {
        let count = pages(&study, handout).len();
        let each = |work: &dyn Fn(&Handout)| median_seconds(5, || work(handout)) / count as f64;
        let (drawn, printed) = (each(&drawn), each(&printed));
        println!(
            "{name}: {:.1} ms a page of {count}, {:.1} baselines; as a PDF {:.1} ms, {:.1} baselines",
            1e3 * drawn,
            drawn / baseline,
            1e3 * printed,
            printed / baseline
        );
    }
    let shown = Shown { pencil: true, hair: true, levels: true, ..Shown::default() };
    let passage = Block::Passage { bars: "1-12".to_owned(), shown };
    let mut handout = Handout { entries: vec![Entry::from(passage.clone())], ..Handout::default() };
    while pages(&study, &handout).len() < 40 {
        handout.entries.extend(vec![Entry::from(passage.clone()); 8]);
    }
    let count = pages(&study, &handout).len();
    for (what, work) in [("drawn", &drawn as &dyn Fn(&Handout)), ("as a PDF", &printed)] {
        let all = median_seconds(3, || work(&handout));
        println!("{count} pages {what}: {all:.2} s, {:.0} baselines", all / baseline);
    }
    film(&study, baseline);
}

/// Bars of the demo at their tempo, as many as ten seconds hold.
fn film(study: &Study, baseline: f64) {
    let player = Some(ArmView::default());
    let seen =
        Seen { staff: true, hair: true, levels: true, bow: true, fan: true, player, ..Seen::default() };
    let subject = Subject::Passage { bars: 0..4 };
    let film = Film { subject, seen, size: (1280, 720), rate: 30, pause_s: 0.0, ..Film::default() };
    let reel = Reel::new(study, &film).expect("it can be made");
    let folder = tempfile::tempdir().expect("a folder");
    for (_, kind) in Kind::ENDINGS {
        let path = folder.path().join(format!("film.{}", kind.ending()));
        let seconds = median_seconds(1, || {
            save_film(&reel, kind, &path, Over::Anything, &mut |_| true).expect("it is saved");
        });
        let shown = reel.count() as f64 / 30.0;
        println!(
            "{:?}, {} frames ({shown:.1} s): {seconds:.1} s, {:.0} baselines; ten seconds {:.1} s",
            kind,
            reel.count(),
            seconds / baseline,
            10.0 * seconds / shown
        );
    }
}
