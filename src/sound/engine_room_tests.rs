//! What rings longest: an open stroke, then a plain one, then one that the hand stops.

use super::*;

#[test]
fn open_strokes_ring_longer_than_plain_ones_and_slaps_are_the_shortest() {
    let t60 = |instrument, mark| modes(instrument, mark, Force::from_velocity(80), 0)[0].t60;
    for instrument in [Instrument::Iron, Instrument::Conga, Instrument::Cowbell, Instrument::Triangle] {
        let (open, plain) = (t60(instrument, Mark::Open), t60(instrument, Mark::Stroke));
        assert!(open > 2.0 * plain, "{}: open {open} s, plain {plain} s", instrument.name());
    }
    assert!(t60(Instrument::Iron, Mark::Slap) < t60(Instrument::Iron, Mark::Stroke));
    // The same of the sounds themselves: how long they last to 40 dB below their loudest.
    let lasts = |instrument, mark| {
        let samples = samples(instrument, mark, Force::from_velocity(80), 0, 44_100.0);
        let loudest = samples.iter().fold(0f32, |most, sample| most.max(sample.abs()));
        samples.iter().rposition(|sample| sample.abs() > loudest / 100.0).expect("a sound")
    };
    for instrument in
        [Instrument::Iron, Instrument::Conga, Instrument::Cowbell, Instrument::HiHat, Instrument::Triangle]
    {
        assert!(lasts(instrument, Mark::Open) > lasts(instrument, Mark::Stroke), "{}", instrument.name());
    }
}
