"""What is found out of each quilt by itself, kept from one build to the next."""

from collections.abc import Callable, Mapping
from typing import Any

from collection.parallel import made_by_several
from site_builder.incremental.manifest import BuildNotes


def cached_entries(
    notes: BuildNotes,
    name: str,
    *,
    made_from: str,
    quilts: Mapping[str, str],
    make: Callable[[str], Any],
    jobs: int,
) -> dict[str, Any]:
    """An entry for each of these quilts by its ID, plain values for JSON; made anew where its quilt has changed.

    `made_from` stands for what all entries are made from, `quilts` has for each quilt what stands for it.
    `make` makes the entry of one; many are made in as many processes as `jobs` says. The entries are noted under
    `name`, and those of other quilts are gone.
    """
    before = notes.read_entries(name, made_from)
    now = {quilt: known for quilt, stands in quilts.items() if (known := before.get(quilt)) and known[0] == stands}
    missing = [quilt for quilt in quilts if quilt not in now]
    for number, made in made_by_several(lambda number: make(missing[number]), len(missing), jobs):
        now[missing[number]] = [quilts[missing[number]], made]
    if now != before:
        # They are true whatever becomes of this build.
        notes.write_entries(name, {quilt: now[quilt] for quilt in quilts}, made_from)
    return {quilt: now[quilt][1] for quilt in quilts}
