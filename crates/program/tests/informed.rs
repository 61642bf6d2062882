//! What a health professional was told before a recommendation, and what the recommendation says of
//! itself.

#[cfg(test)]
mod support;

#[cfg(test)]
mod informed {
    use program::due::{DueKind, due};
    use program::{Clearance, Fact, ProfessionalTold, State, may_wear};
    use rulebook::{Decision, Severity};

    use crate::support::plant::{Plant, ada, told};

    const ASKED: [&str; 2] = ["medical.information", "medical.written"];

    fn informed(professional: &str, told: ProfessionalTold) -> Fact {
        Fact::MedicalInformationGiven { wearer: ada(), professional: professional.into(), told }
    }

    fn recommended(professional: &str, copy_given: bool) -> Fact {
        let (clearance, professional) = (Clearance::Cleared, professional.to_owned());
        Fact::ClearanceWritten { wearer: ada(), professional, clearance, until: None, copy_given }
    }

    /// What is asked in the good case once these happened in March 2026, day by day: in the verdict and in
    /// what is due alike.
    fn asked(facts: Vec<Fact>) -> Vec<(&'static str, String)> {
        let mut plant = Plant::good();
        for (day, fact) in facts.into_iter().enumerate() {
            plant.add(&format!("m{day}"), &format!("2026-03-{:02}T08:00", day + 1), fact);
        }
        let state = State::from_entries(&plant.entries);
        let verdict = may_wear(&state, &plant.ask, plant.now);
        assert!(
            verdict
                .findings
                .iter()
                .all(|f| !ASKED.contains(&f.rule.id) || f.severity == Severity::Caution)
        );
        let of = |found: &rulebook::Finding| (found.rule.id, found.text());
        let found: Vec<_> =
            verdict.findings.iter().filter(|f| ASKED.contains(&f.rule.id)).map(of).collect();
        let due = due(&state, plant.now);
        let due = due.iter().filter(|due| due.kind == DueKind::Clearance);
        let due: Vec<_> =
            due.filter(|d| ASKED.contains(&d.finding.rule.id)).map(|d| of(&d.finding)).collect();
        assert_eq!(due.iter().filter(|(_, words)| words.contains("Ada")).count(), found.len());
        found
    }

    #[test]
    fn a_recommendation_without_word_of_the_work_cautions_and_is_due() {
        let found = asked(Vec::new());
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].0, "medical.information");
        assert!(found[0].1.contains("nothing shows"), "{}", found[0].1);
    }

    #[test]
    fn what_was_told_before_it_to_who_made_it_serves_and_serves_again() {
        let all = || vec![informed("Dr Quince", told()), recommended("dr  Quince", true)];
        assert_eq!(asked(all()), []);
        // A year later nothing needs to be sent again.
        let again = all().into_iter().chain([recommended("Dr Quince", true)]).collect();
        assert_eq!(asked(again), []);
        // Nor where another was told meanwhile.
        let another = [informed("Dr Medlar", told()), recommended("Dr Quince", true)];
        assert_eq!(asked(all().into_iter().chain(another).collect()), []);
    }

    #[test]
    fn what_is_told_after_it_does_not_serve_until_it_is_made_anew() {
        let late = || vec![recommended("Dr Quince", true), informed("Dr Quince", told())];
        assert_eq!(asked(late()).len(), 1);
        let anew = late().into_iter().chain([recommended("Dr Quince", true)]).collect();
        assert_eq!(asked(anew), []);
    }

    #[test]
    fn a_new_professional_is_told_too() {
        let found = asked(vec![
            informed("Dr Quince", told()),
            recommended("Dr Quince", true),
            recommended("Dr Medlar", true),
        ]);
        assert_eq!(found.len(), 1);
        assert!(found[0].1.contains("Dr Quince was told"), "{}", found[0].1);
    }

    #[test]
    fn what_the_sheet_leaves_out_is_named_and_so_is_a_respirator_that_it_does_not_speak_of() {
        let part = |change: fn(&mut ProfessionalTold)| {
            let mut told = told();
            change(&mut told);
            let found = asked_of(told);
            assert_eq!(found.len(), 1, "{found:?}");
            found[0].1.clone()
        };
        type Change = fn(&mut ProfessionalTold);
        let parts: [(Change, &str); 8] = [
            (|told| told.respirators = " ".into(), "type and weight"),
            (|told| told.air_sources.clear(), "type and weight"),
            (|told| told.wear.clear(), "how long and how often"),
            (|told| told.effort.clear(), "physical effort"),
            (|told| told.worn_beside.clear(), "protective clothing"),
            (|told| told.climate.clear(), "temperature and humidity"),
            (|told| told.program_copy = false, "the written program"),
            (|told| told.standard_copy = false, "the standard"),
        ];
        for (change, said) in parts {
            let words = part(change);
            assert!(words.contains(said), "{words}");
        }
    }

    fn asked_of(told: ProfessionalTold) -> Vec<(&'static str, String)> {
        asked(vec![informed("Dr Quince", told), recommended("Dr Quince", true)])
    }

    #[test]
    fn a_respirator_of_another_kind_than_was_told_cautions() {
        let mut plant = Plant::good();
        let told = ProfessionalTold {
            air_sources: vec![rulebook::AirSource::PoweredAirPurifying],
            ..told()
        };
        plant.add("m1", "2026-03-01T08:00", informed("Dr Quince", told));
        plant.add("m2", "2026-03-02T08:00", recommended("Dr Quince", true));
        let verdict = may_wear(&State::from_entries(&plant.entries), &plant.ask, plant.now);
        assert_eq!(verdict.decision, Decision::Allowed);
        let found = verdict.findings.iter().find(|found| found.rule.id == "medical.information");
        assert!(found.unwrap().text().contains("air-purifying"), "{}", found.unwrap().text());
    }

    #[test]
    fn a_recommendation_says_who_made_it_and_that_a_copy_was_given() {
        let found = asked(vec![informed("Dr Quince", told()), recommended("", false)]);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].0, "medical.written");
        assert!(
            found[0].1.contains("names no") && found[0].1.contains("Ada was given a copy"),
            "{}",
            found[0].1
        );
    }
}
