"""Exact sizes of the units in which the sources print, in SI: ``value in SI = printed value * unit``."""

INCH = 0.0254
"""[m]"""
FOOT = 0.3048
"""[m]"""
POUND = 0.45359237
"""[kg]"""
TONNE = 1000.0
"""[kg]"""
CUBIC_FOOT = FOOT**3
"""[m3]"""
POUND_PER_CUBIC_FOOT = POUND / CUBIC_FOOT
"""[kg/m3]"""
POUND_PER_FOOT = POUND / FOOT
"""[kg/m]"""
CENTIMETRE = 0.01
"""[m]"""
PERCENT = 0.01
"""[-]"""
