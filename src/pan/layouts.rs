//! The built-in layouts: pan files like any user's, embedded.

use std::sync::{Arc, OnceLock};

use super::face::Pan;
use super::kind::PanKind;
use super::read_pan::{among, read_pan_from};
use crate::text::{Finding, Source};

/// The files by name, in the order in which they are listed: from the highest pan to the lowest, the old ping-pong last.
const FILES: [(&str, &str); 13] = [
    ("lead-c", include_str!("layouts/lead-c.toml")),
    ("lead-d", include_str!("layouts/lead-d.toml")),
    ("double-tenor", include_str!("layouts/double-tenor.toml")),
    ("double-second", include_str!("layouts/double-second.toml")),
    ("double-guitar", include_str!("layouts/double-guitar.toml")),
    ("triple-guitar", include_str!("layouts/triple-guitar.toml")),
    ("triple-cello", include_str!("layouts/triple-cello.toml")),
    ("quadrophonic", include_str!("layouts/quadrophonic.toml")),
    ("tenor-bass", include_str!("layouts/tenor-bass.toml")),
    ("tenor-bass-20", include_str!("layouts/tenor-bass-20.toml")),
    ("six-bass", include_str!("layouts/six-bass.toml")),
    ("nine-bass", include_str!("layouts/nine-bass.toml")),
    ("ping-pong", include_str!("layouts/ping-pong.toml")),
];

/// Reads a pan file. It may start from a built-in layout.
///
/// `None` when so much is wrong that there is no pan; else the pan with what could be read of it.
pub fn read_pan(source: &Arc<Source>) -> (Option<Pan>, Vec<Finding>) {
    read_pan_from(source, layouts)
}

/// All layouts, each the pan that its file describes.
pub fn layouts() -> &'static [Pan] {
    static LAYOUTS: OnceLock<Vec<Pan>> = OnceLock::new();
    LAYOUTS.get_or_init(|| FILES.iter().map(|(name, text)| embedded(name, text)).collect())
}

fn embedded(name: &str, text: &str) -> Pan {
    let source: Arc<Source> = Source::new(format!("{name}.toml"), text);
    match read_pan_from(&source, || &[]) {
        (Some(pan), findings) if findings.is_empty() => pan,
        (_, findings) => unreachable!("the embedded layout {name} reads well: {findings:?}"),
    }
}

/// The layout of a name (`lead-c`); for a kind's name or one of its other names (`tenor`), the kind's first layout.
pub fn layout(name: &str) -> Option<&'static Pan> {
    among(layouts(), name)
}

/// The first layout of a kind.
pub fn of_kind(kind: PanKind) -> Option<&'static Pan> {
    layouts().iter().find(|pan| pan.kind == kind)
}

/// The text of a layout's file, for a user to copy and change.
pub fn text(name: &str) -> Option<&'static str> {
    FILES.iter().find(|(file, _)| *file == name).map(|(_, text)| *text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_a_layout() {
        for kind in PanKind::ALL {
            assert!(of_kind(kind).is_some(), "{kind}");
        }
        for (name, _) in FILES {
            assert_eq!(layout(name).map(|pan| pan.name.as_str()), Some(name));
        }
        assert_eq!(layout("Tenor").map(|pan| pan.name.as_str()), Some("lead-c"));
        assert!(layout("xylophone").is_none());
    }
}
