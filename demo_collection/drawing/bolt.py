"""A fabric, and the paper on which one repeat of its print is drawn."""

from dataclasses import dataclass

from PIL import Image, ImageDraw

from .chance import chance
from .shades import Rgb


@dataclass(frozen=True, slots=True)
class Fabric:
    colour: Rgb
    print: str = "solid"
    companions: tuple[Rgb, ...] = ()
    number: int = 0  # tells apart two prints of one kind and colour


class Bolt:
    """The paper on which one tile is drawn: whatever crosses an edge comes back at the other."""

    def __init__(self, fabric: Fabric, inches: float, scale: float):
        self.fabric, self.inches, self.scale = fabric, inches, scale
        self.side = round(inches * scale)
        self.random = chance("print", fabric.print, fabric.colour, fabric.number)
        self.image = Image.new("RGB", (self.side, self.side), fabric.colour)
        self.draw = ImageDraw.Draw(self.image)

    def polygon(self, points, colour: Rgb) -> None:
        reach = max(max(abs(x - points[0][0]), abs(y - points[0][1])) for x, y in points) + 0.05
        for dx, dy in self._repeats(points[0], reach):
            self.draw.polygon([((x + dx) * self.scale, (y + dy) * self.scale) for x, y in points], fill=colour)

    def dot(self, x: float, y: float, radius: float, colour: Rgb) -> None:
        for dx, dy in self._repeats((x, y), radius):
            a, b, r = (x + dx) * self.scale, (y + dy) * self.scale, radius * self.scale
            self.draw.ellipse((a - r, b - r, a + r, b + r), fill=colour)

    def line(self, points, colour: Rgb, width: float) -> None:
        reach = max(max(abs(x - points[0][0]), abs(y - points[0][1])) for x, y in points) + width
        for dx, dy in self._repeats(points[0], reach):
            self.draw.line(
                [((x + dx) * self.scale, (y + dy) * self.scale) for x, y in points],
                fill=colour,
                width=max(1, round(width * self.scale)),
                joint="curve",
            )

    def _repeats(self, point, reach):
        shifts_x = [d for d in (-self.inches, 0, self.inches) if -reach <= point[0] + d <= self.inches + reach]
        shifts_y = [d for d in (-self.inches, 0, self.inches) if -reach <= point[1] + d <= self.inches + reach]
        return [(dx, dy) for dx in shifts_x for dy in shifts_y]

    def scattered(self, spacing: float, jitter: float = 0.35):
        """Places about `spacing` inches apart, in staggered rows, each moved a little."""
        count = max(1, round(self.inches / spacing))
        count += count % 2
        step = self.inches / count
        for row in range(count):
            for column in range(count):
                x = (column + (0.5 if row % 2 else 0) + self.random.uniform(-jitter, jitter)) * step
                y = (row + 0.5 + self.random.uniform(-jitter, jitter)) * step
                yield x % self.inches, y % self.inches
