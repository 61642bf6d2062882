//! A second reading of the duties: slow, plain, from the written form of the entries alone.
//!
//! It answers the question only, by looking through all entries again for every duty; nothing is
//! kept and nothing is shared with the code but the selection of a class for the air.

use jiff::Timestamp;
use jiff::civil::Date;
use quantity::Concentration;
use rulebook::{Contaminant, Decision, Device, Elements, Level, Place, assess, decide};
use serde_json::Value;
use substance::Catalogue;

use super::plant::Plant;

/// One entry that counts.
struct Line {
    id: String,
    happened: Timestamp,
    day: Date,
    by: String,
    fact: Value,
}

struct Reading<'a> {
    plant: &'a Plant,
    lines: Vec<Line>,
    day: Date,
    wearer: String,
    unit: String,
    task: String,
}

fn local(when: Timestamp) -> Date {
    when.in_tz("Europe/Madrid").unwrap().date()
}

fn concerns(fact: &Value, plant: &Plant) -> bool {
    fact["unit"] == plant.ask.unit.as_str()
        || fact["wearer"] == plant.ask.wearer.as_str()
        || fact["task"] == plant.ask.task.as_str()
}

/// Whether the wearer may wear the set: by the entries as they are, and by what they were before each
/// correction that nobody made who runs the program.
pub fn may_wear(plant: &Plant) -> bool {
    let mut without = plant.clone();
    let mut allowed = by_entries(plant, true);
    let in_order = |entry: &program::Entry| (entry.entered, entry.id.clone());
    let last = |among: &Plant| lifting_nothing(plant, among).max_by_key(in_order);
    while let Some(last) = last(&without) {
        without.entries.retain(|entry| entry.id != last.id);
        allowed &= by_entries(&without, false);
    }
    allowed
}

/// The corrections in `among` that lift nothing: neither they nor any later one of the same entries is by
/// who runs the program, or of what took a set out of service by who may release it.
fn lifting_nothing(plant: &Plant, among: &Plant) -> impl Iterator<Item = program::Entry> {
    let trained = |person: &str| {
        plant.entries.iter().any(|entry| {
            let fact = serde_json::to_value(&entry.fact).unwrap();
            fact["topic"] == "repair" && fact["wearer"] == person
        })
    };
    let runs_it = |person: &str| {
        plant.entries.iter().any(|entry| {
            let fact = serde_json::to_value(&entry.fact).unwrap();
            fact["kind"] == "role-given.1"
                && fact["role"] == "administrator"
                && fact["person"] == person
        })
    };
    let lifts = |entry: &program::Entry| {
        let target = plant.entries.iter().find(|one| Some(&one.id) == entry.corrects.as_ref());
        let out = target.is_some_and(|one| takes_out(&serde_json::to_value(&one.fact).unwrap()));
        runs_it(entry.by.as_str()) || out && trained(entry.by.as_str())
    };
    let corrections = among.entries.iter().filter(|entry| entry.corrects.is_some());
    let open = corrections.filter(|entry| {
        let mut later = vec![*entry];
        let of = |id| plant.entries.iter().find(|one| one.corrects.as_ref() == Some(id));
        while let Some(next) = of(&later[0].id) {
            later.insert(0, next);
        }
        !later.into_iter().any(&lifts)
    });
    open.cloned().collect::<Vec<_>>().into_iter()
}

/// Whether a fact takes a set out of service.
fn takes_out(fact: &Value) -> bool {
    let kind = fact["kind"].as_str().unwrap();
    ["held.1", "retired.1", "repaired.1"].contains(&kind)
        || fact["passed"] == false && ["inspected.1", "repair-tested.1"].contains(&kind)
}

/// The same by the entries as they are; whether they agree with each other and are of the past is asked
/// where `agreeing`.
fn by_entries(plant: &Plant, agreeing: bool) -> bool {
    let minutes = planned(plant);
    let end = plant.now + jiff::SignedDuration::from_secs_f64(minutes * 60.0);
    let mut counted: Vec<_> = plant.entries.iter().collect();
    counted.sort_by_key(|entry| (entry.happened, entry.entered, entry.id.clone()));
    counted.retain(|entry| {
        let rivals = plant
            .entries
            .iter()
            .filter(|other| entry.corrects.is_some() && other.corrects == entry.corrects);
        let last = rivals.max_by_key(|other| (other.entered, other.id.clone()));
        let corrected =
            plant.entries.iter().any(|other| other.corrects.as_ref() == Some(&entry.id));
        !corrected && last.is_none_or(|last| last.id == entry.id)
    });
    let line = |entry: &&program::Entry| Line {
        id: entry.id.to_string(),
        happened: entry.happened,
        day: local(entry.happened),
        by: entry.by.to_string(),
        fact: serde_json::to_value(&entry.fact).unwrap(),
    };
    let reading = Reading {
        plant,
        lines: counted.iter().map(line).collect(),
        day: local(end),
        wearer: plant.ask.wearer.to_string(),
        unit: plant.ask.unit.to_string(),
        task: plant.ask.task.to_string(),
    };
    reading.question()
        && (!agreeing || reading.records())
        && reading.wearer()
        && reading.unit()
        && reading.elements()
        && reading.air()
}

fn planned(plant: &Plant) -> f64 {
    let of_task = plant.entries.iter().find_map(|entry| match &entry.fact {
        program::Fact::TaskDescribed { task, spec }
        | program::Fact::TaskDescribedBySegments { task, spec, .. }
            if *task == plant.ask.task =>
        {
            Some(spec.wear_per_shift)
        }
        _ => None,
    });
    plant.ask.planned_wear.or(of_task).map_or(0.0, quantity::Minutes::as_min)
}

impl Reading<'_> {
    fn all(&self, kind: &str, key: &str, value: &str) -> Vec<(usize, &Line)> {
        let kind = format!("{kind}.1");
        let fits =
            |(_, line): &(usize, &Line)| line.fact["kind"] == kind && line.fact[key] == value;
        self.lines.iter().enumerate().filter(fits).collect()
    }

    fn last(&self, kind: &str, key: &str, value: &str) -> Option<(usize, &Line)> {
        self.all(kind, key, value).pop()
    }

    fn of_wearer(&self, kind: &str) -> Vec<(usize, &Line)> {
        self.all(kind, "wearer", &self.wearer)
    }

    fn of_unit(&self, kind: &str) -> Vec<(usize, &Line)> {
        self.all(kind, "unit", &self.unit)
    }

    fn device(&self) -> Option<Device> {
        let received = self.of_unit("unit-received").pop()?.1;
        let model = self.last("model-listed", "model", received.fact["model"].as_str()?)?.1;
        serde_json::from_value(model.fact["device"].clone()).ok()
    }

    fn fitted(&self) -> Option<(usize, &Line)> {
        let all = self.of_unit("elements-fitted");
        // Where nothing was fitted nothing is thrown away.
        let thrown_away = self.of_unit("elements-discarded").into_iter();
        let thrown_away = thrown_away.map(|(when, _)| when);
        let thrown_away = thrown_away.filter(|gone| all.iter().any(|(on, _)| on < gone));
        let thrown_away = thrown_away.max().unwrap_or(0);
        let (when, fitted) = all.into_iter().next_back()?;
        // What a dust mask is made of does not come back.
        let for_good = thrown_away > 0 && self.is_dust_mask();
        (thrown_away < when && !for_good).then_some((when, fitted))
    }

    fn is_dust_mask(&self) -> bool {
        self.device().is_some_and(|device| device.filtering_facepiece)
    }

    /// Whether the kind that is on goes with the set, and is not left out where its model names kinds.
    fn made_for_it(&self, device: &Device, fitted: &Line, kind: Option<&Elements>) -> bool {
        use rulebook::Mounting::{CanisterChin, CanisterEscape, CanisterFrontOrBack};
        let full = device.facepiece == rulebook::Facepiece::FullFacepiece;
        let powered = device.air_source == rulebook::AirSource::PoweredAirPurifying;
        let mounted = match kind.map(|kind| kind.mounting) {
            Some(CanisterEscape) => device.escape_only,
            Some(CanisterChin) => full && !powered,
            Some(CanisterFrontOrBack) => full || powered,
            _ => true,
        };
        let received = self.of_unit("unit-received").pop().unwrap().1;
        let model = self.last("model-listed", "model", received.fact["model"].as_str().unwrap());
        let named = model.and_then(|(_, line)| line.fact["approved_elements"].as_array());
        mounted && named.is_none_or(|named| named.contains(&fitted.fact["element_type"]))
    }

    fn kind_of_elements(&self) -> Option<Elements> {
        let kind = self.fitted()?.1.fact["element_type"].as_str()?;
        let listed = self.last("element-type-listed", "element_type", kind)?.1;
        serde_json::from_value(listed.fact["elements"].clone()).ok()
    }

    fn spec(&self) -> Option<&Value> {
        Some(&self.last("task-described", "task", &self.task)?.1.fact["spec"])
    }

    fn within(&self, start: Date, months: i16) -> bool {
        // The same day so many months later, or the last day of that month.
        let month = i16::from(start.month()) - 1 + months;
        let (year, month) = (start.year() + month / 12, i8::try_from(month % 12 + 1).unwrap());
        let days = Date::new(year, month, 1).unwrap().days_in_month();
        self.day <= Date::new(year, month, start.day().min(days)).unwrap()
    }

    /// Worn by choice, and the air lets it be so.
    fn by_choice(&self) -> bool {
        let Some(spec) = self.spec().filter(|spec| spec["voluntary"] == true) else { return false };
        let Some(device) = self.device() else { return false };
        let safe = spec["immediately_dangerous"] == false
            && spec["atmosphere_unknown"] == false
            && spec["oxygen"] == "20.9 %";
        let judged = assess(&self.place(), &device, self.kind_of_elements().as_ref()).contaminants;
        let needed: Option<Vec<f64>> = judged.iter().map(|one| one.needed_factor).collect();
        // Air that nobody evaluated may need one.
        let evaluated = !judged.is_empty();
        safe && evaluated && needed.is_some_and(|needed| needed.iter().sum::<f64>() <= 1.0)
    }

    fn by_choice_with_dust_mask(&self) -> bool {
        self.by_choice() && self.device().is_some_and(|device| device.filtering_facepiece)
    }

    fn question(&self) -> bool {
        let zone = self.lines.iter().any(|line| line.fact["time_zone"] == "Europe/Madrid");
        zone && self.spec().is_some()
    }

    fn records(&self) -> bool {
        let ahead = self.plant.now + jiff::SignedDuration::from_mins(15);
        let from_the_future =
            self.lines.iter().any(|line| line.happened > ahead && concerns(&line.fact, self.plant));
        let doubtful = self.plant.entries.iter().any(|entry| {
            let Some(target) = &entry.corrects else { return false };
            if !self.lines.iter().any(|line| line.id == entry.id.as_str()) {
                return false;
            }
            let known = self.plant.entries.iter().any(|other| other.id == *target);
            let otherwise =
                self.plant.entries.iter().any(|other| {
                    other.corrects.as_ref() == Some(target) && other.fact != entry.fact
                });
            let fact = serde_json::to_value(&entry.fact).unwrap();
            (!known || otherwise) && concerns(&fact, self.plant)
        });
        let same_id = self.plant.entries.iter().any(|entry| {
            let fact = serde_json::to_value(&entry.fact).unwrap();
            let other = |other: &&program::Entry| other.id == entry.id && *other != entry;
            concerns(&fact, self.plant) && self.plant.entries.iter().any(|one| other(&one))
        });
        let receipts = self.of_unit("unit-received");
        let alike = receipts.iter().all(|(_, line)| line.fact == receipts[0].1.fact);
        let on_carried = self.fitted().is_some()
            && self.device().is_some_and(|device| device.air_source.is_self_contained());
        if on_carried {
            return false;
        }
        !from_the_future && !doubtful && !same_id && alike
    }

    fn wearer(&self) -> bool {
        if self.of_wearer("wearer-enrolled").is_empty() || !self.cleared() {
            return false;
        }
        if self.by_choice() {
            return !self.of_wearer("voluntary-information-given").is_empty();
        }
        let trained = |(_, line): &(usize, &Line)| line.fact["topic"] == "wear";
        let training = self.of_wearer("trained").into_iter().rfind(trained);
        let Some((_, training)) = training else { return false };
        let fits = self.device().is_none_or(|device| {
            !device.facepiece.is_tight_fitting() || self.fits(&device).unwrap_or(false)
        });
        self.within(training.day, 12)
            && training.fact["understood"] == true
            && fits
            && !self.asked_anew("training", |line| line.fact["topic"] == "wear", "trained")
    }

    /// Whether something was asked for anew and none of `kind` that is `like` it came since.
    fn asked_anew(&self, what: &str, like: impl Fn(&Line) -> bool, kind: &str) -> bool {
        let asked = self.of_wearer("renewal-asked");
        let asked = asked.into_iter().rfind(|(_, line)| line.fact["of"] == what);
        let done = self.of_wearer(kind).into_iter().rfind(|(_, line)| like(line));
        asked.is_some_and(|(asked, _)| done.is_none_or(|(done, _)| done < asked))
    }

    /// The recommendations that name who made them.
    fn recommended(&self) -> Vec<(usize, &Line)> {
        let named = |(_, line): &(usize, &Line)| {
            line.fact["kind"] == "clearance-given.2" && line.fact["wearer"] == self.wearer.as_str()
        };
        self.lines.iter().enumerate().filter(named).collect()
    }

    fn cleared(&self) -> bool {
        let named = self.recommended().pop().map(|(when, _)| when);
        let asked = self.of_wearer("renewal-asked");
        let asked = asked.into_iter().rfind(|(_, line)| line.fact["of"] == "clearance");
        let since = asked.is_some_and(|(asked, _)| named.is_some_and(|named| asked < named));
        if !since && self.asked_anew("clearance", |_| true, "clearance-given") {
            return false;
        }
        let mut clearances = self.of_wearer("clearance-given");
        clearances.extend(self.recommended());
        clearances.sort_by_key(|(when, _)| *when);
        let Some((_, line)) = clearances.last() else { return self.by_choice_with_dust_mask() };
        let clearance = &line.fact["clearance"];
        if clearance == "not-cleared" {
            return false;
        }
        let until: Option<Date> = line.fact["until"].as_str().map(|day| day.parse().unwrap());
        let in_date = until.is_none_or(|until| self.day <= until);
        let source = self.device().map(|device| serde_json::to_value(device.air_source).unwrap());
        let allowed = clearance == "cleared"
            || source.is_none_or(|source| {
                clearance["cleared-for"]["air_sources"].as_array().unwrap().contains(&source)
            });
        self.by_choice_with_dust_mask() || in_date && allowed
    }

    fn fits(&self, device: &Device) -> Option<bool> {
        let received = self.of_unit("unit-received").pop()?.1;
        let same = |(_, line): &(usize, &Line)| {
            line.fact["model"] == received.fact["model"]
                && line.fact["size"] == received.fact["size"]
        };
        let tests = self.of_wearer("fit-tested");
        let hair = tests.last()?.1.fact["hair_in_seal"] == true;
        let (_, test) = tests.into_iter().rfind(&same)?;
        let full = device.facepiece == rulebook::Facepiece::FullFacepiece;
        let enough = match test.fact["method"]["quantitative"]["fit_factor"].as_f64() {
            Some(factor) => factor >= if full { 500.0 } else { 100.0 },
            None if full && device.air_source.is_negative_pressure() => {
                let judged = assess(&self.place(), device, None).contaminants;
                judged.iter().map(|one| one.needed_factor.unwrap_or(99.0)).sum::<f64>() <= 10.0
                    && !judged.is_empty()
            }
            None => true,
        };
        let beard = self
            .of_wearer("seal-hair-seen")
            .last()
            .is_some_and(|(_, line)| line.fact["there"] == true);
        let clear = !hair
            && !beard
            && test.fact["seal_note"] == ""
            && !self.asked_anew("fit-test", |line| same(&(0, line)), "fit-tested");
        Some(test.fact["passed"] == true && self.within(test.day, 12) && enough && clear)
    }

    fn unit(&self) -> bool {
        let Some((_, received)) = self.of_unit("unit-received").pop() else { return false };
        let Some(device) = self.device() else { return false };
        let (shared, emergency) =
            (received.fact["shared"] == true, received.fact["emergency"] == true);
        let last = |kind: &str| self.of_unit(kind).pop().map_or(-1, |(when, _)| place(when));
        let held = last("held") > last("released");
        if held
            || self.out_of_service(&device)
            || last("retired") >= 0
            || !self.in_right_hands(shared || emergency)
        {
            return false;
        }
        let care = self.by_choice_with_dust_mask()
            || (self.inspected(&device, emergency) && self.disinfected(shared, emergency));
        let failed =
            self.of_unit("inspected").pop().is_some_and(|(_, line)| line.fact["passed"] == false);
        let others = self.users().iter().any(|(_, who)| *who != self.wearer);
        let dust_mask_shared = device.filtering_facepiece && (shared || others);
        let after_others = self.users_since_disinfected().iter().any(|who| *who != self.wearer);
        let sealed = |(_, line): &(usize, &Line)| line.fact["wearer"] == self.wearer.as_str();
        let seal = self.of_unit("seal-checked").into_iter().rfind(sealed);
        let leaks = device.facepiece.is_tight_fitting()
            && seal.is_some_and(|(_, line)| line.fact["passed"] == false);
        care && !failed
            && !leaks
            && !dust_mask_shared
            && !after_others
            && self.supplies(&device)
            && !self.sensed(&device)
    }

    /// Held, failed or wrongly washed and not released since by a person trained in repair; or in
    /// parts.
    fn out_of_service(&self, device: &Device) -> bool {
        let failed = |line: &Line| line.fact["passed"] == false;
        let inspections = self.of_unit("inspected").into_iter().filter(|(_, line)| failed(line));
        let washed = ["cleaned", "disinfected", "care-step-done"];
        let washed = washed.iter().flat_map(|kind| self.of_unit(kind));
        let washed = washed.filter(|_| device.filtering_facepiece);
        let taken_out = inspections.chain(self.of_unit("held")).chain(washed);
        let taken_out = taken_out.map(|(when, _)| place(when)).max().unwrap_or(-1);
        let trained = |line: &Line| self.trained(&line.by, line.happened);
        let releases = self.of_unit("released").into_iter().filter(|(_, line)| trained(line));
        let released = releases.map(|(when, _)| place(when)).max().unwrap_or(-1);
        // Who releases what was held has tested it, and so put it together.
        let step = self.of_unit("care-step-done").pop().map_or(-1, |(when, _)| place(when));
        let in_parts = 0 <= step && !(step < taken_out && taken_out < released);
        released < taken_out || in_parts || self.undone() || self.forbidden_cleaner(released)
    }

    fn trained(&self, person: &str, when: Timestamp) -> bool {
        self.lines.iter().any(|training| {
            training.fact["topic"] == "repair"
                && training.fact["wearer"] == person
                && training.happened <= when
        })
    }

    /// Something took the set out of service, and only a correction by somebody who may not release it
    /// says otherwise.
    fn undone(&self) -> bool {
        let fact = |entry: &program::Entry| serde_json::to_value(&entry.fact).unwrap();
        let takes_out = |fact: &Value| takes_out(fact) && fact["unit"] == self.unit.as_str();
        let counts =
            |entry: &program::Entry| self.lines.iter().any(|line| line.id == entry.id.as_str());
        self.plant.entries.iter().filter(|one| takes_out(&fact(one)) && !counts(one)).any(|one| {
            let mut last = one;
            let mut by_trained = false;
            while let Some(next) = self
                .plant
                .entries
                .iter()
                .filter(|other| other.corrects.as_ref() == Some(&last.id))
                .max_by_key(|other| (other.entered, other.id.clone()))
            {
                let out = takes_out(&fact(next)) && one.happened <= next.happened;
                by_trained |= !out && self.trained(next.by.as_str(), next.entered);
                last = next;
            }
            let out = takes_out(&fact(last)) && one.happened <= last.happened;
            let released = self.of_unit("released").into_iter().any(|(_, line)| {
                one.happened < line.happened && self.trained(&line.by, line.happened)
            });
            !out && !by_trained && !released
        })
    }

    /// The maker forbids what the set was disinfected with, and nobody released it since.
    fn forbidden_cleaner(&self, released: isize) -> bool {
        let received = self.of_unit("unit-received").pop();
        let noted = self.lines.iter().rfind(|line| {
            line.fact["kind"] == "maker-instructions-noted.1"
                && received.is_some_and(|(_, own)| line.fact["model"] == own.fact["model"])
        });
        let forbidden = noted.and_then(|line| line.fact["forbidden_cleaners"].as_array());
        let forbidden: Vec<&Value> = forbidden.into_iter().flatten().collect();
        self.of_unit("disinfected")
            .into_iter()
            .any(|(when, line)| released < place(when) && forbidden.contains(&&line.fact["agent"]))
    }

    fn in_right_hands(&self, free: bool) -> bool {
        let mut holders: Vec<&str> = Vec::new();
        for line in self.lines.iter().filter(|line| line.fact["unit"] == self.unit.as_str()) {
            let who = line.fact["wearer"].as_str().unwrap_or_default();
            if line.fact["kind"] == "issued.1" {
                holders.push(who);
            } else if line.fact["kind"] == "returned.1" {
                holders.retain(|holder| *holder != who);
            }
        }
        holders.iter().all(|holder| *holder == self.wearer) && (free || !holders.is_empty())
    }

    fn users(&self) -> Vec<(usize, String)> {
        let kinds = ["worn", "returned", "breakthrough-sensed", "seal-checked"];
        let all = kinds.iter().flat_map(|kind| self.of_unit(kind));
        let mut all: Vec<(usize, String)> = all
            .map(|(when, line)| (when, line.fact["wearer"].as_str().unwrap().to_owned()))
            .collect();
        all.sort();
        all
    }

    fn users_since_disinfected(&self) -> Vec<String> {
        let users = self.users();
        let used_between =
            |a: usize, b: usize| users.iter().any(|(when, _)| a < *when && *when < b);
        let received = self.of_unit("unit-received").pop();
        let of_model =
            |line: &&Line| received.is_some_and(|(_, own)| line.fact["model"] == own.fact["model"]);
        // What the maker said last counts alone.
        let noted = |line: &&Line| line.fact["kind"] == "maker-instructions-noted.1";
        let noted = self.lines.iter().filter(of_model).rfind(noted);
        let vouched = noted.and_then(|line| line.fact["approved_disinfectants"].as_array());
        let vouched: Vec<&Value> = vouched.into_iter().flatten().collect();
        let good = self.of_unit("disinfected").into_iter().rfind(|(when, line)| {
            let agent = line.fact["agent"].as_str().unwrap();
            let printed = ["hypochlorite, 50 ppm", "hypochlorite, 300 ppm"].contains(&agent);
            // A bare name says nothing of the strength, whoever lists it.
            let listed = agent != "hypochlorite" && vouched.iter().any(|name| *name == agent);
            let shown = printed || listed;
            shown
                && contact(line) >= 2.0
                && self
                    .of_unit("cleaned")
                    .iter()
                    .any(|(clean, _)| clean < when && !used_between(*clean, *when))
        });
        let since = good.map_or(-1, |(when, _)| place(when));
        users.into_iter().filter(|(when, _)| since < place(*when)).map(|(_, who)| who).collect()
    }

    fn disinfected(&self, shared: bool, emergency: bool) -> bool {
        let latest = self.of_unit("disinfected").pop();
        let dipped = latest.is_some_and(|(_, line)| (shared || emergency) && contact(line) < 2.0);
        !dipped && (!emergency || self.users_since_disinfected().is_empty())
    }

    fn latest_of(&self, kinds: &[&str]) -> isize {
        kinds
            .iter()
            .filter_map(|kind| self.of_unit(kind).pop())
            .map(|(when, _)| place(when))
            .max()
            .unwrap_or(-1)
    }

    fn inspected(&self, device: &Device, emergency: bool) -> bool {
        let Some((when, done)) = self.of_unit("inspected").pop() else { return false };
        let month_ago = self.day - jiff::Span::new().days(31);
        let touched = self.latest_of(&[
            "worn",
            "breakthrough-sensed",
            "returned",
            "cleaned",
            "disinfected",
            "elements-fitted",
            "elements-discarded",
            "released",
        ]);
        let monthly = |(_, line): &(usize, &Line)| line.fact["occasion"] == "monthly";
        let round = self.of_unit("inspected").into_iter().rfind(monthly);
        let needs_round = emergency || device.air_source.is_self_contained();
        touched < place(when)
            && month_ago <= done.day
            && (!needs_round || round.is_some_and(|(_, line)| self.within(line.day, 1)))
    }

    /// Whether a listed cylinder is mounted that holds a sixth more than the minutes of the set ask for at
    /// 40 L/min by the law of Boyle: about so much less air than by that law is in it at 300 bar.
    fn suits(&self, device: &Device) -> bool {
        let Some((_, mounted)) = self.of_unit("cylinder-mounted").pop() else { return false };
        let tag = mounted.fact["cylinder"].as_str().unwrap();
        let Some((_, listed)) = self.last("cylinder-listed", "cylinder", tag) else { return false };
        let text = |key: &str| listed.fact[key].as_str().unwrap();
        let litres = text("water_volume").parse::<quantity::Litres>().unwrap().as_l();
        let bar = text("rated").parse::<quantity::Kilopascal>().unwrap().as_kpa() / 100.0;
        let needed = device.rated_minutes.map_or(0.0, |minutes| 40.0 * f64::from(minutes));
        needed * 7.0 / 6.0 <= litres * bar && self.names_cylinder(&listed.fact["part"])
    }

    /// Whether the listing of the model names no cylinders, or this part number.
    fn names_cylinder(&self, part: &Value) -> bool {
        let Some((_, received)) = self.of_unit("unit-received").pop() else { return true };
        let model = received.fact["model"].as_str().unwrap();
        let model = self.last("model-listed", "model", model);
        let named = model.and_then(|(_, line)| line.fact["approved_cylinders"].as_array().cloned());
        named.is_none_or(|named| named.contains(part))
    }

    fn supplies(&self, device: &Device) -> bool {
        let source = device.air_source;
        let air = self.of_unit("breathing-air-tested").pop();
        if !source.purifies_air() {
            let meets = air.as_ref().is_some_and(|(_, line)| line.fact["quality"] == "meets");
            if !meets {
                return false;
            }
        }
        let used = |kinds: &[&str], when: usize| place(when) < self.latest_of(kinds);
        if source.is_self_contained() {
            if device.rated_minutes.is_some_and(|rated| planned(self.plant) > f64::from(rated)) {
                return false;
            }
            let Some((when, line)) = self.of_unit("cylinder-read").pop() else { return false };
            let kpa = |key: &str| {
                line.fact[key].as_str().unwrap().parse::<quantity::Kilopascal>().unwrap().as_kpa()
            };
            if used(&["worn", "breakthrough-sensed", "released"], when)
                || !self.within(line.day, 1)
                || kpa("read") <= 0.9 * kpa("rated")
                || 1.05 * kpa("rated") < kpa("read")
                || !self.suits(device)
            {
                return false;
            }
        }
        if source == rulebook::AirSource::PoweredAirPurifying && !self.by_choice_with_dust_mask() {
            let Some((when, line)) = self.of_unit("powered-flow-checked").pop() else {
                return false;
            };
            let now = self.plant.now;
            let fresh = |line: &Line| {
                let hours = now.duration_since(line.happened).as_secs() / 3600;
                line.day == local(now) || hours < 8
            };
            let battery = self.of_unit("battery-checked").pop().is_some_and(|(when, line)| {
                let drawn = used(&["worn", "breakthrough-sensed", "released"], when);
                line.fact["passed"] == true && fresh(line) && !drawn
            });
            if !battery || !fresh(line) {
                return false;
            }
            let flow = |key: &str| {
                line.fact[key].as_str().unwrap().parse::<quantity::LitrePerMin>().unwrap()
            };
            if used(&["worn", "breakthrough-sensed", "elements-fitted", "released"], when)
                || flow("flow") < flow("least")
            {
                return false;
            }
        }
        true
    }

    fn sensed(&self, device: &Device) -> bool {
        let sensed = self.latest_of(&["breakthrough-sensed"]);
        if device.filtering_facepiece {
            return sensed >= 0;
        }
        if device.air_source.purifies_air() {
            return sensed >= 0 && self.fresh_elements_since(sensed).is_none();
        }
        let passed = |(_, line): &(usize, &Line)| line.fact["passed"] == true;
        let passed = self.of_unit("inspected").into_iter().rfind(passed);
        sensed >= 0 && passed.is_none_or(|(when, _)| place(when) < sensed)
    }

    /// Elements fitted later that were not on the set before.
    fn fresh_elements_since(&self, instant: isize) -> Option<usize> {
        let all = self.of_unit("elements-fitted");
        let pieces = |line: &Line| {
            (
                line.fact["lot"].clone(),
                line.fact["opened"].clone(),
                line.fact["element_type"].clone(),
            )
        };
        let fresh = |(when, line): &&(usize, &Line)| {
            instant < place(*when)
                && !all.iter().any(|(before, other)| before < when && pieces(other) == pieces(line))
        };
        all.iter().find(fresh).map(|(when, _)| *when)
    }

    fn elements(&self) -> bool {
        let Some(device) = self.device().filter(|device| device.air_source.purifies_air()) else {
            return true;
        };
        let last_day = |line: &Line| -> Date {
            line.fact["shelf_life_until"].as_str().unwrap().parse().unwrap()
        };
        // Whatever was ever fitted to a dust mask renews no day of it.
        let past = |(_, line): &(usize, &Line)| last_day(line) < self.day;
        if device.filtering_facepiece && self.of_unit("elements-fitted").iter().any(past) {
            return false;
        }
        let Some((_, fitted)) = self.fitted() else { return self.by_choice_with_dust_mask() };
        let kind = self.kind_of_elements();
        if device.filtering_facepiece && kind.as_ref().is_some_and(|kind| !kind.against.is_empty())
        {
            return false;
        }
        if !self.made_for_it(&device, fitted, kind.as_ref()) {
            return false;
        }
        // One lot has one last day.
        let alike = |line: &Line| {
            let same = |key: &str| line.fact[key] == fitted.fact[key];
            same("lot") && same("element_type")
        };
        let all = self.of_unit("elements-fitted").into_iter().filter(|(_, line)| alike(line));
        let shelf_life = all.map(|(_, line)| last_day(line)).min().unwrap();
        if shelf_life < self.day || (kind.is_none() && !self.by_choice_with_dust_mask()) {
            return false;
        }
        self.by_choice() || self.life(fitted, kind.as_ref())
    }

    fn life(&self, fitted: &Line, kind: Option<&Elements>) -> bool {
        let Some((allowed, shifts)) = self.schedule(&self.task, fitted) else { return false };
        // No wear is longer than a long shift.
        let allowed = if planned(self.plant) > 720.0 { allowed.min(720.0) } else { allowed };
        let same = |line: &Line| {
            let alike = |key: &str| line.fact[key] == fitted.fact[key];
            alike("element_type") && alike("lot") && alike("opened")
        };
        let first =
            self.of_unit("elements-fitted").into_iter().find(|(_, line)| same(line)).unwrap().0;
        let worn: Vec<&Line> = self
            .of_unit("worn")
            .into_iter()
            .filter(|(when, _)| first < *when || self.is_dust_mask())
            .map(|(_, line)| line)
            .collect();
        let mut used = planned(self.plant);
        for line in &worn {
            let time: quantity::Minutes = line.fact["time"].as_str().unwrap().parse().unwrap();
            let Some((there, _)) = self.schedule(line.fact["task"].as_str().unwrap(), fitted)
            else {
                return false;
            };
            used += time.as_min() * allowed / there;
        }
        let today = local(self.plant.now);
        // Every wear of the cases lies within one shift of its day.
        let mut days: Vec<(Date, &str)> =
            worn.iter().map(|line| (line.day, line.fact["wearer"].as_str().unwrap())).collect();
        days.push((today, &self.wearer));
        days.dedup();
        let opened: Timestamp = fitted.fact["opened"].as_str().unwrap().parse().unwrap();
        // Nor do elements serve a second shift a month after they were opened.
        let old = opened + jiff::SignedDuration::from_hours(31 * 24) < self.plant.now;
        let shifts =
            if old && kind.is_none_or(|kind| !kind.against.is_empty()) { 1 } else { shifts };
        let open = shifts == 1
            && local(opened) != today
            && kind.is_none_or(|kind| !kind.against.is_empty());
        used <= allowed + 1e-9 && days.len() <= usize::from(shifts) && !open
    }

    fn schedule(&self, task: &str, fitted: &Line) -> Option<(f64, u8)> {
        let (mut wear, mut shifts) = (self.plant.schedule)(&program::TaskId::new(task))?;
        let kind =
            |(_, line): &(usize, &Line)| line.fact["element_type"] == fitted.fact["element_type"];
        if let Some((_, adopted)) =
            self.all("schedule-adopted", "task", task).into_iter().rfind(kind)
        {
            let longest: quantity::Minutes =
                adopted.fact["max_wear"].as_str().unwrap().parse().unwrap();
            wear = wear.min(longest.as_min());
            shifts = shifts.min(u8::try_from(adopted.fact["shifts"].as_u64().unwrap()).unwrap());
        }
        Some((wear, shifts))
    }

    fn place(&self) -> Place {
        let spec = self.spec().unwrap();
        let written = |key: &str| spec[key].as_str();
        let mut contaminants: Vec<Contaminant> = Vec::new();
        let mut readings = self.all("reading-taken", "task", &self.task);
        readings.sort_by_key(|(_, line)| line.fact["cas"].as_str().unwrap().to_owned());
        let now = local(self.plant.now);
        for (_, line) in readings {
            let substance = Catalogue::builtin().find(line.fact["cas"].as_str().unwrap()).unwrap();
            let form = serde_json::from_value(line.fact["form"].clone()).unwrap();
            let old = Reading {
                day: now,
                lines: Vec::new(),
                wearer: String::new(),
                unit: String::new(),
                task: String::new(),
                plant: self.plant,
            };
            let level = line.fact["concentration"].as_str().filter(|_| old.within(line.day, 12));
            let level = level.map_or(Level::Unknown, |text| {
                Level::Known(text.parse::<Concentration>().unwrap())
            });
            match contaminants.last_mut().filter(|last| last.substance.cas() == substance.cas()) {
                None => contaminants.push(Contaminant { substance, level, form, site_limit: None }),
                Some(last) => {
                    last.level = highest(last.level, level, line.fact["concentration"].is_null())
                }
            }
        }
        let mut place = Place::with(contaminants).unwrap();
        place.oxygen = written("oxygen").map(|text| text.parse().unwrap());
        place.temperature = written("temperature").unwrap().parse().unwrap();
        place.pressure = written("pressure").unwrap().parse().unwrap();
        place.relative_humidity = written("relative_humidity").map(|text| text.parse().unwrap());
        place.oil_aerosol = spec["oil_aerosol"].as_bool();
        place.irritates_eyes = spec["irritates_eyes"].as_bool();
        place.declared_immediately_dangerous = spec["immediately_dangerous"] == true;
        place.atmosphere_unknown = spec["atmosphere_unknown"] == true;
        place
    }

    fn air(&self) -> bool {
        let Some(device) = self.device() else { return false };
        let assessment = assess(&self.place(), &device, self.kind_of_elements().as_ref());
        self.by_choice() || decide(&assessment.findings) == Decision::Allowed
    }
}

/// Minutes in a bath.
fn contact(line: &Line) -> f64 {
    line.fact["contact"].as_str().unwrap().parse::<quantity::Minutes>().unwrap().as_min()
}

/// Of two levels, in the order of time: the later says how much, or that nobody knows.
fn highest(before: Level, after: Level, after_is_unmeasured: bool) -> Level {
    match (before, after) {
        (Level::Known(a), Level::Known(b)) => {
            Level::Known(if a.number() < b.number() { b } else { a })
        }
        (Level::Unknown, Level::Known(b)) => Level::Known(b),
        (Level::Known(a), Level::Unknown) if !after_is_unmeasured => Level::Known(a),
        _ => Level::Unknown,
    }
}

/// Where in the order of time.
fn place(when: usize) -> isize {
    isize::try_from(when).unwrap()
}
