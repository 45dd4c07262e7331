"""A large collection without photos, from the records of the demonstration: no two quilts are the same."""

import random
import re
import shutil
from pathlib import Path

ROOT = Path(__file__).parents[2]


def many_quilts(folder: Path, count: int) -> None:
    """The demonstration's quilts over and over, each time under another title, of another size and story."""
    demo, chance = ROOT / "demo_collection", random.Random(7)
    for name in ("partners", "requests", "pages"):
        shutil.copytree(demo / name, folder / name)
    shutil.copy(demo / "collection.yaml", folder)
    originals = [(path.stem, path.read_text(encoding="utf-8")) for path in sorted((demo / "quilts").glob("*.yaml"))]
    (folder / "quilts").mkdir()
    for number in range(count):
        stem, text = originals[number % len(originals)]
        text = re.sub(r"^photos:.*\n(?:[ -].*\n)*", "", text, flags=re.MULTILINE)
        text = re.sub(r"^number: .*$", f"number: {number + 1}", text, flags=re.MULTILINE)
        text = re.sub(r'^title: ("?)(.*?)("?)$', rf"title: \1\2, {number}\3", text, flags=re.MULTILINE)
        text = re.sub(
            r"^finished_size: .*$", f"finished_size: {_side(chance)} x {_side(chance)} in", text, flags=re.MULTILINE
        )
        text = re.sub(
            r"^( *)block: (\d+)$",
            lambda found: f"{found[1]}block: {int(found[2]) + chance.randint(0, 8)}",
            text,
            flags=re.MULTILINE,
        )
        # No request is for so many.
        text = re.sub(r", request: [\w-]+|, line: [\w-]+", "", text)
        text = re.sub(r"^  (request|line): .*\n", "", text, flags=re.MULTILINE)
        text = re.sub(
            r"^story: \|\n",
            f"story: |\n  Of {count} this is the one of the number {number + 1}.\n",
            text,
            flags=re.MULTILINE,
        )
        (folder / "quilts" / f"{stem}-{number}.yaml").write_text(text, encoding="utf-8")


def _side(chance: random.Random) -> str:
    return f"{chance.randint(36, 100)}{chance.choice(['', ' 1/2', ' 1/4'])}"
