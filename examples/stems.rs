//! Writes what the track of a part is the sum of, for meters to listen to one by one: `stems TUNE PART PERCENT FOLDER` writes
//! `own.wav`, `rest.wav` and `count.wav` (32-bit floating point) at the gains that the part's own track has, their peaks held as
//! there. Only the limiter behind the mix is left out: it turns all of them down together where their sum is too loud.

use std::error::Error;
use std::fs;
use std::path::Path;
use std::sync::Arc;

use panfold::performance::{self, Options, TempoChoice};
use panfold::sound::bank::Bank;
use panfold::sound::mixer::Mixer;
use panfold::sound::plan::Plan;
use panfold::sound::{Format, Mix, Settings, render};
use panfold::text::Source;
use panfold::tune::{self, Tune};
use panfold::{fit, notation, pan};

/// How many samples are mixed at a time.
const BLOCK: usize = 4096;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [tune, part, percent, folder] = &arguments[..] else {
        return Err("usage: stems TUNE PART PERCENT FOLDER".into());
    };
    let tune = read(Path::new(tune))?;
    let part = tune.parts.iter().position(|known| known.name == *part).ok_or("the tune has no such part")?;
    let mut options = Options::default();
    (options.tempo, options.count_in) = (TempoChoice::Percent(percent.parse()?), true);
    let performance = performance::perform(&tune, &options);
    let mut settings = Settings::of(Mix::Loud(part.into()));
    let track = render(Format::Wav, &performance, &tune.band, &settings, &[], std::io::sink())?;
    settings.standing = Some(track.standing);
    println!(
        "{}: {:.2} dB for all, {:.2} dB for the rest",
        performance.voices[part].name, track.gain, track.standing.behind
    );
    let plan = Plan::new(&performance, &tune.band, &settings);
    let bank = Bank::build(&plan.bodies, &plan.wanted, f64::from(settings.rate));
    let folder = Path::new(folder);
    let voices = |stem: Option<bool>| {
        let mut plan = plan.clone();
        let heard = performance.voices.iter().map(|voice| voice.part.map(|number| number == part) == stem);
        for (place, _) in plan.places.iter_mut().zip(heard).filter(|(_, heard)| !heard) {
            (place.left, place.right) = (0.0, 0.0);
        }
        mixed(&plan, &bank, track.gain)
    };
    let [own, count] = [Some(true), None].map(voices);
    // The band gives way to the part, so that it has to be heard beside it.
    let all = mixed(&plan, &bank, track.gain);
    let rest: Vec<f32> = all.iter().zip(own.iter().zip(&count)).map(|(all, (own, count))| all - own - count).collect();
    for (name, samples) in [("own", own), ("rest", rest), ("count", count)] {
        write(&samples, plan.rate, &folder.join(name).with_extension("wav"))?;
    }
    Ok(())
}

fn read(path: &Path) -> Result<Tune, Box<dyn Error>> {
    let source = Source::new(path.display().to_string(), fs::read_to_string(path)?);
    let tree = notation::parse(&source).0;
    let name = tune::band_path(&tree).ok_or("the tune names no band")?.value.clone();
    let path = path.with_file_name(name);
    let source = Source::new(path.display().to_string(), fs::read_to_string(&path)?);
    let mut beside = |name: &str| {
        let path = path.with_file_name(name);
        // A pan file that can't be read is empty, which no pan is.
        let text = fs::read_to_string(&path).unwrap_or_default();
        Ok(Source::new(path.display().to_string(), text))
    };
    let band = pan::read_band(&source, &mut beside).0.ok_or("the band can't be read")?;
    Ok(fit::resolve(&tree, &Arc::new(band)).0)
}

/// What a plan gives at a gain in dB, left and right in turn.
fn mixed(plan: &Plan, bank: &Bank, gain: f64) -> Vec<f32> {
    let mut mixer = Mixer::new(plan, bank, None);
    let (mut left, mut right) = ([0.0; BLOCK], [0.0; BLOCK]);
    let factor = 10f32.powf(gain as f32 / 20.0);
    let mut samples = Vec::new();
    // As long as the whole plan, whatever is heard of it.
    for _ in 0..plan.frames.max(mixer.ends()).div_ceil(BLOCK as u64) {
        mixer.fill(&mut left, &mut right);
        samples.extend(left.iter().zip(&right).flat_map(|(left, right)| [left * factor, right * factor]));
    }
    samples
}

fn write(samples: &[f32], rate: u32, path: &Path) -> Result<(), Box<dyn Error>> {
    let sample_format = hound::SampleFormat::Float;
    let spec = hound::WavSpec { channels: 2, sample_rate: rate, bits_per_sample: 32, sample_format };
    let mut out = hound::WavWriter::create(path, spec)?;
    samples.iter().try_for_each(|sample| out.write_sample(*sample))?;
    Ok(out.finalize()?)
}
