#[cfg(test)]
mod support;
#[cfg(test)]
mod t {
    use super::support::plant::*;
    use program::*;
    use std::time::Instant;
    #[test]
    fn perf() {
        let base = Plant::good();
        let mut p = base.clone();
        // 100 units, 60 wearers, 8 tasks; 100_000 entries
        let mut n = 0;
        while p.entries.len() < 100_000 {
            let u = UnitId::new(format!("u{}", n % 150));
            let w = PersonId::new(if n % 3 == 0 { "ada".to_owned() } else { format!("w{}", n % 60) });
            let t0: jiff::Timestamp = "2025-05-05T08:00:00Z".parse().unwrap();
            let happened = t0 + jiff::SignedDuration::from_secs(i64::from(n) * 280);
            let fact = match n % 5 {
                0 => Fact::Worn { unit: u, wearer: w, task: paint(), time: minutes(1.0) },
                1 => Fact::Cleaned { unit: u },
                2 => Fact::Disinfected { unit: u, agent: "x".into(), contact: minutes(3.0) },
                3 => Fact::Inspected { unit: u, occasion: InspectionOccasion::BeforeUse, passed: true, found: String::new() },
                _ => reading(&paint(), "30 ppm"),
            };
            p.entries.push(Entry { id: EntryId::new(format!("x{n}")), site: SiteId::new("north"), happened, entered: happened, by: w_(), device: "d".into(), corrects: None, fact });
            n += 1;
        }
        let t = Instant::now();
        let mut state = State::from_entries(&p.entries);
        println!("fold {:?}", t.elapsed());
        let t = Instant::now();
        let k = state.units().count() + state.wearers().count() + state.tasks().count();
        println!("first look {:?} {k}", t.elapsed());
        let run = |state: &State| may_wear_with(state, &p.ask, p.now, &|_, task, _| p.bound(task));
        let v = run(&state);
        println!("{:?} {}", v.decision, v.findings.len());
        let t = Instant::now();
        for _ in 0..100 { let _ = run(&state); }
        println!("verdict {:?}", t.elapsed() / 100);
        let t = Instant::now();
        for _ in 0..20 { let _ = may_wear(&state, &p.ask, p.now); }
        println!("verdict computed {:?}", t.elapsed() / 20);
        let t = Instant::now();
        for i in 0..1000 { let mut e = p.entries[3].clone(); e.id = EntryId::new(format!("y{i}")); e.happened = p.now; e.entered = p.now; e.fact = Fact::Cleaned { unit: unit() }; state.apply(&e); let _ = state.unit(&unit()); }
        println!("apply+look in order {:?}", t.elapsed() / 1000);
        let t = Instant::now();
        println!("{}", state.contradictions().len());
        println!("contradictions {:?}", t.elapsed());
    }
    fn w_() -> PersonId { PersonId::new("cy") }
}
