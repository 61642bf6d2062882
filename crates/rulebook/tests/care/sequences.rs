//! Random histories, held against what is true of them.

use proptest::prelude::*;
use rulebook::care::{Event, Stage};

use crate::truth::{WEARERS, beginnings};

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    /// However long and wild a history is, nobody is handed what is not clean, inspected and whole.
    #[test]
    fn no_random_history_hands_out_a_set_that_is_not_in_order(
        beginning in 0..16_usize,
        picks in proptest::collection::vec(0..28_usize, 0..120),
    ) {
        let events = Event::all(&WEARERS);
        prop_assert_eq!(events.len(), 28);
        let (mut care, mut truth) = beginnings().remove(beginning);
        for pick in picks {
            let event = &events[pick];
            let (next, finding) = care.record(event);
            let accepted = finding.is_none();
            if let (Event::Issued { to }, true) = (event, accepted) {
                prop_assert!(truth.may_be_issued(care.kind(), *to), "{:?} {:?}", care, truth);
            }
            truth = truth.after(event, accepted);
            care = next;
            let in_service = matches!(care.stage(), Stage::Ready | Stage::Issued);
            prop_assert!(!(in_service && (truth.out || truth.retired)), "{:?}", care);
        }
    }
}
