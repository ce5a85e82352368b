//! Shares in hundredths for the eye: 100 only for all of it, 0 only for nothing.

use super::share::percent;

#[test]
fn a_share_is_rounded_but_never_to_all_or_nothing() {
    let table = [
        (0, 1000, 0),
        (1, 1000, 1),
        (4, 1000, 1),
        (14, 1000, 1),
        (15, 1000, 2),
        (500, 1000, 50),
        (994, 1000, 99),
        (996, 1000, 99),
        (999, 1000, 99),
        (1000, 1000, 100),
        (0, 0, 100),
    ];
    for (part, whole, shown) in table {
        assert_eq!(percent(part, whole), shown, "{part} of {whole}");
    }
}
