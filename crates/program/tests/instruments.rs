//! Whether a fit test counts by what it was made with, and what is due on instruments.

#[cfg(test)]
mod support;

#[cfg(test)]
mod instruments {
    use program::check::check_fact;
    use program::due::{About, against_fit_test, due};
    use program::{Fact, InstrumentId, SiteId, State};
    use rulebook::Severity;
    use rulebook::fit_test::FitInstrument;

    use crate::support::fit::half_by;
    use crate::support::plant::{Plant, ada, until};
    use crate::support::stops;

    const RULE: &str = "fit.instrument";
    const READY: &str = "fit-test.instrument-ready";

    fn id() -> InstrumentId {
        InstrumentId::new("FT-1")
    }

    fn listed(serves: FitInstrument, months: Option<u16>, checked_before_use: bool) -> Fact {
        Fact::InstrumentListed {
            instrument: id(),
            name: "Counter one".to_owned(),
            serial: "s-77".to_owned(),
            serves,
            calibration_months: months,
            checked_before_use,
            stands_in: "manual, page 12".to_owned(),
        }
    }

    fn calibrated(passed: bool, last: Option<&str>) -> Fact {
        let (certificate, until) = ("certificate 5".to_owned(), last.map(until));
        Fact::InstrumentCalibrated { instrument: id(), passed, certificate, until }
    }

    fn checked(passed: bool) -> Fact {
        Fact::InstrumentChecked { instrument: id(), passed, found: "as asked".to_owned() }
    }

    fn withdrawn() -> Fact {
        Fact::InstrumentWithdrawn { instrument: id(), why: "dropped".to_owned() }
    }

    fn measured_with(protocol: &str) -> Fact {
        let mut fact = half_by(protocol);
        if let Fact::FitMeasured { instrument, .. } = &mut fact {
            *instrument = Some(id());
        }
        fact
    }

    /// A good plant in which Ada was fit tested with the instrument on 3 April 2026 at eight.
    fn tested(protocol: &str, facts: &[(&str, Fact)]) -> Plant {
        let mut plant = Plant::good();
        for (number, (when, fact)) in facts.iter().enumerate() {
            plant.add(&format!("i{number}"), when, fact.clone());
        }
        plant.add("measured", "2026-04-03T08:00", measured_with(protocol));
        plant
    }

    fn said(plant: &Plant) -> Option<Severity> {
        let findings = plant.verdict().findings;
        findings.iter().find(|finding| finding.rule.id == RULE).map(|finding| finding.severity)
    }

    fn told(plant: &Plant, about: &About) -> Vec<&'static str> {
        let all = due(&State::from_entries(&plant.entries), plant.now).into_iter();
        all.filter(|due| due.about == *about).map(|due| due.finding.rule.id).collect()
    }

    #[test]
    fn of_two_checks_of_one_instant_the_one_that_failed_counts() {
        use FitInstrument::ParticleCounter;
        let listed = ("2025-01-10T08:00", listed(ParticleCounter, Some(12), false));
        for facts in [[true, false], [false, true]] {
            let calibrated = facts.map(|passed| ("2026-01-03T09:00", calibrated(passed, None)));
            let mut plant = tested("QNFT-CNC", &[&[listed.clone()][..], &calibrated].concat());
            plant.entries.iter_mut().for_each(|entry| entry.entered = entry.happened);
            assert_eq!(said(&plant), Some(Severity::Stop), "{facts:?}");
        }
    }

    // Source: 29 CFR 1910.134 App. A Part I.B.1(b) and I.C.1(b); days by hand from the calendar.
    #[test]
    #[expect(clippy::too_many_lines, reason = "a plain list of cases")]
    fn a_test_counts_by_how_its_instrument_stood_when_it_was_made() {
        use FitInstrument::{HeldVacuum, ParticleCounter, TasteOrSmell};
        let (stop, caution) = (Some(Severity::Stop), Some(Severity::Caution));
        let counter = || ("2025-01-10T08:00", listed(ParticleCounter, Some(12), false));
        let daily = || ("2025-01-10T08:00", listed(ParticleCounter, Some(12), true));
        let kit = || ("2025-01-10T08:00", listed(TasteOrSmell, None, false));
        let at = |when: &'static str, fact: Fact| (when, fact);
        let good = || at("2025-04-03T09:00", calibrated(true, None));
        for (number, (protocol, facts, expected)) in [
            ("QNFT-CNC", vec![counter(), good()], None),
            // A day too late, or by the certificate.
            ("QNFT-CNC", vec![counter(), at("2025-04-02T09:00", calibrated(true, None))], stop),
            (
                "QNFT-CNC",
                vec![counter(), at("2026-04-01T09:00", calibrated(true, Some("2026-04-02")))],
                stop,
            ),
            ("QNFT-CNC", vec![counter(), at("2026-04-01T09:00", calibrated(false, None))], stop),
            ("QNFT-CNC", vec![counter()], stop),
            // What comes after the test shows nothing of it.
            ("QNFT-CNC", vec![counter(), at("2026-04-03T09:00", calibrated(true, None))], stop),
            ("QNFT-CNC", Vec::new(), stop),
            (
                "QNFT-CNC",
                vec![at("2025-01-10T08:00", listed(HeldVacuum, Some(12), false)), good()],
                stop,
            ),
            (
                "QNFT-CNC",
                vec![at("2025-01-10T08:00", listed(ParticleCounter, None, false)), good()],
                caution,
            ),
            // Checks.
            ("QNFT-CNC", vec![counter(), good(), at("2026-03-30T09:00", checked(false))], stop),
            (
                "QNFT-CNC",
                vec![
                    counter(),
                    good(),
                    at("2026-03-30T09:00", checked(false)),
                    at("2026-03-31T09:00", checked(true)),
                ],
                None,
            ),
            (
                "QNFT-CNC",
                vec![
                    counter(),
                    at("2026-03-30T09:00", checked(false)),
                    at("2026-03-31T09:00", calibrated(true, None)),
                ],
                None,
            ),
            ("QNFT-CNC", vec![daily(), good()], stop),
            ("QNFT-CNC", vec![daily(), good(), at("2026-04-03T07:30", checked(true))], None),
            ("QNFT-CNC", vec![daily(), good(), at("2026-04-02T07:30", checked(true))], stop),
            ("QNFT-CNC", vec![daily(), good(), at("2026-04-03T08:30", checked(true))], stop),
            ("QNFT-CNC", vec![counter(), good(), at("2026-04-03T15:00", checked(false))], caution),
            ("QNFT-CNC", vec![counter(), good(), at("2026-04-04T15:00", checked(false))], None),
            // Out of use, and back.
            ("QNFT-CNC", vec![counter(), good(), at("2026-03-30T09:00", withdrawn())], stop),
            ("QNFT-CNC", vec![counter(), good(), at("2026-04-30T09:00", withdrawn())], None),
            (
                "QNFT-CNC",
                vec![
                    counter(),
                    good(),
                    at("2026-03-30T09:00", withdrawn()),
                    at("2026-04-01T09:00", listed(ParticleCounter, Some(12), false)),
                ],
                None,
            ),
            (
                "QNFT-CNC",
                vec![
                    counter(),
                    good(),
                    at("2026-03-30T09:00", withdrawn()),
                    at("2026-04-10T09:00", listed(ParticleCounter, Some(12), false)),
                ],
                stop,
            ),
            // A kit.
            ("QLFT-SMOKE", vec![kit()], None),
            ("QLFT-SMOKE", vec![kit(), at("2026-03-30T09:00", checked(false))], stop),
            ("QLFT-SMOKE", vec![kit(), at("2026-04-03T15:00", checked(false))], stop),
            (
                "QLFT-SMOKE",
                vec![
                    kit(),
                    at("2026-04-03T14:00", checked(true)),
                    at("2026-04-03T15:00", checked(false)),
                ],
                None,
            ),
            ("QLFT-SMOKE", vec![counter(), good()], stop),
        ]
        .into_iter()
        .enumerate()
        {
            let plant = tested(protocol, &facts);
            assert_eq!(said(&plant), expected, "case {number}");
            // What stops is due, and is told before it is recorded.
            let due = told(&plant, &About::Wearer(ada())).contains(&RULE);
            assert_eq!(due, expected == stop, "case {number}");
            let (before, then) = (State::from_entries(&plant.entries), "2026-04-03T06:00:00Z");
            let site = (&plant.entries[0].site, then.parse().unwrap());
            let before = against_fit_test(&before, site, &measured_with(protocol));
            let before = before.iter().find(|finding| finding.rule.id == RULE);
            assert_eq!(before.map(|finding| finding.severity), expected, "case {number}");
        }
    }

    #[test]
    fn a_protocol_is_known_however_its_id_was_written() {
        let mut plant = Plant::good();
        let mut fact = half_by("QNFT-CNC");
        if let Fact::FitMeasured { record, .. } = &mut fact {
            record.protocol = " qnft-cnc".to_owned();
        }
        plant.add("measured", "2026-04-03T08:00", fact);
        assert_eq!(said(&plant), Some(Severity::Caution));
    }

    #[test]
    fn a_test_that_names_no_instrument_is_a_caution_and_one_known_by_its_outcome_is_not_asked() {
        let mut plant = Plant::good();
        assert_eq!(said(&plant), None);
        plant.add("measured", "2026-04-03T08:00", half_by("QNFT-CNC"));
        assert_eq!(said(&plant), Some(Severity::Caution));
        assert!(!told(&plant, &About::Wearer(ada())).contains(&RULE));
    }

    // Common practice, no source: of two entries of one instant, entered together, nobody can tell which came
    // last, and the one that takes leave away counts.
    #[test]
    fn of_two_entries_of_one_instant_the_one_that_finds_fault_counts() {
        use FitInstrument::{ParticleCounter, TasteOrSmell};
        let counter = || ("2025-01-10T08:00", listed(ParticleCounter, Some(12), false));
        let kit = || ("2025-01-10T08:00", listed(TasteOrSmell, None, false));
        let good = || ("2025-04-03T09:00", calibrated(true, None));
        let (before, later) = ("2026-03-30T09:00", "2026-04-03T15:00");
        for (number, (protocol, listed, bad, fine)) in [
            ("QNFT-CNC", counter(), (before, checked(false)), (before, checked(true))),
            (
                "QNFT-CNC",
                counter(),
                (before, calibrated(false, None)),
                (before, calibrated(true, None)),
            ),
            ("QNFT-CNC", counter(), (before, withdrawn()), (before, counter().1)),
            ("QLFT-SMOKE", kit(), (later, checked(false)), (later, checked(true))),
        ]
        .into_iter()
        .enumerate()
        {
            for two in [[bad.clone(), fine.clone()], [fine, bad]] {
                let facts: Vec<_> = [listed.clone(), good()].into_iter().chain(two).collect();
                let mut plant = tested(protocol, &facts);
                for entry in &mut plant.entries {
                    entry.entered = entry.happened;
                }
                assert_eq!(said(&plant), Some(Severity::Stop), "case {number}");
            }
        }
    }

    // Common practice, no source.
    #[test]
    fn another_device_under_the_same_id_and_one_that_is_back_are_shown_to_be_in_order_anew() {
        use FitInstrument::ParticleCounter;
        let stop = Some(Severity::Stop);
        let of = |serial: &str, daily| {
            let mut fact = listed(ParticleCounter, Some(12), daily);
            if let Fact::InstrumentListed { serial: own, .. } = &mut fact {
                serial.clone_into(own);
            }
            fact
        };
        let first = |daily| ("2025-01-10T08:00", of("s-77", daily));
        let good = ("2026-03-01T09:00", calibrated(true, None));
        let exchanged = ("2026-03-30T09:00", of("s-78", false));
        let again = ("2026-03-30T09:00", of("S-77 ", false));
        let calibrated_anew = ("2026-03-31T09:00", calibrated(true, None));
        let said = |facts: &[(&str, Fact)]| said(&tested("QNFT-CNC", facts));
        assert_eq!(said(&[first(false), good.clone(), again]), None);
        assert_eq!(said(&[first(false), good.clone(), exchanged.clone()]), stop);
        assert_eq!(said(&[first(false), good.clone(), exchanged, calibrated_anew]), None);
        let later = ("2026-04-05T09:00", of("s-78", false));
        assert_eq!(said(&[first(false), good.clone(), later]), None);

        // A laxer listing after the test lifts nothing, and a stricter one counts.
        let lapsed = ("2025-03-01T09:00", calibrated(true, None));
        let months = |when, n| (when, listed(ParticleCounter, n, false));
        assert_eq!(said(&[months("2025-01-10T08:00", Some(24)), lapsed.clone()]), None);
        let first = || months("2025-01-10T08:00", Some(12));
        assert_eq!(said(&[first(), lapsed.clone()]), stop);
        for later in [None, Some(24)] {
            let laxer = months("2026-04-05T09:00", later);
            assert_eq!(said(&[first(), lapsed.clone(), laxer]), stop);
        }
        let first = months("2025-01-10T08:00", Some(24));
        let stricter = months("2026-04-05T09:00", Some(12));
        assert_eq!(said(&[first, lapsed, stricter]), stop);

        let first = |daily| ("2025-01-10T08:00", of("s-77", daily));
        let day = |when, fact| (when, fact);
        let mut facts = vec![
            first(true),
            good,
            day("2026-04-03T06:00", checked(true)),
            day("2026-04-03T06:30", withdrawn()),
            day("2026-04-03T06:40", withdrawn()),
            day("2026-04-03T07:00", of("s-77", true)),
        ];
        assert_eq!(said(&facts), stop);
        facts.push(day("2026-04-03T07:30", checked(true)));
        assert_eq!(said(&facts), None);
    }

    // A correction alone lifts nothing; a calibration that is recorded as its own entry does.
    #[test]
    fn what_a_correction_says_of_an_instrument_lifts_nothing() {
        let counter = ("2025-01-10T08:00", listed(FitInstrument::ParticleCounter, Some(12), false));
        let failed = ("2026-04-01T09:00", calibrated(false, None));
        let mut plant = tested("QNFT-CNC", &[counter, failed]);
        assert!(stops(&plant).contains(&RULE));
        let mut corrected = plant.clone();
        corrected.add_correction("c", "2026-04-01T09:00", Some("i1"), calibrated(true, None));
        assert!(stops(&corrected).contains(&RULE));
        corrected.administrator("mo");
        corrected.by("c", "mo");
        assert!(!stops(&corrected).contains(&RULE));
        plant.add("again", "2026-04-02T09:00", calibrated(true, None));
        assert!(!stops(&plant).contains(&RULE));
    }

    // Source: 29 CFR 1910.134 App. A Part I.C.1(b); by hand from the calendar.
    #[test]
    fn a_calibration_is_due_at_its_site_until_it_is_done_or_the_instrument_is_out_of_use() {
        let about = About::Instrument(id());
        let counter = listed(FitInstrument::ParticleCounter, Some(12), false);
        let mut plant = Plant::good();
        plant.add("listed", "2025-01-10T08:00", counter);
        let found = |plant: &Plant| {
            let all = due(&State::from_entries(&plant.entries), plant.now).into_iter();
            let own = all.filter(|due| due.about == about);
            own.map(|due| (due.finding.rule.id, due.since.map(|day| day.to_string()), due.site))
                .collect::<Vec<_>>()
        };
        let north = Some(SiteId::new("north"));
        assert_eq!(found(&plant), [(READY, None, north.clone())]);
        plant.add("calibrated", "2025-05-10T08:00", calibrated(true, None));
        assert_eq!(found(&plant), [(READY, Some("2026-05-11".to_owned()), north)]);
        let mut out = plant.clone();
        out.add("out", "2026-04-01T08:00", withdrawn());
        assert_eq!(found(&out), []);
        plant.add("again", "2026-05-03T08:00", calibrated(true, None));
        assert_eq!(found(&plant), []);
        plant.add("failed", "2026-05-03T09:00", checked(false));
        assert_eq!(told(&plant, &about), [READY]);
    }

    #[test]
    fn what_cannot_be_said_of_an_instrument_is_refused() {
        let plant = Plant::good();
        let state = State::from_entries(&plant.entries);
        let fields = |fact: &Fact| -> Vec<&'static str> {
            let found = check_fact(&state, (&SiteId::new("north"), plant.now), fact);
            found.err().into_iter().flatten().map(|problem| problem.field).collect()
        };
        let of = |months| listed(FitInstrument::HeldVacuum, months, true);
        assert_eq!(fields(&of(Some(12))), [""; 0]);
        assert_eq!(fields(&of(None)), [""; 0]);
        assert_eq!(fields(&of(Some(120))), [""; 0]);
        for never in [0, 121] {
            assert_eq!(fields(&of(Some(never))), ["calibration_months"]);
        }
        assert_eq!(fields(&calibrated(true, Some("2030-01-01"))), [""; 0]);
        assert_eq!(fields(&calibrated(true, Some("2020-01-01"))), ["until"]);
    }
}
