"""The table of units: the names that are read, their dimensions, and what each stands for."""

# name as written -> (dimension, name for pint). The first name of a dimension in SI_UNIT is the SI
# one.
NAMES: dict[str, dict[str, str]] = {
    "length": {
        "m": "meter",
        "mm": "millimeter",
        "cm": "centimeter",
        "um": "micrometer",
        "in": "inch",
        "ft": "foot",
    },
    "area": {
        "m^2": "meter**2",
        "mm^2": "millimeter**2",
        "cm^2": "centimeter**2",
        "in^2": "inch**2",
    },
    "volume": {
        "m^3": "meter**3",
        "l": "liter",
        "L": "liter",
        "ml": "milliliter",
        "cm^3": "centimeter**3",
        "in^3": "inch**3",
    },
    "mass": {"kg": "kilogram", "g": "gram", "lb": "pound", "oz": "ounce"},
    "force": {
        "N": "newton",
        "kN": "kilonewton",
        "lbf": "force_pound",
        "kgf": "kilogram_force",
        "ozf": "force_ounce",
    },
    "torque": {
        "N*m": "newton*meter",
        "N*cm": "newton*centimeter",
        "N*mm": "newton*millimeter",
        "in*lbf": "inch*force_pound",
        "ft*lbf": "foot*force_pound",
        "lbf*in": "inch*force_pound",
        "lbf*ft": "foot*force_pound",
        "kgf*cm": "kilogram_force*centimeter",
        "kg*cm": "kilogram_force*centimeter",
        "oz*in": "force_ounce*inch",
        "ozf*in": "force_ounce*inch",
    },
    "pressure": {
        "Pa": "pascal",
        "kPa": "kilopascal",
        "MPa": "megapascal",
        "GPa": "gigapascal",
        "bar": "bar",
        "psi": "psi",
        "ksi": "ksi",
        "N/mm^2": "megapascal",
    },
    "mass_per_length": {
        "kg/m": "kilogram/meter",
        "g/m": "gram/meter",
        "lb/ft": "pound/foot",
        "g/mm": "gram/millimeter",
    },
    "weight_per_length": {
        "N/m": "newton/meter",
        "lbf/ft": "force_pound/foot",
        "lbf/in": "force_pound/inch",
        "N/mm": "newton/millimeter",
    },
    "voltage": {"V": "volt", "mV": "millivolt", "kV": "kilovolt"},
    "current": {"A": "ampere", "mA": "milliampere"},
    "resistance": {
        "ohm": "ohm",
        "mohm": "milliohm",
        "uohm": "microohm",
        "kohm": "kiloohm",
        "Mohm": "megaohm",
    },
    "charge": {"A*h": "ampere*hour", "mA*h": "milliampere*hour", "C": "coulomb"},
    "time": {
        "s": "second",
        "ms": "millisecond",
        "us": "microsecond",
        "min": "minute",
        "h": "hour",
        "d": "day",
    },
    "speed": {
        "m/s": "meter/second",
        "mm/s": "millimeter/second",
        "in/s": "inch/second",
        "ft/s": "foot/second",
    },
    "angular_speed": {
        "rad/s": "radian/second",
        "rpm": "revolution/minute",
        "deg/s": "degree/second",
    },
    "power": {"W": "watt"},
    "frequency": {"Hz": "hertz", "kHz": "kilohertz"},
    "angle": {"rad": "radian", "deg": "degree", "rev": "revolution"},
    "flow": {
        "m^3/s": "meter**3/second",
        "l/min": "liter/minute",
        "L/min": "liter/minute",
        "ml/min": "milliliter/minute",
    },
    "temperature": {"K": "kelvin", "degC": "degC", "degF": "degF"},
    "percent": {"%": "percent"},
    "number": {
        "1": "dimensionless",
        "x": "dimensionless",
        "pitches": "dimensionless",
        "teeth": "dimensionless",
    },
}
SI_UNIT: dict[str, str] = {dimension: next(iter(names)) for dimension, names in NAMES.items()}
UNITS: dict[str, tuple[str, str]] = {
    name: (dimension, pint_name)
    for dimension, names in NAMES.items()
    for name, pint_name in names.items()
}
# What those names stand for, in pint's own language: its own list of a thousand units takes a third
# of a second to read. All are exact: BIPM, The International System of Units, 9th ed.; NIST SP 811,
# appendix B (inch, pound, standard gravity).
DEFINITIONS = """
micro- = 1e-6
milli- = 1e-3
centi- = 1e-2
kilo- = 1e3
mega- = 1e6
giga- = 1e9
meter = [length]
gram = [mass]
second = [time]
ampere = [current]
radian = []
percent = 0.01
inch = 0.0254 meter
foot = 12 inch
liter = 1e-3 meter**3
pound = 453.59237 gram
ounce = pound / 16
newton = kilogram * meter / second**2
kilogram_force = 9.80665 newton
force_pound = 9.80665 newton * pound / kilogram
force_ounce = force_pound / 16
pascal = newton / meter**2
bar = 1e5 pascal
psi = force_pound / inch**2
ksi = 1e3 psi
minute = 60 second
hour = 60 minute
day = 24 hour
hertz = 1 / second
revolution = 2 * 3.141592653589793 radian
degree = revolution / 360
watt = newton * meter / second
volt = watt / ampere
ohm = volt / ampere
coulomb = ampere * second
"""
TEMPERATURES = {"K": (1.0, 0.0), "degC": (1.0, 273.15), "degF": (5 / 9, 459.67 * 5 / 9)}
