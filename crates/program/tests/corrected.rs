//! A correction by somebody who does not run the program lifts nothing.

#[cfg(test)]
mod support;

#[cfg(test)]
mod corrected {
    use proptest::prelude::*;
    use rulebook::{Decision, Finding, Severity};

    use crate::support::plant::Plant;
    use crate::support::random::corrected;

    /// What only a correction puts right.
    const BY_ANY: [&str; 2] = ["records.agree", "records.not-ahead"];

    fn stops(plant: &Plant) -> Vec<Finding> {
        let stop = |finding: &Finding| finding.severity == Severity::Stop;
        plant.verdict().findings.into_iter().filter(stop).collect()
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn one_correction_by_anybody_makes_no_may_wear_of_a_stop((before, after) in corrected()) {
            let stood = stops(&before);
            let stood: Vec<&str> =
                stood.iter().map(|f| f.rule.id).filter(|id| !BY_ANY.contains(id)).collect();
            let verdict = after.verdict();
            prop_assert!(
                stood.is_empty() || verdict.decision == Decision::Stop,
                "{stood:?} were lifted by {:?}", after.entries.last()
            );
        }
    }
}
