//! Life against a gas held by reaction on whose elements a laboratory report was calibrated.

use quantity::{Celsius, GAS_CONSTANT_J_PER_MOL_K};
use rulebook::{AirSource, Contaminant, ElementKind, Finding, service_life};
use sorbent::march::SegmentKind;
use sorbent::{Explored, HeldByReaction, REACTION_MODEL_ERROR, Sampling, Spell, Spread, explore};

use super::answer::{Bounds, ContaminantLife, CurvePoint, LifeAnswer, points};
use super::work::flows;
use super::{LifeSetup, WorkSegment, certified, end};
use crate::reaction::CalibratedReaction;

/// How far the air may lie from that of the tests and still be like it: points of humidity and kelvin.
/// The first is the tolerance of certification tests; the second common practice, no source.
const LIKE_HUMIDITY: f64 = 5.0;
const LIKE_KELVIN: f64 = 5.0;

/// A level below this part of the lowest tested says little of what is held there: common practice, no
/// source.
const FAR_BELOW: f64 = 0.1;

/// Part of the minimum of a certification test that a report of the same elements may fall short by:
/// three usual errors of a measured time. Common practice, no source.
const SHORT_BY: f64 = 0.1;

/// What the lines of a calibration round off, as a part.
const ROUNDED: f64 = 1e-5;

/// What is uncertain of such a life, in the order of the scores of a copy.
const UNSURE: [&str; 6] =
    ["concentration", "air flow", "mass of sorbent", "what is held", "rate", "model"];

/// Adds the life against a gas, by what a calibration found of it, to the answer.
///
/// The exact course of an irreversible uptake of second order in its pattern of levels and flows
/// ([`HeldByReaction`]). The bound counts level, flow, the make of elements, the covariance of the
/// calibration, the error of the equation and the swing of the breath. Air unlike that of the tests is
/// not shown by the report: there the bound is no longer than what certification proves, and where
/// it proves nothing the life is refused.
pub(super) fn calibrated(
    setup: &LifeSetup,
    (contaminant, found): (&Contaminant, &CalibratedReaction),
    (kind, end_ppm): (ElementKind, f64),
    answer: &mut LifeAnswer,
) {
    let life = match life(setup, (contaminant, found), (kind, end_ppm), answer) {
        Ok(life) => life,
        Err(reason) => return answer.refuse(contaminant, reason),
    };
    certified::tell_not_shared(setup, contaminant, answer);
    let name = contaminant.substance.name();
    answer.sources.push(format!(
        "{name}: calibrated on {}; irreversible uptake of second order, Bohart and Adams 1920, J. Am. Chem. Soc. 42:523 (from memory)",
        found.report
    ));
    answer.contaminants.push(life);
}

fn life(
    setup: &LifeSetup,
    (contaminant, found): (&Contaminant, &CalibratedReaction),
    (kind, end_ppm): (ElementKind, f64),
    answer: &mut LifeAnswer,
) -> Result<ContaminantLife, String> {
    let gas = Gas::of(setup, contaminant)?;
    let (inlet_ppm, spells) = gas.spells()?;
    let held = found.held();
    let end = gas.g_per_l(end_ppm, setup.place.temperature);
    let best = lasts(setup, &held, (&spells, end));
    let (mut lower, limited_by) = bound(setup, found, (&spells, end));
    let breathed = gas.breathed(&held, &spells, end, best);
    if let Some(ratio) = breathed {
        let finding = Finding::note(&service_life::BREATHED).with("contaminant", gas.name());
        answer.findings.push(finding.with("ratio", format!("{ratio:.2}")));
    }
    if let Some(unlike) = gas.unlike(found) {
        let proven = certified::proven(setup, contaminant, (kind, end_ppm)).map_err(|none| {
            format!("the air is {unlike} than in the report it was calibrated on, and {none}")
        })?;
        lower = lower.min(proven.time.lower);
        gas.tell(answer, format!(
            "the air is {unlike} than in the report it was calibrated on: its bound is no longer than certification proves"
        ));
    }
    gas.tell_edges((found, &spells, end), answer);
    gas.tell_short((&held, kind), answer);
    let levels = (inlet_ppm, end_ppm);
    let time = Bounds { best, lower: lower.min(best) };
    if best.is_infinite() {
        let finding = Finding::note(&service_life::NEVER_REACHED).with("contaminant", gas.name());
        answer.findings.push(finding.with("end", format!("{end_ppm:.3} ppm")));
    }
    Ok(ContaminantLife {
        breathed,
        limited_by,
        curve: curve(&held, &spells, inlet_ppm),
        ..ContaminantLife::reacting(contaminant, levels, time)
    })
}

/// One gas in the air of a set-up.
struct Gas<'a> {
    setup: &'a LifeSetup,
    contaminant: &'a Contaminant,
    /// Molar mass, g/mol.
    molar_mass: f64,
}

impl<'a> Gas<'a> {
    fn of(setup: &'a LifeSetup, contaminant: &'a Contaminant) -> Result<Self, String> {
        let mass = contaminant.substance.molar_mass_g_per_mol();
        let molar_mass = mass.map_err(|error| error.to_string())?.value;
        Ok(Self { setup, contaminant, molar_mass })
    }

    fn name(&self) -> &'a str {
        self.contaminant.substance.name()
    }

    fn g_per_l(&self, ppm: f64, temperature: Celsius) -> f64 {
        let rt = GAS_CONSTANT_J_PER_MOL_K * temperature.as_kelvin();
        ppm * 1e-6 * self.setup.place.pressure.as_kpa() / rt * self.molar_mass
    }

    /// The segments in which air passes; none where the wear is one steady stretch.
    fn worn(&self) -> impl Iterator<Item = &'a WorkSegment> {
        self.setup.work.segments.iter().filter(|segment| flows(segment.kind))
    }

    /// The highest level that enters, ppm, and what comes to one element: the stretches of wear of the
    /// pattern, or one of any length.
    fn spells(&self) -> Result<(f64, Vec<Spell>), String> {
        let (setup, contaminant) = (self.setup, self.contaminant);
        let inlet_ppm = end::inlet_ppm(setup, contaminant)?;
        let elements = f64::from(setup.work.reactions.elements.max(1));
        let steady = Spell {
            minutes: 1.0,
            level_g_per_l: self.g_per_l(inlet_ppm, setup.place.temperature),
            flow_l_per_min: setup.flow.as_l_per_min() / elements,
            breathed: false,
        };
        let same = |c: &Contaminant| c.substance.cas() == contaminant.substance.cas();
        let place = setup.place.contaminants.iter().position(same);
        let of = |segment: &WorkSegment| {
            let level = place.and_then(|place| segment.levels.get(place)).copied();
            let level = level.unwrap_or(contaminant.level);
            let ppm = end::level_ppm(setup, contaminant, level, segment.temperature)?;
            Ok(Spell {
                minutes: segment.duration.as_min(),
                level_g_per_l: self.g_per_l(ppm, segment.temperature),
                flow_l_per_min: segment.flow.as_l_per_min() / elements,
                breathed: false,
            })
        };
        // Clean air spends nothing, and its minutes are no wear.
        let on = self.worn().filter(|segment| segment.kind == SegmentKind::On);
        let told = on.map(of).collect::<Result<Vec<Spell>, String>>()?;
        let enters = told.iter().any(|spell| spell.level_g_per_l > 0.0);
        Ok((inlet_ppm, if enters { told } else { vec![steady] }))
    }

    /// The time in breathed air over that in steady air; none where a blower draws or no time is told.
    fn breathed(
        &self,
        held: &HeldByReaction,
        spells: &[Spell],
        end: f64,
        best: f64,
    ) -> Option<f64> {
        let breathes = self.setup.device.air_source == AirSource::AirPurifying;
        let told = breathes && best.is_finite() && best > 0.0;
        told.then(|| lasts(self.setup, held, (&as_drawn(self.setup, spells), end)) / best)
    }

    /// What the air of the work is and that of the tests was not.
    fn unlike(&self, found: &CalibratedReaction) -> Option<&'static str> {
        let place = &self.setup.place;
        let [driest, dampest] = found.tested.humidity.map(|told| told.as_percent());
        let tested = found.tested.temperature.as_celsius();
        let worn = self.worn().map(|segment| (Some(segment.humidity), segment.temperature));
        let steady = self.setup.work.segments.is_empty();
        let usual = steady.then_some((place.relative_humidity, place.temperature));
        worn.chain(usual).find_map(|(humidity, temperature)| {
            let humidity = humidity.map(quantity::RelHumidity::as_percent);
            let warmer = temperature.as_celsius() - tested;
            if humidity.is_none_or(|humidity| humidity > dampest + LIKE_HUMIDITY) {
                Some("more humid")
            } else if humidity.is_some_and(|humidity| humidity < driest - LIKE_HUMIDITY) {
                Some("drier")
            } else if warmer > LIKE_KELVIN {
                Some("warmer")
            } else if warmer < -LIKE_KELVIN {
                Some("colder")
            } else {
                None
            }
        })
    }

    fn tell(&self, answer: &mut LifeAnswer, edge: impl Into<String>) {
        let finding = Finding::caution(&service_life::EDGE).with("edge", edge.into());
        answer.findings.push(finding.with("contaminant", self.name()));
    }

    /// Says where levels, flows or the end lie beyond what the report shows.
    fn tell_edges(
        &self,
        (found, spells, end): (&CalibratedReaction, &[Spell], f64),
        answer: &mut LifeAnswer,
    ) {
        let [lowest, highest] = found.tested.levels.map(|level| level.as_mg_per_m3() * 1e-6);
        let slowest = found.tested.slowest_flow.as_l_per_min() * (1.0 - ROUNDED);
        let entering = || spells.iter().filter(|spell| spell.level_g_per_l > 0.0);
        if entering().all(|spell| spell.level_g_per_l < FAR_BELOW * lowest) {
            self.tell(answer, "the level is less than a tenth of the lowest in the report; that the elements hold as much of it there is not shown");
        }
        if entering().any(|spell| spell.level_g_per_l > highest * (1.0 + ROUNDED)) {
            self.tell(
                answer,
                "the level is higher than any in the report; a slower uptake is counted",
            );
        }
        if entering().any(|spell| spell.flow_l_per_min < slowest) {
            self.tell(
                answer,
                "the flow is slower than any in the report; no longer contact is counted on",
            );
        }
        let passed = found.tested.least_penetration.as_fraction() * (1.0 - ROUNDED);
        let ends = || entering().filter(|spell| end < spell.level_g_per_l);
        if ends().any(|spell| end < passed * spell.level_g_per_l) {
            self.tell(answer, "less passes at the end level than at any time in the report; the foot of the curve there is not shown");
        }
        if ends().any(|spell| end > 0.5 * spell.level_g_per_l) {
            self.tell(
                answer,
                "the end level is above half of what enters; the time to half is given",
            );
        }
    }

    /// Says where the report shows less than every approved element has passed.
    fn tell_short(&self, (held, kind): (&HeldByReaction, ElementKind), answer: &mut LifeAnswer) {
        let elements = f64::from(self.setup.work.reactions.elements.max(1));
        let rt = GAS_CONSTANT_J_PER_MOL_K * 298.15;
        let per_ppm = 1e-6 * 101.325 / rt * self.molar_mass;
        let tests = certified::own_tests(self.setup, self.contaminant, kind);
        let short = tests.iter().find_map(|test| {
            let bench = certified::bench(test)?;
            let minutes = held.minutes_in(&bench, elements, per_ppm);
            (minutes < (1.0 - SHORT_BY) * bench.minutes).then_some((test, minutes, bench.minutes))
        });
        if let Some((test, minutes, least)) = short {
            self.tell(answer, format!(
                "by its report it would last {minutes:.0} min in the certification test {} of at least {least:.0} min: look whether these are the elements that were tested",
                test.id
            ));
        }
    }
}

/// Minutes of wear until the end passes: of a usual shift from its worst opening.
fn lasts(setup: &LifeSetup, held: &HeldByReaction, (spells, end): (&[Spell], f64)) -> f64 {
    if setup.work.comes_again {
        held.minutes_from_worst_start(spells, end)
    } else {
        held.minutes_to(spells, end)
    }
}

/// The stretches as a wearer's breath draws them; a blower draws steadily.
fn as_drawn(setup: &LifeSetup, spells: &[Spell]) -> Vec<Spell> {
    let breathed = setup.device.air_source == AirSource::AirPurifying;
    spells.iter().map(|spell| Spell { breathed, ..*spell }).collect()
}

/// The time that 95 % of all copies reach, as the air is drawn, and what it rests on most.
fn bound(
    setup: &LifeSetup,
    found: &CalibratedReaction,
    (spells, end): (&[Spell], f64),
) -> (f64, Vec<&'static str>) {
    let Spread { concentration, flow, sorbent_mass, .. } = setup.spread;
    let drawn = as_drawn(setup, spells);
    let held = found.held();
    let [unsure, unsure_rate] = found.deviations.map(|part| part.as_fraction());
    let apart = (1.0 - found.correlation * found.correlation).max(0.0).sqrt();
    let model = |scores: &[f64]| {
        let [level, fast, mass, first, second, model] =
            std::array::from_fn(|place| scores.get(place).copied().unwrap_or(0.0));
        let rate = found.correlation * first + apart * second;
        let copy = HeldByReaction {
            capacity_g: held.capacity_g * (sorbent_mass * mass + unsure * first).exp(),
            rate_l_per_g_min: held.rate_l_per_g_min * (unsure_rate * rate).exp(),
            ..held
        };
        let (level, fast) = ((concentration * level).exp(), (flow * fast).exp());
        let moved = |spell: &Spell| Spell {
            level_g_per_l: spell.level_g_per_l * level,
            flow_l_per_min: spell.flow_l_per_min * fast,
            ..*spell
        };
        let moved: Vec<Spell> = drawn.iter().map(moved).collect();
        vec![lasts(setup, &copy, (&moved, end)) * (REACTION_MODEL_ERROR * model).exp()]
    };
    let samples = setup.work.samples.unwrap_or(certified::COPIES);
    let explored = explore(UNSURE.len(), 1, Sampling::of(samples), &model);
    let output = explored.outputs.first();
    let rests_on = |output: &Explored| {
        let parts = UNSURE.iter().copied().zip(output.total.iter().copied());
        let mut parts: Vec<(&str, f64)> = parts.filter(|(_, total)| *total > 0.01).collect();
        parts.sort_by(|a, b| b.1.total_cmp(&a.1));
        parts.into_iter().take(3).map(|(of, _)| of).collect()
    };
    (output.map_or(0.0, |output| output.bound), output.map(rests_on).unwrap_or_default())
}

/// The level at the outlet in steady air from the start until half of what enters passes and as long
/// again; none of a pattern.
fn curve(held: &HeldByReaction, spells: &[Spell], inlet_ppm: f64) -> Vec<CurvePoint> {
    let [spell] = spells else { return Vec::new() };
    let half = held.minutes_to(&[*spell], 0.5 * spell.level_g_per_l);
    if !half.is_finite() || half <= 0.0 {
        return Vec::new();
    }
    points(2.0 * half, |minutes| {
        let left = held.left_after(&Spell { minutes, ..*spell }, held.capacity_g);
        inlet_ppm * held.passes(spell, left)
    })
}
