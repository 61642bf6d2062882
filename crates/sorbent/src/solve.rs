//! Root of a function between two points of opposite sign.

use crate::LifeError;

/// Most steps a search may take; each at least halves the bracket.
const MOST_STEPS: u32 = 120;

/// Width of the bracket, as a part of the root, at which a search ends.
const NARROW: f64 = 1e-14;

/// A root of `f` in `[low, high]`. Needs a change of sign; refuses with `what` where there is none
/// or where a value is not a number.
///
/// Source: Ridders 1979, IEEE Trans. Circuits Syst. 26:979 (from memory): the middle of the bracket
/// and a point found by an exponential through the three, so that the bracket always halves and
/// smooth functions converge quadratically.
pub(crate) fn root(
    what: &'static str,
    (mut low, mut high): (f64, f64),
    mut f: impl FnMut(f64) -> f64,
) -> Result<f64, LifeError> {
    let (mut at_low, mut at_high) = (f(low), f(high));
    if at_low == 0.0 {
        return Ok(low);
    }
    if at_high == 0.0 {
        return Ok(high);
    }
    let opposite = at_low * at_high < 0.0;
    if !opposite {
        return Err(LifeError::NotConverged { what, steps: 0, residual: at_high });
    }
    let mut last = f64::INFINITY;
    for steps in 1..=MOST_STEPS {
        let middle = 0.5 * (low + high);
        let at_middle = f(middle);
        let bend = (at_middle * at_middle - at_low * at_high).sqrt();
        if !bend.is_finite() {
            return Err(LifeError::NotConverged { what, steps, residual: at_middle });
        }
        if at_middle == 0.0 || bend == 0.0 {
            return Ok(middle);
        }
        let trial = middle + (middle - low) * (at_low - at_high).signum() * at_middle / bend;
        let at_trial = f(trial);
        let settled = (trial - last).abs() <= NARROW * trial.abs();
        if at_trial == 0.0 || settled || high - low <= NARROW * middle.abs() {
            return Ok(trial);
        }
        last = trial;
        for (point, value) in [(middle, at_middle), (trial, at_trial)] {
            if low < point && point < high {
                if value * at_low < 0.0 {
                    (high, at_high) = (point, value);
                } else {
                    (low, at_low) = (point, value);
                }
            }
        }
    }
    Ok(0.5 * (low + high))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_roots_to_the_last_digits_and_refuses_without_a_sign_change() {
        let two = root("square", (0.0, 2.0), |x| x * x - 2.0).unwrap();
        assert!((two - std::f64::consts::SQRT_2).abs() < 1e-15);
        let steep = root("steep", (0.0, 50.0), |x| x.exp() - 1e9).unwrap();
        assert!((steep - 1e9_f64.ln()).abs() < 1e-12);
        assert!(root("none", (1.0, 2.0), |x| x).is_err());
        assert!(root("nan", (0.0, 2.0), |x| (x - 5.0).ln()).is_err());
    }
}
