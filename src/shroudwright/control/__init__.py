"""When fans start and stop.

settings    sensor_shift, settings
"""
