//! What was found, what cures it, and what works at which tempo.

use std::ops::Range;

use super::{
    Made, Missing, Music, Press,
    music::Drawn,
    slab::{Slab, stacked},
};
use crate::{
    advice::{Difference, SameBars, changed_marks, compare, ladder, ladder_shares, trials},
    analysis::{Analysis, Study},
    bowing::{Density, Finding},
    lesson::{
        change::excerpt,
        handout::{Before, Found},
    },
    picture::{OtherPath, Role, tempo_ladder},
    practice::{Passage, Phrase, Tempos, handout::bars_of},
    score::{Quarters, sentence_case},
};

/// Most differences that are listed; of more the first, and how many more. Assumed.
const MOST_LISTED: usize = 8;
/// The same of two versions. Assumed: a page.
const MOST_CHANGES: usize = 40;
/// Height of the ladder, mm.
const LADDER_MM: f64 = 52.0;
/// Two ways of the bow are told apart from here on, mm of hair. Assumed: as far apart as a line is thick.
const SEEN_MM: f64 = 15.0;
/// What the other way of the bow on a map is called.
const BEFORE: &str = "as it was";

/// Differences as a list, the first of many.
fn listed(differences: &[&Difference], most: usize) -> String {
    let line = |one: &&Difference| format!("- {}: {}\n", sentence_case(&one.place), one.words);
    let mut words: String = differences.iter().take(most).map(line).collect();
    if differences.len() > most {
        words += &format!("- and {} more\n", differences.len() - most);
    }
    words
}

impl Press<'_> {
    fn told(&self, found: &Found) -> Result<&Finding, Missing> {
        let told = &self.study.analysis().findings.told;
        let here = |finding: &&Finding| {
            finding.kind.id() == found.kind && finding.events().any(|event| event == found.note)
        };
        told.iter().find(here).ok_or_else(|| {
            Missing(
                "What was found here is not found any more: the music or its bowing has changed.".to_owned(),
            )
        })
    }

    /// A finding in words.
    pub(super) fn finding(&self, found: &Found, width_mm: f64) -> Made {
        let finding = self.told(found)?;
        let words = format!("*{}.*\n\n{} {}", finding.title(), finding.what, finding.why);
        Ok(self.words(&words, width_mm))
    }

    /// A change that helps: its words, the bars after it with the bow before and after, and what is different.
    pub(super) fn remedy(&self, found: &Found, change: &str, width_mm: f64) -> Made {
        let finding = self.told(found)?;
        let gone = || Missing(format!("\u{201c}{change}\u{201d} cannot be made in this music any more."));
        let trial =
            trials(self.study, finding).into_iter().find(|trial| trial.words == change).ok_or_else(gone)?;
        let (lesson, _) = trial.edit.apply(self.study.lesson()).map_err(|_| gone())?;
        let after = self.study.with(lesson);
        let music = Music::new(&after.lesson().score);
        let bars = bars_of(self.study, finding);
        let other = self.differs(&after, &bars).then_some(OtherPath { study: self.study, words: BEFORE });
        let drawn =
            Drawn { pencil: Density::None, hair: true, other, ..Drawn::staff(&after, &music, bars.clone()) };
        let mut slabs = self.words(&format!("*{}.*", trial.words), width_mm);
        slabs.iter_mut().for_each(|slab| slab.keeps = true);
        slabs.extend(self.lines_of(&drawn, width_mm));
        let different = self.differences(&after, &bars);
        if !different.is_empty() {
            slabs.extend(self.words(&different, width_mm));
        }
        Ok(slabs)
    }

    /// Some bars before and after: the staff as it was, under it the staff as it is with both ways of the bow, and all
    /// that is different there and in the set-up. Where bars have moved each has its own way of the bow.
    pub(super) fn versions(&self, bars: &str, before: &Before, width_mm: f64) -> Made {
        let bars = self.bars(bars)?;
        let gone = |_| Missing("The earlier version does not fit this music any more.".to_owned());
        let before_it = self.study.with(before.lesson(self.study.lesson()).map_err(gone)?);
        let called = if before.called.trim().is_empty() { BEFORE } else { before.called.trim() };
        let old_music = Music::new(&before_it.lesson().score);
        let same = SameBars::new(&before_it.lesson().score, &self.study.lesson().score);
        let over = same.stand_still() && self.differs(&before_it, &bars);
        let other = over.then_some(OtherPath { study: &before_it, words: called });
        let old_bars = same.earlier(&bars);
        let old =
            Drawn { hair: !same.stand_still(), ..Drawn::staff(&before_it, &old_music, old_bars.clone()) };
        let new = Drawn { hair: true, other, ..Drawn::staff(self.study, &self.music, bars.clone()) };
        let label = |words: &str| {
            let mut slabs = self.words(&format!("*{}*", sentence_case(words)), width_mm);
            slabs.iter_mut().for_each(|slab| slab.keeps = true);
            slabs
        };
        let mut slabs = label(called);
        if old_bars.is_empty() {
            slabs.extend(self.missing("These bars were not there.", width_mm));
        }
        slabs.extend(self.lines_of(&old, width_mm));
        slabs.extend(label("as it is now"));
        slabs.extend(self.lines_of(&new, width_mm));
        let span = self.study.lesson().score.span_of(&bars).unwrap_or(Quarters::ZERO..Quarters::ZERO);
        let all = compare(&before_it, self.study);
        let is_here = |difference: &&Difference| difference.everywhere || span.contains(&difference.at);
        let here: Vec<_> = all.iter().filter(is_here).collect();
        let words = match &here[..] {
            [] => "Nothing is different in these bars.".to_owned(),
            here => listed(here, MOST_CHANGES),
        };
        slabs.extend(self.words(&words, width_mm));
        Ok(slabs)
    }

    /// A note of some bars starts elsewhere on the bow after a change.
    fn differs(&self, after: &Study, bars: &Range<usize>) -> bool {
        let (old, new) = (self.study.analysis(), after.analysis());
        let here = |k: &usize| bars.contains(&new.note(*k).bar);
        (0..new.bowing.notes.len()).filter(here).any(|k| {
            let before = old.bowed_of_event(new.note(k).id());
            let start = |analysis: &Analysis, k: usize| analysis.plan.places_mm(k).0;
            before.is_none_or(|before| (start(old, before) - start(new, k)).abs() > SEEN_MM)
        })
    }

    /// Which marks are different in some bars, as a list.
    fn differences(&self, after: &Study, bars: &Range<usize>) -> String {
        let span = self.study.lesson().score.span_of(bars).unwrap_or(Quarters::ZERO..Quarters::ZERO);
        let all = changed_marks(&self.study.lesson().score, &after.lesson().score);
        let here: Vec<_> = all.iter().filter(|difference| span.contains(&difference.at)).collect();
        listed(&here, MOST_LISTED)
    }

    /// Some bars in words, phrase by phrase, with what changes at the slow tempo and at the full one.
    pub(super) fn in_words(&self, bars: &str, width_mm: f64) -> Made {
        let bars = self.bars(bars)?;
        let passage = Passage::new(self.study, Some(&Tempos::new(self.study)), bars);
        if passage.phrases.is_empty() {
            return Err(Missing("Nothing is bowed in these bars.".to_owned()));
        }
        let phrase = |phrase: &Phrase| {
            let said = phrase.sentences.iter().filter(|sentence| sentence.is_said());
            let items: String = said.map(|sentence| format!("- {}\n", sentence.words())).collect();
            format!("*{}*\n\n{items}\n", phrase.title)
        };
        Ok(self.words(&passage.phrases.iter().map(phrase).collect::<String>(), width_mm))
    }

    /// The tempo ladder of some bars, played by themselves, with what it says in words.
    pub(super) fn tempos(&self, bars: &str, width_mm: f64) -> Made {
        let bars = self.bars(bars)?;
        let part = excerpt(self.study.lesson(), bars).map_err(|error| Missing(error.to_string() + "."))?;
        let part = Study::new(part);
        let Some(ladder) = ladder(&part, &ladder_shares(), &mut |_| true) else {
            return Err(Missing("No tempo ladder can be made of these bars.".to_owned()));
        };
        let factor = self.look.drawing;
        let drawing =
            tempo_ladder(part.lesson(), &ladder, width_mm / factor, LADDER_MM).picture.scaled(factor);
        let named = |places: &[crate::advice::LadderPlace]| {
            places.iter().map(|place| place.words.as_str()).collect::<Vec<_>>().join(", ")
        };
        let mut said: Vec<String> = (ladder.groups.iter())
            .map(|group| format!("{}: {}", sentence_case(&named(&group.places)), group.words))
            .collect();
        if said.is_empty() {
            said.push(
                "Played by itself, this passage works at every tempo from half the marked one on".to_owned(),
            );
        }
        let slow =
            ladder.slow.iter().map(|slow| format!("{}: {}", sentence_case(&named(&slow.places)), slow.words));
        let words: String = said.iter().cloned().chain(slow).map(|line| format!("- {line}\n")).collect();
        let alt = format!("The tempo ladder: bars from left to right, tempos upward. {}.", said.join("; "));
        let drawing = Slab::new(drawing.read_as(Role::Figure(alt)), self.look.gap_mm());
        let mut slabs = vec![stacked(vec![drawing], width_mm)];
        slabs.extend(self.words(&words, width_mm));
        Ok(slabs)
    }
}
