//! The README's commands do what it says. After a change of what they print: `PANFOLD_WRITE=1 cargo test --test house`.

use std::fs;
use std::process::Command;

use super::root;

/// A block of the README: the command after the `$`, and what it is said to print.
struct Shown {
    command: String,
    printed: String,
}

fn parts(readme: &str) -> (Vec<Shown>, String) {
    let (mut shown, mut rewritten) = (Vec::new(), String::new());
    let folder = tempfile::tempdir().expect("a folder");
    let mut lines = readme.lines();
    while let Some(line) = lines.next() {
        rewritten.push_str(line);
        rewritten.push('\n');
        if line != "```console" {
            continue;
        }
        let command = lines.next().and_then(|line| line.strip_prefix("$ ")).expect("a command").to_owned();
        let block: Vec<&str> = lines.by_ref().take_while(|line| *line != "```").collect();
        let printed = run(folder.path(), &command);
        rewritten.push_str(&format!("$ {command}\n{printed}```\n"));
        shown.push(Shown { command, printed: block.iter().map(|line| format!("{line}\n")).collect() });
    }
    (shown, rewritten)
}

/// What a command prints, run in `folder`, where the demo's files lie as in the project.
fn run(folder: &std::path::Path, command: &str) -> String {
    let demo = folder.join("arrangements");
    if !demo.exists() {
        copy(&root().join("arrangements"), &demo);
    }
    let (command, answers) = command.split_once(" < ").map_or((command, None), |(command, file)| (command, Some(file)));
    let mut words = command.split_whitespace();
    assert_eq!(words.next(), Some("panfold"), "{command}");
    let mut program = Command::new(env!("CARGO_BIN_EXE_panfold"));
    if let Some(answers) = answers {
        program.stdin(fs::File::open(folder.join(answers)).expect("the answers"));
    }
    let done = program.args(words).current_dir(folder).output().expect("the program runs");
    assert!(done.status.code().is_some_and(|code| code < 2), "{command}: {}", String::from_utf8_lossy(&done.stderr));
    String::from_utf8(done.stdout).expect("text")
}

fn copy(from: &std::path::Path, to: &std::path::Path) {
    fs::create_dir(to).expect("a new folder");
    for entry in fs::read_dir(from).expect("a folder") {
        let path = entry.expect("an entry").path();
        let target = to.join(path.file_name().expect("a name"));
        if path.is_dir() {
            copy(&path, &target);
        } else {
            fs::copy(&path, &target).expect("copied");
        }
    }
}

#[test]
fn commands_print_what_the_readme_says() {
    let path = root().join("README.md");
    let readme = fs::read_to_string(&path).expect("the README");
    let (shown, rewritten) = parts(&readme);
    assert!(shown.len() >= 4, "the README shows commands");
    if std::env::var_os("PANFOLD_WRITE").is_some() {
        fs::write(&path, &rewritten).expect("written");
        return;
    }
    for block in &shown {
        assert!(
            rewritten.contains(&format!("$ {}\n{}```\n", block.command, block.printed)),
            "`{}` prints something else",
            block.command
        );
    }
    assert_eq!(readme, rewritten);
}

#[test]
fn the_two_commands_stand_on_top() {
    let readme = fs::read_to_string(root().join("README.md")).expect("the README");
    let ci = fs::read_to_string(root().join(".ci/run")).expect("the checks");
    assert!(readme.contains("cargo run --release -- pack arrangements/sea-grape-road.tune\ncargo test\n"));
    assert!(ci.contains("cargo test"), "the checks call the README's test command");
    assert!(root().join("arrangements/sea-grape-road.tune").exists());
}
