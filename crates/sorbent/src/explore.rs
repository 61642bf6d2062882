//! What an uncertain calculation comes to: its points of 5 and 95 %, which inputs matter, and how
//! far the sampling itself has settled.
//!
//! The same inputs, samples and seed give the same digits, on any number of threads.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use crate::sobol::Sobol;

/// How many independent scrambles the samples are split into; their spread is the convergence.
const SCRAMBLES: usize = 4;
/// Fewest and most base points of one scramble: with fewer no copy is surely below the 5 % point.
const POINTS: (usize, usize) = (8, 1 << 20);
/// Rows asked for over base points of one scramble: of these each makes two rows of the eight of all
/// scrambles, and the rest goes to the indices, a third of the rows at least.
const ROWS_PER_POINT: usize = 12;
/// Standard normal score of one-sided 95 %.
const ONE_SIDED_95: f64 = 1.644_853_626_951_472;

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

    /// The rows of each scramble for so many inputs: a power of two of base points, and as many of
    /// these with mixed columns as the samples that were asked for leave.
    fn design(self, inputs: usize) -> Design {
        let (least, most) = POINTS;
        let asked = (self.samples / ROWS_PER_POINT).clamp(least, most);
        let half = 1 << asked.ilog2();
        let enough = self.samples <= SCRAMBLES * (2 + inputs) * half;
        let points = if enough { half } else { 2 * half };
        let left = self.samples.saturating_sub(2 * SCRAMBLES * points);
        let mixed = left.div_ceil(SCRAMBLES * inputs.max(1)).clamp(1, points);
        Design { inputs, points, mixed }
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
    /// Reached or passed in 95 of 100 copies.
    pub low: f64,
    /// At most the value that 95 of 100 of endlessly many copies would reach or pass, with 95 %
    /// confidence: no more than `low`.
    pub bound: f64,
    /// Reached or passed in 5 of 100 copies.
    pub high: f64,
    /// Standard error of `low` that the sampling leaves: the greater of the spread between scrambles
    /// and of that of the order statistics; not a number where they are infinite.
    pub low_error: f64,
    /// Part of the variance that each input explains by itself.
    pub first_order: Vec<f64>,
    /// Part of the variance in which each input has a share, alone or with others.
    pub total: Vec<f64>,
    /// Standard errors of both that the sampling leaves.
    pub index_errors: Vec<(f64, f64)>,
}

/// What a sampled calculation comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Exploration {
    /// How many times the calculation was made.
    pub samples: usize,
    /// How many of these moved every input by itself: what the points of 5 and 95 % and the bound rest
    /// on. The others serve the indices.
    pub copies: usize,
    /// Each output of the calculation.
    pub outputs: Vec<Explored>,
}

/// Samples `model`, a function of one standard normal score for each of `inputs` inputs that gives
/// `outputs` numbers; infinite means never.
///
/// The points are those of the sequence of Sobol, scrambled. Base points alone count for the points of
/// 5 and 95 %: rows that share all columns but one with a base row tell little more than it does.
///
/// The bound is a non-parametric one: the greatest rank `r` of which it is at least 95 % sure that the
/// `r`-th of the sorted copies does not exceed the true 5 % point, by the binomial of independent
/// copies (Wilks 1941, Ann. Math. Stat. 12:91; Conover, Practical Nonparametric Statistics; both from
/// memory). Scrambled points are spread more evenly than independent ones, so that the rank is taken
/// lower than it need be. It takes 59 copies, and there
/// are never fewer than 64.
///
/// First-order indices by the estimator of Saltelli and others 2010, Comput. Phys. Commun. 181:259,
/// which errs little where an index is small, total ones by that of Jansen 1999, Comput. Phys. Commun.
/// 117:35 (both from memory, checked against the closed form of a test function). Indices are of the finite values, with never taken as
/// the greatest of them.
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
    let design = sampling.design(inputs);
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
    let ranks = Ranks::of(SCRAMBLES * 2 * design.points);
    let explored = (0..outputs).map(|output| {
        let of = |value: &Vec<f64>| value.get(output).copied().unwrap_or(0.0);
        let column: Vec<f64> = values.iter().map(of).collect();
        design.explored(&column, best.get(output).copied().unwrap_or(0.0), ranks)
    });
    Exploration {
        samples: rows.len() + 1,
        copies: SCRAMBLES * 2 * design.points,
        outputs: explored.collect(),
    }
}

/// Ranks of sorted copies, from 1, that enclose the true 5 % point: each with 95 % confidence, zero
/// where no copy is surely below it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Ranks {
    below: usize,
    above: usize,
}

impl Ranks {
    /// Of so many independent copies: how many lie below the 5 % point is binomial.
    fn of(copies: usize) -> Self {
        let (part, sure) = (0.05_f64, 0.05);
        // As a logarithm, for the chance of none of many is less than any number.
        let mut chance = as_f64(copies) * (1.0 - part).ln();
        let mut sum = 0.0;
        let mut ranks = Self { below: 0, above: copies };
        for fewer in 0..copies {
            sum += chance.exp();
            if sum <= sure {
                ranks.below = fewer + 1;
            }
            if sum >= 1.0 - sure {
                ranks.above = fewer + 1;
                break;
            }
            let left = as_f64(copies - fewer) / as_f64(fewer + 1);
            chance += (left * part / (1.0 - part)).ln();
        }
        ranks
    }
}

/// The rows of one scramble: `points` of A, as many of B, then for each input the first `mixed` of A
/// with that column of B.
struct Design {
    inputs: usize,
    points: usize,
    mixed: usize,
}

impl Design {
    fn calculations(&self) -> usize {
        2 * self.points + self.mixed * self.inputs
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
            for (a, b) in a.iter().zip(&b).take(self.mixed) {
                let mut mixed = a.clone();
                if let (Some(to), Some(from)) = (mixed.get_mut(input), b.get(input)) {
                    *to = *from;
                }
                rows.push(mixed);
            }
        }
        rows
    }

    /// What one output comes to, from its values at the rows of all scrambles.
    fn explored(&self, column: &[f64], best: f64, ranks: Ranks) -> Explored {
        let parts = column.chunks(self.calculations());
        let base = parts.filter_map(|part| part.get(..2 * self.points));
        let lows: Vec<f64> = base.clone().map(|part| quantile(part, 0.05)).collect();
        let mut copies: Vec<f64> = base.flatten().copied().collect();
        copies.sort_by(f64::total_cmp);
        let ranked = |rank: usize| {
            rank.checked_sub(1).and_then(|place| copies.get(place)).copied().unwrap_or(0.0)
        };
        let (low, bound) = (quantile(&copies, 0.05), ranked(ranks.below));
        let enclosed = (ranked(ranks.above) - bound) / (2.0 * ONE_SIDED_95);
        let (first_order, total, index_errors) = self.indices(column);
        Explored {
            best,
            low,
            bound: bound.min(low),
            high: quantile(&copies, 0.95),
            // Not a number stays one: `f64::max` would pass over it.
            low_error: match standard_error(&lows) {
                between if between > enclosed || between.is_nan() => between,
                _ => enclosed,
            },
            first_order,
            total,
            index_errors,
        }
    }

    /// First-order and total index of each input, over all scrambles, and the standard errors of both.
    fn indices(&self, column: &[f64]) -> (Vec<f64>, Vec<f64>, Vec<(f64, f64)>) {
        let greatest = column.iter().copied().filter(|y| y.is_finite()).fold(0.0, f64::max);
        let column: Vec<f64> = column.iter().map(|y| y.min(greatest)).collect();
        let base = column.chunks(self.calculations()).filter_map(|p| p.get(..2 * self.points));
        let mean = Sums::of(base.clone().flatten().copied()).mean();
        let squares = Sums::of(base.flatten().map(|y| (y - mean) * (y - mean)));
        let variance = squares.mean();
        let mut sums = vec![(Sums::default(), Sums::default()); self.inputs];
        for part in column.chunks(self.calculations()) {
            let (a, rest) = part.split_at(self.points.min(part.len()));
            let (b, mixed) = rest.split_at(self.points.min(rest.len()));
            for (mixed, (first, total)) in mixed.chunks(self.mixed).zip(&mut sums) {
                for ((a, b), mixed) in a.iter().zip(b).zip(mixed) {
                    first.add((b - mean) * (mixed - a));
                    total.add(0.5 * (mixed - a) * (mixed - a));
                }
            }
        }
        if variance <= 0.0 {
            let none = vec![0.0; self.inputs];
            return (none.clone(), none, vec![(0.0, 0.0); self.inputs]);
        }
        let index = |sums: &Sums| sums.mean() / variance;
        // An error of the rows that it is summed over, and its part of that of the variance.
        let error = |sums: &Sums| sums.error().hypot(index(sums) * squares.error()) / variance;
        (
            sums.iter().map(|(first, _)| index(first)).collect(),
            sums.iter().map(|(_, total)| index(total)).collect(),
            sums.iter().map(|(first, total)| (error(first), error(total))).collect(),
        )
    }
}

/// Numbers that are summed, for their mean and its error.
#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    count: f64,
    sum: f64,
    squares: f64,
}

impl Sums {
    fn of(numbers: impl Iterator<Item = f64>) -> Self {
        let mut sums = Self::default();
        numbers.for_each(|number| sums.add(number));
        sums
    }

    fn add(&mut self, number: f64) {
        self.count += 1.0;
        self.sum += number;
        self.squares += number * number;
    }

    fn mean(&self) -> f64 {
        self.sum / self.count
    }

    /// Standard error of the mean of independent numbers; those of a scrambled sequence are spread more
    /// evenly, and theirs is at most as large.
    fn error(&self) -> f64 {
        let mean = self.mean();
        let variance = (self.squares / self.count - mean * mean).max(0.0);
        (variance / (self.count - 1.0).max(1.0)).sqrt()
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

    // The closed form again, at many seeds: the error told is that of the index.
    #[test]
    fn the_error_of_an_index_says_how_far_it_is_off() {
        let (first, total) = ([4.0 / 6.0, 1.0 / 6.0, 0.0], [4.0 / 6.0, 2.0 / 6.0, 1.0 / 6.0]);
        let (mut beyond, mut all, mut told, mut off) = (0, 0, 0.0, 0.0);
        for seed in 0..60 {
            let sampling = Sampling { samples: 1_500, seed: 100 * seed, threads: Some(1) };
            let y = explore(3, 2, sampling, &known).outputs.remove(0);
            for (place, (first_error, total_error)) in y.index_errors.iter().enumerate() {
                let pairs = [
                    (y.first_order[place] - first[place], *first_error),
                    (y.total[place] - total[place], *total_error),
                ];
                for (by, error) in pairs {
                    all += 1;
                    beyond += usize::from(by.abs() > 2.0 * error);
                    told += error * error;
                    off += by * by;
                }
            }
        }
        assert!(20 * beyond <= all, "{beyond} of {all} lie beyond two errors");
        let ratio = (told / off).sqrt();
        assert!((0.9..4.0).contains(&ratio), "{ratio} times as large as it is");
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

    // Wilks: the least of 59 copies lies below the 5 % point with 95 % confidence, that of 58 does not;
    // the second of 93. Above, the rank of 59 copies that lies over it (binomial, by hand).
    #[test]
    fn ranks_are_those_of_the_binomial() {
        let below = |copies| Ranks::of(copies).below;
        assert_eq!([58, 59, 92, 93, 124].map(below), [0, 1, 1, 2, 3]);
        assert_eq!(Ranks::of(59).above, 7);
        let many = Ranks::of(100_000);
        // Mean 5000, deviation 68.9.
        assert!((4_884..=4_888).contains(&many.below) && (5_113..=5_117).contains(&many.above));
    }

    // One copy in sixteen ends near one time and the rest far later, with none between, as where a shift
    // has one humid hour: the 5 % point lies below the gap, and so must the bound, whatever the seed.
    #[test]
    fn the_bound_stays_below_the_five_percent_point_of_a_life_with_a_gap() {
        let gap = |z: &[f64]| {
            let sum = z.iter().sum::<f64>() / (z.len() as f64).sqrt();
            // 6.2 % of the copies end before the gap.
            vec![if sum < -1.538 { 60.0 + 0.1 * (sum + 1.538) } else { 90.0 + 5.0 * sum.max(0.0) }]
        };
        let mut over = 0;
        for seed in 0..40 {
            let sampling = Sampling { samples: 1_000, seed: 100 * seed, threads: Some(1) };
            let y = explore(9, 1, sampling, &gap).outputs.remove(0);
            over += usize::from(y.bound > 60.0);
        }
        assert!(over <= 2, "{over} of 40 bounds lie in the gap");
    }

    #[test]
    fn never_counts_as_longer_than_every_time() {
        let sometimes = |z: &[f64]| vec![if z[0] > 0.0 { f64::INFINITY } else { 5.0 + z[0] }];
        let y = explore(1, 1, Sampling::of(3_000), &sometimes).outputs.remove(0);
        assert!(y.low < 5.0 && y.high.is_infinite() && y.total[0] > 0.9, "{y:?}");
    }
}
