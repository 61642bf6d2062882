"""Writes data/substances.csv from the reference tables and the two property libraries.

Every value keeps the library, its version and its own method name as source. Nothing is invented:
where a library has no value the cell is blank. Exceptions are rows of overrides.csv, each with a reason.
"""
import csv
import importlib.metadata
import math
import pathlib
import re
import warnings

from chemicals import Tb, Tb_methods, Tc, Tm, Pc, Vc, Zc, RI, RI_methods, omega
from chemicals.dipole import dipole_moment
from chemicals.identifiers import check_CAS, search_chemical
from rdkit import Chem, RDLogger
from thermo import VaporPressure, VolumeLiquid

from names import key, plain_names, synonyms_of_table

warnings.simplefilter("ignore")
RDLogger.DisableLog("rdApp.*")

DATA = pathlib.Path(__file__).resolve().parent.parent
CHEMICALS = "chemicals " + importlib.metadata.version("chemicals")
THERMO = "thermo " + importlib.metadata.version("thermo")
PSAT_TEMPERATURES = range(0, 55, 5)
DENSITY_TEMPERATURES = range(0, 60, 10)
ATMOSPHERE = 101325.0
KELVIN = 273.15
GAS_CONSTANT = 8.314462618
# Equations that estimate from critical constants or from the formula rather than fit measurements.
ESTIMATING_PRESSURE = {"AMBROSE_WALTON", "LEE_KESLER_PSAT", "EDALAT", "BOILING_CRITICAL", "EOS", "SANJARI"}
# Reference equations of single well-measured substances are taken as they are.
REFERENCE_PRESSURE = {"IAPWS_PSAT", "HEOS_FIT", "HUBER_LAESECKE_FRIEND_2006"}
ESTIMATING_DENSITY = {"MMSNM0", "HTCOSTALD", "YEN_WOODS_SAT", "RACKETT", "YAMADA_GUNN", "BHIRUD_NORMAL",
                      "TOWNSEND_HALES", "CAMPBELL_THODOS", "EOS"}
ESTIMATING_BOILING_POINT = {"JOBACK", "WILSON_JASPERSON"}
# Above this temperature an organic is no gas at 25 C; below the second, carbon hardly holds it at all.
GAS_BELOW_C = 25.0
ASPHYXIANT_BELOW_C = -20.0
MIST_BELOW_KPA = 0.1
VOLATILE_SOLID_KPA = 1.0
GUESSED_BELOW_KPA = 0.05
# A vapour counts beside the particles when saturated air reaches this part of the lowest limit.
VAPOUR_MATTERS_AT = 0.1


def main():
    overrides = read_overrides()
    names = synonyms_of_table(read("exposure_limits.csv"))
    for row in read("build/more_substances.csv"):
        names.setdefault(row["cas"], []).append(row["name"])
    for row in read("checks/compound_properties.csv"):
        names.setdefault(row["cas"], [row["compound"]])
    for row in read("substance_rules.csv"):
        if row["cas"]:
            names.setdefault(row["cas"], [row["substance"]])
    limits = lowest_limits()
    rows = [substance(cas, names.get(cas, []), overrides.get(cas, {}), limits.get(cas)) for cas in every_cas(names)]
    drop_shared_synonyms(rows)
    with open(DATA / "substances.csv", "w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    report(rows)


def read(name):
    with open(DATA / name, newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def read_overrides():
    table = {}
    for row in read("build/overrides.csv"):
        kept = table.setdefault(row["cas"], {}).setdefault(row["column"], [])
        kept.append((row["value"], row["reason"]))
    return table


def drop_shared_synonyms(rows):
    """A name must lead to one substance: drops a synonym that is another's name or that two would claim."""
    owners = {}
    for row in rows:
        for one in [row["name"]] + row["synonyms"].split("|"):
            owners.setdefault(key(one), set()).add(row["cas"])
    names = {key(row["name"]): row["cas"] for row in rows}
    assert len(names) == len(rows)
    bare = {}
    for row in rows:
        bare.setdefault(without_places(row["name"]), set()).add(row["cas"])
    for row in rows:
        # `dichloroethylene` says no place: it would lead from one isomer to another.
        kept = [s for s in row["synonyms"].split("|") if s and len(owners[key(s)]) == 1
                and (any(c.isdigit() for c in s) or bare.get(without_places(s), set()) <= {row["cas"]})]
        row["synonyms"] = "|".join(kept)


def without_places(name):
    return re.sub(r"[^a-z]", "", re.sub(r"\b(cis|trans|[omp])-", "", name.lower()))


def every_cas(names):
    found = set(names)
    for path in ["exposure_limits", "substance_rules", "certification_tests", "checks/measured_breakthrough",
                 "checks/predicted_table", "checks/compound_properties", "checks/isotherms",
                 "checks/mixture_isotherms", "build/more_substances"]:
        for row in read(path + ".csv"):
            found.update(row[c] for c in ("cas", "agent_cas", "cas_1", "cas_2") if row.get(c))
    assert all(check_CAS(cas) for cas in found)
    return sorted(found, key=lambda cas: [int(part) for part in cas.split("-")])


def lowest_limits():
    """Lowest figure of each substance, mg/m3 (ppm turned at 25 C in `vapour_matters`)."""
    lowest = {}
    for row in read("exposure_limits.csv"):
        if not row["cas"]:
            continue
        kept = lowest.setdefault(row["cas"], {"ppm": [], "mg": []})
        for column in ["pel_ppm", "ceiling_ppm", "rel_twa_ppm", "rel_ceiling_ppm"]:
            kept["ppm"] += [float(row[column])] if row[column] else []
        for column in ["pel_mg_m3", "ceiling_mg_m3", "rel_twa_mg_m3", "rel_ceiling_mg_m3"]:
            kept["mg"] += [float(row[column])] if row[column] else []
    return lowest


def substance(cas, table_names, override, limit):
    said = {column: values[0] for column, values in override.items()}
    stand_in, stand_in_reason = said.get("stand_in", (None, ""))
    source_cas = stand_in or cas
    entry = entry_of(source_cas)
    smiles = said.get("smiles", (entry.smiles if entry else "", ""))[0]
    molecule = Chem.MolFromSmiles(smiles) if smiles else None
    notes = [f"stand-in {stand_in}: {stand_in_reason}"] if stand_in else []
    mass, mass_source = molar_mass(source_cas, entry, said)
    boiling, boiling_source = boiling_point(source_cas, said)
    kind = family(molecule, smiles, entry, said)
    organic = is_organic(molecule)
    pressures, pressure_method, pressure_basis = vapour_pressures(source_cas, boiling, notes)
    densities, density_method, density_basis = densities_of(source_cas, mass, said, notes)
    state = said["state_25C"][0] if "state_25C" in said else state_at_25(source_cas, boiling, pressures)
    group, group_basis, mist = classify(said, organic, molecule, state, boiling, pressures,
                                          pressure_basis, mass, limit)
    if group == "particulate" and pressure_basis == "estimated":
        pressures, pressure_method, pressure_basis = {}, "", ""
    if group == "particulate" and density_basis == "estimated":
        densities, density_method, density_basis = {}, "", ""
    if stand_in:
        pressure_basis, density_basis = ("estimated" if pressures else ""), ("estimated" if densities else "")
    index, index_temperature, index_source, index_basis = refractive_index(source_cas, said, stand_in)
    name, synonyms = plain_names(cas, entry_of(cas), table_names, override, stand_in)
    poor, poor_reason = poor_sorbent(group, said, boiling)
    row = {
        "cas": cas, "name": name, "synonyms": "|".join(synonyms),
        "formula": "" if stand_in else said.get("formula", (entry.formula if entry else "", ""))[0],
        "smiles": "" if stand_in else smiles, "family": kind, "class": group, "class_basis": group_basis,
        "also_particulate": mist, "poor_sorbent": poor, "poor_sorbent_reason": poor_reason,
        "molar_mass_g_mol": number(mass, 7), "molar_mass_source": mass_source,
        "boiling_point_C": number(boiling, 6), "boiling_point_source": boiling_source,
    }
    row |= {f"psat_kPa_{t}": number(pressures.get(t), 6) for t in PSAT_TEMPERATURES}
    row |= {"psat_method": pressure_method, "psat_basis": pressure_basis}
    row |= {f"density_g_cm3_{t}": number(densities.get(t), 6) for t in DENSITY_TEMPERATURES}
    row |= {"density_method": density_method, "density_basis": density_basis,
            "refractive_index": number(index, 6), "refractive_index_temp_C": number(index_temperature, 4),
            "refractive_index_source": index_source, "refractive_index_basis": index_basis,
            "structure": structure(molecule) if organic else "", "state_25C": state, "note": "; ".join(notes)}
    check_polarisation(row)
    return row


def entry_of(cas):
    try:
        return search_chemical(cas)
    except ValueError:
        return None


def molar_mass(cas, entry, said):
    if "molar_mass_g_mol" in said:
        value, reason = said["molar_mass_g_mol"]
        return float(value), reason
    return (entry.MW, f"{CHEMICALS} MW") if entry else (None, "")


def boiling_point(cas, said):
    if "boiling_point_C" in said:
        value, reason = said["boiling_point_C"]
        return (float(value) if value else None), reason
    methods = [m for m in Tb_methods(cas) if m not in ESTIMATING_BOILING_POINT]
    if not methods:
        return None, ""
    return Tb(cas) - KELVIN, f"{CHEMICALS} Tb {methods[0]}"


def vapour_pressures(cas, boiling, notes):
    """Saturation pressures, kPa, by the first method of the library, in its own order, that passes the checks."""
    library = VaporPressure(CASRN=cas, Tb=boiling_kelvin(boiling), Tc=Tc(cas), Pc=Pc(cas), omega=omega(cas))
    default = library.method
    others = [m for m in VaporPressure.ranked_methods if m in library.all_methods and m != default]
    for method in [default] + others if default else []:
        found = pressure_table(library, method, Tc(cas) or math.inf)
        if found and believable(library, method, boiling, found[25]):
            break
    else:
        if default:
            notes.append(f"vapour pressure: no library method passed the checks (default {default})")
        return {}, "", ""
    if method != default:
        notes.append(f"vapour pressure: library default {default} failed the checks")
    low, high = library.T_limits[method]
    if low > KELVIN + 1 or high < KELVIN + 49:
        notes.append(f"vapour pressure extrapolated by the library outside {low - KELVIN:.0f} to {high - KELVIN:.0f} C")
    basis = "estimated" if method in ESTIMATING_PRESSURE else "correlation"
    return found, f"{THERMO} VaporPressure method {method}", basis


def boiling_kelvin(boiling):
    return None if boiling is None else boiling + KELVIN


def pressure_table(library, method, critical):
    library.method = method
    found, last = {}, 0.0
    for t in PSAT_TEMPERATURES:
        if t + KELVIN >= critical:
            return {}
        value = library.T_dependent_property(t + KELVIN)
        if not value or isinstance(value, complex) or not math.isfinite(value) or not last < value < 1e8:
            return {}
        found[t], last = value / 1000, value
    return found


def believable(library, method, boiling, at_25):
    """A fit to measurements must be near the rule of Trouton, or meet the boiling point; an estimate must do both."""
    if boiling is None or method in REFERENCE_PRESSURE:
        return method not in ESTIMATING_PRESSURE
    ratio = at_25 / trouton(boiling)
    low, high = library.T_limits[method]
    library.method = method
    value = library.T_dependent_property(boiling + KELVIN)
    meets = bool(value) and not isinstance(value, complex) and abs(value / ATMOSPHERE - 1) <= (
        0.10 if method in ESTIMATING_PRESSURE else 0.05)
    if method in ESTIMATING_PRESSURE:
        return method in ("AMBROSE_WALTON", "LEE_KESLER_PSAT") and meets and 0.1 < ratio < 3
    covers = low - 45 <= 25 + KELVIN <= high + 45
    return 0.005 < ratio < 4 and (meets or covers)


def trouton(boiling):
    """Vapour pressure at 25 C, kPa, from the boiling point; only to test and to sort, never written to the table.

    Mackay, Bobra, Chan, Shiu 1982, Environ. Sci. Technol. 16:645-649; value from memory.
    """
    ratio = (boiling + KELVIN) / (25 + KELVIN)
    return ATMOSPHERE / 1000 * math.exp(
        -(4.4 + math.log(boiling + KELVIN)) * (1.803 * (ratio - 1) - 0.803 * math.log(ratio)))


def densities_of(cas, mass, said, notes):
    pressure = VaporPressure(CASRN=cas, Tb=Tb(cas), Tc=Tc(cas), Pc=Pc(cas), omega=omega(cas))
    library = VolumeLiquid(CASRN=cas, MW=mass, Tb=Tb(cas), Tc=Tc(cas), Pc=Pc(cas), Vc=Vc(cas), Zc=Zc(cas),
                           omega=omega(cas), dipole=dipole_moment(cas), Psat=pressure)
    default = library.method
    order = [default] + [m for m in VolumeLiquid.ranked_methods if m in library.all_methods and m != default]
    for method in order if default and mass else []:
        library.method = method
        found = density_table(library, mass, Tc(cas) or math.inf)
        if found:
            break
    else:
        return {}, "", ""
    if method != default:
        notes.append(f"density: library default {default} failed the checks")
    basis = "estimated" if method in ESTIMATING_DENSITY else "correlation"
    if "density_g_cm3" in said:
        value, reason = said["density_g_cm3"]
        scale = float(value) / found[20]
        return ({t: d * scale for t, d in found.items()},
                f"{value} g/cm3 at 20 C: {reason}; course with temperature {THERMO} VolumeLiquid method {method}",
                "memory")
    return found, f"{THERMO} VolumeLiquid method {method}", basis


def density_table(library, mass, critical):
    found, last = {}, math.inf
    constant = library.method in ("CRC_INORG_L_CONST", "COMMON_CHEMISTRY")
    for t in DENSITY_TEMPERATURES:
        if t + KELVIN >= critical:
            return {}
        volume = library.T_dependent_property(t + KELVIN)
        if not volume or isinstance(volume, complex) or not math.isfinite(volume) or volume <= 0:
            return {}
        density = mass / volume / 1e6
        # Water is densest near 4 C: a rise of less than one in a thousand is let pass.
        if not 0.2 < density < 25 or (density >= last * 1.001 and not constant):
            return {}
        found[t], last = density, density
    return found


def refractive_index(cas, said, stand_in):
    if "refractive_index" in said:
        value, reason = said["refractive_index"]
        return float(value), float(said["refractive_index_temp_C"][0]), reason, "memory"
    methods = RI_methods(cas)
    if not methods:
        return None, None, "", ""
    value, at = RI(cas)
    if not value or not at or not 1.2 < value < 1.8:
        return None, None, "", ""
    return value, at - KELVIN, f"{CHEMICALS} RI {methods[0]}", "estimated" if stand_in else "measured"


def state_at_25(cas, boiling, pressures):
    melting = Tm(cas)
    if boiling is not None and boiling < 25 or pressures and pressures[25] > ATMOSPHERE / 1000:
        return "gas"
    if melting is not None:
        return "solid" if melting - KELVIN > 25 else "liquid"
    return "liquid" if pressures and pressures[25] > 1e-3 else "solid"


def is_organic(molecule):
    if molecule is None:
        return False
    allowed = {"C", "H", "N", "O", "S", "P", "F", "Cl", "Br", "I", "Si"}
    symbols = {atom.GetSymbol() for atom in molecule.GetAtoms()}
    if Chem.GetFormalCharge(molecule):
        return False
    return "C" in symbols and symbols <= allowed and len(Chem.GetMolFrags(molecule)) == 1 and (
        any(a.GetSymbol() == "C" and (a.GetTotalNumHs() or any(
            n.GetSymbol() in ("C", "F", "Cl", "Br", "I") for n in a.GetNeighbors())) for a in molecule.GetAtoms()))


FAMILIES = [
    ("isocyanate", "N=C=O"), ("phosphate ester", "P(=[O,S])([O,S])[O,S]"), ("nitro", "[N+](=O)[O-]"), ("nitrile", "C#N"),
    ("acid", "C(=O)[OX2H]"), ("anhydride", "C(=O)OC(=O)"), ("ester", "C(=O)O[#6]"), ("amide", "C(=O)N"),
    ("aldehyde", "[CX3H1,CX3H2](=O)"), ("ketone", "[#6]C(=O)[#6]"),
    ("glycol ether", "[#6]O[CH2][CH2,CH]O"), ("phenol", "c[OX2H]"), ("epoxide", "C1OC1"),
    ("amine", "[NX3;!$(N=O);!$(NC=O)]"), ("amine", "n"), ("alcohol", "[CX4][OX2H]"), ("sulfur organic", "[#6][S;X1,X2]"),
    ("sulfur organic", "[#16]"), ("silicate", "[Si]"), ("ether", "[#6][OX2][#6]"), ("chlorinated", "[Cl]"), ("halogenated", "[F,Br,I]"), ("aromatic", "c"),
    ("alkyne", "C#C"), ("alkene", "C=C"), ("alkane", "[CX4]"),
]
FAMILIES = [(name, Chem.MolFromSmarts(pattern)) for name, pattern in FAMILIES]


def family(molecule, smiles, entry, said):
    if "family" in said:
        return said["family"][0]
    if is_organic(molecule):
        for name, pattern in FAMILIES:
            if molecule.HasSubstructMatch(pattern):
                return "halogenated" if name == "chlorinated" and any(
                    a.GetSymbol() in ("F", "Br", "I") for a in molecule.GetAtoms()) else name
        return "other"
    return "inorganic"


def classify(said, organic, molecule, state, boiling, pressures, basis, mass, limit):
    """The class, why, and whether particles are to be expected as well."""
    mist = said["also_particulate"][0] if "also_particulate" in said else None
    if "class" in said:
        group, reason = said["class"]
        return group, reason, mist or "no"
    if not organic:
        return ("particulate", "rule: solid that is no organic compound", mist or "no")
    if state == "gas" and boiling is not None and boiling < ASPHYXIANT_BELOW_C:
        return ("no_known_sorbent", f"rule: organic gas boiling below {ASPHYXIANT_BELOW_C:.0f} C; common practice, no source", "no")
    if is_light_amine(molecule, boiling):
        return "ammonia_amine", "rule: aliphatic amine boiling below 60 C; common practice, no source", "no"
    # Only to sort: where the library has no vapour pressure, the boiling point says roughly how volatile it is.
    at_25 = pressures[25] if pressures else trouton(boiling) if boiling is not None else 0.0
    guessed = basis != "correlation"
    heavy = at_25 < MIST_BELOW_KPA or state == "solid" and at_25 < VOLATILE_SOLID_KPA
    if heavy and limit and limit["ppm"]:
        return "organic_vapour", "rule: organic compound with a limit in ppm, which is a limit for vapour", mist or "yes"
    if at_25 == 0.0:
        return "particulate", "rule: organic of no known vapour pressure, a solid or heavy liquid; common practice, no source", mist or "no"
    if guessed and state == "solid" and at_25 < GUESSED_BELOW_KPA:
        return "particulate", "rule: organic solid, vapour pressure low and only estimated; common practice, no source", mist or "no"
    if heavy and not vapour_matters(at_25, mass, limit):
        return ("particulate", f"rule: saturated vapour at 25 C stays below {VAPOUR_MATTERS_AT} of the lowest limit; common practice, no source", "no")
    return ("organic_vapour", "rule: organic compound whose vapour can reach a tenth of the lowest limit", mist or ("yes" if heavy else "no"))


def is_light_amine(molecule, boiling):
    amine = Chem.MolFromSmarts("[NX3;!$(N=*);!$(N-[!#6;!#1]);!$(NC=O);!$(N-c)]")
    return boiling is not None and boiling < 60 and molecule.HasSubstructMatch(amine)


def vapour_matters(pressure_kpa, mass, limit):
    saturated = pressure_kpa * mass / (GAS_CONSTANT * (25 + KELVIN)) * 1e6
    figures = list(limit["mg"]) if limit else []
    figures += [ppm * mass / 24.45 for ppm in limit["ppm"]] if limit else []
    if not figures:
        return pressure_kpa > 1e-3
    return saturated >= VAPOUR_MATTERS_AT * min(figures)


def poor_sorbent(group, said, boiling):
    if group != "organic_vapour":
        return "no", ""
    if "poor_sorbent" in said:
        return said["poor_sorbent"]
    if boiling is not None and boiling < GAS_BELOW_C:
        return "yes", "rule: a gas at 25 C, which organic-vapour carbon hardly holds; common practice, no source"
    return "no", ""


PARTS = [
    ("nitrate", "[OX2][N+](=O)[O-]"), ("nitro_aromatic", "c[N+](=O)[O-]"), ("nitro", "C[N+](=O)[O-]"),
]
PARTS = [(name, Chem.MolFromSmarts(pattern)) for name, pattern in PARTS]
CARBONYL = Chem.MolFromSmarts("[CX3]=[OX1]")


def structure(molecule):
    """Counts of atoms and bonds by kind, as the estimation methods need them."""
    if any(a.GetFormalCharge() and a.GetSymbol() not in ("N", "O") for a in molecule.GetAtoms()):
        return ""
    counts, taken = {}, set()

    def add(key, n=1):
        counts[key] = counts.get(key, 0) + n

    for name, pattern in PARTS:
        for match in molecule.GetSubstructMatches(pattern):
            group = set(match[1:] if name != "nitrate" else match)
            if not group & taken:
                add(name)
                taken |= group
    kekule = Chem.Mol(molecule)
    Chem.Kekulize(kekule, clearAromaticFlags=True)
    for atom in kekule.GetAtoms():
        add("H", atom.GetTotalNumHs())
        add("heavy_" + atom.GetSymbol())
        if atom.GetIdx() not in taken:
            add(atom_kind(atom))
    for bond in kekule.GetBonds():
        ends = {bond.GetBeginAtom().GetSymbol(), bond.GetEndAtom().GetSymbol()}
        if ends == {"C"} and bond.GetBondTypeAsDouble() == 2:
            add("double_bond")
        if ends == {"C"} and bond.GetBondTypeAsDouble() == 3:
            add("triple_bond")
    rings = molecule.GetRingInfo()
    add("ring", rings.NumRings())
    add("fused_ring", sum(1 for n in range(rings.NumRings()) if rings.IsRingFused(n)))
    add("three_ring", sum(1 for r in rings.AtomRings() if len(r) == 3))
    add("four_ring", sum(1 for r in rings.AtomRings() if len(r) == 4))
    add("hydrogen_bonding", hydrogen_bonding(molecule))
    return " ".join(f"{key}:{n}" for key, n in sorted(counts.items()) if n)


def atom_kind(atom):
    symbol = atom.GetSymbol()
    orders = [b.GetBondTypeAsDouble() for b in atom.GetBonds()]
    if symbol == "O":
        return "O_carbonyl" if 2 in orders else "O_hydroxyl" if atom.GetTotalNumHs() else "O_ether"
    if symbol == "N":
        if 3 in orders:
            return "N_nitrile"
        if 2 in orders:
            return "N_double"
        return {2: "N_primary", 1: "N_secondary", 0: "N_tertiary"}.get(atom.GetTotalNumHs(), "N_other")
    if symbol == "S":
        return "S_thiol" if atom.GetTotalNumHs() else "S_sulfide" if orders == [1, 1] else "S_double" if orders == [2] else "S_other"
    return symbol


BONDING = [Chem.MolFromSmarts(p) for p in
           ("[OX2H]", "[NX3;H1,H2;!$(NC=O)]", "C(=O)[NX3]", "S(=O)")]


def hydrogen_bonding(molecule):
    return sum(len(molecule.GetSubstructMatches(pattern)) for pattern in BONDING)


def check_polarisation(row):
    if not row["refractive_index"] or not row["density_g_cm3_20"]:
        return
    square = float(row["refractive_index"]) ** 2
    value = (square - 1) / (square + 2) * float(row["molar_mass_g_mol"]) / float(row["density_g_cm3_20"])
    assert 3 < value < 150, (row["cas"], value)


def number(value, digits):
    return "" if value is None else f"{value:.{digits}g}"


def report(rows):
    groups = {}
    for row in rows:
        groups[row["class"]] = groups.get(row["class"], 0) + 1
    complete = [r for r in rows if r["name"] and (r["class"] == "particulate" or r["molar_mass_g_mol"] and (
        r["class"] != "organic_vapour" or (
            r["psat_kPa_25"] or r["boiling_point_C"]) and (r["density_g_cm3_20"] or r["structure"]) and (
            r["refractive_index"] or r["structure"])))]
    print(len(rows), "rows;", len(complete), "with the properties of their class;", groups)
    for row in rows:
        if row not in complete:
            print("incomplete:", row["cas"], row["name"], row["class"])


if __name__ == "__main__":
    main()
