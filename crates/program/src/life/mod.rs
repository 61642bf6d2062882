//! How long a set of elements lasts in the air of a place, and the schedule that follows.

mod answer;
mod bed;
mod breathing;
mod certified;
mod end;
mod marched;
mod reaction;
mod reuse;
mod round;
mod schedule;
mod setup;
mod work;

use std::sync::Arc;

use rulebook::{AirborneForm, Contaminant, Finding, Severity, assess, is_clocked, service_life};
use sorbent::Progress;
use substance::SubstanceClass;

pub use answer::{Bounds, ContaminantLife, CurvePoint, LifeAnswer, Schedule};
pub use end::End;
pub use marched::{BedAnswer, BedOf, InputShare, OpenedAt, RestartAnswer, Sampled, SampledTime};
pub(crate) use schedule::LONGEST_SHIFT_MIN;
pub use setup::{LifeMethod, LifeSetup};
pub use work::{Reactions, Work, WorkSegment};

use crate::case::{CaseError, WrittenCase};

/// Confidence of every lower bound.
pub const CONFIDENCE: f64 = 0.95;

/// The life and the schedule that a written case asks for.
///
/// Refuses a case that lacks what a life needs, by line and key. What cannot be computed for
/// physical or legal reasons is no refusal but a finding that means stop.
pub fn compute(written: &WrittenCase, method: LifeMethod) -> Result<LifeAnswer, CaseError> {
    compute_sampled(written, method, None, &Arc::default())
}

/// The same with so many samples of what is uncertain, or as many as are usual; `progress` is told
/// how far they are.
pub fn compute_sampled(
    written: &WrittenCase,
    method: LifeMethod,
    samples: Option<usize>,
    progress: &Arc<Progress>,
) -> Result<LifeAnswer, CaseError> {
    let mut setup = setup::from_case(written, method)?;
    setup.work.samples = samples;
    setup.work.progress = Arc::clone(progress);
    Ok(judged(&setup, Some(written.case.place.is_some())))
}

/// The life and the schedule of a set-up. Whether its elements may be used in this air at all is not
/// judged here.
#[must_use]
pub fn of(setup: &LifeSetup) -> LifeAnswer {
    judged(setup, None)
}

/// The same, judged by the rules of selection where it is said whether the place was told of.
fn judged(setup: &LifeSetup, place_told: Option<bool>) -> LifeAnswer {
    let mut answer = LifeAnswer::empty(setup);
    if let Some(report) = &setup.work.calibration {
        let factor = setup.work.rate_factor.unwrap_or(1.0);
        let source =
            format!("carbon: calibrated on {report}; its rates {factor} times the published");
        answer.sources.push(source);
    }
    answer.warn_of_factors(setup);
    let mut vapours = Vec::new();
    for contaminant in &setup.place.contaminants {
        match route(setup, contaminant) {
            Route::Filter => {}
            Route::ByRule(reason) => {
                let finding = Finding::caution(&service_life::BY_RULE_ALONE);
                let finding = finding.with("contaminant", contaminant.substance.name());
                answer.findings.push(finding.with("reason", reason));
            }
            Route::Refused(reason) => answer.refuse(contaminant, reason),
            Route::Sorbent(end_ppm) => {
                answer.warn_of_end(setup, contaminant, end_ppm);
                vapours.push((contaminant, end_ppm));
            }
            Route::Reaction(kind, end_ppm) => {
                answer.warn_of_end(setup, contaminant, end_ppm);
                let by = (kind, end_ppm);
                match setup.work.reactions.of(contaminant.substance.cas()) {
                    Some(found) => {
                        reaction::calibrated(setup, (contaminant, found), by, &mut answer)
                    }
                    None => certified::reactive(setup, contaminant, by, &mut answer),
                }
            }
        }
    }
    certified::share(&mut answer);
    if !vapours.is_empty() {
        match setup.method {
            LifeMethod::Bed if setup.work.comes_again => {
                round::physisorbed(setup, &vapours, &mut answer);
            }
            LifeMethod::Bed => marched::physisorbed(setup, &vapours, &mut answer),
            _ => bed::physisorbed(setup, &vapours, &mut answer),
        }
        breathing::take(setup, &vapours, &mut answer);
    }
    if let Some(told) = place_told {
        answer.stop_by_selection(setup, told);
    }
    schedule::conclude(setup, &mut answer);
    answer
}

/// By which way the life against one contaminant is found.
enum Route {
    /// A particle: filters have no service life here, only their own rules.
    Filter,
    /// By the physics of the bed, to this level at the outlet, ppm.
    Sorbent(f64),
    /// By what a calibration found of it or certification proves, to this level at the outlet, ppm.
    Reaction(rulebook::ElementKind, f64),
    /// Not at all, for this reason: the rule of the substance sets the time.
    ByRule(String),
    /// Not at all, for this reason.
    Refused(String),
}

fn route(setup: &LifeSetup, contaminant: &Contaminant) -> Route {
    let substance = contaminant.substance;
    let needs_filter = contaminant.form != AirborneForm::Vapour;
    if needs_filter && setup.elements.filter.is_none() {
        let reason = "it is in the air as particles and this set has no particulate filter";
        return Route::Refused(reason.to_owned());
    }
    // Particles of what gives off vapour are judged as vapour as well.
    if contaminant.form == AirborneForm::Particle
        && substance.class() == SubstanceClass::Particulate
    {
        return Route::Filter;
    }
    if let Some(reason) = substance.poor_sorbent() {
        let clocked = certified::kind_for(setup, contaminant).is_some()
            && is_clocked(&setup.place, &setup.device, &setup.elements, substance);
        let reason = reason.to_owned();
        return if clocked { Route::ByRule(reason) } else { Route::Refused(reason) };
    }
    let Some(kind) = certified::kind_for(setup, contaminant) else {
        let class = substance.class();
        return Route::Refused(format!("no element of this set is certified against it ({class})"));
    };
    let end_ppm = match end::end_ppm(setup, contaminant) {
        Ok(end_ppm) => end_ppm,
        Err(reason) => return Route::Refused(reason),
    };
    if substance.class() == SubstanceClass::OrganicVapour {
        Route::Sorbent(end_ppm)
    } else {
        Route::Reaction(kind, end_ppm)
    }
}

impl LifeAnswer {
    /// Warns of what only a calibration yields where none stands behind it.
    fn warn_of_factors(&mut self, setup: &LifeSetup) {
        let work = &setup.work;
        let told = [
            ("affinity", !work.affinities.is_empty()),
            ("packing", !work.packings.is_empty()),
            ("rate_factor", work.rate_factor.is_some()),
        ];
        let keys: Vec<&str> = told.iter().filter(|(_, told)| *told).map(|(key, _)| *key).collect();
        if work.calibration.is_none() && !keys.is_empty() {
            let finding = Finding::caution(&service_life::UNCALIBRATED);
            self.findings.push(finding.with("keys", keys.join(", ")));
        }
    }

    /// Stops where the end level lets more pass than the exposure limit.
    fn warn_of_end(&mut self, setup: &LifeSetup, contaminant: &Contaminant, end_ppm: f64) {
        if let Some(limit) = end::limit_passed(setup, contaminant, end_ppm) {
            let finding = Finding::stop(&service_life::END_ABOVE_LIMIT);
            let finding = finding.with("contaminant", contaminant.substance.name());
            let finding = finding.with("end", format!("{end_ppm:.3} ppm"));
            self.findings.push(finding.with("limit", format!("{limit:.3} ppm")));
        }
    }

    /// Stops what the selection rules stop: a life is no permission.
    fn stop_by_selection(&mut self, setup: &LifeSetup, place_told: bool) {
        if !place_told {
            self.findings.push(Finding::note(&service_life::PLACE_UNTOLD));
        }
        let assessment = assess(&setup.place, &setup.device, Some(&setup.elements));
        let stops = assessment.findings.iter().filter(|f| f.severity == Severity::Stop);
        // Where nothing is told of the place, only what is in the air is judged.
        let untold = |finding: &&Finding| place_told || !finding.rule.id.starts_with("oxygen.");
        for stop in stops.filter(untold) {
            let finding = Finding::stop(&service_life::NOT_SELECTED).citing(stop.citation());
            let finding = finding.with("reason", stop.text());
            self.findings.push(finding.with("remedy", stop.remedy()));
        }
    }

    /// Adds a contaminant against which no life can be computed, and the finding that stops.
    fn refuse(&mut self, contaminant: &Contaminant, reason: String) {
        let name = contaminant.substance.name();
        let finding = Finding::new(&service_life::REFUSED, Severity::Stop);
        self.findings.push(finding.with("contaminant", name).with("reason", &reason));
        self.contaminants.push(ContaminantLife::refused(contaminant, reason));
    }
}
