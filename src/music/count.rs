//! Counts from measured numbers.

/// A count of whole things from a number: decimals are dropped, and a negative number, or one that is no number, counts as 0.
#[expect(clippy::cast_sign_loss, reason = "a number below 0 becomes 0, which is what a count means")]
pub fn count(number: f64) -> usize {
    number as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_below_nothing() {
        assert_eq!([2.9, 0.0, -0.1, -7.0, f64::NAN].map(count), [2, 0, 0, 0, 0]);
        assert_eq!([1e300, f64::INFINITY].map(count), [usize::MAX; 2]);
    }
}
