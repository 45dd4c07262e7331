"""The shapes inside an SVG drawing; the templates have the drawing itself.

Coordinates are whole numbers, which need no escaping; colours are escaped.
"""

from collections.abc import Iterable

from markupsafe import Markup, escape

from site_builder.drawings.patchwork import Cloth, Patch, Rect


def polygons(patches: Iterable[Patch]) -> Markup:
    """An element for each patch."""
    return Markup("".join([f'<polygon points="{patch.points}" fill="{escape(patch.fill)}"/>' for patch in patches]))


def paths(cloths: Iterable[Cloth]) -> Markup:
    """An element for all pieces of each cloth."""
    return Markup("".join([f'<path d="{cloth.path}" fill="{escape(cloth.fill)}"/>' for cloth in cloths]))


def box(rect: Rect) -> Markup:
    """The position and size of a rectangle, as attributes.

    >>> box(Rect(10, 20, 630, 870))
    Markup('x="10" y="20" width="630" height="870"')
    """
    return Markup(f'x="{rect.x:d}" y="{rect.y:d}" width="{rect.width:d}" height="{rect.height:d}"')
