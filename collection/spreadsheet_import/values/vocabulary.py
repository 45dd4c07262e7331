"""The words that makers use for values of a record: yes and no, ways of quilting, conditions, stages.

`NEARLY_` words mean a value only roughly, so they are kept in the notes as well.

Source of the words: common practice, no source.
"""


def _set(words: str) -> frozenset[str]:
    return frozenset(word.strip() for word in words.split(","))


def _each_means(values: dict[str, str]) -> dict[str, str]:
    return {word.strip(): value for value, words in values.items() for word in words.split(",")}


YES = _set("1, attached, done, ok, on, sewn, true, x, y, yes, √, ✓, ✔")
NO = _set("-, 0, false, n, needs label, needs one, no, no label, none, not, not yet, –, ✗")
OWN_DESIGN = _set("me, mine, my design, my own, my own design, original, original design, own, own design, self")
HERSELF = _set("i, i did, me, my own, myself, self")

WAYS = _each_means(
    {
        "longarm": "longarm, long arm, long-arm, la",
        "hand": "hand",
        "tied": "tied, tie, knotted",
        "domestic machine": (
            "domestic, dsm, home machine, my machine, sit down, machine, fmq, free motion, walking foot"
        ),
    }
)
"""Words that indicate a way of quilting, also within a longer text."""
SURE_WAYS = _set(
    "by hand, domestic, domestic machine, hand, hand quilted, hand quilting, home machine, long "
    "arm, long armed, long-arm, longarm, longarmed, tied"
)
"""Texts that mean exactly a way of quilting."""
CONDITIONS = _each_means({"new": "new, as new, like new", "good": "good", "fair": "fair", "worn": "worn"})
NEARLY_CONDITIONS = _each_means(
    {
        "good": "excellent, very good, great, fine",
        "new": "perfect, mint, brand new, unused",
        "fair": "ok, okay, used",
        "worn": "poor, well loved, faded, well worn, well used",
    }
)
SOURCES = _each_means(
    {
        "book": "book",
        "magazine": "magazine, mag",
        "leaflet": "leaflet",
        "download": "download, pdf, internet, online",
        "class": "class, workshop, course",
        "sew-along": "sew-along, sew along, qal, quilt along",
        "block of the month": "block of the month, bom",
        "kit": "kit",
        "traditional": "traditional",
        "own design": "own design, my own, own, original, my design",
    }
)
STAGES = _each_means(
    {
        "finished": "finished, done, complete, completed, yes, y",
        "piecing": "piecing, being pieced",
        "quilting": "quilting, at the quilter, at quilter, being quilted",
        "binding": "binding, needs binding, to bind, to be bound, ready to bind",
    }
)
NEARLY_STAGES = _each_means(
    {
        "quilting": (
            "top, top done, top only, top finished, top pieced, flimsy, needs quilting, ready to quilt, to quilt"
        ),
        "piecing": "wip, ufo, in progress, cut, blocks, no, n, not finished, unfinished",
    }
)
