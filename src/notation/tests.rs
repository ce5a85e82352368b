//! Laws of reading and tidying, and a table of mistakes.

use proptest::prelude::*;

use super::tidy;
use super::tree::{BarContent, RowBody, Statement, Tree};
use crate::kit;
use crate::text::Span;

const TUNE: &str = "\
# a comment
title  Sea-Grape Road   # not a comment
band   lantern-quay.toml
key    Bb
meter  6/8
tempo  92.5 # beats
swing  2:1
pickup 1/2
roll   none

part lead on lead
part iron on iron
pattern offbeat | . x . X |
form  verse x2 tag

section verse   # the verse
  tempo 80
  chords | Bb | N.C. F7/C | - |
  words | a cue # 1 | | |  # but this is one
  dynamics | pp | < - | ff |
  lead | Bb4 . C♯5> - D5' ~ | 3: A4L/b7 . G4+BR | % |
  iron = play offbeat
section tag
  lead | G4 |
  iron = with lead
";

fn read(text: &str) -> (Tree, Vec<String>) {
    let (tree, findings) = kit::read(text);
    let told = |f: &crate::text::Finding| {
        let place = f.place.as_ref().expect("a place");
        let position = place.position();
        format!("{}:{} {}: {}", position.line, position.column, f.kind.name, f.message)
    };
    (tree, findings.iter().map(told).collect())
}

/// What a tree says, without places.
fn meaning(tree: &Tree) -> String {
    let text = |span| tree.source.slice(span).split_whitespace().collect::<Vec<_>>().join(" ");
    let mut out = String::new();
    for line in &tree.lines {
        let said = match &line.statement {
            None => String::new(),
            Some(Statement::Setting(setting)) => format!("{:?}", setting.value.value),
            Some(Statement::Row(row)) => match &row.body {
                RowBody::Cells(bars) => bars.iter().map(|bar| format!("{:?}|", text(bar.span))).collect(),
                RowBody::Chords(bars) => bars.iter().map(|bar| format!("{:?}|", text(bar.span))).collect(),
                RowBody::Dynamics(bars) => bars.iter().map(|bar| format!("{:?}|", text(bar.span))).collect(),
                RowBody::Words(bars) => bars.iter().map(|bar| format!("{:?}|", bar.value)).collect(),
                RowBody::Instruction(instruction) => text(instruction.span),
            },
            Some(Statement::Broken) => "broken".to_owned(),
            Some(_) => text(Span { end: line.comment.map_or(line.span.end, |comment| comment.start), ..line.span }),
        };
        out.push_str(&format!("{said} {}\n", line.comment.map(text).unwrap_or_default()));
    }
    out
}

#[test]
fn sticks_stand_right_after_their_notes() {
    use super::tree::{Notes, Slot, Slots, Stick};
    let strike = |text: &str| match super::cell::cell(text, 0)?.slots {
        Slots::One(Slot::Strike(strike)) => Some(strike),
        _ => None,
    };
    let stick = |text: &str| strike(text).expect(text).stick;
    assert_eq!(stick("G4"), None);
    assert_eq!(stick("F#5L"), Some(Stick::L));
    assert_eq!(stick("Bb3R>'"), Some(Stick::R));
    assert_eq!(stick("xL"), Some(Stick::L));
    // Of two notes one stick is enough.
    assert_eq!(stick("G4L+B4R"), Some(Stick::L));
    assert_eq!(stick("G4+B4R"), Some(Stick::L));
    assert_eq!(stick("G4+B4L>"), Some(Stick::R));
    for wrong in ["L", "G4l", "G4>L", "G4LR", "G4L+B4L", "C4L+E4+G4", "LG4", "GL4"] {
        assert!(super::cell::cell(wrong, 0).is_none(), "{wrong}");
    }
    // A note's place is without its stick, so that a note can be changed and the stick stay.
    let Notes::Together(notes) = strike("G4L+B4R").expect("a stroke").notes else { panic!("two notes") };
    assert_eq!((notes[0].span.start, notes[0].span.end), (0, 2));
    assert_eq!((notes[1].span.start, notes[1].span.end), (4, 6));
}

#[test]
fn wrong_sticks_are_explained() {
    let said = |cell: &str| {
        let (_, findings) = kit::read(&format!("section a\n lead | {cell} |\n"));
        let [finding] = &findings[..] else { panic!("{cell}: {findings:?}") };
        format!("{}; {}", finding.message, finding.help.join("; "))
    };
    assert_eq!(said("G4>L"), "`G4` takes one stick, `L` or `R`, not `G4>L`; did you mean `G4L>`?");
    assert_eq!(said("G4LR"), "`G4` takes one stick, `L` or `R`, not `G4LR`; write `G4L` or `G4R`");
    assert_eq!(
        said("G4L+B4L"),
        "one stick can't strike both notes of `G4L+B4L`; let one end in `L` and the other in `R`, as in `G4L+B4R`"
    );
    assert!(said("C4L+E4+G4").starts_with("`L` and `R` go with one or two notes"));
    assert_eq!(said("g4L"), "note letters are capitals, not `g4L`; write `G4L`");
    assert_eq!(said("C5l"), "the sticks `L` and `R` are capitals, not as in `C5l`; did you mean `C5L`?");
    for (written, meant) in [("E5r>", "E5R>"), ("G4l+B4r", "G4L+B4R"), ("c5l/Bb4r", "C5L/Bb4R"), ("Gl", "GL")] {
        assert!(said(written).ends_with(&format!("; did you mean `{meant}`?")), "{}", said(written));
    }
    assert!(!said("lr").contains("did you mean"), "{}", said("lr"));
    assert!(said("L").starts_with("a note is missing before `L`"), "{}", said("L"));
}

#[test]
fn a_whole_tune_reads_well() {
    let (tree, told) = read(TUNE);
    assert_eq!(told, Vec::<String>::new());
    assert_eq!(tree.lines.iter().filter(|line| line.statement.is_some()).count(), TUNE.lines().count() - 3);
    let rows: Vec<&RowBody> = tree
        .lines
        .iter()
        .filter_map(|line| match &line.statement {
            Some(Statement::Row(row)) => Some(&row.body),
            _ => None,
        })
        .collect();
    let RowBody::Words(words) = rows[1] else { panic!("words") };
    assert_eq!(words[0].value, "a cue # 1");
    let RowBody::Cells(bars) = rows[3] else { panic!("cells") };
    assert!(matches!(&bars[0].content, BarContent::Cells(cells) if cells.len() == 6));
    assert!(matches!(bars[2].content, BarContent::Again));
}

#[test]
fn mistakes_are_placed_and_named() {
    let table = [
        ("section a\n lead | H4 |\n", "2:9 wrong-cell: there is no note `H4`: notes run from A to G"),
        ("section a\n lead | g4> |\n", "2:9 wrong-cell: note letters are capitals, not `g4>`"),
        ("section a\n lead | 15 |\n", "2:9 wrong-cell: a chord has no degree `15`"),
        ("section a\n lead | G4~ |\n", "2:9 wrong-cell: cells need a space between them: `G4~`"),
        ("section a\n lead | G4/ |\n", "2:9 wrong-cell: the sign in `G4/` needs a note or a stroke on both sides"),
        ("section a\n lead | > |\n", "2:9 wrong-cell: a note is missing before `>`"),
        ("section a\n lead | G4 % |\n", "2:12 wrong-cell: a `%` must be alone in its bar"),
        ("section a\n lead | G12 |\n", "2:9 wrong-cell: `12` can't be read in `G12`"),
        ("section a\n lead | G###4 |\n", "2:9 wrong-cell: `G###4` has too many sharps or flats"),
        ("section a\n lead | G#9 |\n", "2:9 wrong-cell: `G#9` is beyond what can be played"),
        ("section a\n lead | C5 | D5\n", "2:16 wrong-bar: the last bar has no bar line after it"),
        ("section a\n lead | C5 || D5 |\n", "2:12 wrong-bar: two bar lines touch each other"),
        ("section a\n lead | C5 | | D5 |\n", "2:14 wrong-bar: there is nothing between these bar lines"),
        (
            "section a\n chords | G | Hm |\n",
            "2:15 wrong-chord: `Hm` is not a chord symbol: a chord begins with a note letter from A to G, as in `G`, `D7`, `F#m`",
        ),
        ("section a\n dynamics | loud |\n", "2:13 wrong-dynamic: `loud` is not a dynamic mark"),
        ("section a\n lead = strums x\n", "2:9 unknown-instruction: `strums` is not an instruction"),
        ("section a\n lead = with\n", "2:9 incomplete: the name of a part is missing"),
        ("section a\n lead = rest now\n", "2:14 incomplete: `now` can't be read after the instruction"),
        ("section a\n chords = rest\n", "2:9 unknown-instruction: the row `chords` needs bars, not an instruction"),
        ("lead | C5 |\n", "1:1 misplaced: the row `lead` comes before the first section"),
        ("section a\n title B\n", "2:2 misplaced: `title` is for the whole tune, and this is a section"),
        ("key G\nkey D\n", "2:1 setting-twice: `key` is given already, on line 1"),
        ("tempo 0\n", "1:7 wrong-value: a tempo is from 10 to 400 beats a minute, not `0`"),
        ("tempo 1e9\n", "1:7 wrong-value: a tempo is from 10 to 400 beats a minute, not `1e9`"),
        ("meter 0/4\n", "1:7 wrong-value: `0/4` is not a meter"),
        ("key H\n", "1:5 wrong-value: `H` is not a key"),
        ("swing 3\n", "1:7 wrong-value: `3` does not give the two parts of a beat"),
        ("pickup 0\n", "1:8 wrong-value: a pickup is a number of beats, not `0`"),
        ("roll soon\n", "1:6 wrong-value: a roll is set in beats, not `soon`"),
        ("title\n", "1:1 incomplete: `title` has no value"),
        ("part lead lead\n", "1:1 incomplete: a part is written `part NAME on KIND`"),
        ("pattern offbeat x\n", "1:1 incomplete: a pattern is written `pattern NAME` and then its bars"),
        ("section two words\n", "1:13 incomplete: `words` can't be read after the section's name"),
        ("section\n", "1:1 incomplete: the section has no name"),
        ("form x2 a\n", "1:6 incomplete: the section is missing before the number of times"),
        ("form a x1001\n", "1:8 too-many: a section can be played 1 to 1000 times in a row"),
        ("part form on lead\n", "1:6 wrong-name: `form` is a word of the notation and can't name a part"),
        (
            "part le_ad on lead\n",
            "1:6 wrong-name: a part's name can have only letters, digits and hyphens, not `le_ad`",
        ),
        ("sectoin a\n", "1:1 unknown-line: no line of a tune begins with `sectoin`"),
        ("| C5 |\n", "1:1 unknown-line: the name of a part is missing before the bars"),
    ];
    for (text, expected) in table {
        assert_eq!(read(text).1, [expected], "{text}");
    }
}

/// The findings of a row of a lead: message, the texts that are marked, and the row with the first change made.
fn of_row(bars: &str) -> Vec<(String, String, String)> {
    let (tree, findings) = kit::read(&format!("section a\n lead | {bars} |\n"));
    let source = &tree.source;
    let told = |finding: &crate::text::Finding| {
        let place = finding.place.as_ref().expect("a place");
        let marked: Vec<&str> =
            std::iter::once(&place.span).chain(&finding.more).map(|span| source.slice(*span)).collect();
        let mended = finding.edits.first().map(|edit| crate::text::edit::apply(source, std::slice::from_ref(edit)));
        let mended = mended.map(|text| text.lines().nth(1).expect("the row").trim().to_owned());
        (finding.message.clone(), marked.join(" "), mended.unwrap_or_default())
    };
    findings.iter().map(told).collect()
}

#[test]
fn small_note_letters_are_told_once_a_row_and_b4_is_one_of_them() {
    let told = |bars: &str| {
        let [(message, marked, mended)] = &of_row(bars)[..] else { panic!("{bars}: {:?}", of_row(bars)) };
        assert_eq!(message.replace("`, `", " "), format!("note letters are capitals, not `{marked}`"));
        mended.trim_start_matches("lead | ").trim_end_matches(" |").to_owned()
    };
    assert_eq!(told("g4 a4 b4 d5"), "G4 A4 B4 D5");
    assert_eq!(told("g4 A4  b4> | b3+d5 . bb4 B4"), "G4 A4  B4> | B3+D5 . Bb4 B4");
    assert_eq!(told("d5/b4L . - g"), "D5/B4L . - G");
    // What no pan has as a note stays a degree, as do others.
    assert_eq!(told("g4 5 b7 3"), "G4 5 b7 3");
    for good in ["b4 5 1", "1 b3 5", "G4 b4", "x X o s"] {
        assert_eq!(of_row(good), [], "{good}");
    }
    // The change is made to the row, and nothing is left to tell.
    assert_eq!(of_row("G4 A4 B4 D5"), []);
}

#[test]
fn many_small_letters_are_not_all_spelled_out() {
    let told = of_row(&"g4 b4 ".repeat(50));
    assert_eq!(told.len(), 1);
    assert_eq!(told[0].0, "note letters are capitals, not `g4`, `b4`");
    assert_eq!(told[0].2.matches("G4 B4").count(), 50);
}

#[test]
fn a_bar_may_say_how_many_cells_it_has() {
    let (tree, told) =
        read("section a\n chords | 2: G D7 |\n lead | 3: C5 D5 E5 | 2:C5 D5 | % | C5 |\npattern p | 1: x |\n");
    assert_eq!(told, Vec::<String>::new());
    let Some(Statement::Row(row)) = &tree.lines[2].statement else { panic!("a row") };
    let RowBody::Cells(bars) = &row.body else { panic!("cells") };
    let meant: Vec<Option<usize>> = bars.iter().map(|bar| bar.meant.as_ref().map(|meant| meant.value)).collect();
    assert_eq!(meant, [Some(3), Some(2), None, None]);
    assert!(matches!(&bars[0].content, BarContent::Cells(cells) if cells.len() == 3));

    let wrong = |bar: &str| {
        let [(message, marked, mended)] = &of_row(bar)[..] else { panic!("{bar}: {:?}", of_row(bar)) };
        format!("{message} [{marked}] {mended}")
    };
    assert_eq!(
        wrong("7: C5 D5 E5 F5 G5 A5 B5 C6"),
        "`7:` means 7 cells, and this bar has 8 [7:] lead | 8: C5 D5 E5 F5 G5 A5 B5 C6 |"
    );
    assert_eq!(wrong("0: C5"), "`0:` means 0 cells, and this bar has 1 [0:] lead | 1: C5 |");
    assert_eq!(wrong("5:"), "`5:` says how many cells the bar has, but there are none [5:] ");
    assert_eq!(wrong("2: %"), "a `%` must be alone in its bar [%] ");
    assert!(wrong("99999999999999999999: C5").starts_with("`99999999999999999999:` is neither a note nor a stroke"));
}

#[test]
fn tidy_keeps_what_a_bar_says_of_itself() {
    let text = "section a\n lead | 3:   C5 D5/E5 E5 | 7:C5 D5 E5 F5 G5 A5 B5 |\n second | . G4+B4 . | D5 |\n";
    insta::assert_snapshot!(tidy(&read(text).0), @r"
    section a
      lead   | 3: C5 D5/E5 E5 | 7:C5 D5 E5 F5 G5 A5 B5 |
      second | .     G4+B4 .  | D5                     |
    ");
}

#[test]
fn all_mistakes_of_a_file_are_told_once_each() {
    let (tree, told) = read("tempo 0\nfoo\nsection a\n lead | H4 C5 g4 | D5 | J |\n bass | C2 |\n");
    assert_eq!(told.len(), 5, "{told:#?}");
    // The row goes on after each mistake.
    let Some(Statement::Row(row)) = &tree.lines[3].statement else { panic!("a row") };
    assert!(matches!(&row.body, RowBody::Cells(bars) if bars.len() == 3));
}

#[test]
fn a_flood_of_mistakes_is_cut_short() {
    let told = read(&"foo\n".repeat(1000)).1;
    assert_eq!(told.len(), 101);
    assert!(told[100].ends_with("and 900 more problems that are not shown"), "{}", told[100]);
    for text in [
        "|".repeat(1 << 20),
        format!("section a\n x {}", "|".repeat(1 << 20)),
        format!("section a\n x | {} |", ". ".repeat(100_000)),
    ] {
        assert!(read(&text).1.len() <= 101);
    }
}

#[test]
fn tidy_lines_cells_up() {
    let text = "section a\n lead | C5 . F#5>\t. | D5 |\n  second  | .  G4+B4 . G4+B4 | % | # soft\n\n iron = play   x\n oops\n";
    let (tree, _) = read(text);
    insta::assert_snapshot!(tidy(&tree), @r"
    section a
      lead   | C5 .     F#5> .     | D5 |
      second | .  G4+B4 .    G4+B4 | %  |  # soft

      iron = play x
     oops
    ");
}

#[test]
fn tidy_keeps_line_ends() {
    let text = TUNE.replace('\n', "\r\n");
    let tidied = tidy(&read(&text).0);
    assert_eq!(tidied.matches("\r\n").count(), text.matches("\r\n").count());
    assert_eq!(tidied.replace("\r\n", "\n"), tidy(&read(TUNE).0));
    let old = TUNE.replace('\n', "\r");
    assert_eq!(tidy(&read(&old).0).replace('\r', "\n"), tidy(&read(TUNE).0));
}

/// A tune with some of its characters changed, left out, or doubled.
fn damaged() -> impl Strategy<Value = String> {
    let change = (0..TUNE.chars().count(), prop::char::any(), 0..4u8);
    prop::collection::vec(change, 0..12).prop_map(|changes| {
        let mut letters: Vec<char> = TUNE.chars().collect();
        for (at, letter, how) in changes {
            let at = at.min(letters.len() - 1);
            match how {
                0 => letters[at] = letter,
                1 => drop(letters.remove(at)),
                2 => letters.insert(at, letters[at]),
                _ => letters.insert(at, ['|', '\n', '=', '/'][at % 4]),
            }
        }
        letters.into_iter().collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_read_and_tidied(text in prop_oneof![any::<String>(), "[ \\n|=#%./+~!':xA-Ha-h0-9-]{0,200}", damaged()]) {
        let (tree, _) = read(&text);
        let once = tidy(&tree);
        let again = read(&once).0;
        prop_assert_eq!(meaning(&tree), meaning(&again));
        prop_assert_eq!(&tidy(&again), &once);
    }
}
