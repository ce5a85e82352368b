//! Parts for which one pan has rows of its own: `lead for Green rim | … |` replaces `lead | … |` on that pan only.
//!
//! Each such pan gets a part of its own, a version of the other, after all others; where it has no row of its own it doubles
//! the part that it stands for.

use super::findings::{NOBODY_NAMED, UNKNOWN_PART};
use super::header::version_name;
use super::model::{Part, Player, Version};
use crate::notation::tree::{Row, Statement, Tree};
use crate::pan::Band;
use crate::text::{Finding, Spanned, words};

/// Adds a part for every pan that has a row of its own.
pub fn add(tree: &Tree, band: &Band, parts: &mut Vec<Part>, findings: &mut Vec<Finding>) {
    let whole = parts.len();
    let mut refused: Vec<String> = Vec::new();
    let rows = tree.lines.iter().filter_map(|line| match &line.statement {
        Some(Statement::Row(row)) => Some((row, row.pan.as_ref()?)),
        _ => None,
    });
    for (row, pan) in rows {
        let name = version_name(&row.name.value, &pan.value);
        if refused.contains(&name) || parts[whole..].iter().any(|part| same_name(&part.name, &name)) {
            continue;
        }
        match version(tree, band, &parts[..whole], row, pan) {
            Ok(None) => {}
            Ok(Some((player, version))) => {
                let span = row.name.span.to(pan.span);
                let name = version_name(&row.name.value, &band.pans[version.pan].pan.name);
                let on = parts[version.of].on.clone();
                parts.push(Part { name, span, on, player, whom: Vec::new(), version: Some(version) });
            }
            Err(finding) => {
                findings.push(*finding);
                refused.push(name);
            }
        }
    }
}

/// Whether two names of versions are the same: capitals don't matter in the names of pans.
pub fn same_name(a: &str, b: &str) -> bool {
    a.to_lowercase() == b.to_lowercase()
}

/// The version that a pan's own row makes; `None` for a row of a part that does not exist, which is reported where rows are read.
fn version(
    tree: &Tree,
    band: &Band,
    parts: &[Part],
    row: &Row,
    pan: &Spanned<String>,
) -> Result<Option<(Player, Version)>, Box<Finding>> {
    let Some(of) = parts.iter().position(|part| part.name == row.name.value) else { return Ok(None) };
    let Player::Pans { kind, .. } = parts[of].player else {
        let message = format!("`{}` is percussion: a row for one pan alone is for pans", row.name.value);
        let finding = Finding::error(&UNKNOWN_PART, message).at(&tree.source, pan.span);
        return Err(Box::new(finding.help(format!("write `{} | … |`", row.name.value))));
    };
    let is = |name: &str| name.trim().to_lowercase() == pan.value.to_lowercase();
    let Some(number) = band.pans.iter().position(|of| is(&of.pan.name)) else {
        let message = format!("the band has no pan named `{}`", pan.value);
        let finding = Finding::error(&NOBODY_NAMED, message).at(&tree.source, pan.span);
        return Err(Box::new(match words::nearest(&pan.value, band.pans.iter().map(|of| of.pan.name.as_str())) {
            Some(near) => finding.help(format!("did you mean `{near}`?")),
            None => finding.help("name a pan of the band file, as it is written there"),
        }));
    };
    let player = Player::Pans { kind, pans: vec![number] };
    Ok(Some((player, Version { of, pan: number })))
}
