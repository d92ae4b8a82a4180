"""The coupled solve: volts, air, heat and coolant of the whole pack together.

params    one flat record per driving case and draw
balance   the equations, each written once
solve     the readable scalar reference
kernel    the compiled batch, tested against it
warm      compile ahead of time, with a progress line
"""
