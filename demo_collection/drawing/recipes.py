"""What the drawing needs to know of a quilt: its recipe, and a little of its own record."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from pathlib import Path

import yaml

from collection.values.lengths import Length, Size

from .blocks import BLOCK_NAMES, SAMPLER
from .prints import PRINT_NAMES
from .quilting import QUILTINGS
from .shades import Rgb, read_colour
from .whole_quilts import WHOLE_QUILTS

PARTS = (
    "ground",
    "main",
    "accent",
    "leaf",
    "sashing",
    "cornerstones",
    "setting",
    "borders",
    "binding",
    "backing",
)
ARRANGEMENTS = (
    "all alike",
    "barn raising",
    "straight furrow",
    "sunshine and shadow",
    "zigzag",
    "streak of lightning",
    "alternating",
    "scattered",
)
HANDINGS_OUT = ("block", "patch", "row", "column", "diagonal", "ring", "fixed")
AGES = ("new", "washed", "faded")
SCENES = (
    "front",
    "floor",
    "lawn",
    "line",
    "rail",
    "fence",
    "bed",
    "chair",
    "detail",
    "corner",
    "label",
    "back",
    "folded",
    "piecing",
    "machine",
)
PHOTO_ENDINGS = (".jpg", ".jpeg", ".png", ".webp", ".heic")
RECIPE_KEYS = (
    "block",
    "alternate",
    "arrangement",
    "grid",
    "on_point",
    "sashing",
    "cornerstones",
    "borders",
    "colours_by",
    "quilting",
    "thread",
    "age",
    "wall",
    "label",
    "palette",
    "prints",
    "photos",
)
PHOTO_KEYS = ("file", "scene", "phone")


class RecipeError(ValueError):
    """A recipe asks for what the engine doesn't know; the message says what it does know."""


@dataclass(frozen=True)
class Setting:
    """How the blocks lie, lengths in inches; `block` 0 means: as large as the quilt allows."""

    columns: int
    rows: int
    block: float = 0
    on_point: bool = False
    sashing: float = 0
    cornerstones: bool = False
    outer_sashing: bool = False
    borders: tuple[float, ...] = ()


@dataclass(frozen=True)
class PhotoWanted:
    file: str
    scene: str
    phone: bool = False


@dataclass(frozen=True)
class Recipe:
    quilt: str  # the ID
    title: str
    width: float  # inches
    length: float
    finished: bool  # with its binding on
    blocks: tuple[str, ...]
    alternate: str | None
    arrangement: str
    setting: Setting
    colours_by: str
    colours: Mapping[str, tuple[Rgb, ...]]
    prints: Mapping[str, tuple[str, ...]]
    quilting: str
    thread: Rgb | None
    age: str
    wall: Rgb | None
    label: str
    photos: tuple[PhotoWanted, ...]

    @property
    def is_whole_quilt(self) -> bool:
        return self.blocks[0] in WHOLE_QUILTS


def read_recipes(folder: Path, recipes_file: Path) -> list[Recipe]:
    """The recipes, in the file's order. Raises RecipeError with all that is wrong."""
    recipes, wrong = [], []
    for quilt, told in _yaml(recipes_file).items():
        record_file = folder / "quilts" / f"{quilt}.yaml"
        try:
            if not record_file.exists():
                raise RecipeError(f"there is no quilts/{quilt}.yaml")
            recipes.append(read_recipe(quilt, told, _yaml(record_file)))
        except RecipeError as problem:
            wrong.append(f"{quilt}: {problem}")
    if wrong:
        raise RecipeError("\n".join(wrong))
    return recipes


def _yaml(file: Path) -> dict:
    return yaml.load(file.read_text(encoding="utf-8"), Loader=yaml.BaseLoader) or {}


def read_recipe(quilt: str, told: Mapping, record: Mapping) -> Recipe:
    """One recipe, with the size, stage and setting from the quilt's record."""
    _known_keys(told, RECIPE_KEYS, "a recipe")
    blocks = _as_list(told.get("block"))
    if not blocks:
        raise RecipeError("a recipe needs a block")
    if blocks == ["sampler"]:
        blocks = SAMPLER
    for name in blocks:
        _known(name, [*BLOCK_NAMES, *WHOLE_QUILTS], "block")
    alternate = told.get("alternate")
    if alternate:
        _known(alternate, BLOCK_NAMES, "block")
    palette, prints = told.get("palette", {}), told.get("prints", {})
    _known_keys(palette, PARTS, "a palette")
    _known_keys(prints, PARTS, "prints")
    width, length = _size(told, record)
    return Recipe(
        quilt=quilt,
        title=record.get("title", quilt),
        width=width,
        length=length,
        finished=record.get("stage", "finished") == "finished",
        blocks=tuple(blocks),
        alternate=alternate,
        arrangement=_known(told.get("arrangement", "all alike"), ARRANGEMENTS, "arrangement"),
        setting=_setting(told, record),
        colours_by=_known(
            told.get("colours_by", _usual_handing_out(blocks[0])),
            HANDINGS_OUT,
            "way to hand out colours",
        ),
        colours={part: tuple(_colour(text) for text in _as_list(value)) for part, value in palette.items()},
        prints={
            part: tuple(_known(name, PRINT_NAMES, "print") for name in _as_list(value))
            for part, value in prints.items()
        },
        quilting=_known(told.get("quilting", "stipple"), QUILTINGS, "quilting"),
        thread=_colour(told["thread"]) if "thread" in told else None,
        age=_known(told.get("age", "new"), AGES, "age"),
        wall=_colour(told["wall"]) if "wall" in told else None,
        label=told.get("label", record.get("title", quilt)),
        photos=tuple(_photo(one) for one in told.get("photos", [])),
    )


def _usual_handing_out(block: str) -> str:
    if block in WHOLE_QUILTS:
        return "fixed"
    return (
        "patch"
        if block in ("log cabin", "courthouse steps", "string", "sixteen patch")
        else "fixed"
        if block == "rail fence"
        else "block"
    )


def _known(name: str, names, what: str) -> str:
    if name in names:
        return name
    near = get_close_matches(str(name), names, 1)
    raise RecipeError(
        f"no {what} is called {name!r}"
        + (f"; did you mean {near[0]!r}?" if near else f"; known are {', '.join(names)}")
    )


def _known_keys(told: Mapping, keys, where: str) -> None:
    for key in told:
        _known(key, keys, f"key of {where}")


def _as_list(value) -> list:
    return [] if value is None else list(value) if isinstance(value, list) else [value]


def _colour(text: str) -> Rgb:
    try:
        return read_colour(text)
    except ValueError as problem:
        raise RecipeError(str(problem)) from None


UNKNOWN_SIZE = (60.0, 72.0)  # inches; drawn for a quilt that nobody has measured
UNKNOWN_BLOCK = 12.0


def _size(told: Mapping, record: Mapping) -> tuple[float, float]:
    """The finished size; else what the setting adds up to; else a likely one."""
    if "finished_size" in record:
        size = Size.parse(record["finished_size"])
        return float(size.width.inches), float(size.length.inches)
    setting = _setting(told, record)
    if not setting.columns:
        return UNKNOWN_SIZE
    return natural_size(setting if setting.block else replace(setting, block=UNKNOWN_BLOCK))


def _photo(told: Mapping) -> PhotoWanted:
    _known_keys(told, PHOTO_KEYS, "a photo")
    if not str(told.get("file", "")).lower().endswith(PHOTO_ENDINGS):
        raise RecipeError(f"a photo's file should end in {', '.join(PHOTO_ENDINGS)}, not {told.get('file')!r}")
    return PhotoWanted(
        told["file"],
        _known(told.get("scene", "front"), SCENES, "scene"),
        told.get("phone") == "true",
    )


def _inches(text: str) -> float:
    return float(Length.parse(text).inches)


def _setting(told: Mapping, record: Mapping) -> Setting:
    """The record's setting; else the recipe's grid, its block as large as the quilt allows."""
    setting = record.get("setting")
    if setting:
        columns, rows = (int(part) for part in setting["blocks"].replace("×", "x").split("x"))
        return Setting(
            columns,
            rows,
            _inches(setting["block"]),
            setting.get("arrangement") == "on point",
            _inches(setting.get("sashing", "0")),
            setting.get("cornerstones") == "true",
            setting.get("outer_sashing") == "true",
            tuple(_inches(width) for width in setting.get("borders", [])),
        )
    borders = tuple(_inches(width) for width in told.get("borders", []))
    grid = told.get("grid")
    sashing = told.get("sashing", "false")
    sashing_width = 0.0 if sashing == "false" else 2.0 if sashing == "true" else _inches(sashing)
    if not grid:
        return Setting(
            0,
            0,
            borders=borders,
            sashing=sashing_width,
            on_point=told.get("on_point") == "true",
            cornerstones=told.get("cornerstones", sashing) != "false",
        )
    return Setting(
        int(grid[0]),
        int(grid[1]),
        0,
        told.get("on_point") == "true",
        sashing_width,
        told.get("cornerstones", sashing) != "false",
        False,
        borders,
    )


def natural_size(setting: Setting) -> tuple[float, float]:
    """What the blocks, sashing and borders add up to, in inches."""
    across, down = inside_size(setting)
    return across + 2 * sum(setting.borders), down + 2 * sum(setting.borders)


def inside_size(setting: Setting) -> tuple[float, float]:
    """The part within the borders."""
    if setting.on_point:
        pitch = (setting.block + setting.sashing) * 2**0.5
        return setting.columns * pitch, setting.rows * pitch
    around = 1 if setting.outer_sashing else -1
    return (
        setting.columns * setting.block + (setting.columns + around) * setting.sashing,
        setting.rows * setting.block + (setting.rows + around) * setting.sashing,
    )
