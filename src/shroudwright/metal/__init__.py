"""The shroud as sheet metal: bends, the rolled section, the flats to cut, and what is wrong with them.

bend     allowance, setback, deduction, neutral line, smallest radius
sheet    the metals kept, gauges, weight
strength what they stand, and how they grow with heat
section  the rolled-edge section and its developed length
shroud   flats, holes, weight and findings of a rolled shroud

chain, mesh, plate   a flat sheet with openings by elements: frequencies, sag and stress
vibration            what shakes it, what heat does to it
stiffness            the face with its fans on: findings, and what would cure it
"""
