"""The editions that there are. Nothing is loaded with their names."""

from typing import Literal, get_args

EditionName = Literal["catalogue", "binder"]
EDITIONS: tuple[EditionName, ...] = get_args(EditionName)
