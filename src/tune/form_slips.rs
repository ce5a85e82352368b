//! Ways to write a form that are not accepted, and what each means: `verse 2x`, `2x verse`, `verse*2`, `verse, chorus`.

use crate::notation::limits::MAX_TIMES;
use crate::notation::tree::FormStep;

/// A line of a form as it was meant.
#[derive(Debug, PartialEq, Eq)]
pub struct Meant {
    /// Name and number of times of each step.
    pub steps: Vec<(String, u32)>,
    /// Which words of the line are not read as they are written, by their number.
    pub wrong: Vec<usize>,
    /// What the first of them is about.
    pub about: About,
}

/// What is wrong with a form.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum About {
    /// How often a section is played is written in another way.
    Times,
    /// Something is written between the names.
    Between,
}

/// A word of a line.
#[derive(Debug, PartialEq, Eq)]
enum Token {
    Name(String, u32),
    Times(u32),
    /// `x` alone: the number comes after it or before it.
    By,
    Between,
}

/// What was meant by a line of a form; `None` when it is right, or when it still names something that is no section.
///
/// - `known`: the names of the sections.
pub fn meant(line: &[FormStep], known: &[&str]) -> Option<Meant> {
    let mut tokens: Vec<(usize, Token)> = Vec::new();
    let mut wrong: Vec<(usize, About)> = Vec::new();
    for (number, step) in line.iter().enumerate() {
        let name = step.section.value.as_str();
        if known.contains(&name) {
            tokens.push((number, Token::Name(name.to_owned(), step.times)));
            continue;
        }
        let (read, about) = tokens_of(name, known)?;
        wrong.push((number, about));
        tokens.extend(read.into_iter().map(|token| (number, token)));
        // `x2` behind a word that is no name stays with the name before that word.
        if step.times > 1 {
            tokens.push((number, Token::Times(step.times)));
        }
    }
    let about = wrong.first()?.1;
    let steps = steps(tokens)?;
    Some(Meant { steps, wrong: wrong.into_iter().map(|(number, _)| number).collect(), about })
}

/// What a word that is no section's name is about, when it looks like a number of times or like a sign between names.
pub fn about(word: &str) -> Option<About> {
    tokens_of(word, &[]).map(|(_, about)| about)
}

/// The form, written correctly.
pub fn text(steps: &[(String, u32)]) -> String {
    let step = |(name, times): &(String, u32)| if *times == 1 { name.clone() } else { format!("{name} x{times}") };
    format!("form {}", steps.iter().map(step).collect::<Vec<_>>().join(" "))
}

/// Joins each number of times to a name: to the one before it, or to the one after it if the line begins with a number.
fn steps(tokens: Vec<(usize, Token)>) -> Option<Vec<(String, u32)>> {
    let in_front = matches!(tokens.first(), Some((_, Token::Times(_))));
    let mut steps: Vec<(String, u32)> = Vec::new();
    let mut waiting: Option<u32> = None;
    for (_, token) in tokens {
        match token {
            Token::Name(name, times) => {
                let front = waiting.take();
                if front.is_some() && times > 1 {
                    return None;
                }
                steps.push((name, front.unwrap_or(times)));
            }
            Token::Times(times) if in_front && waiting.is_none() => waiting = Some(times),
            Token::Times(times) => {
                let last = steps.last_mut().filter(|(_, before)| *before == 1 && !in_front)?;
                last.1 = times;
            }
            Token::By | Token::Between => {}
        }
    }
    waiting.is_none().then_some(steps)
}

/// What a word that is no section's name stands for.
fn tokens_of(word: &str, known: &[&str]) -> Option<(Vec<Token>, About)> {
    let plain = word.to_lowercase().replace(['×', '*'], "x");
    let bare = plain.trim_matches(['(', ')', '[', ']', ',', ';', '.', ':', '"', '“', '”']);
    if bare == "x" {
        return Some((vec![Token::By], About::Times));
    }
    if let Some(times) = times(bare) {
        return Some((vec![Token::Times(times)], About::Times));
    }
    if bare.is_empty() || ["-", "–", "—", "->", "→", ">", "+", "&", "/", "and", "then"].contains(&bare) {
        return Some((vec![Token::Between], About::Between));
    }
    glued(word, known)
        .map(|tokens| (tokens, About::Times))
        .or_else(|| joined(word, known).map(|all| (all, About::Between)))
}

/// `2`, `2x`, `x2`, `two`, `twice`.
fn times(word: &str) -> Option<u32> {
    let words = [("once", 1), ("twice", 2), ("two", 2), ("three", 3), ("thrice", 3), ("four", 4)];
    if let Some((_, times)) = words.into_iter().find(|(name, _)| *name == word) {
        return Some(times);
    }
    let digits = word.strip_prefix('x').or_else(|| word.strip_suffix('x')).unwrap_or(word);
    let is_number = !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
    is_number.then(|| digits.parse().ok()).flatten().filter(|times| (1..=MAX_TIMES).contains(times))
}

/// A section and how often without a space: `versex2`, `verse*2`, `verse(2)`, `2*verse`. `verse2` may be a name.
fn glued(word: &str, known: &[&str]) -> Option<Vec<Token>> {
    let signed = |rest: &str| rest.contains(|c: char| !c.is_ascii_digit());
    let number = |rest: &str| {
        let plain = rest.to_lowercase().replace(['×', '*'], "x");
        times(plain.trim_matches(['(', ')', ':', '[', ']'])).filter(|_| signed(rest))
    };
    known.iter().find_map(|name| {
        let times = word.strip_prefix(name).and_then(number).or_else(|| word.strip_suffix(name).and_then(number))?;
        Some(vec![Token::Name((*name).to_owned(), times)])
    })
}

/// Names with signs and no spaces between them: `verse,chorus`, `verse/chorus`, `verse->chorus`, `verse,`.
fn joined(word: &str, known: &[&str]) -> Option<Vec<Token>> {
    let names = word.split([',', ';', '/', '+', '>', '→', '&', '.', ':', '(', ')', '[', ']', '"', '“', '”']);
    let names = names.map(|name| name.trim_matches(['-', '–'])).filter(|name| !name.is_empty());
    let names: Vec<Token> =
        names.map(|name| known.contains(&name).then(|| Token::Name(name.to_owned(), 1))).collect::<Option<_>>()?;
    (!names.is_empty()).then_some(names)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::read;
    use crate::notation::tree::Statement;

    fn mended(form: &str) -> Option<String> {
        let (tree, _) = read(&format!("form {form}\n"));
        let Some(Statement::Form(line)) = &tree.lines[0].statement else { panic!("a form") };
        meant(&line.steps, &["verse", "chorus", "verse-2"]).map(|meant| text(&meant.steps))
    }

    #[test]
    fn numbers_of_times_are_understood() {
        for form in [
            "verse 2x chorus",
            "verse 2 chorus",
            "2x verse chorus",
            "2 verse chorus",
            "verse x 2 chorus",
            "2 x verse chorus",
            "verse*2 chorus",
            "verse * 2 chorus",
            "versex2 chorus",
            "verse×2 chorus",
            "verse × 2 chorus",
            "verse X2 chorus",
            "verse (x2) chorus",
            "verse(2) chorus",
            "2*verse chorus",
            "verse twice chorus",
            "verse 2x, chorus",
        ] {
            assert_eq!(mended(form).as_deref(), Some("form verse x2 chorus"), "{form}");
        }
        assert_eq!(mended("2x verse 3x chorus").as_deref(), Some("form verse x2 chorus x3"));
    }

    #[test]
    fn what_stands_between_names_is_passed_over() {
        for form in [
            "verse, chorus",
            "verse,chorus",
            "verse - chorus",
            "verse -> chorus",
            "verse->chorus",
            "verse + chorus",
            "verse/chorus",
            "verse and chorus",
            "verse; chorus",
        ] {
            assert_eq!(mended(form).as_deref(), Some("form verse chorus"), "{form}");
        }
    }

    #[test]
    fn what_is_right_or_unclear_is_left() {
        for form in
            ["verse x2 chorus", "verse-2 chorus", "verse2 chorus", "vers 2x", "verse D.C.", "verse 2x 3x", "verse x2 3"]
        {
            assert_eq!(mended(form), None, "{form}");
        }
    }
}
