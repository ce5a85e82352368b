//! Being asked to stop: files that were begun are removed, and the program ends as if it had not listened.

/// Listens for Ctrl-C and for being asked to end, from now on. Where that is not possible, the next run removes what this one leaves.
#[cfg(unix)]
pub fn listen() {
    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};
    use signal_hook::iterator::Signals;
    use signal_hook::low_level::emulate_default_handler;

    let ignored = ignored();
    let wanted = [SIGINT, SIGTERM, SIGHUP].into_iter().filter(|signal| ignored & 1 << (signal - 1) == 0);
    let Ok(mut signals) = Signals::new(wanted) else { return };
    let work = move || {
        for signal in signals.forever() {
            crate::door::unfinished::abandon(|| drop(emulate_default_handler(signal)));
        }
    };
    drop(std::thread::Builder::new().name("signals".to_owned()).spawn(work));
}

/// The signals that were to be ignored when the program started, as with `nohup`: a bit each. Known on Linux only.
#[cfg(unix)]
fn ignored() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    mask.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok()).unwrap_or(0)
}

/// The system ends the program without asking.
#[cfg(not(unix))]
pub fn listen() {}
