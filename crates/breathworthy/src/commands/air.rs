use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};
use clap::Args;
use program::air_sheet::{self, AirAnswer};
use quantity::{
    Celsius, Kilopascal, KilopascalGauge, LitrePerMin, Litres, Percent, QuantityError, WrittenUnit,
};
use rulebook::breathing_air::{Cylinder, Duration, HoseAnswer, ReportAnswer, Wear, duration};
use rulebook::{Decision, Finding, decide};
use serde::Serialize;

use super::{Outcome, print_json, read_text, words};

#[derive(Args)]
pub struct Arguments {
    /// Water volume of the cylinder as stamped on it, such as "6.8 L"
    #[arg(long, requires_all = ["pressure", "minute_volume"])]
    volume: Option<Litres>,
    /// What its gauge shows, such as "300 bar"
    #[arg(long, requires = "volume", value_parser = written)]
    pressure: Option<Written>,
    /// Its rated pressure as stamped on it, such as "300 bar"
    #[arg(long, requires = "volume")]
    rated: Option<KilopascalGauge>,
    /// Air breathed in a minute, such as "40 L/min"
    #[arg(long, requires = "volume")]
    minute_volume: Option<LitrePerMin>,
    /// Temperature of the air in the cylinder
    #[arg(long, default_value = "20 degC")]
    temperature: Celsius,
    /// Part of the usable air of a full cylinder that is left when the alarm sounds
    #[arg(long, default_value = "25 %")]
    alarm: Percent,
    /// Pressure of the place
    #[arg(long, default_value = "101.325 kPa")]
    ambient: Kilopascal,
    /// A test of the air, a hose, or both (TOML)
    #[arg(long)]
    report: Option<PathBuf>,
    /// Print the whole answer as JSON
    #[arg(long)]
    json: bool,
}

/// A pressure and the unit in which it was written.
type Written = (KilopascalGauge, Option<WrittenUnit>);

fn written(text: &str) -> Result<Written, QuantityError> {
    Ok((text.parse()?, KilopascalGauge::unit_in(text)))
}

/// What was asked for and what it came to.
#[derive(Serialize)]
struct Answer {
    #[serde(skip_serializing_if = "Option::is_none")]
    cylinder: Option<Duration>,
    #[serde(skip_serializing_if = "Option::is_none")]
    test: Option<ReportAnswer>,
    #[serde(skip_serializing_if = "Option::is_none")]
    hose: Option<HoseAnswer>,
}

impl Answer {
    fn findings(&self) -> Vec<&[Finding]> {
        let cylinder = self.cylinder.as_ref().map(|answer| answer.findings.as_slice());
        let test = self.test.as_ref().map(|answer| answer.findings.as_slice());
        let hose = self.hose.as_ref().map(|answer| answer.findings.as_slice());
        [cylinder, test, hose].into_iter().flatten().collect()
    }
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let cylinder = match (arguments.volume, arguments.pressure, arguments.minute_volume) {
        (Some(volume), Some((charge, unit)), Some(minute_volume)) => {
            let (rated, temperature) = (arguments.rated, arguments.temperature);
            let cylinder = Cylinder { volume, charge, rated, temperature, unit };
            let (alarm, ambient) = (arguments.alarm, arguments.ambient);
            Some(duration(&cylinder, &Wear { minute_volume, alarm, ambient })?)
        }
        _ => None,
    };
    let AirAnswer { test, hose } = match &arguments.report {
        Some(path) => report(path)?,
        None => AirAnswer::default(),
    };
    let answer = Answer { cylinder, test, hose };
    let found = answer.findings();
    if found.is_empty() {
        bail!(
            "nothing was asked\n  give a cylinder (--volume, --pressure, --minute-volume), a report (--report FILE), or both"
        );
    }
    if arguments.json {
        print_json(&answer)?;
    } else {
        print(&answer);
    }
    let stop = found.into_iter().any(|findings| decide(findings) == Decision::Stop);
    Ok(if stop { Outcome::Stop } else { Outcome::Done })
}

fn report(path: &Path) -> Result<AirAnswer> {
    let shown = path.display();
    let text = read_text(path, "report")?;
    air_sheet::judge(&text).with_context(|| shown.to_string())
}

fn print(answer: &Answer) {
    if let Some(cylinder) = &answer.cylinder {
        print_cylinder(cylinder);
    }
    if let Some(test) = &answer.test {
        say!("{}\n", if test.meets { "FIT TO BREATHE" } else { "NOT FIT TO BREATHE" });
        for figure in &test.figures {
            let measured = figure.measured.as_deref().unwrap_or("not reported");
            say!("  {:<24} {measured:<18} {}", figure.what, figure.limit);
        }
        if let Some(water) = test.water {
            say!("  {:<24} {water:.1}", "water");
        }
        say!();
        words::findings(&test.findings);
        sources(test.method, &test.sources);
    }
    if let Some(hose) = &answer.hose {
        let word = if hose.meets { "the hose keeps" } else { "THE HOSE DOES NOT KEEP" };
        say!("{word} the limits of {}\n", hose.airline);
        words::findings(&hose.findings);
        sources("each figure against its limit, equal passes", &hose.sources);
    }
}

fn print_cylinder(cylinder: &Duration) {
    let minutes = |time: quantity::Minutes| words::minutes(time.as_min());
    say!("{} to the alarm, {} to the end", minutes(cylinder.to_alarm), minutes(cylinder.to_empty));
    say!("  after the alarm: {}", minutes(cylinder.after_alarm));
    say!("  the alarm sounds at {}", cylinder.cylinder.told(cylinder.alarm_pressure));
    say!(
        "  free air {:.0} L, of which usable {:.0} L; an ideal gas would give {:.0} L (Z = {:.4})\n",
        cylinder.free_air_l,
        cylinder.usable_air_l,
        cylinder.ideal_free_air_l,
        cylinder.compressibility
    );
    words::findings(&cylinder.findings);
    sources(cylinder.method, &cylinder.sources);
}

fn sources(method: &str, sources: &[String]) {
    say!("\n  method: {method}");
    for source in sources {
        say!("  source: {source}");
    }
    say!();
}
