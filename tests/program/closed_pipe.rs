//! A screen that has gone, as behind `| head`: nobody is left to tell, and the program ends as it would have.

use std::process::Stdio;

use super::{here, program};

#[test]
fn a_screen_that_has_gone_is_no_mistake() {
    for (arguments, code) in [
        (&["findings"][..], 0),
        (&["check", "many-mistakes.tune"], 1),
        (&["check", "long-line.tune", "--json"], 1),
        (&["--help"], 0),
    ] {
        // The reading end is closed before the program starts, so that its first word meets nobody.
        let (reader, writer) = std::io::pipe().expect("a pipe");
        drop(reader);
        let mut command = program(here("broken/tunes"));
        let output = command.args(arguments).stdout(writer).stderr(Stdio::piped()).output().expect("it runs");
        assert_eq!(String::from_utf8_lossy(&output.stderr), "", "panfold {arguments:?}");
        assert_eq!(output.status.code(), Some(code), "panfold {arguments:?}");
    }
}
