"""Electric fans: what a tested curve becomes at other volts and air, how loud it is, and if a box number can be true.

laws     speed_exponent, flow_ratio, current_ratio, fan_speed_ratio, fan_current_ratio, fan_power_ratio,
         volts_at_fan, working_current
curve    right_branch, generic_curve, fan_flow
claim    implied_efficiency, flow_ceiling, flow_per_amp, pressure_of_amp_rule, claim_verdict
noise    add_levels, level_change_with_speed, level_at_distance, sound_power, a_weighting_of_spectrum,
         blade_passing_frequency, sound_at_one_metre, fan_sound
"""
