"""Exact amounts of money, each in one currency."""

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Self

from collection.quotes import quoted
from collection.values.currencies import DECIMALS, DECIMALS_OF_NONE, SYMBOL_MEANS, SYMBOL_SAID

_LONGEST_TEXT = 100
_LARGEST = 10**15
_DOLLARS = "USD"

_SHAPE = re.compile(r"([^\W\d_]*[$£€¥₹]?) ?(-?) ?([0-9.,' ]*[0-9]) ?([^\W\d_]*[$£€¥₹]?)")
_GROUPED = re.compile(r"[0-9]{1,3}(?:([,.' ])[0-9]{3})(?:\1[0-9]{3})*")
_ALIKE = str.maketrans(dict.fromkeys("’‘", "'") | dict.fromkeys("‐‑‒–—―−", "-") | {"￥": "¥", "＄": "$", "￡": "£"})


class OtherCurrency(ValueError):
    """The amount is not in the collection's currency."""


@dataclass(frozen=True, slots=True)
class Money:
    """An amount of 0 or more, with exactly the decimals of its currency (ISO 4217). `currency` is None if the collection
    names none.

    >>> str(Money.parse("$84.5", "USD")), Money.parse("1,234.50", "USD").say()
    ('84.50 USD', '$1,234.50')
    >>> str(Money.parse("1", "USD") + Money.parse("2.25", "USD"))
    '3.25 USD'
    """

    amount: Decimal
    currency: str | None

    def __post_init__(self) -> None:
        if not isinstance(self.amount, int | Decimal):
            raise TypeError("an amount is exact: give a Decimal")
        decimals = _decimals(self.currency)
        amount = Decimal(self.amount)
        if not amount.is_finite() or amount < 0:
            raise _no_amount(str(amount))
        if amount > _LARGEST:
            raise ValueError(f"{quoted(f'{amount:f}')} is more than any quilt costs. Check the number.")
        exact = amount.quantize(Decimal(1).scaleb(-decimals))
        if exact != amount:
            raise ValueError(_too_many_decimals(str(amount), self.currency))
        object.__setattr__(self, "amount", abs(exact))

    @classmethod
    def parse(cls, text: str, currency: str | None) -> Self:
        """Read an amount in `currency`: `84.50`, `$84.50`, `84,50 €`, `USD 1,234.50`.

        `currency` is None if the collection names none: then the amount has none, even with a dollar sign. Raises
        ValueError, with a message for the maker, for anything else; `OtherCurrency` for another currency's symbol or code.
        """
        currency = currency.upper() if currency is not None else None
        decimals = _decimals(currency)
        if len(text) > _LONGEST_TEXT:
            raise ValueError(f"{quoted(text)} is too long for an amount. Write it like 84.50.")
        plain = " ".join(text.translate(_ALIKE).lower().split())
        if not plain:
            raise ValueError("The amount is empty. Write it like 84.50, or leave the field out.")
        if any(character.isnumeric() and not character.isascii() for character in plain):
            raise ValueError(f"{quoted(text)}: write the figures as 0 to 9, like 84.50.")
        found = _SHAPE.fullmatch(plain) or _SHAPE.fullmatch(plain.removeprefix("-"))
        if found is None:
            raise _no_amount(text)
        if plain.startswith("-") or found[2]:
            raise ValueError(f"{quoted(text)} is less than nothing. Write the amount without the minus sign.")
        for mark in (found[1], found[4]):
            if mark:
                _check_mark(mark, currency, text, number=found[3])
        return cls(_amount(found[3], decimals, currency, text), currency)

    @classmethod
    def nothing(cls, currency: str | None) -> Self:
        """An amount of 0, to start a sum."""
        return cls(Decimal(0), currency)

    def __str__(self) -> str:
        """Exact, with the currency's code: `84.50 USD`. `Money.parse` reads it back as the same amount."""
        return f"{self.amount:f} {self.currency}" if self.currency else f"{self.amount:f}"

    def say(self) -> str:
        """As people write it: `$1,234.50`; with the currency's code if it has no unambiguous symbol."""
        if self.currency is None:
            return f"{self.amount:,f}"
        symbol = SYMBOL_SAID.get(self.currency)
        return f"{symbol}{self.amount:,f}" if symbol else f"{self.amount:,f} {self.currency}"

    def say_sum(self) -> str:
        """Like `say`, for a sum; says so if the currency is not set."""
        return self.say() if self.currency else f"{self.say()} (currency not set)"

    def __bool__(self) -> bool:
        return bool(self.amount)

    def __add__(self, other: "Money") -> "Money":
        return Money(self.amount + self._same(other), self.currency) if isinstance(other, Money) else NotImplemented

    def __radd__(self, nothing: int) -> "Money":
        """Lets `sum` start from 0."""
        return self if nothing == 0 else NotImplemented

    def __lt__(self, other: "Money") -> bool:
        return self.amount < self._same(other) if isinstance(other, Money) else NotImplemented

    def __le__(self, other: "Money") -> bool:
        return self.amount <= self._same(other) if isinstance(other, Money) else NotImplemented

    def __gt__(self, other: "Money") -> bool:
        return self.amount > self._same(other) if isinstance(other, Money) else NotImplemented

    def __ge__(self, other: "Money") -> bool:
        return self.amount >= self._same(other) if isinstance(other, Money) else NotImplemented

    def _same(self, other: "Money") -> Decimal:
        """The amount of `other`. Raises ValueError if it is in another currency."""
        if self.currency != other.currency:
            raise ValueError(f"{self} and {other} are in different currencies. Count each currency by itself.")
        return other.amount


def _decimals(currency: str | None) -> int:
    if currency is None:
        return DECIMALS_OF_NONE
    if currency not in DECIMALS:
        raise ValueError(f"{quoted(currency)} is not the code of a currency. Write its three letters, like USD.")
    return DECIMALS[currency]


def _no_amount(text: str) -> ValueError:
    return ValueError(f"{quoted(text)} is not an amount of money. Write it like 84.50 or 1,234.50.")


def _too_many_decimals(found: str, currency: str | None) -> str:
    decimals = _decimals(currency)
    allowed = f"at most {decimals} decimals" if decimals else "no decimals"
    return (
        f"{quoted(found)}: an amount {f'in {currency}' if currency else 'without a currency'} has {allowed}. Round it."
    )


def _check_mark(mark: str, currency: str | None, text: str, *, number: str) -> None:
    """Raise ValueError unless a symbol or code means `currency`; if that is None, a dollar sign is accepted."""
    means = SYMBOL_MEANS.get(mark) or ((mark.upper(),) if mark.upper() in DECIMALS else ())
    if (currency or _DOLLARS) in means:
        return
    if not means:
        right = f"{number} {currency}" if currency else number
        raise ValueError(f"{quoted(text)}: {quoted(mark)} is not a currency that is known here. Write {right}.")
    if currency is None:
        # The maker sets the currency once, for all amounts.
        raise OtherCurrency(
            f"{quoted(text)} is in {means[0]}, and the collection does not say what it counts in. "
            f"Write currency: {means[0]} in collection.yaml."
        )
    raise OtherCurrency(
        f"{quoted(text)} is in {means[0]}, but the collection counts in {currency}. "
        f"Write what it came to in {currency}."
    )


def _amount(number: str, decimals: int, currency: str | None, text: str) -> Decimal:
    """Parse the number, with or without separators between thousands, and decimals after a point or a comma.

    A comma before three digits separates thousands, unless the currency has three decimals; a single point never does.
    """
    if re.fullmatch(r"[0-9]+", number):
        return Decimal(number)
    whole, mark, rest = _split_at_last_mark(number)
    if mark in ("'", " "):
        return Decimal(_ungrouped(number, text))
    alone = not re.search(r"[^0-9]", whole)
    if mark == "," and alone and len(rest) == 3 and _GROUPED.fullmatch(number) and whole.strip("0"):
        if decimals == 3:
            raise ValueError(f"{quoted(text)} could be read in two ways. Write {whole}{rest} or {whole}.{rest}.")
        return Decimal(whole + rest)
    if not alone and mark in whole:
        return Decimal(_ungrouped(number, text))
    if len(rest) > decimals:
        thousands = f" For the larger amount, write {whole}{rest}." if alone and len(rest) == 3 else ""
        raise ValueError(_too_many_decimals(text, currency) + thousands)
    return Decimal(f"{whole if alone else _ungrouped(whole, text)}.{rest}")


def _split_at_last_mark(number: str) -> tuple[str, str, str]:
    at = max(number.rfind(mark) for mark in ",.' ")
    return number[:at], number[at], number[at + 1 :]


def _ungrouped(number: str, text: str) -> str:
    if not _GROUPED.fullmatch(number):
        raise _no_amount(text)
    return re.sub(r"[^0-9]", "", number)
