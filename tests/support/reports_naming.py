"""The reports that name a gift, year by year."""

from datetime import date

from collection.giving.annual_report import giving_report
from tests.support.made_records import a_collection, a_go_between

AGENT = a_go_between("tuesday-van", acts_for=["river-street"])
YEARS = range(2010, 2032)


def listed(quilt, starts: str = "04-06", on: str | None = None, **settings) -> dict[int, str]:
    """The years whose reports name a quilt, and how; a quilt named in two ways by one report is an error."""
    collection, found = a_collection(AGENT, quilt, giving_year_starts=starts, **settings), {}
    for year in YEARS:
        report = giving_report(collection, year, date.fromisoformat(on) if on else None)
        lists = {
            "counts": [*report.of_year.given, *report.of_year.to_people],
            "not placed": report.not_placed,
            "planned": report.planned,
            "on its way": report.of_year.on_its_way,
            "came back": report.former,
        }
        names = [name for name, gifts in lists.items() if gifts]
        assert len(names) <= 1
        if names:
            found[year] = names[0]
    return found
