use anyhow::{Context, Result};
use clap::Args;
use jiff::Timestamp;
use ledger::Ledger;
use program::check::is_within_a_day;
use program::{Ask, PersonId, Subject, TaskId, UnitId, Verdict};
use quantity::{Minutes, QuantityError};
use rulebook::Decision;

use super::named::meant;
use super::{LedgerArguments, Outcome, instant, now, print_json, runtime, words};

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    ledger: LedgerArguments,
    /// Who wants to wear it, by number or name
    #[arg(long)]
    wearer: String,
    /// The tag on the respirator
    #[arg(long)]
    tag: String,
    /// The task, by short name or name
    #[arg(long)]
    task: String,
    /// Planned wear with its unit, such as "2 h"; that of the task where it is left out
    #[arg(long, value_parser = planned)]
    planned: Option<Minutes>,
    /// The instant to judge at, such as 2026-11-25T08:00:00Z; now where it is left out
    #[arg(long, value_parser = instant)]
    at: Option<Timestamp>,
    /// Print the whole verdict as JSON
    #[arg(long)]
    json: bool,
}

const HOW_LONG: &str =
    "write more than 0 min and no more than a day; left out, it is as the task plans";

/// A wear that is planned: more than nothing, which every schedule would allow, and no more than a day.
fn planned(text: &str) -> Result<Minutes, String> {
    let time: Minutes = text.parse().map_err(|why: QuantityError| why.to_string())?;
    let refused = || format!("{time} is no wear\n  {HOW_LONG}");
    is_within_a_day(time).then_some(time).ok_or_else(refused)
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let at = arguments.at.unwrap_or_else(now);
    let verdict = runtime()?.block_on(async {
        let ledger = arguments.ledger.open_to_ask().await?;
        let verdict = ask(&ledger, arguments, at).await;
        ledger.close().await;
        verdict
    })?;
    if arguments.json {
        print_json(&verdict)?;
    } else {
        print(&verdict);
    }
    match verdict.decision {
        Decision::Allowed => Ok(Outcome::Done),
        Decision::Stop => Ok(Outcome::Stop),
    }
}

async fn ask(ledger: &Ledger, arguments: &Arguments, at: Timestamp) -> Result<Verdict> {
    let Arguments { wearer, tag, task, .. } = arguments;
    let wearer = meant(ledger, wearer, |id| Subject::Wearer(PersonId::new(id))).await?;
    let unit = meant(ledger, tag, |id| Subject::Unit(UnitId::new(id))).await?;
    let task = meant(ledger, task, |id| Subject::Task(TaskId::new(id))).await?;
    let ask = Ask {
        wearer: PersonId::new(wearer),
        unit: UnitId::new(unit),
        task: TaskId::new(task),
        planned_wear: arguments.planned,
    };
    ledger.may_wear(&ask, at).await.context("cannot read the ledger")
}

fn print(verdict: &Verdict) {
    say!("{}\n", words::verdict(verdict.decision));
    words::findings(&verdict.findings);
    say!("\n  {} rules visited", verdict.checked.len());
}
