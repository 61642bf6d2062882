//! Schedules on the safe side: what a case does not tell, or tells of a place where nobody may work,
//! shortens a life or stops it and never lengthens it.
//!
//! Where no source is named the check is one of meaning or of physics: more water, more wear, more
//! shifts and open storage never last longer.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot read its own data must fail"
)]

use std::sync::Arc;

use program::case::WrittenCase;
use program::life::{LifeAnswer, LifeMethod, compute_sampled};
use program::what_if::what_if;
use rulebook::{Decision, decide};

const BED: &str = r#"
[cartridge]
elements = 2
sorbent_mass = "30 g"
bed_area = "40 cm2"
bulk_density = "0.45 g/cm3"
micropore_volume = "0.45 cm3/g"
"#;

const PLACE: &str = "[place]\noxygen = \"20.9 %\"\noil_aerosol = false\nirritates_eyes = false\n";

fn air(humidity: &str) -> String {
    format!(
        "[air]\nflow = \"50 L/min\"\ntemperature = \"21 degC\"\nrelative_humidity = \"{humidity}\"\n"
    )
}

fn vapour(name: &str, level: &str, limit: &str) -> String {
    format!(
        "[[contaminant]]\nname = \"{name}\"\nconcentration = \"{level}\"\nsite_limit = \"{limit}\"\n"
    )
}

fn on(minutes: &str) -> String {
    format!("[[segment]]\nduration = \"{minutes}\"\n")
}

fn off(duration: &str, storage: &str) -> String {
    format!("[[segment]]\nduration = \"{duration}\"\nmask = \"off\"\nstorage = \"{storage}\"\n")
}

fn case(parts: &[&str]) -> String {
    format!("{BED}{PLACE}{}{}", air("35 %"), parts.concat())
}

fn sampled(text: &str, samples: Option<usize>) -> Result<LifeAnswer, String> {
    let written = WrittenCase::read(text).map_err(|error| error.to_string())?;
    compute_sampled(&written, LifeMethod::Full, samples, &Arc::default())
        .map_err(|error| error.to_string())
}

/// With few copies: what is looked at is not how far the bound is settled.
fn life(text: &str) -> LifeAnswer {
    sampled(text, Some(800)).unwrap()
}

fn ids(answer: &LifeAnswer) -> Vec<&'static str> {
    answer.findings.iter().map(|finding| finding.rule.id).collect()
}

fn best(answer: &LifeAnswer) -> f64 {
    answer.life_min.unwrap().best
}

fn lower(answer: &LifeAnswer) -> f64 {
    answer.life_min.unwrap().lower
}

// An hour of damp air that pushes a weakly held vapour out, then drier air: a few of a hundred copies
// end in that hour and the rest far later. The usual count of copies must not tell more than many do.
#[test]
fn the_usual_bound_is_no_more_than_that_of_many_copies() {
    let humid = format!("{}relative_humidity = \"82 %\"\n", on("60 min"));
    let both =
        vapour("ethyl acetate", "180 ppm", "100 ppm") + &vapour("styrene", "40 ppm", "50 ppm");
    let two = [both.as_str(), &humid, &on("300 min")].concat();
    let weak = vapour("acetone", "150 ppm", "200 ppm");
    let one = [weak.as_str(), &on("40 min"), &off("40 min", "sealed"), &on("300 min")].concat();
    for (work, many) in [(two, 6_000), (one, 12_000)] {
        let text = case(&[&work]);
        let (usual, many) = (sampled(&text, None).unwrap(), sampled(&text, Some(many)).unwrap());
        let (point, settled) = (many.sampled.as_ref().unwrap(), usual.sampled.as_ref().unwrap());
        let (point, own) = (point.ends.last().unwrap(), settled.ends.last().unwrap());
        println!("usual {} of {} copies; many {}", lower(&usual), settled.copies, point.low);
        assert!(lower(&usual) <= point.low * 1.01, "{} {}", lower(&usual), point.low);
        assert!(own.bound <= own.low && settled.copies >= 500, "{own:?}");
        assert!((own.low - point.low).abs() < 4.0 * own.low_error.max(0.5), "{own:?} {point:?}");
    }
}

// Issue: the floor for low-boiling vapours counts for gases held by reaction too.
#[test]
fn a_gas_held_by_reaction_that_boils_low_serves_one_shift() {
    for (gas, kind, level) in [
        ("chlorine", "chlorine", "0.9 ppm"),
        ("hydrogen chloride", "hydrogen chloride", "8 ppm"),
        ("ammonia", "ammonia", "60 ppm"),
    ] {
        let cartridge = format!("[cartridge]\ncertified_for = \"{kind}\"\n");
        let gas = format!("[[contaminant]]\nname = \"{gas}\"\nconcentration = \"{level}\"\n");
        let work = "[work]\nwear = \"30 min\"\nshifts_before_change = 9\nbetween_shifts = \"16 h\"\nstorage = \"sealed\"\n";
        let place = PLACE.replace("eyes = false", "eyes = true");
        let answer = life(&format!(
            "{cartridge}{place}{}{gas}{work}[respirator]\nfacepiece = \"full-facepiece\"\n",
            air("40 %")
        ));
        assert!(answer.schedule.shifts <= 1, "{kind}: {:?}", answer.schedule);
        let text: Vec<String> = answer.findings.iter().map(|f| f.text()).collect();
        assert!(ids(&answer).contains(&"change.low-boiling"), "{kind}: {text:?}");
        let far = text.iter().any(|text| text.contains("less than a tenth"));
        assert_eq!(far, kind != "ammonia" || level == "60 ppm", "{kind}: {text:?}");
    }
}

// 29 CFR 1910.1028: elements against benzene are new at the start of each shift.
#[test]
fn a_long_rest_within_a_pattern_ends_a_shift() {
    let days = |name: &str, shifts: &str| {
        let gas = format!(
            "[[contaminant]]\nname = \"{name}\"\nconcentration = \"0.8 ppm\"\nsite_limit = \"0.5 ppm\"\n"
        );
        let (day, night) = (on("50 min"), off("15 h", "sealed"));
        life(&case(&[&gas, shifts, &day, &night, &day, &night, &day]))
    };
    let site = "[work]\nshifts_before_change = 1\n";
    for answer in [days("benzene", ""), days("benzene", site), days("styrene", site)] {
        let schedule = &answer.schedule;
        assert_eq!((schedule.shifts, schedule.max_wear.as_min()), (1, 50.0), "{schedule:?}");
        assert_eq!(answer.bed.unwrap().shifts, 3);
    }
    let free = days("styrene", "").schedule;
    assert_eq!((free.shifts, free.max_wear.as_min()), (3, 150.0), "{free:?}");
    // A meal is no night.
    let gas = vapour("styrene", "0.8 ppm", "0.5 ppm");
    let meal = life(&case(&[&gas, site, &on("50 min"), &off("45 min", "sealed"), &on("50 min")]));
    assert_eq!((meal.schedule.shifts, meal.schedule.max_wear.as_min()), (1, 100.0));
}

#[test]
fn refused_reuse_leaves_the_wear_of_one_shift() {
    let work = "[work]\nwear = \"50 min\"\nshifts_before_change = 3\nbetween_shifts = \"16 h\"\nstorage = \"sealed\"\n";
    let answer = life(&case(&[&vapour("acetone", "30 ppm", "500 ppm"), work]));
    let schedule = &answer.schedule;
    assert_eq!((schedule.shifts, schedule.max_wear.as_min()), (1, 50.0), "{schedule:?}");
    assert!(schedule.limited_by.contains("planned"), "{schedule:?}");
    assert!(!ids(&answer).contains(&"service-life.night-assumed"));
    let untold = life(&case(&[
        &vapour("acetone", "30 ppm", "500 ppm"),
        &work.replace("between_shifts = \"16 h\"\n", ""),
    ]));
    assert!(ids(&untold).contains(&"service-life.night-assumed"));
}

// 29 CFR 1910.134(h)(2): elements are kept from contaminants and moisture; what leaves an open bed is
// not counted on.
#[test]
fn open_storage_never_lasts_longer_than_sealed() {
    let kept = |storage: &str| {
        let work = format!(
            "[work]\nwear = \"25 min\"\nshifts_before_change = 8\nbetween_shifts = \"16 h\"\nstorage = \"{storage}\"\n"
        );
        life(&case(&[&vapour("methyl ethyl ketone", "140 ppm", "70 ppm"), &work]))
    };
    let (open, sealed) = (kept("open"), kept("sealed"));
    assert!(best(&open) <= best(&sealed) && lower(&open) <= lower(&sealed));
    assert!(open.schedule.shifts <= sealed.schedule.shifts);
    assert!(ids(&open).contains(&"service-life.open-storage"));
    assert!(!ids(&sealed).contains(&"service-life.open-storage"));
}

// Issue 4: the bed is as damp as it was stored; more water never lasts longer.
#[test]
fn damp_storage_shortens_the_life() {
    let gas = vapour("methyl ethyl ketone", "1100 ppm", "190 ppm");
    let never_longer = |of: &dyn Fn(&str) -> LifeAnswer| {
        let mut last = f64::INFINITY;
        let all: Vec<f64> = ["10 %", "40 %", "60 %", "80 %", "95 %"].map(|h| best(&of(h))).to_vec();
        for now in &all {
            assert!(*now <= last * 1.001, "{all:?}");
            last = *now;
        }
        assert!(all[4] < 0.9 * all[0], "{all:?}");
    };
    let room =
        |humidity: &str| format!("{}relative_humidity = \"{humidity}\"\n", off("400 h", "open"));
    never_longer(&|h| life(&case(&[&gas, &room(h), &on("420 min")])));
    never_longer(&|h| life(&case(&[&gas, &on("20 min"), &room(h), &on("420 min")])));
    let told = |humidity: &str| BED.to_owned() + &format!("stored_humidity = \"{humidity}\"\n");
    let stored =
        |h: &str, work: &str| life(&format!("{}{PLACE}{}{gas}{work}", told(h), air("35 %")));
    never_longer(&|h| stored(h, "[work]\nwear = \"100 min\"\n"));
    never_longer(&|h| stored(h, &[on("30 min"), off("45 min", "sealed"), on("390 min")].concat()));
    // A sealed bag keeps the damp out.
    let bagged = format!("{}relative_humidity = \"95 %\"\n", off("400 h", "sealed"));
    let (dry, bagged) = (
        life(&case(&[&gas, &room("10 %"), &on("420 min")])),
        life(&case(&[&gas, &bagged, &on("420 min")])),
    );
    assert!((best(&dry) / best(&bagged) - 1.0).abs() < 1e-6);
}

// 29 CFR 1910.134(d): what the selection rules stop is not for wear, whatever its life.
#[test]
fn air_in_which_the_elements_may_not_be_used_is_no_schedule() {
    let work = "[work]\nwear = \"80 min\"\n";
    let toluene = |level: &str| vapour("toluene", level, "20 ppm");
    let place = |from: &str, to: &str| case(&[&toluene("150 ppm"), work]).replace(from, to);
    let good = life(&case(&[&toluene("150 ppm"), work]));
    assert_eq!(decide(&good.findings), Decision::Allowed, "{:?}", ids(&good));
    for text in [
        place("20.9 %", "18.5 %"),
        place("[place]\n", "[place]\natmosphere_unknown = true\n"),
        place("[place]\n", "[place]\nimmediately_dangerous = true\n"),
        case(&[&toluene("650 ppm"), work]),
        case(&[&vapour("benzene", "30 ppm", "1 ppm"), work]),
    ] {
        let answer = life(&text);
        assert_eq!(decide(&answer.findings), Decision::Stop, "{text}");
        let schedule = &answer.schedule;
        assert!(schedule.text.starts_with("not for wear in this air"), "{schedule:?}");
        assert_eq!((schedule.shifts, schedule.max_wear.as_min()), (0, 0.0));
        assert!(schedule.limited_by.contains("may not be used in this air"), "{schedule:?}");
        assert!(best(&answer) > 0.0, "the computed times are told all the same");
    }
}

// The properties of a vapour are those of the temperature of its segment, wherever the case has its own.
#[test]
fn a_segment_has_the_properties_of_its_own_temperature() {
    let of = |celsius: &str| {
        let warm = |minutes: &str| format!("{}temperature = \"44 degC\"\n", on(minutes));
        let text = case(&[
            &vapour("methyl ethyl ketone", "190 ppm", "70 ppm"),
            &warm("90 min"),
            &off("30 min", "sealed"),
            &warm("400 min"),
        ]);
        life(&text.replace("21 degC", celsius))
    };
    let (cold, warm) = (of("4 degC"), of("44 degC"));
    assert!((best(&cold) / best(&warm) - 1.0).abs() < 2e-3, "{} {}", best(&cold), best(&warm));
}

#[test]
fn a_segment_cut_in_two_is_the_same_segment() {
    let gas = vapour("toluene", "150 ppm", "20 ppm");
    let whole = life(&case(&[&gas, &on("240 min")]));
    let halves = life(&case(&[&gas, &on("100 min"), &on("140 min")]));
    assert_eq!((whole.life_min, &whole.schedule), (halves.life_min, &halves.schedule));
}

// What rises to a fraction of its end level cuts no schedule short.
#[test]
fn a_vapour_that_never_reaches_its_end_sets_no_schedule() {
    let gases =
        vapour("trichloroethylene", "12 ppm", "5 ppm") + &vapour("ethanol", "3 ppm", "60 ppm");
    let answer = life(&case(&[&gases, "[work]\nwear = \"400 min\"\n"]));
    let [first, never] = [0, 1].map(|place| answer.contaminants[place].time_min.unwrap());
    assert!(never.best.is_infinite() && never.lower.is_infinite(), "{never:?}");
    assert_eq!(lower(&answer), first.lower);
}

#[test]
fn what_a_case_cannot_mean_is_refused_with_a_remedy() {
    let gas = vapour("toluene", "150 ppm", "20 ppm");
    let good = case(&[&gas, "[work]\nwear = \"2 h\"\nshifts_before_change = 2\n"]);
    let refused = |text: &str| sampled(text, Some(1)).unwrap_err();
    for (from, to, says) in [
        ("wear = \"2 h\"", "wear = \"0 min\"", "none of one shift"),
        ("change = 2", "change = 0", "1 to 31"),
        ("change = 2", "change = 1000", "1 to 31"),
        ("0.45 g/cm3", "5 g/cm3", "0.1 to 1.2"),
        ("elements = 2", "elements = 2\nreference_energy = \"100 kJ/mol\"", "8 to 40"),
    ] {
        let text = good.replace(from, to);
        assert_ne!(text, good, "{from}");
        let refused = refused(&text);
        assert!(refused.contains(says) && refused.contains("\n  "), "{to}: {refused}");
    }
    let both = refused(&format!("{good}{}", on("60 min")));
    assert!(both.contains("segments tell how long"), "{both}");
    for cartridge in ["", "[cartridge]\n", "[cartridge]\nfilter = \"P100\"\n"] {
        let untold = refused(&good.replace(BED, cartridge));
        assert!(untold.contains("certified_for"), "{untold}");
    }
    for (change, says) in [
        ("", "changes nothing"),
        (" ; ", "changes nothing"),
        ("work.wear = 1 h; work.wear = 3 h", "twice"),
    ] {
        let refused = what_if(&good, &[change.to_owned()], Some(1), &Arc::default()).unwrap_err();
        assert!(refused.to_string().contains(says), "{change}: {refused}");
    }
}

#[test]
fn a_place_that_is_not_told_of_is_said_to_be_taken_for_good() {
    let text = case(&[&vapour("toluene", "150 ppm", "20 ppm"), "[work]\nwear = \"2 h\"\n"]);
    let untold = life(&text.replace(PLACE, ""));
    assert!(ids(&untold).contains(&"service-life.place-untold"), "{:?}", ids(&untold));
    assert!(!ids(&life(&text)).contains(&"service-life.place-untold"));
}

// The bound goes on evenly where the error of humid air sets in, and what limits is named.
#[test]
fn the_bound_does_not_jump_and_names_what_limits_it() {
    let at = |humidity: &str| {
        let gas = vapour("toluene", "150 ppm", "20 ppm");
        lower(&life(&format!("{BED}{PLACE}{}{gas}", air(humidity))))
    };
    for (before, after) in [("49.999 %", "50.001 %"), ("64.999 %", "65.001 %")] {
        assert!(
            (at(before) / at(after) - 1.0).abs() < 1e-3,
            "{before}: {} {}",
            at(before),
            at(after)
        );
    }
    let weak = life(&case(&[&vapour("toluene", "0.5 ppm", "20 ppm")]));
    assert_eq!(weak.schedule.max_wear.as_min(), 720.0);
    assert!(weak.schedule.limited_by.contains("12 h"), "{:?}", weak.schedule);
}
