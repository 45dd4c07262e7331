"""How soon the wall of 5,000 quilts answers a key press, in headless Chromium.

Run: python tests/benchmarks/bench_wall.py [QUILTS]
Each figure is from the key press to the second animation frame after it, by when the result is painted;
the yardstick, in the same run, is the same wait after a key press that changes nothing. Goal: 95 of 100
key presses under 50 ms at 5,000 quilts.
"""

import random
import statistics
import sys
import tempfile
from datetime import date
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1] / "browser")]

from chromium import find_chromium
from playwright.sync_api import sync_playwright
from watched_pages import launch

from site_builder.building.build import build

BLOCKS = ["nine patch", "ohio star", "log cabin", "flying geese", "churn dash", "irish chain", "pinwheel", "bear's paw"]
COLOURS = ["red", "green", "blue", "yellow", "white", "grey", "brown", "pink", "purple", "orange", "black"]
WORDS = [
    "winter",
    "harbour",
    "garden",
    "tulip",
    "barn",
    "river",
    "maple",
    "sparrow",
    "lantern",
    "meadow",
    "cedar",
    "thread",
    "market",
    "moth",
]


def write_collection(folder: Path, count: int) -> None:
    """Invented quilts with about what real ones have: a title, a size, facts, and a story of 60 words."""
    chance = random.Random(5)
    (folder / "quilts").mkdir(parents=True)
    for number in range(count):
        title = f"{chance.choice(WORDS)} {chance.choice(WORDS)} {number}".title()
        story = " ".join(chance.choice(WORDS) + chance.choice(["", "s", "ed"]) for _ in range(60))
        (folder / "quilts" / f"quilt-{number}.yaml").write_text(
            f"title: {title}\nmade: {chance.randint(1990, 2026)}\n"
            f"finished_size: {chance.randint(30, 90)} x {chance.randint(36, 100)}\n"
            f"blocks: [{chance.choice(BLOCKS)}]\ncolours: [{', '.join(chance.sample(COLOURS, 3))}]\n"
            f"destination: {chance.choice(['free', 'kept', 'undecided'])}\nstory: {story}\n",
            encoding="utf-8",
        )


TO_PAINT = """() => new Promise((done) => {
    const from = performance.now();
    requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now() - from)));
})"""

TIMED_KEY = """() => {
    const find = document.querySelector('#find');
    find.addEventListener('keydown', () => { self.pressed = performance.now(); });
    find.addEventListener('input', () => {
        requestAnimationFrame(() => requestAnimationFrame(() => { self.waits.push(performance.now() - self.pressed); }));
    });
    self.waits = [];
}"""


def main(count: int) -> None:
    with tempfile.TemporaryDirectory() as temporary:
        folder, output = Path(temporary, "quilts"), Path(temporary, "site")
        write_collection(folder, count)
        build(folder, output, on=date(2026, 1, 1), editions=("catalogue",))
        with sync_playwright() as playwright:
            browser = launch(playwright, find_chromium())
            # What waits for the scripts asks by a text of code, which the pages' own policy forbids.
            page = browser.new_page(viewport={"width": 1280, "height": 900}, bypass_csp=True)
            page.goto((output / "catalogue" / "index.html").as_uri())
            page.locator("#find").focus()
            page.wait_for_function("self.wallQuilts")
            idle = [page.evaluate(TO_PAINT) for _ in range(40)]
            page.evaluate(TIMED_KEY)
            for word in ("harbour ", "green moth", "1990s", "winters", "log cab", "lap or throw"):
                for character in word:
                    page.keyboard.press("Space" if character == " " else character)
                    page.wait_for_timeout(120)
                page.locator("#find").fill("")
                page.wait_for_timeout(120)
            waits = sorted(page.evaluate("self.waits"))
            browser.close()
    yardstick = statistics.median(idle)
    at_95 = waits[int(len(waits) * 0.95) - 1]
    print(
        f"{count} quilts, {len(waits)} key presses: median {statistics.median(waits):.1f} ms, "
        f"95th percentile {at_95:.1f} ms, most {waits[-1]:.1f} ms; "
        f"two empty frames take {yardstick:.1f} ms; ratio at 95 % {at_95 / yardstick:.2f}"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5000)
