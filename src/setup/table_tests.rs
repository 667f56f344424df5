//! No number of a set-up is missing from the table, and each row keeps its word.

use serde_json::{Value, json};

use super::{Family, Figure, Origin, Part, Section, Setup};

/// A set-up in which nothing that may be left out is left out.
fn full(family: Family) -> Setup {
    let mut setup = Setup::for_family(family);
    setup.hold = Some(setup.held());
    setup.player.tip_mark_mm = Some(500.0);
    setup.player.home = Some((0.25, 0.75));
    setup.body.measured_mm = Part::ALL.map(|part| Some(setup.body.part_mm(part).0));
    for habit in &mut setup.school.strokes {
        habit.home.get_or_insert((0.0, 1.0));
    }
    for (index, string) in setup.instrument.strings.iter_mut().enumerate() {
        string.impedance_kg_per_s.get_or_insert(0.2 + 0.1 * index as f64);
    }
    setup
}

/// Calls `see` with the address of every number in a value.
fn numbers(value: &Value, at: &str, see: &mut impl FnMut(&str)) {
    match value {
        Value::Number(_) => see(at),
        Value::Array(list) => {
            list.iter().enumerate().for_each(|(index, item)| numbers(item, &format!("{at}/{index}"), see));
        }
        Value::Object(fields) => {
            fields.iter().for_each(|(name, item)| numbers(item, &format!("{at}/{name}"), see));
        }
        Value::Null | Value::Bool(_) | Value::String(_) => {}
    }
}

/// Whatever number of a saved set-up is spoiled, the check says so: none is left out of the table.
#[test]
fn no_number_of_a_set_up_escapes_the_check() {
    for family in Family::ALL {
        let saved = serde_json::to_value(full(family)).expect("a set-up can be written");
        let read = |value: &Value| serde_json::from_value::<Setup>(value.clone());
        assert_eq!(read(&saved).expect("it is read back").problems(), Vec::<String>::new());
        let mut count = 0;
        numbers(&saved, "", &mut |at| {
            count += 1;
            for bad in [1e300, -1e300] {
                let mut spoiled = saved.clone();
                *spoiled.pointer_mut(at).expect("the number is there") = json!(bad);
                // A count does not even take it.
                let told = read(&spoiled).map_or(true, |setup| !setup.problems().is_empty());
                assert!(told, "{at} may be {bad}");
            }
        });
        assert!(count > 120, "{count}");
    }
}

#[test]
fn every_figure_is_told_by_its_name_when_it_is_no_number() {
    let mut setup = full(Family::Cello);
    for index in 0..setup.figures_mut().len() {
        let mut spoiled = setup.clone();
        let mut figures = spoiled.figures_mut();
        let figure = &mut figures[index];
        let (name, before) = (figure.name, figure.value());
        figure.set(f64::NAN);
        // A count takes 0 for it, which may be in range.
        let is_count = figure.value() == 0.0;
        let told = figure.problem().is_some_and(|problem| problem.starts_with(name));
        assert!(told || is_count && figure.least == 0.0, "{name} {before}");
    }
}

#[test]
fn a_row_can_be_told_from_every_other() {
    for family in Family::ALL {
        let mut setup = full(family);
        let figures = setup.figures_mut();
        for (index, figure) in figures.iter().enumerate() {
            let same = |other: &Figure<'_>| (other.section, other.name) == (figure.section, figure.name);
            assert!(!figures[index + 1..].iter().any(same), "{:?} {}", figure.section, figure.name);
            assert!(figure.unit.per_shown > 0.0 && figure.unit.step > 0.0 && !figure.source.is_empty());
        }
    }
}

#[test]
fn a_measure_of_ones_own_is_told_from_the_catalogues() {
    for family in Family::ALL {
        let mut instrument = Setup::for_family(family);
        let own = |setup: &mut Setup| -> Vec<&'static str> {
            let mut figures = setup.section_mut(Section::Instrument);
            figures.retain(|figure| figure.origin() == Origin::Measured);
            figures.iter().map(|figure| figure.name).collect()
        };
        assert!(own(&mut instrument).is_empty());
        instrument.instrument.bridge.radius_mm += 1.0;
        assert_eq!(own(&mut instrument), ["curve of the bridge"]);
        for mut figure in instrument.section_mut(Section::Instrument) {
            figure.set(figure.usual.expect("the catalogue has this size"));
        }
        assert_eq!(instrument, Setup::for_family(family));
    }
}

#[test]
fn what_reads_like_the_usual_is_not_kept_as_ones_own() {
    let mut setup = Setup::for_family(Family::Viola);
    let hair = setup.bow.hair_mm;
    let set = |setup: &mut Setup, mm: f64| {
        let mut figures = setup.section_mut(Section::Player);
        let tip = figures.iter_mut().find(|figure| figure.usual.is_some()).expect("the own tip");
        tip.set(mm);
    };
    set(&mut setup, 500.0);
    assert_eq!(setup.player.tip_mark_mm, Some(500.0));
    set(&mut setup, hair - 0.4);
    assert_eq!(setup.player.tip_mark_mm, None);
}

#[test]
fn another_instrument_leaves_player_and_school_alone() {
    let mut setup = full(Family::Violin);
    setup.player.name = "Tuesday, four".to_owned();
    setup.player.tip_mark_mm = Some(645.0);
    setup.school.tight_ratio = 1.7;
    assert_eq!(setup.clone().on(Family::Violin), setup);
    for family in Family::ALL.into_iter().filter(|family| *family != Family::Violin) {
        let other = setup.clone().on(family);
        assert_eq!(other.problems(), Vec::<String>::new());
        let usual = Setup::for_family(family);
        assert_eq!((&other.instrument, &other.bow), (&usual.instrument, &usual.bow));
        assert_eq!((&other.school, &other.body), (&setup.school, &setup.body));
        assert_eq!(other.player.name, setup.player.name);
    }
}
