"""Coolant flow: where the pump curve meets engine, thermostat, hoses, bypass and core.

pump          pump_pressure, engine_loss, thermostat_loss, bypass_flow
thermostat    lift
hoses         hose_loss
"""
