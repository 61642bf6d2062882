//! What an uncertain calculation comes to: its points of 5 and 95 %, which inputs matter, and how
//! far the sampling itself has settled.
//!
//! The same inputs, samples and seed give the same digits, on any number of threads.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use crate::sobol::Sobol;

/// How many independent scrambles the samples are split into; their spread is the convergence.
const SCRAMBLES: usize = 4;
/// Fewest base points of one scramble.
const LEAST_POINTS: usize = 2;
/// Most base points of one scramble.
const MOST_POINTS: usize = 1 << 20;

/// How an uncertain calculation is sampled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sampling {
    /// How many times the calculation is made, at least; rounded up to what the points of the
    /// sequence allow.
    pub samples: usize,
    /// Chooses the scrambles.
    pub seed: u32,
    /// Threads at once; none for as many as the machine has.
    pub threads: Option<usize>,
}

impl Sampling {
    /// So many samples with the seed that every stored answer was made with.
    #[must_use]
    pub fn of(samples: usize) -> Self {
        Self { samples, seed: 2026, threads: None }
    }

    /// Base points of one scramble for so many inputs: a power of two.
    fn points(self, inputs: usize) -> usize {
        let each = self.samples.div_ceil(SCRAMBLES * (inputs + 2));
        each.clamp(LEAST_POINTS, MOST_POINTS).next_power_of_two()
    }
}

/// How far a sampled calculation has come; read by whoever waits for it.
#[derive(Debug, Default)]
pub struct Progress {
    done: AtomicUsize,
    all: AtomicUsize,
}

impl Progress {
    /// Samples made, and samples to be made; zero of zero before it is known.
    #[must_use]
    pub fn made(&self) -> (usize, usize) {
        (self.done.load(Ordering::Relaxed), self.all.load(Ordering::Relaxed))
    }
}

/// What one output comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Explored {
    /// With every input at its best estimate.
    pub best: f64,
    /// Reached or passed in 95 of 100 samples.
    pub low: f64,
    /// Reached or passed in 5 of 100 samples.
    pub high: f64,
    /// Standard error of `low` that the sampling leaves, from the spread between scrambles; not a
    /// number where it is infinite in some.
    pub low_error: f64,
    /// Part of the variance that each input explains by itself.
    pub first_order: Vec<f64>,
    /// Part of the variance in which each input has a share, alone or with others.
    pub total: Vec<f64>,
}

/// What a sampled calculation comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Exploration {
    /// How many times the calculation was made.
    pub samples: usize,
    /// Each output of the calculation.
    pub outputs: Vec<Explored>,
}

/// Samples `model`, a function of one standard normal score for each of `inputs` inputs that gives
/// `outputs` numbers; infinite means never.
///
/// The points are those of the sequence of Sobol, scrambled. Each scramble of `n` base points makes
/// `n (inputs + 2)` calculations, all of which count for the points of 5 and 95 %. First-order and
/// total indices by the estimators of Jansen 1999, Comput. Phys. Commun. 117:35, on the design of
/// Saltelli and others 2010, Comput. Phys. Commun. 181:259 (both from memory, checked against the
/// closed form of a test function). Indices are of the finite values, with never taken as the
/// greatest of them.
pub fn explore(
    inputs: usize,
    outputs: usize,
    sampling: Sampling,
    model: &(impl Fn(&[f64]) -> Vec<f64> + Sync),
) -> Exploration {
    explore_watched(inputs, outputs, (sampling, &Progress::default()), model)
}

/// The same, telling how far it has come.
pub(crate) fn explore_watched(
    inputs: usize,
    outputs: usize,
    (sampling, progress): (Sampling, &Progress),
    model: &(impl Fn(&[f64]) -> Vec<f64> + Sync),
) -> Exploration {
    let points = sampling.points(inputs);
    let design = Design { inputs, points };
    let rows: Vec<Vec<f64>> = (0..SCRAMBLES)
        .flat_map(|scramble| design.rows(sampling.seed.wrapping_add(as_u32(scramble))))
        .collect();
    progress.all.fetch_add(rows.len(), Ordering::Relaxed);
    let counted = |row: &[f64]| {
        let values = model(row);
        progress.done.fetch_add(1, Ordering::Relaxed);
        values
    };
    let values = evaluate(&rows, sampling.threads, &counted);
    let best = model(&vec![0.0; inputs]);
    let each = design.calculations();
    let explored = (0..outputs).map(|output| {
        let of = |value: &Vec<f64>| value.get(output).copied().unwrap_or(0.0);
        let column: Vec<f64> = values.iter().map(of).collect();
        let lows: Vec<f64> = column.chunks(each).map(|part| quantile(part, 0.05)).collect();
        let (first_order, total) = design.indices(&column);
        Explored {
            best: best.get(output).copied().unwrap_or(0.0),
            low: quantile(&column, 0.05),
            high: quantile(&column, 0.95),
            low_error: standard_error(&lows),
            first_order,
            total,
        }
    });
    Exploration { samples: rows.len() + 1, outputs: explored.collect() }
}

/// The rows of one scramble: `points` of A, as many of B, then for each input A with that column
/// of B.
struct Design {
    inputs: usize,
    points: usize,
}

impl Design {
    fn calculations(&self) -> usize {
        self.points * (self.inputs + 2)
    }

    fn rows(&self, seed: u32) -> Vec<Vec<f64>> {
        let sobol = Sobol::new(2 * self.inputs, seed);
        let halves = (0..self.points).map(|index| {
            let mut a = sobol.normal(as_u32(index));
            let b = a.split_off(self.inputs);
            (a, b)
        });
        let (a, b): (Vec<Vec<f64>>, Vec<Vec<f64>>) = halves.unzip();
        let mut rows: Vec<Vec<f64>> = a.iter().chain(&b).cloned().collect();
        for input in 0..self.inputs {
            for (a, b) in a.iter().zip(&b) {
                let mut mixed = a.clone();
                if let (Some(to), Some(from)) = (mixed.get_mut(input), b.get(input)) {
                    *to = *from;
                }
                rows.push(mixed);
            }
        }
        rows
    }

    /// First-order and total index of each input, over all scrambles.
    fn indices(&self, column: &[f64]) -> (Vec<f64>, Vec<f64>) {
        let greatest = column.iter().copied().filter(|y| y.is_finite()).fold(0.0, f64::max);
        let column: Vec<f64> = column.iter().map(|y| y.min(greatest)).collect();
        let mut first = vec![0.0; self.inputs];
        let mut total = vec![0.0; self.inputs];
        let mut squares = 0.0;
        let count = as_f64(column.len() / (self.inputs + 2));
        let base = || column.chunks(self.calculations()).filter_map(|p| p.get(..2 * self.points));
        let mean = base().flatten().sum::<f64>() / (2.0 * count);
        for part in column.chunks(self.calculations()) {
            let mut parts = part.chunks(self.points);
            let (Some(a), Some(b)) = (parts.next(), parts.next()) else { continue };
            squares += a.iter().chain(b).map(|y| (y - mean) * (y - mean)).sum::<f64>();
            for ((mixed, first), total) in parts.zip(&mut first).zip(&mut total) {
                let gap = |from: &[f64]| -> f64 {
                    from.iter().zip(mixed).map(|(y, m)| (y - m) * (y - m)).sum()
                };
                *first += gap(b);
                *total += gap(a);
            }
        }
        let variance = squares / (2.0 * count);
        if variance <= 0.0 {
            return (vec![0.0; self.inputs], vec![0.0; self.inputs]);
        }
        let half = |gap: f64| gap / (2.0 * count * variance);
        let first = first.into_iter().map(|gap| 1.0 - half(gap)).collect();
        (first, total.into_iter().map(half).collect())
    }
}

/// The model at every row, in their order.
fn evaluate(
    rows: &[Vec<f64>],
    threads: Option<usize>,
    model: &(impl Fn(&[f64]) -> Vec<f64> + Sync),
) -> Vec<Vec<f64>> {
    let machine = || thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let threads = threads.unwrap_or_else(machine).clamp(1, 64);
    if threads == 1 {
        return rows.iter().map(|row| model(row)).collect();
    }
    // Small parts, dealt out in turn, so that no thread waits for the slowest stretch of rows.
    let part = rows.len().div_ceil(threads * 16).max(1);
    let dealt = |first: usize| rows.chunks(part).enumerate().skip(first).step_by(threads);
    let mut parts: Vec<(usize, Vec<Vec<f64>>)> = thread::scope(|scope| {
        let work = |first: usize| {
            move || -> Vec<(usize, Vec<Vec<f64>>)> {
                let of = |(place, rows): (usize, &[Vec<f64>])| {
                    (place, rows.iter().map(|row| model(row)).collect())
                };
                dealt(first).map(of).collect()
            }
        };
        let hands: Vec<_> = (0..threads).map(|first| scope.spawn(work(first))).collect();
        hands
            .into_iter()
            .flat_map(|hand| hand.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
            .collect()
    });
    parts.sort_by_key(|(place, _)| *place);
    parts.into_iter().flat_map(|(_, values)| values).collect()
}

/// The value below which `part` of the values lie, between neighbours in proportion.
pub(crate) fn quantile(values: &[f64], part: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let place = part * as_f64(sorted.len().saturating_sub(1));
    let mut below = 0;
    while as_f64(below + 1) <= place {
        below += 1;
    }
    let at = |index: usize| sorted.get(index).copied();
    let low = at(below).unwrap_or(0.0);
    let share = place - as_f64(below);
    match at(below + 1) {
        Some(high) if share > 0.0 && high > low => low + share * (high - low),
        _ => low,
    }
}

fn standard_error(values: &[f64]) -> f64 {
    let count = as_f64(values.len());
    let mean = values.iter().sum::<f64>() / count;
    let squares: f64 = values.iter().map(|value| (value - mean) * (value - mean)).sum();
    (squares / (count * (count - 1.0))).sqrt()
}

fn as_u32(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

fn as_f64(count: usize) -> f64 {
    f64::from(as_u32(count))
}

#[cfg(test)]
#[allow(
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]
mod tests {
    use super::*;

    // A sum of normals and one product, whose indices are known by hand: y = 2 z0 + z1 + z1 z2 has
    // variance 4 + 1 + 1, first-order 4/6, 1/6, 0 and total 4/6, 2/6, 1/6.
    fn known(z: &[f64]) -> Vec<f64> {
        vec![2.0 * z[0] + z[1] + z[1] * z[2], 3.0]
    }

    #[test]
    fn indices_are_those_of_the_closed_form() {
        let found = explore(3, 2, Sampling::of(40_000), &known);
        let y = &found.outputs[0];
        for (got, want) in y.first_order.iter().zip([4.0 / 6.0, 1.0 / 6.0, 0.0]) {
            assert!((got - want).abs() < 0.02, "{:?}", y.first_order);
        }
        for (got, want) in y.total.iter().zip([4.0 / 6.0, 2.0 / 6.0, 1.0 / 6.0]) {
            assert!((got - want).abs() < 0.02, "{:?}", y.total);
        }
        let still = &found.outputs[1];
        assert_eq!((still.best, still.low, still.high), (3.0, 3.0, 3.0));
        assert_eq!(still.total, [0.0, 0.0, 0.0]);
    }

    // The 5 % point of a normal is -1.6449 standard deviations.
    #[test]
    fn points_are_those_of_the_normal_and_the_error_says_how_far_they_are_off() {
        let normal = |z: &[f64]| vec![10.0 + z[0] + z[1]];
        for samples in [1_000, 20_000] {
            let found = explore(2, 1, Sampling::of(samples), &normal);
            let y = &found.outputs[0];
            let off = y.low - (10.0 - 1.644_853_6 * 2.0_f64.sqrt());
            assert!(off.abs() < 5.0 * y.low_error.max(1e-3), "{off} against {}", y.low_error);
            assert!(off.abs() < 40.0 / samples as f64 + 0.01, "{off}");
        }
    }

    #[test]
    fn the_number_of_threads_changes_no_digit_and_the_seed_does() {
        let on = |threads, seed| {
            explore(3, 2, Sampling { samples: 500, seed, threads: Some(threads) }, &known)
        };
        assert_eq!(on(1, 7), on(3, 7));
        assert_ne!(on(1, 7), on(1, 8));
    }

    #[test]
    fn never_counts_as_longer_than_every_time() {
        let sometimes = |z: &[f64]| vec![if z[0] > 0.0 { f64::INFINITY } else { 5.0 + z[0] }];
        let y = explore(1, 1, Sampling::of(3_000), &sometimes).outputs.remove(0);
        assert!(y.low < 5.0 && y.high.is_infinite() && y.total[0] > 0.9, "{y:?}");
    }
}
