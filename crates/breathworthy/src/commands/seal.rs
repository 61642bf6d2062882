use anyhow::{Context, Result, bail};
use clap::Args;
use jiff::Timestamp;
use ledger::Ledger;
use program::{Entry, EntryId, Fact, PersonId, Subject};

use super::named::meant;
use super::{DEVICE, LedgerArguments, Outcome, instant, now, random_hex, runtime};

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    ledger: LedgerArguments,
    /// Whose face was looked at, by number or name
    #[arg(long)]
    wearer: String,
    /// Whether hair lies between the seal and the face or touches a valve
    #[arg(long, value_enum)]
    hair: Hair,
    /// Who looked
    #[arg(long)]
    by: String,
    /// When it was seen, such as 2026-11-25T08:00:00Z; now where it is left out
    #[arg(long, value_parser = instant)]
    at: Option<Timestamp>,
}

/// What was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Hair {
    /// Hair is there: no tight-fitting facepiece until it is recorded as gone
    Seen,
    /// It was looked at, and no hair is there
    Gone,
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let name = runtime()?.block_on(async {
        let ledger = arguments.ledger.open().await?;
        let name = record(&ledger, arguments).await;
        ledger.close().await;
        name
    })?;
    match arguments.hair {
        Hair::Seen => {
            say!("{name}: hair is there. No tight-fitting facepiece until it is recorded as gone");
        }
        Hair::Gone => say!("{name}: no hair where the mask seals"),
    }
    Ok(Outcome::Done)
}

/// Records what was seen, and gives the name of the wearer.
async fn record(ledger: &Ledger, arguments: &Arguments) -> Result<String> {
    let entered = now();
    let happened = arguments.at.unwrap_or(entered);
    if happened > entered {
        bail!("{happened} lies ahead\n  record what was seen");
    }
    let asked = &arguments.wearer;
    let id = meant(ledger, asked, |id| Subject::Wearer(PersonId::new(id))).await?;
    let id = PersonId::new(id);
    let thing = Subject::Wearer(id.clone());
    let state = ledger.state_about(&[thing], 0).await.context("cannot read the ledger")?;
    let Some(wearer) = state.wearer(&id) else {
        bail!("nobody is enrolled as `{asked}`\n  write the number or the name of a wearer");
    };
    let entry = Entry {
        id: EntryId::new(random_hex()?),
        site: wearer.site.clone(),
        happened,
        entered,
        by: PersonId::new(&arguments.by),
        device: DEVICE.to_owned(),
        corrects: None,
        fact: Fact::SealHairSeen { wearer: id, there: arguments.hair == Hair::Seen },
    };
    let site = entry.site.clone();
    ledger.append(&site, &[entry]).await.context("nothing was written")?;
    Ok(wearer.name.clone())
}
