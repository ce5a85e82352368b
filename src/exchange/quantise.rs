//! A grid that the times of a file are moved onto, and which ticks of a MIDI file are those of written music.

use num_rational::Ratio;

use crate::music::Length;

/// A grid: for each of its numbers, the places of a whole note that is cut into that many equal pieces. `16` is sixteenths, `12` is
/// triplets of eighths.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Grid {
    pieces: Vec<i64>,
}

/// The finest grid: 192 pieces are 32nd triplets and quarter them again.
const FINEST: i64 = 192;

/// The grid that a played file is moved onto when none is asked for: sixteenths and triplets of eighths.
pub(crate) const USUAL: [i64; 2] = [16, 12];

impl Default for Grid {
    fn default() -> Self {
        Grid { pieces: USUAL.to_vec() }
    }
}

impl std::str::FromStr for Grid {
    type Err = String;

    /// Reads `16`, `12`, `16,12`.
    fn from_str(text: &str) -> Result<Grid, String> {
        let number = |part: &str| part.trim().parse::<i64>().ok().filter(|number| (1..=FINEST).contains(number));
        let pieces: Option<Vec<i64>> = text.split(',').map(number).collect();
        pieces.map(|pieces| Grid { pieces }).ok_or_else(|| {
            format!("write pieces of a whole note from 1 to {FINEST}: 16 for sixteenths, 12 for eighth triplets, 16,12 for both")
        })
    }
}

impl Grid {
    /// The place of the grid nearest to a time; of two equally near, the one of the coarser grid.
    pub fn nearest(&self, at: Length) -> Length {
        let places = self.pieces.iter().map(|pieces| {
            let place = (at.ratio() * Ratio::new(*pieces, 4)).round() * Ratio::new(4, *pieces);
            Length::quarters(*place.numer(), *place.denom())
        });
        let off = |place: &Length| if *place > at { *place - at } else { at - *place };
        places.min_by_key(|place| (off(place), *place.ratio().denom())).unwrap_or(at)
    }

    /// The last place of the grid before a time.
    pub(crate) fn before(&self, at: Length) -> Length {
        let place = |pieces: &i64| {
            let count = (at.ratio() * Ratio::new(*pieces, 4)).ceil() - 1;
            let place = count * Ratio::new(4, *pieces);
            Length::quarters(*place.numer(), *place.denom())
        };
        self.pieces.iter().map(place).max().unwrap_or(at)
    }

    /// The first place of the grid after a time.
    pub(crate) fn after(&self, at: Length) -> Length {
        let place = |pieces: &i64| {
            let count = (at.ratio() * Ratio::new(*pieces, 4)).floor() + 1;
            let place = count * Ratio::new(4, *pieces);
            Length::quarters(*place.numer(), *place.denom())
        };
        self.pieces.iter().map(place).min().unwrap_or(at)
    }

    /// The shortest piece.
    pub fn piece(&self) -> Length {
        Length::quarters(4, self.pieces.iter().copied().max().unwrap_or(16))
    }
}

impl std::fmt::Display for Grid {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let pieces: Vec<String> = self.pieces.iter().map(ToString::to_string).collect();
        f.write_str(&pieces.join(","))
    }
}

/// The fractions of a quarter that written music is made of: 256ths, triplets of 128ths, quintuplets of 32nds, septuplets of
/// 16ths, triplets of triplets.
const WRITTEN: [i64; 6] = [12, 48, 64, 40, 28, 36];

/// The exact place that a tick stands for, if it is a place of written music, rounded to a tick: one that needs no rounding if there
/// is one, else the plainest.
pub fn written(tick: u64, ticks_a_quarter: u16) -> Option<Length> {
    let quarter = i64::from(ticks_a_quarter);
    let (whole, rest) = ((tick / u64::from(ticks_a_quarter)) as i64, (tick % u64::from(ticks_a_quarter)) as i64);
    let near = WRITTEN.into_iter().filter_map(|pieces| {
        // The piece whose exact place is within half a tick.
        let piece = (2 * rest * pieces + quarter) / (2 * quarter);
        let off = (piece * quarter - rest * pieces).abs();
        let exact = 2 * off <= pieces;
        // A grid as fine as the ticks themselves would take everything.
        let fine = quarter < 4 * pieces && off > 0;
        (exact && !fine).then(|| (off > 0, Ratio::new(piece, pieces)))
    });
    let (_, place) = near.min_by_key(|(is_off, place)| (*is_off, *place.denom()))?;
    Some(Length::quarters(whole, 1) + Length::quarters(*place.numer(), *place.denom()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn grids() {
        let grid: Grid = "16,12".parse().expect("a grid");
        for (ticks, above, below) in [(0, 0, 1), (118, 1, 4), (161, 1, 3), (239, 1, 2), (330, 2, 3), (470, 1, 1)] {
            assert_eq!(grid.nearest(Length::quarters(ticks, 480)), Length::quarters(above, below), "{ticks}");
        }
        assert!("0".parse::<Grid>().is_err() && "x".parse::<Grid>().is_err() && "16,".parse::<Grid>().is_err());
    }

    #[test]
    fn places_before_and_after() {
        let grid: Grid = "16,12".parse().expect("a grid");
        let quarters = |(above, below): (i64, i64)| Length::quarters(above, below);
        for (at, before, after) in [((0, 1), (-1, 4), (1, 4)), ((1, 4), (0, 1), (1, 3)), ((3, 10), (1, 4), (1, 3))] {
            let at = quarters(at);
            assert_eq!((grid.before(at), grid.after(at)), (quarters(before), quarters(after)), "{at:?}");
        }
    }

    #[test]
    fn written_places_are_exact() {
        for (tick, quarter, above, below) in
            [(480, 480, 1, 1), (160, 480, 1, 3), (96, 480, 1, 5), (33, 100, 1, 3), (137, 960, 1, 7), (53, 480, 1, 9)]
        {
            assert_eq!(written(tick, quarter), Some(Length::quarters(above, below)), "{tick} of {quarter}");
        }
        // Played, not written.
        assert_eq!([9, 31, 101].map(|tick| written(tick, 480)), [None; 3]);
    }
}
