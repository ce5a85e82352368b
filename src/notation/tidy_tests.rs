//! What makes a block of rows: a comment between them does not part them, an empty line does.

use super::tidy;
use crate::kit::read;

fn tidied(text: &str) -> String {
    tidy(&read(text).0)
}

#[test]
fn a_comment_between_rows_does_not_part_them() {
    let text = "section a\n lead | C5 D5 |\n# the answer\n second-tenor | E5 F#5 |\n";
    insta::assert_snapshot!(tidied(text), @r"
    section a
      lead         | C5 D5  |
    # the answer
      second-tenor | E5 F#5 |
    ");
}

#[test]
fn an_empty_line_parts_them() {
    let text = "section a\n lead | C5 D5 |\n\n second-tenor | E5 F#5 |\n";
    insta::assert_snapshot!(tidied(text), @r"
    section a
      lead | C5 D5 |

      second-tenor | E5 F#5 |
    ");
}
