"""Makes the lists of this folder. Everything in them is invented: people are named after trees and
birds, models and tags stand for no product. Running it twice gives the same bytes.

    pip install openpyxl==3.1.5 && python make.py
"""

import datetime
import io
import pathlib
import re
import zipfile

import openpyxl

HERE = pathlib.Path(__file__).parent

# As spreadsheets save it where the comma is the decimal sign: a mark of byte order, semicolons.
(HERE / "wearers.csv").write_bytes(
    "\ufeffEmployee No;Surname;Forename;Start date;Department\r\n"
    "1001;Quail;Birch;2025-03-03;Blasting\r\n"
    "1002;Bittern;Cedar;;Lacquer\r\n"
    "1003;;;2025-04-01;Lacquer\r\n"
    "1004;Tern;Rowan;01/04/2025;Lacquer\r\n"
    "1002;Bittern;Cedar;;Lacquer\r\n"
    "1005;Wäxwing;Öre;2025-05-02;\"Stores; night\"\r\n".encode("utf-8")
)

(HERE / "respirators.csv").write_text(
    "asset_tag,Model name,Mask size,S/N,Pool,emergency,In service since,Locker\n"
    "H-101,Half mask A,M,A-55,no,no,2025-01-15,3\n"
    "H-102,half mask a,m,,yes,no,2025-01-15,3\n"
    "H-103,Half mask A,XL,,no,no,2025-01-15,4\n"
    "H-104,Half mask Z,M,,no,no,2025-01-15,4\n"
    "H-105,Half mask A,M,,,no,2031-01-15,4\n",
    encoding="utf-8",
)

(HERE / "training.csv").write_text(
    "Employee;Course;Completed;Result\n"
    "Birch Quail;respirator use;05/02/2026;pass\n"
    "1002;Cleaning;14.02.2026 09:30;passed\n"
    "1002;cleaning;14.02.2026;fail\n"
    "Heron Nobody;wear;05/02/2026;pass\n",
    encoding="utf-8",
)


def fit_tests():
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Fit tests"
    sheet.append(["Badge", "Respirator model", "Size", "Test date", "Test type", "Factor", "Result", "Beard", "Tester"])
    rows = [
        [1001, "half-a", "M", datetime.date(2026, 2, 3), "QNFT-CNC", 412.5, "Pass", "no", "Alder Finch"],
        [1002, "half-a", "M", datetime.datetime(2026, 2, 3, 14, 30), "qualitative", None, "Fail", "yes", "Alder Finch"],
        [1002, "half-a", "M", datetime.datetime(2026, 2, 3, 15, 15), "qualitative", None, "Pass", "no", "Alder Finch"],
        [1001, "half-a", "S", "2026-02-04", "Quantitative", 88, False, "no", None],
        [1001, "half-a", "L", 46057, "qualitative", None, "Pass", "no", None],
        [1001, "half-a", "L", "04/02/2026", "qualitative", None, "Pass", "no", None],
        [1002, "half-a", "L", datetime.date(2026, 2, 5), "qualitative", 120, "Pass", "no", None],
        [1002, "half-a", "S", datetime.date(2026, 2, 5), "quantitative", None, "Pass", "no", None],
        [None, None, None, None, None, None, None, None, None],
        [1001, "half-a", "M", datetime.date(2026, 2, 6), "QNFT-CNC", "=1/0", "Pass", "no", None],
        [1002, "half-a", "S", datetime.date(2026, 2, 9), "qualitative", None, "Pass", None, None],
    ]
    for row in rows:
        sheet.append(row)
    book.create_sheet("Empty")
    return book


def save(book, name):
    held = io.BytesIO()
    book.save(held)
    with zipfile.ZipFile(held) as old, zipfile.ZipFile(HERE / name, "w") as new:
        for item in old.infolist():
            content = old.read(item)
            if item.filename == "docProps/core.xml":
                content = re.sub(rb"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", b"2026-01-01T00:00:00Z", content)
            if item.filename == "xl/worksheets/sheet1.xml":
                # What a spreadsheet keeps as the value of a formula that fails.
                content = re.sub(rb'<c r="(F\d+)"><f>1/0</f><v ?/?>(</v>)?</c>', rb'<c r="\1" t="e"><f>1/0</f><v>#DIV/0!</v></c>', content)
            fixed = zipfile.ZipInfo(item.filename, (2026, 1, 1, 0, 0, 0))
            fixed.compress_type = zipfile.ZIP_DEFLATED
            new.writestr(fixed, content)


save(fit_tests(), "fit-tests.xlsx")
