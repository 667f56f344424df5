//! What differs between two set-ups, in words.

use crate::setup::{Figure, Instrument, Section, Setup, size_words};

/// Most figures that are told one by one. Assumed: of more nobody reads each.
const MOST_FIGURES: usize = 6;

/// What differs but for the practice tempo, each in a few words.
pub(super) fn changed_setup(old: &Setup, new: &Setup) -> Vec<String> {
    let mut words = Vec::new();
    let mut told = |what: &str, was: String, is: String| {
        if was != is {
            words.push(format!("{what}{is} instead of {was}"));
        }
    };
    let instrument = |setup: &Setup| {
        let Instrument { family, size, .. } = &setup.instrument;
        format!("{} {}", size_words(size), family.word())
    };
    let another = instrument(old) != instrument(new);
    told("", instrument(old), instrument(new));
    if !another {
        let strings = |setup: &Setup| {
            let names = setup.instrument.strings.iter().map(|string| string.pitch.name());
            format!("strings {}", names.collect::<Vec<_>>().join(", "))
        };
        told("", strings(old), strings(new));
    }
    told("bow: ", old.bow.name.clone(), new.bow.name.clone());
    told("player: ", old.player.name.clone(), new.player.name.clone());
    let hand = |setup: &Setup| if setup.left_handed { "left" } else { "right" }.to_owned();
    told("bow hand: ", hand(old), hand(new));
    let positions = |setup: &Setup| setup.player.positions.words().to_owned();
    told("left hand: ", positions(old), positions(new));
    if !another {
        let posture = |setup: &Setup| setup.held().posture.words().to_owned();
        told("", posture(old), posture(new));
        let hold = |setup: &Setup| format!("{} bow hold", setup.held().bow.words());
        told("", hold(old), hold(new));
    }
    let weight = |setup: &Setup| setup.school.weight_for_two.words().to_owned();
    told("double stops: ", weight(old), weight(new));
    let figures = changed_figures(old, new, another);
    words.extend(figures.iter().take(MOST_FIGURES).cloned());
    match figures.len().saturating_sub(MOST_FIGURES) {
        0 => {}
        1 => words.push("one other figure".to_owned()),
        more => words.push(format!("{more} other figures")),
    }
    if words.is_empty() && (&Setup { tempo_share: old.tempo_share, ..new.clone() } != old) {
        words.push("another choice of school or player".to_owned());
    }
    words
}

/// Figures with another value; another instrument has its own ones, which go without saying.
fn changed_figures(old: &Setup, new: &Setup, another: bool) -> Vec<String> {
    // The table hands out places to write to; copies lend them.
    let (mut old, mut new) = (old.clone(), new.clone());
    let of_instrument = |section: Section| {
        matches!(section, Section::Instrument | Section::String(_) | Section::Hold | Section::Idle)
    };
    let is_told =
        |figure: &Figure<'_>| figure.section != Section::Tempo && !(another && of_instrument(figure.section));
    let was = old.figures_mut();
    let mut words = Vec::new();
    for is in new.figures_mut().iter().filter(|figure| is_told(figure)) {
        let before = was.iter().find(|figure| (figure.section, figure.name) == (is.section, is.name));
        let differs =
            |before: &&Figure<'_>| before.shown() != is.shown() && !(before.follows() && is.follows());
        if let Some(before) = before.filter(differs) {
            words.push(format!("{} {} instead of {}", is.named(), is.shown(), before.shown()));
        }
    }
    words
}
