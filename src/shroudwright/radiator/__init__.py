"""The radiator core: what it sheds and what it costs in pressure, both sides.

core          the door to the rest: a core, both its sides, and the whole rated from plain numbers
geometry      the core as taped, and the areas that follow
fins          published relations for louvered and wavy fins, and fin efficiency
duct          flow inside a smooth duct in its three regimes
air_side      heat transfer and pressure drop on the air side of one core
coolant_side  the same inside the tubes
exchanger     effectiveness and cross-flow heat
"""
