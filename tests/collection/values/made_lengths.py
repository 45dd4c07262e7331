"""Lengths in inches and in centimetres, and one length in every usual spelling."""

from decimal import Decimal
from fractions import Fraction

from collection.values.lengths import CM_PER_INCH, Length


def inches(value: int | str | Fraction) -> Length:
    return Length(Fraction(value))


def metric(value: int | str | Fraction | Decimal) -> Length:
    return Length(Fraction(value) / CM_PER_INCH)


SIXTY_AND_A_HALF = [
    "60 1/2", "60-1/2", "60 - 1/2", "60½", "60 ½", "60-½", "60–1/2", "60 1⁄2", "60 1∕2", "60.5", "60,5",
    "60.5 in", "60.5in", '60 1/2"', "60 1/2″", "60 1/2”", "60 1/2''", "60 1/2 inches", "60 1/2 in.",
    "60½ Inch",
    "5 ft 1/2 in", "5' 1/2\"", "5’ ½”", "5′ 0.5″", "5 feet 1/2 inch", "1 yd 2 ft 1/2 in", "1 yd 24 1/2 in",
    "121/2", "  60  1/2\t", "60\u00a01/2", "153.67 cm", "1536.7 mm", "1.5367 m", "1 m 53.67 cm",
]  # fmt: skip
