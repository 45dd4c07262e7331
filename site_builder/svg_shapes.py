"""Shapes as SVG: what is inside a drawing, joined in one go. A template puts the drawing itself round it.

Coordinates are whole numbers, so that they need no escaping; a colour is escaped as any word is.
"""

from collections.abc import Iterable

from markupsafe import Markup

from site_builder.escaping import escaped
from site_builder.patchwork import Cloth, Patch, Rect


def polygons(patches: Iterable[Patch]) -> Markup:
    """Each patch by itself."""
    return Markup("".join([f'<polygon points="{patch.points}" fill="{escaped(patch.fill)}"/>' for patch in patches]))


def paths(cloths: Iterable[Cloth]) -> Markup:
    """All pieces of a cloth together."""
    return Markup("".join([f'<path d="{cloth.path}" fill="{escaped(cloth.fill)}"/>' for cloth in cloths]))


def box(rect: Rect) -> Markup:
    """Where a rectangle lies and how large it is, as attributes.

    >>> box(Rect(10, 20, 630, 870))
    Markup('x="10" y="20" width="630" height="870"')
    """
    return Markup(f'x="{rect.x:d}" y="{rect.y:d}" width="{rect.width:d}" height="{rect.height:d}"')
