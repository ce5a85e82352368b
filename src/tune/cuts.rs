//! Which numbers of cells are asked about: those that the meter does not expect and that the row does not have throughout.
//!
//! Code that writes rows asks here too ([`say`]), so that what panfold writes raises no question.

use num_rational::Ratio;

use crate::music::{Length, Meter};
use crate::notation::tree::{Cell, Slot, Slots};

/// How finely the beats of a pickup may be cut before it looks like a whole bar squeezed in, where its row has no other cells
/// to compare with: into quarters (common practice, no source).
const FINEST: i64 = 4;

/// How much of a bar must be rests before what follows looks like a pickup: two thirds, which is all but the last beat of a
/// bar of 3/4 (our own setting).
const RESTS: (usize, usize) = (2, 3);

/// How a bar is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cut {
    /// How many cells it has. A bar of nothing but rests, or of one sound that goes on, is the same however it is cut: it counts as
    /// one cell.
    pub cells: usize,
    /// How many rests it begins with.
    pub rests: usize,
}

impl Cut {
    /// A bar's cut; `None` for a bar without cells.
    pub(crate) fn of_cells(cells: &[Cell]) -> Option<Cut> {
        Cut::of(cells.iter().map(|cell| match cell.slots {
            Slots::One(Slot::Rest) => '.',
            Slots::One(Slot::Hold) => '-',
            Slots::One(Slot::Roll) => '~',
            _ => ' ',
        }))
    }

    /// The cut of a bar as text, which begins with no `7:`.
    pub(crate) fn of_text(text: &str) -> Option<Cut> {
        Cut::of(text.split_whitespace().map(|word| match word {
            "." => '.',
            "-" => '-',
            "~" => '~',
            _ => ' ',
        }))
    }

    /// `' '`: a cell in which something begins.
    fn of(mut signs: impl Iterator<Item = char>) -> Option<Cut> {
        let first = signs.next()?;
        let (mut cells, mut rests) = (1, usize::from(first == '.'));
        let mut alike = first != ' ';
        for sign in signs {
            rests += usize::from(sign == '.' && rests == cells);
            alike &= sign == first;
            cells += 1;
        }
        Some(if alike { Cut { cells: 1, rests: rests.min(1) } } else { Cut { cells, rests } })
    }
}

/// A bar to ask about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Asked {
    /// Its number in the row, from 0.
    pub bar: usize,
    /// Its cells.
    pub cells: usize,
    /// What is odd about them.
    pub why: Why,
}

/// What is odd about a bar's cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Why {
    /// The meter does not expect this number.
    Odd(Usual),
    /// It is the pickup, and looks like a whole bar.
    Pickup {
        /// How many cells it takes.
        takes: usize,
        /// How many full bars have; `None` where the cells of full bars don't meet the pickup's beginning.
        full: Option<usize>,
    },
    /// It is the pickup, and that is shorter than an eighth note and half a beat.
    Short,
}

/// Which number of cells would be usual instead.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Usual {
    /// The bars before and after it have so many.
    Around(usize),
    /// The bar before it has, and it is the last one.
    Before(usize),
    /// The bar after it has, and it is the first one.
    After(usize),
    /// Most bars of the row have.
    Most(usize),
    /// A bar of the meter mostly has.
    Meter(usize),
}

impl Usual {
    /// The number.
    pub fn cells(self) -> usize {
        match self {
            Usual::Around(n) | Usual::Before(n) | Usual::After(n) | Usual::Most(n) | Usual::Meter(n) => n,
        }
    }
}

/// The bars of a row to ask about, in order. Cost: linear, plus the square of how many different numbers of cells there are.
///
/// - `bars`: how each is cut, a `%` like the bar that it repeats; `None` for a bar that could not be understood;
/// - `pickup`: the length of the first bar, if it is a pickup.
pub fn asked(bars: &[Option<Cut>], meter: Meter, pickup: Option<Length>) -> Vec<Asked> {
    let row = Row::new(bars, meter, pickup);
    row.asked(row.throughout())
}

/// The bars of a pattern to ask about. A pattern is short: that all its bars have an odd number of cells says little.
pub(crate) fn asked_of_pattern(bars: &[Option<Cut>], meter: Meter) -> Vec<Asked> {
    Row::new(bars, meter, None).asked(None)
}

/// Puts `7:` before those bars of a row that would be asked about. The bars are text, none of them `%`.
pub fn say(bars: &mut [String], meter: Meter, pickup: Option<Length>) {
    let cuts: Vec<Option<Cut>> = bars.iter().map(|bar| Cut::of_text(bar)).collect();
    for asked in asked(&cuts, meter, pickup) {
        bars[asked.bar].insert_str(0, &format!("{}: ", asked.cells));
    }
}

/// Puts `2:` before the only bar of a section that opens a tune without a pickup, so that it is not taken for one.
pub fn say_whole(bar: &mut String, meter: Meter) {
    let Some(cut) = Cut::of_text(bar).filter(|_| !bar.contains(':')) else { return };
    // How many cells the row's bars have later is not asked: with so many a bar of few cells looks like a pickup.
    let many = cut.cells * usize::from(meter.count()) * 2;
    let looks = [many, cut.cells * 2].into_iter().any(|most| like_pickup(cut, most, meter).is_some());
    if cut.cells > cut.rests && looks {
        bar.insert_str(0, &format!("{}: ", bar.split_whitespace().count()));
    }
}

/// The pickup that the only bar of an opening looks like; `most`: how many cells most bars of the row have later.
///
/// A bar looks like one if it has fewer cells than beats and at most half of the usual number, or if it has rests nearly to its end.
pub(crate) fn like_pickup(bar: Cut, most: usize, meter: Meter) -> Option<Length> {
    let rests = bar.cells > RESTS.0 && bar.rests < bar.cells && bar.rests * RESTS.1 >= bar.cells * RESTS.0;
    let few = bar.cells * 2 <= most && bar.cells < usize::from(meter.beats());
    let length = match (rests, few) {
        (true, _) => meter.bar().fraction(bar.cells - bar.rests, bar.cells),
        (false, true) => meter.bar().fraction(bar.cells, most),
        (false, false) => return None,
    };
    let taken = Cut { cells: if rests { bar.cells - bar.rests } else { bar.cells }, rests: 0 };
    let is_taken = asked(&[Some(taken)], meter, Some(length)).is_empty() && length >= shortest(meter);
    is_taken.then_some(length)
}

/// The shortest pickup that is not asked about: an eighth note or half a beat, whichever is shorter.
fn shortest(meter: Meter) -> Length {
    Length::quarters(1, 2).min(meter.beat().fraction(1, 2))
}

/// A row's bars.
struct Row<'a> {
    bars: &'a [Option<Cut>],
    meter: Meter,
    pickup: Option<Length>,
    /// The number of cells that most full bars have, of those numbers that the meter expects and that are more than one.
    most: Option<usize>,
}

impl<'a> Row<'a> {
    fn new(bars: &'a [Option<Cut>], meter: Meter, pickup: Option<Length>) -> Self {
        let mut row = Row { bars, meter, pickup, most: None };
        let expected = row.full().filter(|cells| meter.expects(meter.bar(), *cells));
        row.most = most_common(expected);
        row
    }

    /// The numbers of cells of all full bars that have more than one.
    fn full(&self) -> impl Iterator<Item = usize> + '_ {
        let full = self.bars.iter().skip(usize::from(self.pickup.is_some()));
        full.flatten().map(|cut| cut.cells).filter(|cells| *cells > 1)
    }

    /// The number of cells that all bars have, of two at least.
    fn throughout(&self) -> Option<usize> {
        let first = self.full().next()?;
        (self.full().count() > 1 && self.full().all(|cells| cells == first)).then_some(first)
    }

    fn asked(&self, throughout: Option<usize>) -> Vec<Asked> {
        let ask = |(bar, cut): (usize, &Option<Cut>)| {
            if let (0, Some(cut), Some(pickup)) = (bar, cut, self.pickup)
                && self.is_short(*cut, pickup)
            {
                return Some(Asked { bar, cells: cut.cells, why: Why::Short });
            }
            let cut = cut.filter(|cut| cut.cells > 1)?;
            let why = match self.pickup.filter(|_| bar == 0) {
                Some(pickup) => self.of_pickup(cut, pickup),
                None => self.of_full(bar, cut.cells).filter(|_| throughout != Some(cut.cells)),
            };
            Some(Asked { bar, cells: cut.cells, why: why? })
        };
        self.bars.iter().enumerate().filter_map(ask).collect()
    }

    fn of_full(&self, bar: usize, cells: usize) -> Option<Why> {
        let length = self.meter.bar();
        (!self.meter.expects(length, cells)).then(|| Why::Odd(self.usual(bar).unwrap_or(self.nearest(length, cells))))
    }

    /// Whether a pickup is so short that beats were hardly counted, and its cells are not those of the row's other bars.
    fn is_short(&self, cut: Cut, pickup: Length) -> bool {
        let like_others = |most: usize| self.meter.bar().fraction(1, most) == pickup.fraction(1, cut.cells);
        cut.cells > cut.rests && pickup < shortest(self.meter) && !self.most.is_some_and(like_others)
    }

    fn of_pickup(&self, cut: Cut, pickup: Length) -> Option<Why> {
        if self.meter.expects(self.meter.bar(), cut.cells)
            && let Some((takes, full)) = self.pickup_takes(cut, pickup)
        {
            return Some(Why::Pickup { takes, full });
        }
        (!self.meter.expects(pickup, cut.cells)).then(|| Why::Odd(self.nearest(pickup, cut.cells)))
    }

    /// How many cells a pickup takes, if it is cut like a whole bar: it has as many cells as one, or rests up to where a pickup would
    /// begin in it.
    fn pickup_takes(&self, cut: Cut, pickup: Length) -> Option<(usize, Option<usize>)> {
        let share = pickup.per(self.meter.bar());
        let of = |cells: usize| share * Ratio::from_integer(cells as i64);
        let rests = of(cut.cells) + Ratio::from_integer(cut.rests as i64) >= Ratio::from_integer(cut.cells as i64);
        let Some(full) = self.most else {
            let part = pickup.per(self.meter.beat()) / Ratio::from_integer(cut.cells as i64);
            let takes = of(cut.cells);
            let squeezed = part < Ratio::new(1, FINEST) || rests;
            return (takes.is_integer() && squeezed)
                .then(|| (takes.to_integer().unsigned_abs() as usize, Some(cut.cells)));
        };
        // Where the cells of full bars don't meet its beginning, finer ones do.
        let finer = (1..=4).find(|finer| of(full * finer).is_integer())?;
        let takes = of(full * finer).to_integer().unsigned_abs() as usize;
        (cut.cells > takes && (cut.cells >= full || rests)).then_some((takes, Some(full).filter(|_| finer == 1)))
    }

    /// What the bars beside it have, if they agree, or most of the row.
    fn usual(&self, bar: usize) -> Option<Usual> {
        let beside = |bar: usize| {
            let cells = self.bars.get(bar).copied().flatten()?.cells;
            let full = self.pickup.is_none() || bar > 0;
            (full && cells > 1 && self.meter.expects(self.meter.bar(), cells)).then_some(cells)
        };
        let (before, after) = (bar.checked_sub(1).and_then(beside), beside(bar + 1));
        match (before, after) {
            (Some(before), Some(after)) if before == after => Some(Usual::Around(before)),
            (Some(before), None) if bar + 1 == self.bars.len() => Some(Usual::Before(before)),
            (None, Some(after)) if bar == 0 => Some(Usual::After(after)),
            _ => self.most.map(Usual::Most),
        }
    }

    /// The nearest number of whole beats, halves, quarters and so on; of two equally near the larger.
    fn nearest(&self, length: Length, cells: usize) -> Usual {
        let beats = length.per(self.meter.beat());
        let first = if self.meter.is_compound() { beats * 3 } else { beats };
        let doubled = (0..10).map(|times| first * (1 << times));
        let whole = std::iter::once(beats).chain(doubled).filter(|parts| parts.is_integer());
        let near = whole.map(|parts| parts.to_integer().unsigned_abs() as usize).max_by_key(|parts| {
            let off = parts.abs_diff(cells);
            (std::cmp::Reverse(off), *parts)
        });
        Usual::Meter(near.unwrap_or(1))
    }
}

/// The number that comes most often; of two equally common the one that comes first.
pub(crate) fn most_common(numbers: impl Iterator<Item = usize>) -> Option<usize> {
    let mut votes: Vec<(usize, usize)> = Vec::new();
    for number in numbers {
        match votes.iter_mut().find(|(other, _)| *other == number) {
            Some((_, votes)) => *votes += 1,
            None => votes.push((number, 1)),
        }
    }
    // `max_by_key` takes the last of equals, so the first comes last.
    votes.into_iter().rev().max_by_key(|(_, votes)| *votes).map(|(number, _)| number)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn meter(count: u8, unit: u8) -> Meter {
        Meter::new(count, unit).expect("a meter")
    }

    /// Bars of so many cells, each a stroke.
    fn cuts(cells: &[usize]) -> Vec<Option<Cut>> {
        cells.iter().map(|cells| Some(Cut { cells: *cells, rests: 0 })).collect()
    }

    fn odd(cells: &[usize], meter: Meter) -> Vec<(usize, Usual)> {
        let odd = |asked: &Asked| match asked.why {
            Why::Odd(usual) => (asked.bar, usual),
            Why::Pickup { .. } | Why::Short => panic!("no pickup"),
        };
        asked(&cuts(cells), meter, None).iter().map(odd).collect()
    }

    #[test]
    fn a_number_is_asked_about_that_neither_meter_nor_row_has() {
        let (four, three, six) = (meter(4, 4), meter(3, 4), meter(6, 8));
        assert_eq!(odd(&[8, 8, 7, 8], four), [(2, Usual::Around(8))]);
        assert_eq!(odd(&[9, 8, 8, 8], four), [(0, Usual::After(8))]);
        assert_eq!(odd(&[8, 16, 5], four), [(2, Usual::Before(16))]);
        assert_eq!(odd(&[8, 8, 3, 16], four), [(2, Usual::Most(8))]);
        assert_eq!(odd(&[1, 7, 1], four), [(1, Usual::Meter(8))]);
        assert_eq!(odd(&[5], four), [(0, Usual::Meter(4))]);
        assert_eq!(odd(&[6, 4, 6], three), [(1, Usual::Around(6))]);
        assert_eq!(odd(&[6, 5, 6, 4], six), [(1, Usual::Around(6)), (3, Usual::Before(6))]);
        // Triplets, halves, rests and what the row does throughout are as they should be.
        assert_eq!(odd(&[8, 12, 6, 4, 2, 1, 16, 32], four), []);
        assert_eq!(odd(&[7, 1, 7, 7], four), []);
        assert_eq!(odd(&[6, 3, 9, 12], three), []);
    }

    #[test]
    fn a_pickup_that_is_cut_like_a_bar_is_asked_about() {
        let four = meter(4, 4);
        let asked_of = |first: &str, rest: &[usize], beats: (i64, i64)| {
            let mut bars = vec![Cut::of_text(first)];
            bars.extend(cuts(rest));
            let asked = asked(&bars, four, Some(Length::quarters(beats.0, beats.1)));
            asked.first().map(|asked| asked.why)
        };
        let takes = |takes, full| Some(Why::Pickup { takes, full });
        assert_eq!(asked_of("C5 D5 C5 D5 C5 D5 C5 D5", &[8, 8, 8], (1, 1)), takes(2, Some(8)));
        assert_eq!(asked_of(". . . D5", &[8, 8], (1, 1)), takes(2, Some(8)));
        assert_eq!(asked_of(". . . . . . . D5", &[1, 1], (1, 2)), takes(1, Some(8)));
        assert_eq!(asked_of("C5 D5 E5 F5", &[4, 4], (3, 2)), takes(3, None));
        // A pair, a triplet, four sixteenths of a pickup; rests.
        for good in ["D5 E5", "D5 E5 F5", "D5 E5 F5 G5", "D5", ". . . .", "- - -"] {
            assert_eq!(asked_of(good, &[8, 8], (1, 1)), None, "{good}");
        }
        assert_eq!(asked_of("D5 E5", &[4, 4], (1, 1)), None);
        assert_eq!(asked_of("D5 E5 F5 D5 E5", &[8, 8], (1, 1)), Some(Why::Odd(Usual::Meter(4))));
    }

    #[test]
    fn what_would_be_asked_about_says_that_it_is_meant() {
        let mut bars = ["C5 D5 E5", "C5 D5", "% % %", "G4 A4 B4 C5"].map(str::to_owned);
        say(&mut bars, meter(3, 4), None);
        assert_eq!(bars, ["C5 D5 E5", "2: C5 D5", "% % %", "4: G4 A4 B4 C5"]);
    }

    #[test]
    fn a_whole_bar_that_looks_like_a_pickup_says_so() {
        for (bar, said) in
            [("C5 E5", "2: C5 E5"), (". .", ". ."), ("3: C5 D5 E5", "3: C5 D5 E5"), ("C5 . E5 D5", "C5 . E5 D5")]
        {
            let mut bar = bar.to_owned();
            say_whole(&mut bar, meter(4, 4));
            assert_eq!(bar, said);
        }
    }

    #[test]
    fn a_bar_of_few_cells_or_mostly_rests_is_like_a_pickup() {
        let like = |bar: &str, most: usize, (count, unit): (u8, u8)| {
            let meter = meter(count, unit);
            like_pickup(Cut::of_text(bar)?, most, meter).map(|length| length.per(meter.beat()).to_string())
        };
        assert_eq!(like("C5 E5", 8, (4, 4)).as_deref(), Some("1"));
        assert_eq!(like("C5 E5", 6, (3, 4)).as_deref(), Some("1"));
        assert_eq!(like("C5", 6, (6, 8)).as_deref(), Some("1/3"));
        assert_eq!(like(". . . . C5 E5", 6, (3, 4)).as_deref(), Some("1"));
        // Quarters, halves where the row has quarters or halves, and a sixteenth are whole bars.
        for (bar, most) in [("C5 D5 E5 F5", 8), ("C5 E5", 2), ("C5", 16), (". . C5 D5", 8)] {
            assert_eq!(like(bar, most, (4, 4)), None, "{bar}");
        }
    }

    #[test]
    fn a_bar_of_one_thing_is_one_cell() {
        let cut = |text: &str| Cut::of_text(text).map(|cut| (cut.cells, cut.rests));
        assert_eq!(cut(". . . . ."), Some((1, 1)));
        assert_eq!(cut("~ ~ ~"), Some((1, 0)));
        assert_eq!(cut(". . x ."), Some((4, 2)));
        assert_eq!(cut("x x x"), Some((3, 0)));
        assert_eq!(cut(""), None);
    }
}
