//! Invisible signs that do something: they steer a terminal, or turn the direction of writing.

/// Whether a sign steers a terminal, ends a line, or turns the direction of writing (Unicode Standard Annex 9, section 2).
pub fn steers(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// A name or a title without such signs; white space stays white space.
pub fn plain(name: &str) -> String {
    let name: String = name.chars().map(|c| if c.is_whitespace() { ' ' } else { c }).filter(|c| !steers(*c)).collect();
    name.trim().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_seen_stays() {
        assert_eq!(plain(" Sea\tgrape \u{1b}[31mroad\u{202e} ü ש\u{200f} "), "Sea grape [31mroad ü ש");
    }
}
