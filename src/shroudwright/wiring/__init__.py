"""Wire, fuse, relay and alternator: what carries a fan's current, safely and without losing its volts.

wire         ampacity, engine_space_ampacity, ambient_factor, bundle_factor, derated_ampacity, area_for_drop,
             gauge_for_area, wire_for
fuse         opening_window, hot_rating, fuse_of, fuse_for, fuse_by_start, opens_at_start, largest_fuse
relay        relay_for, coil_current, contact_life
alternator   output_at, alternator_margin, volts_at_source
fitted       what is there already
circuits     fan_circuit
harness      parts, terminals and wires
schemes      ways of switching, as harnesses
thicker      gauges that would mend a circuit
sizing       every wire with gauge, colour, length and ends
dropping     dropping_resistor
budget       ways out of a shortfall
checks       what is wrong with wires, fuses and relays
switching    what is wrong with what works the fans, and with what feeds them
"""
