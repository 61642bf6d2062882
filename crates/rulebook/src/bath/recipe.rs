//! What the rule prints of each bath: rows of step 4 of `data/cleaning.csv`.

use std::sync::OnceLock;

use quantity::{Celsius, MgPerLitre, Minutes};

use super::Agent;
use crate::table::{Row, TableError, loud, read_table};

/// What is printed of one bath.
#[derive(Debug, Clone, PartialEq)]
pub struct Recipe {
    /// What disinfects.
    pub agent: Agent,
    /// Strength; none for another cleaner, whose label says it.
    pub strength: Option<MgPerLitre>,
    /// Time in the bath.
    pub contact: Minutes,
    /// The highest temperature of any water of the procedure: the warmer of the two figures printed.
    pub highest_temperature: Celsius,
    /// Millilitres of product to millilitres of water, where a recipe is printed.
    pub printed_ml: Option<(f64, f64)>,
    /// What is done, in words.
    pub action: String,
    /// Paragraph.
    pub citation: String,
}

/// The recipe of an agent.
#[must_use]
pub fn recipe(agent: Agent) -> &'static Recipe {
    static ROWS: OnceLock<[Recipe; 3]> = OnceLock::new();
    let [hypochlorite, iodine, other] = ROWS.get_or_init(|| loud(read_recipes()));
    match agent {
        Agent::Hypochlorite => hypochlorite,
        Agent::Iodine => iodine,
        Agent::ApprovedCleaner => other,
    }
}

/// The strength that the rule prints for its baths, in words: the stronger, where they differ.
#[must_use]
pub fn printed_strength() -> String {
    let printed = [Agent::Hypochlorite, Agent::Iodine].map(|agent| recipe(agent).strength);
    let strongest = printed.into_iter().flatten().map(MgPerLitre::as_mg_per_l).fold(0.0, f64::max);
    format!("{strongest} ppm")
}

fn read_recipes() -> Result<[Recipe; 3], TableError> {
    let text = include_str!("../../../../data/cleaning.csv");
    let hottest = hottest(text)?;
    let rows = read_table("cleaning.csv", text, |row| {
        let agent = match row.text("disinfectant")? {
            "" => return Ok(None),
            "hypochlorite (as chlorine)" => Agent::Hypochlorite,
            "iodine" => Agent::Iodine,
            "maker-approved equivalent" => Agent::ApprovedCleaner,
            other => return Err(row.broken("disinfectant", &format!("`{other}` is not known"))),
        };
        read_recipe(row, agent, hottest).map(Some)
    })?;
    let rows: Vec<Recipe> = rows.into_iter().flatten().collect();
    let agents: Vec<Agent> = rows.iter().map(|row| row.agent).collect();
    rows.try_into().map_err(|_| TableError {
        table: "cleaning.csv",
        row: "4".to_owned(),
        column: "disinfectant".to_owned(),
        what: format!("three baths are expected, {agents:?} were found"),
    })
}

/// The highest temperature that is printed for any water. Another cleaner has none of its own, but
/// the water before and after it has.
fn hottest(text: &str) -> Result<Celsius, TableError> {
    let rows = read_table("cleaning.csv", text, |row| {
        let celsius = row.number("max_water_temp_c")?;
        let fahrenheit = row.text("max_water_temp_f")?;
        let printed = match (celsius, fahrenheit) {
            (None, _) => return Ok(None),
            (Some(celsius), "") => format!("{celsius} degC"),
            (Some(_), fahrenheit) => format!("{fahrenheit} degF"),
        };
        let read = printed.parse::<Celsius>();
        read.map(Some).map_err(|e| row.broken("max_water_temp_f", &e.to_string()))
    })?;
    let printed = rows.into_iter().flatten().reduce(|a, b| if a < b { a } else { b });
    printed.ok_or_else(|| TableError {
        table: "cleaning.csv",
        row: "2".to_owned(),
        column: "max_water_temp_c".to_owned(),
        what: "no temperature is printed".to_owned(),
    })
}

fn read_recipe(row: &Row<'_>, agent: Agent, hottest: Celsius) -> Result<Recipe, TableError> {
    let strength = row.number("concentration_ppm")?.map(MgPerLitre::from_mg_per_l).transpose();
    let strength = strength.map_err(|e| row.broken("concentration_ppm", &e.to_string()))?;
    let seconds = row.number("contact_time_s")?;
    let seconds = seconds.ok_or_else(|| row.broken("contact_time_s", "the cell is empty"))?;
    let contact = Minutes::from_min(seconds / 60.0);
    let pair = (row.number("recipe_ml")?, row.number("recipe_per_ml_water")?);
    Ok(Recipe {
        agent,
        strength,
        contact: contact.map_err(|e| row.broken("contact_time_s", &e.to_string()))?,
        highest_temperature: hottest,
        printed_ml: pair.0.zip(pair.1),
        action: row.required("action")?,
        citation: row.required("citation")?,
    })
}
