//! Selection: 29 CFR 1910.134(d) and 42 CFR part 84, one refusal or pass at a time.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot read its own data must fail"
)]

mod support;

use quantity::Kilopascal;
use rulebook::{
    AirSource, AirborneForm, Device, ElementKind as Kind, Facepiece, Mounting, Place, Purpose,
    Severity, assess, list,
};
use support::{
    airborne, airline_auxiliary, cartridges, concentration, device, elements, filtering_facepiece,
    filters, found, full_facepiece, half_mask, oxygen, particle, place, powered, self_contained,
    stops, vapour,
};

const OV: &[Kind] = &[Kind::OrganicVapour];

#[test]
fn a_half_mask_with_the_right_cartridges_is_allowed() {
    let toluene = place(vec![vapour("toluene", "60 ppm")]);
    let answer = assess(&toluene, &half_mask(), Some(&cartridges(OV)));
    assert_eq!(stops(&answer), [""; 0]);
    assert!(answer.allowed);
    assert_eq!(answer.title, "half mask with organic vapour cartridges");
    let judged = &answer.contaminants[0];
    let limit = judged.limit.as_ref().unwrap();
    let needed = judged.needed_factor.unwrap();
    assert!((needed - 60.0 / limit.value.number()).abs() < 1e-9);
    assert!(found(&answer, "element.change-schedule", Severity::Caution));
    assert!(found(&answer, "element.not-by-smell", Severity::Note));
}

// Common practice, no source.
#[test]
fn a_mask_that_leaves_the_eyes_open_is_cautioned_where_they_are_irritated() {
    let cautioned = |level: &str, change: fn(&mut Place), mask: &Device| {
        let mut place = place(vec![vapour("toluene", level)]);
        place.irritates_eyes = Some(true);
        change(&mut place);
        let answer = assess(&place, mask, Some(&cartridges(OV)));
        found(&answer, "eyes.irritated", Severity::Caution)
    };
    assert!(cautioned("300 ppm", |_| {}, &half_mask()));
    assert!(!cautioned("1 ppm", |_| {}, &half_mask()), "below the limit");
    assert!(cautioned("?", |_| {}, &half_mask()), "a level not known counts as reached");
    assert!(!cautioned("300 ppm", |_| {}, &full_facepiece()));
    assert!(!cautioned("300 ppm", |place| place.gas_proof_goggles = true, &half_mask()));
    assert!(!cautioned("300 ppm", |place| place.irritates_eyes = None, &half_mask()));
}

// A necessity: the description contradicts itself. A mask made of its filter takes no cartridge.
#[test]
fn a_filtering_facepiece_with_cartridges_stops() {
    let mut device = half_mask();
    device.filtering_facepiece = true;
    let toluene = place(vec![vapour("toluene", "60 ppm")]);
    let answer = assess(&toluene, &device, Some(&cartridges(OV)));
    assert!(found(&answer, "device.contradiction", Severity::Stop));
}

// (d)(3)(i)(A) and (d)(3)(i)(B): above the factor, above the maximum use concentration.
#[test]
fn above_factor_times_limit_stops_and_tells_both_rules() {
    let answer = assess(
        &place(vec![vapour("ethyl acetate", "1900 ppm")]),
        &device(AirSource::SuppliedAirDemand, Facepiece::HalfMask),
        None,
    );
    assert!(answer.allowed, "{:?}", stops(&answer));
    let mut solvent = vapour("1330-20-7", "60 ppm");
    solvent.site_limit = Some(concentration("5 ppm"));
    let answer = assess(&place(vec![solvent]), &half_mask(), Some(&cartridges(OV)));
    assert_eq!(stops(&answer), ["factor.needed", "level.maximum-use"]);
    assert_eq!(answer.contaminants[0].max_use_concentration, Some(concentration("50 ppm")));
}

// (b) and (d)(2)(iii): 19.5 % by volume.
#[test]
fn oxygen_below_the_definition_stops_all_but_two_classes() {
    let at = |percent| {
        let mut place = place(vec![vapour("toluene", "60 ppm")]);
        place.oxygen = Some(oxygen(percent));
        place
    };
    let half = |percent| assess(&at(percent), &half_mask(), Some(&cartridges(OV)));
    assert_eq!(stops(&half(19.4)), ["oxygen.deficient"]);
    assert!(half(19.5).allowed);
    for ready in [self_contained(), airline_auxiliary()] {
        assert!(assess(&at(19.4), &ready, None).allowed);
    }
    let airline = device(AirSource::SuppliedAirPressureDemand, Facepiece::FullFacepiece);
    assert_eq!(stops(&assess(&at(19.4), &airline, None)), ["oxygen.deficient"]);
    let demand = device(AirSource::SelfContainedDemand, Facepiece::FullFacepiece);
    assert_eq!(stops(&assess(&at(19.4), &demand, None)), ["oxygen.deficient"]);
}

#[test]
fn oxygen_not_stated_stops_and_too_much_is_a_caution() {
    let mut place = place(vec![vapour("toluene", "60 ppm")]);
    place.oxygen = None;
    let answer = assess(&place, &half_mask(), Some(&cartridges(OV)));
    assert_eq!(stops(&answer), ["oxygen.not-stated"]);
    assert!(assess(&place, &self_contained(), None).allowed);
    place.oxygen = Some(oxygen(23.6));
    let answer = assess(&place, &half_mask(), Some(&cartridges(OV)));
    assert!(answer.allowed && found(&answer, "oxygen.enriched", Severity::Caution));
}

// (d)(2)(iii) Table II: least oxygen of each band, for any unit that brings its air.
#[test]
fn table_2_opens_airlines_only_and_only_where_oxygen_was_shown_to_stay() {
    let airline = device(AirSource::SuppliedAirPressureDemand, Facepiece::FullFacepiece);
    // Pressure of the standard atmosphere inside each band: 0, 3500, 4500, 5500, 6500, 7500 ft.
    for (kpa, least) in
        [(101.325, 16.0), (89.1, 16.4), (85.9, 17.1), (82.7, 17.8), (79.6, 18.5), (76.7, 19.3)]
    {
        for (percent, shown, allowed) in
            [(least, true, true), (least - 0.1, true, false), (least, false, false)]
        {
            let mut place = place(vec![vapour("toluene", "60 ppm")]);
            place.pressure = Kilopascal::from_kpa(kpa).unwrap();
            place.oxygen = Some(oxygen(percent));
            place.oxygen_shown_steady = shown;
            let answer = assess(&place, &airline, None);
            assert_eq!(answer.allowed, allowed, "{kpa} kPa, {percent} %, {:?}", stops(&answer));
            let purifies = assess(&place, &half_mask(), Some(&cartridges(OV)));
            assert!(!purifies.allowed);
            assert_eq!(stops(&purifies).contains(&"oxygen.in-band"), allowed, "{kpa} kPa");
        }
    }
    // Above 8000 ft there is no band.
    let mut high = place(vec![vapour("toluene", "60 ppm")]);
    high.pressure = Kilopascal::from_kpa(74.0).unwrap();
    high.oxygen = Some(oxygen(19.4));
    high.oxygen_shown_steady = true;
    assert!(!assess(&high, &airline, None).allowed);
}

// (d)(1)(iii): what cannot be identified or estimated counts as immediately dangerous.
#[test]
fn an_unknown_level_or_unknown_air_allows_only_the_two_classes() {
    let mut unknown_air = place(vec![vapour("toluene", "60 ppm")]);
    unknown_air.atmosphere_unknown = true;
    let mut declared = place(vec![vapour("toluene", "60 ppm")]);
    declared.declared_immediately_dangerous = true;
    let mut emergency = place(vec![vapour("toluene", "60 ppm")]);
    emergency.purpose = Purpose::EmergencyEntry;
    for (place, id) in [
        (place(vec![vapour("toluene", "?")]), "level.unknown"),
        (unknown_air, "air.unknown"),
        (declared, "danger.declared"),
        (emergency, "danger.emergency-entry"),
        (place(vec![vapour("toluene", "500 ppm")]), "danger.level"),
    ] {
        let allowed: Vec<String> =
            list(&place).into_iter().filter(|a| a.allowed).map(|a| a.title).collect();
        assert_eq!(
            allowed,
            [
                "self-contained with pressure demand, full facepiece",
                "airline with pressure demand, full facepiece, with auxiliary self-contained supply"
            ],
            "{id}"
        );
        let full = assess(&place, &full_facepiece(), Some(&cartridges(OV)));
        assert!(stops(&full).contains(&id), "{id}: {:?}", stops(&full));
        assert!(found(&assess(&place, &self_contained(), None), id, Severity::Caution));
    }
}

// (d)(2)(i)(A): certified for at least 30 minutes.
#[test]
fn a_short_or_unrated_self_contained_unit_stops_in_dangerous_air() {
    let dangerous = place(vec![vapour("toluene", "600 ppm")]);
    for (rated, allowed) in [(Some(30), true), (Some(29), false), (None, false)] {
        let unit = Device { rated_minutes: rated, ..self_contained() };
        let answer = assess(&dangerous, &unit, None);
        assert_eq!(answer.allowed, allowed, "{rated:?}");
        assert_eq!(stops(&answer).contains(&"danger.rated-time"), !allowed, "{rated:?}");
    }
    let calm = place(vec![vapour("toluene", "60 ppm")]);
    let unit = Device { rated_minutes: Some(15), ..self_contained() };
    assert!(assess(&calm, &unit, None).allowed);
}

// (d)(3)(ii): the right element for each gas; 42 CFR 84.126 for carbon monoxide.
#[test]
fn the_wrong_element_stops_by_its_own_rule() {
    for (contaminant, against, expected) in [
        (vapour("ammonia", "30 ppm"), OV, "element.kind"),
        (vapour("toluene", "60 ppm"), &[Kind::Ammonia][..], "element.kind"),
        (vapour("chlorine", "1 ppm"), &[Kind::SulfurDioxide], "element.kind"),
        (vapour("methylamine", "5 ppm"), &[Kind::Ammonia], "element.kind"),
        (vapour("carbon monoxide", "60 ppm"), OV, "element.carbon-monoxide"),
        (vapour("carbon monoxide", "60 ppm"), &[Kind::CarbonMonoxide], "element.carbon-monoxide"),
        (vapour("nitric oxide", "30 ppm"), OV, "element.none-known"),
        (vapour("hydrogen sulfide", "12 ppm"), OV, "element.none-known"),
        (vapour("methanol", "250 ppm"), OV, "element.poor-sorbent"),
    ] {
        let answer =
            assess(&place(vec![contaminant]), &full_facepiece(), Some(&cartridges(against)));
        assert_eq!(stops(&answer), [expected], "{}", contaminant.substance.name());
    }
}

#[test]
fn a_canister_for_carbon_monoxide_holds_it() {
    let monoxide = place(vec![vapour("carbon monoxide", "60 ppm")]);
    let canister = elements(Mounting::CanisterFrontOrBack, &[Kind::CarbonMonoxide], None);
    let answer = assess(&monoxide, &full_facepiece(), Some(&canister));
    assert!(answer.allowed, "{:?}", stops(&answer));
}

#[test]
fn no_elements_stated_stops() {
    let toluene = place(vec![vapour("toluene", "60 ppm")]);
    for fitted in [None, Some(cartridges(&[]))] {
        let answer = assess(&toluene, &half_mask(), fitted.as_ref());
        assert!(stops(&answer).contains(&"element.not-stated"));
    }
    let airline = device(AirSource::SuppliedAirContinuousFlow, Facepiece::HalfMask);
    assert!(assess(&toluene, &airline, None).allowed);
}

// 42 CFR 84.190(a).
#[test]
fn above_what_a_cartridge_is_certified_for_stops_though_the_factor_would_do() {
    let mut ammonia = vapour("ammonia", "299 ppm");
    let fitted = cartridges(&[Kind::Ammonia]);
    let judge = |c| assess(&place(vec![c]), &full_facepiece(), Some(&fitted));
    assert!(judge(ammonia).allowed, "{:?}", stops(&judge(ammonia)));
    ammonia = vapour("ammonia", "301 ppm");
    assert!(stops(&judge(ammonia)).contains(&"element.cartridge-maximum"));
    let chlorine = place(vec![vapour("sulfur dioxide", "51 ppm")]);
    let answer = assess(&chlorine, &full_facepiece(), Some(&cartridges(&[Kind::SulfurDioxide])));
    let finding = answer.findings.iter().find(|f| f.rule.id == "element.cartridge-maximum");
    assert_eq!(finding.unwrap().citation(), "42 CFR 84.190(a) (MU6)");
}

// (d)(3)(i)(B)(3): the lower of factor times limit, the immediately dangerous level and the cartridge.
#[test]
fn the_maximum_use_concentration_is_capped_by_danger_and_by_the_cartridge() {
    let maximum = |name: &str, unit: &Device, against: &[Kind], mounting| {
        let fitted = elements(mounting, against, None);
        let answer = assess(&place(vec![vapour(name, "1 ppm")]), unit, Some(&fitted));
        answer.contaminants[0].max_use_concentration
    };
    let full = full_facepiece();
    let sulfur = &[Kind::SulfurDioxide][..];
    // Factor 50 times 2 ppm is 100 ppm; the cartridge is certified up to 50 ppm (MU6).
    let found = maximum("sulfur dioxide", &full, sulfur, Mounting::Cartridge);
    assert_eq!(found, Some(concentration("50 ppm")));
    // Factor 50 times 100 ppm is 5000 ppm; immediately dangerous from 500 ppm.
    let found = maximum("toluene", &full, OV, Mounting::CanisterChin);
    assert_eq!(found, Some(concentration("500 ppm")));
    let found = maximum("toluene", &airline_auxiliary(), &[], Mounting::Cartridge);
    assert_eq!(found, Some(concentration("100000 ppm")));
}

// (d)(3)(iv), 42 CFR 84.170(a)(2), 84.175.
#[test]
fn particles_ask_for_a_filter_that_stands_the_oil() {
    let dusty = |oil: Option<bool>| Place {
        oil_aerosol: oil,
        ..place(vec![particle("lead", "0.2 mg/m3")])
    };
    let judge = |oil, filter: &str| assess(&dusty(oil), &half_mask(), Some(&filters(filter)));
    for (oil, filter, expected) in [
        (Some(false), "N100", &[][..]),
        (Some(true), "N100", &["filter.oil"]),
        (None, "N100", &["filter.oil"]),
        (Some(true), "P100", &[]),
        (None, "R100", &[]),
        (Some(true), "R100", &[]),
        (Some(false), "N95", &["substance.rule"]),
    ] {
        assert_eq!(stops(&judge(oil, filter)), expected, "{oil:?} {filter}");
    }
    assert!(found(&judge(None, "R100"), "filter.r-one-shift", Severity::Caution));
    assert!(!found(&judge(Some(false), "R100"), "filter.r-one-shift", Severity::Caution));
    let bare = assess(&dusty(Some(false)), &half_mask(), Some(&cartridges(OV)));
    assert!(stops(&bare).contains(&"filter.needed"));
    let blower = powered(Facepiece::FullFacepiece);
    let weak = assess(&dusty(Some(false)), &blower, Some(&filters("N95")));
    assert!(stops(&weak).contains(&"filter.powered-class"));
    for class in ["HE", "PAPR100-P"] {
        assert!(assess(&dusty(None), &blower, Some(&filters(class))).allowed, "{class}");
    }
    let of_another = assess(&dusty(Some(false)), &blower, Some(&filters("P100")));
    assert_eq!(stops(&of_another), ["filter.powered-class"]);
    let told = of_another.findings.iter().find(|f| f.rule.id == "filter.powered-class").unwrap();
    assert!(told.remedy().contains("HE, PAPR100-N or PAPR100-P"), "{}", told.remedy());
    assert_eq!(stops(&judge(Some(false), "HE")), ["filter.powered-class"]);
    let oily = assess(&dusty(Some(true)), &blower, Some(&filters("PAPR100-N")));
    assert_eq!(stops(&oily), ["filter.oil"]);
}

#[test]
fn oil_in_the_air_asks_for_a_filter_even_where_only_vapour_is_listed() {
    let mut oily = place(vec![vapour("toluene", "60 ppm")]);
    oily.oil_aerosol = Some(true);
    let answer = assess(&oily, &half_mask(), Some(&cartridges(OV)));
    assert_eq!(stops(&answer), ["filter.needed", "element.gas-and-particle"]);
}

// (d)(3)(ii): state and form of the contaminant.
#[test]
fn gas_and_particles_together_need_both() {
    let spray = place(vec![airborne("toluene", "60 ppm", AirborneForm::VapourAndParticle)]);
    let judge = |fitted: rulebook::Elements| stops(&assess(&spray, &half_mask(), Some(&fitted)));
    assert_eq!(judge(filters("P100")), ["element.kind", "element.gas-and-particle"]);
    assert_eq!(
        judge(cartridges(OV)),
        ["filter.needed", "element.gas-and-particle", "substance.rule"]
    );
    assert_eq!(judge(elements(Mounting::Cartridge, OV, Some("P95"))), [""; 0]);
}

// (d)(1)(iii): the physical form is part of what must be known.
#[test]
fn a_vapour_entered_as_particles_alone_counts_as_both() {
    for name in ["toluene", "phenol", "nitrobenzene", "mercury"] {
        let mist = place(vec![particle(name, "0.01 mg/m3")]);
        let answer = assess(&mist, &half_mask(), Some(&filters("P100")));
        assert!(stops(&answer).contains(&"element.kind"), "{name}");
        assert!(found(&answer, "element.form-doubtful", Severity::Caution), "{name}");
    }
    let phenol = place(vec![vapour("phenol", "1 ppm")]);
    let answer = assess(&phenol, &half_mask(), Some(&cartridges(OV)));
    assert!(answer.allowed && found(&answer, "element.particles-likely", Severity::Caution));
}

// (d)(2)(iii) Table II: above 14,000 ft breathing air is enriched with oxygen.
#[test]
fn a_pressure_of_no_workplace_stops_every_unit() {
    for kpa in [0.0, 59.0, 111.0, 101_325.0 / 2000.0] {
        let mut thin = place(vec![vapour("toluene", "60 ppm")]);
        thin.pressure = Kilopascal::from_kpa(kpa).unwrap();
        for unit in list(&thin) {
            assert!(stops(&unit).contains(&"place.pressure"), "{kpa} {}", unit.title);
        }
    }
}

// 29 CFR 1910.1000(d)(2), from memory: levels over their limits add up.
#[test]
fn several_things_within_their_limits_can_be_too_much_together() {
    let at = |level: &str| {
        let mut toluene = vapour("toluene", level);
        toluene.site_limit = Some(concentration("10 ppm"));
        let mut xylene = vapour("1330-20-7", level);
        xylene.site_limit = Some(concentration("10 ppm"));
        assess(&place(vec![toluene, xylene]), &half_mask(), Some(&cartridges(OV)))
    };
    assert!(at("50 ppm").allowed);
    assert_eq!(stops(&at("51 ppm")), ["factor.mixture"]);
}

// Concentrations are compared at the temperature and pressure of the place.
#[test]
fn mg_per_m3_and_ppm_meet_through_the_molar_mass() {
    let factor = |level: &str| {
        let answer = assess(&place(vec![vapour("toluene", level)]), &half_mask(), None);
        answer.contaminants[0].needed_factor.unwrap()
    };
    // 100 ppm of toluene at 25 degC and 101.325 kPa is 376.9 mg/m3 (92.14 g/mol over 24.465 L).
    assert!((factor("376.6 mg/m3") / factor("100 ppm") - 1.0).abs() < 2e-3);
}

#[test]
fn a_level_that_no_limit_can_be_compared_with_stops() {
    let fibres = place(vec![particle("asbestos", "0.5 f/cc")]);
    let answer = assess(&fibres, &half_mask(), Some(&filters("P100")));
    assert!(answer.allowed, "{:?}", stops(&answer));
    assert!(found(&answer, "limit.unconfirmed", Severity::Caution));
    let mass = place(vec![particle("asbestos", "0.5 mg/m3")]);
    let answer = assess(&mass, &half_mask(), Some(&filters("P100")));
    assert_eq!(stops(&answer), ["limit.not-comparable"]);
}

#[test]
fn no_limit_stops_until_the_site_gives_one() {
    let bare = vapour("1-Hexene", "20 ppm");
    let judge = |c, unit: &Device| assess(&place(vec![c]), unit, Some(&cartridges(OV)));
    assert_eq!(stops(&judge(bare, &half_mask())), ["limit.none"]);
    let demand = device(AirSource::SuppliedAirDemand, Facepiece::HalfMask);
    assert_eq!(stops(&judge(bare, &demand)), ["limit.none"]);
    assert!(
        judge(bare, &device(AirSource::SuppliedAirPressureDemand, Facepiece::HalfMask)).allowed
    );
    let mut given = bare;
    given.site_limit = Some(concentration("50 ppm"));
    assert!(judge(given, &half_mask()).allowed);
}

#[test]
fn an_empty_list_of_contaminants_stops() {
    let answer = assess(&place(Vec::new()), &half_mask(), Some(&filters("P100")));
    assert_eq!(stops(&answer), ["air.nothing-listed"]);
}

// (d)(2)(ii): escape-only units are certified for escape from the air at hand.
#[test]
fn leaving_asks_for_a_unit_that_is_certified_for_it() {
    let mut leaving = place(vec![vapour("toluene", "600 ppm")]);
    leaving.purpose = Purpose::Escape;
    let hood = Device {
        escape_only: true,
        rated_minutes: Some(5),
        ..device(AirSource::SelfContainedPressureDemand, Facepiece::HelmetOrHood)
    };
    assert!(assess(&leaving, &hood, None).allowed);
    let canister = elements(Mounting::CanisterEscape, OV, None);
    let escape = Device { escape_only: true, ..full_facepiece() };
    assert!(assess(&leaving, &escape, Some(&canister)).allowed);
    let other = elements(Mounting::CanisterEscape, &[Kind::Ammonia], None);
    assert_eq!(stops(&assess(&leaving, &escape, Some(&other))), ["element.kind"]);
    // A gas mask for work is not certified for escape from immediately dangerous air.
    let chin = elements(Mounting::CanisterChin, OV, None);
    let mask = assess(&leaving, &full_facepiece(), Some(&chin));
    assert_eq!(stops(&mask), ["danger.level"]);
    let half = assess(&leaving, &half_mask(), Some(&cartridges(OV)));
    assert!(stops(&half).contains(&"escape.unit"));
    let airline = device(AirSource::SuppliedAirPressureDemand, Facepiece::FullFacepiece);
    assert!(stops(&assess(&leaving, &airline, None)).contains(&"escape.unit"));
    // The same hood for work stops by note 5 of Table 1.
    let work = place(vec![vapour("toluene", "60 ppm")]);
    assert_eq!(stops(&assess(&work, &hood, None)), ["factor.escape-only"]);
    // Not even to leave is air purified that nobody knows, or that lacks oxygen.
    leaving.oxygen = Some(oxygen(19.4));
    assert_eq!(stops(&assess(&leaving, &escape, Some(&canister))), ["oxygen.deficient"]);
}

#[test]
fn the_list_names_every_class_with_all_its_reasons() {
    let assessments = list(&place(vec![vapour("toluene", "60 ppm")]));
    let refused = |title: &str| {
        let found = assessments.iter().find(|a| a.title == title);
        stops(found.unwrap_or_else(|| panic!("{title} is not listed")))
    };
    assert_eq!(assessments.len(), 35 + 9 + 2 + 2 + 2 + 4);
    assert_eq!(refused("half mask with organic vapour cartridges"), [""; 0]);
    assert_eq!(
        refused("loose-fitting facepiece with organic vapour cartridges"),
        ["factor.not-assigned"]
    );
    assert_eq!(refused("filtering facepiece N95"), ["element.kind"]);
    for assessment in &assessments {
        assert_eq!(assessment.allowed, stops(assessment).is_empty(), "{}", assessment.title);
    }
    let titles: std::collections::BTreeSet<&str> =
        assessments.iter().map(|a| a.title.as_str()).collect();
    assert_eq!(titles.len(), assessments.len(), "no class stands twice under one name");
}

#[test]
fn filtering_facepieces_hold_no_gas() {
    let answer = assess(
        &place(vec![vapour("toluene", "60 ppm")]),
        &filtering_facepiece(),
        Some(&filters("N95")),
    );
    assert_eq!(stops(&answer), ["element.kind"]);
}
