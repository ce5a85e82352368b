//! Names and titles from files: nothing in them steers a terminal, turns the direction of writing, or leads out of a folder.

use std::fs;

use super::{folder_of, listing, program, run, small};

/// Signs that steer a terminal or turn the direction of writing.
const SIGNS: [char; 12] = [
    '\u{1b}', '\u{7}', '\u{8}', '\u{7f}', '\u{9b}', '\u{200e}', '\u{200f}', '\u{202e}', '\u{2066}', '\u{61c}',
    '\u{2028}', '\r',
];

fn has_signs(text: &str) -> Option<char> {
    text.chars().find(|c| SIGNS.contains(c))
}

/// A tune and a band with such signs in every title and name.
fn steered() -> tempfile::TempDir {
    let all: String = SIGNS[..10].iter().collect();
    let quoted = all.chars().map(|c| format!("\\u{:04x}", u32::from(c))).collect::<String>();
    let band = format!("name = \"Ba{quoted}nd\"\n[[pan]]\nname = \"P{quoted}an\"\nlayout = \"lead-c\"\n");
    let tune = format!(
        "title J{all}am\nby th{all}e band\nband band.toml\npart l{all}ead on lead\nform v{all}erse nos{all}uch\n\
         section v{all}erse\n words | o{all}h |\n l{all}ead | D5 . G5 H{all}5 |\n"
    );
    // Names of parts and sections have letters only.
    let good = format!(
        "title J{all}am\nby th{all}e band\nband band.toml\npart lead on lead\nsection verse\n words | o{all}h |\n \
         lead | D5 . G5 B5 |\n"
    );
    folder_of(&[("band.toml", &band), ("bad.tune", &tune), ("jam.tune", &good)])
}

#[test]
fn nothing_of_a_file_steers_a_terminal() {
    let folder = steered();
    for arguments in [
        "check bad.tune",
        "check jam.tune --table",
        "check jam.tune --json",
        "render jam.tune --json",
        "render jam.tune --midi jam.mid",
        "lineup jam.tune",
        "pans band.toml",
        "pans band.toml --json",
        "fit jam.tune",
        "cover lead-c jam.tune",
        "sheet jam.tune",
        "tidy jam.tune",
        "export jam.tune --json",
    ] {
        let done = run(&folder, arguments);
        assert_eq!(has_signs(&(done.out + &done.err)), None, "{arguments}");
    }
    let name = "e\u{1b}[31m\u{202e}.tune";
    fs::write(folder.path().join(name), "part x\n").expect("a file");
    for command in ["check", "tidy", "fit"] {
        let done = super::done(program(folder.path()).args([command, name]).output().expect("it runs"));
        assert_eq!(has_signs(&(done.out + &done.err)), None, "{command}");
    }
}

#[test]
fn pages_and_pictures_have_names_without_such_signs() {
    let folder = steered();
    let done = run(&folder, "pack jam.tune -o out");
    assert_eq!(done.code, Some(0), "{}", done.err);
    for name in listing(&folder.path().join("out")) {
        assert_eq!(has_signs(&name), None, "{name}");
        if [".html", ".txt", ".svg"].iter().any(|ending| name.ends_with(ending)) {
            let text = fs::read_to_string(folder.path().join("out").join(&name)).expect("text");
            assert_eq!(has_signs(&text), None, "{name}");
            assert!(!text.contains("\\u001b"), "{name}");
        }
    }
}

#[test]
fn folders_have_names_that_every_system_takes() {
    // As many letters as the name of a part may have.
    let long = "l".repeat(64);
    let stem = format!("nul.{}", "s".repeat(200));
    let folder = small();
    let lines: String = ["con", "aux", "LPT1", &long].iter().map(|name| format!("part {name} on lead\n")).collect();
    let tune = format!("title T\nband band.toml\n{lines}section a\n con | C5 |\n");
    fs::write(folder.path().join(format!("{stem}.tune")), tune).expect("a file");
    let inner = folder.path().join("a/b");
    fs::create_dir_all(&inner).expect("a folder");
    let done = run(&inner, &format!("pack ../../{stem}.tune"));
    assert_eq!(done.code, Some(0), "{}", done.err.chars().take(2000).collect::<String>());
    assert_eq!(fs::read_dir(folder.path().join("a")).expect("a folder").count(), 1, "something lies beside the pack");
    for path in listing(&inner) {
        for name in path.split('/') {
            let base = name.split('.').next().unwrap_or_default();
            assert!(!["con", "aux", "nul", "lpt1"].contains(&base.to_lowercase().as_str()), "{path}");
            assert!(name.len() <= 255 && !name.ends_with(['.', ' ']), "{path}");
            assert!(!name.contains(['\\', ':', '*', '?', '"', '<', '>', '|']), "{path}");
        }
    }
}
