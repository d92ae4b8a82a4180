"""When fans start and stop.

settings    sensor_shift, settings
rules       requests, cuts, running on, faults
cycling     least_cycle, after_run_charge
plan        what a simulated drive follows
found       one thing that is wrong
"""
