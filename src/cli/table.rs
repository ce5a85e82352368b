//! Plain columns for a screen.

use unicode_width::UnicodeWidthStr;

/// Space between columns.
const GAP: usize = 2;

/// Rows of cells as lines: every column as wide as its widest cell, numbers aligned right, no space at the line's end.
///
/// - `rows`: the first is the heading; a row may be shorter than others.
/// - `right`: the numbers of the columns that are aligned to the right.
pub fn lines(rows: &[Vec<String>], right: &[usize]) -> String {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width =
        |column: usize| rows.iter().filter_map(|row| row.get(column)).map(|cell| cell.width()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let mut out = String::new();
    for row in rows {
        let mut line = String::new();
        for (column, cell) in row.iter().enumerate() {
            let pad = " ".repeat(widths[column] - cell.width());
            let cell = if right.contains(&column) { pad + cell } else { cell.clone() + &pad };
            line.push_str(&cell);
            line.push_str(&" ".repeat(GAP));
        }
        out.push_str(line.trim_end());
        out.push('\n');
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_as_wide_as_their_widest_cell() {
        let rows = [["part", "notes"], ["lead", "112"]].map(|row| row.map(String::from).to_vec());
        assert_eq!(lines(&rows, &[1]), "part  notes\nlead    112\n");
    }
}
