"""Wire, fuse, relay and alternator: what carries a fan's current, safely and without losing its volts.

wire         ampacity, engine_space_ampacity, ambient_factor, bundle_factor, derated_ampacity, area_for_drop,
             gauge_for_area, wire_for
fuse         opening_window, hot_rating, fuse_of, fuse_for, fuse_by_start, opens_at_start, largest_fuse
relay        relay_for
alternator   alternator_margin, volts_at_source
circuits     fan_circuit, wire_list
"""
