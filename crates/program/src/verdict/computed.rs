use jiff::Timestamp;
use rulebook::{Decision, Finding, decide};

use super::ScheduleBound;
use crate::ids::{TaskId, UnitId};
use crate::schedule::for_set;
use crate::state::State;

/// The bound that the computed schedule of `task` sets to the elements on `unit`; or what the
/// computation has against it.
pub(super) fn bound(
    state: &State,
    task: &TaskId,
    unit: &UnitId,
    now: Timestamp,
) -> Result<ScheduleBound, Vec<Finding>> {
    let set = state.unit(unit);
    let kind = set.and_then(|set| state.carried(set)).map(|on| on.element_type);
    let model = set.and_then(|set| state.model(&set.model));
    // What is missing here is a finding of its own elsewhere.
    let (Some(kind), Some(model)) = (kind, model) else { return Err(Vec::new()) };
    let blower = set.and_then(|set| state.most_flow(set));
    let Some(found) = for_set(state, (task, kind), &model.device, blower, now) else {
        return Err(Vec::new());
    };
    if decide(&found.life.findings) == Decision::Stop {
        return Err(found.life.findings);
    }
    Ok(ScheduleBound {
        max_wear: found.schedule.max_wear,
        shifts: found.schedule.shifts,
        limited_by: found.schedule.limited_by,
        findings: found.life.findings,
    })
}
