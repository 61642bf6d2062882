use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};
use clap::Args;
use program::exposure::{ExposureAnswer, Readings, Summary, analyse, analyse_summary};
use quantity::Concentration;
use rulebook::{Decision, decide};

use rulebook::shown_beside;

use super::{Outcome, print_json, read_text, words};

#[derive(Args)]
pub struct Arguments {
    /// The readings of one group: a table (CSV) with a column `concentration`, such as "12 ppm", or
    /// "<0.5 ppm" for what was not detected
    #[arg(required_unless_present = "gm", conflicts_with_all = ["gm", "gsd", "n"])]
    readings: Option<PathBuf>,
    /// The limit to hold the group against, such as "50 ppm"
    #[arg(long)]
    limit: Option<Concentration>,
    /// Geometric mean of a group known by its summary alone, such as "1.06 mg/m3"
    #[arg(long, requires_all = ["gsd", "n"])]
    gm: Option<Concentration>,
    /// Geometric standard deviation of that group
    #[arg(long, requires = "gm")]
    gsd: Option<f64>,
    /// Number of readings of that group
    #[arg(long, requires = "gm")]
    n: Option<u32>,
    /// Print the whole answer as JSON
    #[arg(long)]
    json: bool,
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let answer = match (&arguments.readings, arguments.gm, arguments.gsd, arguments.n) {
        (Some(path), ..) => analyse(&read(path)?, arguments.limit)?,
        (None, Some(geometric_mean), Some(geometric_sd), Some(n)) => {
            analyse_summary(&Summary { n, geometric_mean, geometric_sd }, arguments.limit)?
        }
        _ => bail!("nothing was asked\n  name a table of readings, or give --n, --gm and --gsd"),
    };
    if arguments.json {
        print_json(&answer)?;
    } else {
        print(&answer);
    }
    match decide(&answer.findings) {
        Decision::Allowed => Ok(Outcome::Done),
        Decision::Stop => Ok(Outcome::Stop),
    }
}

fn read(path: &Path) -> Result<Readings> {
    let shown = path.display();
    let text = read_text(path, "file of readings")?;
    Readings::read(&text).with_context(|| shown.to_string())
}

fn print(answer: &ExposureAnswer) {
    let unit = answer.unit;
    match &answer.design_concentration {
        Some(design) => {
            say!("design concentration {:.4} {unit}", design.level.number());
            say!("  {}", design.words);
        }
        None => say!("no design concentration"),
    }
    say!("\n  readings              {} ({} below detection)", answer.n, answer.below_detection);
    if let Some(highest) = answer.highest {
        say!("  highest               {highest} {unit}");
    }
    if let Some(fitted) = &answer.fitted {
        let percentile = &fitted.percentile_95;
        say!("  geometric mean        {:.4} {unit}", fitted.geometric_mean);
        say!("  geometric spread      {:.3}", fitted.geometric_sd);
        say!("  best mean             {:.4} {unit}", fitted.mean.best);
        say!("  95th percentile       {:.4} {unit}", percentile.estimate);
        let limit = answer.against_limit.as_ref().map(|against| against.limit.number());
        let upper = percentile.upper_95;
        say!("    95 % upper limit    {} {unit}", shown_beside(upper, limit.unwrap_or(upper), 4));
        say!("    70 % upper limit    {:.4} {unit}", percentile.upper_70);
    }
    if let Some(goodness) = answer.goodness {
        say!("  Shapiro-Wilk          W {:.4}, p {:.3}", goodness.w, goodness.p);
    }
    if let Some(against) = &answer.against_limit {
        say!("  limit                 {}", against.limit);
        if let Some(exceedance) = against.exceedance {
            let part = |fraction: f64| format!("{:.2} %", fraction * 100.0);
            let (low, high) = (part(exceedance.lower_95), part(exceedance.upper_95));
            say!("  passed in             {} of shifts", part(exceedance.fraction));
            say!("    95 % limits         {low} and {high}, one-sided each");
        }
    }
    say!();
    words::findings(&answer.findings);
    say!("\n  method: {}", answer.method);
    for source in &answer.sources {
        say!("  source: {source}");
    }
}
