//! The times and ways of the hands against the published law, worked out anew from where the notes lie.

use super::*;
use crate::pan::layout;

/// Fitts's law in Shannon's form, in milliseconds, with our own fit to Fitts's table: 27.7 ms and 111.5 ms a bit; see [`INTERCEPT_MS`].
fn fitts(distance: f64, width: f64) -> f64 {
    27.7 + 111.5 * ((distance + width) / width).ln() / 2f64.ln()
}

#[test]
fn a_movement_takes_what_the_law_says() {
    // Distances that make whole bits: 100 mm to a note 100 mm wide is one bit, 300 are two, 700 three; by hand from the law.
    let bits = [(0.0, 27.7), (100.0, 139.2), (300.0, 250.7), (700.0, 362.2), (1500.0, 473.7)];
    // The shares of the levels: our own settings, see `figures`.
    let shares = [(Level::Beginner, 1.4), (Level::Intermediate, 0.9), (Level::Experienced, 9.0 / 14.0)];
    for (distance, milliseconds) in bits {
        assert!((1000.0 * law(distance, 100.0) - milliseconds).abs() < 1e-9, "{distance}");
        for (level, share) in shares {
            let time = 1000.0 * move_time(distance, 100.0, level);
            assert!((time - share * milliseconds).abs() < 1e-9, "{level:?}: {distance} mm in {time} ms");
        }
    }
    // No note is narrower than a millimetre.
    assert!((law(7.0, 0.0) - law(7.0, 1.0)).abs() < 1e-12);
}

/// How wide a note is as seen from a place: the chord of an ellipse, or of a tile, through its middle.
fn width(note: &NotePlace, from: Point) -> f64 {
    let (x, y) = (from.x - note.centre.x, from.y - note.centre.y);
    let angle = if x == 0.0 && y == 0.0 { 0.0 } else { y.atan2(x) };
    match note.area {
        Area::Oval { along, deep, turn } => {
            let seen = angle - turn.to_radians();
            // Polar form of an ellipse round its middle.
            2.0 * along * deep / ((deep * seen.cos()).powi(2) + (along * seen.sin()).powi(2)).sqrt()
        }
        Area::Tile { half_width, half_height } => {
            let (across, along) = (half_width / angle.cos().abs(), half_height / angle.sin().abs());
            2.0 * across.min(along)
        }
    }
}

#[test]
fn every_way_on_every_kind_of_layout_takes_what_the_law_says() {
    // Strokes a second of one hand, of a double, and the share of the law's time: our own settings, see `figures`.
    let levels = [
        (Level::Beginner, 3.0, 5.0, 1.4),
        (Level::Intermediate, 5.0, 8.0, 0.9),
        (Level::Experienced, 7.0, 12.0, 9.0 / 14.0),
    ];
    let mut by_the_law = 0;
    for name in ["lead-c", "double-second", "triple-cello", "six-bass", "nine-bass", "quadrophonic"] {
        let pan = layout(name).expect(name);
        for (level, repeats, double, share) in levels {
            let hands = Hands::new(pan, level);
            let notes: Vec<NotePlace> = Geometry::of(pan).notes.into_iter().filter(|note| !note.dead).collect();
            assert_eq!(hands.repeat(), (1e6f64 / repeats).round() as i64);
            assert_eq!(hands.double(), (1e6f64 / double).round() as i64);
            let mut longest = 0;
            for from in &notes {
                for to in &notes {
                    let (x, y) = (from.centre.x - to.centre.x, from.centre.y - to.centre.y);
                    let distance = (x * x + y * y).sqrt();
                    let moving = 1000.0 * share * fitts(distance, width(to, from.centre));
                    let need = moving.max(1e6 / repeats);
                    let places = (hands.place(from.pitch).expect("there"), hands.place(to.pitch).expect("there"));
                    let found = hands.need(places.0, places.1);
                    assert!(
                        (found as f64 - need).abs() <= 1.0,
                        "{name}: {} to {}: {found}, not {need}",
                        from.name,
                        to.name
                    );
                    let way = hands.way(places.0, places.1) as f64;
                    assert!((way - distance).abs() <= 0.5 + 1e-9, "{name}: {} to {}", from.name, to.name);
                    longest = longest.max(found);
                    by_the_law += usize::from(moving > 1e6 / repeats);
                }
                assert!(
                    (hands.right(hands.place(from.pitch).expect("there")) as f64 - from.centre.x).abs() <= 0.5 + 1e-9
                );
            }
            assert_eq!(hands.longest(), longest);
        }
    }
    assert!(by_the_law > 1000, "most ways take longer than repeating: {by_the_law}");
}
