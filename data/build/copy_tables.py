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
respirator_performance_limits breathing_rates breathing_air literature_findings""".split()
CHECKS = """measured_breakthrough predicted_table compound_properties isotherms mixture_isotherms
ppm_mg_m3 humidity_conversion""".split()
ADDRESS = re.compile(r"(https?://\S+|www\.\S+)")


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


def copy(source, target, corrections):
    with open(source, newline="", encoding="utf-8") as file:
        reader = csv.DictReader(file)
        columns = [c for c in reader.fieldnames if not c.endswith("seen_at")]
        rows = list(reader)
    for row in rows:
        for fix in corrections:
            if fix["file"] == target.name and fix["id"] == row.get("id"):
                assert row[fix["column"]] == fix["printed"], fix
                row[fix["column"]] = fix["corrected"]
    with open(target, "w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(columns)
        for row in rows:
            writer.writerow([ADDRESS.sub("", row[c]).strip() for c in columns])


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1]))
