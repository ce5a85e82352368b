//! The line `part NAME on KIND`, and what was meant when it is written otherwise.

use super::findings::INCOMPLETE;
use super::parse::{Parser, Rest, whom};
use super::tree::{PartLine, Statement};
use super::wrong_line::{bare_name, is_name};
use crate::text::{Finding, Span, Spanned};

/// Words that people write instead of `on`.
const FOR_ON: [&str; 8] = ["in", "for", "is", "plays", "as", "at", "->", "-"];

impl Parser<'_> {
    /// A line `part`; `rest` is what follows the word. A kind of several words is taken as it is, since this room does not
    /// know the kinds.
    pub(super) fn part(&mut self, word: Span, rest: Rest) -> Statement {
        let words = words(rest);
        let text = |word: &Span| self.source.slice(*word);
        let signs = rest.text().contains(['=', '|']);
        let on = words.iter().position(|word| text(word) == "on");
        match (on, words.len()) {
            (Some(1), 3..) if !signs => self.whole(word, rest, &words),
            (None, 2..) => self.without_on(word, rest, &words),
            _ => self.lost_part(word, rest, &words, on),
        }
    }

    /// `part NAME on KIND`, and whom it is for.
    fn whole(&mut self, word: Span, rest: Rest, words: &[Span]) -> Statement {
        let name = self.named("part", self.spanned(words[0]));
        let told = words.iter().skip(3).position(|word| self.source.slice(*word) == "for").map(|at| at + 3);
        let kind = self.kind(&words[2..told.unwrap_or(words.len())]);
        let Some(told) = told else { return Statement::Part(PartLine { name, kind, whom: Vec::new() }) };
        let after = Rest { span: Span::new(words[told].end as usize, rest.span.end as usize), ..rest };
        let whom: Vec<Spanned<String>> = whom(after).into_iter().map(|one| self.spanned(one)).collect();
        if whom.iter().all(|one| !one.value.is_empty()) {
            return Statement::Part(PartLine { name, kind, whom });
        }
        let finding = Finding::error(&INCOMPLETE, "a name is missing after `for`");
        let example = format!("for example `part {} on {} for Blue rim`", name.value, kind.value);
        self.tell(finding.help(example), word.to(rest.span));
        self.mended = true;
        Statement::Part(PartLine { name, kind, whom: Vec::new() })
    }

    fn kind(&self, words: &[Span]) -> Spanned<String> {
        self.spanned(words.iter().copied().reduce(Span::to).unwrap_or_default())
    }

    /// `part second double-second`, `part second: double-second`.
    fn without_on(&mut self, word: Span, rest: Rest, words: &[Span]) -> Statement {
        let skipped = usize::from(FOR_ON.contains(&self.source.slice(words[1])) && words.len() > 2);
        let kind = self.kind(&words[1 + skipped..]);
        let name = self.spanned(words[0]);
        let bare = bare_name(&name.value).unwrap_or(&name.value).to_owned();
        let finding = Finding::error(&INCOMPLETE, "a part is written `part NAME on KIND`");
        let kind_text = kind.value.split_whitespace().collect::<Vec<_>>().join("-");
        self.tell(finding.help(format!("did you mean `part {bare} on {kind_text}`?")), word.to(rest.span));
        self.mended = true;
        let told = self.findings.len();
        let name = self.named("part", name);
        self.findings.truncate(told);
        // The hyphen that is missing too stands in the help.
        Statement::Part(PartLine { name, kind: Spanned::new(kind_text, kind.span), whom: Vec::new() })
    }

    /// A line that lacks its name, or its kind, or whose name is several words.
    fn lost_part(&mut self, word: Span, rest: Rest, words: &[Span], on: Option<usize>) -> Statement {
        let finding = Finding::error(&INCOMPLETE, "a part is written `part NAME on KIND`");
        let name = words.first().map(|word| self.spanned(*word)).filter(|_| on != Some(0));
        let bare = name.as_ref().map(|name| bare_name(&name.value).unwrap_or(&name.value).to_owned());
        let after = |from: usize| -> String {
            let words: Vec<&str> = words.iter().skip(from).map(|word| self.source.slice(*word)).collect();
            words.join("-")
        };
        let help = match (&bare, on) {
            (None, Some(0)) if words.len() > 1 => {
                format!("give the part a name: `part lead on {}`", after(1))
            }
            (Some(_), Some(on @ 2..)) if words.len() > on + 1 => {
                let name: Vec<&str> = words[..on].iter().map(|word| self.source.slice(*word)).collect();
                let name = name.join("-");
                let name = if is_name(&name) { name } else { "lead".to_owned() };
                format!("a name is one word: `part {name} on {}`", after(on + 1))
            }
            (Some(name), _) if is_name(name) => format!("for example `part {name} on double-second`"),
            _ => "for example `part lead on double-second`".to_owned(),
        };
        self.tell(finding.help(help), word.to(rest.span));
        match (name, bare) {
            (Some(name), Some(bare)) => Statement::LostPart(Spanned::new(bare, name.span)),
            _ => Statement::Broken,
        }
    }
}

/// The words of a line; signs between them are skipped.
fn words(mut rest: Rest) -> Vec<Span> {
    let mut words = Vec::new();
    while !rest.text().is_empty() {
        let (word, after) = rest.word();
        rest = if word.is_empty() { after.without(&['=', '|']) } else { after };
        words.extend((!word.is_empty()).then_some(word));
    }
    words
}
