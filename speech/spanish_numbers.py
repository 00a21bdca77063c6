"""Spanish number words both ways; the rules are those of :mod:`speech.numbers`.

Understood, from zero to 9999 with up to three decimals, and negative:

- digit by digit: "uno uno ocho";
- in full: "ciento dieciocho", "treinta y uno", "mil doscientos", "dos mil cinco";
- in pairs: "uno dieciocho", "cuatro diez", "doce treinta y cuatro", "doce cero cinco";
- decimals after "punto", "coma" or "con", digit by digit or as one number of two
  digits: "doce punto cinco", "uno coma veinticinco"; and "y medio" at the end.

A pair needs a tail of two digits, so "once cinco" is nothing at all.
"""

from decimal import Decimal

from speech.numbers import LIMIT
from speech.spanish_words import DIGITS, tokens

POINTS = ("punto", "coma", "con")
SIGNS = ("menos", "negativo")
_BELOW_ZERO = ("bajo", "cero")
_HALF = (("y", "medio"), ("y", "media"))
TEENS = (
    "diez",
    "once",
    "doce",
    "trece",
    "catorce",
    "quince",
    "dieciséis",
    "diecisiete",
    "dieciocho",
    "diecinueve",
)
TWENTIES = (
    "veinte",
    "veintiuno",
    "veintidós",
    "veintitrés",
    "veinticuatro",
    "veinticinco",
    "veintiséis",
    "veintisiete",
    "veintiocho",
    "veintinueve",
)
TENS = ("treinta", "cuarenta", "cincuenta", "sesenta", "setenta", "ochenta", "noventa")
HUNDREDS = (
    "cien",
    "doscientos",
    "trescientos",
    "cuatrocientos",
    "quinientos",
    "seiscientos",
    "setecientos",
    "ochocientos",
    "novecientos",
)

_DIGIT = {word: value for value, word in enumerate(DIGITS)}
_UNIT = _DIGIT | {"un": 1, "una": 1}
_SMALL = {
    tokens(word)[0]: value for value, word in enumerate((*TEENS, *TWENTIES), start=10)
} | {"veintiun": 21, "veintiuna": 21}
_TENS = {word: value for value, word in zip(range(30, 100, 10), TENS, strict=True)}
_JOINED = {"diez": 10, "veinte": 20} | _TENS
"""What "y" and a digit may follow; "diez y seis" is an older form of one word."""
_HUNDRED = {
    form: 100 * value
    for value, word in enumerate(HUNDREDS, start=1)
    for form in (word, word[:-2] + "as")
    if word != "cien"
} | {"cien": 100, "ciento": 100}
NUMBER_WORDS = frozenset({*_UNIT, *_SMALL, *_TENS, *_HUNDRED, "mil", "y"})
_MOST_DECIMALS = 3

_Words = tuple[str, ...]


def parse_number(words: str) -> Decimal | None:
    """Give the number these words say, or None when they do not say just a number."""
    said = tokens(words)
    negative = said[:1] != () and said[0] in SIGNS
    if negative:
        said = said[1:]
    elif len(said) > 2 and said[-2:] == _BELOW_ZERO:
        negative, said = True, said[:-2]
    value = _value(said)
    if value is None:
        return None
    return -value if negative and value else value


def _value(said: _Words) -> Decimal | None:
    places = [at for at, word in enumerate(said) if word in POINTS]
    if len(places) > 1:
        return None
    if places:
        return _decimal(said, places[0])
    if len(said) > 2 and said[-2:] in _HALF:
        whole = parse_whole(said[:-2])
        return None if whole is None else whole + Decimal("0.5")
    whole = parse_whole(said)
    return None if whole is None else Decimal(whole)


def _decimal(said: _Words, at: int) -> Decimal | None:
    whole = parse_whole(said[:at]) if at else 0
    tail = said[at + 1 :]
    places = "".join(str(_DIGIT.get(word, "?")) for word in tail)
    below = _below_hundred(tail)
    if "?" in places and below is not None and below >= 10:
        places = str(below)
    if whole is None or not places.isdigit() or len(places) > _MOST_DECIMALS:
        return None
    return whole + Decimal(f"0.{places}")


def parse_whole(said: _Words) -> int | None:
    """Give the whole number that plain words say, or None."""
    for read in (_by_digits, _in_full, _in_pairs):
        value = read(said)
        if value is not None:
            return value
    return None


def _by_digits(said: _Words) -> int | None:
    digits = [_DIGIT.get(word) for word in said]
    if None in digits or not 1 <= len(digits) <= 4:
        return None
    return int("".join(str(digit) for digit in digits))


def _below_hundred(said: _Words) -> int | None:
    """Read 1 to 99 as one number; "treinta y uno" but not "tres uno"."""
    match said:
        case (word,):
            value = _UNIT.get(word) or _SMALL.get(word) or _TENS.get(word)
            return value or None
        case (ten, "y", unit) if ten in _JOINED and _UNIT.get(unit):
            return _JOINED[ten] + _UNIT[unit]
    return None


def _below_thousand(said: _Words) -> int | None:
    """Read 1 to 999; "cien" stands alone and "ciento" needs a rest."""
    if not said or said[0] not in _HUNDRED:
        return _below_hundred(said)
    rest = _below_hundred(said[1:]) if said[1:] else 0
    if rest is None or (said[0] == "cien" and rest) or said == ("ciento",):
        return None
    return _HUNDRED[said[0]] + rest


def _in_full(said: _Words) -> int | None:
    if "mil" not in said:
        return _below_thousand(said)
    at = said.index("mil")
    count = _below_hundred(said[:at]) if at else 1
    rest = _below_thousand(said[at + 1 :]) if said[at + 1 :] else 0
    if count is None or not 1 <= count <= 9 or rest is None:
        return None
    return 1000 * count + rest


def _in_pairs(said: _Words) -> int | None:
    for cut in (1, 3):
        head, tail = _below_hundred(said[:cut]), said[cut:]
        if head is None:
            continue
        if len(tail) == 2 and tail[0] == "cero" and _DIGIT.get(tail[1]):
            return 100 * head + _DIGIT[tail[1]]
        value = _below_hundred(tail)
        if value is not None and value >= 10:
            return 100 * head + value
    return None


def _check(value: Decimal) -> Decimal:
    if not value.is_finite() or abs(value) > LIMIT:
        raise ValueError(f"{value} cannot be spoken; the largest number is {LIMIT}")
    plain = value.normalize()
    if int(plain.as_tuple().exponent) < -_MOST_DECIMALS:
        raise ValueError(f"{value} has more than {_MOST_DECIMALS} decimals; round it")
    return plain


def _digits(text: str) -> str:
    return " ".join(DIGITS[int(figure)] for figure in text)


def digits_spoken(value: Decimal) -> str:
    """Give the read-back of a number, digit by digit: "menos seis dos punto cinco".

    Raises
    ------
    ValueError
        If the number is beyond the largest or has more than three decimals.
    """
    plain = _check(value)
    whole, _, places = f"{abs(plain):f}".partition(".")
    spoken = _digits(whole) + (f" punto {_digits(places)}" if places else "")
    return f"menos {spoken}" if plain < 0 else spoken


def number_forms(value: Decimal) -> tuple[str, ...]:
    """Give every form a speaker may use for a number; each parses back to it.

    Raises
    ------
    ValueError
        If the number is beyond the largest or has more than three decimals.
    """
    plain = _check(value)
    whole, _, places = f"{abs(plain):f}".partition(".")
    forms = list(whole_forms(int(whole)))
    if places:
        tails = [f"{point} {_digits(places)}" for point in POINTS]
        forms = [f"{form} {tail}" for form in forms for tail in tails]
    if plain < 0:
        forms = [f"{sign} {form}" for form in forms for sign in SIGNS]
    return tuple(forms)


def whole_forms(value: int) -> tuple[str, ...]:
    """Give the forms of a whole number from 0 to 9999, the fullest form first."""
    forms = [_full(value), *_pairs(value), _digits(str(value))]
    return tuple(dict.fromkeys(forms))


def _small(value: int) -> str:
    if value < 10:
        return DIGITS[value]
    if value < 30:
        return (*TEENS, *TWENTIES)[value - 10]
    tens, unit = divmod(value, 10)
    return TENS[tens - 3] + (f" y {DIGITS[unit]}" if unit else "")


def _full(value: int) -> str:
    if value < 100:
        return _small(value)
    if value < 1000:
        hundreds, rest = divmod(value, 100)
        if not rest:
            return HUNDREDS[hundreds - 1]
        head = "ciento" if hundreds == 1 else HUNDREDS[hundreds - 1]
        return f"{head} {_small(rest)}"
    thousands, rest = divmod(value, 1000)
    head = "mil" if thousands == 1 else f"{DIGITS[thousands]} mil"
    return f"{head} {_full(rest)}" if rest else head


def _pairs(value: int) -> list[str]:
    head, tail = divmod(value, 100)
    if not head or not tail:
        return []
    middle = "cero " if tail < 10 else ""
    return [f"{_small(head)} {middle}{_small(tail)}"]
