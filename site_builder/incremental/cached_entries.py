"""Results for single quilts, cached from one build to the next."""

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
    """An entry for each of these quilts by its ID: plain JSON values, made again only if the quilt has changed.

    `made_from` is a digest of what all entries depend on; `quilts` has a digest for each quilt. `make` makes one
    entry; many are made in up to `jobs` processes. The entries are saved under `name`, without those of other quilts.
    """
    before = notes.read_entries(name, made_from)
    now = {quilt: known for quilt, digest in quilts.items() if (known := before.get(quilt)) and known[0] == digest}
    missing = [quilt for quilt in quilts if quilt not in now]
    for number, made in made_by_several(lambda number: make(missing[number]), len(missing), jobs):
        now[missing[number]] = [quilts[missing[number]], made]
    if now != before:
        # Saved at once: they hold even if this build fails.
        notes.write_entries(name, {quilt: now[quilt] for quilt in quilts}, made_from)
    return {quilt: now[quilt][1] for quilt in quilts}
