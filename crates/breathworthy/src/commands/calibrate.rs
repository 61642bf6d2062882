use std::path::PathBuf;

use anyhow::{Context, Result};
use clap::Args;
use program::calibrate::{CalibrationAnswer, WrittenReport};

use super::{Outcome, print_json, read_text};

#[derive(Args)]
pub struct Arguments {
    /// The laboratory report (TOML)
    report: PathBuf,
    /// Further times of the report as a table (CSV: contaminant, concentration, penetration, minutes)
    #[arg(long, value_name = "FILE")]
    times: Option<PathBuf>,
    /// Print the whole answer as JSON
    #[arg(long)]
    json: bool,
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let shown = arguments.report.display();
    let text = read_text(&arguments.report, "report")?;
    let mut report = WrittenReport::read(&text).with_context(|| shown.to_string())?;
    if let Some(path) = &arguments.times {
        let shown = path.display();
        let table = read_text(path, "table of times")?;
        report.add_times(&table).with_context(|| shown.to_string())?;
    }
    let answer = report.calibrate().with_context(|| shown.to_string())?;
    if arguments.json {
        print_json(&answer)?;
    } else {
        print(&answer);
    }
    Ok(Outcome::Done)
}

fn print(answer: &CalibrationAnswer) {
    say!("{}\n", answer.report);
    say!("  measured      fitted     off");
    for beside in &answer.beside {
        let off = 100.0 * (beside.fitted / beside.measured - 1.0);
        let digits = if beside.unit == "min" { 1 } else { 4 };
        say!(
            "  {:>8.digits$}  {:>10.digits$}  {off:>+5.1} %  {} ({})",
            beside.measured,
            beside.fitted,
            beside.of,
            beside.unit
        );
    }
    say!("\n  misfit {:.1} % (root mean square)", 100.0 * answer.misfit);
    if let Some(carbon) = &answer.carbon {
        let names = ["micropore volume", "characteristic energy", "rate"];
        for ((name, deviation), learned) in names.iter().zip(carbon.deviations).zip(carbon.learned)
        {
            let told = if learned < 0.05 { "; the report tells nothing of it" } else { "" };
            say!("  {name}: known to {:.1} %{told}", 100.0 * deviation);
        }
    }
    for gas in &answer.gases {
        let [held, rate] = gas.deviations.map(|part| 100.0 * part);
        let name = &gas.name;
        say!("  {name}: one element holds {:.3} g, known to {held:.1} %", gas.capacity);
        say!("  {name}: rate {:.1} L/(g min), known to {rate:.1} %", gas.rate);
    }
    say!("\n  for the case file:\n");
    say!("{}", answer.case_lines);
    say!(
        "  a calibration holds for these elements and is no approval; have it reviewed by a qualified industrial hygienist"
    );
}
