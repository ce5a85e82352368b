//! What is too fast only because the tune swings: the short part of a swung beat is shorter than it is written.

use crate::hands::limit::beats;
use crate::hands::movement::COMFORTABLE;
use crate::hands::report::Played;
use crate::hands::tempo::Share;
use crate::music::Tempo;
use crate::tune::Tune;

/// The share of the tempo that is the written tempo.
const AS_WRITTEN: Share = 1000;

/// How fast the bar of a stroke can be played straight, when it is only the swing that makes it too fast; `None` when it doesn't, or
/// when the tune is straight.
///
/// - `tempo`: of the stroke's section.
pub fn straight(tune: &Tune, part: usize, played: &Played, stroke: usize, tempo: Tempo) -> Option<String> {
    if tune.swing.0 == tune.swing.1 {
        return None;
    }
    let straight = Tune { swing: (1, 1), ..tune.clone() };
    let even = Played::new(&straight, part, played.pan, played.hands.level());
    let share = even.bar_possible(&straight, part, stroke).filter(|share| *share >= AS_WRITTEN)?;
    let (first, second) = tune.swing;
    Some(format!(
        "it is `swing {first}:{second}` that makes it too fast: played straight, it is comfortable up to {} and possible up to {}",
        beats(tempo, share, COMFORTABLE),
        beats(tempo, share, 1.0)
    ))
}
