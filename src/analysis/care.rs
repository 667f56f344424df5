//! What a passage asks of the arm, with the words of a prompt.

use super::Analysis;
use crate::{
    arm::{self, Care, Moment, RAISED_DEG, Spells},
    score::{Quarters, Score, sentence_case},
};

/// Steps in which a note is looked at for what it asks of the arm, s. Assumed: about as long as the arm
/// takes from one string to the next.
const CARE_STEP_S: f64 = 0.25;

impl Analysis {
    /// What the passage asks of the arm, at the practice tempo. Every note is taken in steps of at
    /// most a quarter of a second, in which all goes evenly. `sections` are those of
    /// [`Score::bar_sections`].
    pub fn care(&self, sections: &[usize]) -> Care {
        let farthest: Vec<(f64, f64)> = (self.arm_path.fan.all())
            .map(|level| (level.angle_deg, self.arm_path.arm.farthest_mm(level.angle_deg).max(1.0)))
            .collect();
        // The reach changes little from level to level: that of the nearest one will do.
        let reach = |level_deg: f64, hair_mm: f64| {
            let off = |level: &&(f64, f64)| (level.0 - level_deg).abs();
            let level = farthest.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
            level.map_or(0.0, |level| hair_mm / level.1)
        };
        let at = &|k: usize, share: f64| {
            let note = self.bowed(k);
            let (start, end) = self.plan.places_mm(k);
            let hair_mm = start + (end - start) * share;
            let level_deg = self.level_at(k, note.onset_s + note.sounding_s * share).1;
            (self.arm_path.arm.pose(level_deg, hair_mm).upper_arm_deg, reach(level_deg, hair_mm))
        };
        let middle = self.arm_path.fan.all().map(|level| level.angle_deg).sum::<f64>()
            / self.arm_path.fan.all().count().max(1) as f64;
        let usual = self.arm_path.arm.pose(middle, self.plan.problem.hair_mm / 2.0).upper_arm_deg;
        arm::care(
            usual,
            self.bowing.notes.iter().enumerate().flat_map(|(k, note)| {
                let steps = (note.sounding_s / CARE_STEP_S).ceil().clamp(1.0, 100.0);
                let mut last = at(k, 0.0);
                let movement = sections.get(self.line.notes[note.note].bar).copied().unwrap_or(0);
                (1..=steps as u32).map(move |step| {
                    let (from, to) = (f64::from(step - 1) / steps, f64::from(step) / steps);
                    let first = std::mem::replace(&mut last, at(k, to));
                    Moment {
                        from_s: note.onset_s + note.sounding_s * from,
                        to_s: note.onset_s + note.sounding_s * to,
                        movement,
                        upper_arm_deg: (first.0, last.0),
                        reach: (first.1, last.1),
                    }
                })
            }),
        )
    }

    /// A prompt to vary and rest where the passage keeps the arm high or far out for long: a line, and
    /// what to know about it. None where there is nothing to say.
    pub fn care_words(&self, score: &Score) -> Option<(String, String)> {
        let sections = score.bar_sections();
        let care = self.care(&sections);
        let bar = |seconds: f64| {
            let bar = score.bar_at(Quarters::from_f64(self.quarters_at(seconds))).unwrap_or(0);
            score.bar_name(bar, &sections)
        };
        let long = |seconds: f64| match seconds {
            short if short < 99.5 => format!("{short:.0} s"),
            long => format!("{:.1} min", long / 60.0),
        };
        let spell = |what: &str, spells: Spells| {
            // On a barline: the bar that begins, and the bar that ends.
            let (first, last) = (bar(spells.longest.0 + 1e-3), bar(spells.longest.1 - 1e-3));
            format!("{what} for {} on end, {}", long(spells.longest_s()), first.words_to(&last))
        };
        let raised = format!("upper arm above {:.0}°", care.raised_deg);
        let mut parts = Vec::new();
        if care.is_raised_long() {
            parts.push(spell(&raised, care.raised));
        }
        if care.is_far_long() {
            parts.push(spell("bow far out", care.far));
        }
        if parts.is_empty() {
            return None;
        }
        let own = if care.raised_deg > RAISED_DEG {
            format!(", here {:.0}° as the instrument itself asks for a high arm,", care.raised_deg)
        } else {
            String::new()
        };
        let line = sentence_case(&format!("{}: vary and rest", parts.join("; ")));
        let more = format!(
            "In all, {raised} for {} and bow far out for {} of {} of playing at this tempo, by the model of the \
             arm. Let the arm hang in the rests, practise such bars in short turns, and change to other strings \
             and to the middle of the bow in between. The border of {RAISED_DEG:.0}°{own} comes from general limits \
             for adults at work who hold still (ISO 11226, from memory), not from music and not for children; \
             it is no diagnosis. Stop when it hurts, take breaks, let a teacher look, and see a professional if \
             it lasts.",
            long(care.raised.total_s),
            long(care.far.total_s),
            long(care.playing_s)
        );
        Some((line, more))
    }
}
