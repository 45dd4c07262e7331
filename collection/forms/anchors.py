"""Names for a field of a record in HTML: a mark on a page, and an anchor on its form."""

from collection.forms.form import Kind


def field_anchor(field: str) -> str:
    """The anchor of a field, list or part of a record on the page of its form.

    >>> field_anchor("photos.0.caption")
    'field-photos.0.caption'
    """
    return f"field-{field}"


def desk_mark(kind: Kind, record_id: str, field: str = "") -> str:
    """The value of `data-edit` on a page, from which the preview makes a link to the desk.

    >>> desk_mark("quilt", "low-tide", "finished_size")
    'quilts/low-tide#finished_size'
    >>> desk_mark("collection", "", "units")
    'collection#units'
    """
    record = "collection" if kind == "collection" else f"{kind}s/{record_id}"
    return f"{record}#{field}" if field else record
