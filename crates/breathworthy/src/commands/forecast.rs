use std::collections::BTreeMap;

use anyhow::{Result, bail};
use clap::Args;
use jiff::Timestamp;
use program::forecast::{Ask, Basis, Forecast, Need, forecast};
use program::{SiteId, State, TaskId};

use super::{LedgerArguments, Outcome, fold, instant, now, print_json, runtime};

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    ledger: LedgerArguments,
    /// The site; every site where it is left out
    #[arg(long)]
    site: Option<String>,
    /// How many weeks ahead
    #[arg(long, default_value_t = 13)]
    weeks: u32,
    /// Shifts of wear a week planned for a task, all wearers together, such as "spraying=20"; the last
    /// 13 weeks stand for a task that is not named; may be given several times
    #[arg(long, value_name = "TASK=SHIFTS", requires = "site")]
    shifts: Vec<String>,
    /// The instant to look ahead from, such as 2026-11-25T08:00:00Z; now where it is left out
    #[arg(long, value_parser = instant)]
    at: Option<Timestamp>,
    /// Print the whole answer as JSON
    #[arg(long)]
    json: bool,
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let plan = plan(&arguments.shifts)?;
    let state = runtime()?.block_on(async {
        let ledger = arguments.ledger.open_to_read().await?;
        fold(&ledger).await
    })?;
    let now = arguments.at.unwrap_or_else(now);
    let sites: Vec<SiteId> = match &arguments.site {
        Some(site) => vec![SiteId::new(site)],
        None => state.sites().map(|(id, _)| id.clone()).collect(),
    };
    let (weeks, plan) = (arguments.weeks, &plan);
    let all = sites.iter().map(|site| forecast(&state, &Ask { site, weeks, plan, now }));
    let all = all.collect::<Result<Vec<Forecast>, _>>()?;
    if arguments.json {
        print_json(&all)?;
    } else {
        all.iter().for_each(|one| print(&state, one));
    }
    Ok(Outcome::Done)
}

fn plan(texts: &[String]) -> Result<BTreeMap<TaskId, f64>> {
    let mut plan = BTreeMap::new();
    for text in texts {
        let Some((task, shifts)) = text.rsplit_once('=') else {
            bail!("--shifts `{text}` is not written as TASK=SHIFTS");
        };
        let Ok(shifts) = shifts.trim().parse::<f64>() else {
            bail!("--shifts `{text}`: `{shifts}` is not a number\n  write it like spraying=20");
        };
        plan.insert(TaskId::new(task), shifts);
    }
    Ok(plan)
}

fn print(state: &State, answer: &Forecast) {
    let name = state.site(&answer.site).map_or(answer.site.as_str(), |site| site.name.as_str());
    let (weeks, past) = (answer.weeks, answer.history_weeks);
    say!("{name}: {weeks} weeks from {}, on {past} past weeks\n", answer.from);
    for caution in &answer.cautions {
        say!("  CAUTION: {caution}\n");
    }
    if answer.needs.is_empty() {
        say!("  nothing is on record that is used up\n");
    }
    answer.needs.iter().for_each(print_need);
    say!("  method: {}\n", answer.method);
}

fn print_need(need: &Need) {
    say!("  {}", need.name);
    if need.known {
        say!("    needed     {:.0} (range {:.0} to {:.0})", need.expected, need.low, need.high);
    } else {
        say!("    needed     not known: no use and no schedule is on record");
    }
    let a_week = |figure: Option<f64>| {
        figure.map_or_else(|| "not known".to_owned(), |figure| format!("{figure:.1} a week"))
    };
    let mark = |basis| if need.known && need.basis == basis { " (counts)" } else { "" };
    say!("    history    {}{}", a_week(need.history_per_week), mark(Basis::History));
    say!("    schedules  {}{}", a_week(need.schedule_per_week), mark(Basis::Schedule));
    if let Some(stock) = need.in_stock {
        let by = need.buy_by.map(|day| format!(" by {day}")).unwrap_or_default();
        let buy = need.buy.map(|buy| format!("; to buy {buy:.0}{by}")).unwrap_or_default();
        say!("    in stock   {stock:.0}{buy}");
    }
    for note in &need.notes {
        say!("    - {note}");
    }
    say!();
}
