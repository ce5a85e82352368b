//! Sections for five pans that strum, whose least costs an independent solver has found (HiGHS, in SciPy 1.17.1, with the problem
//! stated anew in `voicings_agree.py`).

use std::fmt::Write;

use panfold::fit::settle::{Settled, settle};

use crate::kit::open;

const PANS: [&str; 5] = ["double-second", "double-guitar", "triple-cello", "double-tenor", "quadrophonic"];

/// The chords, a bar each, and the least that strumming them once a bar costs on these pans.
const SECTIONS: [(&str, i64); 4] = [
    ("Dm | F | C | Em | Am7 | C7 | D7", 20_216),
    ("G | D7 | Am | G7 | G | Am | G7 | Am7", 28_609),
    ("F | Am | Am7 | Dm | Am | G7 | C7", 23_778),
    ("Am7 | Am | C | D7 | G7 | Am7 | Dm", 21_544),
];

fn band() -> String {
    PANS.iter().enumerate().fold("name = \"T\"\n".to_owned(), |mut band, (number, pan)| {
        let _ = write!(band, "[[pan]]\nname = \"p{number}\"\nlayout = \"{pan}\"\nplays = [\"p{number}\"]\n");
        band
    })
}

fn tune(chords: &str) -> String {
    let mut tune = "title T\nband band.toml\nkey C\nmeter 4/4\ntempo 40\nroll none\n".to_owned();
    PANS.iter()
        .enumerate()
        .for_each(|(number, pan)| writeln!(tune, "part p{number} on {pan}").expect("text takes text"));
    let _ = writeln!(tune, "form a\nsection a\n  chords | {chords} |");
    let bars = vec!["x . . ."; chords.split('|').count()].join(" | ");
    (0..PANS.len()).for_each(|number| writeln!(tune, "  p{number} | {bars} |").expect("text takes text"));
    tune
}

fn settled(chords: &str) -> Settled {
    settle(&open(&band(), &tune(chords)))
}

#[test]
fn five_pans_strum_at_the_least_cost() {
    for (chords, least) in SECTIONS {
        let settled = settled(chords);
        assert_eq!(settled.strums.len(), 1, "{chords}");
        let voiced = &settled.strums[0].voiced;
        assert_eq!((voiced.cost, voiced.bound), (least, least), "{chords}");
        assert!(voiced.left_out.iter().all(Vec::is_empty), "{chords}");
    }
}
