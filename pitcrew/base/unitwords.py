"""The ways in which people write a unit: signs, words, and two units side by side for a torque.

What is written here in small letters is read in any letters. Where letters matter (mm and Mm,
mohm and Mohm) only the table's own spelling counts.
"""

import re
from collections.abc import Container

ALIASES = {
    "°C": "degC",
    "°F": "degF",
    "°": "deg",
    "Ω": "ohm",
    "mΩ": "mohm",
    "mOhm": "mohm",
    "Ohm": "ohm",
    "Nm": "N*m",
    "N·m": "N*m",
    "in·lbf": "in*lbf",
    "in-lbf": "in*lbf",
    "in*lb": "in*lbf",
    "in-lb": "in*lbf",
    "ft-lbf": "ft*lbf",
    "ft*lb": "ft*lbf",
    "ft-lb": "ft*lbf",
    "Ah": "A*h",
    "A·h": "A*h",
    "mAh": "mA*h",
    "kgf·cm": "kgf*cm",
    "kgcm": "kgf*cm",
    "lbs": "lb",
    "µm": "um",
    "mm2": "mm^2",
    "mm²": "mm^2",
    "m²": "m^2",
    "in²": "in^2",
    "in2": "in^2",
    "sec": "s",
    "hour": "h",
    "hours": "h",
    "minutes": "min",
    "seconds": "s",
    '"': "in",
    "inch": "in",
    "inches": "in",
    "percent": "%",
    "degrees": "deg",
    "uΩ": "uohm",
    "amp": "A",
    "volt": "V",
    "volts": "V",
    "l/min.": "l/min",
    "oz-in": "oz*in",
    "ozf·in": "ozf*in",
    "RPM": "rpm",
}
_DEGREES = {"C": "degC", "F": "degF"}  # where a temperature is expected: C alone is a coulomb
_WORDS = {
    "f": "degF",
    "deg f": "degF",
    "deg c": "degC",
    "° f": "degF",
    "° c": "degC",
    "fahrenheit": "degF",
    "celsius": "degC",
    "'": "ft",
    "feet": "ft",
    "foot": "ft",
    "ft": "ft",
    "ft.": "ft",
    "inch": "in",
    "inches": "in",
    "in": "in",
    "in.": "in",
    "meter": "m",
    "meters": "m",
    "metre": "m",
    "metres": "m",
    "millimeter": "mm",
    "millimeters": "mm",
    "millimetres": "mm",
    "cm": "cm",
    "lb": "lb",
    "lb.": "lb",
    "lbs": "lb",
    "lbs.": "lb",
    "pounds": "lb",
    "kg": "kg",
    "kgs": "kg",
    "kilograms": "kg",
    "amps": "A",
    "amp": "A",
    "a": "A",
    "volts": "V",
    "volt": "V",
    "v": "V",
    "ohms": "ohm",
    "ohm": "ohm",
    "newtons": "N",
    "psi": "psi",
    "bar": "bar",
    "min": "min",
    "mins": "min",
    "hrs": "h",
    "hr": "h",
    "secs": "s",
    "sec": "s",
    "rpm": "rpm",
    "ah": "A*h",
}
_TIMES = r"\s*[-·*.×x]?\s*"
_POUNDS, _NEWTONS = r"lbs?f?|pounds?", r"N|newtons?"
_INCHES, _FEET, _METERS = r"in|inch(?:es)?|\"", r"ft|foot|feet", r"m|met(?:er|re)s?"
# (first, second) -> the torque; a newton comes first, for mN is a thousandth of one
_PRODUCTS: dict[tuple[str, str], str] = {
    (_POUNDS, _FEET): "ft*lbf",
    (_FEET, _POUNDS): "ft*lbf",
    (_POUNDS, _INCHES): "in*lbf",
    (_INCHES, _POUNDS): "in*lbf",
    (r"ozf?", _INCHES): "oz*in",
    (_INCHES, r"ozf?"): "oz*in",
    (r"kgf?", r"cm"): "kgf*cm",
    (_NEWTONS, _METERS): "N*m",
    (_NEWTONS, r"cm"): "N*cm",
    (_NEWTONS, r"mm"): "N*mm",
}


def table_name(text: str, dimension: str, known: Container[str]) -> str:
    """The name by which `known` has a unit, or the text itself where nothing fits.

    `lb-ft`, `ft lbs` and `FT-LB` are `ft*lbf`; `F` is `degF`, `C` too where a temperature is
    wanted.
    """
    if dimension == "temperature" and text in _DEGREES:
        return _DEGREES[text]
    name = ALIASES.get(text, text)
    if name in known:
        return name
    return _torque(text) or _WORDS.get(text.lower(), name)


def _torque(text: str) -> str:
    """The torque that two units side by side mean; empty for anything else."""
    for (first, second), unit in _PRODUCTS.items():
        if re.fullmatch(rf"(?:{first}){_TIMES}(?:{second})", text, re.IGNORECASE):
            return unit
    return ""


def escaped(word: str) -> str:
    """A word as a regular expression that editors read too (they refuse more escapes than re's)."""
    return re.sub(r"([\\^$.*+?()\[\]{}|/])", r"\\\1", word)


def unit_forms(names: Container[str]) -> list[str]:
    """Regular expressions of every way to write one of these units, for editors that check
    files."""
    words = [word for table in (ALIASES, _WORDS) for word, unit in table.items() if unit in names]
    torques = [
        f"({first}){_TIMES}({second})"
        for (first, second), unit in _PRODUCTS.items()
        if unit in names
    ]
    return [escaped(word) for word in sorted(words, key=len, reverse=True)] + torques
