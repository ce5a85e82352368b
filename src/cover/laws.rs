//! Laws over the demo tunes and made-up sets of notes: `cover` counts what `check` finds.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::share::share;
use super::{Need, Taken, cover, grid, report};
use crate::check::{self, check};
use crate::fit::settle::settle;
use crate::kit::{DEMO, Numbers, cases, demo_band, demo_text, open};
use crate::music::Pitch;
use crate::pan::band::BandPan;
use crate::pan::{Band, NoteSet, Pan, layout};
use crate::tune::Tune;
use crate::tune::model::{Open, Player, Struck};

/// Sets of notes that are tried on each tune.
const TRIALS: u64 = 24;

/// Notes between B1 and B6, some few or most of them.
fn set(numbers: &mut Numbers) -> NoteSet {
    let often = 1 + numbers.below(9);
    (35..95).filter(|_| numbers.below(10) < often).filter_map(Pitch::new).collect()
}

/// The demo band, to be changed.
fn band() -> Band {
    Arc::unwrap_or_clone(demo_band())
}

fn tune(name: &str, band: Band) -> Tune<Open> {
    open(&Arc::new(band), &demo_text(name))
}

/// A pan of these notes that plays these parts.
fn pan_of(set: NoteSet, like: &BandPan, parts: &[String]) -> BandPan {
    let mut pan: Pan = layout("lead-c").expect("a layout").clone();
    let area = pan.drums[0].notes[0];
    let note = |pitch: Pitch| crate::pan::face::NoteArea { name: pitch.name(), pitch, ring: None, angle: None, ..area };
    pan.drums[0].notes = set.iter().map(note).collect();
    BandPan { pan, plays: parts.to_vec(), level: like.level, span: like.span }
}

/// That what cover counts for a pan that takes a part is what `check` finds in a tune whose band says so.
fn adds_up(open: &Tune<Open>, part: usize, taken: &Taken, set: NoteSet) {
    let tune = settle(open).tune;
    let found = check(&tune, &check::Options::default());
    let summary = &found.parts[part];
    let (need, share) = (taken.need(), share(taken.need(), set));
    assert_eq!(need.count(), summary.strokes);
    let mut missing = BTreeSet::new();
    let of_part = |finding: &&crate::text::Finding| {
        finding.kind.name == "missing-note" && finding.part.as_ref() == Some(&summary.name)
    };
    for finding in found.findings.iter().filter(of_part) {
        // A pattern's cell may be one note in one bar and another in the next.
        let name = finding.message.split('`').nth(1).expect("the note stands first");
        let pitch: Pitch = name.parse().expect(name);
        let places = finding.place.iter().map(|place| place.span).chain(finding.more.iter().copied());
        missing.extend(places.map(|span| (span, pitch)));
    }
    let events = || {
        let rows = tune.passes().filter_map(|(section, ..)| tune.sections[section].rows[part].as_ref());
        rows.flat_map(|row| &row.events)
    };
    let notes = |event: &crate::tune::Event| match &event.struck {
        Struck::Notes(notes) => notes.clone(),
        Struck::Mark(_) => Vec::new(),
    };
    let able = events().filter(|event| notes(event).iter().all(|note| !missing.contains(&(note.span, note.pitch))));
    assert_eq!(share.as_written, able.count() as u64, "{}: {}", tune.title, summary.name);
    let all: NoteSet = events().flat_map(notes).map(|note| note.pitch).collect();
    let lacking = events().flat_map(notes).filter(|note| missing.contains(&(note.span, note.pitch)));
    assert_eq!(need.set(), all);
    assert_eq!(need.set().without(set), lacking.map(|note| note.pitch).collect());
    // A section that is never played has notes for `check`, and needs none.
    let played = !found.findings.iter().any(|finding| finding.kind.name == "never-played");
    assert!(all.len() == summary.distinct || !played && all.len() < summary.distinct);
}

#[test]
fn shares_add_up_with_what_check_finds() {
    let mut numbers = Numbers(1);
    for named in DEMO {
        let parts: Vec<String> = tune(named, band()).parts.iter().map(|part| part.name.clone()).collect();
        for _ in 0..cases(TRIALS) {
            let (set, mut band) = (set(&mut numbers), band());
            if set.is_empty() {
                continue;
            }
            // One such pan a part, since nobody plays two at a time.
            band.pans = parts.iter().map(|part| pan_of(set, &band.pans[0], std::slice::from_ref(part))).collect();
            let tune = tune(named, band);
            for part in 0..parts.len() {
                let Some(taken) = Taken::new(&tune, part, &tune.band.pans[0].pan) else { continue };
                adds_up(&tune, part, &taken, set);
            }
        }
    }
}

/// A pan that is new to the band takes one part from whoever plays it now; the others stay with theirs.
#[test]
fn a_new_pan_plays_what_check_says_once_the_band_has_it() {
    let mut numbers = Numbers(3);
    let (mut open, mut otherwise) = (0, 0);
    for named in DEMO {
        let before = tune(named, band());
        for _ in 0..cases(TRIALS / 4) {
            let set = set(&mut numbers);
            if set.is_empty() {
                continue;
            }
            for (part, of) in before.parts.iter().enumerate() {
                let new = pan_of(set, &before.band.pans[0], std::slice::from_ref(&of.name));
                let Some(taken) = Taken::new(&before, part, &new.pan) else { continue };
                let mut band = band();
                for (number, pan) in band.pans.iter_mut().enumerate() {
                    let plays = before.parts.iter().filter(|other| match &other.player {
                        Player::Pans { pans, .. } => other.name != of.name && pans.contains(&number),
                        Player::Percussion { .. } => false,
                    });
                    pan.plays = plays.map(|other| other.name.clone()).chain(["nothing else".to_owned()]).collect();
                }
                band.pans.push(new);
                adds_up(&tune(named, band), part, &taken, set);
                open += usize::from(!taken.is_fixed());
                let now = settle(&before).tune;
                otherwise += usize::from(Need::of(&before, &now, part).as_ref() != Some(taken.need()));
            }
        }
    }
    assert!(open > 15 && otherwise > 15, "{open} parts with open notes, {otherwise} played otherwise than now");
}

/// A wish completes what it says, and gains what it says; more notes never play less.
#[test]
fn wishes_come_true() {
    let mut numbers = Numbers(2);
    let tunes: Vec<Tune<Open>> = DEMO.into_iter().map(|named| tune(named, band())).collect();
    let parts = vec!["lead".to_owned()];
    let mut completed = 0;
    // Strums take their time: the parts that leave something open have a trial in four.
    for trial in 0..cases(TRIALS / 2) {
        let chosen = |tune: &Tune<Open>, part: usize| trial % 4 == 0 || Need::written(tune, part).is_some();
        let set = set(&mut numbers).or(set(&mut numbers));
        let pan = pan_of(set, &tunes[0].band.pans[0], &parts).pan;
        let before = report(&pan, &tunes, chosen);
        for wish in &before.wishes {
            let more = set.or([wish.note].into_iter().collect());
            let after = report(&pan_of(more, &tunes[0].band.pans[0], &parts).pan, &tunes, chosen);
            let mut gained = 0;
            for (place, (old, new)) in before.entries.iter().zip(&after.entries).enumerate() {
                assert!(new.cover.share.as_written >= old.cover.share.as_written);
                assert!(new.cover.share.with_moves >= old.cover.share.with_moves);
                if !old.is_in_reach(&pan) {
                    continue;
                }
                gained += new.cover.share.as_written - old.cover.share.as_written;
                assert_eq!(wish.completes.contains(&place), !old.cover.is_whole() && new.cover.is_whole());
                let moves = !old.cover.is_whole_with_moves() && new.cover.is_whole_with_moves();
                // Only a note that the part has is a wish for it; another octave may help too.
                assert!(!wish.completes_with_moves.contains(&place) || moves);
            }
            assert_eq!(gained, wish.gained);
            completed += wish.completes.len();
        }
        for entry in &before.entries {
            let tune = &tunes[entry.tune];
            let with = |extra: NoteSet| {
                let pan = pan_of(set.or(extra), &tunes[0].band.pans[0], &parts).pan;
                cover(&Taken::new(tune, entry.part, &pan).expect("a pan's part"), set.or(extra), tune.key)
            };
            assert!(with(entry.extra.as_written).is_whole() && with(entry.extra.with_moves).is_whole_with_moves());
            assert!(entry.extra.with_moves.len() <= entry.extra.as_written.len());
        }
    }
    assert!(completed as u64 >= cases(10), "only {completed} parts were completed");
}

/// The grid and the report count alike.
#[test]
fn the_grid_says_what_the_reports_say() {
    let tunes: Vec<Tune<Open>> = DEMO.into_iter().map(|named| tune(named, band())).collect();
    let pans: Vec<&Pan> = tunes[0].band.pans.iter().map(|pan| &pan.pan).collect();
    let rows = grid(&pans, &tunes, |_, _| true);
    for (column, pan) in pans.iter().enumerate() {
        let report = report(pan, &tunes, |_, _| true);
        assert_eq!(report.entries.len(), rows.len());
        for (row, entry) in rows.iter().zip(&report.entries) {
            assert_eq!((row.tune, row.part, row.shares[column]), (entry.tune, entry.part, entry.cover.share));
            let own = entry.now.iter().find(|(number, _)| *number == column);
            assert!(own.is_none_or(|(_, share)| *share == row.shares[column]));
        }
    }
}
