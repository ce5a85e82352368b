//! Slips of forms, parts and rows: each is told once, in the words of the tune, and nothing follows from it.

use super::tests::resolved;
use crate::text::Finding;
use crate::tune::model::Player;

const ROWS: &str = "section verse\n lead | C5 |\nsection chorus\n lead | D5 |\n";

/// The only finding.
fn only(text: &str) -> Finding {
    let (_, mut findings) = resolved(text);
    assert_eq!(findings.len(), 1, "{text}\n{findings:#?}");
    findings.remove(0)
}

fn told(text: &str) -> String {
    let finding = only(text);
    format!("{}; {}", finding.message, finding.help.join("; "))
}

#[test]
fn a_form_is_answered_with_the_form_that_is_meant() {
    for form in
        ["verse 2x chorus", "2x verse chorus", "verse x 2 chorus", "verse*2 chorus", "versex2 chorus", "verse 2 chorus"]
    {
        let text = format!("form {form}\n{ROWS}");
        assert_eq!(only(&text).help, ["did you mean `form verse x2 chorus`?"], "{form}");
        let (tune, _) = resolved(&text);
        assert_eq!(tune.passes().count(), 3, "{form}");
    }
    assert!(told(&format!("form verse, chorus\n{ROWS}")).ends_with("did you mean `form verse chorus`?"));
    assert!(
        told(&format!("form: verse, chorus\n{ROWS}").replace("form: verse, chorus", "form verse, chorus"))
            .contains("only spaces")
    );
    // `verse2` may be a name: both are told.
    assert!(
        told(&format!("form verse2\n{ROWS}"))
            .contains("write `verse x2` to play `verse` so often, or a section `verse2`")
    );
    assert!(
        told(&format!("form verse D.C.\n{ROWS}"))
            .ends_with("write only names of sections, as in `form intro verse x2 chorus`")
    );
    // A section of that name is no slip.
    assert!(resolved("form 2x verse\nsection verse\n lead | C5 |\nsection 2x\n lead | D5 |\n").1.is_empty());
}

#[test]
fn a_colon_after_a_name_leaves_the_name() {
    let text = format!("form verse chorus\n{}", ROWS.replace("section verse", "section verse:"));
    assert_eq!(told(&text), "the `:` after `verse` isn't needed; did you mean `section verse`?");
    assert_eq!(
        told(&format!("form verse chorus\n{}", ROWS.replace("lead |", "lead: |"))),
        "the `:` after `lead` isn't needed; did you mean `lead`?"
    );
}

#[test]
fn a_kind_in_two_words_is_joined_and_taken() {
    for (kind, joined) in [
        ("double tenor", "double-tenor"),
        ("six bass", "six-bass"),
        ("double second", "double-second"),
        ("the double seconds", "double-seconds"),
        ("tenor pan", "tenor"),
        ("brake drum", "brake-drum"),
    ] {
        let text = format!("part x on {kind}\nsection a\n lead | C5 |\n x | . |\n");
        assert_eq!(only(&text).help, [format!("did you mean `part x on {joined}`?")], "{kind}");
        let (tune, _) = resolved(&text);
        assert_eq!(tune.parts.last().map(|part| part.on.as_str()), Some(joined));
    }
    assert!(told("part x on double xylophone\nsection a\n lead | C5 |\n x | C5 |\n").contains("is not a kind of pan"));
}

#[test]
fn a_part_that_is_not_understood_has_no_unknown_rows() {
    for line in ["part x", "part x two on lead", "part x lead", "part: x on lead", "x on lead", "part x: lead"] {
        only(&format!("{line}\nsection a\n lead | C5 |\n x | C5 |\n"));
    }
    let (tune, _) = resolved("part x: tenor\nsection a\n x | C5 |\n");
    let x = &tune.parts[tune.part("x").expect("the part")];
    assert!(matches!(x.player, Player::Pans { .. }));
}

#[test]
fn findings_use_the_tunes_own_word_for_what_a_part_is_on() {
    assert!(told("part t on tenor\nsection a\n t | o |\n").contains("`t` is on a pan (`tenor`)"));
    assert!(
        told("part c on brake-drum\nsection a\n c | C5 |\n")
            .contains("`c` is percussion; write what `brake-drum` plays")
    );
    assert!(
        told("part t on soprano\nsection a\n t = play iron-one\npattern iron-one | o |\n")
            .contains("`t` on `soprano` can't")
    );
    assert!(told("part c on claves\nsection a\n lead | C5 |\n c = under lead\n").contains("`c` on `claves`"));
}

#[test]
fn what_holds_a_stroke_that_is_not_understood_is_no_second_mistake() {
    for row in [
        "lead | ? - . . |",
        "lead | ? - | - ~ |",
        "lead | C5 ? - D5 |",
        "lead | o - |",
        "iron | C5 - |",
        "lead | | - |",
        "lead | C5/? - |",
    ] {
        only(&format!("section a\n {row}\n"));
    }
    // A rest in between is one.
    assert_eq!(resolved("section a\n lead | ? . - . |\n").1.len(), 2);
}

#[test]
fn what_stands_under_a_chord_that_is_not_understood_is_no_second_mistake() {
    only("section a\n chords | Gfoo |\n bass | 1 5 |\n lead = strum calypso-strum\n");
    assert!(told("section a\n chords | N.C. |\n bass | 1 |\n").contains("there is no chord"));
}

#[test]
fn bar_lines_that_are_told_are_not_counted_too() {
    for row in ["lead || C5 || D5 ||", "lead | C5 | D5 | |", "lead | C5 #F4 | D5 |", "lead | C5 | D5 | x . | E5"] {
        only(&format!("section a\n bass | C2 | D2 |\n {row}\n"));
    }
    only("section a\n lead | C5 | D5 | // loud\n bass | C2 | D2 |\n");
}

#[test]
fn a_pattern_that_is_not_understood_is_not_unknown_too() {
    only("pattern p . x . x\nsection a\n iron = play p\n shaker = play p\n lead | C5 |\n");
    only("pattern p: | x |\nsection a\n iron = play p\n");
}
