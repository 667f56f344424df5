//! The lesson book in the background: a thread of its own reads and writes it, one thing after another, so that no
//! disk stands in the way of drawing.

use std::{
    collections::BTreeSet,
    path::{Path, PathBuf},
    sync::mpsc::{Receiver, Sender, channel},
    thread::JoinHandle,
};

use egui::Context;

use crate::exchange::{
    book::{Book, BookError, take_over},
    sentence,
};

/// The book as it was read last.
#[derive(Default)]
pub struct Read {
    /// The pupils.
    pub book: Book,
    /// Lessons in it whose files are not there.
    pub missing: BTreeSet<PathBuf>,
}

/// What is asked of the thread: the folder of the book, that of the settings, and what is to be done.
struct Ask {
    folder: PathBuf,
    settings: Option<PathBuf>,
    deed: Option<Deed>,
}

/// What is done in the folder of the book; gives what is said of it.
pub type Deed = Box<dyn FnOnce(&Path) -> Result<String, BookError> + Send>;

/// What the thread has done.
struct Done {
    read: Result<Read, String>,
    said: Option<String>,
}

/// The window's end of the thread, and what is known of the book. Dropping it waits until all is written.
#[derive(Default)]
pub struct BookKeeper {
    thread: Option<(Sender<Ask>, Receiver<Done>, JoinHandle<()>)>,
    read: Option<Result<Read, String>>,
    waits: usize,
}

impl BookKeeper {
    /// The book as it was read last, or why it cannot be read; none before it was asked for.
    pub fn read(&self) -> Option<Result<&Read, &str>> {
        Some(self.read.as_ref()?.as_ref().map_err(String::as_str))
    }

    /// Something that was asked for is not done yet.
    pub fn is_at_work(&self) -> bool {
        self.waits > 0
    }

    /// Does something in the book, or only reads it.
    pub fn ask(&mut self, folder: &Path, settings: Option<&Path>, deed: Option<Deed>, ctx: &Context) {
        let ask = Ask { folder: folder.to_owned(), settings: settings.map(Path::to_owned), deed };
        if self.thread.is_none() {
            self.thread = start(ctx);
        }
        let sent = self.thread.as_ref().is_some_and(|(asks, ..)| asks.send(ask).is_ok());
        if sent {
            self.waits += 1;
        } else {
            self.read = Some(Err("The system is too busy to read the lesson book; try again".to_owned()));
            self.thread = None;
        }
    }

    /// Takes in what was done; gives what there is to say of it.
    pub fn turn(&mut self) -> Option<String> {
        let (_, told, _) = self.thread.as_ref()?;
        let mut said = None;
        while let Ok(done) = told.try_recv() {
            self.waits -= 1;
            self.read = Some(done.read);
            said = done.said.or(said);
        }
        said
    }
}

impl Drop for BookKeeper {
    fn drop(&mut self) {
        if let Some((asks, _, thread)) = self.thread.take() {
            drop(asks);
            let _ = thread.join();
        }
    }
}

fn start(ctx: &Context) -> Option<(Sender<Ask>, Receiver<Done>, JoinHandle<()>)> {
    let (ask, asks) = channel::<Ask>();
    let (tell, told) = channel();
    let ctx = ctx.clone();
    let thread = std::thread::Builder::new().name("lesson book".to_owned()).spawn(move || {
        while let Ok(ask) = asks.recv() {
            // The window may be gone by now; what was asked for is done all the same.
            let _ = tell.send(work(ask));
            ctx.request_repaint();
        }
    });
    thread.ok().map(|thread| (ask, told, thread))
}

fn work(Ask { folder, settings, deed }: Ask) -> Done {
    let taken = settings.map_or(Ok(()), |settings| take_over(&settings, &folder));
    let said = match deed.map(|deed| deed(&folder)) {
        Some(Ok(words)) => Some(words),
        Some(Err(error)) => Some(format!("Not done: {}", sentence(&error))),
        None => taken.err().map(|error| sentence(&error)),
    };
    let read = Book::read(&folder).map(|book| {
        let files = book.pupils.iter().flat_map(|kept| &kept.pupil.lessons);
        let files = files.map(|listed| folder.join(&listed.file));
        Read { missing: files.filter(|file| !file.is_file()).collect(), book }
    });
    Done { read: read.map_err(|error| sentence(&error)), said }
}
