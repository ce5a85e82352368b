//! How long a tune may be, played out: a roll that goes on from section to section counts wherever it goes on.

use super::tests::said;

#[test]
fn a_roll_that_goes_on_through_the_form_counts() {
    // Twelve parts roll through 10,000 bars of 4 s: 40,000 s at 13 strokes a second each are 6.24 million strokes, more than the 5 million
    // of `MAX_STROKES`; bars and hours stay within theirs (100,000 and 12).
    let form = format!("tempo 60\nform a {}\n", "b x1000 ".repeat(10));
    let rows = |parts: usize| {
        let more: String = (0..parts).map(|n| format!("part l{n} on lead\n")).collect();
        let row = |bar: &str| (0..parts).map(|n| format!(" l{n} | {bar} |\n")).collect::<String>();
        format!("{more}{form}section a\n{}section b\n{}", row("C5 ~ ~ ~"), row("~ ~ ~ ~"))
    };
    let too_long = |parts: usize| said(&rows(parts)).into_iter().find(|told| told.starts_with("too-long"));
    let told = too_long(12).expect("twelve are too many");
    assert!(told.contains("more than 5000000 strokes"), "{told}");
    assert_eq!(too_long(9), None, "nine are not: 4.7 million");
}
