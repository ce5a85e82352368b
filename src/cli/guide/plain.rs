//! Simple Markdown as a screen shows it: headings underlined, blocks of code indented, links as their words, and tables that are wider
//! than the screen row by row.

use super::super::screen::{in_lines, wrapped};

/// How far code is indented.
const INDENT: &str = "    ";

/// Markdown as plain text of at most `width` letters a line; code keeps its lines.
pub fn plain(markdown: &str, width: usize) -> String {
    let mut out = String::new();
    let mut paragraph = String::new();
    let mut is_code = false;
    let mut lines = markdown.lines().peekable();
    while let Some(line) = lines.next() {
        let is_fence = line.starts_with("```");
        let is_own_line = is_fence || is_code || line.is_empty() || line.starts_with(['#', '|']);
        if is_own_line || line.starts_with("- ") {
            end(&mut paragraph, width, &mut out);
        }
        if is_fence {
            is_code = !is_code;
        } else if is_code {
            out.push_str(format!("{INDENT}{line}").trim_end());
            out.push('\n');
        } else if let Some(heading) = line.strip_prefix("# ") {
            underlined(heading, '=', &mut out);
        } else if let Some(heading) = line.strip_prefix("## ") {
            underlined(heading, '-', &mut out);
        } else if line.starts_with('|') {
            let mut rows = vec![line];
            while let Some(row) = lines.next_if(|line| line.starts_with('|')) {
                rows.push(row);
            }
            table(&rows, width, &mut out);
        } else if is_own_line {
            out.push_str(line);
            out.push('\n');
        } else {
            paragraph.push_str(line.trim());
            paragraph.push(' ');
        }
    }
    end(&mut paragraph, width, &mut out);
    out
}

fn underlined(heading: &str, line: char, out: &mut String) {
    let under: String = heading.chars().map(|_| line).collect();
    out.push_str(&format!("{heading}\n{under}\n"));
}

/// A table as it is written; if it is too wide, each row as its first cell with the others beneath it.
fn table(rows: &[&str], width: usize, out: &mut String) {
    if rows.iter().all(|row| row.chars().count() <= width) {
        rows.iter().for_each(|row| out.push_str(&format!("{row}\n")));
        return;
    }
    let head = cells(rows[0]);
    for row in rows.iter().skip(2) {
        let cells = cells(row);
        out.push_str(&format!("{}\n", cells[0]));
        for (number, cell) in cells.iter().enumerate().skip(1).filter(|(_, cell)| !cell.is_empty()) {
            // Of a table of two columns the second needs no name.
            let cell = if cells.len() > 2 { format!("{}: {cell}", head[number]) } else { (*cell).to_owned() };
            out.push_str(&format!("{}\n", in_lines(&cell, INDENT.len(), width)));
        }
    }
}

fn cells(row: &str) -> Vec<&str> {
    row.trim_matches('|').split('|').map(str::trim).collect()
}

/// Writes what was gathered of a paragraph or of an item of a list.
fn end(paragraph: &mut String, width: usize, out: &mut String) {
    let text = words_of_links(&std::mem::take(paragraph)).replace("**", "");
    let text = text.trim_end();
    if text.is_empty() {
        return;
    }
    out.push_str(&match text.strip_prefix("- ") {
        Some(item) => wrapped(item, 2, 2, width).replacen("  ", "- ", 1),
        None => wrapped(text, 0, 0, width),
    });
    out.push('\n');
}

/// A text with the words of its links instead of the links. A link never spans two lines.
fn words_of_links(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, words, after)) = link(rest) {
        out.push_str(before);
        out.push_str(words);
        rest = after;
    }
    out + rest
}

/// The text before the first link, the link's words, and the text after it.
fn link(text: &str) -> Option<(&str, &str, &str)> {
    let middle = text.find("](")?;
    let start = text[..middle].rfind('[')?;
    let end = middle + text[middle..].find(')')?;
    Some((&text[..start], &text[start + 1..middle], &text[end + 1..]))
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn a_topic_reads_as_plain_text() {
        let markdown = "# Who?\n\nA **player** who\nreads [the guide](guide.md), and\n[more](m.md).\n\n## When?\n\n- on Monday,\n  \
                        or later\n- never\n\n```console\n$ panfold\n\n  x | y\n```\n\n| a   | b |\n| --- | - |\n";
        let shown = "Who?\n====\n\nA player who reads\nthe guide, and more.\n\nWhen?\n-----\n\n- on Monday, or\n  later\n- never\n\n    \
                     $ panfold\n\n      x | y\n\n| a   | b |\n| --- | - |\n";
        assert_eq!(plain(markdown, 20), shown);
    }

    #[test]
    fn a_table_that_is_too_wide_is_shown_row_by_row() {
        let two = "| cell | meaning |\n| ---- | ------- |\n| `x`  | a loud stroke |\n| `o`  | an open one   |\n";
        assert_eq!(plain(two, 80), two);
        assert_eq!(plain(two, 14), "`x`\n    a loud\n    stroke\n`o`\n    an open\n    one\n");
        let three = "| a | b | c |\n| - | - | - |\n| 1 | 2 | 3 |\n\nEnd\n";
        assert_eq!(plain(three, 8), "1\n    b: 2\n    c: 3\n\nEnd\n");
    }

    #[test]
    fn what_is_to_be_typed_stands_in_one_line() {
        assert_eq!(
            plain("Then type `panfold guide` here,\nor [`panfold\nfit`](fit.md).\n", 16),
            "Then type\n`panfold guide`\nhere, or\n`panfold fit`.\n"
        );
    }

    #[test]
    fn brackets_that_are_no_links_stay() {
        assert_eq!(plain("a [[pan]] and [fit](x.md) here\n", 80), "a [[pan]] and fit here\n");
        assert_eq!(plain("a table [levels] (below)\n", 80), "a table [levels] (below)\n");
    }
}
