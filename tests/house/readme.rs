//! The commands in the README and in the guide do what they say, and their links lead somewhere. After a change of what commands
//! print: `PANFOLD_WRITE=1 cargo test --test house`.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use super::root;

/// The most lines of the README, so that a reader comes to its end.
const MOST_LINES: usize = 200;

/// How wide the guide is written, in letters, beside what commands print and the commands themselves.
const WIDEST: usize = 100;

/// The README and the topics of the guide, in the order in which the program lists them.
fn pages() -> Vec<PathBuf> {
    let list = Command::new(env!("CARGO_BIN_EXE_panfold")).arg("guide").output().expect("the program runs");
    let list = String::from_utf8(list.stdout).expect("text");
    let topics = list.lines().filter_map(|line| line.strip_prefix("  ")?.split_whitespace().next());
    let topics = topics.map(|topic| root().join(format!("src/cli/guide/{topic}.md")));
    [root().join("README.md")].into_iter().chain(topics).collect()
}

fn read(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// A page with what its commands print now, and how many they are. They run in `folder`, one after the other.
fn rewritten(page: &str, folder: &Path) -> (String, usize) {
    let (mut out, mut commands) = (String::new(), 0);
    let mut lines = page.lines();
    while let Some(line) = lines.next() {
        out.push_str(line);
        out.push('\n');
        if line != "```console" {
            continue;
        }
        let command = lines.next().and_then(|line| line.strip_prefix("$ ")).expect("a command").to_owned();
        assert!(lines.any(|line| line == "```"), "the end of `{command}`");
        out.push_str(&format!("$ {command}\n{}```\n", run(folder, &command)));
        commands += 1;
    }
    (out, commands)
}

/// What a command prints, run in `folder`, where the demo's files lie as in the project.
pub fn run(folder: &Path, command: &str) -> String {
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

fn copy(from: &Path, to: &Path) {
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

/// What the links of a page lead to, pictures too; what stands in code is none.
fn links(page: &str) -> Vec<String> {
    let mut is_code = false;
    let mut found = Vec::new();
    for line in page.lines() {
        is_code ^= line.starts_with("```");
        if !is_code {
            let targets = line.split("](").skip(1).filter_map(|rest| rest.split_once(')'));
            found.extend(targets.map(|(target, _)| target.to_owned()));
        }
    }
    found
}

/// The names of a page's headings in links: small letters, with hyphens for spaces.
fn headings(page: &str) -> Vec<String> {
    let heading = |line: &str| {
        let text = line.trim_start_matches('#').trim().to_lowercase();
        text.chars().filter(|c| c.is_alphanumeric() || " -".contains(*c)).collect::<String>().replace(' ', "-")
    };
    page.lines().filter(|line| line.starts_with('#')).map(heading).collect()
}

#[test]
fn commands_print_what_the_readme_and_the_guide_say() {
    let folder = tempfile::tempdir().expect("a folder");
    for path in pages() {
        let page = read(&path);
        let (rewritten, commands) = rewritten(&page, folder.path());
        let shown = page.lines().filter(|line| line.starts_with("$ ")).count();
        assert_eq!(commands, shown, "{} shows commands outside of ```console", path.display());
        if std::env::var_os("PANFOLD_WRITE").is_some() {
            fs::write(&path, &rewritten).expect("written");
        } else if let Some((shown, printed)) = page.lines().zip(rewritten.lines()).find(|(old, new)| old != new) {
            panic!("{} shows\n{shown}\nbut it is\n{printed}", path.display());
        } else {
            assert_eq!(page, rewritten, "{}", path.display());
        }
    }
}

#[test]
fn the_tune_in_the_guide_has_no_problems() {
    let topic = read(&root().join("src/cli/guide/tune.md"));
    let tune = topic.split("```\n").nth(1).expect("a tune");
    assert!(tune.starts_with("title "), "{tune}");
    let folder = tempfile::tempdir().expect("a folder");
    run(folder.path(), "panfold start my-band");
    fs::write(folder.path().join("my-band/ferry.tune"), tune).expect("written");
    let said = run(folder.path(), "panfold check my-band/ferry.tune");
    assert_eq!(said.lines().count(), 1, "{said}");
    run(folder.path(), "panfold tidy my-band/ferry.tune");
    assert_eq!(read(&folder.path().join("my-band/ferry.tune")), tune, "the tune is tidy");
}

#[test]
fn every_topic_is_linked_by_its_question() {
    let readme = read(&root().join("README.md"));
    let pages = pages();
    assert!(pages.len() > 10, "the guide has topics");
    for path in &pages[1..] {
        let question =
            read(path).lines().next().and_then(|line| line.strip_prefix("# ")).expect("a heading").to_owned();
        let file = path.strip_prefix(root()).expect("below the root").display().to_string().replace('\\', "/");
        assert!(readme.contains(&format!("\n- [{question}]({file})\n")), "the README does not link {file}");
    }
    let mut files: Vec<PathBuf> = fs::read_dir(root().join("src/cli/guide"))
        .expect("the guide")
        .map(|entry| entry.expect("an entry").path())
        .collect();
    files.retain(|path| path.extension().is_some_and(|extension| extension == "md"));
    assert_eq!(files.len(), pages.len() - 1, "`panfold guide` lists all of its files");
}

#[test]
fn every_link_leads_somewhere() {
    for path in pages().into_iter().chain([root().join("DEVELOPERS.md")]) {
        let page = read(&path);
        for link in links(&page).into_iter().filter(|link| !link.starts_with("https://")) {
            let (file, heading) = link.split_once('#').map_or((link.as_str(), None), |(file, name)| (file, Some(name)));
            let target = if file.is_empty() { path.clone() } else { path.parent().expect("a folder").join(file) };
            assert!(target.exists(), "{} links {link}, which is not there", path.display());
            let is_there = heading.is_none_or(|name| headings(&read(&target)).iter().any(|found| found == name));
            assert!(is_there, "{} links {link}, and there is no such heading", path.display());
        }
    }
    assert_eq!(links("[a](b.md) ![c](d.png#e)\n```\n[f](g)\n```\n"), ["b.md", "d.png#e"]);
    assert_eq!(headings("# Mind your ears\n## Why?\n"), ["mind-your-ears", "why"]);
}

#[test]
fn the_pages_are_short_and_narrow() {
    let pages = pages();
    let lines = read(&pages[0]).lines().count();
    assert!(lines <= MOST_LINES, "the README has {lines} lines, at most {MOST_LINES} are allowed");
    for path in &pages[1..] {
        let mut is_printed = false;
        for line in read(path).lines() {
            is_printed = if line.starts_with("```") { line == "```console" } else { is_printed };
            assert!(is_printed || line.chars().count() <= WIDEST, "{}: {line}", path.display());
        }
    }
}

#[test]
fn the_two_commands_stand_on_top() {
    let readme = read(&root().join("README.md"));
    let ci = read(&root().join(".ci/run"));
    assert!(readme.contains("cargo run --release -- pack arrangements/sea-grape-road.tune\ncargo test\n"));
    assert!(ci.contains("cargo test"), "the checks call the README's test command");
    assert!(root().join("arrangements/sea-grape-road.tune").exists());
}
