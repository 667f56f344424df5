//! Opening and saving.

use std::{
    path::{Path, PathBuf},
    sync::Arc,
};

use egui::Context;

use crate::{
    desk::{
        file::{
            tasks::{Done, FAILED, Pages, PagesError, PagesOf, ScoreError, Scored, Started},
            windows::Answer,
        },
        state::files::{OnDisk, Purpose, Question, Then},
    },
    exchange::{
        lesson_file::LessonFileError,
        musicxml::{BackError, OtherParts},
        saving::{Over, SaveError},
        score_file::ScoreFileError,
        sentence,
        versions::Saved,
    },
    lesson::demo::demo,
    picture::film::Kind,
};

use super::Desk;

impl Desk {
    /// Reads a file.
    pub(super) fn open(&mut self, path: PathBuf, ctx: &Context) {
        let started = self.tasks.open(path, ctx);
        self.tell(started);
    }

    /// Tells why a task was not started; true when it was.
    pub(super) fn tell(&mut self, started: Started) -> bool {
        self.view.message = started.err().map(str::to_owned);
        started.is_ok()
    }

    pub(super) fn ask_path(&mut self, purpose: Purpose, ctx: &Context) {
        self.files.others = OtherParts::Stay;
        let beside = self.files.path().and_then(Path::parent).map(PathBuf::from);
        let folder = if purpose == Purpose::Book { self.memory.book() } else { beside };
        let name = self.proposed_name(purpose);
        let started = self.tasks.ask(purpose, folder, name, ctx);
        if self.tell(started) {
            self.files.asked_for = Some(purpose);
        } else {
            self.files.after_saving = None;
        }
    }

    /// Asks what goes into a score that is written, and then where it is written.
    pub(super) fn ask_besides(&mut self, purpose: Purpose) {
        self.files.question = Some(Question::Besides(purpose, self.files.besides));
    }

    /// A name for a file to be written; a score keeps the name of the one it came from, with a word more.
    fn proposed_name(&self, purpose: Purpose) -> String {
        let lesson = self.history.lesson();
        let from = lesson.source.as_ref().filter(|_| purpose == Purpose::Score).map(|s| Path::new(&s.file));
        if let Some((stem, ending)) = from.and_then(|file| Some((file.file_stem()?, file.extension()?))) {
            return format!("{} bowed.{}", stem.to_string_lossy(), ending.to_string_lossy());
        }
        let name = file_name(&lesson.score.title);
        let name = match purpose {
            Purpose::Handout => format!("{name} handout"),
            Purpose::Track => format!("{name} practice track"),
            Purpose::Block(index) => format!("{name} {}", index + 1),
            _ => name,
        };
        let wished = self.panels.film.wished().filter(|_| purpose == Purpose::Film);
        let ending = wished.map(|(_, kind)| kind.ending()).or(purpose.endings().first().copied());
        ending.map_or_else(String::new, |ending| format!("{name}.{ending}"))
    }

    pub(super) fn save(&mut self, ctx: &Context) {
        if self.tasks.is_saving() {
            self.files.save_again = true;
            return self.say("Still saving; what has changed since is saved next");
        }
        match self.files.on_disk.clone() {
            Some(OnDisk { path, seen }) => self.write_lesson(path, Over::Seen(seen), ctx),
            None => self.ask_path(Purpose::Save, ctx),
        }
    }

    fn write_lesson(&mut self, path: PathBuf, over: Over, ctx: &Context) {
        let data = self.memory.data().map(Path::to_owned);
        let started = self.tasks.save(path, over, Arc::clone(self.history.lesson()), data, ctx);
        if self.tell(started) {
            self.history.begin_saving();
            self.say("Saving…");
        } else {
            self.files.after_saving = None;
        }
    }

    /// The lesson was saved, or why not.
    fn saved(&mut self, path: PathBuf, saved: Result<Saved, LessonFileError>, ctx: &Context) {
        let again = std::mem::take(&mut self.files.save_again);
        let Saved { seen, doubt } = match saved {
            Ok(saved) => saved,
            Err(LessonFileError::Save(SaveError::Changed)) => {
                self.view.message = None;
                self.files.question = Some(Question::Changed(path));
                return;
            }
            Err(LessonFileError::Save(SaveError::Exists)) => {
                self.view.message = None;
                self.files.question = Some(Question::Replace(Purpose::Save, path));
                return;
            }
            Err(error) => return self.not_saved(&sentence(&error), &path),
        };
        self.memory.note(&path);
        self.files.on_disk = Some(OnDisk { path: path.clone(), seen });
        if let Some(unconfirmed @ SaveError::Unconfirmed(_)) = &doubt {
            return self.not_saved(&sentence(unconfirmed), &path);
        }
        self.history.mark_saved();
        let words = format!("Saved as {}", path.display());
        self.view.message = Some(match doubt {
            None => words,
            Some(error) => format!("{words} · no version of it is kept: {}", sentence(&error)),
        });
        if again && self.history.is_unsaved() {
            self.save(ctx);
        } else {
            self.go_on_after_writing(ctx);
        }
    }

    /// Writes the practice track no further.
    pub(super) fn stop_track(&mut self) {
        if self.tasks.stop_track() {
            self.say("The practice track is not written");
        }
    }

    /// Goes on with what waited for the end of writing; asks where there are newer changes.
    pub(super) fn go_on_after_writing(&mut self, ctx: &Context) {
        if !self.tasks.is_writing()
            && let Some(then) = self.files.after_saving.take()
        {
            self.leave(then, ctx);
        }
    }

    pub(super) fn not_saved(&mut self, why: &str, path: &Path) {
        self.files.after_saving = None;
        self.view.message = Some(format!("Not saved: {why} · {}", path.display()));
    }

    fn write_pages(&mut self, path: PathBuf, purpose: Purpose, over: Over, ctx: &Context) {
        let other = self.kept.as_ref().map(|kept| (kept.study().clone(), kept.words().to_owned()));
        let what = match purpose {
            Purpose::Handout => PagesOf::Handout,
            Purpose::Block(index) => PagesOf::Block(index),
            _ => PagesOf::Part { other, pencil: self.memory.pencil },
        };
        let pages = Pages { analysed: Box::new(self.history.analysed()), what };
        let started = self.tasks.write_pages(path, over, pages, ctx);
        if self.tell(started) {
            self.say("Writing pages…");
        }
    }

    /// Pages were written, or why not.
    fn pages_written(
        &mut self,
        path: PathBuf,
        purpose: Purpose,
        written: Result<(), PagesError>,
        ctx: &Context,
    ) {
        match written {
            Ok(()) => {
                let what = if matches!(purpose, Purpose::Block(_)) { "Picture" } else { "Pages" };
                self.view.message = Some(format!("{what} saved as {}", path.display()));
                self.go_on_after_writing(ctx);
            }
            Err(PagesError::Save(SaveError::Exists)) => {
                self.view.message = None;
                self.files.question = Some(Question::Replace(purpose, path));
            }
            Err(error) => self.not_saved(&sentence(&error), &path),
        }
    }

    fn write_track(&mut self, path: PathBuf, over: Over, ctx: &Context) {
        let track = self.track();
        let started = self.tasks.write_track(path, over, track, ctx);
        self.tell(started);
    }

    /// A practice track was written, or why not.
    fn track_written(&mut self, path: PathBuf, written: Result<(), SaveError>, ctx: &Context) {
        match written {
            Ok(()) => {
                self.view.message = Some(format!("Practice track saved as {}", path.display()));
                self.go_on_after_writing(ctx);
            }
            Err(SaveError::Exists) => self.files.question = Some(Question::Replace(Purpose::Track, path)),
            Err(error) => self.not_saved(&sentence(&error), &path),
        }
    }

    fn write_score(&mut self, path: PathBuf, purpose: Purpose, over: Over, ctx: &Context) {
        let folder = self.files.path().and_then(Path::parent).map(PathBuf::from).unwrap_or_default();
        let what = (self.history.study().clone(), folder, (self.files.others, self.files.besides));
        let started = self.tasks.write_score(path, purpose, over, what, ctx);
        if self.tell(started) {
            self.say("Writing the score…");
        }
    }

    /// A score file was written, or why not.
    fn score_written(
        &mut self,
        path: PathBuf,
        purpose: Purpose,
        written: Result<Scored, ScoreError>,
        ctx: &Context,
    ) {
        match written {
            Ok(Scored { into, changes, left }) => {
                let how = match (into, changes) {
                    (None, _) => "A new score".to_owned(),
                    (Some(_), 1) => "The score with 1 change".to_owned(),
                    (Some(_), changes) => format!("The score with {changes} changes"),
                };
                self.view.message = Some(format!("{how}, written as {}", path.display()));
                self.files.unsaid = left;
                self.go_on_after_writing(ctx);
            }
            Err(ScoreError::Save(SaveError::Exists)) => {
                self.view.message = None;
                self.files.question = Some(Question::Replace(purpose, path));
            }
            Err(ScoreError::Score(
                error @ ScoreFileError::Back(BackError::OtherBars { may_follow: true, .. }),
            )) => {
                self.view.message = None;
                self.files.question = Some(Question::AllParts(path, format!("{}.", sentence(&error))));
            }
            Err(ScoreError::Score(error)) => {
                self.files.after_saving = None;
                let words = "Write as a new score, in the Lesson menu, makes a file of its own";
                self.view.message = Some(format!("Not written: {}. {words}", sentence(&error)));
            }
            Err(error) => self.not_saved(&sentence(&error), &path),
        }
    }

    /// A path has been chosen or typed.
    fn use_path(&mut self, purpose: Purpose, path: PathBuf, may_replace: bool, ctx: &Context) {
        if purpose == Purpose::Open {
            return self.open(path, ctx);
        }
        if purpose == Purpose::Book {
            return self.put_book(path, ctx);
        }
        let whole = with_ending(&path, purpose.endings());
        // A dialog has asked about the name as it was chosen, not about the one with the ending.
        let may_replace = may_replace && whole == path;
        let over = if may_replace { Over::Anything } else { Over::Nothing };
        match purpose {
            Purpose::Open | Purpose::Book | Purpose::Save => self.write_lesson(whole, over, ctx),
            Purpose::Pages | Purpose::Handout | Purpose::Block(_) => {
                self.write_pages(whole, purpose, over, ctx)
            }
            Purpose::Film => self.make_film(whole, over, ctx),
            Purpose::Track => self.write_track(whole, over, ctx),
            Purpose::Score | Purpose::NewScore => self.write_score(whole, purpose, over, ctx),
        }
    }

    /// Takes in what tasks have found out. Each may ask something; one question at a time, and nothing
    /// new comes on the desk while the lesson is being saved or a change waits to be made.
    pub(super) fn turn_tasks(&mut self, ctx: &Context) {
        if let Some(done) = self.tasks.written() {
            self.finish(done, ctx);
        }
        if !self.tasks.is_saving()
            && let Some(done) = self.tasks.answer()
        {
            self.finish(done, ctx);
        }
        if self.files.question.is_none()
            && !self.tasks.is_writing()
            && !self.is_behind()
            && let Some(done) = self.tasks.read()
        {
            self.finish(done, ctx);
        }
    }

    /// Takes in what a task has found out.
    fn finish(&mut self, done: Done, ctx: &Context) {
        match done {
            Done::Music(path, music) => {
                let then = Then::Take(path, music);
                // The window stayed open to changes meanwhile; those nobody has agreed to lose.
                if self.files.agreed == Some(self.history.state()) {
                    self.go_on(then, ctx);
                } else {
                    self.leave(then, ctx);
                }
            }
            Done::Parts(path, document) => {
                // The part for the instrument on the desk, or else the likeliest. The demo says nothing of the player.
                let lesson = self.history.lesson();
                let family = Some(lesson.setup.instrument.family).filter(|_| **lesson != demo());
                let same = (document.parts().iter())
                    .find(|part| family.is_some() && part.instrument == family && part.notes > 0);
                let likely = same.map_or_else(|| document.likely_part(), |part| part.index);
                self.files.question = Some(Question::Part(path, document, likely));
            }
            Done::Beside(path, study, seen) => self.show_beside(&path, &study, seen),
            Done::Version(study, words) => self.compare_with(&study, words),
            Done::Unreadable(path, why) => {
                self.memory.forget(&path);
                self.keeper.ask_versions(&path);
                self.view.message = Some(format!("Not opened: {why} · {}", path.display()));
            }
            Done::Saved(path, saved) => self.saved(path, saved, ctx),
            Done::Pages(path, purpose, written) => self.pages_written(path, purpose, written, ctx),
            Done::Film(path, made) => self.film_made(path, made, ctx),
            Done::Track(path, written) => self.track_written(path, written, ctx),
            Done::Score(path, purpose, written) => self.score_written(path, purpose, written, ctx),
            Done::CalledOff => self.go_on_after_writing(ctx),
            Done::Failed(path) => self.not_saved(FAILED, &path),
            Done::Chosen(Some(path)) => {
                match self.files.asked_for.take() {
                    // The dialog has asked before replacing a file; numbered frames it does not know.
                    Some(purpose) => {
                        let has_asked =
                            purpose != Purpose::Film || Kind::of_ending(&path) != Some(Kind::Frames);
                        self.use_path(purpose, path, has_asked, ctx);
                    }
                    None => {
                        let words = "Another lesson has come on the desk; nothing was done with";
                        self.view.message = Some(format!("{words} {}", path.display()));
                    }
                }
            }
            Done::Chosen(None) => {
                self.files.asked_for = None;
                self.files.after_saving = None;
            }
            Done::NoDialog => {
                let Some(purpose) = self.files.asked_for.take() else { return };
                if let Some(book) = self.memory.book().filter(|_| purpose == Purpose::Book) {
                    self.files.question = Some(Question::Path(purpose, book.display().to_string()));
                    return;
                }
                let name = self.proposed_name(purpose);
                let beside = self.files.path().or(self.memory.recent.first().map(PathBuf::as_path));
                let folder = beside.and_then(Path::parent).map(PathBuf::from);
                let folder = folder.or_else(|| std::env::current_dir().ok()).unwrap_or_default();
                let typed = folder.join(name).display().to_string();
                self.files.question = Some(Question::Path(purpose, typed));
            }
        }
    }

    /// Takes in an answer from one of the windows that ask.
    pub(super) fn answer(&mut self, answer: Answer, ctx: &Context) {
        match answer {
            Answer::SaveThen(then) => {
                self.files.after_saving = Some(then);
                self.save(ctx);
            }
            Answer::GoOn(then) => self.leave_done(then, ctx),
            Answer::Path(purpose, path) => self.use_path(purpose, path, false, ctx),
            Answer::Besides(purpose, besides) => {
                self.files.besides = besides;
                self.ask_path(purpose, ctx);
            }
            Answer::Replace(purpose, path) => self.use_path(purpose, path, true, ctx),
            Answer::Compare(path) => {
                self.files.after_saving = None;
                let started = self.tasks.read_beside(path, ctx);
                self.tell(started);
            }
            Answer::AllParts(path) => {
                self.files.others = OtherParts::Follow;
                self.use_path(Purpose::Score, path, false, ctx);
            }
            Answer::SaveBeside => self.ask_path(Purpose::Save, ctx),
            Answer::Part(path, document, part) => {
                let started = self.tasks.read_part(path, document, part, ctx);
                self.tell(started);
            }
        }
    }
}

/// A path with one of the endings that belong to it, else with the first. What follows a dot in the name may be part of the name:
/// "Sonata No. 2".
fn with_ending(path: &Path, endings: &[&str]) -> PathBuf {
    let is_one = |known: &std::ffi::OsStr| endings.iter().any(|ending| known.eq_ignore_ascii_case(ending));
    match (path.file_name(), endings.first()) {
        (Some(name), Some(ending)) if !path.extension().is_some_and(is_one) => {
            let mut name = name.to_owned();
            name.push(format!(".{ending}"));
            path.with_file_name(name)
        }
        _ => path.to_owned(),
    }
}

/// A title as the name of a file.
fn file_name(title: &str) -> String {
    let plain: String =
        title.chars().map(|c| if c.is_alphanumeric() || " -_".contains(c) { c } else { '_' }).collect();
    let plain = plain.trim();
    if plain.is_empty() { "lesson".to_owned() } else { plain.chars().take(80).collect() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        analysis::Study,
        desk::{Memory, state::history::History},
        exchange::musicxml::{self, Besides, Places},
        lesson::{Lesson, change, demo::demo},
        score::PLACES_LEGEND,
        setup::Family,
    };

    /// Chooses a path in a file dialog, which has asked about that very path alone.
    fn chosen(purpose: Purpose, path: PathBuf) -> Desk {
        chosen_for(demo(), purpose, path)
    }

    fn chosen_for(lesson: Lesson, purpose: Purpose, path: PathBuf) -> Desk {
        let ctx = Context::default();
        let mut desk = Desk::new(&ctx, Memory::default(), None);
        desk.begin(History::new(Study::new(lesson)), None);
        desk.files.asked_for = Some(purpose);
        desk.finish(Done::Chosen(Some(path)), &ctx);
        while desk.tasks.is_writing() || desk.tasks.track_part().is_some() {
            if let Some(done) = desk.tasks.written() {
                desk.finish(done, &ctx);
            }
        }
        desk
    }

    #[test]
    fn a_name_gets_the_ending_that_belongs_to_it() {
        let folder = tempfile::tempdir().unwrap();
        for (name, ending) in [("song", ".elbowroom"), ("Sonata No. 2", ".elbowroom"), ("a.ELBOWROOM", "")] {
            chosen(Purpose::Save, folder.path().join(name));
            assert!(folder.path().join(format!("{name}{ending}")).exists(), "{name}");
        }
        chosen(Purpose::Pages, folder.path().join("Sonata No. 2"));
        assert!(folder.path().join("Sonata No. 2.pdf").exists());
    }

    #[test]
    fn a_block_of_the_handout_is_saved_as_a_picture() {
        let folder = tempfile::tempdir().unwrap();
        let mut lesson = demo();
        let shown = crate::lesson::handout::Shown::default();
        let block = crate::lesson::handout::Block::Passage { bars: "5-6".to_owned(), shown };
        lesson.handout.entries.push(block.into());
        chosen_for(lesson.clone(), Purpose::Block(0), folder.path().join("bars"));
        assert!(std::fs::read(folder.path().join("bars.png")).unwrap().starts_with(b"\x89PNG"));
        let desk = chosen_for(lesson.clone(), Purpose::Block(0), folder.path().join("bars.svg"));
        assert!(desk.view.message.is_some_and(|words| words.starts_with("Picture saved")));
        let svg = std::fs::read_to_string(folder.path().join("bars.svg")).unwrap();
        assert!(svg.starts_with("<svg") && !svg.contains("<rect width"), "its ground is clear");
        let desk = chosen_for(lesson, Purpose::Block(7), folder.path().join("none.svg"));
        assert!(desk.view.message.is_some_and(|words| words.contains("not on the handout any more")));
    }

    /// A typed lesson becomes a file of its own; one that was read goes back into its file, which stays as
    /// it is where nothing was changed.
    #[test]
    fn a_lesson_is_written_as_a_score() {
        let folder = tempfile::tempdir().unwrap();
        let path = |name: &str| folder.path().join(name);
        chosen(Purpose::Score, path("song"));
        let xml = std::fs::read(path("song.musicxml")).unwrap();
        let read = |xml: &[u8]| musicxml::open(xml).unwrap().read(0).unwrap();
        let imported = read(&xml);
        assert_eq!(imported.score.title, demo().score.title);
        let lesson =
            Lesson::new(imported.score, Family::Viola).from_file(&path("song.musicxml"), &imported.part);
        let desk = chosen_for(lesson.clone(), Purpose::Score, path("same.xml"));
        assert_eq!(std::fs::read(path("same.xml")).unwrap(), xml);
        assert!(desk.files.unsaid.is_empty());
        let notes: Vec<_> = lesson.score.events.iter().map(|event| event.id).take(3).collect();
        let edit = change::set_slur(&lesson, &notes, true).unwrap();
        let slurred = edit.apply(&lesson).unwrap().0;
        let desk = chosen_for(slurred.clone(), Purpose::Score, path("slurred.mxl"));
        assert!(desk.view.message.is_some_and(|words| words.starts_with("The score with")));
        let again = read(&std::fs::read(path("slurred.mxl")).unwrap());
        assert_eq!(again.score.slurs.len(), slurred.score.slurs.len());
        // A bar comes into the file where no other part has to keep step.
        let with_bar = |lesson: &Lesson| change::insert_bars(lesson, 1, 1).unwrap().apply(lesson).unwrap().0;
        chosen_for(with_bar(&lesson), Purpose::Score, path("longer.xml"));
        let longer = read(&std::fs::read(path("longer.xml")).unwrap()).score.bars.len();
        assert_eq!(longer, lesson.score.bars.len() + 1);
        chosen_for(with_bar(&lesson), Purpose::NewScore, path("new.xml"));
        assert!(path("new.xml").exists());
        // With what is wanted over the staff.
        let ctx = Context::default();
        let mut desk = Desk::new(&ctx, Memory::default(), None);
        desk.files.besides = Besides { places: Places::Signs, ..Besides::default() };
        desk.use_path(Purpose::NewScore, path("signs.xml"), false, &ctx);
        while desk.tasks.is_writing() {
            desk.turn_tasks(&ctx);
            std::thread::yield_now();
        }
        assert!(std::fs::read_to_string(path("signs.xml")).unwrap().contains(PLACES_LEGEND));
        // Into several parts only when the person says so.
        let duo = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/duo.musicxml");
        let imported = read(&std::fs::read(duo).unwrap());
        let lesson = Lesson::new(imported.score, Family::Violin).from_file(Path::new(duo), &imported.part);
        let mut desk = chosen_for(with_bar(&lesson), Purpose::Score, path("both.xml"));
        let question = desk.files.question.take();
        assert!(matches!(&question, Some(Question::AllParts(asked, _)) if *asked == path("both.xml")));
        assert!(!path("both.xml").exists());
        let ctx = Context::default();
        desk.answer(Answer::AllParts(path("both.xml")), &ctx);
        for _ in 0..6000 {
            desk.turn_tasks(&ctx);
            if !desk.tasks.is_writing() {
                break;
            }
            std::thread::sleep(std::time::Duration::from_millis(10));
        }
        let both = musicxml::open(&std::fs::read(path("both.xml")).unwrap()).unwrap();
        let bars = [0, 1].map(|part| both.read(part).unwrap().score.bars.len());
        assert_eq!(bars, [lesson.score.bars.len() + 1; 2]);
    }

    #[test]
    fn a_practice_track_is_written_beside_all_else() {
        let folder = tempfile::tempdir().unwrap();
        chosen(Purpose::Track, folder.path().join("Song"));
        assert!(crate::sound::is_wave(&std::fs::read(folder.path().join("Song.wav")).unwrap()));
        // Given up, it leaves nothing behind.
        let ctx = Context::default();
        let mut desk = Desk::new(&ctx, Memory::default(), None);
        desk.use_path(Purpose::Track, folder.path().join("other"), false, &ctx);
        assert!(desk.tasks.track_part().is_some());
        desk.stop_track();
        assert!(desk.tasks.track_part().is_none() && !folder.path().join("other.wav").exists());
    }

    #[test]
    fn a_file_the_dialog_has_not_asked_about_is_not_replaced_unasked() {
        let folder = tempfile::tempdir().unwrap();
        let other = folder.path().join("song.elbowroom");
        std::fs::write(&other, "another lesson").unwrap();
        let desk = chosen(Purpose::Save, folder.path().join("song"));
        assert_eq!(std::fs::read_to_string(&other).unwrap(), "another lesson");
        let question = desk.files.question;
        assert!(matches!(question, Some(Question::Replace(Purpose::Save, path)) if path == other));
        // About this one the dialog has asked.
        let desk = chosen(Purpose::Save, other.clone());
        assert_eq!(desk.files.path(), Some(other.as_path()));
        assert!(crate::exchange::lesson_file::is_lesson(&std::fs::read(other).unwrap()));
    }
}
