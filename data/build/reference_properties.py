"""Writes data/checks/properties_50.csv: properties of 50 varied substances straight from the library's own objects.

Independent of substances.py: nothing is chosen, checked or corrected here; each value is the default of the library.
"""
import csv
import importlib.metadata
import pathlib
import warnings

from thermo import Chemical

warnings.simplefilter("ignore")

CHECKS = pathlib.Path(__file__).resolve().parent.parent / "checks"
VERSION = "thermo " + importlib.metadata.version("thermo") + ", chemicals " + importlib.metadata.version("chemicals")
CAS = """108-88-3 71-43-2 100-41-4 100-42-5 98-82-8 95-47-6 67-64-1 78-93-3 108-10-1 107-87-9 591-78-6 110-43-0
108-94-1 67-56-1 64-17-5 67-63-0 71-23-8 71-36-3 78-83-1 108-93-0 141-78-6 109-60-4 123-86-4 79-20-9 96-33-3 80-62-6
110-54-3 109-66-0 142-82-5 111-65-9 110-82-7 108-87-2 60-29-7 109-99-9 123-91-1 108-20-3 75-09-2 67-66-3 56-23-5
107-06-2 79-01-6 127-18-4 71-55-6 108-90-7 107-13-1 75-05-8 75-15-0 121-44-8 64-19-7 75-56-9""".split()
COLUMNS = ["cas", "name", "M_g_mol", "psat_5C_kPa", "psat_22C_kPa", "psat_40C_kPa", "density_22C_g_cm3", "computed_with"]


def main():
    assert len(set(CAS)) == 50
    with open(CHECKS / "properties_50.csv", "w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(COLUMNS)
        for cas in CAS:
            at = {t: Chemical(cas, T=t + 273.15) for t in (5, 22, 40)}
            room = at[22]
            writer.writerow([cas, room.name, f"{room.MW:.6g}"] + [f"{at[t].Psat / 1000:.6g}" for t in (5, 22, 40)]
                            + [f"{room.rhol / 1000:.6g}", VERSION])


if __name__ == "__main__":
    main()
