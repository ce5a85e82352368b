//! Integrated loudness from energies: the gate of ITU-R BS.1770.

/// How many stretches of 100 ms a block of the gate has. Blocks begin with every stretch, so that they overlap by 75 %.
const BLOCK: usize = 4;

/// The gates: in LUFS, and in LU against the loudness of what passed the first.
const GATES: (f64, f64) = (-70.0, -10.0);

/// The standard's offset in LU, by which a full-scale sine of 997 Hz reads -3.01.
const OFFSET: f64 = -0.691;

/// The samples of a stretch of 100 ms.
pub fn stretch(rate: u32) -> usize {
    (rate as usize + 5) / 10
}

/// Integrated loudness in LUFS; minus infinity when nothing passes the gate.
///
/// - `energies`: of each stretch, the sum of the squares of the K-weighted samples of all channels.
/// - `frames`: the samples of a stretch.
pub fn gated(energies: &[f64], frames: usize) -> f64 {
    let block = |stretches: &[f64]| stretches.iter().sum::<f64>() / (BLOCK * frames) as f64;
    let blocks: Vec<f64> = energies.windows(BLOCK).map(block).collect();
    let first = mean_above(&blocks, power(GATES.0));
    let second = mean_above(&blocks, power(GATES.0).max(first * 10f64.powf(GATES.1 / 10.0)));
    OFFSET + 10.0 * second.log10()
}

/// The mean square that has a loudness.
fn power(loudness: f64) -> f64 {
    10f64.powf((loudness - OFFSET) / 10.0)
}

/// The mean of the blocks above a gate; 0 when there are none.
fn mean_above(blocks: &[f64], gate: f64) -> f64 {
    let above = blocks.iter().filter(|block| **block > gate);
    let (count, sum) = above.fold((0u32, 0.0), |(count, sum), block| (count + 1, sum + block));
    if count > 0 { sum / f64::from(count) } else { 0.0 }
}
