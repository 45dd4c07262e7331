"""Work shared among processes is done whole, whatever befalls them."""

import os
import signal
import subprocess
import sys
import textwrap
import threading
import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection import parallel
from collection.parallel import WORTH_IT, made_by_several

MANY = WORTH_IT + 13
ROOT = Path(__file__).parents[2]


def in_a_run_of_its_own(code: str) -> str:
    """What is printed by a run in which no other threads are, as there may be where tests run."""
    begin = f"import os, signal, sys, time\nsys.path.insert(0, {str(ROOT)!r})\nfrom collection import parallel\nfrom collection.parallel import WORTH_IT, made_by_several\n"
    run = subprocess.run(
        [sys.executable, "-c", begin + textwrap.dedent(code)], capture_output=True, text=True, timeout=300, check=False
    )
    assert (run.returncode, run.stderr) in ((0, ""), (-signal.SIGKILL, ""))
    return run.stdout


@pytest.mark.parametrize("processes", [1, 2, 3])
@pytest.mark.parametrize("count", [0, 1, WORTH_IT - 1, WORTH_IT, MANY])
def test_each_is_made_once(processes, count):
    code = f"print(sorted(made_by_several(lambda number: number * number, {count}, {processes})))"
    assert eval(in_a_run_of_its_own(code)) == [(number, number * number) for number in range(count)]


def test_many_are_made_by_as_many_other_processes_as_were_asked_for():
    code = """
        make = lambda number: time.sleep(0.001) or os.getpid()
        makers = {process for _, process in made_by_several(make, 2 * WORTH_IT, 2)}
        print(len(makers), os.getpid() in makers)
    """
    assert in_a_run_of_its_own(code).split() == ["2", "False"]


def test_few_are_made_here():
    assert {process for _, process in made_by_several(lambda number: os.getpid(), WORTH_IT - 1, 2)} == {os.getpid()}


def test_while_other_threads_run_all_are_made_here():
    stop = threading.Event()
    other = threading.Thread(target=stop.wait)
    other.start()
    try:
        assert {process for _, process in made_by_several(lambda number: os.getpid(), MANY, 2)} == {os.getpid()}
    finally:
        stop.set()
        other.join()


def test_neighbours_are_made_by_the_same_process():
    code = f"print(dict(made_by_several(lambda number: os.getpid(), {MANY}, 2)))"
    makers = eval(in_a_run_of_its_own(code))
    assert all(len({makers[number] for number in share}) == 1 for share in parallel._shares(MANY))


@given(st.integers(0, 100_000))
def test_shares_are_all_numbers_and_fit_into_the_pipe(count):
    shares = parallel._shares(count)
    assert [number for share in shares for number in share] == list(range(count))
    assert len(shares) * 4 <= 2**16


def test_what_goes_wrong_in_another_process_is_raised_here():
    code = """
        def make(number):
            return 1 / (number - 77)

        try:
            list(made_by_several(make, 2 * WORTH_IT, 2))
        except ZeroDivisionError:
            print("raised here")
    """
    assert in_a_run_of_its_own(code) == "raised here\n"


def test_what_a_killed_process_leaves_is_made_here():
    code = """
        here = os.getpid()

        def make(number):
            if number == 40 and os.getpid() != here:
                os.kill(os.getpid(), signal.SIGKILL)
            return number

        print(sorted(number for number, _ in made_by_several(make, 2 * WORTH_IT, 2)) == list(range(2 * WORTH_IT)))
    """
    assert in_a_run_of_its_own(code) == "True\n"


def test_what_a_process_was_handing_back_when_it_was_killed_is_made_here():
    code = """
        import threading
        here = os.getpid()

        def make(number):
            if number == 40 and os.getpid() != here:
                threading.Timer(0.1, os.kill, [os.getpid(), signal.SIGKILL]).start()
                return bytes(50_000_000)
            return b""

        made = []
        for number, content in made_by_several(make, 2 * WORTH_IT, 2):
            made.append((number, len(content)))
            time.sleep(0.02 if len(made) < 40 else 0)
        print(sorted(made) == [(number, 0) for number in range(2 * WORTH_IT)])
    """
    assert in_a_run_of_its_own(code) == "True\n"


def test_where_no_process_can_be_forked_all_is_made_here():
    code = """
        def refuse():
            raise BlockingIOError(11, "no more processes")

        os.fork = refuse
        print({process for _, process in made_by_several(lambda number: os.getpid(), 2 * WORTH_IT, 2)} == {os.getpid()})
    """
    assert in_a_run_of_its_own(code) == "True\n"


def test_who_stops_asking_leaves_no_process_behind():
    code = """
        made = made_by_several(lambda number: os.getpid(), 20 * WORTH_IT, 2)
        _, maker = next(made)
        assert maker != os.getpid()
        made.close()
        try:
            os.kill(maker, 0)
        except ProcessLookupError:
            print("gone")
    """
    assert in_a_run_of_its_own(code) == "gone\n"


@pytest.mark.parametrize("seconds", [0, 60])
def test_the_processes_of_one_that_was_killed_end_with_it(seconds):
    """Also those that are long busy with one thing."""
    code = f"""
        def make(number):
            time.sleep({seconds} if number else 0)
            return os.getpid()

        parallel._SHARE = 1
        for number, maker in made_by_several(make, 5_000, 2):
            print(maker, flush=True)
            time.sleep(0.1)
            os.kill(os.getpid(), signal.SIGKILL)
    """
    maker = int(in_a_run_of_its_own(code))
    assert maker != os.getpid()
    for _ in range(6000):
        status = Path(f"/proc/{maker}/status")
        if not status.exists() or "(zombie)" in status.read_text():
            return
        time.sleep(0.05)
    pytest.fail(f"{maker} still runs")


if sys.platform != "linux":
    pytestmark = pytest.mark.skip(reason="processes are forked on Linux only")
