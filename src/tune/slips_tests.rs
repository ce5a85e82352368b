//! Slips in cells, bar lines, pickups and note letters: what is asked, and what is played meanwhile.

use super::tests::{good, resolved, said, strokes};
use crate::text::edit;

/// What is said of a tune, and what is said of it once the first change of every finding is made.
fn mended(text: &str) -> (Vec<String>, Vec<String>) {
    let (tune, findings) = resolved(text);
    let edits: Vec<edit::Edit> = findings.iter().filter_map(|finding| finding.edits.first().cloned()).collect();
    let whole = edit::apply(&tune.source, &edits);
    let before = tune.source.text().len() - text.len();
    (said(text), said(&whole[before..]))
}

#[test]
fn an_odd_number_of_cells_is_asked_about() {
    let eight = "G4 . A4 . B4 . D5 .";
    let seven = "G4 . A4 . B4 . D5";
    let of = |bars: &[&str]| said(&format!("section verse\n lead | {} |\n", bars.join(" | ")));
    let asked =
        "odd-cells: bar 3 of `verse` has 7 cells, the bars around it have 8: is one missing? [G4 . A4 . B4 . D5]";
    assert_eq!(of(&[eight, eight, seven, eight]), [asked]);
    assert_eq!(
        of(&[eight, "G4 . A4 . B4 . D5 . ."]),
        ["odd-cells: bar 2 of `verse` has 9 cells, the bar before it has 8: is one too many? [G4 . A4 . B4 . D5 . .]"]
    );
    assert_eq!(
        of(&[eight, seven, "G4 B4", eight, seven]),
        [
            "odd-cells: bars 2 and 5 of `verse` have 7 cells each, most bars of the row have 8: is one missing? [G4 . A4 . B4 . D5]"
        ]
    );
    assert_eq!(
        of(&["G4 A4 B4"]),
        ["odd-cells: bar 1 of `verse` has 3 cells, a bar of 4/4 mostly has 4: is one missing? [G4 A4 B4]"]
    );
    let many = of(&[[eight, seven]; 12].concat());
    assert!(
        many[0].starts_with("odd-cells: bars 2, 4, 6, 8, 10, 12, 14, and 5 more of `verse` have 7 cells each"),
        "{many:?}"
    );
    // What the row does throughout, what says that it is meant, what is repeated, and rests, are not asked about.
    for good in [
        vec![seven, seven, "%", "."],
        vec![eight, "7: G4 . A4 . B4 . D5", "%", eight],
        vec![eight, ". . . . .", "G4", "- - -", "C5 D5 E5 F5 G5 A5", "C5 D5"],
    ] {
        assert_eq!(of(&good), Vec::<String>::new());
    }
    assert_eq!(of(&[eight, seven, "%", "%"]).len(), 1);
    // A row that has a bar too many has been told so.
    let text = format!("section verse\n lead | {eight} | {seven} | D5 |\n bass | G2 | G2 |\n iron | x | x |\n");
    assert_eq!(said(&text).len(), 1, "{:#?}", said(&text));
}

#[test]
fn meters_have_their_own_odd_numbers() {
    let of = |meter: &str, bars: &str| said(&format!("meter {meter}\nsection a\n lead | {bars} |\n"));
    assert_eq!(
        of("3/4", "G4 A4 B4 G4 A4 B4 | G4 A4 B4 D5 | G4 A4 B4 G4 A4 B4"),
        ["odd-cells: bar 2 of `a` has 4 cells, the bars around it have 6: are 2 missing? [G4 A4 B4 D5]"]
    );
    assert_eq!(of("6/8", "G4 A4 B4 G4 A4 B4 | G4 A4 B4 G4 A4").len(), 1);
    assert_eq!(of("7/8", "G4 A4 B4 G4 A4 B4 C5 | G4 A4 B4 G4 A4 B4").len(), 1);
    for (meter, good) in [
        ("3/4", "G4 A4 B4 | G4 A4 B4 G4 A4 B4"),
        ("6/8", "G4 A4 | G4 A4 B4 G4 A4 B4"),
        ("2/4", "G4 A4 B4 G4 A4 B4 | G4 A4"),
    ] {
        assert_eq!(of(meter, good), Vec::<String>::new());
    }
}

#[test]
fn patterns_are_asked_about_once() {
    let text = "pattern drive | X . x x X . x |\nsection a\n iron = play drive\nsection b\n iron = play drive\n shaker = play drive\n";
    assert_eq!(
        said(text),
        ["odd-cells: the pattern `drive` has 7 cells, a bar of 4/4 mostly has 8: is one missing? [X . x x X . x]"]
    );
    assert_eq!(said(&text.replace("X . x x", "7: X . x x")), Vec::<String>::new());
    // A pattern of another meter changes its rhythm too.
    let other = "pattern drive | X . x x X . x x |\nsection a\n meter 3/4\n iron = play drive\n";
    assert_eq!(said(other).len(), 1, "{:#?}", said(other));
}

#[test]
fn a_pattern_in_a_pickup_plays_its_last_beats() {
    let text =
        "pickup 1\npattern p | x . . . x . . . x . . . X o s x |\nsection a\n lead | D5 | G5 | G5 |\n iron = play p\n";
    let tune = good(text);
    assert_eq!(
        strokes(&tune, 0, "iron"),
        "0:1/4:x! 1/4:1/4:o 1/2:1/4:s 3/4:1/4:x 1:1/4:x 2:1/4:x 3:1/4:x 4:1/4:x! 17/4:1/4:o 9/2:1/4:s 19/4:1/4:x \
         5:1/4:x 6:1/4:x 7:1/4:x 8:1/4:x! 33/4:1/4:o 17/2:1/4:s 35/4:1/4:x"
    );
    assert_eq!(said(text), Vec::<String>::new());
    // The last bar's beats, before the first bar's; what was struck before the pickup does not go on into it.
    let two = "pickup 1\npattern p | X x . . | o - - - |\nsection a\n lead | D5 | G5 | G5 |\n iron = play p\n";
    assert_eq!(strokes(&good(two), 0, "iron"), "1:1:x! 2:1:x 5:4:o");
    let again = "pickup 1\npattern p | X x . s | % |\nsection a\n lead | D5 | G5 |\n iron = play p\n";
    assert_eq!(strokes(&good(again), 0, "iron"), "0:1:s 1:1:x! 2:1:x 4:1:s");
    let strum = "pickup 2\npattern p | . x . x |\nsection a\n chords | G | C |\n lead = strum p\n iron | x x | x |\n";
    assert_eq!(strokes(&good(strum), 0, "lead"), "1:1:strum 3:1:strum 5:1:strum");
}

#[test]
fn a_forgotten_pickup_is_asked_about() {
    let eight = "D5 . B4 . D5 . G5 .";
    let text =
        |first: &str| format!("pickup 1\nsection a\n lead | {first} | {eight} | {eight} |\n bass | . | G2 | G2 |\n");
    let (told, after) = mended(&text(". . . . . . G4 B4"));
    assert_eq!(
        told,
        [
            "pickup-bar: bar 0 of `a` is the pickup, one beat long: it takes 2 cells where full bars have 8 [. . . . . . G4 B4]"
        ]
    );
    assert_eq!(after, Vec::<String>::new());
    assert_eq!(said(&text(eight)).len(), 1);
    // Every row of it is one mistake.
    assert_eq!(said(&text(eight).replace("| . |", "| G2 D2 G2 D2 G2 D2 G2 D2 |")).len(), 1);
    for good in ["G4 B4", "B4", "G4 A4 B4", "G4 A4 B4 D5", "8: G4 A4 B4 D5 G4 A4 B4 D5"] {
        assert_eq!(said(&text(good)), Vec::<String>::new(), "{good}");
    }
    assert_eq!(said(&text("G4 A4 B4 D5 G4")).len(), 1);
}

#[test]
fn a_pickup_that_comes_back_after_a_whole_bar_is_asked_about() {
    let text = |form: &str| {
        format!(
            "pickup 1\nform {form}\nsection lead-in\n lead | D5 |\nsection a\n lead | G5 | G4 A4 B4 D5 |\n\
             section last\n meter 3/4\n lead | G5 |\n"
        )
    };
    assert_eq!(
        said(&text("a x2")),
        ["pickup-again: `a` begins with the pickup, so the pickup is played again each time it comes back [a]"]
    );
    assert_eq!(said(&text("a lead-in a")).len(), 1);
    // A bar that the pickup fills up before it is as it should be.
    for good in ["lead-in a x2", "a last a last", "a"] {
        assert_eq!(said(&text(good)), Vec::<String>::new(), "{good}");
    }
}

#[test]
fn a_forgotten_bar_line_is_found() {
    let bar = "G4 . A4 . B4 . D5 .";
    let row = |bars: &[&str]| {
        format!("section verse\n chords | G | C | G | D7 |\n lead | {} |\n bass | G2 | - | - | - |\n", bars.join(" | "))
    };
    let long = format!("{bar} {bar}");
    let text = row(&[bar, &long, bar]);
    let (told, after) = mended(&text);
    assert_eq!(
        told,
        [format!(
            "missing-bar-line: bar 2 of `verse` has 16 cells, most bars of the row have 8: is a bar line missing after the 8th? [{long}]"
        )]
    );
    assert_eq!(after, Vec::<String>::new());
    // Meanwhile the row is what it was meant to be.
    let (tune, _) = resolved(&text);
    assert_eq!(strokes(&tune, 0, "lead"), strokes(&good(&row(&[bar; 4])), 0, "lead"));
    // Two that are missing in one bar.
    let (told, after) = mended(&row(&[bar, &format!("{long} {bar}")]));
    assert_eq!((told.len(), after.len()), (1, 0), "{told:#?}");
    // Where it could be either of two bars nothing is guessed.
    let unclear = said(&row(&[&long, &long, bar]));
    assert!(unclear.len() == 1 && unclear[0].starts_with("bars-differ: "), "{unclear:#?}");
    // With the number first it is meant.
    assert!(said(&row(&[bar, &format!("16: {long}"), bar]))[0].starts_with("bars-differ: "));
    // Sixteen cells are nothing odd where the row has its bars.
    assert_eq!(said(&row(&[bar, &long, bar, bar])), Vec::<String>::new());
}

#[test]
fn a_forgotten_bar_line_between_chords_is_found() {
    let text = "section a\n chords | G | C D7 | G |\n lead | G4 | G4 | G4 | G4 |\n bass | 1 | 1 | 1 | 1 |\n";
    let (told, after) = mended(text);
    assert_eq!(
        told,
        [
            "missing-bar-line: bar 2 of `a` has 2 chords, most bars of the row have 1: is a bar line missing after the 1st? [C D7]"
        ]
    );
    assert_eq!(after, Vec::<String>::new());
}

#[test]
fn a_flat_among_note_names_is_asked_about() {
    let of = |row: &str| said(&format!("section a\n chords | G | C |\n lead | {row} |\n"));
    let (told, after) = mended("section a\n chords | G |\n lead | G4 A4 b4> D5 |\n");
    assert_eq!(told, ["note-or-degree: is `b4` the note B4, or the flat fourth of `G`? [b4>]"]);
    assert_eq!(after, Vec::<String>::new());
    let (_, findings) = resolved("section a\n chords | G |\n lead | G4 A4 b4> D5 |\n");
    assert_eq!(
        findings[0].help,
        [
            "write `B4` for the note: note letters are capitals",
            "write `Cb` for the flat fourth, in the octave that suits best"
        ]
    );
    assert_eq!(of("G4 A4 Cb D5 | ."), Vec::<String>::new());
    assert_eq!(of("G b3/b3 | b3 . b5 .").len(), 2);
    assert_eq!(of("G bb3 | .")[0], "note-or-degree: is `bb3` the note Bb3, or the double-flat third of `G`? [bb3]");
    // In a row without any other degree too.
    assert_eq!(of("b4 . b4 . | .").len(), 1);
    for good in ["1 b3 5 b7 | 1", "G4 b7 D5 b6 | b9", "5 b4 | b5 1", "G4 \u{266d}4 | ."] {
        assert_eq!(of(good), Vec::<String>::new(), "{good}");
    }
    let pattern = "pattern p | G4 b4 |\nsection a\n chords | G | C |\n lead = play p\n iron | x | x |\nsection b\n chords | G |\n answer = play p\n";
    assert_eq!(said(pattern), ["note-or-degree: is `b4` the note B4, or the flat fourth of `G`? [b4]"]);
    let none = resolved("section a\n lead | G4 b4 |\n").1;
    assert_eq!((none.len(), none[0].kind.name), (1, "no-chord"));
    assert_eq!(none[0].help[0], "write `B4` if you want the note: note letters are capitals");
}

#[test]
fn what_holds_a_mistake_is_not_told_too() {
    for text in [
        "section a\n lead | H4 - - - | ~ . . . |\n",
        "section a\n lead | x - ~ - |\n",
        "section a\n lead | C5 | | - - |\n",
        "section a\n lead | 1 - - - |\n",
    ] {
        assert_eq!(said(text).len(), 1, "{text}{:#?}", said(text));
    }
}
