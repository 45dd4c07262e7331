"""What the site knows about a photo: its renditions, its colours, and what is wrong with it.

These are plain values, made by `site_builder.images.store.PictureStore`; nothing here opens a file.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Rendition:
    """One size of a photo, ready for a page: an upright sRGB JPEG without any metadata.

    Width and height are pixels; `file_name` names a file in the store's folder and changes whenever
    its content does; `bytes` is the file's length.
    """

    width: int
    height: int
    file_name: str
    bytes: int


@dataclass(frozen=True, slots=True)
class QuiltColours:
    """A quilt's own colours, most frequent first, wall and floor left out.

    `palette` holds at most six colours as `#rrggbb`, `terms` the basic colour terms in them; both with
    their shares of the quilt, from 0 to 1. Both are empty if there is no picture.
    """

    palette: tuple[tuple[str, float], ...] = ()
    terms: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo as the pages need it.

    `digest` is that of the original's content, and empty if the file could not be read at all. Width and height are
    those of the upright original in pixels. There is at least one rendition; the smallest comes first. A photo that
    can't be used has a drawn placeholder as its rendition, and `problem` says why, for the person whose photo it is.
    `flat` shows the quilt alone and flattened, if the photo shows all of it; its proportion is right within a few per
    cent.
    """

    digest: str
    width: int
    height: int
    renditions: tuple[Rendition, ...]
    average_colour: str
    colours: QuiltColours = QuiltColours()
    problem: str | None = None
    flat: Rendition | None = None

    @property
    def files(self) -> tuple[Rendition, ...]:
        """All files of this photo in the store."""
        return (*self.renditions, self.flat) if self.flat else self.renditions

    @property
    def smallest(self) -> Rendition:
        return self.renditions[0]

    @property
    def largest(self) -> Rendition:
        return self.renditions[-1]

    def at_least(self, edge: int) -> Rendition:
        """The smallest rendition whose longer edge is `edge` pixels or more, else the largest."""
        return next((r for r in self.renditions if max(r.width, r.height) >= edge), self.largest)
