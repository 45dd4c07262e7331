"""Draws the demo's photos from its recipes: `python -m demo_collection.drawing.draw_photos --help`."""

import argparse
import sys
from pathlib import Path

from .chance import chance
from .cloth import Quilt, put_cloth_away
from .photograph import can_write, develop, encoded, write
from .recipes import PhotoWanted, Recipe, RecipeError, read_recipes
from .scenes import SCENE_PAINTERS, photo_size

COLLECTION = Path(__file__).parent.parent
COVER_EDGE, OTHER_EDGE = 1000, 800  # pixels
COVER_BYTES, OTHER_BYTES = 68_000, 35_000  # some 220 photos are to fit in 11 MB


def draw_photo(quilt: Quilt, wanted: PhotoWanted, *, cover: bool) -> bytes:
    """The bytes of one photo's file."""
    recipe = quilt.recipe
    size = photo_size(wanted.scene, recipe.width, recipe.length, COVER_EDGE if cover else OTHER_EDGE)
    random = chance(recipe.quilt, wanted.file, wanted.scene)
    photo = develop(SCENE_PAINTERS[wanted.scene](quilt, size, random), random)
    ending = Path(wanted.file).suffix.lower()
    return encoded(
        photo,
        ending,
        COVER_BYTES if cover else OTHER_BYTES,
        phone=wanted.file if wanted.phone else None,
    )


def draw_all(recipes: list[Recipe], folder: Path, *, report=lambda text: None) -> int:
    """Draws every photo into the folder; gives the bytes written."""
    total, done = 0, 0
    count = sum(len(recipe.photos) for recipe in recipes)
    for recipe in recipes:
        quilt = Quilt(recipe)
        put_cloth_away()
        for number, wanted in enumerate(recipe.photos):
            done += 1
            if not can_write(Path(wanted.file).suffix.lower()):
                report(f"{done}/{count}  {wanted.file}: left as it is; writing HEIC needs pillow-heif")
                continue
            data = draw_photo(quilt, wanted, cover=number == 0)
            write(data, folder / wanted.file)
            total += len(data)
            report(f"{done}/{count}  {wanted.file}  {len(data) // 1000} kB")
    return total


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="draw_photos", description="Draw the photos of the demo's quilts.")
    parser.add_argument(
        "--collection",
        type=Path,
        default=COLLECTION,
        help="folder with quilts/ (default: the demo)",
    )
    parser.add_argument("--recipes", type=Path, help="recipes file (default: recipes.yaml beside this program)")
    parser.add_argument("--to", type=Path, help="folder to write to (default: photos/ in the collection)")
    parser.add_argument("--only", action="append", metavar="ID", help="draw this quilt only; may be given again")
    chosen = parser.parse_args(arguments)
    try:
        recipes = read_recipes(chosen.collection, chosen.recipes or Path(__file__).parent / "recipes.yaml")
    except RecipeError as problem:
        print(problem, file=sys.stderr)
        return 1
    if chosen.only:
        recipes = [recipe for recipe in recipes if recipe.quilt in chosen.only]
    total = draw_all(
        recipes,
        chosen.to or chosen.collection / "photos",
        report=lambda text: print(text, file=sys.stderr),
    )
    print(f"{total / 1e6:.2f} MB", file=sys.stderr)
    return 0


if __name__ == "__main__":
    sys.exit(main())
