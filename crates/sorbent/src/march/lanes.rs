//! Neighbouring cells at once: one Dubinin vapour with a driving force.
//!
//! Each lane holds one cell and lags the lane upstream of it by one step, so that what leaves one
//! cell is what enters the next at the following tick. The loads stay in registers for the whole
//! segment; no matter how wide the machine's vectors are, each lane does the same operations in
//! the same order, so that every path gives the same digits.
//!
//! INVARIANT (lanes): every array here has one entry for each lane, and every index runs over them.
#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    reason = "loops over the lanes of fixed arrays, INVARIANT (lanes), which the compiler turns into vectors"
)]

use super::dubinin::Dubinin;
use super::scheme::{Steps, weight};

// Values are chosen, never branched on: a branch would keep the compiler from using vectors.
use std::hint::select_unpredictable as choose;

/// The number of cells is a multiple of this.
pub(super) const LANES: usize = 8;
/// Cells in a wide strip: enough that one lane's arithmetic hides the wait for another's.
pub(super) const WIDE: usize = 24;

/// What a strip of `N` cells remembers from one step to the next. Lane 0 is the last cell of the
/// strip along the flow. Aligned so that no vector of it lies across two lines of the cache.
#[derive(Debug, Clone, Copy)]
#[repr(align(64))]
pub(super) struct Strip<const N: usize> {
    /// Load, mol/kg.
    pub load: [f64; N],
    /// Logarithm of the level within the cell at the last step: where the next search starts.
    pub ln_c: [f64; N],
    /// The curve there.
    at: At<N>,
    /// Slope of the equilibrium there, m³/kg: weighs inlet and outlet in the next step.
    pub slope: [f64; N],
}

impl<const N: usize> Strip<N> {
    /// Cells with loads, logarithms of levels and slopes in the order of the flow.
    #[inline(always)]
    pub fn new(law: &Dubinin, load: &[f64], ln_c: &[f64], slope: &[f64]) -> Self {
        let ln_c = backwards(ln_c);
        Self { load: backwards(load), ln_c, at: At::new(law, &ln_c), slope: backwards(slope) }
    }
}

/// Searches that end within this distance in the logarithm are exact to 4e-12 after the last step,
/// because a quarter of its fourth power is left.
const NEAR: f64 = 2e-3;
/// Greatest move for which the series of the search and of the curve stand; beyond it logarithm and
/// exponential themselves are taken.
const SERIES: f64 = 0.25;
/// The same for the series on the logarithm of the sum.
const SERIES_FAR: f64 = 1.0;
/// Greatest change of the logarithm in one step.
const FARTHEST: f64 = 30.0;
/// Steps after which a lane that has not ended is handed to the bracketed search.
const MOST_STEPS: usize = 12;

/// Marches `strip` through `steps`; `stream` holds the level at its upstream face for each step
/// and is overwritten with that at its downstream face.
#[inline(always)]
pub(super) fn march_strip<const N: usize>(
    law: &Dubinin,
    steps: &Steps,
    stream: &mut [f64],
    strip: &mut Strip<N>,
) {
    let mut left = [0.0; N];
    let count = stream.len();
    // INVARIANT (lag): lane j works on step `tick + j - (N - 1)`; a window of N steps, some of them
    // idle, exists for every tick.
    for (tick, window) in steps.windows::<N>().enumerate() {
        let mut enters = [0.0; N];
        enters[..N - 1].copy_from_slice(&left[1..]);
        enters[N - 1] = stream.get(tick).copied().unwrap_or(0.0);
        left = step(law, window, &enters, strip);
        if let Some(place) = (tick + 1).checked_sub(N)
            && place < count
            && let Some(level) = stream.get_mut(place)
        {
            *level = left[0];
        }
    }
}

/// A list of cells in the order of the lanes and back: lane 0 is the last cell of its strip.
#[inline(always)]
pub(super) fn backwards<const N: usize>(cells: &[f64]) -> [f64; N] {
    let mut lanes = [0.0; N];
    for (lane, cell) in lanes.iter_mut().zip(cells.iter().rev()) {
        *lane = *cell;
    }
    lanes
}

/// One step of each lane; gives the levels that leave.
#[inline(always)]
fn step<const N: usize>(
    law: &Dubinin,
    (bed, per_bed): (&[f64; N], &[f64; N]),
    enters: &[f64; N],
    strip: &mut Strip<N>,
) -> [f64; N] {
    let mut per_theta = [0.0; N];
    let mut a = [0.0; N];
    let mut s = [0.0; N];
    for j in 0..N {
        let theta;
        (theta, per_theta[j]) = weight(bed[j] * strip.slope[j]);
        a[j] = theta * bed[j];
        s[j] = enters[j] + a[j] * strip.load[j];
    }
    let found = balance(law, &a, &s, strip);
    let mut leaves = [0.0; N];
    for j in 0..N {
        let out = enters[j] - (enters[j] - found.c[j]) * per_theta[j];
        // A cell that would take more than enters takes what enters.
        let out = choose(out > 0.0, out, 0.0);
        let idle = bed[j] == 0.0;
        leaves[j] = choose(idle, enters[j], out);
        // A cell that releases all it holds may round to just below nothing.
        let load = strip.load[j] + (enters[j] - leaves[j]) * per_bed[j];
        strip.load[j] = choose(load > 0.0, load, 0.0);
        strip.slope[j] = choose(idle, strip.slope[j], found.slope[j]);
    }
    leaves
}

/// Levels within the cells and slopes of the equilibrium there.
struct Found<const N: usize> {
    c: [f64; N],
    slope: [f64; N],
}

/// Levels with `c + a q*(c) = s` in each lane. Lanes on the straight line or at an idle step keep
/// where their search starts.
#[inline(always)]
fn balance<const N: usize>(
    law: &Dubinin,
    a: &[f64; N],
    s: &[f64; N],
    strip: &mut Strip<N>,
) -> Found<N> {
    let mut live = [0.0; N];
    let (mut any, mut all) = (0, 1);
    for j in 0..N {
        let searched = (a[j] > 0.0) & (s[j] > law.tangent * (1.0 + a[j] * law.henry));
        live[j] = choose(searched, 1.0, 0.0);
        any |= u64::from(searched);
        all &= u64::from(searched);
    }
    let mut found = Found { c: [0.0; N], slope: [law.henry; N] };
    if all == 0 {
        // On the straight line the balance is solved as it stands.
        for j in 0..N {
            found.c[j] = s[j] / (1.0 + a[j] * law.henry);
        }
    }
    if any == 0 {
        return found;
    }
    search(law, (a, s), &live, strip);
    for j in 0..N {
        let searched = live[j] > 0.0;
        let slope = strip.at.load[j] * strip.at.slope[j] / strip.at.level[j];
        found.c[j] = choose(searched, strip.at.level[j], found.c[j]);
        found.slope[j] = choose(searched, slope, law.henry);
    }
    found
}

/// Moves the lanes of `strip` that are `live` along the curve to the balance.
#[inline(always)]
fn search<const N: usize>(
    law: &Dubinin,
    (a, s): (&[f64; N], &[f64; N]),
    live: &[f64; N],
    strip: &mut Strip<N>,
) {
    let Strip { ln_c, at, .. } = strip;
    for _ in 0..MOST_STEPS {
        let mut moved = at.approach(a, s);
        let (mut off, mut any_far) = (0, 0);
        let mut far = [0; N];
        for j in 0..N {
            moved[j] = choose(live[j] > 0.0, moved[j], 0.0);
            // Not a number counts as far.
            let short = moved[j].abs() < SERIES;
            let bends = law.curved_at(ln_c[j] + moved[j]) != (at.falls[j] > 0.0);
            far[j] = u64::from(!short | bends);
            any_far |= far[j];
            off |= u64::from(moved[j].abs() >= NEAR);
        }
        if any_far != 0 {
            for j in (0..N).filter(|j| far[*j] != 0) {
                moved[j] = 0.0;
                at.put(j, jump(law, (a[j], s[j]), &mut ln_c[j], at.lane(j)));
            }
        }
        for j in 0..N {
            ln_c[j] += moved[j];
        }
        at.follow(&moved);
        if off | any_far == 0 {
            return;
        }
    }
    rescue(law, (a, s), ln_c);
    *at = At::new(law, ln_c);
}

/// Moves `ln_c` of one lane, where the curve is `at`, to near the balance from far; gives the curve
/// there. Few lanes are far at once, so that each is better moved by itself.
#[inline(never)]
fn jump(law: &Dubinin, (a, s): (f64, f64), ln_c: &mut f64, mut at: At<1>) -> At<1> {
    for _ in 0..MOST_STEPS {
        let moved = at.approach_far(a, s);
        *ln_c += moved;
        at = At::new(law, &[*ln_c]);
        if moved.abs() < SERIES_FAR {
            break;
        }
    }
    at
}

/// The curve at one level in each lane.
#[derive(Debug, Clone, Copy)]
struct At<const N: usize> {
    level: [f64; N],
    load: [f64; N],
    /// Logarithmic slope of the load.
    slope: [f64; N],
    /// Half of how that falls with the logarithm of the level.
    falls: [f64; N],
}

// Short loops one after another: each is a few operations in a row for every lane, so that one
// lane's arithmetic fills the time in which another's is under way.
impl<const N: usize> At<N> {
    #[inline(always)]
    fn new(law: &Dubinin, ln_c: &[f64; N]) -> Self {
        let (level, load, slope, falls) = ([0.0; N], [0.0; N], [0.0; N], [0.0; N]);
        let mut at = Self { level, load, slope, falls };
        for j in 0..N {
            at.level[j] = exp(ln_c[j]);
        }
        let mut share = [0.0; N];
        for j in 0..N {
            let reduced = law.b * (law.ln_saturation - ln_c[j]);
            let reduced = choose(reduced > 0.0, reduced, 0.0);
            share[j] = exp(-(reduced * reduced));
        }
        for j in 0..N {
            let reduced = law.b * (law.ln_saturation - ln_c[j]);
            let straight = reduced >= law.reduced_tangent;
            let curved = (reduced > 0.0) & !straight;
            at.load[j] = choose(straight, law.henry * at.level[j], law.full * share[j]);
            let slope = choose(curved, 2.0 * law.b * reduced, 0.0);
            at.slope[j] = choose(straight, 1.0, slope);
            at.falls[j] = choose(curved, law.b * law.b, 0.0);
        }
        at
    }

    /// How far to move on the logarithm from near the end: the series of the inverse of the sum of level
    /// and what is held, to third order (Householder). Its derivatives are exact, because both are
    /// exponentials of polynomials.
    #[inline(always)]
    fn approach(&self, a: &[f64; N], s: &[f64; N]) -> [f64; N] {
        let mut moved = [0.0; N];
        for j in 0..N {
            let (level, slope, falls) = (self.level[j], self.slope[j], self.falls[j]);
            let held = a[j] * self.load[j];
            let square = slope * slope;
            let per = 1.0 / (level + held * slope);
            let u = (s[j] - (level + held)) * per;
            let second = 0.5 * per * (level + held * (square - 2.0 * falls));
            let third = (1.0 / 6.0) * per * (level + held * slope * (square - 6.0 * falls));
            moved[j] = u * (1.0 - u * (second - u * (2.0 * second * second - third)));
        }
        moved
    }

    fn lane(&self, j: usize) -> At<1> {
        let At { level, load, slope, falls } = self;
        At { level: [level[j]], load: [load[j]], slope: [slope[j]], falls: [falls[j]] }
    }

    fn put(&mut self, j: usize, one: At<1>) {
        [self.level[j], self.load[j]] = [one.level[0], one.load[0]];
        [self.slope[j], self.falls[j]] = [one.slope[0], one.falls[0]];
    }

    /// Goes along the curve by `moved` on the logarithm of the level, each short and without leaving the
    /// part of the curve it is on.
    #[inline(always)]
    fn follow(&mut self, moved: &[f64; N]) {
        for j in 0..N {
            self.level[j] *= near_exp(moved[j]);
        }
        for j in 0..N {
            let fallen = self.falls[j] * moved[j];
            self.load[j] *= near_exp(moved[j] * (self.slope[j] - fallen));
            self.slope[j] -= 2.0 * fallen;
        }
    }
}

impl At<1> {
    /// As [`At::approach`] from far: the series of the inverse of the logarithm of the sum, which is
    /// all but straight where either level or what is held outweighs the other; from very far its
    /// first term.
    fn approach_far(&self, a: f64, s: f64) -> f64 {
        let Self { level: [level], load: [load], slope: [slope], falls: [falls] } = *self;
        let held = a * load;
        let per_sum = 1.0 / (level + held);
        let (share, rest) = (held * per_sum, 1.0 - slope);
        let per = 1.0 / (1.0 - share * rest);
        let both = share * (1.0 - share) * rest;
        let second = 0.5 * per * (both * rest - 2.0 * share * falls);
        let bend = 6.0 * falls - rest * rest * (1.0 - 2.0 * share);
        let third = (1.0 / 6.0) * per * both * bend;
        let u = ln(s * per_sum) * per;
        let series = u * (1.0 - u * (second - u * (2.0 * second * second - third)));
        if u.abs() < SERIES_FAR { series } else { u.clamp(-FARTHEST, FARTHEST) }
    }
}

/// e to a power of at most [`SERIES`], to 1e-12.
#[inline(always)]
fn near_exp(x: f64) -> f64 {
    let (x2, x4) = (x * x, x * x * x * x);
    let low = (1.0 + x) + x2 * (0.5 + x * (1.0 / 6.0));
    let middle = (1.0 / 24.0 + x * (1.0 / 120.0)) + x2 * (1.0 / 720.0 + x * (1.0 / 5_040.0));
    let high = 1.0 / 40_320.0 + x * (1.0 / 362_880.0);
    low + x4 * (middle + x4 * high)
}

/// The bracketed search for every lane: rare, and the same on every path.
#[cold]
#[inline(never)]
fn rescue<const N: usize>(law: &Dubinin, (a, s): (&[f64; N], &[f64; N]), ln_c: &mut [f64; N]) {
    for j in 0..N {
        if a[j] > 0.0 && s[j] / (1.0 + a[j] * law.henry) > law.tangent {
            ln_c[j] = law.balance(a[j], s[j], ln_c[j]);
        }
    }
}

/// e to the `x`, to within 2 units in the last place; beyond ±700 that of ±700.
///
/// Reduction by ln 2 in two parts and a Taylor series of thirteen terms; whole powers of two are
/// made in the exponent bits.
#[inline(always)]
pub(super) fn exp(x: f64) -> f64 {
    const MAGIC: f64 = 6_755_399_441_055_744.0;
    const LN2_HIGH: f64 = 6.931_471_803_691_238e-1;
    const LN2_LOW: f64 = 1.908_214_929_270_587_7e-10;
    let x = choose(x > 700.0, 700.0, x);
    let x = choose(x < -700.0, -700.0, x);
    // INVARIANT (magic): adding 1.5 * 2^52 leaves the nearest whole number in the low bits.
    let shifted = x * std::f64::consts::LOG2_E + MAGIC;
    let whole = shifted - MAGIC;
    let r = (x - whole * LN2_HIGH) - whole * LN2_LOW;
    let r2 = r * r;
    let r4 = r2 * r2;
    let low = (1.0 + r) + r2 * (0.5 + r * (1.0 / 6.0));
    let middle = (1.0 / 24.0 + r * (1.0 / 120.0)) + r2 * (1.0 / 720.0 + r * (1.0 / 5_040.0));
    let high = (1.0 / 40_320.0 + r * (1.0 / 362_880.0))
        + r2 * (1.0 / 3_628_800.0 + r * (1.0 / 39_916_800.0))
        + r4 * (1.0 / 479_001_600.0);
    let p = low + r4 * (middle + r4 * high);
    p * f64::from_bits((shifted.to_bits() << 52).wrapping_add(1023 << 52))
}

/// ln x of a normal number above zero, to 1e-15 of the greater of it and one.
///
/// The mantissa by ten terms of the series of the inverse hyperbolic tangent; the exponent is read
/// from its bits.
#[inline(always)]
pub(super) fn ln(x: f64) -> f64 {
    // INVARIANT (whole): below 2^52 the low bits of 2^52 + n are those of n.
    const WHOLE: f64 = 4_503_599_627_370_496.0;
    let bits = x.to_bits();
    let exponent = f64::from_bits((bits >> 52) | WHOLE.to_bits()) - (WHOLE + 1023.0);
    let mantissa = f64::from_bits((bits & 0x000f_ffff_ffff_ffff) | 1.0_f64.to_bits());
    let z = (mantissa - std::f64::consts::SQRT_2) / (mantissa + std::f64::consts::SQRT_2);
    let z2 = z * z;
    let z4 = z2 * z2;
    let low = (1.0 + z2 * (1.0 / 3.0)) + z4 * (1.0 / 5.0 + z2 * (1.0 / 7.0));
    let middle = (1.0 / 9.0 + z2 * (1.0 / 11.0)) + z4 * (1.0 / 13.0 + z2 * (1.0 / 15.0));
    let high = 1.0 / 17.0 + z2 * (1.0 / 19.0);
    let z8 = z4 * z4;
    let series = low + z8 * (middle + z8 * high);
    (exponent + 0.5) * std::f64::consts::LN_2 + 2.0 * z * series
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exp_is_right_to_two_units() {
        for i in -70_000..70_000 {
            let x = f64::from(i) * 0.009_999_7;
            let ours = exp(x);
            assert!((ours / x.exp() - 1.0).abs() < 5e-16, "{x}");
        }
    }

    #[test]
    fn near_exp_is_right_to_twelve_digits() {
        for i in -1_000..=1_000 {
            let x = SERIES * f64::from(i) / 1_000.0;
            assert!((near_exp(x) / x.exp() - 1.0).abs() < 1e-12, "{x}");
        }
    }

    #[test]
    fn ln_is_right_to_fifteen_digits() {
        for i in -70_000..70_000 {
            let x = (f64::from(i) * 0.009_999_7).exp();
            assert!((ln(x) - x.ln()).abs() < 1e-15 * x.ln().abs().max(1.0), "{x}");
        }
    }
}
