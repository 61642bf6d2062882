//! The paths that a set takes in a year, step by step.

use rulebook::care::{Care, Event, Keeping, Kind, Stage};

const PASSED: Event<&str> = Event::Inspected { passed: true };

fn set(keeping: Keeping) -> Care<&'static str> {
    let kind = Kind { keeping, filtering_facepiece: false };
    Care::received_new(kind).step(&PASSED).unwrap()
}

/// Walks `events`, each of which is allowed, and ends in `stage`.
fn walk(
    care: Care<&'static str>,
    events: &[Event<&'static str>],
    stage: Stage,
) -> Care<&'static str> {
    let end = events.iter().fold(care, |care, event| {
        care.step(event).unwrap_or_else(|f| panic!("{event:?}: {} / {}", f.text(), f.remedy()))
    });
    assert_eq!(end.stage(), stage);
    end
}

fn refused(care: &Care<&'static str>, event: &Event<&'static str>, rule: &str) {
    let finding = care.step(event).map(|next| next.stage()).unwrap_err();
    assert_eq!(finding.rule.id, rule, "{}", finding.text());
}

const BATH: [Event<&str>; 7] = [
    Event::TakenApart,
    Event::Washed { disinfects: false },
    Event::Rinsed,
    Event::Disinfected { long_enough: true },
    Event::Rinsed,
    Event::Dried,
    Event::Reassembled,
];

#[test]
fn a_shared_set_goes_through_the_bath_before_anybody_has_it_again() {
    let (ada, bo) = (Event::Issued { to: "Ada" }, Event::Issued { to: "Bo" });
    let worn = [ada.clone(), Event::Worn { by: "Ada" }, Event::Returned { by: "Ada" }];
    let used = walk(set(Keeping::Shared), &worn, Stage::AwaitingCare);
    refused(&used, &bo, "care.disinfect-first");
    refused(&used, &ada, "care.disinfect-first");
    let clean = walk(used, &BATH, Stage::Reassembled);
    refused(&clean, &bo, "care.inspect-first");
    walk(clean, &[PASSED, bo], Stage::Issued);
}

#[test]
fn a_set_of_one_wearer_goes_back_to_that_wearer_after_an_inspection() {
    let worn =
        [Event::Issued { to: "Ada" }, Event::Worn { by: "Ada" }, Event::Returned { by: "Ada" }];
    let used = walk(set(Keeping::OneWearer), &worn, Stage::AwaitingCare);
    let looked_at = walk(used, &[PASSED], Stage::Ready);
    refused(&looked_at, &Event::Issued { to: "Bo" }, "care.disinfect-first");
    walk(looked_at, &[Event::Issued { to: "Ada" }, Event::Worn { by: "Ada" }], Stage::Issued);
}

#[test]
fn a_wearer_who_washes_the_own_set_keeps_it() {
    let washed = [
        Event::Issued { to: "Ada" },
        Event::Worn { by: "Ada" },
        Event::TakenApart,
        Event::Washed { disinfects: false },
        Event::Rinsed,
        Event::Dried,
        Event::Reassembled,
        PASSED,
        Event::Worn { by: "Ada" },
    ];
    walk(set(Keeping::OneWearer), &washed, Stage::Issued);
}

#[test]
fn an_emergency_set_is_cleaned_after_each_use_and_looked_at_in_between() {
    let ready = walk(set(Keeping::Emergency), &[PASSED, PASSED], Stage::Ready);
    let used = walk(ready, &[Event::EmergencyUse { by: "Ada" }], Stage::AwaitingCare);
    refused(&used, &Event::EmergencyUse { by: "Ada" }, "care.disinfect-first");
    let checked = walk(used, &[PASSED], Stage::AwaitingCare);
    let clean = walk(checked, &BATH, Stage::Reassembled);
    walk(clean, &[PASSED, Event::EmergencyUse { by: "Bo" }], Stage::AwaitingCare);
}

#[test]
fn a_set_for_fit_tests_is_cleaned_after_each_wearer() {
    let test = [Event::Issued { to: "Ada" }, Event::Worn { by: "Ada" }];
    let used = walk(set(Keeping::TestOrTraining), &test, Stage::AwaitingCare);
    refused(&used, &Event::Worn { by: "Ada" }, "care.disinfect-first");
}

#[test]
fn a_failed_set_comes_back_only_by_repair_test_release_and_inspection() {
    let failed = walk(set(Keeping::Shared), &[Event::Inspected { passed: false }], Stage::Held);
    refused(&failed, &Event::Issued { to: "Ada" }, "care.out-of-service");
    refused(&failed, &Event::Released { by_trained: true }, "care.test-first");
    refused(&failed, &Event::Repaired { by_trained: false }, "care.repair-trained");
    let passed = walk(failed, &[PASSED], Stage::Held);
    let tested = [
        Event::RepairBegun,
        Event::Repaired { by_trained: true },
        Event::Tested { passed: false },
        Event::Repaired { by_trained: true },
        Event::Tested { passed: true },
    ];
    let tested = walk(passed, &tested, Stage::Tested);
    refused(&tested, &Event::Released { by_trained: false }, "care.repair-trained");
    let back = [Event::Released { by_trained: true }, PASSED, Event::Issued { to: "Ada" }];
    walk(tested, &back, Stage::Issued);
}

#[test]
fn a_held_set_that_was_worn_goes_from_its_release_to_the_bath() {
    let held = [
        Event::Issued { to: "Ada" },
        Event::Worn { by: "Ada" },
        Event::Held,
        Event::Returned { by: "Ada" },
        Event::Tested { passed: true },
        Event::Released { by_trained: true },
    ];
    let released = walk(set(Keeping::Shared), &held, Stage::AwaitingCare);
    refused(
        &walk(released, &[PASSED], Stage::AwaitingCare),
        &Event::Issued { to: "Ada" },
        "care.disinfect-first",
    );
}

#[test]
fn a_filtering_facepiece_is_inspected_kept_by_one_or_thrown_away() {
    let kind = Kind { keeping: Keeping::OneWearer, filtering_facepiece: true };
    let new = Care::received_new(kind);
    let worn = [
        PASSED,
        Event::Issued { to: "Ada" },
        Event::Worn { by: "Ada" },
        Event::Returned { by: "Ada" },
        PASSED,
    ];
    let kept = walk(new, &worn, Stage::Ready);
    refused(&kept, &Event::TakenApart, "care.filtering-facepiece-cleaned");
    refused(&kept, &Event::Issued { to: "Bo" }, "care.filtering-facepiece-one-wearer");
    refused(&kept, &Event::ElementsChanged, "care.no-elements");
    let washed = kept.record(&Event::Washed { disinfects: true }).0;
    assert_eq!(washed.stage(), Stage::Held);
    let gone = walk(kept, &[Event::Issued { to: "Ada" }, Event::Retired], Stage::Retired);
    refused(&gone, &Event::Worn { by: "Ada" }, "care.retired");
}

#[test]
fn the_bath_keeps_its_order_and_its_time() {
    let used = Care::received_used(Kind { keeping: Keeping::Shared, filtering_facepiece: false });
    refused(&used, &Event::Washed { disinfects: false }, "care.order");
    refused(&used, &Event::Disinfected { long_enough: true }, "care.order");
    let washed = walk(used, &BATH[..2], Stage::Washed);
    refused(&washed, &Event::Disinfected { long_enough: false }, "care.contact");
    refused(&washed, &Event::Dried, "care.order");
    let rinsed = walk(washed, &[Event::Rinsed], Stage::Rinsed);
    refused(&rinsed, &Event::Dried, "care.disinfect-first");
    let wet = walk(rinsed, &[Event::Disinfected { long_enough: true }], Stage::Disinfected);
    refused(&wet, &Event::Dried, "care.order");
}

#[test]
fn a_cleaner_that_disinfects_saves_the_second_bath() {
    let used = Care::received_used(Kind { keeping: Keeping::Shared, filtering_facepiece: false });
    let short = [
        Event::TakenApart,
        Event::Washed { disinfects: true },
        Event::Rinsed,
        Event::Dried,
        Event::Reassembled,
        PASSED,
    ];
    walk(used, &short, Stage::Ready);
}

#[test]
fn a_late_record_of_a_forbidden_issue_keeps_the_fact_and_the_doubt() {
    let used = Care::received_used(Kind { keeping: Keeping::Shared, filtering_facepiece: false });
    let (kept, finding) = used.record(&Event::Issued { to: "Ada" });
    assert_eq!(finding.unwrap().rule.id, "care.disinfect-first");
    assert_eq!((kept.stage(), kept.holder()), (Stage::AwaitingCare, Some(&"Ada")));
    let (kept, finding) = kept.record(&Event::Worn { by: "Ada" });
    assert_eq!(finding.unwrap().rule.id, "care.disinfect-first");
    assert!(kept.must_be_disinfected());
}
