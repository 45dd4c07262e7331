"""The currency of a country, against the list of ISO 4217 [from memory] and changes that were widely published."""

import pytest

from collection.values.currencies import DECIMALS
from collection.values.currency_by_country import CURRENCY_OF, IN_INCHES

BY_COUNTRY = """
    US USD, CA CAD, MX MXN, BR BRL, GB GBP, IE EUR, FR EUR, DE EUR, NL EUR, AT EUR, CH CHF, LI CHF, SE SEK, NO NOK, DK DKK,
    GL DKK, FI EUR, IS ISK, PL PLN, CZ CZK, HU HUF, RO RON, AU AUD, NZ NZD, JP JPY, KR KRW, CN CNY, IN INR, ZA ZAR, IL ILS,
    TR TRY, SG SGD, HK HKD, PR USD, JE GBP
"""
LATELY = {"HR": "EUR", "BG": "EUR", "LT": "EUR", "LV": "EUR", "EE": "EUR", "SK": "EUR"}
"""Joined the euro area: Croatia 2023, Bulgaria 2026, Lithuania 2015, Latvia 2014, Estonia 2011, Slovakia 2009."""


@pytest.mark.parametrize("row", BY_COUNTRY.split(","))
def test_a_country_counts_in_its_own_currency(row):
    country, currency = row.split()
    assert CURRENCY_OF[country] == currency


def test_countries_that_joined_the_euro_count_in_it():
    assert {country: CURRENCY_OF[country] for country in LATELY} == LATELY


def test_each_country_has_one_currency_that_is_in_use():
    assert set(CURRENCY_OF.values()) <= set(DECIMALS)
    assert IN_INCHES <= set(CURRENCY_OF)
