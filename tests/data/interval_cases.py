"""Writes interval_days.csv and interval_instants.csv, by which the calendar rules are checked.

A general calendar library computes them: python-dateutil 2.9.0.post0 (relativedelta for the days,
tz.resolve_imaginary where the clocks are put forward), time zones from zoneinfo of the standard
library. Usage: pip install python-dateutil==2.9.0.post0; python interval_cases.py
"""
import csv
import pathlib
import random
from datetime import date, datetime, time, timedelta, timezone
from zoneinfo import ZoneInfo

import dateutil
from dateutil import tz
from dateutil.relativedelta import relativedelta

assert dateutil.__version__ == "2.9.0.post0", dateutil.__version__
HERE = pathlib.Path(__file__).resolve().parent
LENGTHS = [("months", n) for n in (1, 2, 3, 6, 11, 12, 13, 24, 36, 60, 120, 180)] + [
    ("days", n) for n in (0, 1, 7, 28, 30, 90, 365)
]
# Zones that change their clocks at midnight, by half an hour, by a whole day, or never.
ZONES = """UTC America/New_York America/Havana America/Sao_Paulo America/St_Johns Europe/Madrid
Asia/Beirut Asia/Kathmandu Africa/Cairo Australia/Lord_Howe Pacific/Apia Pacific/Chatham""".split()


def later(day, unit, number):
    return day + relativedelta(**{unit: number})


def days():
    chance = random.Random(20260131)
    ends = [date(y, m, d) for y in (1899, 1900, 2023, 2024, 2025, 2099, 2100) for m in range(1, 13)
            for d in (1, 15, 28, 29, 30, 31) if d <= (date(y + m // 12, m % 12 + 1, 1) - timedelta(1)).day]
    some = [date(1990, 1, 1) + timedelta(chance.randrange(30000)) for _ in range(200)]
    with open(HERE / "interval_days.csv", "w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["start", "unit", "number", "last_day"])
        for nth, day in enumerate(ends + some):
            for unit, number in LENGTHS if nth % 4 == 0 else chance.sample(LENGTHS, 4):
                out.writerow([day, unit, number, later(day, unit, number)])


def instants():
    chance = random.Random(20260228)
    with open(HERE / "interval_instants.csv", "w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["done", "zone", "unit", "number", "counts_before"])
        for zone in ZONES:
            for done in changes(zone) + [at(chance) for _ in range(25)]:
                unit, number = chance.choice([("months", 1), ("months", 12), ("days", 7), ("days", 0)])
                row(out, done, zone, unit, number)
                row(out, done, zone, "days", 0)


def at(chance):
    return datetime(2008, 1, 1, tzinfo=timezone.utc) + timedelta(minutes=chance.randrange(9_900_000))


def changes(zone):
    """Half a day before each change of the clocks, so that the next day begins or holds it."""
    here, found = ZoneInfo(zone), []
    hour = datetime(2008, 1, 1, tzinfo=timezone.utc)
    while hour.year < 2020:
        following = hour + timedelta(hours=1)
        if hour.astimezone(here).utcoffset() != following.astimezone(here).utcoffset():
            found += [hour - timedelta(hours=12), hour, following]
        hour = following
    return found


def row(out, done, zone, unit, number):
    here = ZoneInfo(zone)
    last = later(done.astimezone(here).date(), unit, number)
    begins = tz.resolve_imaginary(datetime.combine(last + timedelta(1), time(0), here))
    stamp = lambda instant: instant.astimezone(timezone.utc).strftime("%Y-%m-%dT%H:%M:%SZ")
    out.writerow([stamp(done), zone, unit, number, stamp(begins)])


if __name__ == "__main__":
    days()
    instants()
