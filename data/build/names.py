"""Plain-language names: those of the limit table first, then those of the library that a person would say.

A library lists trade names and codes beside chemical names. Only names whose every word is built
from the parts of chemical words are kept, so that no trade name slips in.
"""
import re

MOST = 8
CORES = """
meth eth prop but pent hex hept oct non dec undec dodec benz phen tolu xyl cres anis naphth cumen cumene styr styrene
furan furfur pyrid pyrrolid morphol piper anil aniline amyl allyl vinyl acryl methacryl croton acet aceto formal form
formic acetic propion butyr acrylic methacrylic maleic phthalic oxalic carbonic hydrochloric hydrobromic hydrofluoric
hydrocyanic nitric sulfuric phosphoric acid alcohol ether ester ketone aldehyde anhydride glycol glycidyl glycerol
chlor fluor brom iod chloro fluoro bromo iodo chloride fluoride bromide iodide cyan cyano cyanide cyanate
hydro hydrogen hydroxy hydroxide perchloro sulf sulfur sulfide sulfate sulfon sulfoxide thio thiol mercaptan
phosph phosphate phosphorus phosphine carbon carbonyl silic silicate silane arsen arsine stib mercury tetrachloride
dichloride trichloride dioxide monoxide trioxide oxide peroxide oxygen nitrogen ammonia epoxy oxirane dioxane dioxolane
benzene toluene xylene naphthalene phenol cresol acetone quinone hydroquinone camphor pinene limonene turpentine
isophorone mesityl acetate formate propionate acrylate methacrylate carbonate nitrate nitrite nitrile nitro nitroso
butyrate lactone lactam hydrazine ketene acrolein biphenyl diphenyl phenyl benzyl tolyl naphthyl anisidine
toluidine xylidine methan ethan propan butan amine amino amide imine isocyanate ethoxy methoxy butoxy propoxy
""".split()
ENDS = "an ane en ene yne yl ylene ylidene ol one al ate ite ide oxy amine amide imine nitrile thiol diol triol dione".split()
BEFORE = "iso neo sec tert cyclo di tri tetra penta hexa mono bis tris per".split()
ALONE = "n o m p sec tert iso cis trans alpha beta gamma ortho meta para and of normal water lead tin zinc gas".split()
CORES, ENDS, BEFORE, ALONE = set(CORES), set(ENDS), set(BEFORE), set(ALONE)
BORDERS = CORES | ENDS | BEFORE
WORD = re.compile(r"[A-Za-z]+")


def chemical_word(word):
    """Whether the word can be cut into parts of chemical words without a rest, one of them a core."""
    word = word.lower()
    if word in ALONE:
        return True
    reach = {(0, False)}
    for end in range(1, len(word) + 1):
        for start in range(end):
            part = word[start:end]
            if part in BORDERS:
                reach |= {(end, had or part in CORES) for at, had in set(reach) if at == start}
    return (len(word), True) in reach


def sayable(name):
    words = WORD.findall(name)
    return (name.isascii() and 4 <= len(name) <= 40 and max((len(w) for w in words), default=0) > 3
            and not re.search(r"[|\[\]{};=\"^*<>+_%?/]|\(.*\)|[, ]\d+$|, | \d|-$|[a-z]-?\d+$", name)
            and re.fullmatch(r"(?:[\d',]+-|[A-Za-z]+|[ -]|-\d+(?:,\d+)*-|,)+", name) is not None
            and not re.search(r"(^|[- ])a-|ol-\d|\d{3}", name)
            and all(chemical_word(w) for w in words))


NO_NAME = re.compile(r"inorganic|compounds|respirable|except|dust|soluble|yellow|synthetic|mixture|coal tar|rubber|use |containing")


def synonyms_of_table(rows):
    """Names per CAS in the limit table, cross references led to the line they point to."""
    names, by_line = {}, {}
    for row in rows:
        if row["cas"]:
            names.setdefault(row["cas"], []).append(row["substance"])
            by_line.setdefault(row["substance"].lower(), row["cas"])
    for row in rows:
        target = row["see"].lower()
        if row["kind"] == "cross-reference" and target in by_line:
            names[by_line[target]].append(row["substance"])
    return names


def split_table_name(text):
    """`2-Butanone (methyl ethyl ketone)` is two names; `(as Pb)` and its like say no name."""
    text = re.sub(r"\s*\((as [^)]*|all isomers|o-, ?[^)]*isomers|<[^)]*|\d+%[^)]*|mist|vapor|organo|undoped)\)", "", text).strip()
    found = re.fullmatch(r"(.*?)\s*\((.*)\)", text)
    if found and NO_NAME.search(found[2]):
        return [found[1].strip()]
    if found and len(found[1]) > 2 and len(found[2]) > 2 and "(" not in found[2].split(")")[0]:
        return [found[1].strip(), found[2].strip()]
    return [text]


def plain_names(cas, entry, table_names, override, stand_in):
    table = [part for name in table_names for part in split_table_name(name)]
    said = override.get("name")
    library = [] if entry is None or stand_in and cas != "8006-64-2" else [entry.common_name, entry.iupac_name]
    name = said[0][0] if said else table[0] if table else (library[0].capitalize() if library else cas)
    listed = [s for value, _ in override.get("synonyms", []) for s in value.split("|")]
    if entry is not None and not stand_in:
        more = [s for s in entry.synonyms if sayable(s)]
        library = [s for s in library if sayable(s)] + more
    refused = {key(value) for value, _ in override.get("exclude_synonym", [])} | {key(name)}
    kept = []
    for one in table + listed + library:
        if one and one.isascii() and key(one) not in refused:
            refused.add(key(one))
            kept.append(one)
    room = max(MOST, len(table) + len(listed))
    return name, kept[:room]


def key(name):
    return re.sub(r"[^a-z0-9]", "", name.lower())
