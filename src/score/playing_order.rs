//! The order in which the bars are played: repeats, endings, da capo, dal segno, coda. Common practice, no
//! source: repeats are not taken again after a jump back, of several endings the last is played then.

use std::ops::Range;

use super::{Bar, Return, Score};

/// The largest number of an ending that is believed. Assumed.
const MOST_TIMES: usize = 16;

impl Score {
    /// The bars as they are played, stretches of bars in written order. In music without repeats and jumps
    /// it is all bars, once.
    pub fn playing_order(&self) -> Vec<Range<usize>> {
        let mut walk = Walk::new(&self.bars, self.bar_sections());
        while walk.at < self.bars.len() {
            walk.step();
        }
        walk.leave(walk.at);
        walk.order
    }
}

struct Walk<'s> {
    bars: &'s [Bar],
    sections: Vec<usize>,
    /// The bar that comes next.
    at: usize,
    /// Where the stretch that is played began.
    from: usize,
    /// Where the repeat began in which it is, and the how manieth time it is.
    repeat: (usize, usize),
    /// The bar from which it has jumped back.
    jumped: Option<usize>,
    order: Vec<Range<usize>>,
}

impl<'s> Walk<'s> {
    fn new(bars: &'s [Bar], sections: Vec<usize>) -> Self {
        Self { bars, sections, at: 0, from: 0, repeat: (0, 1), jumped: None, order: Vec::new() }
    }

    /// Ends the stretch before `end`.
    fn leave(&mut self, end: usize) {
        if self.from < end {
            self.order.push(self.from..end);
        }
    }

    /// Ends the stretch after the present bar and goes on with another.
    fn go(&mut self, to: usize) {
        self.leave(self.at + 1);
        (self.at, self.from) = (to, to);
    }

    fn step(&mut self) {
        let (at, bar) = (self.at, &self.bars[self.at]);
        let opens = at > 0 && self.sections[at] != self.sections[at - 1];
        if opens && self.jumped.is_none_or(|from| from < at) {
            self.jumped = None;
            // Unless it comes back to it.
            if self.repeat.0 != at {
                self.repeat = (at, 1);
            }
        }
        let left_endings = bar.ending.is_none() && at > 0 && self.bars[at - 1].ending.is_some();
        if at != self.repeat.0 && (bar.repeat_start || left_endings) {
            self.repeat = (at, 1);
        }
        if self.is_passed_over(at) {
            self.leave(at);
            (self.at, self.from) = (at + 1, at + 1);
            return;
        }
        if let Some(origin) = self.jumped {
            if bar.jumps.fine {
                let next =
                    (origin..self.bars.len()).find(|&next| self.sections[next] > self.sections[origin]);
                self.jumped = None;
                return self.go(next.unwrap_or(self.bars.len()));
            }
            if bar.jumps.to_coda
                && let Some(coda) = self.coda(at)
            {
                return self.go(coda);
            }
        } else {
            if bar.repeat_end && self.repeat.1 < self.times(at) {
                self.repeat.1 += 1;
                return self.go(self.repeat.0);
            }
            if bar.repeat_end && bar.ending.is_none() {
                self.repeat = (at + 1, 1);
            }
            if let Some(to) = bar.jumps.back.and_then(|back| self.target(back)) {
                self.jumped = Some(at);
                return self.go(to);
            }
        }
        self.at += 1;
    }

    /// The bar stands under an ending of another time.
    fn is_passed_over(&self, bar: usize) -> bool {
        let Some(numbers) = self.bars[bar].ending.as_deref().map(numbers) else { return false };
        let time = if self.jumped.is_some() { self.last_time(bar) } else { self.repeat.1 };
        !numbers.is_empty() && !numbers.contains(&time)
    }

    /// How often the repeat that ends with a bar is played.
    fn times(&self, bar: usize) -> usize {
        self.last_time(bar).max(2)
    }

    /// The largest number of the endings around a bar; 0 where there is none.
    fn last_time(&self, bar: usize) -> usize {
        let own = |bars: &'s [Bar]| bars.iter().map_while(|bar| bar.ending.as_deref());
        let before = self.bars[..bar].iter().rev().map_while(|bar| bar.ending.as_deref());
        own(&self.bars[bar..]).chain(before).flat_map(numbers).max().unwrap_or(0)
    }

    /// The first coda after a bar, in its section.
    fn coda(&self, bar: usize) -> Option<usize> {
        (bar + 1..self.bars.len())
            .take_while(|&next| self.sections[next] == self.sections[bar])
            .find(|&next| self.bars[next].jumps.coda)
    }

    /// Where a jump from the present bar leads. A trio whose bars are counted anew goes back to the start of
    /// what has a Fine before it.
    fn target(&self, back: Return) -> Option<usize> {
        let own = self.sections[self.at];
        let starts = |section: usize| self.sections.partition_point(|other| *other < section);
        match back {
            Return::ToSegno => (0..=self.at).rev().find(|&bar| self.bars[bar].jumps.segno),
            Return::ToStart => {
                let has_fine = |section: usize| {
                    let bars = self.bars.iter().zip(&self.sections);
                    bars.filter(|(_, other)| **other == section).any(|(bar, _)| bar.jumps.fine)
                };
                let before = own.checked_sub(1).filter(|&before| !has_fine(own) && has_fine(before));
                Some(starts(before.unwrap_or(own)))
            }
        }
    }
}

/// The numbers of an ending: "1, 2".
fn numbers(text: &str) -> Vec<usize> {
    let parts = text.split(|c: char| !c.is_ascii_digit());
    parts.filter_map(|part| part.parse().ok()).filter(|number| (1..=MOST_TIMES).contains(number)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::{Quarters, TimeSignature};

    /// Bars of a short text, a word for each: "|:" and ":|" repeat, "1." and "2." are endings, "S" and "O"
    /// segno and coda, "toO", "F", "DC", "DS" at its end, "." nothing. The order is given as bar numbers.
    fn order(text: &str) -> String {
        let mut score = Score::default();
        for (index, word) in text.split_whitespace().enumerate() {
            let start = Quarters::from(4 * index as i64);
            let number = (index + 1).to_string();
            let mut bar = Bar::new(start, Quarters::from(4), number, TimeSignature::default(), 0);
            for part in word.split('+') {
                match part {
                    "|:" => bar.repeat_start = true,
                    ":|" => bar.repeat_end = true,
                    "S" => bar.jumps.segno = true,
                    "O" => bar.jumps.coda = true,
                    "toO" => bar.jumps.to_coda = true,
                    "F" => bar.jumps.fine = true,
                    "DC" => bar.jumps.back = Some(Return::ToStart),
                    "DS" => bar.jumps.back = Some(Return::ToSegno),
                    "." => {}
                    ending => bar.ending = Some(ending.to_owned()),
                }
            }
            score.bars.push(bar);
        }
        let all = score.playing_order().into_iter().flatten();
        all.map(|bar| (bar + 1).to_string()).collect::<Vec<_>>().join(" ")
    }

    /// Common practice, no source; the first eight agree with `repeat.Expander` of music21
    /// 10.5.1 on the same bars.
    #[test]
    fn bars_are_played_in_the_order_of_their_repeats_and_jumps() {
        for (text, played) in [
            (". :| . .", "1 2 1 2 3 4"),
            (". |: . :| .", "1 2 3 4 2 3 4 5"),
            ("|: . 1.+:| 2. .", "1 2 3 1 2 4 5"),
            ("|: :| |: :|", "1 2 1 2 3 4 3 4"),
            ("|: 1,2.+:| 3. .", "1 2 1 2 1 3 4"),
            // A first ending of two bars.
            (". 1. 1.+:| 2. .", "1 2 3 1 4 5"),
            (". F . DC", "1 2 3 4 1 2"),
            (". S toO . DS O .", "1 2 3 4 5 2 3 6 7"),
            (". .", "1 2"),
            // After a jump back nothing is repeated, and of the endings the last is played.
            ("|: 1.+:| 2. F DC", "1 2 1 3 4 5 1 3 4"),
            // Two strains with endings, the second without a sign at its start.
            (". 1.+:| 2. . 1.+:| 2. .", "1 2 1 3 4 5 4 6 7"),
            // What leads nowhere is no jump.
            (". DS toO .", "1 2 3 4"),
        ] {
            assert_eq!(order(text), played, "{text}");
        }
    }

    /// Whatever stands at the barlines, each stretch is played a few times at most.
    #[test]
    fn every_order_comes_to_an_end() {
        let mut chance = 1_u64;
        let mut next = |below: u64| {
            chance = chance.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (chance >> 33) % below
        };
        for _ in 0..20_000 {
            let mut score = Score::default();
            let count = 1 + next(9);
            for index in 0..count {
                let number = if next(4) == 0 { 1 } else { index + 1 };
                let start = Quarters::from(4 * index as i64);
                let time = TimeSignature::default();
                let mut bar = Bar::new(start, Quarters::from(4), number.to_string(), time, 0);
                (bar.repeat_start, bar.repeat_end) = (next(3) == 0, next(3) == 0);
                bar.ending =
                    [None, None, Some("1"), Some("2"), Some("1, 3")][next(5) as usize].map(str::to_owned);
                (bar.jumps.segno, bar.jumps.coda) = (next(6) == 0, next(6) == 0);
                (bar.jumps.to_coda, bar.jumps.fine) = (next(6) == 0, next(6) == 0);
                bar.jumps.back =
                    [None, None, None, Some(Return::ToStart), Some(Return::ToSegno)][next(5) as usize];
                score.bars.push(bar);
            }
            let mut walk = Walk::new(&score.bars, score.bar_sections());
            let mut steps = 0;
            while walk.at < score.bars.len() {
                walk.step();
                steps += 1;
                assert!(steps < 2_000, "{:#?}", score.bars);
            }
        }
    }

    /// The second movement begins with what is repeated, without a sign there.
    #[test]
    fn a_movement_may_begin_with_its_repeat() {
        let mut score = Score::default();
        for (index, number) in [1, 2, 1, 2].into_iter().enumerate() {
            let start = Quarters::from(4 * index as i64);
            let time = TimeSignature::default();
            score.bars.push(Bar::new(start, Quarters::from(4), number.to_string(), time, 0));
        }
        score.bars[3].repeat_end = true;
        assert_eq!(score.playing_order(), [0..4, 2..4]);
    }

    #[test]
    fn a_trio_that_is_counted_anew_goes_back_to_the_minuet() {
        let mut score = Score::default();
        for (index, number) in [1, 2, 1, 2, 1].into_iter().enumerate() {
            let start = Quarters::from(3 * index as i64);
            let time = TimeSignature::new(3, 4);
            score.bars.push(Bar::new(start, Quarters::from(3), number.to_string(), time, 0));
        }
        score.bars[1].jumps.fine = true;
        score.bars[3].jumps.back = Some(Return::ToStart);
        assert_eq!(score.playing_order(), [0..4, 0..2, 4..5]);
    }
}
