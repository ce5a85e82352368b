//! Rendering: from a performance to a track at its loudness.
//!
//! A track is played at least twice: once to be measured, once to be written. An MP3 file is listened to as well, as it comes out of
//! a decoder: what is left out of the sound lets peaks come out higher than they went in.

use std::io::{self, Write};

use super::bank::Bank;
use super::flac;
use super::hold;
use super::loudness::{Meter, level};
use super::marker::{Tag, chapters, markers};
use super::mp3;
use super::plan::Plan;
use super::settings::{RATES, Settings, Standing};
use super::track::{Finish, NEAR, Track};
use super::track_writer::TrackWriter;
use super::wav;
use crate::pan::Band;
use crate::performance::Performance;

/// What was rendered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Report {
    /// Samples of each channel.
    pub frames: u64,
    /// Samples a second.
    pub rate: u32,
    /// Integrated loudness of the track in LUFS; minus infinity for silence.
    pub loudness: f64,
    /// Highest true peak of the track in dBTP; minus infinity for silence.
    pub true_peak: f64,
    /// Gain that was applied, in dB.
    pub gain: f64,
    /// By how many dB the limiter lowered the highest peak; 0 when it was not needed.
    pub limited: f64,
    /// Whether the loudness aimed at was reached within 0.1 LU. If not, the ceiling made it impossible, or the track is
    /// silent or shorter than the 0.4 s that loudness needs.
    pub reached: bool,
    /// Where the player's own parts and the band stand; beside each other where no part is loud.
    pub standing: Standing,
    /// How many strokes sound.
    pub strokes: usize,
    /// How many distinct strokes the bank holds.
    pub distinct: usize,
    /// What the bank takes in memory, in bytes.
    pub bank_bytes: usize,
}

impl Report {
    /// The track's length in seconds.
    pub fn seconds(&self) -> f64 {
        self.frames as f64 / f64::from(self.rate)
    }
}

/// How often an MP3 file is encoded before it is written as it is. On the demo's tracks the second is low enough.
const MP3_TRIES: usize = 6;

/// How a track is written, in stereo.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// WAV, at most 4 GiB.
    Wav,
    /// FLAC, at most 2^36 samples. Floating point becomes 24 bits.
    Flac,
    /// MP3, of one channel where the settings say [`Settings::mono`], at the sample rates of [`mp3::RATES`]. Loudness and peaks are
    /// those that come out of a decoder.
    Mp3,
}

/// Renders a performance to a sound file.
///
/// - `band`: gives the pans that [`crate::performance::stroke::VoicePlayer`] names, and the tuning.
/// - `tags`: what a player shows; [`crate::sound::tags`] makes the usual ones.
/// - `out`: written from front to back, never sought in.
///
/// The same performance, band and settings give the same bytes, whatever the number of threads.
///
/// # Errors
/// When `out` fails, the sample rate is out of [`RATES`] or not one of the format's, or the file would be longer than the format
/// allows.
pub fn render(
    format: Format,
    performance: &Performance,
    band: &Band,
    settings: &Settings,
    tags: &[Tag],
    out: impl Write,
) -> io::Result<Report> {
    let (rate, depth) = (settings.rate, settings.depth);
    match format {
        Format::Wav => {
            let about = wav::about(tags, &markers(performance, rate));
            render_to(performance, band, settings, |frames| wav::Writer::new(out, rate, depth, frames, &about))
        }
        Format::Flac => {
            let tags = [tags, &chapters(&markers(performance, rate), rate)].concat();
            render_to(performance, band, settings, |frames| flac::Writer::new(out, rate, depth, frames, &tags))
        }
        Format::Mp3 => to_mp3(performance, band, settings, tags, out),
    }
}

/// Renders to a writer that is made once the number of samples is known.
fn render_to<W: TrackWriter>(
    performance: &Performance,
    band: &Band,
    settings: &Settings,
    writer: impl FnOnce(u64) -> io::Result<W>,
) -> io::Result<Report> {
    prepared(performance, band, settings, |plan, bank, track| {
        let finish = track.measured(0.0);
        let mut writer = writer(track.frames)?;
        track.finished(&finish, &mut |left, right| writer.write(left, right))?;
        writer.finish()?;
        Ok(report(plan, bank, track, &finish))
    })
}

/// Makes a track ready to be played, with parts and rest where they must stand.
fn prepared(
    performance: &Performance,
    band: &Band,
    settings: &Settings,
    play: impl FnOnce(&Plan, &Bank, &Track) -> io::Result<Report>,
) -> io::Result<Report> {
    if !RATES.contains(&settings.rate) {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "the sample rate is out of bounds"));
    }
    let mut plan = Plan::new(performance, band, settings);
    let bank = settings.strokes.bank(&plan.bodies, &plan.wanted, f64::from(settings.rate));
    let settings = hold::set_back(&mut plan, &bank, performance, band, settings, f64::INFINITY);
    play(&plan, &bank, &Track::new(&plan, &bank, &settings))
}

/// Renders to an MP3 file whose peaks stay below the ceiling when it is played.
///
/// How much higher peaks come out than they went in is not known before. So what was encoded is decoded and listened to, and where a
/// peak is too high the track is limited lower by as much, and encoded anew.
fn to_mp3(
    performance: &Performance,
    band: &Band,
    settings: &Settings,
    tags: &[Tag],
    mut out: impl Write,
) -> io::Result<Report> {
    let low = Settings { ceiling: settings.ceiling - mp3::HEADROOM, ..settings.clone() };
    prepared(performance, band, &low, |plan, bank, track| {
        let mut lower = 0.0;
        for tries in 1.. {
            let mut finish = track.measured(lower);
            let mut encoder = mp3::Encoder::new(settings.rate, settings.mono)?;
            track.finished(&finish, &mut |left, right| encoder.take(left, right))?;
            let sound = encoder.finish();
            let mut meter = Meter::new(settings.rate);
            mp3::decoded(&sound, &mut |left, right| meter.add(left, right));
            let over = meter.true_peak() - settings.ceiling;
            if over <= 0.0 || tries == MP3_TRIES {
                (finish.loudness, finish.true_peak) = (meter.loudness(), meter.true_peak());
                out.write_all(&mp3::tags(tags, &markers(performance, settings.rate), track.frames, settings.rate)?)?;
                out.write_all(&sound)?;
                out.flush()?;
                return Ok(report(plan, bank, track, &finish));
            }
            lower += over + NEAR;
        }
        unreachable!("one of the tries is the last")
    })
}

fn report(plan: &Plan, bank: &Bank, track: &Track, finish: &Finish) -> Report {
    let settings = track.settings;
    Report {
        frames: track.frames,
        rate: settings.rate,
        loudness: finish.loudness,
        true_peak: finish.true_peak,
        gain: level(finish.gain),
        limited: 0.0 - level(finish.lowest),
        reached: (finish.loudness - settings.loudness).abs() <= 2.0 * NEAR,
        standing: settings.standing.unwrap_or_default(),
        strokes: plan.strokes,
        distinct: bank.len(),
        bank_bytes: bank.bytes(),
    }
}

#[cfg(test)]
#[path = "render_tests.rs"]
mod tests;
