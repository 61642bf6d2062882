//! The one binary: commands, wiring and exit codes.
//!
//! Knows nothing of chemistry, rules, SQL or pages: it passes what a person typed to the crates
//! that do, and what they answer back to the person.
//!
//! Exit codes: 0 allowed or computed, 1 the verdict is stop or what was checked does not hold, 2 the
//! input is wrong.

#[macro_use]
mod say;

mod commands;
mod plant;

use std::any::TypeId;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{CommandFactory, FromArgMatches, Parser, Subcommand};

use commands::{
    Outcome, air, backup, bath, bring, calibrate, demo, due, export, exposure, fit, forecast,
    import, life, rebuild, restore, seal, select, serve, verify, waiting, wear, what_if,
};

/// May this wearer wear this respirator for this task, now? If not, why not, and what puts it
/// right?
#[derive(Parser)]
#[command(name = "breathworthy", version, after_help = CAUTION)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

/// The caution that stands under every answer.
const CAUTION: &str = "Estimates support, and never replace, the maker's instructions, the law, \
a qualified industrial hygienist and a licensed health professional.";

#[derive(Subcommand)]
enum Command {
    /// Fill a ledger with an invented plant, serve it and print the address
    Demo(demo::Arguments),
    /// Serve a ledger to browsers on this machine
    Serve(serve::Arguments),
    /// How long a set of elements lasts in the air that a case file tells of
    Life(life::Arguments),
    /// How long the elements last in variants of a case, side by side
    WhatIf(what_if::Arguments),
    /// The carbon, and the gases held by reaction, that a laboratory report of these elements tells of
    Calibrate(calibrate::Arguments),
    /// Which respirators are allowed in the air that a case file tells of
    Select(select::Arguments),
    /// May a wearer wear a respirator for a task
    Wear(wear::Arguments),
    /// Record whether hair was seen where the mask of a wearer seals
    Seal(seal::Arguments),
    /// Fit factors and pass or fail of a fit test
    Fit(fit::Arguments),
    /// How much product a disinfecting bath takes, how hot and how long
    Bath(bath::Arguments),
    /// How long a cylinder lasts, and whether air and hose are fit to use
    Air(air::Arguments),
    /// What the readings of an exposure group say, and the concentration to plan for
    Exposure(exposure::Arguments),
    /// What is due, for whom, under which rule, and until when
    Due(due::Arguments),
    /// Bring a list that the workplace keeps already (CSV or XLSX) into a ledger; shows each row's fate
    Bring(bring::Arguments),
    /// What each site will use up in the weeks to come, and what to buy until when
    Forecast(forecast::Arguments),
    /// Check every entry of a ledger and the chain that binds them
    Verify(verify::Arguments),
    /// Drop everything that is derived from the entries of a ledger and derive it again
    Rebuild(rebuild::Arguments),
    /// Keep a ledger a second time, in a file of its own, while a server goes on writing
    Backup(backup::Arguments),
    /// Fill an empty ledger from a backup
    Restore(restore::Arguments),
    /// Write a whole ledger as lines of JSON
    Export(export::Arguments),
    /// Add to a ledger what an export of it holds and it does not
    Import(import::Arguments),
}

/// The arguments that were typed. What stands behind an option is its value even where it begins with a
/// hyphen, so that `-5 min` is refused by what it is and not as an option that nobody knows; a file is no
/// such value, so that a forgotten name does not become the next option.
fn typed() -> Arguments {
    let takes_hyphens = |argument: &clap::Arg| {
        let is_file = argument.get_value_parser().type_id() == TypeId::of::<PathBuf>();
        argument.get_long().is_some() && argument.get_action().takes_values() && !is_file
    };
    let command = Arguments::command().mut_subcommands(|command| {
        command.mut_args(|argument| {
            let hyphens = takes_hyphens(&argument);
            argument.allow_hyphen_values(hyphens)
        })
    });
    Arguments::from_arg_matches(&command.get_matches()).unwrap_or_else(|error| error.exit())
}

fn main() -> ExitCode {
    let outcome = match typed().command {
        Command::Demo(arguments) => demo::run(&arguments),
        Command::Serve(arguments) => serve::run(&arguments),
        Command::Life(arguments) => life::run(&arguments),
        Command::WhatIf(arguments) => what_if::run(&arguments),
        Command::Calibrate(arguments) => waiting(|_| calibrate::run(&arguments)),
        Command::Select(arguments) => waiting(|_| select::run(&arguments)),
        Command::Wear(arguments) => waiting(|_| wear::run(&arguments)),
        Command::Seal(arguments) => waiting(|_| seal::run(&arguments)),
        Command::Fit(arguments) => waiting(|_| fit::run(&arguments)),
        Command::Bath(arguments) => waiting(|_| bath::run(&arguments)),
        Command::Air(arguments) => waiting(|_| air::run(&arguments)),
        Command::Exposure(arguments) => waiting(|_| exposure::run(&arguments)),
        Command::Due(arguments) => waiting(|_| due::run(&arguments)),
        Command::Bring(arguments) => waiting(|_| bring::run(&arguments)),
        Command::Forecast(arguments) => waiting(|_| forecast::run(&arguments)),
        Command::Verify(arguments) => waiting(|_| verify::run(&arguments)),
        Command::Rebuild(arguments) => waiting(|_| rebuild::run(&arguments)),
        Command::Backup(arguments) => waiting(|_| backup::run(&arguments)),
        Command::Restore(arguments) => waiting(|_| restore::run(&arguments)),
        Command::Export(arguments) => waiting(|_| export::run(&arguments)),
        Command::Import(arguments) => waiting(|_| import::run(&arguments)),
    };
    match outcome {
        Ok(Outcome::Done) => ExitCode::SUCCESS,
        Ok(Outcome::Stop) => ExitCode::from(1),
        Err(error) => {
            say::error(format_args!("{error:#}"));
            ExitCode::from(2)
        }
    }
}
