"""Hoses, necks, tank and cap: what leads the coolant, gives it room to grow and keeps the pump from boiling it.

fittings     bend_loss, step_loss, restrictor_loss, hose_fittings, run_as_one
expansion    coolant_expansion, surge_tank_volume, recovery_bottle_volume
split        branch_flow, share_past, heater_relief
pressures    suction_pressure, static_pressure_left
network      parts and lines of a circuit
checks       what is wrong with it
"""
