//! Life of a bed under a shift that comes again and again, from the worst moment at which it is opened.

use rulebook::Contaminant;
use sorbent::{Ends, WorstStart, worst_start};

use super::answer::{Bounds, ContaminantLife, LifeAnswer};
use super::marched::{OpenedAt, bed_answer, note_end, round, tell_edges, thinned};
use super::{LONGEST_SHIFT_MIN, LifeSetup, end};

/// How often a shift is gone through at most beyond those that one set serves: a shift with little wear is not marched to
/// the longest of all.
const MOST_ROUNDS: f64 = 8.0;

/// Adds the life against each of `vapours` (with its end level in ppm) to the answer.
pub(super) fn physisorbed(
    setup: &LifeSetup,
    vapours: &[(&Contaminant, f64)],
    answer: &mut LifeAnswer,
) {
    if let Err(reason) = solve(setup, vapours, answer) {
        for (contaminant, _) in vapours {
            answer.refuse(contaminant, reason.clone());
        }
    }
}

fn solve(
    setup: &LifeSetup,
    vapours: &[(&Contaminant, f64)],
    answer: &mut LifeAnswer,
) -> Result<(), String> {
    let one = round(setup, vapours, answer)?;
    let shifts = f64::from(setup.shifts);
    let worn = setup.worn_by(1).unwrap_or(LONGEST_SHIFT_MIN);
    let most_min = (LONGEST_SHIFT_MIN * shifts).min(worn * MOST_ROUNDS.max(shifts));
    let found = worst_start(&one, most_min, &setup.spread).map_err(|error| error.to_string())?;
    tell_edges(&found.marched, answer)?;
    for (index, (of, ends)) in vapours.iter().zip(&found.vapours).enumerate() {
        answer.contaminants.push(contaminant(setup, *of, (&found, index), *ends));
    }
    let WorstStart { opened, marched, run, together, .. } = &found;
    let mut bed = bed_answer(setup, (vapours, marched), run, bounds(*together));
    bed.worn_min = marched.worn_min(f64::INFINITY);
    bed.opened = Some(OpenedAt { segment: opened.stretch + 1, into_min: opened.into_min });
    note_end(&bed, answer);
    answer.bed = Some(bed);
    Ok(())
}

fn contaminant(
    setup: &LifeSetup,
    (contaminant, end_ppm): (&Contaminant, f64),
    (found, index): (&WorstStart, usize),
    ends: Ends,
) -> ContaminantLife {
    let worn = |(in_use, ppm): (f64, f64)| (found.marched.worn_min(in_use), ppm);
    ContaminantLife {
        cas: contaminant.substance.cas(),
        name: contaminant.substance.name().to_owned(),
        inlet_ppm: end::inlet_ppm(setup, contaminant).ok(),
        end_ppm: Some(end_ppm),
        plateau_ppm: None,
        time_min: Some(bounds(ends)),
        refused: None,
        loading_g_per_g: None,
        humid_share: None,
        breathed: None,
        limited_by: found.limited_by.clone(),
        curve: thinned(found.run.outlet_ppm(index).map(worn)),
    }
}

const fn bounds(ends: Ends) -> Bounds {
    Bounds { best: ends.best_min, lower: ends.lower_min }
}
