"""A giving report of a few quilts."""

import re
from datetime import date

from collection.giving.annual_report import AnnualReport, giving_report
from tests.support.made_records import a_charity, a_collection

MARK = re.compile(r"q[0-9]+x")


def a_report(*records, year: int = 2026, **fields) -> AnnualReport:
    return giving_report(a_collection(a_charity(qualified=True), *records, **fields), year, date(2026, 12, 31))
