//! Reading the printed rows and their terms, side by side.

use quantity::Concentration;

use super::{Applies, Change, ClassPattern, Indicator, Subject, SubstanceRule, Terms, Trigger};
use crate::place::NamedDust;
use crate::table::{Row, TableError, read_table};

const PRINTED: &str = "substance_rules.csv";
const TERMS: &str = "substance_rule_terms.csv";

/// The two compiled-in tables.
pub(super) fn compiled_in() -> Result<Vec<SubstanceRule>, TableError> {
    read(
        include_str!("../../../../data/substance_rules.csv"),
        include_str!("../../../../data/substance_rule_terms.csv"),
    )
}

/// Joins the tables row by row; a row that stands in one only is an error.
fn read(printed: &str, terms: &str) -> Result<Vec<SubstanceRule>, TableError> {
    let mut terms = read_table(TERMS, terms, |row| {
        let numbers = row.words("cas")?.into_iter().map(str::to_owned).collect();
        Ok((row.required("id")?, numbers, read_terms(row)?))
    })?;
    let rules = read_table(PRINTED, printed, |row| {
        let id = row.required("id")?;
        let Some((_, numbers, terms)) = terms.iter().find(|(other, ..)| *other == id) else {
            return Err(row.broken("id", "the row has no terms"));
        };
        let numbers: &Vec<String> = numbers;
        read_rule(row, numbers.clone(), terms.clone())
    })?;
    terms.retain(|(id, ..)| rules.iter().all(|rule| rule.id != *id));
    if let Some((id, ..)) = terms.pop() {
        let what = String::from("the terms have no printed row");
        return Err(TableError { table: TERMS, row: id, column: String::from("id"), what });
    }
    Ok(rules)
}

fn read_rule(
    row: &Row<'_>,
    numbers: Vec<String>,
    terms: Terms,
) -> Result<SubstanceRule, TableError> {
    let rule = SubstanceRule {
        id: row.required("id")?,
        substance: row.required("substance")?,
        subject: read_subject(row, numbers)?,
        citation: row.required("citation")?,
        from_memory: read_memory(row, "basis")?,
        limit: read_limit(row, "pel_twa")?,
        short_limit: read_limit(row, "pel_short_term")?,
        limit_unconfirmed: row.text("pel_basis")? == "memory",
        above: row.ppm("conc_min_ppm")?,
        up_to: row.ppm("conc_max_ppm")?,
        max_use: row.minutes("max_use_minutes")?,
        each_shift: row.text("end_of_shift")? == "true",
        terms,
    };
    let changes = matches!(rule.terms.change, Some(Change::StartOfShift | Change::EndOfShift));
    if rule.each_shift && !changes && rule.terms.caps.is_empty() {
        return Err(row.broken("end_of_shift", "the terms of the row forget the change each shift"));
    }
    Ok(rule)
}

fn read_memory(row: &Row<'_>, column: &str) -> Result<bool, TableError> {
    match row.text(column)? {
        "read" => Ok(false),
        "memory" => Ok(true),
        other => Err(row.broken(column, &format!("`{other}` is neither read nor memory"))),
    }
}

fn read_subject(row: &Row<'_>, numbers: Vec<String>) -> Result<Subject, TableError> {
    let cas = row.owned("cas")?;
    let substance = row.text("substance")?;
    match substance {
        _ if !cas.is_empty() => Ok(Subject::Numbers(vec![cas])),
        _ if !numbers.is_empty() => Ok(Subject::Numbers(numbers)),
        "Coke oven emissions" => Ok(Subject::Dust(NamedDust::CokeOvenEmissions)),
        "Cotton dust" => Ok(Subject::Dust(NamedDust::CottonDust)),
        _ if substance.starts_with("(default") => Ok(Subject::General),
        _ => Err(row.broken("cas", "the row names nothing it applies to")),
    }
}

/// A limit such as `5 (15 min STEL)` in the unit of the row; only the number counts here.
fn read_limit(row: &Row<'_>, column: &str) -> Result<Option<Concentration>, TableError> {
    let Some(number) = row.text(column)?.split_whitespace().next() else { return Ok(None) };
    let unit = row.text("pel_unit")?;
    let written = format!("{number} {unit}");
    written
        .parse()
        .map(Some)
        .map_err(|e: quantity::QuantityError| row.broken(column, &e.to_string()))
}

fn read_terms(row: &Row<'_>) -> Result<Terms, TableError> {
    Ok(Terms {
        applies: match row.text("applies")? {
            "any" => Applies::Any,
            "work" => Applies::Work,
            "escape" => Applies::Escape,
            other => return Err(row.broken("applies", &format!("`{other}` is no known word"))),
        },
        concerns: read_patterns(row, "concerns")?,
        trigger: read_trigger(row)?,
        accepts: read_patterns(row, "accepts")?,
        refuses: read_patterns(row, "refuses")?,
        refuses_if_eyes: read_patterns(row, "refuses_if_eyes")?,
        filter_percent: row.number("filter_percent")?,
        caps: read_caps(row)?,
        stands_for_limit: row.text("stands_for_limit")? == "yes",
        change: match row.text("change")? {
            "" => None,
            "schedule" => Some(Change::Schedule),
            "start-of-shift" => Some(Change::StartOfShift),
            "end-of-shift" => Some(Change::EndOfShift),
            other => return Err(row.broken("change", &format!("`{other}` is no known word"))),
        },
        indicator: match row.text("indicator")? {
            "" => None,
            "lifts" => Some(Indicator::Lifts),
            "until-next-shift" => Some(Indicator::UntilNextShift),
            other => return Err(row.broken("indicator", &format!("`{other}` is no known word"))),
        },
        caution: match row.text("severity")? {
            "note" => false,
            "caution" => true,
            other => return Err(row.broken("severity", &format!("`{other}` is no known word"))),
        },
        says: row.required("says")?,
        remedy: row.required("remedy")?,
    })
}

fn read_trigger(row: &Row<'_>) -> Result<Trigger, TableError> {
    let text = row.text("trigger")?;
    Ok(match text {
        "always" => Trigger::Always,
        "gas" => Trigger::Gas,
        "particles" => Trigger::Particles,
        "band" => Trigger::Band,
        "with-acid-gas" => Trigger::WithAcidGas,
        "opening" => Trigger::Opening,
        "cleanup" => Trigger::Cleanup,
        _ => {
            let times = text.strip_prefix("multiple:").and_then(|times| times.parse().ok());
            let unknown = || row.broken("trigger", &format!("`{text}` is no known word"));
            Trigger::Multiple(times.ok_or_else(unknown)?)
        }
    })
}

fn read_patterns(row: &Row<'_>, column: &str) -> Result<Vec<ClassPattern>, TableError> {
    let read = |phrase: &str| phrase.parse().map_err(|what: String| row.broken(column, &what));
    row.words(column)?.into_iter().map(read).collect()
}

fn read_caps(row: &Row<'_>) -> Result<Vec<(ClassPattern, Concentration)>, TableError> {
    let read = |phrase: &str| {
        let broken = |what: String| row.broken("caps", &what);
        let (class, level) =
            phrase.split_once('=').ok_or_else(|| broken(format!("`{phrase}` has no level")))?;
        let level: Concentration =
            level.parse().map_err(|e: quantity::QuantityError| broken(e.to_string()))?;
        Ok((class.parse().map_err(broken)?, level))
    };
    row.words("caps")?.into_iter().map(read).collect()
}

#[cfg(test)]
mod tests {
    use super::super::all;
    use super::*;

    const PRINTED_TEXT: &str = include_str!("../../../../data/substance_rules.csv");
    const TERMS_TEXT: &str = include_str!("../../../../data/substance_rule_terms.csv");

    #[test]
    fn each_of_the_57_printed_rows_has_terms_and_no_terms_stand_alone() {
        let ids: Vec<&str> = all().iter().map(|rule| rule.id.as_str()).collect();
        let expected: Vec<String> = (1..=57).map(|n| format!("SR{n:02}")).collect();
        assert_eq!(ids, expected);
        let missing = TERMS_TEXT.lines().filter(|l| !l.starts_with("SR24,"));
        let error = read(PRINTED_TEXT, &missing.collect::<Vec<_>>().join("\n")).unwrap_err();
        assert_eq!((error.row.as_str(), error.column.as_str()), ("SR24", "id"));
        let missing = PRINTED_TEXT.lines().filter(|l| !l.starts_with("SR24,"));
        assert!(read(&missing.collect::<Vec<_>>().join("\n"), TERMS_TEXT).is_err());
    }

    #[test]
    fn a_broken_term_is_named() {
        let broken = TERMS_TEXT.replace("airline-continuous:hood,", "airline-breezy:hood,");
        let error = read(PRINTED_TEXT, &broken).unwrap_err();
        assert_eq!((error.row.as_str(), error.column.as_str()), ("SR05", "accepts"), "{error}");
    }

    // The levels of the caps are read from the prose of 29 CFR 1910.1017(g)(3)(i)(B)-(C); the
    // printed table holds the same numbers in a column.
    #[test]
    fn caps_of_vinyl_chloride_agree_with_the_printed_column() {
        for rule in all().iter().filter(|rule| rule.id == "SR20" || rule.id == "SR21") {
            for (_, level) in &rule.terms.caps {
                assert_eq!(rule.up_to.map(Concentration::Ppm), Some(*level), "{}", rule.id);
            }
        }
    }

    // Source: 29 CFR 1910.1051(h)(3)(i) Table 1.
    #[test]
    fn intervals_of_butadiene_are_read_as_printed() {
        let minutes: Vec<(f64, f64)> = all()
            .iter()
            .filter_map(|rule| Some((rule.up_to?.as_ppm(), rule.max_use?.as_min())))
            .collect();
        assert_eq!(minutes, [(5.0, 240.0), (10.0, 180.0), (25.0, 120.0), (50.0, 60.0)]);
    }

    #[test]
    fn every_row_with_a_printed_class_accepts_or_refuses_something() {
        let expressed = |rule: &SubstanceRule| {
            let t = &rule.terms;
            !(t.accepts.is_empty() && t.refuses.is_empty() && t.caps.is_empty())
                || t.filter_percent.is_some()
        };
        let reader = &mut csv::Reader::from_reader(PRINTED_TEXT.as_bytes());
        let headers = reader.headers().unwrap().clone();
        let column = headers.iter().position(|h| h == "required_class").unwrap();
        for record in reader.records() {
            let record = record.unwrap();
            if !record[column].is_empty() {
                let rule = all().iter().find(|rule| rule.id == record[0]).unwrap();
                assert!(expressed(rule), "{}", rule.id);
            }
        }
    }
}
