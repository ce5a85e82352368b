//! Plain English for messages: numbers with their nouns, lists, the nearest name.

/// A number with its noun: `1 note`, `2 notes`, `no notes`.
pub fn count(n: usize, noun: &str) -> String {
    match n {
        0 => format!("no {noun}s"),
        1 => format!("1 {noun}"),
        _ => format!("{n} {noun}s"),
    }
}

/// `a`, `a or b`, `a, b, or c`.
pub fn or<S: AsRef<str>>(items: &[S]) -> String {
    join(items, "or")
}

/// `a`, `a and b`, `a, b, and c`.
pub fn and<S: AsRef<str>>(items: &[S]) -> String {
    join(items, "and")
}

fn join<S: AsRef<str>>(items: &[S], word: &str) -> String {
    match items {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [a, b] => format!("{} {word} {}", a.as_ref(), b.as_ref()),
        [head @ .., last] => {
            let head: Vec<&str> = head.iter().map(AsRef::as_ref).collect();
            format!("{}, {word} {}", head.join(", "), last.as_ref())
        }
    }
}

/// The candidate nearest to `word` by edit distance, if it is near enough to be what was meant and no other is equally near.
///
/// Near enough: at most a quarter of the longer word's letters (but at least one) are inserted, left out, changed or swapped, and
/// fewer than the shorter word has. Upper and lower case count as equal. Where two different candidates are equally near, either would be
/// a guess, and a wrong guess is worse than none. Cost: O(letters²) a candidate.
///
/// ```
/// # use panfold::text::words::nearest;
/// assert_eq!(nearest("laed", ["lead", "bass"]), Some("lead"));
/// assert_eq!(nearest("xylophone", ["lead", "bass"]), None);
/// assert_eq!(nearest("bongos", ["congas"]), None);
/// assert_eq!(nearest("bars", ["bass", "bart"]), None);
/// ```
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word: Vec<char> = word.chars().take(64).flat_map(char::to_lowercase).collect();
    let mut best: Option<(usize, &str)> = None;
    let mut tied = false;
    for candidate in candidates {
        let letters: Vec<char> = candidate.chars().take(64).flat_map(char::to_lowercase).collect();
        let distance = distance(&word, &letters);
        let (shorter, longer) = (word.len().min(letters.len()), word.len().max(letters.len()));
        if distance > (longer / 4).max(1) || distance >= shorter.max(1) {
            continue;
        }
        match best {
            Some((least, _)) if distance > least => {}
            Some((least, other)) if distance == least => tied |= other.to_lowercase() != candidate.to_lowercase(),
            _ => (best, tied) = (Some((distance, candidate)), false),
        }
    }
    best.filter(|_| !tied).map(|(_, candidate)| candidate)
}

/// The names without plurals of others among them: a name and its plural are equally near to what is meant.
pub fn singular<'a>(names: &[&'a str]) -> impl Iterator<Item = &'a str> {
    let is_plural = |name: &str| {
        let of = |ending: &str| name.strip_suffix(ending).is_some_and(|one| names.contains(&one));
        of("s") || of("es")
    };
    names.iter().copied().filter(move |name| !is_plural(name))
}

/// Optimal string alignment distance: insertions, deletions, changes and swaps of neighbours cost one each.
fn distance(a: &[char], b: &[char]) -> usize {
    let mut rows = vec![vec![0usize; b.len() + 1]; a.len() + 1];
    for (i, row) in rows.iter_mut().enumerate() {
        row[0] = i;
    }
    rows[0] = (0..=b.len()).collect();
    for i in 1..=a.len() {
        for j in 1..=b.len() {
            let change = rows[i - 1][j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut best = change.min(rows[i - 1][j] + 1).min(rows[i][j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(rows[i - 2][j - 2] + 1);
            }
            rows[i][j] = best;
        }
    }
    rows[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn english() {
        assert_eq!(count(1, "note"), "1 note");
        assert_eq!(count(0, "finding"), "no findings");
        assert_eq!(or(&["D4", "E4", "F#4"]), "D4, E4, or F#4");
        assert_eq!(and(&["lead", "bass"]), "lead and bass");
    }

    #[test]
    fn nearest_forgives_a_swap_and_a_case() {
        assert_eq!(nearest("VERSE", ["verse", "chorus"]), Some("verse"));
        assert_eq!(nearest("cohrus", ["verse", "chorus"]), Some("chorus"));
        assert_eq!(nearest("", ["verse"]), None);
    }

    #[test]
    fn plurals_are_no_other_words() {
        let names = ["lead", "bass", "basses", "second", "seconds"];
        assert_eq!(singular(&names).collect::<Vec<_>>(), ["lead", "bass", "second"]);
        assert_eq!(nearest("second,", names), None);
        assert_eq!(nearest("second,", singular(&names)), Some("second"));
    }

    #[test]
    fn nearest_does_not_guess() {
        // Two as near, in either order; the same one twice is no second.
        assert_eq!(nearest("mp3", ["mp", "mf", "mp1"]), None);
        assert_eq!(nearest("verso", ["verse", "versa"]), None);
        assert_eq!(nearest("verso", ["versa", "verse"]), None);
        assert_eq!(nearest("verso", ["verse", "verse"]), Some("verse"));
        assert_eq!(nearest("verse", ["versa", "verse", "verso"]), Some("verse"));
        // Far for so short a word.
        assert_eq!(nearest("bongos", ["congas"]), None);
        assert_eq!(nearest("m", ["p"]), None);
        assert_eq!(nearest("dom", ["rim"]), None);
        assert_eq!(nearest("double-secnd", ["double-second", "double-tenor"]), Some("double-second"));
    }
}
