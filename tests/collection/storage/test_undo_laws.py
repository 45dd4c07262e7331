"""After any sequence of changes, undos and meddling by hand, the bytes are those that a model expects."""

import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from collection.storage.transaction import FileChanges
from tests.collection.storage.changed_quilts import refusal, state, told, undo

pytestmark = pytest.mark.usefixtures("a_fast_disk")

CONTENTS = st.one_of(st.none(), st.binary(max_size=6))
NAMES = ["quilts/a.yaml", "quilts/b.yaml", "photos/c/d.jpg", "notes.md"]
BATCHES = st.dictionaries(st.sampled_from(NAMES), CONTENTS, min_size=1)
ACTS = st.lists(st.one_of(st.just("undo"), st.just("again"), BATCHES), max_size=12)


@settings(max_examples=60)
@given(ACTS)
def test_after_any_sequence_of_changes_and_undos_the_bytes_are_those_of_the_model(acts):
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "collection"
        folder.mkdir()
        before: list[dict[str, bytes]] = []
        now: dict[str, bytes] = {}
        ahead: list[dict[str, bytes]] = []
        for act in acts:
            if act == "undo":
                assert undo(folder) == bool(before)
                if before:
                    ahead.append(now)
                    now = before.pop()
            elif act == "again":
                assert undo(folder, again=True) == bool(ahead)
                if ahead:
                    before.append(now)
                    now = ahead.pop()
            else:
                changes = FileChanges(folder)
                for name, new in act.items():
                    changes.add(name, now.get(name), new)
                if changes.commit(told()):
                    before.append(now)
                    ahead.clear()
                now = {name: new for name, new in {**now, **act}.items() if new is not None}
            assert state(folder) == now


class Model:
    """What undo promises, said a second time: files, the batches done and undone, and hands that meddle."""

    def __init__(self):
        self.files: dict[str, bytes] = {}
        self.done: list[dict[str, tuple[bytes | None, bytes | None]]] = []
        self.undone: list[dict[str, tuple[bytes | None, bytes | None]]] = []

    def put(self, name: str, content: bytes | None) -> None:
        self.files.pop(name, None)
        if content is not None:
            self.files[name] = content

    def change(self, batch: dict[str, bytes | None]) -> None:
        changed = {name: (self.files.get(name), new) for name, new in batch.items() if self.files.get(name) != new}
        for name, new in batch.items():
            self.put(name, new)
        if changed:
            self.done.append(changed)
            self.undone.clear()

    def turn_back(self, again: bool) -> bool | None:
        """True where it was taken back, None where there is nothing, False where a hand stands in the way."""
        stack, other = (self.undone, self.done) if again else (self.done, self.undone)
        if not stack:
            return None
        if any(self.files.get(name) not in both for name, both in stack[-1].items()):
            return False
        turned = {
            name: (self.files.get(name), was) for name, (was, _) in stack.pop().items() if self.files.get(name) != was
        }
        for name, (_, new) in turned.items():
            self.put(name, new)
        other.append(turned)
        return True


HAND = st.tuples(st.sampled_from(NAMES), CONTENTS)
MEDDLED = st.lists(st.one_of(st.just("undo"), st.just("again"), BATCHES, HAND), max_size=14)


@settings(max_examples=60)
@given(MEDDLED)
def test_whatever_hands_do_in_between_nothing_they_wrote_is_overwritten(acts):
    with tempfile.TemporaryDirectory() as place:
        folder, source, model = Path(place) / "collection", Path(place) / "source", Model()
        folder.mkdir()
        for act in acts:
            if isinstance(act, str):
                expected = model.turn_back(act == "again")
                if expected is False:
                    refusal(folder, again=act == "again")
                else:
                    assert undo(folder, again=act == "again") is bool(expected)
            elif isinstance(act, tuple):
                name, content = act
                model.put(name, content)
                (folder / name).parent.mkdir(parents=True, exist_ok=True)
                (folder / name).unlink(missing_ok=True)
                if content is not None:
                    (folder / name).write_bytes(content)
            else:
                changes = FileChanges(folder)
                for name, new in act.items():
                    old = model.files.get(name)
                    if old is None and new:
                        source.write_bytes(new)
                        changes.add_copy(name, source)
                        source = source.with_name(f"{source.name}+")
                    else:
                        changes.add(name, old, new)
                changes.commit(told())
                model.change(act)
            assert state(folder) == model.files
