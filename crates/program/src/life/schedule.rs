//! From lives and rules to words a wearer can follow.

use quantity::Minutes;
use rulebook::{Cap, Finding, Severity, caps, service_life};

use super::answer::{Bounds, LifeAnswer};
use super::{LifeSetup, Schedule, reuse};

/// Wear shorter than this is no work, min: common practice, no source.
const LEAST_USEFUL_MIN: f64 = 1.0;

/// What ends a schedule where the work that was told ends first.
const PATTERN_ENDS: &str = "the pattern of work, after which nothing was computed";

/// Where no contaminant ends the life, one set still serves no longer than a long shift, min.
pub(crate) const LONGEST_SHIFT_MIN: f64 = 720.0;

/// Puts the shortest life, the schedule and what was found into the answer.
pub(super) fn conclude(setup: &LifeSetup, answer: &mut LifeAnswer) {
    let mut caps = caps(&setup.place, &setup.device, &setup.elements);
    let lifted = reuse::lift(setup, &mut caps, &mut answer.findings);
    answer.life_min = shortest(answer);
    let mut plan = Plan::of(answer);
    plan.most_shifts = lifted.unwrap_or(setup.shifts).min(setup.shifts);
    let taken = setup.work.recorded.as_ref().and_then(|recorded| recorded.as_ref().ok());
    if let Some(taken) = taken {
        plan.end_at(taken.bound.as_min(), "lower bound of the calculation of reuse");
    }
    for cap in &caps {
        plan.cap(cap);
        answer.findings.push(cap.finding.clone());
    }
    answer.schedule = plan.words(setup, &mut answer.findings);
    tell_storage(setup, &mut answer.findings);
    answer.findings.push(Finding::note(&service_life::CARE));
    answer.findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
}

/// Says what is taken of the time between two uses, and that elements lie open.
fn tell_storage(setup: &LifeSetup, findings: &mut Vec<Finding>) {
    let nights = setup.rounds() > 1 && setup.work.recorded.is_none();
    if nights && (setup.work.between_shifts.is_none() || setup.work.storage.is_none()) {
        let (minutes, _) = setup.work.night_min();
        let finding = Finding::note(&service_life::NIGHT_ASSUMED);
        findings.push(finding.with("hours", format!("{:.0}", minutes / 60.0)));
    }
    if setup.work.lie_open(nights) {
        findings.push(Finding::caution(&service_life::OPEN_STORAGE));
    }
}

/// The shortest best estimate and the shortest bound; none where one contaminant was refused.
fn shortest(answer: &LifeAnswer) -> Option<Bounds> {
    let lives: Option<Vec<Bounds>> = answer.contaminants.iter().map(|c| c.time_min).collect();
    let least =
        |a: Bounds, b: Bounds| Bounds { best: a.best.min(b.best), lower: a.lower.min(b.lower) };
    let mixture = answer.bed.as_ref().and_then(|bed| bed.mixture_min);
    lives?.into_iter().chain(mixture).reduce(least)
}

/// The longest wear that everything allows, and who set it.
struct Plan {
    max_min: f64,
    limited_by: String,
    one_shift: bool,
    /// Why these elements may not be used here at all: what the schedule says, and what limits it.
    stopped: Option<(&'static str, String)>,
    contaminant: String,
    most_shifts: u8,
    marched: bool,
}

impl Plan {
    fn of(answer: &LifeAnswer) -> Self {
        let stopped = stopped(&answer.findings);
        let lower = |c: &super::ContaminantLife| c.time_min.map_or(0.0, |bounds| bounds.lower);
        let by_lower = |a: &&super::ContaminantLife, b: &&super::ContaminantLife| {
            lower(a).total_cmp(&lower(b))
        };
        let mut plan = match answer.contaminants.iter().min_by(by_lower) {
            Some(first) => Self {
                max_min: lower(first),
                limited_by: format!("lower bound of the life against {}", first.name),
                one_shift: false,
                stopped,
                contaminant: first.name.clone(),
                most_shifts: 1,
                marched: answer.bed.is_some(),
            },
            None => Self {
                max_min: LONGEST_SHIFT_MIN,
                limited_by: "no gas or vapour to hold: filters follow their own rules".to_owned(),
                one_shift: false,
                stopped,
                contaminant: String::new(),
                most_shifts: 1,
                marched: answer.bed.is_some(),
            },
        };
        if let Some(bed) = &answer.bed {
            let together = bed.mixture_min.map_or(f64::INFINITY, |bounds| bounds.lower);
            plan.end_at(together, "lower bound of the life against the mixture");
            plan.end_at(bed.worn_min, PATTERN_ENDS);
        }
        plan
    }

    fn end_at(&mut self, minutes: f64, by: &str) {
        if minutes < self.max_min {
            self.max_min = minutes;
            self.limited_by = by.to_owned();
        }
    }

    fn cap(&mut self, cap: &Cap) {
        if let Some(most) = cap.max_wear.filter(|most| most.as_min() < self.max_min) {
            self.max_min = most.as_min();
            self.limited_by = cap.finding.text();
        }
        self.one_shift |= cap.end_of_shift || cap.no_reuse;
    }

    fn words(mut self, setup: &LifeSetup, findings: &mut Vec<Finding>) -> Schedule {
        if let Some((text, why)) = self.stopped.take() {
            self.limited_by = why;
            return self.none(text);
        }
        self.max_min = round_down(self.max_min);
        let shifts = self.shifts(setup, findings);
        self.end_at(
            LONGEST_SHIFT_MIN * f64::from(shifts),
            "the longest shift of 12 h: no set is worn on without a change",
        );
        // Where nights were marched, wear without them was not.
        if let Some(worn) =
            setup.worn_by(shifts).filter(|_| self.marched && setup.shifts_marched() > 1)
        {
            self.end_at(worn, "the wear that is planned on these shifts");
        }
        if self.max_min < LEAST_USEFUL_MIN && self.limited_by == PATTERN_ENDS {
            return self.none("the work that is told is over within a minute: no schedule follows");
        }
        if self.max_min < LEAST_USEFUL_MIN {
            let finding = Finding::stop(&service_life::TOO_SHORT);
            let finding = finding.with("contaminant", &self.contaminant);
            findings.push(finding.with("lower", self.max_min));
            return self.none("these elements do not last long enough to work with");
        }
        let planned = setup.wear.map(Minutes::as_min);
        let text = match planned {
            Some(planned) if planned > self.max_min => {
                let finding = Finding::caution(&service_life::CHANGE_WITHIN_SHIFT);
                let finding = finding.with("planned", planned);
                findings.push(finding.with("max", self.max_min));
                format!(
                    "new elements at the start of every shift, and again after every {} min of wear",
                    self.max_min
                )
            }
            Some(_) if shifts > 1 => format!(
                "new elements after every {shifts} shifts, at most {} min of wear in all",
                self.max_min
            ),
            Some(_) => format!(
                "new elements at the start of every shift, at most {} min of wear",
                self.max_min
            ),
            None => format!("change the elements after at most {} min of wear", self.max_min),
        };
        Schedule { text, max_wear: minutes(self.max_min), shifts, limited_by: self.limited_by }
    }

    /// How many shifts one set may serve: as many as were asked for, if the wear of all of them
    /// fits and no rule ends it with the shift.
    fn shifts(&self, setup: &LifeSetup, findings: &mut Vec<Finding>) -> u8 {
        let fits = |shifts: u8| setup.worn_by(shifts).is_none_or(|worn| worn <= self.max_min);
        let most = if self.one_shift { 1 } else { self.most_shifts };
        let shifts = (1..=most).rev().find(|shifts| fits(*shifts)).unwrap_or(1);
        if self.marched && setup.shifts_marched() > 1 {
            let finding = Finding::note(&service_life::REUSE_COMPUTED);
            findings.push(finding.with("shifts", shifts).with("asked", setup.shifts_marched()));
        } else if shifts > 1 && setup.work.recorded.is_none() {
            let finding = Finding::caution(&service_life::REUSE);
            findings.push(finding.with("shifts", shifts));
        }
        shifts
    }

    fn none(self, text: &str) -> Schedule {
        Schedule {
            text: text.to_owned(),
            max_wear: Minutes::default(),
            shifts: 0,
            limited_by: self.limited_by,
        }
    }
}

/// What the first of what stops says in place of a schedule, and why.
fn stopped(findings: &[Finding]) -> Option<(&'static str, String)> {
    let stops = || findings.iter().filter(|finding| finding.severity == Severity::Stop);
    let not_selected = |finding: &&Finding| finding.rule.id == service_life::NOT_SELECTED.id;
    let by_air = stops().find(not_selected).map(|finding| {
        ("not for wear in this air, however long the elements last", finding.text())
    });
    let above = |finding: &&Finding| finding.rule.id == service_life::END_ABOVE_LIMIT.id;
    let by_end = stops().find(above).map(|found| {
        ("no schedule: the end of life lies above what may be breathed", found.text())
    });
    by_air
        .or(by_end)
        .or_else(|| stops().next().map(|f| ("these elements may not be used here", f.text())))
}

/// To a time that can be kept by a clock on the wall: down to full quarters of an hour above two
/// hours, to five minutes above half an hour, to the minute below.
fn round_down(minutes: f64) -> f64 {
    let step = if minutes >= 120.0 {
        15.0
    } else if minutes >= 30.0 {
        5.0
    } else {
        1.0
    };
    (minutes / step).floor() * step
}

fn minutes(value: f64) -> Minutes {
    Minutes::from_min(value).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::round_down;

    #[test]
    fn schedules_are_rounded_down_and_never_up() {
        for (exact, kept) in
            [(264.7, 255.0), (119.9, 115.0), (29.9, 29.0), (0.9, 0.0), (720.0, 720.0)]
        {
            assert!((round_down(exact) - kept).abs() < 1e-9, "{exact}");
        }
    }
}
