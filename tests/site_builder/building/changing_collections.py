"""Random changes to a small collection, to what is asked of a build, and to what a build has made.

Each is a function of the folder in which all of it lies and of a source of chance; the same chance makes
the same change.
"""

import os
import shutil
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from random import Random

import yaml
from PIL import Image

from site_builder.incremental.cache_folder import cache_of

IDS = ("low-tide", "high-tide", "ebb", "flood", "blåbær")
PHOTOS = ("a.jpg", "b.png", "deep/c.jpg")
CHARITIES = ("river-street", "hill-hospice")
FACTS = ["number", "made", "finished_size", "photos", "pattern", "blocks", "colours", "destination", "story", "suits"]

# For each field some values, of which None takes it out.
FIELDS = {
    "title": ["Low Tide", "High Tide", "Ebb & Flow", "<b>Bold</b>"],
    "number": [None, 1, 2, 3, 4],
    "made": [None, "2016", "about 2016", "1990s", "2021-05"],
    "stage": [None, "piecing", "finished"],
    "finished_size": [None, "40 x 40", "60 1/2 x 72 in", "150 x 200 cm"],
    "setting": [None, {"blocks": "2 x 3", "block": "12", "sashing": "2"}],
    "pattern": [None, "Low Tide", "Stars", {"name": "Stars", "designer": "Someone"}],
    "fabric_lines": [None, ["Shore"], ["Shore", "Dunes"]],
    "blocks": [None, ["nine patch"], ["ohio star", "nine patch"]],
    "techniques": [None, ["pieced"], ["appliqué"]],
    "colours": [None, ["navy"], ["green", "grey"]],
    "suits": [None, ["children"], ["elders"]],
    "story": [None, "By the *sea*.", "# In winter\n\nBy the stove."],
    "notes": [None, "Ask my sister."],
    "kept_at": [None, "Cedar chest", "Attic"],
    "public": [None, "false", "true"],
    "condition": [None, "new", "worn"],
    "materials_cost": [None, "84.50"],
    "loans": [None, [{"to": "A show", "due": "2026-11-01"}]],
    "also_called": [None, ["The Harbour One"]],
    "destination": [
        None,
        "free",
        "kept",
        {"is": "gifted", "to": "A cousin", "on": "2019"},
        {
            "is": "donated",
            "to": "river-street",
            "through": "nell",
            "handed_over": "2026-05-12",
            "delivered": "2026-05-30",
        },
        {"is": "donated", "to": "hill-hospice", "delivered": "2024-02-01"},
        {"is": "promised", "to": "river-street", "request": "cots", "line": "cots"},
    ],
    "photos": [None, ["a.jpg"], ["b.png", "a.jpg"], [{"file": "deep/c.jpg", "public": "false"}], ["nowhere.jpg"]],
}
SETTINGS = {
    "title": [None, "Quilts of mine", "Another name"],
    "maker": [None, "Someone"],
    "units": [None, "in", "cm"],
    "currency": [None, "USD", "NOK"],
    "giving_year_starts": [None, "07-01"],
    "site": [None, {"url": "https://quilts.example"}, {"description": "All of them", "rights": "Mine"}],
    "public": [None, FACTS, FACTS[:4], ["title"]],
}
PARTNER = {
    "name": ["River Street", "A Shelter"],
    "public": [None, "true", "false"],
    "kind": [None, "charity"],
    "about": [None, "They give to all who ask."],
    "acts_for": [None],
}


@dataclass
class Asked:
    """What is asked of a build besides its folders."""

    on: date = date(2026, 10, 20)
    editions: tuple[str, ...] = ("catalogue", "binder")
    program: int = 1
    is_stable: bool = True
    """Whether the clock is so far on that no file is new."""


@dataclass
class Place:
    """A collection, what has been built from it, and what is asked next."""

    folder: Path
    output: Path
    asked: Asked


# Records ----------------------------------------------------------------------------------------


def begin(place: Path) -> Place:
    folder = place / "collection"
    _write(folder / "collection.yaml", {"title": "Quilts of mine"})
    for name in CHARITIES:
        _write(folder / f"partners/{name}.yaml", {"name": name.title()})
    _write(folder / "partners/nell.yaml", {"name": "Nell", "kind": "go-between"})
    _write(
        folder / "requests/cots.yaml",
        {"partner": "river-street", "lines": [{"id": "cots", "count": "3", "size": "baby"}]},
    )
    for number, quilt_id in enumerate(IDS[:3]):
        _write(
            folder / f"quilts/{quilt_id}.yaml",
            {"title": quilt_id.title(), "photos": [PHOTOS[number]], "pattern": "Stars"},
        )
    for number, name in enumerate(PHOTOS):
        draw(folder / "photos" / name, number)
    return Place(folder, place / "output", Asked())


def _write(path: Path, data: dict) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(yaml.dump(data, allow_unicode=True), encoding="utf-8")


def _change(path: Path, fields: dict, chance: Random) -> None:
    """Another value for one field of a record."""
    data = yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader) or {}
    field = chance.choice(sorted(fields))
    value = chance.choice(fields[field])
    data.pop(field, None)
    _write(path, data if value is None else data | {field: value})


def _one_of(folder: Path, chance: Random) -> Path | None:
    return chance.choice(found) if (found := sorted(path for path in folder.rglob("*") if path.is_file())) else None


def change_quilt(place: Place, chance: Random) -> None:
    if path := _one_of(place.folder / "quilts", chance):
        _change(path, FIELDS, chance)


def change_title(place: Place, chance: Random) -> None:
    if path := _one_of(place.folder / "quilts", chance):
        _change(path, {"title": [f"Title {number}" for number in range(9)]}, chance)


def add_quilt(place: Place, chance: Random) -> None:
    path = place.folder / f"quilts/{chance.choice(IDS)}.yaml"
    _write(path, {"title": "New"})
    for _ in range(4):
        _change(path, {name: values for name, values in FIELDS.items() if name != "title"}, chance)


def take_quilt_out(place: Place, chance: Random) -> None:
    if path := _one_of(place.folder / "quilts", chance):
        path.unlink()


def rename_quilt(place: Place, chance: Random) -> None:
    if path := _one_of(place.folder / "quilts", chance):
        path.replace(path.with_name(f"{chance.choice(IDS)}.yaml"))


def change_settings(place: Place, chance: Random) -> None:
    _change(place.folder / "collection.yaml", SETTINGS, chance)


def change_partner(place: Place, chance: Random) -> None:
    _change(place.folder / f"partners/{chance.choice(CHARITIES)}.yaml", PARTNER, chance)


def change_request(place: Place, chance: Random) -> None:
    line = {"id": "cots", "count": str(chance.randint(1, 4)), "size": chance.choice(["baby", "lap"])}
    request = {
        "partner": chance.choice(CHARITIES),
        "lines": [line],
        "needed_by": chance.choice(["2026-11-01", "2027-01-01"]),
    }
    _write(place.folder / "requests/cots.yaml", request)


def change_page(place: Place, chance: Random) -> None:
    path = place.folder / f"pages/{chance.choice(['about', 'care'])}.md"
    if path.exists() and chance.random() < 0.4:
        path.unlink()
        return
    path.parent.mkdir(exist_ok=True)
    path.write_text(chance.choice(["# About\n\nMade by hand.\n", "Wash *cold*.\n", "# Care\n\nWash cold.\n"]))


# Photos and files -------------------------------------------------------------------------------


def draw(path: Path, look: int) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    picture = Image.new("RGB", (24 + look % 3, 18), ("seagreen", "tomato", "goldenrod", "navy")[look % 4])
    picture.paste("white", (4, 4, 12, 10))
    picture.save(path)


def change_photo(place: Place, chance: Random) -> None:
    path = place.folder / "photos" / chance.choice(PHOTOS)
    if chance.random() < 0.25:
        path.unlink(missing_ok=True)
    elif chance.random() < 0.15:
        path.write_bytes(b"no picture")
    else:
        draw(path, chance.randrange(12))


def rewrite_as_it_was(place: Place, chance: Random) -> None:
    if path := _one_of(place.folder, chance):
        path.write_bytes(path.read_bytes())


def change_in_secret(place: Place, chance: Random) -> None:
    """The same length and the same time, another content."""
    path = _one_of(place.folder / "quilts", chance)
    if path is None:
        return
    was, content = path.stat(), path.read_bytes()
    path.write_bytes(content.replace(b"Tide", b"Tied").replace(b"Title", b"Tilte").replace(b"New", b"Wen"))
    os.utime(path, ns=(was.st_atime_ns, was.st_mtime_ns))


# What is asked, and what was made ---------------------------------------------------------------


def ask_another_day(place: Place, chance: Random) -> None:
    place.asked.on = date(2026, chance.randint(9, 12), 20)


def ask_for_one_edition(place: Place, chance: Random) -> None:
    place.asked.editions = chance.choice([("catalogue",), ("binder",), ("catalogue", "binder")])


def another_program(place: Place, chance: Random) -> None:
    place.asked.program = chance.randint(1, 3)


def let_time_pass(place: Place, chance: Random) -> None:
    place.asked.is_stable = not place.asked.is_stable


def meddle_with_output(place: Place, chance: Random) -> None:
    editions = [place.output / name for name in ("catalogue", "binder")]
    path = _one_of(chance.choice(editions), chance) if all(edition.is_dir() for edition in editions) else None
    if path is None or path.name == "index.html":
        return
    match chance.randrange(4):
        case 0:
            path.unlink()
        case 1:
            path.write_bytes(b"meddled")
        case 2:
            path.with_name("more.html").write_bytes(b"mine")
        case 3:
            path.with_name("a folder").mkdir(exist_ok=True)


def lose_a_note(place: Place, chance: Random) -> None:
    notes = cache_of(place.folder).folder
    path = _one_of(notes, chance) if notes.is_dir() else None
    if path is not None:
        path.write_bytes(path.read_bytes()[: chance.randrange(3) * 40])


def lose_all_that_is_kept(place: Place, chance: Random) -> None:
    shutil.rmtree(cache_of(place.folder).folder, ignore_errors=True)


def move_the_output(place: Place, chance: Random) -> None:
    """To another disk, or into a backup and back: all files are other files then."""
    if place.output.is_dir():
        shutil.copytree(place.output, place.output.with_name("copy"))
        shutil.rmtree(place.output)
        place.output.with_name("copy").rename(place.output)


CHANGES = (
    change_quilt, change_quilt, change_quilt, change_title, add_quilt, take_quilt_out, rename_quilt,
    change_settings, change_partner, change_request, change_page, change_photo, rewrite_as_it_was,
    change_in_secret, ask_another_day, ask_for_one_edition, another_program, let_time_pass,
    meddle_with_output, lose_a_note, lose_all_that_is_kept, move_the_output,
)  # fmt: skip
