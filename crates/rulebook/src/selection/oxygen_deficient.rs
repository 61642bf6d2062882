//! Air short of oxygen.

use std::sync::OnceLock;

use super::case::{Case, significant};
use crate::place::Place;
use crate::table::{Row, TableError, loud, read_table};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is there enough oxygen in the air?
/// # Why
/// Air short of oxygen is immediately dangerous, and an element cannot add any.
/// # Citation
/// 29 CFR 1910.134(b) and (d)(2)(iii).
/// # Example that passes
/// 20.9 %.
/// # Example that stops
/// 19.4 % with a unit that purifies air.
/// # Remedy
/// Ventilate, or use equipment for immediately dangerous air.
/// # Limits
/// Within the band of the altitude, and shown to stay there, any unit that brings its air will do.
pub static OXYGEN_DEFICIENT: Rule = Rule {
    id: "oxygen.deficient",
    asks: "Is there enough oxygen in the air?",
    why: "Air short of oxygen is immediately dangerous, and an element cannot add any.",
    citation: "29 CFR 1910.134(b) and (d)(2)(iii)",
    authority: Authority::Read,
    says: "oxygen is {oxygen} %, below {least} %: the air is immediately dangerous",
    remedy: "bring the oxygen up and measure again, or use the equipment for immediately dangerous air",
};

/// # What it asks
/// Is oxygen below the definition, yet shown to stay within the band of the altitude?
/// # Why
/// There any unit that brings its own air is accepted; one that purifies air is not.
/// # Citation
/// 29 CFR 1910.134(d)(2)(iii) Table II.
/// # Example that passes
/// An airline unit at 18 % near sea level, where the oxygen was shown to stay.
/// # Example that stops
/// A unit that purifies air at 18 %.
/// # Remedy
/// Use supplied or self-contained air.
/// # Limits
/// The altitude is told from the air pressure; the band does not reach above 8000 ft.
pub static OXYGEN_IN_BAND: Rule = Rule {
    id: "oxygen.in-band",
    asks: "Is oxygen below the definition, yet shown to stay within the band of the altitude?",
    why: "There any unit that brings its own air is accepted; one that purifies air is not.",
    citation: "29 CFR 1910.134(d)(2)(iii) Table II",
    authority: Authority::Read,
    says: "oxygen is {oxygen} %, below {least} % but within the band of the altitude ({band}), shown to stay there: only a unit that brings its air",
    remedy: "use supplied or self-contained air",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let Some(oxygen) = case.place.oxygen.map(quantity::OxygenPercent::as_percent) else {
        return Vec::new();
    };
    let least = bands().definition;
    if least <= oxygen {
        return Vec::new();
    }
    let finding = match band(case.place) {
        None => case.stop_unless_ready(&OXYGEN_DEFICIENT),
        Some(_) if case.purifies() => Finding::stop(&OXYGEN_IN_BAND),
        Some(_) => Finding::caution(&OXYGEN_IN_BAND),
    };
    let name = band(case.place).map_or("", |band| band.name.as_str());
    let said = finding.with("oxygen", significant(oxygen)).with("least", significant(least));
    vec![said.with("band", name)]
}

/// Whether the oxygen of the place makes it immediately dangerous; oxygen that is not known does.
pub(crate) fn is_dangerous(place: &Place) -> bool {
    match place.oxygen {
        None => true,
        Some(oxygen) => oxygen.as_percent() < bands().definition && band(place).is_none(),
    }
}

/// The band of Table II that holds the oxygen of the place, if it was shown to stay there.
fn band(place: &Place) -> Option<&'static Band> {
    let oxygen = place.oxygen?.as_percent();
    let altitude = place.altitude_feet();
    bands().bands.iter().find(|band| {
        place.oxygen_shown_steady
            && band.above_feet < altitude
            && altitude <= band.up_to_feet
            && band.least <= oxygen
    })
}

struct Bands {
    definition: f64,
    bands: Vec<Band>,
}

/// A line of Table II.
struct Band {
    name: String,
    above_feet: f64,
    up_to_feet: f64,
    least: f64,
}

fn bands() -> &'static Bands {
    static BANDS: OnceLock<Bands> = OnceLock::new();
    BANDS.get_or_init(|| {
        let table = include_str!("../../../../data/breathing_air.csv");
        let rows = loud(read_table("breathing_air.csv", table, read_row));
        let mut bands = Bands { definition: f64::INFINITY, bands: Vec::new() };
        for row in rows.into_iter().flatten() {
            match row {
                OxygenRow::Definition(least) => bands.definition = least,
                OxygenRow::Band(band) => bands.bands.push(band),
            }
        }
        bands
    })
}

enum OxygenRow {
    Definition(f64),
    Band(Band),
}

fn read_row(row: &Row<'_>) -> Result<Option<OxygenRow>, TableError> {
    let least = || row.number("min")?.ok_or_else(|| row.broken("min", "the cell is empty"));
    let parameter = row.text("parameter")?;
    if parameter == "oxygen-deficient below" {
        return Ok(Some(OxygenRow::Definition(least()?)));
    }
    let Some(name) = parameter.strip_prefix("altitude ") else { return Ok(None) };
    let edges = name.trim_end_matches(" ft");
    let number = |text: &str| text.parse::<f64>().ok();
    let unread = || row.broken("parameter", "the altitude cannot be read");
    // Each printed line starts a foot above the one before it.
    let (above, up_to) = match (edges.strip_prefix("under "), edges.split_once('-')) {
        (Some(edge), _) => (Some(f64::NEG_INFINITY), number(edge).map(|feet| feet - 1.0)),
        (_, Some((low, high))) => (number(low).map(|feet| feet - 1.0), number(high)),
        _ => (None, None),
    };
    Ok(Some(OxygenRow::Band(Band {
        name: name.to_owned(),
        above_feet: above.ok_or_else(unread)?,
        up_to_feet: up_to.ok_or_else(unread)?,
        least: least()?,
    })))
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: 29 CFR 1910.134(d)(2)(iii) Table II.
    #[test]
    fn the_bands_are_read_without_a_gap() {
        assert_eq!(bands().definition, 19.5);
        let least: Vec<f64> = bands().bands.iter().map(|band| band.least).collect();
        assert_eq!(least, [16.0, 16.4, 17.1, 17.8, 18.5, 19.3]);
        let pairs = bands().bands.windows(2);
        assert!(pairs.into_iter().all(|pair| pair[0].up_to_feet == pair[1].above_feet));
        assert_eq!(bands().bands.last().map(|band| band.up_to_feet), Some(8000.0));
    }
}
