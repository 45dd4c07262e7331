"""Rules on time: whether a quilt is finished and at home, or will be by the day it is needed."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from collection.matching.judgement import DAYS_TO_AN_INCH, EASILY_PUT_RIGHT, Check, Finding, Miss
from collection.records.quilt import Quilt
from collection.values.dates import EdtfDate


def passed_words(needed_by: EdtfDate | None, on: date | None) -> str:
    """The words after the day on which something is needed, once it is past: `, which has passed`; else empty."""
    passed = needed_by.passed(on) if needed_by is not None and on is not None else "no"
    return {"no": "", "maybe": ", which may have passed", "surely": ", which has passed"}[passed]


@dataclass(frozen=True, slots=True)
class StillNeededRule:
    """Requires that the day has not passed; after it, check first whether quilts are still wanted."""

    needed_by: EdtfDate

    def judge(self, quilt: Quilt, on: date) -> Finding:
        passed = passed_words(self.needed_by, on)
        return Check("needed_by", f"they needed it by {self.needed_by.say()}{passed}") if passed else None


@dataclass(frozen=True, slots=True)
class ReadyRule:
    """Requires a quilt that is finished and at home, or recorded to be so in time."""

    needed_by: EdtfDate | None

    def judge(self, quilt: Quilt, on: date) -> Finding:
        finding = self._finished(quilt, on) if quilt.stage != "finished" else None
        loan = quilt.current_loan
        if isinstance(finding, Miss) or loan is None:
            return finding
        if loan.due is None:
            return Check("loans", "it is on loan, and nobody wrote down until when")
        if (miss := self._late(loan.due, "it is on loan", "back")) is not None:
            return miss
        return finding or Check("loans", f"it is on loan until {loan.due.say()}")

    def _finished(self, quilt: Quilt, on: date) -> Finding:
        stage = f"it is still at the {quilt.stage} stage"
        ready = quilt.ready_by
        if ready is None:
            remedy = "you say when it will be ready"
            return Miss("needed_by", stage, EASILY_PUT_RIGHT, put_right=remedy)
        if (miss := self._late(ready, stage, "ready")) is not None:
            return miss
        if ready.latest is not None and ready.latest < on:
            return Check("ready_by", f"it was to be ready by {ready.say()}")
        if self.needed_by is not None and not self._surely_in_time(ready, self.needed_by):
            return Check("ready_by", f"they need it by {self.needed_by.say()}")
        return None

    def _late(self, day: EdtfDate, what: str, then: str) -> Miss | None:
        """The miss if `day` is surely after the day it is needed: until then `what` is so, afterwards it is `then`."""
        needed_by = self.needed_by
        if needed_by is None or not needed_by.surely_before(day) or day.earliest is None or needed_by.latest is None:
            return None
        days = (day.earliest - needed_by.latest).days
        at_least = "" if day.exact_day and needed_by.exact_day else "at least "
        late = f"{what} until {day.say()}, {at_least}{days} day{'' if days == 1 else 's'} too late"
        put_right = f"it is {then} by {needed_by.say()}"
        return Miss("needed_by", late, Fraction(days, DAYS_TO_AN_INCH), put_right=put_right)

    @staticmethod
    def _surely_in_time(ready: EdtfDate, needed_by: EdtfDate) -> bool:
        if needed_by.latest is None:
            return True
        return not ready.doubt and ready.latest is not None and needed_by.latest - ready.latest >= needed_by.doubt
