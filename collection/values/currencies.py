"""The currencies in use and how many decimals each has.

Source: ISO 4217, List One of its maintenance agency, as the Python library `iso4217` has it [seen]; funds, metals and
test codes are left out. Symbols: common practice, no source.
"""

_BY_DECIMALS = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF",
    2: """AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF CNY COP
        CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS
        INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN
        MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE
        SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD UYU UZS VED VES WST XCD XCG YER ZAR
        ZMW ZWG""",
    3: "BHD IQD JOD KWD LYD OMR TND",
}
DECIMALS: dict[str, int] = {code: decimals for decimals, codes in _BY_DECIMALS.items() for code in codes.split()}

DECIMALS_OF_NONE = 2
"""The decimals of an amount without a currency: the same as in most currencies."""

SYMBOL_MEANS: dict[str, tuple[str, ...]] = {
    # The first is the most frequent meaning of the symbol.
    "$": ("USD", "CAD", "AUD", "NZD", "SGD", "HKD", "TWD", "MXN", "BBD", "BMD", "BSD", "BZD", "FJD", "GYD", "JMD",
          "KYD", "LRD", "NAD", "SBD", "SRD", "TTD", "XCD", "ARS", "CLP", "COP", "CUP", "DOP", "UYU"),
    "us$": ("USD",),
    "c$": ("CAD",),
    "ca$": ("CAD",),
    "a$": ("AUD",),
    "au$": ("AUD",),
    "nz$": ("NZD",),
    "£": ("GBP", "EGP", "FKP", "GIP", "LBP", "SHP", "SYP"),
    "€": ("EUR",),
    "¥": ("JPY", "CNY"),
    "₹": ("INR",),
    "zł": ("PLN",),
}  # fmt: skip

SYMBOL_SAID: dict[str, str] = {
    "USD": "$", "CAD": "CA$", "AUD": "A$", "NZD": "NZ$", "GBP": "£", "EUR": "€", "JPY": "¥", "INR": "₹",
}  # fmt: skip
