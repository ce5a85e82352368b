//! The plan of a track: which stroke of the bank begins at which sample, how loud, for how long, and where it stands.

use std::collections::{BTreeMap, HashMap};
use std::ops::Range;

use super::bank::{Body, ForceLevel, Key, Layer, Struck, VARIANTS};
use super::give_way::Peaks;
use super::pan_voice::{self, db};
use super::settings::Settings;
use crate::music::Force;
use crate::music::Seed;
use crate::music::count;
use crate::notation::tree::Mark;
use crate::pan::{Band, Instrument, PanKind, layouts};
use crate::performance::stroke::VoicePlayer;
use crate::performance::{Performance, Stroke, Voice};

/// Loudness goes with this power of the force: from `mf` to `f` it is 2.5 dB. Our own setting.
const FORCE_POWER: f64 = 1.6;

/// When a note is struck again, what still rings of it dies away within this time in seconds: the stick stops it and
/// sets it off anew. Our own setting.
pub const STRUCK_AGAIN: f64 = 0.035;

/// How long a damped note of a pan takes to die under the hand, in seconds. Our own setting, as the one of percussion.
pub(crate) const DAMPED_PAN: f64 = 0.070;
/// The same of percussion.
pub(crate) const DAMPED_PERCUSSION: f64 = 0.030;

/// By how many dB at most a stroke is louder or softer than is meant, by chance. Our own setting, for hands that play as evenly as they
/// can; a roll's strokes are less even still, see `performance::roll`.
const UNEVEN: f64 = 0.9;

/// A layer of a stroke of the track.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Event {
    /// The sample at which it begins.
    pub start: u64,
    /// How many samples sound, the fade at the end among them; `u32::MAX`: until it has died away.
    pub length: u32,
    /// How many samples the fade takes.
    pub fade: u32,
    /// The number of the stroke in the bank.
    pub stroke: u32,
    /// Its gain.
    pub gain: f32,
    /// The number of the place it comes from.
    pub place: u16,
}

/// Where a voice stands: gains of the left and right channel.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Place {
    /// Gain to the left.
    pub left: f32,
    /// Gain to the right.
    pub right: f32,
    /// Whether what stands here gives way to the player's own.
    pub is_back: bool,
}

/// A planned track.
#[derive(Clone, Debug)]
pub struct Plan {
    /// What is struck.
    pub bodies: Vec<Body>,
    /// The strokes that the bank needs, with how many samples of each are heard at most.
    pub wanted: BTreeMap<Key, usize>,
    /// The strokes' layers in order of their beginning.
    pub events: Vec<Event>,
    /// How many strokes are heard.
    pub strokes: usize,
    /// The places, one for each voice.
    pub places: Vec<Place>,
    /// Samples from the start to the end of the last bar.
    pub frames: u64,
    /// Samples a second.
    pub rate: u32,
    /// Whether left and right are the same.
    pub mono: bool,
    /// Where peaks are held, if they are.
    pub peaks: Option<Peaks>,
}

/// A stroke before the bank numbers it.
struct Draft {
    key: Key,
    event: Event,
}

impl Plan {
    /// Plans a track.
    ///
    /// In [`crate::sound::Mix::Loud`] parts and rest stand as [`Settings::standing`] says, or beside each other if it says
    /// nothing.
    pub fn new(performance: &Performance, band: &Band, settings: &Settings) -> Plan {
        let rate = f64::from(settings.rate);
        let bodies = performance.voices.iter().map(|voice| body(voice, band, settings)).collect();
        let gain = |voice: &Voice| if settings.mix.hears(voice) { db(balance(&voice.player)) } else { 0.0 };
        let gains: Vec<f64> = performance.voices.iter().map(gain).collect();
        let mut drafting =
            Drafting { performance, rate, drafts: Vec::new(), strokes: 0, last: HashMap::new(), count: HashMap::new() };
        for stroke in &performance.strokes {
            let gain = gains[usize::from(stroke.voice)];
            if gain > 0.0 {
                drafting.add(stroke, gain);
            }
        }
        soften_count_in(&mut drafting.drafts, &performance.voices, settings);
        let strokes = drafting.strokes;
        let (wanted, events) = number(drafting.drafts);
        let frames = count((performance.seconds() * rate).round()) as u64;
        let (places, rate) = (Vec::new(), settings.rate);
        let mono = settings.mono;
        let mut plan = Plan { bodies, wanted, events, strokes, places, frames, rate, mono, peaks: None };
        plan.stand(&performance.voices, settings);
        plan
    }

    /// Puts the voices where the settings say; what is struck, and when, stays.
    pub fn stand(&mut self, voices: &[Voice], settings: &Settings) {
        self.places = places(voices, settings);
        self.peaks = settings.standing.and_then(|standing| standing.peaks);
    }
}

/// In a track for one player the count-in is no louder than the player's loudest stroke: a soft part could not be raised for
/// the count-in's peaks.
fn soften_count_in(drafts: &mut [Draft], voices: &[Voice], settings: &Settings) {
    let loudest = |heard: &dyn Fn(&Voice) -> bool| {
        let gains = drafts.iter().filter(|draft| heard(&voices[usize::from(draft.event.place)]));
        gains.map(|draft| draft.event.gain).fold(0.0f32, f32::max)
    };
    let (own, count) =
        (loudest(&|voice: &Voice| settings.mix.features(voice)), loudest(&|voice: &Voice| voice.part.is_none()));
    if own > 0.0 && own < count {
        let counts = drafts.iter_mut().filter(|draft| voices[usize::from(draft.event.place)].part.is_none());
        counts.for_each(|draft| draft.event.gain *= own / count);
    }
}

/// Gives the strokes their numbers in the bank and says how long each must be.
fn number(mut drafts: Vec<Draft>) -> (BTreeMap<Key, usize>, Vec<Event>) {
    let mut wanted: BTreeMap<Key, usize> = BTreeMap::new();
    for Draft { key, event } in &drafts {
        let heard = if event.length == u32::MAX { usize::MAX } else { event.length as usize };
        let most = wanted.entry(*key).or_default();
        *most = heard.max(*most);
    }
    let numbers: HashMap<Key, u32> = wanted.keys().copied().zip(0..).collect();
    drafts.sort_by_key(|draft| draft.event.start);
    let events = drafts.into_iter().map(|draft| Event { stroke: numbers[&draft.key], ..draft.event }).collect();
    (wanted, events)
}

/// Drafts strokes in the order of the performance.
struct Drafting<'a> {
    performance: &'a Performance,
    rate: f64,
    drafts: Vec<Draft>,
    strokes: usize,
    /// The drafts that ring on each note or mark of each voice.
    last: HashMap<(u16, Struck), Range<usize>>,
    /// How many strokes each note or mark of each voice has had, and which variant the last was.
    count: HashMap<(u16, Struck), (u64, u8)>,
}

impl Drafting<'_> {
    fn add(&mut self, stroke: &Stroke, gain: f64) {
        let player = &self.performance.voices[usize::from(stroke.voice)].player;
        let struck = Struck::from(stroke.sound);
        let level = ForceLevel::of(stroke.force);
        let (variant, mut seed) = self.variant(stroke.voice, struck);
        let seconds = self.performance.tempo.seconds(stroke.at);
        let gain = gain * loudness(stroke.force) * db(UNEVEN * seed.near_zero());
        let start = count((seconds * self.rate).round()) as u64;
        self.stop_what_rings(stroke.voice, player, struck, start);
        let mut event = Event { start, length: u32::MAX, fade: 0, stroke: 0, gain: gain as f32, place: stroke.voice };
        if stroke.damped {
            let held = self.performance.tempo.lasts(stroke.at, stroke.length);
            stop(&mut event, start + count((held * self.rate).round()) as u64, damping(struck), self.rate);
        }
        self.strokes += 1;
        let key = |layer| Key { body: stroke.voice, struck, level, layer };
        let touch = self.drafts.len();
        let mut rings = touch..touch + 1;
        self.drafts.push(Draft { key: key(Layer::Touch(variant)), event });
        if matches!(struck, Struck::Note(_)) {
            let shift = Event { gain: event.gain * pan_voice::shift(&mut seed) as f32, ..event };
            self.drafts.push(Draft { key: key(Layer::Shift), event: shift });
            self.drafts.push(Draft { key: key(Layer::Ring), event });
            rings = touch + 1..touch + 3;
        }
        self.last.insert((stroke.voice, struck), rings);
    }

    /// The next variant of a stroke, never the same twice running nor in an order that comes again, and a seed for what else is uneven
    /// about it.
    fn variant(&mut self, voice: u16, struck: Struck) -> (u8, Seed) {
        let (count, variant) = self.count.entry((voice, struck)).or_insert((0, VARIANTS - 1));
        *count += 1;
        let mut seed = Seed::of(&[u64::from(voice), struck.number(), *count]);
        *variant = another(*variant, VARIANTS, &mut seed);
        (*variant, seed)
    }

    /// What rings on the same note, or on percussion that the new stroke stops, ends where the stroke begins.
    fn stop_what_rings(&mut self, voice: u16, player: &VoicePlayer, struck: Struck, start: u64) {
        for other in stopped(player, struck) {
            for ringing in self.last.remove(&(voice, other)).into_iter().flatten() {
                stop(&mut self.drafts[ringing].event, start, STRUCK_AGAIN, self.rate);
            }
        }
    }
}

/// Another variant out of so many than the one before, all others equally likely; the only one where there is one.
pub fn another(before: u8, variants: u8, seed: &mut Seed) -> u8 {
    let others = variants.saturating_sub(1).max(1);
    (before + 1 + (seed.next_u64() % u64::from(others)) as u8) % variants
}

/// What stops ringing on a player's instrument when a stroke begins: the same note, or what [`stops`] says of percussion.
pub fn stopped(player: &VoicePlayer, struck: Struck) -> impl Iterator<Item = Struck> + use<> {
    let marks: &[Mark] = match (player, struck) {
        (VoicePlayer::Percussion(instrument), Struck::Mark(mark)) => stops(*instrument, mark),
        _ => &[],
    };
    let same = matches!(struck, Struck::Note(_)).then_some(struck);
    marks.iter().map(|mark| Struck::Mark(*mark)).chain(same)
}

/// How long what is struck takes to die under the hand, in seconds.
pub fn damping(struck: Struck) -> f64 {
    if matches!(struck, Struck::Note(_)) { DAMPED_PAN } else { DAMPED_PERCUSSION }
}

/// Ends an event at a sample, with a fade from there on, unless it ends earlier.
fn stop(event: &mut Event, at: u64, fade: f64, rate: f64) {
    let fade = count((fade * rate).round()) as u32;
    let length = u32::try_from(at.saturating_sub(event.start) + u64::from(fade)).unwrap_or(u32::MAX);
    if length < event.length {
        (event.length, event.fade) = (length, fade);
    }
}

/// Which ringing strokes a stroke on percussion stops: hands and plates that damp (common practice, no source).
#[expect(clippy::match_same_arms, reason = "a row for each, so that the table can be read")]
pub fn stops(instrument: Instrument, mark: Mark) -> &'static [Mark] {
    match (instrument, mark) {
        (Instrument::HiHat, _) => &[Mark::Stroke, Mark::Open],
        (Instrument::Iron, Mark::Slap) => &[Mark::Stroke, Mark::Open, Mark::Slap],
        (Instrument::Iron | Instrument::Cowbell, mark) => same(mark),
        (Instrument::Conga, mark) => same(mark),
        // The hand that mutes a triangle or chokes a cymbal.
        (Instrument::Triangle, Mark::Stroke) => &[Mark::Stroke, Mark::Open],
        (Instrument::Cymbal, Mark::Slap) => &[Mark::Stroke, Mark::Slap],
        (Instrument::Triangle | Instrument::Toms | Instrument::Bongos | Instrument::Timbales, mark) => same(mark),
        _ => &[],
    }
}

fn same(mark: Mark) -> &'static [Mark] {
    match mark {
        Mark::Stroke => &[Mark::Stroke],
        Mark::Open => &[Mark::Open],
        Mark::Slap => &[Mark::Slap],
    }
}

/// The amplitude of a force.
pub fn loudness(force: Force) -> f64 {
    f64::from(force.value()).powf(FORCE_POWER)
}

/// What a voice strikes, as the mix lets it sound.
pub fn body(voice: &Voice, band: &Band, settings: &Settings) -> Body {
    let body = plain_body(voice, band, settings);
    if settings.mix.features(voice) { body.lifted() } else { body }
}

/// What a voice strikes.
fn plain_body(voice: &Voice, band: &Band, settings: &Settings) -> Body {
    match voice.player {
        VoicePlayer::Percussion(instrument) => Body::percussion(instrument),
        VoicePlayer::Pan { kind, pan } => {
            let number = voice.part.and_then(|part| settings.pans.get(&part)).copied().or(pan);
            match number.and_then(|number| Some((number, band.pans.get(number)?))) {
                Some((number, own)) => Body::pan(&own.pan, band.tuning, number as u64),
                // Nobody in the band plays it: it sounds as the kind's usual layout would.
                None => layouts::of_kind(kind)
                    .map_or_else(|| Body::plain(kind, band.tuning), |pan| Body::pan(pan, band.tuning, u64::MAX)),
            }
        }
    }
}

/// How loud a player sounds beside the others, in dB. Our own setting, by measured loudness: in eighths of one force
/// the basses come to the loudness of the leads, the middle pans 3 to 5 LU below, the iron's ringing stroke 5 LU below,
/// congas and kick 4 to 7, snare and claves 8, the rest 11 to 15: heard, without covering a pan. Measured in the same way,
/// without the band around it: crash and toms 4 to 6 LU below a lead's C5, timbales and the open triangle 7, bongos 9, ride
/// and tambourine 11 to 12.
#[expect(clippy::match_same_arms, reason = "a row for each, so that the table can be read")]
pub fn balance(player: &VoicePlayer) -> f64 {
    match player {
        VoicePlayer::Pan { kind, .. } => match kind {
            PanKind::Lead | PanKind::PingPong => 0.0,
            PanKind::DoubleTenor | PanKind::DoubleSecond => -2.5,
            PanKind::DoubleGuitar | PanKind::TripleGuitar | PanKind::Quadrophonic => -3.0,
            PanKind::TripleCello => -2.5,
            PanKind::TenorBass => 0.0,
            PanKind::SixBass | PanKind::NineBass => 2.0,
        },
        VoicePlayer::Percussion(instrument) => match instrument {
            Instrument::Iron => 5.0,
            Instrument::Shaker => -1.0,
            Instrument::Scratcher => 0.0,
            Instrument::Conga => 8.0,
            Instrument::Kick => 9.0,
            Instrument::Snare => 10.0,
            Instrument::HiHat => 1.0,
            Instrument::Cowbell => 5.0,
            Instrument::Claves => 6.0,
            Instrument::Tambourine => 0.0,
            Instrument::Triangle => -2.0,
            Instrument::Cymbal => 0.0,
            Instrument::Ride => -4.0,
            Instrument::Toms => 7.0,
            Instrument::Bongos => 8.0,
            Instrument::Timbales => 7.0,
        },
    }
}

/// Where players stand as a listener before the band hears it: -1 is left, 1 is right. Our own setting.
#[expect(clippy::match_same_arms, reason = "a row for each, so that the table can be read")]
pub fn stands(player: &VoicePlayer) -> f64 {
    match player {
        VoicePlayer::Pan { kind, .. } => match kind {
            PanKind::Lead | PanKind::PingPong => -0.10,
            PanKind::DoubleTenor => 0.30,
            PanKind::DoubleSecond => -0.35,
            PanKind::DoubleGuitar | PanKind::TripleGuitar => 0.45,
            PanKind::Quadrophonic => -0.50,
            PanKind::TripleCello => 0.55,
            PanKind::TenorBass => -0.25,
            PanKind::SixBass | PanKind::NineBass => 0.15,
        },
        VoicePlayer::Percussion(instrument) => match instrument {
            Instrument::Iron => 0.25,
            Instrument::Shaker => -0.30,
            Instrument::Scratcher => 0.35,
            Instrument::Conga => -0.20,
            Instrument::Kick | Instrument::Snare => 0.0,
            Instrument::HiHat => 0.10,
            Instrument::Cowbell => 0.20,
            Instrument::Claves => 0.0,
            Instrument::Tambourine => 0.30,
            Instrument::Triangle => -0.35,
            Instrument::Cymbal => -0.15,
            Instrument::Ride => 0.15,
            Instrument::Toms => -0.10,
            Instrument::Bongos => 0.20,
            Instrument::Timbales => -0.25,
        },
    }
}

/// A place for every voice. A second player on the same kind stands on the other side; a part alone in the middle.
fn places(voices: &[Voice], settings: &Settings) -> Vec<Place> {
    let mut before: Vec<f64> = Vec::new();
    let place = |voice: &Voice| {
        let side = stands(&voice.player);
        let others = before.iter().filter(|other| **other == side).count();
        before.push(side);
        let side = if settings.mix.is_alone() || settings.mono {
            0.0
        } else {
            [side, -side, 0.5 * side, -0.5 * side][others % 4]
        };
        // Constant power: the two gains' squares add up to 2, so that the middle is 1 and 1.
        let angle = (side + 1.0) * std::f64::consts::FRAC_PI_4;
        let is_back = settings.mix.sets_back(voice);
        let back = if is_back { db(settings.standing.unwrap_or_default().behind) } else { 1.0 };
        let gain = |part: f64| (part * std::f64::consts::SQRT_2 * back) as f32;
        Place { left: gain(angle.cos()), right: gain(angle.sin()), is_back }
    };
    voices.iter().map(place).collect()
}

#[cfg(test)]
#[path = "plan_tests.rs"]
mod tests;
