//! The drawing of the player: flipped for the left-handed, with every name, for any figures.

use elbowroom::{
    analysis::{Analysis, Study},
    arm::Plane,
    figure::{Dot, Mannequin, Material, Sitter},
    lesson::demo::demo,
    picture::{ArmFigure, ArmView, Item, PAPER_PIXELS_PER_MM, Picture, Theme, bow_bar, level_fan, pdf},
    setup::{Family, Setup},
};

fn study_of(family: Family, left_handed: bool) -> Study {
    let mut lesson = demo();
    lesson.setup = Setup { left_handed, ..Setup::for_family(family) };
    Study::new(lesson)
}

fn figure(analysis: &Analysis, view: ArmView, string: u8, hair_mm: f64) -> ArmFigure {
    let plane = Plane::String(string);
    let level_deg = analysis.arm_path.fan.level(plane).angle_deg;
    let held = Some(Plane::String(5 - string));
    ArmFigure {
        view,
        turn_deg: (0.0, 0.0),
        level_deg,
        plane,
        hair_mm,
        held,
        size_mm: (170.0, 110.0),
        type_mm: 3.3,
        large: true,
        pixels_per_mm: 0.8,
    }
}

fn arm_figure(study: &Study, figure: &ArmFigure) -> Picture {
    let mannequin = Mannequin::new(&study.lesson().setup, &study.analysis().arm_path.arm);
    elbowroom::picture::arm_figure(study, &mut Sitter::new(mannequin), figure)
}

/// Dots of each material on a drawing.
fn dots(picture: &Picture, material: Material) -> usize {
    let images = picture.items.iter().filter_map(|item| match item {
        Item::Image { image, .. } => Some(image),
        _ => None,
    });
    let is_it = |dot: Dot| matches!(dot, Dot::Tone(of, _) if of == material);
    let count = |image: &std::sync::Arc<elbowroom::figure::Image>| {
        let places = (0..image.height).flat_map(|y| (0..image.width).map(move |x| (x, y)));
        places.filter(|(x, y)| is_it(image.at(*x, *y).0)).count()
    };
    images.map(count).sum()
}

/// The bow arm, the arm held against it, the bow and the instrument are seen from every side, the arm
/// from behind too: there through the trunk.
#[test]
fn what_is_taught_is_seen_from_every_side() {
    for family in Family::ALL {
        let study = study_of(family, false);
        for view in ArmView::ALL {
            let fine = ArmFigure {
                size_mm: (80.0, 60.0),
                type_mm: 1.5,
                pixels_per_mm: 4.0,
                ..figure(study.analysis(), view, 2, 150.0)
            };
            let picture = arm_figure(&study, &fine);
            for material in [Material::Sleeve, Material::OtherSleeve, Material::Stick, Material::Varnish] {
                // From its own side the bow of a cello points away, from behind the instrument hides it.
                let hidden = matches!(view, ArmView::BowSide | ArmView::Behind) && !family.on_shoulder();
                let on_end = hidden && material == Material::Stick;
                let found = dots(&picture, material);
                assert!(found >= 12 || on_end, "{} {view:?} {material:?}: {found}", family.word());
            }
        }
    }
}

/// On a page its image has 300 pixels an inch or more, edges of contours lie on half of that, and the file
/// stays small enough to be sent: a megabyte, assumed.
#[test]
fn on_paper_it_is_as_fine_as_print() {
    let study = study_of(Family::Cello, false);
    let figure = figure(study.analysis(), ArmView::Behind, 2, 150.0);
    let picture = arm_figure(&study, &ArmFigure { pixels_per_mm: PAPER_PIXELS_PER_MM, ..figure });
    let image = picture.items.iter().find_map(|item| match item {
        Item::Image { bounds, image } => Some((bounds.width() / 25.4, image.width)),
        _ => None,
    });
    let (inches, dots) = image.expect("the player");
    assert!(dots as f64 / inches >= 600.0 - 1.0, "{dots} dots on {inches} inches");
    let page = pdf::write([picture], &Theme::PRINT).expect("it can be written");
    assert!((20_000..1_000_000).contains(&page.len()), "{} bytes", page.len());
}

/// What stands still is drawn once and the arm over it: the same as everything drawn anew.
#[test]
fn drawn_again_it_is_as_drawn_anew() {
    for family in [Family::Viola, Family::Cello] {
        let study = study_of(family, false);
        let mannequin = Mannequin::new(&study.lesson().setup, &study.analysis().arm_path.arm);
        let mut sitter = Sitter::new(mannequin);
        let mut again = |figure: &ArmFigure| elbowroom::picture::arm_figure(&study, &mut sitter, figure);
        for view in [ArmView::Half, ArmView::Behind, ArmView::Half, ArmView::OwnEyes] {
            for (string, hair_mm) in [(1, 20.0), (4, 500.0), (2, 250.0)] {
                let large = figure(study.analysis(), view, string, hair_mm);
                let turned = ArmFigure { turn_deg: (25.0, 10.0), ..large };
                let small = ArmFigure { size_mm: (60.0, 40.0), held: None, ..large };
                for figure in [large, turned, small] {
                    let same = again(&figure) == arm_figure(&study, &figure);
                    assert!(same, "{} {view:?} {string} {hair_mm}", family.word());
                }
            }
        }
    }
}

fn texts(picture: &Picture) -> Vec<&str> {
    let texts = picture.items.iter().filter_map(|item| match item {
        Item::Text { text, .. } => Some(text.as_str()),
        _ => None,
    });
    texts.collect()
}

/// The left-handed picture in a mirror is the right-handed one, with its words as they were.
#[test]
fn flipped_and_mirrored_is_the_original() {
    for family in Family::ALL {
        let (right, left) = (study_of(family, false), study_of(family, true));
        let (a, b) = (right.analysis(), left.analysis());
        let mirrored_is_original = |original: Picture, other: Picture| {
            assert_ne!(original, other, "the flip changes the picture");
            assert_eq!(texts(&original), texts(&other), "words stay readable");
            let back = other.flipped();
            for (one, two) in original.items.iter().zip(&back.items) {
                let (one, two) = (one.bounds().unwrap_or_default(), two.bounds().unwrap_or_default());
                for (p, q) in [(one.x0, two.x0), (one.y0, two.y0), (one.x1, two.x1), (one.y1, two.y1)] {
                    assert!((p - q).abs() < 1e-9, "{} {one:?} {two:?}", family.word());
                }
            }
        };
        for view in ArmView::ALL {
            for (string, hair) in [(1, 20.0), (4, 500.0)] {
                let one = arm_figure(&right, &figure(a, view, string, hair));
                mirrored_is_original(one, arm_figure(&left, &figure(b, view, string, hair)));
            }
        }
        let (one, two) = (level_fan(&right, &a.bow_at(1.0), 70.0), level_fan(&left, &b.bow_at(1.0), 70.0));
        mirrored_is_original(one, two);
        let (one, two) = (bow_bar(&right, &a.bow_at(1.0), 160.0), bow_bar(&left, &b.bow_at(1.0), 160.0));
        mirrored_is_original(one, two);
    }
}

#[test]
fn every_view_names_frog_tip_levels_and_where_it_is_seen_from() {
    for family in Family::ALL {
        let study = study_of(family, false);
        let analysis = study.analysis();
        for view in ArmView::ALL {
            let picture = arm_figure(&study, &figure(analysis, view, 1, 200.0));
            let words = texts(&picture);
            // The player's own eyes need not see the whole bow.
            let whole = words.contains(&"frog") && words.contains(&"tip");
            assert!(whole || view == ArmView::OwnEyes, "{words:?}");
            assert!(words.iter().any(|words| words.contains("seen ")), "{words:?}");
            if !view.shows_heights() {
                continue;
            }
            for string in &analysis.arm_path.fan.strings {
                assert!(words.contains(&string.name.as_str()), "{} {words:?}", string.name);
            }
        }
    }
}

#[test]
fn nothing_leaves_the_picture_above_or_below_and_all_is_finite() {
    for family in Family::ALL {
        let mut lesson = study_of(family, false).lesson().clone();
        for stature in [f64::NAN, 700.0, 1750.0, 2300.0] {
            lesson.setup.body.stature_mm = stature;
            let study = Study::new(lesson.clone());
            for view in ArmView::ALL {
                for hair in [f64::NAN, 1e9] {
                    let picture = arm_figure(&study, &figure(study.analysis(), view, 2, hair));
                    for item in &picture.items {
                        let at = item.bounds().expect("something is drawn");
                        assert!(at.is_finite(), "{item:?}");
                        let inside = at.y0 > -20.0 && at.y1 < picture.height_mm + 20.0;
                        assert!(inside, "{} {item:?}", family.word());
                    }
                }
            }
        }
    }
}
