//! Other hands: which other pan of the band could take a part that its own pan can't play, all of it or from a bar on, and
//! which parts could swap pans.

use super::octaves::{Terms, Written, fit};
use super::plan::{Options, PartFit, shifted};
use crate::pan::NoteSet;
use crate::tune::Tune;
use crate::tune::model::Player;

/// Another pan that could help a part out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hand {
    /// The number of the band's pan.
    pub pan: usize,
    /// From where it takes the part, which its own pan plays until then: the section and the bar in it from 0, in the order in
    /// which sections are first played; `None`: the whole part.
    pub from: Option<(usize, u32)>,
    /// What it costs.
    pub terms: Terms,
    /// How many written notes move.
    pub moved: usize,
}

/// Two parts that could swap pans, so that both fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Swap {
    /// The two parts.
    pub parts: (usize, usize),
    /// What both cost then.
    pub terms: Terms,
}

/// The pans of the band that could take a part, the cheapest first: those that can play all of it, and those that can play
/// the rest from a bar on, if the part's own pan can play what comes before.
pub fn hands<N>(tune: &Tune<N>, part: &PartFit, options: &Options) -> Vec<Hand> {
    let Player::Pans { pans: own, .. } = &tune.parts[part.part].player else { return Vec::new() };
    let strokes = shifted(&part.line, options.semitones);
    let mut hands = Vec::new();
    for (pan, of) in tune.band.pans.iter().enumerate().filter(|(pan, _)| !own.contains(pan)) {
        let set = of.pan.note_set();
        let whole = fit(&strokes, set, &options.costs);
        if whole.terms.missing == 0 {
            hands.push(Hand { pan, from: None, moved: moved(&whole.moved), terms: whole.terms });
        } else if let Some(hand) = from_a_bar(part, &strokes, pan, set, options) {
            hands.push(hand);
        }
    }
    hands.sort_by_key(|hand| (hand.from.is_some(), hand.terms.total(), hand.pan));
    hands
}

/// How many notes are moved.
fn moved(moved: &[super::octaves::Moved]) -> usize {
    moved.iter().flatten().map(|(top, low)| usize::from(*top != 0) + usize::from(*low != 0)).sum()
}

/// The latest bar from which on another pan can play the rest, so that the part's own pan plays as much as it can.
fn from_a_bar(part: &PartFit, strokes: &[Written], pan: usize, set: NoteSet, options: &Options) -> Option<Hand> {
    let first = part.moved.iter().position(Option::is_none)?;
    let place = part.line.strokes[first].place;
    // The whole bar goes over: nobody changes hands within one.
    let start = part.line.strokes.iter().position(|placed| placed.place == place)?;
    if start == 0 {
        return None;
    }
    let rest = fit(&strokes[start..], set, &options.costs);
    if rest.terms.missing > 0 {
        return None;
    }
    let own = |number: usize| part.line.strokes[number].set;
    let before = super::octaves::fit_each(&strokes[..start], own, &options.costs);
    let mut terms = before.terms;
    terms.add(rest.terms);
    Some(Hand { pan, from: Some(place), terms, moved: moved(&before.moved) + moved(&rest.moved) })
}

/// A part's strokes without regard to other parts: where both move, it is not known what they would cross.
fn by_itself(part: &PartFit, options: &Options) -> Vec<Written> {
    let strokes = shifted(&part.line, options.semitones);
    strokes.into_iter().map(|written| Written { under: None, over: None, ..written }).collect()
}

/// Pairs of parts that fit each other's pans, where at least one of them does not fit its own; the cheapest first.
pub fn swaps<N>(tune: &Tune<N>, parts: &[PartFit], options: &Options) -> Vec<Swap> {
    let set = |part: &PartFit| match &tune.parts[part.part].player {
        Player::Pans { pans, .. } => {
            pans.iter().map(|pan| tune.band.pans[*pan].pan.note_set()).reduce(NoteSet::and).unwrap_or_default()
        }
        Player::Percussion { .. } => NoteSet::EMPTY,
    };
    let mut swaps = Vec::new();
    for (i, a) in parts.iter().enumerate() {
        for b in &parts[i + 1..] {
            let helps = a.missing().next().is_some() || b.missing().next().is_some();
            if !helps || tune.parts[a.part].player == tune.parts[b.part].player {
                continue;
            }
            let there = fit(&by_itself(a, options), set(b), &options.costs);
            let back = fit(&by_itself(b, options), set(a), &options.costs);
            if there.terms.missing == 0 && back.terms.missing == 0 {
                let mut terms = there.terms;
                terms.add(back.terms);
                swaps.push(Swap { parts: (a.part, b.part), terms });
            }
        }
    }
    swaps.sort_by_key(|swap| (swap.terms.total(), swap.parts));
    swaps
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::open;

    const BAND: &str = r#"
        name = "B"
        [[pan]]
        name = "Small"
        kind = "lead"
        drums = [{ outer = "C5 D5 E5 G5" }]
        plays = ["lead"]
        [[pan]]
        name = "Other"
        kind = "double-second"
        drums = [{ outer = "C4 D4 E4 F4 G4 A4 C5" }]
        plays = ["second"]
        "#;
    const HEAD: &str = "part lead on lead\npart second on double-second\nsection a\n";

    #[test]
    fn another_pan_takes_all_or_the_rest() {
        let tune = open(BAND, &format!("{HEAD} lead | C5 D5 | F5 G5 |\n second | B4 | G4 |\n"));
        let options = Options::default();
        let parts = super::super::plan::fit(&tune, &options);
        let hands = hands(&tune, &parts[0], &options);
        assert_eq!(hands.len(), 1);
        assert_eq!((hands[0].pan, hands[0].from), (1, None));
        // F and G an octave down; D too, since the line would be torn.
        assert!(hands[0].moved >= 2, "{hands:?}");
        assert!(swaps(&tune, &parts, &options).is_empty(), "nobody has B");
    }

    #[test]
    fn the_rest_goes_over_by_whole_bars() {
        let tune = open(BAND, &format!("{HEAD} lead | C5 E5 | G5 F5 |\n second | C5 | E4 |\n"));
        let options = Options::default();
        let mut parts = super::super::plan::fit(&tune, &options);
        let both = swaps(&tune, &parts, &options);
        assert_eq!(both.iter().map(|swap| swap.parts).collect::<Vec<_>>(), [(0, 1)]);
        // A pan that lacks E could not take the first bar.
        parts[0].line.strokes[1].written.top = "Eb5".parse().expect("a note");
        parts[0].line.strokes[1].set.insert("Eb5".parse().expect("a note"));
        let hands = hands(&tune, &parts[0], &options);
        assert_eq!(hands.iter().map(|hand| hand.from).collect::<Vec<_>>(), [Some((0, 1))]);
    }
}
