"""Where the desk opens a record, at one of its fields: one place, for pages and for the desk."""

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


def desk_address(kind: Kind, record_id: str, field: str = "") -> str:
    """The desk's page for a record, from the root of the preview, opened right at a field.

    >>> desk_address("quilt", "low-tide", "finished_size")
    'edit/quilts/low-tide#field-finished_size'
    """
    record, _, name = desk_mark(kind, record_id, field).partition("#")
    return f"edit/{record}#{field_anchor(name)}" if name else f"edit/{record}"
