use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use clap::Args;
use ledger::Receipt;
use program::bring::{Ask, Choices, DateOrder, Fate, Kind, Preview, RowFate, Table, preview};
use program::{PersonId, SiteId};
use serde::Serialize;

use super::{DEVICE, LedgerArguments, Outcome, fold, now, print_json, read_bytes, runtime};

#[derive(Args)]
pub struct Arguments {
    /// What the file lists: wearers, models, respirators, element-types, cylinders, tasks,
    /// clearances, training, fit-tests or stock
    kind: Kind,
    /// The list: CSV (UTF-8), or a workbook (.xlsx)
    #[arg(required_unless_present = "fields")]
    file: Option<PathBuf>,
    #[command(flatten)]
    ledger: LedgerArguments,
    /// The site to which the list belongs
    #[arg(long, required_unless_present = "fields")]
    site: Option<String>,
    /// A column of the file and the field that it fills, such as "Their head=wearer"; may be given
    /// several times
    #[arg(long = "column", value_name = "HEAD=FIELD")]
    columns: Vec<String>,
    /// One value for every row, such as "hair in seal=no"; may be given several times
    #[arg(long, value_name = "FIELD=VALUE")]
    every_row: Vec<String>,
    /// The order of days and months in dates that are not written like 2026-03-04: dmy or mdy
    #[arg(long)]
    dates: Option<DateOrder>,
    /// The sheet of a workbook with several
    #[arg(long)]
    sheet: Option<String>,
    /// Write the new rows into the ledger, after they were shown
    #[arg(long, requires = "by")]
    write: bool,
    /// Who brings the list
    #[arg(long)]
    by: Option<String>,
    /// Print every row and its fate as JSON
    #[arg(long)]
    json: bool,
    /// List the fields of the kind and the heads under which they are found
    #[arg(long)]
    fields: bool,
}

#[derive(Serialize)]
struct Answer<'a> {
    #[serde(flatten)]
    preview: &'a Preview,
    written: Option<Receipt>,
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let (Some(file), Some(site), false) = (&arguments.file, &arguments.site, arguments.fields)
    else {
        list_fields(arguments)?;
        return Ok(Outcome::Done);
    };
    let table = read(file, arguments.sheet.as_deref())?;
    let choices = choices(arguments)?;
    let (site, by) = (SiteId::new(site), PersonId::new(arguments.by.as_deref().unwrap_or(DEVICE)));
    let (preview, written) = runtime()?.block_on(async {
        let ledger = arguments.ledger.open().await?;
        let state = fold(&ledger).await?;
        let (kind, table, choices) = (arguments.kind, &table, &choices);
        let ask = Ask { kind, table, choices, site: &site, now: now(), by: &by, device: DEVICE };
        let preview = preview(&state, &ask).with_context(|| file.display().to_string())?;
        let entries = preview.entries();
        let written = match arguments.write && !entries.is_empty() {
            true => Some(ledger.append(&site, &entries).await.context("nothing was written")?),
            false => None,
        };
        ledger.close().await;
        Ok::<_, anyhow::Error>((preview, written))
    })?;
    if arguments.json {
        print_json(&Answer { preview: &preview, written })?;
    } else {
        print(&preview, arguments.write, written);
    }
    Ok(if preview.counts().2 == 0 { Outcome::Done } else { Outcome::Stop })
}

fn read(file: &Path, sheet: Option<&str>) -> Result<Table> {
    let shown = file.display();
    let bytes = read_bytes(file, "list")?;
    Table::read(&bytes, sheet).with_context(|| shown.to_string())
}

fn choices(arguments: &Arguments) -> Result<Choices> {
    let pair = |text: &String| Choices::pair(text);
    let pairs = |texts: &[String]| texts.iter().map(pair).collect::<Result<Vec<_>, _>>();
    let columns = pairs(&arguments.columns).context("--column")?;
    let every_row = pairs(&arguments.every_row).context("--every-row")?;
    Ok(Choices { dates: arguments.dates, columns, every_row })
}

fn print(preview: &Preview, write: bool, written: Option<Receipt>) {
    for column in &preview.columns {
        match column.fills {
            Some(field) => say!("  column `{}` fills {field}", column.head),
            None => say!("  column `{}` is left aside", column.head),
        }
    }
    for (field, value) in &preview.every_row {
        say!("  every row: {field} is `{value}`");
    }
    say!();
    preview.rows.iter().for_each(print_row);
    let (new, known, refused) = preview.counts();
    say!("\n{new} new, {known} already known, {refused} refused");
    match written {
        Some(receipt) => say!("written: {} entries, head {}", receipt.added, receipt.head),
        None if write => say!("nothing to write"),
        None if new == 0 => {}
        None => say!("nothing is written yet; to write the new rows: --write --by WHO"),
    }
}

fn print_row(row: &RowFate) {
    let understood: Vec<String> =
        row.understood.iter().map(|(field, words)| format!("{field} {words}")).collect();
    let understood = understood.join(", ");
    match &row.fate {
        Fate::New(_) => {
            say!("row {:<5} new      {understood}", row.line);
            row.stands_against.iter().for_each(|told| say!("                   but: {told}"));
        }
        Fate::Known { because } => {
            say!("row {:<5} known    {understood}\n                   {because}", row.line);
        }
        Fate::Refused(refusals) => {
            say!("row {:<5} REFUSED  {understood}", row.line);
            for refusal in refusals {
                say!("                   {}: {}", refusal.column, refusal.why);
                say!("                   do: {}", refusal.remedy);
            }
        }
    }
}

fn list_fields(arguments: &Arguments) -> Result<()> {
    let fields = arguments.kind.fields();
    if arguments.json {
        return print_json(&fields);
    }
    for field in fields {
        let needed = if field.needed { "needed" } else { "may be left out" };
        say!("{} ({needed}): {}", field.name, field.holds);
        if !field.also.is_empty() {
            say!("  also found as: {}", field.also.join(", "));
        }
    }
    Ok(())
}
