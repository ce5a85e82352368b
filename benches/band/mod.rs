//! A made-up performance to measure with: a band of twelve parts, bars of 4/4 at 120 beats a minute.
//!
//! Two leads in eighths and sixteenths with rolled long notes, six strummed parts, two basses, iron with shaker, congas
//! with kick: about 15,700 strokes in 180 s.

use panfold::music::Seed;
use panfold::music::count;
use panfold::music::meter::Meter;
use panfold::music::{Force, Length, Moment, Pitch, Tempo, Tuning};
use panfold::notation::tree::Mark;
use panfold::pan::{Band, Instrument, Level, PanKind, band};
use panfold::performance::stroke::VoicePlayer;
use panfold::performance::{Performance, Sound, Stroke, TempoMap, Voice};
use panfold::text::{Source, Span};

/// A band without pans: every part sounds on its kind's plain layout.
pub fn plain_band() -> Band {
    Band {
        costs: panfold::pan::Costs::default(),
        name: "Lantern Quay".into(),
        tuning: Tuning::default(),
        tolerance: band::TOLERANCE,
        level: Level::default(),
        levels: Vec::new(),
        pans: Vec::new(),
        percussion: Vec::new(),
        players: Vec::new(),
        source: Source::new("band.toml", ""),
    }
}

/// A performance of voices and strokes at 120 quarter notes a minute, so that a quarter lasts half a second.
pub fn performance(players: &[VoicePlayer], mut strokes: Vec<Stroke>, quarters: i64) -> Performance {
    let meter = Meter::new(4, 4).expect("4/4 is a meter");
    strokes.sort_by_key(|stroke| (stroke.at, stroke.voice, stroke.sound));
    let voice = |(number, player): (usize, &VoicePlayer)| Voice {
        name: format!("part-{number}"),
        player: player.clone(),
        part: Some(number),
    };
    Performance {
        title: "Ebb and Flow".into(),
        by: None,
        voices: players.iter().enumerate().map(voice).collect(),
        strokes,
        tempo: TempoMap::new(Tempo::bpm(120.0).expect("a tempo"), meter),
        meters: vec![(Moment::START, meter)],
        keys: Vec::new(),
        bars: Vec::new(),
        sections: Vec::new(),
        chords: Vec::new(),
        words: Vec::new(),
        begin: Moment::START,
        end: Moment::after(Length::quarters(quarters, 1)),
    }
}

/// A plain stroke: when and for how long in 32nds of a whole note (eighths of a quarter), voice, what, velocity.
pub fn stroke(at: i64, length: i64, voice: usize, sound: Sound, velocity: u8) -> Stroke {
    Stroke {
        at: Moment::after(Length::quarters(at, 8)),
        length: Length::quarters(length, 8),
        voice: voice as u16,
        sound,
        force: Force::from_velocity(velocity),
        damped: false,
        roll: None,
        bar: 0,
        span: Span::default(),
    }
}

/// A pan of a kind that the band does not have.
pub fn pan(kind: PanKind) -> VoicePlayer {
    VoicePlayer::Pan { kind, pan: None }
}

const CHORDS: [[u8; 3]; 8] = [[0, 4, 7], [9, 0, 4], [2, 5, 9], [7, 11, 2], [0, 4, 7], [5, 9, 0], [2, 6, 9], [7, 11, 5]];
const SCALE: [u8; 7] = [0, 2, 4, 5, 7, 9, 11];
const BAR: i64 = 32;

/// The band of twelve parts for a number of bars (2 s each).
pub fn twelve_parts(bars: i64) -> Performance {
    use Instrument::{Conga, Iron, Kick, Shaker};
    use PanKind::{DoubleGuitar, DoubleSecond, Lead, NineBass, Quadrophonic, SixBass, TripleCello};
    let kinds = [
        Lead,
        Lead,
        DoubleSecond,
        DoubleSecond,
        Quadrophonic,
        DoubleGuitar,
        TripleCello,
        TripleCello,
        NineBass,
        SixBass,
    ];
    let mut players: Vec<VoicePlayer> = kinds.into_iter().map(pan).collect();
    players.extend([Iron, Shaker, Conga, Kick].map(VoicePlayer::Percussion));
    let mut band = Writing { bars, seed: Seed::of(&[20_260_501]), strokes: Vec::new() };
    band.lead(0, 60, 89);
    band.lead(1, 60, 84);
    for (i, (low, high)) in [(54, 73), (54, 73), (52, 72), (50, 70), (47, 65), (47, 62)].into_iter().enumerate() {
        band.strum(2 + i, low, high, i % 3 == 1);
    }
    band.bass(8, 31, 48);
    band.bass(9, 34, 51);
    band.percussion();
    performance(&players, band.strokes, bars * 4)
}

struct Writing {
    bars: i64,
    seed: Seed,
    strokes: Vec<Stroke>,
}

impl Writing {
    fn chance(&mut self) -> f64 {
        self.seed.unit()
    }

    fn between(&mut self, low: u8, high: u8) -> u8 {
        low + count(self.chance() * f64::from(high - low + 1)) as u8
    }

    fn pick(&mut self, of: &[u8]) -> u8 {
        of[count(self.chance() * of.len() as f64)]
    }

    fn add(&mut self, at: i64, length: i64, voice: usize, key: u8, velocity: u8) {
        let sound = Sound::Note(Pitch::new(key).expect("a key"));
        self.strokes.push(stroke(at, length, voice, sound, velocity));
    }

    fn roll(&mut self, voice: usize, at: i64, length: i64, keys: &[u8], velocity: u8) {
        for k in 0..length {
            for key in keys {
                let softer = if k == 0 { 0 } else { self.between(9, 15) };
                self.add(at + k, 1, voice, *key, velocity - softer);
                self.strokes.last_mut().expect("just added").roll = Some(k.unsigned_abs() as u16);
            }
        }
    }

    fn lead(&mut self, voice: usize, low: u8, high: u8) {
        let mut near = (low + high) / 2;
        for bar in 0..self.bars {
            let (mut at, end) = (bar * BAR, (bar + 1) * BAR);
            let chord = CHORDS[bar.unsigned_abs() as usize % 8];
            while at < end {
                let (chance, room) = (self.chance(), end - at);
                let long = if chance < 0.10 { 16 } else { 8 };
                if chance < 0.18 && room >= long {
                    near = nearest(self.pick(&chord), near, low, high);
                    self.roll(voice, at, long, &[near], 96);
                    at += long;
                    continue;
                }
                let length = if chance < 0.55 && at % 4 == 0 { 4 } else { 2 };
                if chance <= 0.93 {
                    let class = if at % 8 == 0 { self.pick(&chord) } else { self.pick(&SCALE) };
                    let step = self.between(0, 8);
                    near = nearest(class, (near + step).saturating_sub(4).clamp(low + 4, high - 4), low, high);
                    let velocity = self.between(78, 104);
                    self.add(at, length, voice, near, velocity);
                }
                at += length;
            }
        }
    }

    fn strum(&mut self, voice: usize, low: u8, high: u8, busy: bool) {
        for bar in 0..self.bars {
            let chord = CHORDS[bar.unsigned_abs() as usize % 8];
            let middle = (low + high) / 2 + self.pick(&[0, 3, 6]) - 3;
            let lower = nearest(chord[voice % 3], middle - 3, low, high);
            let upper = nearest(chord[(voice + 1) % 3], middle + 4, low, high);
            if bar % 8 == 7 && voice.is_multiple_of(2) {
                self.roll(voice, bar * BAR, BAR, &[lower, upper], 84);
                continue;
            }
            for beat in 0..4 {
                let at = bar * BAR + beat * 8 + 4;
                let hits: &[i64] = if busy { &[0, 2] } else { &[0] };
                for hit in hits {
                    for key in [lower, upper] {
                        let velocity = self.between(66, 86);
                        self.add(at + hit, if busy { 2 } else { 4 }, voice, key, velocity);
                    }
                }
            }
        }
    }

    fn bass(&mut self, voice: usize, low: u8, high: u8) {
        for bar in 0..self.bars {
            let chord = CHORDS[bar.unsigned_abs() as usize % 8];
            let third = chord[if voice % 2 == 1 { 1 } else { 2 }];
            for (at, length, class) in [(0, 12, chord[0]), (12, 8, chord[2]), (20, 4, chord[0]), (24, 8, third)] {
                let velocity = self.between(84, 100);
                self.add(bar * BAR + at, length, voice, nearest(class, (low + high) / 2, low, high), velocity);
            }
        }
    }

    fn percussion(&mut self) {
        for bar in 0..self.bars {
            for k in 0..16 {
                let at = bar * BAR + 2 * k;
                let (iron, velocity) = if k % 4 == 2 { (Mark::Open, 96) } else { (Mark::Stroke, 70) };
                self.strokes.push(stroke(at, 2, 10, Sound::Mark(iron), velocity));
                let (shaker, velocity) = if k % 2 == 1 { (Mark::Open, 64) } else { (Mark::Stroke, 50) };
                self.strokes.push(stroke(at, 2, 11, Sound::Mark(shaker), velocity));
            }
            for k in [0, 3, 4, 6, 8, 11, 12, 14] {
                let conga = if k % 8 == 3 { Mark::Open } else { Mark::Stroke };
                let velocity = self.between(70, 96);
                self.strokes.push(stroke(bar * BAR + 2 * k, 2, 12, Sound::Mark(conga), velocity));
            }
            for k in 0..4 {
                self.strokes.push(stroke(bar * BAR + 8 * k, 4, 13, Sound::Mark(Mark::Stroke), 100));
            }
        }
    }
}

fn nearest(class: u8, to: u8, low: u8, high: u8) -> u8 {
    let fits = (low..=high).filter(|key| key % 12 == class % 12);
    fits.min_by_key(|key| key.abs_diff(to)).expect("an octave has every class")
}
