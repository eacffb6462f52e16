"""Constants of nature and of convention that several laws share."""

GAS_CONSTANT = 8.314462618
"""J/(mol K), CODATA 2018."""

REFERENCE_TEMPERATURE = 298.15
"""K, 25 °C, to which isotherms, diffusivities and readings refer."""
