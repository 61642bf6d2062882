//! How a fit test was carried through.

use super::rules;
use crate::Finding;

/// What was asked once the exercises were done; none where it was not told.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Conduct {
    /// Whether the facepiece was adjusted after the exercises had begun.
    pub adjusted: Option<bool>,
    /// Whether the wearer still found it comfortable.
    pub comfortable: Option<bool>,
}

impl Conduct {
    /// What keeps the test from counting.
    ///
    /// Source: 29 CFR 1910.134 App. A Part I.A.14(b).
    #[must_use]
    pub fn found(self) -> Vec<Finding> {
        let adjusted = (self.adjusted == Some(true)).then(|| Finding::stop(&rules::ADJUSTED));
        let sore = (self.comfortable == Some(false)).then(|| Finding::stop(&rules::COMFORT));
        adjusted.into_iter().chain(sore).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_adjustment_voids_the_test_and_a_mask_that_hurts_is_not_the_one() {
        let found = |adjusted, comfortable| -> Vec<&str> {
            let found = Conduct { adjusted, comfortable }.found();
            found.iter().map(|finding| finding.rule.id).collect()
        };
        assert_eq!(found(Some(false), Some(true)), [""; 0]);
        assert_eq!(found(None, None), [""; 0]);
        assert_eq!(found(Some(true), Some(true)), ["fit-test.adjusted"]);
        assert_eq!(found(Some(false), Some(false)), ["fit-test.comfort"]);
        assert_eq!(found(Some(true), Some(false)), ["fit-test.adjusted", "fit-test.comfort"]);
    }
}
