"""Reads the cells of a row that say where its quilt went: status, recipient, go-between, day, occasion."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from collection.spreadsheet_import.columns.headings import words_of_heading
from collection.spreadsheet_import.columns.propose import ColumnMeaning
from collection.spreadsheet_import.rows.assignment import RowAssignment
from collection.spreadsheet_import.rows.destination import DestinationParts, destination_from
from collection.spreadsheet_import.values.recipients import Kind, Recipient
from collection.spreadsheet_import.values.words import read_stage, read_yes_or_no

_WENT = re.compile(r"^(?:gave|given|gifted|donated|sold|lost|went to|promised|sent to)\b", re.IGNORECASE)
_GOING = ("status", "given to", "charity", "go-between", "given on", "occasion")
_PARTS = {"given to": "to", "kept at": "to", "given on": "on", "go-between": "through"}
_ASKED: Mapping[Kind, frozenset[str]] = {
    "kept": frozenset({"kept", "keep", "have", "mine"}),
    "donated": frozenset({"donated", "donation", "charity"}),
    "free": frozenset({"available", "free"}),
    "gifted": frozenset({"given", "gift", "gifted", "gone", "gave", "away"}),
}
"""The meaning of a yes below a heading that is a question, such as `Given?`; the first that matches counts."""


class DestinationCells:
    """The cells among `columns` that say where the quilt went."""

    def __init__(self, assignment: RowAssignment, columns: Sequence[ColumnMeaning]):
        self.assignment = assignment
        self.columns = columns
        self.cells = [each for each in columns if each.meaning in _GOING or self._says_where_it_went(each)]

    def read(self) -> None:
        """Combine all of them into one destination."""
        recipients: dict[str, Recipient] = {}
        words: dict[str, str] = {}
        by_part: dict[str, ColumnMeaning] = {}
        for each in self.cells:
            part = _PARTS.get(each.meaning, each.meaning)
            value = self._part(each, part)
            if value is None or part in by_part:
                self._not_a_part(each, part)
                continue
            by_part[part] = each
            if isinstance(value, Recipient):
                recipients[part] = value
            else:
                words[part] = value
        if not by_part:
            return
        found = destination_from(DestinationParts(recipients, **words))
        if found.destination is not None:
            self.assignment.facts.fields["destination"] = found.destination
        self.assignment.facts.unknown_charity = found.unknown_charity
        for part, each in by_part.items():
            if found.destination is not None and (part in found.used or part == found.first):
                self.assignment.land(each, "destination")
            if part not in found.used:
                self.assignment.to_notes(each)
        if found.doubt:
            first = by_part.get(found.first) or next(iter(by_part.values()))
            self.assignment.doubt(first, found.doubt)
            self.assignment.to_notes(first)

    def _says_where_it_went(self, each: ColumnMeaning) -> bool:
        """Whether the place where it is kept says that it was given away, or who has it."""
        if each.meaning != "kept at" or any(other.meaning in ("given to", "charity") for other in self.columns):
            return False
        return (
            bool(_WENT.match(self.assignment.text(each)))
            or self._named(self.assignment.text(each)).kind == "partner"
            or self._is_given()
        )

    def _is_given(self) -> bool:
        """Whether a status says that it was given away."""
        return any(
            each.meaning == "status"
            and (status := self._status(each)) is not None
            and status.kind in ("gifted", "donated")
            for each in self.columns
        )

    def _status(self, each: ColumnMeaning) -> Recipient | None:
        """The recipient or state in a status; a yes confirms what the heading asks."""
        text = self.assignment.text(each)
        answer = read_yes_or_no(text, "status").fields.get("status")
        if answer is not None:
            asked = set(words_of_heading(each.column.heading))
            kind = next((kind for kind, words in _ASKED.items() if asked & words), None)
            return Recipient(kind) if kind and answer else None
        recipient = self._named(text)
        stays_or_went = recipient.kind in ("kept", "free", "donated", "promised", "gifted")
        if read_stage(text).fields and not stays_or_went:
            return None
        if recipient.kind in ("unknown", "sold") or (recipient.kind == "person" and recipient.state is None):
            return None
        return recipient

    def _not_a_part(self, each: ColumnMeaning, part: str) -> None:
        """Assign a cell that does not say where the quilt went: to the stage, or to the notes."""
        read = read_stage(self.assignment.text(each))
        yes_or_no = bool(read_yes_or_no(self.assignment.text(each), part).fields)
        if part == "status" and read.fields and not yes_or_no and "stage" not in self.assignment.facts.fields:
            self.assignment.take(each, read)
        elif part in ("status", "to", "charity") and self._named(self.assignment.text(each)).kind == "sold":
            self.assignment.to_notes(each, "that it was sold is kept in words only: a record has no field for it")
        else:
            self.assignment.to_notes(each, "no date can be read of it" if part == "on" else "")

    def _part(self, each: ColumnMeaning, part: str) -> Recipient | str | None:
        """What a cell says for its part of the destination, or None."""
        text = self.assignment.text(each)
        if part == "on":
            read = self.assignment.date(each, "on")
            if read.fields and not read.exact:
                self.assignment.to_notes(each, read.doubt)
            on = read.fields.get("on")
            return on if isinstance(on, str) else None
        if part == "occasion":
            return text
        if part == "status":
            return self._status(each)
        recipient = self._named(text)
        if each.meaning == "kept at" and not _WENT.match(text):
            # The person who has it is only probably the recipient.
            recipient = replace(recipient, exact=False)
        if part == "through":
            return recipient.through if recipient.exact and not recipient.partner else None
        return recipient if recipient.kind not in ("unknown", "sold") else None

    def _named(self, text: str) -> Recipient:
        return self.assignment.context.recipients.read(text)
