//! What beginners type: each slip is answered once, with something that is taken when it is typed.

use crate::kit::read;
use crate::text::Finding;

fn findings(text: &str) -> Vec<Finding> {
    read(text).1
}

/// The only finding of a text: its message and what to do.
fn only(text: &str) -> Finding {
    let mut findings = findings(text);
    assert_eq!(findings.len(), 1, "{text}\n{findings:#?}");
    findings.remove(0)
}

/// What stands in the first backquotes of a finding's first help.
fn offered(finding: &Finding) -> Option<String> {
    let help = finding.help.first()?.strip_prefix("did you mean `")?;
    help.rsplit_once("`").map(|(offered, _)| offered.to_owned())
}

/// Checks that a slip is answered by an offer, which is taken when it is typed.
fn offers(table: &[(&str, &str)], around: impl Fn(&str) -> String) {
    for (typed, wanted) in table {
        let finding = only(&around(typed));
        assert_eq!(offered(&finding).as_deref(), Some(*wanted), "{typed}: {finding:#?}");
        assert!(findings(&around(wanted)).is_empty(), "`{wanted}`, offered for `{typed}`, is not taken");
    }
}

/// Checks that a slip is answered by a question that holds these words.
fn asks(table: &[(&str, &str)], around: impl Fn(&str) -> String) {
    for (typed, wanted) in table {
        let finding = only(&around(typed));
        let said = format!("{}; {}", finding.message, finding.help.join("; "));
        assert!(said.contains(wanted) && offered(&finding).is_none(), "{typed}: {said}");
    }
}

#[test]
fn chords() {
    let around = |chord: &str| format!("section a\n chords | G {chord} |\n");
    let table = [
        ("Cminor", "Cm"),
        ("C7M", "Cmaj7"),
        ("Cj7", "Cmaj7"),
        ("C^7", "Cmaj7"),
        ("C(maj7)", "Cmaj7"),
        ("Cm/maj7", "Cm(maj7)"),
        ("Csus7", "C7sus4"),
        ("C4", "Csus4"),
        ("Cdom7", "C7"),
        ("Chalfdim", "Cm7b5"),
        ("Hm7", "Bm7"),
        ("em7", "Em7"),
        ("C/e", "C/E"),
        ("G/H", "G/B"),
        ("C\\E", "C/E"),
        ("Cmja7", "Cmaj7"),
        ("Caugg", "Caug"),
        ("7", "G7"),
        ("C7-", "C7 -"),
    ];
    for (typed, wanted) in table {
        let finding = only(&around(typed));
        let help = &finding.help[0];
        assert!(help.starts_with(&format!("did you mean `{wanted}`")), "{typed}: {help}");
    }
    asks(
        &[
            ("C-", "write `Cm` for the minor chord, or `C -` if `C` is held"),
            ("C2", "write `Csus2` without the third, or `Cadd9` with it"),
            ("C7b13", "panfold does not know the chord `C7b13`; write a simpler chord"),
            ("Cm9b5", "panfold does not know the chord"),
            ("C7sus2", "panfold does not know the chord"),
            ("Cm6/9", "panfold does not know the chord"),
            ("C7b9b5", "panfold does not know the chord"),
            ("Cfoo", "`foo` is not a kind of chord; chords look like"),
        ],
        around,
    );
}

#[test]
fn cells() {
    let around = |cell: &str| format!("section a\n lead | C5 {cell} |\n");
    offers(
        &[
            ("F4#", "F#4"),
            ("F4♯", "F♯4"),
            ("B4b", "Bb4"),
            ("F4#'", "F#4'"),
            ("C5/F4#", "C5/F#4"),
            ("4F", "F4"),
            ("Fis4", "F#4"),
            ("Es4", "Eb4"),
            ("As4", "Ab4"),
            ("Bes4", "Bb4"),
            ("Fsharp4", "F#4"),
            ("H4", "B4"),
            ("7b", "b7"),
            ("5#", "♯5"),
            ("(C5)", "C5"),
            ("“D5”", "D5"),
            ("F4,", "F4"),
            ("--", "- -"),
            ("...", ". . ."),
            ("~~", "~ ~"),
            ("rest", "."),
            ("–", "-"),
            ("O", "o"),
        ],
        around,
    );
    asks(
        &[
            ("X4", "write `X` for one stroke, `X/X/X/X` for 4"),
            ("C5G5", "write `C5 G5` for two cells, `C5/G5` for both in one cell"),
            ("C5,E5", "`C5+E5` for both at once"),
            ("F44", "`44` can't be read"),
            ("F#4#", "`#` can't be read in `F#4#`"),
        ],
        around,
    );
}

#[test]
fn the_same_slip_is_told_once() {
    let finding = only("section a\n lead | C5 – – | D5 – |\n bass | C2 – |\n");
    assert_eq!((finding.more.len(), finding.edits.len()), (3, 0));
    assert_eq!(findings("section a\n lead | g4 a4 g4 |\n").len(), 1);
    // One that stands alone can be put right by its edit.
    assert_eq!(only("section a\n lead | C5 – |\n").edits.len(), 1);
    assert_eq!(only("section a\n lead: | C5 |\n bass | C2 |\n lead: | C5 |\n").more.len(), 1);
}

#[test]
fn settings() {
    offers(
        &[
            ("key g major", "key G"),
            ("key G-major", "key G"),
            ("key Gmaj", "key G"),
            ("key GMajor", "key G"),
            ("key Bb Major", "key Bb"),
            ("key B flat", "key Bb"),
            ("key E-flat", "key Eb"),
            ("key F sharp minor", "key F#m"),
            ("key a-moll", "key Am"),
            ("key in G", "key G"),
            ("key H", "key B"),
            ("key G#", "key Ab"),
            ("key = G", "key G"),
            ("key: G", "key G"),
            ("meter 4:4", "meter 4/4"),
            ("meter 4-4", "meter 4/4"),
            ("meter 4 4", "meter 4/4"),
            ("meter 6\\8", "meter 6/8"),
            ("meter 4/ 4", "meter 4/4"),
            ("meter 3/4 time", "meter 3/4"),
            ("meter C", "meter 4/4"),
            ("meter cut time", "meter 2/2"),
            ("tempo 104 bpm", "tempo 104"),
            ("tempo 104bpm", "tempo 104"),
            ("tempo ♩=104", "tempo 104"),
            ("tempo 104,5", "tempo 104.5"),
            ("tempo: 104", "tempo 104"),
            ("tempo \"104\"", "tempo 104"),
            ("swing 2/1", "swing 2:1"),
            ("swing 66%", "swing 2:1"),
            ("pickup 1 beat", "pickup 1"),
            ("pickup one", "pickup 1"),
            ("roll 2 beats", "roll 2"),
            ("roll off", "roll none"),
            ("title: Jam", "title Jam"),
            ("title = Jam", "title Jam"),
            ("band \"band.toml\"", "band band.toml"),
            ("band “band.toml”", "band band.toml"),
            ("form: verse, chorus", "form verse chorus"),
            ("part: lead on tenor", "part lead on tenor"),
        ],
        |line| format!("{line}\n"),
    );
    for (line, wanted) in [
        ("Title Jam", "title Jam"),
        ("KEY G", "key G"),
        ("time 4/4", "meter"),
        ("metre 4/4", "meter"),
        ("bpm 104", "tempo"),
        ("composer me", "by"),
        ("upbeat 1", "pickup"),
        ("tmepo 96", "tempo"),
    ] {
        assert_eq!(offered(&only(&format!("{line}\n"))).as_deref(), Some(wanted), "{line}");
    }
    asks(
        &[
            ("tempo fast", "for example `tempo 104`"),
            ("tempo 100-110", "for example `tempo 104`"),
            ("tempo 1040", "from 10 to 400"),
            ("meter 3/5", "is not a meter"),
            ("meter 2+2/4", "is not a meter"),
            ("key loud", "is not a key"),
            ("// a comment", "a comment begins with `#`"),
            ("volume 3", "above the first section a line begins with `title`, `by`"),
        ],
        |line| format!("{line}\n"),
    );
    // A value that is understood counts, so that nothing else follows from it.
    let (tree, _) = read("meter 3:4\n");
    let Some(super::tree::Statement::Setting(setting)) = &tree.lines[0].statement else { panic!("a setting") };
    assert!(matches!(&setting.value.value, super::tree::Value::Meter(meter) if meter.to_string() == "3/4"));
}

#[test]
fn sections_and_rows() {
    let section = |line: &str| format!("{line}\n lead | C5 |\n");
    offers(
        &[
            ("section verse:", "section verse"),
            ("section: verse", "section verse"),
            ("section = verse", "section verse"),
            ("section \"verse\"", "section verse"),
            ("Section verse", "section verse"),
            ("verse:", "section verse"),
            ("[verse]", "section verse"),
        ],
        section,
    );
    asks(
        &[
            ("section verse x2", "`form verse x2`"),
            ("section verse (8 bars)", "write a `#` before it"),
            ("section verse 1", "`section verse-1`"),
        ],
        section,
    );
    let row = |line: &str| format!("section a\n {line}\n");
    offers(
        &[
            ("second strum offbeat", "second = strum offbeat"),
            ("second: strum offbeat", "second = strum offbeat"),
            ("second := strum offbeat", "second = strum offbeat"),
            ("second - strum offbeat", "second = strum offbeat"),
            ("second == strum offbeat", "second = strum offbeat"),
            ("second | strum offbeat |", "second = strum offbeat"),
            ("second = under the lead", "second = under lead"),
            ("second under lead", "second = under lead"),
            ("second rest", "second = rest"),
        ],
        row,
    );
    asks(
        &[
            ("strum offbeat", "`second = strum offbeat`"),
            ("second strum", "write `second = strum` and the name of a pattern"),
            ("second with", "write `second = with` and the name of a part"),
            ("lead | C5 | D5 | x2", "how often a section is played goes in the form"),
            ("lead | C5 | D5 | -- loud", "a comment begins with `#`"),
            ("lead D5 . G5 .", "a row needs bar lines: `lead | D5 . G5 . |`"),
            ("lead D5 . | G5 . |", "write a bar line right after the name: `lead | D5 . | …`"),
            ("lead: D5 . | G5 . |", "write a bar line right after the name: `lead | D5 . | …`"),
            ("lead 1 | D5 | E5 |", "or `lead-1` if that is the part's name"),
            ("chords: G C", "`chords | G C |`"),
            ("lead | D5 || E5 ||", "a bar line is one `|`"),
            ("lead | D5 | E5 | // loud", "a comment begins with `#`"),
            ("lead ¦ D5 ¦", "a bar line is the sign `|`"),
            ("lead | C5 #F4 . | D5 |", "a `#` after a space begins a comment"),
        ],
        row,
    );
    assert_eq!(offered(&only("section a\n lead: | C5 |\n")).as_deref(), Some("lead"));
}

#[test]
fn parts_and_patterns() {
    offers(
        &[
            ("part second double-second", "part second on double-second"),
            ("part second: double-second", "part second on double-second"),
            ("part second = double-second", "part second on double-second"),
            ("part second in double second", "part second on double-second"),
            ("second on double-second", "part second on double-second"),
            ("pattern p . x . x", "pattern p | . x . x |"),
            ("pattern p = . x . x", "pattern p | . x . x |"),
        ],
        |line| format!("{line}\n"),
    );
    assert_eq!(offered(&only("pattern p: | . x |\n")).as_deref(), Some("pattern p"));
    assert_eq!(offered(&only("part second, on double-second\n")).as_deref(), Some("part second"));
    asks(
        &[
            ("part second", "`part second on double-second`"),
            ("part on double-second", "give the part a name"),
            ("part second two on double-second", "`part second-two on double-second`"),
            ("pattern off beat | . x |", "`pattern off-beat | … |`"),
            ("pattern off beat", "for example `pattern offbeat | . x . x |`"),
            ("pattern off \" | . x |", "for example `pattern offbeat | . x . x |`"),
        ],
        |line| format!("{line}\n"),
    );
}

#[test]
fn dynamics() {
    offers(&[("forte", "f"), ("cresc.", "<"), ("fff", "ff"), ("MF", "mf"), ("dim", ">")], |mark| {
        format!("section a\n dynamics | {mark} |\n")
    });
    asks(&[("m", "use one of"), ("sfz", "use one of")], |mark| format!("section a\n dynamics | {mark} |\n"));
    asks(
        &[
            ("dynamics | f | |", "write `-` for a bar without a mark"),
            ("chords | G | |", "write `-` for a bar of the same chord"),
        ],
        |row| format!("section a\n {row}\n"),
    );
}

#[test]
fn forms() {
    asks(
        &[
            ("form verse | chorus | tag", "names of sections with spaces between them"),
            ("form = verse chorus", "names of sections with spaces between them"),
            ("form verse x2 x3", "how often `verse` is played is written twice"),
            ("form x2 verse", "write it after the section, as in `form verse x2`"),
        ],
        |line| format!("{line}\n"),
    );
}

#[test]
fn signs_of_another_kind_become_the_usual_ones() {
    let table = [
        ("F5’", "F5'"),
        ("F5‘", "F5'"),
        ("F5ʼ", "F5'"),
        ("F5´", "F5'"),
        ("F5`", "F5'"),
        ("F5>’", "F5>'"),
        ("F5!", "F5>"),
        ("F5'^", "F5'>"),
        ("A4+C5’", "A4+C5'"),
    ];
    offers(&table, |cell| format!("section a\n lead | C5 {cell} |\n"));
}

#[test]
fn signs_that_are_no_cell_alone() {
    let around = |cell: &str| format!("section a\n lead | C5 {cell} |\n");
    offers(&[("−", "-"), ("G4 + Bb4", "G4+Bb4"), ("G4 +Bb4", "G4+Bb4"), ("G4+ Bb4", "G4+Bb4")], around);
}

#[test]
fn small_letters_are_told_each_where_others_stand_between() {
    let finding = only("section a\n lead | f5 . a5 . f5 - |\n");
    assert_eq!(finding.message, "note letters are capitals, not `f5`, `a5`");
    assert_eq!(finding.help, ["write `F5` for `f5`, `A5` for `a5`"]);
}

#[test]
fn chords_in_words() {
    let around = |chord: &str| format!("section a\n chords | {chord} |\n");
    for (typed, wanted) in [("Bflat", "Bb"), ("Fsharpm", "F#m"), ("C dom7", "C7")] {
        let finding = only(&around(typed));
        assert!(finding.help[0].starts_with(&format!("did you mean `{wanted}`")), "{typed}: {finding:#?}");
        assert!(findings(&around(wanted)).is_empty());
    }
}

#[test]
fn a_row_before_the_sections_is_offered_the_one_that_the_form_names() {
    let finding = only("form lead-in verse\n lead | C5 |\nsection verse\n lead | C5 |\n");
    assert_eq!(finding.help, ["write `section lead-in` above it"]);
}

#[test]
fn a_row_that_was_broken_over_lines_is_told_once_and_read_whole() {
    let text = "section a\n lead | C5 . D5 . | E5 .\nD5 . | C5 . . . |\n bass | F2 . |\nF2 . C2 . | F2 - |\n";
    let finding = only(text);
    assert_eq!((finding.kind.name, finding.more.len()), ("unknown-line", 1));
    assert!(finding.message.starts_with("this looks like the rest of the row above"));
    let (tree, _) = read(text);
    assert_eq!(super::tidy(&tree), text, "what is not understood is left as it is");
}
