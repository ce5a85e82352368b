//! A part fitted for each of its pans separately: where only one pan lacks a note, only that pan's line moves, in rows of its
//! own (`lead for Green rim | … |`).

use super::edits::edits_of;
use super::plan::{Options, PartFit, fit};
use crate::notation::tree::{Line, Row, Statement, Tree};
use crate::pan::Cost;
use crate::text::{Edit, Span};
use crate::tune::Tune;
use crate::tune::model::{Open, Player};

/// A part that is fitted for each of its pans separately.
#[derive(Clone, Debug)]
pub struct Each {
    /// The part's number.
    pub part: usize,
    /// Groups of pans that play the same notes, the group with the part's own row first.
    pub groups: Vec<Group>,
}

/// Pans whose line moves alike.
#[derive(Clone, Debug)]
pub struct Group {
    /// Their numbers in the band.
    pub pans: Vec<usize>,
    /// How it moves.
    pub fit: PartFit,
}

impl Group {
    /// How many notes move.
    pub fn moved(&self) -> usize {
        self.fit.moves().values().sum()
    }
}

/// A part fitted for each pan that plays it; `None` when fewer than two do.
///
/// The part's own row is what most pans play; of equally many, what costs least.
pub fn each(tune: &Tune<Open>, part: usize, options: &Options) -> Option<Each> {
    let Player::Pans { kind, pans } = &tune.parts[part].player else { return None };
    if pans.len() < 2 {
        return None;
    }
    let mut groups: Vec<Group> = Vec::new();
    for pan in pans {
        let mut alone = tune.clone();
        alone.parts[part].player = Player::Pans { kind: *kind, pans: vec![*pan] };
        let fit = fit(&alone, &Options { part: Some(part), ..*options }).pop()?;
        match groups.iter_mut().find(|group| group.fit.moved == fit.moved) {
            Some(group) => group.pans.push(*pan),
            None => groups.push(Group { pans: vec![*pan], fit }),
        }
    }
    let rank = |group: &Group| (std::cmp::Reverse(group.pans.len()), group.fit.terms.total() as Cost, group.pans[0]);
    groups.sort_by_key(rank);
    Some(Each { part, groups })
}

/// The edits that write it into the tune: the part's own row for the first group, and for all other pans a row each in the
/// sections where they differ.
pub fn edits(tree: &Tree, tune: &Tune<Open>, each: &Each) -> Vec<Edit> {
    let of_group = |group: &Group| edits_of(tune, std::slice::from_ref(&group.fit), 0);
    let Some((first, others)) = each.groups.split_first() else { return Vec::new() };
    let own = of_group(first);
    let name = &tune.parts[each.part].name;
    let mut all = own.clone();
    for rows in rows_by_section(tree, name) {
        let Some(last) = rows.last() else { continue };
        let mut below = String::new();
        for group in others {
            let edits = of_group(group);
            let differs = rows.iter().any(|(line, _)| changed(tree, line, &edits) != changed(tree, line, &own));
            for pan in group.pans.iter().filter(|_| differs) {
                let pan = &tune.band.pans[*pan].pan.name;
                let rows = rows.iter().map(|(line, row)| for_pan(&changed(tree, line, &edits), line, row, pan));
                rows.for_each(|row| below.push_str(&format!("\n{row}")));
            }
        }
        if !below.is_empty() {
            all.push(Edit::new(Span { start: last.0.span.end, end: last.0.span.end }, below));
        }
    }
    all
}

/// The lines of everybody's row of a part, section by section.
fn rows_by_section<'a>(tree: &'a Tree, name: &str) -> Vec<Vec<(&'a Line, &'a Row)>> {
    let mut sections = Vec::new();
    for line in &tree.lines {
        match &line.statement {
            Some(Statement::Section(_)) => sections.push(Vec::new()),
            Some(Statement::Row(row)) if row.pan.is_none() && row.name.value == name => {
                if let Some(section) = sections.last_mut() {
                    section.push((line, row));
                }
            }
            _ => {}
        }
    }
    sections
}

/// What a line says with some edits made, without its comment.
fn changed(tree: &Tree, line: &Line, edits: &[Edit]) -> String {
    let end = line.comment.map_or(line.span.end, |comment| comment.start);
    let mut text = tree.source.slice(Span { end, ..line.span }).to_owned();
    let mut here: Vec<&Edit> =
        edits.iter().filter(|edit| line.span.start <= edit.span.start && edit.span.end <= end).collect();
    here.sort_by_key(|edit| std::cmp::Reverse(edit.span.start));
    for edit in here {
        let at = |place: u32| (place - line.span.start) as usize;
        text.replace_range(at(edit.span.start)..at(edit.span.end), &edit.text);
    }
    text.trim_end().to_owned()
}

/// A row's line as one for a single pan. No edit comes before the bars, so the name is still where it was.
fn for_pan(text: &str, line: &Line, row: &Row, pan: &str) -> String {
    let end = (row.name.span.end - line.span.start) as usize;
    format!("{} for {pan} {}", &text[..end], text[end..].trim_start())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit;
    use crate::text::edit;

    const BAND: &str = "name = \"B\"\n[[pan]]\nname = \"Red rim\"\nlayout = \"lead-c\"\n[[pan]]\nname = \"Green rim\"\n\
                        layout = \"lead-c\"\nwithout = [\"E6\"]\n[[pan]]\nname = \"Blue rim\"\nlayout = \"lead-c\"\n";

    fn read(text: &str) -> (Tree, Tune<Open>) {
        (kit::read(text).0, kit::open(BAND, text))
    }

    const TUNE: &str = "part lead on lead\nform a b\nsection a\n  lead | C6 E6 C6 . |  # high\n  lead | E6 - - . |\n\
                        section b\n  lead | C5 D5 E5 . |\n";

    #[test]
    fn only_the_pan_that_lacks_a_note_moves() {
        let (tree, tune) = read(TUNE);
        let together = fit(&tune, &Options::default());
        assert!(together[0].moves().values().sum::<usize>() > 0, "all move together");
        let each = each(&tune, 0, &Options::default()).expect("three pans");
        let groups: Vec<(Vec<usize>, bool)> =
            each.groups.iter().map(|group| (group.pans.clone(), group.moved() > 0)).collect();
        assert_eq!(groups, [(vec![0, 2], false), (vec![1], true)]);
        let text = edit::apply(&tune.source, &edits(&tree, &tune, &each));
        let expected = "part lead on lead\nform a b\nsection a\n  lead | C6 E6 C6 . |  # high\n  lead | E6 - - . |\n  \
                        lead for Green rim | C5 E5 C5 . |\n  lead for Green rim | E5 - - . |\nsection b\n  lead | C5 D5 E5 . |\n";
        assert_eq!(text, expected);
        // Read again: the pan plays its own rows, and every pan has every note of what it plays.
        let (_, again) = read(&text);
        assert_eq!(
            again.parts.iter().map(|part| part.name.as_str()).collect::<Vec<_>>(),
            ["lead", "lead for Green rim"]
        );
        let left = fit(&again, &Options::default());
        assert!(left.iter().all(|part| part.moves().is_empty()), "{left:?}");
    }

    /// For every pan, the notes that its row gives are those of a fit for a band that has this pan alone.
    #[test]
    fn each_pan_plays_what_it_would_play_alone() {
        let (_, tune) = read(TUNE);
        let each = each(&tune, 0, &Options::default()).expect("three pans");
        for group in &each.groups {
            for pan in &group.pans {
                let mut alone = tune.clone();
                alone.parts[0].player = Player::Pans { kind: crate::pan::PanKind::Lead, pans: vec![*pan] };
                assert_eq!(fit(&alone, &Options::default())[0].moved, group.fit.moved);
            }
        }
    }
}
