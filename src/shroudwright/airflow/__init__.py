"""Air from the opening, through the pack, to the bay: pressures, losses, leaks and hot air coming back.

frame     ram_pressure, head_loss, leak_flow
recycled  fading, inlet_rise
behind    plenum_loss, heat_ratio (read from one computed layout), area_under_opening
"""
