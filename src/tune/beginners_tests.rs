//! Slips of people who write their first tune: pickups, rows without a part, patterns in another meter, blocks of rows.

use super::tests::resolved;
use super::told;
use crate::notation::parse;
use crate::text::Finding;

/// What is said: kind, message, what to do.
fn said(text: &str) -> Vec<String> {
    let (_, findings) = resolved(text);
    findings.iter().map(|f| format!("{}: {}; {}", f.kind.name, f.message, f.help.join("; "))).collect()
}

/// The only finding.
fn only(text: &str) -> String {
    let mut all = said(text);
    assert_eq!(all.len(), 1, "{text}\n{all:#?}");
    all.remove(0)
}

const EIGHT: &str = "C5 . D5 . E5 . D5 .";

/// A tune that opens with a section of one bar.
fn opening(bar: &str, head: &str) -> String {
    format!(
        "{head}form start verse\nsection start\n lead | {bar} |\nsection verse\n lead | {EIGHT} | {EIGHT} |\n iron | x . x . | % |\n"
    )
}

#[test]
fn a_bar_of_few_cells_that_opens_the_tune_may_be_a_pickup() {
    assert_eq!(
        only(&opening("C5 E5", "")),
        "maybe-pickup: the only bar of `start`, which opens the tune, has 2 cells, where the bars of `lead` mostly have 8: is it a \
         pickup?; write `pickup 1` above the parts: its number counts beats; or begin the bar with `2:` if it is a whole bar"
    );
    assert!(only(&opening(". . . . . . C5 E5", "")).contains(
        "has 8 cells, the first 6 of them rests: is it a pickup?; write `pickup 1` above the parts, and only what the pickup has: `| C5 E5 |`"
    ));
    assert!(only(&opening("C5", "")).contains("write `pickup 1/2` above"));
    assert!(only(&opening("C5 D5 E5", "")).contains("write `pickup 3/2` above"));
    // What it says to write is taken.
    for good in [
        opening("C5 E5", "pickup 1\n"),
        opening("2: C5 E5", ""),
        opening("C5", "pickup 1/2\n"),
        opening("C5 D5 E5", "pickup 3/2\n"),
    ] {
        assert_eq!(said(&good), Vec::<String>::new(), "{good}");
    }
    // A bar in quarters, a bar of eight strokes, a bar of rest; a section of two bars, or one that comes back.
    for good in ["C5 D5 E5 D5", EIGHT, ".", ". . . . C5 D5 E5 D5", "C5 E5 | C5 E5"] {
        assert_eq!(said(&opening(good, "")), Vec::<String>::new(), "{good}");
    }
    assert_eq!(said(&opening("C5 E5", "").replace("start verse", "start verse start")), Vec::<String>::new());
    // A pattern fills a whole bar.
    let with_pattern =
        opening("C5 E5", "pattern tick | x x x x |\n").replace("section verse", " iron = play tick\nsection verse");
    assert_eq!(said(&with_pattern), Vec::<String>::new());
}

#[test]
fn a_fraction_of_a_beat_may_be_a_note_value() {
    assert_eq!(
        only(&opening("C5 E5", "pickup 1/4\n")),
        "short-pickup: `pickup 1/4` is 1/4 of a beat long: did you want `pickup 1`?; write `pickup 1`: its number counts beats; or begin \
         the bar with `2:` if it really is that short"
    );
    assert!(only(&opening("C5", "pickup 1/8\n")).contains("did you want `pickup 1/2`?"));
    assert!(only(&opening("C5", "pickup 0.25\n")).contains("did you want `pickup 1`?"));
    assert!(
        only(
            &opening("C5", "meter 6/8\npickup 1/8\n")
                .replace(EIGHT, "C5 D5 E5 C5 D5 E5")
                .replace("x . x .", "x . . x . .")
        )
        .contains("did you want `pickup 1/3`?")
    );
    for good in ["pickup 1/2\n", "pickup 1\n", "pickup 3/2\n"] {
        assert_eq!(said(&opening("C5", good)), Vec::<String>::new(), "{good}");
    }
    assert_eq!(said(&opening("2: C5 E5", "pickup 1/4\n")), Vec::<String>::new());
    // In a row of sixteenths a pickup of one of them is as short as its number says.
    let sixteenths = format!("pickup 1/4\nsection a\n lead | C5 | {0} {0} | {0} {0} |\n", EIGHT);
    assert_eq!(said(&sixteenths), Vec::<String>::new());
}

#[test]
fn a_whole_bar_where_the_pickup_should_be_is_told_once() {
    let text = format!("pickup 1\nform verse x2\nsection verse\n lead | {EIGHT} | {EIGHT} |\n");
    let said = only(&text);
    assert!(said.starts_with("pickup-bar: "), "{said}");
    assert!(said.contains("take `pickup` out if the tune begins with a whole bar"), "{said}");
    assert!(
        said.ends_with(
            "or write the pickup before `verse`, in a `section lead-in` of its own, and write `form lead-in verse x2`"
        ),
        "{said}"
    );
}

#[test]
fn a_form_that_names_no_section_first_says_only_that() {
    let text = |form: &str| {
        format!("pickup 1\nform {form} verse x2\nsection lead-in\n lead | C5 E5 |\nsection verse\n lead | {EIGHT} |\n")
    };
    assert!(only(&text("lead–in")).ends_with("did you mean `lead-in`?"));
    assert!(only(&text("overture")).starts_with("unknown-section"));
}

#[test]
fn a_pattern_for_another_meter_stays_as_it_is() {
    let text = "pattern off | . x . x . x . x |\nsection verse\n chords | F |\n answer = strum off\n\
                section slow\n meter 3/4\n chords | F |\n answer = strum off\n";
    assert_eq!(
        only(text),
        "other-meter: section `slow` is in 3/4, and the pattern `off` has 8 cells a bar, as for 4/4; give the section a pattern of \
         its own, above the sections, for example `pattern off-slow | . x . x . x |`, and write `answer = strum off-slow`; \
         `panfold patterns --meter 3/4` lists others"
    );
    let mended = text.replacen("section verse", "pattern off-slow | . x . x . x |\nsection verse", 1);
    let mended =
        mended.replace("3/4\n chords | F |\n answer = strum off", "3/4\n chords | F |\n answer = strum off-slow");
    assert_eq!(said(&mended), Vec::<String>::new());
    // Where no other section plays it, the pattern itself is asked about.
    assert!(only(&text.replacen("strum off", "rest", 1)).starts_with("odd-cells: the pattern `off`"));
}

#[test]
fn a_row_without_a_part_is_told_its_part() {
    let of = |row: &str| only(&format!("section a\n lead | C5 |\n {row} | x |\n"));
    for (row, line) in [
        ("kick", "part kick on kick"),
        ("hat", "part hat on hi-hat"),
        ("snaer", "part snaer on snare"),
        ("guitar", "part guitar on guitar"),
    ] {
        assert_eq!(of(row), format!("unknown-part: there is no part `{row}`; write it above the sections: `{line}`"));
        let text = format!("{line}\nsection a\n lead | C5 |\n {row} | . |\n");
        assert_eq!(said(&text), Vec::<String>::new(), "{line}");
    }
    assert_eq!(
        of("melodica"),
        "unknown-part: there is no part `melodica`; write above the sections `part melodica on` and what it is played on: `lead`, \
         `six-bass`, `iron`, or `shaker`"
    );
    assert!(of("drums").contains("for each drum: `part kick on kick`"));
    // A kit has been told which parts it needs.
    let kit = "part drums on drum-kit\nsection a\n lead | C5 |\n kick | x |\n snare | x |\n hat | x |\n";
    assert!(only(kit).starts_with("drum-kit: "));
}

#[test]
fn a_row_of_nearly_a_parts_name_is_its_row() {
    let block = " chords | F | Bb |\n lead | C5 | D5 |\n";
    let text = format!("section a\n{}\n{block}", block.replace("lead", "laed"));
    assert!(only(&text).ends_with("did you mean `lead`?"));
    let (tune, _) = resolved(&text);
    assert_eq!(tune.sections[0].rows[0].as_ref().map(|row| row.events.len()), Some(4));
    // Beside the part's own row it is no part of that.
    assert!(only("section a\n lead | C5 |\n laed | D5 |\n bass | F2 |\n").ends_with("did you mean `lead`?"));
}

#[test]
fn a_bar_that_is_missing_in_one_block_is_told_there() {
    let block = " chords | F | Bb |\n lead | C5 | D5 |\n bass | F2 | F2 |\n\n";
    let text = format!("section a\n{block}{}", block.replace(" bass | F2 | F2 |", " bass | F2 |"));
    let (_, findings) = resolved(&text);
    let [finding] = findings.as_slice() else { panic!("{findings:#?}") };
    assert_eq!(finding.message, "line 13 of section `a` has 1 bar of `bass`, and `chords` on line 11 has 2 bars");
    assert_eq!(finding.place.as_ref().map(|place| place.position().line), Some(13));
    let text = format!("section a\n{}{block}", block.replace(" bass | F2 | F2 |\n", ""));
    assert_eq!(
        only(&text),
        "bars-differ: section `a` has no line of `bass` to go with line 7, where `chords` has 2 bars; write a row `bass` of 2 bars there, \
         as in the rest of the section"
    );
    // What stands between a blank line and the row that comes again belongs to the new block.
    let text = format!("section a\n{}{block}", block.replace(" chords | F | Bb |\n", ""));
    assert!(
        only(&text)
            .starts_with("bars-differ: section `a` has no line of `chords` to go with line 7, where `lead` has 2 bars")
    );
    // A row that goes on in a second line of the same block is compared as a whole.
    let text = "section a\n lead | C5 | D5 |\n lead | C5 | D5 |\n bass | F2 | F2 | F2 |\n";
    assert!(only(text).contains("the row `bass` of section `a` has 3 bars, the row `lead` has 4 bars"));
}

#[test]
fn cells_that_can_t_be_read_are_not_counted_as_well() {
    for bar in ["G4 A4 B4 : :", "% %", "C5 D5 E5 H5 C5"] {
        let text = format!("section a\n lead | {EIGHT} | {bar} | {EIGHT} |\n");
        assert!(said(&text).iter().all(|said| said.starts_with("wrong-cell: ")), "{bar}: {:#?}", said(&text));
    }
    assert!(only("section a\n lead | C5 | / | / |\n").contains("write `| % |` to play the bar before again"));
    assert!(only("section a\n lead |: C5 D5 :|\n").contains("`form verse x2`"));
    // Two notes with spaces round their `+` are one cell.
    let text = format!("section a\n lead | {EIGHT} | C5 + E5 . . . . . . . |\n");
    assert!(only(&text).contains("`C5 + E5`; did you mean `C5+E5`?"));
}

/// What reading and resolving tell, as `check` puts it together.
fn both(text: &str) -> Vec<String> {
    let (tune, findings) = resolved(text);
    let (_, read) = parse(&tune.source);
    let of_tune: Vec<Finding> = findings[read.len()..].to_vec();
    let all = told::once(read, of_tune, &tune.source);
    all.iter().map(|f| format!("{}: {}; {}", f.kind.name, f.message, f.help.join("; "))).collect()
}

#[test]
fn rows_without_their_section_are_told_once() {
    let said = both("form start verse\nlead | C5 E5 |\nsection verse\n lead | C5 |\n");
    assert_eq!(said, ["misplaced: the row `lead` comes before the first section; write `section start` above it"]);
}

#[test]
fn letters_in_percussion_are_told_once() {
    let text = "pattern thump | b . . . B . 1 . |\nsection a\n lead | C5 |\n iron = play thump\nsection b\n lead | C5 |\n iron = play thump\n";
    assert_eq!(
        both(text),
        [
            "wrong-stroke: the pattern `thump`, which `iron` plays, can have only percussion strokes, not `b`, `B`, and `1`; write what `iron` \
             plays: `x`, `X`, `o`, `s`"
        ]
    );
    let text = "section a\n shaker | . . S | . . k | . . C4 | . x x |\n";
    let said = both(text);
    assert!(said.len() == 1 && said[0].contains("not `S`, `k`, and `C4`"), "{said:#?}");
    // A sign is answered for itself.
    assert!(both("section a\n iron | x – . . |\n")[0].contains("did you mean `-`?"));
}

#[test]
fn a_pattern_without_its_verb_is_played() {
    let text =
        "pattern walk | 1 - 5 - |\npattern off | . x . x |\nsection a\n chords | F |\n answer = off\n bass = walk\n";
    let said = both(text);
    assert_eq!(said.len(), 2, "{said:#?}");
    assert!(said[0].ends_with("did you mean `answer = strum off`?"), "{said:#?}");
    assert!(said[1].ends_with("did you mean `bass = play walk`?"), "{said:#?}");
    let (tune, _) = resolved(text);
    assert!(tune.sections[0].rows.iter().flatten().all(|row| !row.events.is_empty()));
    let strummed = text.replace("answer = off\n bass = walk", "bass = strum walk");
    assert!(only(&strummed).ends_with("did you mean `bass = play walk`?"));
}

#[test]
fn whom_a_part_is_for_stands_after_for() {
    let said = both("part melody Red rim\nsection a\n melody | C5 |\n");
    assert_eq!(said.len(), 1, "{said:#?}");
    assert!(said[0].ends_with("did you mean `part melody on lead for Red rim`?"), "{said:#?}");
}

#[test]
fn a_row_of_chords_in_one_bar_is_written_out() {
    let text = "section a\n chords | F Dm Gm C7 |\n lead | C5 | C5 | C5 | C5 | C5 | C5 | C5 | C5 |\n chords | F | Bb | C7 | F |\n";
    assert!(only(text).contains("write `| F | Dm | Gm | C7 |`"), "{}", only(text));
}
