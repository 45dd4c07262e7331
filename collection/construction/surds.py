"""Exact lengths for quilts set on point: a number of inches plus a multiple of the square root of two."""

from dataclasses import dataclass
from fractions import Fraction
from functools import total_ordering
from math import isqrt, sqrt

from collection.values.lengths import CM_PER_INCH, MILLIMETRE, Length

EIGHTH = Fraction(1, 8)  # the finest mark on a quilter's ruler
MILLIMETRE_IN_INCHES = MILLIMETRE / CM_PER_INCH  # and on one in centimetres


@total_ordering
@dataclass(frozen=True, slots=True)
class Surd:
    """`rational + root2 * √2` inches, exact: compared and rounded with whole numbers, never with floats.

    A block turned by 45 degrees is its side times √2 wide. No fraction equals that, and a float can be on the wrong
    side of an eighth.

    >>> across = Surd(root2=Fraction(16))           # a 16 in block, corner to corner
    >>> across.nearest(), (across + Surd(Fraction(5, 4))).rounded_up().in_inches()
    (Length(inches=Fraction(181, 8)), '24')
    >>> Surd(Fraction(22)) < across < Surd(Fraction(23))
    True
    """

    rational: Fraction = Fraction(0)
    root2: Fraction = Fraction(0)

    @classmethod
    def of(cls, length: Length) -> "Surd":
        """A length along the quilt's edge."""
        return cls(length.inches)

    @property
    def exact(self) -> Length | None:
        """The length, if it is rational; None otherwise."""
        return None if self.root2 else Length(self.rational)

    def __add__(self, other: "Surd") -> "Surd":
        return Surd(self.rational + other.rational, self.root2 + other.root2)

    def __sub__(self, other: "Surd") -> "Surd":
        return Surd(self.rational - other.rational, self.root2 - other.root2)

    def __mul__(self, times: int | Fraction) -> "Surd":
        return Surd(self.rational * times, self.root2 * times)

    def __lt__(self, other: "Surd") -> bool:
        return (self - other)._sign() < 0

    def __float__(self) -> float:
        return float(self.rational) + float(self.root2) * sqrt(2)

    def times_root2(self) -> "Surd":
        """The length times √2: from the side of a square to its diagonal."""
        return Surd(2 * self.root2, self.rational)

    def over_root2(self) -> "Surd":
        """The length divided by √2: from the long side of a setting triangle to its short sides."""
        return Surd(self.root2, self.rational / 2)

    def rounded_up(self, step: Fraction = EIGHTH) -> Length:
        """Rounded up to a whole number of steps: the length to cut so that nothing is too short."""
        return Length(-(self * -1)._steps_below(step) * step)

    def nearest(self, step: Fraction = EIGHTH) -> Length:
        """Rounded to the nearest whole number of steps, halves up."""
        return Length((self + Surd(step / 2))._steps_below(step) * step)

    def _sign(self) -> int:
        if self.rational >= 0 and self.root2 >= 0:
            return 1 if self.rational or self.root2 else 0
        if self.rational <= 0 and self.root2 <= 0:
            return -1
        outweighs = self.rational**2 > 2 * self.root2**2  # never equal: √2 is irrational
        return 1 if (self.rational > 0) == outweighs else -1

    def _steps_below(self, step: Fraction) -> int:
        """The number of whole steps in it: the floor of self / step."""
        if step <= 0:
            raise ValueError("A step to round to is above 0.")
        rational, root2 = Fraction(self.rational) / step, Fraction(self.root2) / step
        below = rational.denominator * root2.denominator
        whole = rational.numerator * root2.denominator
        square = 2 * (root2.numerator * rational.denominator) ** 2
        root = isqrt(square)
        if root2 < 0:
            root = -root if root * root == square else -root - 1
        return (whole + root) // below
