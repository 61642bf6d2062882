//! What change schedules ask for: sets for each shift of wear.

use jiff::Timestamp;

use super::past::Wearing;
use crate::entry::StockItem;
use crate::ids::{ElementTypeId, TaskId};
use crate::schedule::for_task;
use crate::state::State;

/// How many sets one shift takes, and on what that rests.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PerShift {
    /// None where no schedule gives a figure.
    pub(super) sets: Option<f64>,
    pub(super) words: String,
}

/// What one shift of a wear seen in the past takes.
pub(super) fn per_shift(state: &State, wearing: &Wearing, now: Timestamp) -> PerShift {
    let StockItem::Elements(kind) = &wearing.item else {
        return PerShift { sets: Some(1.0), words: ONE_EACH.to_owned() };
    };
    let task = state.task(&wearing.task);
    let device = state.model(&wearing.model).map(|model| &model.device);
    let found = device.and_then(|device| for_task(state, &wearing.task, kind, device, now));
    let Some((task, found)) = task.zip(found) else {
        return PerShift { sets: None, words: "no change schedule can be worked out".to_owned() };
    };
    let wear = task.spec.wear_per_shift.as_min();
    let most = found.schedule.max_wear.as_min();
    let sets = sets(wear, most, f64::from(found.schedule.shifts));
    PerShift { sets, words: found.schedule.text }
}

/// What one shift of a task takes that nobody wore for yet: by the schedules adopted for it.
pub(super) fn adopted(state: &State, task: &TaskId) -> Vec<(ElementTypeId, PerShift)> {
    let Some(task) = state.task(task) else { return Vec::new() };
    let wear = task.spec.wear_per_shift.as_min();
    let each = task.schedules.iter().map(|(kind, adopted)| {
        let most = adopted.max_wear.as_min();
        let words = format!("the schedule adopted for {}", task.spec.name);
        (kind.clone(), PerShift { sets: sets(wear, most, f64::from(adopted.shifts)), words })
    });
    each.collect()
}

/// The figure of a filtering facepiece, for which no schedule is worked out.
const ONE_EACH: &str = "one for each wearer and shift, the most that a shift takes";

/// Sets for a shift of `wear` min, where one set serves `most` min and `shifts` shifts.
fn sets(wear: f64, most: f64, shifts: f64) -> Option<f64> {
    if most <= 0.0 || shifts < 1.0 {
        return None;
    }
    if wear > most {
        return Some((wear / most).ceil());
    }
    let whole = if wear > 0.0 { (most / wear).floor() } else { shifts };
    Some(1.0 / whole.min(shifts).max(1.0))
}

#[cfg(test)]
mod tests {
    use super::sets;

    #[test]
    fn a_set_serves_its_minutes_and_its_shifts_and_no_more() {
        for (wear, most, shifts, expected) in [
            (240.0, 480.0, 1.0, Some(1.0)),
            (240.0, 480.0, 5.0, Some(0.5)),
            (240.0, 480.0, 2.0, Some(0.5)),
            (60.0, 480.0, 5.0, Some(0.2)),
            (300.0, 480.0, 5.0, Some(1.0)),
            (240.0, 100.0, 1.0, Some(3.0)),
            (0.0, 100.0, 1.0, Some(1.0)),
            (60.0, 0.0, 1.0, None),
            (60.0, 60.0, 0.0, None),
        ] {
            assert_eq!(sets(wear, most, shifts), expected, "{wear} {most} {shifts}");
        }
    }
}
