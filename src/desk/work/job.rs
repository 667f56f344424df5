//! Work in the background: a named thread whose results come one by one, and that is told to stop
//! when nobody waits for them any more.

use std::{
    sync::{
        Arc,
        atomic::{AtomicBool, AtomicU32, Ordering},
        mpsc::{Receiver, RecvTimeoutError, Sender, channel},
    },
    time::Duration,
};

use egui::Context;

/// What a frame may wait for work that is nearly always done at once, so that it is shown without a
/// flicker: less than half of a frame at 60 Hz. Assumed.
pub const MOMENT: Duration = Duration::from_millis(6);

/// Steps in which the part that is done is told.
const PARTS: f64 = 100.0;

/// A thread at work, and what it has found. Dropping it tells the thread to stop.
#[derive(Debug)]
pub struct Job<T> {
    results: Receiver<T>,
    told: Arc<Told>,
    over: bool,
}

/// The other end, in the thread.
pub struct Line<T> {
    send: Sender<T>,
    told: Arc<Told>,
    ctx: Context,
}

/// What the two ends tell each other beside the results.
#[derive(Debug, Default)]
struct Told {
    /// Nobody waits for results any more.
    stop: AtomicBool,
    /// The part that is done, in [`PARTS`].
    done: AtomicU32,
}

impl<T: Send + 'static> Job<T> {
    /// Starts a thread; none when the system gives no thread.
    pub fn start(name: &str, ctx: &Context, work: impl FnOnce(&Line<T>) + Send + 'static) -> Option<Self> {
        let (send, results) = channel();
        let told = Arc::new(Told::default());
        let line = Line { send, told: Arc::clone(&told), ctx: ctx.clone() };
        let thread = std::thread::Builder::new().name(name.to_owned()).spawn(move || {
            work(&line);
            let ctx = line.ctx.clone();
            // Closed first, so that the window wakes to a job that is over.
            drop(line);
            ctx.request_repaint();
        });
        thread.ok().map(|_| Self { results, told, over: false })
    }

    /// The next result, if there is one by now.
    pub fn next(&mut self) -> Option<T> {
        self.wait(Duration::ZERO)
    }

    /// The next result, if there is one within this time.
    pub fn wait(&mut self, most: Duration) -> Option<T> {
        match self.results.recv_timeout(most) {
            Ok(result) => Some(result),
            Err(RecvTimeoutError::Timeout) => None,
            Err(RecvTimeoutError::Disconnected) => {
                self.over = true;
                None
            }
        }
    }

    /// The part of the work that is done, 0 to 1, as far as the thread has told.
    pub fn done_part(&self) -> f32 {
        (f64::from(self.told.done.load(Ordering::Relaxed)) / PARTS) as f32
    }

    /// The thread has ended and all its results have been taken.
    pub fn is_over(&self) -> bool {
        self.over
    }
}

impl<T> Job<T> {
    /// Tells the thread to stop; its end can still be waited for.
    pub fn stop(&self) {
        self.told.stop.store(true, Ordering::Relaxed);
    }
}

impl<T> Drop for Job<T> {
    fn drop(&mut self) {
        self.stop();
    }
}

impl<T> Line<T> {
    /// Somebody still waits for results.
    pub fn is_wanted(&self) -> bool {
        !self.told.stop.load(Ordering::Relaxed)
    }

    /// Tells that this part of the work is done, 0 to 1; true while somebody still waits for results.
    pub fn goes_on(&self, part: f64) -> bool {
        let done = (part.clamp(0.0, 1.0) * PARTS) as u32;
        if self.told.done.swap(done, Ordering::Relaxed) != done {
            self.ctx.request_repaint();
        }
        self.is_wanted()
    }

    /// Hands a result to the window and wakes it.
    pub fn send(&self, result: T) {
        // The window may be gone by now; then nobody wants the result.
        if self.send.send(result).is_ok() {
            self.ctx.request_repaint();
        }
    }
}

/// Drops what is large off the thread that draws: a lesson of a long part with all that is known about it takes
/// longer than a frame. Where the system gives no thread, it is dropped here.
pub fn let_go<T: Send + 'static>(large: T) {
    drop(std::thread::Builder::new().name("let go".to_owned()).spawn(move || drop(large)));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all<T: Send + 'static>(job: &mut Job<T>) -> Vec<T> {
        let mut found = Vec::new();
        while !job.is_over() {
            match job.next() {
                Some(result) => found.push(result),
                None => std::thread::yield_now(),
            }
        }
        found
    }

    #[test]
    fn results_come_in_order_and_then_it_is_over() {
        let mut job =
            Job::start("count", &Context::default(), |line| (0..50).for_each(|n| line.send(n))).unwrap();
        assert_eq!(all(&mut job), (0..50).collect::<Vec<_>>());
    }

    #[test]
    fn a_dropped_job_is_told_to_stop() {
        let (told, tells) = channel();
        let job = Job::<()>::start("wait", &Context::default(), move |line| {
            while line.is_wanted() {
                std::thread::yield_now();
            }
            told.send(()).unwrap();
        });
        drop(job);
        assert!(tells.recv_timeout(std::time::Duration::from_secs(10)).is_ok());
    }
}
