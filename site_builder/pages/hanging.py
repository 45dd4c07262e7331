"""Rows of pictures: each in its own proportions, all equally high."""

NARROWEST, WIDEST, STEP = 30, 300, 2
"""The range and step of the classes in assets/css/hung.css, in hundredths of a picture's height."""


def hung_class(width: int, height: int) -> str:
    """The style class for a picture of these proportions; both sides in the same unit, above 0.

    A style attribute on every card would need a weaker content security policy, so the proportions are rounded to the
    nearest class: by at most a hundredth of the height, which nobody sees.

    >>> hung_class(1200, 1600), hung_class(1600, 1200)
    ('hung-76', 'hung-134')
    """
    steps = (2 * 100 * width + STEP * height) // (2 * STEP * height)
    return f"hung-{min(WIDEST, max(NARROWEST, STEP * steps))}"
