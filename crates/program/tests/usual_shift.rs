//! A task whose usual shift is told in segments.

#[cfg(test)]
mod support;

#[cfg(test)]
mod usual_shift {
    use program::check::check_fact;
    use program::schedule::{TaskSchedule, for_task};
    use program::{BedSpec, ElementTypeId, Fact, ModelId, SiteId, State, TaskSegment, may_wear};
    use proptest::prelude::*;
    use rulebook::{Decision, Level, Severity};

    use crate::support::plant::{Plant, ada, minutes, paint, quantity, reading_of, spec};

    const TOLUENE: &str = "108-88-3";
    const HEXANE: &str = "110-54-3";

    fn read(lines: &str) -> Vec<TaskSegment> {
        TaskSegment::read_all(lines).unwrap()
    }

    fn worn(segments: &[TaskSegment]) -> f64 {
        segments.iter().map(TaskSegment::worn_min).sum()
    }

    /// Toluene on elements with a known bed, and the shift in these segments.
    fn plant(lines: &str) -> Plant {
        let mut plant = Plant::good();
        plant.edit("reading-paint", |fact| *fact = reading_of(TOLUENE, &paint(), "180 ppm"));
        plant.edit("kind-ov", |fact| {
            if let Fact::ElementTypeListed { bed, .. } = fact {
                *bed = Some(BedSpec {
                    sorbent_mass: quantity("26 g"),
                    bed_area: quantity("38.5 cm2"),
                    bulk_density: quantity("0.44 g/cm3"),
                    granule: quantity("0.11 cm"),
                    micropore_volume: quantity("0.454 cm3/g"),
                    reference_energy: None,
                    calibrated: None,
                });
            }
        });
        let segments = read(lines);
        let planned = if segments.is_empty() { 240.0 } else { worn(&segments) };
        plant.edit_spec(|spec| spec.wear_per_shift = minutes(planned));
        plant.edit("task-paint", |fact| {
            if let Fact::TaskDescribed { task, spec } = fact.clone() {
                *fact = Fact::TaskDescribedBySegments { task, spec, segments };
            }
        });
        plant
    }

    fn schedule(plant: &Plant) -> TaskSchedule {
        let state = State::from_entries(&plant.entries);
        let device = state.model(&ModelId::new("half")).unwrap().device.clone();
        for_task(&state, &paint(), &ElementTypeId::new("ov"), &device, plant.now).unwrap()
    }

    fn lower(lines: &str) -> f64 {
        schedule(&plant(lines)).life.life_min.map_or(0.0, |bounds| bounds.lower)
    }

    fn says(schedule: &TaskSchedule, id: &str) -> bool {
        schedule.life.findings.iter().any(|finding| finding.rule.id == id)
    }

    #[test]
    fn without_segments_all_is_as_it_was() {
        let by_segments = plant("");
        let mut as_it_was = plant("");
        as_it_was.edit("task-paint", |fact| {
            if let Fact::TaskDescribedBySegments { task, spec, .. } = fact.clone() {
                *fact = Fact::TaskDescribed { task, spec };
            }
        });
        assert_eq!(schedule(&by_segments), schedule(&as_it_was));
        assert_eq!(by_segments.verdict(), as_it_was.verdict());
    }

    #[test]
    fn an_old_payload_is_read_and_a_new_one_reads_back() {
        let old = serde_json::to_string(&Fact::TaskDescribed { task: paint(), spec: spec() });
        let old = old.unwrap();
        assert!(old.contains("task-described.1") && !old.contains("segments"), "{old}");
        assert!(serde_json::from_str::<Fact>(&old).is_ok());
        let segments = read("45 min, on, 150 %, toluene 200 ppm; 30 min, off, sealed; 75 min, on");
        let new = Fact::TaskDescribedBySegments { task: paint(), spec: spec(), segments };
        let text = serde_json::to_string(&new).unwrap();
        assert!(text.contains("task-described.2"), "{text}");
        assert_eq!(serde_json::from_str::<Fact>(&text).unwrap(), new);
    }

    // Limit: one segment that tells nothing new is steady wear.
    #[test]
    fn one_plain_segment_is_near_the_steady_life() {
        let (steady, marched) = (lower(""), lower("4 h, on"));
        println!("steady {steady:.1}, marched {marched:.1}");
        assert!((marched / steady - 1.0).abs() < 0.08, "{steady} {marched}");
    }

    #[test]
    fn harder_warmer_and_damper_work_shortens_the_life() {
        let usual = lower("1 h, on; 30 min, off, sealed; 3 h, on");
        for harder in [
            "1 h, on, heavy; 30 min, off, sealed; 3 h, on",
            "1 h, on; 30 min, off, sealed; 3 h, on, humidity 90 %",
            "1 h, on; 30 min, off, sealed; 3 h, on, 35 degC",
            "1 h, on, 200 %; 30 min, off, sealed; 3 h, on",
            "1 h, on, toluene 400 ppm; 30 min, off, sealed; 3 h, on",
        ] {
            let life = lower(harder);
            println!("{harder}: {life:.1} of {usual:.1}");
            assert!(life < usual, "{harder}: {life} {usual}");
        }
    }

    #[test]
    fn the_lower_levels_of_segments_stretch_nothing_and_it_is_said() {
        let as_read = schedule(&plant("1 h, on; 30 min, off, sealed; 3 h, on"));
        let lowered = schedule(&plant("1 h, on; 30 min, off, sealed; 3 h, on, 10 %"));
        assert_eq!(lowered.schedule.max_wear, as_read.schedule.max_wear);
        assert!(says(&lowered, "service-life.segments-below-readings"));
        assert!(!says(&as_read, "service-life.segments-below-readings"));
        let said = lowered.life.findings.iter().map(rulebook::Finding::text);
        let said = said.collect::<Vec<_>>().join("\n");
        assert!(said.contains("Toluene at 32 %") || said.contains("toluene at 32 %"), "{said}");
    }

    /// The life against chlorine, held by reaction, of elements that are certified for it.
    fn chlorine(ppm: &str, lines: &str) -> f64 {
        let mut plant = plant(lines);
        plant.edit("reading-paint", |fact| *fact = reading_of("7782-50-5", &paint(), ppm));
        plant.edit("kind-ov", |fact| {
            if let Fact::ElementTypeListed { elements, .. } = fact {
                elements.against.push(rulebook::ElementKind::Chlorine);
            }
        });
        schedule(&plant).life.life_min.unwrap().lower
    }

    // Mass: clean air brings no gas and is no wear; what a gas held by reaction spends of an element is what
    // enters, and the set may be opened before the worst of it.
    #[test]
    fn a_gas_held_by_reaction_counts_from_the_worst_opening_and_not_in_clean_air() {
        let usual = chlorine("8 ppm", "1 h, on, heavy; 3 h, on");
        assert!(usual > 0.0);
        assert_eq!(usual, chlorine("8 ppm", "1 h, on, heavy; 400 min, clean air; 3 h, on"));
        let rising = chlorine("0.3 ppm", "7 h, on; 1 h, on, 3000 %, heavy");
        let falling = chlorine("0.3 ppm", "1 h, on, 3000 %, heavy; 7 h, on");
        assert_eq!(rising, falling);
        assert!(rising < chlorine("0.3 ppm", "8 h, on, heavy"), "{rising}");
    }

    // Rule for mixtures: levels over limits add up to one at most, whichever way each is computed.
    #[test]
    fn gases_share_the_limit_under_segments_too() {
        let two = |lines: &str| {
            let mut plant = plant(lines);
            plant.edit("kind-ov", |fact| {
                if let Fact::ElementTypeListed { elements, .. } = fact {
                    elements.against.push(rulebook::ElementKind::Chlorine);
                }
            });
            plant.add(
                "reading-chlorine",
                "2026-05-01T08:00",
                reading_of("7782-50-5", &paint(), "4 ppm"),
            );
            let schedule = schedule(&plant);
            let ends = schedule.life.contaminants.iter().map(|gas| gas.end_ppm.unwrap());
            ends.collect::<Vec<f64>>()
        };
        assert_eq!(two(""), two("4 h, on"));
    }

    #[test]
    fn respirators_are_selected_by_the_highest_segment() {
        let plant = plant("1 h, on, 250 %; 3 h, on, 40 %");
        let state = State::from_entries(&plant.entries);
        let level = |place: rulebook::Place| match place.contaminants[0].level {
            Level::Known(level) => level.number(),
            Level::Unknown => f64::NAN,
        };
        assert_eq!(level(state.place_at(&paint(), plant.now).unwrap()), 450.0);
        assert_eq!(level(state.place_of(&paint()).unwrap()), 450.0);
        assert_eq!(level(state.design_at(&paint(), plant.now).unwrap()), 180.0);
    }

    #[test]
    fn what_only_a_segment_names_is_not_known_until_it_is_measured() {
        let mut plant = plant("2 h, on");
        assert_eq!(plant.verdict().decision, Decision::Allowed);
        plant.edit("task-paint", |fact| {
            if let Fact::TaskDescribedBySegments { segments, .. } = fact {
                *segments = read("2 h, on, n-hexane 20 ppm");
            }
        });
        let place = State::from_entries(&plant.entries).place_at(&paint(), plant.now).unwrap();
        assert!(
            place
                .contaminants
                .iter()
                .any(|c| c.substance.cas().to_string() == HEXANE
                    && matches!(c.level, Level::Unknown))
        );
        assert_eq!(plant.verdict().decision, Decision::Stop);
    }

    #[test]
    fn a_wear_in_progress_counts_its_minutes() {
        let mut plant = plant("1 h, on; 30 min, off, sealed; 1 h, on");
        let over = |plant: &Plant| {
            let state = State::from_entries(&plant.entries);
            let found = may_wear(&state, &plant.ask, plant.now).findings;
            found.into_iter().find(|finding| finding.rule.id == "elements.within-schedule")
        };
        assert!(over(&plant).is_none());
        let allowed = schedule(&plant).schedule.max_wear.as_min();
        assert!((120.0..240.0).contains(&allowed), "{allowed}");
        plant.worn("worn", "2026-05-04T07:20", (ada(), paint(), allowed - 121.0));
        assert!(over(&plant).is_none());
        plant.edit("worn", |fact| {
            if let Fact::Worn { time, .. } = fact {
                *time = minutes(allowed - 119.0);
            }
        });
        assert_eq!(over(&plant).map(|finding| finding.severity), Some(Severity::Stop));
    }

    #[test]
    fn what_cannot_be_so_is_refused_by_name() {
        let plant = plant("");
        let state = State::from_entries(&plant.entries);
        let site = SiteId::new("plant");
        let refused = |lines: &str| {
            let segments = read(lines);
            let mut spec = spec();
            spec.wear_per_shift = minutes(worn(&segments).clamp(1.0, 1_440.0));
            let fact = Fact::TaskDescribedBySegments { task: paint(), spec, segments };
            let found = check_fact(&state, (&site, plant.now), &fact).err().unwrap_or_default();
            assert!(found.iter().all(|p| p.field == "segments" && !p.remedy.is_empty()));
            found.into_iter().map(|problem| problem.what).collect::<Vec<_>>().join("\n")
        };
        let many = ["10 min, on"; 25].join(";");
        for (lines, why) in [
            ("1 h, off, sealed", "the mask is on in no segment"),
            ("1 h, on; 0 min, on", "segment 2: it lasts no time"),
            ("1 h, on; 10 s, on", "segment 2: it is shorter than a minute"),
            ("1 h, on; 1 h, off", "segment 2: the mask is off and nothing says"),
            ("1 h, on; 1 h, clean air, open", "segment 2: storage is told while air passes"),
            ("1 h, on; 1 h, off, open, 20 %", "segment 2: a level is told while the mask is not"),
            ("1 h, on, 100000 %", "segment 1: its share of the level"),
            ("1 h, on; 23 h, off, open; 1 h, on", "longer than a day"),
            ("1 h, on, n-hexane 5 ppm", "segment 1: n-Hexane was not found in the air"),
            (&many, "a usual shift has no 25 segments"),
        ] {
            let said = refused(lines);
            assert!(said.to_lowercase().contains(&why.to_lowercase()), "{lines}: {said}");
        }
        assert_eq!(refused("1 h, on, toluene 90 ppm; 30 min, off, sealed; 2 h, on, 150 %"), "");
        let fact = Fact::TaskDescribedBySegments {
            task: paint(),
            spec: spec(),
            segments: read("1 h, on"),
        };
        let found = check_fact(&state, (&site, plant.now), &fact).unwrap_err();
        assert!(found[0].what.contains("60 min in the segments"), "{found:?}");
    }

    #[test]
    fn what_arrived_and_cannot_be_so_is_a_contradiction_that_stops() {
        let mut plant = plant("4 h, on");
        plant.edit("task-paint", |fact| {
            if let Fact::TaskDescribedBySegments { segments, .. } = fact {
                *segments = read("4 h, off, sealed");
            }
        });
        assert_eq!(plant.verdict().decision, Decision::Stop);
    }

    #[test]
    fn what_only_a_segment_names_is_not_known_and_nothing_else() {
        let mut plant = plant("4 h, on");
        plant.edit("task-paint", |fact| {
            if let Fact::TaskDescribedBySegments { segments, .. } = fact {
                *segments = read("4 h, on, n-hexane 5 ppm");
            }
        });
        let stopped = crate::support::stops(&plant);
        assert!(stopped.contains(&"level.unknown"), "{stopped:?}");
        assert!(!stopped.contains(&"filter.needed"), "{stopped:?}");
    }

    #[test]
    fn a_day_of_many_short_segments_has_its_schedule() {
        let many = "20 min, on, 200 %; 10 min, off, open; 20 min, on, 50 %; 10 min, off, open; 20 min, on, 200 %; 1 h, off, open; 20 min, on, 50 %; 10 min, clean air; 20 min, on, 200 %; 10 min, off, open; 20 min, on, 50 %";
        let mut plant = plant(many);
        let alone = schedule(&plant).schedule.max_wear.as_min();
        plant.add("r2", "2026-05-02T08:00", reading_of(HEXANE, &paint(), "30 ppm"));
        let found = schedule(&plant);
        let both = found.schedule.max_wear.as_min();
        println!("{alone} {both}");
        assert!(0.0 < both && both < alone, "{alone} {both}");
        assert!(says(&found, "service-life.usual-shift"));
    }

    fn segment() -> impl Strategy<Value = String> {
        let rate = prop::sample::select(vec!["light", "moderate", "heavy"]);
        (5..90_u32, rate, 1..300_u32).prop_map(|(min, rate, share)| {
            format!("{min} min, on, {rate}, {share} %; {min} min, off, sealed")
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

        // The levels of the segments never make a schedule laxer than the readings.
        #[test]
        fn no_level_of_a_segment_stretches_a_schedule(parts in prop::collection::vec(segment(), 1..4)) {
            let told = parts.join("; ");
            let mut as_read = read(&told);
            as_read.iter_mut().for_each(|segment| segment.share = None);
            let as_read = as_read.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ");
            let (told, as_read) = (schedule(&plant(&told)), schedule(&plant(&as_read)));
            prop_assert!(told.schedule.max_wear.as_min() <= as_read.schedule.max_wear.as_min());
        }
    }
}
