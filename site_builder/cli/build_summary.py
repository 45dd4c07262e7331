"""The summary that `build` prints."""

from collections.abc import Iterator

from site_builder.incremental.manifest import BuildReport


def build_words(report: BuildReport) -> str:
    """One sentence: what was made, or what has changed since the last build."""
    pages = _count(report.pages, "page")
    if report.left_alone:
        said = "Nothing changed since the last build"
    elif report.changed is None:
        said = f"Built {_count(report.quilts, 'quilt')}, {pages}, {_count(report.pictures, 'photo')}"
    else:
        said = f"Built {_count(report.quilts, 'quilt')}: {report.changed:,} of {pages} changed"
    warned = f"; {_count(len(report.warnings), 'warning')}, see above" if report.warnings else ""
    return f"{said}{warned}."


def asides(report: BuildReport) -> Iterator[str]:
    """More sentences: anything else that the maker should know, and what to do about it."""
    if report.not_kept:
        yield report.not_kept
    for path in report.left_lying:
        what = f"{path} is left from a former build, may hold private facts, and can't be removed."
        yield f"{what} Remove it yourself, as its owner."


def _count(number: int, one: str) -> str:
    return f"{number:,} {one if number == 1 else one + 's'}"
