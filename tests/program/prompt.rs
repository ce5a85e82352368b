//! What helps at the prompt: completions and manual pages.

use std::fs;
use std::process::Command;

use super::{listing, run, says, small};

#[test]
fn every_shell_gets_its_commands() {
    for shell in ["bash", "zsh", "fish", "powershell"] {
        let done = run(".", &format!("completions {shell}"));
        assert_eq!((done.code, done.err.as_str()), (Some(0), ""), "{shell}");
        assert!(done.out.contains("panfold") && done.out.contains("PANFOLD_COMPLETE"), "{shell}: {}", done.out);
    }
    let wrong = run(".", "completions bsh");
    assert!(wrong.code == Some(2) && says(&wrong.err, "did you mean `bash`?"), "{}", wrong.err);
}

/// What bash completes the last of some words to, by the script. Bash may miss on a system that is not ours.
fn completed(folder: &std::path::Path, words: &[&str]) -> Option<Vec<String>> {
    fs::write(folder.join("panfold.bash"), run(".", "completions bash").out).expect("a file");
    let words: Vec<String> = words.iter().map(|word| format!("'{word}'")).collect();
    let last = words.last().expect("a word");
    let line = format!(
        "source ./panfold.bash; COMP_WORDS=(panfold {}); COMP_CWORD={}; COMP_TYPE=9; _clap_complete_panfold panfold {last} -; printf '%s\\n' \"${{COMPREPLY[@]}}\"",
        words.join(" "),
        words.len()
    );
    let program = std::path::Path::new(env!("CARGO_BIN_EXE_panfold")).parent().expect("its folder");
    let path = format!("{}:{}", program.display(), std::env::var("PATH").unwrap_or_default());
    let output = Command::new("bash").args(["-c", &line]).env("PATH", path).current_dir(folder).output().ok()?;
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(said.is_empty(), "{said}");
    Some(String::from_utf8_lossy(&output.stdout).lines().map(str::to_owned).collect())
}

/// Bash itself reads the script, and completes by it.
#[test]
fn bash_completes_commands_and_names_of_the_tune_at_hand() {
    let folder = small();
    for (words, expected) in [
        (&["line"][..], &["lineup"][..]),
        (&["check", "--tol"], &["--tolerance"]),
        (&["check", "jam.t"], &["jam.tune"]),
        (&["sticks", "jam.tune", "--part", "le"], &["lead"]),
        (&["page", "jam.tune", "--part", ""], &["lead", "bass", "iron"]),
        (&["drill", "jam.tune", "--part", "lead", "--section", ""], &["verse", "chorus"]),
        (&["cover", "lead-"], &["lead-c", "lead-d"]),
        (&["patterns", "calypso-st"], &["calypso-strum"]),
        (&["findings", "missing-n"], &["missing-note"]),
        (&["guide", "str"], &["strums"]),
        (&["sticks", "jam.tune", "--part", "lead", "--level", "exp"], &["experienced"]),
        (&["sticks", "nowhere.tune", "--part", "le"], &[]),
    ] {
        let Some(found) = completed(folder.path(), words) else { return };
        let found: Vec<&str> = found.iter().map(|word| word.trim()).filter(|word| !word.is_empty()).collect();
        assert_eq!(found, expected, "{words:?}");
    }
}

#[test]
fn every_command_has_a_manual_page() {
    let folder = tempfile::tempdir().expect("a folder");
    for _ in 0..2 {
        let done = run(&folder, "man pages");
        assert_eq!(done.code, Some(0), "{}", done.err);
        assert!(says(&done.err, "manual pages into pages"), "{}", done.err);
    }
    let pages = listing(&folder.path().join("pages"));
    assert!(pages.len() > 20 && pages.iter().any(|name| name == "panfold-check.1"), "{pages:?}");
    let page = fs::read_to_string(folder.path().join("pages/panfold-check.1")).expect("a page");
    for word in ["panfold\\-check", "tolerance", "Exit codes"] {
        assert!(page.contains(word), "{word}: {page:.600}");
    }
    // A page of somebody else's is left alone.
    fs::write(folder.path().join("pages/panfold.1"), "mine").expect("a file");
    let refused = run(&folder, "man pages");
    assert!(refused.code == Some(2) && says(&refused.err, "there-already)"), "{}", refused.err);
    assert_eq!(run(&folder, "man pages --replace").code, Some(0));
}
