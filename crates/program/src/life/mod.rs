//! How long a set of elements lasts in the air of a place, and the schedule that follows.

mod answer;
mod bed;
mod certified;
mod end;
mod schedule;
mod setup;

use rulebook::{AirborneForm, Contaminant, Finding, Severity, service_life};
use substance::SubstanceClass;

pub use answer::{Bounds, ContaminantLife, CurvePoint, LifeAnswer, Schedule};
pub use end::End;
pub use setup::{LifeMethod, LifeSetup};

use crate::case::{CaseError, WrittenCase};

/// Confidence of every lower bound.
pub const CONFIDENCE: f64 = 0.95;

/// The life and the schedule that a written case asks for.
///
/// Refuses a case that lacks what a life needs, by line and key. What cannot be computed for
/// physical or legal reasons is no refusal but a finding that means stop.
pub fn compute(written: &WrittenCase, method: LifeMethod) -> Result<LifeAnswer, CaseError> {
    Ok(of(&setup::from_case(written, method)?))
}

/// The life and the schedule of a set-up.
#[must_use]
pub fn of(setup: &LifeSetup) -> LifeAnswer {
    let mut answer = LifeAnswer::empty(setup);
    let mut vapours = Vec::new();
    for contaminant in &setup.place.contaminants {
        match route(setup, contaminant) {
            Route::Filter => {}
            Route::Refused(reason) => answer.refuse(contaminant, reason),
            Route::Sorbent(end_ppm) => vapours.push((contaminant, end_ppm)),
            Route::Reaction(kind, end_ppm) => {
                certified::reactive(setup, contaminant, (kind, end_ppm), &mut answer);
            }
        }
    }
    if !vapours.is_empty() {
        bed::physisorbed(setup, &vapours, &mut answer);
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
    /// By what certification proves, to this level at the outlet, ppm.
    Reaction(rulebook::ElementKind, f64),
    /// Not at all, for this reason.
    Refused(String),
}

fn route(setup: &LifeSetup, contaminant: &Contaminant) -> Route {
    let substance = contaminant.substance;
    if contaminant.form == AirborneForm::Particle {
        return Route::Filter;
    }
    if let Some(reason) = substance.poor_sorbent() {
        return Route::Refused(reason.to_owned());
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
    /// Adds a contaminant against which no life can be computed, and the finding that stops.
    fn refuse(&mut self, contaminant: &Contaminant, reason: String) {
        let name = contaminant.substance.name();
        let finding = Finding::new(&service_life::REFUSED, Severity::Stop);
        self.findings.push(finding.with("contaminant", name).with("reason", &reason));
        self.contaminants.push(ContaminantLife::refused(contaminant, reason));
    }
}
