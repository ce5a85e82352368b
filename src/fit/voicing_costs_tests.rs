//! What a voicing costs, from the words of the room alone: a table with a row for each term, and the cheapest voicing of small
//! sections, found by going through all of them with the costs counted anew.

use super::*;
use crate::kit::Numbers;
use crate::pan::{Level, layout};

fn pitch(name: &str) -> Pitch {
    name.parse().expect(name)
}

/// A part on a few notes of its own. Where the hands know none of them, no way on the pan counts.
fn part(layout_name: &str, notes: &str, home: &str) -> Strummer {
    let hands = Arc::new(Hands::new(layout(layout_name).expect("a layout"), Level::Intermediate));
    Strummer { set: notes.split(' ').map(pitch).collect(), home: pitch(home), hands }
}

/// A part whose ways don't count: its notes lie far above those of a six-bass.
fn nowhere(notes: &str, home: &str) -> Strummer {
    part("six-bass", notes, home)
}

fn moments(chords: &str, parts: usize, lead: Option<&str>) -> Vec<Moment> {
    let moment = |chord: &str| Moment {
        chord: chord.parse().expect(chord),
        lead: lead.map(pitch),
        plays: vec![true; parts],
        gaps: vec![None; parts],
    };
    chords.split(' ').map(moment).collect()
}

/// A pan of two notes a chord, so that there is no choice. All figures are our own settings: see the constants at the top of the
/// room. A fifth that is left out costs 4,000.
#[test]
fn what_each_term_costs() {
    let none: Option<&str> = None;
    let table = [
        ("root and third round the middle of the pan", "C", "C4 E4", "D4", none, 4_000),
        ("two semitones away from the middle", "C", "C4 E4", "E4", none, 4_000 + 2 * 60),
        ("half a semitone away", "C", "E4 G4", "F4", none, 6_000 + 30),
        ("a fourth, without the third", "C", "G3 C4", "A3", none, 20_000 + 30),
        ("a second grinds", "C7", "Bb3 C4", "B3", none, 20_000 + 4_000 + 1_500),
        ("an octave is one tone twice", "C", "C4 C5", "F#4", none, 20_000 + 4_000 + 800),
        ("two octaves are, and twelve beyond one", "C", "C4 C6", "C5", none, 20_000 + 4_000 + 800 + 12 * 400),
        ("four semitones beyond an octave", "C", "C4 E5", "Ab4", none, 4_000 + 4 * 400),
        ("below the lead", "C", "C4 E4", "D4", Some("F4"), 4_000),
        ("at the lead", "C", "C4 E4", "D4", Some("E4"), 4_000 + 2_000),
        ("two semitones above the lead", "C", "C4 E4", "D4", Some("D4"), 4_000 + 2_000 + 400),
        ("both above the lead", "C", "C4 E4", "D4", Some("B3"), 4_000 + 2_200 + 3_000),
        ("both sticks go up a tone", "C D", "C4 E4 D4 F#4", "D4", none, 2 * 4_000 + 2 * 2 * 150 + 2 * 60),
        ("one goes down and one goes up", "C B", "C4 E4 B3 F#4", "D4", none, 4_000 + (20_000 + 30) + (1 + 2) * 150),
        ("the same chord again", "C C", "C4 E4", "D4", none, 2 * 4_000),
        ("a single note away from the middle", "C", "E4", "D4", none, 6_000 + 4_000 + 2 * 60),
    ];
    for (what, chords, notes, home, lead, cost) in table {
        let voiced = voice(&[nowhere(notes, home)], &moments(chords, 1, lead));
        assert_eq!((voiced.cost, voiced.bound), (cost, cost), "{what}: {:?}", voiced.pairs);
    }
}

#[test]
fn what_a_tone_that_nobody_plays_costs() {
    // Our own settings: see `LEFT_OUT`. Pairs round the middle, so that nothing else costs.
    let table = [
        ("C", "E4 G4", "F4", "the root", 6_000 + 30),
        ("C", "C4 G4", "E4", "the third", 20_000 + 30),
        ("C6", "C4 E4", "D4", "fifth and sixth", 4_000 + 10_000),
        ("C7", "C4 E4", "D4", "fifth and seventh", 4_000 + 16_000),
        ("Cmaj7", "C4 E4", "D4", "fifth and seventh", 4_000 + 16_000),
        ("Csus4", "C4 G4", "E4", "the fourth, which stands for the third", 20_000 + 30),
        ("Cdim", "C4 Eb4", "C#4", "the fifth", 4_000 + 30),
        ("Cdim7", "C4 Eb4", "C#4", "the fifth, and the seventh, not a sixth", 4_000 + 16_000 + 30),
    ];
    for (chord, notes, home, what, cost) in table {
        let voiced = voice(&[nowhere(notes, home)], &moments(chord, 1, None));
        assert_eq!(voiced.cost, cost, "{chord} without {what}");
    }
    // What one pan leaves out another may play.
    let both = voice(&[nowhere("C4 E4", "D4"), nowhere("G4 Bb4", "Ab4")], &moments("C7", 2, None));
    assert_eq!((both.cost, &both.left_out), (30, &vec![Vec::new()]), "{:?}", both.pairs);
}

#[test]
fn roles_are_those_of_any_handbook() {
    let roles =
        |chord: &str| -> Vec<&str> { tones(chord.parse().expect(chord)).map(|(_, role)| role.name()).collect() };
    assert_eq!(roles("C6"), ["root", "third", "fifth", "sixth"]);
    assert_eq!(roles("Cm7b5"), ["root", "third", "fifth", "seventh"]);
    assert_eq!(roles("Cdim7"), ["root", "third", "fifth", "seventh"]);
    assert_eq!(roles("Caug"), ["root", "third", "fifth"]);
}

#[test]
fn a_semitone_and_a_minor_ninth_are_no_pair() {
    for notes in ["B3 C4", "B3 C5"] {
        let voiced = voice(&[nowhere(notes, "C4")], &moments("Cmaj7", 1, None));
        let (_, high) = voiced.pairs[0][0].expect("a note");
        assert_eq!(high, None, "{notes} clash, so one of them is enough");
    }
    // Two octaves and a semitone do not clash.
    let wide = voice(&[nowhere("B3 C6", "C5")], &moments("Cmaj7", 1, None));
    assert_eq!(wide.pairs[0][0], Some((pitch("B3"), Some(pitch("C6")))));
}

/// How far two notes lie apart on a part's pan, by their middles; `None` where it is not known.
fn millimetres(part: &Strummer, low: Pitch, high: Pitch) -> Option<f64> {
    let centre = |note: Pitch| Some(part.hands.note(part.hands.place(note)?).centre);
    let (a, b) = (centre(low)?, centre(high)?);
    Some(((a.x - b.x).powi(2) + (a.y - b.y).powi(2)).sqrt())
}

#[test]
fn no_pair_is_farther_apart_than_both_arms_reach() {
    // 1,300 mm: our own setting, see `movement::SPAN`. On a nine-bass, C2 and the other notes of its drums.
    let all = part("nine-bass", "C2 E2", "D2");
    let notes: Vec<Pitch> = layout("nine-bass").expect("a layout").note_set().iter().collect();
    let (mut near, mut far) = (0, 0);
    for chord in ["C", "D", "E", "F", "G", "A", "B", "Am", "Dm", "Em", "Eb", "Ab", "Bb", "F#", "C#"] {
        let moment = moments(chord, 1, None);
        let classes: Vec<PitchClass> = moment[0].chord.classes().collect();
        for (i, low) in notes.iter().enumerate() {
            for high in notes[i + 1..].iter().filter(|high| classes.contains(&high.class())) {
                let apart = millimetres(&all, *low, *high).expect("both are on the pan");
                if !classes.contains(&low.class()) || low.semitones_to(*high) == 13 {
                    continue;
                }
                let two = Strummer { set: [*low, *high].into_iter().collect(), ..all.clone() };
                let is_pair = voice(&[two], &moment).pairs[0][0].is_some_and(|(_, high)| high.is_some());
                assert_eq!(is_pair, apart <= 1300.0, "{low} and {high}, {apart:.0} mm apart");
                near += usize::from(is_pair && apart > 1100.0);
                far += usize::from(apart > 1300.0 && apart < 1500.0);
            }
        }
    }
    assert!(near > 0 && far > 0, "{near} pairs a little nearer, {far} a little farther");
}

/// A pair as it is struck: one key or two, the lower first.
type Keys = (i64, Option<i64>);

/// What a part may strike of a chord: pairs that neither clash nor lie too far apart, else single notes.
fn may_strike(part: &Strummer, chord: Chord) -> Vec<Keys> {
    let classes: Vec<u8> = chord.classes().map(PitchClass::number).collect();
    let notes: Vec<Pitch> = part.set.iter().filter(|note| classes.contains(&(note.key() % 12))).collect();
    let mut pairs = Vec::new();
    for low in &notes {
        for high in notes.iter().filter(|high| *high > low) {
            let interval = high.key() - low.key();
            if interval != 1 && interval != 13 && millimetres(part, *low, *high).is_none_or(|way| way <= 1300.0) {
                pairs.push((i64::from(low.key()), Some(i64::from(high.key()))));
            }
        }
    }
    if pairs.is_empty() { notes.iter().map(|note| (i64::from(note.key()), None)).collect() } else { pairs }
}

fn note(key: i64) -> Pitch {
    Pitch::new(key.unsigned_abs() as u8).expect("a key")
}

/// What a pair costs by itself.
fn by_itself(part: &Strummer, lead: Option<Pitch>, (low, high): Keys) -> i64 {
    let top = high.unwrap_or(low);
    let mut cost = 30 * (low + top - 2 * i64::from(part.home.key())).abs();
    for key in [Some(low), high].into_iter().flatten() {
        let over = lead.map_or(-1, |lead| key - i64::from(lead.key()));
        cost += if over >= 0 { 2_000 + 200 * over } else { 0 };
    }
    let Some(high) = high else { return cost };
    let interval = high - low;
    cost += if interval == 2 { 1_500 } else { 0 };
    cost += if interval % 12 == 0 { 800 } else { 0 };
    cost += 400 * (interval - 12).max(0);
    cost + millimetres(part, note(low), note(high)).map_or(0, |way| way.round() as i64)
}

/// The ways of both sticks, and by how much they come late: straight or crossed, whichever is sooner, where each stick has the gap for
/// its way, and a note that is struck again is the second stroke of a double.
fn between(part: &Strummer, from: Keys, to: Keys, gap: Option<i64>) -> i64 {
    let top = |keys: Keys| keys.1.unwrap_or(keys.0);
    let ways = 150 * ((from.0 - to.0).abs() + (top(from) - top(to)).abs());
    let Some(gap) = gap else { return ways };
    let need = |from: Option<i64>, to: Option<i64>| {
        let place = |key: Option<i64>| key.and_then(|key| part.hands.place(note(key)));
        match (place(from), place(to)) {
            (Some(from), Some(to)) if from == to => part.hands.double(),
            (Some(from), Some(to)) => part.hands.need(from, to),
            _ => 0,
        }
    };
    let straight = need(Some(from.0), Some(to.0)).max(need(from.1, to.1));
    let crossed = need(Some(from.0), to.1).max(need(from.1, Some(to.0)));
    ways + 20 * ((straight.min(crossed) - gap).max(0) / 1000)
}

/// What the tones cost that nobody plays. The chords below have root, third, fifth, and a sixth or a seventh.
fn left_out(chord: Chord, played: &[i64]) -> i64 {
    let name = chord.to_string();
    let upper = if name.contains('6') { 10_000 } else { 16_000 };
    let costs = [6_000, 20_000, 4_000, upper];
    let tones = chord.classes().map(|class| i64::from(class.number())).zip(costs);
    tones.filter(|(class, _)| played.iter().all(|key| key % 12 != *class)).map(|(_, cost)| cost).sum()
}

/// The least that two parts can cost, by all their voicings.
fn brute(parts: &[Strummer; 2], moments: &[Moment]) -> i64 {
    let mut ways: Vec<(i64, [Option<Keys>; 2])> = vec![(0, [None; 2])];
    for moment in moments {
        let may: Vec<Vec<Option<Keys>>> = (0..2)
            .map(|part| match moment.plays[part] {
                true => may_strike(&parts[part], moment.chord).into_iter().map(Some).collect(),
                false => vec![None],
            })
            .collect();
        // The same strokes at the end are the same from there on: the cheapest way to them is enough.
        let mut next: Vec<(i64, [Option<Keys>; 2])> = Vec::new();
        for (cost, hands) in &ways {
            for (first, second) in may[0].iter().flat_map(|first| may[1].iter().map(move |second| (first, second))) {
                let (mut cost, mut after) = (*cost, *hands);
                for (part, struck) in [first, second].into_iter().enumerate() {
                    let Some(keys) = struck else { continue };
                    cost += by_itself(&parts[part], moment.lead, *keys);
                    cost += hands[part].map_or(0, |from| between(&parts[part], from, *keys, moment.gaps[part]));
                    after[part] = Some(*keys);
                }
                let played: Vec<i64> = [first, second]
                    .into_iter()
                    .flatten()
                    .flat_map(|(low, high)| [Some(*low), *high])
                    .flatten()
                    .collect();
                cost += left_out(moment.chord, &played);
                match next.iter_mut().find(|(_, other)| *other == after) {
                    Some(other) => other.0 = other.0.min(cost),
                    None => next.push((cost, after)),
                }
            }
        }
        ways = next;
    }
    ways.into_iter().map(|way| way.0).min().expect("a way")
}

#[test]
fn no_voicing_of_a_small_section_costs_less() {
    let mut numbers = Numbers(20_261_128);
    let chords = ["C", "Am", "G7", "F", "Dm7", "C6", "E7", "D"];
    let (mut hurried, mut sections) = (0, 0);
    while sections < 120 {
        let mut some = |name: &str| {
            let notes: Vec<Pitch> = layout(name).expect("a layout").note_set().iter().collect();
            let set: NoteSet = (0..8).map(|_| notes[numbers.below(notes.len() as u64) as usize]).collect();
            Strummer { set, ..part(name, "C4", "C4") }
        };
        let parts = [some("double-second"), some(["triple-cello", "double-guitar", "quadrophonic"][sections % 3])];
        let moments: Vec<Moment> = (0..4)
            .map(|_| Moment {
                chord: chords[numbers.below(8) as usize].parse().expect("a chord"),
                lead: (numbers.below(3) == 0).then(|| note(60 + numbers.below(12) as i64)),
                plays: (0..2).map(|_| numbers.below(6) > 0).collect(),
                gaps: (0..2).map(|_| (numbers.below(3) > 0).then(|| 60_000 + numbers.below(200_000) as i64)).collect(),
            })
            .collect();
        let is_silent = |part: usize| {
            moments.iter().any(|moment| moment.plays[part] && may_strike(&parts[part], moment.chord).is_empty())
        };
        if is_silent(0) || is_silent(1) {
            continue;
        }
        sections += 1;
        let voiced = voice(&parts, &moments);
        let least = brute(&parts, &moments);
        assert_eq!((voiced.cost, voiced.bound), (least, least), "{parts:?} {moments:?}");
        let mut at_leisure = moments.clone();
        at_leisure.iter_mut().for_each(|moment| moment.gaps = vec![None; 2]);
        hurried += usize::from(brute(&parts, &at_leisure) < least);
    }
    assert!(hurried > 10, "lateness counts in some: {hurried}");
}

#[test]
fn who_comes_late_crosses_the_sticks_where_that_is_sooner() {
    // By the pan's own ways: where crossing is sooner, and still late, the lateness is that of the crossed sticks.
    let pan = part("double-second", "C4", "D4");
    let notes: Vec<Pitch> = layout("double-second").expect("a layout").note_set().iter().collect();
    let need =
        |a: Pitch, b: Pitch| pan.hands.need(pan.hands.place(a).expect("there"), pan.hands.place(b).expect("there"));
    let mut found = 0;
    // C and E, then F# and A#: no note of one chord is in the other.
    let of = |name: &str| -> Vec<Pitch> {
        let class = pitch(name).class();
        notes.iter().filter(|note| note.class() == class).copied().collect()
    };
    let pairs = |first: &str, second: &str| -> Vec<(Pitch, Pitch)> {
        of(first).into_iter().flat_map(|low| of(second).into_iter().map(move |high| (low, high))).collect()
    };
    for (c, e) in pairs("C4", "E4") {
        for (f, a) in pairs("F#4", "A#4") {
            let ([a0, a1], [b0, b1]) = ([c.min(e), c.max(e)], [f.min(a), f.max(a)]);
            let straight = need(a0, b0).max(need(a1, b1));
            let crossed = need(a0, b1).max(need(a1, b0));
            if crossed + 20_000 > straight {
                continue;
            }
            found += 1;
            let set: NoteSet = [a0, a1, b0, b1].into_iter().collect();
            let cost = |gap: Option<i64>| {
                let mut moments = moments("C F#", 1, None);
                moments[1].gaps = vec![gap];
                voice(&[Strummer { set, ..pan.clone() }], &moments).cost
            };
            // 50 ms short: 20 each, our own setting.
            assert_eq!(cost(Some(crossed - 50_000)) - cost(None), 1_000, "{a0} {a1} {b0} {b1}");
        }
    }
    assert!(found > 0, "there are such pairs");
}
