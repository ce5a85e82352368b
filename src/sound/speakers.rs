//! The speakers (feature `speakers`): a stream played by `rodio`.

use std::num::NonZero;
use std::ops::ControlFlow;
use std::sync::mpsc::{Receiver, sync_channel};
use std::thread;
use std::time::Duration;

use rodio::{ChannelCount, DeviceSinkBuilder, Player, SampleRate, Source};

use super::settings::Settings;
use super::stream::stream;
use crate::pan::Band;
use crate::performance::Performance;

/// How many blocks wait for the speakers at most: enough not to run dry, few enough to stop at once.
const WAITING: usize = 16;

/// How often it is looked whether to stop.
const LOOK: Duration = Duration::from_millis(20);

/// Samples that come from another thread, left and right in turn.
struct Blocks {
    blocks: Receiver<Vec<f32>>,
    now: std::vec::IntoIter<f32>,
    rate: SampleRate,
}

impl Iterator for Blocks {
    type Item = f32;

    fn next(&mut self) -> Option<f32> {
        loop {
            if let Some(sample) = self.now.next() {
                return Some(sample);
            }
            self.now = self.blocks.recv().ok()?.into_iter();
        }
    }
}

impl Source for Blocks {
    fn current_span_len(&self) -> Option<usize> {
        None
    }

    fn channels(&self) -> ChannelCount {
        NonZero::new(2).expect("two is not zero")
    }

    fn sample_rate(&self) -> SampleRate {
        self.rate
    }

    fn total_duration(&self) -> Option<Duration> {
        None
    }
}

/// Plays a performance on the default sound device until it has rung out or `stop` says so.
///
/// # Errors
/// The system's own words when there is no sound device.
pub fn play(
    performance: &Performance,
    band: &Band,
    settings: &Settings,
    stop: &dyn Fn() -> bool,
) -> Result<(), String> {
    let mut device = DeviceSinkBuilder::open_default_sink().map_err(|error| error.to_string())?;
    device.log_on_drop(false);
    let player = Player::connect_new(device.mixer());
    let (send, blocks) = sync_channel(WAITING);
    let rate = NonZero::new(settings.rate).unwrap_or(NonZero::<u32>::MIN);
    player.append(Blocks { blocks, now: Vec::new().into_iter(), rate });
    thread::scope(|scope| {
        scope.spawn(move || {
            stream(performance, band, settings, &mut |left, right| {
                let pairs = left.iter().zip(right).flat_map(|(left, right)| [*left, *right]).collect();
                // Nobody takes the block any more once the player has stopped.
                if send.send(pairs).is_ok() { ControlFlow::Continue(()) } else { ControlFlow::Break(()) }
            });
        });
        while !player.empty() && !stop() {
            thread::sleep(LOOK);
        }
        player.stop();
        drop(player);
        drop(device);
    });
    Ok(())
}
