//! Lives against gases held by reaction, which rest on what certification proves.
//!
//! Where no source is named the check is one of meaning: what enters adds up to what was proven to be
//! held, and what is less sure does not last longer.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot read its own data must fail"
)]

use std::sync::Arc;

use program::case::WrittenCase;
use program::life::{LifeAnswer, LifeMethod, compute_sampled};

const CASE: &str = r#"
[cartridge]
certified_for = "ammonia"
[air]
flow = "40 L/min"
temperature = "20 degC"
relative_humidity = "50 %"
[[contaminant]]
name = "ammonia"
concentration = "200 ppm"
[end]
penetration = "25 ppm"
[place]
oxygen = "20.9 %"
oil_aerosol = false
irritates_eyes = false
"#;

fn sampled(text: &str, samples: Option<usize>) -> LifeAnswer {
    let written = WrittenCase::read(text).unwrap();
    compute_sampled(&written, LifeMethod::Full, samples, &Arc::default()).unwrap()
}

fn times(text: &str) -> (f64, f64) {
    let life = sampled(text, None).contaminants[0].time_min.unwrap();
    (life.best, life.lower)
}

fn unsure(level: &str, flow: &str) -> String {
    format!("{CASE}[uncertainty]\nconcentration = \"{level}\"\nflow = \"{flow}\"\n")
}

fn segment(minutes: u32, more: &str) -> String {
    format!("[[segment]]\nduration = \"{minutes} min\"\n{more}\n")
}

#[test]
fn the_bound_counts_how_sure_level_and_flow_are() {
    let (best, sure) = times(&unsure("0 %", "0 %"));
    let (_, usual) = times(CASE);
    let (_, level) = times(&unsure("40 %", "0 %"));
    let (_, flow) = times(&unsure("0 %", "40 %"));
    assert!(sure <= best && usual < sure, "{best} {sure} {usual}");
    // What is held is spent as the level: 95 of 100 copies lie below exp(1.645 x 0.4) times it.
    let below = (-1.645 * 0.4_f64).exp();
    assert!((0.9..1.001).contains(&(level / (sure * below))), "{level} {sure}");
    // The one copy that answers for all is near what as many as asked for say.
    for case in [CASE.to_owned(), unsure("40 %", "20 %"), unsure("5 %", "40 %")] {
        let many = sampled(&case, Some(8_000)).contaminants[0].time_min.unwrap().lower;
        let (_, one) = times(&case);
        assert!((0.85..1.02).contains(&(one / many)), "{one} {many}");
    }
    assert!(flow < level * 1.001, "a faster flow spends more and has less contact: {flow} {level}");
}

#[test]
fn segments_spend_what_is_held_by_their_own_levels() {
    let (best, lower) = times(CASE);
    let half = format!("{}{}", segment(30, ""), segment(30, "level = { ammonia = \"0 ppm\" }"));
    let (best_half, lower_half) = times(&format!("{CASE}{half}"));
    // Every other half hour spends nothing; the count ends within one that does.
    for (whole, halved) in [(best, best_half), (lower, lower_half)] {
        assert!((2.0 * whole - 30.0..=2.0 * whole + 30.0).contains(&halved), "{whole} {halved}");
    }
    let rests =
        format!("{}{}", segment(30, ""), segment(45, "mask = \"off\"\nstorage = \"sealed\""));
    assert!((times(&format!("{CASE}{rests}")).0 / best - 1.0).abs() < 1e-9);
    // One fast minute judges the contact of all, and no order lasts longer than another.
    let fast = segment(1, "flow = \"120 L/min\"");
    let slow = segment(60, "flow = \"40 L/min\"");
    let first = times(&format!("{CASE}{fast}{slow}")).0;
    let last = times(&format!("{CASE}{slow}{fast}")).0;
    let always = times(&CASE.replace("40 L/min", "120 L/min")).0;
    assert!(always < first && first < best && last < best, "{always} {first} {last} {best}");
    let split = format!("{}{}", segment(20, ""), segment(10, ""));
    let whole = times(&format!("{CASE}{}{rests}", segment(30, ""))).0;
    assert!((times(&format!("{CASE}{split}{rests}")).0 / whole - 1.0).abs() < 1e-9);
}

#[test]
fn samples_that_tell_no_shares_are_said() {
    let said = |samples| {
        let answer = sampled(CASE, samples);
        answer.findings.iter().any(|finding| finding.rule.id == "service-life.not-shared")
    };
    assert!(said(Some(500)) && !said(None));
}
