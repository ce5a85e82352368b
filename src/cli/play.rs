//! `panfold play`: a tune from the speakers, in builds that have them (feature `speakers`).

use std::path::PathBuf;

use clap::{Args, ValueHint};

use super::choice::{self, wrong};
use super::console::Console;
use super::play_args::{MixWord, tempo};
use super::{Outcome, Stop};
use crate::door::loaded::Loaded;
use crate::pan::Band;
use crate::performance::{self, Options, Performance, TempoChoice};
use crate::sound::{Mix, Settings};

/// Plays a tune from the speakers, after a count-in. Any key stops it.
///
/// Set the volume low before you begin, above all with headphones.
#[derive(Debug, Args)]
#[command(after_long_help = HELP)]
pub struct PlayArgs {
    /// Tune file
    #[arg(value_name = "TUNE", value_hint = ValueHint::FilePath)]
    pub tune: PathBuf,
    /// The part to hear; alone if no mix is given
    #[arg(long, value_name = "PART")]
    pub part: Option<String>,
    /// What you hear
    #[arg(long, value_name = "MIX", requires = "part")]
    pub mix: Option<MixWord>,
    /// Play this section only, once
    #[arg(long, value_name = "SECTION")]
    pub section: Option<String>,
    /// Play it at this tempo: `80%` of what is written, or `92` beats a minute at the opening
    #[arg(long, value_name = "TEMPO", value_parser = tempo)]
    pub tempo: Option<TempoChoice>,
    /// Use the band of this file instead of the one that the tune names
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub band: Option<PathBuf>,
}

const HELP: &str = "\
Examples:
  panfold play sea-grape-road.tune
  panfold play sea-grape-road.tune --part bass --mix loud --section verse --tempo 80%";

/// Plays a tune from the speakers.
pub fn run(args: &PlayArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let loaded = Loaded::playable(&args.tune, args.band.as_deref())?;
    console.tell(&loaded.findings)?;
    let tune = &loaded.tune;
    let part = args.part.as_deref().map(|name| choice::part(tune, name)).transpose()?;
    let section = args.section.as_deref().map(|name| choice::section(tune, name)).transpose()?;
    let mix = match (part, args.mix) {
        (None, _) => Mix::Band,
        (Some(part), None | Some(MixWord::Alone)) => Mix::Alone(part.into()),
        (Some(part), Some(MixWord::Loud)) => Mix::Loud(part.into()),
        (Some(part), Some(MixWord::Without)) => Mix::Without(part.into()),
    };
    let options = Options {
        parts: part.map(|part| tune.heard(&[part])),
        section,
        tempo: args.tempo.unwrap_or_default(),
        count_in: true,
    };
    let performance = performance::perform(tune, &options);
    let settings = Settings { room: mix == Mix::Band, mix, ..Settings::default() };
    speak(&performance, &tune.band, &settings, console)?;
    Ok(Outcome::Fine)
}

#[cfg(feature = "speakers")]
fn speak(performance: &Performance, band: &Band, settings: &Settings, console: &mut Console) -> Result<(), Stop> {
    use std::io::IsTerminal;
    use std::sync::Arc;
    use std::sync::atomic::{AtomicBool, Ordering};

    let stopped = Arc::new(AtomicBool::new(false));
    let length = super::track::minutes(performance.seconds());
    if std::io::stdin().is_terminal() {
        console.say(&format!("playing {} ({length}); any key stops it", performance.title))?;
        let stopped = Arc::clone(&stopped);
        // The thread ends with the program; there is no other way to stop waiting for a key.
        std::thread::spawn(move || {
            if ::console::Term::stderr().read_key().is_ok() {
                stopped.store(true, Ordering::Relaxed);
            }
        });
    } else {
        console.say(&format!("playing {} ({length})", performance.title))?;
    }
    crate::sound::speakers::play(performance, band, settings, &|| stopped.load(Ordering::Relaxed)).map_err(|why| {
        let finding = wrong(format!("the sound device can't be used: {why}"));
        Stop::from(
            finding.help("see whether it is plugged in and not in use, or write a file with `panfold render --sound`"),
        )
    })
}

#[cfg(not(feature = "speakers"))]
fn speak(_: &Performance, _: &Band, _: &Settings, _: &mut Console) -> Result<(), Stop> {
    let finding = wrong("this panfold was built without speakers");
    let help = "write a file with `panfold render --sound FILE.mp3` and play that, or build panfold with `--features speakers`";
    Err(finding.help(help).into())
}
