//! Supplies of air and cylinders in the terms of the rules, for what is due and for verdicts.

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use quantity::Kilopascal;
use rulebook::ask::Noted;
use rulebook::breathing_air::{
    Moisture, Report, ReportAnswer, Supply as Air, grade_d, judge_report, longest_period,
    printed_terms,
};
use rulebook::interval::Every;
use rulebook::supply::{
    AlarmCheck, BedTag, CylinderAir, CylinderFacts, Look, MonoxideTest, OxygenCertificate,
    OxygenFill, Source, SupplyFacts, SupplyTest, cylinder_checks,
};
use rulebook::unit::{AirTest, ListedCylinder, MountedFact, cylinder_overfilled};
use rulebook::{Device, Finding, Severity};

use crate::entry::{AirFigures, AirQuality, Fact, Gas, SupplySource};
use crate::ids::{CylinderId, SupplyId, UnitId};
use crate::state::{AirSample, AirTested, At, Cylinder, Filling, Model, State, Supply, Unit};

/// What the figures of a sample come to; none where no air can be so.
#[must_use]
pub fn judged(source: SupplySource, figures: &AirFigures) -> Option<ReportAnswer> {
    let supply = match source {
        SupplySource::Cylinders => Air::Cylinder,
        SupplySource::OilLubricatedCompressor | SupplySource::OilFreeCompressor => Air::Compressor,
    };
    judged_as(supply, figures)
}

/// What they come to where the air is breathed, or kept, as `supply` says.
fn judged_as(supply: Air, figures: &AirFigures) -> Option<ReportAnswer> {
    let moisture = figures.dew_point.map(|dew_point| match figures.dew_point_at {
        Some(pressure) => Moisture::UnderPressure(dew_point, pressure),
        None => Moisture::DewPoint(dew_point),
    });
    let report = Report {
        supply,
        oxygen: figures.oxygen,
        hydrocarbons: figures.hydrocarbons,
        carbon_monoxide: figures.carbon_monoxide,
        carbon_dioxide: figures.carbon_dioxide,
        odour: figures.odour,
        moisture,
        ambient: figures.ambient,
    };
    judge_report(&report).ok()
}

/// The facts about a supply on no day in particular.
pub(crate) fn supply_facts<'s>(
    state: &State,
    supply: &'s Supply,
    zone: &TimeZone,
) -> SupplyFacts<'s> {
    let day = |when: Timestamp| zone.to_datetime(when).date();
    let every = |rule| state.every(&supply.site, rule);
    let tested = supply.sampled();
    SupplyFacts {
        supply: &supply.name,
        day: Date::MAX,
        source: match supply.source {
            SupplySource::Cylinders => Source::PurchasedCylinders,
            SupplySource::OilLubricatedCompressor => Source::OilLubricatedCompressor,
            SupplySource::OilFreeCompressor => Source::OilFreeCompressor,
        },
        air_test: tested.map(|sample| {
            let answer = judged(supply.source, &sample.figures);
            SupplyTest {
                day: day(sample.at.when),
                meets: answer.as_ref().is_some_and(|answer| answer.meets),
                only_incomplete: answer.as_ref().is_some_and(ReportAnswer::is_only_incomplete),
                dry: answer.and_then(|answer| answer.is_dry()),
                entry: sample.at.entry.as_str(),
            }
        }),
        air_test_counts: every("supply.air-tested"),
        // The figures of a purchase are those of its certificate; what came without one has none until it
        // is sampled.
        certificate: tested
            .filter(|sample| {
                let without = supply.bought_without.as_ref();
                without.is_none_or(|bought| bought.when <= sample.at.when)
            })
            .map(|sample| sample.at.entry.as_str()),
        bought_without: supply.bought_without.as_ref().map(|at| at.entry.as_str()),
        bed_tag: supply.bed_changed.as_ref().map(|change| BedTag {
            day: day(change.at.when),
            signed: &change.signed,
            serves_until: change.serves_until,
            entry: change.at.entry.as_str(),
        }),
        high_temperature_alarm: supply.high_temperature_alarm,
        monoxide_alarm: supply.alarm_checked.as_ref().map(|check| AlarmCheck {
            day: day(check.at.when),
            passed: check.passed,
            sounds_at: check.alarms_at,
            entry: check.at.entry.as_str(),
        }),
        alarm_check_counts: every("supply.alarm-checked"),
        monoxide_test: supply.monoxide_tests.last().map(|test| MonoxideTest {
            day: day(test.at.when),
            found: test.found,
            entry: test.at.entry.as_str(),
        }),
        monoxide_test_counts: every("supply.carbon-monoxide"),
        look: supply.look().map(|look| Look {
            day: day(look.at.when),
            intake: &look.intake,
            intake_clean: look.intake_clean,
            air_alone: look.air_alone,
            entry: look.at.entry.as_str(),
        }),
        couplings_apart: supply.couplings_apart,
        entry: supply.listed.entry.as_str(),
    }
}

/// The facts about a cylinder on no day in particular.
pub(crate) fn cylinder_facts<'s>(
    state: &'s State,
    (id, cylinder): (&'s CylinderId, &'s Cylinder),
    zone: &TimeZone,
) -> CylinderFacts<'s> {
    let terms = Terms::of(cylinder);
    let tested = cylinder.tested.as_ref();
    let requalified = match tested {
        Some(test) => Some(zone.to_datetime(test.at.when).date()),
        None => Some(cylinder.requalified),
    };
    CylinderFacts {
        cylinder: id.as_str(),
        day: Date::MAX,
        made: cylinder.made,
        requalified,
        requalified_every: terms.every.map(|(every, _)| every),
        period_unconfirmed: terms.every.is_some_and(|(_, unconfirmed)| unconfirmed),
        life_ends: terms.life_ends.map(|(day, _)| day),
        life_unconfirmed: terms.life_ends.is_some_and(|(_, unconfirmed)| unconfirmed),
        life_by_permit: terms.life_by_permit,
        failed: tested
            .filter(|test| !test.passed)
            .map(|test| zone.to_datetime(test.at.when).date()),
        withdrawn: cylinder
            .withdrawn
            .as_ref()
            .map(|reason| Noted { words: &reason.why, entry: reason.at.entry.as_str() }),
        oxygen: cylinder.oxygen.as_ref().map(|filled| OxygenFill {
            after_air: cylinder.held_air.as_ref().map(|at| at.entry.as_str()),
            set: None,
            filled: Some(filled.entry.as_str()),
            certificate: cylinder
                .oxygen_certified
                .as_ref()
                .map(|(meets, at)| OxygenCertificate { meets: *meets, entry: at.entry.as_str() }),
        }),
        // How dry it is, is asked of air.
        air: cylinder.filled.as_ref().filter(|_| cylinder.oxygen.is_none()).and_then(|filled| {
            let air = match wet_beneath(state, cylinder) {
                Some(wet) => wet,
                None => air_filled(state, cylinder.filled_from.as_ref(), filled.when)?,
            };
            Some(CylinderAir { filled: Some(filled.entry.as_str()), ..air })
        }),
        entry: tested.map_or(&cylinder.listed, |test| &test.at).entry.as_str(),
    }
}

/// The facts about the cylinder that is mounted on a set: oxygen in it is judged by what the set has held too.
pub(crate) fn mounted_facts<'s>(
    state: &'s State,
    (unit, of): (&'s UnitId, (&'s CylinderId, &'s Cylinder)),
    zone: &TimeZone,
) -> CylinderFacts<'s> {
    let mut facts = cylinder_facts(state, of, zone);
    if let Some(oxygen) = facts.oxygen.filter(|oxygen| oxygen.after_air.is_none()) {
        let after_air = held_air(state, unit);
        let set = after_air.map(|_| unit.as_str());
        facts.oxygen = Some(OxygenFill { after_air, set, ..oxygen });
    }
    facts
}

/// The first entry that shows that a set has held compressed air: it was connected to a supply, its air was
/// tested, or a cylinder was mounted on it that has held air.
fn held_air<'s>(state: &'s State, unit: &UnitId) -> Option<&'s str> {
    let counted = state.history_of_unit(unit).filter(|entry| state.counts(&entry.id));
    let mut shows = counted.filter(|entry| match &entry.fact {
        Fact::SupplyConnected { .. } | Fact::BreathingAirTested { .. } => true,
        Fact::CylinderMounted { cylinder, .. } => {
            state.cylinder(cylinder).is_some_and(|known| known.held_air.is_some())
        }
        _ => false,
    });
    shows.next().map(|entry| entry.id.as_str())
}

/// The air that a filling from `supply` at the instant `when` puts into a cylinder; nothing where nobody
/// listed that supply, which is a contradiction.
///
/// What was put in while the air was wet stays in, whatever comes after.
fn air_filled<'s>(
    state: &'s State,
    supply: Option<&SupplyId>,
    when: Timestamp,
) -> Option<CylinderAir<'s>> {
    let unknown = CylinderAir { supply: None, dry: None, sample: None, filled: None };
    let Some(supply) = supply else { return Some(unknown) };
    let supply = state.supply(supply)?;
    let dry = |sample: &AirSample| judged_as(Air::Cylinder, &sample.figures)?.is_dry();
    let at_filling = supply.samples.iter().rfind(|sample| sample.at.when <= when);
    let wet = at_filling.filter(|sample| dry(sample) != Some(true));
    let sample = wet.or(supply.sampled());
    Some(CylinderAir {
        supply: Some(&supply.name),
        dry: sample.and_then(dry),
        sample: sample.map(|sample| sample.at.entry.as_str()),
        ..unknown
    })
}

/// The air that was wet, or not shown to be dry, when it was put into a cylinder before its latest filling
/// and is still in it.
fn wet_beneath<'s>(state: &'s State, held: &'s Cylinder) -> Option<CylinderAir<'s>> {
    let (_, beneath) = held.fillings.split_last()?;
    let wet = |filling: &'s Filling| {
        let supply = state.supply(filling.supply.as_ref()?)?;
        let at_filling = supply.samples.iter().rfind(|sample| sample.at.when <= filling.at.when);
        let sample = at_filling.or(supply.sampled());
        let dry = sample.and_then(|sample| judged_as(Air::Cylinder, &sample.figures)?.is_dry());
        let sample = sample.map(|sample| sample.at.entry.as_str());
        let supply = Some(supply.name.as_str());
        (dry != Some(true)).then_some(CylinderAir { supply, dry, sample, filled: None })
    };
    beneath.iter().rev().find_map(wet)
}

/// Terms of a permit beyond these are told as such: requalified every five years, in service for thirty.
/// Common practice, no source.
const USUAL_PERIOD_MONTHS: u16 = 60;
const USUAL_LIFE_MONTHS: u16 = 360;

/// How often a cylinder is requalified and until when it serves, each with whether that is
/// unconfirmed or longer than is usual.
pub(crate) struct Terms {
    pub(crate) every: Option<(Every, bool)>,
    pub(crate) life_ends: Option<(Date, bool)>,
    /// Whether its life ends on a day that its design or permit sets.
    pub(crate) life_by_permit: bool,
}

impl Terms {
    /// What is printed of its kind, and what was entered of its own permit.
    ///
    /// What was read in the table is never made laxer by what was entered; what the table has from
    /// memory gives way to what the site has read itself, and to nothing else that is laxer. A period
    /// that no permit is known to allow is not believed.
    pub(crate) fn of(cylinder: &Cylinder) -> Self {
        let printed = printed_terms(&cylinder.marking);
        let life_by_permit = printed.life_by_permit;
        let serves =
            printed.serves.map(|(life, from_memory)| (life.last_day(cylinder.made), from_memory));
        let Some(own) = &cylinder.terms else {
            return Self { every: printed.requalified_every, life_ends: serves, life_by_permit };
        };
        let unconfirmed = !own.confirmed;
        let long_lived = |end: Date| Every::Months(USUAL_LIFE_MONTHS).last_day(cylinder.made) < end;
        let rare = !own.every.is_no_laxer_than(Every::Months(USUAL_PERIOD_MONTHS));
        let believed = own.every.is_no_laxer_than(longest_period());
        let every = match printed.requalified_every {
            printed if !believed => printed,
            Some((_, true)) if own.confirmed => Some((own.every, rare)),
            Some((every, from_memory)) if !own.every.is_no_laxer_than(every) => {
                Some((every, from_memory))
            }
            _ => Some((own.every, unconfirmed || rare)),
        };
        let life_ends = match (serves, own.life_ends) {
            (Some((_, true)), Some(own_end)) if own.confirmed => {
                Some((own_end, long_lived(own_end)))
            }
            (Some((end, _)), Some(own_end)) if own_end <= end => Some((own_end, unconfirmed)),
            (None, Some(own_end)) => Some((own_end, unconfirmed || long_lived(own_end))),
            (printed, _) => printed,
        };
        Self { every, life_ends, life_by_permit }
    }
}

/// What should give pause before it is recorded that a cylinder was filled, mounted or read: it is out of
/// service or out of date on that day, its air is too wet for a cylinder, or it holds clearly more than it
/// is rated for.
#[must_use]
pub fn gives_pause(state: &State, happened: Timestamp, fact: &Fact) -> Option<Finding> {
    let (id, read, used) = match fact {
        Fact::CylinderFilled { cylinder, pressure, .. } => (cylinder, Some(*pressure), true),
        Fact::CylinderMounted { cylinder, .. } => (cylinder, None, true),
        Fact::CylinderGauged { cylinder, read } => (cylinder, Some(*read), false),
        _ => return None,
    };
    let cylinder = state.cylinder(id)?;
    let zone = state.site(&cylinder.site).and_then(|site| site.time_zone.clone());
    let (zone, of) = (zone.unwrap_or(TimeZone::UTC), (id, cylinder));
    let mut facts = match fact {
        Fact::CylinderMounted { unit, .. } => mounted_facts(state, (unit, of), &zone),
        _ => cylinder_facts(state, of, &zone),
    };
    facts.day = state.day_at(&cylinder.site, happened);
    if let Fact::CylinderFilled { supply, gas, .. } = fact {
        // What was in it is gone.
        let oxygen = *gas == Some(Gas::Oxygen);
        facts.air = air_filled(state, supply.as_ref(), happened).filter(|_| !oxygen);
        facts.oxygen = oxygen.then(|| oxygen_into(state, cylinder));
    }
    let checks = cylinder_checks();
    let of_use = checks.iter().filter(|_| used).filter_map(|check| (check.run)(&facts));
    let (rated, listed) = (cylinder.rated, cylinder.listed.entry.as_str());
    let overfilled = read.and_then(|read| cylinder_overfilled::of_reading(read, rated, listed));
    of_use.chain(overfilled).find(|finding| finding.severity == Severity::Stop)
}

/// What a filling of a cylinder with oxygen comes to.
fn oxygen_into<'s>(state: &'s State, cylinder: &'s Cylinder) -> OxygenFill<'s> {
    if let Some(at) = &cylinder.held_air {
        let after_air = Some(at.entry.as_str());
        return OxygenFill { after_air, set: None, filled: None, certificate: None };
    }
    let on = cylinder.mounted.as_ref().map(|(unit, _)| unit);
    let of_set = on.and_then(|unit| Some((unit.as_str(), held_air(state, unit)?)));
    let (set, after_air) = of_set.unzip();
    OxygenFill { after_air, set, filled: None, certificate: None }
}

/// The cylinder that was mounted on a set last.
pub(crate) fn mounted_on<'s>(
    state: &'s State,
    (id, unit): (&UnitId, &'s Unit),
) -> Option<MountedFact<'s>> {
    let (cylinder, at) = unit.mounted.as_ref()?;
    let known = state.cylinder(cylinder);
    let now_on = known.and_then(|known| known.mounted.as_ref()).map(|(on, _)| on);
    Some(MountedFact {
        cylinder: cylinder.as_str(),
        gone_to: now_on.filter(|on| *on != id).map(UnitId::as_str),
        listed: known.map(|known| ListedCylinder {
            rated: known.rated,
            water_volume: known.water_volume,
            part: &known.part,
            entry: known.listed.entry.as_str(),
        }),
        named: state.model(&unit.model).map(Model::named_cylinders).unwrap_or_default(),
        read_as: unit.cylinder.as_ref().map(|reading| reading.rated_at_most),
        entry: at.entry.as_str(),
    })
}

/// A reading of the cylinder that a set carries.
#[derive(Debug, Clone, Copy)]
pub struct Pressure<'s> {
    /// What the cylinder is rated for, as it was listed.
    pub rated: Kilopascal,
    /// What was read.
    pub read: Kilopascal,
    /// The entry.
    pub at: &'s At,
    /// Where it stands among what happened to the set.
    pub(crate) since: (Timestamp, u32),
}

/// The latest reading of the cylinder that a set carries: read on the set, or on the cylinder that is
/// mounted on it. A cylinder that went on to another set is not carried; one that was on another set
/// since it was read may have been breathed from there.
#[must_use]
pub fn pressure_of<'s>(state: &'s State, (id, unit): (&UnitId, &'s Unit)) -> Option<Pressure<'s>> {
    let on_set = unit.cylinder.as_ref().map(|reading| Pressure {
        rated: reading.rated_at_most,
        read: reading.read,
        at: &reading.at,
        since: (reading.at.when, reading.at.step),
    });
    let Some((cylinder, mounted)) = &unit.mounted else { return on_set };
    // What was read on the set before this cylinder came on it speaks of another one.
    let on_set = on_set.filter(|reading| mounted.when <= reading.at.when);
    let known = state.cylinder(cylinder);
    let carried = known.filter(|known| known.mounted.as_ref().is_some_and(|(on, _)| on == id));
    if known.is_some() && carried.is_none() {
        return None;
    }
    // The rating is the one that the cylinder was listed with.
    let on_set = on_set.map(|reading| match carried {
        Some(known) => Pressure { rated: known.rated, ..reading },
        None => reading,
    });
    let on_cylinder = carried.and_then(|known| {
        let (read, at) = known.pressure.as_ref()?;
        let elsewhere = known.mounted_before.as_ref();
        // Steps of two things do not compare: at one instant the reading counts as the later.
        let since = (at.when, u32::MAX);
        let reading = Pressure { rated: known.rated, read: *read, at, since };
        elsewhere.is_none_or(|before| before.when < at.when).then_some(reading)
    });
    on_set.into_iter().chain(on_cylinder).max_by_key(|reading| reading.since)
}

/// The test of the air that a set supplies: the latest of the set itself, of the supply to which it is
/// connected, or of that from which its cylinder was filled. None where air comes to it by a line that is
/// connected to no supply, and it carries a cylinder beside: what is in that is for the way out.
pub(crate) fn air_of<'s>(state: &'s State, unit: &'s Unit) -> Option<AirTest<'s>> {
    let connected = line_of(state, unit).map(|(_, at)| at);
    let device = state.model(&unit.model).map(|model| &model.device);
    let by_line = device.filter(|device| device.air_source.comes_by_line());
    let beside = |device: &Device| device.auxiliary_self_contained || unit.mounted.is_some();
    if connected.is_none() && by_line.is_some_and(beside) {
        return None;
    }
    let supply = supply_behind(state, unit).and_then(|(_, _, supply)| supply);
    air_behind((state, unit), connected, supply)
}

/// The test of the air in the cylinder that a set carries beside its line; none where no test speaks of the
/// cylinder.
pub(crate) fn auxiliary_air<'s>(state: &'s State, unit: &'s Unit) -> Option<AirTest<'s>> {
    let (cylinder, _) = unit.mounted.as_ref()?;
    let supply = state.cylinder(cylinder)?.filled_from.as_ref().and_then(|id| state.supply(id));
    air_behind((state, unit), None, supply)
}

/// The test of the air of `supply`, or of what a set is `connected` to, or of the cylinder that is mounted on it.
fn air_behind<'s>(
    (state, unit): (&'s State, &'s Unit),
    connected: Option<&'s At>,
    supply: Option<&'s Supply>,
) -> Option<AirTest<'s>> {
    // A test of the set from before it got other air speaks of what it had then. A cylinder that was
    // taken off and came back without having been filled holds the air that was tested.
    let mounted = unit.mounted.as_ref();
    let cylinder = mounted.and_then(|(id, _)| state.cylinder(id));
    let filled = cylinder.and_then(|held| held.filled.as_ref());
    // Of a set that hangs on a line a test that names no cylinder speaks of the line.
    let of_line = connected.is_none() && line_of(state, unit).is_some();
    let speaks = |test: &&AirTested| {
        let of_it = mounted.is_some_and(|(id, _)| test.of.as_ref() == Some(id));
        if of_line && !of_it {
            return false;
        }
        // That what is in the cylinder is fit shows nothing of the line.
        if connected.is_some() && of_it && test.quality == AirQuality::Meets {
            return false;
        }
        // When it was filled must be known for what passed, and need not be for what failed.
        let failed = test.quality == AirQuality::Fails;
        let came_back = of_it && (filled.is_some() || failed);
        let on = mounted.map(|(_, at)| at).filter(|_| !came_back);
        // Air that failed is still under what was filled on top of it.
        let of_rest = cylinder.and_then(|held| held.fillings.first()).map(|first| &first.at);
        let filled = if of_it && failed { of_rest } else { filled };
        [connected, on, filled].into_iter().flatten().all(|at| at.when <= test.at.when)
    };
    let told = |quality: AirQuality, at: &'s At| {
        let meets = quality == AirQuality::Meets;
        (at.when, AirTest { meets, only_incomplete: false, entry: at.entry.as_str() })
    };
    let on_set = unit.air_tested.as_ref().filter(speaks);
    let on_set = on_set.map(|test| told(test.quality, &test.at));
    // What a test said of the air in a cylinder goes with it from set to set.
    let in_cylinder = cylinder.and_then(|held| held.air_tested.as_ref());
    let in_cylinder = in_cylinder.filter(|_| connected.is_none());
    let in_cylinder = in_cylinder.map(|(quality, at)| told(*quality, at));
    let on_set = on_set.into_iter().chain(in_cylinder).max_by_key(|(when, _)| *when);
    // Of a mixture no test of a supply speaks, where nobody knows what the rest of it was.
    let held = cylinder.filter(|_| connected.is_none());
    let unknown = held.is_some_and(|held| unknown_beneath(state, unit, held));
    let of_supply = supply.filter(|_| !unknown).and_then(|supply| {
        let put_in = held.and_then(|held| bad_air_in(state, held));
        put_in.or_else(|| Some(told_of(supply, supply.sampled()?)))
    });
    // A later sample of the supply says nothing of air that failed in the cylinder itself.
    let failed = on_set.filter(|(_, test)| connected.is_none() && !test.meets);
    let latest = on_set.into_iter().chain(of_supply).max_by_key(|(when, _)| *when);
    failed.or(latest).map(|(_, test)| test)
}

/// Whether nothing tells of air that lies under the latest filling of the cylinder on a set: neither from
/// where it came, nor how that air was, nor that it was found fit after it was filled.
fn unknown_beneath(state: &State, unit: &Unit, held: &Cylinder) -> bool {
    let mounted = unit.mounted.as_ref();
    let on_line = line_of(state, unit).is_some();
    let own = unit.air_tested.as_ref().filter(|test| test.quality == AirQuality::Meets);
    let of_it = own.filter(|test| match &test.of {
        Some(of) => mounted.is_some_and(|(id, _)| id == of),
        None => !on_line && mounted.is_some_and(|(_, at)| at.when <= test.at.when),
    });
    let is_unknown = |filling: &Filling| {
        let supply = filling.supply.as_ref().and_then(|id| state.supply(id));
        let fit = filling.found_fit || of_it.is_some_and(|test| filling.at.when <= test.at.when);
        !fit && supply.is_none_or(|supply| supply.samples.is_empty())
    };
    held.fillings.split_last().is_some_and(|(_, beneath)| beneath.iter().any(is_unknown))
}

/// The test of a supply by which air that had failed was put into a cylinder: it stays in it, whatever
/// comes after and is filled on top. Of what lies under the latest filling a test that was not complete
/// shows nothing.
fn bad_air_in<'s>(state: &'s State, held: &'s Cylinder) -> Option<(Timestamp, AirTest<'s>)> {
    let put_in =
        |filling: &'s Filling| bad_air_of(state.supply(filling.supply.as_ref()?)?, filling.at.when);
    let (last, beneath) = held.fillings.split_last()?;
    let failed = |(_, test): &(Timestamp, AirTest<'s>)| !test.only_incomplete;
    put_in(last).or_else(|| beneath.iter().rev().filter_map(put_in).find(failed))
}

/// The test or the look by which the air of `supply` was not fit, or not shown to be, at the instant `when`.
fn bad_air_of(supply: &Supply, when: Timestamp) -> Option<(Timestamp, AirTest<'_>)> {
    let sample = supply.samples.iter().rfind(|sample| sample.at.when <= when);
    let sample = sample.map(|sample| told_of(supply, sample)).filter(|(_, test)| !test.meets);
    // So is carbon monoxide that was found last before, by a test of that alone.
    let monoxide = || {
        let before = supply.monoxide_tests.iter().rfind(|test| test.at.when <= when)?;
        (before.found > grade_d().carbon_monoxide).then(|| unfit(&before.at))
    };
    // So is what was drawn in where the intake was foul, or put into the line, as it was looked at last.
    let foul = || {
        let look = supply.looks.iter().rfind(|look| look.at.when <= when)?;
        let is_foul = look.intake_clean == Some(false) || !look.air_alone;
        is_foul.then(|| unfit(&look.at))
    };
    sample.or_else(monoxide).or_else(foul)
}

/// That something other than a sample found air not to be fit.
fn unfit(at: &At) -> (Timestamp, AirTest<'_>) {
    (at.when, AirTest { meets: false, only_incomplete: false, entry: at.entry.as_str() })
}

/// What a sample says of the air of its supply.
fn told_of<'s>(supply: &Supply, sample: &'s AirSample) -> (Timestamp, AirTest<'s>) {
    let answer = judged(supply.source, &sample.figures);
    let meets = answer.as_ref().is_some_and(|answer| answer.meets);
    let only_incomplete = answer.as_ref().is_some_and(ReportAnswer::is_only_incomplete);
    let entry = sample.at.entry.as_str();
    (sample.at.when, AirTest { meets, only_incomplete, entry })
}

/// The supply whose line a set hangs on. Whoever carries all air on the back breathes that, whatever it is
/// told to be connected to.
pub(crate) fn line_of<'s>(state: &'s State, unit: &'s Unit) -> Option<(&'s SupplyId, &'s At)> {
    let device = state.model(&unit.model).map(|model| &model.device);
    let takes_line = device
        .is_none_or(|device| device.air_source.comes_by_line() || device.auxiliary_self_contained);
    unit.connected.as_ref().filter(|_| takes_line).map(|(id, at)| (id, at))
}

/// The supply from which a set has its air, with the entry that says so: the one it is connected to, or
/// that from which its cylinder was filled; none in place of one that nobody listed.
pub(crate) fn supply_behind<'s>(
    state: &'s State,
    unit: &'s Unit,
) -> Option<(&'s SupplyId, &'s At, Option<&'s Supply>)> {
    let connected = line_of(state, unit);
    let filled = || {
        let (cylinder, at) = unit.mounted.as_ref()?;
        Some((state.cylinder(cylinder)?.filled_from.as_ref()?, at))
    };
    connected.or_else(filled).map(|(id, at)| (id, at, state.supply(id)))
}
