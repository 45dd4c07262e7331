"""What is found out of each quilt by itself, kept from one build to the next."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from site_builder import build_notes
from collection.several_processes import made_by_several


def kept_entries(
    output: Path,
    name: str,
    program: str,
    *,
    made_from: str,
    quilts: Mapping[str, str],
    make: Callable[[str], Any],
    jobs: int,
) -> dict[str, Any]:
    """An entry for each of these quilts by its ID, plain values for JSON; made anew where its quilt has changed.

    `made_from` stands for what all entries are made from, `quilts` has for each quilt what stands for it.
    `make` makes the entry of one; many are made in as many processes as `jobs` says. The entries lie under
    `name` among the notes of `output`, and those of other quilts are gone. OSError when they can't be written.
    """
    before = build_notes.read_entries(output, name, made_by := f"{program} {made_from}")
    now = {quilt: known for quilt, stands in quilts.items() if (known := before.get(quilt)) and known[0] == stands}
    missing = [quilt for quilt in quilts if quilt not in now]
    for number, made in made_by_several(lambda number: make(missing[number]), len(missing), jobs):
        now[missing[number]] = [quilts[missing[number]], made]
    if now != before:
        # They are true whatever becomes of this build.
        build_notes.write_entries(output, name, made_by, {quilt: now[quilt] for quilt in quilts})
    return {quilt: now[quilt][1] for quilt in quilts}
