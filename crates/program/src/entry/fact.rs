use jiff::Timestamp;
use jiff::civil::Date;
use quantity::{Concentration, Kilopascal, LitrePerMin, Litres, Minutes, Ppm};
use rulebook::fit_test::{FitAgent, FitInstrument, TestedAs};
use rulebook::interval::Every;
use rulebook::standby::Contact;
use rulebook::storage::Harm;
use rulebook::{Device, Elements};
use serde::{Deserialize, Serialize};
use substance::Cas;

use super::care::{CareStep, FitRecord, PointFound, RepairScope, SealCheck, SparePart};
use super::parts::{
    AirQuality, BedSpec, Clearance, FitMethod, InspectionOccasion, ProfessionalTold, Renewal,
    Retrieval, SeriousSign, TaskSpec, TrainingTopic,
};
use super::segment::TaskSegment;
use super::site::{
    AirFigures, CylinderTerms, Gas, ReuseCalculation, Role, StockItem, SupplySource,
};
use crate::ids::{
    ActionId, CylinderId, ElementTypeId, GroupId, InstrumentId, ModelId, PersonId, PlaceId,
    StockId, SupplyId, TaskId, UnitId,
};
use crate::reaction::CalibratedReactions;

/// The facts as they are, written with their kind among their parts; and the same once more, as
/// `by_kind` reads them.
macro_rules! facts {
    ($(#[$doc:meta])* pub enum Fact { $($facts:tt)* }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Serialize)]
        #[serde(tag = "kind")]
        pub enum Fact { $($facts)* }

        #[derive(Deserialize)]
        #[serde(remote = "Fact")]
        pub(super) enum Untagged { $($facts)* }
    };
}

facts! {
/// What happened. The number behind each kind is the version of its payload; a version once
/// written is read for ever, a changed payload gets a new number.
pub enum Fact {
    /// A site opened its ledger.
    #[serde(rename = "site-opened.1")]
    SiteOpened {
        /// Name of the site.
        name: String,
        /// Its time zone by IANA name, such as `Europe/Madrid`.
        time_zone: String,
    },
    /// A model of respirator was listed for use at the site.
    #[serde(rename = "model-listed.1")]
    ModelListed {
        /// The model.
        model: ModelId,
        /// Its name in plain words.
        name: String,
        /// What it is, in the terms of the rules.
        device: Device,
        /// The sizes it comes in.
        sizes: Vec<String>,
        /// Its approval number.
        approval: String,
        /// The kinds of cartridge, canister or filter that its approval label names; of a filtering
        /// facepiece the one that it is made of.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        approved_elements: Vec<ElementTypeId>,
        /// The part numbers of the cylinders that its approval names, of a set that carries one.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        approved_cylinders: Vec<String>,
    },
    /// A kind of cartridge, canister or filter was listed.
    #[serde(rename = "element-type-listed.1")]
    ElementTypeListed {
        /// The kind.
        element_type: ElementTypeId,
        /// Its name in plain words.
        name: String,
        /// What it is certified against.
        elements: Elements,
        /// How many of it a unit carries.
        count: u8,
        /// Its bed, where the maker or a test has told it.
        bed: Option<BedSpec>,
        /// The gases that it holds by reaction on which a laboratory report was calibrated.
        #[serde(default, skip_serializing_if = "CalibratedReactions::is_empty")]
        reactions: CalibratedReactions,
    },
    /// A respirator was received.
    #[serde(rename = "unit-received.1")]
    UnitReceived {
        /// The tag on it.
        unit: UnitId,
        /// Its model.
        model: ModelId,
        /// Its size.
        size: String,
        /// The maker's serial number.
        serial: String,
        /// Whether several wearers use it.
        shared: bool,
        /// Whether it is kept for emergencies.
        emergency: bool,
    },
    /// A person was enrolled in the program.
    #[serde(rename = "wearer-enrolled.1")]
    WearerEnrolled {
        /// The person.
        wearer: PersonId,
        /// Name to show.
        name: String,
    },
    /// A task was described.
    #[serde(rename = "task-described.1")]
    TaskDescribed {
        /// The task.
        task: TaskId,
        /// What it is.
        spec: TaskSpec,
    },
    /// A task was described, with its usual shift in segments.
    #[serde(rename = "task-described.2")]
    TaskDescribedBySegments {
        /// The task.
        task: TaskId,
        /// What it is.
        spec: TaskSpec,
        /// The usual shift from its start to its end; none where all of its wear is alike.
        segments: Vec<TaskSegment>,
    },
    /// A contaminant of a task was measured, or found to be there without a measurement.
    #[serde(rename = "reading-taken.1")]
    ReadingTaken {
        /// The task.
        task: TaskId,
        /// The contaminant.
        cas: Cas,
        /// The concentration; none where it is present and not known.
        concentration: Option<Concentration>,
        /// Whether it is there as vapour, particle or both.
        form: rulebook::AirborneForm,
        /// How long was sampled.
        sampled: Option<Minutes>,
        /// How it was measured.
        method: String,
    },
    /// Elements were fitted to a unit.
    #[serde(rename = "elements-fitted.1")]
    ElementsFitted {
        /// The unit.
        unit: UnitId,
        /// Their kind.
        element_type: ElementTypeId,
        /// The maker's lot.
        lot: String,
        /// Last day of their shelf life.
        shelf_life_until: Date,
        /// When their seal was opened.
        opened: Timestamp,
    },
    /// The elements of a unit were taken off and thrown away.
    #[serde(rename = "elements-discarded.1")]
    ElementsDiscarded {
        /// The unit.
        unit: UnitId,
        /// Why.
        why: String,
    },
    /// A licensed health professional gave a written recommendation. Nothing else medical is kept.
    #[serde(rename = "clearance-given.1")]
    ClearanceGiven {
        /// The person.
        wearer: PersonId,
        /// The recommendation.
        clearance: Clearance,
        /// Last day it holds, if it ends.
        until: Option<Date>,
    },
    /// A licensed health professional gave a written recommendation, with the name and what it states of
    /// a copy. Nothing else medical is kept.
    #[serde(rename = "clearance-given.2")]
    ClearanceWritten {
        /// The person.
        wearer: PersonId,
        /// The health professional; empty where it was not told.
        professional: String,
        /// The recommendation.
        clearance: Clearance,
        /// Last day it holds, if it ends.
        until: Option<Date>,
        /// Whether it states that the worker was given a copy.
        copy_given: bool,
    },
    /// A licensed health professional was told of the respirator and the work of a wearer.
    #[serde(rename = "medical-information-given.1")]
    MedicalInformationGiven {
        /// The person.
        wearer: PersonId,
        /// The health professional.
        professional: String,
        /// What was told.
        told: ProfessionalTold,
    },
    /// A fit test was done.
    #[serde(rename = "fit-tested.1")]
    FitTested {
        /// The person.
        wearer: PersonId,
        /// The model worn.
        model: ModelId,
        /// The size worn.
        size: String,
        /// How it was tested.
        method: FitMethod,
        /// Whether it passed by its protocol.
        passed: bool,
        /// Hair lay between the seal and the face, or another thing spoiled the seal.
        hair_in_seal: bool,
        /// What was noted of the seal.
        seal_note: String,
    },
    /// A person was trained.
    #[serde(rename = "trained.1")]
    Trained {
        /// The person.
        wearer: PersonId,
        /// In what.
        topic: TrainingTopic,
        /// Whether understanding was shown.
        understood: bool,
    },
    /// Something about a wearer was seen or reported for which a test, an evaluation or a training is
    /// done anew. What it was is not kept.
    #[serde(rename = "renewal-asked.1")]
    RenewalAsked {
        /// The person.
        wearer: PersonId,
        /// What is done anew.
        of: Renewal,
    },
    /// Somebody looked at the face of a wearer, at the door or at work: whether hair lies where a
    /// mask seals or where it touches a valve.
    #[serde(rename = "seal-hair-seen.1")]
    SealHairSeen {
        /// The person.
        wearer: PersonId,
        /// Whether it is there; no where it was seen to be gone.
        there: bool,
    },
    /// A voluntary wearer was given the information the rules ask for.
    #[serde(rename = "voluntary-information-given.1")]
    VoluntaryInformationGiven {
        /// The person.
        wearer: PersonId,
    },
    /// A unit was issued.
    #[serde(rename = "issued.1")]
    Issued {
        /// The unit.
        unit: UnitId,
        /// To whom.
        wearer: PersonId,
    },
    /// A unit came back.
    #[serde(rename = "returned.1")]
    Returned {
        /// The unit.
        unit: UnitId,
        /// From whom.
        wearer: PersonId,
    },
    /// A unit was taken apart, washed, rinsed and dried.
    #[serde(rename = "cleaned.1")]
    Cleaned {
        /// The unit.
        unit: UnitId,
    },
    /// A unit was disinfected.
    #[serde(rename = "disinfected.1")]
    Disinfected {
        /// The unit.
        unit: UnitId,
        /// With what, at which strength.
        agent: String,
        /// How long it was in contact.
        contact: Minutes,
    },
    /// A unit was inspected.
    #[serde(rename = "inspected.1")]
    Inspected {
        /// The unit.
        unit: UnitId,
        /// On which occasion.
        occasion: InspectionOccasion,
        /// Whether every point passed.
        passed: bool,
        /// What was found.
        found: String,
    },
    /// A unit was held back from use.
    #[serde(rename = "held.1")]
    Held {
        /// The unit.
        unit: UnitId,
        /// Why.
        why: String,
    },
    /// A held unit was released.
    #[serde(rename = "released.1")]
    Released {
        /// The unit.
        unit: UnitId,
        /// What was done.
        done: String,
    },
    /// A unit was retired for good.
    #[serde(rename = "retired.1")]
    Retired {
        /// The unit.
        unit: UnitId,
        /// Why.
        why: String,
    },
    /// The pressure of a cylinder was read.
    #[serde(rename = "cylinder-read.1")]
    CylinderRead {
        /// The unit that carries it.
        unit: UnitId,
        /// Its rated pressure.
        rated: Kilopascal,
        /// The pressure read.
        read: Kilopascal,
    },
    /// The air supply of a unit was tested.
    #[serde(rename = "breathing-air-tested.1")]
    BreathingAirTested {
        /// The unit.
        unit: UnitId,
        /// What the test said.
        quality: AirQuality,
        /// The cylinder whose air that was, where it was told: what the test said stays with it, on
        /// whatever set.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        cylinder: Option<CylinderId>,
    },
    /// The battery and the flow of a powered unit were checked.
    #[serde(rename = "powered-flow-checked.1")]
    PoweredFlowChecked {
        /// The unit.
        unit: UnitId,
        /// The flow found.
        flow: LitrePerMin,
        /// The least flow the maker asks for.
        least: LitrePerMin,
    },
    /// A unit was worn for a task.
    #[serde(rename = "worn.1")]
    Worn {
        /// The unit.
        unit: UnitId,
        /// By whom.
        wearer: PersonId,
        /// For which task.
        task: TaskId,
        /// How long in contaminated air.
        time: Minutes,
    },
    /// A wearer smelled, tasted or felt something inside the mask.
    #[serde(rename = "breakthrough-sensed.1")]
    BreakthroughSensed {
        /// The unit.
        unit: UnitId,
        /// Who wore it.
        wearer: PersonId,
        /// For which task.
        task: TaskId,
        /// What was sensed.
        sign: SeriousSign,
    },
    /// A change schedule, stricter than or equal to the computed one, was adopted for a task.
    #[serde(rename = "schedule-adopted.1")]
    ScheduleAdopted {
        /// The task.
        task: TaskId,
        /// The kind of element.
        element_type: ElementTypeId,
        /// Longest wear of one set.
        max_wear: Minutes,
        /// How many shifts one set may serve.
        shifts: u8,
    },
    /// The site asks something more often than the rules do.
    #[serde(rename = "policy-set.1")]
    PolicySet {
        /// Id of the rule that asks it.
        rule: String,
        /// How often the site asks it.
        every: Every,
    },
    /// A person was given a part in the program.
    #[serde(rename = "role-given.1")]
    RoleGiven {
        /// The person.
        person: PersonId,
        /// Name to show.
        name: String,
        /// The part.
        role: Role,
        /// The training or experience that was shown for it.
        shown: String,
        /// Last day it holds, if it ends.
        until: Option<Date>,
    },
    /// A person gave a part in the program back.
    #[serde(rename = "role-ended.1")]
    RoleEnded {
        /// The person.
        person: PersonId,
        /// The part.
        role: Role,
    },
    /// A wearer left the program.
    #[serde(rename = "wearer-left.1")]
    WearerLeft {
        /// The person.
        wearer: PersonId,
        /// Why, in a few words.
        why: String,
    },
    /// The written program was made or brought up to date.
    #[serde(rename = "program-written.1")]
    ProgramWritten {
        /// Its version or date.
        version: String,
        /// Where it can be read.
        kept_at: String,
    },
    /// The program was evaluated at the workplace.
    #[serde(rename = "program-evaluated.1")]
    ProgramEvaluated {
        /// What was found.
        found: String,
    },
    /// Wearers were asked about the program.
    #[serde(rename = "workers-consulted.1")]
    WorkersConsulted {
        /// Who, or how many.
        who: String,
        /// What they said of fit, selection, use and care.
        said: String,
    },
    /// Something is to be put right.
    #[serde(rename = "action-opened.1")]
    ActionOpened {
        /// The action.
        action: ActionId,
        /// What is to be done.
        what: String,
        /// Who does it.
        responsible: PersonId,
        /// Last day for it.
        until: Date,
    },
    /// It was put right.
    #[serde(rename = "action-closed.1")]
    ActionClosed {
        /// The action.
        action: ActionId,
        /// What was done.
        done: String,
    },
    /// A duty that leaves no other trace was shown to be kept.
    #[serde(rename = "duty-shown.1")]
    DutyShown {
        /// Id of the duty in the list of duties.
        duty: String,
        /// How it was shown.
        how: String,
        /// Last day on which that still shows it.
        until: Option<Date>,
    },
    /// What the maker asks of a model was noted.
    #[serde(rename = "maker-instructions-noted.1")]
    MakerInstructionsNoted {
        /// The model.
        model: ModelId,
        /// The parts approved for it.
        parts: Vec<SparePart>,
        /// Cleaners and disinfectants that the maker forbids.
        forbidden_cleaners: Vec<String>,
        /// Disinfectants that the maker recommends or approves, by the names used at the bench.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        approved_disinfectants: Vec<String>,
        /// Where that stands: title, edition, page.
        stands_in: String,
    },
    /// The maker's own seal check of a model was shown to be as good as the printed ones.
    #[serde(rename = "makers-seal-check-shown.1")]
    MakersSealCheckShown {
        /// The model.
        model: ModelId,
        /// How it was shown: the comparison, the report.
        how: String,
        /// Who vouches for it, by name or signature.
        signed: String,
    },
    /// A place where respirators are kept was listed.
    #[serde(rename = "place-listed.1")]
    PlaceListed {
        /// The place.
        place: PlaceId,
        /// Its name.
        name: String,
        /// Keeps out damage, dirt, dust, sunlight, heat, cold, moisture and chemicals, and keeps
        /// facepieces and valves in shape.
        protected: bool,
        /// Reached at once from where an emergency can happen, and marked.
        for_emergencies: bool,
    },
    /// A place where respirators are kept was listed, point by point.
    #[serde(rename = "place-listed.2")]
    PlaceDescribed {
        /// The place.
        place: PlaceId,
        /// Its name.
        name: String,
        /// What it keeps out.
        keeps_out: Vec<Harm>,
        /// Whether facepieces and exhalation valves keep their shape in it.
        keeps_shape: bool,
        /// Whether it is within reach of the work area.
        within_reach: bool,
        /// Whether it is plainly marked as holding sets for emergencies.
        marked: bool,
    },
    /// A respirator was put away.
    #[serde(rename = "stored.1")]
    Stored {
        /// The respirator.
        unit: UnitId,
        /// Where.
        place: PlaceId,
    },
    /// Elements, filtering facepieces or other supplies came in.
    #[serde(rename = "stock-received.1")]
    StockReceived {
        /// The box or lot.
        stock: StockId,
        /// What is in it.
        item: StockItem,
        /// The maker's lot.
        lot: String,
        /// How many.
        count: u32,
        /// Last day of its shelf life, if it ends.
        shelf_life_until: Option<Date>,
    },
    /// What is left of a box was counted.
    #[serde(rename = "stock-counted.1")]
    StockCounted {
        /// The box or lot.
        stock: StockId,
        /// How many are left.
        count: u32,
    },
    /// A filtering facepiece was taken from its box for one wearer.
    #[serde(rename = "facepiece-taken.1")]
    FacepieceTaken {
        /// The tag it gets.
        unit: UnitId,
        /// The box.
        stock: StockId,
        /// Its model.
        model: ModelId,
        /// Its size.
        size: String,
        /// Who keeps it.
        wearer: PersonId,
    },
    /// A step of the cleaning of a set was done.
    #[serde(rename = "care-step-done.1")]
    CareStepDone {
        /// The set.
        unit: UnitId,
        /// Which.
        step: CareStep,
    },
    /// A set was inspected point by point.
    #[serde(rename = "inspected.2")]
    InspectedByPoints {
        /// The set.
        unit: UnitId,
        /// On which occasion.
        occasion: InspectionOccasion,
        /// What was found at each point.
        points: Vec<PointFound>,
        /// Who inspected, by name or signature.
        signed: String,
        /// The remedial action, empty where none was needed.
        remedy: String,
        /// The serial number or another identification, as read from the set.
        serial: String,
    },
    /// A held set was repaired.
    #[serde(rename = "repaired.1")]
    Repaired {
        /// The set.
        unit: UnitId,
        /// Who repaired it.
        by: PersonId,
        /// How deep the repair went.
        scope: RepairScope,
        /// The parts put in.
        parts: Vec<SparePart>,
        /// The maker's instructions that were followed.
        instructions: String,
    },
    /// A repaired set was tested.
    #[serde(rename = "repair-tested.1")]
    RepairTested {
        /// The set.
        unit: UnitId,
        /// Whether it passed.
        passed: bool,
        /// How it was tested.
        how: String,
    },
    /// A held set was released by a named person.
    #[serde(rename = "released.2")]
    ReleasedBy {
        /// The set.
        unit: UnitId,
        /// Who released it.
        by: PersonId,
        /// What was done.
        done: String,
    },
    /// The battery of a powered set was checked.
    #[serde(rename = "battery-checked.1")]
    BatteryChecked {
        /// The set.
        unit: UnitId,
        /// Whether it is charged and sound.
        passed: bool,
        /// What was found.
        found: String,
    },
    /// A wearer checked the seal on donning.
    #[serde(rename = "seal-checked.1")]
    SealChecked {
        /// The set.
        unit: UnitId,
        /// The wearer.
        wearer: PersonId,
        /// Whether it held.
        passed: bool,
        /// How it was checked.
        way: SealCheck,
    },
    /// A fit test was done, written down as it was measured.
    #[serde(rename = "fit-tested.2")]
    FitMeasured {
        /// The person.
        wearer: PersonId,
        /// The model worn.
        model: ModelId,
        /// The size worn.
        size: String,
        /// Who tested.
        tester: PersonId,
        /// What was measured.
        record: FitRecord,
        /// Hair lay between the seal and the face, or another thing spoiled the seal.
        hair_in_seal: bool,
        /// What was noted of the seal.
        seal_note: String,
        /// Of a facepiece that is fed with air, which one was tested and how.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        tested_as: Option<TestedAs>,
        /// The set whose own facepiece was changed for that, or was on the face.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        unit: Option<UnitId>,
        /// Whether it was put back into its approved configuration at once.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        restored: Option<bool>,
        /// The instrument or the test kit that it was made with.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        instrument: Option<InstrumentId>,
    },
    /// An instrument for fit tests, or a kit for those by taste, smell or irritation, was listed.
    #[serde(rename = "instrument-listed.1")]
    InstrumentListed {
        /// What stands on it.
        instrument: InstrumentId,
        /// Its name.
        name: String,
        /// The maker's serial number.
        serial: String,
        /// What it is.
        serves: FitInstrument,
        /// The months between two calibrations, by its maker; none where the maker asks for none or it
        /// is not known.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        calibration_months: Option<u16>,
        /// Whether its maker asks for a check before use on each day.
        checked_before_use: bool,
        /// Where that stands: title, edition, page.
        stands_in: String,
    },
    /// An instrument was calibrated.
    #[serde(rename = "instrument-calibrated.1")]
    InstrumentCalibrated {
        /// The instrument.
        instrument: InstrumentId,
        /// Whether it was found or brought within the maker's bounds.
        passed: bool,
        /// By whom, and the number of the certificate.
        certificate: String,
        /// The last day on which it counts, where the certificate says one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        until: Option<Date>,
    },
    /// An instrument was checked as its maker asks, or a test kit cleaned and looked at.
    #[serde(rename = "instrument-checked.1")]
    InstrumentChecked {
        /// The instrument.
        instrument: InstrumentId,
        /// Whether it was in order.
        passed: bool,
        /// What was done and found.
        found: String,
    },
    /// An instrument was taken out of use.
    #[serde(rename = "instrument-withdrawn.1")]
    InstrumentWithdrawn {
        /// The instrument.
        instrument: InstrumentId,
        /// Why.
        why: String,
    },
    /// A solution for tests by taste or smell was made, or a nebuliser rinsed, shaken dry and filled.
    #[serde(rename = "fit-agent-prepared.1")]
    FitAgentPrepared {
        /// The bottle or the nebuliser, by what stands on it.
        stock: StockId,
        /// What.
        agent: FitAgent,
    },
    /// What was changed on a set for a fit test was undone.
    #[serde(rename = "restored.1")]
    Restored {
        /// The set.
        unit: UnitId,
        /// What was taken off and put back.
        done: String,
    },
    /// A cylinder was listed.
    #[serde(rename = "cylinder-listed.1")]
    CylinderListed {
        /// The tag on it.
        cylinder: CylinderId,
        /// The maker's serial number.
        serial: String,
        /// The row of the table of cylinders that its marking names, such as `CY02`.
        marking: String,
        /// Its rated pressure.
        rated: Kilopascal,
        /// How much water it holds.
        water_volume: Litres,
        /// The month it was made, by its first day.
        made: Date,
        /// The month it was requalified last, by its first day; that of its making for a new one.
        requalified: Date,
        /// Period and life by its maker or permit, where the table has none or these are stricter.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        terms: Option<CylinderTerms>,
        /// The part number on it, by which the approval of a set names it; empty where it was not
        /// told.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        part: String,
    },
    /// A cylinder was mounted on a set.
    #[serde(rename = "cylinder-mounted.1")]
    CylinderMounted {
        /// The cylinder.
        cylinder: CylinderId,
        /// The set.
        unit: UnitId,
    },
    /// A cylinder was filled.
    #[serde(rename = "cylinder-filled.1")]
    CylinderFilled {
        /// The cylinder.
        cylinder: CylinderId,
        /// Its pressure afterwards, settled.
        pressure: Kilopascal,
        /// From which supply.
        supply: Option<SupplyId>,
        /// With what; breathing air where it was not told.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        gas: Option<Gas>,
    },
    /// The pressure of a cylinder was read, wherever it is.
    #[serde(rename = "cylinder-gauged.1")]
    CylinderGauged {
        /// The cylinder.
        cylinder: CylinderId,
        /// The pressure read.
        read: Kilopascal,
    },
    /// A cylinder was requalified.
    #[serde(rename = "cylinder-requalified.1")]
    CylinderRequalified {
        /// The cylinder.
        cylinder: CylinderId,
        /// Whether it passed.
        passed: bool,
        /// The mark it carries now, and who put it on.
        mark: String,
    },
    /// A cylinder was taken out of service for good.
    #[serde(rename = "cylinder-withdrawn.1")]
    CylinderWithdrawn {
        /// The cylinder.
        cylinder: CylinderId,
        /// Why.
        why: String,
    },
    /// A supply of breathing air was listed.
    #[serde(rename = "supply-listed.1")]
    SupplyListed {
        /// The supply.
        supply: SupplyId,
        /// Its name.
        name: String,
        /// What it is.
        source: SupplySource,
        /// Its couplings fit no outlet of another gas or of air that is not for breathing.
        couplings_apart: bool,
        /// Whether it has an alarm for high temperature, where it is known.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        high_temperature_alarm: Option<bool>,
    },
    /// A set was connected to a supply.
    #[serde(rename = "supply-connected.1")]
    SupplyConnected {
        /// The set.
        unit: UnitId,
        /// The supply.
        supply: SupplyId,
    },
    /// The air of a supply was sampled.
    #[serde(rename = "air-sampled.1")]
    AirSampled {
        /// The supply.
        supply: SupplyId,
        /// What was reported.
        figures: AirFigures,
    },
    /// The air of a supply was tested for carbon monoxide alone. It never stands in for a full test.
    #[serde(rename = "carbon-monoxide-tested.1")]
    CarbonMonoxideTested {
        /// The supply.
        supply: SupplyId,
        /// How much was found.
        found: Ppm,
        /// How it was measured.
        method: String,
    },
    /// A sorbent bed or filter of a supply was changed; the tag says so.
    #[serde(rename = "sorbent-bed-changed.1")]
    SorbentBedChanged {
        /// The supply.
        supply: SupplyId,
        /// The person whom the employer authorised, by the signature on the tag.
        signed: String,
        /// Until when the maker's instructions let it serve.
        serves_until: Option<Date>,
    },
    /// The carbon monoxide alarm of a supply was checked.
    #[serde(rename = "carbon-monoxide-alarm-checked.1")]
    CarbonMonoxideAlarmChecked {
        /// The supply.
        supply: SupplyId,
        /// Whether it worked.
        passed: bool,
        /// At which level it alarms.
        alarms_at: Ppm,
    },
    /// Somebody looked at how a supply is built and stands, and at its lines.
    #[serde(rename = "supply-looked-over.1")]
    SupplyLookedOver {
        /// The supply.
        supply: SupplyId,
        /// Who looked, by name or signature.
        signed: String,
        /// Where its intake draws; empty where it has none.
        intake: String,
        /// Whether no contaminated air gets in there, where it has an intake.
        intake_clean: Option<bool>,
        /// Whether nothing but breathing air is put into its lines.
        air_alone: bool,
    },
    /// Cylinders of breathing air were bought for a supply.
    #[serde(rename = "air-bought.1")]
    AirBought {
        /// The supply.
        supply: SupplyId,
        /// The certificate of analysis that came with them: supplier, number, lot; empty where none came.
        certificate: String,
    },
    /// A certificate of the oxygen in a cylinder was read.
    #[serde(rename = "oxygen-certified.1")]
    OxygenCertified {
        /// The cylinder.
        cylinder: CylinderId,
        /// Its supplier, number and lot.
        certificate: String,
        /// Whether it says that the oxygen meets the pharmacopoeia for medical or breathing oxygen.
        meets: bool,
    },
    /// A group of people who are exposed alike was described.
    #[serde(rename = "exposure-group-described.1")]
    ExposureGroupDescribed {
        /// The group.
        group: GroupId,
        /// Its name.
        name: String,
        /// The tasks that its readings speak for.
        tasks: Vec<TaskId>,
    },
    /// The exposure of one of a group was measured.
    #[serde(rename = "exposure-measured.1")]
    ExposureMeasured {
        /// The group.
        group: GroupId,
        /// The contaminant.
        cas: Cas,
        /// The level, or the level that it lies below.
        level: Concentration,
        /// Whether it was detected.
        detected: bool,
        /// How long was sampled.
        sampled: Minutes,
        /// How it was measured.
        method: String,
    },
    /// People were posted outside while others go into immediately dangerous air for a task.
    #[serde(rename = "standby-posted.1")]
    StandbyPosted {
        /// The task.
        task: TaskId,
        /// Who stands outside.
        outside: Vec<PersonId>,
        /// The sets that they have at hand, in the same order.
        sets: Vec<UnitId>,
        /// Who of them has another role, which can be left at once without danger to anybody.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        other_role: Vec<PersonId>,
        /// Who goes in; whoever does the task where nobody is named.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        inside: Vec<PersonId>,
        /// How those outside and those inside keep in touch.
        contact: Vec<Contact>,
        /// How those inside keep in touch with each other, where they go in together.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        together: Vec<Contact>,
        /// How who is inside would be brought out.
        retrieval: Retrieval,
        /// Who of the employer is told before anybody goes in for a rescue, and how.
        notify: String,
        /// What help comes then.
        help: String,
        /// Until when they stand there.
        until: Timestamp,
    },
    /// Those who stood outside for a task were stood down before their time.
    #[serde(rename = "standby-ended.1")]
    StandbyEnded {
        /// The task.
        task: TaskId,
        /// Why.
        why: String,
    },
    /// A named person accepted that elements may be worn again beyond the usual floor.
    #[serde(rename = "reuse-accepted.1")]
    ReuseAccepted {
        /// The task.
        task: TaskId,
        /// The kind of element.
        element_type: ElementTypeId,
        /// How many shifts one set may serve.
        shifts: u8,
        /// Who accepts it.
        by: PersonId,
        /// The calibrated calculation that it rests on, in words.
        basis: String,
        /// What that calculation gave; without it nothing is lifted.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        calculation: Option<ReuseCalculation>,
    },
}
}
