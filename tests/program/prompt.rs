//! What helps at the prompt: completions and manual pages.

use std::fs;
use std::process::Command;

use super::{listing, run, says};

#[test]
fn every_shell_gets_its_commands() {
    for shell in ["bash", "zsh", "fish", "powershell"] {
        let done = run(".", &format!("completions {shell}"));
        assert_eq!((done.code, done.err.as_str()), (Some(0), ""), "{shell}");
        for word in ["check", "lineup", "tolerance", "completions"] {
            assert!(done.out.contains(word), "{shell} lacks {word}");
        }
    }
    let wrong = run(".", "completions bsh");
    assert!(wrong.code == Some(2) && says(&wrong.err, "a similar value exists: 'bash'"), "{}", wrong.err);
}

/// Bash itself reads the script, and completes by it.
#[test]
fn bash_completes_a_command() {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("panfold.bash"), run(".", "completions bash").out).expect("a file");
    let line = "source ./panfold.bash; COMP_WORDS=(panfold line); COMP_CWORD=1; _panfold panfold line panfold; echo ${COMPREPLY[@]}";
    let Ok(output) = Command::new("bash").args(["-c", line]).current_dir(&folder).output() else { return };
    assert_eq!(String::from_utf8_lossy(&output.stdout).trim(), "lineup", "{}", String::from_utf8_lossy(&output.stderr));
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
