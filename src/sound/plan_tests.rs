//! What stops ringing when, and where players stand: the plan of small tunes, sample by sample.

use super::super::settings::{Mix, Standing};
use super::*;
use crate::kit::{ONE_LEAD, tune};
use crate::performance::{Options, perform};

/// The plan of rows of two parts on pans and of a drum set, at 120 beats a minute and 44,100 samples a second.
fn planned(rows: &str, settings: &Settings) -> Plan {
    let parts = "roll none\npart lead on lead\npart second on double-second\npart hat on hi-hat\npart iron on iron\nsection a\n";
    let tune = tune(ONE_LEAD, &format!("{parts}{rows}"));
    Plan::new(&perform(&tune, &Options::default()), &tune.band, settings)
}

/// The longest layer of each stroke: the sample at which it begins, how many sound and how many of these fade; `None`: it rings out.
fn lengths(rows: &str) -> Vec<(u64, Option<(u32, u32)>)> {
    let plan = planned(rows, &Settings::default());
    let mut lengths: Vec<(u64, Option<(u32, u32)>)> = Vec::new();
    for event in &plan.events {
        let ends = (event.length != u32::MAX).then_some((event.length, event.fade));
        match lengths.last_mut() {
            // A pan's stroke has a touch, which is soon over, and a ring, which is stopped.
            Some(last) if last.0 == event.start => last.1 = last.1.or(ends),
            _ => lengths.push((event.start, ends)),
        }
    }
    lengths
}

/// A beat, and the 35 ms in which what is struck again dies: our own setting, see `STRUCK_AGAIN`.
const BEAT: u64 = 22_050;
const DIES: u32 = 1_544;

#[test]
fn a_note_that_is_struck_again_stops_ringing() {
    let again = |beats: u64| Some(((beats * BEAT) as u32 + DIES, DIES));
    assert_eq!(lengths(" lead | C5 C5 . . |\n"), [(0, again(1)), (BEAT, None)]);
    assert_eq!(lengths(" lead | C5 E5 C5 . |\n"), [(0, again(2)), (BEAT, None), (2 * BEAT, None)]);
    assert_eq!(lengths(" lead | C5 . . . |\n second | . C5 . . |\n"), [(0, None), (BEAT, None)], "another pan's note");
}

#[test]
fn a_hi_hat_that_closes_stops_the_open_one() {
    let stopped = Some((BEAT as u32 + DIES, DIES));
    assert_eq!(lengths(" hat | o x . . |\n"), [(0, stopped), (BEAT, None)]);
    assert_eq!(lengths(" hat | o s . . |\n"), [(0, stopped), (BEAT, None)], "the pedal too");
    assert_eq!(lengths(" iron | o x . . |\n"), [(0, None), (BEAT, None)], "an open iron rings on");
}

#[test]
fn hands_and_plates_that_damp_stop_what_rings() {
    use Mark::{Open, Slap, Stroke};
    let table: [(Instrument, Mark, &[Mark]); 17] = [
        (Instrument::HiHat, Stroke, &[Stroke, Open]),
        (Instrument::HiHat, Open, &[Stroke, Open]),
        (Instrument::HiHat, Slap, &[Stroke, Open]),
        (Instrument::Iron, Stroke, &[Stroke]),
        (Instrument::Iron, Open, &[Open]),
        (Instrument::Iron, Slap, &[Stroke, Open, Slap]),
        (Instrument::Cowbell, Open, &[Open]),
        (Instrument::Conga, Slap, &[Slap]),
        (Instrument::Triangle, Stroke, &[Stroke, Open]),
        (Instrument::Triangle, Open, &[Open]),
        (Instrument::Cymbal, Slap, &[Stroke, Slap]),
        (Instrument::Cymbal, Stroke, &[]),
        (Instrument::Toms, Open, &[Open]),
        (Instrument::Shaker, Stroke, &[]),
        (Instrument::Ride, Stroke, &[]),
        (Instrument::Kick, Stroke, &[]),
        (Instrument::Snare, Stroke, &[]),
    ];
    for (instrument, mark, stopped) in table {
        assert_eq!(stops(instrument, mark), stopped, "{} {}", instrument.name(), mark.to_char());
    }
}

#[test]
fn behind_a_loud_part_the_band_stands_back_by_what_is_asked() {
    let power = |place: &Place| f64::from(place.left).powi(2) + f64::from(place.right).powi(2);
    let rows = " lead | C5 . . . |\n second | E4 . . . |\n iron | x . . . |\n";
    let standing = Some(Standing { behind: -9.0, ..Standing::default() });
    let loud = planned(rows, &Settings { mix: Mix::Loud(0.into()), standing, ..Settings::default() });
    let in_band = planned(rows, &Settings { standing, ..Settings::default() });
    // Constant power: the squares add up to 2; 9 dB below that they add up to 2 / 10^0.9.
    let behind = 2.0 / 10f64.powf(0.9);
    for (voice, place) in loud.places.iter().enumerate() {
        let expected = if voice == 0 { 2.0 } else { behind };
        assert!((power(place) - expected).abs() < 1e-5, "voice {voice}: {place:?}");
    }
    assert!(
        in_band.places.iter().all(|place| (power(place) - 2.0).abs() < 1e-5),
        "as the band plays nobody stands back"
    );
}
