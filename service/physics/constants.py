"""Reference quantities of acoustics and electroacoustics, the unit in the name and the source beside each."""

REFERENCE_PRESSURE_PA = 20e-6
"""Sound pressure of 0 dB SPL. [ISO-1683]"""

REFERENCE_TEMPERATURE_K = 293.15
"""Temperature at which the air quantities are referred, 20 degrees Celsius. [ISO-9613-1]"""

REFERENCE_AIR_PRESSURE_KPA = 101.325
"""One standard atmosphere. [ISO-9613-1]"""

CELSIUS_ZERO_K = 273.15
"""0 degrees Celsius in kelvin, by definition of the Celsius scale."""

TEST_VOLTAGE_V = 2.83
"""Voltage of the sensitivity figure "2.83 V, 1 m": one watt into 8 ohm within 0.005 dB. Common practice, no source."""
