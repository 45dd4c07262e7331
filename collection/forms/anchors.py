"""How pages and the desk name a field of a record: as a mark on a page, and as an anchor on its form."""

from collection.forms.form import Kind


def field_anchor(field: str) -> str:
    """The anchor of a field on the page of a form; a list or a part of the record has one too.

    >>> field_anchor("photos.0.caption")
    'field-photos.0.caption'
    """
    return f"field-{field}"


def desk_mark(kind: Kind, record_id: str, field: str = "") -> str:
    """What a page carries in `data-edit`, from which the preview makes a link to the desk.

    >>> desk_mark("quilt", "low-tide", "finished_size")
    'quilts/low-tide#finished_size'
    >>> desk_mark("collection", "", "units")
    'collection#units'
    """
    record = "collection" if kind == "collection" else f"{kind}s/{record_id}"
    return f"{record}#{field}" if field else record
