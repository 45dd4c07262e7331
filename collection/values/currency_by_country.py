"""The usual currency and units of a country: suggestions that the user confirms, never facts."""

import re

from collection.values.currencies import DECIMALS, SYMBOL_MEANS

_COUNTED_IN = """
AED AE|AFN AF|ALL AL|AMD AM|AOA AO|ARS AR|AUD AU CC CX HM KI NF NR TV|AWG AW|AZN AZ|BAM BA|BBD BB|BDT BD|BHD BH|BIF BI
BMD BM|BND BN|BOB BO|BRL BR|BSD BS|BTN BT|BWP BW|BYN BY|BZD BZ|CAD CA|CDF CD|CHF CH LI|CLP CL|CNY CN|COP CO|CRC CR
CUP CU|CVE CV|CZK CZ|DJF DJ|DKK DK FO GL|DOP DO|DZD DZ|EGP EG|ERN ER|ETB ET
EUR AD AT AX BE BG BL CY DE EA EE ES FI FR GF GP GR HR IC IE IT LT LU LV MC ME MF MQ MT NL PM PT RE SI SK SM TF VA XK YT
FJD FJ|FKP FK|GBP GB GG GS IM JE TA|GEL GE|GHS GH|GIP GI|GMD GM|GNF GN|GTQ GT|GYD GY|HKD HK|HNL HN|HTG HT|HUF HU
IDR ID|ILS IL PS|INR IN|IQD IQ|IRR IR|ISK IS|JMD JM|JOD JO|JPY JP|KES KE|KGS KG|KHR KH|KMF KM|KPW KP|KRW KR|KWD KW
KYD KY|KZT KZ|LAK LA|LBP LB|LKR LK|LRD LR|LSL LS|LYD LY|MAD EH MA|MDL MD|MGA MG|MKD MK|MMK MM|MNT MN|MOP MO|MRU MR
MUR MU|MVR MV|MWK MW|MXN MX|MYR MY|MZN MZ|NAD NA|NGN NG|NIO NI|NOK BV NO SJ|NPR NP|NZD CK NU NZ PN TK|OMR OM|PAB PA
PEN PE|PGK PG|PHP PH|PKR PK|PLN PL|PYG PY|QAR QA|RON RO|RSD RS|RUB RU|RWF RW|SAR SA|SBD SB|SCR SC|SDG SD|SEK SE
SGD SG|SHP AC SH|SLE SL|SOS SO|SRD SR|SSP SS|STN ST|SYP SY|SZL SZ|THB TH|TJS TJ|TMT TM|TND TN|TOP TO|TRY TR
TTD TT|TWD TW|TZS TZ|UAH UA|UGX UG|USD AS BQ DG EC FM GU IO MH MP PR PW SV TC TL UM US VG VI ZW|UYU UY|UZS UZ|VES VE
VND VN|VUV VU|WST WS|XAF CF CG CM GA GQ TD|XCD AG AI DM GD KN LC MS VC|XCG CW SX|XOF BF BJ CI GW ML NE SN TG
XPF NC PF WF|YER YE|ZAR ZA|ZMW ZM
"""
CURRENCY_OF: dict[str, str] = {
    country: row.split()[0] for row in re.split(r"[|\n]", _COUNTED_IN.strip()) for country in row.split()[1:]
}
"""By the two-letter country code. Source: Unicode CLDR, as in the Python library Babel 2.19 [seen]; where two
currencies are in use, the country's own."""

IN_INCHES = frozenset({"US", "LR", "MM", "GB", "IE", "CA", "AU", "NZ"})
"""The countries where quilts are measured in inches. Source: for the US, Liberia and Myanmar, customary units [from
memory]; for the others, where quilters buy cloth by the metre and piece in inches, common practice, no source."""

_COUNTRY = re.compile(r"[A-Za-z]{2,3}(?:[_-][A-Za-z]{4})?[_-]([A-Za-z]{2})(?:[.@_-].*)?")


def country_of(locale: str) -> str | None:
    """The country code in the name of a locale or a language; None if it has no known one.

    >>> country_of("en_GB.UTF-8"), country_of("zh-Hant-TW"), country_of("C.UTF-8"), country_of("sv")
    ('GB', 'TW', None, None)
    """
    found = _COUNTRY.fullmatch(locale.strip())
    country = found[1].upper() if found else None
    return country if country in CURRENCY_OF else None


def currency_in(country: str | None) -> str | None:
    return CURRENCY_OF.get(country) if country else None


def currency_meant(text: str, country: str | None) -> str:
    """The currency code for a code or a symbol; the text itself if it is neither.

    >>> currency_meant("gbp", None), currency_meant("£", None), currency_meant("$", "CA"), currency_meant("shells", None)
    ('GBP', 'GBP', 'CAD', 'shells')
    """
    word = text.strip()
    means = SYMBOL_MEANS.get(word.lower(), ())
    if means:
        return own if (own := currency_in(country)) in means else means[0]
    return word.upper() if word.upper() in DECIMALS else word


def units_in(country: str | None) -> str:
    """The usual units of quilts in a country; inches if no country is given."""
    return "in" if country is None or country in IN_INCHES else "cm"
