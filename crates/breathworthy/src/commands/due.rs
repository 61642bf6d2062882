use anyhow::{Context, Result, bail};
use clap::Args;
use jiff::Timestamp;
use ledger::{DueAnswer, DueQuestion, Ledger};
use program::SiteId;
use program::case::plain_words;
use program::due::{About, DAYS_AHEAD, Due, DueKind, Urgency};

use super::{LedgerArguments, Outcome, instant, now, print_json, runtime};

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    ledger: LedgerArguments,
    /// One site; all where it is left out
    #[arg(long)]
    site: Option<String>,
    /// How many days ahead
    #[arg(long, default_value_t = DAYS_AHEAD, value_parser = days)]
    days: i64,
    /// One kind, such as training or shelf-life; all where it is left out
    #[arg(long, value_parser = kind)]
    kind: Option<DueKind>,
    /// How many to tell; the counts are always of all
    #[arg(long, default_value_t = 50)]
    limit: usize,
    /// The instant to ask at, such as 2026-11-25T08:00:00Z; now where it is left out
    #[arg(long, value_parser = instant)]
    at: Option<Timestamp>,
    /// Print the whole answer as JSON
    #[arg(long)]
    json: bool,
}

/// The farthest that is looked ahead, days: a hundred years.
const FARTHEST: i64 = 36_500;

/// Days ahead; a refusal tells how many there can be.
fn days(text: &str) -> Result<i64, String> {
    let read = text.parse().ok().filter(|days| (0..=FARTHEST).contains(days));
    read.ok_or_else(|| format!("write whole days from 0 (today alone) to {FARTHEST}"))
}

/// A kind by the name it has in JSON; a refusal tells the names.
fn kind(text: &str) -> Result<DueKind, String> {
    let said = |error: serde_json::Error| plain_words(&error.to_string());
    serde_json::from_value(text.into()).map_err(said)
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let question = DueQuestion {
        site: arguments.site.as_ref().map(SiteId::new),
        kind: arguments.kind,
        days: arguments.days,
        skip: 0,
        limit: arguments.limit,
        of_each_kind: false,
    };
    let at = arguments.at.unwrap_or_else(now);
    let answer = runtime()?.block_on(async {
        let ledger = arguments.ledger.open_to_ask().await?;
        known(&ledger, question.site.as_ref()).await?;
        let answer = ledger.due(&question, at).await.context("cannot read what is due");
        ledger.close().await;
        answer
    })?;
    if arguments.json {
        print_json(&answer)?;
    } else {
        print(&answer)?;
    }
    Ok(Outcome::Done)
}

/// A site that nobody opened is told, not taken for one where nothing is due.
async fn known(ledger: &Ledger, site: Option<&SiteId>) -> Result<()> {
    let Some(site) = site else { return Ok(()) };
    let sites = ledger.sites().await.context("cannot read the ledger")?;
    if !sites.contains(site) {
        let known: Vec<&str> = sites.iter().map(SiteId::as_str).collect();
        bail!("there is no site `{site}` in this ledger\n  its sites are: {}", known.join(", "));
    }
    Ok(())
}

fn print(answer: &DueAnswer) -> Result<()> {
    if let Some(finding) = &answer.unguarded {
        say!("{}\n  do: {} [{}]\n", finding.text(), finding.remedy(), finding.rule.id);
    }
    if answer.counts.is_empty() {
        say!("nothing is due");
        return Ok(());
    }
    for count in &answer.counts {
        say!("{:>8}  {:<14} {}", count.duties, name(&count.kind)?, urgency(count.urgency));
    }
    say!("\n{:<17} {:<14} {:<22} {}", "BY", "WHAT", "FOR", "FOUND");
    for due in &answer.first {
        say!("{:<17} {:<14} {:<22} {}", by(due), name(&due.kind)?, whom(due), due.finding.text());
        let site = due.site.as_ref().map(|site| format!(", site {site}")).unwrap_or_default();
        let rule = format!("{} [{}]{site}", due.finding.citation(), due.finding.rule.id);
        say!("{:<17} {:<14} {:<22} do: {}", "", "", "", due.finding.remedy());
        say!("{:<17} {:<14} {:<22} {rule}", "", "", "");
    }
    let all: u64 = answer.counts.iter().map(|count| count.duties).sum();
    let told = u64::try_from(answer.first.len()).unwrap_or(u64::MAX);
    if told < all {
        say!("\n{told} of {all} told; --limit tells more");
    }
    Ok(())
}

/// The name that a kind has in JSON.
fn name(of: &impl serde::Serialize) -> Result<String> {
    let value = serde_json::to_value(of)?;
    Ok(value.as_str().map(str::to_owned).unwrap_or_default())
}

/// When it is to be done, in words.
const fn urgency(urgency: Urgency) -> &'static str {
    match urgency {
        Urgency::Now => "now",
        Urgency::Soon => "soon",
        Urgency::Over => "no longer stops",
    }
}

/// Until when it is to be done.
fn by(due: &Due) -> String {
    match (due.urgency, due.since) {
        (Urgency::Soon, Some(since)) => {
            // What stands in the way from a day on must be done by the day before.
            since.yesterday().map_or_else(|_| "soon".to_owned(), |last| format!("by {last}"))
        }
        (Urgency::Now, Some(since)) => format!("since {since}"),
        (Urgency::Over, _) => urgency(due.urgency).to_owned(),
        _ => "now".to_owned(),
    }
}

fn whom(due: &Due) -> String {
    match &due.about {
        About::Unit(id) => format!("respirator {id}"),
        About::Wearer(id) => format!("wearer {id}"),
        About::Task(id) => format!("task {id}"),
        About::Cylinder(id) => format!("cylinder {id}"),
        About::Supply(id) => format!("supply {id}"),
        About::Stock(id) => format!("box {id}"),
        About::Instrument(id) => format!("instrument {id}"),
        About::Site(id) => format!("site {id}"),
        About::Records => "the records".to_owned(),
    }
}
