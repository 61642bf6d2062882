//! Root of a function between two points of opposite sign.

use crate::LifeError;

/// Most halvings a search may take: enough to exhaust the digits of an `f64`.
const MOST_STEPS: u32 = 200;

/// A root of `f` in `[low, high]` by bisection with the secant point tried first, to the last
/// digits. Needs a change of sign; refuses with `what` where there is none.
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
    for step in 0..MOST_STEPS {
        let width = high - low;
        let middle = 0.5 * (low + high);
        let secant = low - at_low * width / (at_high - at_low);
        // The secant point is used on every other step only, so that the bracket halves for sure.
        let inside = low < secant && secant < high;
        let trial = if step % 2 == 0 && inside { secant } else { middle };
        let at_trial = f(trial);
        if at_trial == 0.0 || width <= f64::EPSILON * 4.0 * middle.abs() {
            return Ok(trial);
        }
        if !at_trial.is_finite() {
            return Err(LifeError::NotConverged { what, steps: step, residual: at_trial });
        }
        if at_trial * at_low < 0.0 {
            (high, at_high) = (trial, at_trial);
        } else {
            (low, at_low) = (trial, at_trial);
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
