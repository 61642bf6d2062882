"""Copies the reference tables into data/, without the columns of web addresses.

Usage: python copy_tables.py SOURCE_FOLDER

Corrections to misprints are applied from corrections.csv; each is a row with its reason.
"""
import csv
import pathlib
import re
import shutil
import sys

DATA = pathlib.Path(__file__).resolve().parent.parent
USED = """exposure_limits apf substance_rules certification_tests cartridge_max_use
respirator_performance_limits breathing_rates breathing_air literature_findings fit_protocols
cleaning cylinders duties""".split()
CHECKS = """measured_breakthrough predicted_table compound_properties isotherms mixture_isotherms
ppm_mg_m3 humidity_conversion fit_factor_examples exposure_statistics tolerance_k_factors
air_compressibility cylinder_air_examples dew_point""".split()
ADDRESS = re.compile(r"(https?://\S+|www\.\S+)")
# Programs for statistics are not named; what they printed is kept.
PACKAGE = re.compile(r"R package \w+(, help page \w+)?")


def main(source):
    with open(DATA / "build" / "corrections.csv", newline="", encoding="utf-8") as file:
        corrections = list(csv.DictReader(file))
    for name in USED:
        copy(source / f"{name}.csv", DATA / f"{name}.csv", corrections)
    for name in CHECKS:
        copy(source / f"{name}.csv", DATA / "checks" / f"{name}.csv", corrections)
    bed = DATA / "checks" / "bed"
    bed.mkdir(parents=True, exist_ok=True)
    for path in sorted((source / "bed").iterdir()):
        shutil.copyfile(path, bed / path.name)


def left_out():
    """Rows that are not copied, by file and id, each with its reason in left_out.csv."""
    with open(DATA / "build" / "left_out.csv", newline="", encoding="utf-8") as file:
        return {(row["file"], row["id"]) for row in csv.DictReader(file)}


def copy(source, target, corrections):
    with open(source, newline="", encoding="utf-8") as file:
        reader = csv.DictReader(file)
        columns = [c for c in reader.fieldnames if not c.endswith("seen_at")]
        rows = [row for row in reader if (target.name, row.get("id")) not in left_out()]
    for row in rows:
        for fix in corrections:
            if fix["file"] == target.name and fix["id"] == row.get("id"):
                assert row[fix["column"]] == fix["printed"], fix
                row[fix["column"]] = fix["corrected"]
    with open(target, "w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(columns)
        for row in rows:
            writer.writerow([plain(row[c]) for c in columns])


def plain(cell):
    return PACKAGE.sub("a published statistics package", ADDRESS.sub("", cell)).strip()


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1]))
