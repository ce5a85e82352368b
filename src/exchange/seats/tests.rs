//! Which pan parts go to: by notes, names and kinds, a pan for each; and what shares a pan.

use super::seat::Seats;
use super::*;
use crate::exchange::score::{Manner, Measure, Note, Struck};
use crate::exchange::score::{On, Part, Score};
use crate::kit;
use crate::music::Pitch;
use crate::music::{Key, Length, Meter};
use crate::pan::Instrument;

fn part(name: &str, on: On, keys: &[u8]) -> Part {
    let note = |(number, key): (usize, &u8)| Note {
        measure: 0,
        start: Length::quarters(number as i64, 8),
        length: Length::quarters(1, 8),
        struck: Struck::Notes(vec![Pitch::new(*key).expect("a key")]),
        manner: Manner::default(),
        tied: false,
        open: false,
    };
    Part { name: name.into(), from: 1, on, kind: None, notes: keys.iter().enumerate().map(note).collect() }
}

fn measure() -> Measure {
    Measure::new(Length::quarters(4, 1), Meter::default(), Key::default())
}

fn chosen(parts: Vec<Part>, band: Option<&str>) -> Vec<(&'static str, Option<String>, String)> {
    let band = band.map(kit::band);
    let score = Score { parts, measures: vec![measure()], order: vec![0], ..Score::default() };
    let found = seats(&score, band.as_deref(), SharePans::IfNeeded).seats;
    found.into_iter().map(|seat| (seat.on, seat.name, seat.why)).collect()
}

const BAND: &str = "name = \"B\"\n[[pan]]\nname = \"Red\"\nlayout = \"lead-c\"\nplays = [\"tune\"]\n\
                    [[pan]]\nname = \"Second\"\nlayout = \"double-second\"\n[[pan]]\nname = \"Six\"\nlayout = \"six-bass\"\n\
                    [[percussion]]\nname = \"Drum\"\nkind = \"iron\"\n";

#[test]
fn parts_go_to_the_pans_that_have_their_notes() {
    let parts = vec![
        part("Tuba", On::Pan, &[36, 43, 48]),
        part("Voice", On::Pan, &[74, 79, 83]),
        part("Viola", On::Pan, &[60, 67, 71]),
        part("", On::Percussion(Instrument::Iron), &[]),
    ];
    let found = chosen(parts.clone(), Some(BAND));
    let seats: Vec<_> = found.iter().map(|(on, name, _)| (*on, name.as_deref())).collect();
    assert_eq!(seats, [("six-bass", None), ("lead", Some("tune")), ("double-second", None), ("iron", None)]);
    assert!(
        found[1].2.starts_with("`Red` has all its notes, D5 to B5; its player takes it as `tune`"),
        "{}",
        found[1].2
    );
    assert_eq!(found[3].2, "`Drum` is one");
    // Without a band the built-in layouts stand for it.
    let alone: Vec<_> = chosen(parts, None).into_iter().map(|(on, ..)| on).collect();
    assert_eq!((alone[1], alone[3]), ("lead", "iron"));
    assert!(alone[0].ends_with("bass"));
}

#[test]
fn names_decide_where_notes_do_not() {
    let parts = vec![part("Guitar", On::Pan, &[55, 57, 60]), part("Cellos", On::Pan, &[55, 57, 60])];
    let kinds: Vec<_> = chosen(parts, None).into_iter().map(|(on, ..)| on).collect();
    assert_eq!(kinds, ["double-guitar", "triple-cello"]);
}

/// A band of a lead whose player plays the tune, and a six bass.
const TWO: &str = "name = \"B\"\n[[pan]]\nname = \"Red\"\nlayout = \"lead-c\"\nplays = [\"tune\"]\n\
                   [[pan]]\nname = \"Six\"\nlayout = \"six-bass\"\n";

#[test]
fn no_two_parts_share_a_pan_while_another_is_free() {
    // Both lie on the lead alone.
    let parts = vec![part("Flute", On::Pan, &[84, 86, 87]), part("Oboe", On::Pan, &[72, 74, 76])];
    let seats: Vec<_> = chosen(parts, Some(TWO)).into_iter().map(|(on, name, _)| (on, name)).collect();
    assert_eq!(seats, [("lead", Some("tune".to_owned())), ("six-bass", None)]);
    // What the band's habit names goes there first.
    let parts = vec![part("Flute", On::Pan, &[84, 86, 87]), part("Tune", On::Pan, &[72, 74, 76])];
    let seats: Vec<_> = chosen(parts, Some(TWO)).into_iter().map(|(on, name, _)| (on, name)).collect();
    assert_eq!(seats, [("six-bass", None), ("lead", None)]);
}

#[test]
fn more_parts_than_pans_are_spread_over_all() {
    let parts: Vec<Part> = (0..4).map(|n| part(&format!("Voice {n}"), On::Pan, &[72 - 5 * n, 74 - 5 * n])).collect();
    let mut kinds: Vec<_> = chosen(parts, Some(TWO)).into_iter().map(|(on, ..)| on).collect();
    kinds.sort_unstable();
    assert_eq!(kinds, ["lead", "lead", "six-bass", "six-bass"]);
}

#[test]
fn a_part_shares_a_pan_where_it_is_allowed_and_keeps_more_notes() {
    // The six bass has none of C#, which the second voice is made of.
    let band = TWO.replace("layout = \"six-bass\"\n", "kind = \"six-bass\"\nnotes = \"C2 D2 E2\"\n");
    let parts = vec![part("High", On::Pan, &[72, 74, 76]), part("Low", On::Pan, &[61, 61, 61])];
    let score = Score { parts, measures: vec![measure()], order: vec![0], ..Score::default() };
    let band = kit::band(&band);
    let on = |share| seats(&score, Some(&band), share);
    let kinds = |seats: &Seats| seats.seats.iter().map(|seat| seat.on).collect::<Vec<_>>();
    let (own, shared) = (on(SharePans::IfNeeded), on(SharePans::Rows));
    assert_eq!((kinds(&own), own.missing), (vec!["six-bass", "lead"], 0), "the high voice has octaves on the bass");
    assert_eq!((kinds(&shared), shared.missing), (vec!["lead", "lead"], 0));
}

#[test]
fn a_bass_goes_below_the_tenor() {
    // The bass lies on the cellos as it is written; on them the tenor would have to go below it.
    let band = "name = \"B\"\n[[pan]]\nname = \"C\"\nlayout = \"triple-cello\"\n[[pan]]\nname = \"S\"\nlayout = \"six-bass\"\n";
    let parts = vec![part("Bass", On::Pan, &[48, 50, 48, 50]), part("Tenor", On::Pan, &[60, 62, 60, 62])];
    let kinds: Vec<_> = chosen(parts, Some(band)).into_iter().map(|(on, ..)| on).collect();
    assert_eq!(kinds, ["six-bass", "triple-cello"]);
}

#[test]
fn a_row_of_a_few_notes_takes_no_lead_and_no_pans_name() {
    let mut parts = vec![
        part("Viola", On::Pan, &[72, 74, 76, 77, 79, 81, 83, 84, 86, 84]),
        part("Viola", On::Pan, &[76]),
        part("Bass", On::Pan, &[48, 50, 48, 50]),
    ];
    parts[2].from = 2;
    let found = chosen(parts, Some(&BAND.replace("name = \"Second\"", "name = \"Second\"\nplays = [\"second\"]")));
    let seats: Vec<_> = found.iter().map(|(on, name, _)| (*on, name.as_deref())).collect();
    assert_eq!(seats, [("lead", Some("tune")), ("double-second", None), ("six-bass", None)]);
}
