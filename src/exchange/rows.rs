//! The voices of a file as parts of a score: as many rows as they need, and what that changes.

use super::lost::{Lost, Weight, Where};
use super::score::{On, Part, Score, measure_at};
use super::voices::{Sounding, cut, share};
use crate::music::Length;

/// How voices become rows.
pub struct Rows<'a> {
    /// When each written measure begins, as [`Score::starts`] says.
    pub starts: &'a [Length],
    /// How many notes one row may strike at once.
    pub together: usize,
}

impl Rows<'_> {
    /// Adds the notes of a voice to a score.
    ///
    /// - `of`: each of its rows, without its notes;
    /// - `called`: what the file calls the part that the voice is in.
    pub fn add(&self, score: &mut Score, of: &Part, called: &str, notes: Vec<Sounding>, lost: &mut Lost) {
        let shared = share(notes, self.together);
        if shared.rows.len() > 1 && of.on == On::Pan {
            let what = format!("notes overlap, or more than two begin at once; {} rows share them", shared.rows.len());
            lost.tell(Weight::Otherwise, what, Where { part: called, measure: "", span: None });
        }
        for beyond in &shared.beyond {
            let measure = measure_at(self.starts, beyond.at).to_string();
            let what = "more voices at once than panfold can take; a note is left out";
            lost.tell(Weight::Heard, what, Where { part: called, measure: &measure, span: None });
        }
        let part = |row| Part { notes: cut(row, self.starts), ..of.clone() };
        score.parts.extend(shared.rows.iter().map(|row| part(row)));
    }
}
