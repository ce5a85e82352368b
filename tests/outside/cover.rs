//! How near two notes cover each other, against a published formula.

use panfold::cover::lineup::NEAR;

/// The width of a critical band in hertz: Zwicker and Terhardt, "Analytical expressions for critical-band rate and critical
/// bandwidth as a function of frequency", J. Acoust. Soc. Am. 68 (1980), 1523. The formula is from memory.
fn critical_band(hertz: f64) -> f64 {
    let khz = hertz / 1000.0;
    25.0 + 75.0 * (1.0 + 1.4 * khz * khz).powf(0.69)
}

#[test]
fn near_the_lead_is_a_critical_band() {
    // The formula's own landmark: about 160 Hz at 1 kHz (table of the same paper, 8 to 9 Bark).
    assert!((critical_band(1000.0) - 162.2).abs() < 0.1, "{}", critical_band(1000.0));
    // Equal temperament from A4 = 440 Hz (ISO 16): C5 is 523.25 Hz, E6 is 1318.51 Hz, where leads mostly play.
    for hertz in [523.25, 659.26, 783.99, 1046.50, 1318.51] {
        let semitones = 12.0 * ((hertz + critical_band(hertz)) / hertz).log2();
        assert!((semitones - f64::from(NEAR)).abs() < 0.6, "{hertz} Hz: {semitones:.2} semitones");
    }
}
