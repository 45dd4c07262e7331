"""No test passes or fails by the clock: a busy or a slow machine is no fault of the program."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

TESTS = Path(__file__).parent
CLOCKS = {
    "perf_counter",
    "perf_counter_ns",
    "monotonic",
    "monotonic_ns",
    "process_time",
    "process_time_ns",
    "thread_time",
    "thread_time_ns",
}
MAY_READ_CLOCKS = {
    "support/patience.py",  # seconds of the processor, with room
    "site_builder/building/killed_builds.py",  # to kill builds at moments spread over all that one takes
}
# Calls that end by themselves after some seconds: named, or the first argument. Playwright counts milliseconds.
TAKE_TIME_FIRST = {"set_default_timeout", "settimeout", "wait", "communicate", "result"}
LEAST = 60  # seconds, and what a test does in them takes one or two
TAKE_MILLISECONDS = {
    "set_default_timeout",
    "set_options",
    "goto",
    "to_have_text",
    "to_be_visible",
    "to_be_hidden",
    "wait_for_selector",
}


def number(node: ast.expr | None) -> float | None:
    """A number as it is written, sums and products of numbers included; else None."""
    match node:
        case ast.Constant(value=int() | float() as value) if not isinstance(value, bool):
            return value
        case ast.BinOp(left=left, right=right):
            return min((each for each in (number(left), number(right)) if each is not None), default=None)
    return None


def clock_faults(source: str, *, may_read_clocks: bool = False) -> Iterator[str]:
    """Where a module of tests reads a clock, gives up within minutes, or sets a deadline; programs in its strings too."""
    for node in ast.walk(ast.parse(source)):
        match node:
            case ast.Constant(value=str() as text) if "\n" in text and "import" in text:
                try:
                    yield from clock_faults(text, may_read_clocks=may_read_clocks)
                except SyntaxError:
                    pass
            case ast.Attribute(attr=name) | ast.Name(id=name) if name in CLOCKS and not may_read_clocks:
                yield f"{node.lineno}: {name} is a clock"
            case ast.ImportFrom(module="time", names=names) if not may_read_clocks:
                yield from (f"{node.lineno}: {each.name} is a clock" for each in names if each.name in CLOCKS)
            case ast.Attribute(value=ast.Name(id="time"), attr="time") if not may_read_clocks:
                yield f"{node.lineno}: time.time is a clock"
            case ast.Call(func=ast.Attribute(attr="wait_for_timeout")):
                yield f"{node.lineno}: wait_for_timeout waits for a time instead of a state"
            case ast.Call():
                yield from _short_waits(node)


def _short_waits(call: ast.Call) -> Iterator[str]:
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    given = {each.arg: each.value for each in call.keywords}
    if "deadline" in given and ast.unparse(given["deadline"]) != "None":
        yield f"{call.lineno}: a deadline of {ast.unparse(given['deadline'])}"
    waits = number(given.get("timeout")) if "timeout" in given else None
    if waits is None and name in TAKE_TIME_FIRST and call.args:
        waits = number(call.args[0])
    if waits is not None and waits < LEAST * (1000 if name in TAKE_MILLISECONDS else 1):
        yield f"{call.lineno}: {name} gives up after {waits:g}"


def test_no_test_is_decided_by_the_clock():
    faults = []
    for path in sorted(TESTS.rglob("*.py")):
        name = path.relative_to(TESTS).as_posix()
        if not name.startswith("benchmarks/") and path != Path(__file__):
            faults += [
                f"{name}:{fault}"
                for fault in clock_faults(path.read_text(encoding="utf-8"), may_read_clocks=name in MAY_READ_CLOCKS)
            ]
    assert not faults, "\n".join(faults)


@pytest.mark.parametrize(
    ("source", "fault"),
    [
        ("began = time.perf_counter()\nassert time.perf_counter() - began < 0.5", "1: perf_counter is a clock"),
        ("from time import monotonic as now", "1: monotonic is a clock"),
        ("until = time.time() + 10", "1: time.time is a clock"),
        ("RUN = '''\nimport time\nprint(time.process_time())\n'''", "3: process_time is a clock"),
        ("subprocess.run(words, timeout=20)", "1: run gives up after 20"),
        ("subprocess.run(words, timeout=60 + 5 * KILLS)", "1: run gives up after 5"),
        ("process.wait(30)", "1: wait gives up after 30"),
        ("context.set_default_timeout(10_000)", "1: set_default_timeout gives up after 10000"),
        ("expect(page).to_have_text('Low Tide', timeout=500)", "1: to_have_text gives up after 500"),
        ("page.wait_for_timeout(50)", "1: wait_for_timeout waits for a time"),
        ("@settings(deadline=200)\ndef test_it(): pass", "1: a deadline of 200"),
    ],
)
def test_a_clock_is_found_wherever_it_stands(source, fault):
    assert any(fault in found for found in clock_faults(source))


@pytest.mark.parametrize(
    "source",
    [
        "os.utime(path, ns=(time.time_ns(), 0))",
        "time.sleep(0.05)",
        "subprocess.run(words, timeout=LONG_ENOUGH)",
        "thread.join()",
        "', '.join(names)",
        "@settings(deadline=None)\ndef test_it(): pass",
        "subprocess.run(words, timeout=300)",
    ],
)
def test_what_only_waits_or_stamps_is_left_alone(source):
    assert list(clock_faults(source)) == []
