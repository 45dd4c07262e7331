"""No picture, and no set of pictures, makes the program hold more memory than is promised of it."""

import subprocess
import sys
import threading
from pathlib import Path

import pytest

from site_builder.images.decode import MANY_NOTES, UnusablePhoto, decode
from site_builder.images.memory import LARGE as LARGE_CLAIM
from site_builder.images.memory import MOST_OF_ALL, USUAL, MemoryBudget
from tests.site_builder.images.large_pictures import HEAVY, LARGE

# The system counts what a process inherits from the one that starts it, so one stands between.
MEASURED = """
import resource, subprocess, sys
done = subprocess.run(sys.argv[1:], capture_output=True, text=True, check=False)
most = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * (1 if sys.platform == "darwin" else 1024)
print(done.returncode, most, done.stderr)
"""


@pytest.fixture(scope="module")
def large_collection(tmp_path_factory):
    folder = tmp_path_factory.mktemp("large")
    (folder / "quilts").mkdir()
    (folder / "photos").mkdir()
    for number, (name, make) in enumerate(LARGE.items()):
        (folder / "photos" / name).write_bytes(make())
        (folder / f"quilts/quilt-{number}.yaml").write_text(f"title: Quilt {number}\nphotos: [{name}]\n")
    return folder


@pytest.mark.skipif(sys.platform != "linux", reason="memory is measured on Linux")
@pytest.mark.parametrize("jobs", ["2", "8"])
def test_a_build_of_the_largest_pictures_of_all_kinds_keeps_within_the_memory(
    large_collection, tmp_path, jobs, monkeypatch
):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    command = Path(sys.executable).with_name("counterpane")
    build = [command, "build", large_collection, "--output", tmp_path / "site", "--jobs", jobs]
    run = subprocess.run(
        [sys.executable, "-c", MEASURED, *build], capture_output=True, text=True, timeout=600, check=False
    )
    code, most, said = run.stdout.split(" ", 2)
    assert code == "0" and f"{len(LARGE)} photos" in said and "too large" not in said, run.stdout + run.stderr
    assert int(most) < MOST_OF_ALL, f"{int(most) // 1_000_000} MB"


@pytest.mark.parametrize("make", HEAVY.values(), ids=HEAVY)
def test_notes_that_would_take_much_memory_are_refused_before_they_are_read(make):
    with pytest.raises(UnusablePhoto) as told:
        decode(make(), longest=400)
    assert str(told.value) == MANY_NOTES


# Claims --------------------------------------------------------------------------------------------


def test_work_on_an_ordinary_picture_begins_once():
    begun = []
    assert MemoryBudget(10 * USUAL, lambda: 0).bounded(lambda: begun.append(1) or "done") == "done"
    assert len(begun) == 1


def test_what_the_program_holds_already_is_not_given_away_again():
    budget = MemoryBudget(3 * USUAL, lambda: 2 * USUAL)
    first, go_on, others = threading.Event(), threading.Event(), []
    one = threading.Thread(target=budget.bounded, args=(lambda: first.set() or go_on.wait(60),))
    two = threading.Thread(target=budget.bounded, args=(lambda: others.append(go_on.is_set()),))
    one.start()
    assert first.wait(60)
    two.start()
    two.join(0.5)
    go_on.set()
    one.join()
    two.join()
    assert others == [True]


def test_many_that_need_much_are_all_done_and_never_hold_more_than_there_is():
    """Each is seen to be large only once it is begun, as pictures are."""
    most = 4 * USUAL
    budget, lock = MemoryBudget(most, lambda: 0), threading.Lock()
    held, highest, done = [0], [0], []

    def work(size: int) -> None:
        budget.need(size)
        with lock:
            held[0] += size
            highest[0] = max(highest[0], held[0])
        with lock:
            held[0] -= size
            done.append(size)

    sizes = [USUAL, 2 * USUAL, LARGE_CLAIM, 3 * USUAL, most] * 8
    threads = [threading.Thread(target=budget.bounded, args=(lambda size=size: work(size),)) for size in sizes]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(300)
    assert sorted(done) == sorted(sizes)
    assert highest[0] <= most


def test_a_claim_is_given_back_when_the_work_fails():
    budget = MemoryBudget(2 * USUAL, lambda: 0)
    for _ in range(5):
        with pytest.raises(ZeroDivisionError):
            budget.bounded(lambda: budget.need(2 * USUAL) or 1 / 0)
    assert budget.bounded(lambda: "done") == "done"
