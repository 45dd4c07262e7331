"""Work shared among processes is done whole, whatever befalls them."""

import os
import signal
import subprocess
import sys
import threading
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection import several_processes
from collection.several_processes import WORTH_IT, made_by_several

MANY = WORTH_IT + 13


def processes_of(made) -> set[int]:
    return {process for _, process in made}


@pytest.mark.parametrize("processes", [1, 2, 3])
@pytest.mark.parametrize("count", [0, 1, WORTH_IT - 1, WORTH_IT, MANY])
def test_each_is_made_once(processes, count):
    made = list(made_by_several(lambda number: number * number, count, processes))
    assert sorted(made) == [(number, number * number) for number in range(count)]


def test_many_are_made_by_as_many_other_processes_as_were_asked_for():
    def make(number):
        time.sleep(0.001)
        return os.getpid()

    makers = processes_of(made_by_several(make, MANY, 2))
    assert len(makers) == 2
    assert os.getpid() not in makers


def test_few_are_made_here():
    assert processes_of(made_by_several(lambda number: os.getpid(), WORTH_IT - 1, 2)) == {os.getpid()}


def test_while_other_threads_run_all_are_made_here():
    stop = threading.Event()
    other = threading.Thread(target=stop.wait)
    other.start()
    try:
        assert processes_of(made_by_several(lambda number: os.getpid(), MANY, 2)) == {os.getpid()}
    finally:
        stop.set()
        other.join()


def test_neighbours_are_made_by_the_same_process():
    makers = dict(made_by_several(lambda number: os.getpid(), MANY, 2))
    assert all(len({makers[number] for number in share}) == 1 for share in several_processes._shares(MANY))


@given(st.integers(0, 100_000))
def test_shares_are_all_numbers_and_fit_into_the_pipe(count):
    shares = several_processes._shares(count)
    assert [number for share in shares for number in share] == list(range(count))
    assert len(shares) * 4 <= 2**16


def test_what_goes_wrong_in_another_process_is_raised_here():
    def make(number):
        if number == 77:
            raise ZeroDivisionError("number 77")
        return number

    with pytest.raises(ZeroDivisionError, match="number 77"):
        list(made_by_several(make, MANY, 2))


def test_what_a_killed_process_leaves_is_made_here():
    here = os.getpid()

    def make(number):
        if number == 40 and os.getpid() != here:
            os.kill(os.getpid(), signal.SIGKILL)
        return number

    assert sorted(number for number, _ in made_by_several(make, MANY, 2)) == list(range(MANY))


def test_who_stops_asking_leaves_no_process_behind():
    made = made_by_several(lambda number: os.getpid(), 10 * MANY, 2)
    _, maker = next(made)
    made.close()
    with pytest.raises(ProcessLookupError):
        os.kill(maker, 0)


KILLED = """
import os, signal, sys
from collection.several_processes import made_by_several
for number, maker in made_by_several(lambda number: os.getpid(), 100_000, 2):
    print(maker, flush=True)
    os.kill(os.getpid(), signal.SIGKILL)
"""


def test_the_processes_of_one_that_was_killed_end_by_themselves():
    run = subprocess.run([sys.executable, "-c", KILLED], capture_output=True, text=True, timeout=30)
    assert run.returncode == -signal.SIGKILL
    maker = int(run.stdout)
    for _ in range(200):
        try:
            os.kill(maker, 0)
        except ProcessLookupError:
            return
        if "Z (zombie)" in open(f"/proc/{maker}/status").read():
            return
        time.sleep(0.05)
    pytest.fail(f"{maker} still runs")


if sys.platform != "linux":
    pytestmark = pytest.mark.skip(reason="processes are forked on Linux only")
