"""How long a collection of a thousand quilts takes to read and check.

Run it by hand, on a quiet machine: `.venv/bin/python tests/benchmarks/bench_reading.py [QUILTS] [ROUNDS]`.
The records are those of the demonstration, over and over, their photos empty files. The yardstick is PyYAML's own
reading of the same files with its C parser, which gives no line for a value. Processor time, medians; it is the
steadier figure when other programs are busy.
"""

import re
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import yaml

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from collection.loading.loader import read_collection
from collection.yaml_files.parser import read_yaml


def thousand_quilts(folder: Path, count: int) -> None:
    demo = ROOT / "demo_collection"
    for name in ("partners", "requests", "pages"):
        shutil.copytree(demo / name, folder / name)
    shutil.copy(demo / "collection.yaml", folder)
    originals = sorted((demo / "quilts").glob("*.yaml"))
    (folder / "quilts").mkdir()
    for number in range(count):
        original = originals[number % len(originals)]
        text = original.read_text(encoding="utf-8")
        for photo in re.findall(r"[\w./-]+\.(?:jpg|png|webp|heic)", text):
            (folder / "photos" / photo).parent.mkdir(parents=True, exist_ok=True)
            (folder / "photos" / photo).touch()
        text = re.sub(r"^number: .*$", f"number: {number + 1}", text, flags=re.MULTILINE)
        (folder / "quilts" / f"{original.stem}-{number}.yaml").write_text(text, encoding="utf-8")


def seconds(work: Callable[[], object], rounds: int) -> float:
    taken = []
    for _ in range(rounds):
        started = time.process_time()
        work()
        taken.append(time.process_time() - started)
    return statistics.median(taken)


def main(count: int = 1000, rounds: int = 7) -> None:
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        thousand_quilts(folder, count)
        raw = [path.read_bytes() for path in sorted((folder / "quilts").glob("*.yaml"))]
        loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
        plain = seconds(lambda: [yaml.load(text, loader) for text in raw], rounds)
        values = seconds(lambda: [read_yaml(text, "x.yaml") for text in raw], rounds)
        whole = seconds(lambda: read_collection(folder), rounds)
    size = sum(map(len, raw))
    print(f"{count:,} quilts, {size:,} bytes, {rounds} rounds, medians of processor time")
    print(f"values alone, as PyYAML reads them   {plain:6.3f} s  1.00")
    print(f"values and their lines               {values:6.3f} s  {values / plain:.2f}")
    print(f"reading and checking all             {whole:6.3f} s  {whole / plain:.2f}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
