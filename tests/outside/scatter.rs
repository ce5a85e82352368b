//! MIDI files whose notes lie a little off the beat: they must become the tune that was meant, and files that are exact must stay
//! exact. No source says what a player means; these are laws, tried on seeded tunes.

use num_rational::Ratio;
use panfold::exchange;

use crate::numbers::Numbers;

/// A note of a tune: its track, when it begins and ends in quarters, its key.
#[derive(Clone, Copy, Debug)]
struct Note {
    track: u8,
    from: Ratio<i64>,
    to: Ratio<i64>,
    key: u8,
}

/// Pieces of a quarter that plain cells are.
const PLAIN: [i64; 5] = [1, 2, 4, 3, 6];

/// Two tracks of so many quarters, each cut into one of these numbers of pieces. Some notes are left out, some are short.
fn tune(numbers: &mut Numbers, quarters: i64, pieces: &[i64]) -> Vec<Note> {
    let mut notes = Vec::new();
    for track in 0..2 {
        for quarter in 0..quarters {
            let pieces = pieces[numbers.place(pieces.len())];
            for piece in 0..pieces {
                let is_kept = piece == 0 || numbers.below(4) > 0;
                let from = Ratio::from_integer(quarter) + Ratio::new(piece, pieces);
                let length = Ratio::new(1, if pieces < 4 && numbers.below(4) == 0 { 2 * pieces } else { pieces });
                let key = 60 + numbers.below(12) as u8;
                if is_kept {
                    notes.push(Note { track, from, to: from + length, key });
                }
            }
        }
    }
    notes
}

/// The tune as a file of so many ticks a quarter. `off`: by how many ticks each end of a note is off.
fn file(notes: &[Note], ticks: u16, mut off: impl FnMut() -> i64) -> Vec<u8> {
    let mut place =
        |at: Ratio<i64>| ((at * i64::from(ticks)).round().to_integer() + off()).max(0).unsigned_abs() as u32;
    let mut tracks: [Vec<(u32, u8, u8)>; 2] = [Vec::new(), Vec::new()];
    for note in notes {
        let (from, to) = (place(note.from), place(note.to));
        tracks[usize::from(note.track)].extend([(from, note.key, 64), (to.max(from + 1), note.key, 0)]);
    }
    let chunk = |(track, mut events): (usize, Vec<(u32, u8, u8)>)| {
        // What ends on a tick ends before what begins on it.
        events.sort_by_key(|(tick, _, velocity)| (*tick, *velocity));
        let mut bytes = vec![0, 0xFF, 3, 1, b'a' + track as u8];
        let mut now = 0;
        for (tick, key, velocity) in events {
            let delta = tick - now;
            bytes.extend([(delta >> 14 & 0x7F) as u8 | 0x80, (delta >> 7 & 0x7F) as u8 | 0x80, (delta & 0x7F) as u8]);
            bytes.extend([0x90, key, velocity]);
            now = tick;
        }
        bytes.extend([0, 0xFF, 0x2F, 0]);
        [&b"MTrk"[..], &(bytes.len() as u32).to_be_bytes(), &bytes].concat()
    };
    let chunks: Vec<u8> = tracks.into_iter().enumerate().flat_map(chunk).collect();
    [&b"MThd\0\0\0\x06\0\x01\0\x02"[..], &ticks.to_be_bytes(), &chunks].concat()
}

/// The text of the tune that a file becomes, and what is told of its time.
fn became(bytes: Vec<u8>) -> (String, Vec<String>) {
    let mut music = exchange::read("a.mid", bytes, None).expect("music");
    let imported = exchange::tune(&music.score, None, "Scatter", &Default::default(), &mut music.lost).expect("a tune");
    let messages = music.lost.findings("a.mid", None).into_iter().map(|finding| finding.message);
    let of_time =
        messages.filter(|message| message.contains("cells") || message.contains(" end ") || message.contains("grid"));
    (imported.text, of_time.collect())
}

/// The most ticks that a note may be off and still mean a plain cell: less than half the way from an eighth of a quarter to a sixth.
fn bound(ticks: u16) -> i64 {
    (i64::from(ticks) - 1) / 48
}

#[test]
fn a_tune_off_by_a_few_ticks_has_the_cells_of_the_tune() {
    let mut numbers = Numbers(48);
    for ticks in [96, 120, 192, 240, 384, 480, 960] {
        for most in [1, bound(ticks) / 2, bound(ticks)].into_iter().filter(|most| *most > 0) {
            for round in 0..4 {
                let tune = tune(&mut numbers, 16, &PLAIN);
                let (exact, told) = became(file(&tune, ticks, || 0));
                assert!(told.is_empty(), "{ticks} ticks a quarter, round {round}: {told:?}");
                let mut off = || numbers.below(2 * most.unsigned_abs() + 1) as i64 - most;
                let (played, told) = became(file(&tune, ticks, &mut off));
                assert_eq!(played, exact, "{ticks} ticks a quarter, {most} off, round {round}\n{tune:?}");
                assert_eq!(told.len(), 1, "{told:?}");
                assert!(told[0].contains(" off the cells of the beat and "), "{told:?}");
                let said =
                    told[0].split("at most ").nth(1).and_then(|rest| rest.split(' ').next()?.parse::<i64>().ok());
                assert!(said.is_some_and(|said| (1..=most).contains(&said)), "{most} off: {told:?}");
            }
        }
    }
}

#[test]
fn one_note_that_is_off_makes_no_bar_finer() {
    let mut numbers = Numbers(96);
    for ticks in [96, 120, 480, 960] {
        for off in (-bound(ticks)..=bound(ticks)).filter(|off| *off != 0) {
            let tune = tune(&mut numbers, 16, &PLAIN);
            // Both ends of a note that is not the first.
            let slips = numbers.place(tune.len() - 1) + 1;
            let mut ends = 0..;
            let slip = || if ends.next().is_some_and(|end: usize| end / 2 == slips) { off } else { 0 };
            let (played, told) = became(file(&tune, ticks, slip));
            assert_eq!(
                played,
                became(file(&tune, ticks, || 0)).0,
                "{ticks} ticks a quarter, {off} off at {slips}\n{tune:?}"
            );
            assert!(told.len() <= 1, "{told:?}");
        }
    }
}

#[test]
fn tuplets_of_an_exact_file_stay() {
    let mut numbers = Numbers(7);
    for ticks in [480, 960, 10_080] {
        for pieces in [5, 7, 9, 12, 16] {
            let tune = tune(&mut numbers, 16, &[1, 2, 4, 3, pieces]);
            let (text, told) = became(file(&tune, ticks, || 0));
            assert!(told.is_empty(), "{told:?}");
            // Exact is what a file of ticks without any rounding says: 5040 are a multiple of all pieces.
            assert_eq!(text, became(file(&tune, 5040, || 0)).0, "{pieces} pieces at {ticks} ticks a quarter");
        }
    }
}

#[test]
fn tuplets_stay_where_the_scatter_is_far_finer() {
    let mut numbers = Numbers(5);
    for (pieces, most) in [(12, 4), (5, 5), (16, 3), (7, 4)] {
        let whole = |numbers: &mut Numbers| -> Vec<Note> {
            let mut notes = tune(numbers, 12, &[1, 2, 4, 3]);
            let run = (0..pieces).map(|piece| Note {
                track: 0,
                from: Ratio::new(piece, pieces) + 12,
                to: Ratio::new(piece + 1, pieces) + 12,
                key: 72,
            });
            notes.extend(run);
            notes
        };
        for round in 0..4 {
            let tune = whole(&mut numbers);
            let (exact, _) = became(file(&tune, 480, || 0));
            let mut off = || numbers.below(2 * most + 1) as i64 - most as i64;
            let (played, told) = became(file(&tune, 480, &mut off));
            assert_eq!(played, exact, "{pieces} pieces, {most} ticks off, round {round}: {told:?}");
        }
    }
}
