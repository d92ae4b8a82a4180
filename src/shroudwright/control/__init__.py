"""When fans start and stop.

settings    sensor_shift, settings
cycling     least_cycle, after_run_charge
"""
