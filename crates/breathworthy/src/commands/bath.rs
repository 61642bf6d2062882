use anyhow::Result;
use clap::{Args, ValueEnum};
use quantity::{Celsius, GramsPerCm3, Litres, MgPerLitre, Minutes, Percent};
use rulebook::bath::{Agent, Bath, ChlorineBasis, Request, Strength, make};
use rulebook::{Decision, decide};

use super::{Outcome, print_json, words};

#[derive(Args)]
pub struct Arguments {
    /// The whole bath when made, such as "10 L"
    #[arg(long, allow_hyphen_values = true)]
    bath: Litres,
    /// Strength of the product as its label gives it, such as "5.25 %": grams in 100 mL, or in 100 g
    /// where --density is given
    #[arg(long, allow_hyphen_values = true)]
    product: Percent,
    /// What disinfects
    #[arg(long, value_enum)]
    agent: AgentWord,
    /// Density of the product, such as "1.08 g/mL", where its label gives per cent by mass
    #[arg(long, allow_hyphen_values = true)]
    density: Option<GramsPerCm3>,
    /// The label of a hypochlorite gives available chlorine and not sodium hypochlorite
    #[arg(long)]
    available_chlorine: bool,
    /// Strength of the bath, such as "50 ppm"; as the rule prints it where it is left out
    #[arg(long, allow_hyphen_values = true)]
    target: Option<MgPerLitre>,
    /// Temperature of the bath, such as "43 degC"
    #[arg(long, allow_hyphen_values = true)]
    temperature: Option<Celsius>,
    /// How long the parts are meant to stay in, such as "2 min"
    #[arg(long, allow_hyphen_values = true)]
    contact: Option<Minutes>,
    /// The maker of the respirator recommends or approves the cleaner
    #[arg(long)]
    approved_by_maker: bool,
    /// Print the whole answer as JSON
    #[arg(long)]
    json: bool,
}

#[derive(Clone, Copy, ValueEnum)]
enum AgentWord {
    /// Household bleach and its like
    Hypochlorite,
    /// Tincture of iodine and its like
    Iodine,
    /// Another cleaner that the maker of the respirator approves
    ApprovedCleaner,
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let bath = make(&request(arguments))?;
    if arguments.json {
        print_json(&bath)?;
    } else {
        print(&bath);
    }
    match decide(&bath.findings) {
        Decision::Allowed => Ok(Outcome::Done),
        Decision::Stop => Ok(Outcome::Stop),
    }
}

fn request(arguments: &Arguments) -> Request {
    Request {
        bath: arguments.bath,
        agent: match arguments.agent {
            AgentWord::Hypochlorite => Agent::Hypochlorite,
            AgentWord::Iodine => Agent::Iodine,
            AgentWord::ApprovedCleaner => Agent::ApprovedCleaner,
        },
        product: match arguments.density {
            Some(density) => Strength::MassPerMass(arguments.product, density),
            None => Strength::MassPerVolume(arguments.product),
        },
        chlorine_basis: if arguments.available_chlorine {
            ChlorineBasis::AvailableChlorine
        } else {
            ChlorineBasis::SodiumHypochlorite
        },
        target: arguments.target,
        temperature: arguments.temperature,
        contact: arguments.contact,
        approved_by_maker: arguments.approved_by_maker,
    }
}

fn print(bath: &Bath) {
    say!("{:.1} mL of product into {:.3} of water", bath.product_ml, bath.water);
    say!("  makes {} of {} ({})", bath.bath, bath.target, bath.agent);
    say!("  parts fully covered for {}", bath.contact);
    say!("  at most {:.0}\n", bath.highest_temperature);
    words::findings(&bath.findings);
    say!("\n  method: {}", bath.method);
    for source in &bath.sources {
        say!("  source: {source}");
    }
}
