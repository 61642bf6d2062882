use std::path::PathBuf;

use anyhow::{Context, Result, ensure};
use clap::Args;
use ledger::{SiteChain, Verification};

use super::{LedgerArguments, Outcome, print_json, read_text, runtime};

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    ledger: LedgerArguments,
    /// A text with heads kept elsewhere, as `verify`, `backup` or `import` printed them: the chains
    /// must go on from each
    #[arg(long, value_name = "FILE")]
    against: Option<PathBuf>,
    /// Print the whole answer as JSON
    #[arg(long)]
    json: bool,
}

/// Looks at every entry and every link, at what the database keeps of the ends of the chains, and at
/// the guards of its tables.
pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let heads = arguments.heads()?;
    let verification = runtime()?.block_on(async {
        let ledger = arguments.ledger.open_to_read().await?;
        ledger.verify_against(&heads).await.context("cannot read the ledger")
    })?;
    if arguments.json {
        print_json(&verification)?;
    } else {
        print(&verification, heads.len());
    }
    Ok(if verification.stands() { Outcome::Done } else { Outcome::Stop })
}

impl Arguments {
    fn heads(&self) -> Result<Vec<SiteChain>> {
        let Some(path) = &self.against else { return Ok(Vec::new()) };
        let heads = SiteChain::among_lines(&read_text(path, "file of heads")?);
        ensure!(
            !heads.is_empty(),
            "{} holds no head of a chain\n  keep what `breathworthy verify` or `backup` prints, with its lines such as `site: 12 entries, ends with` and the hash",
            path.display()
        );
        Ok(heads)
    }
}

fn print(verification: &Verification, against: usize) {
    if verification.stands() {
        say!(
            "whole: {} entries of {} sites, every link of the chain holds; {} attachments",
            verification.entries,
            verification.sites.len(),
            verification.attachments
        );
    }
    if let Some(broken) = &verification.broken {
        say!(
            "BROKEN at entry {} (number {} of site {}): {}",
            broken.id,
            broken.seq,
            broken.site,
            broken.why
        );
    }
    if let Some(hash) = &verification.broken_attachment {
        say!("BROKEN attachment {hash}: it is no longer what was attached");
    }
    for lost in &verification.lost {
        say!("CUT OFF: {lost}");
    }
    for guard in &verification.unguarded {
        say!("UNGUARDED: `{guard}` of the database is missing, asleep or another than was made");
    }
    if !verification.unguarded.is_empty() {
        say!(
            "  without it entries may have been changed; compare the heads below with heads kept elsewhere (--against), then restore a backup, or export and import, into a new ledger, which has its guards"
        );
    }
    for chain in &verification.sites {
        say!("  {chain}");
    }
    if verification.stands() && against == 0 {
        say!(
            "  keep these heads elsewhere; `verify --against` a file of them shows what nothing here can"
        );
    } else if verification.stands() {
        say!("  every chain goes on from the {against} heads that were kept elsewhere");
    }
}
