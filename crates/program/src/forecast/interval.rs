//! How many events the weeks to come will bring, told from the weeks that were.

/// What a number of weeks is expected to bring, and a range that holds it in nine of ten cases.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Range {
    pub(super) expected: f64,
    pub(super) low: f64,
    pub(super) high: f64,
}

/// The parts of the tails that the range leaves out, each.
const TAIL: f64 = 0.05;

/// No list of needs goes further than this.
const MOST: u32 = 10_000_000;

/// What `ahead` weeks will bring where past weeks brought `weekly`.
///
/// Counts of events that come one by one at a steady rate are Poisson; with the prior of Jeffreys for
/// the rate, what comes next is negative binomial with size X + 1/2 and probability H / (H + N) for X
/// events in H weeks and N weeks ahead. Where past weeks scatter more than Poisson counts do, by the
/// factor `dispersion`, events are taken to come in lots of that size, which widens the range.
///
/// Source: the mixture of Poisson counts over a gamma rate is a general result, here from memory; the
/// numbers agree with `scipy.stats.nbinom` of SciPy 1.17.1 (`tests/data/forecast/ranges.csv`).
pub(super) fn from_weeks(weekly: &[f64], ahead: u32) -> Range {
    let weeks = count(weekly.len());
    let total: f64 = weekly.iter().sum();
    let ahead = f64::from(ahead);
    if weeks <= 0.0 || ahead <= 0.0 {
        return Range { expected: 0.0, low: 0.0, high: 0.0 };
    }
    let lot = dispersion(weekly);
    let (size, probability) = (total / lot + 0.5, weeks / (weeks + ahead));
    let (low, high) = negative_binomial(size, probability);
    Range { expected: total / weeks * ahead, low: low * lot, high: high * lot }
}

/// What comes where the mean is known and only chance is left: Poisson.
pub(super) fn from_mean(mean: f64) -> Range {
    let (low, high) = quantiles(libm::exp(-mean), |count| mean / count);
    let usual = mean < 700.0;
    // Beyond, the first term is too small for a double, and the normal limit is closer than a piece.
    let normal = |z: f64| (mean + z * mean.sqrt()).max(0.0);
    Range {
        expected: mean,
        low: if usual { low } else { normal(-NORMAL_TAIL).floor() },
        high: if usual { high } else { normal(NORMAL_TAIL).ceil() },
    }
}

/// The point of the normal distribution above which [`TAIL`] of it lies.
const NORMAL_TAIL: f64 = 1.644_853_626_951_472_2;

/// Variance of the weeks over their mean, at least 1.
pub(super) fn dispersion(weekly: &[f64]) -> f64 {
    let weeks = count(weekly.len());
    let mean = weekly.iter().sum::<f64>() / weeks;
    if weeks < 2.0 || mean <= 0.0 {
        return 1.0;
    }
    let squares: f64 = weekly.iter().map(|week| (week - mean) * (week - mean)).sum();
    (squares / (weeks - 1.0) / mean).max(1.0)
}

fn negative_binomial(size: f64, probability: f64) -> (f64, f64) {
    let mean = size * (1.0 - probability) / probability;
    let first = libm::exp(size * libm::log(probability));
    if first > f64::MIN_POSITIVE {
        return quantiles(first, |count| (size + count - 1.0) / count * (1.0 - probability));
    }
    let spread = (mean / probability).sqrt();
    let low = (mean - NORMAL_TAIL * spread).max(0.0).floor();
    (low, (mean + NORMAL_TAIL * spread).ceil())
}

/// The lowest counts at which the sum of the terms reaches the lower and the upper tail. `first` is
/// the chance of none, `ratio` that of a count over that of the count before it.
fn quantiles(first: f64, ratio: impl Fn(f64) -> f64) -> (f64, f64) {
    let (mut term, mut sum, mut low) = (first, first, None);
    for count in 1..=MOST {
        let before = f64::from(count - 1);
        if low.is_none() && TAIL <= sum {
            low = Some(before);
        }
        if 1.0 - TAIL <= sum {
            return (low.unwrap_or(before), before);
        }
        term *= ratio(f64::from(count));
        sum += term;
    }
    (low.unwrap_or_default(), f64::from(MOST))
}

fn count(length: usize) -> f64 {
    u32::try_from(length).map_or(f64::from(u32::MAX), f64::from)
}

#[cfg(test)]
mod tests {
    use super::*;

    const RANGES: &str = include_str!("../../../../tests/data/forecast/ranges.csv");

    #[test]
    fn ranges_agree_with_a_general_library() {
        let mut compared = 0;
        let mut reader = csv::Reader::from_reader(RANGES.as_bytes());
        for row in reader.records().map(Result::unwrap) {
            let number = |at: usize| row[at].parse::<f64>().unwrap();
            let (low, high) = match &row[0] {
                "nbinom" => negative_binomial(number(1), number(2)),
                "poisson" => {
                    let range = from_mean(number(1));
                    (range.low, range.high)
                }
                other => panic!("{other}"),
            };
            // Summed counts are the same; the normal limit of large ones may be off by a piece or two
            // in a thousand.
            let slack = if number(1) < 700.0 { 0.0 } else { 2e-3 };
            let near = |ours: f64, theirs: f64| (ours - theirs).abs() <= theirs * slack;
            assert!(near(low, number(3)) && near(high, number(4)), "{row:?}: {low} {high}");
            compared += 1;
        }
        assert_eq!(compared, 22);
    }

    #[test]
    fn a_steady_week_goes_on_and_more_weeks_narrow_the_range() {
        let range = from_weeks(&[4.0; 26], 13);
        assert_eq!(range.expected, 52.0);
        assert!(range.low < 52.0 && 52.0 < range.high, "{range:?}");
        let short = from_weeks(&[4.0; 4], 13);
        assert!(short.low < range.low && range.high < short.high, "{short:?} {range:?}");
        let none = from_weeks(&[], 13);
        assert_eq!(none, Range { expected: 0.0, low: 0.0, high: 0.0 });
    }

    /// A generator for tests: the same numbers each time (xorshift, Marsaglia 2003, triple 13 7 17).
    struct Chance(u64);

    impl Chance {
        fn next(&mut self) -> f64 {
            self.0 ^= self.0 << 13;
            self.0 ^= self.0 >> 7;
            self.0 ^= self.0 << 17;
            f64::from(u32::try_from(self.0 >> 32).unwrap()) / 4_294_967_296.0
        }

        /// A Poisson count: how many exponential gaps fit into the mean.
        fn poisson(&mut self, mean: f64) -> f64 {
            let (mut count, mut sum) = (-1.0, 0.0);
            while sum <= mean {
                sum -= (1.0 - self.next()).ln();
                count += 1.0;
            }
            count
        }
    }

    /// In which part of many plants the weeks ahead fall into the range told from the weeks before;
    /// events come in lots.
    fn covered(rate: f64, (before, ahead): (usize, u32), lot: f64) -> f64 {
        let mut chance = Chance(0x9e37_79b9_7f4a_7c15);
        let plants = 4000;
        let mut held = 0;
        for _ in 0..plants {
            let weekly: Vec<f64> = (0..before).map(|_| lot * chance.poisson(rate)).collect();
            let range = from_weeks(&weekly, ahead);
            let came: f64 = (0..ahead).map(|_| lot * chance.poisson(rate)).sum();
            held += u32::from(range.low <= came && came <= range.high);
        }
        f64::from(held) / f64::from(plants)
    }

    #[test]
    fn the_range_holds_nine_of_ten_plants() {
        for (rate, weeks) in
            [(0.3, (26, 13)), (1.0, (26, 13)), (4.0, (26, 13)), (12.0, (26, 4)), (4.0, (8, 26))]
        {
            // Counts are whole, and so a range holds a little more than it says.
            let part = covered(rate, weeks, 1.0);
            assert!((0.89..=0.97).contains(&part), "{rate} {weeks:?}: {part}");
        }
    }

    #[test]
    fn the_range_holds_when_events_come_in_lots() {
        for rate in [0.5, 2.0] {
            let part = covered(rate, (26, 13), 4.0);
            assert!((0.86..=0.97).contains(&part), "{rate}: {part}");
        }
    }

    #[test]
    fn weeks_that_scatter_widen_the_range() {
        let even = from_weeks(&[6.0; 12], 6);
        let lots: Vec<f64> = [0.0, 0.0, 18.0].repeat(4);
        let scattered = from_weeks(&lots, 6);
        assert_eq!(even.expected, scattered.expected);
        assert!(scattered.low < even.low && even.high < scattered.high);
    }
}
