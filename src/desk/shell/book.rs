//! The lesson book: what is asked of it, and where a lesson was left.

use std::path::{Path, PathBuf};

use egui::Context;
use jiff::ZonedDateTime;

use crate::{
    desk::{
        book::BookInput,
        command::{BookWish, Command, Wish},
        file::book::Deed,
        state::{
            files::Purpose,
            findings::Which,
            place::Place,
            view::{Drawer, Stage},
        },
    },
    exchange::book::{Book, BookError, Figures, Pupil},
    lesson::Edit,
};

use super::Desk;

impl Desk {
    /// Opens the window of the book, or closes it.
    pub(super) fn open_book(&mut self, ctx: &Context) {
        if self.panels.book.is_open {
            self.panels.book.is_open = false;
            return;
        }
        self.panels.book.open();
        self.ask_book(None, ctx);
    }

    /// Does something in the book, or reads it.
    pub(super) fn ask_book(&mut self, deed: Option<Deed>, ctx: &Context) {
        let Some(folder) = self.memory.book() else { return };
        self.book.ask(&folder, self.memory.folder(), deed, ctx);
    }

    /// Takes in what was done in the book.
    pub(super) fn turn_book(&mut self) {
        if let Some(said) = self.book.turn() {
            self.say(&said);
        }
    }

    /// Draws the window.
    pub(super) fn book_ui(&mut self, ctx: &Context, commands: &mut Vec<Command>) {
        if !self.panels.book.is_open {
            return;
        }
        let folder = self.memory.book();
        let file = self.lesson_file();
        let at = self.analysis().quarters_at(self.position_s());
        let marked = self.analysis().line.tempo.qpm_at(crate::score::Quarters::from_f64(at));
        let whole = |qpm: f64| qpm.round().clamp(1.0, f64::from(u16::MAX)) as u16;
        let input = BookInput {
            read: self.book.read(),
            folder: folder.as_deref(),
            lesson: self.history.lesson(),
            file: file.as_deref(),
            tempo: (whole(marked * self.lesson().setup.tempo_share), whole(marked)),
            today: ZonedDateTime::now().date(),
        };
        self.panels.book.show(ctx, &input, commands);
    }

    /// The file of the lesson as the book names it.
    fn lesson_file(&self) -> Option<PathBuf> {
        let path = self.files.path()?;
        Some(std::path::absolute(path).unwrap_or_else(|_| path.to_owned()))
    }

    /// Carries out what is asked of the book.
    pub(super) fn take_book_wish(&mut self, wish: BookWish, ctx: &Context, now_s: f64) {
        let change = |file: PathBuf, words: String, change: Box<dyn FnOnce(&mut _) + Send>| -> Deed {
            Box::new(move |_: &Path| Book::change(&file, change).map(|()| words))
        };
        let deed: Deed = match wish {
            BookWish::Folder => return self.ask_path(Purpose::Book, ctx),
            BookWish::TakeFigures(file) => return self.take_figures(&file, now_s),
            BookWish::Add(name) => Box::new(move |folder| {
                Book::add(folder, &name, None)?;
                Ok(format!("{} is in the lesson book", name.trim()))
            }),
            BookWish::Rename(file, name) => {
                change(file, "Renamed".to_owned(), Box::new(move |pupil: &mut Pupil| pupil.name = name))
            }
            BookWish::Remove(file) => Box::new(move |_| -> Result<String, BookError> {
                Book::remove(&file);
                Ok("Taken out of the book; the lessons are where they were".to_owned())
            }),
            BookWish::KeepFigures(file) => {
                let figures = Figures::of(&self.lesson().setup);
                let words = "The figures on the desk are kept with this pupil".to_owned();
                change(file, words, Box::new(move |pupil| pupil.figures = Some(figures)))
            }
            BookWish::WriteDown(file, day) => {
                let Some((lesson, folder)) = self.lesson_file().zip(self.memory.book()) else { return };
                let title = self.lesson().score.title.clone();
                let write = move |pupil: &mut Pupil| {
                    pupil.write_down(&folder, &title, &lesson, day);
                };
                change(file, "Written down".to_owned(), Box::new(write))
            }
            BookWish::TakeOff(file, lesson) => {
                let Some(folder) = self.memory.book() else { return };
                let words = "Taken off the list; its file stays".to_owned();
                change(file, words, Box::new(move |pupil| pupil.take_off(&folder, &lesson)))
            }
        };
        self.ask_book(Some(deed), ctx);
    }

    /// Plans the lesson on the desk for a pupil.
    fn take_figures(&mut self, file: &Path, now_s: f64) {
        let Some(Ok(read)) = self.book.read() else { return };
        let Some(kept) = read.book.pupils.iter().find(|kept| kept.file == file) else { return };
        let Some(setup) = kept.pupil.onto(&self.lesson().setup) else { return };
        let words = format!("Planned for {}", kept.pupil.name);
        if setup == self.lesson().setup {
            return self.say(&format!("{words} already"));
        }
        let wish = Wish::new(move |_| Ok(Edit::Setup(Box::new(setup))));
        self.edit_then(
            move |lesson| wish.make(lesson),
            None,
            move |desk: &mut Self, made, _| {
                if made == Ok(true) {
                    desk.say(&words);
                }
            },
            now_s,
        );
    }

    /// Another folder for the book was chosen.
    pub(super) fn put_book(&mut self, folder: PathBuf, ctx: &Context) {
        let folder = std::path::absolute(&folder).unwrap_or(folder);
        self.memory.put_book(folder);
        self.ask_book(None, ctx);
    }

    /// Where the lesson on the desk stands.
    pub(super) fn place(&self) -> Place {
        let stage = match self.view.stage {
            // What fills the screen is called for when one stands before it.
            Stage::Class | Stage::Stand => Stage::Music,
            stage => stage,
        };
        Place {
            part: self.lesson().source.as_ref().map_or_else(String::new, |source| source.part.clone()),
            bar: self.bar_of_playhead(),
            stage,
            told: self.view.told,
            drawer: self.view.drawer,
            finding: self.panels.findings.open.map(|which| (which.kind.id().to_owned(), which.event)),
        }
    }

    /// Remembers where the lesson on the desk is left, if it comes from a file.
    pub(super) fn note_place(&mut self) {
        let read = self.lesson().source.as_ref().map(|source| PathBuf::from(&source.file));
        if let Some(file) = self.lesson_file().or(read) {
            let place = self.place();
            self.memory.note_place(&file, place);
        }
    }

    /// Shows the lesson that came on the desk as it was left, if that is remembered; true where it is not just the
    /// beginning.
    pub(super) fn find_place(&mut self, file: &Path) -> bool {
        let part = self.lesson().source.as_ref().map_or("", |source| &source.part);
        let place = self.memory.place(file).filter(|place| place.part == part).cloned();
        place.is_some_and(|place| self.return_to(&place))
    }

    /// Shows the lesson as it was left; true where that is not just the beginning.
    pub(super) fn return_to(&mut self, place: &Place) -> bool {
        if *place == (Place { part: place.part.clone(), ..Place::default() }) {
            return false;
        }
        let now_s = self.window.now_s;
        let told = &self.analysis().findings.told;
        let open = place.finding.as_ref().and_then(|(kind, event)| {
            told.iter().find(|finding| finding.kind.id() == kind && finding.event == *event).map(Which::of)
        });
        if let Some(open) = open {
            self.panels.findings.open(open);
            self.view.choose(open.event);
        }
        self.view.told = place.told;
        self.view.drawer = place.drawer.filter(|drawer| *drawer != Drawer::Suggest);
        match place.stage {
            Stage::Together => self.show_together(now_s),
            stage => self.view.stage = stage,
        }
        self.go_to_bar(place.bar.min(self.lesson().score.bars.len().saturating_sub(1)), now_s);
        true
    }
}
