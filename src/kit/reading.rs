//! Bands and tunes from short texts. What can't be read ends the test, with all that is said of it. The crate's own tests and
//! `tests/outside` both read by this file.

use std::fmt::Display;
use std::path::Path;
use std::sync::Arc;

use panfold::fit::settle::settle;
use panfold::notation::{parse, tree::Tree};
use panfold::pan::band::Band;
use panfold::pan::read_band;
use panfold::text::{Finding, Severity, Source};
use panfold::tune::{Open, Tune};
use panfold::{people, tune};

/// A band, or the text of its file.
pub trait IntoBand {
    fn into_band(self) -> Arc<Band>;
}

impl IntoBand for &Arc<Band> {
    fn into_band(self) -> Arc<Band> {
        Arc::clone(self)
    }
}

impl IntoBand for &str {
    #[track_caller]
    fn into_band(self) -> Arc<Band> {
        band(self)
    }
}

impl IntoBand for &String {
    #[track_caller]
    fn into_band(self) -> Arc<Band> {
        band(self)
    }
}

/// A tune's text, or a source where its name counts.
pub trait IntoText {
    fn into_text(self) -> Arc<Source>;
}

impl IntoText for &Arc<Source> {
    fn into_text(self) -> Arc<Source> {
        Arc::clone(self)
    }
}

impl IntoText for &str {
    fn into_text(self) -> Arc<Source> {
        Source::new("a.tune", self)
    }
}

impl IntoText for &String {
    fn into_text(self) -> Arc<Source> {
        self.as_str().into_text()
    }
}

/// The text of a band of one lead pan.
pub const ONE_LEAD: &str = "name = \"B\"\n[[pan]]\nname = \"Red rim\"\nlayout = \"lead-c\"\n";

/// The text of a band's pans, by name and layout. What concerns the whole band may stand before it, more tables after it.
pub fn pans<N: Display>(pans: &[(N, &str)]) -> String {
    let pan = |(name, layout): &(N, &str)| format!("[[pan]]\nname = \"{name}\"\nlayout = \"{layout}\"\n");
    format!("name = \"B\"\n{}", pans.iter().map(pan).collect::<String>())
}

/// The band of a text of which nothing is said.
#[track_caller]
pub fn band(text: &str) -> Arc<Band> {
    let (band, findings) = read_band(&Source::new("band.toml", text), &mut |name| panic!("the text names `{name}`"));
    quiet(text, &findings);
    Arc::new(band.expect("a band"))
}

/// The same for a band whose pans may lie in files, in a folder of the project.
#[track_caller]
pub fn band_in(folder: &str, text: &str) -> Arc<Band> {
    let (band, findings) = read_band(&Source::new("band.toml", text), &mut |name| Ok(file(folder, name)));
    quiet(text, &findings);
    Arc::new(band.expect("a band"))
}

/// A file of a folder of the project.
#[track_caller]
pub fn file(folder: &str, name: &str) -> Arc<Source> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder).join(name);
    match std::fs::read_to_string(&path) {
        Ok(text) => Source::new(name, text),
        Err(error) => panic!("{}: {error}", path.display()),
    }
}

/// What a tune's text says without a band, and all that is said of it.
pub fn read(text: impl IntoText) -> (Tree, Vec<Finding>) {
    parse(&text.into_text())
}

/// A tune before anybody has a seat, and all that is said of it.
#[track_caller]
pub fn told(band: impl IntoBand, text: impl IntoText) -> (Tune<Open>, Vec<Finding>) {
    let (tree, mut findings) = read(text);
    let (tune, more) = tune::resolve(&tree, &band.into_band());
    findings.extend(more);
    (tune, findings)
}

/// A tune with its seats, and all that is said of it.
#[track_caller]
pub fn seated(band: impl IntoBand, text: impl IntoText) -> (Tune<Open>, Vec<Finding>) {
    let (tree, mut findings) = read(text);
    let (tune, more) = people::resolve(&tree, &band.into_band());
    findings.extend(more);
    (tune, findings)
}

/// A tune with its seats and with what it leaves open, of which nothing is said.
#[track_caller]
pub fn open(band: impl IntoBand, text: impl IntoText) -> Tune<Open> {
    let (tune, findings) = seated(band, text);
    quiet(tune.source.text(), &findings);
    tune
}

/// A tune of which nothing is said.
#[track_caller]
pub fn tune(band: impl IntoBand, text: impl IntoText) -> Tune {
    settle(&open(band, text)).tune
}

/// A tune that has no errors, whatever else is said of it.
#[track_caller]
pub fn playable(band: impl IntoBand, text: impl IntoText) -> Tune {
    let (tune, mut findings) = seated(band, text);
    findings.retain(|finding| finding.severity == Severity::Error);
    quiet(tune.source.text(), &findings);
    settle(&tune).tune
}

/// Ends the test when something is said of a text.
#[track_caller]
fn quiet(text: &str, findings: &[Finding]) {
    let lines: Vec<String> = findings.iter().map(|finding| format!("{}: {finding}", finding.kind.name)).collect();
    assert!(findings.is_empty(), "{}\n\n{text}", lines.join("\n"));
}
