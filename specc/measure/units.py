"""The units of measure: one table, with factors to SI and where they come from.

Source: NIST Special Publication 811 (2008), Guide for the Use of the International System of Units,
Appendix B. That document marks some factors as exact; those stand here, and every other factor is worked
out from them, so that none is rounded. Known from reprints of its tables (for this tool, not read in the
document itself) and, in the tests, compared with the unit tables of pint. Two choices:

- The BTU is the International Table one, 1055.05585262 J exactly (1 BTU/lb = 2326 J/kg, 1 BTU/(lb·°F) =
  4186.8 J/(kg·K)), not the thermochemical one (1054.350 J).
- The inch of water column is the conventional one, 249.08891 Pa (25.4 times the 9.80665 Pa of the
  conventional millimeter). Gas codes round 1 psi to 27.7 in w.c.; this makes it 27.68.

A thermal dose is heat flux to the power 4/3, times time. Its unit, (kW/m²)^(4/3)·s, is called a thermal dose unit
(TDU) in the literature on burns (HSL/2004/04, seen in a summary of it, not in the document itself).
"""

from __future__ import annotations

import math
import re
from functools import cache
from typing import NamedTuple


class Unit(NamedTuple):
    """SI value = (number + `shift`) * `factor`. `name` is what gets printed.

    `other` is the unit of the other system (US customary or metric) to print beside it, "" when one unit
    does for both. `also` are other spellings that `key_of` does not bring down to `name` by itself.
    """

    dim: str
    name: str
    factor: float
    other: str = ""
    us: bool = False
    shift: float = 0.0
    also: tuple[str, ...] = ()


# Exact in SP 811 (the psi, the gallon and what follows are worked out from these).
INCH = 0.0254  # m
FOOT = 0.3048  # m
MILE = 1609.344  # m
POUND = 0.45359237  # kg
OUNCE = POUND / 16
GALLON = 231 * INCH**3  # m³, the US liquid gallon
LITER = 1e-3  # m³
GRAVITY = 9.80665  # m/s²
BTU = 1055.05585262  # J, International Table
HOUR = 3600.0  # s
YEAR = 365.25 * 24 * HOUR  # s
POUND_FORCE = POUND * GRAVITY  # N
PSI = POUND_FORCE / INCH**2  # Pa
WATER_MM = 9.80665  # Pa, conventional millimeter of water
# SP 811: inch of mercury, conventional, 3.386 389 E+03 Pa; millimeter, 1.333 224 E+02 Pa. The conventional
# density of mercury is 13 595.1 kg/m³.
MERCURY_MM = 13.5951 * WATER_MM
ATMOSPHERE = 101_325.0  # Pa

# name, Pa, unit of the other system, US or not, other spellings
_PRESSURES: tuple[tuple[str, float, str, bool, tuple[str, ...]], ...] = (
    ("psi", PSI, "kPa", True, ("lbf/in2", "lb/in2")),
    ("in w.c.", 25.4 * WATER_MM, "kPa", True, ("in wc", "inH2O", "in H2O", "inwc", "iwc")),
    ("oz/in²", PSI / 16, "kPa", True, ("osi",)),
    ("inHg", 25.4 * MERCURY_MM, "kPa", True, ("in Hg",)),
    ("Pa", 1.0, "psi", False, ()),
    ("hPa", 100.0, "psi", False, ()),
    ("kPa", 1e3, "psi", False, ()),
    ("MPa", 1e6, "psi", False, ()),
    ("mbar", 100.0, "psi", False, ()),
    ("bar", 1e5, "psi", False, ()),
    ("mmH2O", WATER_MM, "psi", False, ("mm wc", "mm H2O")),
    ("mmHg", MERCURY_MM, "psi", False, ("mm Hg",)),
)


def _gauge() -> tuple[Unit, ...]:
    """Gauge: what the trade means by plain psi, in w.c., kPa or bar; psi is printed psig."""
    made = []
    for name, factor, other, us, also in _PRESSURES:
        names = (name, *also)
        spoken = (*also, *(f"{n} gauge" for n in names), *([f"{name}g"] if name.isalpha() else []))
        if name == "psi":
            made.append(Unit("gauge_pressure", "psig", factor, other, us, also=("psi", *spoken)))
        else:
            made.append(Unit("gauge_pressure", name, factor, other.replace("psi", "psig"), us, also=spoken))
    return tuple(made)


def _absolute() -> tuple[Unit, ...]:
    made = []
    for name, factor, _, us, also in _PRESSURES:
        spoken = tuple(f"{n} abs" for n in also)
        if name == "psi":
            spoken = ("psi abs", *spoken)
            made.append(Unit("absolute_pressure", "psia", factor, "kPa abs", True, also=spoken))
        else:
            other_abs = "kPa abs" if us else "psia"
            spoken = (*spoken, f"{name}a") if name.isalpha() else spoken
            made.append(Unit("absolute_pressure", f"{name} abs", factor, other_abs, us, also=spoken))
    made.append(Unit("absolute_pressure", "atm", ATMOSPHERE, "psia"))
    return tuple(made)


_METRIC = (
    # dimension, name, factor, US unit to print beside it, other spellings
    Unit("length", "m", 1.0, "ft", also=("metre", "metres", "meter", "meters")),
    Unit("length", "cm", 1e-2, "in"),
    Unit("length", "mm", 1e-3, "in", also=("millimetre", "millimetres", "millimeter", "millimeters")),
    Unit("length", "km", 1e3, "mi"),
    Unit("area", "m²", 1.0, "ft²"),
    Unit("area", "cm²", 1e-4, "in²"),
    Unit("area", "mm²", 1e-6, "in²"),
    Unit("volume", "m³", 1.0, "ft³"),
    Unit("volume", "L", LITER, "gal"),
    Unit("volume", "mL", 1e-6, "fl oz"),
    Unit("volume", "cm³", 1e-6, "in³", also=("cc",)),
    Unit("volume", "mm³", 1e-9, "in³"),
    Unit("mass", "kg", 1.0, "lb"),
    Unit("mass", "g", 1e-3, "oz"),
    Unit("mass", "mg", 1e-6, "oz"),
    Unit("speed", "m/s", 1.0, "mph"),
    Unit("speed", "km/h", 1e3 / HOUR, "mph", also=("kph", "kmh")),
    Unit("mass_flow", "kg/s", 1.0, "lb/h"),
    Unit("mass_flow", "g/s", 1e-3, "lb/h"),
    Unit("mass_flow", "kg/min", 1 / 60, "lb/min"),
    Unit("mass_flow", "g/min", 1e-3 / 60, "lb/h"),
    Unit("mass_flow", "kg/h", 1 / HOUR, "lb/h"),
    Unit("mass_flow", "g/h", 1e-3 / HOUR, "lb/h"),
    Unit("volume_flow", "m³/s", 1.0, "ft³/h"),
    Unit("volume_flow", "m³/h", 1 / HOUR, "ft³/h"),
    Unit("volume_flow", "L/s", LITER, "ft³/h"),
    Unit("volume_flow", "L/min", LITER / 60, "gpm"),
    Unit("volume_flow", "L/h", LITER / HOUR, "ft³/h"),
    Unit("power", "W", 1.0, "BTU/h"),
    Unit("power", "mW", 1e-3, "BTU/h"),
    Unit("power", "kW", 1e3, "BTU/h"),
    Unit("power", "MW", 1e6, "MMBTU/h"),
    Unit("energy", "J", 1.0, "BTU"),
    Unit("energy", "mJ", 1e-3, "BTU"),
    Unit("energy", "kJ", 1e3, "BTU"),
    Unit("energy", "MJ", 1e6, "BTU"),
    Unit("energy", "GJ", 1e9, "MMBTU"),
    Unit("energy", "Wh", HOUR, "BTU"),
    Unit("energy", "kWh", 1e3 * HOUR, "BTU"),
    Unit("specific_energy", "J/kg", 1.0, "BTU/lb"),
    Unit("specific_energy", "kJ/kg", 1e3, "BTU/lb", also=("J/g",)),
    Unit("specific_energy", "MJ/kg", 1e6, "BTU/lb"),
    Unit("specific_heat", "J/(kg·K)", 1.0, "BTU/(lb·°F)", also=("J/(kg °C)",)),
    Unit("specific_heat", "kJ/(kg·K)", 1e3, "BTU/(lb·°F)", also=("kJ/(kg °C)", "J/(g K)")),
    Unit("density", "kg/m³", 1.0, "lb/ft³"),
    Unit("density", "g/cm³", 1e3, "lb/ft³"),
    Unit("density", "kg/L", 1e3, "lb/gal"),
    Unit("density", "g/L", 1.0, "lb/ft³"),
    Unit("heat_flux", "W/m²", 1.0, "BTU/(h·ft²)"),
    Unit("heat_flux", "kW/m²", 1e3, "BTU/(h·ft²)"),
    Unit("force", "N", 1.0, "lbf"),
    Unit("force", "kN", 1e3, "lbf"),
    Unit("moment", "N·m", 1.0, "lbf·ft"),
    Unit("temperature", "K", 1.0, "°F"),
    Unit("temperature", "°C", 1.0, "°F", shift=273.15),
    Unit("temperature_difference", "K", 1.0, "°F"),
    Unit("temperature_difference", "°C", 1.0, "°F"),
)

_US = (
    # dimension, name, factor, metric unit to print beside it, other spellings
    Unit("length", "in", INCH, "mm", True),
    Unit("length", "ft", FOOT, "m", True),
    Unit("length", "yd", 3 * FOOT, "m", True, also=("yard", "yards")),
    Unit("length", "mi", MILE, "km", True, also=("mile", "miles")),
    Unit("length", "mil", INCH / 1000, "mm", True, also=("mils",)),
    Unit("area", "in²", INCH**2, "mm²", True),
    Unit("area", "ft²", FOOT**2, "m²", True),
    Unit("volume", "gal", GALLON, "L", True),
    Unit("volume", "qt", GALLON / 4, "L", True, also=("quart", "quarts")),
    Unit("volume", "pt", GALLON / 8, "L", True, also=("pint", "pints")),
    Unit("volume", "fl oz", GALLON / 128, "mL", True),
    Unit("volume", "ft³", FOOT**3, "m³", True),
    Unit("volume", "in³", INCH**3, "cm³", True),
    Unit("mass", "lb", POUND, "kg", True, also=("lbm",)),
    Unit("mass", "oz", OUNCE, "g", True),
    Unit("speed", "mph", MILE / HOUR, "m/s", True, also=("mi/h", "MPH")),
    Unit("speed", "ft/s", FOOT, "m/s", True, also=("fps",)),
    Unit("speed", "ft/min", FOOT / 60, "m/s", True, also=("fpm",)),
    # SP 811: knot (nautical mile per hour), 1852 m exactly. Weather reports give wind so.
    Unit("speed", "kn", 1852 / HOUR, "m/s", True, also=("knot", "knots", "kt")),
    Unit("mass_flow", "lb/h", POUND / HOUR, "g/s", True, also=("pph",)),
    Unit("mass_flow", "lb/min", POUND / 60, "g/s", True),
    Unit("mass_flow", "lb/s", POUND, "kg/s", True),
    Unit("mass_flow", "oz/h", OUNCE / HOUR, "g/s", True),
    Unit("mass_flow", "oz/min", OUNCE / 60, "g/s", True),
    Unit("volume_flow", "ft³/h", FOOT**3 / HOUR, "m³/h", True, also=("cfh",)),
    Unit("volume_flow", "ft³/min", FOOT**3 / 60, "m³/h", True, also=("cfm",)),
    Unit("volume_flow", "ft³/s", FOOT**3, "m³/s", True, also=("cfs",)),
    Unit("volume_flow", "gpm", GALLON / 60, "L/min", True, also=("gal/min",)),
    Unit("volume_flow", "gal/h", GALLON / HOUR, "L/h", True, also=("gph",)),
    Unit("power", "BTU/h", BTU / HOUR, "kW", True, also=("BTUh",)),
    Unit("power", "kBTU/h", 1e3 * BTU / HOUR, "kW", True, also=("MBH", "kBTUh")),
    Unit("power", "MMBTU/h", 1e6 * BTU / HOUR, "kW", True),
    Unit("power", "BTU/min", BTU / 60, "kW", True),
    Unit("power", "BTU/s", BTU, "kW", True),
    Unit("energy", "BTU", BTU, "MJ", True),
    Unit("energy", "kBTU", 1e3 * BTU, "MJ", True),
    Unit("energy", "MMBTU", 1e6 * BTU, "MJ", True),
    Unit("specific_energy", "BTU/lb", BTU / POUND, "MJ/kg", True),
    Unit("specific_heat", "BTU/(lb·°F)", BTU / (POUND / 1.8), "kJ/(kg·K)", True),
    Unit("density", "lb/ft³", POUND / FOOT**3, "kg/m³", True),
    Unit("density", "lb/gal", POUND / GALLON, "kg/m³", True),
    Unit("heat_flux", "BTU/(h·ft²)", BTU / (HOUR * FOOT**2), "kW/m²", True),
    # A weight at a scale reads pounds; as a force they are pounds-force.
    Unit("force", "lbf", POUND_FORCE, "N", True, also=("lb",)),
    Unit("moment", "lbf·ft", POUND_FORCE * FOOT, "N·m", True, also=("ft·lb", "ft·lbf", "lb·ft")),
    # Loads of wind and ground are told in pounds a square foot.
    Unit("pressure_difference", "lbf/ft²", POUND_FORCE / FOOT**2, "kPa", True, also=("psf", "lb/ft²")),
    # SP 811, B.8: kelvin = (degree Fahrenheit + 459.67) / 1.8.
    Unit("temperature", "°F", 1 / 1.8, "°C", True, shift=459.67),
    Unit("temperature_difference", "°F", 1 / 1.8, "°C", True),
)

_BOTH = (
    Unit("duration", "s", 1.0),
    Unit("duration", "ms", 1e-3, also=("msec",)),
    Unit("duration", "min", 60.0, also=("MIN",)),
    Unit("duration", "h", HOUR),
    Unit("duration", "d", 24 * HOUR),
    # The Julian year of 365.25 days (IAU, from memory), and a twelfth of it.
    Unit("age", "yr", YEAR, also=("y", "year", "years")),
    Unit("age", "mo", YEAR / 12, also=("month", "months")),
    Unit("age", "wk", 7 * 24 * HOUR, also=("week", "weeks")),
    Unit("age", "d", 24 * HOUR),
    Unit("age", "s", 1.0),
    Unit("amount_mass", "kg/mol", 1.0),
    Unit("amount_mass", "g/mol", 1e-3, also=("kg/kmol", "lb/lbmol")),
    Unit("molar_heat", "J/(mol·K)", 1.0, also=("kJ/(kmol K)",)),
    Unit("molar_energy", "J/mol", 1.0),
    Unit("molar_energy", "kJ/mol", 1e3),
    Unit("ratio", "%", 0.01, also=("percent", "pct")),
    Unit("ratio", "ppm", 1e-6),
    Unit("angle", "°", math.pi / 180, also=("deg", "degree", "degrees")),
    Unit("angle", "rad", 1.0, also=("radian", "radians")),
    Unit("voltage", "V", 1.0, also=("volt", "volts", "VDC", "VAC", "V DC", "V AC")),
    Unit("voltage", "mV", 1e-3),
    Unit("voltage", "kV", 1e3),
    Unit("current", "A", 1.0, also=("amp", "amps")),
    Unit("current", "mA", 1e-3),
    Unit("resistance", "Ω", 1.0, also=("ohm", "ohms", "R")),
    Unit("resistance", "mΩ", 1e-3, also=("mohm",)),
    Unit("resistance", "kΩ", 1e3, also=("kohm", "kohms")),
    Unit("thermal_dose", "(kW/m²)^(4/3)·s", 1e4, also=("TDU",)),
    Unit("thermal_dose", "(W/m²)^(4/3)·s", 1.0),
    Unit("resistivity", "Ω·m", 1.0),
    Unit("inductance", "H", 1.0),
    Unit("inductance", "mH", 1e-3),
    Unit("charge", "C", 1.0),
    Unit("charge", "Ah", HOUR, also=("A·h", "amp hours", "amp hour")),
    Unit("charge", "mAh", HOUR / 1000),
    Unit("electric_power", "W", 1.0),
    Unit("electric_power", "mW", 1e-3),
    Unit("electric_power", "kW", 1e3),
)

_DIFFERENCES = tuple(
    Unit("pressure_difference", name, factor, other, us, also=("psid", *also) if name == "psi" else also)
    for name, factor, other, us, also in _PRESSURES
)

UNITS: tuple[Unit, ...] = _US + _METRIC + _BOTH + _gauge() + _absolute() + _DIFFERENCES

# Words inside a unit that mean the same: "BTU/hr", "lbs/hour" and their like. A word is looked up as it
# stands and then in small letters.
WORDS: dict[str, str] = {
    word: meant
    for meant, words in {
        "in": '" inch inches',
        "ft": "' foot feet",
        "lb": "lbs pound pounds",
        "oz": "ounce ounces",
        "gal": "gals gallon gallons",
        "h": "hr hrs hour hours",
        "min": "mins minute minutes",
        "s": "sec secs second seconds",
        "d": "day days",
        "BTU": "btu btus",
        "kBTU": "kbtu",
        "MMBTU": "mmbtu",
        "°F": "F f degf ℉",
        "°C": "C c degc ℃",
        "K": "degk kelvin",
        "L": "l litre litres liter liters",
        "kg": "kilogram kilograms",
        "g": "gram grams",
        "abs": "absolute",
        "gauge": "gage",
        "wc": "WC wg WG",
        "W": "watt watts",
    }.items()
    for word in words.split()
}

_SIGNS = str.maketrans(
    {
        **{"²": "2", "³": "3", "^": "", ".": "", "º": "°", "℉": "°F", "℃": "°C"},
        **dict.fromkeys("·⋅∙×*-", " "),
        **dict.fromkeys("′’‘", "'"),
        **dict.fromkeys("″”“", '"'),
    }
)
_POWERS = re.compile(r"\b(cu|cubic|sq|square) ?([A-Za-z]+)")
_PER = re.compile(r" per ")
_WORD = re.compile(r"(.+?)([23]?)")


def _word(text: str) -> str:
    found = _WORD.fullmatch(text)
    stem, power = found.groups() if found else (text, "")
    return (WORDS.get(stem) or WORDS.get(stem.lower(), stem)) + power


def key_of(text: str) -> str:
    """One spelling for the many ways to write a unit: "BTU/(hr·ft^2)" and "Btu/h/sq ft" give "BTU/h ft2"."""
    text = _PER.sub("/", text.translate(_SIGNS))
    text = _POWERS.sub(lambda m: m[2] + ("3" if m[1].startswith("cu") else "2"), text)
    above, *below = text.split("/")
    if len(below) == 1 and below[0].strip().startswith("(") and below[0].strip().endswith(")"):
        below = [below[0].strip()[1:-1]]
    key = " ".join(map(_word, above.split()))
    if below:
        key += "/" + " ".join(_word(w) for part in below for w in part.split())
    return key.replace("deg °", "°").replace("° °", "°")


@cache
def known(dim: str) -> dict[str, Unit]:
    """The units of a dimension by key, in the table's order. Do not change it."""
    found: dict[str, Unit] = {}
    for unit in UNITS:
        if unit.dim == dim:
            for spelling in (unit.name, *unit.also):
                found.setdefault(key_of(spelling), unit)
    return found


@cache
def _folded(dim: str) -> dict[str, tuple[str, Unit] | None]:
    """Keys in small letters; None where two units differ by their capitals alone (mW and MW)."""
    found: dict[str, tuple[str, Unit] | None] = {}
    for key, unit in known(dim).items():
        low = key.lower()
        found[low] = (key, unit) if low not in found or found[low] == (key, unit) else None
    return found


def find(text: str, dim: str) -> Unit | None:
    """The unit of dimension `dim` that `text` names, or None. Capitals matter only where they must.

    "PSI" is psi, but "mpa" is not MPa: a small m means a thousandth, a thousand million times less.
    """
    key = key_of(text)
    unit = known(dim).get(key)
    if unit is not None or not key:
        return unit
    other = _folded(dim).get(key.lower())
    if other is None or (key[0] in "mM" and key[0] != other[0][0]):
        return None
    return other[1]
