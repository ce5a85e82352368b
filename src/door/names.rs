//! Names of files and folders that every system takes.

use sha2::{Digest, Sha256};

use crate::text::signs;

/// The longest name, in bytes: a file name in a pack has two of them and a bit more, and systems take 255.
const LONGEST: usize = 80;

/// Names that some systems keep for devices, whatever comes after the first dot.
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];

/// A name that every system takes for a file or a folder: without signs that mean something in paths, not a device's name, not
/// too long. Most names stay as they are. A long one keeps its beginning, and gets some letters that stand for the rest.
pub fn safe(name: &str) -> String {
    let means = |c: char| r#"/\:*?"<>|"#.contains(c);
    let name: String = signs::plain(name).chars().map(|c| if means(c) { '-' } else { c }).collect();
    let mut name = name.trim_matches(['.', ' ']).to_owned();
    let first = name.split('.').next().unwrap_or_default().to_lowercase();
    if is_device(&first) {
        name.insert_str(first.len(), "-2");
    }
    if name.len() > LONGEST {
        let sum: String = Sha256::digest(name.as_bytes()).iter().take(4).map(|byte| format!("{byte:02x}")).collect();
        let end = name.floor_char_boundary(LONGEST - sum.len() - 1);
        name = format!("{}-{sum}", &name[..end]);
    }
    if name.is_empty() { "unnamed".to_owned() } else { name }
}

fn is_device(name: &str) -> bool {
    let numbered =
        |kind: &str| name.strip_prefix(kind).is_some_and(|rest| rest.len() == 1 && rest.as_bytes()[0].is_ascii_digit());
    DEVICES.contains(&name) || numbered("com") || numbered("lpt")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_safe_and_mostly_what_they_were() {
        for (name, expected) in [
            ("lead", "lead"),
            ("Sea-grape road", "Sea-grape road"),
            ("con", "con-2"),
            ("COM1.x", "COM1-2.x"),
            ("..", "unnamed"),
            ("dot. ", "dot"),
            ("a/b\\c", "a-b-c"),
            ("e\u{1b}[0m", "e[0m"),
        ] {
            assert_eq!(safe(name), expected);
        }
        let (one, other) = (safe(&format!("{}a", "ü".repeat(200))), safe(&format!("{}b", "ü".repeat(200))));
        assert!(one.len() <= LONGEST && one != other);
    }
}
