"""Output in the terminal: sentences, problems, progress, and errors in words.

Results go to standard output, everything else to standard error. Imports of heavy modules are inside functions, so
that `--help` loads little.
"""

import errno
import json
import re
import sys
from collections.abc import Iterable
from typing import TYPE_CHECKING, Self

import click

if TYPE_CHECKING:
    from collection.giving.gaps import Gap
    from collection.problems import Problem

RECORDS_HAVE_PROBLEMS = 1
WRONG_USE = 2
OUR_MISTAKE = 3
STOPPED = 130
"""The exit code of a command that Ctrl-C ends in a shell. Common practice, no source."""

NAMED_AT_MOST = 4
"""The most quilts that are named if many lack the same fact."""

_WHAT_HELPS = {
    errno.ENOSPC: "There is no room left on the disk. Make room, then try again.",
    errno.EDQUOT: "You have no room left on this disk. Make room, then try again.",
    errno.EACCES: "It may not be read or written. Allow your account to, or name another place.",
    errno.EPERM: "It may not be read or written. Allow your account to, or name another place.",
    errno.EROFS: "This disk can only be read. Name another place.",
    errno.ENOENT: "There is no such place, and none can be made there. Check its name.",
    errno.ENOTDIR: "A file stands where a folder is needed. Name another place.",
    errno.EEXIST: "A file stands where a folder is needed. Name another place.",
    errno.ENAMETOOLONG: "The name is too long for this disk. Shorten it.",
}


# Control characters except line feeds, and those that change the direction of writing. Joiners stay.
_CONTROL = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")


def harmless(text: str) -> str:
    """A text that is safe to print: control characters in records can't move the cursor or name the window.

    >>> harmless("Low\\x1b[2J Tide")
    'Low�[2J Tide'
    """
    return _CONTROL.sub("�", text)


def tell(line: str, *, err: bool = False) -> None:
    """Print a line of a result."""
    click.echo(harmless(line), err=err)


def say(sentence: str) -> None:
    """Print a sentence for a person."""
    tell(sentence, err=True)


def print_json(result: object) -> None:
    """Print the result for programs, always in UTF-8, whatever the terminal uses."""
    text = json.dumps(result, ensure_ascii=False, indent=2) + "\n"
    # Bytes of a file name that are not text become JSON escapes such as \udc80.
    click.echo(text.encode("utf-8", "backslashreplace"), nl=False)


# Problems and gaps ------------------------------------------------------------------------------


def problem_line(problem: "Problem") -> str:
    """A problem with `file:line:` first, so that terminals make it a link; a warning says that it is one."""
    if problem.severity == "error":
        return str(problem)
    place = f"{problem.file}:{problem.line}: "
    return f"{place}warning: {str(problem).removeprefix(place)}"


def check_data(errors: Iterable["Problem"], warnings: Iterable["Problem"], gaps: Iterable["Gap"]) -> dict[str, object]:
    """The report of `check`, for programs."""

    def as_data(problems: Iterable["Problem"]) -> list[dict[str, object]]:
        names = ("file", "line", "field", "found", "remedy")
        return [{name: getattr(problem, name) for name in names} for problem in problems]

    return {
        "problems": as_data(errors),
        "warnings": as_data(warnings),
        "gaps": [{"quilt": gap.quilt, "field": gap.field, "blocks": gap.blocks} for gap in gaps],
    }


def report_recovered(names: Iterable[str]) -> None:
    """Report the files of an interrupted change that was finished now, if there are any."""
    if listed := ", ".join(names):
        say(f"A change that had been interrupted was finished: {listed}.")


def tell_all(problems: Iterable["Problem"]) -> None:
    for problem in problems:
        say(problem_line(problem))


def every_gap(gaps: Iterable["Gap"]) -> Iterable[str]:
    """A line for each gap, the most useful to fill in first."""
    from site_builder.text.gap_words import purpose

    for gap in gaps:
        last = f" Nothing else is missing for {purpose(gap)}." if gap.is_last else ""
        yield f"quilts/{gap.quilt}.yaml: {gap.field} is missing, for {purpose(gap)}. {gap.why}{last}"


def gaps_in_short(gaps: Iterable["Gap"]) -> Iterable[str]:
    """Two lines for each missing fact, in the words of the binder: how many quilts lack it, and the first few names."""
    from collection.giving.gaps import by_fact
    from site_builder.text.gap_words import purpose, task
    from site_builder.text.wording import count_of

    blocks = None
    for group in by_fact(gaps):
        gap, quilts = group[0], [each.quilt for each in group]
        if gap.blocks != blocks:
            blocks = gap.blocks
            yield f"\nMissing for {purpose(gap)}:"
        named, more = quilts[:NAMED_AT_MOST], quilts[NAMED_AT_MOST:]
        yield f"  {task(gap)}: {count_of(len(quilts), 'quilt')}. {gap.why}"
        yield f"    {', '.join(named)}{f' and {len(more):,} more' if more else ''}"


# Progress ---------------------------------------------------------------------------------------


class Progress:
    """A line with the progress of a long task; not shown if there is no terminal."""

    def __init__(self) -> None:
        self._shown = sys.stderr.isatty()
        self._width = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *exception: object) -> None:
        if self._width:
            sys.stderr.write("\r" + " " * self._width + "\r")

    def __call__(self, what: str, done: int, of: int) -> None:
        if self._shown and (done == of or done % max(1, of // 100) == 0):
            line = f"{what}: {done:,} of {of:,}"
            sys.stderr.write("\r" + line.ljust(self._width))
            sys.stderr.flush()
            self._width = max(self._width, len(line))


# Errors in words --------------------------------------------------------------------------------


def explain(error: Exception) -> int:
    """Print an error in words, and return its exit code."""
    from collection.problems import CollectionProblems
    from site_builder.building.publish import OutputRefused
    from site_builder.text.wording import count_of

    if isinstance(error, CollectionProblems):
        tell_all(error.problems)
        say(f"{count_of(len(error.problems), 'problem')} in the records; nothing was changed.")
        return RECORDS_HAVE_PROBLEMS
    if isinstance(error, OutputRefused):
        say(str(error))
        return WRONG_USE
    if isinstance(error, OSError) and error.strerror:
        name = f"{error.filename}: " if error.filename else ""
        helps = _WHAT_HELPS.get(error.errno or 0, f"{error.strerror}.")
        say(" ".join([name + helps, *getattr(error, "__notes__", ())]))
        return WRONG_USE
    return _admit(error)


def _admit(error: Exception) -> int:
    """Report a bug of the program, with the traceback in a file."""
    import tempfile
    import traceback

    with tempfile.NamedTemporaryFile(
        "w", prefix="counterpane-", suffix=".txt", delete=False, encoding="utf-8", errors="backslashreplace"
    ) as report:
        traceback.print_exception(error, file=report)
    say(
        "Something went wrong in Counterpane itself; your records are as they were, and so is what was built "
        f"before. What happened is written in {report.name}; please pass it on to whoever looks after the program."
    )
    return OUR_MISTAKE
