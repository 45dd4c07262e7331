"""A sheet as a maker keeps it for decades: four hundred rows of everything that goes wrong, and what it should come to."""

import random
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path

import xlsxwriter

HEADINGS = (
    # the upper row, the lower row
    ("", "No."), ("", "Quilt name"), ("Size", "W"), ("Size", "L"), ("", "Year made"), ("Pattern", "Name"), ("Pattern", "Designer"),
    ("", "Colours"), ("", "Gave to"), ("", "When given"), ("", "Materials cost"), ("", "Washed?"), ("", "Notes"), ("", "Worth"),
)  # fmt: skip
FIRST_ROW = 6
QUILTS = 400

_TITLES = (
    "Low Tide",
    "Bramble",
    "Blåbær",
    "Café au Lait",
    "Étoile",
    "Fenceline",
    "Owl’s Night Out",
    "Zwölf Sterne",
)
_SIDES = (
    60,
    60.5,
    "60ish",
    "5 ft",
    "60 1/2",
    '60"',
    "about 60",
    36,
    "150 cm",
    "72½",
    "?",
    "a metre or so",
    "150",
    "60.25",
)
_DATES = (
    1998, "c. 1998", "'94", "spring 2001", "late 90s", datetime(2016, 5, 12), "2016?", "1998/99", "Xmas 2005", "when Ann was born",
    "Mar-98", "before 2000", "2000s", 36526, "12/5/2016", "28/5/2016",
)  # fmt: skip
_RECIPIENTS = (
    "gave to cousin?", "River Street Shelter", "river st shelter", "Harbour Refuge", "kept", "Ruth, wedding 2004", "via Nell",
    "sold", "?", "Nell for River Street", "charity", "me", "maybe Ann or Bea", "Children's hospital", "donated", "for donation",
)  # fmt: skip
_COSTS = (45, 84.5, "$45", "about 80", "1,234.50", "£20", 100 / 3, "free", "-5")
_WASHED = ("yes", "no", "Y", "x", True, False, "2019", "not sure", "twice")
_NOTES = (
    "2 of these", "made three of them for the twins", '=HYPERLINK("http://x.example","x")', "<b>bold</b> & <script>", "+44 1234",
    "two\nlines", "- a dash: and a colon", "# heading", "null", "“quotes”", "it's the one with the birds", "\t tab", "emoji 🧵",
)  # fmt: skip
_WORTHS = (300, "$500?", "priceless", "N/A")


@dataclass
class MessySheet:
    """The file, and how many cells with something in them it has."""

    path: Path
    cells: int = 0
    errors: int = 0
    written: set[tuple[int, int]] = field(default_factory=set)


def write_messy_sheet(path: Path, seed: int = 1, quilts: int = QUILTS) -> MessySheet:
    """Writes the file. Merged cells, two rows of headings, blank lines, rows twice, errors, formulas, hidden rows, totals."""
    dice = random.Random(seed)
    made = MessySheet(path)
    book = xlsxwriter.Workbook(
        path, {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    )
    sheet = book.add_worksheet("All my quilts")
    day = book.add_format({"num_format": "yyyy-mm-dd"})

    def put(row: int, column: int, value: object) -> None:
        """Row and column from 0."""
        if value is None or (isinstance(value, str) and not value.strip()):
            return
        made.written.add((row + 1, column + 1))
        if isinstance(value, bool):
            sheet.write_boolean(row, column, value)
        elif isinstance(value, datetime):
            sheet.write_datetime(row, column, value, day)
        elif isinstance(value, int | float):
            sheet.write_number(row, column, value)
        else:
            sheet.write_string(row, column, str(value))

    sheet.merge_range(0, 0, 0, 5, "QUILTS since 1989 — please don't sort")
    made.written.add((1, 1))
    put(1, 0, "last looked through in spring")
    sheet.merge_range(3, 2, 3, 3, "Size")
    sheet.merge_range(3, 5, 3, 6, "Pattern")
    made.written |= {(4, 3), (4, 6)}
    for column, (_, lower) in enumerate(HEADINGS):
        put(4, column, lower)
    row = FIRST_ROW - 1
    former: list[object] = []
    for number in range(1, quilts + 1):
        if number % 37 == 0:
            row += 1  # a blank line
        if number % 90 == 0:
            put(row, 0, f"{1990 + number // 10}s:")
            row += 1
        if number % 120 == 0:
            for column, (_, lower) in enumerate(HEADINGS):
                put(row, column, lower)
            row += 1
        values = _quilt(dice, number)
        if number % 50 == 1 and former:
            values = former
        former = values
        for column, value in enumerate(values):
            put(row, column, value)
        if number % 61 == 0:
            sheet.write_formula(row, 10, "=1/0", None, "#DIV/0!")
            made.written.add((row + 1, 11))
            made.errors += 1
        elif number % 31 == 0:
            sheet.write_formula(row, 10, "=20+22.5", None, 42.5)
            made.written.add((row + 1, 11))
        if number % 45 == 0:
            sheet.set_row(row, None, None, {"hidden": True})
        if number % 71 == 0:
            row += 1
            put(row, 12, "and there is more to say of the one above")
        row += 1
    sheet.merge_range(row, 4, row + 2, 4, 2003)
    made.written.add((row + 1, 5))
    for copy in range(3):
        put(row + copy, 1, f"One of three of that year {copy}")
        put(row + copy, 7, "red")
    row += 4
    put(row, 1, "Total")
    put(row, 10, 12345.67)
    put(row + 1, 1, "Number of quilts:")
    put(row + 1, 0, quilts)
    stash = book.add_worksheet("Stash")
    for column, word in enumerate(("Shop", "Metres", "Paid")):
        stash.write_string(0, column, word)
    book.close()
    made.cells = len(made.written) + 3
    return made


def _quilt(dice: random.Random, number: int) -> list[object]:
    title = f"{dice.choice(_TITLES)} {number}" if dice.random() < 0.9 else None

    def some(values: tuple, share: float) -> object:
        return dice.choice(values) if dice.random() < share else None

    inventory: object = number if dice.random() < 0.5 else str(number)
    return [
        inventory if dice.random() < 0.95 else None, title, some(_SIDES, 0.8), some(_SIDES, 0.8), some(_DATES, 0.9),
        some(("Own design", "Log Cabin", "Low Tide by A. Name", "https://patterns.example/1"), 0.5), some(("A. Name", "B. Name"), 0.3),
        some(("blue, green", "red & white", "Grey"), 0.6), some(_RECIPIENTS, 0.7), some(_DATES, 0.3), some(_COSTS, 0.6),
        some(_WASHED, 0.4), some(_NOTES, 0.5), some(_WORTHS, 0.3),
    ]  # fmt: skip


TODAY = date(2026, 11, 25)
PARTNERS = {
    "partners/river-street.yaml": "name: River Street Shelter\n",
    "partners/nell.yaml": "name: Nell Marsh\nkind: go-between\n",
}
