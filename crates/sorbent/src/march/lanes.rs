//! Eight neighbouring cells at once: one Dubinin vapour with a driving force.
//!
//! Each lane holds one cell and lags the lane upstream of it by one step, so that what leaves one
//! cell is what enters the next at the following tick. The loads stay in registers for the whole
//! segment; no matter how wide the machine's vectors are, each lane does the same operations in
//! the same order, so that every path gives the same digits.

use super::dubinin::Dubinin;
use super::scheme::{Steps, weight};

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
    /// Slope of the equilibrium there, m³/kg: weighs inlet and outlet in the next step.
    pub slope: Lanes,
}

/// Searches that end within this distance in the logarithm are exact to rounding after the last
/// step, because the distance falls as its square.
const NEAR: f64 = 3e-7;
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
fn step(law: &Dubinin, (bed, per_bed): (&Lanes, &Lanes), enters: &Lanes, strip: &mut Strip) -> Lanes {
    let mut theta = [0.0; LANES];
    let mut a = [0.0; LANES];
    let mut s = [0.0; LANES];
    for j in 0..LANES {
        theta[j] = weight(bed[j] * strip.slope[j]);
        a[j] = theta[j] * bed[j];
        s[j] = enters[j] + a[j] * strip.load[j];
    }
    let (c, slope) = balance(law, &a, &s, &mut strip.ln_c);
    let mut leaves = [0.0; LANES];
    for j in 0..LANES {
        let out = enters[j] - (enters[j] - c[j]) / theta[j];
        // A cell that would take more than enters takes what enters.
        let out = if out > 0.0 { out } else { 0.0 };
        let idle = bed[j] == 0.0;
        leaves[j] = if idle { enters[j] } else { out };
        strip.load[j] += (enters[j] - leaves[j]) * per_bed[j];
        strip.slope[j] = if idle { strip.slope[j] } else { slope[j] };
    }
    leaves
}

/// Levels with `c + a q*(c) = s` in each lane, and the slopes of the equilibrium there. Lanes with
/// on the straight line or at an idle step keep `ln_c`.
#[inline(always)]
fn balance(law: &Dubinin, a: &Lanes, s: &Lanes, ln_c: &mut Lanes) -> (Lanes, Lanes) {
    let mut c = [0.0; LANES];
    let mut slope = [0.0; LANES];
    let mut live = [0.0; LANES];
    let mut straight_c = [0.0; LANES];
    for j in 0..LANES {
        // On the straight line the balance is solved as it stands.
        straight_c[j] = s[j] / (1.0 + a[j] * law.henry);
        let searched = a[j] > 0.0 && straight_c[j] > law.tangent;
        live[j] = if searched { 1.0 } else { 0.0 };
    }
    for _ in 0..MOST_STEPS {
        let mut far = 0;
        let level = exp(ln_c);
        let mut reduced = [0.0; LANES];
        let mut minus_square = [0.0; LANES];
        for j in 0..LANES {
            let r = law.b * (law.ln_saturation - ln_c[j]);
            reduced[j] = if r > 0.0 { r } else { 0.0 };
            minus_square[j] = -(reduced[j] * reduced[j]);
        }
        let share = exp(&minus_square);
        for j in 0..LANES {
            let straight = reduced[j] >= law.reduced_tangent;
            let load = if straight { law.henry * level[j] } else { law.full * share[j] };
            let logarithmic = if straight { 1.0 } else { 2.0 * law.b * reduced[j] };
            let held = a[j] * load;
            let sum = level[j] + held;
            // 2 (v - 1)/(v + 1) is ln v to third order and never runs away; v = sum / s.
            let rise = (level[j] + held * logarithmic) * (sum + s[j]);
            let moved = live[j] * (2.0 * (s[j] - sum) * sum / rise);
            let moved = if moved > 3.0 { 3.0 } else { moved };
            let moved = if moved < -3.0 { -3.0 } else { moved };
            ln_c[j] += moved;
            // exp of a small step, to fourth order.
            c[j] = level[j] * (1.0 + moved * (1.0 + moved * (0.5 + moved / 6.0)));
            slope[j] = load * logarithmic / level[j];
            far |= u64::from(moved.abs() >= NEAR);
        }
        if far == 0 {
            return settle(law, &live, &straight_c, (&c, &slope));
        }
    }
    rescue(law, a, s, ln_c);
    for j in 0..LANES {
        c[j] = ln_c[j].exp();
        let (load, logarithmic) = law.load_at_ln(ln_c[j]);
        slope[j] = load * logarithmic / c[j];
    }
    settle(law, &live, &straight_c, (&c, &slope))
}

/// Puts the straight line's levels where no search was made.
#[inline(always)]
fn settle(
    law: &Dubinin,
    live: &Lanes,
    straight_c: &Lanes,
    (c, slope): (&Lanes, &Lanes),
) -> (Lanes, Lanes) {
    let mut levels = [0.0; LANES];
    let mut slopes = [0.0; LANES];
    for j in 0..LANES {
        let searched = live[j] > 0.0;
        levels[j] = if searched { c[j] } else { straight_c[j] };
        slopes[j] = if searched { slope[j] } else { law.henry };
    }
    (levels, slopes)
}

/// The bracketed search for every lane: rare, and the same on every path.
#[cold]
#[inline(never)]
fn rescue(law: &Dubinin, a: &Lanes, s: &Lanes, ln_c: &mut Lanes) {
    for ((a, s), ln_c) in a.iter().zip(s).zip(ln_c) {
        if s / (1.0 + a * law.henry) > law.tangent {
            *ln_c = law.balance(*a, *s, *ln_c);
        }
    }
}

/// e to each lane, to within 2 units in the last place; arguments beyond ±700 are taken as ±700.
///
/// Reduction by ln 2 in two parts and a Taylor series of thirteen terms; whole powers of two are
/// made in the exponent bits.
#[inline(always)]
fn exp(x: &Lanes) -> Lanes {
    const MAGIC: f64 = 6_755_399_441_055_744.0;
    const LN2_HIGH: f64 = 6.931_471_803_691_238e-1;
    const LN2_LOW: f64 = 1.908_214_929_270_587_7e-10;
    let mut y = [0.0; LANES];
    for j in 0..LANES {
        let x = if x[j] > 700.0 { 700.0 } else { x[j] };
        let x = if x < -700.0 { -700.0 } else { x };
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
        let power = (shifted.to_bits() << 52).wrapping_add(1023 << 52);
        y[j] = p * f64::from_bits(power);
    }
    y
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn exp_is_right_to_two_units() {
        for i in -70_000..70_000 {
            let x = f64::from(i) * 0.009_999_7;
            let [ours, ..] = exp(&[x; LANES]);
            assert!((ours / x.exp() - 1.0).abs() < 5e-16, "{x}");
        }
    }
}
