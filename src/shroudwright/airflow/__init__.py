"""Air from the opening, through the pack, to the bay: pressures, losses, leaks and hot air coming back.

frame     ram_pressure, head_loss, leak_flow
recycled  fading, inlet_rise
behind    hand_rule, area_under_opening, solid_behind_loss
"""
