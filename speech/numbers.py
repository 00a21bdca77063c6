"""Number words both ways: what people say for a gauge reading, and how it is read back.

Understood, from zero to 9999 with up to three decimals, and negative:

- digit by digit: "one one eight"; "oh" and "zero" are both 0, "niner" is "nine";
- in full: "one hundred eighteen", "one hundred and eighteen", "a hundred",
  "twelve hundred", "one thousand eighteen";
- in pairs: "one eighteen", "two twenty five", "ten eighteen", "twelve oh five";
- with decimals, each said as a digit: "sixty two point five", "six two decimal five".

Where words could be cut in more than one way the reading is fixed as follows.
"twenty five" is 25, never 20 then 5. "one twenty five" is 125. A pair needs a tail
of two digits, so "eleven five" is nothing at all, and neither is a mixture such as
"one one eighteen": a listener that guessed there would invent a reading.
"""

from decimal import Decimal

from speech.words import DIGITS, tokens

LIMIT = Decimal("9999.999")
"""Numbers above this are neither understood nor spoken."""

ZEROS = ("zero", "oh")
POINTS = ("point", "decimal")
SIGNS = ("minus", "negative")
TEENS = (
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
)
TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")

_DIGIT = {word: value for value, word in enumerate(DIGITS)} | {"oh": 0, "niner": 9}
_TEEN = {word: value for value, word in enumerate(TEENS, start=10)}
_TENS = {word: value for value, word in zip(range(20, 100, 10), TENS, strict=True)}
NUMBER_WORDS = frozenset(
    {*_DIGIT, *_TEEN, *_TENS, *POINTS, *SIGNS, "hundred", "thousand", "and"}
)
_MOST_DECIMALS = 3

_Words = tuple[str, ...]


def parse_number(words: str) -> Decimal | None:
    """Give the number these words say, or None when they do not say just a number."""
    said = tokens(words)
    negative = said[:1] != () and said[0] in SIGNS
    if negative:
        said = said[1:]
    places = [at for at, word in enumerate(said) if word in POINTS]
    if len(places) > 1:
        return None
    value = _decimal(said, places[0]) if places else _whole(said)
    if value is None:
        return None
    return -value if negative and value else value


def _decimal(said: _Words, at: int) -> Decimal | None:
    whole = _whole(said[:at]) if at else Decimal(0)
    places = [_DIGIT.get(word) for word in said[at + 1 :]]
    if whole is None or None in places or not 1 <= len(places) <= _MOST_DECIMALS:
        return None
    return whole + Decimal("0." + "".join(str(place) for place in places))


def _whole(said: _Words) -> Decimal | None:
    for read in (_by_digits, _in_full, _in_pairs):
        value = read(said)
        if value is not None:
            return Decimal(value)
    return None


def _by_digits(said: _Words) -> int | None:
    digits = [_DIGIT.get(word) for word in said]
    if None in digits or not 1 <= len(digits) <= 4:
        return None
    return int("".join(str(digit) for digit in digits))


def _below_hundred(said: _Words) -> int | None:
    """Read 1 to 99 as one number; "twenty five" but not "two five"."""
    match said:
        case (word,):
            value = _DIGIT.get(word) or _TEEN.get(word) or _TENS.get(word)
            return value or None
        case (ten, unit) if ten in _TENS and _DIGIT.get(unit):
            return _TENS[ten] + _DIGIT[unit]
    return None


def _count(said: _Words) -> int | None:
    return 1 if said == ("a",) else _below_hundred(said)


def _rest(said: _Words) -> int | None:
    """Read what may follow "hundred" or "thousand": nothing, or [and] 1 to 99."""
    if not said:
        return 0
    return _below_hundred(said[1:] if said[0] == "and" else said)


def _in_full(said: _Words) -> int | None:
    if "thousand" in said:
        at = said.index("thousand")
        count, rest = _count(said[:at]), _hundreds(said[at + 1 :], most=9)
        if rest is None:
            rest = _rest(said[at + 1 :])
        if count is None or count > 9 or rest is None:
            return None
        return 1000 * count + rest
    if "hundred" in said:
        return _hundreds(said, most=99)
    return _below_hundred(said)


def _hundreds(said: _Words, most: int) -> int | None:
    if "hundred" not in said:
        return None
    at = said.index("hundred")
    count, rest = _count(said[:at]), _rest(said[at + 1 :])
    if count is None or rest is None or count > most:
        return None
    if count > 9 and count % 10 == 0:  # "ten hundred", "twenty hundred": nobody's form
        return None
    return 100 * count + rest


def _in_pairs(said: _Words) -> int | None:
    for cut in (1, 2):
        head, tail = _below_hundred(said[:cut]), said[cut:]
        if head is None:
            continue
        if len(tail) == 2 and tail[0] in ZEROS and _DIGIT.get(tail[1]):
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


def _digits(text: str, zero: str = "zero", nine: str = "nine") -> str:
    words = (*DIGITS[:9], nine)
    return " ".join(zero if figure == "0" else words[int(figure)] for figure in text)


def digits_spoken(value: Decimal) -> str:
    """Give the read-back of a number, digit by digit: "negative six two decimal five".

    Raises
    ------
    ValueError
        If the number is beyond :data:`LIMIT` or has more than three decimals.
    """
    plain = _check(value)
    whole, _, places = f"{abs(plain):f}".partition(".")
    spoken = _digits(whole) + (f" decimal {_digits(places)}" if places else "")
    return f"negative {spoken}" if plain < 0 else spoken


def number_forms(value: Decimal) -> tuple[str, ...]:
    """Give every form a speaker may use for a number; each parses back to it.

    Raises
    ------
    ValueError
        If the number is beyond :data:`LIMIT` or has more than three decimals.
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
    forms = [*_full_forms(value), *_pair_forms(value)]
    forms += [
        _digits(str(value), zero, nine) for zero in ZEROS for nine in ("nine", "niner")
    ]
    return tuple(dict.fromkeys(forms))


def _small(value: int) -> str:
    if value < 10:
        return DIGITS[value]
    if value < 20:
        return TEENS[value - 10]
    tens, unit = divmod(value, 10)
    return TENS[tens - 2] + (f" {DIGITS[unit]}" if unit else "")


def _with_rest(head: str, rest: int) -> list[str]:
    if not rest:
        return [head]
    return [f"{head} {_small(rest)}", f"{head} and {_small(rest)}"]


def _full_forms(value: int) -> list[str]:
    if value < 100:
        return [_small(value)]
    hundreds, rest = divmod(value, 100)
    if value < 1000:
        return _with_rest(f"{_small(hundreds)} hundred", rest)
    thousands, below = divmod(value, 1000)
    head = f"{DIGITS[thousands]} thousand"
    if below < 100:
        forms = _with_rest(head, below)
    else:
        inner, _ = divmod(below, 100)
        forms = _with_rest(f"{head} {DIGITS[inner]} hundred", rest)
    if hundreds % 10:
        forms += _with_rest(f"{_small(hundreds)} hundred", rest)
    return forms


def _pair_forms(value: int) -> list[str]:
    head, tail = divmod(value, 100)
    if not head or not tail:
        return []
    if tail < 10:
        return [f"{_small(head)} {zero} {DIGITS[tail]}" for zero in ZEROS]
    return [f"{_small(head)} {_small(tail)}"]
