//! Eight neighbouring cells at once: one Dubinin vapour with a driving force.
//!
//! Each lane holds one cell and lags the lane upstream of it by one step, so that what leaves one
//! cell is what enters the next at the following tick. The loads stay in registers for the whole
//! segment; no matter how wide the machine's vectors are, each lane does the same operations in
//! the same order, so that every path gives the same digits.
//!
//! INVARIANT (lanes): every array here has one entry for each lane, and every index runs over them.
#![expect(
    clippy::indexing_slicing,
    reason = "loops over the lanes of fixed arrays, INVARIANT (lanes), which the compiler turns into vectors"
)]

use super::dubinin::Dubinin;
use super::scheme::{Steps, weight};

// Values are chosen, never branched on: a branch would keep the compiler from using vectors.
use std::hint::select_unpredictable as choose;

/// Cells in a strip.
pub(super) const LANES: usize = 8;

/// One number for each lane. Lane 0 is the last cell of the strip along the flow.
type Lanes = [f64; LANES];

/// What a strip of cells remembers from one step to the next.
#[derive(Debug, Clone, Copy)]
pub(super) struct Strip {
    /// Load, mol/kg.
    pub load: Lanes,
    /// Logarithm of the level within the cell at the last step: where the next search starts.
    pub ln_c: Lanes,
    /// How much that changed in the last step.
    pub trend: Lanes,
    /// Slope of the equilibrium there, m³/kg: weighs inlet and outlet in the next step.
    pub slope: Lanes,
}

/// Searches that end within this distance in the logarithm are exact to rounding after the last
/// step, because the distance falls as its square.
const NEAR: f64 = 1e-6;
/// Greatest change of the logarithm in one step.
const FARTHEST: f64 = 30.0;
/// Steps after which a lane that has not ended is handed to the bracketed search.
const MOST_STEPS: usize = 12;

/// Marches `strip` through `steps`; `stream` holds the level at its upstream face for each step
/// and is overwritten with that at its downstream face.
#[inline(always)]
pub(super) fn march_strip(law: &Dubinin, steps: &Steps, stream: &mut [f64], strip: &mut Strip) {
    let mut left: Lanes = [0.0; LANES];
    let count = stream.len();
    // INVARIANT (lag): lane j works on step `tick + j - (LANES - 1)`; `steps` is padded with
    // LANES - 1 idle steps on both sides, so a window of LANES steps exists for every tick.
    for (tick, window) in steps.windows().enumerate() {
        let mut enters: Lanes = [0.0; LANES];
        enters[..LANES - 1].copy_from_slice(&left[1..]);
        enters[LANES - 1] = stream.get(tick).copied().unwrap_or(0.0);
        left = step(law, window, &enters, strip);
        if let Some(place) = (tick + 1).checked_sub(LANES)
            && place < count
            && let Some(level) = stream.get_mut(place)
        {
            *level = left[0];
        }
    }
}

/// One step of each lane; gives the levels that leave.
#[inline(always)]
fn step(
    law: &Dubinin,
    (bed, per_bed): (&Lanes, &Lanes),
    enters: &Lanes,
    strip: &mut Strip,
) -> Lanes {
    let mut per_theta = [0.0; LANES];
    let mut a = [0.0; LANES];
    let mut s = [0.0; LANES];
    for j in 0..LANES {
        let theta;
        (theta, per_theta[j]) = weight(bed[j] * strip.slope[j]);
        a[j] = theta * bed[j];
        s[j] = enters[j] + a[j] * strip.load[j];
    }
    let found = balance(law, &a, &s, strip);
    let mut leaves = [0.0; LANES];
    for j in 0..LANES {
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
struct Found {
    c: Lanes,
    slope: Lanes,
}

/// Levels with `c + a q*(c) = s` in each lane. Lanes on the straight line or at an idle step keep
/// where their search starts.
#[inline(always)]
fn balance(law: &Dubinin, a: &Lanes, s: &Lanes, strip: &mut Strip) -> Found {
    let mut live = [0.0; LANES];
    let mut straight_c = [0.0; LANES];
    let mut ln_c = [0.0; LANES];
    for j in 0..LANES {
        // On the straight line the balance is solved as it stands.
        straight_c[j] = s[j] / (1.0 + a[j] * law.henry);
        let searched = a[j] > 0.0 && straight_c[j] > law.tangent;
        live[j] = choose(searched, 1.0, 0.0);
        // What the last step changed, it will about change again, unless a front just came.
        let trend = choose(strip.trend[j].abs() < 0.3, strip.trend[j], 0.0);
        ln_c[j] = strip.ln_c[j] + live[j] * trend;
    }
    let mut c = [0.0; LANES];
    let mut held = [0.0; LANES];
    let mut far = 1;
    for _ in 0..MOST_STEPS {
        far = 0;
        for j in 0..LANES {
            let moved;
            (moved, c[j], held[j]) = newton(law, a[j], s[j], ln_c[j]);
            let moved = live[j] * moved;
            ln_c[j] += moved;
            far |= u64::from(moved.abs() >= NEAR);
        }
        if far == 0 {
            break;
        }
    }
    if far != 0 {
        rescue(law, (a, s), &mut ln_c, (&mut c, &mut held));
    }
    let mut found = Found { c: [0.0; LANES], slope: [0.0; LANES] };
    for j in 0..LANES {
        let searched = live[j] > 0.0;
        found.c[j] = choose(searched, c[j], straight_c[j]);
        found.slope[j] = choose(searched, held[j] / c[j], law.henry);
        strip.trend[j] = choose(searched, ln_c[j] - strip.ln_c[j], 0.0);
        strip.ln_c[j] = ln_c[j];
    }
    found
}

/// One step of Newton's search on the logarithm: how far to move, the level after it, and load by
/// logarithmic slope before it.
#[inline(always)]
fn newton(law: &Dubinin, a: f64, s: f64, ln_c: f64) -> (f64, f64, f64) {
    let level = exp(ln_c);
    let reduced = law.b * (law.ln_saturation - ln_c);
    let reduced = choose(reduced > 0.0, reduced, 0.0);
    let share = exp(-(reduced * reduced));
    let straight = reduced >= law.reduced_tangent;
    let load = choose(straight, law.henry * level, law.full * share);
    let rises = load * choose(straight, 1.0, 2.0 * law.b * reduced);
    let sum = level + a * load;
    // ln(s / sum): near one by a fraction that is right to third order, far from it roughly.
    let (up, down) = (2.0 * (s - sum), s + sum);
    let near = up.abs() < 0.5 * down;
    let rough = rough_ln(s) - rough_ln(sum);
    let misfit = choose(near, up, rough) * sum;
    let moved = misfit / (choose(near, down, 1.0) * (level + a * rises));
    let moved = choose(moved > FARTHEST, FARTHEST, moved);
    let moved = choose(moved < -FARTHEST, -FARTHEST, moved);
    // exp of a small step, to fourth order.
    let c = level * (1.0 + moved * (1.0 + moved * (0.5 + moved * (1.0 / 6.0))));
    (moved, c, rises)
}

/// ln of a positive number to within 0.06: its exponent and mantissa bits read as one number.
#[inline(always)]
fn rough_ln(x: f64) -> f64 {
    const TWO_52: f64 = 4_503_599_627_370_496.0;
    const PER_TWO_32: f64 = 1.0 / 4_294_967_296.0;
    let whole = f64::from_bits((x.to_bits() >> 20) | TWO_52.to_bits()) - TWO_52;
    (whole * PER_TWO_32 - 1022.96) * std::f64::consts::LN_2
}

/// The bracketed search for every lane: rare, and the same on every path.
#[cold]
#[inline(never)]
fn rescue(
    law: &Dubinin,
    (a, s): (&Lanes, &Lanes),
    ln_c: &mut Lanes,
    (c, rises): (&mut Lanes, &mut Lanes),
) {
    for j in 0..LANES {
        if a[j] > 0.0 && s[j] / (1.0 + a[j] * law.henry) > law.tangent {
            ln_c[j] = law.balance(a[j], s[j], ln_c[j]);
            c[j] = ln_c[j].exp();
            let (load, logarithmic) = law.load_at_ln(ln_c[j]);
            rises[j] = load * logarithmic;
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
}
