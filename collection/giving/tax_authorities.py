"""The laws and publications that the tax notes cite, and where each was read; information, never advice.

A text that was not read itself is cited "(from memory)", even if many others quote it.
"""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Authority:
    """A law or publication, as a tax professional would look it up.

    `read_at` is where its own text was read, and in which edition; empty if it is known only from others, whom
    `known_by` names.
    """

    citation: str
    read_at: str = ""
    known_by: str = ""

    def __str__(self) -> str:
        return self.citation if self.read_at else f"{self.citation} (from memory)"


_TAX_MAP = "taxmap.ntis.gov, of the IRS"

AUTHORITIES: Mapping[str, Authority] = {
    "170(c)": Authority("26 U.S.C. 170(c)", read_at="customsmobile.com/uscode/26/170"),
    "170(c)(2)(A)": Authority("26 U.S.C. 170(c)(2)(A)", read_at="customsmobile.com/uscode/26/170"),
    "170(e)(1)(A)": Authority("26 U.S.C. 170(e)(1)(A)", known_by="quoted in a Tax Court opinion of 2007"),
    "170(f)(8)": Authority("26 U.S.C. 170(f)(8)", read_at="law.cornell.edu"),
    "170(f)(11)": Authority("26 U.S.C. 170(f)(11)", read_at="printed at slideshare.net/pecva"),
    "170(f)(16)": Authority("26 U.S.C. 170(f)(16)", read_at="law.cornell.edu"),
    "111": Authority("26 U.S.C. 111", known_by="described in Tax Court opinions of 1997 and 1999"),
    "1012": Authority("26 U.S.C. 1012", read_at="uscode.house.gov, as of January 2000"),
    "1016": Authority("26 U.S.C. 1016", known_by="named in section 1011"),
    "170A-1(b)": Authority("Treas. Reg. 1.170A-1(b)", known_by="quoted in a Tax Court opinion of 1997"),
    "119-21": Authority(
        "Public Law 119-21, sections 70424 and 70425",
        known_by="plannedgiving.com (January 2026); shulmanrogers.com; section 70425 read in the Senate's text of the bill",
    ),
    "form": Authority("instructions for Form 8283", read_at="editions of 2003, 2006, 2012, 2014, 2020 and 2021"),
    "form, small items": Authority(
        "the same instructions as they are now, on items of $500 or less", known_by="read in the edition of 2003"
    ),
    "526, not deductible": Authority(
        "IRS Publication 526, contributions you can't deduct", read_at=f"{_TAX_MAP}, editions of 2010 and 2014"
    ),
    "526, household items": Authority(
        "IRS Publication 526, clothing and household items", read_at=f"{_TAX_MAP}, edition of 2012"
    ),
    "526, over 5000": Authority(
        "IRS Publication 526, deductions over $5,000", read_at="scribd.com/document/630302902, edition of 2022"
    ),
    "526, deductible": Authority(
        "IRS Publication 526, contributions you can deduct", known_by="quoted by taxact.com (2023)"
    ),
    "526, value": Authority(
        "IRS Publication 526, property that has increased in value", known_by="NATP, You Make the Call (24 August 2023)"
    ),
    "526, records": Authority(
        "IRS Publication 526, records to keep", known_by="quoted at tools.nebraskataxaide.org"
    ),
    "Income Tax Act": Authority(
        "Income Tax Act 2007, sections 413, 414 and 416", read_at="legislation.gov.uk, as of 2008, 2009 and 2019"
    ),
    "HMRC": Authority("HMRC guidance on Gift Aid, chapter 3", read_at="gov.uk, of 11 and 27 March 2024"),
}  # fmt: skip


def cited(keys: tuple[str, ...]) -> str:
    """The citations of the authorities with these keys, joined; those not read are marked "(from memory)"."""
    return "; ".join(str(AUTHORITIES[key]) for key in keys)
