//! Work that is shared among threads, even where the system gives none: then the only thread does all of it.

use std::collections::BTreeMap;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::channel;
use std::thread::{self, Builder};

/// Whether there is no thread but the first.
static ALONE: AtomicBool = AtomicBool::new(false);

/// Prepares the pool that shares work. It would end the program if it got fewer threads than it asks for, so they are tried first.
pub fn ready() {
    let asked = std::env::var("RAYON_NUM_THREADS").ok().and_then(|number| number.parse().ok());
    let wanted = asked.filter(|number| *number > 0).unwrap_or_else(cores);
    let pool = rayon::ThreadPoolBuilder::new();
    let pool = match available(wanted) {
        0 => {
            ALONE.store(true, Ordering::Relaxed);
            pool.num_threads(1).use_current_thread()
        }
        got => pool.num_threads(got),
    };
    // One that is there already will do as well.
    drop(pool.build_global());
}

/// How many processors there are.
pub fn cores() -> usize {
    thread::available_parallelism().map_or(1, usize::from)
}

/// How many of the wanted threads the system gives at once.
fn available(wanted: usize) -> usize {
    let mut ends = Vec::new();
    for _ in 0..wanted {
        let (end, wait) = channel::<()>();
        // Each lives until the other end is dropped.
        let Ok(handle) = Builder::new().spawn(move || wait.recv().is_ok()) else { break };
        ends.push((end, handle));
    }
    let got = ends.len();
    for (end, handle) in ends {
        drop(end);
        drop(handle.join());
    }
    got
}

/// Does the same work on several threads, or on this one if there is no other.
fn side_by_side(threads: usize, work: impl Fn() + Sync) {
    if ALONE.load(Ordering::Relaxed) {
        return work();
    }
    let begun =
        thread::scope(|scope| (0..threads).filter(|_| Builder::new().spawn_scoped(scope, &work).is_ok()).count());
    if begun == 0 {
        work();
    }
}

/// Does the work for each of some things, on several threads, each taking the next that is left; gives what came of them, in their order.
pub fn in_order<I: Sync, T: Send>(threads: usize, things: &[I], work: impl Fn(&I) -> T + Sync) -> Vec<T> {
    let next = AtomicUsize::new(0);
    let done = Mutex::new(BTreeMap::new());
    let hand = || {
        while let number = next.fetch_add(1, Ordering::Relaxed)
            && let Some(thing) = things.get(number)
        {
            let made = work(thing);
            done.lock().expect("no thread panics while it holds this").insert(number, made);
        }
    };
    side_by_side(threads.min(things.len()), hand);
    done.into_inner().expect("no thread panics while it holds this").into_values().collect()
}
