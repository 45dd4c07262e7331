"""Whatever moves follow each other, the records stay sound and nothing recorded is lost."""

import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from collection.loading.loader import read_collection
from collection.transfers.file_edits import file_changes
from collection.transfers.transfers import (
    acknowledged,
    delivered,
    hand_over,
    lost,
    promise,
    returned,
    set_free,
)
from collection.yaml_files.parser import read_yaml
from tests.collection.transfers.transferred_quilts import PARTNERS, day, destination, history

pytestmark = pytest.mark.usefixtures("a_fast_disk")

QUILTS = {"low-tide": "destination: free\n", "ebb": "notes: |\n  x", "flow": "destination:\n    is: kept  # c\n"}
STEPS = st.lists(
    st.tuples(
        # The first of these that is allowed is made; most lead onwards.
        st.sampled_from([(), (), (), ("returned",), ("set free",), ("lost",)]),
        st.permutations(["promise", "hand over", "delivered", "acknowledged"]),
        st.lists(st.sampled_from(sorted(QUILTS)), min_size=1, max_size=2, unique=True),
        st.sampled_from([None, "river-street", "hill-hospice"]),
        st.sampled_from([None, "nell", "tuesday-van"]),
        st.sampled_from(["cots", "laps"]),
        st.sampled_from([None, "rain"]),
    ),
    min_size=6,
    max_size=16,
)


def step(reading, move, quilts, to, through, line, note, on):
    given = (reading.collection, reading.texts)
    match move:
        case "promise":
            return promise(*given, [(quilt, "spring", line) for quilt in quilts], on=on)
        case "hand over":
            return hand_over(*given, quilts, on=on, to=to, through=through)
        case "delivered":
            return delivered(*given, quilts, on=on, to=to)
        case "acknowledged":
            return acknowledged(*given, quilts, on=on, letter=note)
        case "returned":
            return returned(*given, quilts, on=on, note=note)
        case "set free":
            return set_free(*given, quilts, on=on, note=note)
        case _:
            return lost(*given, quilts, on=on, note=note)


def assert_nothing_lost(before, after, quilt: str) -> None:
    """History only grows; what a destination said stands in what joined it, or in the destination."""
    former, now = history(before, quilt), history(after, quilt)
    assert now[: len(former)] == former
    old, new = before.texts[f"quilts/{quilt}.yaml"].data.get("destination"), destination(after, quilt)
    if not isinstance(old, dict):
        return
    said = [each for each in (*now[len(former) :], new) if isinstance(each, dict)]
    for key, value in old.items():
        kept = any(value in each.get(key, "") or (key == "to" and value == each.get("meant_for")) for each in said)
        # A detour that was planned and not made is no fact.
        went_as_planned = isinstance(new, dict) and "to" in new and new["to"] == old.get("meant_for")
        assert kept or key == "is" or (went_as_planned and key in ("to", "meant_for")), key


@settings(max_examples=40)
@given(STEPS)
def test_whatever_happens_the_records_are_sound_and_nothing_recorded_is_lost(steps):
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        quilts = {f"quilts/{quilt}.yaml": f"title: {quilt}\n{text}" for quilt, text in QUILTS.items()}
        for file, text in {**PARTNERS, **quilts}.items():
            (folder / file).parent.mkdir(exist_ok=True)
            (folder / file).write_text(text)
        reading = read_collection(folder)
        for number, (back, onward, *chosen) in enumerate(steps):
            tried = [step(reading, move, *chosen, day(f"2026-05-{10 + number}")) for move in (*back, *onward)]
            assert all(bool(moves.changes) is not bool(moves.refusals) for moves in tried)
            moves = next((moves for moves in tried if moves.changes), None)
            if moves is None:
                continue
            file_changes(reading.collection, moves).commit()
            again = read_collection(folder)
            assert again.errors == ()
            for quilt in QUILTS:
                if quilt in {change.quilt.id for change in moves.changes}:
                    assert_nothing_lost(reading, again, quilt)
                else:
                    assert again.texts[f"quilts/{quilt}.yaml"] == reading.texts[f"quilts/{quilt}.yaml"]
            reading = again
        rest = {quilt: read_yaml((folder / f"quilts/{quilt}.yaml").read_bytes(), "")[0].data for quilt in QUILTS}
        assert {quilt: (data["title"], data.get("notes")) for quilt, data in rest.items()} == {
            "low-tide": ("low-tide", None), "ebb": ("ebb", "x"), "flow": ("flow", None),
        }  # fmt: skip
