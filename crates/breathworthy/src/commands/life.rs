use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use clap::{Args, ValueEnum};
use program::life::{BedAnswer, LifeAnswer, LifeMethod, Sampled, compute_sampled};
use rulebook::{Decision, decide};

use super::{Outcome, print_json, read_case, waiting, words};

#[derive(Args)]
pub struct Arguments {
    /// The case file (TOML)
    case: PathBuf,
    /// Print the whole answer as JSON
    #[arg(long)]
    json: bool,
    /// Which equations to use; the case file may ask for the bed itself
    #[arg(long, value_enum, default_value_t = Method::Full)]
    method: Method,
    /// Compute the life at least so many times with its uncertain inputs moved, and say which inputs matter
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    samples: Option<u32>,
    /// Write the level after the elements against time as a picture
    #[arg(long, value_name = "FILE")]
    svg: Option<PathBuf>,
    /// Write the same as a table
    #[arg(long, value_name = "FILE")]
    curve: Option<PathBuf>,
}

/// Levels below this are printed as none, ppm: no instrument at a workplace tells them from nothing.
const LEAST_PPM: f64 = 1e-6;

#[derive(Clone, Copy, ValueEnum)]
enum Method {
    /// Capacity, rates, humid air and mixtures; the bed marched through work that is not steady
    Full,
    /// The published correlations of 1994 alone, to compare with published tables
    Wood1994,
    /// The bed marched through its work, steady or not
    Bed,
}

impl Method {
    fn asked(self) -> LifeMethod {
        match self {
            Self::Full => LifeMethod::Full,
            Self::Wood1994 => LifeMethod::Wood1994,
            Self::Bed => LifeMethod::Bed,
        }
    }
}

pub fn run(arguments: &Arguments) -> Result<Outcome> {
    let written = read_case(&arguments.case)?;
    let samples = arguments.samples.map(usize::try_from).transpose()?;
    let answer =
        waiting(|progress| compute_sampled(&written, arguments.method.asked(), samples, progress));
    let answer = answer.with_context(|| arguments.case.display().to_string())?;
    if let Some(path) = &arguments.svg {
        let picture = paper::curve_picture(&picture(&answer));
        write(path, &picture.context("no contaminant of this case has a curve to draw")?)?;
    }
    if let Some(path) = &arguments.curve {
        write(path, &table(&answer))?;
    }
    if arguments.json {
        print_json(&answer)?;
    } else {
        print(&answer);
    }
    match decide(&answer.findings) {
        Decision::Allowed => Ok(Outcome::Done),
        Decision::Stop => Ok(Outcome::Stop),
    }
}

fn write(path: &Path, text: &str) -> Result<()> {
    std::fs::write(path, text).with_context(|| format!("cannot write {}", path.display()))
}

/// One curve in ppm with its end level; several as parts of their end levels.
fn picture(answer: &LifeAnswer) -> paper::CurvePicture {
    let drawn: Vec<_> = answer.contaminants.iter().filter(|c| c.curve.len() > 1).collect();
    let shared = drawn.len() > 1;
    let curves = drawn.iter().map(|life| {
        let unit = life.end_ppm.filter(|_| shared).unwrap_or(1.0);
        let points = life.curve.iter().map(|point| (point.minutes, point.ppm / unit));
        // Several are drawn to three times their ends: what comes later hides the rest.
        let most = if shared { 3.0 } else { f64::INFINITY };
        (life.name.clone(), points.map(|(minutes, level)| (minutes, level.min(most))).collect())
    });
    let names = drawn.iter().map(|life| life.name.as_str()).collect::<Vec<_>>().join(", ");
    let level = if shared { Some(1.0) } else { drawn.first().and_then(|life| life.end_ppm) };
    let marks = answer.life_min.map(|life| [(life.lower, "at least"), (life.best, "best")]);
    let mark =
        |(minutes, words): (f64, &str)| (minutes, format!("{words} {}", words::minutes(minutes)));
    paper::CurvePicture {
        title: format!("Level after the elements: {names}"),
        up: if shared { "parts of the end level" } else { "ppm" }.to_owned(),
        across: "minutes in use".to_owned(),
        curves: curves.collect(),
        level: level.map(|level| (level, "end of life".to_owned())),
        marks: marks.into_iter().flatten().filter(|m| m.0.is_finite()).map(mark).collect(),
    }
}

fn table(answer: &LifeAnswer) -> String {
    let mut rows = String::from("contaminant,cas,minutes_in_use,ppm\n");
    for life in &answer.contaminants {
        for point in &life.curve {
            let name = life.name.replace('"', "'");
            rows.push_str(&format!(
                "\"{name}\",{},{:.4},{:.6e}\n",
                life.cas, point.minutes, point.ppm
            ));
        }
    }
    rows
}

fn print(answer: &LifeAnswer) {
    say!("{}", answer.schedule.text);
    say!("  limited by: {}", answer.schedule.limited_by);
    let minutes = in_words(answer);
    if let Some(life) = answer.life_min {
        say!("  life: best estimate {}", minutes(life.best));
        say!("        lower bound   {} (95 % confidence)", minutes(life.lower));
    }
    say!();
    for contaminant in &answer.contaminants {
        let (name, cas) = (&contaminant.name, &contaminant.cas);
        match (contaminant.time_min, &contaminant.refused) {
            (Some(time), _) => {
                let (best, lower) = (minutes(time.best), minutes(time.lower));
                say!("  {name} ({cas}): best {best}, lower {lower}");
                if let (Some(inlet), Some(end)) = (contaminant.inlet_ppm, contaminant.end_ppm) {
                    say!("    in the air {inlet:.3} ppm; used up when {end:.3} ppm comes through");
                }
                if !contaminant.limited_by.is_empty() {
                    say!("    least sure, greatest first: {}", contaminant.limited_by.join(", "));
                }
            }
            (None, reason) => {
                say!("  {name} ({cas}): {}", reason.as_deref().unwrap_or("no life"));
            }
        }
    }
    if let Some(bed) = &answer.bed {
        print_bed(bed, &minutes);
    }
    if let Some(sampled) = &answer.sampled {
        print_sampled(sampled, &minutes);
    }
    say!();
    words::findings(&answer.findings);
    say!("\n  method: {}", answer.method);
    for source in &answer.sources {
        say!("  source: {source}");
    }
}

/// Minutes in words; an end that a marched pattern does not reach may still come after it.
fn in_words(answer: &LifeAnswer) -> impl Fn(f64) -> String {
    let marched = answer.bed.as_ref().map(|bed| bed.worn_min);
    move |time: f64| match marched {
        Some(worn) if time.is_infinite() => format!("more than the {worn:.0} min computed"),
        _ => words::minutes(time),
    }
}

fn print_bed(bed: &BedAnswer, minutes: &impl Fn(f64) -> String) {
    let shifts = if bed.shifts == 1 { "shift" } else { "shifts" };
    say!(
        "\n  inside the elements, over {:.0} min of wear on {} {shifts}",
        bed.worn_min,
        bed.shifts
    );
    if let Some(mixture) = bed.mixture_min.filter(|_| bed.contaminants.len() > 1) {
        let (best, lower) = (minutes(mixture.best), minutes(mixture.lower));
        say!("    all together reach the limit of the mixture: best {best}, lower {lower}");
    }
    if !bed.without_limit.is_empty() {
        say!(
            "    not counted in the mixture, for no limit is known: {}",
            bed.without_limit.join(", ")
        );
    }
    for of in &bed.contaminants {
        let load = |place: Option<&f64>| place.copied().unwrap_or(0.0) * 1e3;
        say!(
            "    {}: after the last wear {:.1} mg per g of sorbent where air enters, {:.1} mg where it leaves",
            of.name,
            load(of.load_g_per_g.first()),
            load(of.load_g_per_g.last())
        );
        if of.roll_up > 1.0 {
            say!(
                "      driven out by another vapour: up to {:.2} times the level in the air comes through",
                of.roll_up
            );
        }
        if let Some(error) = of.grid_error_min {
            say!("      error of the numerical method in the time: {error:.2} min");
        }
        let error = of.balance_error.abs();
        say!(
            "      check: what is held and what came through differ from what entered by {error:.0e} of it"
        );
    }
    for restart in &bed.restarts {
        let levels = restart.greatest_ppm.iter().zip(&bed.contaminants);
        let levels: Vec<String> =
            levels.map(|(ppm, of)| format!("{} {}", of.name, level(*ppm))).collect();
        say!(
            "    put on again after {:.0} min of use: in the first 5 min at most {} comes through",
            restart.after_use_min,
            levels.join(", ")
        );
    }
}

/// A level as far as anyone could measure it.
fn level(ppm: f64) -> String {
    if ppm < LEAST_PPM { "none".to_owned() } else { format!("{ppm:.2e} ppm") }
}

fn print_sampled(sampled: &Sampled, minutes: &impl Fn(f64) -> String) {
    say!(
        "\n  {} variants of the case, each with every uncertain input varied ({} calculations in all):",
        sampled.copies,
        sampled.samples
    );
    say!("    95 % of all variants last longer than the bound, with 95 % confidence");
    for end in &sampled.ends {
        let [bound, low, best, high] = [end.bound, end.low, end.best, end.high].map(minutes);
        let settled = if end.low_error.is_finite() {
            format!("; 5 % point settled to {:.1} min", end.low_error)
        } else {
            String::new()
        };
        say!("    {}: bound {bound}; 5 % {low}, best {best}, 95 % {high}{settled}", end.of);
    }
    if sampled.inputs.iter().all(|input| input.total <= 0.0) {
        return;
    }
    say!("    how much of the spread comes of each input (by itself; with the others)");
    for input in &sampled.inputs {
        let (first, total) = (100.0 * input.first_order.max(0.0), 100.0 * input.total);
        say!("      {}: {first:.0} %; {total:.0} %", input.of);
    }
}
