"""Which technical data a part has, by its kind, and the refrigerants there are."""

REFRIGERANTS = [("R-134a", "R-134a"), ("R-1234yf", "R-1234yf"), ("R-152a", "R-152a")]

TECHNICAL_DATA = {
    "compressor": "compressor_data",
    "evaporator": "evaporator_data",
    "condenser": "condenser_data",
    "condenser fan": "fan_data",
    "blower": "blower_data",
    "duct": "duct_data",
    "vent": "vent_data",
    "expansion valve": "valve_data",
    "receiver-drier": "drier_data",
    "pressure switch": "switch_data",
    "hose": "hose_data",
    "hose end": "hose_end_data",
    "filter": "filter_data",
    "heater matrix": "matrix_data",
    "water valve": "water_valve_data",
    "pulley": "pulley_data",
    "bracket": "bracket_data",
    "generator": "generator_data",
    "harness": "harness_data",
    "connector": "connector_data",
    "insulation": "insulation_data",
    "controller": "controller_data",
    "O-ring": "o_ring_data",
    "clip": "clip_data",
    "belt": "belt_data",
    "oil": "oil_data",
}
POINTS = {
    "compressor": "rated_points",
    "evaporator": "rated_points",
    "condenser": "rated_points",
    "blower": "curve_points",
    "heater matrix": "rated_points",
    "generator": "curve_points",
}
"""Where the technical data of a kind has rated points, or a curve's, as rows of their own."""
