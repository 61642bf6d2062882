//! What happened to the program of a site: its people, its pages, its stores and groups.

use program::state::State;
use program::{Every, Fact, InstrumentId, Role};
use rulebook::fit_test::FitAgent;
use substance::Catalogue;

use super::{person, task};
use crate::wording;

/// A part in the program, as one says what its holder does.
pub(crate) const fn role(role: Role) -> &'static str {
    match role {
        Role::Administrator => "runs the program",
        Role::FitTester => "does fit tests",
        Role::CareTechnician => "cleans, disinfects and inspects",
        Role::Repairer => "repairs and releases",
        Role::Issuer => "gives respirators out",
        Role::Supervisor => "leads a crew",
        Role::AirTechnician => "looks after cylinders and air",
    }
}

/// None where the fact tells of something else.
pub(super) fn told(state: &State, fact: &Fact) -> Option<String> {
    Some(match fact {
        Fact::PolicySet { rule, every } => {
            let every = match every {
                Every::Days(days) => wording::count(usize::from(*days), "day", "days"),
                Every::Months(months) => wording::count(usize::from(*months), "month", "months"),
            };
            format!("The site asks {rule} each {every}")
        }
        Fact::RoleGiven { name, role: part, shown, .. } => {
            format!("{name} was given a part: {}; shown: {shown}", role(*part))
        }
        Fact::RoleEnded { person: who, role: part } => {
            format!("{} gave a part back: {}", person(state, who), role(*part))
        }
        Fact::ProgramWritten { version, kept_at } => {
            format!("Written program, version {version}, kept at {kept_at}")
        }
        Fact::ProgramEvaluated { found } => format!("Program evaluated: {found}"),
        Fact::WorkersConsulted { who, said } => format!("Wearers asked ({who}): {said}"),
        Fact::ActionOpened { what, responsible, until, .. } => format!(
            "To be put right by {} until {}: {what}",
            person(state, responsible),
            wording::day(*until)
        ),
        Fact::ActionClosed { action, done } => format!("Put right ({action}): {done}"),
        Fact::DutyShown { duty, how, .. } => format!("Duty {duty} shown to be kept: {how}"),
        Fact::MakersSealCheckShown { model, how, signed } => {
            let model = state.model(model).map_or(model.as_str(), |known| known.name.as_str());
            format!("The maker's seal check of {model} shown equally effective by {signed}: {how}")
        }
        Fact::MakerInstructionsNoted { stands_in, .. } => {
            format!("What the maker asks was noted from {stands_in}")
        }
        other => return stored(state, other),
    })
}

fn stored(state: &State, fact: &Fact) -> Option<String> {
    Some(match fact {
        Fact::PlaceListed { name, .. } | Fact::PlaceDescribed { name, .. } => {
            format!("Place of storage {name} listed")
        }
        Fact::StockReceived { stock, item: what, count, lot, .. } => {
            format!("Box {stock} received: {count} of {}, lot {lot}", state.words_of_item(what))
        }
        Fact::FitAgentPrepared { stock, agent } => match agent {
            FitAgent::StockSolution | FitAgent::OdourSolution => {
                format!("{stock}: {agent} made fresh")
            }
            FitAgent::SaccharinNebuliser | FitAgent::BitterNebuliser => {
                format!("{stock}: {agent} rinsed, shaken dry and filled")
            }
        },
        Fact::InstrumentListed { name, serves, .. } => format!("{name} listed, a {serves}"),
        Fact::InstrumentCalibrated { instrument: of, passed, certificate, .. } => {
            let outcome = if *passed { "calibrated" } else { "FAILED its calibration" };
            format!("{} {outcome} ({certificate})", instrument(state, of))
        }
        Fact::InstrumentChecked { instrument: of, passed, found } => {
            let outcome = if *passed { "in order" } else { "NOT in order" };
            format!("{} checked, {outcome}: {found}", instrument(state, of))
        }
        Fact::InstrumentWithdrawn { instrument: of, why } => {
            format!("{} taken out of use: {why}", instrument(state, of))
        }
        Fact::StockCounted { stock, count } => format!("Box {stock} counted: {count} left"),
        Fact::ExposureGroupDescribed { name, tasks, .. } => {
            let tasks = tasks.iter().map(|one| task(state, one)).collect::<Vec<_>>().join(", ");
            format!("Exposure group {name} described, for {tasks}")
        }
        Fact::ExposureMeasured { cas, level, detected, method, .. } => {
            let name = Catalogue::builtin()
                .get(*cas)
                .map_or_else(|| cas.to_string(), |s| s.name().to_owned());
            let below = if *detected { "" } else { "below " };
            format!("Exposure to {name}: {below}{level} ({method})")
        }
        Fact::ReuseAccepted { element_type, shifts, by, basis, .. } => {
            let shifts = wording::count(usize::from(*shifts), "shift", "shifts");
            let by = person(state, by);
            format!("{by} accepted that {element_type} is worn for {shifts}, on {basis}")
        }
        _ => return None,
    })
}

/// The name of an instrument, or what stands on it.
fn instrument(state: &State, id: &InstrumentId) -> String {
    state.instrument(id).map_or_else(|| id.to_string(), |known| known.name.clone())
}
