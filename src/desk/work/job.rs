//! Work in the background: a named thread whose results come one by one, and that is told to stop
//! when nobody waits for them any more.

use std::sync::{
    Arc,
    atomic::{AtomicBool, Ordering},
    mpsc::{Receiver, Sender, TryRecvError, channel},
};

use egui::Context;

/// A thread at work, and what it has found. Dropping it tells the thread to stop.
#[derive(Debug)]
pub struct Job<T> {
    results: Receiver<T>,
    stop: Arc<AtomicBool>,
    over: bool,
}

/// The other end, in the thread.
pub struct Line<T> {
    send: Sender<T>,
    stop: Arc<AtomicBool>,
    ctx: Context,
}

impl<T: Send + 'static> Job<T> {
    /// Starts a thread; none when the system gives no thread.
    pub fn start(name: &str, ctx: &Context, work: impl FnOnce(&Line<T>) + Send + 'static) -> Option<Self> {
        let (send, results) = channel();
        let stop = Arc::new(AtomicBool::new(false));
        let line = Line { send, stop: Arc::clone(&stop), ctx: ctx.clone() };
        let thread = std::thread::Builder::new().name(name.to_owned()).spawn(move || {
            work(&line);
            let ctx = line.ctx.clone();
            // Closed first, so that the window wakes to a job that is over.
            drop(line);
            ctx.request_repaint();
        });
        thread.ok().map(|_| Self { results, stop, over: false })
    }

    /// The next result, if there is one by now.
    pub fn next(&mut self) -> Option<T> {
        match self.results.try_recv() {
            Ok(result) => Some(result),
            Err(TryRecvError::Empty) => None,
            Err(TryRecvError::Disconnected) => {
                self.over = true;
                None
            }
        }
    }

    /// The thread has ended and all its results have been taken.
    pub fn is_over(&self) -> bool {
        self.over
    }
}

impl<T> Drop for Job<T> {
    fn drop(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
    }
}

impl<T> Line<T> {
    /// Somebody still waits for results.
    pub fn is_wanted(&self) -> bool {
        !self.stop.load(Ordering::Relaxed)
    }

    /// Hands a result to the window and wakes it.
    pub fn send(&self, result: T) {
        // The window may be gone by now; then nobody wants the result.
        if self.send.send(result).is_ok() {
            self.ctx.request_repaint();
        }
    }
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
