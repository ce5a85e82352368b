//! Tempos in percent: held within the slowest and the fastest, each at its own end.

use super::Tempo;
use super::tempo::{FASTEST, SLOWEST};

#[test]
fn a_tempo_beyond_an_end_is_that_end() {
    let at = |bpm: f64, percent: f64| Tempo::bpm(bpm).expect("a tempo").at_percent(percent);
    // 10 and 400 beats a minute: our own settings, see `SLOWEST` and `FASTEST`.
    assert_eq!((SLOWEST.beats_a_minute(), FASTEST.beats_a_minute()), (10.0, 400.0));
    assert_eq!(at(150.0, 400.0), FASTEST);
    assert_eq!(at(400.0, 101.0), FASTEST);
    assert_eq!(at(150.0, 1.0), SLOWEST);
    assert_eq!(at(10.0, 99.0), SLOWEST);
    assert_eq!(at(10.0, 100.0), SLOWEST);
    assert_eq!(at(400.0, 100.0), FASTEST);
    assert_eq!(at(150.0, 200.0).beats_a_minute(), 300.0);
}
