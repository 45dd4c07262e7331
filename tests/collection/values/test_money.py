from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.values.currencies import DECIMALS, SYMBOL_MEANS, SYMBOL_SAID
from collection.values.money import Money, OtherCurrency


def money(amount: str, currency: str = "USD") -> Money:
    return Money(Decimal(amount), currency)


@pytest.mark.parametrize(
    "text",
    ["84.50", "$84.50", "84.50 USD", "USD 84.50", "$84.5", "84.50 $", "$ 84.50", "US$84.50", "usd 84.50", " 84.50 ",
     "84,50", "USD84.50", "$84.50 USD"],
)  # fmt: skip
def test_an_amount_reads_in_every_usual_spelling(text):
    assert Money.parse(text, "USD") == money("84.50")


@pytest.mark.parametrize(
    "text, currency, expected",
    [
        ("£12", "GBP", money("12", "GBP")), ("€12,50", "EUR", money("12.50", "EUR")),
        ("12,50 €", "EUR", money("12.50", "EUR")),
        ("1,234.50", "USD", money("1234.50")), ("1.234,50", "EUR", money("1234.50", "EUR")),
        ("1,234,567", "USD", money("1234567")),
        ("1 234,50", "EUR", money("1234.50", "EUR")), ("1’234.50", "CHF", money("1234.50", "CHF")),
        ("1,234,567.89", "USD", money("1234567.89")),
        ("¥1200", "JPY", money("1200", "JPY")), ("1200 JPY", "JPY", money("1200", "JPY")),
        ("$12", "CAD", money("12", "CAD")),
        ("C$12", "CAD", money("12", "CAD")), ("12.345", "KWD", money("12.345", "KWD")),
        ("0", "USD", money("0")), (".50", "USD", money("0.50")),
        ("84.5", "usd", money("84.50")), ("1234.50", "USD", money("1234.50")),
        ("12 EUR", "EUR", money("12", "EUR")), ("¥12", "CNY", money("12", "CNY")),
    ],
)  # fmt: skip
def test_symbols_thousands_and_decimal_commas_read(text, currency, expected):
    assert Money.parse(text, currency) == expected


@pytest.mark.parametrize(
    "text, currency, told",
    [
        ("", "USD", "empty"), ("twenty", "USD", "not an amount"), ("-5", "USD", "less than nothing"),
        ("−5 USD", "USD", "less than nothing"),
        ("($5)", "USD", "not an amount"), ("$-5", "USD", "less than nothing"),
        ("84.505", "USD", "2 decimals"), ("12.5", "JPY", "no decimals"),
        ("£12", "USD", "USD"), ("£12", "USD", "GBP"), ("12 EUR", "USD", "EUR"), ("€12 EUR", "USD", "EUR"),
        ("€12 GBP", "EUR", "GBP"), ("$12 USD", "EUR", "EUR"),
        ("1,234", "KWD", "1.234"), ("1.234", "USD", "1234"), ("1.200", "JPY", "1200"),
        ("0,125", "USD", "2 decimals"), ("1,23,456", "USD", "not an amount"), ("12,3456", "USD", "2 decimals"),
        ("nan", "USD", "not an amount"), ("inf", "USD", "not an amount"), ("1e3", "USD", "not an amount"),
        ("84.", "USD", "not an amount"),
        ("٨٤", "USD", "0 to 9"), ("9" * 101, "USD", "too long"), ("9" * 20, "USD", "more than"),
        ("12", "XQX", "currency"), ("12", "", "currency"),
        ("12", "dollars", "currency"), ("12 XQX", "USD", "XQX"), ("1 2 3", "USD", "not an amount"),
        ("5 to 6", "USD", "not an amount"),
        ("US$12", "CAD", "USD"), ("84.50 dollars", "USD", "84.50 USD"), ("$", "USD", "not an amount"),
        ("USD", "USD", "not an amount"),
    ],
)  # fmt: skip
def test_what_is_no_amount_is_refused_with_what_would_be_right(text, currency, told):
    with pytest.raises(ValueError) as refused:
        Money.parse(text, currency)
    message = str(refused.value)
    assert told in message and message.endswith(".") and "\n" not in message and len(message) < 200


def test_a_thousand_with_a_comma_and_no_decimals_reads_where_it_can_mean_only_that():
    assert Money.parse("1,234", "USD") == money("1234")
    assert Money.parse("$1,234", "USD") == money("1234")
    assert Money.parse("1,200", "JPY") == money("1200", "JPY")
    assert Money.parse("1,234", "EUR") == money("1234", "EUR")


@pytest.mark.parametrize(
    "amount, text, said",
    [
        (money("84.5"), "84.50 USD", "$84.50"), (money("1234.5"), "1234.50 USD", "$1,234.50"),
        (money("12", "GBP"), "12.00 GBP", "£12.00"),
        (money("12.5", "EUR"), "12.50 EUR", "€12.50"), (money("1200", "JPY"), "1200 JPY", "¥1,200"),
        (money("12", "CAD"), "12.00 CAD", "CA$12.00"),
        (money("12.345", "KWD"), "12.345 KWD", "12.345 KWD"),
        (money("1234", "SEK"), "1234.00 SEK", "1,234.00 SEK"), (money("0"), "0.00 USD", "$0.00"),
    ],
)  # fmt: skip
def test_an_amount_is_written_exactly_and_said_as_people_say_it(amount, text, said):
    assert str(amount) == text
    assert amount.say() == said


def test_an_amount_is_kept_with_the_decimals_of_its_currency():
    assert money("84.5") == money("84.50") and hash(money("84.5")) == hash(money("84.50"))
    assert money("84.5").amount.as_tuple().exponent == -2
    with pytest.raises(ValueError):
        money("84.505")
    with pytest.raises(ValueError):
        money("1", "XQX")
    with pytest.raises(ValueError):
        money("nan")
    with pytest.raises(TypeError):
        Money(84.5, "USD")


def test_amounts_of_one_currency_add_up_and_compare():
    assert money("84.50") + money("0.50") == money("85")
    assert sum([money("1"), money("2.25")]) == money("3.25")
    assert sum([money("1"), money("2.25")], Money.nothing("USD")) == money("3.25")
    assert money("1") < money("2") <= money("2") and max(money("9"), money("10")) == money("10")
    assert not Money.nothing("USD") and money("0.01")


@pytest.mark.parametrize("mix", [lambda a, b: a + b, lambda a, b: a < b, lambda a, b: a >= b, lambda a, b: sum([a, b])])
def test_amounts_of_two_currencies_are_never_added_or_compared(mix):
    with pytest.raises(ValueError, match=r"USD.*EUR"):
        mix(money("1"), money("1", "EUR"))
    assert money("1") != money("1", "EUR")


def test_a_bare_number_is_not_added_to_money():
    with pytest.raises(TypeError):
        money("1") + 1
    with pytest.raises(TypeError):
        sum([money("1")], 5)


def test_every_symbol_stands_for_currencies_in_use_and_what_is_said_is_understood():
    assert {code for codes in SYMBOL_MEANS.values() for code in codes} <= DECIMALS.keys()
    assert all(code in SYMBOL_MEANS[symbol.lower()] for code, symbol in SYMBOL_SAID.items())


# Laws -----------------------------------------------------------------------------------------


ANY_CURRENCY = st.sampled_from(sorted(DECIMALS))


@st.composite
def amounts(draw, currency=ANY_CURRENCY) -> Money:
    code = draw(currency)
    return Money(Decimal(draw(st.integers(0, 10**12))).scaleb(-DECIMALS[code]), code)


@given(amounts())
def test_the_text_of_an_amount_reads_back_as_that_amount(amount):
    assert Money.parse(str(amount), amount.currency) == amount


@given(amounts(st.sampled_from(sorted(DECIMALS))))
def test_what_is_said_reads_back_as_that_amount(amount):
    assert Money.parse(amount.say(), amount.currency) == amount


@given(st.lists(amounts(st.just("USD")), max_size=10))
def test_a_sum_is_exact_whatever_the_order(several):
    total = sum(several, Money.nothing("USD"))
    assert total == sum(reversed(several), Money.nothing("USD"))
    assert total.amount == sum(a.amount for a in several)


anything = st.text(max_size=120) | st.text(alphabet="0123456789.,' -$£€¥USDEURC", max_size=20)


@given(anything, st.sampled_from(["USD", "EUR", "JPY", "KWD", "nonsense", ""]))
def test_any_text_either_reads_or_is_refused_in_words_and_what_reads_writes_back(text, currency):
    try:
        amount = Money.parse(text, currency)
    except ValueError as refused:
        assert str(refused).endswith(".") and "\n" not in str(refused)
    else:
        assert Money.parse(str(amount), currency) == amount and amount.currency == currency


@pytest.mark.parametrize("piece", ["9", "1,", "$", " ", "1 ", "USD "])
def test_a_very_long_text_is_refused_at_once(piece):
    with pytest.raises(ValueError):
        Money.parse(piece * 100_000, "USD")


# A collection that does not say what it counts in -----------------------------------------------


def test_without_a_currency_amounts_have_none():
    amount = Money.parse("45", None)
    assert amount == Money.parse("$45.00", None) != money("45.00")
    assert (amount.say(), str(amount), amount.currency) == ("45.00", "45.00", None)
    assert (amount + Money.parse("1200.5", None)).say_sum() == "1,245.50 (currency not set)"
    assert money("45.00").say_sum() == "$45.00"
    assert Money.parse(str(amount), None) == amount
    with pytest.raises(ValueError, match="an amount without a currency has at most 2 decimals"):
        Money.parse("45.001", None)


@pytest.mark.parametrize(("text", "code"), [("£45.00", "GBP"), ("45 €", "EUR"), ("SEK 45", "SEK"), ("45.00zł", "PLN")])
def test_a_sign_of_another_currency_leads_to_naming_it(text, code):
    with pytest.raises(
        OtherCurrency,
        match=f"is in {code}, and the collection does not say .* Write currency: {code} in collection.yaml",
    ):
        Money.parse(text, None)
    with pytest.raises(OtherCurrency, match=f"is in {code}, but the collection counts in USD"):
        Money.parse(text, "USD")
