//! A set of a tune's parts: what one player plays, which may be several (a drum set's kick, snare and hi-hat).

/// Some of a tune's parts, by their numbers; each once, in rising order.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Parts(Vec<usize>);

impl Parts {
    /// Whether a part is among them.
    pub fn has(&self, part: usize) -> bool {
        self.0.binary_search(&part).is_ok()
    }

    /// The numbers of the parts, rising.
    pub fn iter(&self) -> impl Iterator<Item = usize> + '_ {
        self.0.iter().copied()
    }
}

impl From<usize> for Parts {
    /// One part.
    fn from(part: usize) -> Parts {
        Parts(vec![part])
    }
}

impl FromIterator<usize> for Parts {
    fn from_iter<I: IntoIterator<Item = usize>>(parts: I) -> Parts {
        let mut parts: Vec<usize> = parts.into_iter().collect();
        parts.sort_unstable();
        parts.dedup();
        Parts(parts)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_set_has_each_part_once() {
        let kit: Parts = [7, 2, 7, 5].into_iter().collect();
        assert_eq!(kit.iter().collect::<Vec<_>>(), [2, 5, 7]);
        assert_eq!([2, 3, 7].map(|part| kit.has(part)), [true, false, true]);
        assert!(Parts::from(3).has(3) && !Parts::default().has(3));
    }
}
