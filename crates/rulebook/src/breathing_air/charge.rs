//! How the settled pressure of a cylinder stands to the pressure that it is rated for.

use super::grade_d;

/// Up to this part of the rated pressure a cylinder that was full at its rating may show when it is warm:
/// a gas shut in gains about a third of a percent with each degree. Common practice, no source.
const WARM_AT_MOST: f64 = 1.05;

/// What a settled pressure asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Charge {
    /// At or below the mark at which it is filled again.
    ToFill,
    /// Above that mark, and at its rating at most.
    Full,
    /// Above its rating, by no more than warmth explains.
    High,
    /// Above its rating, clearly.
    Overfilled,
}

impl Charge {
    /// What a pressure asks for that is this `part` of the rated one; of nothing rated, that of no number,
    /// the cylinder is to be filled.
    ///
    /// Source of the mark: 29 CFR 1910.134(h)(3)(iii), `data/breathing_air.csv` BA14.
    #[must_use]
    pub fn of_part_of_rated(part: f64) -> Self {
        if WARM_AT_MOST < part {
            Self::Overfilled
        } else if 1.0 < part {
            Self::High
        } else if grade_d().refill_at.as_fraction() < part {
            Self::Full
        } else {
            Self::ToFill
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reading_above_the_rating_is_never_one_to_fill() {
        let of = |read: f64| Charge::of_part_of_rated(read / 310.0);
        assert_eq!([279.0, 279.1, 310.0].map(of), [Charge::ToFill, Charge::Full, Charge::Full]);
        assert_eq!([312.0, 325.0].map(of), [Charge::High; 2]);
        assert_eq!([330.0, 341.0, f64::INFINITY].map(of), [Charge::Overfilled; 3]);
        assert_eq!([f64::NAN, 0.0].map(of), [Charge::ToFill; 2]);
    }
}
