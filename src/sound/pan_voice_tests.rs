//! How a stroke on a pan begins: a few cents above its pitch at most, the more the harder it is struck.

use super::*;

#[test]
fn no_partial_glides_by_more_than_a_few_cents() {
    let glides = |velocity: u8| -> Vec<f64> {
        let note = StruckNote {
            kind: PanKind::Lead,
            frequency: Hertz(523.25),
            force: Force::from_velocity(velocity),
            note_seed: Seed::of(&[1]),
            neighbours: Vec::new(),
            lifted: false,
        };
        note.ring().iter().map(|partial| partial.glide).collect()
    };
    // Seven cents at full force, falling with its square: our own setting, see `GLIDE`.
    let full = glides(127);
    assert!(full.len() > PARTIALS);
    assert!(full.iter().all(|glide| (glide - 7.0).abs() < 1e-4), "{full:?}");
    let softer = f64::from(Force::from_velocity(64).value());
    assert!(glides(64).iter().all(|glide| (glide - 7.0 * softer * softer).abs() < 1e-4), "{:?}", glides(64));
    assert!(glides(64)[0] < full[0] / 3.0);
}
