//! What must hold of whatever is fed in: an answer, never a panic, and no tune that says something else than its source.
#![allow(dead_code, reason = "each target asks for its own share")]

use std::sync::Arc;

use panfold::check::{self, Options};
use panfold::drawing::{pdf, sheet};
use panfold::exchange::{self, Score, musicxml_out, score};
use panfold::fit;
use panfold::midi;
use panfold::music::{Length, Pitch};
use panfold::notation;
use panfold::notation::tree::{Mark, Tree};
use panfold::pan::{Band, read_band, read_pan, write_pan};
use panfold::people::handouts;
use panfold::performance::{self, perform};
use panfold::text::{Finding, Severity, Source, edit};
use panfold::tune::{self, Open, Tune, model};

/// A band with something of everything, so that hostile tunes find players.
const BAND: &str = "name = \"Small\"\n[[pan]]\nname = \"Lead\"\nlayout = \"lead-c\"\nwithout = [\"E6\"]\ncents = { \"C#5\" = -20 }\n\
                    [[pan]]\nname = \"Second\"\nlayout = \"double-second\"\n[[pan]]\nname = \"Bass\"\nlayout = \"six-bass\"\n\
                    [[percussion]]\nname = \"Iron\"\nkind = \"iron\"\n";

/// A pan that a band's `file` names, whatever its name.
const OWN_PAN: &str = "name = \"Own\"\nkind = \"double-tenor\"\nnotes = \"F3 A3 C4 D4 E4\"\n";

/// A tune for any band.
const TUNE: &str = "meter 4/4\npart lead on lead\npart second on double-second\npart iron on iron\nform a x2\nsection a\n\
                    chords | C | G7 |\n lead | C5 E5 G5 - | B4+D5 - G4 . |\n second | G . G G | % |\n iron | x . x x | % |\n";

/// Strokes as played up to which a tune is also checked, exported and played: more of them find nothing new, but slowly.
const FEW: usize = 64;

/// Brings bytes in. The tune must be tidy, must be understood from its first line to its last, and must have the strokes of
/// the score that it was made of.
pub fn imported(bytes: &[u8]) {
    let Ok(music) = exchange::read("fuzz", bytes.to_vec(), None) else { return };
    music.lost.findings("fuzz", music.source.as_ref());
    let mut lost = exchange::lost::Lost::default();
    // Rows of a few notes stay, so that every stroke can be compared.
    let mut options = exchange::Options::default();
    options.keep_all = true;
    let Ok(imported) = exchange::tune(&music.score, None, "fuzz", &options, &mut lost) else { return };
    let source = Source::new("fuzz.tune", imported.text);
    let (tree, findings) = notation::parse(&source);
    assert!(findings.is_empty(), "{findings:?}\n{}", source.text());
    assert_eq!(notation::tidy(&tree), source.text());
    let (tune, findings) = tune::resolve(&tree, &band());
    // Twelve hours and more of music may be imported; playing it is another matter.
    let too_long = |finding: &&Finding| finding.kind.name == "too-long";
    let wrong = findings.iter().find(|one| one.severity == Severity::Error && !too_long(one));
    assert!(wrong.is_none(), "{wrong:?}\n{}", source.text());
    // What had to be moved, or filled up with silence, was told.
    if lost.is_empty() && !findings.iter().any(|one| too_long(&one)) {
        for part in 0..music.score.parts.len() {
            assert_eq!(of_tune(&tune, part), of_score(&music.score, part), "part {part}\n{}", source.text());
        }
    }
    used(&tree);
}

/// Reads a text as a tune. Tidying it must change nothing but spaces, whatever is wrong with it, and nothing at all a second
/// time.
pub fn notated(text: &str) {
    let source = Source::new("fuzz.tune", text.to_owned());
    let (tree, findings) = notation::parse(&source);
    let once = Source::new("fuzz.tune", notation::tidy(&tree));
    let (again, found_again) = notation::parse(&once);
    assert_eq!(kinds(&findings), kinds(&found_again), "before\n{}\nafter\n{}", source.text(), once.text());
    assert_eq!(notation::tidy(&again), once.text(), "of\n{}", source.text());
    let resolved = |tree: &Tree| kinds(&tune::resolve(tree, &band()).1);
    assert_eq!(resolved(&tree), resolved(&again), "before\n{}\nafter\n{}", source.text(), once.text());
    for finding in &findings {
        finding.place.as_ref().map(|place| place.position());
    }
    used(&tree);
}

/// Reads a text as a band file. Whatever is wrong with it has a place in it, and a band that comes of it plays a tune.
pub fn as_band(text: &str) {
    let source = Source::new("band.toml", text.to_owned());
    let layout = |name: &str| Ok(Source::new(name, OWN_PAN));
    let (band, findings) = read_band(&source, &mut |name| layout(name));
    findings.iter().filter_map(|finding| finding.place.as_ref()).for_each(|place| {
        place.position();
    });
    let Some(band) = band else { return };
    let (tree, _) = notation::parse(&Source::new("fuzz.tune", TUNE));
    let (open, _) = panfold::people::resolve(&tree, &Arc::new(band));
    check::check(&fit::settle(&open).tune, &Options::default());
}

/// Reads a text as a pan file. A pan that comes of it without an error is written and read again with the same notes.
pub fn as_pan(text: &str) {
    let source = Source::new("pan.toml", text.to_owned());
    let (pan, findings) = read_pan(&source);
    findings.iter().filter_map(|finding| finding.place.as_ref()).for_each(|place| {
        place.position();
    });
    let Some(pan) = pan.filter(|_| findings.iter().all(|finding| finding.severity < Severity::Error)) else { return };
    let (again, findings) = read_pan(&Source::new("written.toml", write_pan(&pan)));
    let notes = again.map(|again| again.note_set());
    assert_eq!(notes, Some(pan.note_set()), "{findings:?}\n{}\nbecame\n{}", source.text(), write_pan(&pan));
}

/// Reads a text as a tune and plans what its players get: who gets what, and a sheet for each.
pub fn packed(text: &str) {
    let (tree, findings) = notation::parse(&Source::new("fuzz.tune", text.to_owned()));
    let (open, more) = panfold::people::resolve(&tree, &band());
    if findings.iter().chain(&more).any(|finding| finding.severity == Severity::Error) || !is_small(&open) {
        return;
    }
    let tune = fit::settle(&open).tune;
    for handout in handouts(&tune) {
        assert!(!handout.parts.is_empty());
        let pan = handout.pans.first().map(|pan| &tune.band.pans[*pan].pan);
        let pages = sheet::parts(&tune, &handout.parts, pan, None, sheet::Paper::default());
        assert!(!pages.is_empty());
        pdf::document(&pages, &tune.title);
    }
}

/// Reads a text as a tune, and does with it what `tidy` and `fit --write` do one after the other: what is written is a tune with the
/// same mistakes, and in which nothing moves any more but what could not be placed.
pub fn rewritten(text: &str) {
    let source = Source::new("fuzz.tune", text.to_owned());
    let (tree, findings) = notation::parse(&source);
    let (open, more) = panfold::people::resolve(&tree, &band());
    if findings.iter().chain(&more).any(|finding| finding.severity == Severity::Error) || !is_small(&open) {
        return;
    }
    let tidy = Source::new("fuzz.tune", notation::tidy(&tree));
    let (tree, _) = notation::parse(&tidy);
    let (open, _) = panfold::people::resolve(&tree, &band());
    let fitted = fit::in_key(&open, 0, &fit::Options::of(&open));
    let written = Source::new("fuzz.tune", edit::apply(&tidy, &fit::plan::edits(&open, &fitted)));
    let (again, findings) = notation::parse(&written);
    let (open, more) = panfold::people::resolve(&again, &band());
    let wrong = findings.iter().chain(&more).find(|finding| finding.severity == Severity::Error);
    assert!(wrong.is_none(), "{wrong:?}\nof\n{}\nbecame\n{}", tidy.text(), written.text());
    // Only the cells that move are touched: one that becomes longer, as `2` becomes `E5`, may leave its bar wider than the others.
    let words = |text: &str| text.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
    assert_eq!(words(&notation::tidy(&again)), words(written.text()), "of\n{}", tidy.text());
    fit::in_key(&open, 0, &fit::Options::of(&open));
}

/// Whether a tune is small enough for all to be done with it.
fn is_small(open: &Tune<Open>) -> bool {
    let events = |step: &model::FormStep| {
        let rows = open.sections[step.section].rows.iter().flatten();
        rows.map(|row| row.events.len()).sum::<usize>() * step.times as usize
    };
    let written: usize =
        open.sections.iter().flat_map(|section| section.rows.iter().flatten()).map(|row| row.events.len()).sum();
    let bars: usize = open.form.iter().map(|step| open.sections[step.section].bars() * step.times as usize).sum();
    open.form.iter().map(events).sum::<usize>() <= FEW && written <= FEW && bars <= FEW
}

/// Settles a tune, and, if it is a small one, does all with it that a user may.
fn used(tree: &Tree) {
    let (open, findings) = panfold::people::resolve(tree, &band());
    if !is_small(&open) {
        return;
    }
    let tune = fit::settle(&open).tune;
    check::check(&tune, &Options::default());
    if findings.iter().any(|finding| finding.severity == Severity::Error) {
        return;
    }
    let bytes = midi::write(&perform(&tune, &performance::Options::default()));
    let written = midi::read(&bytes).expect("a MIDI file that was written here");
    assert!(written.oddities.is_empty(), "{:?}", written.oddities);
    let parts: Vec<usize> = (0..tune.parts.len()).collect();
    if let Some(bytes) = musicxml_out::write(&tune, &parts)
        && let Err(finding) = exchange::read("written", bytes, None)
    {
        assert!(finding.message.contains("has no notes"), "{finding:?}\n{}", tree.source.text());
    }
}

fn band() -> Arc<Band> {
    static READ: std::sync::OnceLock<Arc<Band>> = std::sync::OnceLock::new();
    let read = || {
        let band = Source::new("band.toml", BAND);
        let (band, findings) = read_band(&band, &mut |name| panic!("no file is named, not even {name}"));
        assert!(findings.iter().all(|finding| finding.severity < Severity::Error), "{findings:?}");
        Arc::new(band.expect("a band"))
    };
    Arc::clone(READ.get_or_init(read))
}

fn kinds(findings: &[Finding]) -> Vec<&'static str> {
    findings.iter().map(|finding| finding.kind.name).collect()
}

/// What a stroke strikes, lowest first.
#[derive(Clone, Debug, PartialEq, Eq)]
enum What {
    Notes(Vec<Pitch>),
    Mark(Mark),
}

/// When a stroke begins, how long it lasts (nothing for percussion, which rings as it likes), and what it strikes.
type Stroke = (Length, Length, What);

/// The strokes of a part of a score as played.
fn of_score(score: &Score, part: usize) -> Vec<Stroke> {
    let mut strokes: Vec<Stroke> = Vec::new();
    let mut at = Length::ZERO;
    let mut goes_on = false;
    for number in &score.order {
        for note in score.parts[part].of_measure(*number) {
            let what = match &note.struck {
                score::Struck::Notes(pitches) => {
                    let mut pitches = pitches.clone();
                    pitches.sort_unstable();
                    What::Notes(pitches)
                }
                score::Struck::Mark(mark) => What::Mark(*mark),
            };
            let start = at + note.start;
            let pitched = matches!(what, What::Notes(_));
            match strokes.last_mut() {
                Some(last) if goes_on && note.tied && note.start.is_zero() && last.2 == what => {
                    if pitched {
                        last.1 = start + note.length - last.0;
                    }
                }
                _ => strokes.push((start, if pitched { note.length } else { Length::ZERO }, what)),
            }
            goes_on = note.open && note.end() == score.measures[*number].length;
        }
        goes_on &= !score.parts[part].of_measure(*number).is_empty();
        at += score.measures[*number].length;
    }
    strokes
}

/// The strokes of a part of a tune as played.
fn of_tune(tune: &Tune<Open>, part: usize) -> Vec<Stroke> {
    let mut strokes: Vec<Stroke> = Vec::new();
    let mut at = Length::ZERO;
    for (section, ..) in tune.passes() {
        let section = &tune.sections[section];
        if let Some(row) = &section.rows[part] {
            if !row.carry.length.is_zero()
                && let Some(last) = strokes.last_mut().filter(|last| matches!(last.2, What::Notes(_)))
            {
                last.1 = at + row.carry.length - last.0;
            }
            strokes.extend(row.events.iter().map(|event| match &event.struck {
                model::Struck::Mark(mark) => (at + event.start, Length::ZERO, What::Mark(*mark)),
                model::Struck::Notes(notes) => {
                    let written = |note: &model::Note<Open>| match note.pitch {
                        Open::Pitch(pitch) => pitch,
                        other => panic!("nothing is imported open: {other:?}"),
                    };
                    let mut pitches: Vec<Pitch> = notes.iter().map(written).collect();
                    pitches.sort_unstable();
                    (at + event.start, event.length, What::Notes(pitches))
                }
            }));
        }
        at += section.length;
    }
    strokes
}
