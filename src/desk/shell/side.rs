//! The column at the right: the level, the arm, and the findings or the pencil marks.

use egui::{Label, RichText, Ui};
use strum::IntoEnumIterator as _;

use crate::{
    analysis::StudyId,
    desk::{
        arm::{
            figure::{Drawer, fits_over, small_ui},
            level::{LookedAt, folded_ui, level_fits, level_ui},
        },
        command::{Action, Command},
        file::report::report_ui,
        findings::{FindingsInput, panel::findings_ui},
        pencil::panel::pencil_ui,
        state::{
            now::Now,
            view::{Stage, Told},
        },
        wording::panel::wording_ui,
    },
};

use super::Desk;

/// Lines of text that the pencil marks have at least: what comes now and next with their sentences.
const MARKS_LINES: f32 = 15.0;

/// The same for an open finding: its words, and the first of what helps.
const FINDING_LINES: f32 = 22.0;

/// Chooses what the list tells.
fn told_ui(ui: &mut Ui, told: Told, is_remarked: bool, commands: &mut Vec<Command>) {
    // In a narrow column the last of four comes under the others.
    ui.horizontal_wrapped(|ui| {
        for each in Told::iter().filter(|each| *each != Told::Reading || is_remarked) {
            let (words, action) = match each {
                Told::Findings => ("Findings", Action::NextFinding),
                Told::Pencil => ("Pencil marks", Action::NextMark),
                Told::Words => ("In words", Action::NextSentence),
                Told::Reading => ("Reading", Action::Report),
            };
            // As headings they are wider than a narrow column.
            let words = RichText::new(words).strong();
            let label = ui.selectable_label(told == each, words);
            if label.on_hover_text(action.entry().hover()).clicked() {
                commands.push(Command::Tell(each));
            }
        }
    });
}

impl Desk {
    /// Draws the column. Gives the remedy that is pointed at.
    pub(super) fn side_ui(&mut self, ui: &mut Ui, now: &Now, commands: &mut Vec<Command>) -> Option<StudyId> {
        let looked_at = self.looked_at(now);
        // An open finding has the room first, unless a level is looked at.
        let is_first =
            self.is_finding_open() && looked_at.index().is_none() && self.view.stage == Stage::Music;
        if is_first && !level_fits(ui, now, FINDING_LINES) {
            folded_ui(ui, now);
        } else {
            self.arm_ui(ui, now, looked_at, commands);
        }
        ui.separator();
        let is_remarked = !self.files.report.is_empty();
        told_ui(ui, self.view.told, is_remarked, commands);
        match self.view.told {
            Told::Reading if is_remarked => {
                report_ui(ui, &self.files.report);
                None
            }
            Told::Findings | Told::Reading => self.findings_ui(ui, now, commands),
            Told::Pencil => {
                pencil_ui(ui, now, self.memory.pencil, &mut self.panels.pencil, commands);
                None
            }
            Told::Words => {
                let passage = self.work.wording.passage().map(AsRef::as_ref);
                let is_playing = self.view.clock.is_playing();
                wording_ui(ui, now, passage, is_playing, &mut self.panels.wording, commands);
                None
            }
        }
    }

    /// What to know before playing. Gives the remedy that is pointed at.
    fn findings_ui(&mut self, ui: &mut Ui, now: &Now, commands: &mut Vec<Command>) -> Option<StudyId> {
        let open = self.panels.findings.open;
        let input = FindingsInput {
            now,
            kept: self.kept.as_ref(),
            advice: open.and_then(|open| self.work.remedies.advice(open)),
            chosen: self.view.offer,
        };
        findings_ui(ui, &input, &mut self.panels.findings, commands)
    }

    /// A finding is open, and found still.
    fn is_finding_open(&self) -> bool {
        let open = self.panels.findings.open.and_then(|open| open.index(self.analysis()));
        self.view.told == Told::Findings && open.is_some()
    }

    fn looked_at(&self, now: &Now) -> LookedAt {
        if self.view.stage == Stage::Together {
            self.panels.together.level(now.lesson()).map_or(LookedAt::Music, LookedAt::Together)
        } else {
            self.view.level.map_or(LookedAt::Music, LookedAt::Chosen)
        }
    }

    /// The level, the arm unless it is shown large, and what to take care of.
    fn arm_ui(&mut self, ui: &mut Ui, now: &Now, looked_at: LookedAt, commands: &mut Vec<Command>) {
        let is_open = self.is_finding_open();
        let (arm, drawn) = (&self.panels.arm, &mut self.drawn);
        let state = level_ui(ui, now, looked_at, arm, &mut drawn.painter, commands);
        // The marks need to be read while playing, an open finding while it is cured: they have the room first.
        let fits = match self.view.told {
            Told::Findings if is_open => fits_over(ui, now, FINDING_LINES),
            Told::Findings => true,
            Told::Pencil | Told::Words | Told::Reading => fits_over(ui, now, MARKS_LINES),
        };
        if self.view.stage != Stage::Arm && fits {
            let drawer = Drawer { cache: &mut drawn.figure, painter: &mut drawn.painter };
            small_ui(ui, now, &state, arm, drawer);
        }
        if let Some((line, more)) = self.work.care.words() {
            ui.add(Label::new(RichText::new(line).weak()).wrap()).on_hover_text(more);
        }
    }
}
