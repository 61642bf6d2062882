use anyhow::{Context, Result, bail};
use ledger::Ledger;
use program::{Subject, alike};

/// The id of the one thing that was meant by `asked`, by its id or its name in any case. What names
/// nothing stays as it was typed, for the answer to tell; of several none is guessed.
pub async fn meant(
    ledger: &Ledger,
    asked: &str,
    thing: impl Fn(&str) -> Subject,
) -> Result<String> {
    let called =
        ledger.called(thing(asked).kind(), asked).await.context("cannot read the ledger")?;
    if called.iter().any(|of| of.id == asked) {
        return Ok(asked.to_owned());
    }
    let looks = alike(asked);
    let same = called.iter().filter(|of| [&of.id, &of.name].iter().any(|own| alike(own) == looks));
    let ids: Vec<&str> = same.map(|of| of.id.as_str()).collect();
    match ids.as_slice() {
        [] => Ok(asked.to_owned()),
        [one] => Ok((*one).to_owned()),
        several => bail!("several are called `{asked}`\n  write one of: {}", several.join(", ")),
    }
}
