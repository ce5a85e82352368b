//! What a player has to know where a section begins: how often and when it is played, and its key, meter and tempo where they
//! are not those of the section before.

use std::collections::BTreeSet;
use std::fmt::Display;

use crate::text::words;
use crate::tune::Tune;
use crate::tune::model::Section;

/// In how many places a section that comes back is said to do so; beyond, the form is easier to read. Our own setting.
const MOST_PLACES: usize = 4;

/// The form of a tune with neighbours of one name put together.
pub struct Turns<'a> {
    tune: &'a Tune,
    turns: Vec<Turn>,
}

/// A section of the form, and how often it is played in a row there.
struct Turn {
    section: usize,
    times: usize,
}

/// The places where a section comes back that follow the same section and are played as often.
struct Places {
    /// The section before.
    before: usize,
    /// How often it is played.
    times: usize,
    /// After which of that section's turns, from 1.
    numbers: Vec<usize>,
}

impl<'a> Turns<'a> {
    /// The form of a tune.
    pub fn new(tune: &'a Tune) -> Turns<'a> {
        let mut turns: Vec<Turn> = Vec::new();
        for step in &tune.form {
            let times = step.times as usize;
            match turns.last_mut().filter(|turn| turn.section == step.section) {
                Some(turn) => turn.times += times,
                None => turns.push(Turn { section: step.section, times }),
            }
        }
        Turns { tune, turns }
    }

    /// The sections in the order in which they are first played.
    pub fn order(&self) -> Vec<usize> {
        let mut seen = vec![false; self.tune.sections.len()];
        let sections = self.turns.iter().map(|turn| turn.section);
        sections.filter(|section| !std::mem::replace(&mut seen[*section], true)).collect()
    }

    /// The numbers of the turns of a section.
    fn of(&self, section: usize) -> impl Iterator<Item = usize> + '_ {
        self.turns.iter().enumerate().filter(move |(_, turn)| turn.section == section).map(|(i, _)| i)
    }

    fn name(&self, section: usize) -> &str {
        &self.tune.sections[section].name
    }

    /// How often a section is played, and after what it comes back: `played twice`, `comes back after chorus`. Nothing for one
    /// that is played once.
    pub fn played(&self, section: usize) -> Vec<String> {
        let mut own = self.of(section);
        let first = own.next().map_or(1, |first| self.turns[first].times);
        let often = (first > 1).then(|| format!("played {}", times(first)));
        let back: Vec<usize> = own.collect();
        often.into_iter().chain((!back.is_empty()).then(|| self.comes_back(&back))).collect()
    }

    /// `comes back after chorus`; `back`: the turns in which it does.
    fn comes_back(&self, back: &[usize]) -> String {
        let mut all: Vec<Places> = Vec::new();
        for turn in back {
            let (before, times) = (self.turns[turn - 1].section, self.turns[*turn].times);
            let number = self.of(before).take_while(|before| before < turn).count();
            match all.iter_mut().find(|places| (places.before, places.times) == (before, times)) {
                Some(places) => places.numbers.push(number),
                None => all.push(Places { before, times, numbers: vec![number] }),
            }
        }
        let named: Vec<(usize, String)> = all.iter().map(|places| self.named(places)).collect();
        if named.iter().map(|(places, _)| places).sum::<usize>() > MOST_PLACES {
            return format!("comes back {}: see the form", times(back.len()));
        }
        let named: Vec<String> = named.into_iter().map(|(_, text)| text).collect();
        format!("comes back after {}", words::and(&named))
    }

    /// Places in words, and how many of them a reader has to count.
    fn named(&self, places: &Places) -> (usize, String) {
        let name = self.name(places.before);
        let (count, which) = match (places.numbers.len(), self.of(places.before).count()) {
            (_, 1) => (1, name.to_owned()),
            (count, all) if count == all => (1, format!("each {name}")),
            (count, _) => {
                let numbers: Vec<String> = places.numbers.iter().map(|number| ordinal(*number)).collect();
                (count, format!("the {} {name}", words::and(&numbers)))
            }
        };
        (count, if places.times > 1 { format!("{which} ({})", times(places.times)) } else { which })
    }

    /// The key, meter and tempo of a section, where a player has to be told.
    ///
    /// - `above`: the section that stands before it on the paper.
    ///
    /// What is not the tune's own is always told: `tempo 80`. What is the tune's own is told after a section where it was
    /// another, on the paper or in the form: `back to 4/4 and 104`; `then back to 104` where it is another only before the
    /// section comes back, and `back to 104 after bridge` where that is so at some times and not at others.
    pub fn facts(&self, section: usize, above: Option<usize>) -> Vec<String> {
        let before = self.of(section).map(|i| i.checked_sub(1).map(|i| self.turns[i].section)).collect();
        let at = Place { form: self, section, above, before };
        let facts = [
            at.fact("key ", |section| section.key, self.tune.key),
            at.fact("", |section| section.meter, self.tune.meter),
            at.fact("tempo ", |section| section.tempo, self.tune.tempo),
        ];
        let mut said = Vec::new();
        let mut back: Vec<(Back, Vec<String>)> = Vec::new();
        for fact in facts.into_iter().flatten() {
            match fact {
                Fact::Own(text) => said.push(text),
                Fact::Usual(when, text) => match back.iter_mut().find(|(other, _)| *other == when) {
                    Some((_, texts)) => texts.push(text),
                    None => back.push((when, vec![text])),
                },
            }
        }
        said.extend(back.iter().map(|(when, texts)| self.back(when, &words::and(texts))));
        said
    }

    /// `back to 104`, and when.
    fn back(&self, when: &Back, to: &str) -> String {
        match when {
            Back::Always => format!("back to {to}"),
            Back::Then => format!("then back to {to}"),
            Back::After(sections) => {
                let names: Vec<&str> = sections.iter().map(|section| self.name(*section)).collect();
                format!("back to {to} after {}", words::and(&names))
            }
        }
    }
}

/// A key, a meter or a tempo that a player has to be told.
enum Fact {
    /// The section's own.
    Own(String),
    /// The tune's, after another.
    Usual(Back, String),
}

/// When a section is back to what is usual in the tune.
#[derive(PartialEq, Eq)]
enum Back {
    /// Whenever it is played, or it stands right below another.
    Always,
    /// Whenever it comes back, but not at first.
    Then,
    /// After some of the sections before it.
    After(BTreeSet<usize>),
}

/// Where a section stands.
struct Place<'a> {
    form: &'a Turns<'a>,
    section: usize,
    above: Option<usize>,
    /// What is played before it, turn by turn; `None` where it opens the tune.
    before: Vec<Option<usize>>,
}

impl Place<'_> {
    /// One of the facts; `usual` is the tune's own.
    fn fact<T: PartialEq + Display>(&self, what: &str, of: impl Fn(&Section) -> T, usual: T) -> Option<Fact> {
        let of = |section: usize| of(&self.form.tune.sections[section]);
        let here = of(self.section);
        if here != usual {
            return Some(Fact::Own(format!("{what}{here}")));
        }
        let when = self.back(|before| before.is_some_and(|before| of(before) != usual))?;
        Some(Fact::Usual(when, usual.to_string()))
    }

    /// When the section is back from something else; `other`: whether a section has that.
    fn back(&self, other: impl Fn(Option<usize>) -> bool) -> Option<Back> {
        let changed: Vec<usize> = self.before.iter().copied().filter(|before| other(*before)).flatten().collect();
        let all = self.before.len();
        match changed.len() {
            _ if other(self.above) => Some(Back::Always),
            0 => None,
            count if count == all => Some(Back::Always),
            count if count + 1 == all && !other(self.before[0]) => Some(Back::Then),
            _ => Some(Back::After(changed.into_iter().collect())),
        }
    }
}

/// `once`, `twice`, `3 times`.
pub fn times(n: usize) -> String {
    match n {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        n => format!("{n} times"),
    }
}

/// `1st`, `2nd`, `3rd`, `4th`.
fn ordinal(n: usize) -> String {
    let ending = match (n % 100, n % 10) {
        (11..=13, _) => "th",
        (_, 1) => "st",
        (_, 2) => "nd",
        (_, 3) => "rd",
        _ => "th",
    };
    format!("{n}{ending}")
}

/// The form in words: `intro - verse twice - chorus`.
pub fn form(tune: &Tune) -> String {
    let step = |step: &crate::tune::model::FormStep| {
        let name = &tune.sections[step.section].name;
        if step.times == 1 { name.clone() } else { format!("{name} {}", times(step.times as usize)) }
    };
    tune.form.iter().map(step).collect::<Vec<_>>().join(" - ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::{self, ONE_LEAD};

    /// A tune in 4/4 at 104 in G with sections of these headers, in this form.
    fn tune(form: &str, sections: &str) -> Tune {
        let section = |text: &str| {
            let (name, facts) = text.split_once(' ').unwrap_or((text, ""));
            let facts = facts.replace(", ", "\n ");
            format!("section {name}\n {facts}\n lead | G4 |\n")
        };
        let sections: String = sections.split("; ").map(section).collect();
        kit::tune(ONE_LEAD, &format!("key G\ntempo 104\npart lead on lead\nform {form}\n{sections}"))
    }

    /// What is said about each section, in the order of the file.
    fn said(form: &str, sections: &str, say: impl Fn(&Turns, usize) -> Vec<String>) -> Vec<String> {
        let tune = tune(form, sections);
        let turns = Turns::new(&tune);
        (0..tune.sections.len()).map(|section| say(&turns, section).join(", ")).collect()
    }

    #[test]
    fn a_section_says_after_what_it_comes_back() {
        let played = |form: &str, sections: &str| said(form, sections, |turns, section| turns.played(section));
        assert_eq!(played("a b a", "a; b"), ["comes back after b", ""]);
        assert_eq!(
            played("intro verse x2 chorus verse tag", "intro; verse; chorus; tag"),
            ["", "played twice, comes back after chorus", "", ""]
        );
        assert_eq!(played("a a b a x2", "a; b"), ["played twice, comes back after b (twice)", ""]);
        assert_eq!(played("a b a b", "a; b"), ["comes back after the 1st b", "comes back after the 2nd a"]);
        assert_eq!(played("a b a b a", "a; b"), ["comes back after each b", "comes back after the 2nd a"]);
        assert_eq!(played("a b a c a", "a; b; c"), ["comes back after b and c", "", ""]);
        let many = "a b a b a b a b a b a b";
        assert_eq!(played(many, "a; b"), ["comes back 5 times: see the form", "comes back 5 times: see the form"]);
    }

    #[test]
    fn a_section_after_another_tempo_meter_or_key_says_that_it_is_back() {
        let facts = |form: &str, sections: &str| {
            said(form, sections, |turns, section| turns.facts(section, section.checked_sub(1)))
        };
        assert_eq!(facts("a b c", "a; b tempo 80; c"), ["", "tempo 80", "back to 104"]);
        assert_eq!(
            facts("a b c", "a; b key D, meter 3/4, tempo 80; c"),
            ["", "key D, 3/4, tempo 80", "back to G, 4/4, and 104"]
        );
        assert_eq!(facts("a b a", "a; b tempo 80"), ["then back to 104", "tempo 80"]);
        assert_eq!(
            facts("a b c a c", "a; b tempo 80; c meter 3/4"),
            ["then back to 4/4", "tempo 80", "3/4, back to 104"]
        );
        assert_eq!(facts("a c b c", "a; c; b meter 3/4"), ["", "then back to 4/4", "3/4"]);
        assert_eq!(facts("a b a c a", "a; b tempo 80; c"), ["back to 104 after b", "tempo 80", "back to 104"]);
        assert_eq!(facts("b c", "b tempo 80; c tempo 80"), ["tempo 80", "tempo 80"]);
        assert_eq!(facts("a b", "a; b"), ["", ""]);
    }

    #[test]
    fn numbers_are_said() {
        let said = [1, 2, 3, 4, 11, 12, 13, 21, 22, 101, 111].map(ordinal);
        assert_eq!(said, ["1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "22nd", "101st", "111th"]);
    }
}
