"""The possible meanings of a column, and the headings that makers write for each.

Source of the words: common practice in US and UK English, no source.
"""

import re
from dataclasses import dataclass

from collection.records.public_fields import FACTS


@dataclass(frozen=True, slots=True)
class Meaning:
    """A meaning of a column: its name in the file of columns, the fields that it sets, and its headings.

    `several`: more than one column of a sheet may have it. Meanings that set a public field have only unambiguous
    headings: a `Type` may be a gift to somebody, and is a note.
    """

    name: str
    lands_in: str
    headings: tuple[str, ...]
    several: bool = False

    @property
    def public(self) -> bool:
        """Whether its values can be published in the catalogue. A destination counts as private here."""
        field = re.split(r"[.,]", self.lands_in)[0]
        return field == "title" or (field in FACTS and field != "destination")


def _words(text: str) -> tuple[str, ...]:
    return tuple(phrase.strip() for phrase in text.split(",") if phrase.strip())


NOTE = "note"
SKIP = "skip"

MEANINGS: tuple[Meaning, ...] = (
    Meaning(
        "title",
        "title",
        _words(
            "title, name, quilt, quilt name, name of quilt, quilt title, what i call it, called, project, "
            "project name, item, quilt or project"
        ),
    ),
    Meaning(
        "number",
        "number",
        _words(
            "no, number, nr, num, #, no., quilt no, quilt number, quilt #, inventory no, inventory "
            "number, inv no, id, ref, catalogue no, catalog no, reference, quilt id"
        ),
    ),
    Meaning(
        "also called",
        "also_called",
        _words("also called, also known as, aka, other name, nickname, other title"),
        several=True,
    ),
    Meaning(
        "made",
        "made",
        _words(
            "made, year, year made, date, date made, when made, when, finished, year finished, date "
            "finished, finish date, completed, date completed, year completed, completion date, completed "
            "on, finished on, done, date done, year of completion, yr, yr made, when finished, date of "
            "completion, end date, bound, date bound"
        ),
    ),
    Meaning(
        "started",
        "notes",
        _words("started, date started, start date, begun, year started, year begun, when started"),
        several=True,
    ),
    Meaning("stage", "stage", _words("stage, progress, how far, finished yet, state of work, wip")),
    Meaning(
        "size",
        "finished_size",
        _words(
            "size, finished size, dimension, measurement, w x l, l x w, width x length, length x width, "
            "wxl, lxw, quilt size, final size, approx size, approximate size, size approx, size finished, "
            "measure, w by l, width by length, how big"
        ),
    ),
    Meaning("width", "finished_size", _words("width, w, wide, wd, across, size w, size width, finished width")),
    Meaning(
        "length",
        "finished_size",
        _words(
            "length, l, long, len, height, h, down, drop, size l, size length, finished length, size h, size height"
        ),
    ),
    Meaning(
        "washed size", "notes", _words("size after washing, washed size, size washed, size after wash"), several=True
    ),
    Meaning(
        "pattern",
        "pattern.name",
        _words(
            "pattern, pattern name, name of pattern, design, pattern used, pattern or block, quilt "
            "pattern, pattern or designer, pattern and designer, pattern name and designer"
        ),
    ),
    Meaning(
        "designer",
        "pattern.designer",
        _words("designer, pattern designer, designed by, pattern by, design by, pattern author, author, whose pattern"),
    ),
    Meaning(
        "pattern source",
        "pattern.source",
        _words("source, pattern source, source of pattern, where from, pattern from, came from, origin"),
    ),
    Meaning(
        "published in",
        "pattern.published_in",
        _words(
            "book, magazine, book or magazine, magazine or book, publication, published in, issue, book "
            "title, magazine issue, mag"
        ),
    ),
    Meaning(
        "fabric line",
        "fabric_lines",
        _words(
            "fabric line, line, fabric collection, collection, fabric range, range, fabric family, line "
            "of fabric, print line"
        ),
        several=True,
    ),
    Meaning(
        "fabric",
        "fibre.top",
        _words(
            "fabric, fabric used, material, cloth, top fabric, fabric type, top, front, front fabric, "
            "fibre, fiber, main fabric"
        ),
    ),
    Meaning(
        "blocks", "blocks", _words("block, block name, block used, block pattern, traditional block"), several=True
    ),
    Meaning(
        "techniques",
        "techniques",
        _words("technique, method, construction, technique used, how made, how pieced"),
        several=True,
    ),
    Meaning(
        "quilted by",
        "quilting.by",
        _words(
            "quilted by, quilter, longarmer, longarm quilter, who quilted, quilting by, quilter name, "
            "long armer, machine quilted by, quilted by whom, longarmed by, long armed by, finished by"
        ),
    ),
    Meaning(
        "quilting",
        "quilting.how",
        _words(
            "quilting, how quilted, quilting method, quilted, quilting style, hand or machine, quilting "
            "type, machine or hand"
        ),
    ),
    Meaning("backing", "fibre.backing", _words("backing, back, backing fabric, backed with, back fabric")),
    Meaning(
        "batting",
        "fibre.batting",
        _words(
            "batting, wadding, batt, filling, batting used, wadding used, batting type, padding, filler, batting brand"
        ),
    ),
    Meaning(
        "features",
        "features",
        _words("feature, embellishment, trim, special feature, extra, embellished with"),
        several=True,
    ),
    Meaning("condition", "condition", _words("condition, state, cond, condition now, state of repair, wear")),
    Meaning(
        "colours",
        "colours",
        _words("colour, color, main colour, main color, colourway, colorway, colour scheme, color scheme, palette"),
        several=True,
    ),
    Meaning("suits", "suits", _words("suits, good for, suitable for, would suit")),
    Meaning(
        "washed",
        "care.washed",
        _words("washed, laundered, prewashed, washed yet, been washed, date washed, last washed"),
    ),
    Meaning(
        "label",
        "care.label",
        _words("label, labelled, labeled, has label, label on, labelled yet, label sewn on, label done"),
    ),
    Meaning("sleeve", "care.sleeve", _words("sleeve, hanging sleeve, has sleeve, sleeve on")),
    Meaning(
        "cost",
        "materials_cost.amount",
        _words(
            "cost, materials cost, material cost, cost of materials, fabric cost, total cost, spent, "
            "supplies cost, cost to make, expense, cost of fabric, what it cost"
        ),
    ),
    Meaning(
        "appraised value",
        "appraisal.value",
        _words("appraised value, appraisal, appraised, appraised at, appraisal value, valuation, appraised for"),
    ),
    Meaning("appraised by", "appraisal.by", _words("appraised by, appraiser, valued by, valuer")),
    Meaning(
        "appraised on",
        "appraisal.on",
        _words("appraised on, appraisal date, date appraised, date of appraisal, valued on"),
    ),
    Meaning(
        "kept at",
        "kept_at",
        _words(
            "where is it, where, location, where kept, kept, kept at, stored, storage, where stored, "
            "where is it now, place, current location, stored in, room, shelf, bin, box, tub, where it "
            "is, whereabouts, lives, cupboard, where now, where are they"
        ),
    ),
    Meaning(
        "status",
        "destination",
        _words(
            "status, destination, what happened, fate, disposition, kept or given, gone, given away, keep "
            "or give, keep, outcome, what became of it, disposition of quilt, still have, given away?, "
            "gifted or kept, plan, available"
        ),
    ),
    Meaning(
        "given to",
        "destination.to",
        _words(
            "gave to, given to, who has it, recipient, gifted to, went to, to, owner, who, gift to, to "
            "whom, given to whom, who got it, who to, given away to, belongs to, current owner, who "
            "received, where did it go, where it went, gone to, now with, passed to, now belongs to, "
            "received by, presented to, given, who i gave it to, who did i give it to, given to or "
            "charity, recipient or charity, person or charity, to whom or where"
        ),
    ),
    Meaning(
        "charity",
        "destination.to",
        _words(
            "charity, donated to, donation, organisation, organization, which charity, donate to, cause, "
            "agency, charity name, where donated, donated, given to charity, nonprofit"
        ),
    ),
    Meaning(
        "go-between",
        "destination.through",
        _words(
            "through, via, handed to, go between, passed on by, taken by, contact, delivered by, handed "
            "over to, collected by, thru"
        ),
    ),
    Meaning(
        "given on",
        "destination.on",
        _words(
            "given on, date given, when given, year given, date gifted, date donated, donated on, gifted "
            "on, gift date, year donated, donation date, date gone, given when, date left, gave when, "
            "delivered, date delivered, handed over, date handed over, date sent, when donated, date "
            "given away, year given away, when given away, year gifted, date of gift, date out"
        ),
    ),
    Meaning(
        "occasion",
        "destination.occasion",
        _words("occasion, reason, event, why, for what, reason given, gift occasion, occasion given"),
    ),
    Meaning(
        "photo",
        "photos",
        _words(
            "photo, picture, image, pic, photo file, file name, filename, photograph, photo name, jpg, "
            "photo no, picture file, image file, photo taken"
        ),
        several=True,
    ),
    Meaning(
        "how many",
        "several quilts of a row",
        _words(
            "how many, quantity, qty, count, number made, no made, how many made, number of quilts, copies, pieces made"
        ),
    ),
    Meaning("story", "story", ()),
    Meaning(
        NOTE,
        "notes, with its heading",
        _words(
            "note, comment, remark, description, detail, other, memo, misc, story, history, info, "
            "information, about, additional notes, more info, anything else, value, worth, price, sold "
            "for, estimated value, est value, replacement value, insured for, insurance value, insured, "
            "binding, border, thread, pieced by, made by, maker, sewn by, hours, time, exhibited, show, "
            "exhibition, award, ribbon, prize, guild, class, made for, for, for whom, who for, intended "
            "for, meant for, yardage, weight, quilting pattern, quilting design, quilting motif, panto, "
            "pantograph, block size, number of block, receipt, sent to quilter, back from quilter, thank "
            "you, thanks, letter, thank you received, address, phone, email, style, type of quilt, type, "
            "category, kind, age, age group, recipient type, boy or girl, who would like it"
        ),
        several=True,
    ),
    Meaning(SKIP, "nothing: left out, as you asked", (), several=True),
)

BY_NAME: dict[str, Meaning] = {meaning.name: meaning for meaning in MEANINGS}
