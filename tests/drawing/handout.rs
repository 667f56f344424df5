//! Handouts: is every block on its page, whole and told, whatever the paper and whoever reads it?

use elbowroom::{
    advice::remedies,
    analysis::Study,
    lesson::{
        Lesson,
        change::{delete_bars, set_slur},
        demo::demo,
        handout::{ArmView, Before, Block, Entry, Found, Handout, Head, Leaf, Readers, Shown},
    },
    picture::{
        Ink, Item, Picture, Role, Theme,
        handout::{block, pages, paper},
        png, svg,
    },
    practice::handout::{of_double_stop, of_finding, of_levels, of_passage, of_versions, warm_up},
    score::{Event, EventId, Shared},
};

/// The lesson with the slurs of bars 5 to 8 taken away, as what it was before.
fn otherwise_bowed(lesson: &Lesson) -> Before {
    let bars = &lesson.score.bars[4..8];
    let inside = |event: &&Shared<Event>| event.onset >= bars[0].start && event.onset < bars[3].end();
    let notes: Vec<EventId> = lesson.score.events.iter().filter(inside).map(|event| event.id).collect();
    let edit = set_slur(lesson, &notes, false).expect("slurs are there");
    let (earlier, _) = edit.apply(lesson).expect("they go");
    Before::of("without slurs", lesson, &earlier)
}

/// One block of every kind, from the demo.
pub fn every_block(study: &Study) -> Vec<Block> {
    let lesson = study.lesson();
    let notes = &study.analysis().line.notes;
    let stop = notes.iter().find(|attack| attack.notes.len() > 1).expect("a double stop").id();
    let finding = &study.analysis().findings.told[0];
    let found = Found { kind: finding.kind.id().to_owned(), note: finding.event };
    let remedy = of_finding(study, finding, &remedies(study, finding)).entries.into_iter().find_map(
        |entry| match entry.block {
            remedy @ Block::Remedy { .. } => Some(remedy),
            _ => None,
        },
    );
    let bars = || "5-8".to_owned();
    let all = Shown { pencil: true, places: true, hair: true, levels: true, curve: Some("speed".to_owned()) };
    let head = Head {
        title: lesson.score.title.clone(),
        pupil: "Mira".to_owned(),
        date: "3 October".to_owned(),
        teacher: "Anton".to_owned(),
    };
    vec![
        Block::Head(head),
        Block::Heading("This week".to_owned()),
        Block::Words("Play *near the frog* in F♯.\n\n- slowly\n- then faster".to_owned()),
        Block::Passage { bars: bars(), shown: Shown::default() },
        Block::Passage { bars: bars(), shown: all },
        Block::InWords { bars: bars() },
        Block::Bow(vec![notes[0].id(), notes[2].id()]),
        Block::Levels(vec![0, 2]),
        Block::Player { levels: vec![0, 2, 5], view: ArmView::Behind },
        Block::Together(stop),
        Block::Tempos { bars: bars() },
        Block::Finding(found),
        remedy.expect("something helps"),
        Block::Versions { bars: bars(), before: otherwise_bowed(lesson) },
        Block::StepByStep(stop),
        Block::Exercise { bars: bars(), practised: "crossings".to_owned() },
        Block::Scale { bars: bars() },
        Block::Practice { bars: bars(), shares: vec![0.5, 1.0] },
        Block::Staves(3),
        Block::Lines(6),
    ]
}

fn handout(blocks: Vec<Block>) -> Handout {
    Handout { entries: blocks.into_iter().map(Entry::from).collect(), ..Handout::default() }
}

fn every_setting(handout: &Handout) -> Vec<Handout> {
    let mut all = Vec::new();
    for paper in [Leaf::A4, Leaf::Letter] {
        for on_side in [false, true] {
            for readers in [Readers::Adults, Readers::Children] {
                all.push(Handout { paper, on_side, readers, ..handout.clone() });
            }
        }
    }
    all
}

fn texts(page: &Picture) -> Vec<&str> {
    page.items.iter().filter_map(text_of).collect()
}

/// An item in few words.
fn brief(item: &Item) -> String {
    match item {
        Item::Image { .. } => "an image".to_owned(),
        other => format!("{other:?}").chars().take(300).collect(),
    }
}

fn text_of(item: &Item) -> Option<&str> {
    match item {
        Item::Text { text, .. } => Some(text),
        _ => None,
    }
}

fn said(pages: &[Picture]) -> String {
    pages.iter().flat_map(texts).collect::<Vec<_>>().join(" ")
}

#[test]
fn nothing_leaves_the_page_and_no_two_blocks_overlap() {
    let study = Study::new(demo());
    for handout in every_setting(&handout(every_block(&study))) {
        let paper = paper(&handout);
        let pages = pages(&study, &handout);
        assert!(pages.len() > 3);
        for page in &pages {
            assert_eq!((page.width_mm, page.height_mm), (paper.width_mm, paper.height_mm));
            let inside = kurbo::Rect::new(8.0, 8.0, paper.width_mm - 8.0, paper.height_mm - 8.0);
            for item in &page.items {
                let Some(bounds) = item.bounds() else { continue };
                assert!(inside.contains_rect(bounds), "{} at {bounds:?}, {:?}", brief(item), handout.readers);
            }
            // Each part keeps to itself: drawings and words of different blocks share no room.
            let bounds = |items: &[Item]| items.iter().filter_map(Item::bounds).reduce(|a, b| a.union(b));
            let parts: Vec<_> = page
                .parts
                .iter()
                .filter_map(|part| Some((part, bounds(&page.items[part.items.clone()])?)))
                .collect();
            for (index, (one, a)) in parts.iter().enumerate() {
                for (other, b) in &parts[..index] {
                    let shared = a.inset(-0.6).intersect(b.inset(-0.6));
                    assert!(shared.width() <= 0.0 || shared.height() <= 0.0, "{one:?} and {other:?}");
                }
            }
        }
    }
}

#[test]
fn no_heading_stands_at_the_foot_of_a_page() {
    let study = Study::new(demo());
    // So many lines before it that every place on the page comes.
    for lines in 1..40 {
        let blocks = vec![
            Block::Lines(lines),
            Block::Heading("Then".to_owned()),
            Block::Passage { bars: "1-2".to_owned(), shown: Shown::default() },
        ];
        for page in pages(&study, &handout(blocks)) {
            let last = page.parts.last().expect("something stands there");
            assert!(!matches!(last.role, Role::Heading(..)) || page.parts.len() == 1, "{lines} lines");
        }
    }
}

#[test]
fn what_is_gone_is_told_in_a_line() {
    let study = Study::new(demo());
    let gone = elbowroom::score::EventId(9999);
    let found = Found { kind: "runs-out-stroke".to_owned(), note: gone };
    let blocks = vec![
        (
            Block::Passage { bars: "90-95".to_owned(), shown: Shown::default() },
            "Bars 90-95 are not in this music",
        ),
        (Block::Passage { bars: String::new(), shown: Shown::default() }, "No bars are chosen"),
        (
            Block::Passage {
                bars: "1".to_owned(),
                shown: Shown { curve: Some("colour".to_owned()), ..Shown::default() },
            },
            "no curve called colour",
        ),
        (Block::Bow(vec![gone]), "not in the music"),
        (Block::Bow(Vec::new()), "No note is chosen"),
        (Block::Levels(vec![200]), "no such level"),
        (Block::Player { levels: Vec::new(), view: ArmView::Half }, "No level"),
        (Block::Together(gone), "not in the music any more"),
        (Block::StepByStep(gone), "not in the music any more"),
        (Block::Tempos { bars: "x".to_owned() }, "Bar x is not in this music"),
        (Block::Finding(found.clone()), "is not found any more"),
        (Block::Remedy { found, change: "Pray".to_owned() }, "is not found any more"),
        (
            Block::Exercise { bars: "1".to_owned(), practised: "juggling".to_owned() },
            "no exercise called juggling",
        ),
        (Block::Versions { bars: "70".to_owned(), before: Before::default() }, "Bar 70 is not"),
        (Block::Scale { bars: "0".to_owned() }, "Bar 0 is not"),
        (Block::Practice { bars: "77".to_owned(), shares: vec![1.0] }, "Bar 77 is not"),
    ];
    for (block, words) in blocks {
        let pages = pages(&study, &handout(vec![block.clone()]));
        assert!(said(&pages).contains(words), "{block:?}: {}", said(&pages));
    }
}

/// Before and after: the way back gives the lesson as it was, and the page says what was done and nothing else.
#[test]
fn two_versions_stand_over_one_another_with_what_is_different() {
    let study = Study::new(demo());
    let lesson = study.lesson();
    let before = otherwise_bowed(lesson);
    let earlier = before.lesson(lesson).expect("it fits");
    let gone = |lesson: &Lesson| lesson.score.slurs.len();
    assert!(gone(&earlier) < gone(lesson) && earlier.score.events == lesson.score.events);
    let made = of_versions(&study, before.clone()).expect("something is different");
    let words = said(&pages(&study, &made));
    for told in ["before and after", "Without slurs", "As it is now", "slur"] {
        assert!(words.contains(told), "{told}: {words}");
    }
    let same = Block::Versions { bars: "1-2".to_owned(), before: before.clone() };
    assert!(
        said(&[block(&study, &same, Readers::Adults, 170.0)]).contains("Nothing is different in these bars")
    );
    assert!(of_versions(&study, Before::of("as it was", lesson, lesson)).is_none());
    // What was otherwise in the set-up, and bars that were not there, are told with the bars chosen.
    let mut other = lesson.clone();
    other.setup.bow.hair_mm -= 100.0;
    let (other, _) = delete_bars(&other, 5..6).and_then(|edit| edit.apply(&other)).expect("they go");
    let before = Before::of("last year", lesson, &other);
    let words = said(&pages(&study, &of_versions(&study, before.clone()).expect("as asked")));
    for told in ["Last year", "Set-up: playable hair", "bar 6 is new"] {
        assert!(words.contains(told), "{told}: {words}");
    }
    let there = Block::Versions { bars: "6".to_owned(), before };
    let words = said(&[block(&study, &there, Readers::Adults, 170.0)]);
    assert!(words.contains("These bars were not there"), "{words}");
    // An earlier version that contradicts the lesson is told, not drawn.
    let slur = elbowroom::score::Slur {
        id: elbowroom::score::SlurId(900),
        from: EventId(9998),
        to: EventId(9999),
        phrase: false,
    };
    let odd = Before { slurs: vec![(slur.id, Some(slur))], ..Before::default() };
    let odd = Block::Versions { bars: "1-2".to_owned(), before: odd };
    assert!(said(&[block(&study, &odd, Readers::Adults, 170.0)]).contains("does not fit"));
}

#[test]
fn an_empty_handout_is_an_empty_page() {
    let study = Study::new(demo());
    for handout in every_setting(&Handout::default()) {
        let pages = pages(&study, &handout);
        assert_eq!((pages.len(), pages[0].items.len()), (1, 0));
    }
}

#[test]
fn a_legend_says_what_is_on_its_page_and_no_more() {
    let study = Study::new(demo());
    let of = |shown| said(&pages(&study, &handout(vec![Block::Passage { bars: "5-8".to_owned(), shown }])));
    let staff = of(Shown::default());
    assert!(staff.contains("down-bow") && staff.contains("up-bow"));
    assert!(!staff.contains("planned bow") && !staff.contains("level of the bow arm"), "{staff}");
    let hair = of(Shown { hair: true, ..Shown::default() });
    assert!(
        hair.contains("planned bow")
            && hair.contains("where the bow may be")
            && hair.contains("the hair ends")
    );
    assert!(!hair.contains("bow in the air") && !hair.contains("level of the bow arm"), "{hair}");
    let levels = of(Shown { levels: true, ..Shown::default() });
    assert!(levels.contains("level of the bow arm") && !levels.contains("planned bow"), "{levels}");
    let words = said(&pages(&study, &handout(vec![Block::Words("Only words.".to_owned())])));
    assert_eq!(words, "Only words.");
}

#[test]
fn starting_points_make_pages_without_gaps() {
    let study = Study::new(demo());
    let finding = &study.analysis().findings.told[0];
    let stop = study.analysis().line.notes.iter().find(|attack| attack.notes.len() > 1).unwrap().id();
    // With the pages that each has at most; the warm-up has all its notes on them.
    let made = [
        (2, of_passage(&study, 4..8)),
        (2, of_finding(&study, finding, &remedies(&study, finding))),
        (2, of_levels(&study, &[2, 0], ArmView::default())),
        (2, of_double_stop(&study, stop)),
        (4, warm_up(&study, 0, 10)),
    ];
    for (most, handout) in made {
        assert_eq!(handout.problem(), None);
        let pages = pages(&study, &handout);
        let words = said(&pages);
        assert!(words.contains("Harbour Song"), "{words}");
        for missing in ["not in th", "any more", "chosen here", "no such", "NaN", "{", "}"] {
            assert!(!words.contains(missing), "{missing}: {words}");
        }
        assert!(pages.len() <= most, "{} pages: {words}", pages.len());
    }
}

/// What a person who does not see the page has read: everything is in a part, and figures have words.
#[test]
fn every_figure_has_words_and_they_name_the_music() {
    let study = Study::new(demo());
    for each in every_block(&study) {
        let alone = block(&study, &each, Readers::Adults, 170.0);
        assert!(!alone.parts.is_empty(), "{each:?}");
        for part in &alone.parts {
            if let Role::Figure(words) = &part.role {
                assert!(words.len() > 10 && !words.contains("NaN") && !words.contains("  "), "{words}");
            }
        }
        assert!(svg::write(&alone, &Theme::PRINT).len() > 200);
    }
    let shown = Shown { pencil: true, hair: true, ..Shown::default() };
    let passage = block(&study, &Block::Passage { bars: "5-8".to_owned(), shown }, Readers::Adults, 170.0);
    let Role::Figure(words) = &passage.parts[0].role else { panic!("a figure") };
    assert!(
        words.starts_with("Bars 5 to 8 on the staff, with the pencil marks down again, bar 5"),
        "{words}"
    );
}

/// Raised arms are general advice (ISO 11226, from memory); common practice, no source, for practising.
#[test]
fn a_page_that_is_practised_again_and_again_says_to_stop_when_it_hurts() {
    let study = Study::new(demo());
    let table = Block::Practice { bars: "5-8".to_owned(), shares: vec![0.5, 1.0] };
    assert!(said(&pages(&study, &handout(vec![table]))).contains("Stop when it hurts"));
    let words = said(&pages(&study, &handout(vec![Block::Words("Sing it.".to_owned())])));
    assert!(!words.contains("hurts"));
}

/// In black and white: what is told by an ink is told by the style, the width or the shape of its line too.
#[test]
fn lines_that_mean_something_else_differ_without_their_colour() {
    let study = Study::new(demo());
    let all = Shown { pencil: true, places: true, hair: true, levels: true, curve: Some("speed".to_owned()) };
    let page = &pages(&study, &handout(vec![Block::Passage { bars: "5-8".to_owned(), shown: all }]))[0];
    let pens = page.items.iter().filter_map(|item| match item {
        Item::Path { stroke: Some(pen), fill: None, .. } => Some(*pen),
        _ => None,
    });
    let mut looks: Vec<_> = pens
        .filter(|pen| matches!(pen.ink, Ink::Plan | Ink::Ghost | Ink::Level))
        .map(|pen| (pen.ink, pen.dash as u8, (pen.width_mm * 100.0).round() as i64))
        .collect();
    looks.sort_unstable();
    looks.dedup();
    for (index, one) in looks.iter().enumerate() {
        for other in &looks[..index] {
            assert!(one.0 == other.0 || (one.1, one.2) != (other.1, other.2), "{one:?} and {other:?}");
        }
    }
}

/// Every drawing turned to grey, and to black and white alone: what is drawn stays to be seen. What is only a
/// ground or a grid (ISO 216 paper, panels, rules) may go.
#[test]
fn a_page_in_black_and_white_still_shows_what_is_on_it() {
    const DPI: f64 = 300.0;
    let study = Study::new(demo());
    for page in pages(&study, &handout(every_block(&study))) {
        let bytes = png::write(&page, &Theme::PRINT, DPI).expect("a picture");
        let dots = tiny_skia::Pixmap::decode_png(&bytes).expect("a picture");
        let per_mm = DPI / 25.4;
        // Rec. 601 luma, of eight bits.
        let is_black = |x: usize, y: usize| {
            let dot = dots.pixels()[y * dots.width() as usize + x].demultiply();
            299 * u32::from(dot.red()) + 587 * u32::from(dot.green()) + 114 * u32::from(dot.blue()) < 128_000
        };
        for item in &page.items {
            let quiet = |ink: &Ink| matches!(ink, Ink::Paper | Ink::Panel | Ink::Rule);
            let told = match item {
                Item::Path { fill, stroke, .. } => {
                    let inks = [fill.as_ref(), stroke.as_ref().map(|pen| &pen.ink)];
                    inks.into_iter().flatten().any(|ink| !quiet(ink))
                }
                Item::Text { ink, .. } | Item::Glyph { ink, .. } => !quiet(ink),
                Item::Image { .. } => true,
            };
            let Some(bounds) = item.bounds().filter(|_| told) else { continue };
            let bounds = bounds.inflate(0.2, 0.2);
            let ends = |from: f64, to: f64, most: u32| {
                let dot = |mm: f64| ((mm * per_mm).max(0.0) as usize).min(most as usize - 1);
                dot(from)..=dot(to)
            };
            let (rows, columns) =
                (ends(bounds.y0, bounds.y1, dots.height()), ends(bounds.x0, bounds.x1, dots.width()));
            let seen = rows.into_iter().any(|y| columns.clone().any(|x| is_black(x, y)));
            assert!(seen, "{} at {bounds:?}", brief(item));
        }
    }
}
