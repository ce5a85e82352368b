//! The model of the hands against published tapping, and against what players know.

use panfold::check::{Options, check};
use panfold::hands::movement::{self, FASTEST_REPEATS, Hands, figures};
use panfold::hands::report::Played;
use panfold::hands::sticking::{Stick, Stroke, solve};
use panfold::hands::tempo::can_play_at;
use panfold::pan::{Level, layout};
use panfold::text::Severity;
use panfold::tune::library::styles;

use crate::kit::{band, pans, tune};

/// Milliseconds for a movement of 2, 4, 8 and 16 inches, by the target's width in inches: P. M. Fitts, "The information
/// capacity of the human motor system in controlling the amplitude of movement", J. Exp. Psychol. 47 (1954), Table 1, 1-oz
/// stylus. The cells are from memory; the regression on them is published (below).
const TAPPING: [(f64, [f64; 4]); 4] = [
    (2.0, [180.0, 203.0, 279.0, 388.0]),
    (1.0, [212.0, 260.0, 357.0, 481.0]),
    (0.5, [281.0, 372.0, 469.0, 595.0]),
    (0.25, [392.0, 484.0, 580.0, 731.0]),
];

/// Distance and width in inches, and milliseconds.
fn cells() -> impl Iterator<Item = (f64, f64, f64)> {
    let row = |(width, times): (f64, [f64; 4])| {
        [2.0, 4.0, 8.0, 16.0].into_iter().zip(times).map(move |(distance, time)| (distance, width, time))
    };
    TAPPING.into_iter().flat_map(row)
}

/// Intercept, slope and correlation of the times over the difficulties, by least squares.
fn regression(difficulty: fn(f64, f64) -> f64) -> (f64, f64, f64) {
    let points: Vec<(f64, f64)> = cells().map(|(distance, width, time)| (difficulty(distance, width), time)).collect();
    let n = points.len() as f64;
    let mean = |of: &dyn Fn(&(f64, f64)) -> f64| points.iter().map(of).sum::<f64>() / n;
    let (x, y) = (mean(&|p| p.0), mean(&|p| p.1));
    let (xy, xx, yy) = (mean(&|p| (p.0 - x) * (p.1 - y)), mean(&|p| (p.0 - x).powi(2)), mean(&|p| (p.1 - y).powi(2)));
    (y - xy / xx * x, xy / xx, xy / (xx * yy).sqrt())
}

#[test]
fn the_constants_are_the_regression_of_the_published_table() {
    // 12.8 ms, 94.7 ms a bit, r = 0.983: MacKenzie, Human-Computer Interaction 7 (1992), 91-139, for this table.
    let (intercept, slope, r) = regression(|distance, width| (2.0 * distance / width).log2());
    assert!((intercept - 12.8).abs() < 0.1 && (slope - 94.7).abs() < 0.1 && (r - 0.983).abs() < 0.001);
    // The form that the model takes, on the same cells.
    let (intercept, slope, r) = regression(|distance, width| (distance / width + 1.0).log2());
    assert!((intercept - movement::INTERCEPT_MS).abs() < 0.05, "{intercept}");
    assert!((slope - movement::SLOPE_MS).abs() < 0.05, "{slope}");
    assert!(r > 0.993);
}

#[test]
fn every_cell_of_the_table_is_met_within_41_ms() {
    let mut squares = 0.0;
    for (distance, width, published) in cells() {
        let model = 1000.0 * movement::law(25.4 * distance, 25.4 * width);
        squares += (model - published).powi(2) / 16.0;
        assert!((model - published).abs() < 41.0, "{distance} in to {width} in: {model:.0} for {published}");
    }
    assert!(squares.sqrt() < 17.5, "root mean square {:.1} ms", squares.sqrt());
}

#[test]
fn one_hand_repeats_within_the_published_limits() {
    // Usual limits of one hand 5 to 7 a second, of a contest's winner 10: Fujii, Kudo, Ohtsuki and Oda, Neurosci. Lett. 459
    // (2009), 69-73; Fujii and Moritani, J. Electromyogr. Kinesiol. 22 (2012), 60-66.
    assert_eq!(figures(Level::Intermediate).repeats, 5.0);
    assert_eq!(figures(Level::Experienced).repeats, 7.0);
    assert_eq!(FASTEST_REPEATS, 10.0);
    // Children of six tap about 3 a second with a finger (norm tables, from memory).
    assert_eq!(figures(Level::Beginner).repeats, 3.0);
}

#[test]
fn two_sticks_roll_within_the_published_limits() {
    // Two hands strictly alternating: 10 to 14 a second ordinary, twice the one-hand limits above.
    for (level, rate) in [(Level::Intermediate, 10.0), (Level::Experienced, 14.0)] {
        let hands = Hands::new(layout("lead-c").expect("a layout"), level);
        let even = |rate: f64| -> Vec<Stroke> {
            (0..40).map(|i| Stroke::single((f64::from(i) * 1e6 / rate).ceil() as i64, 3)).collect()
        };
        assert!(can_play_at(&hands, &even(rate - 0.01), 1000, false));
        assert!(!can_play_at(&hands, &even(rate + 0.2), 1000, false));
        // Even strokes on one note alternate.
        let sticks = solve(&hands, &even(rate - 0.01)).sticks;
        assert!(sticks.windows(2).all(|pair| pair[0] != pair[1]));
    }
}

fn run(hands: &Hands, names: &[&str], gap: i64, times: usize) -> Vec<Stroke> {
    let place = |name: &&str| hands.place(name.parse().expect("a note")).expect("on the pan");
    let all = std::iter::repeat_n(names, times).flatten();
    (0..).zip(all).map(|(i, name)| Stroke::single(i * gap, place(name))).collect()
}

/// Common practice, no source.
#[test]
fn a_chromatic_run_in_sixteenths_at_100_alternates_on_a_lead_and_is_playable() {
    let hands = Hands::new(layout("lead-c").expect("a layout"), Level::Experienced);
    let up = ["C5", "C#5", "D5", "Eb5", "E5", "F5", "F#5", "G5", "G#5", "A5", "Bb5", "B5", "C6"];
    let line = run(&hands, &up, 150_000, 1);
    let solved = solve(&hands, &line);
    assert_eq!(solved.cost.late, 0);
    assert!(solved.sticks.windows(2).all(|pair| pair[0] != pair[1]), "{:?}", solved.sticks);
    // One stick alone can't.
    let alone: Vec<Stroke> = line.iter().map(|stroke| Stroke { stick: Some(Stick::R), ..*stroke }).collect();
    assert!(solve(&hands, &alone).cost.late > 0);
}

/// Common practice, no source.
#[test]
fn quarters_across_a_six_bass_at_120_are_playable_and_sixteenths_are_not() {
    for level in [Level::Intermediate, Level::Experienced] {
        let hands = Hands::new(layout("six-bass").expect("a layout"), level);
        let across = |gap| run(&hands, &["C2", "C#2"], gap, 8);
        assert!(can_play_at(&hands, &across(500_000), 1000, true), "{level}");
        assert!(!can_play_at(&hands, &across(125_000), 1000, true), "{level}");
    }
}

/// Common practice, no source: every strum pattern of the library is played at its usual tempo by players who are no experts.
#[test]
fn an_intermediate_player_strums_every_pattern_of_the_library() {
    let band = band(&pans(&[("Seconds", "double-second"), ("Guitars", "double-guitar")]));
    let mut strummed = 0;
    for style in styles() {
        for pattern in style.patterns.iter().filter(|pattern| pattern.role == "strum") {
            // Each chord for itself: how fast a chord can change is for the tune to look after.
            for chord in ["G", "Em", "C", "D7"] {
                let text = format!(
                    "key G\nmeter {}\ntempo {}\npart second on double-second\npart guitar on double-guitar\nsection a\n \
                     chords | {chord} | % | % | % |\n second = strum {name}\n guitar = strum {name}\n",
                    style.meter,
                    style.tempo,
                    name = pattern.name()
                );
                let tune = tune(&band, &text);
                for part in 0..2 {
                    let played = Played::new(&tune, part, &band.pans[part].pan, Level::Intermediate);
                    assert!(!played.line.strokes.is_empty());
                    let share = played.possible();
                    assert_eq!(played.total(), 0, "{} on {}: {share:?}", pattern.name(), played.pan.name);
                    strummed += 1;
                }
            }
        }
    }
    assert!(strummed >= 400, "{strummed}");
}

/// Common practice, no source: the front line of a band plays scales in sixteenths at 120, and eighths of a reel at that in
/// half notes. On single leads nothing is said against it; on sets of two drums, where the model is slower than the best players,
/// nobody is told that it can't be done.
#[test]
fn reels_at_120_are_for_experienced_players() {
    let lines = [
        "G4 A4 B4 C5 D5 E5 F#5 G5 | A5 G5 F#5 E5 D5 C5 B4 A4",
        "D5 B4 G4 B4 D5 G5 F#5 G5 | A5 F#5 D5 F#5 A5 G5 E5 C5",
        "G5 D5 B4 D5 G5 D5 B4 D5 | A5 D5 C5 D5 F#5 D5 C5 A4",
        "B4 C5 B4 A4 B4 D5 G5 D5 | E5 D5 B4 D5 A4 B4 A4 G4",
        "E5 E5 D5 E5 B4 E5 D5 E5 | G5 G5 F#5 G5 D5 G5 F#5 G5",
    ];
    let band = "name = \"Test\"\nlevel = \"experienced\"\n[[pan]]\nname = \"C\"\nlayout = \"lead-c\"\nplays = [\"lead\"]\n\
                [[pan]]\nname = \"D\"\nlayout = \"lead-d\"\nplays = [\"other\"]\n[[pan]]\nname = \"Seconds\"\n\
                layout = \"double-second\"\n[[pan]]\nname = \"Tenors\"\nlayout = \"double-tenor\"\n";
    let parts = "part lead on lead\npart other on lead\npart second on double-second\npart tenor on double-tenor\n";
    for line in lines {
        let names = ["lead", "other", "second", "tenor"];
        let rows: String = names.iter().map(|name| format!(" {name} | {line} |\n")).collect();
        let tune = tune(band, &format!("meter 2/2\ntempo 120\n{parts}section a\n{rows}"));
        let found = check(&tune, &Options::default()).findings;
        let of = |name: &str| -> Vec<Severity> {
            let found = found.iter().filter(|f| f.kind.name == "too-fast" && f.part.as_deref() == Some(name));
            found.map(|finding| finding.severity).collect()
        };
        assert_eq!([of("lead"), of("other")], [vec![], vec![]], "{line}");
        assert!(![of("second"), of("tenor")].concat().contains(&Severity::Error), "{line}");
    }
}

/// Mambo at 176 has an eighth before the bar line and a stroke right after it: whatever chords change there, it is for no player a
/// matter of the impossible.
#[test]
fn a_fast_strum_may_change_its_chord_over_the_bar_line() {
    let band = pans(&[("Seconds", "double-second"), ("Guitars", "double-guitar"), ("Cellos", "triple-cello")]);
    let parts = "part second on double-second\npart guitar on double-guitar\npart cello on triple-cello\n";
    for chords in ["G | C | D7 | G", "G | % | D7 | %", "G | Em | C | D7", "Am | Dm | E7 | Am", "C | Am | F | G7"] {
        let rows = ["second", "guitar", "cello"].map(|name| format!(" {name} = strum mambo-strum\n")).concat();
        let text = format!("meter 4/4\ntempo 176\n{parts}section a\n chords | {chords} |\n{rows}");
        let found = check(&tune(&band, &text), &Options::default()).findings;
        let errors: Vec<&str> =
            found.iter().filter(|f| f.severity == Severity::Error).map(|finding| finding.message.as_str()).collect();
        assert!(errors.is_empty(), "{chords}: {errors:?}");
    }
}
