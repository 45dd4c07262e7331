"""A whole collection in which every field of every kind of record is marked, written as files."""

import json
from dataclasses import dataclass, field

from collection.records.destinations import Donated
from collection.records.partner import Partner
from collection.records.quilt import MaterialsCost, Photo, Quilt
from collection.records.request import Request
from collection.records.settings import Settings
from tests.support.marked_records import DESTINATIONS, Marker, Marking

OPEN_HOUSE = "open-house"
"""The one charity that may be named."""


@dataclass
class MarkedCollection:
    """Its files by name, its markers, and which photos may be shown."""

    files: dict[str, str] = field(default_factory=dict)
    markers: list[Marker] = field(default_factory=list)
    public_photos: list[str] = field(default_factory=list)
    private_photos: list[str] = field(default_factory=list)
    private_quilt: str = ""

    @property
    def private(self) -> list[Marker]:
        return [marker for marker in self.markers if marker.private]


def marked_collection(marking: Marking | None = None) -> MarkedCollection:
    """Quilts in every state, one kept out of the catalogue; partners of every kind; a request.

    `marking` fills the fields, if not with words that occur nowhere else.
    """
    return _Writer(marking or Marking()).write()


class _Writer:
    def __init__(self, marking: Marking) -> None:
        self.marking = marking
        self.made = MarkedCollection(markers=self.marking.markers)
        self.hidden_charity, self.other_charity, self.go_between = (
            self.marking.word("Partner.id", private=True) for _ in range(3)
        )
        self.request = self.marking.word("Request.id", private=True)
        self.line = ""

    def write(self) -> MarkedCollection:
        settings = self.marking.record(Settings, public=None, tax_notes="us")
        self.made.files["collection.yaml"] = json.dumps(settings)
        self._partners()
        self._request()
        for kind in DESTINATIONS:
            self._quilt(f"a-{kind.__name__.lower()}-quilt", kind)
        self._quilt("a-quilt-that-arrived", Donated, to=OPEN_HOUSE, through=None)
        not_yet = dict.fromkeys(("delivered", "acknowledged", "acknowledgement"))
        self._quilt("a-quilt-on-its-way", Donated, **not_yet)
        amount = self.marking.record(MaterialsCost, private=True, items=None)
        self._quilt("a-quilt-at-one-price", DESTINATIONS[0], quilt={"materials_cost": amount})
        self.made.private_quilt = self.marking.word("Quilt.id", private=True)
        self._quilt(self.made.private_quilt, Donated, private=True, to=OPEN_HOUSE, through=None)
        return self.made

    def _partners(self) -> None:
        marked = self.marking.record
        charity = {"kind": "charity", "acts_for": None, "units": "cm"}
        self._file("partners", OPEN_HOUSE, marked(Partner, public=True, part_of=self.hidden_charity, **charity))
        for name, whole in ((self.hidden_charity, self.other_charity), (self.other_charity, None)):
            hidden = marked(Partner, private=True, public=False, part_of=whole, **charity)
            self._file("partners", name, hidden)
        # Even one that asks to be named is not: a go-between never is.
        go_between = {"kind": "go-between", "public": True, "part_of": None, "acts_for": [self.other_charity]}
        go_between |= {"rules": None, "checked": None}
        self._file("partners", self.go_between, marked(Partner, private=True, **go_between))

    def _request(self) -> None:
        parties = {"partner": self.hidden_charity, "through": self.go_between}
        request = self.marking.record(Request, private=True, needed_by=None, **parties)
        self.line = request["lines"][0]["id"]
        self._file("requests", self.request, request)
        still_open = self.marking.record(Request, private=True, closed=None, **parties)
        self._file("requests", self.marking.word("Request.id", private=True), still_open)

    def _quilt(self, name: str, kind: type, *, private: bool = False, quilt: dict | None = None, **given) -> None:
        record = self.marking.record(
            Quilt,
            private=private,
            public=not private,
            photos=[self._photo(private=private), self._photo(private=True)],
            destination=self._destination(kind, **{"returned": None, "until": None, **given}),
            history=[self._destination(former) for former in DESTINATIONS],
            stage="finished",
            **(quilt or {}),
        )
        self._file("quilts", name, record)

    def _photo(self, *, private: bool) -> dict:
        photo = self.marking.record(Photo, private=private, public=not private)
        photo["file"] += ".jpg"
        (self.made.private_photos if private else self.made.public_photos).append(photo["file"])
        return photo

    def _destination(self, kind: type, **given) -> dict:
        """A destination of a kind, naming partners and a request that are there."""
        references = {
            "to": self.hidden_charity,
            "through": self.go_between,
            "meant_for": self.other_charity,
            "request": self.request,
            "line": self.line,
        }
        if kind.__name__ == "Gifted":
            references = {}
        if kind.__name__ == "Staying":
            references = {"is": "kept"}
        fields = {info.alias or name for name, info in kind.model_fields.items()}
        known = {name: value for name, value in references.items() if name in fields}
        return self.marking.record(kind, private=True, **(known | {k: v for k, v in given.items() if k in fields}))

    def _file(self, folder: str, name: str, record: dict) -> None:
        self.made.files[f"{folder}/{name}.yaml"] = json.dumps(record, ensure_ascii=False)
