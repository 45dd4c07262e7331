"""The meanings of a sheet's columns, as a YAML file that the maker can correct and that is validated."""

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field, model_validator

from collection.loading.validation import validate
from collection.problems import Problem, choices
from collection.records.fields import ANY_CASE, ONE_IS_A_LIST, Record, Text
from collection.spreadsheet_import.columns.meanings import BY_NAME, MEANINGS
from collection.spreadsheet_import.files.cells import Workbook, column_of, letters, one_line
from collection.spreadsheet_import.values.recipients import Recipient
from collection.yaml_files.parser import YamlText, read_yaml
from collection.yaml_files.writer import write_flow

if TYPE_CHECKING:
    from collection.spreadsheet_import.columns.sheets import ReadSheet

    MeaningName = str
else:
    MeaningName = Literal[tuple(BY_NAME)]

Units = Annotated[Literal["in", "cm"], ANY_CASE]
Decided = Annotated[Literal["partner", "charity", "person", "kept", "free", "note"], ANY_CASE]
_EXAMPLES = 3


class ColumnEntry(Record):
    """One column of a sheet."""

    column: Text | None = Field(None, description="The column's letter, such as B.")
    heading: Text | None = Field(None, description="What stands above it; looked for first, should columns have moved.")
    means: Annotated[MeaningName, ANY_CASE] = Field(description="What it means.")
    unit: Units | None = Field(None, description="The unit of bare numbers in this column.")

    @model_validator(mode="after")
    def _says_which(self) -> "ColumnEntry":
        if self.column is None and self.heading is None:
            raise ValueError("Say which column: write column: and its letter, or heading: and what stands above it.")
        if self.column is not None and column_of(self.column) is None:
            raise ValueError("A column is named by its letters, such as B or AC.")
        return self


class SheetEntry(Record):
    """One sheet of the file."""

    sheet: Text = Field(description="The sheet's name.")
    take: bool = Field(True, description="false leaves the sheet out.")
    headings: Annotated[tuple[Annotated[int, Field(ge=1)], ...], ONE_IS_A_LIST] = Field(
        (), description="The one or two rows that the headings stand in; [] for none."
    )
    dates: Annotated[Literal["day first", "month first"], ANY_CASE] | None = Field(
        None, description="Which figure of 5/12/2016 is the day."
    )
    columns: Annotated[tuple[ColumnEntry, ...], ONE_IS_A_LIST] = Field((), description="What each column means.")


class RecipientEntry(Record):
    """Whom some words of the sheet mean."""

    written: Text = Field(description="The words, as they stand in the sheet.")
    is_: Decided = Field(alias="is", description="partner, charity, person, kept, free, or note.")
    partner: Text | None = Field(None, description="The partner's ID: its file name in partners/.")

    @model_validator(mode="after")
    def _names_a_partner(self) -> "RecipientEntry":
        if (self.is_ == "partner") != (self.partner is not None):
            raise ValueError("With is: partner goes partner: and the ID, and with nothing else.")
        return self


class ColumnsFile(Record):
    """What the columns of a spreadsheet mean."""

    units: Units | None = Field(None, description="The unit of bare numbers, if not the collection's.")
    same_rows: Annotated[Literal["once", "each"], ANY_CASE] = Field(
        "once", description="Rows that are the same word for word: one quilt, or one each."
    )
    sheets: Annotated[tuple[SheetEntry, ...], ONE_IS_A_LIST] = Field((), description="The sheets of the file.")
    recipients: Annotated[tuple[RecipientEntry, ...], ONE_IS_A_LIST] = Field(
        (), description="Whom the words of the sheet mean."
    )

    def of_sheet(self, name: str) -> SheetEntry | None:
        return next((entry for entry in self.sheets if entry.sheet == name), None)

    def settled(self, go_betweens: frozenset[str]) -> dict[str, Recipient]:
        """The recipients that the maker decided on, by their words in the sheet."""
        found = {}
        for entry in self.recipients:
            if entry.is_ == "partner":
                through = entry.partner in go_betweens
                found[entry.written] = Recipient(
                    "partner", partner=None if through else entry.partner, through=entry.partner if through else None
                )
            elif entry.is_ == "note":
                found[entry.written] = Recipient("unknown", exact=False)
            else:
                name = entry.written if entry.is_ in ("charity", "person") else ""
                found[entry.written] = Recipient(entry.is_, name=name)
        return found


def read_columns_file(
    raw: bytes, file: str, workbook: Workbook, partners: frozenset[str]
) -> tuple[ColumnsFile | None, list[Problem]]:
    """The file, validated against the existing sheets and partners; None with all problems if it is invalid."""
    text, problems = read_yaml(raw, file)
    if problems:
        return None, problems
    columns, problems = validate(ColumnsFile, text, units="in", currency="USD")
    if columns is None:
        return None, problems
    problems = [
        *_unknown_sheets(columns, text, workbook),
        *_unknown_columns(columns, text, workbook),
        *_unknown_partners(columns, text, partners),
    ]
    return (None if problems else columns), problems


def _unknown_sheets(columns: ColumnsFile, text: YamlText, workbook: Workbook) -> Iterator[Problem]:
    names = [sheet.name for sheet in workbook.sheets]
    for index, entry in enumerate(columns.sheets):
        if entry.sheet not in names:
            if len(columns.sheets) == len(names) == 1:
                continue  # The only sheet of a file, such as a .csv, has the name of the file.
            yield text.problem(
                ("sheets", index, "sheet"),
                entry.sheet,
                f"There is no such sheet in {workbook.name}. {choices(entry.sheet, names)}",
            )
        first = min(entry.headings, default=0)
        if sorted(entry.headings) not in ([], [first], [first, first + 1]):
            yield text.problem(
                ("sheets", index, "headings"),
                list(map(str, entry.headings)),
                "Headings stand in one row, or in two that follow each other, such as [3, 4].",
            )


def _unknown_columns(columns: ColumnsFile, text: YamlText, workbook: Workbook) -> Iterator[Problem]:
    """A problem for each entry that matches no column of its sheet."""
    for index, entry in enumerate(columns.sheets):
        sheet = next((sheet for sheet in workbook.sheets if sheet.name == entry.sheet), None)
        if sheet is None:
            continue
        widest = max((column for _, column in sheet.cells), default=0)
        words = {one_line(cell.text).casefold() for cell in sheet.cells.values()}
        for place, column in enumerate(entry.columns):
            by_letter = column.column is not None and (column_of(column.column) or 0) <= widest
            if not by_letter and (column.heading or "").casefold() not in words:
                remedy = f"The sheet {sheet.name} has no such column; its last is {letters(widest)}."
                yield text.problem(("sheets", index, "columns", place), column.column or column.heading, remedy)


def _unknown_partners(columns: ColumnsFile, text: YamlText, partners: frozenset[str]) -> Iterator[Problem]:
    for index, entry in enumerate(columns.recipients):
        if entry.partner is not None and entry.partner not in partners:
            known = choices(entry.partner, sorted(partners)) if partners else "There are none yet."
            remedy = (
                f"There is no partners/{entry.partner}.yaml. {known} "
                "Or write that file first, with name: and the charity's name."
            )
            yield text.problem(("recipients", index, "partner"), entry.partner, remedy)


# Writing ----------------------------------------------------------------------------------------

_HEAD = """\
# What each column of {name} means. Correct what is wrong, save this file, and take the sheet in again:
#     counterpane take-in COLLECTION {name} --columns THIS-FILE --dry-run
#
# means: is one of these, and lands in that field of a quilt; what is public goes on the web site:
{meanings}
# Nothing is lost: what can't be read under a meaning is kept in the quilt's private notes, with its heading.
"""


def columns_text(workbook: Workbook, sheets: Iterable["ReadSheet"], *, units: str, unsettled: Mapping[str, int]) -> str:
    """The proposed meanings as YAML, with sample cells of each column.

    `unsettled`: unknown words for recipients, with the number of rows that have them.
    """
    meanings = "\n".join(
        f"#   {meaning.name:<16}{meaning.lands_in}{', public' if meaning.public else ''}" for meaning in MEANINGS
    )
    lines = [_HEAD.format(name=_comment(workbook.name), meanings=meanings).rstrip("\n")]
    lines += [
        f"units: {units}            # of numbers without a unit: in or cm",
        "same_rows: once       # rows that are the same word for word: once, or each a quilt",
        "sheets:",
    ]
    for sheet in sheets:
        lines += [
            f"  - sheet: {write_flow(sheet.sheet.name)}",
            f"    take: {'true' if sheet.take else 'false'}",
            f"    headings: [{', '.join(map(str, sheet.table.headings))}]   # the rows that they stand in",
            "    columns:" if sheet.meant else "    columns: []",
        ]
        for meant in sheet.meant:
            texts = dict.fromkeys(sheet.texts(meant.column.number))
            shown = "; ".join(one_line(text)[:40] for text in list(texts)[:_EXAMPLES])
            why = f" ({meant.why})" if meant.why else ""
            lines.append(f"      # {_comment(shown)}{why}".rstrip())
            entry = {
                "column": letters(meant.column.number),
                "heading": meant.column.heading or None,
                "means": meant.meaning,
                "unit": meant.unit,
            }
            lines.append("      - " + write_flow({key: value for key, value in entry.items() if value is not None}))
    lines += [
        "# Words for who has a quilt that name no partner of the collection. is: partner (with partner: ID),",
        "# charity, person, kept, free, or note.",
    ]
    lines.append("recipients:" if unsettled else "recipients: []")
    for words, rows in unsettled.items():
        lines.append(f"  # in {rows} {'rows' if rows > 1 else 'row'}")
        lines.append("  - " + write_flow({"written": words, "is": "charity"}))
    return "\n".join(lines) + "\n"


def _comment(text: str) -> str:
    return "".join(letter if letter.isprintable() else "\N{REPLACEMENT CHARACTER}" for letter in one_line(text))
