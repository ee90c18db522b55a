"""An invented program of ten years in one workbook, kept as people keep them."""

import datetime
import io
from typing import Any

from openpyxl import Workbook

NAMES = (
    *("Adhara", "Bellatrix", "Capella", "Deneb", "Electra", "Fomal", "Gienah", "Hadar", "Izar"),
    *("Jabbah", "Kochab", "Lesath", "Mira", "Naos", "Okab", "Polaris", "Rigel", "Sirrah", "Tania"),
)
DAY = datetime.date


def workbook() -> bytes:
    book = Workbook()
    book.remove(book.active)
    for fill in (_rays, _tanks, _pairs, _litters, _seen, _sizes, _water, _buyers, _sold):
        fill(book)
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


# ------------------------------------------------------------------------------------- animals


def rays() -> list[list[Any]]:
    """120 animals: 20 founders, 10 litters of 10, with what ten years leave behind."""
    rows = [_founder(n) for n in range(20)]
    for litter in range(10):
        rows += [_young(litter, n) for n in range(10)]
    _spoil(rows)
    return rows


def _founder(n: int) -> list[Any]:
    sex = "w" if n < 10 else "m"
    species = "P. leopoldi" if n % 2 else "motoro"
    return [
        *(f"F{n + 1:02d}", NAMES[n % 19] if n < 19 else "Zaurak", sex, species, 2012 + n % 3),
        *(None, None, 40 + n % 5, 5.5, "lebt", None, "wildfang", None, "Ida", "bought"),
    ]


def _young(litter: int, n: int) -> list[Any]:
    born = DAY(2016 + litter // 2, 3 + litter % 8, 10 + litter)
    state, since = "lebt", None
    if n in (3, 4):
        state, since = "verkauft", born + datetime.timedelta(days=220)
    if n == 5:
        state, since = "tot", born + datetime.timedelta(days=40)
    return [
        *(f"L{litter:02d}-{n}", None, "w" if n % 2 else "m", None, born),
        *(f"F{11 + litter % 9:02d}", f"F{1 + litter % 10:02d}", 20 + n, None, state, since),
        *("NZ", "Lantern" if litter % 3 == 0 else None, "Sam" if n else None, None),
    ]


def _spoil(rows: list[list[Any]]) -> None:
    """The slips of ten years, each in a few rows."""
    at = {row[0]: row for row in rows}

    def put(column: int, value: Any, *codes: str) -> None:
        for code in codes:
            at[code][column] = value

    put(3, "P. leopoldii", "F02", "F04", "F06")
    put(3, "motorro", "F01", "F03")
    put(4, "spring 2013", "F05", "F07")
    put(4, "ca. 2014", "F08")
    put(4, "Mai 2016", "L00-1")
    put(4, "2017?", "L02-2", "L02-3")
    put(4, "don't know", "F09")
    put(2, "♂?", "L01-1", "L03-3")
    put(2, "unsicher", "L04-2", "L04-4", "L05-6")
    put(5, "Old Tom", "L05-1", "L05-2", "L05-7")
    put(5, "Polarris", "L06-1", "L06-2")
    put(6, "Electra (big)", "L07-1")
    put(7, "~31", "L01-2")
    put(7, "28-30", "L01-3", "L02-1")
    put(7, "grown", "L03-1")
    put(8, "2,5kg", "L00-2")
    put(8, "heavy", "L03-2")
    put(9, "died", "L08-5")
    put(9, "sold to Kim", "L08-3", "L09-3")
    put(9, "alive!", "L09-1", "L09-2")
    put(9, "on breeding loan", "L06-6")
    put(9, "??", "L07-7")
    put(10, "summer 2022", "L06-3")
    put(10, "2019", "L04-3")
    put(11, "import", "F11", "F12")
    put(11, "from Ida", "F13")
    put(0, "L00-0", "L00-9")  # a number used twice
    put(4, DAY(2011, 5, 1), "L05-5")  # before its mother
    put(6, "F12", "L08-8")  # a male as mother


def _rays(book: Workbook) -> None:
    sheet = book.create_sheet("Rays")
    sheet.append(["Lantern Street stock list"])
    sheet.append(["kept by Ida and Sam since 2012"])
    sheet.append([])
    sheet.append(
        [
            *("ID", "Name", "Sex", "Species", "Born", "Father", "Mother", "Breite (cm)"),
            *("weight in kg", "Status", "since", "Origin", "Line", "looked after by", "Notes"),
        ]
    )
    for row in rays():
        sheet.append(row)


# -------------------------------------------------------------------------------- everything else


def _tanks(book: Workbook) -> None:
    sheet = book.create_sheet("Where they are")
    sheet.append(["Ray", "Tank", "from", "to"])
    for n in range(8):
        sheet.append([f"F{n + 1:02d}", "Pond 1", DAY(2015, 1, 5), DAY(2016, 1, 5)])
        sheet.append([f"F{n + 1:02d}", f"B{n % 4}", DAY(2016, 1, 5), None])
    sheet.append(["L00-1", "b1", DAY(2018, 2, 1), None])
    sheet.append(["Nobody", "B1", DAY(2018, 2, 1), None])


def _pairs(book: Workbook) -> None:
    sheet = book.create_sheet("Pairs")
    sheet.append(["Female", "Male", "paired", "parted", "why"])
    for n in range(8):
        begin = DAY(2015 + n // 2, 1 + n, 3)
        sheet.append([f"F{n + 1:02d}", f"F{n + 11}", begin, begin + datetime.timedelta(40)])


def _litters(book: Workbook) -> None:
    sheet = book.create_sheet("Litters")
    sheet.append(["Mother", "Father", "Born", "alive", "stillborn", "midwife"])
    for litter in range(4):
        born = DAY(2016 + litter // 2, 3 + litter % 8, 10 + litter)
        sheet.append([f"F{1 + litter:02d}", f"F{11 + litter}", born, 10, litter % 2, "Sam"])
    sheet.append(["F09", None, DAY(2017, 7, 7), "3-4", None, None])


def _seen(book: Workbook) -> None:
    sheet = book.create_sheet("Seen")
    sheet.append(["Female", "date", "sign", "with", "remarks"])
    sheet.append(["F01", DAY(2019, 3, 4), "mating", "F11", None])
    sheet.append(["F02", DAY(2019, 3, 5), "bites", "F12", "left fin"])
    sheet.append(["F03", DAY(2019, 3, 6), "mating", "F13", None])


def _sizes(book: Workbook) -> None:
    sheet = book.create_sheet("Sizes")
    sheet.append(["ray", "date", "disc width in cm", "weight (g)"])
    for n in range(6):
        sheet.append([f"F{n + 1:02d}", DAY(2018, 4, 2), 42.5, 6000 + 10 * n])


def _water(book: Workbook) -> None:
    sheet = book.create_sheet("Water")
    sheet.append(["Tank", "Date", "pH", "NO2", "NO3", "temp °C"])
    for n in range(10):
        sheet.append(["B1", DAY(2020, 1, 1 + n), 6.8, 0, 15 + n, 27.5])


def _buyers(book: Workbook) -> None:
    sheet = book.create_sheet("Buyers")
    sheet.append(["Name", "email", "phone", "town"])
    sheet.append(["Kim Lund", "kim@example.org", "0123", "Port"])
    sheet.append(["Ann Bo", "ann@example.org", None, None])


def _sold(book: Workbook) -> None:
    sheet = book.create_sheet("Sold")
    sheet.append(["ID", "Buyer", "Date", "Price"])
    for litter in range(4):
        born = DAY(2016 + litter // 2, 3 + litter % 8, 10 + litter)
        on = born + datetime.timedelta(days=220)
        sheet.append([f"L{litter:02d}-4", "Kim Lund" if litter else "Kim Lundt", on, "350 €"])
