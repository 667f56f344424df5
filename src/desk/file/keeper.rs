//! Keeps unsaved work as it comes about and what the window remembers, and watches the file of the
//! lesson: a thread of its own, so
//! that no disk stands in the way of drawing, and no window that is not drawn in the way of keeping.

use std::{
    collections::BTreeMap,
    path::{Path, PathBuf},
    sync::{
        Arc,
        mpsc::{Receiver, RecvTimeoutError, Sender, channel},
    },
    thread::JoinHandle,
    time::{Duration, Instant, SystemTime},
};

use egui::Context;

use crate::{
    desk::state::{
        files::{Files, Keeping, OnDisk},
        history::History,
        memory::Memory,
    },
    exchange::{
        saving::{Seen, seen_now},
        sentence,
        unsaved::{About, KeepError, Left, Session, known_as, left},
        versions::{self, Version},
    },
    lesson::Lesson,
};

/// From a change until it is kept. What is lost at most when the power goes; assumed.
const SOON: Duration = Duration::from_secs(2);
/// Between two looks at the file of the lesson. Assumed.
const LOOK: Duration = Duration::from_secs(2);

/// What the keeper has to say.
#[derive(Debug)]
pub enum Told {
    /// Work that was left unsaved, found at the start or asked for.
    Left(Vec<Left>),
    /// The versions of this lesson file, the latest first.
    Versions(PathBuf, Vec<Version>),
    /// The file of the lesson has changed on the disk.
    Changed(PathBuf),
    /// Another window has the file open too.
    OpenElsewhere(PathBuf),
    /// Something cannot be kept; the sentence says why.
    Failed(String),
}

/// What the thread is asked.
enum Ask {
    Keep(u64, Arc<Lesson>, About),
    Clear(u64),
    TakeUp(u64, Arc<Lesson>, Box<Left>),
    Here(Option<OnDisk>),
    PutAside(Box<Left>),
    ThrowAway(Box<Left>),
    Left,
    Versions(PathBuf),
    Remember(Box<Memory>),
}

/// The window's end of the thread; dropping it writes what is still to be kept.
#[derive(Default)]
pub struct Keeper {
    thread: Option<(Sender<Ask>, Receiver<Told>, JoinHandle<()>)>,
    numbers: u64,
    here: Option<OnDisk>,
    memory: Memory,
}

impl Keeper {
    /// A keeper in the data folder of this memory; without one nothing is kept.
    pub fn start(memory: &Memory, ctx: &Context) -> Self {
        let Some(data) = memory.data().map(PathBuf::from) else { return Self::default() };
        let (ask, asks) = channel();
        let (tell, told) = channel();
        let ctx = ctx.clone();
        let thread = std::thread::Builder::new().name("keeper".to_owned()).spawn(move || {
            Work { data, session: None, due: BTreeMap::new(), here: None, tell, ctx, has_failed: false }
                .run(&asks);
        });
        let thread = thread.ok().map(|thread| (ask, told, thread));
        Self { thread, numbers: 0, here: None, memory: memory.clone() }
    }

    /// Follows a lesson on the desk: keeps what is unsaved, and what is saved no longer.
    pub fn follow(&mut self, history: &History, files: &mut Files) {
        let is_unsaved = history.is_unsaved();
        let now = Some((history.state(), is_unsaved));
        if self.thread.is_some() && files.keeping.told != now {
            files.keeping.told = now;
            if is_unsaved {
                let number = self.number(&mut files.keeping);
                self.ask(Ask::Keep(number, Arc::clone(history.lesson()), about(files)));
            } else {
                self.clear(files);
            }
        }
        if self.here != files.on_disk {
            self.here.clone_from(&files.on_disk);
            self.ask(Ask::Here(files.on_disk.clone()));
        }
    }

    /// Work that is given up is kept no longer.
    pub fn give_up(&self, files: &mut Files) {
        self.clear(files);
        files.keeping = Keeping::default();
    }

    /// The work that was left is now on the desk.
    pub fn take_up(&mut self, left: Box<Left>, history: &History, files: &mut Files) {
        let number = self.number(&mut files.keeping);
        files.keeping.told = Some((history.state(), history.is_unsaved()));
        self.ask(Ask::TakeUp(number, Arc::clone(history.lesson()), left));
    }

    /// Work that was left is not asked about at the start any more.
    pub fn put_aside(&self, left: Box<Left>) {
        self.ask(Ask::PutAside(left));
    }

    /// Work that was left goes for good.
    pub fn throw_away(&self, left: Box<Left>) {
        self.ask(Ask::ThrowAway(left));
    }

    /// Asks for all work that was left, put aside or not.
    pub fn ask_left(&self) {
        self.ask(Ask::Left);
    }

    /// Asks for the versions of a lesson file.
    pub fn ask_versions(&self, file: &Path) {
        self.ask(Ask::Versions(file.to_owned()));
    }

    /// Writes down what the window remembers, where that has changed.
    pub fn remember(&mut self, memory: &Memory) {
        if self.memory != *memory {
            self.memory.clone_from(memory);
            self.ask(Ask::Remember(Box::new(memory.clone())));
        }
    }

    /// What there is to say.
    pub fn next(&self) -> Option<Told> {
        self.thread.as_ref()?.1.try_recv().ok()
    }

    fn number(&mut self, keeping: &mut Keeping) -> u64 {
        *keeping.number.get_or_insert_with(|| {
            self.numbers += 1;
            self.numbers
        })
    }

    fn clear(&self, files: &Files) {
        if let Some(number) = files.keeping.number {
            self.ask(Ask::Clear(number));
        }
    }

    fn ask(&self, ask: Ask) {
        if let Some((asks, ..)) = &self.thread {
            // A thread that is gone has said why, or panicked; the window goes on.
            let _ = asks.send(ask);
        }
    }
}

impl Drop for Keeper {
    fn drop(&mut self) {
        if let Some((asks, _, thread)) = self.thread.take() {
            drop(asks);
            let _ = thread.join();
        }
    }
}

fn about(files: &Files) -> About {
    let file = files.on_disk.as_ref().map(|on_disk| (known_as(&on_disk.path), on_disk.seen));
    About { file, is_aside: false }
}

/// The thread's end.
struct Work {
    data: PathBuf,
    /// The window's folder, once there was something for it.
    session: Option<Session>,
    /// What is to be kept, and when.
    due: BTreeMap<u64, (Instant, Arc<Lesson>, About)>,
    here: Option<Here>,
    tell: Sender<Told>,
    ctx: Context,
    /// It was told that nothing can be kept; once is enough until something could.
    has_failed: bool,
}

/// The file of the lesson on the desk, as it was when last looked at.
struct Here {
    file: OnDisk,
    known_as: PathBuf,
    next_look: Instant,
    stamp: Option<(SystemTime, u64)>,
    /// What was told to be on the disk instead.
    told: Option<Seen>,
    is_elsewhere: bool,
}

impl Work {
    fn run(mut self, asks: &Receiver<Ask>) {
        let mut left = left(&self.data);
        left.retain(|left| !left.about.is_aside);
        if !left.is_empty() {
            self.say(Told::Left(left));
        }
        loop {
            let ask = match self.next_at() {
                Some(at) => asks.recv_timeout(at.saturating_duration_since(Instant::now())),
                None => asks.recv().map_err(|_| RecvTimeoutError::Disconnected),
            };
            match ask {
                Ok(ask) => self.take(ask),
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => break,
            }
            self.write(Instant::now());
            self.look(Instant::now());
        }
        self.write(Instant::now() + SOON);
        if let Some(session) = self.session {
            session.end();
        }
    }

    /// When there is something to do unasked.
    fn next_at(&self) -> Option<Instant> {
        let due = self.due.values().map(|(at, ..)| *at);
        due.chain(self.here.as_ref().map(|here| here.next_look)).min()
    }

    fn take(&mut self, ask: Ask) {
        match ask {
            Ask::Keep(number, lesson, about) => {
                // The time counts from the first change that is not kept, however many follow.
                let at = self.due.get(&number).map_or_else(|| Instant::now() + SOON, |(at, ..)| *at);
                self.due.insert(number, (at, lesson, about));
            }
            Ask::Clear(number) => {
                self.due.remove(&number);
                if let Some(session) = &self.session {
                    session.clear(number);
                }
            }
            Ask::TakeUp(number, lesson, left) => {
                let kept = self.session().and_then(|session| session.keep(number, &lesson, &left.about));
                if self.worked(kept) {
                    left.throw_away();
                }
            }
            Ask::Here(file) => {
                self.here = file.map(|file| Here {
                    known_as: known_as(&file.path),
                    file,
                    next_look: Instant::now(),
                    stamp: None,
                    told: None,
                    is_elsewhere: false,
                });
                let open: Vec<PathBuf> = self.here.iter().map(|here| here.known_as.clone()).collect();
                let told = self.session().and_then(|session| session.tell_open(&open));
                self.worked(told);
            }
            Ask::PutAside(mut left) => {
                if let Err(error) = left.put_aside() {
                    self.say(Told::Failed(format!("Not put aside: {}", sentence(&error))));
                }
            }
            Ask::ThrowAway(left) => left.throw_away(),
            Ask::Left => self.say(Told::Left(left(&self.data))),
            Ask::Versions(file) => {
                let versions = versions::list(&self.data, &file);
                self.say(Told::Versions(file, versions));
            }
            Ask::Remember(memory) => memory.save(),
        }
    }

    /// Writes what is due.
    fn write(&mut self, now: Instant) {
        let due: Vec<u64> = self.due.iter().filter(|(_, (at, ..))| *at <= now).map(|(n, _)| *n).collect();
        for number in due {
            let Some((_, lesson, about)) = self.due.remove(&number) else { continue };
            let kept = self.session().and_then(|session| session.keep(number, &lesson, &about));
            self.worked(kept);
        }
    }

    /// Looks whether the file of the lesson is still the one that was seen, and whose it is besides.
    fn look(&mut self, now: Instant) {
        let (Some(here), Some(session)) = (&mut self.here, &self.session) else { return };
        if here.next_look > now {
            return;
        }
        here.next_look = now + LOOK;
        let is_elsewhere = session.is_open_elsewhere(&here.known_as);
        let newly_elsewhere = is_elsewhere && !here.is_elsewhere;
        here.is_elsewhere = is_elsewhere;
        let path = here.file.path.clone();
        let known = std::fs::metadata(&path).ok().filter(std::fs::Metadata::is_file);
        let stamp = known.and_then(|known| Some((known.modified().ok()?, known.len())));
        let mut has_changed = false;
        if stamp.is_some() && stamp != here.stamp {
            here.stamp = stamp;
            let other = seen_now(&path).ok().flatten().filter(|seen| *seen != here.file.seen);
            has_changed = other.is_some() && other != here.told;
            here.told = other;
        }
        if newly_elsewhere {
            self.say(Told::OpenElsewhere(path.clone()));
        }
        if has_changed {
            self.say(Told::Changed(path));
        }
    }

    fn session(&mut self) -> Result<&Session, KeepError> {
        let session = match self.session.take() {
            Some(session) => session,
            None => Session::begin(&self.data)?,
        };
        Ok(self.session.insert(session))
    }

    /// Says so when something cannot be kept.
    fn worked(&mut self, done: Result<(), KeepError>) -> bool {
        match done {
            Ok(()) => self.has_failed = false,
            Err(error) if !self.has_failed => {
                self.has_failed = true;
                self.say(Told::Failed(format!("Unsaved work is not kept as you go: {}", sentence(&error))));
                return false;
            }
            Err(_) => return false,
        }
        true
    }

    fn say(&self, told: Told) {
        // The window may be gone by now.
        if self.tell.send(told).is_ok() {
            self.ctx.request_repaint();
        }
    }
}
