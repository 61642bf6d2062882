//! Readings to answer: fit, limits, design concentration, findings.

use quantity::Concentration;
use rulebook::{Finding, exposure as rules};

use super::answer::{Arithmetic, Basis, Design, ExposureAnswer, Fitted, LimitAnswer};
use super::censored::{self, NO_SPREAD, NoFit};
use super::en_689::en_689;
use super::lognormal::count;
use super::readings::{Readings, Unit};
use super::shapiro_wilk::shapiro_wilk;
use super::{Logarithms, Means, Summary};

const METHOD: &str = "lognormal statistics of the natural logarithms; exact upper tolerance limit and exceedance limits by the noncentral t distribution";

const METHOD_CENSORED: &str = "lognormal distribution of greatest likelihood, readings below detection taken as anywhere below their level; its spread widened and limits of confidence taken for the number detected";

const SOURCES: &[&str] = &[
    "tolerance limits and exceedance: exact normal theory (from memory), checked against data/checks/tolerance_k_factors.csv",
    "mean: Aitchison and Brown, The Lognormal Distribution (from memory); limits: Land 1971, Ann. Math. Statist. 42:1187-1205 (from memory), checked against published values",
    "goodness of fit: Royston 1995, Appl. Statist. 44:547-551 (from memory)",
    "below detection: Cohen 1959, Technometrics 1:217-237 (from memory)",
    "EN 689:2018 (from memory, unconfirmed)",
];

/// From this many readings on the upper limit of the 95th percentile is the design concentration;
/// below it is the highest reading.
const ENOUGH: usize = rules::ENOUGH_READINGS;

/// A chance this low of so poor a form is said. Common practice, no source.
const POOR_FIT: f64 = 0.05;

/// A geometric standard deviation beyond this is said. Common practice, no source.
const WIDE: f64 = 3.0;

/// The answer to readings.
pub(super) fn of_readings(readings: &Readings, limit: Option<f64>) -> ExposureAnswer {
    let (detected, below) = (readings.numbers(true), readings.numbers(false));
    let all: Vec<f64> = detected.iter().chain(&below).copied().collect();
    let logarithms = fit(&detected, &below);
    let complete = below.is_empty();
    let mut answer = ExposureAnswer {
        method: if complete { METHOD } else { METHOD_CENSORED },
        unit: readings.unit().word(),
        readings: readings.all().to_vec(),
        n: all.len(),
        below_detection: below.len(),
        highest: all.iter().copied().reduce(f64::max),
        arithmetic: complete.then(|| arithmetic(&detected)),
        fitted: logarithms.as_ref().ok().map(|logs| fitted(logs, complete)),
        goodness: if complete { shapiro_wilk(&detected) } else { None },
        against_limit: None,
        design_concentration: None,
        findings: Vec::new(),
        sources: SOURCES.to_vec(),
    };
    if let Err(reason) = logarithms {
        answer.findings.push(Finding::caution(&rules::NO_FIT).with("reason", reason));
    }
    conclude(&mut answer, logarithms.ok(), (readings.unit(), limit));
    if let Some(against) = answer.against_limit.as_mut() {
        let index = against.exceedance.map(|exceedance| exceedance.index);
        let outcome = en_689(&all, readings.unit().number(against.limit), index);
        against.en_689 = Some(outcome);
        answer.findings.push(Finding::note(&rules::EN_689).with("outcome", outcome.words()));
    }
    answer
}

/// The design concentration alone.
pub(super) fn design_of(readings: &Readings) -> Option<Design> {
    let (detected, below) = (readings.numbers(true), readings.numbers(false));
    let highest = detected.iter().chain(&below).copied().reduce(f64::max);
    let fitted = fit(&detected, &below).ok().filter(|logarithms| logarithms.sd > NO_SPREAD);
    let upper = fitted.map(|logarithms| logarithms.upper_95_of_95());
    design(detected.len() + below.len(), upper, highest, readings.unit())
}

/// The answer to a summary.
pub(super) fn of_summary(
    logarithms: &Logarithms,
    summary: &Summary,
    limit: (Unit, Option<f64>),
) -> ExposureAnswer {
    let mut answer = ExposureAnswer {
        method: METHOD,
        unit: limit.0.word(),
        readings: Vec::new(),
        n: usize::try_from(summary.n).unwrap_or(usize::MAX),
        below_detection: 0,
        highest: None,
        arithmetic: None,
        fitted: Some(fitted(logarithms, true)),
        goodness: None,
        against_limit: None,
        design_concentration: None,
        findings: Vec::new(),
        sources: SOURCES.to_vec(),
    };
    conclude(&mut answer, Some(*logarithms), limit);
    answer
}

fn fit(detected: &[f64], below: &[f64]) -> Result<Logarithms, NoFit> {
    if below.is_empty() {
        Logarithms::of(detected).ok_or(NoFit::OneReading)
    } else {
        censored::fit(detected, below)
    }
}

fn arithmetic(values: &[f64]) -> Arithmetic {
    let n = count(values.len());
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|value| (value - mean) * (value - mean)).sum();
    Arithmetic { mean, sd: (n > 1.0).then(|| (squares / (n - 1.0)).sqrt()) }
}

fn fitted(logarithms: &Logarithms, complete: bool) -> Fitted {
    Fitted {
        by: if complete {
            "logarithms of all readings"
        } else {
            "maximum likelihood, left-censored"
        },
        mean_log: logarithms.mean,
        sd_log: logarithms.sd,
        geometric_mean: logarithms.geometric_mean(),
        geometric_sd: logarithms.geometric_sd(),
        mean: if complete { logarithms.means() } else { likely_means(logarithms) },
        percentile_95: logarithms.percentile_95(),
    }
}

/// Where some lie below detection only the mean of the fitted distribution itself is given.
fn likely_means(logarithms: &Logarithms) -> Means {
    let r = logarithms.detected;
    let simple = (logarithms.mean + logarithms.sd * logarithms.sd / 2.0).exp();
    let likely = logarithms.sd * logarithms.sd * (r - 1.0) / r;
    let likelihood = (logarithms.mean + likely / 2.0).exp();
    Means {
        best: likelihood,
        unbiased: None,
        unbiased_cv: None,
        likelihood,
        likelihood_cv: likely.exp_m1().sqrt(),
        simple,
        land_95: None,
        land_upper_95: None,
        cox_95: None,
    }
}

fn conclude(
    answer: &mut ExposureAnswer,
    logarithms: Option<Logarithms>,
    (unit, limit): (Unit, Option<f64>),
) {
    answer.findings.extend(form(answer));
    if let Some(limit) = limit
        && let Ok(level) = unit.level(limit)
    {
        let above = answer.readings.iter().filter(|r| r.detected && unit.number(r.level) > limit);
        let against = LimitAnswer {
            limit: level,
            number: limit,
            readings_above: above.count(),
            exceedance: logarithms.and_then(|logs| logs.exceedance(limit)),
            en_689: None,
        };
        answer.findings.extend(limit_findings(answer, &against, unit));
        answer.against_limit = Some(against);
    }
    let fitted = answer.fitted.as_ref().filter(|fitted| fitted.sd_log > NO_SPREAD);
    let upper = fitted.map(|fitted| fitted.percentile_95.upper_95);
    answer.design_concentration = design(answer.n, upper, answer.highest, unit);
    if let Some(design) = &answer.design_concentration {
        let finding = Finding::note(&rules::DESIGN).with("design", level_words(design.level, unit));
        answer.findings.push(finding.with("basis", &design.words));
    }
    answer.findings.push(Finding::note(&rules::CARE));
}

/// In how many of 100 groups the highest of `n` readings lies below the true 95th percentile.
pub(crate) fn chance_of_worse(n: usize) -> f64 {
    100.0 * 0.95_f64.powf(count(n))
}

/// What is said of the readings themselves.
fn form(answer: &ExposureAnswer) -> Vec<Finding> {
    let mut findings = Vec::new();
    let n = answer.n;
    if n < ENOUGH {
        let finding = Finding::caution(&rules::FEW).with("n", n);
        findings.push(finding.with("chance", format!("{:.0}", chance_of_worse(n))));
    }
    if answer.below_detection > 0 {
        let treatment = if answer.fitted.is_some() {
            "they are taken as anywhere below their detection level"
        } else {
            "their detection levels are used as they stand"
        };
        let finding =
            Finding::caution(&rules::BELOW_DETECTION).with("below", answer.below_detection);
        findings.push(finding.with("n", n).with("treatment", treatment));
    }
    let Some(fitted) = &answer.fitted else { return findings };
    if fitted.sd_log <= NO_SPREAD {
        let value = format!("{} {}", significant(fitted.geometric_mean), answer.unit);
        let finding = Finding::caution(&rules::EQUAL).with("n", n);
        findings.push(finding.with("value", value));
    }
    if let Some(goodness) = answer.goodness.filter(|goodness| goodness.p < POOR_FIT) {
        let finding = Finding::caution(&rules::NOT_LOGNORMAL);
        let finding = finding.with("w", format!("{:.3}", goodness.w));
        findings.push(finding.with("p", format!("{:.4}", goodness.p)));
    }
    if fitted.geometric_sd > WIDE {
        let gsd = format!("{:.2}", fitted.geometric_sd);
        findings.push(Finding::caution(&rules::WIDE).with("gsd", gsd));
    }
    findings
}

fn limit_findings(answer: &ExposureAnswer, against: &LimitAnswer, unit: Unit) -> Vec<Finding> {
    let mut findings = Vec::new();
    let limit = format!("{} {}", shown(unit.number(against.limit)), unit.word());
    if against.readings_above > 0
        && let Some(highest) = highest_detected(answer)
    {
        let finding =
            Finding::stop(&rules::ABOVE_LIMIT).with("highest", level_words(highest, unit));
        findings.push(finding.with("limit", &limit));
    }
    let upper = match &answer.fitted {
        Some(fitted) => Some(fitted.percentile_95.upper_95),
        // Without a fit the highest is all that is known, and it may lie below detection only.
        None => answer.highest,
    };
    if let Some(upper) = upper.filter(|upper| *upper > unit.number(against.limit)) {
        let words = format!("{} {}", significant(upper), unit.word());
        let finding = Finding::stop(&rules::UPPER_LIMIT).with("upper", words);
        findings.push(finding.with("limit", &limit));
    }
    findings
}

fn highest_detected(answer: &ExposureAnswer) -> Option<Concentration> {
    let detected = answer.readings.iter().filter(|reading| reading.detected);
    detected.map(|reading| reading.level).max_by(|a, b| a.number().total_cmp(&b.number()))
}

/// The upper limit of the 95th percentile, never below the highest reading; below six readings, where
/// that limit runs far beyond what was seen, and where nothing is known of a spread, the highest reading. A summary has no highest reading and
/// takes the limit.
fn design(n: usize, upper: Option<f64>, highest: Option<f64>, unit: Unit) -> Option<Design> {
    let upper = upper.filter(|_| n >= ENOUGH || highest.is_none());
    let (number, basis, words) = match (upper, highest) {
        (Some(upper), highest) if highest.is_none_or(|highest| highest <= upper) => (
            upper,
            Basis::UpperLimit,
            "the 95 % upper limit of the 95th percentile: 95 of 100 shifts lie below it, with 95 % confidence".to_owned(),
        ),
        (Some(_), Some(highest)) => (
            highest,
            Basis::HighestReading,
            "the highest reading, which lies above the upper limit of the 95th percentile".to_owned(),
        ),
        (None, Some(highest)) => {
            let why = if n < ENOUGH { "too few" } else { "without the spread that is needed" };
            let words = format!(
                "the highest of {n} readings, {why} for the 95th percentile; worse days are likely"
            );
            (highest, Basis::HighestReading, words)
        }
        (_, None) => return None,
    };
    Some(Design { level: unit.level(number).ok()?, number, basis, words })
}

/// A level in four significant digits, rounded up so that a design is never shown lower than it is.
fn level_words(level: Concentration, unit: Unit) -> String {
    format!("{} {}", significant(unit.number(level)), unit.word())
}

fn significant(number: f64) -> String {
    rounded(number, 4, f64::ceil)
}

/// A figure of an answer as it is shown: in five significant digits.
#[must_use]
pub fn shown(number: f64) -> String {
    rounded(number, 5, f64::round)
}

/// An upper limit or a highest level as it is shown: in five significant digits, never rounded down.
#[must_use]
pub fn shown_upper(number: f64) -> String {
    rounded(number, 5, f64::ceil)
}

/// A number in so many significant digits, without zeros at its end.
fn rounded(number: f64, digits: i32, how: fn(f64) -> f64) -> String {
    if number <= 0.0 || !number.is_finite() {
        return number.to_string();
    }
    // The place of its first digit, told exactly by its decimal form.
    let place = format!("{number:e}").rsplit_once('e').and_then(|(_, place)| place.parse().ok());
    let places: i32 = digits - 1 - place.unwrap_or(0);
    let step = 10_f64.powi(places);
    // A hair is taken off or added first, so that a number written in as many digits stays as it is.
    let steps = (number * step).max(f64::MIN_POSITIVE);
    let whole = steps.round();
    let steps = if (steps / whole - 1.0).abs() < 1e-11 { whole } else { how(steps) };
    let written = format!("{:.*}", usize::try_from(places.max(0)).unwrap_or(0), steps / step);
    written.parse::<f64>().map_or(written, |number| number.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_keep_their_digits_and_upper_limits_are_never_rounded_down() {
        for (number, near, upper) in [
            (0.000_22, "0.00022", "0.00022"),
            (0.123_456, "0.12346", "0.12346"),
            (0.123_451, "0.12345", "0.12346"),
            (1.000_01, "1", "1.0001"),
            (123_456.7, "123460", "123460"),
            (100_001.0, "100000", "100010"),
            (9.999_99, "10", "10"),
            (0.22 / 1e-3 * 1e-3, "0.22", "0.22"),
        ] {
            assert_eq!((shown(number).as_str(), shown_upper(number).as_str()), (near, upper));
        }
        assert_eq!(significant(0.045_678), "0.04568");
    }
}
