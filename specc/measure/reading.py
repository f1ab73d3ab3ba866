"""Quantities read from the text of a spec.

`parse` reads what people write on drawings and data plates: "1 1/2 in", "4 ft 6 in", "11 in w.c.",
"120 kBTU/h", "0.020 in ± 0.005 in". It never guesses. Where a text has two readings ("11/2 in", "0,5 in",
"120 MBTU/h") it gives a `BadQuantity` that says what to write instead.

The units and their factors are in `specc.measure.units`.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from specc.dims import DIMENSIONS
from specc.measure import units
from specc.measure.units import Unit
from specc.model.values import Quantity

LONGEST = 80  # characters; the longest honest quantity is about half of that


class BadQuantity(NamedTuple):
    """Why a value is no quantity, and what to write instead.

    `meant`: the one text that is likely meant; `by_example`: the fix shows only how such a quantity is written.
    """

    message: str
    fix: str
    meant: str = ""
    by_example: bool = False


# ---------------------------------------------------------------- reading

# An example of each dimension, for messages.
_EXAMPLES = {
    "length": "1/2 in",
    "area": "2 ft²",
    "volume": "5 gal",
    "mass": "20 lb",
    "amount_mass": "44.1 g/mol",
    "duration": "30 s",
    "age": "5 years",
    "temperature": "70 °F",
    "temperature_difference": "20 °F",
    "gauge_pressure": "30 psi",
    "absolute_pressure": "14.7 psia",
    "pressure_difference": "0.5 psi",
    "speed": "10 mph",
    "mass_flow": "15 lb/h",
    "volume_flow": "60 ft³/h",
    "power": "100 kBTU/h",
    "energy": "500 BTU",
    "specific_energy": "21,600 BTU/lb",
    "specific_heat": "0.6 BTU/(lb·°F)",
    "molar_heat": "74 J/(mol·K)",
    "molar_energy": "2000 kJ/mol",
    "density": "31 lb/ft³",
    "heat_flux": "5 kW/m²",
    "thermal_dose": "92 TDU",
    "force": "50 lbf",
    "ratio": "15 %",
    "count": "4",
    "angle": "45°",
    "voltage": "12 V",
    "current": "2 A",
    "resistance": "14 ohm",
    "resistivity": "1.7e-8 Ω·m",
    "inductance": "50 mH",
    "charge": "18 Ah",
    "electric_power": "10 W",
    "moment": "120 lbf·ft",
}

# The least value each dimension can have, in SI. Which signs a field takes is otherwise the schema's say.
_FLOORS = dict.fromkeys(
    ("length", "area", "volume", "mass", "amount_mass", "duration", "age", "temperature", "absolute_pressure"), 0.0
) | {"density": 0.0, "count": 0.0, "thermal_dose": 0.0}
# A gauge in a full vacuum shows minus the pressure of the air, which is nowhere above 110 kPa.
_FLOORS["gauge_pressure"] = -110e3

# The least size but zero, and the greatest, that each dimension's values have in SI. No device comes near to either;
# beyond them the equations lose their digits or overflow. Whether a value is sensible is for the rules to say.
_SIZES = {
    "length": (1e-8, 1e7),
    "area": (1e-15, 1e12),
    "volume": (1e-12, 1e9),
    "mass": (1e-9, 1e9),
    "amount_mass": (1e-4, 10.0),
    "duration": (1e-6, 31 * 86400.0),
    "age": (1.0, 1000 * units.YEAR),
    "temperature": (1e-3, 1e4),
    "temperature_difference": (1e-6, 1e4),
    "gauge_pressure": (1e-6, 1e9),
    "absolute_pressure": (1e-6, 1e9),
    "pressure_difference": (1e-6, 1e9),
    "speed": (1e-6, 1e5),
    "mass_flow": (1e-12, 1e5),
    "volume_flow": (1e-12, 1e5),
    "power": (1e-6, 1e12),
    "energy": (1e-9, 1e15),
    "specific_energy": (1e-3, 1e10),
    "specific_heat": (1e-3, 1e7),
    "molar_heat": (1e-3, 1e7),
    "molar_energy": (1e-3, 1e9),
    "density": (1e-6, 1e6),
    "heat_flux": (1e-6, 1e10),
    "force": (1e-9, 1e10),
    "ratio": (1e-9, 1e9),
    "count": (1.0, 1e7),
    "angle": (1e-9, 1e4),
    "voltage": (1e-9, 1e7),
    "current": (1e-12, 1e7),
    "resistance": (1e-12, 1e15),
    "resistivity": (1e-12, 1e20),
    "inductance": (1e-15, 1e6),
    "charge": (1e-15, 1e10),
    "electric_power": (1e-12, 1e12),
    "moment": (1e-9, 1e10),
    "thermal_dose": (1e-6, 1e15),
}

# The unit in which the greatest of a dimension's values is told, where that is not its SI unit.
_LARGE = {"duration": "d", "age": "yr"}

# Units that may follow one another ("4 ft 6 in"), large to small.
_CHAINS = {"length": ("yd", "ft", "in"), "mass": ("lb", "oz"), "duration": ("d", "h", "min", "s")}

# In what dimension a tolerance may be given, beside the value's own.
_TOLERANCE_DIM = {
    "temperature": "temperature_difference",
    "gauge_pressure": "pressure_difference",
    "absolute_pressure": "pressure_difference",
}

_VULGAR = {
    **{"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"},
    **{"⅓": "1/3", "⅔": "2/3", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6"},
}
_TYPED = str.maketrans(
    {
        **dict.fromkeys("\u00a0\u2007\u2009\u202f\u200a\t", " "),  # spaces that do not break, thin spaces
        **dict.fromkeys("−–‐‑", "-"),
        "⁄": "/",
        **{sign: f" {text}" for sign, text in _VULGAR.items()},
    }
)

# Only the digits 0 to 9: other scripts' digits are refused like any other letter.
_NUMBER = re.compile(
    r"""(?P<sign>[+-]?)\ *
    (?: (?: (?P<whole>[0-9]+) (?:\ +|\ *-\ *) )? (?P<over>[0-9]+)\ */\ *(?P<under>[0-9]+)
      | (?P<plain> (?: [1-9][0-9]{0,2}(?:,[0-9]{3})+ | [0-9]+ ) (?:\.[0-9]*)? (?:[eE][+-]?[0-9]+)?
                 | \.[0-9]+ (?:[eE][+-]?[0-9]+)? )
    ) (?![0-9.,])""",
    re.VERBOSE,
)
_CHAINED_UNIT = re.compile(r" *([^0-9 ,+-][^0-9,+-]*?) *(?:, *|- *|and )?(?=[0-9.]|$)")
_DECIMAL_COMMA = re.compile(r"[0-9],[0-9]")
_BOTH_WAYS = re.compile(r"(.+?) *(?:±|\+ *(?:/ *)?-) *(.+)")
_EACH_WAY = re.compile(r"(.+?) *(?<![eE])\+ *([0-9.][^+-]*?) *[/,]? *- *([0-9.][^+]*)")
_MORE_NUMBERS = re.compile(r"(?:^|[ *+/-])[0-9]")
_RANGE = re.compile(r"[+-]?[0-9.,]+[^0-9]*?(?:-|\bto\b|\.\.) *[0-9]")


class _Number(NamedTuple):
    value: float
    sign: str
    end: int


class _Value(NamedTuple):
    si: float
    unit: Unit | None  # None: a plain number


def parse(value: object, dim: str, at: str = "", *, signed: bool = False) -> Quantity | BadQuantity:
    """Read what YAML gave as a quantity of dimension `dim`, in SI, or say why not.

    `at` is the JSON pointer to remember. `signed` lets through negative values that the dimension does
    not have by itself, for coordinates and heights (a length that counts from a point). Raises KeyError
    for a dimension that does not exist; never raises for a bad value.

    >>> parse("1 1/2 in", "length").si
    0.0381
    >>> parse(30, "gauge_pressure").fix
    'write a unit, for example "30 psi" or "30 in w.c."'
    """
    wanted = DIMENSIONS[dim]
    if isinstance(value, str):
        if len(value) > LONGEST:
            return _by_example(f"a text of {len(value)} characters is no quantity", dim)
        read = _read(value, dim, signed)
    elif isinstance(value, bool) or value is None:
        said = "nothing is written" if value is None else f"{str(value).lower()} is no quantity"
        return _by_example(f"{said}; {wanted.words} is wanted", dim)
    elif isinstance(value, int | float):
        # Compared before it is printed: Python refuses to print an integer of thousands of digits.
        if not -1e15 <= value <= 1e15:
            return _by_example("the number is out of all bounds", dim)
        read = _read(str(value), dim, signed)
    else:
        return _by_example(f"a list or a mapping stands where {wanted.words} is wanted", dim)
    return read._replace(at=at) if at and isinstance(read, Quantity) else read


def example_of(dim: str) -> str:
    """A quantity of a dimension, as one would type it."""
    return _EXAMPLES[dim]


def _by_example(message: str, dim: str) -> BadQuantity:
    return BadQuantity(message, f'for example "{_EXAMPLES[dim]}"', by_example=True)


def _quoted(text: str) -> str:
    """A piece of the user's text, safe and short enough for a message."""
    shown = "".join(c if c.isprintable() else "?" for c in text)
    return f'"{shown[:37]}..."' if len(shown) > 40 else f'"{shown}"'


@lru_cache(maxsize=4096)
def _read(text: str, dim: str, signed: bool) -> Quantity | BadQuantity:
    typed = re.sub(" +", " ", text.translate(_TYPED)).strip()
    if not typed:
        return _by_example(f"nothing is written; {DIMENSIONS[dim].words} is wanted", dim)
    if not typed.isprintable():
        return _by_example(f"{_quoted(text)} has characters that do not print", dim)

    low = high = ""
    if found := _BOTH_WAYS.fullmatch(typed):
        typed, low = found.groups()
        high = low
    elif found := _EACH_WAY.fullmatch(typed):
        typed, high, low = found.groups()
        if not _unit_text(high):
            high = f"{high} {_unit_text(low)}".strip()

    if low and dim == "ratio" and not _unit_text(typed) and (_in_percent(low) or _in_percent(high)):
        # 0.8 with one hundredth of it, or 0.8 % with one more or less: a factor of a hundred lies between them.
        return BadQuantity(
            f"{_quoted(text)} may be {typed} or {typed} %; one is a hundred times the other",
            f'write "{typed} %" with that tolerance, or both as decimals, for example "0.8 ± 0.008"',
            by_example=True,
        )
    value = _value(typed, dim, _unit_text(low))
    if isinstance(value, BadQuantity):
        return value
    minus = plus = 0.0
    if low:
        ends = [_tolerance(t, dim, value) for t in (low, high)]
        for end in ends:
            if isinstance(end, BadQuantity):
                return end
        minus, plus = (e for e in ends if not isinstance(e, BadQuantity))
    if trouble := _bounds(typed, dim, value.si, minus, plus, signed):
        return trouble
    return Quantity(value.si, dim, text.strip(), "", minus, plus)


def _number(text: str, start: int = 0) -> _Number | BadQuantity | None:
    """The number at `start`, or None where there is none."""
    found = _NUMBER.match(text, start)
    if not found:
        return None
    sign = found["sign"]
    if found["plain"]:
        value = float(found["plain"].replace(",", ""))
    else:
        over, under = int(found["over"]), int(found["under"])
        if over >= under:
            # "11/2" may be a slip for "1 1/2", so it is not read as 5.5.
            whole, left = divmod(over, under) if under else (0, 0)
            fix = f'write "{whole} {left}/{under}" or a decimal' if left else "write a decimal"
            return BadQuantity(f"{over}/{under} is not a fraction below one", fix)
        value = int(found["whole"] or 0) + over / under
    return _Number(-value if sign == "-" else value, sign, found.end())


def _unit_text(text: str) -> str:
    """What follows the number."""
    number = _number(text)
    return text[number.end :].strip() if isinstance(number, _Number) else ""


def _in_percent(text: str) -> bool:
    return units.find(_unit_text(text), "ratio") is units.known("ratio")["%"]


def _value(text: str, dim: str, fallback: str) -> _Value | BadQuantity:
    """A number with its unit, or several ("4 ft 6 in"). `fallback` is the tolerance's unit."""
    number = _number(text)
    if isinstance(number, BadQuantity):
        return number
    if number is None:
        return _no_number(text, dim)
    if not math.isfinite(number.value):
        return _by_example(f"{_quoted(text)} is not a finite number", dim)
    unit_text = text[number.end :].strip() or fallback
    if not unit_text:
        if dim in ("ratio", "count"):
            return _Value(number.value, None)
        ways = " or ".join(f'"{text} {u}"' for u in DIMENSIONS[dim].likely[:2])
        return BadQuantity(
            f"{_quoted(text)} has no unit; {DIMENSIONS[dim].words} is wanted",
            f"write a unit, for example {ways}",
            by_example=True,
        )
    unit = units.find(unit_text, dim)
    if unit is not None:
        return _Value((number.value + unit.shift) * unit.factor, unit)
    if dim in _CHAINS and (chain := _chain(text, dim)) is not None:
        return chain
    if _RANGE.match(text):
        return _by_example(f"{_quoted(text)} looks like a range; one value is wanted", dim)
    if _MORE_NUMBERS.search(unit_text):
        return _by_example(f"{_quoted(text)} does not read as one number with one unit", dim)
    return _wrong_unit(text[: number.end].strip(), unit_text, dim)


def _chain(text: str, dim: str) -> _Value | BadQuantity | None:
    """ "4 ft 6 in", "2 h 30 min", "1 lb 4 oz"; None if the text is not of that form."""
    parts: list[tuple[_Number, Unit]] = []
    place = 0
    while place < len(text):
        number = _number(text, place)
        if isinstance(number, BadQuantity):
            return number
        found = _CHAINED_UNIT.match(text, number.end) if number else None
        unit = units.find(found[1], dim) if found else None
        if number is None or found is None or unit is None or unit.name not in _CHAINS[dim]:
            return None
        parts.append((number, unit))
        place = found.end()
    for (before, large), (number, small) in pairwise(parts):
        if number.sign or small.factor >= large.factor or before.value != int(before.value):
            return _by_example(f"{_quoted(text)} does not go from large to small, in whole {large.name}", dim)
        if number.value * small.factor >= large.factor:
            return BadQuantity(
                f"{_quoted(text)} has {number.value:g} {small.name}, which makes 1 {large.name} or more",
                f'write all of it in "{small.name}", or fewer of them',
            )
    si = sum(abs(n.value) * u.factor for n, u in parts)
    return _Value(-si if parts[0][0].sign == "-" else si, parts[-1][1])


def _tolerance(text: str, dim: str, value: _Value) -> float | BadQuantity:
    """A tolerance in SI, >= 0. Without a unit it has the value's; in percent it is a part of the value."""
    number = _number(text)
    if isinstance(number, BadQuantity):
        return number
    if number is None or number.sign or not math.isfinite(number.value):
        return BadQuantity(
            f"{_quoted(text)} does not read as a tolerance", 'for example "0.5 in ± 0.01 in"', by_example=True
        )
    unit_text = text[number.end :].strip()
    if dim == "count":
        return _by_example("a count has no tolerance", dim)
    if not unit_text:
        return number.value * (value.unit.factor if value.unit else 1.0)
    unit = units.find(unit_text, dim) or units.find(unit_text, _TOLERANCE_DIM.get(dim, dim))
    if unit is not None:
        return number.value * unit.factor
    if units.find(unit_text, "ratio") is units.known("ratio")["%"] and dim != "temperature":
        return number.value / 100 * abs(value.si)
    return _wrong_unit(text[: number.end].strip(), unit_text, dim)


def _bounds(text: str, dim: str, si: float, minus: float, plus: float, signed: bool) -> BadQuantity | None:
    words = DIMENSIONS[dim].words
    if not all(map(math.isfinite, (si, minus, plus))):
        return _by_example(f"{_quoted(text)} is not a finite number", dim)
    if dim == "count" and (si != int(si) or si > 1e15):
        return _by_example(f"{_quoted(text)} is not a whole number; a count is wanted", dim)
    least, most = _SIZES[dim]
    if abs(si) > most or 0 < abs(si) < least or max(minus, plus) > 2 * most:
        from specc.measure.printing import show  # which reads nothing, and is not needed for what reads well

        # An absolute pressure has no bare Pa: which pressure is meant is never left open.
        unit = DIMENSIONS[dim].si if units.find(DIMENSIONS[dim].si, dim) else DIMENSIONS[dim].us
        large = units.find(_LARGE.get(dim, ""), dim)
        ends = (
            show(least, dim, unit, 7),
            f"{most / large.factor:,g} {large.name}" if large else show(most, dim, unit, 7),
        )
        return BadQuantity(f"{_quoted(text)} is out of all bounds for {words}", "write one from {} to {}".format(*ends))
    floor = _FLOORS.get(dim, -math.inf)
    # A hair's breadth is left for rounding, so that -459.67 °F is absolute zero.
    if signed or si - minus >= floor - 1e-9:
        return None
    if dim == "temperature":
        said = "is below absolute zero"
    elif dim == "gauge_pressure":
        said = "is lower than a full vacuum"
    else:
        said = f"is less than zero; {words} never is"
    with_tolerance = " with its tolerance" if si >= floor else ""
    return _by_example(f"{_quoted(text)}{with_tolerance} {said}", dim)


def _no_number(text: str, dim: str) -> BadQuantity:
    if _DECIMAL_COMMA.search(text):
        return BadQuantity(
            f"the comma in {_quoted(text)} does not part thousands in groups of three",
            f'write a decimal with a point: "{text.replace(",", ".")}"'
            if text.count(",") == 1 and "." not in text
            else "write decimals with a point, and thousands without commas",
        )
    return _by_example(
        f"{_quoted(text)} does not read as a number with a unit; {DIMENSIONS[dim].words} is wanted",
        dim,
    )


def _wrong_unit(number: str, said: str, dim: str) -> BadQuantity:
    """Explain a unit that does not fit."""
    words = DIMENSIONS[dim].words
    key = units.key_of(said).lower()
    if dim == "count":
        return _by_example(f"{_quoted(said)} follows the number; a count has no unit", dim)
    if key.split("/")[0] in ("mbtu", "mbtuh"):
        # Thousand in the old trade's reading (Roman M), million in SI's.
        end = "/h" if dim == "power" else ""
        return BadQuantity(
            f"{_quoted(said)} is a thousand BTU to some and a million to others",
            f'write "{number} kBTU{end}" or "{number} MMBTU{end}"',
        )
    if key.startswith("scf"):
        return BadQuantity(
            "a standard cubic foot depends on whose standard temperature and pressure are meant",
            "write a mass or a heat, such as lb/h or BTU/h, or cubic feet at the flowing conditions",
        )
    if dim == "volume" and units.find(said, "mass") is not None and key == "oz":
        return BadQuantity("oz is a mass; a volume is wanted", f'write "{number} fl oz"')

    owner = next((d for d in DIMENSIONS if units.find(said, d) is not None), None)
    if owner is None:
        return _unknown_unit(number, said, dim)
    if dim == "gauge_pressure" and owner == "absolute_pressure":
        return BadQuantity(
            f"{said} is an absolute pressure, counted from vacuum; a gauge pressure is wanted, counted from "
            "the air outside",
            'write what the gauge shows, for example "30 psi"',
            by_example=True,
        )
    if dim == "absolute_pressure" and owner == "gauge_pressure":
        meant = units.find(said, owner)
        absolute = f"{meant.name} abs" if meant and meant.name != "psig" else "psia"
        return BadQuantity(
            f"{said} means a gauge pressure; an absolute pressure is wanted, counted from vacuum",
            f'if the number counts from vacuum, write "{number} {absolute}"',
        )
    return _by_example(f"{said} is {DIMENSIONS[owner].words}; {words} is wanted", dim)


def _unknown_unit(number: str, said: str, dim: str) -> BadQuantity:
    import difflib  # only here: it takes time to import, and most specs never come this way

    spellings = {s.lower(): s for u in units.UNITS if u.dim == dim for s in (*u.also, u.name)}
    spellings |= {word: meant for word, meant in units.WORDS.items() if units.find(meant, dim)}
    near = difflib.get_close_matches(said.lower(), spellings, n=1)
    all_of = [u.name for u in units.UNITS if u.dim == dim]
    likely = ", ".join(u for u in DIMENSIONS[dim].likely if u != "no unit")
    message = f"{_quoted(said)} is not a unit for {DIMENSIONS[dim].words}"
    if near:
        meant = f"{number} {spellings[near[0]]}"
        return BadQuantity(message, f'did you mean "{meant}"?', meant)
    return BadQuantity(message, "known are " + (", ".join(all_of) if len(all_of) <= 8 else f"{likely} and others"))
